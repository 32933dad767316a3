"""The second form: a table for saved plays."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

ID = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def _text(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def upgrade() -> None:
    op.create_table(
        "play",
        sa.Column("id", ID, nullable=False),
        sa.Column("version", ID, nullable=False),
        sa.Column("schema", sa.Integer, nullable=False),
        *_text("created", "changed", "line", "edition", "layers", "settings", "book_digest", "provisions"),
        *_text("title", "play", "formation"),
        *_text("extra"),
        sa.PrimaryKeyConstraint("id", name="play_key"),
        sa.ForeignKeyConstraint(["version"], ["journal.id"], name="play_version_there"),
    )
