"""The third form: films, what is marked on them, and what is made of them."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

ID = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
OF_FILM = ("film", "film")


def _text(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _kind(table: str, *columns: sa.Column[Any], link: tuple[str, str] | None = None) -> None:
    """Make the table of one kind; ``link`` is a column and the table it points to."""
    linked = [sa.Column(link[0], ID, nullable=False)] if link else []
    rules = (
        [sa.ForeignKeyConstraint([link[0]], [f"{link[1]}.id"], name=f"{table}_{link[0]}_there")]
        if link
        else []
    )
    op.create_table(
        table,
        sa.Column("id", ID, nullable=False),
        sa.Column("version", ID, nullable=False),
        sa.Column("schema", sa.Integer, nullable=False),
        *_text("created", "changed", "line", "edition", "layers", "settings", "book_digest", "provisions"),
        *linked,
        *columns,
        *_text("extra"),
        sa.PrimaryKeyConstraint("id", name=f"{table}_key"),
        sa.ForeignKeyConstraint(["version"], ["journal.id"], name=f"{table}_version_there"),
        *rules,
    )
    if link:
        op.create_index(f"{table}_{link[0]}", table, [link[0]])


def upgrade() -> None:
    _kind(
        "film",
        *_text(
            "title", "date", "level", "crew", "recognise", "permission", "parts", "opening", "status", "note"
        ),
    )
    _kind(
        "mark",
        *_text("at", "situation", "events", "crew", "duties", "strokes", "tags", "note"),
        sa.Column("closed", sa.Boolean, nullable=False),
        link=OF_FILM,
    )
    _kind("anchor", *_text("at", "clicks", "camera", "note"), link=OF_FILM)
    _kind("standing", *_text("at", "feet", "scene", "mark", "note"), link=OF_FILM)
    _kind("pointer", *_text("title", "items", "mark", "note"), link=OF_FILM)
    _kind("clip", *_text("title", "begins", "ends", "how", "files", "marks", "status", "note"), link=OF_FILM)
    _kind("listening", *_text("part", "proposals", "note"), link=OF_FILM)
    _kind("judged", *_text("number", "verdict", "mark"), link=("listening", "listening"))
    _kind("withdrawal", *_text("asked_by", "on", "log", "note"), link=OF_FILM)
