"""The form of the database: made by migrations alone, brought up to date with a copy first."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import inspect, text

from tenbetween.errors import StoreError
from tenbetween.store import Official, workbench
from tenbetween.store.database import HEAD, MIGRATIONS
from tenbetween.store.journal import SCHEMA
from tenbetween.store.tables import metadata

AFTER = f"{int(HEAD) + 1:04}"
NEXT = """
import sqlalchemy as sa
from alembic import op
revision, down_revision, branch_labels, depends_on = "{next}", "{head}", None, None

def upgrade():
    op.add_column("official", sa.Column("shirt", sa.Text, nullable=False, server_default=""))
    {more}
"""


def test_the_newest_migration_is_the_form_the_program_expects():
    steps = ScriptDirectory(str(MIGRATIONS), version_locations=[str(MIGRATIONS)])
    assert steps.get_heads() == [HEAD]
    assert int(HEAD) == SCHEMA


def test_the_migrations_make_exactly_the_tables_the_program_uses(store):
    """Alembic's own comparison finds no difference, and every trigger and link is there."""
    with store._database.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
        for table in metadata.sorted_tables:
            there = {
                tuple(key["constrained_columns"]) for key in inspect(connection).get_foreign_keys(table.name)
            }
            assert there == {tuple(rule.column_keys) for rule in table.foreign_key_constraints}
        journal = {column["name"]: column for column in inspect(connection).get_columns("journal")}
        if store._database.is_postgresql:
            assert {journal[name]["type"].collation for name in ("id", "object_id", "together")} == {"C"}


def test_ids_sort_alike_on_both_databases(store):
    names = ["a-b", "a_b", "a.b", "ab", "a0", "a", "b", "a-", "b0"]
    for name in names:
        store.save("setting", {"value": "x"}, id=name)
    assert [saved.id for saved in store.find("setting")] == sorted(names)


def scripts_of_next_year(folder: Path, more: str = "") -> Path:
    scripts = folder / "steps"
    scripts.mkdir()
    for step in MIGRATIONS.glob("m*.py"):
        (scripts / step.name).write_bytes(step.read_bytes())
    (scripts / f"m{AFTER}_next.py").write_text(NEXT.format(more=more, head=HEAD, next=AFTER))
    return scripts


def open_next_year(place, scripts: Path):
    return workbench._open(
        place.folder, place.clock, place.dice.randbytes, "Wendell Thackrow", place.url, 5000, scripts, AFTER
    )


def test_an_older_database_is_copied_and_then_brought_up_to_date(place, tmp_path, every_kind):
    scripts = scripts_of_next_year(tmp_path)
    with place.open() as store:
        every_kind(store)
        rows = len(store.history())
    assert not [*(place.folder / "exports").iterdir()]
    store = open_next_year(place, scripts)
    with store, store._database.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM official WHERE shirt = ''")).scalar() == 2
        assert connection.execute(text("SELECT count(*) FROM journal")).scalar() == rows
    (copy,) = (place.folder / "exports").iterdir()
    assert copy.name.startswith(f"before-{AFTER}-2025")
    if place.url is None:
        with closing(sqlite3.connect(copy)) as old:
            assert old.execute("SELECT version_num FROM alembic_version").fetchall() == [(HEAD,)]
            assert old.execute("SELECT count(*) FROM journal").fetchone() == (rows,)
    else:
        kept = [json.loads(line) for line in copy.read_text("utf-8").splitlines()]
        assert len([row for row in kept if "journal" in row]) == rows
        assert {"alembic_version": {"version_num": HEAD}} in kept
    open_next_year(place, scripts).close()
    assert len([*(place.folder / "exports").iterdir()]) == 1


def test_a_workbench_of_the_first_form_can_keep_plays_afterwards(place, tmp_path):
    first = tmp_path / "first"
    first.mkdir()
    (first / "m0001_first.py").write_bytes((MIGRATIONS / "m0001_first.py").read_bytes())
    given = (
        place.folder,
        place.clock,
        place.dice.randbytes,
        "Wendell Thackrow",
        place.url,
        5000,
        first,
        "0001",
    )
    with workbench._open(*given) as store:
        person = store.save(Official, Official(name="Dara Whitlock"))
        with pytest.raises(StoreError, match="another form"):
            store.find("play")
    with place.open() as store:
        assert store.get(Official, person.id) == person
        assert store.find("play") == ()
        kept = store.save("play", {"title": "Box", "play": {"steps": [{"says": "Ready."}]}})
        assert store.find("play") == (kept,)
        assert store.check() == ()


def test_a_database_of_a_newer_program_is_refused_untouched(place, tmp_path):
    with place.open() as store:
        store.save(Official, Official(name="Dara Whitlock"))
    open_next_year(place, scripts_of_next_year(tmp_path)).close()
    with pytest.raises(
        StoreError, match=rf"form {AFTER} of a newer.*form {HEAD} or older.*install the newer"
    ):
        place.open()


def test_a_migration_that_fails_leaves_the_database_as_it_was(place, tmp_path):
    scripts = scripts_of_next_year(tmp_path, 'op.execute(sa.text("SELECT x FROM nowhere"))')
    with place.open() as store:
        store.save(Official, Official(name="Dara Whitlock"))
        state = store.everything()
    with pytest.raises(StoreError, match="tables have another form"):
        open_next_year(place, scripts)
    with place.open() as store:
        assert store.everything() == state
        assert store.check() == ()
        assert "shirt" not in {
            column["name"] for column in inspect(store._database.engine).get_columns("official")
        }


def test_a_migration_whose_copy_cannot_be_written_does_not_begin(place, tmp_path):
    scripts = scripts_of_next_year(tmp_path)
    place.open().close()
    (place.folder / "exports").rmdir()
    (place.folder / "exports").symlink_to("/dev/null/nowhere")
    with pytest.raises(StoreError):
        open_next_year(place, scripts)
    (place.folder / "exports").unlink()
    place.open().close()
