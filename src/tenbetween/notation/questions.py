"""The questions that lead to a situation, one after the other: only those the answer turns on.

Order as one says it: which basket, why play stopped, where, whose ball, the lead's side, then what the cause
asks.
Knows no screen and no keyboard.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, get_args

from msgspec import Struct

from tenbetween.errors import NotationError, Problem
from tenbetween.notation.needs import Fields, need_of, needs_ball, needs_place, needs_roles
from tenbetween.notation.typed import read_fields
from tenbetween.situation import CAUSES, Basket, Pending, Role, TableSide, Team


class Question(Struct, frozen=True):
    """One question: the field it fills, its words, the answers to choose from (empty: a place to type)."""

    field: str
    asks: str
    choices: tuple[tuple[str, str], ...] = ()
    """Value and words of each answer, in order."""
    optional: bool = False


_WORDS = {
    "left": "the left basket",
    "right": "the right basket",
    "table": "table side",
    "opposite": "opposite side",
    "same": "the team that attacked",
    "other": "its opponents",
    "lead": "the lead",
    "trail": "the trail",
    "spot": "yes, at a spot",
    "run_end_line": "yes, with the run of the end line",
}
ASKS = {
    "attacking": "Which basket did the team attack that had the ball?",
    "stopped_by": "Why did play stop?",
    "at": "Where? (table 26, or 26 from end line, 12 from table, or 58,0)",
    "ball_to": "Whose ball is it now?",
    "lead_side": "On which side was the lead?",
    "pending": "Was a throw-in due or under way?",
    "called_by": "Who called it?",
    "bonus": "Is the bonus on?",
}
_OPTIONAL = ("pending", "called_by", "bonus")


def ask_in_order(fields: Fields, asked: Collection[str] = ()) -> Question | None:
    """Return the next question for what is known so far, None when nothing more need be asked.

    ``asked`` are fields already asked: an optional one that was passed over is not asked again.

    >>> ask_in_order({}).field, ask_in_order({"attacking": "right", "stopped_by": "game_start"})
    ('attacking', None)
    """
    return next(
        (question(field) for field in _open(fields) if field not in fields and field not in asked), None
    )


def _open(fields: Fields) -> tuple[str, ...]:
    cause = fields.get("stopped_by")
    if cause is None:
        return ("attacking", "stopped_by")
    need = need_of(fields)
    spared, follow = need.spared_by, need.may_follow
    asked = (
        ("attacking", True),
        ("pending", "pending" in follow and "run_end_line" in spared),
        ("bonus", "bonus" in spared),
        ("at", needs_place(fields)),
        ("ball_to", needs_ball(fields) or "bonus" in spared),
        ("lead_side", needs_roles(fields)),
        ("called_by", "called_by" in follow and cause.endswith("_foul")),
    )
    return tuple(name for name, holds in asked if holds)


def question(field: str) -> Question:
    """Return the question that fills a field.

    >>> question("lead_side").choices
    (('table', 'table side'), ('opposite', 'opposite side'))
    """
    values: dict[str, tuple[str, ...]] = {
        "attacking": get_args(Basket),
        "stopped_by": CAUSES,
        "ball_to": get_args(Team),
        "lead_side": get_args(TableSide),
        "pending": get_args(Pending),
        "called_by": get_args(Role),
        "bonus": ("yes", "no"),
    }
    choices = tuple((value, _WORDS.get(value, value.replace("_", " "))) for value in values.get(field, ()))
    return Question(field, ASKS[field], choices, field in _OPTIONAL)


def take(asked: Question, answer: str, fields: Fields) -> dict[str, Any]:
    """Return the fields with one answer taken in: its number, its word, or any spelling of it.

    >>> take(question("stopped_by"), "travel", {"attacking": "right"})["stopped_by"]
    'violation'

    Raises:
        NotationError: the answer is none to this question.
    """
    said = answer.strip()
    if not said and asked.optional:
        return dict(fields)
    if asked.field == "at":
        return _taken_from_line(asked, said, fields)
    value = _chosen(asked, said)
    if value is None:
        return _taken_from_line(asked, said, fields)
    return {**fields, asked.field: value == "yes" if asked.field == "bonus" else value}


def _chosen(asked: Question, said: str) -> str | None:
    word = said.lower().replace(" ", "_")
    if said.isdecimal() and len(said) < 4 and 1 <= int(said) <= len(asked.choices):
        return asked.choices[int(said) - 1][0]
    exact = [value for value, words in asked.choices if word == value or said.lower() == words.lower()]
    begins = [value for value, _ in asked.choices if word and value.startswith(word)]
    return exact[0] if exact else (begins[0] if len(begins) == 1 else None)


def _taken_from_line(asked: Question, said: str, fields: Fields) -> dict[str, Any]:
    """Read an answer as a piece of a typed line, with what is known of the basket for the place."""
    known = " ".join(str(fields[name]) for name in ("edition", "attacking") if fields.get(name))
    spoken = (
        f"lead {said}"
        if asked.field == "lead_side" and said.lower() in ("table side", "opposite side")
        else said
    )
    got, problems = read_fields(f"{known}; {spoken}")
    if problems:
        raise NotationError(Problem(asked.field, p.found, p.expected, p.do) for p in problems)
    if asked.field not in got:
        choices = (
            ", ".join(value.replace("_", " ") for value, _ in asked.choices) or "a place such as table 26"
        )
        raise NotationError(
            Problem(asked.field, repr(said[:60]), choices, "answer with one of them, or its number")
        )
    more = {name: value for name, value in got.items() if fields.get(name) is None and value is not None}
    return {**fields, **more, asked.field: got[asked.field]}
