"""The first page a newcomer reads is true: its tour runs as it stands, and `make demo` opens a workbench."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text("utf-8")
BLOCKS = re.findall(r"^```sh\n(.*?)^```", README, re.DOTALL | re.MULTILINE)
TOUR = BLOCKS[1:]
"""The first block is `make demo` and `make test`; the tour begins after it."""


@pytest.fixture(scope="module")
def toured(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Run the whole tour as it stands, in one shell that stops at the first fault; return folder and output."""
    folder = tmp_path_factory.mktemp("tour")
    for name in ("docs", ".venv"):
        (folder / name).symlink_to(ROOT / name)
    beside = Path(sys.executable).parent
    env = {**os.environ, "HOME": str(folder), "PATH": f"{beside}:{os.environ['PATH']}"}
    given = ("bash", "-euxo", "pipefail", "-c", "\n".join(TOUR))
    done = subprocess.run(given, cwd=folder, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return folder, done.stdout


def test_the_readme_has_a_tour() -> None:
    commands = [line for block in TOUR for line in block.splitlines() if line.startswith("tenbetween ")]
    assert {line.split()[1] for line in commands} == {
        "answer",
        "sheet",
        "book",
        "walk",
        "court",
        "play",
        "sight",
        "run",
        "film",
    }


@pytest.mark.alone
def test_the_tour_runs_and_shows_what_it_promises(toured: tuple[Path, str]) -> None:
    folder, said = toured
    assert (folder / "sheet.pdf").read_bytes().startswith(b"%PDF-")
    assert "who is lead and who is trail:" in said
    assert "nothing to complain about" in said
    assert "What changed" in said
    assert "Switches:" in said
    assert '"landmarks"' in said


@pytest.mark.alone
def test_the_demo_opens_a_workbench_on_this_machine_and_lets_in_only_who_has_the_address(
    tmp_path: Path,
) -> None:
    """`make demo` runs `tenbetween demo`, which says where to open it."""
    assert re.search(
        r"^demo:.*\n(\t.*\n)*\t@\$\(TENBETWEEN\) demo", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE
    )
    words = (sys.executable, "-m", "tenbetween", "demo", "--no-browser")
    env = {**os.environ, "HOME": str(tmp_path)}
    with subprocess.Popen(
        words, env=env, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as program:
        try:
            assert program.stdout is not None
            address = program.stdout.readline().partition("open: ")[2].strip()
            assert address.startswith("http://127.0.0.1:")
            with pytest.raises(urllib.error.HTTPError, match="401"):
                reach(address.split("?")[0])
            opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
            assert "Whose throw-in" in opener.open(address, timeout=10).read().decode()
        finally:
            program.terminate()


def reach(address: str) -> str:
    """Return a page, waiting until somebody serves it."""
    for _ in range(100):
        try:
            return str(urllib.request.urlopen(address, timeout=10).read().decode())
        except urllib.error.HTTPError:
            raise
        except urllib.error.URLError:
            time.sleep(0.1)
    raise AssertionError(f"nobody serves {address}")
