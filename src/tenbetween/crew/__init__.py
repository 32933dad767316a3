"""Two persons through a whole game: who is lead and trail, on which side, and where both should be."""

from __future__ import annotations

from tenbetween.crew.invariants import broken
from tenbetween.crew.values import (
    COLOURS,
    PERSONS,
    Caller,
    Colour,
    Disposal,
    Due,
    Fault,
    Opening,
    Pair,
    Question,
    Share,
    Standing,
    Stoppage,
    Throws,
    Walk,
    Walked,
    Why,
    clock_words,
    other_colour,
    other_person,
)
from tenbetween.crew.walk import walk

__all__ = [
    "COLOURS",
    "PERSONS",
    "Caller",
    "Colour",
    "Disposal",
    "Due",
    "Fault",
    "Opening",
    "Pair",
    "Question",
    "Share",
    "Standing",
    "Stoppage",
    "Throws",
    "Walk",
    "Walked",
    "Why",
    "broken",
    "clock_words",
    "other_colour",
    "other_person",
    "walk",
]
