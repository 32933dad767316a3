"""The words of an answer for a screen: one plain dictionary, made from a ruling and nothing else.

What a page, a picture and a letter show is the same sentence from the same place. Knows no page.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from tenbetween.draw import facts as draw_facts
from tenbetween.draw import words
from tenbetween.draw.phrases import DIVIDING_WORDS, court_for, part_words, place_words
from tenbetween.situation import Reason, Ruling, Situation, person_of

View = dict[str, Any]


def answer_view(ruling: Ruling, line: str, teams: tuple[str, str], book_title: str) -> View:
    """Return everything a screen says about one answer.

    >>> from tenbetween.desk.answers import Shelf, answer
    >>> goal = Situation(edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table")
    >>> answer_view(answer(Shelf(), goal), "line", ("White", "Dark"), "U.S. high school 2025-26")["switch"]
    'no'
    """
    first = next((r for r in ruling.reasons if r.decides in ("roles_after", "spot")), None)
    sections = sorted({r.section for r in ruling.reasons if r.section})
    return {
        "line": line,
        "line_query": line_query(line),
        "edition": ruling.situation.edition,
        "sentence": words.sentence(ruling, teams=teams),
        "partner": words.partner_sentence(ruling, teams=teams),
        "switch": {True: "yes", False: "no", None: ""}[ruling.switch],
        "turns": turns(ruling),
        "facts": [fact_view(f) for f in draw_facts.facts(ruling)],
        "steps": [step_view(s) for s in words.steps(ruling)],
        "open": [open_view(n.part, n.why) for n in ruling.not_covered],
        "near": near_words(ruling),
        "after": after_view(ruling, teams),
        "provision": first.provision if first else "",
        "confidence": f"confidence {first.confidence}" if first else "",
        "section": ", ".join(sections),
        "reasons": [reason_view(r) for r in ruling.reasons],
        "short_text": words.short_text(ruling, book_title=book_title, teams=teams),
        "caution": ruling.caution,
    }


def line_query(line: str) -> str:
    """Return a line as part of an address.

    >>> line_query("a / b")
    'line=a+%2F+b'
    """
    return urlencode({"line": line})


def turns(ruling: Ruling) -> list[View]:
    """Return for each of the two what he was and what he is now."""
    after = ruling.roles_after
    if after is None:
        return []
    pairs = (("lead", after.old_lead), ("trail", after.old_trail))
    fallback = {"lead": "umpire", "trail": "referee"}
    return [
        {"person": person_of(was, ruling.situation) or fallback[was], "was": was, "now": now}  # type: ignore[arg-type]
        for was, now in pairs
    ]


def fact_view(fact: Any) -> View:
    """Return one fact row."""
    return {"label": fact.label, "strong": fact.strong, "rest": fact.rest}


def step_view(step: Any) -> View:
    """Return one step line."""
    return {"number": step.number, "text": step.text, "signal": step.signal, "open": False}


def open_view(part: str, why: str) -> View:
    """Return one open part with its cause."""
    label = part_words(part)
    return {
        "part": part,
        "label": label[:1].upper() + label[1:],
        "text": why,
        "why": why[:1].upper() + why[1:] + ".",
    }


def near_words(ruling: Ruling) -> str:
    """Return the sentence that says how close a place was and what stands across the line.

    >>> s = Situation(edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table")
    >>> near_words(Ruling(situation=s, restart="throw_in"))
    ''
    """
    near = ruling.near or ruling.also_near
    if near is None:
        return ""
    line = DIVIDING_WORDS.get(near.line, near.line.replace("_", " "))
    other = near.other_side_answer
    across = "the whole end line"
    if other.spot is not None:
        court = court_for(ruling.situation)
        across = f"the spot is {place_words(court, other.spot, ruling.attacking_after)}"
    return f"Close: {near.distance_ft:.1f} ft from the {line}. Just across it {across}."


def after_view(ruling: Ruling, teams: Any) -> View | None:
    """Return the throw-in that follows throws with a dead ball."""
    after = ruling.after_free_throws
    if after is None:
        return None
    return {
        "sentence": words.sentence(after, teams=teams),
        "partner": words.partner_sentence(after, teams=teams),
        "facts": [fact_view(f) for f in draw_facts.facts(after)],
    }


def reason_view(reason: Reason) -> View:
    """Return one reason row."""
    return {
        "decides": part_words(reason.decides),
        "provision": reason.provision,
        "row": reason.row,
        "source": reason.source or "common practice, no source",
        "edition": reason.edition,
        "layer": reason.layer,
        "setting": reason.setting.replace("_", " ").replace("=", ": "),
        "confidence": reason.confidence,
        "status": reason.status,
        "section": reason.section,
        "beats": list(reason.beats),
    }


def differences(here: Ruling, there: Ruling, parts: tuple[str, ...]) -> list[View]:
    """Return the parts in which two rulings differ, in words."""
    from tenbetween.book.compare import said

    found = []
    for part in parts:
        mine, other = said(here, part), said(there, part)
        if part == "spot" and mine == other and here.spot != there.spot:
            other += ", another place"
        if mine != other:
            found.append({"part": part_words(part), "here": mine, "there": other})
    return found


def same_answer(here: Ruling, there: Ruling) -> bool:
    """Return whether two rulings say the same, whatever their reasons."""
    from tenbetween.book.compare import PARTS

    return here.spot == there.spot and not differences(here, there, PARTS)


def situation_words(situation: Situation, teams: Any) -> str:
    """Return the situation as a sentence."""
    return words.situation_text(situation, teams=teams)
