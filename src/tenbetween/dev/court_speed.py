"""Measures the court screen in a real browser: from a hand's move to the painted shading, and the frames of a play.

Both beside the same browser doing nearly nothing: a bare page that moves one mark, and its frames. Knows the court
only by what its scripts note of themselves.
"""

from __future__ import annotations

import sys
import tempfile
from contextlib import closing
from typing import Any

from tenbetween.dev.figures import Figure, Measured
from tenbetween.dev.screen import QUIET, chromium, free_port, opened, running

MOVES, SECONDS = 240, 9
LATE_MS = 25.0
"""A frame this long has missed the next one."""
DRAG, FRAME = "drag to painted shading", "frame of a play, 99th percentile"
BARE = """() => { const mark = document.body.appendChild(document.createElement('i')); window.times = [];
  mark.style.cssText = 'position:absolute;width:9px;height:9px;background:#000'; let at = 0, waiting = 0;
  addEventListener('pointermove', (e) => { at ||= e.timeStamp; waiting ||= requestAnimationFrame(() => { waiting = 0;
    mark.style.left = e.clientX + 'px'; const from = at; at = 0; const c = new MessageChannel();
    c.port1.onmessage = () => times.push(performance.now() - from); c.port2.postMessage(0); }); }); }"""
FRAMES = """(seconds) => new Promise((done) => { const found = []; let last = 0, began = 0;
  const tick = (now) => { began ||= now; if (last) found.push(now - last); last = now;
    now - began < 1000 * seconds ? requestAnimationFrame(tick) : done(found); }; requestAnimationFrame(tick); })"""
MIDDLE = """() => { const box = document.querySelector('.token[data-id="lead"]').getBoundingClientRect();
  return [box.x + box.width / 2, box.y + box.height / 2]; }"""


def courts() -> Measured:
    """Measure a drag and a play on the court screen."""
    browser = chromium()
    if browser is None:
        return Measured(skipped="The court: no Chromium found; `dev/install system` installs one.")
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory(prefix="tenbetween-bench-") as folder, sync_playwright() as play:
        ours = [sys.executable, "-m", "tenbetween", "serve", "--no-browser", "--workbench", folder]
        bare = f"from tenbetween.dev.screen import serve_nothing; serve_nothing({free_port()})"
        with (
            running(*ours, "--port", str(free_port())) as launch,
            running(sys.executable, "-c", bare) as empty,
            closing(play.chromium.launch(executable_path=browser, args=list(QUIET))) as chrome,
        ):
            return Measured(_measured(chrome, launch, empty))


def _measured(chrome: Any, launch: str, empty: str) -> tuple[Figure, ...]:
    page, nothing = chrome.new_page(), chrome.new_page()
    opened(page, launch)
    opened(nothing, empty)
    court = f"{launch.partition('?')[0]}court"
    page.goto(court)
    page.locator("#bar-back").wait_for()
    nothing.evaluate(BARE)
    _move(nothing, (900.0, 300.0))
    floor = _p95(nothing.evaluate("times"))
    _move(page, tuple(page.evaluate(MIDDLE)))
    drag = _p95(page.evaluate("boardSight.times"))
    page.goto(court)  # the drag has changed the address to that of a single scene
    page.locator("#do-play").click()
    page.locator("#do-play[aria-pressed='false']").wait_for(timeout=60_000)
    frames = page.evaluate("boardPlayer.frames")
    idle = nothing.evaluate(FRAMES, SECONDS)
    same, still = "bare page, one mark", "bare page, no play"
    late = 100 * sum(one > LATE_MS for one in frames) / len(frames)
    return (
        Figure(f"{DRAG}, 95th percentile", drag, "ms", 30, floor_name=same, floor=floor),
        Figure(FRAME, _p(frames, 0.99), "ms", LATE_MS, floor_name=still, floor=_p(idle, 0.99)),
        Figure("frames of a play that come late, of a hundred", late, "", 1.0),
    )


def _move(page: Any, at: tuple[float, ...]) -> None:
    """Take hold at a place and move back and forth, as a hand does."""
    x, y = at
    page.mouse.move(x, y)
    page.mouse.down()
    for number in range(MOVES):
        page.mouse.move(x - 260 + 260 * abs((number / 60) % 2 - 1), y - (number % 9) * 3)
    page.mouse.up()
    page.wait_for_timeout(300)


def _p(times: list[float], share: float) -> float:
    ordered = sorted(times)
    return ordered[max(0, int(len(ordered) * share) - 1)]


def _p95(times: list[float]) -> float:
    return _p(times, 0.95)
