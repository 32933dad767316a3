"""The common errors stand where their names say, at either end and side. Common practice, no source."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from tenbetween.court import KINDS, court_of
from tenbetween.scene import Crew, Official, Scene, common_errors, end_and_side, mirrored, taught
from tenbetween.units import FOOT

HERE = Scene((), (), (60.0, 12.0), Crew(Official((87.0, 40.0)), Official((56.0, 2.0))))


def errors(scene: Scene = HERE) -> dict[str, Crew]:
    return {one.name: one.crew for one in common_errors(scene)}


def test_the_names_and_where_they_are() -> None:
    found = errors()
    assert abs(found["Lead under the basket"].lead.at[1] - 25) < 0.1
    assert found["Lead in the corner"].lead.at[1] > 47
    assert found["Lead across from the ball"].lead.at[1] > 25 > HERE.ball[1]
    assert found["Lead late, still coming"].lead.at[0] < 60
    assert found["Both on one side"].trail.at[1] > 45
    assert found["Trail at the division line"].trail.at[0] == 42
    assert found["Trail below the play"].trail.at[0] > HERE.ball[0]
    behind = found["Trail straight behind the ball"].trail.at
    assert behind[1] == HERE.ball[1]
    assert behind[0] < HERE.ball[0]
    both = found["Both in the middle"]
    assert all(abs(official.at[1] - 25) < 3 for official in (both.lead, both.trail))


def test_an_error_of_one_leaves_the_other_where_the_book_has_him() -> None:
    crew = taught(HERE)
    for name, found in errors().items():
        if name.startswith("Lead") and "across" not in name:
            assert found.trail == crew.trail
        if name.startswith("Trail"):
            assert found.lead == crew.lead


@pytest.mark.parametrize(("ends", "sides"), [(True, False), (False, True), (True, True)])
def test_turned_round_they_turn_with_the_floor(ends: bool, sides: bool) -> None:
    turned = mirrored(HERE, ends=ends, sides=sides)
    for name, crew in errors().items():
        other = errors(turned)[name]
        mirror = mirrored(replace(HERE, crew=crew), ends=ends, sides=sides).crew
        for ours, theirs in ((other.lead, mirror.lead), (other.trail, mirror.trail)):
            assert theirs.at == pytest.approx(ours.at), name


@pytest.mark.parametrize("kind", KINDS)
def test_on_every_floor_nobody_is_sent_out_of_the_hall(kind: str) -> None:
    court = court_of(kind)
    scene = replace(HERE, court=court)
    for crew in errors(scene).values():
        for official in (crew.lead, crew.trail):
            assert -7 <= official.at[0] <= court.length / FOOT + 7
            assert -7 <= official.at[1] <= court.width / FOOT + 7


def test_the_side_is_where_the_lead_is() -> None:
    assert end_and_side(HERE) == ("right", "opposite")
    in_the_middle = replace(HERE, crew=Crew(Official((87.0, 25.0)), Official((56.0, 2.0))))
    assert end_and_side(in_the_middle) == ("right", "opposite")
