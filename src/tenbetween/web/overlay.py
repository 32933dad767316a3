"""What lies over an empty court while it is set: the band on which a tap means out, the table, the direction.

Laid out in the drawing's own units by its frame, so that it fits whatever the drawing room makes.
"""

from __future__ import annotations

import re

from msgspec import Struct

from tenbetween.web.places import Floor, Point
from tenbetween.web.workbench import Picture

BAND_OUT_FT = 3.0
TABLE_FT = (12.0, 2.4)
BELOW_FT = 6.2
ARROW_FT = 7.0


class Overlay(Struct, frozen=True):
    """Shapes in the units of a drawing."""

    view_box: str
    band: str
    """Path of boundary and outer edge; what lies between them is the band."""
    table: tuple[float, float, float, float]
    table_words: Point
    words: Point
    """Where the words about the direction end."""
    arrow: str
    size: float
    """Of the letters."""
    mark: Point | None
    """The place as set."""
    unit: float
    """One foot."""


def overlay(picture: Picture, floor: Floor, attacks: str, at: Point | None = None) -> Overlay:
    """Return the overlay of an empty court.

    >>> flat = Picture(svg='<svg viewBox="0 0 92 62">', frame=(1, 0, 0, -1, 4, 53))
    >>> overlay(flat, Floor(), "right").table
    (40.0, 58.0, 12.0, 2.4)
    """
    frame = picture["frame"]
    unit = max(abs(frame[0]), abs(frame[1]))
    middle = place(frame, (floor.length / 2, -BELOW_FT))
    wide, high = (side * unit for side in TABLE_FT)
    left, right = _edges(picture["svg"])
    words_end = (
        middle[0] - wide / 2 - 10 * unit if middle[0] - wide / 2 - left > 26 * unit else right - 10 * unit
    )
    along = 1.0 if (attacks == "right") == (frame[0] > 0) else -1.0
    return Overlay(
        view_box=" ".join(_view_box(picture["svg"])),
        band=_ring(frame, floor, 0.0) + _ring(frame, floor, BAND_OUT_FT),
        table=(round(middle[0] - wide / 2, 2), round(middle[1] - high / 2, 2), wide, high),
        table_words=(middle[0], round(middle[1] + 0.5 * unit, 2)),
        words=(round(words_end, 2), round(middle[1] + 0.5 * unit, 2)),
        arrow=_arrow(words_end + unit, middle[1], along, unit),
        size=round(1.6 * unit, 2),
        mark=place(frame, at) if at else None,
        unit=unit,
    )


def place(frame: tuple[float, ...], point: Point) -> Point:
    """Return where a place on the court lies in a drawing.

    >>> place((1, 0, 0, -1, 4, 53), (10, 0))
    (14, 53)
    """
    a, b, c, d, e, f = frame
    return (round(a * point[0] + c * point[1] + e, 2), round(b * point[0] + d * point[1] + f, 2))


def _ring(frame: tuple[float, ...], floor: Floor, out: float) -> str:
    corners = (
        (-out, -out),
        (floor.length + out, -out),
        (floor.length + out, floor.width + out),
        (-out, floor.width + out),
    )
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in (place(frame, corner) for corner in corners)) + "Z"


def _arrow(left: float, y: float, along: float, unit: float) -> str:
    """Return a filled arrow as one outline: it prints in any colour and needs no marker."""
    tail, tip = (left, left + ARROW_FT * unit) if along > 0 else (left + ARROW_FT * unit, left)
    neck = tip - along * 1.8 * unit
    half, wide = 0.32 * unit, 0.95 * unit
    upper = ((tail, half), (neck, half), (neck, wide))
    points = [(x, y - v) for x, v in upper] + [(tip, y)] + [(x, y + v) for x, v in reversed(upper)]
    return " ".join(f"{x:.2f},{v:.2f}" for x, v in points)


def _view_box(svg: str) -> tuple[str, ...]:
    found = re.search(r'viewBox="([^"]+)"', svg)
    return tuple(found[1].split()) if found else ("0", "0", "0", "0")


def _edges(svg: str) -> tuple[float, float]:
    left, _, wide, _ = (float(part) for part in _view_box(svg))
    return left, left + wide
