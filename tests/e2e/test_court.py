"""The court screen in a browser on the real workbench: moved by mouse, touch and keys; played, kept, taken along."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any
from urllib.parse import quote

import av
import pytest
from playwright.sync_api import expect
from pypdf import PdfReader
from tests.e2e.conftest import served
from tests.e2e.test_every_page import faults
from tests.e2e.test_whole_job import filled

from tenbetween.formats.play_json import read_play
from tenbetween.formats.scene_json import read_scene
from tenbetween.formats.scene_line import read_scene_line
from tenbetween.scene import scene_at
from tenbetween.sight import see

pytestmark = pytest.mark.browser
EXAMPLES = Path(__file__).parents[2] / "docs" / "examples"
LINE = "us-hs-2025 / right / out of bounds 58,0 / same / lead table umpire"
ON = f"/court?line={quote(LINE)}"
PLACES = """() => Object.fromEntries(['lead', 'trail', 'ball', ...board.state.step.players.map(p => p.id)]
  .map(id => [id, (({x, y}) => ({x, y}))(board.state.place(id))]))"""
CENTRE = """(id) => { const one = document.querySelector(`.token[data-id="${id}"]`);
  const box = [...one.querySelectorAll('circle, path, rect')].find(e => !e.classList.contains('facing')).getBoundingClientRect();
  return [box.x + box.width / 2, box.y + box.height / 2]; }"""
FRAMES = "() => new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r)))"


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    bench = filled(tmp_path_factory.mktemp("workbench"))
    with closing(bench.store), served(bench) as door:
        yield door.address


@pytest.fixture(scope="module")
def home(address: str) -> str:
    return address.split("/?", maxsplit=1)[0]


@pytest.fixture(scope="module")
def state(browser: Any, address: str) -> Any:
    with closing(browser.new_context()) as context:
        context.new_page().goto(address)
        return context.storage_state()


@pytest.fixture
def court(browser: Any, home: str, state: Any) -> Iterator[Callable[..., Any]]:
    """Open a page of the court; at the end nothing was wrong on its console."""
    contexts, wrong = [], []

    def opened(
        path: str = ON, *, width: int = 1280, height: int = 900, quiet: bool = False, **more: Any
    ) -> Any:
        context = browser.new_context(
            viewport={"width": width, "height": height}, storage_state=state, **more
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on(
            "console",
            lambda line: None if quiet else wrong.append(line.text) if line.type == "error" else None,
        )
        page.goto(home + path)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert wrong == []


def exact(page: Any) -> None:
    """Wait until the program's own answer to the scene shown is on the page."""
    page.wait_for_load_state("networkidle")


def drag(page: Any, who: str, dx: float, dy: float) -> None:
    x, y = page.evaluate(CENTRE, who)
    page.mouse.move(x, y)
    page.mouse.down()
    for part in range(1, 11):
        page.mouse.move(x + dx * part / 10, y + dy * part / 10)
    with page.expect_response("**/api/v1/see"):
        page.mouse.up()
    exact(page)


# -- from an answer ----------


def test_before_a_jump_ball_everybody_is_ready_and_the_tosser_faces_the_jumpers(
    court: Callable[..., Any],
) -> None:
    page = court("/court?line=" + quote("us-hs-2025 / right / game start / lead table umpire"))
    assert page.evaluate("board.state.number") == 0
    places = page.evaluate(PLACES)
    assert (places["ball"]["x"], places["ball"]["y"]) == (42, 25)
    assert page.evaluate("board.state.step.officials.trail.facing") == 270


def test_where_the_book_gives_no_place_nothing_is_told_until_they_are_put_somewhere(
    court: Callable[..., Any],
) -> None:
    page = court("/court?line=" + quote("fiba-2po / right / out of bounds 60,0 / same / lead table umpire"))
    expect(page.locator("#seen h1")).to_have_text("Put both officials where you teach it.")
    expect(page.locator(".four-row")).to_have_count(0)
    drag(page, "trail", 60, -90)
    expect(page.locator(".four-row")).to_have_count(4)


def test_what_somebody_else_saved_since_is_not_written_over(court: Callable[..., Any]) -> None:
    page = court("/plays", quiet=True)
    page.locator(".rows a[href^='/plays/']").first.click()
    other = page.context.new_page()
    other.goto(page.url)
    other.locator("#play-title").fill("Saved in the other window")
    other.locator("#save-play").click()
    expect(other.locator(".said")).to_contain_text("Saved in the other window")
    page.locator("#play-title").fill("Saved here")
    page.locator("#save-play").click()
    expect(page.locator("#told")).not_to_be_empty()
    other.reload()
    expect(other.locator(".board-head strong")).to_have_text("Saved in the other window")


def test_any_answer_becomes_ten_players_ball_and_crew_in_one_click(court: Callable[..., Any]) -> None:
    page = court(f"/?line={quote(LINE)}")
    page.locator("#act-court").click()
    expect(page.locator(".token.player")).to_have_count(10)
    expect(page.locator(".token.official")).to_have_count(2)
    expect(page.locator(".four-row")).to_have_count(4)
    assert [one.split("\n")[0] for one in page.locator(".four-row h2").all_inner_texts()] == [
        "Sight", "Boxing in", "Lines", "Getting back",
    ]  # fmt: skip
    expect(page.locator(".caution")).to_contain_text("flat discs: heads, arms and height are not modelled")


def test_another_formation_is_set_up_from_the_list(court: Callable[..., Any]) -> None:
    page = court()
    choices = page.locator("#formation option").all_inner_texts()
    assert len(choices) >= 3
    page.locator("#formation").select_option(index=len(choices) - 1)
    page.get_by_role("button", name="Set it up", exact=True).click()
    assert page.locator("#formation option[selected]").inner_text() == choices[-1]


# -- moved by hand ----------


def test_the_mouse_drags_an_official_and_everything_follows(court: Callable[..., Any]) -> None:
    page = court()
    before = page.evaluate(PLACES)["lead"]
    bar = page.locator("#bar-sight .value").inner_text()
    drag(page, "lead", -160, -90)
    after = page.evaluate(PLACES)["lead"]
    assert abs(after["x"] - before["x"]) > 5
    line = page.locator("#scene-line").input_value()
    told = read_scene_line(line).crew.lead.at
    assert told == pytest.approx((after["x"], after["y"]))
    seen = see(read_scene_line(line))
    assert page.locator("#bar-sight .value").inner_text() == f"{seen.coverage:.2f}" != bar
    page.keyboard.press("z")
    expect(page.locator("#bar-sight .value")).to_have_text(bar)
    assert page.evaluate(PLACES)["lead"] == before
    page.keyboard.press("y")
    assert page.evaluate(PLACES)["lead"] == after


def test_a_player_with_the_ball_takes_it_along(court: Callable[..., Any]) -> None:
    page = court()
    drag(page, "a1", 60, 40)
    places = page.evaluate(PLACES)
    assert places["a1"] == places["ball"]


def test_keys_do_all_that_the_mouse_does(court: Callable[..., Any]) -> None:
    page = court()
    token = page.locator(".token[data-id='lead']")
    token.focus()
    before = page.evaluate(PLACES)["lead"]
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Shift+ArrowUp")
    after = page.evaluate(PLACES)["lead"]
    assert (after["x"] - before["x"], after["y"] - before["y"]) == pytest.approx((-1, 5))
    expect(token).to_be_focused()
    expect(token).to_have_attribute(
        "aria-label", re.compile(f"L lead, .*{after['x']:g} ft from the left end line")
    )
    page.keyboard.press("]")
    assert page.evaluate("board.state.step.officials.lead.facing") % 15 == 0
    page.keyboard.press("\\")
    assert page.evaluate("board.state.step.officials.lead.facing") is None
    page.keyboard.press("PageDown")
    assert page.evaluate("document.activeElement.dataset.id") != "lead"
    expect(page.locator("#live")).to_contain_text("matchups")


def test_one_tab_stop_for_all_the_tokens(court: Callable[..., Any]) -> None:
    page = court()
    assert page.locator(".token[tabindex='0']").count() == 1


def test_pick_and_tap_does_what_dragging_does_on_a_phone(court: Callable[..., Any]) -> None:
    page = court(width=390, height=844, has_touch=True, is_mobile=True)
    x, y = page.evaluate(CENTRE, "b2")
    page.touchscreen.tap(x, y)
    expect(page.locator(".token[data-id='b2']")).to_have_attribute("aria-pressed", "true")
    before = page.evaluate(PLACES)["b2"]
    with page.expect_response("**/api/v1/see"):
        page.touchscreen.tap(x + 40, y - 30)
    after = page.evaluate(PLACES)["b2"]
    assert after != before
    assert (after["x"] * 2) % 1 == 0


def test_a_number_in_the_list_moves_somebody(court: Callable[..., Any]) -> None:
    page = court()
    field = page.locator("#at-trail-x")
    field.fill("50")
    with page.expect_response("**/api/v1/see"):
        field.press("Enter")
    assert page.evaluate(PLACES)["trail"]["x"] == 50


# -- shown ----------


def test_each_look_is_told_by_shape_and_pattern_and_a_sentence(court: Callable[..., Any]) -> None:
    page = court()
    kinds = set(
        page.locator(".looks .look").evaluate_all(
            "all => all.filter(e => e.getAttribute('display') !== 'none').map(e => e.classList[1])"
        )
    )
    assert {"open", "screened"} <= kinds
    dashes = {
        kind: page.locator(f".looks .look.{kind}").first.evaluate("e => getComputedStyle(e).strokeDasharray")
        for kind in kinds
    }
    assert len(set(dashes.values())) == len(kinds)
    sentences = page.locator(".looks-list p").all_inner_texts()
    assert len(sentences) == 10
    assert any("screens" in one for one in sentences)


def test_the_shading_shows_both_or_one_or_nothing(court: Callable[..., Any]) -> None:
    page = court()

    def kinds() -> list[str]:
        found: list[str] = page.locator(".shade path").evaluate_all("all => all.map(e => e.dataset.kind)")
        return found

    page.locator("#do-shade-lead").click()
    page.evaluate(FRAMES)
    assert kinds() == ["not-lead"]
    page.locator("#do-shade-off").click()
    page.evaluate(FRAMES)
    assert kinds() == []
    page.locator("#do-shade-crew").click()
    page.evaluate(FRAMES)
    assert sorted(kinds()) == ["lead", "nobody", "trail"]


def test_other_basket_and_other_table_side_twice_is_the_same_again(court: Callable[..., Any]) -> None:
    page = court()
    before = page.evaluate("board.state.told()")
    for key in ("m", "t"):
        page.keyboard.press(key)
        assert page.evaluate("board.state.told()") != before
    x = page.evaluate(PLACES)["lead"]["x"]
    assert x < 42
    for key in ("t", "m"):
        page.keyboard.press(key)
    assert json.loads(page.evaluate("board.state.told()")) == json.loads(before)


def test_officials_are_hidden_and_revealed_for_class(court: Callable[..., Any]) -> None:
    page = court()
    page.keyboard.press("h")
    expect(page.locator(".token.official").first).to_be_hidden()
    expect(page.locator(".looks")).to_be_hidden()
    for told in ("#seen", "#strip", "#says", "#positions", "#scene-line", "#steps"):
        expect(page.locator(told)).to_be_hidden()
    expect(page.locator(".token.player").first).to_be_visible()
    page.keyboard.press("h")
    expect(page.locator(".token.official").first).to_be_visible()


def test_the_pen_draws_over_the_court_and_each_stroke_is_taken_back(court: Callable[..., Any]) -> None:
    page = court()
    page.keyboard.press("p")
    x, y = page.evaluate(CENTRE, "lead")
    for down in (0, 30):
        page.mouse.move(x - 200, y + down)
        page.mouse.down()
        page.mouse.move(x - 100, y + down + 10, steps=5)
        page.mouse.up()
    expect(page.locator(".pen path")).to_have_count(2)
    before = page.evaluate(PLACES)
    page.keyboard.press("z")
    expect(page.locator(".pen path")).to_have_count(1)
    page.keyboard.press("w")
    expect(page.locator(".pen path")).to_have_count(0)
    assert page.evaluate(PLACES) == before


def test_what_he_sees_names_everybody_in_his_field_in_order(court: Callable[..., Any]) -> None:
    page = court()
    words = page.locator("#strip-words").inner_text()
    assert words.startswith("What the lead sees. From his left: ")
    page.keyboard.press("e")
    expect(page.locator("#strip-words")).to_contain_text("What the trail sees.")
    expect(page.locator("#strip-title")).to_have_text("What the trail sees from where he stands")


def test_a_step_is_taken_and_the_common_errors_are_shown(court: Callable[..., Any]) -> None:
    page = court()
    before = page.evaluate(PLACES)
    taken = page.locator("[data-take]").first
    role = taken.get_attribute("data-role")
    with page.expect_response("**/api/v1/see"):
        taken.click()
    assert page.evaluate(PLACES)[role] != before[role]
    page.locator("#sum-compare").click()
    names = page.locator(".compare tbody th").all_inner_texts()
    assert len(names) == 11
    assert any("Lead under the basket" in one for one in names)
    page.get_by_role("button", name="Show: Both in the middle").click()
    exact(page)
    places = page.evaluate(PLACES)
    assert abs(places["lead"]["y"] - 25) < 3
    assert abs(places["trail"]["y"] - 25) < 3


# -- played ----------


def test_a_switch_moves_the_letter_and_not_the_shape(court: Callable[..., Any]) -> None:
    page = court()
    assert "Old lead" in page.locator("#says").inner_text()
    letters = """() => Object.fromEntries([...document.querySelectorAll('.token.official')]
      .map(t => [t.dataset.shape, t.querySelector('text').textContent]))"""
    after = page.evaluate(letters)
    page.keyboard.press("b")
    before = page.evaluate(letters)
    assert before == {"circle": "L", "square": "T"}
    assert after == {"circle": "T", "square": "L"}


def test_a_play_runs_to_its_end_and_stops(court: Callable[..., Any]) -> None:
    page = court()
    page.evaluate("boardPlayer.speed = 6")
    page.keyboard.press(" ")
    expect(page.locator("#do-play")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#do-play")).to_have_attribute("aria-pressed", "false")
    assert page.evaluate("board.state.number") == page.locator("#steps li").count() - 1
    assert page.evaluate("boardPlayer.frames.length") > 10


def test_with_less_motion_the_steps_follow_one_another_without_moving(court: Callable[..., Any]) -> None:
    page = court(reduced_motion="reduce")
    page.evaluate("boardPlayer.speed = 20")
    seen = page.evaluate(
        """() => new Promise(done => { const found = new Set(); const put = board.place.bind(board);
        board.place = (step) => { found.add(step.officials.lead.x); put(step); };
        boardPlayer.rested = (on) => on || done([...found]); boardPlayer.start(); })"""
    )
    play = read_play(page.evaluate("board.state.play"))
    assert set(seen) <= {step.scene.crew.lead.at[0] for step in play.steps}


def test_the_browser_has_everybody_where_the_program_has_them_at_any_time(court: Callable[..., Any]) -> None:
    page = court()
    play = read_play(page.evaluate("board.state.play"))
    times = [play.duration * part / 97 for part in range(99)]
    theirs = page.evaluate(
        """async (times) => { const url = [...document.querySelectorAll('link[rel=modulepreload]')]
          .find(l => l.href.includes('board-time')).href;
        const { stepAt, stepBetween } = await import(url); const play = board.state.play;
        return times.map(t => { const [n, part] = stepAt(play, t); const s = stepBetween(play, n, part);
          return [s.ball, ...['lead', 'trail'].map(r => [s.officials[r].x, s.officials[r].y]),
            ...s.players.map(p => [p.x, p.y])]; }); }""",
        times,
    )
    for time, there in zip(times, theirs, strict=True):
        scene = scene_at(play, time)
        here = [scene.ball, scene.crew.lead.at, scene.crew.trail.at, *(one.at for one in scene.players)]
        for ours, others in zip(here, there, strict=True):
            assert tuple(others) == pytest.approx(ours, abs=1e-9), time


def test_steps_are_added_named_timed_and_taken_out(court: Callable[..., Any]) -> None:
    page = court()
    count = page.locator("#steps li").count()
    page.locator("#do-add").click()
    expect(page.locator("#steps li")).to_have_count(count + 1)
    row = page.locator("#steps li[aria-current]")
    row.locator("[data-of='says']").fill("The lead closes down.")
    row.locator("[data-of='says']").press("Tab")
    expect(page.locator("#says")).to_have_text("The lead closes down.")
    page.locator("#do-drop").click()
    expect(page.locator("#steps li")).to_have_count(count)
    page.keyboard.press("z")
    expect(page.locator("#steps li")).to_have_count(count + 1)


# -- kept and taken along ----------


def test_what_was_moved_survives_a_reload_but_not_a_fresh_start(court: Callable[..., Any]) -> None:
    page = court()
    was = page.evaluate(PLACES)["b3"]
    drag(page, "b3", 30, 30)
    moved = page.evaluate(PLACES)["b3"]
    page.reload()
    assert page.evaluate(PLACES)["b3"] == moved != was
    page.goto(page.url)
    assert page.evaluate(PLACES)["b3"] == was


def test_a_play_is_saved_opened_found_by_provision_withdrawn_and_brought_back(
    court: Callable[..., Any],
) -> None:
    page = court()
    drag(page, "b3", 30, 30)
    moved = page.evaluate(PLACES)["b3"]
    page.locator("#play-title").fill("Sideline high, for Tuesday")
    page.locator("#save-play").click()
    page.wait_for_url("**/plays/*")
    page.locator("#do-next").click()
    page.locator("#do-back").click()
    page.locator("#steps [data-show='1']").click()
    assert page.evaluate(PLACES)["b3"] == moved
    assert "/plays/" in page.url
    page.goto(page.url.split("/plays/")[0] + "/plays")
    item = page.locator(".rows > li", has_text="Sideline high, for Tuesday")
    provision = item.locator("a[href*='provision=']").first
    name = provision.inner_text()
    provision.click()
    expect(page.locator(".rows > li", has_text="Sideline high, for Tuesday")).to_have_count(1)
    expect(page.locator("#provision")).to_have_value(name)
    page.locator(".rows > li", has_text="Sideline high, for Tuesday").get_by_role(
        "button", name="Withdraw"
    ).click()
    expect(page.locator(".rows > li", has_text="Sideline high, for Tuesday")).to_have_count(0)
    page.get_by_role("link", name="History").first.click()
    page.get_by_role("button", name="Undo").first.click()
    page.get_by_role("link", name="Plays").first.click()
    expect(page.locator(".rows > li", has_text="Sideline high, for Tuesday")).to_have_count(1)


@pytest.mark.parametrize(
    ("words", "begins"),
    [("Step sheet (PDF)", b"%PDF"), ("Still with shading", b"\x89PNG"), ("Open JSON", b"{"), ("Moving picture (SVG)", b"<svg")],
)  # fmt: skip
def test_the_play_is_taken_along_as(court: Callable[..., Any], words: str, begins: bytes) -> None:
    page = court()
    # What the browser shows instead of saving is read from the same form.
    fields = page.evaluate(
        """(words) => { const all = [...document.querySelectorAll('[data-handed] button')];
        const button = all.find(b => b.textContent === words);
        const form = button.form; form.elements.play.value = JSON.stringify(board.state.play);
        return [...new FormData(form, button)]; }""",
        words,
    )
    answer = page.request.post(
        page.url.split("/court")[0] + "/court/file",
        form=dict(fields),
        headers={"origin": page.url.split("/court")[0]},
    )
    assert answer.status == 200
    assert answer.body().lstrip().startswith(begins)
    if begins == b"%PDF":
        text = "".join(one.extract_text() for one in PdfReader(io.BytesIO(answer.body())).pages)
        assert "Old lead comes up" in " ".join(text.split())
    if begins == b"{":
        assert len(read_play(answer.body()).steps) >= 3


def test_a_film_is_painted_with_progress_and_has_no_sound(court: Callable[..., Any]) -> None:
    page = court()
    page.evaluate(
        "board.state.play.steps.forEach(s => { s.seconds = Math.min(s.seconds, 0.4); s.hold = 0.2; })"
    )
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Film (MP4)").click()
        expect(page.locator("#making")).to_be_visible()
    with av.open(waiting.value.path()) as film:
        assert film.streams.video[0].frames > 10
        assert not film.streams.audio


def test_a_film_is_stopped_half_way(court: Callable[..., Any]) -> None:
    page = court(quiet=True)
    page.evaluate("board.state.play.steps.forEach(s => { s.hold = 20; })")
    page.get_by_role("button", name="Film (MP4)").click()
    page.locator("#make-stop").click()
    expect(page.locator("#making")).to_be_hidden()
    expect(page.locator("#told")).to_have_text("Stopped. No film was made.")


def test_tracks_from_a_file_are_played_and_what_was_left_out_is_said(court: Callable[..., Any]) -> None:
    page = court("/plays")
    page.locator("input[type=file]").set_input_files(EXAMPLES / "tracks.jsonl")
    page.get_by_role("button", name="Open on the court").click()
    expect(page.locator("#fold-report")).to_contain_text("frames from")
    expect(page.locator(".token.player")).to_have_count(10)
    assert page.locator("#steps li").count() >= 2
    page.locator("#do-next").click()
    expect(page.locator("#steps li[aria-current] button")).to_have_text("2")


def test_a_file_that_is_no_play_gets_directions(court: Callable[..., Any], tmp_path: Path) -> None:
    page = court("/plays", quiet=True)
    broken = tmp_path / "broken.csv"
    broken.write_text("this is\nno table of places\n")
    page.locator("input[type=file]").set_input_files(broken)
    page.get_by_role("button", name="Open on the court").click()
    expect(page.get_by_role("alert")).to_contain_text("to mend")


# -- without scripts, and what cannot be read ----------


def test_without_scripts_the_page_reads_and_the_line_sets_it_up(court: Callable[..., Any]) -> None:
    page = court(java_script_enabled=False)
    assert page.locator("table.places tbody tr").count() == 13
    dead = page.locator("main button:visible").evaluate_all(
        "all => all.filter(b => b.type === 'button').map(b => b.id)"
    )
    assert dead == [], "nothing that needs a script is shown without one"
    expect(page.locator(".four-row")).to_have_count(4)
    line = "us-hs | a1 60,20 b1 63,22 | a1-b1 ball | 60,20 | lead 87,40 | trail 56,2"
    page.locator("#scene-line").fill(line)
    page.get_by_role("button", name="Set it up from the line").click()
    assert page.locator("table.places tbody tr").count() == 5
    assert read_scene_line(page.locator("#scene-line").input_value()) == read_scene_line(line)


def test_a_line_that_cannot_be_read_gets_directions(court: Callable[..., Any]) -> None:
    page = court("/court?scene=" + quote("us-hs | a1 500,20 | | 60,20 | lead 87,40 | trail"), quiet=True)
    expect(page.get_by_role("alert")).to_contain_text("to mend")
    expect(page.locator(".token.player")).to_have_count(10)


def test_a_broken_scene_is_refused_with_directions(court: Callable[..., Any]) -> None:
    page = court()
    home = page.url.split("/court")[0]
    for body in ('{"scene": {"players": 7}}', "[]", "{", '{"scene": {"players": [{"id": "a1"}]}}'):
        answer = page.request.post(
            home + "/api/v1/see", data=body, headers={"origin": home, "content-type": "application/json"}
        )
        assert answer.status == 400
        for problem in answer.json()["errors"]:
            assert set(problem) == {"where", "found", "expected", "do"}


def test_the_exact_answer_is_the_one_of_the_command(court: Callable[..., Any]) -> None:
    page = court()
    home = page.url.split("/court")[0]
    scene = page.evaluate("board.state.scene")
    answer = page.request.post(home + "/api/v1/see", data={"scene": scene}, headers={"origin": home}).json()
    assert answer["sight"]["coverage"] == see(read_scene(scene)).coverage
    assert read_scene_line(answer["line"]) == read_scene(scene)


# -- for everybody ----------


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(court: Callable[..., Any], axe_source: str, scheme: str) -> None:
    page = court(color_scheme=scheme)
    page.locator("#sum-compare").click()
    page.locator("#sum-rests").click()
    assert faults(page, axe_source) == []
    page.locator("#keys-open").click()
    assert faults(page, axe_source) == []
    page.keyboard.press("Escape")
    page.goto(page.url.split("/court")[0] + "/plays")
    assert faults(page, axe_source) == []


def test_at_320_px_nothing_is_cut_and_targets_are_large(court: Callable[..., Any], axe_source: str) -> None:
    page = court(width=320, height=640, has_touch=True, is_mobile=True)
    assert page.evaluate("document.documentElement.scrollWidth") == 320
    assert faults(page, axe_source) == []
    small = page.locator("main button:visible").evaluate_all(
        "all => all.filter(b => b.getBoundingClientRect().height < 44).map(b => b.id)"
    )
    assert small == []
    page.goto(page.url.split("/court")[0] + "/plays")
    assert page.evaluate("document.documentElement.scrollWidth") == 320


def test_the_page_prints_the_court_and_what_is_seen(court: Callable[..., Any]) -> None:
    page = court()
    pages = PdfReader(io.BytesIO(page.pdf())).pages
    text = " ".join("".join(one.extract_text() for one in pages).split())
    assert "Getting back" in text
    assert "heads, arms and height are not modelled" in text
