"""Stick figures: one for every signal of the book, each unlike every other in grey."""

from __future__ import annotations

import re
from itertools import combinations

import numpy as np

from draw.pictures import grey
from tenbetween.book import edition_ids, load_book
from tenbetween.book.vocabulary import SIGNALS
from tenbetween.draw.signals import FIGURES, HIGH, WIDE, gallery_svg, joints, signal_svg


def test_every_signal_of_the_book_has_a_figure() -> None:
    assert set(SIGNALS) <= set(FIGURES)


def test_every_signal_the_editions_show_is_drawn() -> None:
    shown = {
        dict(row.then).get("signal", "none")
        for edition in edition_ids()
        for _, row in load_book(edition).rows("steps")
    }
    assert len(shown) > 5
    assert shown <= set(FIGURES)


def test_every_two_figures_differ_in_grey() -> None:
    pixels = {name: grey(signal_svg(name, theme="print"), zoom=2).astype(int) for name in FIGURES}
    for (a, first), (b, second) in combinations(pixels.items(), 2):
        differ = int(np.sum(np.abs(first - second) > 96))
        # The smallest difference we allow is about one finger or one stroke of the picture.
        assert differ > 60, f"{a} and {b} look alike: {differ} points"


def test_nothing_is_cut_off() -> None:
    for name in FIGURES:
        pixels = grey(signal_svg(name, theme="print"), zoom=2)
        edge = np.concatenate([pixels[0], pixels[-1], pixels[:, 0], pixels[:, -1]])
        assert edge.min() > 200, name


def test_hands_are_where_arms_end() -> None:
    for figure in FIGURES.values():
        for arm, side in ((figure.left, -1), (figure.right, 1)):
            _, _, (x, y) = joints(arm, side)
            assert 0 <= x <= WIDE, figure.name
            assert 0 <= y <= HIGH, figure.name


def test_gallery_shows_all_with_words() -> None:
    said = re.sub(r"<[^>]*>", " ", gallery_svg())
    for figure in FIGURES.values():
        assert all(word in said for word in figure.says.split()), figure.name
