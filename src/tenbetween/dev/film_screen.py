"""Measures the film room in a real browser: is the frame that is named the frame that is painted, and how soon.

Films of an even and an uneven rate carry each frame's number as a row of fields, which is read back off the painted
picture. Beside it the plain way, the frame's number over the rate. Knows the player only by what a page may ask it.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
from contextlib import closing
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

from tenbetween.dev.barcoded import READ_IN_PAGE, even, uneven, write_film
from tenbetween.dev.figures import Figure, Measured
from tenbetween.dev.screen import QUIET, chromium, free_port, opened, running

FRAMES, SEEKS, STEPS = 600, 60, 60
SEEK = """
async ([frames, steps]) => {
  const { player } = window.film;
  const read = READ;
  const [right, times] = [{ ours: 0, plain: 0 }, []];
  for (const frame of frames) {
    const began = performance.now();
    const shown = await player.seekTo(frame);
    times.push(performance.now() - began);
    right.ours += shown.index === frame && read() === frame;
  }
  await player.seekTo(200);
  for (let n = 1; n <= steps; n++) right.ours += (await player.step(1)).index === 200 + n && read() === 200 + n;
  const rate = player.times.length / player.part.duration_s;
  for (const frame of [...frames, ...Array.from({ length: steps }, (_, n) => 201 + n)]) {
    const seen = player.painted();
    player.video.currentTime = frame / rate;
    await seen;
    right.plain += read() === frame;
  }
  return [right.ours, right.plain, times];
}
""".replace("READ", READ_IN_PAGE.strip())


def film_screens() -> Measured:
    """Measure seeking and stepping on a film of an even and of an uneven rate."""
    browser = chromium()
    if browser is None:
        return Measured(skipped="The film room: no Chromium found; `dev/install system` installs one.")
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory(prefix="tenbetween-bench-") as place, sync_playwright() as play:
        folder = Path(place)
        films = _films(folder)
        ours = [
            sys.executable,
            "-m",
            "tenbetween",
            "serve",
            "--no-browser",
            "--workbench",
            str(folder / "bench"),
        ]
        with (
            running(*ours, "--port", str(free_port())) as launch,
            closing(play.chromium.launch(executable_path=browser, args=list(QUIET))) as chrome,
        ):
            page = chrome.new_page()
            opened(page, launch)
            home = launch.partition("?")[0]
            return Measured(
                tuple(one for rate, id_ in films.items() for one in _figures(page, home, rate, id_))
            )


def _films(folder: Path) -> dict[str, str]:
    """Make a workbench with two films in it; return the films by rate."""
    from tenbetween.desk.workbench import Workbench
    from tenbetween.store import open_workbench

    season = folder / "season"
    season.mkdir()
    write_film(season / "even.mp4", even(FRAMES, Fraction(30_000, 1001)))
    write_film(season / "uneven.mp4", uneven(FRAMES))

    def now() -> datetime:
        return datetime.now(UTC)

    with open_workbench(folder / "bench", now=now, entropy=os.urandom, by="bench") as store:
        room = Workbench(store, now).films
        room.add_folder(str(season))
        files = {one["name"]: one["id"] for place in room.files() for one in place["files"]}
        allowed = {"by": "nobody is on it", "until": "2099-12-31"}
        return {
            rate: str(room.add([files[f"{rate}.mp4"]], f"{rate} rate", allowed)["id"])
            for rate in ("even", "uneven")
        }


def _figures(page: Any, home: str, rate: str, film: str) -> tuple[Figure, Figure]:
    page.goto(f"{home}films/{film}")
    page.locator("#main[data-ready=yes]").wait_for()
    dice = random.Random(5)  # noqa: S311  frames to look at, no secret
    right, plain, times = page.evaluate(SEEK, [[dice.randrange(FRAMES) for _ in range(SEEKS)], STEPS])
    every = SEEKS + STEPS
    return (
        Figure(
            f"frames sought and stepped to, right of {every}, {rate} rate",
            right,
            "",
            every,
            more_is_better=True,
            floor_name="its number over the rate",
            floor=plain,
        ),
        Figure(f"frame sought to painted, {rate} rate, median", sorted(times)[len(times) // 2], "ms", 60),
    )
