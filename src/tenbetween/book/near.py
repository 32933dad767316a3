"""Says when a place is close to a dividing line, and what the answer would be just across it.

A trainer who sees the ball die on the arc wants both candidates and the margin, not one confident spot.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import structs

from tenbetween.court import just_across, margin_ft
from tenbetween.situation import Basket, Near, OtherSide, PointUm

if TYPE_CHECKING:
    from tenbetween.book.decide import _Case
    from tenbetween.book.spots import Placed

NEAR_FT = 2.0
_DIVIDING = (
    ("inside_arc", "arc"),
    ("inside_over_semicircle", "corner_to_elbow_over_circle"),
    ("inside_corner_to_elbow", "corner_to_elbow"),
)


def near_line(case: _Case) -> Near | None:
    """Return the dividing line within two feet of the place that would change spot or roles, else None.

    The line that chooses between end line and sideline goes before the others; then the closest.
    """
    at, placed = case.s.at, case.placed
    if at is None or placed is None or case.f["after_throws"] == "shadow":
        return None
    end = _end(case, at)
    found = []
    for rank, line in _lines(case, placed):
        distance = margin_ft(case.court, at, end, line)
        if distance <= NEAR_FT:
            found.append((rank, distance, line))
    for _, distance, line in sorted(found):
        other = _across(case, just_across(case.court, at, end, line, case.tie))
        if other is not None and _differs(case, placed, other):
            across = other.placed
            assert across is not None
            run = other.f["run"] == "yes"
            return Near(line, round(distance, 2), OtherSide(None if run else across.at, across.line))
    return None


def _end(case: _Case, at: PointUm) -> Basket:
    return "left" if 2 * at[0] < case.court.length else "right"


def _lines(case: _Case, placed: Placed) -> list[tuple[int, str]]:
    """The lines that can matter for this kind of spot: the dividing line first."""
    if placed.kind in ("end_line_spot", "sideline_mark", "nearest", "nearest_by_corner_to_elbow"):
        return [*_choosing(case, placed), (1, "division_line"), (1, "middle")]
    if placed.kind in ("as_crossed", "same_place"):
        return [(1, "free_throw_line_extended"), (1, "division_line"), (1, "middle")]
    return []


def _choosing(case: _Case, placed: Placed) -> list[tuple[int, str]]:
    """The line that chose between end line and sideline, if one did; a nearest spot has none."""
    if placed.kind == "nearest":
        return []
    if placed.kind == "nearest_by_corner_to_elbow":
        return [(0, "corner_to_elbow")]
    used = {feature for feature, _ in case.tables["spot"].masks}
    return [(0, line) for feature, line in _DIVIDING if feature in used][:1]


def _across(case: _Case, at: PointUm) -> _Case | None:
    """The same situation asked just across the line, without its own look around."""
    other = type(case)(
        case.book, structs.replace(case.s, at=at), case.tables, after_throws=case.f["after_throws"] == "yes"
    )
    other.f["restart"], other.f["throws"] = case.f["restart"], case.f["throws"]
    other.settle_spot()
    if other.placed is None:
        return None
    other.settle_run()
    other.settle_roles()
    other.settle_who()
    return other


def _differs(case: _Case, placed: Placed, other: _Case) -> bool:
    across = other.placed
    if across is None:
        return False
    if placed.kind in ("as_crossed", "same_place"):
        return (case.handles, case.old_lead, case.f["run"], across.line, across.part) != (
            other.handles,
            other.old_lead,
            other.f["run"],
            placed.line,
            placed.part,
        )
    return (across.at, across.line) != (placed.at, placed.line)
