"""Worker programs that are killed, stopped, put to sleep, or cannot find the film: the work is done, once."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests.jobs.conftest import is_alive, wait_until
from tests.store.workplaces import fresh_place

from tenbetween.cli.command import run
from tenbetween.cli.work import worker_beside
from tenbetween.jobs import Beside


def ends(shop) -> list[list[str]]:
    return [line for line in shop.did() if line[0] == "end"]


def test_work_whose_worker_is_killed_is_taken_up_by_the_other_and_done_once(shop):
    shop.start()
    shop.start()
    job = shop.ask("count", to=30, pause=0.05)
    row = shop.until(job, "running", done=1)
    killed = shop.pid_of(row)
    assert killed in {program.pid for program in shop.programs}
    os.kill(killed, signal.SIGKILL)
    row = shop.until(job, "done")
    (other,) = {program.pid for program in shop.programs} - {killed}
    assert (row.tries, row.result.data()) == (1, {"by": other, "to": 30})
    assert (row.done, row.of) == (30, 30)
    assert [line[:2] for line in shop.did()] == [
        ["begin", str(killed)], ["begin", str(other)], ["end", str(other)],
    ]  # fmt: skip
    lines = (shop.folder.parent / "out.txt").read_text().split()
    assert lines == [str(n) for n in range(30)]
    assert shop.store.check() == ()


def test_a_worker_that_cannot_find_the_film_gives_it_back_and_the_other_does_it(far_shop, tmp_path):
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    there.mkdir()
    (there / "game.mp4").write_bytes(b"film")
    first = far_shop.start("--films", str(here))
    job = far_shop.ask("find", name="game.mp4")
    row = wait_until(lambda: (one := far_shop.row(job)).refused.data() and one)
    assert (row.state, row.tries) == ("waiting", 0)
    assert row.says == "Waits for a machine that finds the film (game.mp4: found no such film here)."
    second = far_shop.start("--films", str(there))
    row = far_shop.until(job, "done")
    assert row.result.data() == {"by": second.pid}
    assert far_shop.did() == [["missed", str(first.pid), "0"]]


def test_many_pieces_of_work_are_shared_and_each_done_once(far_shop):
    far_shop.start()
    far_shop.start()
    base = far_shop.folder.parent
    jobs = [far_shop.ask("count", to=4, pause=0.05, out=str(base / f"out{n}.txt")) for n in range(12)]
    rows = [far_shop.until(job, "done") for job in jobs]
    assert len({row.result.data()["by"] for row in rows}) == 2
    assert len(ends(far_shop)) == 12
    assert {row.tries for row in rows} == {0}


def test_work_cancelled_in_the_middle_stops_and_can_be_asked_for_again(own_shop):
    own_shop.start()
    job = own_shop.ask("count", to=1000, pause=0.02)
    own_shop.until(job, "running", done=1)
    own_shop.store.jobs.ask_off(job, datetime.now(UTC))
    row = own_shop.until(job, "cancelled")
    assert (row.result, row.wanted_off) == (None, False)
    assert not (own_shop.folder.parent / "out.txt").exists()
    assert own_shop.did()[-1][0] == "stopped"
    part = own_shop.folder.parent / "out.txt.part"
    part.write_text("".join(f"{n}\n" for n in range(998)))
    own_shop.store.jobs.again(job, datetime.now(UTC))
    assert own_shop.until(job, "done").result.data()["to"] == 1000


def test_a_worker_asked_to_end_gives_its_work_back_and_the_next_goes_on_from_there(own_shop):
    first = own_shop.start()
    job = own_shop.ask("count", to=60, pause=0.03)
    own_shop.until(job, "running", done=5)
    first.send_signal(signal.SIGTERM)
    assert first.wait(timeout=10) == 0
    row = own_shop.row(job)
    assert (row.state, row.tries) == ("waiting", 0)
    assert "goes on when it is open again" in row.says
    second = own_shop.start()
    row = own_shop.until(job, "done")
    assert row.result.data()["by"] == second.pid
    begun = [int(line[2]) for line in own_shop.did() if line[0] == "begin"]
    assert begun[0] == 0
    assert begun[1] >= 5
    assert (own_shop.folder.parent / "out.txt").read_text().split() == [str(n) for n in range(60)]


def test_a_worker_that_slept_over_its_lease_changes_nothing_any_more(own_shop):
    first = own_shop.start()
    job = own_shop.ask("count", to=40, pause=0.05)
    own_shop.until(job, "running", done=1)
    first.send_signal(signal.SIGSTOP)
    second = own_shop.start()
    row = own_shop.until(job, "done")
    assert row.result.data()["by"] == second.pid
    first.send_signal(signal.SIGCONT)
    wait_until(lambda: [line for line in own_shop.did() if line[1] == str(first.pid)][-1][0] == "stopped")
    later = own_shop.ask("count", to=1, pause=0, out=str(own_shop.folder.parent / "later.txt"))
    own_shop.until(later, "done")
    assert own_shop.row(job) == row
    assert ends(own_shop)[0][1] == str(second.pid)


# ---- disks ---------------------------------------------------------------------------------------


@pytest.fixture
def small_disk(tmp_path: Path):
    """A disk of one megabyte, when we may mount one; else files may not become larger than that."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if os.getuid() == 0 and sys.platform == "linux":
        mount = ("mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(disk))
        mounted = subprocess.run(mount, capture_output=True, check=False).returncode == 0
    else:
        mounted = False
    yield disk, {} if mounted else {"preexec_fn": no_large_files}
    if mounted:
        subprocess.run(("umount", "-l", str(disk)), check=True)


def no_large_files() -> None:
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1 << 20, 1 << 20))


def test_a_full_disk_is_said_and_no_half_file_stays(own_shop, small_disk):
    disk, how = small_disk
    own_shop.start(**how)
    job = own_shop.ask("write", kilobytes=3000, out=str(disk / "clip.mp4"))
    row = own_shop.until(job, "failed")
    (problem,) = row.error.data()
    assert problem["found"] == "no room left on the disk"
    assert "free some room" in problem["do"]
    assert "Traceback" not in row.error.text
    assert str(disk) not in row.error.text
    assert [*disk.iterdir()] == []
    fits = own_shop.ask("write", kilobytes=300, out=str(disk / "clip.mp4"))
    assert own_shop.until(fits, "done").result.data() == {"size": 300 * 1024}


# ---- beside the pages ----------------------------------------------------------------------------


def beside(shop) -> Beside:
    return Beside(shop.words("--beside"), first_pause=0.1)


def test_a_worker_brought_down_by_a_film_is_started_again_and_the_work_done(own_shop):
    with beside(own_shop) as kept:
        job = own_shop.ask("crash", times=1)
        row = own_shop.until(job, "done")
        assert row.tries == 1
        begun = [int(line[1]) for line in own_shop.did()]
        assert len(set(begun)) == 2
        assert begun[-1] == kept.pid
    assert kept.pid is None
    assert not is_alive(begun[-1])
    log = (own_shop.folder / "jobs.log").read_text()
    assert f"taken up again: {job}" in log


PARENT = """
import subprocess, sys, time
from tenbetween.jobs import Beside
with Beside(sys.argv[1:]) as kept:
    print(kept.pid, flush=True)
    time.sleep(600)
"""


def test_the_worker_ends_with_the_pages_even_when_these_are_killed(own_shop):
    words = [sys.executable, "-c", PARENT, *own_shop.words("--beside")]
    parent = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
    try:
        child = int(parent.stdout.readline())
        job = own_shop.ask("count", to=1000, pause=0.02)
        own_shop.until(job, "running", done=1)
    finally:
        parent.kill()
        parent.communicate()
    wait_until(lambda: not is_alive(child))
    row = own_shop.row(job)
    assert (row.state, row.tries) == ("waiting", 0)


def test_a_worker_that_was_asked_for_wrongly_is_not_started_again_and_again(tmp_path):
    count = tmp_path / "count"
    program = f"import sys; open({str(count)!r}, 'a').write('x'); sys.exit(int(sys.argv[1]))"
    with Beside([sys.executable, "-c", program, "2"], first_pause=0.01) as kept:
        wait_until(lambda: count.exists() and kept.pid is None)
        kept._thread.join(5)
        assert not kept._thread.is_alive()
    assert count.read_text() == "x"
    with Beside([sys.executable, "-c", program, "1"], first_pause=0.01):
        wait_until(lambda: len(count.read_text()) >= 3)


# ---- the command ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("more", "told", "code"),
    [
        (("--queue", "http://example"), "found http; expected the address of a Redis server", 2),
        (("--films", "/nowhere/at/all"), "--films: found /nowhere/at/all; expected a folder", 2),
        (("--store", "mysql://x"), "begins with postgresql://", 1),
        (("--lease", "0"), "0", 2),
    ],
)
def test_what_cannot_be_is_said_in_one_line(tmp_path, more, told, code, capsys):
    assert run(["work", "--workbench", str(tmp_path / "bench"), *more]) == code
    assert told in capsys.readouterr().err


@pytest.mark.parametrize("missing", [True, False])
def test_pages_without_a_worker_say_why_and_go_on(tmp_path, missing, capsys, monkeypatch):
    """Huey is missing, or the address of the queue means nothing."""
    if missing:
        monkeypatch.setitem(sys.modules, "huey", None)
    with fresh_place(tmp_path / "bench", None).open() as store:
        with worker_beside(store, store.folder, None, None if missing else "http://x"):
            store.jobs.add("listen", {}, datetime.now(UTC))
        assert store.jobs.list()[0].state == "waiting"
    told = capsys.readouterr().err
    assert told.startswith("film work is off")
    assert ("huey is missing" if missing else "a Redis server") in told
