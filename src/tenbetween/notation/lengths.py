"""Lengths and points as text that gives back the exact micrometres, and no longer than it has to be.

Knows decimal feet only; feet and inches for reading aloud are in ``units``.
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal

from tenbetween.situation import Floor, PointUm
from tenbetween.units import FOOT, um_from_feet


def exact_feet(micrometres: int) -> str:
    """Return the shortest decimal text in feet that is read back as the same micrometres.

    >>> exact_feet(17_678_400), exact_feet(15_000_000), exact_feet(1)
    ('58', '49.2126', '0.000003')
    """
    value = Decimal(micrometres) / FOOT
    for digits in range(6):
        text = _plain(value, digits)
        if um_from_feet(text) == micrometres:
            return text
    return _plain(value, 6)


def _plain(value: Decimal, digits: int) -> str:
    text = f"{value.quantize(Decimal(1).scaleb(-digits), ROUND_HALF_EVEN):f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def point_text(at: PointUm) -> str:
    """Return a point as ``x,y``.

    >>> point_text((17_678_400, 0))
    '58,0'
    """
    return f"{exact_feet(at[0])},{exact_feet(at[1])}"


def floor_text(floor: Floor) -> str:
    """Return a floor as ``lengthxwidth``.

    >>> from tenbetween.units import um
    >>> floor_text(Floor(um("94 ft"), um("50 ft")))
    '94x50'
    """
    return f"{exact_feet(floor.length)}x{exact_feet(floor.width)}"
