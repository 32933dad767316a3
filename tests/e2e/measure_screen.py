"""Measures the screen in a browser: first page, last touch to answer, bytes; a figure beside its floor, no verdict.

Run it with ``python -m tests.e2e.measure_screen``; the bench takes ``figures()``.
"""

from __future__ import annotations

import shutil
import statistics
import tempfile
from contextlib import closing
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright
from tests.conftest import QUIET
from tests.e2e.conftest import served
from tests.e2e.test_whole_job import filled

from tenbetween.web.assets import load_assets

PAINT = """() => new Promise(done => { const seen = performance.getEntriesByName('first-contentful-paint')[0];
  if (seen) return done(seen.startTime);
  new PerformanceObserver(l => done(l.getEntries().at(-1).startTime)).observe({type: 'paint', buffered: true}); })"""
TOUCH = """() => new Promise(done => { const card = document.getElementById('card'); let from = 0;
  new MutationObserver((_, o) => { o.disconnect(); requestAnimationFrame(() => done(performance.now() - from)); })
    .observe(card, {childList: true});
  const court = [...document.querySelectorAll('.floor-holder')].find(one => one.offsetParent); court.focus();
  from = performance.now(); court.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowLeft', bubbles: true})); })"""


def spread(times: list[float]) -> dict[str, float]:
    """Return median and 95th percentile in milliseconds."""
    ordered = sorted(times)
    return {
        "median": round(statistics.median(ordered), 1),
        "p95": round(ordered[int(len(ordered) * 0.95) - 1], 1),
    }


def figures(rounds: int = 7, touches: int = 40) -> dict[str, Any]:
    """Return what was measured on this machine now."""
    with tempfile.TemporaryDirectory() as folder:
        bench = filled(Path(folder))
        with closing(bench.store), served(bench) as door:
            return _measured(door.address, rounds, touches)


def _measured(address: str, rounds: int, touches: int) -> dict[str, Any]:
    home = address.split("/?", maxsplit=1)[0]
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=list(QUIET))
        first = browser.new_context()
        first.new_page().goto(address)
        state = first.storage_state()
        pages = [_paint(browser, state, f"{home}/") for _ in range(rounds)]
        empty = [_paint(browser, state, f"{home}/favicon.svg") for _ in range(rounds)]
        page = browser.new_context(storage_state=state).new_page()
        page.goto(f"{home}/?cause=out_of_bounds&at=70,0&ball=same")
        touched = [float(page.evaluate(TOUCH)) for _ in range(touches)]
        browser.close()
    scripts = sum(len(text) for name, text in load_assets().files.items() if name.endswith(".js"))
    return {
        "first page painted, ms": spread(pages),
        "smallest page painted, ms (floor)": spread(empty),
        "last touch to answer, ms": spread(touched),
        "own script, bytes": scripts,
    }


def _paint(browser: Any, state: Any, url: str) -> float:
    """Return when something was painted first, in a browser context that has nothing kept."""
    context = browser.new_context(storage_state=state)
    page = context.new_page()
    page.goto(url)
    painted = float(page.evaluate(PAINT))
    context.close()
    return painted


if __name__ == "__main__":
    for name, value in figures().items():
        print(f"{name}: {value}")
