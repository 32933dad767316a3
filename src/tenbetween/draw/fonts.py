"""The one font everything is drawn with, and how much room a text takes in it.

Knows the width of each sign (``font_widths``) and where the font files lie; reads no file itself.
"""

from __future__ import annotations

from pathlib import Path

from tenbetween.draw.font_widths import BOLD, REGULAR

FAMILY = "Atkinson Hyperlegible Next"
FOLDER = Path(__file__).with_name("fonts")
"""Regular and Bold as TTF, with their licence (SIL Open Font License 1.1) beside them."""
FILES = (FOLDER / "AtkinsonHyperlegibleNext-Regular.ttf", FOLDER / "AtkinsonHyperlegibleNext-Bold.ttf")
ABOVE, BELOW = 0.80, 0.24
"""How far signs reach above and below the line they stand on, in sizes; the tests measure it."""
LINE = 1.22
"""From one line to the next, in sizes."""
_UNKNOWN = 1000
_SAFETY = 1.02
"""Pairs of letters may be set a little closer or wider than their own widths say."""


def width(text: str, size: float, *, bold: bool = False) -> float:
    """Return how wide a text is, in the unit of ``size``; signs the font lacks count as one size.

    >>> width("ll", 10) < width("mm", 10) < width("mm", 10, bold=True)
    True
    """
    table = BOLD if bold else REGULAR
    return sum(table.get(ord(sign), _UNKNOWN) for sign in text) * size * _SAFETY / 1000


def lacks(text: str) -> str:
    """Return the signs of a text the font does not have.

    >>> lacks("26 ft × 3 ✓")
    '✓'
    """
    return "".join(sign for sign in text if ord(sign) not in REGULAR)


def wrap(text: str, size: float, room: float, *, bold: bool = False) -> tuple[str, ...]:
    """Return a text broken at its spaces into lines that fit a width; a longer word stands alone.

    >>> wrap("old lead, now trail", 10, 50)
    ('old lead,', 'now trail')
    """
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size, bold=bold) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)
