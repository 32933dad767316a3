"""Reads book text: splits TOML at its headers and decodes each part alone, so every fault has its line.

The standard reader stops at the first mistake and gives no line for a meaningful one; here each
``[[header]]`` part is read on its own and every fault is collected. Knows files, but no edition.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from msgspec import Struct

from tenbetween.book import vocabulary as words
from tenbetween.book.provision import Provision, Row, Setting
from tenbetween.errors import Problem, one_of

_HEADER = re.compile(r"^\s*\[{1,2}\s*([A-Za-z_.]+)\s*\]{1,2}\s*(?:#.*)?$")
_AT = re.compile(r"\s*\(at line (\d+), column (\d+)\)|\s*\(at end of document\)")
_ID = re.compile(r"^[a-z0-9]+(?:[.-][a-z0-9]+)*$")
MAX_BYTES = 2_000_000


class Part(Struct, frozen=True):
    """One header with its body as read, and the line it stands on."""

    header: str
    line: int
    body: dict[str, Any]
    where: str

    def at(self, field: str = "") -> str:
        """Return ``file:line`` and the field, as errors name it."""
        return f"{self.where}:{self.line}" + (f" {field}" if field else "")


def read_parts(text: str, where: str, faults: list[Problem]) -> list[Part]:
    r"""Return every header part of a TOML text that can be read; what cannot goes into ``faults``.

    >>> [(p.header, p.line, p.body) for p in read_parts("[[row]]\nname = 'a'\n", "x.toml", [])]
    [('row', 1, {'name': 'a'})]
    """
    if len(text) > MAX_BYTES:
        faults.append(Problem(where, f"{len(text):,} characters", f"at most {MAX_BYTES:,}", "split the file"))
        return []
    parts: list[Part] = []
    for header, line, lines in _chunks(text):
        try:
            body = tomllib.loads("\n".join(lines))
        except (tomllib.TOMLDecodeError, RecursionError) as fault:
            faults.append(_syntax_problem(str(fault), where, line))
            continue
        if header or body:
            parts.append(Part(header, line, body, where))
    return parts


def _chunks(text: str) -> Iterator[tuple[str, int, list[str]]]:
    header, start, lines, quoted = "", 0, list[str](), False
    for number, line in enumerate(text.splitlines(), 1):
        found = None if quoted else _HEADER.match(line)
        if found:
            yield header, start, lines
            header, start, lines = found[1], number, []
            continue
        if (line.count('"""') + line.count("'''")) % 2:
            quoted = not quoted
        lines.append(line)
    yield header, start, lines


def _syntax_problem(message: str, where: str, header_line: int) -> Problem:
    found = _AT.search(message)
    line = header_line + int(found[1]) if found and found[1] else header_line
    return Problem(
        f"{where}:{line}",
        _AT.sub("", message)[:200] or "text that is not TOML",
        'lines such as  name = "value"',
        "mend this part; the other parts were read",
    )


def text_of(part: Part, field: str, faults: list[Problem], *, default: str = "", needed: bool = False) -> str:
    """Return a text field, collecting a fault when it is missing or not text."""
    value = part.body.get(field, default)
    if isinstance(value, (date, datetime)):
        value = value.isoformat()
    if not isinstance(value, str):
        faults.append(Problem(part.at(field), repr(value)[:80], "text in quotes", f'write {field} = "..."'))
        return default
    if needed and not value.strip():
        faults.append(Problem(part.at(field), "nothing", "a text", f'add {field} = "..."'))
    return value.strip()


def list_of(part: Part, field: str, faults: list[Problem]) -> tuple[str, ...]:
    """Return a list of texts (one bare text counts as a list of one)."""
    value = part.body.get(field, [])
    if isinstance(value, str):
        value = [value]
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        faults.append(
            Problem(part.at(field), repr(value)[:80], "a list of texts", f'write {field} = ["..."]')
        )
        return ()
    return tuple(value)


def unknown_fields(part: Part, allowed: tuple[str, ...], faults: list[Problem]) -> None:
    """Collect a fault for every field that is not in ``allowed``, with the nearest right name."""
    faults.extend(one_of(part.at(str(name)), name, allowed) for name in part.body if name not in allowed)


PROVISION_TEXTS = ("title", "sentence", "why", "wrong", "said", "signal", "source", "section")
PROVISION_FIELDS = ("id", "group", *PROVISION_TEXTS, "confidence", "status", "without")
ROW_FIELDS = ("name", "table", "when", "then", "overrides", "because", "not_covered", "not_needed")


def read_provision(part: Part, base: Provision | None, faults: list[Problem]) -> Provision | None:
    """Return the provision of a part, over ``base`` when an older text already has that id (rows kept)."""
    unknown_fields(part, PROVISION_FIELDS, faults)
    id_ = text_of(part, "id", faults, needed=True)
    if not _ID.match(id_):
        faults.append(
            Problem(
                part.at("id"), repr(id_), 'a dotted id such as "who.front-sideline"', "use a-z, 0-9, - and ."
            )
        )
        return None
    values: dict[str, Any] = {
        field: text_of(
            part, field, faults, default=getattr(base, field, ""), needed=base is None and field == "sentence"
        )
        for field in PROVISION_TEXTS
    }
    for field, allowed in (("confidence", words.CONFIDENCE), ("status", words.STATUS)):
        value = text_of(
            part, field, faults, default=getattr(base, field, allowed[-1 if field == "confidence" else 0])
        )
        if value not in allowed:
            faults.append(one_of(part.at(field), value, allowed))
        values[field] = value
    group = text_of(part, "group", faults, default=base.group if base else id_.split(".")[0])
    gone = list_of(part, "without", faults)
    rows = tuple(row for row in (base.rows if base else ()) if row.name not in gone)
    return Provision(id=id_, group=group, file=part.where, line=part.line, rows=rows, **values)


def read_row(
    part: Part,
    owner: str,
    settings: dict[str, Setting],
    groups: dict[str, tuple[str, ...]],
    faults: list[Problem],
) -> Row | None:
    """Return one row under the provision ``owner``; every wrong word in it becomes a fault."""
    unknown_fields(part, ROW_FIELDS, faults)
    name = text_of(part, "name", faults, needed=True)
    table_name = text_of(part, "table", faults, needed=True)
    table = next((t for t in words.TABLES if t.name == table_name), None)
    if table is None:
        faults.append(one_of(part.at("table"), table_name, words.TABLE_NAMES))
        return None
    when = _read_when(part, settings, groups, faults)
    not_covered = text_of(part, "not_covered", faults)
    not_needed = part.body.get("not_needed", False) is True
    silent = bool(not_covered) or not_needed
    then = () if silent else _read_then(part, table, faults)
    overrides = list_of(part, "overrides", faults)
    because = text_of(part, "because", faults)
    if overrides and not because:
        faults.append(
            Problem(
                part.at("because"), "nothing", "why this row goes before the other", 'add because = "..."'
            )
        )
    if not _ID.match(name):
        faults.append(
            Problem(part.at("name"), repr(name), "a short name such as own-sideline", "use a-z, 0-9 and -")
        )
        return None
    full = tuple(o if "/" in o or "." in o else f"{owner}/{o}" for o in overrides)
    return Row(
        name, table_name, when, then, full, because, not_covered, not_needed, file=part.where, line=part.line
    )


def _read_when(
    part: Part, settings: dict[str, Setting], groups: dict[str, tuple[str, ...]], faults: list[Problem]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    raw = part.body.get("when", {})
    if not isinstance(raw, dict):
        faults.append(
            Problem(
                part.at("when"), repr(raw)[:80], "{ feature = value }", 'write when = { line = "sideline" }'
            )
        )
        return ()
    out: dict[str, tuple[str, ...]] = {}
    for feature, value in raw.items():
        allowed = words.FEATURES.get(feature) or (settings[feature].values if feature in settings else None)
        if allowed is None:
            faults.append(one_of(part.at(f"when.{feature}"), feature, (*words.FEATURES, *settings)))
            continue
        out[feature] = _values(part, feature, value, allowed, groups, faults)
    return tuple(sorted(out.items()))


def _values(
    part: Part,
    feature: str,
    value: Any,
    allowed: tuple[str, ...],
    groups: dict[str, tuple[str, ...]],
    faults: list[Problem],
) -> tuple[str, ...]:
    """Return the values a condition allows; "not x" takes x away from the rest."""
    listed = value if isinstance(value, list) else [value]
    wanted, barred = set[str](), set[str]()
    for word in listed:
        negated = isinstance(word, str) and word.startswith("not ")
        bare = word[4:] if negated else word
        meant = groups.get(bare, (bare,)) if isinstance(bare, str) else ()
        wrong = [m for m in meant if m not in allowed] or ([] if meant else [bare])
        faults.extend(one_of(part.at(f"when.{feature}"), w, (*allowed, *groups)) for w in wrong)
        (barred if negated else wanted).update(meant)
    return tuple(v for v in allowed if (not wanted or v in wanted) and v not in barred)


def _read_then(part: Part, table: words.Table, faults: list[Problem]) -> tuple[tuple[str, Any], ...]:
    raw = part.body.get("then", {})
    if not isinstance(raw, dict) or not raw:
        faults.append(
            Problem(
                part.at("then"),
                repr(raw)[:80],
                f"what table {table.name} decides",
                f"write then = {{ {next(iter(table.fields))} = ... }}",
            )
        )
        return ()
    for field, value in raw.items():
        allowed = table.fields.get(field)
        if allowed is None:
            faults.append(one_of(part.at(f"then.{field}"), field, tuple(table.fields)))
        elif isinstance(allowed, tuple):
            for one in value if isinstance(value, list) else [value]:
                if one not in allowed:
                    faults.append(one_of(part.at(f"then.{field}"), one, allowed))
        elif type(value) is not allowed:
            faults.append(
                Problem(part.at(f"then.{field}"), repr(value)[:80], f"a {allowed.__name__}", "mend the value")
            )
    return tuple(sorted((k, tuple(v) if isinstance(v, list) else v) for k, v in raw.items()))
