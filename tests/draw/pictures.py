"""Pictures as pixels, drawn with the shipped font only."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tenbetween.draw import marks
from tenbetween.draw.fonts import ABOVE, LINE
from tenbetween.draw.frame import LABEL
from tenbetween.draw.lettering import PAD
from tenbetween.draw.plan import Label
from tenbetween.draw.sheet import diagram_png

Pixels = NDArray[np.uint8]


def grey(svg: str, *, zoom: float = 2.0) -> Pixels:
    """Return a picture as lightness, black is 0."""
    picture = Image.open(io.BytesIO(diagram_png(svg, zoom=zoom)))
    ground = Image.new("RGBA", picture.size, "white")
    ground.alpha_composite(picture.convert("RGBA"))
    return np.asarray(ground.convert("L"))


def boxes_of_text(size: tuple[float, float], label: Label) -> tuple[Any, ...] | None:
    """Return the box of the ink of a label's words alone, as the renderer draws them."""
    zoom, lines, y = 3.0, [], label.box.y0 + PAD / 2 + ABOVE * LABEL
    for mark, words in label.lines:
        x = label.box.x0 + PAD + (marks.GLYPH_WIDTH if mark else 0)
        lines.append(marks.text((x, y), words, "#000000", bold=label.bold))
        y += LINE * LABEL
    wide, high = size
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" '
        f'height="{high}"><rect width="{wide}" height="{high}" fill="#ffffff"/>{"".join(lines)}</svg>'
    )
    rows, columns = np.nonzero(grey(svg, zoom=zoom) < 128)
    if not len(rows):
        return None
    return columns.min() / zoom, rows.min() / zoom, (columns.max() + 1) / zoom, (rows.max() + 1) / zoom
