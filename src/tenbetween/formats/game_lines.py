"""A stoppage typed as one line of words in any order: "Q1 6:40 out of bounds 58,0 white called by lead".

Reads from left to right, the longest phrase first; what no phrase explains is named with the nearest one.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from tenbetween.crew import Opening, Stoppage, Why
from tenbetween.errors import Problem, TenbetweenError
from tenbetween.formats import game_words as words

_LENGTH = r"(?:60|30)(?:\s*(?:s|sec|seconds))?"
_PERIOD = r"q[1-4]|(?:1st|2nd|3rd|4th|first|second|third|fourth)(?: quarter)?|ot\d?|quarter [1-4]"  # codespell:ignore ot
_CLOCK = r"\d{0,2}:\d{2}(?:\.\d)?"
_PLACE = (
    r"\(?[-+]?\d+(?:\.\d+)?\s*,\s*[-+]?\d+(?:\.\d+)?\)?"
    r"|(?:left|right|table|opposite)(?: side ?line| end line| line| side)* \d+(?:\.\d+)?"
)


QUARTERS = ("quarter", "second quarter", "third quarter", "fourth quarter")
"""In a table these begin a quarter; in a line they say which one it is, and begin it only alone."""


@lru_cache(maxsize=8)
def _patterns(white: str, dark: str, referee: str, umpire: str) -> tuple[tuple[str, re.Pattern[str]], ...]:
    opening = Opening(white=white, dark=dark, referee=referee, umpire=umpire)

    def any_of(phrases: list[str]) -> str:
        return "|".join(re.escape(p) for p in sorted(phrases, key=len, reverse=True))

    team = any_of([w for ws in words.team_table(opening).values() for w in ws if len(w) > 1])
    person = any_of([w for ws in words.caller_table(opening).values() for w in ws if len(w) > 1])
    whys = any_of([w for w in words.why_words() if w not in QUARTERS])
    parts = (
        ("note", r"note\b:?\s*(.*)|\((?![-+\d])(.*)\)|\"(.*)\""),
        ("called_by", rf"(?:called |call )?by (?:the )?({person})"),
        ("by", rf"by ({team})"),
        ("had", rf"had (?:by )?({team})|({team}) had it"),
        ("ball", rf"(?:ball |ball to |to |ball for |for )({team})|({team}) ball"),
        ("why", rf"({whys})"),
        ("throw_in", r"(still due|due|throw in over|over)"),
        ("bonus", r"(no bonus|bonus)"),
        ("pressure", r"(pressed|press|pressure)"),
        ("clock", rf"({_CLOCK})"),
        ("at", rf"(?:at )?({_PLACE})"),
        ("period", rf"({_PERIOD})"),
        ("length", rf"({_LENGTH})"),
        ("team", rf"({team})"),
    )
    return tuple((name, re.compile(rf"(?:{pattern})(?![\w])", re.IGNORECASE)) for name, pattern in parts)


_TITLE = {"called_by": "called by", "throw_in": "throw-in", "length": "time-out", "period": "quarter"}
_READ: dict[str, Callable[[str, str, words.Vocabulary], Any]] = {
    "called_by": words.read_caller,
    "by": words.read_team,
    "had": words.read_team,
    "ball": words.read_team,
    "team": words.read_team,
    "throw_in": lambda w, t, v: words.read_throw_in(w, t.replace("throw in ", ""), v),
    "bonus": words.read_bonus,
    "pressure": words.read_pressure,
    "clock": words.read_clock,
    "at": words.read_place,
    "why": words.read_why,
    "period": lambda w, t, v: words.read_period(w, re.sub(r"^quarter ", "", t), v),
    "length": words.read_length,
}


def read_line(number: int, line: str, vocabulary: words.Vocabulary) -> tuple[Stoppage | None, list[Problem]]:
    """Return the stoppage of a typed line and its mistakes.

    >>> from tenbetween.court import court_of
    >>> known = words.Vocabulary(Opening(), court_of("us-hs"))
    >>> stoppage, problems = read_line(4, "Q1 6:40 out of bounds 58,0 white called by lead", known)
    >>> stoppage.why, stoppage.ball, stoppage.called_by, problems
    ('out_of_bounds', 'white', 'lead', [])
    """
    found, strange = _tokens(line, vocabulary)
    problems = [_strange(number, text, found) for text in strange]
    fields: dict[str, Any] = {}
    for name, text in found:
        if name in fields and name != "note":
            do = "write it once"
            problems.append(
                Problem(f"row {number}, {_TITLE.get(name, name)}", f"{text!r} as well", "one only", do)
            )
            continue
        fields[name] = _value(number, name, text, vocabulary, problems)
    if not strange and "period" in fields and set(fields) <= {"period", "clock", "note", "team", "ball"}:
        fields["why"] = "period_start"
    if "why" not in fields and not strange:
        problems.append(
            Problem(f"row {number}, why", repr(line.strip()), "why play stopped", "write it, such as 'foul'")
        )
    why: Why = fields.pop("why", None) or "injury"  # stands in; the line is at fault and not walked
    team = fields.pop("team", None)
    if team:
        fields.setdefault("by" if why in words.BY_FIRST else "ball", team)
    said = {name: value for name, value in fields.items() if value is not None}
    return Stoppage(row=number, why=why, **said), problems


def _value(number: int, name: str, text: str, vocabulary: words.Vocabulary, problems: list[Problem]) -> Any:
    if name == "note":
        return text.strip()
    try:
        return _READ[name](f"row {number}, {_TITLE.get(name, name)}", text, vocabulary)
    except TenbetweenError as error:
        problems += error.problems
        return None


def _strange(number: int, text: str, found: list[tuple[str, str]]) -> Problem:
    where = f"row {number}" if any(name == "why" for name, _ in found) else f"row {number}, why"
    expected = "words of the list" if where.endswith(str(number)) else "why play stopped"
    return words.unknown(where, text, expected, words.why_words())


def _tokens(line: str, vocabulary: words.Vocabulary) -> tuple[list[tuple[str, str]], list[str]]:
    """Return what each part of the line is, and the words nothing explains, neighbours together."""
    text = re.sub(r"[_\u2010-\u2014]|(?<=[a-z])-(?=[a-z])", " ", line.strip().lower())
    text = re.sub(r"\s+", " ", re.sub(r"\bbase ?lines?\b|\bendlines?\b", "end line", text))
    found: list[tuple[str, str]] = []
    strange: list[str] = []
    at, joined = 0, False
    while at < len(text):
        gap = re.compile(r"[\s/;,|.]+").match(text, at)
        if gap:
            at = gap.end()
            continue
        token = _token(text, at, vocabulary)
        if token:
            found.append(token[:2])
            at, joined = token[2], False
            continue
        word = re.compile(r"[^\s/;,|]+").match(text, at)
        piece = word[0] if word else text[at]
        strange[-1:] = [f"{strange[-1]} {piece}"] if joined and strange else [*strange[-1:], piece]
        at, joined = at + len(piece), True
    return found, strange


def _token(text: str, at: int, vocabulary: words.Vocabulary) -> tuple[str, str, int] | None:
    names = vocabulary.opening
    for name, pattern in _patterns(names.white, names.dark, names.referee, names.umpire):
        match = pattern.match(text, at)
        if match:
            said = next((group for group in match.groups() if group is not None), match[0])
            return name, said, match.end()
    return None
