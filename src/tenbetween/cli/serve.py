"""``tenbetween serve`` and ``tenbetween demo``: the workbench in a browser, on this machine only."""

from __future__ import annotations

import signal
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.cli.work import QUEUE, STORE, worker_beside

_PORT = click.option("--port", type=click.IntRange(1, 65_535), metavar="PORT", help="This port and no other.")
_BROWSER = click.option(
    "--browser/--no-browser", default=True, help="Open a browser, or only say the address."
)


@click.command()
@click.option("--workbench", metavar="FOLDER", help="The workbench folder; made when it is new.")
@STORE
@QUEUE
@_PORT
@_BROWSER
def serve(
    workbench: str | None = None,
    store: str | None = None,
    queue: str | None = None,
    port: int | None = None,
    browser: bool = True,
) -> None:
    """Open the workbench: set a situation on a court, and print, keep or correct the answer."""
    folder = Path(workbench) if workbench else asked.usual_folder()
    with opened(folder, url=store) as bench, worker_beside(bench.store, folder, store, queue):
        say(f"workbench: {folder}", error=True)
        _run(bench, port, browser)


@click.command()
@click.option(
    "--workbench", metavar="FOLDER", help="Keep the demo in this folder; otherwise it goes away at the end."
)
@_PORT
@_BROWSER
def demo(workbench: str | None, port: int | None, browser: bool) -> None:
    """Open a workbench with an invented association in it: layers, officials, answers, a game."""
    from tenbetween.desk.demo import TRAINER, fill

    with ExitStack() as until_the_end:
        folder = workbench or until_the_end.enter_context(
            tempfile.TemporaryDirectory(prefix="tenbetween-demo-")
        )
        bench = until_the_end.enter_context(opened(Path(folder), by=TRAINER))
        layers, game = shipped()
        fill(bench, layers, game)
        until_the_end.enter_context(worker_beside(bench.store, Path(folder), None, None))
        if not bench.films.films():
            bench.ask("demo_film", {})  # drawn in the background; its page says how far it is
        _run(bench, port, browser)


@contextmanager
def opened(folder: Path, *, by: str = "", url: str | None = None) -> Iterator[Any]:
    """Yield the workbench of a folder, open; it is closed at the end.

    ``by`` writes the journal; empty: whoever is logged in. ``url`` is where it is kept when not in the folder.

    Raises:
        StoreError: the folder belongs to something else, or cannot be used.
    """
    import os
    from datetime import UTC, datetime

    from tenbetween.desk.workbench import Workbench
    from tenbetween.store import open_workbench

    def now() -> datetime:
        return datetime.now(UTC)

    with open_workbench(folder, now=now, entropy=os.urandom, by=by or _logged_in(), url=url) as store:
        store.take_up_layer_files()  # what was typed into layers/ by hand since the last time
        yield Workbench(store, now)


def _logged_in() -> str:
    import getpass

    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "trainer"


def shipped() -> tuple[dict[str, str], str]:
    """Return the layers of the demo by id, and its game.

    >>> sorted(shipped()[0])
    ['k-24', 'quillan-ridge']
    """
    from importlib.resources import files

    demo_folder = files("tenbetween") / "demo"
    layers = {
        one.name.removesuffix(".toml"): one.read_text("utf-8")
        for one in (demo_folder / "layers").iterdir()
        if one.name.endswith(".toml")
    }
    return layers, (demo_folder / "game.csv").read_text("utf-8")


def _run(bench: Any, port: int | None, browser: bool) -> None:
    from tenbetween.web.serve import serve as serve_pages

    def announce(address: str) -> None:
        say(f"open: {address}")
        say("stop with Ctrl+C", error=True)

    signal.signal(signal.SIGTERM, _end)
    serve_pages(bench, port=port, announce=announce, open_browser=browser)


def _end(*_: object) -> None:
    """End as after Ctrl+C when somebody asks the process to stop, so that what was opened is closed."""
    raise SystemExit(0)
