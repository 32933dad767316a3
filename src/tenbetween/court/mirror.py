"""Turning the court: exchange of the two ends, of the two sides, or of both; done here and nowhere else.

Exact in micrometres; doing it twice gives the same again.
"""

from __future__ import annotations

from tenbetween.court.markings import Court
from tenbetween.situation import Basket, PointFt, PointUm, TableSide, other_basket, other_side
from tenbetween.units import FOOT


def mirror_ends(court: Court, at: PointUm) -> PointUm:
    """Return the point with left and right exchanged.

    >>> from tenbetween.court.markings import court_of
    >>> mirror_ends(court_of("us-hs"), (0, 5)) == (84 * FOOT, 5)
    True
    """
    return (court.length - at[0], at[1])


def mirror_sides(court: Court, at: PointUm) -> PointUm:
    """Return the point with the table side and the opposite side exchanged.

    >>> from tenbetween.court.markings import court_of
    >>> mirror_sides(court_of("us-hs"), (7, 0)) == (7, 50 * FOOT)
    True
    """
    return (at[0], court.width - at[1])


def mirror_point(court: Court, at: PointUm, *, ends: bool = False, sides: bool = False) -> PointUm:
    """Return the point with ends, sides, both or neither exchanged.

    >>> from tenbetween.court.markings import court_of
    >>> mirror_point(court_of("fiba"), (0, 0), ends=True, sides=True)
    (28000000, 15000000)
    """
    x = court.length - at[0] if ends else at[0]
    y = court.width - at[1] if sides else at[1]
    return (x, y)


def mirror_feet(court: Court, at: PointFt, *, ends: bool = False, sides: bool = False) -> PointFt:
    """Return a drawn point, in feet, with ends, sides, both or neither exchanged.

    >>> from tenbetween.court.markings import court_of
    >>> mirror_feet(court_of("us-hs"), (-4.5, 10.0), ends=True)
    (88.5, 10.0)
    """
    x = court.length / FOOT - at[0] if ends else at[0]
    y = court.width / FOOT - at[1] if sides else at[1]
    return (x, y)


def mirror_basket(basket: Basket, *, ends: bool = False) -> Basket:
    """Return the basket after the ends are exchanged, or the same one.

    >>> mirror_basket("left", ends=True)
    'right'
    """
    return other_basket(basket) if ends else basket


def mirror_side(side: TableSide, *, sides: bool = False) -> TableSide:
    """Return the sideline after the sides are exchanged, or the same one.

    >>> mirror_side("table", sides=True)
    'opposite'
    """
    return other_side(side) if sides else side
