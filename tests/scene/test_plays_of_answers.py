"""An answer told as a play: three to five steps, persons that move, provisions of the book, times that can be played."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations, pairwise
from math import hypot, isfinite

import pytest

from scene.rulings_of_space import distinct_rulings
from tenbetween.book import decide, load_book
from tenbetween.notation import parse
from tenbetween.scene import ROLES, Play, Scene, kind_of_restart, person_in, play_of, scene_at, stage
from tenbetween.scene.posted import lead_before
from tenbetween.situation import Ruling
from tenbetween.units import FOOT


@lru_cache(maxsize=1)
def plays() -> tuple[tuple[Ruling, Play], ...]:
    return tuple((ruling, play_of(ruling)) for ruling in distinct_rulings())


def answer(line: str) -> Ruling:
    situation = parse(line)
    return decide(load_book(situation.edition), situation)


def bodies(scene: Scene) -> list[tuple[float, float]]:
    return [*(p.at for p in scene.players), *(scene.crew.of(role).at for role in ROLES)]


def test_every_answer_is_a_play_of_three_to_five_steps_with_sentences() -> None:
    for ruling, play in plays():
        assert 3 <= len(play.steps) <= 5, ruling.situation
        assert play.steps[0].seconds == 0
        assert all(0.3 <= step.seconds < 12 for step in play.steps[1:]), ruling.situation
        assert all(step.says.endswith(".") and step.says.isprintable() for step in play.steps), (
            ruling.situation
        )
        assert play.title
        assert play.formation == stage(ruling).formation.id


def test_the_step_at_disposal_is_the_staged_scene() -> None:
    for ruling, play in plays()[::3]:
        if ruling.restart == "play_goes_on":  # nothing is at disposal; the ten are on their way
            assert stage(ruling).scene.crew in [step.scene.crew for step in play.steps], ruling.situation
        else:
            assert stage(ruling).scene in [step.scene for step in play.steps], ruling.situation


def test_everybody_stands_apart_on_the_floor_in_every_step() -> None:
    for ruling, play in plays():
        for step in play.steps:
            scene = step.scene
            length, width = scene.court.length / FOOT, scene.court.width / FOOT
            near = min(hypot(a[0] - b[0], a[1] - b[1]) for a, b in combinations(bodies(scene), 2))
            assert near >= 2.0 - 1e-3, (step.says, ruling.situation)
            outside = [p.id for p in scene.players if not (0 < p.at[0] < length and 0 < p.at[1] < width)]
            assert outside in ([], ["a1"]), (step.says, ruling.situation)
            bends = [at for _, way in step.via for at in way]
            assert all(-10 <= x <= length + 10 and -10 <= y <= width + 10 for x, y in (*bends, scene.ball))


def test_what_a_step_shows_is_in_the_book() -> None:
    for ruling, play in plays():
        known = load_book(ruling.situation.edition).provisions
        named = {*(one.provision for one in ruling.reasons), *(step.provision for step in ruling.steps)}
        after = ruling.after_free_throws
        if after is not None:
            named |= {*(one.provision for one in after.reasons), *(step.provision for step in after.steps)}
        assert set(play.provisions) <= named
        assert set(play.provisions) <= set(known), ruling.situation
        if ruling.restart is not None and ruling.covered:
            assert play.provisions


def test_the_persons_carry_the_roles_the_answer_gives_them() -> None:
    for ruling, play in plays():
        after = ruling.roles_after
        if after is None:
            continue
        was, now = lead_before(ruling), stage(ruling).lead
        assert (now == was) == (after.old_lead == "lead")
        step = next(one for one in play.steps if one.scene.crew == stage(ruling).scene.crew)
        assert person_in(step, after.old_lead) == was
        assert ruling.situation.stopped_by == "period_start" or play.steps[0].lead in (was, now)


def test_a_play_can_be_stopped_at_any_moment_and_nobody_jumps() -> None:
    for _, play in plays()[::40]:
        moments = [play.duration * n / 60 for n in range(61)]
        for one, two in pairwise(scene_at(play, t) for t in moments):
            assert all(isfinite(x) and isfinite(y) for x, y in bodies(two))
            most = 45 * play.duration / 60 + 0.5
            moved = [
                hypot(a.at[0] - b.at[0], a.at[1] - b.at[1])
                for a, b in zip(one.players, two.players, strict=True)
            ]
            assert max(moved) < most


def test_the_pace_handed_in_decides_how_long_an_official_takes() -> None:
    ruling = answer("us-hs-2025 / right / made goal / other / lead table umpire")
    usual, slow = play_of(ruling), play_of(ruling, seconds_for=lambda feet: feet / 7)
    assert slow.steps[1].seconds > usual.steps[1].seconds
    assert [step.scene for step in slow.steps] == [step.scene for step in usual.steps]


def test_an_official_who_goes_far_keeps_to_the_lines() -> None:
    play = play_of(
        answer("us-hs-2025 / right / shooting foul 75,20 / same / lead table umpire / called by lead")
    )
    assert dict(play.steps[1].via) == {"referee": ((86.0, 48.5),), "umpire": ((88.5, 40.5),)}


def test_after_a_technical_foul_the_throws_come_first_and_then_the_division_line() -> None:
    ruling = answer("us-hs-2025 / right / technical foul 65,31 / same / lead table umpire / called by lead")
    play = play_of(ruling)
    assert len(play.steps) == 5
    basket = (84 - 5.25, 25.0)
    assert play.steps[2].scene.ball == basket
    thrower = play.steps[3].scene.player("a1").at
    assert thrower == (42.0, 51.5)
    assert play.steps[4].scene.ball != thrower
    assert "where.technical" not in play.steps[1].provisions
    assert "who.technical" in play.steps[3].provisions


def test_at_a_jump_ball_the_toss_the_tap_and_then_the_roles() -> None:
    ready, toss, tapped, settled = play_of(answer("us-hs-2025 / right / game start")).steps
    assert toss.scene == ready.scene
    assert ready.scene.crew.trail.facing == 270.0  # the jumpers before him, the table behind them
    assert ready.scene.ball == (42.0, 25.0)
    assert ready.scene.crew.trail.at == (42.0, 27.5)
    holder = next(p.id for p in tapped.scene.players if p.at == tapped.scene.ball)
    assert holder in ("a2", "a3", "a4", "a5")
    assert settled.lead == "umpire"
    assert settled.scene.crew.lead.at == (88.5, 10.0)


def test_a_missed_throw_is_touched_by_a_defender_near_the_basket() -> None:
    play = play_of(
        answer("us-hs-2025 / right / shooting foul 75,20 / same / lead table umpire / called by lead")
    )
    rebound = play.steps[-1].scene
    assert next(p.id for p in rebound.players if p.at == rebound.ball) in ("b1", "b2")
    assert rebound.crew == play.steps[-2].scene.crew


def test_the_ball_goes_from_the_thrower_to_his_own_team() -> None:
    for ruling, play in plays():
        if not kind_of_restart(ruling).endswith("line"):
            continue
        there = next(n for n, step in enumerate(play.steps) if step.scene == stage(ruling).scene)
        touched = play.steps[there + 1].scene
        assert next(p for p in touched.players if p.at == touched.ball).team == "a", ruling.situation


@pytest.mark.parametrize(
    "line", ["fiba-2po / right / shooting foul 80,20 / same / lead table umpire / called by lead"]
)
def test_officials_without_a_place_are_moved_nowhere(line: str) -> None:
    play = play_of(answer(line))
    assert {step.scene.crew for step in play.steps[1:]} == {stage(answer(line)).scene.crew}
    assert "beside the table" in play.note
