"""Several programs at one workbench, and programs that die in the middle."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest

from tenbetween.errors import StoreError
from tenbetween.store import Layer, Official, Setting, replay

START = """
import os, secrets, signal, sys
from datetime import UTC, datetime
from tenbetween.errors import StoreError
from tenbetween.store import Layer, Official, Setting, open_workbench

folder, url, name = sys.argv[1], sys.argv[2] or None, sys.argv[3]
clock = lambda: datetime.now(UTC)
store = open_workbench(folder, url=url, now=clock, entropy=secrets.token_bytes, by=name, wait_ms=30000)
"""
COUNT = (
    START
    + """
refused = 0
for turn in range(25):
    while True:
        seen = store.get(Setting, "count")
        try:
            store.save(Setting, Setting(value=str(int(seen.value.value) + 1)), id="count", seen=seen.version)
            break
        except StoreError as fault:
            assert "read it again" in str(fault), fault
            refused += 1
    layer = f"{name}-{turn % 2}"
    seen = {saved.id: saved.version for saved in store.find(Layer)}.get(layer)
    store.save(Layer, Layer(text=f"# {name} {turn}"), id=layer, seen=seen)
print(refused)
store.close()
"""
)
OPEN = (
    (
        "import sys, time, alembic.script, alembic.runtime.migration\n"
        "import sqlalchemy.dialects.sqlite, tenbetween.store\n"
        "while time.time() < float(sys.argv[4]): pass\n"
    )
    + START
    + "store.save(Official, Official(name=name)); store.close()"
)
DIE = (
    START
    + """
from sqlalchemy import event
count = int(sys.argv[4])

def die(*_):
    global count
    count -= 1
    if count < 0:
        os.kill(os.getpid(), signal.SIGKILL)

event.listen(store._database.engine, "before_cursor_execute", die)
event.listen(store._database.engine, "commit", die)
with store.together() as changes:
    one = changes.save(Official, Official(name="Half"))
    changes.save(Layer, Layer(text="# half"), id="own", seen=sys.argv[5])
    changes.save(Setting, Setting(value="half"), id="count", seen=sys.argv[6])
store.close()
print("whole")
"""
)


def start(place, program: str, *words: str) -> subprocess.Popen[str]:
    line = [sys.executable, "-c", program, str(place.folder), place.url or "", *words]
    return subprocess.Popen(line, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def test_two_programs_counting_together_lose_nothing(place):
    """Each change is made to what the other left; every one stands in one journal."""
    with place.open() as store:
        store.save(Setting, Setting(value="0"), id="count")
        programs = [start(place, COUNT, name) for name in ("noor", "gil")]
        ends = [program.communicate(timeout=100) for program in programs]
        assert [program.returncode for program in programs] == [0, 0], ends
        assert store.get(Setting, "count").value.value == "50"
        changes = store.history(Setting, limit=1000)
        assert [entry.after.data()["value"]["value"] for entry in reversed(changes)] == [
            str(n) for n in range(51)
        ]
        assert {entry.by for entry in changes[:-1]} == {"noor", "gil"}
        assert replay(reversed(store.history(limit=1000))) == store.everything()
        for name in ("noor-0", "noor-1", "gil-0", "gil-1"):
            text = (store.folder / "layers" / f"{name}.toml").read_text()
            assert text == store.get(Layer, name).value.text
        assert store.check() == ()


def test_programs_opening_a_new_workbench_at_the_same_moment_make_one(place):
    """Both are loaded first and then wait for one moment, so that they do meet."""
    programs = [start(place, OPEN, name, str(time.time() + 2)) for name in ("a", "b")]
    ends = [program.communicate(timeout=60) for program in programs]
    assert [program.returncode for program in programs] == [0, 0], ends
    with place.open() as store:
        assert sorted(saved.value.name for saved in store.find(Official)) == ["a", "b"]
        assert store.check() == ()


def test_opening_waits_while_another_program_makes_the_same_database(bench):
    """SQLite turns its write-ahead log on without waiting for anybody; we wait."""
    bench.folder.mkdir()
    with closing(sqlite3.connect(bench.folder / "tenbetween.db", check_same_thread=False)) as other:
        other.isolation_level = None
        other.execute("BEGIN IMMEDIATE")
        let_go = threading.Timer(0.3, other.execute, ("COMMIT",))
        let_go.start()
        try:
            with bench.open() as store:
                assert store.save(Official, Official(name="a")) in store.find(Official)
        finally:
            let_go.join()


def test_a_program_killed_at_any_moment_leaves_all_or_nothing(place):
    """Killed before the first statement, the second, and so on, past commit and file."""
    with place.open() as store:
        layer = store.save(Layer, Layer(text="# first"), id="own")
        count = store.save(Setting, Setting(value="first"), id="count")
        before = store.everything()
    outcomes = []
    for moment in range(60):
        program = start(place, DIE, "dies", str(moment), layer.version, count.version)
        out, err = program.communicate(timeout=60)
        with place.open() as store:
            assert store.check() == (), moment
            kept = store.everything()
            if kept == before:
                assert (store.folder / "layers" / "own.toml").read_text() == "# first"
            else:
                assert (kept["setting"]["count"].value.value, kept["layer"]["own"].value.text) == (
                    "half",
                    "# half",
                )
                assert (store.folder / "layers" / "own.toml").read_text() == "# half"
                store.undo()
                layer, count = store.get(Layer, "own"), store.get(Setting, "count")
                before = store.everything()
            outcomes.append(kept == before)
        if out.strip() == "whole":
            break
        assert program.returncode == -9, err
    assert out.strip() == "whole"
    assert len(outcomes) > 10


def test_a_writer_waits_and_then_says_that_somebody_else_is_writing(place):
    with place.open() as store, store.together() as changes:
        changes.save(Official, Official(name="first"))
        with place.open(wait_ms=50) as other:
            with pytest.raises(StoreError, match=r"another program that is writing.*nothing was changed"):
                other.save(Official, Official(name="second"))
            assert other.find(Official) == ()
    with place.open() as store:
        assert [saved.value.name for saved in store.find(Official)] == ["first"]


def test_nothing_outside_this_room_knows_the_database():
    """Loading SQLAlchemy costs a third of a second; no other room may pay it for an answer."""
    package = Path(__file__).parents[2] / "src" / "tenbetween"
    others = [path for path in package.rglob("*.py") if "store" not in path.relative_to(package).parts]
    assert others
    for path in others:
        words = path.read_text("utf-8")
        assert "sqlalchemy" not in words.lower(), path
        assert "alembic" not in words.lower(), path


def test_opening_an_up_to_date_workbench_does_not_load_alembic(bench):
    bench.open().close()
    program = start(bench, START + "store.close(); print('alembic' in sys.modules)", "x")
    out, err = program.communicate(timeout=60)
    assert out.strip() == "False", err
