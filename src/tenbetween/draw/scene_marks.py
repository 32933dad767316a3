"""Single marks of a scene: players, ball, facing, look lines with their ends, rings, squares at screeners.

Every mark is told from every other by shape, fill or dash, never by colour alone:

* team a: a filled disc with its number; team b: a hollow six-sided shape with its number. Both are smaller than
  an official, who carries a letter in the shape of his person (filled square or ring, as in ``marks``);
* ball: a small ball with a seam, at the hip of whoever holds it;
* looks: open is a whole line with an open ring at its end, straight-lined a dashed line with a bar across before
  the near body, screened a dotted line and a square round the screener, anything else a thin dash-dot line.

Knows points of the picture and no court.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, hypot, pi, sin

from tenbetween.draw import marks, svg
from tenbetween.draw.ink import Ink
from tenbetween.draw.svg import Point

KINDS = ("open", "straight-lined", "screened", "other")
"""Every kind of look line."""
LEAST_BODY, SMALL_BODY, SMALL_BELOW = 8.0, 6.4, 4.5
"""Least half width of a player, so that his number has room; in pictures below a scale a smaller one, so that
two who stand close are two."""
BALL = 5.0
_DASH: dict[str, str | None] = {
    "open": None,
    "straight-lined": "9 5",
    "screened": "0.1 5.5",
    "other": "10 4 1.5 4",
}
_WIDE = {"open": 2.4, "straight-lined": 2.2, "screened": 3.2, "other": 1.3}


def body_size(scale: float) -> float:
    """Return half the width of a player as drawn: his true 0.9 ft, but never too small for his number.

    >>> body_size(3), body_size(6), body_size(12)
    (6.4, 8.0, 10.8)
    """
    return max(LEAST_BODY if scale >= SMALL_BELOW else SMALL_BODY, 0.9 * scale)


def short_name(name: str) -> str:
    """Return what stands in a player's mark: his number, else the beginning of his name.

    >>> short_name("a12"), short_name("point guard"), short_name("B")
    ('12', 'po', 'B')
    """
    number = name.lstrip("abAB")
    return number if number.isdigit() and len(number) <= 2 else name[:2]


def player(radius: float, team: str, name: str, ink: Ink) -> str:
    """Return a player about the origin: filled disc for team a, hollow six-sided shape for team b.

    >>> from tenbetween.draw.ink import THEMES
    >>> player(8, "b", "b3", THEMES["print"]).count("<path")
    1
    """
    letters = short_name(name)
    size = max(11.0 if radius >= LEAST_BODY else 0.0, radius * (1.38 if len(letters) == 1 else 1.15))
    if team == "a":
        shape = svg.tag("circle", cx=0, cy=0, r=radius, fill=ink.ink, stroke=ink.page, stroke_width=1.2)
        colour = ink.on_ink
    else:
        shape = svg.tag(
            "path", d=_hexagon(radius * 1.06), fill=ink.page, stroke=ink.ink, stroke_width=1.9,
            stroke_linejoin="round",
        )  # fmt: skip
        colour = ink.ink
    return shape + marks.centred((0.0, 0.0), letters, colour, size=size)


def _hexagon(radius: float) -> str:
    turns = (pi / 6 + pi / 3 * i for i in range(6))
    return svg.path([(radius * cos(turn), radius * sin(turn)) for turn in turns], closed=True)


def ball(shift: Point, ink: Ink) -> str:
    """Return the ball about the origin, shifted to the hip of whoever holds it."""
    x, y = shift
    disc = svg.tag("circle", cx=x, cy=y, r=BALL, fill=ink.spot, stroke=ink.page, stroke_width=1.4)
    seam = svg.path([(x - BALL, y), (x + BALL, y)]) + svg.curve(
        (x - 2.6, y - 4.2), (x - 0.6, y - 1.6), (x - 0.6, y + 1.6), (x - 2.6, y + 4.2)
    )
    return disc + svg.tag("path", d=seam, fill="none", stroke=ink.on_ink, stroke_width=1)


def facing(radius: float, turn: float, ink: Ink, *, square: bool) -> str:
    """Return the mark of where an official's eyes are turned: a small head outside his shape (radians)."""
    reach = radius * 1.02
    if square:
        reach *= min(1 / max(abs(cos(turn)), abs(sin(turn))), 1.3) * 0.95
    tip = ((reach + 9) * cos(turn), (reach + 9) * sin(turn))
    middle = (reach * cos(turn), reach * sin(turn))
    sides = [(middle[0] - by * sin(turn), middle[1] + by * cos(turn)) for by in (-5.5, 5.5)]
    return svg.tag(
        "path", d=svg.path([tip, *sides], closed=True), fill=ink.ink, stroke=ink.page, stroke_width=0.8,
        class_="facing",
    )  # fmt: skip


# ---- looks ----


def look(start: Point, end: Point, kind: str, ink: Ink, **data: str) -> str:
    """Return the line of one look from an official to the middle of a matchup.

    >>> from tenbetween.draw.ink import THEMES
    >>> look((0, 0), (9, 0), "screened", THEMES["print"], data_official="lead").count('class="look screened"')
    1
    """
    d = svg.path([start, end])
    cap = "round" if kind == "screened" else None
    under = svg.tag(
        "path", d=d, fill="none", stroke=ink.floor, stroke_width=_WIDE[kind] + 2.6, stroke_opacity=0.7,
        class_="under",
    )  # fmt: skip
    line = svg.tag(
        "path", d=d, fill="none", stroke=_colour(kind, ink), stroke_width=_WIDE[kind],
        stroke_dasharray=_DASH[kind], stroke_linecap=cap, class_=f"look {kind}", **data,
    )  # fmt: skip
    return under + line


def _colour(kind: str, ink: Ink) -> str:
    return {"open": ink.ink, "other": ink.soft}.get(kind, ink.spot)


def look_ring(at: Point, ink: Ink) -> str:
    """Return the open ring at the end of an open look."""
    return svg.tag(
        "circle", cx=at[0], cy=at[1], r=4.4, fill=ink.page, stroke=ink.ink, stroke_width=2.2,
        class_="look-end open",
    )  # fmt: skip


def look_bar(at: Point, along: Point, ink: Ink) -> str:
    """Return the bar across a straight-lined look, at right angles to the way it runs."""
    length = hypot(*along) or 1.0
    nx, ny = -along[1] / length * 7.5, along[0] / length * 7.5
    d = svg.path([(at[0] - nx, at[1] - ny), (at[0] + nx, at[1] + ny)])
    return svg.tag(
        "path", d=d, fill="none", stroke=ink.spot, stroke_width=3.6, class_="look-end straight-lined"
    )


def look_square(at: Point, half: float, ink: Ink) -> str:
    """Return the square round a player who screens a look."""
    return svg.tag(
        "rect", x=at[0] - half, y=at[1] - half, width=2 * half, height=2 * half, fill="none",
        stroke=ink.spot, stroke_width=2.4, class_="look-end screened",
    )  # fmt: skip


def ring(at: Point, radius: float, ink: Ink, *, behind: bool, **data: str) -> str:
    """Return the ring of a player outside the box (dashed), or behind an official (double)."""
    d: dict[str, str | float | None] = {"cx": at[0], "cy": at[1], "fill": "none", "stroke": ink.ink}
    name = "behind" if behind else "outside"
    if not behind:
        dash = svg.tag("circle", r=radius + 5, stroke_width=1.8, stroke_dasharray="4 3", **d)
        return svg.tag("g", dash, class_=f"ring {name}", **data)
    rings = [svg.tag("circle", r=radius + by, stroke_width=1.6, **d) for by in (3.4, 7.0)]
    return svg.tag("g", *rings, class_=f"ring {name}", **data)


# ---- ways ----


def way(points: Sequence[Point], kind: str, ink: Ink, **data: str) -> str:
    """Return a way of an ``official`` (dashed, large head), a ``player`` (thin, small head), the ``ball`` (dotted).

    >>> from tenbetween.draw.ink import THEMES
    >>> way([(0, 0), (9, 0)], "ball", THEMES["print"]).count("<path")
    1
    """
    wide, dash, colour, head = {
        "official": (2.6, "9 5", ink.ink, 13.0),
        "player": (1.3, None, ink.ink, 8.0),
        "ball": (2.2, "0.1 5", ink.spot, 0.0),
    }[kind]
    (x0, y0), (x1, y1) = points[-2:]
    turn = atan2(y1 - y0, x1 - x0)
    neck = (x1 - head * 0.6 * cos(turn), y1 - head * 0.6 * sin(turn))
    line = svg.tag(
        "path",
        d=svg.path([*points[:-1], neck]),
        fill="none",
        stroke=colour,
        stroke_width=wide,
        stroke_dasharray=dash,
        stroke_linecap="round" if kind == "ball" else None,
        stroke_linejoin="round",
        class_=f"way {kind}",
        **data,
    )
    if not head:
        return line
    tip = svg.path(marks.arrow_head((x1, y1), turn, head), closed=True)
    return line + svg.tag("path", d=tip, fill=colour, class_="head")
