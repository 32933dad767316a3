"""What is sent to the person who asked by phone: a text, a picture, or one page that opens from a file.

The page needs no script and no server: one file with its picture and its style inside. A link to the
trainer's own machine would be of no use to somebody else, so none is written.
"""

from __future__ import annotations

from tenbetween.book import edition_head
from tenbetween.draw import svg
from tenbetween.draw.diagram import diagram_svg, fitted
from tenbetween.draw.phrases import TEAMS, Teams
from tenbetween.draw.sheet import day_words
from tenbetween.draw.signals import FIGURES, signal_svg
from tenbetween.draw.words import (
    DEFERENCE,
    facts,
    not_covered_lines,
    partner_sentence,
    sentence,
    short_text,
    situation_text,
    steps,
    switch_words,
)
from tenbetween.situation import Reason, Ruling

__all__ = ["page_html", "short_text"]

_STYLE = """
:root{color-scheme:light}
body{margin:0 auto;padding:1rem;max-width:46rem;background:#fffdf9;color:#211a13;
font:1.05rem/1.45 "Atkinson Hyperlegible Next",system-ui,sans-serif;font-variant-numeric:tabular-nums}
h1{font-size:1.5rem;line-height:1.25;margin:.5rem 0}
h2{font-size:1.15rem;margin:1.25rem 0 .25rem}
p{margin:.4rem 0}
.picture svg{width:100%;height:auto;display:block;border-radius:.5rem}
ol{list-style:none;margin:0;padding:0}
li{display:flex;gap:.75rem;align-items:center;padding:.4rem 0;border-top:1px solid #8b7f6e}
li b{flex:none;width:1.75rem;height:1.75rem;line-height:1.75rem;text-align:center;
background:#211a13;color:#fffdf9;border-radius:.25rem}
li svg{flex:none;width:3rem;height:auto}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.3rem 1rem;margin:0}
dt{font-weight:700}
dd{margin:0;overflow-wrap:anywhere}
footer{margin-top:1.25rem;border-top:2px solid #211a13;padding-top:.5rem}
code{overflow-wrap:anywhere}
@media print{body{background:#fff;color:#000}}
"""


def page_html(
    ruling: Ruling,
    book_title: str = "",
    *,
    line: str = "",
    on: str = "",
    turned: bool = False,
    teams: Teams = TEAMS,
) -> str:
    """Return an answer as one page of HTML that opens from a file: no script, picture and style inside.

    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> page_html(Ruling(situation=goal, restart="throw_in"))[:15]
    '<!doctype html>'

    Raises:
        BookError: no such edition.
    """
    book = book_title or edition_head(ruling.situation.edition).title
    first = sentence(ruling, teams=teams)
    picture = diagram_svg(ruling, turned=turned, theme="light", scale=7.0, teams=teams)
    body = svg.tag(
        "main",
        _head(ruling, book, first, teams),
        svg.tag("div", fitted(picture), class_="picture"),
        _steps(ruling),
        _facts(ruling),
        _why(ruling),
        _foot(ruling, book, line, on),
    )
    head = (
        '<meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"{svg.tag('title', svg.words(first))}{svg.tag('style', _STYLE)}"
    )
    return f'<!doctype html>\n<html lang="en"><head>{head}</head><body>{body}</body></html>\n'


def _head(ruling: Ruling, book: str, first: str, teams: Teams) -> str:
    switch = switch_words(ruling)
    second = partner_sentence(ruling, teams=teams) + (f" Switch: {switch}." if switch else "")
    open_parts = "".join(
        svg.tag("p", svg.tag("strong", svg.words(text))) for text in not_covered_lines(ruling)
    )
    return "".join(
        (
            svg.tag("p", svg.words(f"By {book}.")),
            svg.tag("p", svg.words(situation_text(ruling.situation, teams=teams))),
            svg.tag("h1", svg.words(first)),
            svg.tag("p", svg.words(second.strip())) if second.strip() else "",
            open_parts,
        )
    )


def _steps(ruling: Ruling) -> str:
    rows = []
    for step in steps(ruling):
        shown = signal_svg(step.signal) if step.signal in FIGURES and step.signal != "none" else ""
        rows.append(
            svg.tag("li", svg.tag("b", str(step.number)), shown, svg.tag("span", svg.words(step.text)))
        )
    return svg.tag("h2", "Step by step") + svg.tag("ol", *rows) if rows else ""


def _facts(ruling: Ruling) -> str:
    rows = [svg.tag("dt", svg.words(row.label)) + svg.tag("dd", svg.words(row.text)) for row in facts(ruling)]
    return svg.tag("h2", "What it says") + svg.tag("dl", *rows) if rows else ""


def _why(ruling: Ruling) -> str:
    rows = [svg.tag("dt", svg.words(r.row)) + svg.tag("dd", svg.words(_rests(r))) for r in ruling.reasons]
    return svg.tag("h2", "Why") + svg.tag("dl", *rows) if rows else ""


def _rests(reason: Reason) -> str:
    firm = "common practice" if reason.confidence == "practice" else f"confidence {reason.confidence}"
    article = reason.section and f"article {reason.section}"
    return ", ".join(filter(None, (reason.source, article, reason.layer, reason.setting, firm)))


def _foot(ruling: Ruling, book: str, line: str, on: str) -> str:
    said = [ruling.caution or f"Training aid. Based on {book}. {DEFERENCE}", day_words(on)]
    rows = [svg.tag("p", svg.words(text)) for text in said if text]
    rows += [svg.tag("p", svg.tag("code", svg.words(line)))] if line else []
    return svg.tag("footer", *rows)
