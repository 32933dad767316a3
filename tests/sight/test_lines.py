"""Who is near the line he has: plain distances, checked by hand on a floor of 84 by 50 ft.

Who has which line is common practice for a crew of two (boards of local associations, 2004-2023); that nine feet is
near is invented and a setting.
"""

from __future__ import annotations

import pytest

from tenbetween.scene import Crew, Official, Scene, mirrored
from tenbetween.sight.lines import NEAR_ENOUGH, lines_held, owners_as_taught

AS_TAUGHT = Scene((), (), (60.0, 20.0), Crew(Official((87.0, 40.0)), Official((56.0, 2.0))))


def test_the_lead_has_his_end_line_and_his_sideline_the_trail_the_rest() -> None:
    assert owners_as_taught(AS_TAUGHT) == {
        "right end line": "lead",
        "opposite sideline": "lead",
        "table sideline": "trail",
        "division line": "trail",
    }


def test_a_distance_is_straight_across_to_the_line() -> None:
    assert {one.line: (one.off, one.near) for one in lines_held(AS_TAUGHT)} == {
        "right end line": (3.0, True),
        "opposite sideline": (10.0, False),
        "table sideline": (2.0, True),
        "division line": (14.0, False),
    }


def test_exactly_near_enough_is_near() -> None:
    scene = Scene((), (), (60.0, 20.0), Crew(Official((84.0 + NEAR_ENOUGH, 40.0)), Official((56.0, 2.0))))
    assert lines_held(scene)[0].near
    assert not lines_held(scene, near=NEAR_ENOUGH - 0.01)[0].near


def test_owners_handed_in_are_the_ones_asked() -> None:
    held = lines_held(AS_TAUGHT, {"left end line": "trail"})
    assert [(one.line, one.role, one.off) for one in held] == [("left end line", "trail", 56.0)]


@pytest.mark.parametrize(("ends", "sides"), [(True, False), (False, True), (True, True)])
def test_turned_round_the_distances_are_the_same(ends: bool, sides: bool) -> None:
    turned = lines_held(mirrored(AS_TAUGHT, ends=ends, sides=sides))
    assert [(one.role, one.off, one.near) for one in turned] == [
        (one.role, one.off, one.near) for one in lines_held(AS_TAUGHT)
    ]
