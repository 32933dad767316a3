"""Scenes as pictures: what is drawn is what is there, in black and white too, whatever the scene."""

from __future__ import annotations

import io
import math
import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from PIL import Image

from draw.pictures import grey
from tenbetween.court import KINDS, court_of
from tenbetween.draw.diagram import fitted
from tenbetween.draw.frame import frame_of
from tenbetween.draw.golden_scenes import golden_field, golden_scenes, scene_drawings
from tenbetween.draw.ink import THEMES
from tenbetween.draw.scene_box import box_of, cone, shared
from tenbetween.draw.scene_marks import KINDS as LOOK_KINDS
from tenbetween.draw.scene_svg import scene_svg
from tenbetween.draw.scene_words import kind_of, scene_words, screener
from tenbetween.draw.sheet import diagram_png
from tenbetween.scene import Crew, Matchup, Official, Player, Scene, known_part, mirrored
from tenbetween.sight import see

SVG = "{http://www.w3.org/2000/svg}"
SCENES = golden_scenes()


def tree(text: str) -> ET.Element:
    return ET.fromstring(text)


def group(root: ET.Element, name: str) -> ET.Element:
    return next(one for one in root.iter(f"{SVG}g") if one.get("class") == name)


def moved(one: ET.Element) -> tuple[float, float]:
    found = re.fullmatch(r"translate\((\S+) (\S+)\)", one.get("transform", ""))
    assert found
    return float(found[1]), float(found[2])


@pytest.mark.parametrize("half", [None, "left"])
@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("name", SCENES)
def test_everybody_stands_where_he_is(name: str, half: str | None, turned: bool) -> None:
    scene = SCENES[name]
    root = tree(scene_svg(scene, half=half, turned=turned, sight=see(scene), shade=golden_field(scene)))  # type: ignore[arg-type]
    names = [one.get("class") for one in root if one.tag == f"{SVG}g"]
    assert names == ["floor", "shade", "box", "looks", "tokens"]
    frame = frame_of(scene.court, half=half, scale=8.0, turned=turned)  # type: ignore[arg-type]
    tokens = {one.get("data-id"): one for one in group(root, "tokens")}
    assert set(tokens) == {*(p.id for p in scene.players), "lead", "trail", "ball"}
    places = {p.id: p.at for p in scene.players} | {
        "lead": scene.crew.lead.at,
        "trail": scene.crew.trail.at,
        "ball": scene.ball,
    }
    for who, at in places.items():
        assert moved(tokens[who]) == pytest.approx(frame.at(at), abs=0.001), who
    assert tokens["lead"].get("data-shape") == "circle"
    assert tokens["trail"].get("data-shape") == "square"
    assert tokens["a3"].get("class") == "token player a"


def test_letter_and_shape_go_their_own_ways() -> None:
    scene = SCENES["zone"]
    for lead, shape in (("umpire", "circle"), ("referee", "square")):
        root = tree(scene_svg(scene, lead=lead))  # type: ignore[arg-type]
        token = next(one for one in group(root, "tokens") if one.get("data-id") == "lead")
        assert token.get("data-shape") == shape
        assert "".join(token.itertext()) == "L"


@pytest.mark.parametrize("name", SCENES)
def test_each_look_is_drawn_as_what_it_is(name: str) -> None:
    scene = SCENES[name]
    sight = see(scene)
    looks = group(tree(scene_svg(scene, sight=sight)), "looks")
    lines = {
        (one.get("data-official"), one.get("data-matchup")): one for one in looks if one.get("data-official")
    }
    assert len(lines) == len(sight.looks) == 10
    frame = frame_of(scene.court, half=None, scale=8.0)
    for look in sight.looks:
        line = lines[look.official, f"{look.matchup.attacker}-{look.matchup.defender}"]
        assert line.get("class") == f"look {kind_of(look)}"
        a, d = scene.player(look.matchup.attacker).at, scene.player(look.matchup.defender).at
        x, y = frame.at(((a[0] + d[0]) / 2, (a[1] + d[1]) / 2))
        end = line.get("d", "").rpartition("L")[2].split()
        assert (float(end[0]), float(end[1])) == pytest.approx((x, y), abs=0.001)
    squares = [one for one in looks if one.get("class") == "look-end screened"]
    wanted = [frame.at(scene.player(screener(k)).at) for k in sight.looks if kind_of(k) == "screened"]
    found = [(float(s.get("x", 0)) + float(s.get("width", 0)) / 2) for s in squares]
    assert sorted(found) == pytest.approx(sorted(x for x, _ in wanted), abs=0.01)
    assert {kind_of(look) for look in sight.looks} <= set(LOOK_KINDS)


def test_all_four_kinds_of_look_are_among_the_kept_pictures() -> None:
    kinds = {kind_of(look) for scene in SCENES.values() for look in see(scene).looks}
    assert kinds == set(LOOK_KINDS)


# -- the box ----------


def inside(outline: tuple[tuple[float, float], ...], at: tuple[float, float]) -> bool:
    signs = [
        (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])
        for a, b in zip(outline, (*outline[1:], outline[0]), strict=True)
    ]
    return all(one >= -1e-6 for one in signs)


@pytest.mark.parametrize("name", SCENES)
def test_both_cones_and_what_they_share_hold_everybody_not_behind(name: str) -> None:
    scene = SCENES[name]
    box = box_of(scene, see(scene).boxed_in.behind_of, 0.9)
    assert len(box.cones) == 2
    for player in scene.players:
        if player.id not in box.behind:
            assert all(inside(one.outline, player.at) for _, one in box.cones), player
            on_floor = -3 <= player.at[0] <= 87 and -3 <= player.at[1] <= 53
            assert not on_floor or inside(box.shared, player.at), player


def test_who_is_outside_and_who_is_behind_is_ringed() -> None:
    crew = Crew(Official((0.0, 35.0)), Official((20.0, 25.0)))
    around = [(26.0, 25.0), (17.0, 31.0), (17.0, 19.0), (40.0, 45.0)]
    players = tuple(Player(f"a{n}", "a", at) for n, at in enumerate(around, 1))
    scene = Scene(players, (), (9.0, 9.0), crew)
    sight = see(scene)
    assert sight.boxed_in.behind_of["trail"]
    root = tree(scene_svg(scene, sight=sight))
    rings = {
        one.get("data-id"): one.get("class")
        for one in root.iter(f"{SVG}g")
        if one.get("class", "").startswith("ring")
    }
    assert {who for who, name in rings.items() if name == "ring behind"} == set(sight.boxed_in.behind)
    a4 = players[3].at
    assert (0 - a4[0]) * (20 - a4[0]) + (35 - a4[1]) * (25 - a4[1]) > 0
    assert rings.get("a4") in ("ring outside", "ring behind")


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.floats(-10, 94), st.floats(-10, 60)), min_size=1, max_size=10),
    st.tuples(st.floats(-10, 94), st.floats(-10, 60)),
)
def test_a_cone_is_less_than_a_half_turn_and_holds_what_fits(
    bodies: list[tuple[float, float]], at: tuple[float, float]
) -> None:
    found = cone(at, bodies, 0.9)
    if found is None:
        assert all(body == at for body in bodies)
        return
    assert 0 <= found.last - found.first < math.pi
    other = cone((at[0] + 5, at[1] + 5), bodies, 0.9)
    if other is not None:
        both = shared(found, other)
        assert all(math.isfinite(x) and math.isfinite(y) for x, y in both)


# -- shading ----------


def test_each_cell_is_painted_once_as_what_it_is() -> None:
    scene = SCENES["press"]
    field = golden_field(scene)
    shade = group(tree(scene_svg(scene, shade=field, scale=10.0)), "shade")
    frame = frame_of(scene.court, half=None, scale=10.0)
    found = np.full(field.shape, 3, dtype=np.uint8)
    for path in shade:
        bits = {"nobody": 0, "lead": 1, "trail": 2}[path.get("class", "").split()[1]]
        for x0, y0, x1, y1 in re.findall(r"M(\S+) (\S+?)H(\S+?)V(\S+?)H\S+?Z", path.get("d", "")):
            (fx, fy), (tx, ty) = frame.feet((float(x0), float(y0))), frame.feet((float(x1), float(y1)))
            part = found[round(fx) : round(tx), round(fy) : round(ty)]
            assert (part == 3).all()
            part[...] = bits
    assert (found == field).all()


def test_the_four_kinds_of_floor_differ_in_black_and_white() -> None:
    """By lightness of a patch (both > one > nobody), and the two single ones by the way their strokes lean."""
    scene = Scene((), (), (42.0, 25.0), Crew(Official((0.0, 0.0)), Official((84.0, 50.0))))
    field = np.zeros((84, 50), dtype=np.uint8)
    field[22:30], field[54:62], field[62:84] = 1, 2, 3
    for theme in ("print", "light", "dark"):
        picture = grey(scene_svg(scene, shade=field, scale=10.0, theme=theme), zoom=1.0).astype(float)
        frame = frame_of(scene.court, half=None, scale=10.0)

        def patch(x: float, picture: np.ndarray = picture, frame: object = frame) -> np.ndarray:
            px, py = frame.at((x, 47.5))  # type: ignore[attr-defined]
            return picture[int(py) - 16 : int(py) + 16, int(px) - 16 : int(px) + 16]

        lead, trail, both, nobody = patch(25), patch(58), patch(66.5), patch(34)
        assert nobody.mean() < min(lead.mean(), trail.mean()) - (2 if theme == "dark" else 25)
        if theme != "dark":
            assert max(lead.mean(), trail.mean()) < both.mean() - 25
        assert both.std() < 1
        assert lean(lead) > 20
        assert lean(trail) < -20


def lean(patch: np.ndarray) -> float:
    """More than 0 when strokes rise to the right: neighbours along that way are alike, across it not."""
    rising = np.abs(patch[1:, :-1] - patch[:-1, 1:]).mean()
    falling = np.abs(patch[:-1, :-1] - patch[1:, 1:]).mean()
    return float(falling - rising)


# -- words, sizes, themes ----------


def test_it_is_described_in_words() -> None:
    scene = SCENES["press"]
    sight = see(scene)
    root = tree(scene_svg(scene, sight=sight, title="Press"))
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title") == "Press"
    said = root.findtext(f"{SVG}desc") or ""
    assert said == scene_words(scene, "umpire", sight)
    for words in ("The lead, Umpire", "The trail, Referee", "a1", "b5", "flat discs", "For the trail"):
        assert words in said
    assert tree(scene_svg(scene, description="Mine.")).findtext(f"{SVG}desc") == "Mine."


def test_the_smallest_text_is_eleven_and_everything_is_in_the_shipped_font() -> None:
    for name, text in scene_drawings().items():
        if name.startswith("scene"):
            sizes = [float(one) for one in re.findall(r'font-size="([\d.]+)"', text)]
            assert min(sizes) >= 11, name
            assert set(re.findall(r'font-family="([^"]+)"', text)) == {"Atkinson Hyperlegible Next"}


def test_on_a_page_every_colour_is_a_token_but_black_for_shade() -> None:
    scene = SCENES["zone"]
    text = scene_svg(scene, theme="screen", sight=see(scene), shade=golden_field(scene))
    colours = set(re.findall(r'(?:fill|stroke)="([^"]+)"', text))
    plain = {one for one in colours if not one.startswith(("var(--", "url(#", "none"))}
    assert plain == {"#000000"}
    assert 'class="key"' not in text
    assert 'class="key"' in scene_svg(scene, theme="screen", key=True)


def test_black_and_white_rests_on_no_colour() -> None:
    scene = SCENES["zone"]
    png = diagram_png(scene_svg(scene, theme="print", sight=see(scene), shade=golden_field(scene)), zoom=1.0)
    pixels = np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)
    assert np.ptp(pixels, axis=2).max() == 0


def mark_alone(name: str, theme: str = "print") -> np.ndarray:
    """Return one mark of the key's rows as lightness, cut out of a picture of it alone."""
    from tenbetween.draw import scene_key

    entries = {one.words: one for row in scene_key.groups(looks=True, shade=False, ways=True) for one in row}
    inside_ = entries[name].draw((24.0, 14.0), THEMES[theme])
    return grey(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 28" width="48" height="28">'
        f'<rect width="48" height="28" fill="#fff"/>{inside_}</svg>',
        zoom=2.0,
    )


def test_every_mark_differs_from_every_other_without_colour() -> None:
    from tenbetween.draw import scene_key

    names = [one.words for row in scene_key.groups(looks=True, shade=False, ways=True) for one in row]
    names.remove("Held by both")  # a pattern, seen in the shaded pictures
    pictures = {name: mark_alone(name).astype(int) for name in names}
    for one in names:
        assert (pictures[one] < 128).sum() > 30, one
        for other in names:
            if other != one:
                differs = np.abs(pictures[one] - pictures[other]) > 100
                assert differs.sum() > 60, (one, other)


def test_the_caution_stands_wherever_sight_is_drawn() -> None:
    scene = SCENES["zone"]
    for text in (
        scene_svg(scene, theme="print", sight=see(scene)),
        scene_svg(scene, theme="print", shade=golden_field(scene)),
    ):
        shown = " ".join("".join(one.itertext()) for one in tree(text).iter(f"{SVG}text"))
        assert "Bodies are flat discs: heads, arms and height are not modelled." in shown
    assert "flat discs" not in scene_svg(scene, theme="print")


def test_nobody_whose_place_is_not_known_is_drawn() -> None:
    lost = replace(SCENES["zone"].players[0], at=(math.nan, 3.0))
    scene = replace(SCENES["zone"], players=(lost, *SCENES["zone"].players[1:]), ball=(math.nan, math.nan))
    text = scene_svg(scene, sight=see(scene))
    assert "nan" not in text.replace("and", "")
    assert 'data-id="a1"' not in text
    assert 'data-id="ball"' not in text


def test_names_cannot_break_the_picture() -> None:
    nasty = '"><script>&'
    players = (Player(nasty, "a", (20.0, 20.0)), Player("b1", "b", (23.0, 20.0)))
    scene = Scene(
        players, (Matchup(nasty, "b1"),), (9.0, 9.0), Crew(Official((0.0, 9.0)), Official((30.0, 9.0)))
    )
    text = scene_svg(scene, sight=see(scene), theme="light")
    root = tree(fitted(text))
    assert not list(root.iter(f"{SVG}script"))
    assert any(one.get("data-id") == nasty for one in root.iter(f"{SVG}g"))


places = st.tuples(st.floats(-10, 100), st.floats(-10, 60))
officials = st.builds(Official, places, st.none() | st.floats(-360, 360))


@st.composite
def scenes(draw: st.DrawFn) -> Scene:
    count = draw(st.integers(0, 5))
    spots = draw(st.lists(places, min_size=2 * count, max_size=2 * count))
    if spots and draw(st.booleans()):
        spots[-1] = spots[0]
    names = [*(f"a{n + 1}" for n in range(count)), *(f"b{n + 1}" for n in range(count))]
    players = tuple(Player(n, "a" if n[0] == "a" else "b", at) for n, at in zip(names, spots, strict=True))
    pairs = tuple(Matchup(f"a{n + 1}", f"b{n + 1}") for n in range(count))
    lead = draw(officials)
    trail = draw(st.just(lead) | officials)
    kind = draw(st.sampled_from(KINDS))
    return Scene(players, pairs, draw(places), Crew(lead, trail), court_of(kind))


@settings(max_examples=150)
@given(scenes(), st.sampled_from([None, "left", "right"]), st.booleans(), st.floats(2.0, 16.0))
def test_any_scene_is_a_picture(scene: Scene, half: str | None, turned: bool, scale: float) -> None:
    text = scene_svg(
        scene, half=half, turned=turned, scale=scale, theme="print", sight=see(scene)  # type: ignore[arg-type]
    )  # fmt: skip
    root = tree(text)
    assert len(group(root, "tokens")) == len(known_part(scene).players) + 3
    numbers = re.sub(r"<(desc|title)>.*?</\1>|aria-label=\"[^\"]*\"", "", text)
    assert not re.search(r"\b(nan|inf)\b|e[+-]\d\d", numbers)


def test_a_mirrored_scene_is_the_mirrored_picture() -> None:
    scene = SCENES["throw-in"]
    other = mirrored(scene, ends=True)
    kinds = [(k.official, k.matchup, kind_of(k)) for k in see(scene).looks]
    assert kinds == [(k.official, k.matchup, kind_of(k)) for k in see(other).looks]
    here = {one.get("data-id"): moved(one) for one in group(tree(scene_svg(scene)), "tokens")}
    there = {one.get("data-id"): moved(one) for one in group(tree(scene_svg(other)), "tokens")}
    wide = frame_of(scene.court, half=None, scale=8.0).size[0]
    for who, (x, y) in here.items():
        assert there[who] == pytest.approx((wide - x, y), abs=0.002)
