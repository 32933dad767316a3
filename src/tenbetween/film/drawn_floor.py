"""What of a gym does not move, as flat shapes in feet: floor, lines, lane, walls, benches of people, baskets, table.

A painted line is as wide as the court says and lies on the side of its rule's edge where it is painted. Knows no dot
and no camera; colours are red-green-blue.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil, cos, dist, radians, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court, curves, lines
from tenbetween.units import FOOT

Floats = NDArray[np.float64]
Colour = tuple[int, int, int]
BOARDS, PAINT, LINE, LANE = (214, 176, 122), (168, 150, 128), (250, 250, 246), (176, 92, 62)
WALL, WALL_LOW, STAND, POLE = (206, 205, 198), (120, 134, 150), (150, 140, 128), (70, 74, 80)
CROWD: tuple[Colour, ...] = (
    (92, 84, 120),
    (150, 70, 66),
    (60, 92, 104),
    (206, 190, 150),
    (84, 110, 76),
    (52, 50, 58),
)
PIECE_FT = 4.0
"""Long edges are cut so that a bent lens bends them."""
AROUND_FT = 14.0
BOARD_SEAMS_FT = 6.0


@dataclass(frozen=True, slots=True)
class Shape:
    """One flat shape of one colour: rings of corners (n, 3, feet); a second ring is a hole."""

    rings: tuple[Floats, ...]
    colour: Colour


def lying(corners: Floats, z: float = 0.0) -> Floats:
    """Return corners on the floor (n, 2) at a height (n, 3)."""
    return np.column_stack([corners, np.full(len(corners), z)])


def pieces(ring: Floats, step: float = PIECE_FT) -> Floats:
    """Return a ring with its long edges cut into pieces.

    >>> len(pieces(np.array([[0.0, 0.0], [8.0, 0.0], [8.0, 1.0]]), 4.0))
    6
    """
    found: list[Floats] = []
    for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        count = max(1, ceil(dist(start, end) / step))
        found.extend(start + (end - start) * number / count for number in range(count))
    return np.array(found)


def box(x0: float, y0: float, x1: float, y1: float) -> Floats:
    """Return the four corners of an upright rectangle (feet)."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def floor_shapes(court: Court) -> tuple[Shape, ...]:
    """Return boards, lanes and painted lines, in the order they are laid down."""
    long, wide = court.length / FOOT, court.width / FOOT
    out = AROUND_FT
    found = [
        Shape((lying(pieces(box(-out - 6, -out - 20, long + out + 6, wide + 12))),), PAINT),
        Shape((lying(pieces(box(0, 0, long, wide))),), BOARDS),
    ]
    found.extend(Shape((lying(pieces(seam)),), (203, 164, 110)) for seam in _seams(long, wide))
    found.extend(Shape((lying(pieces(lane)),), LANE) for lane in _lanes(court))
    found.extend(Shape(tuple(lying(pieces(ring)) for ring in rings), LINE) for rings in painted(court))
    return tuple(found)


def _seams(long: float, wide: float) -> Iterator[Floats]:
    for number in range(1, int(wide / BOARD_SEAMS_FT) + 1):
        y = number * BOARD_SEAMS_FT
        yield box(0, y - 0.05, long, y + 0.05)


def _lanes(court: Court) -> Iterator[Floats]:
    long, middle = court.length / FOOT, court.width / FOOT / 2
    half, deep = court.lane_half / FOOT, court.free_throw / FOOT
    yield box(0, middle - half, deep, middle + half)
    yield box(long - deep, middle - half, long, middle + half)


def painted(court: Court) -> Iterator[tuple[Floats, ...]]:
    """Yield every painted line of a court as rings on the floor (feet)."""
    wide = court.line_width / FOOT
    for name, (start, end) in lines(court).items():
        if name.endswith(("backboard", "coaching_box")) or "throw_in" in name:
            continue
        yield (_strip(court, name, np.array(start), np.array(end), wide),)
    for name, curve in curves(court).items():
        if not name.endswith("ring"):
            yield tuple(_bow(curve, wide))


def middle_of(court: Court, name: str) -> Floats:
    """Return the middle of the paint of a line by its two ends (2, 2, feet), for whoever looks for it.

    >>> from tenbetween.court import court_of
    >>> middle_of(court_of("us-hs"), "table_sideline").round(4).tolist()
    [[0.0, -0.0833], [84.0, -0.0833]]
    """
    start, end = (np.array(one) for one in lines(court)[name])
    corners = _strip(court, name, start, end, court.line_width / FOOT)
    return np.array([(corners[0] + corners[3]) / 2, (corners[1] + corners[2]) / 2])


def _strip(court: Court, name: str, start: Floats, end: Floats, wide: float) -> Floats:
    """Return the four corners of a line: its rule's edge first, then the other edge of its paint."""
    along = (end - start) / max(dist(start, end), 1e-9)
    across = np.array([-along[1], along[0]])
    low, high = _sides(court, name, start, end, across)
    return np.array([start + across * low * wide, end + across * low * wide, end + across * high * wide,
                     start + across * high * wide])  # fmt: skip


def _sides(court: Court, name: str, start: Floats, end: Floats, across: Floats) -> tuple[float, float]:
    """Return from where to where, in widths along ``across``, a line is painted beside its edge."""
    middle = np.array([court.length / FOOT / 2, court.width / FOOT / 2])
    lane = np.array([0.0 if "left" in name else court.length / FOOT, middle[1]])
    if name.endswith(("sideline", "end_line")):
        outward = float(across @ ((start + end) / 2 - middle)) > 0
        return (0.0, 1.0) if outward else (-1.0, 0.0)
    if name.endswith(("lane_line", "arc_straight", "free_throw_line")):
        inward = float(across @ (lane - (start + end) / 2)) > 0
        return (0.0, 1.0) if inward else (-1.0, 0.0)
    return (-0.5, 0.5)


def _bow(curve: Mapping[str, Any], wide: float) -> Iterator[Floats]:
    (x, y), outer = curve["centre"], float(curve["radius"])
    first, last = float(curve["from_deg"]), float(curve["to_deg"])
    turns = np.radians(np.linspace(first, last, 49))
    rays = np.column_stack([np.cos(turns), np.sin(turns)])
    edge, inner = np.array([x, y]) + rays * outer, np.array([x, y]) + rays * (outer - wide)
    if last - first >= 359.9:
        yield edge[:-1]
        yield inner[:-1]
    else:
        yield np.vstack([edge, inner[::-1]])


# ---- what stands behind the floor ----


def wall_shapes(court: Court) -> tuple[Shape, ...]:
    """Return the far wall and its rows of seats, the wall beside each end, and doors to hold on to when panning."""
    long, back = court.length / FOOT, court.width / FOOT + 12
    ends = (-AROUND_FT - 6, long + AROUND_FT + 6)
    found = [Shape((pieces(_upright(back, ends[0], ends[1], 0, 34)),), WALL)]
    found.extend(Shape((pieces(_side_wall(x, back)),), (190, 190, 186)) for x in ends)
    found.append(Shape((pieces(_upright(back, ends[0], ends[1], 0, 4)),), WALL_LOW))
    for row in range(4):
        found.append(Shape((pieces(_upright(back, 6, long - 6, 4 + row * 2.6, 4.5 + row * 2.6)),), STAND))
    for x in (-12.0, long + 6):
        found.append(Shape((_upright(back, x, x + 6, 0, 8),), (96, 70, 58)))
    for number, x in enumerate(np.linspace(-6, long + 2, 7)):
        found.append(Shape((_upright(back, x, x + 5, 22, 26),), (CROWD[number % 5])))
    return tuple(found)


def _upright(y: float, x0: float, x1: float, z0: float, z1: float) -> Floats:
    return np.array([[x0, y, z0], [x1, y, z0], [x1, y, z1], [x0, y, z1]])


def _side_wall(x: float, back: float) -> Floats:
    return np.array([[x, -20.0, 0], [x, back, 0], [x, back, 34], [x, -20.0, 34]])


def crowd(court: Court, dice: np.random.Generator) -> tuple[Floats, tuple[Colour, ...]]:
    """Return the heads of people on the seats (n, 3, feet) and the colour of each."""
    long, back = court.length / FOOT, court.width / FOOT + 12
    places, colours = [], []
    for row in range(4):
        for x in np.arange(7, long - 7, 2.1):
            if dice.random() < 0.72:
                places.append((x + dice.normal(0, 0.3), back, 6.2 + row * 2.6 + dice.normal(0, 0.2)))
                colours.append(CROWD[int(dice.integers(len(CROWD)))])
    return np.array(places), tuple(colours)


# ---- what stands on it ----


def basket_shapes(court: Court, end: str) -> tuple[Shape, ...]:
    """Return pole, board and ring at one end."""
    long, middle = court.length / FOOT, court.width / FOOT / 2
    deep = np.array([-5.0, court.backboard / FOOT, court.basket / FOOT])
    pole, face, ring = deep if end == "left" else long - deep
    half = court.backboard_half / FOOT
    board = np.array([[face, middle - half, 9.2], [face, middle + half, 9.2], [face, middle + half, 12.7],
                      [face, middle - half, 12.7]])  # fmt: skip
    post = np.array(
        [[pole - 0.3, middle, 0], [pole + 0.3, middle, 0], [pole + 0.3, middle, 11], [pole - 0.3, middle, 11]]
    )
    arm = np.array([[pole, middle, 10.4], [face, middle, 10.4], [face, middle, 11], [pole, middle, 11]])
    turns = np.radians(np.arange(0, 360, 30))
    rim = np.column_stack([ring + 0.75 * np.cos(turns), middle + 0.75 * np.sin(turns), np.full(12, 10.0)])
    hole = np.column_stack([ring + 0.62 * np.cos(turns), middle + 0.62 * np.sin(turns), np.full(12, 10.0)])
    return (
        Shape((post,), POLE),
        Shape((arm,), POLE),
        Shape((board,), (236, 238, 240)),
        Shape((rim, hole), (214, 84, 30)),
    )


def table_shapes(court: Court) -> tuple[Shape, ...]:
    """Return the scorer's table, its front and its top."""
    x = court.length / FOOT / 2
    front = np.array([[x - 8, -11.0, 0], [x + 8, -11.0, 0], [x + 8, -11.0, 2.6], [x - 8, -11.0, 2.6]])
    top = np.array([[x - 8, -11.0, 2.6], [x + 8, -11.0, 2.6], [x + 8, -9.0, 2.6], [x - 8, -9.0, 2.6]])
    return (Shape((pieces(top),), (226, 220, 206)), Shape((pieces(front),), (40, 62, 92)))


def compass(degrees: float) -> tuple[float, float]:
    """Return the step of one foot in a direction from +x towards +y."""
    return cos(radians(degrees)), sin(radians(degrees))
