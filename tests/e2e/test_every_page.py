"""Every page in a real browser: axe in light and dark, nothing cut at 320 px, the take-along book."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from playwright.sync_api import expect
from tests.web.test_pages import LINE

pytestmark = pytest.mark.browser
ON = f"line={quote(LINE)}"
PAGES = (
    "/", "/?at=58,0", f"/?{ON}", "/?cause=common_foul&at=66,18&ball=same&called=trail&edition=fiba-2po&layers=none",
    "/?attacks=up", "/book", "/book/us-hs-2025", "/book/us-hs-2025?q=zzz", "/book/us-hs-2025/who.lead-line-high",
    "/history", "/frozen", "/saved", "/officials", "/settings",
    "/book/changes", "/games", "/games/g1",
    "/court", f"/court?{ON}", "/plays", "/plays?provision=zzz", "/plays/p1", f"/share?{ON}", f"/question?{ON}",
    "/films", "/films/new?file=other-game", "/films/search", "/films/search?words=zzz", "/films/f1", "/films/f2",
    f"/write?{ON}", f"/keep/stamp?{ON}", f"/keep/advice?{ON}",
    "/films/f1/court", "/films/f1/show", "/clips", "/clips?film=f1", "/clips/c1",
    "/clips/c2", "/films/guide", "/films/f1/withdraw", "/nowhere",
)  # fmt: skip
RULES = '{"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}'
UNFOLD = "document.querySelectorAll('details.fold').forEach(one => one.open = true)"


def faults(page: Any, axe_source: str) -> list[str]:
    page.evaluate(axe_source)
    found = json.loads(page.evaluate(f"axe.run(document, {RULES}).then(r => JSON.stringify(r.violations))"))
    return [
        f"{one['id']}: {node['target']} {node['failureSummary']}" for one in found for node in one["nodes"]
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_on_any_page(
    browser: Any, home: str, state: Any, axe_source: str, scheme: str
) -> None:
    context = browser.new_context(
        viewport={"width": 1280, "height": 800},
        storage_state=state,
        color_scheme=scheme,
        reduced_motion="reduce",
    )
    page = context.new_page()
    wrong = {}
    for path in PAGES:
        page.goto(home + path)
        page.evaluate(UNFOLD)
        if found := faults(page, axe_source):
            wrong[path] = found
    page.goto(home)
    page.locator("#set-cause").click()
    wrong.update({"cause open": found} if (found := faults(page, axe_source)) else {})
    page.keyboard.press("Escape")
    page.locator("#keys-open").click()
    wrong.update({"keys": found} if (found := faults(page, axe_source)) else {})
    context.close()
    assert wrong == {}


def test_axe_finds_a_planted_fault(open_page: Any, axe_source: str) -> None:
    page = open_page("/book")
    page.evaluate("document.querySelector('main').insertAdjacentHTML('beforeend', '<input name=x>')")
    assert any(one.startswith("label:") for one in faults(page, axe_source))


def test_at_320_px_nothing_is_cut_and_axe_is_content(open_page: Any, axe_source: str) -> None:
    page = open_page("/", width=320, height=640, has_touch=True, is_mobile=True)
    home = page.url.rstrip("/")
    wide, wrong = {}, {}
    for path in PAGES[:-1]:
        if "up" in path:
            continue
        page.goto(home + path)
        page.evaluate(UNFOLD)
        if (width := page.evaluate("document.documentElement.scrollWidth")) > 320:
            wide[path] = width
        if path in PAGES[:4] and (found := faults(page, axe_source)):
            wrong[path] = found
    assert wide == {}
    assert wrong == {}


def test_every_page_reads_in_forced_colours_and_keeps_its_marks(open_page: Any) -> None:
    page = open_page(f"/?{ON}", forced_colors="active")
    assert page.evaluate("getComputedStyle(document.querySelector('.off .shape')).stroke") != "none"
    expect(page.locator("#set-at")).to_be_visible()


def test_the_book_taken_along_is_read_and_searched_from_a_file(open_page: Any, tmp_path: Path) -> None:
    page = open_page("/book")
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Take it along").last.click()
    target = tmp_path / "book.html"
    waiting.value.save_as(target)
    context = page.context.browser.new_context(viewport={"width": 390, "height": 844}, offline=True)
    phone = context.new_page()
    errors: list[str] = []
    phone.on("console", lambda line: errors.append(line.text))
    phone.on("pageerror", lambda error: errors.append(str(error)))
    phone.goto(target.as_uri())
    before = phone.locator("article:visible").count()
    phone.locator("#q").fill("lead sideline")
    after = phone.locator("article:visible").count()
    assert 0 < after < before
    expect(phone.locator("#n")).to_have_text(f"{after} of {before}")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    context.close()
    assert errors == []


def test_an_answer_is_corrected_in_a_form_and_taken_back(open_page: Any) -> None:
    page = open_page(f"/write?{ON}", expected="400 (Bad Request)")
    page.get_by_role("button", name="Check", exact=True).click()
    expect(page.locator("#problems")).to_contain_text("sentence")
    expect(page.locator("#field-sentence")).to_have_attribute("aria-invalid", "true")
    page.locator("#field-sentence").fill("When it is so, he does so.")
    page.get_by_role("button", name="Check", exact=True).click()
    expect(page.locator("#checked")).to_be_visible()
    page.get_by_role("button", name="Keep in my own layer").click()
    page.goto(page.url.split("/?")[0] + "/history")
    expect(page.locator("ol.rows li").first).to_contain_text("provision")
    page.get_by_role("button", name="Undo the last change").click()
    expect(page.locator(".said")).to_contain_text("Taken back")


def test_a_page_of_another_port_can_neither_read_nor_change_anything(open_page: Any, home: str) -> None:
    page = open_page("/officials", expected="40")
    before = page.locator("ul.rows li").count()
    stranger = page.context.new_page()
    other = "http://127.0.0.1:9"
    stranger.route(
        f"{other}/*", lambda route: route.fulfill(body="<title>x</title>", content_type="text/html")
    )
    stranger.goto(f"{other}/page")
    ask = """([url, mode]) => fetch(url, {method: 'POST', mode, credentials: 'include',
      body: new URLSearchParams({name: 'Planted'})}).then(a => a.type + a.status, () => 'refused')"""
    assert stranger.evaluate(ask, [f"{home}/keep/official", "no-cors"]) in ("opaque0", "refused")
    assert stranger.evaluate(ask, [f"{home}/keep/official", "cors"]) == "refused"
    page.reload()
    assert page.locator("ul.rows li").count() == before
    page.goto(f"{home}/history")
    assert "Planted" not in page.content()
