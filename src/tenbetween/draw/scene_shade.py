"""The floor as two officials see it: cells where both, one or nobody sees, told apart by pattern and lightness.

Plain floor is seen by both; strokes rising to the right by the lead only; strokes falling to the right by the trail
only; a dark mesh by nobody. Knows a field of bits (1 the lead, 2 the trail) and decides nothing about it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from tenbetween.draw import svg
from tenbetween.draw.frame import Frame
from tenbetween.draw.ink import Ink

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Field = NDArray[np.uint8]

LEAD, TRAIL = 1, 2
KINDS = {0: "nobody", LEAD: "lead", TRAIL: "trail"}
"""What is painted, by the bits of a cell; seen by both is the floor as it is."""
DARK = "#000000"
_DEPTH = {"nobody": 0.42, "lead": 0.12, "trail": 0.12}
_STEP = 8.0


def patterns(ink: Ink) -> str:
    """Return the three patterns, to stand once in a picture.

    >>> from tenbetween.draw.ink import THEMES
    >>> patterns(THEMES["print"]).count("<pattern")
    3
    """
    return svg.tag("defs", *(_pattern(kind, ink) for kind in KINDS.values()))


def _pattern(kind: str, ink: Ink) -> str:
    s = _STEP if kind != "nobody" else _STEP / 2
    ground = svg.tag("rect", width=s, height=s, fill=DARK, fill_opacity=_DEPTH[kind])
    up = f"M0 {svg.number(s)}L{svg.number(s)} 0M-1 1L1 -1M{svg.number(s - 1)} {svg.number(s + 1)}l2 -2"
    down = f"M0 0L{svg.number(s)} {svg.number(s)}M{svg.number(s - 1)} -1l2 2M-1 {svg.number(s - 1)}l2 2"
    d = {"lead": up, "trail": down, "nobody": up + down}[kind]
    wide, strong = (0.8, 0.55) if kind == "nobody" else (1.2, 0.62)
    colour = DARK if kind == "nobody" else ink.soft
    strokes = svg.tag("path", d=d, fill="none", stroke=colour, stroke_width=wide, stroke_opacity=strong)
    return svg.tag(
        "pattern", ground, strokes, id=f"shade-{kind}", patternUnits="userSpaceOnUse", width=s, height=s
    )


def cells(field: Field, frame: Frame) -> list[str]:
    """Return one path for each kind of cell there is, each cell once.

    >>> import numpy as np
    >>> from tenbetween.court import court_of
    >>> from tenbetween.draw.frame import frame_of
    >>> frame = frame_of(court_of("us-hs"), half=None, scale=8.0)
    >>> [one.count("M") for one in cells(np.array([[3, 0, 0], [1, 1, 0]], dtype=np.uint8), frame)]
    [2, 1]
    """
    found = []
    for bits, kind in KINDS.items():
        d = "".join(_runs(field, bits, frame))
        if d:
            found.append(svg.tag("path", d=d, fill=f"url(#shade-{kind})", class_=f"seen-by {kind}"))
    return found


def _runs(field: Field, bits: int, frame: Frame) -> Iterator[str]:
    """Yield a box for every unbroken run of cells of one kind across the court."""
    cols, rows = field.shape
    wide, high = frame.length / cols, frame.width / rows
    for col, column in enumerate((field & 3).tolist()):
        row = 0
        while row < rows:
            end = row
            while end < rows and column[end] == bits:
                end += 1
            if end > row:
                a = frame.at((col * wide, row * high))
                b = frame.at(((col + 1) * wide, end * high))
                yield _box(a, b)
            row = max(end, row + 1)


def _box(a: svg.Point, b: svg.Point) -> str:
    n = svg.number
    return f"M{n(a[0])} {n(a[1])}H{n(b[0])}V{n(b[1])}H{n(a[0])}Z"
