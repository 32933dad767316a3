"""One line names a situation, exact both ways, many spellings in and one out; and the questions to one.

``parse`` and ``format`` are the pair; ``complaints`` says what is missing or contradictory, for every way in.
"""

from __future__ import annotations

from tenbetween.notation.lengths import exact_feet, floor_text, point_text
from tenbetween.notation.line import as_json, format  # noqa: A004
from tenbetween.notation.needs import (
    NEEDS,
    Need,
    complaints,
    implied_ball,
    needs_ball,
    needs_place,
    needs_roles,
    with_implied,
)
from tenbetween.notation.places import place_words
from tenbetween.notation.questions import Question, ask_in_order, question, take
from tenbetween.notation.seasons import EDITIONS, EditionName, court_kind, edition_named
from tenbetween.notation.typed import parse, read_fields

__all__ = [
    "EDITIONS",
    "NEEDS",
    "EditionName",
    "Need",
    "Question",
    "as_json",
    "ask_in_order",
    "complaints",
    "court_kind",
    "edition_named",
    "exact_feet",
    "floor_text",
    "format",
    "implied_ball",
    "needs_ball",
    "needs_place",
    "needs_roles",
    "parse",
    "place_words",
    "point_text",
    "question",
    "read_fields",
    "take",
    "with_implied",
]
