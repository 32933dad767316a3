"""The court itself as drawing: floor, lanes, lines, arcs, baskets, from the markings by name.

Knows no officials. Marks lie inside the edge a rule measures to; the boundary lies outside the court.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import cast

from tenbetween.court import Court, curves, landmarks, lines
from tenbetween.draw import svg
from tenbetween.draw.frame import THIN, Frame, frame_of
from tenbetween.draw.ink import THEMES, Ink
from tenbetween.situation import Basket, PointFt

_LEFT_OUT = ("coaching_box", "bench_", "backboard")
_BOUNDARY_FT, _MARK_FT, _BOARD_FT = 0.36, 0.24, 0.42
_DOUBLED = ("lane_line", "arc_straight", "no_charge_straight")


def court_svg(
    court: Court,
    *,
    half: Basket | None = None,
    turned: bool = False,
    theme: str = "light",
    scale: float = 8.0,
) -> str:
    """Return a picture of an empty court, in true scale, seen from the table.

    >>> from tenbetween.court import court_of
    >>> court_svg(court_of("us-hs")).startswith("<svg")
    True
    """
    frame = frame_of(court, half=half, scale=scale, turned=turned)
    name = "The court" if half is None else f"The {half} half of the court"
    inside = floor(court, frame, THEMES[theme])
    return svg.picture(*frame.size, name, "Seen from the table.", *inside)


def floor(court: Court, frame: Frame, ink: Ink) -> list[str]:
    """Return the elements of apron, floor, lanes and markings, lowest first.

    >>> from tenbetween.court import court_of
    >>> court = court_of("us-hs")
    >>> floor(court, frame_of(court, half=None, scale=8), THEMES["print"])[0][:5]
    '<rect'
    """
    wide, high = frame.size
    return [
        svg.tag("rect", width=wide, height=high, fill=ink.apron, class_="apron"),
        _floor_box(frame, ink),
        *_lanes(court, frame, ink),
        *_markings(court, frame, ink),
        *_round(court, frame, ink),
        *_baskets(court, frame, ink),
        _boundary(frame, ink),
    ]


def _ends(frame: Frame) -> tuple[float, float]:
    """Return the x of the shown ends of the floor in the picture; a half court is cut at its open end."""
    wide = frame.size[0]
    low = frame.at((0.0, 0.0))[0]
    high = frame.at((frame.length, 0.0))[0]
    first, last = min(low, high), max(low, high)
    return max(first, -4.0), min(last, wide + 4.0)


def _sides(frame: Frame) -> tuple[float, float]:
    near, far = frame.at((0.0, 0.0))[1], frame.at((0.0, frame.width))[1]
    return min(near, far), max(near, far)


def _floor_box(frame: Frame, ink: Ink) -> str:
    (x0, x1), (y0, y1) = _ends(frame), _sides(frame)
    return svg.tag("rect", x=x0, y=y0, width=x1 - x0, height=y1 - y0, fill=ink.floor, class_="floor")


def line_width(frame: Frame, feet_wide: float) -> float:
    """Return the width of a drawn line, never thinner than the thinnest mark."""
    return max(THIN, feet_wide * frame.scale)


def _boundary(frame: Frame, ink: Ink) -> str:
    wide = line_width(frame, _BOUNDARY_FT)
    (x0, x1), (y0, y1) = _ends(frame), _sides(frame)
    return svg.tag(
        "rect",
        x=x0 - wide / 2,
        y=y0 - wide / 2,
        width=x1 - x0 + wide,
        height=y1 - y0 + wide,
        fill="none",
        stroke=ink.mark,
        stroke_width=wide,
        class_="boundary",
    )


def _shown(frame: Frame, points: tuple[PointFt, ...]) -> bool:
    wide = frame.size[0]
    xs = [frame.at(point)[0] for point in points]
    return max(xs) > 0 and min(xs) < wide


def _lanes(court: Court, frame: Frame, ink: Ink) -> list[str]:
    at = landmarks(court)
    found = []
    for end in ("left", "right"):
        names = ("table_lane_corner", "table_elbow", "opposite_elbow", "opposite_lane_corner")
        corners = tuple(at[f"{end}_{name}"] for name in names)
        if _shown(frame, corners):
            shape = svg.path([frame.at(c) for c in corners], closed=True)
            found.append(svg.tag("path", d=shape, fill=ink.lane, class_="lane"))
    return found


def _markings(court: Court, frame: Frame, ink: Ink) -> list[str]:
    wide = line_width(frame, _MARK_FT)
    found = []
    for name, ends in lines(court).items():
        if name.endswith(("_end_line", "_sideline")) or any(word in name for word in _LEFT_OUT):
            continue
        if _shown(frame, ends):
            first, last = (frame.at(point) for point in _inward(court, frame, name, ends, wide))
            found.append(_line(first, last, ink.mark, wide))
    return found


def _line(first: svg.Point, last: svg.Point, colour: str, wide: float) -> str:
    return svg.tag("line", x1=first[0], y1=first[1], x2=last[0], y2=last[1], stroke=colour, stroke_width=wide)


def _inward(
    court: Court, frame: Frame, name: str, ends: tuple[PointFt, PointFt], wide: float
) -> tuple[PointFt, PointFt]:
    """Move a line in by half its width, so that its outer edge is the edge a rule measures to."""
    by = wide / 2 / frame.scale
    (ax, ay), (bx, by_) = ends
    if name.endswith(_DOUBLED):
        shift = by if ay < frame.width / 2 else -by
        return (ax, ay + shift), (bx, by_ + shift)
    if name.endswith(("free_throw_line", "throw_in_line", "lane_top")):
        shift = -by if ax < frame.length / 2 else by
        return (ax + shift, ay), (bx + shift, by_)
    return ends


def _round(court: Court, frame: Frame, ink: Ink) -> list[str]:
    wide = line_width(frame, _MARK_FT)
    found = []
    for name, bow in curves(court).items():
        if not name.endswith("ring"):
            points = arc_points(bow, by=wide / 2 / frame.scale)
            if _shown(frame, points):
                shape = svg.path([frame.at(point) for point in points])
                found.append(svg.tag("path", d=shape, fill="none", stroke=ink.mark, stroke_width=wide))
    return found


def arc_points(bow: dict[str, PointFt | float], *, by: float = 0.0, pieces: int = 40) -> tuple[PointFt, ...]:
    """Return points along a round marking, its radius shortened by ``by`` feet.

    >>> arc_points({"centre": (0.0, 0.0), "radius": 1.0, "from_deg": 0.0, "to_deg": 90.0}, pieces=1)[0]
    (1.0, 0.0)
    """
    centre, radius = cast("PointFt", bow["centre"]), cast("float", bow["radius"])
    first, last = cast("float", bow["from_deg"]), cast("float", bow["to_deg"])
    turns = [radians(first + (last - first) * i / pieces) for i in range(pieces + 1)]
    reach = radius - by
    return tuple((centre[0] + reach * cos(turn), centre[1] + reach * sin(turn)) for turn in turns)


def _baskets(court: Court, frame: Frame, ink: Ink) -> list[str]:
    found = []
    for end in ("left", "right"):
        board, ring = lines(court)[f"{end}_backboard"], curves(court)[f"{end}_ring"]
        if _shown(frame, board):
            first, last = frame.at(board[0]), frame.at(board[1])
            found.append(_line(first, last, ink.mark, line_width(frame, _BOARD_FT)))
            found.append(_ring(frame, ring, ink))
    return found


def _ring(frame: Frame, ring: dict[str, PointFt | float], ink: Ink) -> str:
    centre, radius = cast("PointFt", ring["centre"]), cast("float", ring["radius"])
    x, y = frame.at(centre)
    wide = line_width(frame, 0.2)
    return svg.tag(
        "circle", cx=x, cy=y, r=radius * frame.scale, fill="none", stroke=ink.spot, stroke_width=wide
    )
