"""What every test may ask for: a browser, a PostgreSQL server of its own, an empty folder to work in.

No test reaches beyond this machine: a connection to an address off the loopback range fails the test.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import hypothesis
import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).resolve().parent.parent

# Two cores and other people's machines: no deadline for one example, and the same examples for everybody.
hypothesis.settings.register_profile("steady", deadline=None, derandomize=True, print_blob=True)
hypothesis.settings.register_profile("hunt", deadline=None, max_examples=2_000, print_blob=True)
hypothesis.settings.load_profile(os.environ.get("TENBETWEEN_EXAMPLES", "steady"))

LOOPBACK = ("127.", "localhost", "::1")


def is_here(address: Any) -> bool:
    """Tell whether an address handed to ``connect`` is on this machine (a path is a socket file)."""
    return not isinstance(address, tuple) or str(address[0]).startswith(LOOPBACK)


@pytest.fixture(autouse=True, scope="session")
def nothing_leaves_this_machine() -> Iterator[None]:
    """Fail any test that opens a connection to another machine."""
    honest = socket.socket.connect

    def connect(self: socket.socket, address: Any) -> None:
        if not is_here(address):
            raise AssertionError(f"a test tried to reach {address!r}; tests stay on this machine")
        return honest(self, address)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", connect)
        yield


@pytest.fixture(scope="session")
def root() -> Path:
    """Return the folder of the checkout."""
    return ROOT


@pytest.fixture(scope="session")
def command() -> tuple[str, ...]:
    """Return how the command line is started as a person would: ``tenbetween``, of this environment."""
    beside = Path(sys.executable).with_name("tenbetween")
    return (str(beside),)


# -- a browser ----------

QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--force-color-profile=srgb",
)


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """Return the Chromium of this machine; ``TENBETWEEN_CHROMIUM`` names another one."""
    named = os.environ.get("TENBETWEEN_CHROMIUM")
    found = named or next(
        filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None
    )
    assert found, "no Chromium found: run `dev/install system`, or name one in TENBETWEEN_CHROMIUM"
    return found


# For one file only: while Playwright runs, its event loop occupies the thread, which other files may want.
@pytest.fixture(scope="module")
def browser(chromium_path: str) -> Iterator[Any]:
    """Yield a running Chromium (Playwright's synchronous one); open your own context and page in it."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=chromium_path, args=list(QUIET))
        yield running
        running.close()


@pytest.fixture(scope="session")
def axe_source() -> str:
    """Return the text of axe-core, to be handed to ``page.evaluate`` (a strict page refuses a script tag)."""
    return (ROOT / "dev" / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")


# -- a PostgreSQL server ----------


def postgres_program(name: str) -> str:
    """Return the path of one of PostgreSQL's own programs; Debian keeps them off the path."""
    on_path = shutil.which(name)
    debian = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    assert on_path or debian, f"{name}: not found; run `dev/install system`, or install PostgreSQL"
    return on_path or str(debian[-1])


def free_port() -> int:
    """Return a port of the loopback address nobody listens on now."""
    with contextlib.closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def as_server(*words: str) -> None:
    """Run one program, as the user ``postgres`` when we are root: the server refuses root."""
    other = ("runuser", "-u", "postgres", "--") if os.getuid() == 0 else ()
    done = subprocess.run((*other, *words), capture_output=True, text=True, check=False, cwd="/")
    assert done.returncode == 0, f"{words[0]} said: {done.stdout}{done.stderr}"


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """Yield the SQLAlchemy address of an empty PostgreSQL database that lives as long as this test run.

    Its folder is its own: pytest closes its folders to other users, also while another run goes on.
    """
    home = Path(tempfile.mkdtemp(prefix="tenbetween-postgres-"))
    if os.getuid() == 0:
        shutil.chown(home, "postgres")
    data, port = str(home / "data"), free_port()
    as_server(
        postgres_program("initdb"), "-D", data, "-U", "trainer", "-A", "trust", "-E", "UTF8", "--no-sync"
    )
    options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories='' -c fsync=off"
    control = postgres_program("pg_ctl")
    as_server(control, "-D", data, "-w", "-l", str(home / "log"), "-o", options, "start")
    yield f"postgresql+psycopg://trainer@127.0.0.1:{port}/postgres"
    as_server(control, "-D", data, "-w", "-m", "immediate", "stop")
    shutil.rmtree(home, ignore_errors=True)
