"""Measures the first screen in a real browser against an empty page from the same kind of server.

Starts the workbench as a person would, in an empty folder of its own, and ends it again. Knows the screen only by
what is on it: the court, the key for "White's ball" and the card.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import count
from typing import Any

from tenbetween.dev.figures import Figure, Measured, in_turn

QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-sync",
)
SCRIPT_AIM_KB = 60
FIRSTS, TOUCHES = 9, 15
"""Rounds of opening the page, and of the last touch."""
TOUCH = """
([key, where]) => new Promise((done) => {
  const shown = document.querySelector(where);
  let began = 0;
  new MutationObserver((_, me) => {
    me.disconnect();
    requestAnimationFrame(() => { const c = new MessageChannel(); c.port1.onmessage = () => done(performance.now() - began);
      c.port2.postMessage(0); });
  }).observe(shown, { childList: true, subtree: true, characterData: true });
  const at = document.activeElement ?? document.body;
  began = performance.now();
  at.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
})
"""
"""Press a key and wait until what came of it has been painted; milliseconds."""
LOADED = (
    "() => { const t = performance.getEntriesByType('navigation')[0]; return t.loadEventEnd - t.startTime; }"
)
EMPTY = "<!doctype html><html lang='en'><title>empty</title><main id='card'></main></html>"
FETCHING = """
() => document.addEventListener("keydown", async () => {
  document.getElementById("card").textContent = String(performance.now()) + await (await fetch("/part")).text();
})
"""


def chromium() -> str | None:
    """Return the Chromium of this machine, if there is one; ``TENBETWEEN_CHROMIUM`` names another."""
    named = os.environ.get("TENBETWEEN_CHROMIUM")
    return named or next(
        filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None
    )


def free_port() -> int:
    """Return a port of this machine nobody listens on now."""
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def running(*words: str) -> Iterator[str]:
    """Yield the address a program says with its first line that holds one; the program is ended at the end."""
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as program:
        try:
            yield next(
                word for line in program.stdout or () for word in line.split() if word.startswith("http://")
            )
        finally:
            program.terminate()


def serve_nothing(port: int) -> None:
    """Serve an empty page and an empty part, by the server program the workbench runs on."""
    import uvicorn
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import HTMLResponse, PlainTextResponse, Response
    from starlette.routing import Route

    async def home(_: Request) -> Response:
        return HTMLResponse(EMPTY)

    async def part(_: Request) -> Response:
        return PlainTextResponse("")

    app = Starlette(routes=[Route("/", home), Route("/part", part)])
    sys.stdout.write(f"http://127.0.0.1:{port}/\n")
    sys.stdout.flush()
    uvicorn.Server(
        uvicorn.Config(app, host="127.0.0.1", port=port, log_level="error", lifespan="off", ws="none")
    ).run()


def screens() -> Measured:
    """Measure the first page, the answer after the last touch, and the bytes of our scripts."""
    browser = chromium()
    if browser is None:
        return Measured(skipped="The screen: no Chromium found; `dev/install system` installs one.")
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory(prefix="tenbetween-bench-") as folder, sync_playwright() as play:
        ours = (
            sys.executable,
            "-m",
            "tenbetween",
            "serve",
            "--no-browser",
            "--workbench",
            folder,
            "--port",
            str(free_port()),
        )
        nothing = (
            sys.executable,
            "-c",
            f"from tenbetween.dev.screen import serve_nothing; serve_nothing({free_port()})",
        )
        with running(*ours) as launch, running(*nothing) as empty:
            chrome = play.chromium.launch(executable_path=browser, args=list(QUIET))
            try:
                return Measured(_measured(chrome, launch, empty))
            finally:
                chrome.close()


def _measured(chrome: Any, launch: str, empty: str) -> tuple[Figure, ...]:
    page, bare = chrome.new_page(), chrome.new_page()
    opened(page, launch)
    opened(bare, empty)
    home = launch.partition("?")[0]
    state = page.context.storage_state()
    first, first_floor = in_turn(
        FIRSTS, lambda: _first(chrome, home, state), lambda: _first(chrome, empty, None)
    )
    xs = count(50)
    touch, touch_floor = in_turn(
        TOUCHES, lambda: _touch(page, f"{home}?at={next(xs)},0"), lambda: _bare_touch(bare, empty)
    )
    script = _script_bytes(chrome, home, state) / 1024
    same = "empty page, same server program"
    return (
        Figure("first page, nothing cached", first, "ms", 300, floor_name=same, floor=first_floor),
        Figure(
            "answer painted after the last touch",
            touch,
            "ms",
            50,
            floor_name=f"{same}, an empty part",
            floor=touch_floor,
        ),
        Figure("our scripts", script, "KB", SCRIPT_AIM_KB),
    )


def opened(page: Any, address: str, tries: int = 100) -> None:
    """Open an address that may not be served yet."""
    from playwright.sync_api import Error

    for left in range(tries, 0, -1):
        try:
            page.goto(address)
            return
        except Error:
            if left == 1:
                raise
            page.wait_for_timeout(50)


def _first(chrome: Any, address: str, state: Any) -> float:
    """Return the milliseconds until a page is loaded, in a browser that has kept nothing of it."""
    with closing(chrome.new_context(storage_state=state)) as context:
        page = context.new_page()
        page.goto(address, wait_until="load")
        return float(page.evaluate(LOADED))


def _touch(page: Any, address: str) -> float:
    page.goto(address)
    page.locator("#card h1").wait_for()
    shown = page.locator("#card h1").text_content()
    taken = float(page.evaluate(TOUCH, ["w", "#card"]))
    if page.locator("#card h1").text_content() == shown:
        raise ValueError("the touch brought no answer; there is nothing to measure")
    return taken


def _bare_touch(page: Any, address: str) -> float:
    page.goto(address)
    page.evaluate(FETCHING)
    return float(page.evaluate(TOUCH, ["w", "#card"]))


def _script_bytes(chrome: Any, address: str, state: Any) -> int:
    """Return the bytes of every script the first page loads, as written, before any compression."""
    with closing(chrome.new_context(storage_state=state)) as context:
        page = context.new_page()
        scripts: list[Any] = []
        page.on("response", lambda r: scripts.append(r) if r.request.resource_type == "script" else None)
        page.goto(address, wait_until="networkidle")
        sizes = {response.url: len(response.body()) for response in scripts}
        return sum(sizes.values())
