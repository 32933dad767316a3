"""Every formation on every restart of every edition: ten players, legal, apart, mirrored, and to be looked at."""

from __future__ import annotations

from collections import Counter
from functools import lru_cache
from itertools import combinations
from math import hypot, isfinite

import pytest
from hypothesis import given, settings

from notation.spaces import situations
from scene.rulings_of_space import distinct_rulings, turned
from tenbetween.book import decide, edition_ids, load_book
from tenbetween.court import NAMES_THE_TABLE, mirror_feet, mirror_point
from tenbetween.errors import TenbetweenError
from tenbetween.notation import parse
from tenbetween.scene import (
    FORMATIONS,
    RESTART_KINDS,
    ROLES,
    Scene,
    Staged,
    formations_for,
    formations_of,
    kind_of_restart,
    mirrored,
    stage,
)
from tenbetween.scene.posted import attacked, court_under
from tenbetween.sight import see
from tenbetween.situation import Ruling
from tenbetween.units import FOOT, feet

TEN = [f"{team}{number}" for team in "ab" for number in range(1, 6)]
RESOLUTION = 1.5e-4
"""Feet: places are told to a ten-thousandth, and a mirror image of a rounded one may round the other way."""


@lru_cache(maxsize=1)
def stagings() -> tuple[tuple[Ruling, Staged], ...]:
    """Every distinct answer with every formation that fits it."""
    return tuple((r, stage(r, form.id)) for r in distinct_rulings() for form in formations_for(r))


def bodies(scene: Scene) -> list[tuple[str, tuple[float, float]]]:
    return [*((p.id, p.at) for p in scene.players), *((role, scene.crew.of(role).at) for role in ROLES)]


def far(a: tuple[float, float], b: tuple[float, float]) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


# ---- what there is ----


def test_there_are_answers_of_every_kind_of_every_edition_and_a_formation_for_each() -> None:
    kinds = Counter((r.situation.edition, kind_of_restart(r)) for r in distinct_rulings())
    assert set(kinds) == {(edition, kind) for edition in edition_ids() for kind in RESTART_KINDS}
    assert len(distinct_rulings()) > 1_000
    assert len(stagings()) > 4_000
    used = {staged.formation.id for _, staged in stagings()}
    assert used == set(FORMATIONS)


def test_the_sets_asked_for_are_there() -> None:
    assert {kind: len(formations_of(kind)) for kind in RESTART_KINDS} == {
        "end_line": 6, "sideline": 6, "back_end_line": 3, "back_sideline": 2, "division_line": 2, "free_throw": 2,
        "free_throw_cleared": 1, "jump_ball": 1, "play": 3,
    }  # fmt: skip
    for one in FORMATIONS.values():
        assert one.id == one.id.lower()
        assert one.title
        assert one.words
        assert len(one.zone) == (5 if one.guard == "zone" else 0), one.id


# ---- who stands where ----


def test_every_scene_has_ten_players_each_with_a_matchup_and_the_book_s_places() -> None:
    for ruling, staged in stagings():
        scene, s = staged.scene, ruling.situation
        assert [player.id for player in scene.players] == TEN, s
        assert all(isfinite(part) for _, at in bodies(scene) for part in at), s
        assert scene.complete
        assert scene.court == court_under(ruling)
        assert sorted(one.attacker for one in scene.matchups) == TEN[:5]
        assert sorted(one.defender for one in scene.matchups) == TEN[5:]
        assert all(one.attacker[1] == one.defender[1] for one in scene.matchups) or staged.formation.assigned
        assert [one.act for one in scene.matchups if one.attacker == "a1"] == ["ball"], s
        places = ruling.places or {}
        assert staged.unplaced == tuple(role for role in ROLES if role not in places)
        for role in ROLES:
            at = scene.crew.of(role).at
            assert at == places[role].at if role in places else at[1] == -4.0, s


def test_nobody_stands_in_another_and_nobody_but_the_thrower_out_of_bounds() -> None:
    for ruling, staged in stagings():
        scene, kind = staged.scene, kind_of_restart(ruling)
        length, width = scene.court.length / FOOT, scene.court.width / FOOT
        for (one, at), (other, there) in combinations(bodies(scene), 2):
            assert far(at, there) >= 2.0, (one, other, staged.formation.id, ruling.situation)
        outside = [p.id for p in scene.players if not (0 < p.at[0] < length and 0 < p.at[1] < width)]
        throws = kind not in ("free_throw", "free_throw_cleared", "jump_ball", "play")
        assert outside == (["a1"] if throws else []), (staged.formation.id, ruling.situation)
        assert all(-10 <= x <= length + 10 and -10 <= y <= width + 10 for _, (x, y) in bodies(scene))


def test_the_thrower_stands_behind_the_spot_or_by_the_lane_line_and_has_the_ball() -> None:
    for ruling, staged in stagings():
        kind, scene = kind_of_restart(ruling), staged.scene
        if ruling.spot is not None and kind != "play":
            assert far(scene.player("a1").at, (feet(ruling.spot[0]), feet(ruling.spot[1]))) == pytest.approx(
                1.5, abs=1e-3
            )
        elif ruling.may_run_end_line:
            x, y = scene.player("a1").at
            assert x == pytest.approx(
                scene.court.length / FOOT + 1.5 if attacked(ruling) == "left" else -1.5, abs=1e-3
            )
            assert abs(y - scene.court.axis / FOOT) == pytest.approx(
                scene.court.lane_half / FOOT + 1, abs=1e-3
            )
        if kind != "jump_ball":
            assert scene.ball == scene.player("a1").at


@settings(max_examples=150, deadline=None)
@given(situations())
def test_any_situation_on_any_floor_can_be_staged(situation: object) -> None:
    from msgspec.structs import replace

    plain = replace(situation, layers=(), settings=())  # type: ignore[type-var]
    ruling = decide(load_book(plain.edition), plain)
    for form in formations_for(ruling):
        scene = stage(ruling, form.id).scene
        assert min(far(a, b) for (_, a), (_, b) in combinations(bodies(scene), 2)) >= 2.0
        length, width = scene.court.length / FOOT, scene.court.width / FOOT
        outside = [p.id for p in scene.players if not (0 < p.at[0] < length and 0 < p.at[1] < width)]
        assert outside in ([], ["a1"])


# ---- mirror images ----


def table_decides(ruling: Ruling, image: Ruling) -> bool:
    """Whether the book itself names the table: then the image of its answer is not its answer to the image."""
    court, posts = court_under(ruling), ruling.places or {}
    if any(post.name in NAMES_THE_TABLE for post in posts.values()):
        return True
    if ruling.spot is not None and image.spot != mirror_point(court, ruling.spot, sides=True):
        return True
    if ruling.lead_side_after is not None and image.lead_side_after == ruling.lead_side_after:
        return True
    return any(
        far(mirror_feet(court, post.at, sides=True), (image.places or {})[role].at) > 1
        for role, post in posts.items()
    )


def same(one: Scene, other: Scene, *, exact: bool, crew: bool = True) -> bool:
    """Whether two scenes are the same, to the last figure where the floor has whole feet."""
    ends = zip(bodies(one), bodies(other), strict=True)
    near = all(
        a == b and (far(here, there) < (1e-9 if exact else RESOLUTION))
        for (a, here), (b, there) in ends
        if crew or a not in ROLES
    )
    return near and one.matchups == other.matchups and far(one.ball, other.ball) < RESOLUTION


@pytest.mark.parametrize(("ends", "sides"), [(True, False), (False, True), (True, True)])
def test_a_mirror_image_of_the_question_gives_the_mirror_image_of_the_scene(ends: bool, sides: bool) -> None:
    named: Counter[str] = Counter()
    looked = 0
    # Each of the three takes other answers: all of them together are one in two, of every kind and edition.
    first = 1 + ends + 2 * sides
    for ruling in distinct_rulings()[first::6]:
        image = turned(ruling, ends=ends, sides=sides)
        across = turned(ruling, ends=False, sides=True)
        if sides and (kind_of_restart(ruling) == "jump_ball" or table_decides(ruling, across)):
            named[ruling.situation.stopped_by] += 1
            continue
        exact = court_under(ruling).kind == "us-hs"
        for form in formations_for(ruling):
            staged = stage(ruling, form.id)
            there = stage(image, form.id).scene
            with_crew = not (sides and staged.unplaced)
            assert same(mirrored(staged.scene, ends=ends, sides=sides), there, exact=exact, crew=with_crew), (
                form.id,
                ruling.situation,
            )
            looked += 1
    assert looked > 600
    starts = {"game_start", "extra_period_start", "period_start"}
    throws = {
        "technical_foul",
        "intentional_foul",
        "flagrant_foul",
        "shooting_foul",
        "common_foul",
        "double_foul",
    }
    assert set(named) <= starts | throws, named
    assert bool(named) is sides


# ---- what the formations say of themselves ----


def answer(line: str) -> Ruling:
    situation = parse(line)
    return decide(load_book(situation.edition), situation)


@pytest.mark.parametrize(
    ("line", "defence", "offence"),
    [
        ("us-hs-2025 / right / shooting foul 75,20 / same / lead table umpire / called by lead", 4, 2),
        ("us-hs-2022 / left / shooting foul 9,20 / same / lead opposite umpire / called by trail", 4, 2),
        ("fiba-2po / right / shooting foul 80,20 / same / lead table umpire / called by lead", 3, 2),
    ],
)
def test_the_lane_holds_as_many_as_the_rules_let_it(line: str, defence: int, offence: int) -> None:
    """Facts 2.10: at most four and two (U.S. high-school rules, 8-1-4), three and two (FIBA, from memory)."""
    ruling = answer(line)
    scene = stage(ruling).scene
    court = scene.court
    end = attacked(ruling)
    depth = {p.id: (p.at[0] if end == "left" else court.length / FOOT - p.at[0]) for p in scene.players}
    across = {p.id: abs(p.at[1] - court.axis / FOOT) - court.lane_half / FOOT for p in scene.players}
    on_lane = [p for p in scene.players if depth[p.id] < court.free_throw / FOOT and 0 < across[p.id] < 3.3]
    assert Counter(p.team for p in on_lane) == {"b": defence, "a": offence}
    for side in (True, False):
        here = sorted(
            (p for p in on_lane if (p.at[1] > court.axis / FOOT) == side), key=lambda p: depth[p.id]
        )
        assert here[0].team == "b"
        assert here[1].team == "a"
    behind = [p for p in scene.players if p not in on_lane and p.id != "a1"]
    basket = (court.basket / FOOT, court.axis / FOOT)
    assert all(far((depth[p.id], p.at[1]), basket) > court.arc / FOOT for p in behind)
    assert depth["a1"] > court.free_throw / FOOT


def test_with_the_lane_cleared_only_the_shooter_is_in_the_front_court() -> None:
    ruling = answer("us-hs-2025 / right / technical foul 65,31 / same / lead table umpire / called by lead")
    scene = stage(ruling).scene
    front = [p.id for p in scene.players if p.at[0] > 42]
    assert front == (["a1"] if attacked(ruling) == "right" else TEN[1:])


@pytest.mark.parametrize("line", ["us-hs-2025 / right / game start", "fiba-2po / left / game start"])
def test_each_jumper_stands_away_from_the_basket_he_attacks_inside_the_circle(line: str) -> None:
    """Facts 2.9: the half circle farther from the own basket, the one his team throws at."""
    ruling = answer(line)
    scene = stage(ruling).scene
    middle = (scene.court.length / 2 / FOOT, scene.court.axis / FOOT)
    a1, b1 = scene.player("a1").at, scene.player("b1").at
    to_basket = 1 if ruling.situation.attacking == "right" else -1
    assert (a1[0] - middle[0]) * to_basket < 0 < (b1[0] - middle[0]) * to_basket
    assert all(far(at, middle) < scene.court.circle / FOOT for at in (a1, b1))
    others = [p for p in scene.players if p.id not in ("a1", "b1")]
    assert all(far(p.at, middle) > scene.court.circle / FOOT for p in others)


def test_assigned_matchups_have_the_least_distance_in_all() -> None:
    """No exchange of two or three defenders brings attackers and defenders nearer to each other."""
    for ruling, staged in stagings()[::5]:
        if not staged.formation.assigned:
            continue
        at = {p.id: p.at for p in staged.scene.players}
        whom = {one.attacker: one.defender for one in staged.scene.matchups}
        for some in (*combinations(whom, 2), *combinations(whom, 3)):
            now = sum(far(at[a], at[whom[a]]) for a in some)
            for shift in range(1, len(some)):
                other = sum(far(at[a], at[whom[some[(n + shift) % len(some)]]]) for n, a in enumerate(some))
                assert now <= other + 1e-3, (staged.formation.id, ruling.situation)
        assert "assigned" in staged.note


def test_a_man_defender_is_goal_side_of_his_man() -> None:
    ruling = answer("us-hs-2025 / right / change of control 60,20 / other / lead table umpire")
    scene = stage(ruling, "play-man-post").scene
    basket = (scene.court.basket / FOOT, scene.court.axis / FOOT)
    for one in scene.matchups:
        assert far(scene.player(one.defender).at, basket) < far(scene.player(one.attacker).at, basket), one


def test_pressers_stand_on_the_ball_side_of_their_men() -> None:
    ruling = answer("us-hs-2025 / right / made goal / other / lead table umpire / pressure")
    staged = stage(ruling)
    assert staged.formation.id == "back-end-line-press-man"
    scene = staged.scene
    for one in scene.matchups[1:]:
        assert far(scene.player(one.defender).at, scene.ball) < far(
            scene.player(one.attacker).at, scene.ball
        ), one


def test_no_pressure_has_nobody_pressing_and_each_note_says_when_the_two_differ() -> None:
    loose = answer("us-hs-2025 / right / made goal / other / lead table umpire")
    pressed = answer("us-hs-2025 / right / made goal / other / lead table umpire / pressure")
    assert stage(loose).formation.id == "back-end-line-open"
    assert "set pressure" in stage(loose, "back-end-line-press-man").note
    assert "set pressure" not in stage(loose).note
    assert "nobody presses" in stage(pressed, "back-end-line-open").note
    assert "press" not in stage(pressed, "back-end-line-press-zone").note


def test_what_the_book_leaves_open_is_said_and_not_guessed() -> None:
    ruling = answer("fiba-2po / right / shooting foul 80,20 / same / lead table umpire / called by lead")
    staged = stage(ruling)
    assert ruling.places is None
    assert staged.unplaced == ("lead", "trail")
    assert "beside the table" in staged.note
    assert [staged.scene.crew.of(role).at[1] for role in ROLES] == [-4.0, -4.0]


def test_a_formation_that_does_not_fit_or_is_none_gets_directions() -> None:
    ruling = answer("us-hs-2025 / right / game start")
    with pytest.raises(TenbetweenError, match="choose jump-ball-circle"):
        stage(ruling, "end-line-box-man")
    with pytest.raises(TenbetweenError, match=r"formation: found 'jump-ball-circel'; expected"):
        stage(ruling, "jump-ball-circel")


# ---- looked at ----


def test_every_usual_scene_can_be_looked_at() -> None:
    """The sight kernel takes each as it is: everybody there, every look a number."""
    kinds: set[tuple[str, str]] = set()
    for ruling, staged in stagings():
        key = (ruling.situation.edition, staged.formation.id, str(ruling.spot), str(staged.unplaced))
        if key in kinds:
            continue
        kinds.add(key)
        sight = see(staged.scene)
        assert len(sight.looks) == 10
        assert all(0 <= look.value <= 1 and look.why for look in sight.looks), staged.formation.id
        assert sight.complete
    assert len(kinds) > 300
