"""Puts painted marks on a painted ground, dot by dot, many times a second.

A mark is a square with how much of it covers (0 to 255), taken from one sheet. Knows dots only.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.write import Picture, film_parts

Dots = NDArray[np.uint8]


def dots_of(png: bytes) -> Dots:
    """Return a PNG as height, width, red-green-blue and cover.

    Raises:
        UsageError: the extra ``film`` is missing.
    """
    av = film_parts()
    with av.open(io.BytesIO(png)) as box:
        picture = next(iter(box.decode(video=0)))
    return np.asarray(picture.to_ndarray(format="rgba"), dtype=np.uint8)


class Marks:
    """The marks of a sheet: one row a mark, one column a place, all squares of one side."""

    def __init__(self, sheet: Dots, side: int) -> None:
        rows, columns = sheet.shape[0] // side, sheet.shape[1] // side
        cut = sheet.reshape(rows, side, columns, side, 4).swapaxes(1, 2)
        cover = cut[..., 3:].astype(np.uint16)
        # Kept as colour times cover, and what is left of the ground, so that laying on is one line of whole numbers.
        self._over = cut[..., :3].astype(np.uint16) * cover
        self._left = (255 - cover).astype(np.uint16)
        self.side = side

    def lay(self, ground: Picture, puts: Iterable[tuple[int, int, int, int]]) -> Picture:
        """Return a ground with marks on it, each given as row, column and the dot its square begins at.

        >>> sheet = np.full((2, 2, 4), 255, dtype=np.uint8)
        >>> Marks(sheet, 2).lay(np.zeros((3, 3, 3), dtype=np.uint8), [(0, 0, 2, 2)])[..., 0].tolist()
        [[0, 0, 0], [0, 0, 0], [0, 0, 255]]
        """
        frame = ground.copy()
        high, wide = frame.shape[:2]
        for mark, phase, x, y in puts:
            left, top = max(0, -x), max(0, -y)
            right, bottom = min(self.side, wide - x), min(self.side, high - y)
            if right > left and bottom > top:
                part: Any = (slice(top, bottom), slice(left, right))
                under = frame[y + top : y + bottom, x + left : x + right]
                laid = self._over[mark, phase][part] + under * self._left[mark, phase][part]
                under[...] = (laid + 127) // 255
        return frame
