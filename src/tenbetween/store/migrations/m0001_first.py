"""The first form: the journal that cannot be rewritten, and one table for each kind of saved thing."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

ID = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
SEQ = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def _text(*names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _link(name: str) -> sa.Column[Any]:
    return sa.Column(name, ID, nullable=False)


def _link_rule(table: str, name: str, target: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([name], [f"{target}.id"], name=f"{table}_{name}_there")


def _journal() -> None:
    op.create_table(
        "journal",
        sa.Column("seq", SEQ, autoincrement=True, nullable=False),
        sa.Column("id", ID, nullable=False),
        *_text("at", "made_by", "kind"),
        sa.Column("object_id", ID, nullable=False),
        sa.Column("before_json", sa.Text),
        sa.Column("after_json", sa.Text),
        sa.Column("together", ID, nullable=False),
        sa.Column("undoes", ID),
        sa.PrimaryKeyConstraint("seq", name="journal_key"),
        sa.UniqueConstraint("id", name="journal_id_once"),
        _link_rule("journal", "undoes", "journal"),
        sqlite_autoincrement=True,
    )
    op.create_index("journal_thing", "journal", ["kind", "object_id", "seq"])
    op.create_index("journal_together", "journal", ["together"])
    op.create_index("journal_undoes", "journal", ["undoes"])


def _kind(table: str, *columns: sa.Column[Any], links: tuple[tuple[str, str], ...] = ()) -> None:
    op.create_table(
        table,
        sa.Column("id", ID, nullable=False),
        sa.Column("version", ID, nullable=False),
        sa.Column("schema", sa.Integer, nullable=False),
        *_text("created", "changed", "line", "edition", "layers", "settings", "book_digest", "provisions"),
        *columns,
        *_text("extra"),
        sa.PrimaryKeyConstraint("id", name=f"{table}_key"),
        _link_rule(table, "version", "journal"),
        *(_link_rule(table, name, target) for name, target in links),
    )
    for name, _ in links:
        op.create_index(f"{table}_{name}", table, [name])


SQLITE_GUARDS = (
    """CREATE TRIGGER journal_no_update BEFORE UPDATE ON journal
    BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END""",
    """CREATE TRIGGER journal_no_delete BEFORE DELETE ON journal
    BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END""",
    """CREATE TRIGGER journal_no_replace BEFORE INSERT ON journal
    WHEN EXISTS (SELECT 1 FROM journal WHERE seq = NEW.seq OR id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END""",
)
POSTGRES_GUARDS = (
    """CREATE FUNCTION journal_refuses() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'the journal is append-only' USING ERRCODE = 'restrict_violation'; END $$""",
    """CREATE TRIGGER journal_no_change BEFORE UPDATE OR DELETE ON journal
    FOR EACH ROW EXECUTE FUNCTION journal_refuses()""",
    """CREATE TRIGGER journal_no_truncate BEFORE TRUNCATE ON journal
    FOR EACH STATEMENT EXECUTE FUNCTION journal_refuses()""",
)


def upgrade() -> None:
    _journal()
    _kind("answer", *_text("title", "ruling", "note"))
    _kind("stamp", _link("answer"), *_text("confirmed_by", "on", "memo"), links=(("answer", "answer"),))
    _kind("advice", *_text("said_by", "on", "what", "source", "provision", "status", "settled_how"))
    _kind("frozen", *_text("title", "expected", "note"))
    _kind("layer", *_text("text"))
    _kind("official", *_text("name", "short"), sa.Column("active", sa.Boolean, nullable=False))
    _kind(
        "crew",
        _link("referee"),
        _link("umpire"),
        *_text("title"),
        links=(("referee", "official"), ("umpire", "official")),
    )
    _kind("game", *_text("title", "date", "stoppages", "result"))
    _kind("setting", *_text("value"))
    guards = POSTGRES_GUARDS if op.get_bind().dialect.name == "postgresql" else SQLITE_GUARDS
    for guard in guards:
        op.execute(sa.text(guard))
