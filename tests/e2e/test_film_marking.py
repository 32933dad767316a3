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

from tenbetween.desk import film_work
from tenbetween.desk.work import WorkPlace
from tenbetween.desk.workbench import Workbench
from tenbetween.dev.barcoded import READ_IN_PAGE, even, pts_of, write_film
from tenbetween.store import open_workbench

pytestmark = pytest.mark.browser
NOW = datetime(2025, 11, 11, 21, 52, tzinfo=UTC)
RATE = 30
EVENTS = ("e0", "e1", "e2", "e3", "e4", "e5", "e6", "e7", "e8", "e9", "e10", "e11")


def bench_on(folder: Path) -> Workbench:
    store = open_workbench(folder, now=lambda: NOW, entropy=os.urandom, by="Wendell Thackrow")
    return Workbench(store, lambda: NOW)


@pytest.fixture(scope="module")
def one_minute(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("season")
    return write_film(folder / "quarter 1.mp4", even(60 * RATE, Fraction(RATE)), size=(160, 96))


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
    page.get_by_label("Delete by").fill("2035-06-30")
    page.get_by_role("button", name="Take it up").click()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes", timeout=20_000)
    return str(re.search(r"/films/([^?]+)", page.url).group(1))  # type: ignore[union-attr]


def go(page: Any, frame: int, rate: int = RATE) -> None:
    """Go to a frame by keys: ten seconds, one second, single frames; wait until it is painted."""
    shown = page.locator("#film-frame")
    now = int(re.search(r"frame (\d+)", shown.inner_text()).group(1)) - 1  # type: ignore[union-attr]
    for keys, frames in (
        (("PageUp", "PageDown"), 10 * rate),
        (("ArrowLeft", "ArrowRight"), rate),
        ((",", "."), 1),
    ):
        steps = int((frame - now) / frames)
        for _ in range(abs(steps)):
            page.keyboard.press(keys[steps > 0])
        now += steps * frames
        expect(shown).to_have_text(re.compile(rf"^frame {now + 1} of"))


def mark_restart(page: Any, frames: dict[str, int], rate: int = RATE) -> None:
    """Mark one restart by keys: M, then E at each event seen and X for each that is not, and the rest closed."""
    for name in EVENTS:
        if name == "e0":
            go(page, frames[name], rate)
            page.keyboard.press("m")
            expect(page.locator("#mark-clock p.next")).to_contain_text("Stop-clock signal")
        elif name in frames:
            go(page, frames[name], rate)
            page.keyboard.press("e")
            expect(page.locator(f"#go-{name}")).to_be_visible()
        elif EVENTS.index(name) < max(map(EVENTS.index, frames)):
            page.keyboard.press("x")
            expect(page.locator(f"#open-{name}")).to_be_visible()
    page.keyboard.press("c")
    expect(page.locator("#mark-clock .moment-head")).to_have_attribute("data-closed", "yes")


def restarts(count: int, length: int, rate: int = RATE, seed: int = 3) -> list[dict[str, int]]:
    """Invent restarts over a film: frames of the events that are seen, some of them not."""
    dice = random.Random(seed)
    found = []
    for n in range(count):
        at = n * length // count + dice.randrange(2 * rate)
        seen = sorted({0, 6, *dice.sample(range(1, 12), 4)})
        frames = {}
        for number in seen:
            frames[f"e{number}"] = at
            at += dice.randrange(3, 2 * rate)
        found.append(frames)
    return found


def told(bench: Workbench, film: str) -> list[dict[str, Any]]:
    return [one["events"] for one in bench.films.marks(film)]


def proves(bench: Workbench, film: str, path: Path, wanted: list[dict[str, int]]) -> None:
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


def opened_again(page: Any, wanted: list[dict[str, int]]) -> None:
    """Open the film again and go back through its moments by key; each stands on its own frame."""
    page.reload()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes", timeout=30_000)
    expect(page.locator("#marks .film-row")).to_have_count(len(wanted))
    for frames in reversed(wanted):
        expect(page.locator("#film-frame")).to_contain_text(f"frame {frames['e0'] + 1} of")
        assert page.evaluate(READ_IN_PAGE) == frames["e0"]
        page.keyboard.press("b")


def test_a_minute_marked_by_keys_alone_and_opened_again(let_in: Any, one_minute: Path) -> None:
    page = let_in
    film = take_up(page, one_minute)
    wanted = restarts(4, 60 * RATE)
    for frames in wanted:
        mark_restart(page, frames)
    proves(page.workbench, film, one_minute, wanted)
    opened_again(page, wanted)


SLOW = 12
"""Frames a second of the long film: its frame numbers must fit into the fields of the picture."""


@pytest.mark.full
def test_ninety_minutes_with_sixty_restarts_marked_by_keys_alone(let_in: Any, tmp_path: Path) -> None:
    page = let_in
    folder = tmp_path / "season"
    folder.mkdir()
    frames = 90 * 60 * SLOW
    path = write_film(folder / "whole game.mp4", even(frames, Fraction(SLOW)), size=(160, 96), gop=60)
    film = take_up(page, path)
    wanted = restarts(60, frames, SLOW)
    for one in wanted:
        mark_restart(page, one, SLOW)
    proves(page.workbench, film, path, wanted)
    opened_again(page, wanted)


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("short")
    return write_film(folder / "scrimmage.mp4", even(300, Fraction(RATE)), size=(160, 96))


def settled(page: Any) -> None:
    """Wait until everything that was asked is kept and shown."""
    page.evaluate("() => film.marks.chain")


def test_a_whole_moment_said_by_keys_alone(let_in: Any, short: Path) -> None:
    page = let_in
    film, room = take_up(page, short), page.workbench.films
    keys = page.keyboard

    def mark() -> dict[str, Any]:
        settled(page)
        return dict(room.marks(film)[0])

    go(page, 45)
    keys.press("m")
    keys.press("q")
    keys.press("a")  # the first of the causes: out of bounds
    assert mark()["situation"]["stopped_by"] == "out_of_bounds"
    keys.press("]")
    page.locator("#set-lead-umpire").click()
    page.locator("#set-lead_side-table").click()
    keys.press("w")
    keys.press("i")
    expect(page.locator("#place-court")).to_be_focused()
    keys.press("Shift+ArrowRight")
    keys.press("Enter")
    at = mark()["situation"]["at"]
    assert at == [63, 0]
    expect(page.locator(".film-sentence")).to_contain_text("table sideline, 21")
    keys.press("Escape")
    keys.press("u")
    assert (mark()["lead"], mark()["lead_side"]) == ("referee", "table")
    keys.press("s")
    assert mark()["lead_side"] == "opposite"
    keys.press("z")
    assert mark()["lead_side"] == "table"
    keys.press("y")
    assert mark()["lead_side"] == "opposite"
    keys.press("g")
    expect(page.locator(".duty").first.locator("button").first).to_be_focused()
    keys.press("y")
    first = mark()["duties"][0]
    assert (first["verdict"], first["who"] in ("crew", "referee", "umpire")) == ("yes", True)
    page.locator(".duty").first.locator("button").first.focus()
    expect(page.locator(".duty").first.locator("[aria-pressed=true]")).to_have_text("Yes")
    keys.press("Escape")
    keys.press("6")
    keys.press(".")
    expect(page.locator("#film-frame")).to_contain_text("frame 47 of")
    keys.press("t")
    keys.press("/")
    keys.type("Patience, then the bounce")
    keys.press("Escape")
    kept = mark()
    assert kept["note"] == "Patience, then the bounce"
    assert (len(kept["strokes"]), kept["events"]["e6"]["pts"]) == (1, kept["events"]["e0"]["pts"])
    keys.press(";")
    settled(page)
    expect(page.locator("#go-e6")).to_have_text("0:01.47")
    assert (kept["events"]["e6"]["pts"] - mark()["events"]["e6"]["pts"]) * RATE == kept["at"]["base"][1]
    page.goto(page.url.split("/films")[0] + "/films/search?words=patience")
    expect(page.locator(".found li")).to_have_count(1)
    expect(page.locator(".found li")).to_contain_text("Out of bounds")


def test_proposals_kept_and_dropped_by_one_key_and_hidden_by_one(let_in: Any, short: Path) -> None:
    page = let_in
    film, room = take_up(page, short), page.workbench.films
    part = room.film(film)["parts"][0]["fingerprint"]
    sure = (("whistle", 1.0, 0.95), ("lull", 3.0, 0.2), ("whistle", 5.0, 0.8), ("horn", 8.0, 0.6))
    room.heard(film, part, [{"t": t, "t_end": t + 0.3, "kind": kind, "confidence": c} for kind, t, c in sure])
    page.reload()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes")
    shown = page.locator("#proposal-list li:not([hidden])")
    expect(shown).to_have_count(3)  # the doubtful one is hidden
    expect(shown.first).to_contain_text("95 %")  # the surest first
    page.keyboard.press("p")
    expect(page.locator("#film-time")).to_have_text("0:01.00")
    page.keyboard.press("k")
    expect(page.locator("#film-time")).to_have_text("0:05.00")  # kept, and on to the next
    page.keyboard.press("r")
    expect(page.locator("#film-time")).to_have_text("0:08.00")
    settled(page)
    assert page.evaluate("scrollY") == 0  # the picture stays where the eye is
    assert [one["t"] for one in room.marks(film)] == pytest.approx([1.0], abs=0.02)
    assert sorted(one["verdict"] for one in room.proposals(film)) == ["", "", "dropped", "kept"]
    page.locator("#sure").fill("0")
    expect(shown).to_have_count(4)
    page.keyboard.press("h")
    expect(shown).to_have_count(0)
    page.keyboard.press("h")
    expect(shown).to_have_count(4)


def test_a_film_pulled_away_is_said_so_and_its_marks_stay(let_in: Any, short: Path, tmp_path: Path) -> None:
    page = let_in
    folder = tmp_path / "disk"
    folder.mkdir()
    film_file = folder / "here.mp4"
    film_file.write_bytes(short.read_bytes())
    film = take_up(page, film_file)
    go(page, 60)
    page.keyboard.press("m")
    settled(page)
    film_file.rename(tmp_path / "elsewhere.mp4")
    page.reload()
    expect(page.locator("#film-trouble")).to_contain_text("here.mp4 is not here; the moment is kept")
    expect(page.locator(".says-missing").first).to_contain_text("here.mp4 is not where it was")
    expect(page.locator("#marks .film-row")).to_have_count(1)
    page.keyboard.press("m")
    expect(page.locator("#told")).to_contain_text("No picture")
    other = tmp_path / "other disk"
    other.mkdir()
    (tmp_path / "elsewhere.mp4").rename(other / "renamed.mp4")
    page.workbench.films.add_folder(str(other))
    page.reload()  # found again by its content, under another name in another folder
    expect(page.locator("#film-frame")).to_contain_text("frame 61 of")
    assert page.evaluate(READ_IN_PAGE) == 60
    assert film in page.url


@pytest.mark.parametrize(("name", "codec"), [("phone.mov", "libx265"), ("stream.ts", "libx264")])
def test_a_film_the_browser_cannot_show_is_marked_by_pictures_and_then_by_its_copy(
    let_in: Any, tmp_path: Path, name: str, codec: str
) -> None:
    page, room = let_in, let_in.workbench.films
    (tmp_path / "phone").mkdir()
    path = write_film(tmp_path / "phone" / name, even(90, Fraction(RATE)), size=(160, 96), codec=codec)
    pts = pts_of(path)[0]
    film = take_up(page, path)
    expect(page.locator("#film-trouble")).to_contain_text("its frames come one by one")
    expect(page.locator("#film-still")).to_be_visible()
    go(page, 41)
    number = READ_IN_PAGE.replace("'film'", "'film-still'").replace("video.video", "video.natural")
    assert page.evaluate(number) == 41
    page.keyboard.press("m")
    settled(page)
    assert room.marks(film)[0]["at"]["pts"] == pts[41]

    place = WorkPlace(room.store, room.folder, lambda: NOW)
    args = {"film": film, "part": room.film(film)["parts"][0]["fingerprint"]}
    film_work.browser_copy(place, args, lambda done, of, says: None, lambda: False)
    page.reload()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes")
    expect(page.locator("#film-still")).to_be_hidden()
    expect(page.locator("#film-frame")).to_contain_text("frame 42 of 90")
    assert page.evaluate(READ_IN_PAGE) == 41
    go(page, 70)
    assert page.evaluate(READ_IN_PAGE) == 70
    page.keyboard.press("m")
    settled(page)
    assert [one["at"]["pts"] for one in room.marks(film)] == [pts[41], pts[70]]


def test_two_cameras_are_lined_up_at_one_moment_and_turned_between(
    let_in: Any, short: Path, tmp_path: Path
) -> None:
    page = let_in
    film = take_up(page, short)
    (tmp_path / "other").mkdir()
    write_film(tmp_path / "other" / "balcony.mp4", even(300, Fraction(RATE)), size=(160, 96), first=5000)
    page.workbench.films.add_folder(str(tmp_path / "other"))
    page.goto(page.url.split("/films/")[0] + "/films")
    page.get_by_label("balcony.mp4").check()
    page.get_by_role("button", name="Look at the files").click()
    page.get_by_text("Or: it is another camera").click()
    page.locator("#field-of").select_option(film)
    page.locator("#field-own_camera").fill("balcony")
    page.get_by_role("button", name="Take it up as that camera").click()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes")
    go(page, 100)
    page.locator("#do-align").click()
    page.keyboard.press("v")
    expect(page.locator("#film-frame")).to_contain_text("balcony.mp4")
    go(page, 40)
    with page.expect_navigation():
        page.locator("#do-align").click()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes")
    page.evaluate("() => film.player.turnTo('main')")
    expect(page.locator("#film-frame")).to_contain_text("scrimmage.mp4")
    go(page, 160)
    page.keyboard.press("v")
    expect(page.locator("#film-frame")).to_have_text("frame 101 of 300, balcony.mp4")
    assert page.evaluate(READ_IN_PAGE) == 5100


def test_marks_follow_the_official_and_are_found_by_name(let_in: Any, short: Path) -> None:
    page, bench = let_in, let_in.workbench
    bench.keep("official", None, {"name": "Dara Whitlock"})
    bench.keep("official", None, {"name": "Teo Marchbank"})
    film = take_up(page, short)
    page.locator("#fold-film > summary").click()
    page.locator("#field-crew-referee").select_option(label="Dara Whitlock")
    page.locator("#field-crew-umpire").select_option(label="Teo Marchbank")
    page.locator("#field-lead").select_option("umpire")
    page.locator("#field-attacking").select_option("right")
    page.get_by_role("button", name="Keep the changes").click()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes")
    for frame, letter in ((30, "a"), (150, "a")):
        go(page, frame)
        for key in ("m", "q", letter, "w"):
            page.keyboard.press(key)
        settled(page)
    first, second = bench.films.marks(film)
    assert (first["lead"], second["lead"]) != ("", "")
    names = bench.officials()["officials"]
    assert {one["name"] for one in names} == {"Dara Whitlock", "Teo Marchbank"}
    home = page.url.split("/films/")[0]
    page.goto(f"{home}/films/search?person=Dara+Whitlock")
    expect(page.locator(".found li")).to_have_count(2)
    page.goto(f"{home}/films/search?person=Priya+Sandleford")
    expect(page.locator(".empty")).to_contain_text("No moment fits")
    assert page.evaluate("document.querySelectorAll('#people option').length") == 5


def test_keys_on_a_withdrawn_film_say_so_and_open_no_picture(let_in: Any, short: Path) -> None:
    page, faults = let_in, []
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    film = take_up(page, short)
    page.keyboard.press("m")
    expect(page.locator("#marks li")).to_have_count(1)
    page.workbench.films.withdraw(film, "Brackwater")
    asked: list[str] = []
    page.on("request", lambda one: asked.append(one.url))
    page.reload()
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes")
    for key in ("Space", ".", ",", "ArrowRight", "n"):
        page.keyboard.press(key)
    expect(page.locator("#film-trouble")).to_contain_text("This film was withdrawn")
    page.keyboard.press("m")
    expect(page.locator("#told")).to_contain_text("No picture is on the screen")
    page.get_by_role("link", name="What was done, line by line").click()
    expect(page.locator("main")).to_contain_text("asked for by Brackwater")
    assert faults == []
    assert not [url for url in asked if "/media/" in url]
