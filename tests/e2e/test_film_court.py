"""Finding the court on the drawn game, by hand and by keyboard, held against what the film truly shows."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import expect
from tests.e2e.conftest import TOKEN, served
from tests.e2e.filmed import NOON, Filmed, open_filmed

from tenbetween.court import court_of, landmarks

pytestmark = pytest.mark.browser
MARKS = (
    "division_line_table", "division_line_opposite", "right_table_elbow", "right_opposite_lane_corner",
    "right_table_arc_joint", "right_opposite_corner",
)  # fmt: skip


@pytest.fixture(scope="module")
def filmed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Filmed]:
    with ExitStack() as until:
        yield open_filmed(tmp_path_factory.mktemp("filmed"), until)


@pytest.fixture(scope="module")
def home(filmed: Filmed) -> Iterator[str]:
    with served(filmed.bench) as door:
        yield f"http://127.0.0.1:{door.port}"


@pytest.fixture(scope="module")
def state(browser: Any, home: str) -> Any:
    context = browser.new_context()
    context.new_page().goto(f"{home}/?t={TOKEN}")
    kept = context.storage_state()
    context.close()
    return kept


def at_disposal(filmed: Filmed) -> int:
    return filmed.number(1, "e6")


def path_of(filmed: Filmed, number: int) -> str:
    return f"/films/{filmed.film['id']}/court?part={filmed.part['fingerprint']}&pts={filmed.truth['pts'][number]}"


def click(page: Any, dot: tuple[float, float], filmed: Filmed) -> None:
    box = page.locator("#find-over").bounding_box()
    wide, high = filmed.truth["picture"]
    at = {"x": (dot[0] + 0.5) / wide * box["width"], "y": (dot[1] + 0.5) / high * box["height"]}
    page.locator("#find-stage").click(position=at)


def opened(open_page: Any, path: str, **more: Any) -> Any:
    page = open_page(path, **more)
    expect(page.locator("#main[data-ready=yes]")).to_be_visible()
    return page


@pytest.fixture(scope="module")
def carried(filmed: Filmed) -> str:
    """The court kept on the frame of disposal and carried through the pan, without a browser."""
    number = at_disposal(filmed)
    at = landmarks(court_of("us-hs"))
    clicks = {
        "landmarks": [{"name": name, "px": list(filmed.dot(number, at[name]))} for name in MARKS],
        "snap": True,
    }
    anchor = filmed.bench.courts.save_anchor(filmed.film["id"], filmed.at(number), clicks)
    filmed.bench.courts.follow(anchor["id"], 4.0)
    return str(anchor["id"])


def mark_six(page: Any, filmed: Filmed, number: int) -> None:
    at = landmarks(court_of("us-hs"))
    for count, name in enumerate(MARKS, 1):
        page.locator("#find-name").select_option(name)
        click(page, filmed.dot(number, at[name]), filmed)
        expect(page.locator("#part-marks .find-row")).to_have_count(count)


def test_six_marks_and_a_snap_find_the_court_and_feet_lie_within_their_ellipses(
    open_page: Any, filmed: Filmed
) -> None:
    number = at_disposal(filmed)
    page = opened(open_page, path_of(filmed, number))
    mark_six(page, filmed, number)
    page.locator("#do-snap").click()
    expect(page.locator("#find-says")).to_contain_text("Known:")
    page.locator("#do-keep").click()
    expect(page.locator("#part-anchors .anchor-row")).to_have_count(1)
    page.locator("#do-feet").click()
    everybody = {"lead": "referee", "trail": "umpire", "a1": "w1", "b3": "d3", "a3": "w3"}
    for count, (who, person) in enumerate(everybody.items(), 1):
        page.locator("#find-who").select_option(who)
        click(page, filmed.dot(number, filmed.stood(person, number)), filmed)
        expect(page.locator("#part-feet .find-row")).to_have_count(count)
    page.locator("#do-pair").click()
    expect(page.locator("#part-saw dt").first).to_have_text("All between the two")
    line = page.get_by_role("link", name="This scene on the court screen").get_attribute("href")
    assert line is not None
    assert line.startswith("/court?scene=us-hs")
    kept = filmed.bench.courts.page(filmed.film["id"], filmed.at(number))["standing"]
    assert {one["id"] for one in kept["feet"]} == set(everybody)
    for one in kept["feet"]:
        true = np.array(filmed.stood(everybody[one["id"]], number))
        off = np.array(one["at"]) - true
        # A click in the browser lands on a whole dot of the screen; the ellipse allows for it.
        assert off @ np.linalg.inv(np.array(one["spread"])) @ off < 9.21, one
        assert np.hypot(*off) < 3.0


def test_arrows_move_what_is_held_by_half_a_dot_and_enter_goes_on(open_page: Any, filmed: Filmed) -> None:
    page = opened(open_page, path_of(filmed, 5))
    at = landmarks(court_of("us-hs"))
    page.locator("#find-name").select_option("division_line_table")
    click(page, filmed.dot(5, at["division_line_table"]), filmed)
    expect(page.locator("#part-marks .find-row")).to_have_count(1)
    before = page.evaluate("document.querySelector('#over-clicks .held').getAttribute('d')")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowDown")
    after = page.evaluate("document.querySelector('#over-clicks .held').getAttribute('d')")

    def middle(way: str) -> tuple[float, float]:
        u, v = way[1:].split("H", maxsplit=1)[0].split(" ")
        return float(u), float(v)

    assert middle(after)[0] - middle(before)[0] == pytest.approx(1.0, abs=1e-6)
    assert middle(after)[1] - middle(before)[1] == pytest.approx(5.0, abs=1e-6)
    expect(page.locator("#find-lens")).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.locator("#live")).to_contain_text("Next:")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    expect(page.locator("#part-marks .find-row")).to_have_count(2)


def test_a_mark_on_the_wrong_place_is_named_in_words(open_page: Any, filmed: Filmed) -> None:
    number = at_disposal(filmed)
    page = opened(open_page, path_of(filmed, number + 3))
    at = landmarks(court_of("us-hs"))
    mark_six(page, filmed, number + 3)
    page.locator("#find-name").select_option("right_opposite_arc_joint")
    click(page, filmed.dot(number + 3, at["right_opposite_elbow"]), filmed)
    expect(page.locator("#part-marks .wrong")).to_contain_text(
        "is this really the start of the arc, right end, opposite side"
    )
    expect(page.locator(".odd-one")).to_have_count(1)


def test_the_court_is_carried_through_the_pan(open_page: Any, filmed: Filmed) -> None:
    number = at_disposal(filmed)
    page = opened(open_page, path_of(filmed, number))
    page.locator("[data-do=follow]").first.click()
    expect(page.locator("#part-anchors small")).to_contain_text("Carried over", timeout=60_000)
    found = filmed.bench.courts.cameras(filmed.film["id"], filmed.part["fingerprint"], 0, 10**9)
    assert len(found["pts"]) > 250
    from tenbetween.film.camera import Camera

    places = np.array([[x, y] for x in (50.0, 65.0, 80.0) for y in (5.0, 25.0, 45.0)])
    worst = []
    for pts, numbers, colour in zip(found["pts"], found["numbers"], found["state"], strict=True):
        if colour != "green":
            continue
        true = filmed.camera(filmed.truth["pts"].index(pts))
        carried = Camera(0, 0, 1, 0, 0, 0, 1, 0, tuple(found["picture"])).with_numbers(numbers)
        dots = true.dots(places)
        inside = (dots[:, 0] > 0) & (dots[:, 0] < 639) & (dots[:, 1] > 0) & (dots[:, 1] < 359)
        if inside.any():
            worst.append(float(np.median(np.hypot(*(carried.floor(dots[inside]) - places[inside]).T))))
    assert len(worst) > 200
    assert np.median(worst) < 0.5
    assert np.max(worst) < 1.5


# -- pointing and teaching ----------------------------------------------------------------------------------------


def test_page_and_program_draw_the_same_pointers(open_page: Any, filmed: Filmed) -> None:
    from tests.draw.pointer_cases import ITEMS, NUMBERS, PICTURE, TIMES

    from tenbetween.desk.pointed import shapes_at
    from tenbetween.draw.pointers import drawn
    from tenbetween.film.camera import Camera

    page = opened(open_page, f"/films/{filmed.film['id']}/show")
    ask = """async ([items, numbers, picture, seconds]) => {
      const base = document.querySelector('script[src*=film-show]').src.replace('film-show.js', '');
      const { FilmCamera } = await import(base + 'film-camera.js');
      const { shapesAt, drawn } = await import(base + 'film-point.js');
      const shapes = shapesAt(items, 'f', seconds, picture, new FilmCamera(numbers, ...picture));
      return [shapes, shapes.map(one => drawn(one, picture).map(made =>
        [made.tagName, made.getAttribute('points') ?? '', made.textContent]))];
    }"""
    camera = Camera(0, 0, 1, 0, 0, 0, 1, 0, PICTURE).with_numbers(NUMBERS)
    for seconds in TIMES:
        theirs, elements = page.evaluate(ask, [ITEMS, NUMBERS, list(PICTURE), seconds])
        ours = shapes_at(ITEMS, "f", seconds, PICTURE, camera)
        assert [one["kind"] for one in theirs] == [one["kind"] for one in ours]
        for mine, yours, made in zip(ours, theirs, elements, strict=True):
            assert {k: v for k, v in mine.items() if k in ("text", "role", "of")} == {
                k: v for k, v in yours.items() if k in ("text", "role", "of")
            }
            for name in ("points", "at"):
                assert np.allclose(np.array(mine.get(name, [])), np.array(yours.get(name, [])), atol=1e-6)
            written = drawn(mine, PICTURE)
            assert [one.split()[0].strip("<>") for one in written] == [tag for tag, _, _ in made]
            for one, (_, points, _) in zip(written, made, strict=True):
                if points:
                    kept = np.array(
                        [
                            [float(v) for v in pair.split(",")]
                            for pair in one.split('points="')[1].split('"')[0].split(" ")
                        ]
                    )
                    shown = np.array([[float(v) for v in pair.split(",")] for pair in points.split(" ")])
                    assert np.abs(kept - shown).max() < 0.01


def test_a_ring_put_on_a_place_stays_on_it_through_the_pan(
    open_page: Any, filmed: Filmed, carried: str
) -> None:
    number = at_disposal(filmed)
    page = opened(open_page, f"/films/{filmed.film['id']}/show")
    page.evaluate("at => window.show.player.goTo(at).then(() => null)", filmed.at(number - 60))
    page.locator("#do-point").click()
    expect(page.locator("#point-says")).to_contain_text("stays on its place on the floor")
    page.locator("#point-kind").select_option("ring")
    page.locator("#point-seconds").fill("6")
    place = landmarks(court_of("us-hs"))["right_table_elbow"]
    box = page.locator("#find-over").bounding_box()
    wide, high = filmed.truth["picture"]
    scale = min(box["width"] / wide, box["height"] / high)
    left, top = (box["width"] - wide * scale) / 2, (box["height"] - high * scale) / 2
    u, v = filmed.dot(number - 60, place)
    page.locator("#find-stage").click(position={"x": left + (u + 0.5) * scale, "y": top + (v + 0.5) * scale})
    expect(page.locator("#point-list li")).to_have_count(1)
    expect(page.locator("#live")).to_contain_text("Ring put.")
    middle = """() => {
      const listed = document.querySelector('#point-layer polygon').getAttribute('points');
      const dots = listed.split(' ').map(one => one.split(',').map(Number));
      return [0, 1].map(n => dots.reduce((sum, dot) => sum + dot[n], 0) / dots.length); }"""
    moved = []
    for frame in (number - 60, number - 20, number, number + 50, number + 90):
        page.evaluate("at => window.show.player.goTo(at).then(() => null)", filmed.at(frame))
        found, true = np.array(page.evaluate(middle)), np.array(filmed.dot(frame, place))
        assert np.hypot(*(found - true)) < 4.0, frame
        moved.append(true[0])
    assert max(moved) - min(moved) > 25  # the camera did pan
    kept = filmed.bench.courts.pointers(filmed.film["id"])
    assert kept[0]["items"][0]["at"]["court"] == pytest.approx(list(place), abs=1.0)


def test_the_film_stops_before_disposal_asks_and_plays_on(open_page: Any, filmed: Filmed) -> None:
    films, number = filmed.bench.films, at_disposal(filmed)
    mark = films.start_mark(filmed.film["id"], filmed.at(filmed.number(1, "e0")))
    films.set_event(mark["id"], "e6", filmed.at(number))
    page = opened(open_page, f"/films/{filmed.film['id']}/show?mark={mark['id']}")
    page.evaluate("at => window.show.player.goTo(at).then(() => null)", filmed.at(number - 40))
    page.keyboard.press("Space")
    expect(page.locator("#show-ask")).to_be_visible(timeout=15_000)
    shown = page.evaluate("window.show.player.shown.at.pts")
    assert shown == filmed.truth["pts"][number - 1]
    expect(page.locator("#ask-answer")).to_be_hidden()
    page.keyboard.press("a")
    expect(page.locator("#ask-answer")).to_be_visible()
    page.keyboard.press("Space")
    expect(page.locator("#show-ask")).to_be_hidden()
    expect(page.locator("#do-play")).to_have_attribute("aria-pressed", "true")


def test_another_frame_is_offered_without_a_click_and_kept_once_looked_at(
    open_page: Any, filmed: Filmed, carried: str
) -> None:
    number = filmed.number(0, "e6")
    page = opened(open_page, path_of(filmed, number))
    page.locator("#do-again").click()
    expect(page.locator("#part-marks")).to_contain_text("An offer")
    page.locator("#do-keep").click()
    expect(page.locator("#live")).to_contain_text("kept")
    known, how = filmed.bench.courts.camera_at(filmed.film["id"], filmed.at(number))
    assert "clicked on this frame" in how
    places = np.array([[42.0, 10.0], [42.0, 40.0], [60.0, 45.0]])
    found = known.camera.floor(filmed.camera(number).dots(places))
    assert np.hypot(*(found - places).T).max() < 0.8


def test_two_marks_are_enough_where_the_place_is_known(filmed: Filmed, carried: str) -> None:
    number = at_disposal(filmed) + 100
    at = landmarks(court_of("us-hs"))
    two = [{"name": name, "px": list(filmed.dot(number, at[name]))} for name in MARKS[:2]]
    found = filmed.bench.courts.locate(filmed.film["id"], filmed.at(number), {"landmarks": two, "snap": True})
    assert found["ok"], found["why"]
    assert found["state"] == "green"


def test_the_film_room_leads_to_the_court_of_the_frame_on_screen(open_page: Any, filmed: Filmed) -> None:
    page = opened(open_page, f"/films/{filmed.film['id']}")
    at = filmed.at(77)
    page.evaluate("at => window.film.player.goTo(at).then(() => null)", at)
    page.get_by_role("link", name="Find the court").click()
    expect(page.locator("#find-stage")).to_be_visible()
    assert page.url.endswith(f"/court?part={at['part']}&pts={at['pts']}")


def test_at_320_px_the_court_page_is_not_cut_and_its_targets_are_large(
    open_page: Any, filmed: Filmed, carried: str
) -> None:
    page = opened(
        open_page, path_of(filmed, at_disposal(filmed)), width=320, height=640, has_touch=True, is_mobile=True
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    small = """() => [...document.querySelectorAll('main button, main a, main select')].filter(one => one.checkVisibility())
      .map(one => one.getBoundingClientRect()).filter(box => box.height < 44 || box.width < 44).length"""
    assert page.evaluate(small) == 0


def test_by_keyboard_alone_a_name_is_put_and_taken_away(open_page: Any, filmed: Filmed, carried: str) -> None:
    page = opened(open_page, f"/films/{filmed.film['id']}/show")
    before = page.locator("#point-list li").count()
    page.evaluate("at => window.show.player.goTo(at).then(() => null)", filmed.at(at_disposal(filmed)))
    page.locator("#find-stage").focus()
    page.keyboard.press("g")
    page.locator("#point-kind").select_option("name")
    page.locator("#point-role").select_option("trail")
    page.locator("#point-text").fill("Umpire")
    page.locator("#find-stage").focus()
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Enter")
    expect(page.locator("#point-list li")).to_have_count(before + 1)
    expect(page.locator("#point-layer")).to_contain_text("T Umpire")
    page.locator("#point-list li").last.get_by_role("button", name="Take away: Name T Umpire").press("Enter")
    expect(page.locator("#point-list li")).to_have_count(before)
    expect(page.locator("#live")).to_contain_text("Taken away.")


def test_a_region_is_marked_by_two_corners_and_a_clip_leaves_once_confirmed(
    open_page: Any, filmed: Filmed
) -> None:
    clips, films = filmed.bench.clips, filmed.bench.films
    mark = films.start_mark(filmed.film["id"], filmed.at(100))["id"]
    clip = clips.make([mark], "Handed", {"before_s": 0.5, "after_s": 0.5, "height": 360})[0]
    clips.export({"clip": clip}, lambda *_: None, lambda: False)
    page = open_page(f"/clips/{clip}", expected="400 (Bad Request)")
    box = page.locator("#find-over").bounding_box()
    for share in ((0.3, 0.2), (0.5, 0.6)):
        page.locator("#find-stage").click(
            position={"x": box["width"] * share[0], "y": box["height"] * share[1]}
        )
    expect(page.locator("#blur-boxes rect")).to_have_count(1)
    page.locator("#blur-save").click()
    expect(page.locator("p.said")).to_contain_text("made anew, blurred")
    assert "1 more region on this stretch" in page.locator("main").inner_text()
    (region,) = clips.clip(clip)["how"]["blur"]
    assert region["marks"][0][1] == pytest.approx([0.3, 0.2, 0.5, 0.6], abs=0.01)
    clips.export({"clip": clip}, lambda *_: None, lambda: False)
    page.reload()
    expect(page.locator("main")).to_contain_text("Faces are blurred in 1 marked region")
    page.get_by_role("button", name="Confirm").click()
    expect(page.locator("#problems")).to_contain_text("you looked at the contact sheet")
    for name in ("permission", "names", "sheet"):
        page.locator(f"#field-{name}").check()
    page.get_by_role("button", name="Confirm").click()
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Take it along").click()
    assert waiting.value.suggested_filename.startswith("clip-")


def test_axe_finds_nothing_where_everything_is_filled(
    browser: Any, home: str, state: Any, axe_source: str, filmed: Filmed, carried: str
) -> None:
    from tests.e2e.test_every_page import UNFOLD, faults

    id_, number = filmed.film["id"], at_disposal(filmed)
    mark = filmed.bench.films.start_mark(id_, filmed.at(130))["id"]
    clip = filmed.bench.clips.make([mark], "Handed", {"before_s": 0.2, "after_s": 0.2, "height": 360})[0]
    filmed.bench.clips.export({"clip": clip}, lambda *_: None, lambda: False)
    everybody = {"lead": "referee", "trail": "umpire", "a1": "w1", "b1": "d1"}
    feet = [
        {"id": one, "px": list(filmed.dot(number, filmed.stood(who, number)))}
        for one, who in everybody.items()
    ]
    filmed.bench.courts.stand(id_, filmed.at(number), {"feet": feet, "pairs": "nearest"})
    paths = (
        path_of(filmed, number), f"/films/{id_}/show?mark={mark}", f"/clips?film={id_}", f"/clips/{clip}",
        f"/films/{id_}/withdraw",
    )  # fmt: skip
    wrong: dict[str, Any] = {}
    for width, scheme in ((1280, "light"), (1280, "dark"), (320, "light")):
        view = {"width": width, "height": 800}
        context = browser.new_context(
            viewport=view, storage_state=state, color_scheme=scheme, reduced_motion="reduce"
        )
        page = context.new_page()
        for path in paths:
            page.goto(home + path)
            expect(page.locator("h1")).to_be_visible()
            page.evaluate(UNFOLD)
            if "/show" in path:
                expect(page.locator("#main[data-ready=yes]")).to_be_visible()
                page.locator("#do-point").click()
            if page.evaluate("document.documentElement.scrollWidth") > width:
                wrong[f"{width} {path}"] = "wider than the screen"
            if found := faults(page, axe_source):
                wrong[f"{scheme} {path}"] = found
        context.close()
    assert wrong == {}


IN_VIEW = """name => {
  const box = document.querySelector(name).getBoundingClientRect();
  const bar = parseFloat(getComputedStyle(document.documentElement).getPropertyValue("--bar")) || 0;
  return box.top >= bar - 1 && box.bottom <= innerHeight + 1; }"""


@pytest.mark.parametrize(("width", "height"), [(1280, 900), (1024, 700), (390, 844), (320, 640)])
def test_pointing_keeps_the_picture_in_view(open_page: Any, filmed: Filmed, width: int, height: int) -> None:
    """A pointer is put on what is seen: pressing G shows the panel, and the picture stays where it can be clicked."""
    page = opened(open_page, f"/films/{filmed.film['id']}/show", width=width, height=height)
    page.locator("#find-stage").focus()
    page.keyboard.press("g")
    expect(page.locator("#point-kind")).to_be_focused()
    assert page.evaluate(IN_VIEW, "#find-stage")
    assert page.evaluate(IN_VIEW, "#point-kind")
    page.locator("#point-done").focus()
    page.wait_for_timeout(100)
    assert page.evaluate(IN_VIEW, "#find-stage")
    assert page.evaluate(IN_VIEW, "#point-done")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    under = """name => { const box = document.querySelector(name).getBoundingClientRect();
      return document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2).id; }"""
    assert page.evaluate(under, "#point-done") == "point-done"  # and is not under the picture
    page.locator("#point-done").press("Enter")
    expect(page.locator("#pointing")).to_be_hidden()
    expect(page.locator("#find-stage")).to_be_focused()


def test_the_court_page_says_how_far_the_court_is_carried_until_it_is_over(
    open_page: Any, filmed: Filmed, carried: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A worker is played by hand: it waits, gets on, fails with its words, is stopped, taken up again, and ends."""
    from tenbetween.errors import Problem

    courts, jobs = filmed.bench.courts, filmed.bench.store.jobs
    monkeypatch.setattr(courts, "_ask", lambda kind, args: jobs.add(kind, args, NOON).id)
    page = opened(open_page, path_of(filmed, at_disposal(filmed)))
    asked: list[str] = []
    page.on("request", lambda request: "/carrying/" in request.url and asked.append(request.method))
    page.locator(f"[data-do=follow][data-anchor='{carried}']").click()
    row = page.locator(".carrying")
    expect(row).to_contain_text("waits its turn")
    held = jobs.take(["follow"], "worker", NOON, 3600.0)
    assert held is not None
    jobs.told(held, 3, 10, "Carrying the court through the pan", NOON)
    expect(row).to_contain_text("under way, 30 %, Carrying the court through the pan", timeout=15_000)
    gone = Problem("game.mp4", "an end after 12 of 300 frames", "the whole stretch", "plug the disk in again")
    jobs.fail(held, [gone], NOON)
    expect(row).to_contain_text("did not work", timeout=15_000)
    expect(row).to_contain_text("an end after 12 of 300 frames; plug the disk in again")
    row.get_by_role("button", name="Try again").click()
    expect(row).to_contain_text("waits its turn")
    row.get_by_role("button", name="Cancel").click()
    expect(row).to_contain_text("stopped")
    page.reload()
    expect(row).to_contain_text("stopped")
    row.get_by_role("button", name="Try again").click()
    expect(row).to_contain_text("waits its turn")
    held = jobs.take(["follow"], "worker", NOON, 3600.0)
    assert held is not None
    done = courts.carry_on({**held.args.data(), "seconds": 1.0}, lambda *_: None, lambda: False)
    jobs.finish(held, done, NOON)
    counts = done["carried"]
    words = f"Carried over {counts['frames']} frames: {counts['green']} known, {counts['amber']} doubtful, {counts['red']} lost."
    expect(page.locator("#part-anchors")).to_contain_text(words, timeout=15_000)
    expect(page.locator("#live")).to_contain_text("Carried over")
    expect(row).to_have_count(0)
    before = len(asked)
    page.wait_for_timeout(2500)
    assert len(asked) == before  # what is over is asked for no more


def test_work_of_another_film_is_no_work_of_this_page(filmed: Filmed) -> None:
    from tenbetween.errors import StoreError

    other = filmed.bench.store.jobs.add("follow", {"film": "another", "anchor": "a", "seconds": 1}, NOON)
    with pytest.raises(StoreError, match="work"):
        filmed.bench.courts.carrying(filmed.film["id"], other.id)
    filmed.bench.store.jobs.ask_off(other.id, NOON)


def test_at_320_px_every_measure_is_wide_enough_to_read(open_page: Any, filmed: Filmed) -> None:
    films, number = filmed.bench.films, at_disposal(filmed)
    mark = films.start_mark(filmed.film["id"], filmed.at(number - 200))
    films.set_event(mark["id"], "e6", filmed.at(number))
    for later in (20, 55):
        films.stroke(mark["id"], filmed.at(number + later))
    films.set_event(mark["id"], "e8", filmed.at(number - 30))
    page = open_page(f"/films/{filmed.film['id']}?mark={mark['id']}", width=320, height=640)
    rows = page.locator(".measures > div")
    expect(rows).to_have_count(4)
    expect(rows.nth(1)).to_contain_text("release stands before disposal: look again")
    for row in rows.all():
        box = row.bounding_box()
        assert box["height"] < 90
        assert min(one.bounding_box()["width"] for one in (row.locator("dt"), row.locator("dd"))) > 100
    films.remove_mark(mark["id"])
