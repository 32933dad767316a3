"""The printed sheet: sizes, fonts, tags and words measured in the real PDF, and the page that is sent."""

from __future__ import annotations

import io
import re
import time
from html.parser import HTMLParser
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from draw.rulings import many
from tenbetween.draw.fonts import FILES, FOLDER
from tenbetween.draw.goldens import golden_rulings
from tenbetween.draw.share import page_html
from tenbetween.draw.sheet import (
    PAPERS,
    contact_sheet_pdf,
    contact_sheet_svg,
    sheet_pdf,
    sheet_png,
    sheet_svg,
)
from tenbetween.draw.words import facts, partner_sentence, sentence, situation_text, steps
from tenbetween.errors import UsageError

GOLDEN = golden_rulings()
FIRST = GOLDEN["lead-sideline-high"]
LINE = "us-hs-2025 + k-24 / right / out of bounds 58,0 / same / lead table umpire"
BOOK = "U.S. high school 2025-26 with Kellmere memo K-24"


@pytest.fixture(scope="module")
def sheets() -> dict[str, PdfReader]:
    made = {name: sheet_pdf(r, BOOK, line=LINE, on="2025-11-11") for name, r in GOLDEN.items()}
    return {name: PdfReader(io.BytesIO(pdf)) for name, pdf in made.items()}


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def plain(words: str) -> str:
    """Words without what line breaks change."""
    return re.sub(r"[\s-]+", "", words)


def test_it_says_everything(sheets: dict[str, PdfReader]) -> None:
    for name, reader in sheets.items():
        said, ruling = plain(text_of(reader)), GOLDEN[name]
        first_page = plain(reader.pages[0].extract_text())
        for words in (BOOK, situation_text(ruling.situation), sentence(ruling), partner_sentence(ruling)):
            assert plain(words) in first_page, (name, words)
        for step in steps(ruling):
            assert plain(step.text) in first_page, (name, step)
        for row in facts(ruling):
            assert plain(row.text) in said, (name, row)
        for reason in ruling.reasons:
            assert plain(reason.row) in said, (name, reason.row)
        for words in (LINE, "11 Nov 2025", "Your state association and interpreter decide."):
            assert plain(words) in said, (name, words)


def test_an_empty_article_leaves_a_blank_to_fill(sheets: dict[str, PdfReader]) -> None:
    for name, reader in sheets.items():
        articles = {r.section for r in GOLDEN[name].reasons if r.section}
        assert ("add it from your manual" in text_of(reader)) == (not articles), name
        assert all(article in text_of(reader) for article in articles), name
    assert any(not any(r.section for r in ruling.reasons) for ruling in GOLDEN.values())


def sizes(reader: PdfReader) -> list[float]:
    found: list[float] = []

    def visit(text: str, cm: Any, tm: Any, font: Any, size: float) -> None:
        if text.strip():
            found.append(round(size * abs(tm[3] or tm[0]) * abs(cm[3] or cm[0]), 2))

    for page in reader.pages:
        page.extract_text(visitor_text=visit)
    return found


def test_no_text_is_smaller_than_14_pt(sheets: dict[str, PdfReader]) -> None:
    for name, reader in sheets.items():
        measured = sizes(reader)
        assert len(measured) > 20, name
        assert min(measured) >= 14.0, (name, min(measured))


STROKES = {b"S", b"s", b"B", b"B*", b"b", b"b*"}


def line_widths(reader: PdfReader) -> list[float]:
    """Widths of all strokes as they come out on paper: line width in force times the scale in force."""
    return [width for page in reader.pages for width in widths_in(page.get_contents(), reader)]


def widths_in(contents: Any, reader: PdfReader) -> list[float]:
    scale, wide = 1.0, 1.0  # a PDF begins with a line width of 1, which nobody needs to write
    kept: list[tuple[float, float]] = []
    found = []
    for operands, operator in ContentStream(contents, reader).operations:
        if operator == b"q":
            kept.append((scale, wide))
        elif operator == b"Q":
            scale, wide = kept.pop()
        elif operator == b"cm":
            a, b, c, d = (float(n) for n in operands[:4])
            scale *= abs(a * d - b * c) ** 0.5
        elif operator == b"w":
            wide = float(operands[0])
        elif operator in STROKES:
            found.append(wide * scale)
    return found


def test_no_mark_is_thinner_than_a_point_and_a_half(sheets: dict[str, PdfReader]) -> None:
    """Diagram, rules and stick figures, at the size they are printed."""
    for name, reader in sheets.items():
        widths = line_widths(reader)
        assert len(widths) > 15, name
        assert min(widths) >= 1.5 - 1e-3, (name, min(widths))


def test_fonts_are_ours_and_embedded(sheets: dict[str, PdfReader]) -> None:
    for name, reader in sheets.items():
        fonts = {}
        for page in reader.pages:
            for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
                fonts[font["/BaseFont"]] = font
        assert fonts, name
        for base, font in fonts.items():
            assert "AtkinsonHyperlegibleNext" in base, (name, base)
            inner = font["/DescendantFonts"][0]["/FontDescriptor"]
            assert {"/FontFile2", "/FontFile3"} & set(inner), (name, base)


def elements(node: Any, kind: str) -> list[Any]:
    node = node.get_object()
    kids = node.get("/K", []) if hasattr(node, "get") else []
    kids = kids.get_object() if hasattr(kids, "get_object") else kids
    found = [node] if hasattr(node, "get") and node.get("/S") == kind else []
    for kid in kids if isinstance(kids, list) else [kids]:
        if hasattr(kid.get_object(), "get"):
            found += elements(kid, kind)
    return found


def test_it_is_tagged_and_the_picture_is_described(sheets: dict[str, PdfReader]) -> None:
    for name, reader in sheets.items():
        root = reader.trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"], name
        assert root["/Lang"] == "en", name
        assert b"pdfuaid" in root["/Metadata"].get_object().get_data(), name
        figures = elements(root["/StructTreeRoot"], "/Figure")
        alts = [figure.get("/Alt", "") for figure in figures]
        assert all(alts), name
        assert any(sentence(GOLDEN[name]) in alt for alt in alts), name
        assert len(elements(root["/StructTreeRoot"], "/H1")) == 1, name


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_paper(paper: str) -> None:
    page = PdfReader(io.BytesIO(sheet_pdf(FIRST, paper=paper))).pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(PAPERS[paper], abs=0.5)


def test_unknown_paper_is_refused_with_directions() -> None:
    with pytest.raises(UsageError, match="expected one of us-letter, a4"):
        sheet_pdf(FIRST, paper="a5")


def test_first_page_holds_picture_and_steps_for_every_kind_of_answer() -> None:
    """Three pages at most, and the heading of the second part begins the second page."""
    for ruling in many()[:40]:
        reader = PdfReader(io.BytesIO(sheet_pdf(ruling)))
        assert len(reader.pages) <= 4
        assert "What it says" not in reader.pages[0].extract_text()
        assert "What it says" in reader.pages[1].extract_text(), ruling.situation


@pytest.mark.alone
def test_a_sheet_takes_less_than_half_a_second() -> None:
    took = []
    for ruling in list(GOLDEN.values())[:5]:
        start = time.perf_counter()
        sheet_pdf(ruling)
        took.append(time.perf_counter() - start)
    assert max(took) < 0.5


def test_svg_and_png() -> None:
    pages = sheet_svg(FIRST, BOOK)
    assert len(pages) >= 2
    assert all(page.startswith("<svg") for page in pages)
    assert sheet_png(FIRST)[:8] == b"\x89PNG\r\n\x1a\n"


def test_a_turned_sheet_says_from_where_left_and_right_are_meant() -> None:
    from tenbetween.draw.sheet import TURNED, sheet_data

    ruling = GOLDEN["lead-sideline-high"]
    assert TURNED in sheet_data(ruling, turned=True)["key"]
    assert TURNED not in sheet_data(ruling)["key"]


def test_contact_sheet_puts_six_on_a_page_and_keeps_the_sizes() -> None:
    rulings = many()[:13]
    reader = PdfReader(io.BytesIO(contact_sheet_pdf(rulings, "Throw-ins 1", on="2025-11-11")))
    assert len(reader.pages) == 3
    assert len(contact_sheet_svg(rulings)) == 3
    said = plain(text_of(reader))
    for number, ruling in enumerate(rulings, 1):
        assert plain(f"{number}. {sentence(ruling)}") in said
    assert min(sizes(reader)) >= 14.0
    assert min(line_widths(reader)) >= 1.5 - 1e-3
    figures = elements(reader.trailer["/Root"]["/StructTreeRoot"], "/Figure")
    assert len([f for f in figures if f.get("/Alt")]) == len(rulings)


# -- the page and the fonts ----------


class Page(HTMLParser):
    """Notes tags and checks that all that is opened is closed."""

    VOID = frozenset(("meta", "br", "hr", "img", "input", "link"))

    def __init__(self) -> None:
        super().__init__()
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_page_stands_alone() -> None:
    for name, ruling in GOLDEN.items():
        text = page_html(ruling, BOOK, line=LINE, on="2025-11-11")
        page = Page()
        page.feed(text)
        page.close()
        assert page.open == [], name
        tags = [tag for tag, _ in page.seen]
        assert tags.count("h1") == 1
        assert tags.count("main") == 1
        assert dict(page.seen)["html"] == {"lang": "en"}
        assert "script" not in tags
        assert not [
            a for _, attrs in page.seen for a in attrs if a in ("src", "href", "style") or a.startswith("on")
        ]
        assert sentence(ruling) in text.replace("&#x27;", "'")
        assert "Your state association and interpreter decide." in text
        assert "127.0.0.1" not in text


def test_fonts_have_their_licence_and_are_small() -> None:
    assert "SIL OPEN FONT LICENSE" in (FOLDER / "OFL.txt").read_text(encoding="utf-8")
    for file in FILES:
        assert file.stat().st_size < 400 * 1024
