"""The fourth form: a table for long work; it stands outside the journal."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

ID = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
NUMBER = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    op.create_table(
        "job",
        sa.Column("id", ID, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("args", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("done", NUMBER, nullable=False),
        sa.Column("of", NUMBER, nullable=False),
        sa.Column("says", sa.Text, nullable=False),
        sa.Column("tries", sa.Integer, nullable=False),
        sa.Column("worker", sa.Text, nullable=False),
        sa.Column("lease_until", ID, nullable=False),
        sa.Column("result", sa.Text),
        sa.Column("error", sa.Text),
        sa.Column("wanted_off", sa.Boolean, nullable=False),
        sa.Column("refused", sa.Text, nullable=False),
        sa.Column("created", ID, nullable=False),
        sa.Column("changed", ID, nullable=False),
        sa.PrimaryKeyConstraint("id", name="job_key"),
    )
    op.create_index("job_state", "job", ["state", "id"])
