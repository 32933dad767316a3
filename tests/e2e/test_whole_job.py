"""The main job in a browser on the real workbench: a walked game, an answer corrected, printed, undone."""

from __future__ import annotations

import io
import os
import re
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader
from tests.e2e.conftest import served

from tenbetween.desk import demo
from tenbetween.desk.workbench import Workbench
from tenbetween.store import open_workbench

pytestmark = pytest.mark.browser
NOW = datetime(2025, 11, 11, 21, 52, tzinfo=UTC)


def filled(folder: Path) -> Workbench:
    store = open_workbench(folder, now=lambda: NOW, entropy=os.urandom, by="Wendell Thackrow")
    bench = Workbench(store, lambda: NOW)
    shipped = resources.files("tenbetween") / "demo"
    layers = {
        one.name[:-5]: one.read_text("utf-8")
        for one in (shipped / "layers").iterdir()
        if one.name[-5:] == ".toml"
    }
    demo.fill(bench, layers, (shipped / "game.csv").read_text("utf-8"))
    return bench


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    bench = filled(tmp_path_factory.mktemp("workbench"))
    with closing(bench.store), served(bench) as door:
        yield door.address


@pytest.fixture(scope="module")
def context(browser: Any, address: str) -> Iterator[Any]:
    """A browser that came in by the launch address."""
    with closing(browser.new_context(viewport={"width": 1280, "height": 800})) as opened:
        opened.set_default_timeout(10_000)
        opened.new_page().goto(address)
        yield opened


@pytest.fixture
def page(context: Any, address: str) -> Iterator[Any]:
    wrong: list[str] = []
    opened = context.new_page()
    opened.on("pageerror", lambda error: wrong.append(str(error)))
    opened.on("console", lambda line: wrong.append(line.text) if line.type == "error" else None)
    opened.goto(address.split("/?", maxsplit=1)[0])
    yield opened
    opened.close()
    assert wrong == []


def test_a_game_is_walked_and_each_stoppage_opens_as_an_answer(page: Any) -> None:
    page.get_by_role("link", name="Games").first.click()
    page.get_by_role("link", name="Ardenmoor at Pell Hollow").click()
    rows = page.locator("table.walk tbody tr")
    assert rows.count() >= 100
    rows.nth(11).get_by_role("link").click()
    expect(page.locator("#card h1")).to_be_visible()
    assert "/?line=" in page.url


def test_an_answer_is_set_corrected_printed_and_taken_back(page: Any) -> None:
    page.locator("#floor-whole").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("w")
    expect(page.locator("#card h1")).to_contain_text("Old lead bounces it")
    before = page.locator("#card h1").text_content()
    address = page.url
    page.keyboard.press("y")
    expect(page.locator("#why tbody tr").first).to_be_visible()
    page.locator("#set-said").click()
    page.get_by_role("link", name="Correct it in your own layer").click()
    page.locator("#field-part").select_option(label="how the ball is given")
    expect(page.locator("#field-outcome option", has_text=re.compile("^hand")).first).to_be_attached()
    hand = page.locator("#field-outcome option", has_text=re.compile("hand")).first.text_content()
    page.locator("#field-outcome").select_option(label=hand)
    page.locator("#field-title").fill("Hand it on the sideline")
    page.locator("#field-sentence").fill("When the ball comes in on a sideline of the front court, hand it.")
    page.locator("#field-by").fill("Wendell Thackrow")
    page.get_by_role("button", name="Check", exact=True).click()
    expect(page.locator("#checked")).to_contain_text("hands it")
    page.get_by_role("button", name="Keep in my own layer").click()
    expect(page.locator("#card h1")).to_contain_text("Old lead hands it")
    pdf = page.context.request.get(page.url.split("/?")[0] + page.locator("#act-print").get_attribute("href"))
    assert pdf.ok, pdf.text()
    text = " ".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(pdf.body())).pages)
    assert "hands it" in " ".join(text.split())
    page.get_by_role("link", name="History").first.click()
    expect(page.locator("ol.rows li").first).to_contain_text("own")
    page.get_by_role("button", name="Undo the last change").click()
    expect(page.locator(".said")).to_contain_text("Taken back")
    page.goto(address)
    expect(page.locator("#card h1")).to_have_text(str(before))


def test_frozen_answers_say_where_an_edition_differs(page: Any) -> None:
    page.get_by_role("link", name="Frozen").first.click()
    expect(page.locator(".frozen > li")).to_have_count(len(demo.FROZEN))
    expect(page.locator(".frozen")).to_contain_text("as agreed on all")


def test_advice_that_differs_stands_side_by_side(page: Any) -> None:
    page.goto(page.url.rstrip("/") + "/?line=out+off+dark,+table+26,+white")
    for name, what in (("Noor Estwick", "The lead goes up."), ("Gil Pomfrey", "The trail comes across.")):
        page.locator("#said").evaluate("one => one.open = true")
        page.get_by_role("link", name="Add advice").click()
        page.locator("#field-by").fill(name)
        page.locator("#field-what").fill(what)
        page.get_by_role("button", name="Keep it").click()
    expect(page.locator(".beside blockquote")).to_have_count(2)
    expect(page.locator("#said")).to_have_attribute("open", "")


def test_an_answer_that_is_not_covered_says_why_and_what_to_do(page: Any) -> None:
    page.goto(
        page.url.rstrip("/") + "/?edition=us-hs-2025&layers=k-24&cause=out_of_bounds&at=76,50&ball=same"
    )
    expect(page.locator(".gap")).to_contain_text("Kellmere memo K-24")
    page.locator("#act-ask").click()
    expect(page.locator("#letter")).to_have_value(re.compile("K-24"))
