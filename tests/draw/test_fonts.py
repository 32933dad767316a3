"""What we say about the room a text takes is what the shipped fonts say."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont

from tenbetween.draw.font_widths import BOLD, REGULAR
from tenbetween.draw.fonts import ABOVE, BELOW, FAMILY, FILES, lacks, width, wrap

WIDTHS = {"Regular": REGULAR, "Bold": BOLD}
NEEDED = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.,:;?!'\"-–()[]/+=%&×°½’“”"


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_widths_are_those_of_the_font(file: object) -> None:
    font = TTFont(str(file))
    weight = str(file).rsplit("-", 1)[1].removesuffix(".ttf")
    cmap, metrics = font.getBestCmap(), font["hmtx"]
    assert font["head"].unitsPerEm == 1000
    assert {sign: metrics[glyph][0] for sign, glyph in cmap.items()} == WIDTHS[weight]
    assert font["name"].getDebugName(1) == FAMILY
    assert font["OS/2"].usWeightClass == {"Regular": 400, "Bold": 700}[weight]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_signs_we_use_reach_no_higher_or_lower_than_we_say(file: object) -> None:
    font = TTFont(str(file))
    cmap, shapes = font.getBestCmap(), font["glyf"]
    for sign in NEEDED:
        shape = shapes[cmap[ord(sign)]]
        assert shape.yMax <= ABOVE * 1000, sign
        assert shape.yMin >= -BELOW * 1000, sign


def test_the_font_has_every_sign_we_need() -> None:
    assert lacks(NEEDED) == ""


def test_wrapped_lines_fit_and_lose_nothing() -> None:
    text = "Old lead bounces it at the table sideline, 26 ft from the end line, and becomes trail."
    for room in (60.0, 110.0, 200.0, 900.0):
        lines = wrap(text, 14, room)
        assert " ".join(lines) == text
        assert all(width(line, 14) <= room or " " not in line for line in lines)
