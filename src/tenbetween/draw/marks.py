"""Single marks of a diagram: officials, step diamonds, moves, thrower, ball, measure, open part.

Everything is in points of the picture. Each mark differs from every other in shape, fill or dash, so that it
survives black and white. Arrow heads are polygons, never markers, so that every renderer agrees.
"""

from __future__ import annotations

from math import atan2, cos, hypot, sin

from tenbetween.draw import svg
from tenbetween.draw.fonts import FAMILY
from tenbetween.draw.frame import LABEL, THIN, Rect
from tenbetween.draw.ink import Ink
from tenbetween.draw.svg import Point

DIAMOND = 12.5
HEAD = 13.0
CAP = 0.668
"""Height of a capital letter, in sizes."""


def text(
    at: Point,
    words: str,
    colour: str,
    *,
    bold: bool = False,
    anchor: str = "start",
    size: float = LABEL,
) -> str:
    """Return a line of text that stands on a point.

    >>> text((1, 2), "26 ft", "#000000")[:5]
    '<text'
    """
    return svg.tag(
        "text",
        svg.words(words),
        x=at[0],
        y=at[1],
        fill=colour,
        font_family=FAMILY,
        font_size=size,
        font_weight="700" if bold else "400",
        text_anchor=None if anchor == "start" else anchor,
    )


def centred(at: Point, words: str, colour: str, *, bold: bool = True, size: float = LABEL) -> str:
    """Return text whose capitals are centred on a point."""
    return text((at[0], at[1] + CAP * size / 2), words, colour, bold=bold, anchor="middle", size=size)


def official(at: Point, radius: float, shape: str, letter: str, ink: Ink, *, before: bool) -> str:
    """Return an official: square filled or circle ringed; dashed and light where he was before."""
    if before:
        outline = _outline(at, radius - THIN / 2, shape, ink.floor, ink.soft, THIN + 0.3, "4 3")
        colour = ink.soft
    elif shape == "square":
        outline, colour = _outline(at, radius, shape, ink.ink, ink.page, THIN, None), ink.on_ink
    else:
        outline, colour = _outline(at, radius - 1.5, shape, ink.page, ink.ink, 3.2, None), ink.ink
    name = f"official {'before' if before else 'after'} {shape}"
    letters = centred(at, letter, colour, size=max(LABEL, radius * 1.15)) if letter else ""
    return svg.tag("g", outline, letters, class_=name)


def _outline(
    at: Point, radius: float, shape: str, fill: str, stroke: str, wide: float, dash: str | None
) -> str:
    if shape == "circle":
        return svg.tag(
            "circle",
            cx=at[0],
            cy=at[1],
            r=radius,
            fill=fill,
            stroke=stroke,
            stroke_width=wide,
            stroke_dasharray=dash,
        )
    side = radius * 0.94
    return svg.tag(
        "rect",
        x=at[0] - side,
        y=at[1] - side,
        width=2 * side,
        height=2 * side,
        rx=3,
        fill=fill,
        stroke=stroke,
        stroke_width=wide,
        stroke_dasharray=dash,
    )


def diamond(at: Point, number: int, ink: Ink) -> str:
    """Return the number of a step in a filled diamond."""
    x, y = at
    corners = [(x - DIAMOND, y), (x, y - DIAMOND), (x + DIAMOND, y), (x, y + DIAMOND)]
    shape = svg.tag(
        "path", d=svg.path(corners, closed=True), fill=ink.ink, stroke=ink.page, stroke_width=THIN
    )
    return svg.tag("g", shape, centred(at, str(number), ink.on_ink), class_="step", data_step=str(number))


# ---- moves ----


def bend(start: Point, end: Point, towards: Point) -> tuple[Point, Point, Point, Point]:
    """Return a curve between two points that bows towards a third.

    >>> bend((0, 0), (10, 0), (5, 5))[1][1] > 0
    True
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = hypot(dx, dy) or 1.0
    nx, ny = -dy / length, dx / length
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    side = 1.0 if (towards[0] - middle[0]) * nx + (towards[1] - middle[1]) * ny >= 0 else -1.0
    bow = side * min(0.2 * length, 60.0)
    first = (start[0] + dx * 0.3 + nx * bow, start[1] + dy * 0.3 + ny * bow)
    second = (start[0] + dx * 0.7 + nx * bow, start[1] + dy * 0.7 + ny * bow)
    return start, first, second, end


def on_bend(curve: tuple[Point, Point, Point, Point], t: float) -> Point:
    """Return a point of a curve, 0 at its start and 1 at its end.

    >>> on_bend(((0, 0), (0, 0), (3, 3), (3, 3)), 0.5)
    (1.5, 1.5)
    """
    a, b, c, d = curve
    u = 1 - t
    weights = (u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t)
    pairs = zip(weights, (a, b, c, d), strict=True)
    x = y = 0.0
    for weight, point in pairs:
        x, y = x + weight * point[0], y + weight * point[1]
    return x, y


def trimmed(
    curve: tuple[Point, Point, Point, Point], before: float, after: float
) -> tuple[Point, Point, Point, Point] | None:
    """Return a curve that begins and ends off the marks it joins, or None when nothing is left."""
    chain = [on_bend(curve, i / 60) for i in range(61)]
    first = next((i for i in range(61) if _far(chain[i], curve[0]) > before), 60) / 60
    last = next((i for i in range(60, -1, -1) if _far(chain[i], curve[3]) > after), 0) / 60
    return _part(curve, first, last) if last - first > 0.08 else None


def _far(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def _part(
    curve: tuple[Point, Point, Point, Point], t0: float, t1: float
) -> tuple[Point, Point, Point, Point]:
    start, end = on_bend(curve, t0), on_bend(curve, t1)
    third = (t1 - t0) / 3
    (sx, sy), (ex, ey) = _slope(curve, t0), _slope(curve, t1)
    return (
        start,
        (start[0] + sx * third, start[1] + sy * third),
        (end[0] - ex * third, end[1] - ey * third),
        end,
    )


def _slope(curve: tuple[Point, Point, Point, Point], t: float) -> Point:
    a, b, c, d = curve
    u = 1 - t
    return (
        3 * u * u * (b[0] - a[0]) + 6 * u * t * (c[0] - b[0]) + 3 * t * t * (d[0] - c[0]),
        3 * u * u * (b[1] - a[1]) + 6 * u * t * (c[1] - b[1]) + 3 * t * t * (d[1] - c[1]),
    )


def move(curve: tuple[Point, Point, Point, Point], shape: str, ink: Ink) -> str:
    """Return a move: solid for the square, hollow for the circle, its head a polygon.

    The curve's last point is the tip of the head.
    """
    tip = curve[3]
    slope = _slope(curve, 1.0)
    turn = atan2(slope[1], slope[0])
    solid = shape == "square"
    length = HEAD if solid else HEAD + 3
    neck = (tip[0] - length * 0.8 * cos(turn), tip[1] - length * 0.8 * sin(turn))
    body = svg.curve(curve[0], curve[1], _back(curve[2], tip, neck), neck)
    head = svg.path(arrow_head(tip, turn, length), closed=True)
    if solid:
        parts = [
            svg.tag("path", d=body, fill="none", stroke=ink.ink, stroke_width=4),
            svg.tag("path", d=head, fill=ink.ink),
        ]
    else:
        parts = [
            svg.tag("path", d=body, fill="none", stroke=ink.ink, stroke_width=7.4),
            svg.tag("path", d=head, fill=ink.page, stroke=ink.ink, stroke_width=1.8, stroke_linejoin="round"),
            svg.tag("path", d=body, fill="none", stroke=ink.page, stroke_width=3.8),
        ]
    return svg.tag("g", *parts, class_=f"move {shape}")


def _back(handle: Point, tip: Point, neck: Point) -> Point:
    return (handle[0] + neck[0] - tip[0], handle[1] + neck[1] - tip[1])


def arrow_head(tip: Point, turn: float, length: float) -> list[Point]:
    """Return the three corners of an arrow head that points along an angle.

    >>> arrow_head((10, 0), 0.0, 10)[0]
    (10, 0)
    """
    back, wide = length, length * 0.52
    cx, cy = tip[0] - back * cos(turn), tip[1] - back * sin(turn)
    return [
        tip,
        (cx - wide * sin(turn), cy + wide * cos(turn)),
        (cx + wide * sin(turn), cy - wide * cos(turn)),
    ]


# ---- ball and spot ----


def thrower(at: Point, radius: float, filled: bool, ink: Ink) -> str:
    """Return the player who throws in: a ring for the team that had the ball, a disc for the other."""
    return svg.tag(
        "circle",
        cx=at[0],
        cy=at[1],
        r=radius - 1,
        fill=ink.ink if filled else ink.page,
        stroke=ink.ink,
        stroke_width=2.4,
        class_="thrower",
    )


def given(start: Point, end: Point, how: str, ink: Ink) -> str:
    """Return how the ball goes to the thrower: dots down and up again for a bounce, a bar for a hand-over."""
    if how == "hand":
        wide = 3.0
        line = svg.tag(
            "line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], stroke=ink.spot, stroke_width=wide
        )
        return svg.tag("g", line, class_="given hand")
    dots = []
    for i in range(5):
        t = i / 4
        x, y = start[0] + (end[0] - start[0]) * t, start[1] + (end[1] - start[1]) * t
        drop = 5.0 * (1 - abs(2 * t - 1))
        dots.append(svg.tag("circle", cx=x, cy=y + drop, r=1.6, fill=ink.spot))
    return svg.tag("g", *dots, class_="given bounce")


def strokes(at: Point, ink: Ink) -> str:
    """Return the mark of a count: five strokes standing on a point."""
    bars = [
        svg.tag(
            "line",
            x1=at[0] + i * 3.6,
            y1=at[1],
            x2=at[0] + i * 3.6,
            y2=at[1] - 9,
            stroke=ink.ink,
            stroke_width=1.6,
        )
        for i in range(5)
    ]
    return svg.tag("g", *bars, class_="count")


def chop(at: Point, ink: Ink) -> str:
    """Return the mark of a chop: an arm that comes down, standing on a point."""
    x, y = at
    arm = svg.tag(
        "path", d=svg.path([(x + 1, y - 10), (x + 12, y - 10), (x + 12, y - 5)]), fill="none", stroke=ink.ink,
        stroke_width=2,
    )  # fmt: skip
    head = svg.tag(
        "path", d=svg.path([(x + 7, y - 6), (x + 17, y - 6), (x + 12, y + 1)], closed=True), fill=ink.ink
    )
    return svg.tag("g", arm, head, class_="chop")


def space(at: Point, letter: str, ink: Ink) -> str:
    """Return a lane space with the letter of who watches it: whole line for the lead, else broken."""
    frame = svg.tag(
        "rect",
        x=at[0] - 8,
        y=at[1] - 8,
        width=16,
        height=16,
        fill=ink.page,
        stroke=ink.ink,
        stroke_width=THIN,
        stroke_dasharray=None if letter == "L" else "3 2.4",
    )
    return svg.tag("g", frame, centred(at, letter, ink.ink, bold=False), class_="space")


GLYPH_WIDTH = 22.0


def question(box: Rect, ink: Ink) -> str:
    """Return the mark of an open part: a dashed frame with a question mark."""
    frame = svg.tag(
        "rect",
        x=box.x0,
        y=box.y0,
        width=box.x1 - box.x0,
        height=box.y1 - box.y0,
        rx=4,
        fill=ink.page,
        stroke=ink.ink,
        stroke_width=2,
        stroke_dasharray="5 4",
    )
    return svg.tag("g", frame, centred(box.middle, "?", ink.ink, size=18), class_="open")


def measure(first: Point, last: Point, box: Rect, words: str, ink: Ink) -> str:
    """Return a measure between two points of a level or upright line, broken for its words."""
    upright = abs(first[0] - last[0]) < abs(first[1] - last[1])
    posts = [_post(point, upright, ink) for point in (first, last)]
    gaps = _pieces(first, last, box, upright)
    bars = [
        svg.tag("line", x1=a[0], y1=a[1], x2=b[0], y2=b[1], stroke=ink.spot, stroke_width=THIN)
        for a, b in gaps
    ]
    label = centred(box.middle, words, ink.spot)
    behind = svg.tag(
        "rect", x=box.x0, y=box.y0, width=box.x1 - box.x0, height=box.y1 - box.y0, fill=ink.apron, rx=3
    )
    return svg.tag("g", *posts, *bars, behind, label, class_="measure")


def _post(at: Point, upright: bool, ink: Ink) -> str:
    dx, dy = (5.0, 0.0) if upright else (0.0, 5.0)
    return svg.tag(
        "line",
        x1=at[0] - dx,
        y1=at[1] - dy,
        x2=at[0] + dx,
        y2=at[1] + dy,
        stroke=ink.spot,
        stroke_width=THIN,
    )


def _pieces(first: Point, last: Point, box: Rect, upright: bool) -> list[tuple[Point, Point]]:
    """Return what is left of a line when its words stand on it."""
    on_line = box.x0 <= first[0] <= box.x1 if upright else box.y0 <= first[1] <= box.y1
    if not on_line:
        return [(first, last)]
    if upright:
        (x, a), (_, b) = sorted((first, last), key=lambda p: p[1])
        return [((x, s), (x, e)) for s, e in ((a, box.y0), (box.y1, b)) if e - s > 1]
    (a, y), (b, _) = sorted((first, last))
    return [((s, y), (e, y)) for s, e in ((a, box.x0), (box.x1, b)) if e - s > 1]
