"""A film taken up and marked by keys alone on the real workbench; every mark is on its frame after reopening."""

from __future__ import annotations

import os
import random
import re
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect
from tests.e2e.conftest import served
from tests.web.barcoded import READ_IN_PAGE, even, pts_of, write_film

from tenbetween.desk.workbench import Workbench
from tenbetween.store import open_workbench

pytestmark = pytest.mark.browser
NOW = datetime(2025, 11, 11, 21, 52, tzinfo=UTC)
RATE = 30
EVENTS = ("e0", "e1", "e2", "e3", "e4", "e5", "e6", "e7", "e8", "e9", "e10", "e11")


def bench_on(folder: Path) -> Workbench:
    store = open_workbench(folder, now=lambda: NOW, entropy=os.urandom, by="Wendell Thackrow")
    return Workbench(store, lambda: NOW)


@pytest.fixture(scope="module")
def two_minutes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("season")
    return write_film(folder / "quarter 1.mp4", even(120 * RATE, Fraction(RATE)), size=(160, 96))


@pytest.fixture
def let_in(browser: Any, tmp_path: Path) -> Iterator[Any]:
    """A browser let in by a real workbench, and the workbench."""
    bench = bench_on(tmp_path / "bench")
    with closing(bench.store), served(bench) as door, closing(browser.new_context()) as context:
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.goto(door.address)
        page.workbench = bench
        yield page


def take_up(page: Any, film: Path) -> str:
    """Take the film up on the page, as a person would; return its id."""
    page.workbench.films.add_folder(str(film.parent))
    page.goto(re.sub(r"/(\?.*)?$", "/films", page.url))
    page.get_by_label(film.name).check()
    page.get_by_role("button", name="Look at the files").click()
    expect(page.locator("ol.parts-found")).to_contain_text(film.name)
    expect(page.locator("form .gap")).to_contain_text("Do you have permission")
    page.get_by_label("Title").fill("Ardenmoor at Pell Hollow")
    page.get_by_label("Who allowed it").fill("Ardenmoor athletic director")
    page.get_by_label("Delete by").fill("2026-06-30")
    page.get_by_role("button", name="Take it up").click()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes", timeout=20_000)
    return str(re.search(r"/films/([^?]+)", page.url).group(1))  # type: ignore[union-attr]


def go(page: Any, frame: int) -> None:
    """Go to a frame by keys: ten seconds, one second, single frames; wait until it is painted."""
    shown = page.locator("#film-frame")
    now = int(re.search(r"frame (\d+)", shown.inner_text()).group(1)) - 1  # type: ignore[union-attr]
    for keys, frames in ((("PageUp", "PageDown"), 10 * RATE), (("ArrowLeft", "ArrowRight"), RATE), ((",", "."), 1)):
        steps = int((frame - now) / frames)
        for _ in range(abs(steps)):
            page.keyboard.press(keys[steps > 0])
        now += steps * frames
        expect(shown).to_have_text(re.compile(rf"^frame {now + 1} of"))


def mark_restart(page: Any, frames: dict[str, int]) -> None:
    """Mark one restart by keys: M, then E at each event seen and X for each that is not, and the rest closed."""
    for name in EVENTS:
        if name == "e0":
            go(page, frames[name])
            page.keyboard.press("m")
            expect(page.locator("#mark-clock p.next")).to_contain_text("Stop-clock signal")
        elif name in frames:
            go(page, frames[name])
            page.keyboard.press("e")
            expect(page.locator(f"#go-{name}")).to_be_visible()
        elif EVENTS.index(name) < max(map(EVENTS.index, frames)):
            page.keyboard.press("x")
            expect(page.locator(f"#open-{name}")).to_be_visible()
    page.keyboard.press("c")
    expect(page.locator("#mark-clock .moment-head")).to_have_attribute("data-closed", "yes")


def restarts(count: int, length: int, seed: int = 3) -> list[dict[str, int]]:
    """Invent restarts over a film: frames of the events that are seen, some of them not."""
    dice = random.Random(seed)
    found = []
    for n in range(count):
        at = n * length // count + dice.randrange(2 * RATE)
        seen = sorted({0, 6, *dice.sample(range(1, 12), 4)})
        frames = {}
        for number in seen:
            frames[f"e{number}"] = at
            at += dice.randrange(3, 2 * RATE)
        found.append(frames)
    return found


def told(bench: Workbench, film: str) -> list[dict[str, Any]]:
    return [one["events"] for one in bench.films.marks(film)]


def proves(page: Any, bench: Workbench, film: str, path: Path, wanted: list[dict[str, int]]) -> None:
    pts, base = pts_of(path)
    kept = told(bench, film)
    assert len(kept) == len(wanted)
    for events, frames in zip(kept, wanted, strict=True):
        for name in EVENTS:
            if name in frames:
                at = events[name]
                assert Fraction(*at["base"]) == base
                assert at["pts"] == pts[frames[name]], (name, frames)
            else:
                assert events[name] == "not seen"


def test_two_minutes_marked_by_keys_alone_and_opened_again(let_in: Any, two_minutes: Path) -> None:
    page = let_in
    film = take_up(page, two_minutes)
    wanted = restarts(6, 120 * RATE)
    for frames in wanted:
        mark_restart(page, frames)
    proves(page, page.workbench, film, two_minutes, wanted)
    page.reload()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes")
    expect(page.locator("#marks .film-row")).to_have_count(6)
    for frames in reversed(wanted):
        expect(page.locator("#film-frame")).to_contain_text(f"frame {frames['e0'] + 1} of")
        assert page.evaluate(READ_IN_PAGE) == frames["e0"]
        page.keyboard.press("b")
