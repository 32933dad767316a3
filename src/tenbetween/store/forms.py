"""The forms saved values are made of: text of a certain size, a day, an id, and JSON kept as text.

Knows what is well formed, not what is kept.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Annotated, Any

import msgspec
from msgspec import Meta, Struct

from tenbetween.errors import Problem, StoreError
from tenbetween.store import ids

LARGEST_TEXT = 2_000_000
"""Signs in one text; a whole season of stoppages is far below it."""
DEEPEST_JSON = 40

Name = Annotated[str, Meta(min_length=1, max_length=200)]
Words = Annotated[str, Meta(max_length=20_000)]
LongText = Annotated[str, Meta(max_length=LARGEST_TEXT)]
Day = Annotated[str, Meta(pattern=r"^\d{4}-\d{2}-\d{2}\Z")]
ObjectId = Annotated[str, Meta(pattern=ids.PATTERN)]


class Json(Struct, frozen=True):
    """A piece of JSON kept as text, so that it is frozen, compares exactly and never holds NaN.

    >>> Json.of({"spot": [28, 0]}).data()["spot"]
    [28, 0]
    """

    text: str = "{}"

    @classmethod
    def of(cls, value: object, where: str = "value") -> Json:
        """Return a value written as JSON, names in order.

        Raises:
            StoreError: something in it has no JSON form (NaN, other types, names that are not text).
        """
        plain = msgspec.to_builtins(value) if isinstance(value, Struct) else value
        faults = tuple(json_faults(plain, where, 0))
        if faults:
            raise StoreError(faults)
        text = json.dumps(plain, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
        if len(text) > LARGEST_TEXT:
            raise StoreError(_too_large(where, len(text)))
        return cls(text)

    def data(self) -> Any:
        """Return a fresh copy of the JSON value."""
        try:
            return msgspec.json.decode(self.text)  # several times as fast; a film's marks hold many
        except msgspec.MsgspecError:
            return json.loads(self.text)


def json_faults(value: object, where: str, depth: int) -> Iterator[Problem]:
    """Yield what in a value has no JSON form."""
    if depth > DEEPEST_JSON:
        yield Problem(where, "lists inside lists without end", f"at most {DEEPEST_JSON} levels", "flatten it")
    elif isinstance(value, str):
        yield from text_faults(value, where)
    elif isinstance(value, Mapping):
        for name, part in value.items():
            yield from name_faults(name, where)
            yield from json_faults(part, f"{where}.{name}"[:200], depth + 1)
    elif isinstance(value, list | tuple):
        for place, part in enumerate(value):
            yield from json_faults(part, f"{where}[{place}]"[:200], depth + 1)
    elif isinstance(value, float) and not math.isfinite(value):
        yield Problem(where, str(value), "a finite number", "leave the field out or write a number")
    elif not (value is None or isinstance(value, bool | int | float)):
        yield Problem(
            where,
            sort_of(value),
            "text, number, list, object, true, false or null",
            "write it so",
        )


def name_faults(name: object, where: str) -> Iterator[Problem]:
    """Yield what keeps a name of an object from being text."""
    if isinstance(name, str):
        yield from text_faults(name, where)
    else:
        yield Problem(where, f"the name {name!r}"[:80], "names that are text", "put the name in quotes")


def text_faults(text: str, where: str) -> Iterator[Problem]:
    """Yield signs that are no text."""
    if "\x00" in text or any("\ud800" <= sign <= "\udfff" for sign in text):
        yield Problem(
            where, "a sign that is no text (NUL or half a sign)", "readable text", "take that sign out"
        )


def _too_large(where: str, signs: int) -> Problem:
    return Problem(
        where, f"{signs} signs", f"at most {LARGEST_TEXT}", "keep it in parts, or as a file in exports/"
    )


def day_faults(day: str, where: str) -> Iterator[Problem]:
    """Yield what keeps a text from being a day of the calendar."""
    try:
        date.fromisoformat(day)
    except ValueError:
        yield Problem(where, repr(day), "a day of the calendar as 2025-11-30", "write year, month and day")


_SORTS = {
    dict: "named fields",
    list: "a list",
    str: "text",
    int: "a number",
    float: "a number",
    type(None): "nothing",
}


def sort_of(value: object) -> str:
    """Return what sort of thing a value is, for an error.

    >>> sort_of(5), sort_of(None), sort_of({1})
    ('a number', 'nothing', 'one set')
    """
    return _SORTS.get(type(value), f"one {type(value).__name__}")


def brief(part: object) -> str:
    """Return a value as an error shows it: whole when short, else its beginning and its size.

    >>> brief("a" * 500)
    "'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa ... (502 signs)"
    """
    text = repr(part)
    return text if len(text) <= 60 else f"{text[:50]} ... ({len(text)} signs)"
