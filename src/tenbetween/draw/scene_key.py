"""The key below a picture of a scene: a sample of each mark with its words, broken into rows that fit.

Knows which marks there are; the picture says which of them it uses.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from tenbetween.draw import marks, scene_marks, svg
from tenbetween.draw.fonts import width, wrap
from tenbetween.draw.ink import Ink
from tenbetween.draw.svg import Point

SIZE = 12.0
ROW = 22.0
SAMPLE = 36.0
"""Room for a sample, before its words."""
PAD = 10.0


class Entry(NamedTuple):
    """A sample, drawn about a point with room of 32 by 16, and its words."""

    draw: Callable[[Point, Ink], str]
    words: str


def _look(kind: str) -> Callable[[Point, Ink], str]:
    def draw(at: Point, ink: Ink) -> str:
        start, end = (at[0] - 16, at[1]), (at[0] + 16, at[1])
        line = scene_marks.look(start, end, kind, ink).replace('class="look ', 'class="look-sample ')
        return line + _end(kind, at, ink)

    return draw


def _end(kind: str, at: Point, ink: Ink) -> str:
    if kind == "open":
        return scene_marks.look_ring((at[0] + 12, at[1]), ink)
    if kind == "straight-lined":
        return scene_marks.look_bar((at[0] + 8, at[1]), (1.0, 0.0), ink)
    return scene_marks.look_square((at[0] + 8, at[1]), 7, ink) if kind == "screened" else ""


def _shade(kind: str) -> Callable[[Point, Ink], str]:
    def draw(at: Point, ink: Ink) -> str:
        box: dict[str, str | float | None] = {
            "x": at[0] - 14, "y": at[1] - 7, "width": 28, "height": 14,
        }  # fmt: skip
        floor = svg.tag("rect", fill=ink.floor, stroke=ink.mark, stroke_width=1, **box)
        return floor + (svg.tag("rect", fill=f"url(#shade-{kind})", **box) if kind != "both" else "")

    return draw


def _player(team: str) -> Callable[[Point, Ink], str]:
    def draw(at: Point, ink: Ink) -> str:
        return svg.tag("g", scene_marks.player(8, team, "4", ink), transform=moved_to(at))

    return draw


def _official(shape: str) -> Callable[[Point, Ink], str]:
    return lambda at, ink: marks.official(at, 9, shape, "", ink, before=False)


def _edge(role: str) -> Callable[[Point, Ink], str]:
    def draw(at: Point, ink: Ink) -> str:
        ends = [(at[0] + 14, at[1] - 7), (at[0] - 14, at[1]), (at[0] + 14, at[1] + 7)]
        return cone_edge(ends, role, ink)

    return draw


def cone_edge(points: Iterable[Point], role: str, ink: Ink, *, name: str = "edge") -> str:
    """Return an edge of a cone: whole for the lead, broken for the trail."""
    return svg.tag(
        "path", d=svg.path(points), fill="none", stroke=ink.ink, stroke_width=1.7,
        stroke_dasharray=None if role == "lead" else "10 5", class_=f"{name} {role}",
    )  # fmt: skip


def _way(kind: str) -> Callable[[Point, Ink], str]:
    return lambda at, ink: scene_marks.way(((at[0] - 16, at[1]), (at[0] + 15, at[1])), kind, ink)


def _held(at: Point, ink: Ink) -> str:
    floor = svg.tag("rect", x=at[0] - 14, y=at[1] - 7, width=28, height=14, fill=ink.floor)
    dots = svg.tag("rect", x=at[0] - 14, y=at[1] - 7, width=28, height=14, fill="url(#box-shared)")
    return floor + dots


def _ring(behind: bool) -> Callable[[Point, Ink], str]:
    return lambda at, ink: scene_marks.ring(at, 3.5, ink, behind=behind)


PEOPLE = (
    Entry(_official("square"), "Referee"),
    Entry(_official("circle"), "Umpire"),
    Entry(_player("a"), "Team a"),
    Entry(_player("b"), "Team b"),
)
LOOKS = (
    Entry(_look("open"), "Open look"),
    Entry(_look("straight-lined"), "Straight-lined"),
    Entry(_look("screened"), "Screened, by whom"),
    Entry(_look("other"), "Too far, too close, out of the field"),
)
WAYS = (
    Entry(_way("official"), "Way of an official"),
    Entry(_way("player"), "Of a player"),
    Entry(_way("ball"), "Of the ball"),
)
BOX = (
    Entry(_edge("lead"), "From the lead round all players"),
    Entry(_edge("trail"), "From the trail"),
    Entry(_held, "Held by both"),
    Entry(_ring(behind=False), "Outside the box"),
    Entry(_ring(behind=True), "Behind an official"),
)
SHADE = (
    Entry(_shade("both"), "Both see this floor"),
    Entry(_shade("lead"), "Lead only"),
    Entry(_shade("trail"), "Trail only"),
    Entry(_shade("nobody"), "Nobody"),
)


def groups(*, looks: bool, shade: bool, ways: bool = False) -> tuple[tuple[Entry, ...], ...]:
    """Return the entries of everything a picture shows; each group begins a row.

    >>> len(groups(looks=True, shade=False))
    3
    """
    rows = [PEOPLE + (WAYS if ways else ())]
    rows += [LOOKS, BOX] if looks else []
    rows += [SHADE] if shade else []
    return tuple(rows)


def moved_to(at: Point) -> str:
    """Return the attribute that puts a mark drawn about the origin at a point.

    >>> moved_to((1.5, 2))
    'translate(1.5 2)'
    """
    return f"translate({svg.number(at[0])} {svg.number(at[1])})"


def key(
    rows: Iterable[Iterable[Entry]], caution: str, across: float, top: float, ink: Ink
) -> tuple[str, float]:
    """Return the key as one group below ``top``, and how high it is; each group of entries begins a row."""
    found: list[str] = []
    y = top + ROW / 2
    for group in rows:
        x = PAD
        for entry in group:
            wide = SAMPLE + width(entry.words, SIZE) + 14
            if x > PAD and x + wide > across:
                x, y = PAD, y + ROW
            found.append(entry.draw((x + SAMPLE / 2 - 2, y), ink))
            found.append(marks.text((x + SAMPLE, y + 4.2), entry.words, ink.ink, size=SIZE))
            x += wide
        y += ROW
    for line in wrap(caution, SIZE, across - 2 * PAD):
        found.append(marks.text((PAD, y + 1), line, ink.soft, size=SIZE))
        y += SIZE * 1.3
    high = y - top - ROW / 2 + 8
    ground = svg.tag("rect", x=0, y=top, width=across, height=high, fill=ink.page)
    return svg.tag("g", ground, *found, class_="key"), high
