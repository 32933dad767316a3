"""The tables: one for each kind of saved thing, and the journal, the same on SQLite and PostgreSQL.

Knows columns and how a saved thing lies in them; makes no table itself (the migrations do) and holds no rule.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from typing import Any

import msgspec
from sqlalchemy import BigInteger, Boolean, Column, ForeignKey, Index, Integer, MetaData, Table, Text
from sqlalchemy.engine import RowMapping

from tenbetween.store.forms import Json
from tenbetween.store.journal import Entry, Saved
from tenbetween.store.values import KINDS, Basis, Kind, ProvisionMark

IdText = Text().with_variant(Text(collation="C"), "postgresql")
"""Compared sign by sign on both databases, so that the order of ids is the order of time."""
Number = BigInteger().with_variant(Integer, "sqlite")

NAMING = {
    "pk": "%(table_name)s_key",
    "uq": "%(table_name)s_%(column_0_name)s_once",
    "fk": "%(table_name)s_%(column_0_name)s_there",
    "ix": "%(table_name)s_%(column_0_name)s",
}
metadata = MetaData(naming_convention=NAMING)

journal = Table(
    "journal",
    metadata,
    Column("seq", Number, primary_key=True, autoincrement=True),
    Column("id", IdText, nullable=False, unique=True),
    Column("at", Text, nullable=False),
    Column("made_by", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("object_id", IdText, nullable=False),
    Column("before_json", Text),
    Column("after_json", Text),
    Column("together", IdText, nullable=False),
    Column("undoes", IdText, ForeignKey("journal.id")),
    Index("journal_thing", "kind", "object_id", "seq"),
    Index("journal_together", "together"),
    Index("journal_undoes", "undoes"),
    sqlite_autoincrement=True,
)

BASIS = ("line", "edition", "layers", "settings", "book_digest", "provisions")
_HEAD = ("id", "version", "schema", "created", "changed")


def _value_column(kind: Kind, name: str, form: Any) -> Column[Any]:
    target = dict(kind.refers).get(name)
    if target:
        return Column(name, IdText, ForeignKey(f"{target}.id"), nullable=False, index=True)
    return Column(name, Boolean if form is bool else Text, nullable=False)


def _table(kind: Kind) -> Table:
    fields = msgspec.structs.fields(kind.value)
    return Table(
        kind.name,
        metadata,
        Column("id", IdText, primary_key=True),
        Column("version", IdText, ForeignKey("journal.id"), nullable=False),
        Column("schema", Integer, nullable=False),
        Column("created", Text, nullable=False),
        Column("changed", Text, nullable=False),
        *(Column(name, Text, nullable=False) for name in BASIS),
        *(_value_column(kind, field.name, field.type) for field in fields),
        Column("extra", Text, nullable=False),
    )


TABLES: dict[str, Table] = {kind.name: _table(kind) for kind in KINDS.values()}


def _written(value: object) -> str:
    return json.dumps(msgspec.to_builtins(value), ensure_ascii=False, separators=(",", ":"))


def columns_of(saved: Saved[Any]) -> dict[str, Any]:
    """Return a saved thing as the columns of its table."""
    basis = {name: getattr(saved.basis, name) for name in BASIS}
    value = {name: getattr(saved.value, name) for name in saved.value.__struct_fields__}
    return (
        {name: getattr(saved, name) for name in _HEAD}
        | {name: part if isinstance(part, str) else _written(part) for name, part in basis.items()}
        | {name: part.text if isinstance(part, Json) else part for name, part in value.items()}
        | {"extra": saved.extra.text}
    )


@cache
def _fields(kind: str) -> tuple[tuple[str, bool], ...]:
    """Return the fields of a kind, and of each whether it is kept as JSON; looked up once, rows are many."""
    return tuple((field.name, field.type is Json) for field in msgspec.structs.fields(KINDS[kind].value))


def saved_of(kind: Kind, row: RowMapping) -> Saved[Any]:
    """Return the saved thing that lies in a row of its table; the way back of ``columns_of``."""
    value = {name: Json(row[name]) if is_json else row[name] for name, is_json in _fields(kind.name)}
    head = {name: row[name] for name in _HEAD}
    return Saved(
        kind=kind.name, **head, basis=_basis_of(row), value=kind.value(**value), extra=Json(row["extra"])
    )


def _basis_of(row: RowMapping) -> Basis:
    return Basis(
        line=row["line"],
        edition=row["edition"],
        layers=tuple(json.loads(row["layers"])),
        settings=tuple((name, value) for name, value in json.loads(row["settings"])),
        book_digest=row["book_digest"],
        provisions=tuple(ProvisionMark(**mark) for mark in json.loads(row["provisions"])),
    )


def entry_columns(entry: Entry) -> dict[str, Any]:
    """Return an entry as the columns of the journal, without its number: the database gives that."""
    return {
        "id": entry.id,
        "at": entry.at,
        "made_by": entry.by,
        "kind": entry.kind,
        "object_id": entry.object_id,
        "before_json": entry.before and entry.before.text,
        "after_json": entry.after and entry.after.text,
        "together": entry.group,
        "undoes": entry.undoes,
    }


def entry_of(row: RowMapping | Mapping[str, Any]) -> Entry:
    """Return the entry that lies in a row of the journal; the way back of ``entry_columns``."""
    sides = {
        name: None if row[f"{name}_json"] is None else Json(row[f"{name}_json"])
        for name in ("before", "after")
    }
    return Entry(
        seq=row["seq"],
        id=row["id"],
        at=row["at"],
        by=row["made_by"],
        kind=row["kind"],
        object_id=row["object_id"],
        before=sides["before"],
        after=sides["after"],
        group=row["together"],
        undoes=row["undoes"],
    )
