"""The first screen in a real browser: keyboard only, touch at 320 px, print, focus, what is spoken."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
ANSWER = "Old lead bounces it at the table sideline"


def card(page: Any) -> Any:
    return page.locator("#card h1")


def sentence(page: Any) -> str:
    return str(
        page.eval_on_selector(
            "#say", "e => [...e.children].map(c => (c.querySelector('summary') || c).textContent).join('')"
        )
    )


def focused(page: Any) -> str:
    return str(page.evaluate("document.activeElement.id"))


def test_keyboard_only_from_the_empty_screen_to_the_sheet_and_back(open_page: Any) -> None:
    page = open_page("/")
    assert focused(page) == "floor-whole"
    press = page.keyboard.press
    press("Enter")  # the mark stands at the table sideline, 26 ft
    expect(card(page)).to_have_text("Whose ball?")
    assert focused(page).startswith("floor-")
    press("w")
    expect(card(page)).to_contain_text(ANSWER)
    assert "/?line=" in page.url
    assert focused(page).startswith("floor-")
    press("Shift+ArrowRight")
    press("ArrowRight")
    expect(page.locator("#set-at")).to_have_text("table sideline, 20\u00a0ft")
    press("s")
    expect(page.locator("#set-lead")).to_have_text("opposite side")
    press("u")
    expect(page.locator("#set-lead_is")).to_have_text("Referee")
    press("[")
    expect(page.locator("#set-attacks")).to_have_text("left")
    press("]")
    press("d")
    expect(page.locator("#set-ball")).to_have_text("Dark gets it")
    press("y")
    expect(page.locator("#why table")).to_be_visible()
    press("e")
    expect(page.locator("#others")).to_have_attribute("open", "")
    press("4")
    expect(page.locator("#set-cause")).to_have_text("Held ball")
    expect(page.locator("#why table")).to_be_visible()  # what was unfolded stays unfolded
    press("Escape")
    expect(card(page)).to_have_text("Whose throw-in, where, and do we switch?")
    expect(page.locator("#set-lead_is")).to_have_text("Referee")  # the rest keeps its last value
    page.go_back()
    expect(page.locator("#set-cause")).to_have_text("Held ball")


def test_every_part_opens_and_is_chosen_with_tab_and_enter(open_page: Any) -> None:
    page = open_page("/")
    page.locator("#set-cause").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#fill-cause .choice").first).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator("#fill-cause .choice").first).to_be_hidden()
    assert focused(page) == "set-cause"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("#set-cause")).to_have_text("Ball out of bounds")
    assert focused(page) == "set-cause"
    page.locator("#set-at").focus()
    page.keyboard.press("Enter")
    page.locator("#place-side").select_option("left end line")
    page.locator("#place-ft").fill("20")
    page.keyboard.press("Enter")
    expect(page.locator("#set-at")).to_have_text("left end line, 20\u00a0ft from the table sideline")
    page.locator("#set-ball").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("#act-print")).to_be_visible()


def test_the_typed_line_sets_the_screen_and_a_wrong_one_keeps_it(open_page: Any) -> None:
    page = open_page("/")
    page.keyboard.press("/")
    assert focused(page) == "line"
    page.keyboard.type("out off dark, table 26, white")
    page.keyboard.press("Enter")
    expect(card(page)).to_contain_text(ANSWER)
    assert sentence(page).startswith("White attacks right. Ball out of bounds off Dark at table sideline, 26")
    address = page.url
    page.reload()
    expect(card(page)).to_contain_text(ANSWER)
    assert page.url == address


def test_keys_rest_while_typing_and_can_be_switched_off(open_page: Any) -> None:
    page = open_page("/?at=58,0")
    page.locator("#line").focus()
    page.keyboard.type("w?")
    expect(page.locator("#line")).to_have_value("w?")
    expect(page.locator("#keys")).not_to_be_visible()
    page.locator("#floor-whole").focus()
    page.keyboard.press("?")
    expect(page.locator("#keys")).to_be_visible()
    page.locator("#keys-on").uncheck()
    page.keyboard.press("Escape")
    page.locator("#floor-whole").focus()
    page.keyboard.press("w")
    page.wait_for_timeout(200)
    expect(card(page)).to_have_text("Whose ball?")


def test_a_click_on_the_court_lands_where_the_server_says(open_page: Any) -> None:
    """The script's words for a place and the server's are the same, inside, on every line and off it."""
    page = open_page("/?cause=held_ball")
    for x, y in ((70, 12), (58, -1.4), (20, 51), (-1, 30), (85, 19), (42, 25), (0.6, 40), (12, 0.7)):
        place = page.evaluate(
            """([x, y]) => { const b = document.querySelector('.only-whole, court-board.whole');
            const m = new DOMMatrix(b.dataset.frame.split(' ').map(Number));
            const s = b.querySelector('svg').getScreenCTM();
            const screen = new DOMMatrix([s.a, s.b, s.c, s.d, s.e, s.f]);
            const p = new DOMPoint(x, y).matrixTransform(screen.multiply(m)); return [p.x, p.y]; }""",
            [x, y],
        )
        page.mouse.move(*place)
        shown = page.locator(".aim-label").first.text_content()
        page.mouse.click(*place)
        expect(page.locator("#set-at")).to_have_text(re.compile(re.escape(str(shown)).replace(r"\ ", r"\s")))


def test_a_tap_on_the_band_says_out_of_bounds_at_once(open_page: Any) -> None:
    page = open_page("/", width=320, height=640, has_touch=True, is_mobile=True, device_scale_factor=2)
    box = page.locator("#floor-half > svg[role]").bounding_box()
    frame = page.locator("court-board.only-half").get_attribute("data-frame")
    a, _, _, d, e, f = map(float, frame.split())
    wide = page.eval_on_selector("#floor-half > svg[role]", "s => s.viewBox.baseVal.width")
    scale = box["width"] / wide
    page.touchscreen.tap(box["x"] + (a * 70 + e) * scale, box["y"] + (d * -1 + f) * scale)
    expect(page.locator("#set-cause")).to_have_text("Ball out of bounds")
    expect(page.locator("#set-at")).to_have_text("table sideline, 14\u00a0ft")
    page.locator("#ball-1").tap()
    expect(card(page)).to_contain_text("Lead")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    for name in ("act-print", "act-save", "act-send", "act-next"):
        size = page.locator(f"#{name}").bounding_box()
        assert size["height"] >= 44, name
        assert size["y"] + size["height"] <= 640, name  # the actions stick to the foot
    page.locator("#set-lead").tap()
    choices = page.locator("#fill-lead .choice")
    expect(choices.first).to_be_visible()
    assert all(one.bounding_box()["height"] >= 44 for one in choices.all())
    choices.nth(1).tap()
    expect(page.locator("#set-lead")).to_have_text("opposite side")


def test_the_other_end_of_a_half_court_is_one_tap_away(open_page: Any) -> None:
    page = open_page("/", width=390, height=844, has_touch=True, is_mobile=True)
    expect(page.locator("#floor-half > svg[role]")).to_have_attribute("aria-label", re.compile("right half"))
    page.locator("#look-end").tap()
    expect(page.locator("#floor-half > svg[role]")).to_have_attribute("aria-label", re.compile("left half"))


def test_targets_are_44_px_on_a_phone_and_24_everywhere(open_page: Any) -> None:
    measure = """() => [...document.querySelectorAll('a, button, summary, input, select, textarea')]
      .filter(e => e.checkVisibility() && !e.closest('.skip, p, li, td, .note'))
      .map(e => [e.id || e.textContent.trim().slice(0, 30), e.getBoundingClientRect().height])"""
    for path in ("/", "/?cause=out_of_bounds&at=58,0&ball=same", "/book", "/officials", "/games"):
        page = open_page(path, width=390, height=844, has_touch=True, is_mobile=True)
        small = [one for one in page.evaluate(measure) if one[1] < 24]
        assert small == [], path
        thumbs = page.locator(".tile, .pick, .acts .tool, .court-tools .tool, .bar .tool, .form .tool")
        short = [t.text_content() for t in thumbs.all() if t.is_visible() and t.bounding_box()["height"] < 44]
        assert short == [], path


def test_the_answer_is_spoken_at_rest_and_not_while_the_mark_moves(open_page: Any) -> None:
    page = open_page("/?cause=out_of_bounds&at=58,0&ball=same")
    page.locator("#floor-whole").focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    expect(page.locator("#set-at")).to_have_text("table sideline, 21\u00a0ft")
    assert page.locator("#live").text_content() == ""
    expect(page.locator("#live")).to_contain_text("21 ft from the end line")
    expect(page.locator("#live")).to_contain_text("Switch:")


def test_many_arrows_end_at_the_newest_place_only(open_page: Any) -> None:
    page = open_page("/?cause=out_of_bounds&at=58,0&ball=same")
    page.locator("#floor-whole").focus()
    page.evaluate(
        """() => { const h = document.querySelector('#floor-whole');
        for (let n = 0; n < 12; n++) document.activeElement.dispatchEvent(
          new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true})); }"""
    )
    expect(page.locator("#set-at")).to_have_text("table sideline, 14\u00a0ft")
    expect(card(page)).to_contain_text("14\u00a0ft from the end line")


def test_two_quick_keys_both_count(open_page: Any) -> None:
    """The second key follows a link of the screen still shown; it must not take back the first."""
    page = open_page("/")
    page.evaluate(
        """() => { const keys = ['Enter', 'w', 's', 'u'];
        for (const key of keys) document.activeElement.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true})); }"""
    )
    expect(page.locator("#set-at")).to_have_text("table sideline, 26\u00a0ft")
    expect(page.locator("#set-ball")).to_have_text("White keeps it")
    expect(page.locator("#set-lead")).to_have_text("opposite side")
    expect(page.locator("#set-lead_is")).to_have_text("Referee")


def test_escape_empties_the_blanks_and_keeps_what_was_set_since(open_page: Any) -> None:
    page = open_page("/?at=58,0")
    page.keyboard.press("s")
    expect(page.locator("#set-lead")).to_have_text("opposite side")
    page.keyboard.press("Escape")
    expect(page.locator("#set-at")).to_have_text("where?")
    expect(page.locator("#set-lead")).to_have_text("opposite side")
    page.keyboard.press("0")
    expect(page.locator("#fill-more .choice").first).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator("#fill-more .choice").first).to_be_hidden()


def test_save_says_so_without_leaving(open_page: Any) -> None:
    page = open_page("/?cause=out_of_bounds&at=58,0&ball=same")
    address = page.url
    page.locator("#act-save").click()
    expect(page.locator("#act-save")).to_have_text("Saved")
    assert page.url == address
    page.goto(page.url.split("/?")[0] + "/history")
    expect(page.locator("ol.rows li").first).to_contain_text("answer")


def test_theme_changes_at_once_and_is_kept(open_page: Any) -> None:
    page = open_page("/", color_scheme="light")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(236, 230, 219)"
    page.locator(".bar .to-dark").first.click()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(22, 18, 14)"
    expect(page.locator(".bar .to-light").first).to_be_focused()
    page.reload()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(22, 18, 14)"


def test_half_and_turn_are_buttons_and_are_kept(open_page: Any) -> None:
    page = open_page("/?cause=held_ball&at=70,12&ball=same")
    page.locator("#look-turn").click()
    expect(page.locator("#look-turn")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#look-turn")).to_be_focused()
    page.reload()
    expect(page.locator("#look-turn")).to_have_attribute("aria-pressed", "true")
    page.locator("#look-turn").click()
    page.locator("#look-half").click()
    expect(page.locator("#look-half")).to_have_attribute("aria-pressed", "true")


def test_playing_the_steps_marks_one_after_the_other(open_page: Any) -> None:
    page = open_page("/?cause=out_of_bounds&at=58,0&ball=same")
    page.keyboard.press("n")
    expect(page.locator("#steps li[aria-current]")).to_have_attribute("data-step", "1")
    page.keyboard.press("n")
    expect(page.locator("#steps li[aria-current]")).to_have_attribute("data-step", "2")
    page.keyboard.press("b")
    page.keyboard.press("b")
    expect(page.locator("#steps li[aria-current]")).to_have_count(0)
    page.locator("#play").click()
    expect(page.locator("#play")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#steps li[aria-current]")).to_have_attribute("data-step", "2")


def test_copy_puts_the_text_on_the_clipboard(open_page: Any) -> None:
    page = open_page(
        "/?cause=out_of_bounds&at=58,0&ball=same", permissions=["clipboard-read", "clipboard-write"]
    )
    page.locator("#act-send").click()
    page.locator("[data-copy=share-text]").click()
    expect(page.locator("[data-copy=share-text]")).to_have_text("Copied")
    copied = page.evaluate("navigator.clipboard.readText()")
    assert ANSWER in copied
    assert len(copied) < 300


def test_without_scripts_the_whole_job_is_links_and_forms(open_page: Any) -> None:
    page = open_page("/", java_script_enabled=False)
    page.locator("#set-at").click()
    page.locator("#place-side").select_option("table sideline")
    page.locator("#place-ft").fill("58")
    page.get_by_role("button", name="Set the place").click()
    page.locator("#ball-1").click()
    expect(card(page)).to_contain_text(ANSWER)
    page.locator("#set-why").click()
    expect(page.locator("#why table")).to_be_visible()
    page.locator("#act-save").click()
    expect(page.locator(".said, h1").first).to_be_visible()


def test_print_keeps_sentence_court_and_steps_on_paper(open_page: Any) -> None:
    import io

    from pypdf import PdfReader

    page = open_page("/?cause=out_of_bounds&at=58,0&ball=same")
    pdf = PdfReader(io.BytesIO(page.pdf(format="Letter", print_background=False)))
    text = " ".join(" ".join(sheet.extract_text() for sheet in pdf.pages).split())
    assert "White keeps it" in text
    assert ANSWER in text
    assert "count five" in text
    assert "Print sheet" not in text
    assert "Player-control foul" not in text  # the choices behind the sentence stay shut
    assert len(pdf.pages) <= 3


def test_when_the_workbench_is_gone_the_screen_says_so_and_keeps_everything(open_page: Any) -> None:
    page = open_page("/?at=58,0", expected="ERR_CONNECTION_REFUSED")
    page.route("**/part?**", lambda route: route.abort("connectionrefused"))
    page.keyboard.press("w")
    expect(page.locator("#live")).to_contain_text("Start tenbetween again")
    expect(page.locator("#set-at")).to_have_text("table sideline, 26\u00a0ft")
