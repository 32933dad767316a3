"""What is pointed at in one frame of film, as drawing: rings, arrows, lines of sight, names, counts, a sentence.

Takes shapes in dots of the picture; light with a dark edge, so that it is read on any picture and by any eye. Knows
no film and no camera.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import hypot
from typing import Any

from tenbetween.draw import svg

LIGHT, DARK = "#ffffff", "#000000"
THICK, EDGE, HEAD, LETTERS = 1 / 210, 2.4, 1 / 36, 1 / 30
"""As shares of the picture's width: a line, its dark edge in lines, an arrow's head, the height of letters."""
SENTENCE_FITS, SENTENCE_LINE, SENTENCE_EDGES = 42, 1.4, 0.8
"""Letters that fit across in a sentence; a line of it, and what is above and below all of them, in ``LETTERS``."""
FACE = "Atkinson Hyperlegible Next, Segoe UI, Arial, sans-serif"


def pointers_svg(shapes: Sequence[Mapping[str, Any]], picture: tuple[int, int]) -> str:
    """Return a picture of shapes, as large as the frame, with nothing behind them.

    >>> pointers_svg([{"kind": "sight", "points": [[0, 0], [10, 5]]}], (640, 360)).count("<line")
    2
    """
    wide, high = picture
    inside = [one for shape in shapes for one in drawn(shape, picture)]
    box = f"-0.5 -0.5 {wide} {high}"
    return svg.tag("svg", *inside, xmlns="http://www.w3.org/2000/svg", viewBox=box, width=wide, height=high)


def drawn(shape: Mapping[str, Any], picture: tuple[int, int]) -> list[str]:
    """Return the elements of one shape, the dark edge under the light one."""
    draw = {
        "ring": _ring,
        "arrow": _arrow,
        "sight": _sight,
        "name": _name,
        "count": _count,
        "sentence": _sentence,
    }
    found = draw.get(str(shape["kind"]))
    return [] if found is None else list(found(shape, picture))


def _ring(shape: Mapping[str, Any], picture: tuple[int, int]) -> Iterator[str]:
    points = " ".join(f"{svg.number(u)},{svg.number(v)}" for u, v in shape["points"])
    for colour, wide in _twice(picture):
        yield svg.tag("polygon", points=points, fill="none", stroke=colour, stroke_width=wide)


def _line(shape: Mapping[str, Any], picture: tuple[int, int], dashes: str | None) -> Iterator[str]:
    (x1, y1), (x2, y2) = shape["points"]
    for colour, wide in _twice(picture):
        yield svg.tag(
            "line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=colour, stroke_width=wide, stroke_dasharray=dashes
        )


def _sight(shape: Mapping[str, Any], picture: tuple[int, int]) -> Iterator[str]:
    step = picture[0] * THICK
    yield from _line(shape, picture, f"{svg.number(4 * step)} {svg.number(2.5 * step)}")


def _arrow(shape: Mapping[str, Any], picture: tuple[int, int]) -> Iterator[str]:
    yield from _line(shape, picture, None)
    points = " ".join(f"{svg.number(u)},{svg.number(v)}" for u, v in head(shape["points"], picture[0] * HEAD))
    yield svg.tag(
        "polygon", points=points, fill=LIGHT, stroke=DARK, stroke_width=picture[0] * THICK * (EDGE - 1) / 2
    )


def head(points: Sequence[Sequence[float]], long: float) -> list[tuple[float, float]]:
    """Return the three corners of an arrow's head at the end of a line.

    >>> head([[0.0, 0.0], [10.0, 0.0]], 4.0)
    [(10.0, 0.0), (6.0, 1.6), (6.0, -1.6)]
    """
    (x1, y1), (x2, y2) = points
    far = hypot(x2 - x1, y2 - y1) or 1.0
    ax, ay = (x2 - x1) / far, (y2 - y1) / far
    back = (x2 - ax * long, y2 - ay * long)
    side = 0.4 * long
    return [(x2, y2), (back[0] - ay * side, back[1] + ax * side), (back[0] + ay * side, back[1] - ax * side)]


def _name(shape: Mapping[str, Any], picture: tuple[int, int]) -> Iterator[str]:
    letter = {"lead": "L", "trail": "T"}.get(str(shape.get("role", "")), "")
    yield _words(
        " ".join(one for one in (letter, str(shape.get("text", ""))) if one), shape["at"], picture, 1.0
    )


def _count(shape: Mapping[str, Any], picture: tuple[int, int]) -> Iterator[str]:
    yield _words(str(shape["text"]), shape["at"], picture, 2.0)


def _sentence(shape: Mapping[str, Any], picture: tuple[int, int]) -> Iterator[str]:
    wide, high = picture
    lines, unit = lines_of(str(shape["text"])), wide * LETTERS
    tall = unit * (SENTENCE_EDGES + SENTENCE_LINE * len(lines))
    top = high - 0.5 - tall
    yield svg.tag("rect", x=-0.5, y=top, width=wide, height=tall, fill=DARK, fill_opacity=0.78)
    for number, line in enumerate(lines, 1):
        yield _words(line, (wide / 2, top + unit * SENTENCE_LINE * number), picture, 1.15)


def lines_of(text: str) -> list[str]:
    """Return a sentence in lines that fit across the picture; a word longer than a line is cut.

    >>> lines_of("Good: your eyes met before the ball was given; now step back.")
    ['Good: your eyes met before the ball was', 'given; now step back.']
    """
    lines = [""]
    for word in text.split():
        for part in (word[at : at + SENTENCE_FITS] for at in range(0, len(word), SENTENCE_FITS)):
            longer = f"{lines[-1]} {part}".strip()
            lines[-1:] = [longer] if len(longer) <= SENTENCE_FITS else [lines[-1], part]
    return lines


def _words(text: str, at: Sequence[float], picture: tuple[int, int], large: float) -> str:
    size = picture[0] * LETTERS * large
    return svg.tag(
        "text", svg.words(text), x=at[0], y=at[1], font_size=size, font_family=FACE, font_weight="bold",
        text_anchor="middle", fill=LIGHT, stroke=DARK, stroke_width=size / 6, paint_order="stroke",
    )  # fmt: skip


def _twice(picture: tuple[int, int]) -> tuple[tuple[str, float], tuple[str, float]]:
    thick = picture[0] * THICK
    return (DARK, thick * EDGE), (LIGHT, thick)
