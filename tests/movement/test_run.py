"""Running in closed form, against stepping through time, limits, inverses and printed tables."""

from __future__ import annotations

from collections.abc import Callable
from math import exp, inf, isfinite, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tenbetween.court import court_of
from tenbetween.errors import TenbetweenError
from tenbetween.movement import (
    BRISK,
    JOGGER,
    PACE,
    PROFILES,
    SPRINTER,
    BallPace,
    BallStep,
    Legs,
    ball_parts,
    feet_at,
    lambert_w0,
    legs_of,
    race,
    seconds_for,
    speed_at,
    time_to,
)
from tenbetween.situation import Floor
from tenbetween.units import um

ALL = tuple(PROFILES.values())
FULL_FLOOR = court_of("us-hs", Floor(um("94 ft"), um("50 ft")))
feet = st.floats(0, 120)
speeds = st.floats(0, 25)


def stepped(
    legs: Legs, v0: float, until: Callable[[float, float, float], bool], dt: float = 1e-3
) -> tuple[float, float, float]:
    """Step dv/dt = (V - v) / tau, dx/dt = v through time (fourth order) until told to end: t, x, v."""

    def slope(v: float) -> float:
        return (legs.speed - v) / legs.tau

    t, x, v = 0.0, 0.0, v0
    while not until(t, x, v):
        k1, l1 = slope(v), v
        k2, l2 = slope(v + dt / 2 * k1), v + dt / 2 * k1
        k3, l3 = slope(v + dt / 2 * k2), v + dt / 2 * k2
        k4, l4 = slope(v + dt * k3), v + dt * k3
        t, x, v = t + dt, x + dt / 6 * (l1 + 2 * l2 + 2 * l3 + l4), v + dt / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
    return t, x, v


# -- Lambert's function ----------


@given(st.floats(-0.999, 600))
def test_w0_undoes_what_makes_it(w: float) -> None:
    z = w * exp(w)
    # an error of one unit in z moves w by z' = e^w (w + 1): next to -1 nothing can do better
    slack = 1e-12 * max(1.0, abs(w)) + 1e-15 / (1 + w)
    assert lambert_w0(z) == pytest.approx(w, abs=slack, rel=0)


@given(st.floats(-exp(-1), 1e300))
def test_w0_solves_its_equation(z: float) -> None:
    w = lambert_w0(z)
    assert w >= -1
    assert w * exp(w) == pytest.approx(z, rel=1e-12, abs=1e-15)


def test_w0_where_it_is_known() -> None:
    assert lambert_w0(-exp(-1)) == pytest.approx(-1, abs=1e-7)
    assert lambert_w0(1.0) == pytest.approx(0.567143290409783872999968662210, abs=1e-15)  # the omega constant
    for outside in (-0.4, nan, inf):
        with pytest.raises(ValueError, match="W0"):
            lambert_w0(outside)


# -- running on ----------


@pytest.mark.parametrize("legs", ALL, ids=lambda legs: legs.name)
@pytest.mark.parametrize("start", [0.0, 6.0, 30.0])
def test_stepping_through_time_gives_the_same(legs: Legs, start: float) -> None:
    t, x, v = stepped(legs, start, lambda t, x, v: t >= 3.0)
    assert feet_at(t, legs, start) == pytest.approx(x, abs=1e-9)
    assert speed_at(t, legs, start) == pytest.approx(v, abs=1e-9)
    assert seconds_for(x, legs, start) == pytest.approx(t, abs=1e-9)


@given(feet, speeds, st.sampled_from(ALL))
def test_time_and_way_undo_each_other(d: float, v0: float, legs: Legs) -> None:
    t = seconds_for(d, legs, v0)
    assert t >= 0
    assert feet_at(t, legs, v0) == pytest.approx(d, rel=1e-12, abs=1e-12)


@given(st.floats(1e-12, 1e-3), st.sampled_from(ALL))
def test_the_very_first_inches_are_even_acceleration(d: float, legs: Legs) -> None:
    """d = V t² / (2 tau) when t is small: where the closed form alone loses its digits."""
    first = sqrt(2 * d * legs.tau / legs.speed)
    assert seconds_for(d, legs) == pytest.approx(first, rel=first / legs.tau)


@given(feet, speeds)
def test_without_a_time_constant_it_is_way_over_speed(d: float, v0: float) -> None:
    sudden = Legs("sudden", 21.0, 1e-9, 0.0)
    assert seconds_for(d, sudden, v0) == pytest.approx(d / 21.0, abs=3e-9)


@pytest.mark.parametrize("legs", ALL, ids=lambda legs: legs.name)
def test_a_sprint_is_mono_exponential(legs: Legs) -> None:
    """63.2 % of top speed after one time constant, 95.0 % after three (Clark & Ryan 2022 use this form)."""
    assert speed_at(legs.tau, legs) / legs.speed == pytest.approx(0.632, abs=5e-4)
    assert speed_at(3 * legs.tau, legs) / legs.speed == pytest.approx(0.950, abs=5e-4)
    assert (speed_at(1e-6, legs) - speed_at(0, legs)) / 1e-6 == pytest.approx(legs.speed / legs.tau, rel=1e-5)


# -- arriving set ----------


@given(feet, speeds, st.sampled_from(ALL))
def test_running_then_braking_ends_on_the_spot(d: float, v0: float, legs: Legs) -> None:
    found = time_to(d, legs, v0)
    if v0**2 / (2 * legs.braking) <= d:
        ran = feet_at(found.run, legs, v0) + found.speed_there**2 / (2 * legs.braking)
        assert ran == pytest.approx(d, abs=1e-9)
        assert found.brake == pytest.approx(found.speed_there / legs.braking, abs=1e-12)
    else:
        assert found.feet > d
    assert found.total >= time_to(d, legs, v0, stop=False).total - 1e-9


@pytest.mark.parametrize("legs", ALL, ids=lambda legs: legs.name)
@pytest.mark.parametrize("d", [3.0, 20.0, 62.0])
def test_stopping_against_stepping_through_time(legs: Legs, d: float) -> None:
    """Run until what is left is the braking way, then brake: no root is looked for."""
    dt = 1e-4
    t, _, v = stepped(legs, 0.0, lambda t, x, v: x + v * v / (2 * legs.braking) >= d, dt)
    found = time_to(d, legs)
    assert found.moving == pytest.approx(t + v / legs.braking, abs=4 * dt)


def test_the_wrong_way_costs_braking_a_push_and_the_way_back() -> None:
    u = 10.0
    still, wrong = time_to(40.0, BRISK, stop=False), time_to(40.0, BRISK, -u, stop=False)
    assert wrong.wrong_way == pytest.approx(u / BRISK.braking + 0.25)
    assert wrong.feet - still.feet == pytest.approx(u**2 / (2 * BRISK.braking))
    assert wrong.run == pytest.approx(seconds_for(40.0 + u**2 / 22.0, BRISK))
    # braking by steps goes as far
    x, v = 0.0, u
    while v > 0:
        x, v = x + v * 1e-5 - BRISK.braking * 5e-11, v - BRISK.braking * 1e-5
    assert x == pytest.approx(u**2 / (2 * BRISK.braking), abs=1e-4)


def test_too_fast_to_stop_he_passes_and_comes_back() -> None:
    found = time_to(2.0, BRISK, 20.0)
    past = 20.0**2 / 22.0 - 2.0
    back = time_to(past, BRISK, 0.0, 180.0)
    assert found.feet == pytest.approx(2.0 + 2 * past)
    assert found.total == pytest.approx(BRISK.reaction_s + 20.0 / 11.0 + back.total - back.reaction)


@given(feet, st.floats(-25, 25), st.floats(-360, 360), st.booleans(), st.sampled_from(ALL))
def test_parts_add_up_and_none_is_negative(d: float, v0: float, turn: float, stop: bool, legs: Legs) -> None:
    found = time_to(d, legs, v0, turn, stop=stop)
    parts = (found.reaction, found.wrong_way, found.turn, found.run, found.brake, found.settle)
    assert all(isfinite(part) and part >= 0 for part in parts)
    assert found.total == pytest.approx(sum(parts))
    assert found.feet >= d


@given(st.tuples(feet, feet), st.sampled_from(ALL), st.booleans())
def test_farther_takes_longer(both: tuple[float, float], legs: Legs, stop: bool) -> None:
    near, far = sorted(both)
    assert time_to(near, legs, stop=stop).total <= time_to(far, legs, stop=stop).total + 1e-12


def test_numbers_that_cannot_be_are_refused_together() -> None:
    for wrong in (nan, inf, -1.0, 1e9):
        with pytest.raises(TenbetweenError):
            time_to(wrong, BRISK)
    with pytest.raises(TenbetweenError) as fault:
        time_to(nan, BRISK, nan)
    assert [one.where for one in fault.value.problems] == ["distance", "start speed"]
    with pytest.raises(TenbetweenError) as fault:
        Legs("nobody", -1.0, 0.0, nan)
    assert [one.where for one in fault.value.problems] == ["speed", "tau", "reaction_s"]
    with pytest.raises(TenbetweenError):
        BallPace(pass_speed=0)
    with pytest.raises(TenbetweenError, match="did you mean 'jogger'"):
        legs_of("joger")


# -- the printed tables ----------

TO_THE_END_LINE = {
    "brisk adult": (5.6, 5.2, 4.8, 4.5, 4.2, 3.9),
    "jogger": (7.4, 6.8, 6.3, 5.8, 5.4, 5.0),
}
"""Seconds to the far end-line spot at x = 97.5, by the trail's x; to be matched to the printed digit."""


@pytest.mark.parametrize("name", TO_THE_END_LINE)
def test_seconds_to_the_far_end_line_spot(name: str) -> None:
    for x, printed in zip((12, 20, 28, 34, 40, 46), TO_THE_END_LINE[name], strict=True):
        assert time_to(97.5 - x, legs_of(name), stop=False).total == pytest.approx(printed, abs=0.0501)


RIM = (88.75, 25.0)
REBOUND = (BallStep("rebound"), BallStep("dribble", RIM))
OUTLET = (BallStep("rebound"), BallStep("pass", (65.25, 25.0)), BallStep("dribble", RIM))
STEAL = (BallStep("steal"), BallStep("dribble", RIM))
COMES = {"rebound": ((5.25, 25.0), REBOUND), "outlet": ((5.25, 25.0), OUTLET), "steal": ((30.0, 25.0), STEAL)}
DEEPEST = {
    "brisk adult": (0, 16, 29),
    "jogger": (21.5, 38, 46.5),
    "sprinter": (0, 3, 18),
}
"""Deepest x from which the trail is still 8 ft short of the spot with the ball."""


@pytest.mark.parametrize(("how", "printed"), [("rebound", 6.2), ("outlet", 5.0), ("steal", 4.4)])
def test_seconds_of_the_ball_to_the_far_rim(how: str, printed: float) -> None:
    at, route = COMES[how]
    assert sum(part.seconds for part in ball_parts(at, route)) == pytest.approx(printed, abs=0.05)


@pytest.mark.parametrize("name", DEEPEST)
@pytest.mark.parametrize("number", [0, 1, 2])
def test_deepest_place_from_which_he_is_there_with_the_ball(name: str, number: int) -> None:
    at, route = list(COMES.values())[number]
    found = race((40.0, 25.0), (97.5, 25.0), at, route, legs_of(name), court=FULL_FLOOR)
    assert found.deepest is not None
    assert found.deepest[0] == pytest.approx(DEEPEST[name][number], abs=0.501)


@given(st.floats(-4, 90), st.floats(-4, 54), st.sampled_from(ALL), st.sampled_from(sorted(COMES)))
def test_he_wins_from_there_and_a_foot_nearer_and_not_a_foot_deeper(
    x: float, y: float, legs: Legs, how: str
) -> None:
    at, route = COMES[how]
    spot = (97.5, 34.0)
    found = race((x, y), spot, at, route, legs)
    assert found.wins == (found.margin_s >= 0)
    assert found.margin_s == pytest.approx(found.ball_s - found.official.total)
    assert found.deepest is not None
    unit = tuple((a - b) / found.deepest_ft for a, b in zip(found.deepest, spot, strict=True))
    for more, wins in ((-1.0, True), (1.0, False)):
        there = tuple(s + u * (found.deepest_ft + more) for s, u in zip(spot, unit, strict=True))
        assert race((there[0], there[1]), spot, at, route, legs).wins is wins


def test_slower_legs_and_a_turn_leave_less_room() -> None:
    at, route = COMES["steal"]
    fast, slow = (race((40.0, 25.0), (97.5, 25.0), at, route, legs).deepest_ft for legs in (SPRINTER, JOGGER))
    turned = race((40.0, 25.0), (97.5, 25.0), at, route, SPRINTER, turn_deg=180)
    assert slow < turned.deepest_ft < fast
    assert turned.official.turn == SPRINTER.turn_s


def test_on_the_spot_already_there_is_no_line_to_go_back_on() -> None:
    found = race((97.5, 25.0), (97.5, 25.0), (30.0, 25.0), STEAL, BRISK)
    assert found.deepest is None
    assert found.wins


def test_near_enough_already_he_is_there_however_soon_the_ball_comes() -> None:
    at_once = (BallStep("steal"),)
    near, far = (race((x, 25.0), (97.5, 25.0), (88.0, 25.0), at_once, BRISK) for x in (92.0, 89.0))
    assert (near.wins, near.official.total, near.margin_s) == (True, 0.0, near.ball_s)
    assert not far.wins
    assert near.deepest_ft == far.deepest_ft == 8.0


def test_a_route_that_cannot_be_is_refused_with_every_step() -> None:
    with pytest.raises(TenbetweenError) as fault:
        ball_parts((5.0, 25.0), (BallStep("pass"), BallStep("steal", (1.0, 1.0)), BallStep("kick")))  # type: ignore[arg-type]
    assert [one.where for one in fault.value.problems] == ["route[0]", "route[1]", "route[2]"]
    with pytest.raises(TenbetweenError):
        race((nan, 0.0), (97.5, 25.0), (30.0, 25.0), STEAL, BRISK)


def test_a_slower_ball_comes_later() -> None:
    slow = BallPace(pass_speed=35.0, dribble_speed=18.0)
    for at, route in COMES.values():
        assert sum(p.seconds for p in ball_parts(at, route, slow)) > sum(
            p.seconds for p in ball_parts(at, route, PACE)
        )
