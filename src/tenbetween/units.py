"""Lengths: whole micrometres for rule limits, float feet at every edge.

One inch is 25,400 micrometres, one foot 304,800, one metre 1,000,000; a length is made once from the
decimal text as the book prints it, so that "on the line" is exact. Knows no court.
"""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

from tenbetween.errors import Problem, TenbetweenError

INCH = 25_400
FOOT = 304_800
METRE = 1_000_000

_UNIT = {"ft": FOOT, "in": INCH, "m": METRE, "cm": 10_000, "mm": 1_000}
_PART = re.compile(r"(\d+(?:\.\d+)?)(?:\s+(\d+)/(\d+))?\s*(ft|in|m|cm|mm)(?![a-z])")


def um(text: str) -> int:
    """Return a printed length in whole micrometres.

    >>> um("19 ft 9 in") == 19 * FOOT + 9 * INCH, um("6.75 m"), um("9 ft 10 3/8 in") / FOOT
    (True, 6750000, 9.864583333333334)

    Raises:
        TenbetweenError: the text is not a length, or not a whole number of micrometres.
    """
    rest = text.strip()
    sign = -1 if rest.startswith("-") else 1
    rest = rest.lstrip("-").strip()
    total, end = Decimal(0), 0
    for part in _PART.finditer(rest):
        if rest[end : part.start()].strip():
            break
        total += _part_um(part)
        end = part.end()
    if not end or rest[end:].strip() or total != total.to_integral_value():
        raise TenbetweenError(
            Problem(
                "length", repr(text), 'a length such as "19 ft 9 in" or "6.75 m"', "write number and unit"
            )
        )
    return sign * int(total)


def _part_um(part: re.Match[str]) -> Decimal:
    number = Decimal(part[1])
    if part[2]:
        number += Decimal(part[2]) / Decimal(part[3])
    return number * _UNIT[part[4]]


def um_from_feet(feet: object) -> int:
    """Return feet, given as a number or decimal text, in micrometres, rounded to the nearest one.

    >>> um_from_feet("5.25"), um_from_feet(49.2126)
    (1600200, 15000000)

    Raises:
        TenbetweenError: not a finite number.
    """
    try:
        value = Decimal(str(feet)) if not isinstance(feet, bool) else Decimal("nan")
    except InvalidOperation:
        value = Decimal("nan")
    if not value.is_finite() or abs(value) > 10_000:
        raise TenbetweenError(
            Problem("length", repr(feet), "a finite number of feet", "write a number such as 26 or 26.5")
        )
    return round(value * FOOT)


def feet(micrometres: int) -> float:
    """Return micrometres as float feet, rounded to a ten-thousandth of a foot.

    >>> feet(um("15 m"))
    49.2126
    """
    return round(micrometres / FOOT, 4)


def ft_text(micrometres: int) -> str:
    """Return a length as a person reads it: whole feet bare, else feet and inches, else one decimal.

    >>> ft_text(um("26 ft")), ft_text(um("19 ft 9 in")), ft_text(um("6.75 m"))
    ('26 ft', '19 ft 9 in', '22.1 ft')
    """
    if micrometres % FOOT == 0:
        return f"{micrometres // FOOT} ft"
    if micrometres % INCH == 0:
        return f"{micrometres // FOOT} ft {micrometres % FOOT // INCH} in"
    return f"{micrometres / FOOT:.1f} ft"
