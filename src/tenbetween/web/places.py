"""A place on the court as a person says it: line and feet from the nearer end line, or two distances inside.

Float feet in the court frame; the exact spot is the book's business, these are only words and the tap.
"""

from __future__ import annotations

from msgspec import Struct

Point = tuple[float, float]
BAND_FT = 1.0
"""A tap this close inside a boundary, or anywhere outside it, means the line."""
NEAR_LINE_FT = 0.05


class Floor(Struct, frozen=True):
    """The size of the floor on the screen, in feet."""

    length: float = 84.0
    width: float = 50.0


LINES = ("table sideline", "opposite sideline", "left end line", "right end line")


def feet_text(value: float) -> str:
    """Return feet with at most one decimal.

    >>> feet_text(26.0), feet_text(7.25)
    ('26 ft', '7.2 ft')
    """
    rounded = round(value, 1)
    return f"{int(rounded)} ft" if rounded == int(rounded) else f"{rounded} ft"


def place_words(at: Point, floor: Floor) -> str:
    """Return a place in words.

    >>> place_words((58, 0), Floor()), place_words((84, 30), Floor())
    ('table sideline, 26 ft', 'right end line, 30 ft from the table sideline')
    >>> place_words((70, 12), Floor())
    '14 ft from the right end line, 12 ft from the table sideline'
    """
    line = line_of(at, floor)
    depth = min(at[0], floor.length - at[0])
    if line in LINES[:2]:
        level = depth > floor.length / 2 - NEAR_LINE_FT
        return f"{line}, division line" if level else f"{line}, {feet_text(depth)}"
    across = f"{feet_text(at[1])} from the table sideline"
    if line:
        return f"{line}, {across}"
    end_line = "left" if at[0] <= floor.length / 2 else "right"
    return f"{feet_text(depth)} from the {end_line} end line, {across}"


def line_of(at: Point, floor: Floor) -> str:
    """Return the boundary line a place lies on, empty inside; a corner belongs to the sideline.

    >>> line_of((0, 0), Floor()), line_of((10, 10), Floor())
    ('table sideline', '')
    """
    x, y = at
    distances = (y, floor.width - y, x, floor.length - x)
    return next((line for line, far in zip(LINES, distances, strict=True) if far <= NEAR_LINE_FT), "")


def from_line(line: str, ft: float, floor: Floor) -> Point:
    """Return the place on a line: along a sideline feet from the left end line, else from the table sideline.

    >>> from_line("opposite sideline", 58, Floor())
    (58, 50.0)

    Raises:
        KeyError: the line is not one of ``LINES``.
    """
    points: dict[str, Point] = {
        "table sideline": (ft, 0.0),
        "opposite sideline": (ft, floor.width),
        "left end line": (0.0, ft),
        "right end line": (floor.length, ft),
    }
    return points[line]
