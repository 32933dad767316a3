"""Measures the court in a browser: what a move costs until it is drawn, part by part, beside a floor; no verdict.

Run it with ``python -m tests.e2e.measure_board``; the bench takes ``figures()``, or ``measure_twin`` of a page it has.
"""

from __future__ import annotations

import random
import shutil
from typing import Any

from msgspec import to_builtins
from playwright.sync_api import sync_playwright
from tests.conftest import QUIET
from tests.e2e.conftest import TOKEN, served
from tests.e2e.measure_screen import spread
from tests.e2e.test_twin import as_json
from tests.sight.scenes import random_scene
from tests.web.fake import FakeWorkbench

from tenbetween.sight import SIGHT
from tenbetween.web.assets import load_assets

MODULES = ("seen", "shade", "overlay", "strip")
MOVES = """async ([addresses, scenes, settings]) => {
  const [seen, shade, overlay, strip] = await Promise.all(addresses.map(one => import(one)));
  const sheet = document.body.appendChild(document.createElementNS('http://www.w3.org/2000/svg', 'svg'));
  const part = kind => sheet.appendChild(document.createElementNS('http://www.w3.org/2000/svg', kind));
  const looks = part('g'), box = part('g'), strips = [part('svg'), part('svg')], toUnits = (x, y) => [40 + 10 * x, 540 - 10 * y];
  const canvas = document.createElement('canvas'); canvas.width = 940; canvas.height = 640;
  document.body.append(canvas);
  const pen = canvas.getContext('2d'), times = {}, numbers = new Float64Array(50);
  const note = (name, from) => (times[name] ??= []).push(performance.now() - from);
  const timed = (name, what) => { const from = performance.now(), found = what(); note(name, from); return found; };
  const floor = cells => { let total = 0;
    for (let i = 0; i < cells * 20; i++) for (let k = 0; k < 10; k++) total += numbers[(i + k) & 31];
    return total; };
  for (const scene of scenes) {
    const from = performance.now();
    const now = timed('looks, box and coverage, ms', () => seen.see(scene, settings));
    const cells = timed('floor of both shaded, ms', () => shade.shade(scene, settings));
    timed('shading painted, ms', () => overlay.paintShade(pen, cells, toUnits));
    timed('looks drawn, ms', () => overlay.drawLooks(looks, scene, now, toUnits));
    timed('box drawn, ms', () => overlay.drawBox(box, scene, now, toUnits));
    const both = () => ['lead', 'trail'].forEach((role, n) => strip.drawStrip(strips[n], scene, role, settings, now));
    timed('both strips drawn, ms', both);
    note('a whole move, scripts, ms', from);
    await new Promise(done => requestAnimationFrame(() => setTimeout(done)));
    note('a move until its frame is over, ms', from);
    timed('ten additions for each cell, official and body, ms (floor)', () => floor(cells.data.length));
  }
  sheet.remove(); canvas.remove();
  return times; }"""


def moves(count: int) -> list[dict[str, Any]]:
    """Return a scene again and again while the lead is dragged along the end line and the trail along his sideline."""
    dice = random.Random(5)
    scene = as_json(random_scene(dice))
    lead, trail = scene["officials"]["lead"], scene["officials"]["trail"]
    found = []
    for number in range(count):
        part = number / count
        officials = {
            "lead": {**lead, "x": -3.0, "y": 15 + 20 * part, "facing": None},
            "trail": {**trail, "x": 25 + 10 * part, "y": 4.0, "facing": None},
        }
        found.append({**scene, "officials": officials})
    return found


def measure_twin(page: Any, count: int = 200) -> dict[str, dict[str, float]]:
    """Return median and 95th percentile of each part of a move, in milliseconds, on a page of the workbench."""
    urls = [load_assets().url(f"js/{name}.js") for name in MODULES]
    asked = [urls, moves(count), to_builtins(SIGHT)]
    page.evaluate(MOVES, [urls, moves(40), to_builtins(SIGHT)])
    return {name: spread(times) for name, times in page.evaluate(MOVES, asked).items()}


def figures() -> dict[str, dict[str, float]]:
    """Return what was measured on this machine now."""
    with served(FakeWorkbench()) as door, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=list(QUIET))
        page = browser.new_page()
        page.goto(f"http://127.0.0.1:{door.port}/?t={TOKEN}")
        found = measure_twin(page)
        browser.close()
    return found


if __name__ == "__main__":
    for name, value in figures().items():
        print(f"{name}: {value}")
