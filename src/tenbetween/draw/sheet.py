"""The printed sheet of an answer on letter or A4 paper, and a page of many answers: PDF, SVG, PNG.

Page one: edition, situation, sentence, partner, diagram, steps with signals. Then facts, reasons, article,
line. No text is smaller than 14 pt, no mark thinner than 1.5 pt, and nothing rests on grey. The PDF is tagged
(PDF/UA-1) with the picture described in words. The page itself is set by ``sheet.typ`` and ``contact.typ``.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from tenbetween.book import edition_head
from tenbetween.draw.diagram import description, diagram_svg, shows_half, small_svg
from tenbetween.draw.fonts import FOLDER, LINE, wrap
from tenbetween.draw.frame import FAR_MARGIN, TABLE_MARGIN, scale_to_fit
from tenbetween.draw.phrases import TEAMS, Teams, court_for, listed, part_words
from tenbetween.draw.signals import FIGURES, signal_svg
from tenbetween.draw.words import (
    DEFERENCE,
    facts,
    not_covered_lines,
    partner_sentence,
    sentence,
    situation_text,
    steps,
    switch_words,
)
from tenbetween.errors import UsageError, one_of
from tenbetween.situation import Reason, Ruling
from tenbetween.units import feet

PAPERS: dict[str, tuple[float, float]] = {"us-letter": (612.0, 792.0), "a4": (595.28, 841.89)}
"""Width and height in points."""
_HERE = Path(__file__).parent
_MARGINS = 72.0
_UPRIGHT = 28.0 + 74.0
_LEAST_SCALE, _MOST_SCALE = 3.4, 7.0
_STEP_COLUMN = 188.0


def sheet_pdf(
    ruling: Ruling,
    book_title: str = "",
    *,
    line: str = "",
    on: str = "",
    paper: str = "us-letter",
    turned: bool = False,
    teams: Teams = TEAMS,
) -> bytes:
    """Return the sheet of an answer as a tagged PDF.

    ``book_title`` is the edition with its layers, ``line`` the situation as text, ``on`` the ISO day printed.

    >>> from tenbetween.book import decide, load_book
    >>> from tenbetween.situation import Situation
    >>> start = Situation(edition="us-hs-2025", attacking="right", stopped_by="game_start")
    >>> sheet_pdf(decide(load_book("us-hs-2025"), start))[:5]
    b'%PDF-'

    Raises:
        UsageError: no such paper.
        BookError: no such edition.
    """
    data = sheet_data(ruling, book_title, line=line, on=on, paper=paper, turned=turned, teams=teams)
    return _set("sheet.typ", data, "pdf")[0]


def sheet_svg(ruling: Ruling, book_title: str = "", **more: Any) -> tuple[str, ...]:
    """Return the pages of the sheet as SVG, letters as outlines, so that they look alike everywhere."""
    pages = _set("sheet.typ", sheet_data(ruling, book_title, **more), "svg")
    return tuple(page.decode("utf-8") for page in pages)


def sheet_png(ruling: Ruling, book_title: str = "", *, ppi: float = 144.0, **more: Any) -> bytes:
    """Return the first page of the sheet as a PNG, for a message or a slide."""
    return _set("sheet.typ", sheet_data(ruling, book_title, **more), "png", ppi=ppi)[0]


def contact_sheet_pdf(rulings: Sequence[Ruling], title: str = "", **more: Any) -> bytes:
    """Return many answers, six on a page, as a tagged PDF.

    Raises:
        UsageError: no such paper.
    """
    return _set("contact.typ", contact_data(rulings, title, **more), "pdf")[0]


def contact_sheet_svg(rulings: Sequence[Ruling], title: str = "", **more: Any) -> tuple[str, ...]:
    """Return many answers, six on a page, as one SVG for each page."""
    pages = _set("contact.typ", contact_data(rulings, title, **more), "svg")
    return tuple(page.decode("utf-8") for page in pages)


def diagram_png(svg: str, *, zoom: float = 2.0) -> bytes:
    """Return a diagram as PNG, drawn with the shipped font only.

    >>> diagram_png(signal_svg("chop"))[1:4]
    b'PNG'
    """
    import resvg_py

    from tenbetween.draw.fonts import FILES

    files = [str(file) for file in FILES]
    return bytes(resvg_py.svg_to_bytes(svg_string=svg, zoom=zoom, font_files=files, skip_system_fonts=True))


# ---- what the page says ----


def sheet_data(
    ruling: Ruling,
    book_title: str = "",
    *,
    line: str = "",
    on: str = "",
    paper: str = "us-letter",
    turned: bool = False,
    teams: Teams = TEAMS,
) -> dict[str, Any]:
    """Return everything the sheet prints, as plain values."""
    if paper not in PAPERS:
        raise UsageError(one_of("paper", paper, tuple(PAPERS)))
    said = _said(ruling, book_title, teams)
    if turned:
        said["key"] = f"{said['key']} {TURNED}".strip()
    half = shows_half(ruling)
    svg = diagram_svg(
        ruling, turned=turned, theme="print", scale=_scale(ruling, said, half, paper), teams=teams
    )
    alt = description(ruling, teams)
    return {
        **said,
        "paper": paper,
        "on": day_words(on),
        "line": line,
        "half": half,
        "alt": alt,
        "picture": {"svg": svg, "wide": _width_of(svg), "alt": alt},
        "facts": [{"label": row.label, "text": row.text} for row in facts(ruling)],
        "reasons": [_reason(reason) for reason in _all_reasons(ruling)],
        "articles": "; ".join(sorted({r.section for r in ruling.reasons if r.section})),
    }


TURNED = "Drawn turned: left and right in the words are as seen from the table."
"""What a reader is told whose picture has the table at the top."""


def _said(ruling: Ruling, book_title: str, teams: Teams) -> dict[str, Any]:
    book = book_title or edition_head(ruling.situation.edition).title
    return {
        "title": f"Court sheet: {situation_text(ruling.situation, teams=teams)}",
        "book": book,
        "situation": situation_text(ruling.situation, teams=teams),
        "sentence": sentence(ruling, teams=teams),
        "partner": partner_sentence(ruling, teams=teams),
        "switch": switch_words(ruling),
        "steps": [_step(step.number, step.text, step.signal) for step in steps(ruling)],
        "not_covered": list(not_covered_lines(ruling)),
        "open": _open(ruling),
        "caution": ruling.caution or f"Training aid. Based on {book}. {DEFERENCE}",
        "key": _key(ruling),
    }


def _open(ruling: Ruling) -> str:
    """Return the open parts in one line for the first page; why and what to do stand on the second."""
    names = list(dict.fromkeys(part_words(gap.part) for gap in ruling.not_covered))
    return f"Not covered: {listed(names)}. Ask your interpreter." if names else ""


def _key(ruling: Ruling) -> str:
    words = ["Dashed mark: before."] if ruling.roles_after is not None else []
    if ruling.lines and ruling.restart == "throw_in":
        words.append("Line outside the court: whole, the lead's; broken, the trail's.")
    return " ".join(words)


def _step(number: int, text: str, signal: str) -> dict[str, Any]:
    if signal in ("", "none") or signal not in FIGURES:
        return {"number": number, "text": text, "svg": "", "alt": ""}
    return {
        "number": number,
        "text": text,
        "svg": signal_svg(signal, theme="print"),
        "alt": f"Signal: {FIGURES[signal].says}.",
    }


def _all_reasons(ruling: Ruling) -> tuple[Reason, ...]:
    then = ruling.after_free_throws
    return ruling.reasons + (then.reasons if then is not None else ())


def _reason(reason: Reason) -> dict[str, str]:
    edition = edition_head(reason.edition).short or reason.edition
    rests = [reason.layer or edition]
    rests += [f"rests on {setting_words(reason.setting)}"] if reason.setting else []
    rests.append("common practice" if reason.confidence == "practice" else f"confidence {reason.confidence}")
    rests += [reason.status] if reason.status != "settled" else []
    rests += [f"beats {', '.join(reason.beats)}"] if reason.beats else []
    words = part_words(reason.decides)
    return {"decides": words[0].upper() + words[1:], "provision": reason.row, "rests": ", ".join(rests)}


def setting_words(setting: str) -> str:
    """Return a setting as it reads on paper.

    >>> setting_words("stand_sideline=back_court_side (us-hs-2022)")
    'stand sideline: back court side (us-hs-2022)'
    """
    return setting.replace("_", " ").replace("=", ": ")


def day_words(on: str) -> str:
    """Return an ISO day as it is written on paper; anything else as it is.

    >>> day_words("2025-11-03"), day_words("")
    ('3 Nov 2025', '')
    """
    try:
        day = date.fromisoformat(on)
    except ValueError:
        return on
    months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    return f"{day.day} {months[day.month - 1]} {day.year}"


# ---- how large the picture may be ----


def _scale(ruling: Ruling, said: dict[str, Any], half: bool, paper: str) -> float:
    """Return the scale at which picture, sentence and steps share the first page."""
    page_wide, page_high = PAPERS[paper]
    across = page_wide - _MARGINS
    room = page_high - _UPRIGHT - _head(said, across)
    court = court_for(ruling.situation)
    if not half:
        room -= _rows_high(said["steps"], (across - 16) / 2 - 79)
    picture_wide = across - _STEP_COLUMN - 12 if half else across
    by_width = scale_to_fit(court, half=half, across=picture_wide)
    by_height = (room - TABLE_MARGIN - FAR_MARGIN) / feet(court.width)
    return max(min(by_width, by_height, _MOST_SCALE), _LEAST_SCALE)


def _head(said: dict[str, Any], across: float) -> float:
    """Return the height of everything that is not picture or steps."""
    high = 34.0
    switch = f" Switch: {said['switch']}."
    parts = (
        (said["situation"], 14.0, False),
        (said["sentence"], 20.0, True),
        (said["partner"] + switch, 14.0, False),
        (said["key"], 14.0, False),
        (said["open"], 14.0, True),
    )
    for words, size, bold in parts:
        high += _block(words, size, across, bold=bold) + 9.0 if words else 0.0
    return high


def _block(words: str, size: float, across: float, *, bold: bool = False) -> float:
    return len(wrap(words, size, across, bold=bold)) * size * LINE * 1.05


def _rows_high(rows: list[dict[str, Any]], across: float) -> float:
    heights = [max(_block(row["text"], 14.0, across), 54.0 if row["svg"] else 20.0) for row in rows]
    pairs = [max(heights[i : i + 2]) for i in range(0, len(heights), 2)]
    return sum(pairs) + 7.0 * len(pairs)


def _width_of(svg: str) -> float:
    """Return the width a picture says it has."""
    return float(svg.split(' width="', 1)[1].split('"', 1)[0])


# ---- many on a page ----


def contact_data(
    rulings: Sequence[Ruling],
    title: str = "",
    *,
    on: str = "",
    paper: str = "us-letter",
    turned: bool = False,
    teams: Teams = TEAMS,
) -> dict[str, Any]:
    """Return everything a page of many answers prints, as plain values."""
    if paper not in PAPERS:
        raise UsageError(one_of("paper", paper, tuple(PAPERS)))
    page_wide, page_high = PAPERS[paper]
    wide, high = (page_wide - 60 - 16) / 2, (page_high - 24 - 40 - 30 - 16) / 3
    named = title or ", ".join(dict.fromkeys(edition_head(r.situation.edition).title for r in rulings))
    return {
        "title": named or "Situations",
        "paper": paper,
        "high": high,
        "caution": DEFERENCE,
        "short": f"{day_words(on)} {DEFERENCE}".strip(),
        "cells": [_cell(n, ruling, wide, high, turned, teams) for n, ruling in enumerate(rulings, 1)],
    }


def _cell(n: int, ruling: Ruling, wide: float, high: float, turned: bool, teams: Teams) -> dict[str, Any]:
    words = sentence(ruling, teams=teams)
    lines = len(wrap(f"{n}. {words}", 14.0, wide))
    svg = small_svg(ruling, wide, high - 14 - lines * 14.0 * LINE, turned=turned, teams=teams)
    return {
        "number": n,
        "sentence": words,
        "svg": svg,
        "wide": _width_of(svg),
        "alt": f"{situation_text(ruling.situation, teams=teams)} {description(ruling, teams)}",
    }


# ---- setting the page ----


@lru_cache(maxsize=4)
def _compiler(template: str) -> Any:
    """Keep one compiler for each template: the fonts are read once."""
    import typst

    return typst.Compiler(
        str(_HERE / template), root=str(_HERE), font_paths=[str(FOLDER)], ignore_system_fonts=True
    )


def _set(template: str, data: dict[str, Any], kind: str, *, ppi: float = 144.0) -> list[bytes]:
    given = {"data": json.dumps(data, ensure_ascii=False)}
    more: dict[str, Any] = {"pdf_standards": "ua-1"} if kind == "pdf" else {}
    if kind == "png":
        more["ppi"] = ppi
    made = _compiler(template).compile(format=kind, sys_inputs=given, **more)
    pages = made if isinstance(made, list) else [made]
    return [page.encode("utf-8") if isinstance(page, str) else bytes(page) for page in pages]
