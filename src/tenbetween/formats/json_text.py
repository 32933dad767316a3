"""JSON text in and out, strictly: every name once, every number finite, nothing without end.

Knows no field of ours. All faults are told at once, each with its place in the value.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from tenbetween.errors import FormatError, Problem

LARGEST = 20_000_000
"""Bytes of JSON text; a list of a hundred thousand situations is smaller."""
DEEPEST = 12
LONGEST_NUMBER = 40


class _Unfit:
    """A number that is none: NaN, an infinity, or one with too many digits."""

    def __init__(self, text: str) -> None:
        self.text = text if len(text) <= LONGEST_NUMBER else f"{text[:12]}... ({len(text)} digits)"


class _Object(dict[str, Any]):
    """An object in which some names stood twice."""

    twins: tuple[str, ...] = ()


def parse_json(text: str | bytes) -> Any:
    """Return the value of a JSON text.

    >>> parse_json('{"attacking": "left"}')
    {'attacking': 'left'}

    Raises:
        FormatError: no JSON, too much or too deep; every name that stands twice, every number that is none.
    """
    plain = _decoded(text) if isinstance(text, bytes) else text
    if len(plain) > LARGEST:
        found, expected = f"{len(plain):,} signs", f"at most {LARGEST:,} signs"
        raise FormatError(Problem("input", found, expected, "split it into several lists"))
    value = _loaded(plain)
    problems = tuple(_faults(value, "", 0))
    if problems:
        raise FormatError(problems)
    return value


def _decoded(raw: bytes) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        found = f"bytes that are no UTF-8 text, at byte {fault.start}"
        raise FormatError(Problem("input", found, "JSON text in UTF-8", "save the file as UTF-8")) from None


def _loaded(text: str) -> Any:
    try:
        return json.loads(
            text, object_pairs_hook=_pairs, parse_constant=_Unfit, parse_float=_decimal, parse_int=_whole
        )
    except json.JSONDecodeError as fault:
        found = "nothing" if not text.strip() else f"{fault.msg} at line {fault.lineno}, column {fault.colno}"
        do = "write a situation, or a list of them" if not text.strip() else "mend it there"
        raise FormatError(Problem("input", found, "one JSON value", do)) from None
    except RecursionError:
        raise FormatError(_too_deep("input")) from None


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = _Object(pairs)
    if len(found) == len(pairs):
        return dict(pairs)
    names = [name for name, _ in pairs]
    found.twins = tuple(dict.fromkeys(name for name in names if names.count(name) > 1))
    return found


def _decimal(text: str) -> Any:
    value = float(text) if len(text) <= LONGEST_NUMBER else None
    return _Unfit(text) if value is None or value in (float("inf"), float("-inf")) else value


def _whole(text: str) -> Any:
    return int(text) if len(text) <= LONGEST_NUMBER else _Unfit(text)


def _too_deep(where: str) -> Problem:
    return Problem(where, "lists or objects nested too deep", f"at most {DEEPEST} levels", "write it plainly")


def _faults(value: Any, where: str, depth: int) -> Iterator[Problem]:
    if depth > DEEPEST:
        yield _too_deep(where)
    elif isinstance(value, _Unfit):
        yield Problem(
            where or "input", value.text, "a finite number", "write a number such as 26.5, or leave it out"
        )
    elif isinstance(value, dict):
        yield from _object_faults(value, where, depth)
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from _faults(one, f"{where}[{number}]", depth + 1)


def _object_faults(value: dict[str, Any], where: str, depth: int) -> Iterator[Problem]:
    for name in value.twins if isinstance(value, _Object) else ():
        yield Problem(joined(where, name), "the name more than once", "each name once", "take the others out")
    for name, one in value.items():
        yield from _faults(one, joined(where, name), depth + 1)


def joined(where: str, name: str) -> str:
    """Return the place of a name in an object; a name that is no plain word is quoted and cut.

    >>> joined("[3]", "at"), joined("", "a b")
    ('[3].at', "'a b'")
    """
    shown = name if name.isascii() and name.isidentifier() and len(name) <= 40 else ascii(name[:40])
    return f"{where}.{shown}" if where else shown


def write_json(value: Any, *, indent: int | None = 2) -> str:
    """Return JSON text, names in the order given, signs as they are.

    >>> write_json({"a": [1.5, None]}, indent=None)
    '{"a": [1.5, null]}'

    Raises:
        ValueError: a number that is not finite (a fault of ours).
    """
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=indent)


def write_errors(problems: tuple[Problem, ...]) -> str:
    """Return problems as other programs read them; only plain letters, so that no terminal stumbles.

    >>> write_errors((Problem("at", "1", "2", "3"),))
    '{"errors": [{"where": "at", "found": "1", "expected": "2", "do": "3"}]}'
    """
    return json.dumps({"errors": [problem.as_dict() for problem in problems]}, ensure_ascii=True)
