"""Says when a place is close to a dividing line, and what the answer would be just across it.

A trainer who sees the ball die on the arc wants both candidates and the margin, not one confident spot.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import structs

from tenbetween.book.alike import Alike, alike
from tenbetween.court import Court, just_across, margin_ft
from tenbetween.situation import Basket, Near, OtherSide, PointUm
from tenbetween.units import FOOT

if TYPE_CHECKING:
    from tenbetween.book.decide import Case
    from tenbetween.book.spots import Placed

NEAR_FT = 2.0
_NEAR_UM = round(NEAR_FT * FOOT)
_DIVIDING = (
    ("inside_arc", "arc"),
    ("inside_over_semicircle", "corner_to_elbow_over_circle"),
    ("inside_corner_to_elbow", "corner_to_elbow"),
)


def near_lines(case: Case, a: Alike) -> tuple[Near | None, Near | None]:
    """Return two close calls within two feet, each only where the answer across the line is another one.

    First the dividing line, which chooses between end line and sideline; second the closest of the other lines
    that can matter: long axis, division line, free-throw line extended.
    """
    at, placed = case.s.at, case.placed
    if at is None or placed is None:
        return None, None
    end = _end(case, at)
    found: list[tuple[int, float, str]] = []
    for rank, line in _lines(case, placed):
        if _may_be_near(case.court, at, end, line):
            distance = margin_ft(case.court, at, end, line)
            if distance <= NEAR_FT:
                found.append((rank, distance, line))
    found.sort()
    dividing = _first(case, placed, a, end, [one for one in found if one[0] == 0])
    return dividing, _first(case, placed, a, end, [one for one in found if one[0] == 1])


def _first(
    case: Case, placed: Placed, a: Alike, end: Basket, found: list[tuple[int, float, str]]
) -> Near | None:
    """The closest line across which the answer is another one."""
    for _, distance, line in found:
        other = _across(case, just_across(case.court, case.s.at or placed.at, end, line, case.tie))
        across = other.placed
        if across is None:
            continue
        there = alike(other.tables, other.f)
        if _differs(placed, across, a, there):
            spot = None if there.run else across.at
            return Near(line, round(distance, 2), OtherSide(spot, across.line))
    return None


def _may_be_near(court: Court, at: PointUm, end: Basket, line: str) -> bool:
    """Whether a line can be near at all: a box in whole numbers first, since most places are far from it."""
    x, y = at
    if line == "middle":
        return abs(y - court.axis) <= _NEAR_UM
    if line == "division_line":
        return any(abs(x - at_x) <= _NEAR_UM for at_x in court.division_lines)
    u = x if end == "left" else court.length - x
    if line == "free_throw_line_extended":
        return abs(u - court.free_throw) <= _NEAR_UM
    off = abs(y - court.axis)
    if line == "arc":
        square = (u - court.basket) ** 2 + off**2
        ring = (court.arc - _NEAR_UM) ** 2 <= square <= (court.arc + _NEAR_UM) ** 2
        return ring or (abs(off - court.corner) <= _NEAR_UM and u <= court.straight_end + _NEAR_UM)
    slant = u * court.elbow - (court.axis - off) * court.free_throw
    return (
        abs(slant) <= 2 * _NEAR_UM * court.free_throw or abs(u - court.free_throw) <= court.circle + _NEAR_UM
    )


def _end(case: Case, at: PointUm) -> Basket:
    """The end a place lies in; exactly half way, the one attacked, so that turning the court turns it too."""
    ahead = case.court.length - 2 * at[0]
    return case.attacks if ahead == 0 else "left" if ahead > 0 else "right"


def _lines(case: Case, placed: Placed) -> list[tuple[int, str]]:
    """The lines that can matter for this kind of spot: the dividing line first."""
    if placed.kind in ("end_line_spot", "sideline_mark", "nearest", "nearest_by_corner_to_elbow"):
        return [*_choosing(case, placed), (1, "division_line"), (1, "middle")]
    if placed.kind in ("as_crossed", "same_place"):
        return [(1, "free_throw_line_extended"), (1, "division_line"), (1, "middle")]
    return []


def _choosing(case: Case, placed: Placed) -> list[tuple[int, str]]:
    """The line that chose between end line and sideline, if one did; a nearest spot has none."""
    if placed.kind == "nearest":
        return []
    if placed.kind == "nearest_by_corner_to_elbow":
        return [(0, "corner_to_elbow")]
    used = {feature for feature, _ in case.tables["spot"].masks}
    return [(0, line) for feature, line in _DIVIDING if feature in used][:1]


def _across(case: Case, at: PointUm) -> Case:
    """The same situation just across the line, walked to its spot."""
    other = type(case)(
        case.book, structs.replace(case.s, at=at), case.tables, after_throws=case.f["after_throws"] == "yes"
    )
    other.f["restart"], other.f["throws"] = case.f["restart"], case.f["throws"]
    other.settle_spot()
    return other


def _differs(placed: Placed, across: Placed, here: Alike, there: Alike) -> bool:
    """Whether the answer across the line is another one: who, for a spot that stays; else which spot."""
    if placed.kind in ("as_crossed", "same_place"):
        mine = (here.handles, here.old_lead, here.run, placed.line, placed.part)
        return mine != (there.handles, there.old_lead, there.run, across.line, across.part)
    return (across.at, across.line) != (placed.at, placed.line)
