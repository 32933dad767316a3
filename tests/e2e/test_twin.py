"""The browser's twin of the sight room says what the server says: every number, every word, every cell of floor."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Iterator
from functools import cache
from math import asin, atan2, degrees, hypot, isnan, nan, pi
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from msgspec import structs, to_builtins
from tests.sight.scenes import PAIRS, random_scene, scene_of

from tenbetween.court import court_of
from tenbetween.draw.frame import frame_of
from tenbetween.draw.scene_svg import scene_svg
from tenbetween.formats.sight_json import sight_as_dict
from tenbetween.scene import ACTS, ROLES, Crew, Matchup, Official, Player, Scene
from tenbetween.sight import CONTACT, FLAT, SIGHT, Settings, see, visible
from tenbetween.sight.shade import shade
from tenbetween.units import FOOT
from tenbetween.web.assets import load_assets

pytestmark = pytest.mark.browser
NARROW = Settings(sharp=36.0, usable=100.0, edge=0.2, radius=0.75, wide_none=150.0)
RUN = """async ([address, cases, name]) => {
  const module = await import(address);
  return JSON.stringify(cases.map(([scene, settings, how]) => module[name](scene, settings, how),
    ), (key, value) => value instanceof Uint8Array ? Array.from(value) : value); }"""
Case = tuple[Scene, Settings]


# -- the scenes ----------


def as_json(scene: Scene) -> dict[str, Any]:
    """Return a scene as the page has it; a place not known is null."""

    def known(value: float) -> float | None:
        return None if isnan(value) else value

    def official(one: Official) -> dict[str, float]:
        facing = {} if one.facing is None else {"facing": one.facing}
        return {"x": one.at[0], "y": one.at[1], **facing}

    players = [
        {"id": one.id, "team": one.team, "x": known(one.at[0]), "y": known(one.at[1])}
        for one in scene.players
    ]
    return {
        "court": {"length": scene.court.length / FOOT, "width": scene.court.width / FOOT},
        "players": players,
        "matchups": [[one.attacker, one.defender, one.act] for one in scene.matchups],
        "ball": list(scene.ball),
        "officials": {role: official(scene.crew.of(role)) for role in ROLES},
    }


def lattice_scene(dice: random.Random) -> Scene:
    """Return bodies and officials on whole feet: lines, ties, coincident points and right angles everywhere."""
    places = {name: (float(dice.randrange(2, 14)), float(dice.randrange(18, 30))) for name in sum(PAIRS, ())}
    crew = [(float(dice.randrange(-2, 16)), float(dice.randrange(16, 32))) for _ in ROLES]
    facings = [
        (*at, dice.choice((0.0, 90.0, -90.0, 180.0, 45.0))) if dice.random() < 0.5 else at for at in crew
    ]
    return scene_of(places, *facings)


def cluster_scene(dice: random.Random) -> Scene:
    """Return ten overlapping bodies within a few feet, officials now and then among them."""
    places = {name: (20 + dice.gauss(0, 1.5), 25 + dice.gauss(0, 1.5)) for name in sum(PAIRS, ())}
    spread = dice.choice((1.0, 10.0))
    return scene_of(places, *((20 + dice.gauss(0, spread), 25 + dice.gauss(0, spread)) for _ in ROLES))


def partial(scene: Scene, dice: random.Random) -> Scene:
    """Return a scene with acts, some players gone or lost, now and then on the international court."""
    kept = [one for one in scene.players if dice.random() < 0.85]
    players = tuple(structs.replace(one, at=(nan, nan)) if dice.random() < 0.1 else one for one in kept)
    there = {one.id for one in players}
    pairs = tuple(
        Matchup(one.attacker, one.defender, dice.choice(ACTS))
        for one in scene.matchups
        if {one.attacker, one.defender} <= there
    )
    court = court_of(dice.choice(("us-hs", "fiba")))
    return structs.replace(scene, players=players, matchups=pairs, court=court)


def hard_scenes() -> Iterator[Scene]:
    """Yield scenes made by hand, each for one thing that could go wrong."""
    pair, one = {"a1": (20.0, 23.0), "b1": (20.0, 27.0)}, PAIRS[:1]
    lead, trail = (0.0, 25.0), (40.0, 10.0)
    yield scene_of(pair, lead, trail, one)
    yield scene_of({"a1": (10.0, 25.0), "b1": (20.0, 25.0)}, lead, trail, one)  # straight in line
    yield scene_of({"a1": (10.0, 25.0), "b1": (13.0, 25.2)}, lead, trail, one)
    for x in (
        10.0,
        18.0,
        19.2,
        19.9,
        20.0,
        20.3,
        20.89,
        20.9,
        20.91,
        25.0,
    ):  # a screener before, across, beyond
        yield scene_of({**pair, "a2": (x, 25.0)}, lead, trail, one)
        yield scene_of({**pair, "a2": (x, 24.1)}, (*lead, 10.0), (*trail, 200.0), one)
    yield scene_of({**pair, "b4": (0.3, 25.2)}, lead, trail, one)  # the lead within a third body
    yield scene_of({**pair, "b4": (0.9, 25.0)}, lead, trail, one)  # on its outline
    yield scene_of(pair, (20.0, 23.0), trail, one)  # on the attacker
    yield scene_of(pair, (20.0, 25.0), (20.5, 25.0), one)  # between the two, exactly and nearly
    yield scene_of({"a1": (20.0, 25.0), "b1": (20.0, 25.0)}, lead, trail, one)  # on one spot
    yield scene_of(dict.fromkeys(sum(PAIRS, ()), (20.0, 25.0)), lead, (20.0, 25.0))
    yield scene_of(dict.fromkeys(sum(PAIRS, ()), (20.0, 25.0)), lead, trail)
    yield scene_of(pair, lead, trail, (("b1", "a1"),))
    yield scene_of(pair, (*lead, 180.0), (*trail, -90.0), one)  # behind the back
    yield scene_of(pair, (*lead, 90.0), (*trail, 360.0), one)
    yield scene_of({}, lead, trail)
    yield scene_of({"a1": (20.0, 25.0)}, lead, (20.0, 25.0))
    yield scene_of(pair, lead, trail, ())
    row = {f"{team}{n}": (20.0, 5.0 * n + (team == "b")) for n in range(1, 6) for team in "ab"}
    yield scene_of(row, (20.0, 40.0), (0.0, 15.5))
    wings = {"a1": (10.0, 15.0), "b1": (12.0, 15.0), "a2": (10.0, 35.0), "b2": (12.0, 35.0)}
    yield structs.replace(scene_of(wings, (11.0, 25.0), (30.0, 25.0)), ball=(20.0, 25.0))  # ties of facing
    yield structs.replace(scene_of(wings, (11.0, 25.0), (30.0, 25.0)), ball=(11.0, 25.0))
    for far in (2.0, 2.5, 4.5, 6.0, 12.5, 25.0, 62.5):  # halves, which two languages round apart
        yield scene_of({"a1": (far, 24.0), "b1": (far, 26.0)}, lead, trail, one)
    lost = (Player("a1", "a", (nan, 3.0)), Player("b1", "b", (20.0, 27.0)))
    yield Scene(lost, (Matchup("a1", "b1"),), (20.0, 20.0), Crew(Official(lead), Official(trail)))


@cache
def cases() -> tuple[Case, ...]:
    dice = random.Random(31)
    found: list[Case] = [(scene, SIGHT) for scene in hard_scenes()]
    found += [(random_scene(dice), SIGHT) for _ in range(170)]
    found += [(lattice_scene(dice), SIGHT) for _ in range(120)]
    found += [(cluster_scene(dice), SIGHT) for _ in range(80)]
    found += [(partial(random_scene(dice), dice), dice.choice((SIGHT, CONTACT, NARROW))) for _ in range(120)]
    return tuple(found)


# -- what is compared ----------


def differences(ours: Any, theirs: Any, where: str = "") -> Iterator[tuple[str, float]]:
    """Yield each difference of two answers: a number's size, infinite for a word, a name or a length."""
    numbers = [isinstance(one, int | float) and not isinstance(one, bool) for one in (ours, theirs)]
    if all(numbers):
        off = abs(ours - theirs)
        # A facing of 0 and one of 360 degrees are the same.
        yield where, min(off, 360 - off) if where.endswith(".deg") else off
    elif isinstance(ours, dict) and isinstance(theirs, dict) and ours.keys() == theirs.keys():
        for name, value in ours.items():
            yield from differences(value, theirs[name], f"{where}.{name}")
    elif isinstance(ours, list) and isinstance(theirs, list) and len(ours) == len(theirs):
        for number, value in enumerate(ours):
            yield from differences(value, theirs[number], f"{where}[{number}]")
    else:
        yield f"{where}: {ours!r} | {theirs!r}", 0.0 if ours == theirs else float("inf")


@cache
def expected(number: int) -> dict[str, Any]:
    """Return the server's answer to a case, the parts of it that the twin gives."""
    scene, settings = cases()[number]
    whole = sight_as_dict(scene, see(scene, settings))
    looks = [{name: value for name, value in look.items() if name != "act"} for look in whole["looks"]]
    names = ("coverage", "double_coverage", "blind_spots", "boxed_in", "facing")
    return json.loads(json.dumps({"looks": looks, **{name: whole[name] for name in names}}))


@pytest.fixture
def twin(open_page: Callable[..., Any]) -> Callable[..., Any]:
    """Return a call into a module of the page, for many scenes at once."""
    page = open_page("/settings")

    def asked(module: str, name: str, given: list[Any]) -> Any:
        return json.loads(page.evaluate(RUN, [load_assets().url(f"js/{module}.js"), given, name]))

    return asked


def on_a_half(scene: Scene, look: dict[str, Any], facing: float) -> bool:
    """Tell whether a number of a sentence lies halfway between two written ones, where either is right."""
    at = scene.crew.of(look["official"]).at
    a, d = (scene.player(name).at for name in look["matchup"])
    turns = [degrees(atan2(one[1] - at[1], one[0] - at[0])) for one in (a, d)]
    middle = turns[0] + ((turns[1] - turns[0] + 180) % 360 - 180) / 2
    off = abs((middle - facing + 180) % 360 - 180)
    written = (off, look["apart_deg"], look["distance"], 10 * look["distance"], 100 * (1 - look["clear"]))
    return any(abs(one % 1 - 0.5) < 1e-9 for one in written)


def compared(said: list[Any]) -> tuple[list[tuple[float, str]], int]:
    """Return each difference with its place, and how many sentences fell on the other side of a half."""
    found, halves = [], 0
    for number, theirs in enumerate(said):
        scene, ours = cases()[number][0], expected(number)
        for one, other in zip(ours["looks"], theirs["looks"], strict=True):
            if one["why"] != other["why"] and on_a_half(scene, one, ours["facing"][one["official"]]["deg"]):
                other["why"], halves = one["why"], halves + 1
        found += [(size, f"scene {number} {where}") for where, size in differences(ours, theirs)]
    return found, halves


def test_the_twin_sees_what_the_server_sees_to_the_last_word(twin: Callable[..., Any]) -> None:
    given = [[as_json(scene), to_builtins(settings)] for scene, settings in cases()]
    found, halves = compared(twin("seen", "see", given))
    assert len(cases()) >= 530
    assert len(found) > 80_000
    worst = max(found)
    print(f"{len(cases())} scenes, {len(found)} values, largest difference {worst[0]:.1e} at {worst[1]}")
    print(f"sentences on the other side of a half: {halves}")
    assert [one for one in found if not one[0] < 1e-9] == []
    assert halves <= 5


@pytest.mark.parametrize(
    "wrong", [{"radius": 0.95}, {"far_begins": 26.0}, {"usable": 118.0}, {"edge": 0.36}, {"wide_full": 59.0}]
)
def test_a_twin_with_another_setting_is_found_out(twin: Callable[..., Any], wrong: dict[str, float]) -> None:
    given = [[as_json(scene), {**to_builtins(settings), **wrong}] for scene, settings in cases()[:250]]
    found, _ = compared(twin("seen", "see", given))
    assert sum(not size < 1e-9 for size, _ in found) >= 10


def test_the_visible_share_of_every_body_is_the_same(twin: Callable[..., Any]) -> None:
    worst, count = 0.0, 0
    for role in ROLES:
        given = [[as_json(scene), role, to_builtins(settings)] for scene, settings in cases()]
        for (scene, settings), theirs in zip(cases(), twin("strip", "visible", given), strict=True):
            ours = visible(scene, role, settings)
            assert list(ours) == list(theirs)
            worst = max([worst, *(abs(ours[name] - theirs[name]["share"]) for name in ours)])
            count += len(ours)
            assert all(bool(one["by"]) == (one["share"] < 1) for one in theirs.values())
    print(f"{count} bodies, largest difference {worst:.1e}")
    assert count > 9_000
    assert worst < 1e-9


# -- floor ----------


def near_an_outline(
    scene: Scene, settings: Settings, cells: np.ndarray[Any, Any], at: Any
) -> np.ndarray[Any, Any]:
    """Return which cells' middles are seen along a ray that only just touches a body, or lie on its outline."""
    bodies = np.array([one.at for one in scene.players if not isnan(one.at[0])]).reshape(-1, 2)
    ray, to = cells - np.array(at), bodies - np.array(at)
    long = np.maximum(np.hypot(*ray.T), 1e-9)[:, None]
    miss = np.abs(ray[:, :1] * to[:, 1] - ray[:, 1:] * to[:, 0]) / long
    apart = np.linalg.norm(cells[:, None, :] - bodies, axis=-1)
    close = (np.abs(miss - settings.radius) < 1e-6) | (np.abs(apart - settings.radius) < 1e-6)
    return np.asarray(close.any(-1))


def floor_differences(
    twin: Callable[..., Any], wrong: dict[str, float], *, field: bool
) -> tuple[int, int, int]:
    """Return cells compared, cells that differ, and cells on an outline that differ, for 240 scenes."""
    chosen = cases()[::2][:240]
    given = [
        [as_json(scene), {**to_builtins(one), **wrong}, {"cell": 1, "field": field}] for scene, one in chosen
    ]
    count = differ = close = 0
    for (scene, settings), theirs in zip(chosen, twin("shade", "shade", given), strict=True):
        ours = shade(scene, settings, field=field)
        assert (theirs["cols"], theirs["rows"]) == (ours.cols, ours.rows)
        assert abs(theirs["dx"] - ours.dx) < 1e-12
        assert abs(theirs["dy"] - ours.dy) < 1e-12
        apart = np.flatnonzero(ours.data.ravel() != np.array(theirs["data"]))
        i, j = np.divmod(apart, ours.rows)
        cells = np.stack([(i + 0.5) * ours.dx, (j + 0.5) * ours.dy], -1)
        edge = np.zeros(len(apart), dtype=bool)
        for role in ROLES:
            edge |= near_an_outline(scene, settings, cells, scene.crew.of(role).at)
        count, differ, close = count + ours.data.size, differ + int((~edge).sum()), close + int(edge.sum())
    return count, differ, close


@pytest.mark.parametrize("field", [False, True])
def test_the_twin_shades_the_floor_cell_by_cell(twin: Callable[..., Any], field: bool) -> None:
    count, differ, close = floor_differences(twin, {}, field=field)
    print(f"{count} cells, {differ} differ, {close} more on an outline")
    assert count > 900_000
    assert (differ, close <= 20) == (0, True)


def test_a_shading_of_other_bodies_is_found_out(twin: Callable[..., Any]) -> None:
    assert floor_differences(twin, {"radius": 0.95}, field=False)[1] > 1000


def test_the_floor_shaded_for_nobody_is_the_hidden_floor() -> None:
    for scene, settings in cases()[:120]:
        data = shade(scene, settings).data
        size = scene.court.length * scene.court.width / FOOT / FOOT / data.size
        assert abs((data & 3 == 0).sum() * size - see(scene, settings).hidden_floor_sqft) < 1e-9


# -- what is drawn ----------

DRAW = """async ([addresses, scenes, settings, [left, bottom]]) => {
  const [seen, overlay, strip] = await Promise.all(addresses.map(one => import(one)));
  const svg = kind => document.body.appendChild(document.createElementNS('http://www.w3.org/2000/svg', kind));
  const strips = [svg('svg'), svg('svg')], looks = svg('g'), box = svg('g');
  const toUnits = (x, y) => [left + 10 * x, bottom - 10 * y], inside = [...strips, looks, box];
  const own = one => ({tag: one.tagName, text: one.childElementCount ? '' : one.textContent,
    ...Object.fromEntries([...one.attributes].map(a => [a.name, a.value]))});
  const shown = root => [...root.querySelectorAll('*')].filter(one => !one.closest('[display=none]')).map(own);
  let before = [];
  return scenes.map(scene => {
    const now = seen.see(scene, settings);
    const words = ['lead', 'trail'].map((role, n) => strip.drawStrip(strips[n], scene, role, settings, now));
    overlay.drawLooks(looks, scene, now, toUnits);
    overlay.drawBox(box, scene, now, toUnits);
    const nodes = inside.flatMap(one => [...one.querySelectorAll('*')]), kept = before.every(one => nodes.includes(one));
    before = nodes;
    return {words, kept, labels: strips.map(one => one.getAttribute('aria-label')), strips: strips.map(shown),
      looks: shown(looks), box: shown(box)};
  }); }"""


@pytest.fixture
def drawn(open_page: Callable[..., Any]) -> Callable[..., Any]:
    """Return what is drawn of scenes one after the other in the same elements."""
    page = open_page("/settings")
    urls = [load_assets().url(f"js/{name}.js") for name in ("seen", "overlay", "strip")]
    corner = frame_of(court_of("us-hs"), half=None, scale=10.0).at((0.0, 0.0))
    return lambda scenes: page.evaluate(
        DRAW, [urls, [as_json(one) for one in scenes], to_builtins(SIGHT), corner]
    )


def facing_scene(turn: float = 0.0) -> Scene:
    places = {
        "a1": (10.0, 30.0),
        "b1": (10.0, 25.0),
        "b2": (20.0, 25.0),
        "a2": (10.0, 20.0),
        "a3": (-9.0, 25.0),
    }
    return scene_of(places, (0.0, 25.0, turn), (30.0, 25.0, 180.0))


def test_the_strip_reads_from_left_to_right_as_he_sees_it(drawn: Callable[..., Any]) -> None:
    [found] = drawn([facing_scene()])
    assert found["words"] == found["labels"]
    assert found["words"][0] == (
        "What the lead sees. From his left: a1 with the ball, b1, b2 (wholly hidden by b1), a2. "
        f"Out of his field of view: a3. {FLAT}"
    )
    # The trail looks back at them: b2 is the near one now, and left is the other way round.
    assert found["words"][1] == (
        "What the trail sees. From his left: a2, b1 (wholly hidden by b2), b2, a3 (wholly hidden by b2), "
        f"a1 with the ball. {FLAT}"
    )
    uprights = {one["data-id"]: one for one in found["strips"][0] if "upright" in one.get("class", "")}
    order = list(uprights)
    assert order[0] == "b2", "the farthest is drawn first, so that nearer ones lie over it"
    per_degree = 280 / 60
    for name, at in {"a1": (10.0, 5.0), "b1": (10.0, 0.0), "b2": (20.0, 0.0), "a2": (10.0, -5.0)}.items():
        one, far = uprights[name], hypot(*at)
        middle = float(one["x"]) + float(one["width"]) / 2
        assert middle == pytest.approx(300 - degrees(atan2(at[1], at[0])) * per_degree, abs=0.02)
        assert float(one["width"]) == pytest.approx(2 * degrees(asin(0.9 / far)) * per_degree, abs=0.02)
    names = {one["text"] for one in found["strips"][0] if one["tag"] == "text"}
    assert names == {"a1", "b1", "b2 hidden by b1", "a2"}
    shapes = {
        one["data-id"]: (one["fill"].startswith("url"), float(one["rx"]) > 0) for one in uprights.values()
    }
    assert shapes["a1"] == (False, True)
    assert shapes["b1"] == (True, False)
    assert [one.get("class") for one in found["strips"][0]].count("ball") == 1
    assert [one.get("class") for one in found["strips"][0]].count("field edge") == 2


def test_turned_away_he_sees_nobody_and_the_strip_says_so(drawn: Callable[..., Any]) -> None:
    seen, away = drawn([facing_scene(), facing_scene(90.0)])
    assert seen["kept"]
    assert "Out of his field of view: b1, b2, a2, a3." in away["words"][0]
    back = drawn([facing_scene(180.0)])[0]
    assert "From his left: a3." in back["words"][0]


def test_looks_and_box_are_drawn_by_shape_and_the_elements_stay_from_move_to_move(
    drawn: Callable[..., Any],
) -> None:
    scenes = [scene for scene, settings in cases()[:120] if settings is SIGHT and scene.players]
    kinds: set[str] = set()
    for scene, found in zip(scenes, drawn(scenes), strict=True):
        assert found["kept"], "an element was thrown away while people moved"
        sight = see(scene)
        lines = [one for one in found["looks"] if one.get("class", "").startswith("look ")]
        plain = ("open", "straight-lined", "screened")
        said = [(x.official, f"{x.matchup.attacker}-{x.matchup.defender}", x.cause) for x in sight.looks]
        want = [(role, pair, f"look {cause if cause in plain else 'other'}") for role, pair, cause in said]
        assert sorted((x["data-official"], x["data-matchup"], x["class"]) for x in lines) == sorted(want)
        ends = [one["class"] for one in found["looks"] if one.get("class", "").startswith("look-end")]
        assert sorted(ends) == sorted(f"look-end {cause}" for *_, cause in said if cause in plain)
        tags = {
            one["class"]: one["tag"] for one in found["looks"] if one.get("class", "").startswith("look-end")
        }
        kinds |= set(tags.items())
        rings = {one["data-id"] for one in found["box"] if one.get("class") == "ring behind"}
        assert rings == set(sight.boxed_in.behind)
    assert kinds == {
        ("look-end open", "circle"),
        ("look-end straight-lined", "path"),
        ("look-end screened", "rect"),
    }


SHAPES = ("d", "cx", "cy", "r", "x", "y", "width", "height")


def marks_of(found: list[dict[str, str]]) -> list[tuple[str, list[float]]]:
    """Return the class and the numbers of each mark of a group, in their order."""
    return [
        (one["class"], [float(n) for name in SHAPES for n in re.findall(r"-?[\d.]+", one.get(name, ""))])
        for one in found
        if "class" in one and one["class"] != "dot"
    ]


def outline(numbers: list[float]) -> Any:
    """Return an outline as an area: where two edges all but meet in a corner the last bit decides how many it has."""
    return shapely.Polygon(list(zip(numbers[::2], numbers[1::2], strict=True))).buffer(0)


def server_marks(scene: Scene, group: str) -> list[dict[str, str]]:
    """Return the marks of a group of the server's drawing; a ring of several circles as its circles."""
    drawn = ElementTree.fromstring(scene_svg(scene, sight=see(scene), scale=10.0))
    [holder] = [one for one in drawn.iter() if one.get("class") == group]
    found = []
    for one in holder:
        parts = list(one) or [one]
        found += [{**part.attrib, "class": one.attrib["class"]} for part in parts]
    return found


def test_the_page_draws_the_marks_of_the_servers_drawing_in_the_same_places(
    drawn: Callable[..., Any],
) -> None:
    dice, compared = random.Random(3), 0
    for scene in [
        facing_scene(),
        *(random_scene(dice) for _ in range(12)),
        *(cluster_scene(dice) for _ in range(6)),
    ]:
        [found] = drawn([scene])
        for group in ("looks", "box"):
            ours, theirs = marks_of(server_marks(scene, group)), marks_of(found[group])
            if group == "box":
                ours, theirs = sorted(ours), sorted(theirs)
            assert [name for name, _ in theirs] == [name for name, _ in ours]
            for (name, want), (_, got) in zip(ours, theirs, strict=True):
                if name == "held-by-both":
                    assert (
                        outline(got).symmetric_difference(outline(want)).area < 0.001 * outline(want).area
                    ), name
                else:
                    assert got == pytest.approx(want, abs=0.06), name
                compared += 1
    assert compared > 400


def test_a_cone_holds_every_body_before_him_and_touches_the_outermost(twin: Callable[..., Any]) -> None:
    chosen = [(scene, at.at) for scene, _ in cases() for at in (scene.crew.lead, scene.crew.trail)]
    given = [[{"x": at[0], "y": at[1]}, as_json(scene)["players"], 0.9] for scene, at in chosen]
    held = 0
    for (scene, at), cone in zip(chosen, twin("overlay", "coneOf", given), strict=True):
        spans = [
            (atan2(p.at[1] - at[1], p.at[0] - at[0]), hypot(p.at[0] - at[0], p.at[1] - at[1]))
            for p in scene.players
        ]
        if cone is None or any(isnan(far) for _, far in spans) or min(far for _, far in spans) <= 0.9:
            continue
        if cone["last"] - cone["first"] > pi * 0.98:
            continue
        middle = (cone["first"] + cone["last"]) / 2
        offs = [((turn - middle + pi) % (2 * pi) - pi, asin(0.9 / far)) for turn, far in spans]
        half = (cone["last"] - cone["first"]) / 2
        assert max(off + width for off, width in offs) == pytest.approx(half, abs=1e-9)
        assert min(off - width for off, width in offs) == pytest.approx(-half, abs=1e-9)
        held += 1
    assert held > 400
