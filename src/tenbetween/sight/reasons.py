"""Why a look is what it is: its weakest part, as a sentence a trainer could say to the crew.

Speaks of this place and these bodies only; never of how often anybody is right.
"""

from __future__ import annotations

from msgspec import Struct

OPEN = 0.75
"""A part at or above this takes so little that it is not the story."""


class Parts(Struct, frozen=True):
    """The five parts of a look (0 to 1), with what is needed to say them: feet and degrees."""

    openness: float
    clear: float
    closeness: float
    width: float
    in_field: float
    distance: float
    apart_deg: float
    off_deg: float
    """How far the middle between the two lies from straight ahead."""
    coincident: bool = False
    within: str = ""
    """The player within whose body the place lies, if any."""
    hides_most: str = ""


def cause(parts: Parts) -> str:
    """Return the weakest part in two or three words; ``open`` when none takes much.

    >>> cause(Parts(0.2, 1, 1, 1, 1, distance=12, apart_deg=2, off_deg=0))
    'straight-lined'
    """
    if parts.within or parts.coincident:
        return "no room"
    named = (
        (parts.width, "between them"),
        (parts.in_field, "behind the back" if parts.off_deg > 90 else "out of the field of view"),
        (parts.openness, "straight-lined"),
        (parts.clear, "screened"),
        (parts.closeness, "too close" if parts.distance < 10 else "too far"),
    )
    least, name = min(named, key=lambda one: one[0])
    return "open" if least >= OPEN else name


BETWEEN = 120.0
"""Degrees apart from which an official stands between two and not beside them."""


def _apart(pair: str, parts: Parts) -> str:
    if parts.apart_deg >= BETWEEN:
        return f"The official stands between {pair}, {parts.apart_deg:.0f}° apart: not both at one look."
    return f"{pair} are too far apart for one look: {parts.apart_deg:.0f}°."


def sentence(attacker: str, defender: str, parts: Parts) -> str:
    """Return why this look is open or not.

    >>> sentence("a1", "b1", Parts(1, 0.2, 1, 1, 1, distance=12, apart_deg=9, off_deg=0, hides_most="b4"))
    'b4 screens a1 and b1: 80 % of the space between them is hidden.'
    """
    pair = f"{attacker} and {defender}"
    if parts.within:
        return f"The official stands where {parts.within} stands: there is nothing to see from there."
    said = {
        "no room": f"{pair} stand on the same spot: no space between them can be seen.",
        "between them": _apart(pair, parts),
        "behind the back": f"{pair} are behind the official's back, {parts.off_deg:.0f}° from where he faces.",
        "out of the field of view": f"{pair} are at or beyond the edge of the field of view, "
        f"{parts.off_deg:.0f}° from where the official faces.",
        "straight-lined": f"{pair} are {'straight-lined' if parts.openness < 0.5 else 'nearly in line'}: "
        "the near body hides part of the far one and the space between them.",
        "screened": f"{parts.hides_most or 'Another body'} {'screens' if parts.clear < 0.5 else 'partly screens'} {pair}: "
        f"{100 * (1 - parts.clear):.0f} % of the space between them is hidden.",
        "too far": f"{pair} are far away: {parts.distance:.0f} ft.",
        "too close": f"{pair} are too close to take in: {parts.distance:.1f} ft.",
        "open": f"{pair} are open: both bodies and the space between them are in view.",
    }
    return said[cause(parts)]
