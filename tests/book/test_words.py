"""What a class is told: every provision has its words, in our own voice, with no article nobody has read."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from tenbetween.book import Provision, edition_ids, load_book

TOLD = ("title", "sentence", "why", "wrong", "said", "signal")

OPENINGS = (
    "After", "Against", "At", "Before", "Between", "For", "From", "If", "In", "On", "Once", "When", "While",
)  # fmt: skip
"""How a sentence begins when the condition comes first."""

# Words of crews of three, of other people's schemes, of offices, and myths of the game.
BANNED = {
    "a third official": r"\bcent(?:er|re)\b(?! (?:circle|line))|\bslots?\b|\brotat\w+",
    "a side of three": r"\b(?:strong|weak)[- ]side\b",
    "somebody's class": r"\bcadets?\b|\bapplicants?\b|\bapprentices?\b",
    "somebody's body": r"\bboards?\b|\bchapters?\b|\bunits?\b",
    "another code": r"\bcrew chief\b|\bbasket line\b|\bwrap back\b",
    "marks for a person": r"\bgrad(?:e|es|ed|ing)\b|\branks?\b|\brating\b|\bfail\w*|\berror-prone\b",
    "score said of a person": r"\bscor(?:e|es|ed|ing) (?:him|her|them|you|an? official|the official)\b",
    "a programmer's people": r"\busers?\b|\bstudents?\b|\bsubjects?\b",
    "an office": r"\bemployees?\b|\bsupervisors?\b|\bhir(?:e|ed)\b|\bcertif\w+|\blicen[cs]e\w*",
    "another place's name": r"\bbase ?line\b|\bhalf-?court line\b|\bkey\b|\bjump circle\b|\binbounder\b",
    "a myth": r"\bover the back\b|\breach(?:es|ed|ing)?[- ]in\b|\bmoving screen\b",
    "a code for a place": r"\b(?:area|zone|spot|place|position|rectangle) (?:\d+|[A-F])\b",
}

ARTICLES = {
    ("us-hs-2022", "start.jump-ball"): ("6-4-1", "U.S. high-school rules, 2019-20, 6-4-1"),
    ("us-hs-2022", "where.goal"): ("7-4-3", "U.S. high-school rules, 2019-20, 7-4-3"),
    ("us-hs-2022", "where.quarter"): ("6-4-2", "U.S. high-school rules, 2019-20, 6-4-2"),
    ("us-hs-2022", "where.technical"): ("7-4-2", "U.S. high-school rules, 2019-20, 7-4-2"),
    ("us-hs-2022", "run.goal"): ("7-6-2", "U.S. high-school rules, 2019-20, 7-6-2 (exception)"),
    ("us-hs-2022", "run.spot"): ("4-42-6", "U.S. high-school rules, 4-42-6, as read second-hand"),
    ("us-hs-2022", "give.after-goal"): ("7-6-1", "U.S. high-school rules, 2019-20, 7-6-1"),
    ("us-hs-2022", "give.toss"): ("6-3-4", "U.S. high-school rules, 2019-20, 6-3-4"),
    ("us-hs-2022", "count.five"): ("7-6-2", "U.S. high-school rules, 2019-20, 7-6-2"),
    ("us-hs-2022", "count.throws"): ("9-1-3a", "U.S. high-school rules, 2019-20, 9-1-3a"),
    ("us-hs-2022", "ready.direction"): ("2-9-2", "U.S. high-school rules, 2019-20, 2-9-2"),
    ("us-hs-2022", "ready.gap"): ("7-6-5", "U.S. high-school rules, 2019-20, 7-6-5"),
    ("us-hs-2022", "throws.lane"): ("8-1-4", "U.S. high-school rules, 2006-09, 8-1-4, as quoted second-hand"),
    ("us-hs-2022", "throw-in.box"): ("7-6-4", "U.S. high-school rules, 2019-20, 7-6-4 (note)"),
    ("us-hs-2023", "where.four-spots"): (
        "7-5-3",
        "U.S. high-school rules, 2023-24, 7-5-3, as read second-hand",
    ),
    ("us-hs-2025", "where.four-spots"): ("7-5-3", "U.S. high-school rules, 2025-26, 7-5-3 and 7-5-4"),
}
"""Every article the book gives: edition of the text, provision -> article, and how its source begins."""

BODIES = frozenset(
    [
        "U.S",
        "FIBA",
        "Official",
        "Basketball",
        "Rules",
        "Referees'",
        "Manual",
        "Two-Person",
        "Officiating",
        "Art",
    ]
)
MONTHS_AND_CASES = ("July", "A", "C")


def provisions() -> Iterator[tuple[str, Provision]]:
    """Yield each provision of each edition, as that edition tells it."""
    for edition in edition_ids():
        for provision in load_book(edition).provisions.values():
            yield edition, provision


ALL = [pytest.param(e, p, id=f"{e} {p.id}") for e, p in provisions()]
TEXTS = {(p.edition, p.id): p for _, p in provisions()}
"""Each wording once: the edition it was written for, and the provision."""


def every_word(p: Provision) -> Iterator[tuple[str, str]]:
    """Yield all that is told or shown of a provision: its texts, and those of its rows."""
    yield from ((field, getattr(p, field)) for field in TOLD)
    for row in p.rows:
        yield f"{row.name} because", row.because
        yield f"{row.name} not_covered", row.not_covered
        yield from ((f"{row.name} {field}", str(value)) for field, value in row.then if " " in str(value))


def banned_in(text: str) -> list[str]:
    """Return what a text says that we do not."""
    return [
        f"{found[0]!r} ({why})"
        for why, words in BANNED.items()
        if (found := re.search(words, text, re.IGNORECASE))
    ]


def names_in(source: str) -> set[str]:
    """Return the words written large in a source that are neither a clause's first word nor known."""
    clauses = [part for clause in source.split(";") for part in clause.strip().split("(")]
    words = {
        w.strip("),.") for clause in clauses for w in clause.split()[1:] if w[:1].isupper() and w[0].isalpha()
    }
    return words - BODIES - set(MONTHS_AND_CASES)


@pytest.mark.parametrize(("edition", "p"), ALL)
def test_it_tells_what_why_and_what_goes_wrong(edition: str, p: Provision) -> None:
    missing = [field for field in ("title", "sentence", "why", "wrong") if not getattr(p, field)]
    assert missing == [], f"{p.file}:{p.line} {p.id}: write it, as said to a class"


@pytest.mark.parametrize(("edition", "p"), ALL)
def test_the_sentence_is_one_sentence_a_class_can_follow(edition: str, p: Provision) -> None:
    assert re.fullmatch(r"[A-Z].*\.", p.sentence), p.sentence
    assert not re.search(r"[.!?] [A-Z]", p.sentence), f"more than one sentence: {p.sentence}"
    assert len(p.sentence.split()) <= 55, p.sentence


@pytest.mark.parametrize("field", ["why", "wrong"])
@pytest.mark.parametrize(("edition", "p"), ALL)
def test_why_and_wrong_stay_short(edition: str, p: Provision, field: str) -> None:
    text = getattr(p, field)
    assert len(re.findall(r"[.!?](?: |$)", text)) <= 2, text
    assert len(text.split()) <= 45, text


@pytest.mark.parametrize(
    ("edition", "p"), [one for one in ALL if str(one.id).split()[1].startswith(("who.", "where.", "give."))]
)
def test_the_condition_comes_first(edition: str, p: Provision) -> None:
    assert p.sentence.split()[0] in OPENINGS, p.sentence


@pytest.mark.parametrize(("edition", "p"), ALL)
def test_only_words_of_a_crew_of_two(edition: str, p: Provision) -> None:
    said = [f"{where}: {word} in {text!r}" for where, text in every_word(p) for word in banned_in(text)]
    assert said == []


@pytest.mark.parametrize("edition", edition_ids())
def test_settings_use_the_same_words(edition: str) -> None:
    settings = load_book(edition).settings.values()
    texts = [text for s in settings for text in (s.title, s.what, s.because)]
    assert [word for text in texts for word in banned_in(text)] == []
    assert all(s.what for s in settings)


@pytest.mark.parametrize(
    "text",
    [
        "The center helps.", "Move to the slot.", "Rotate.", "Under the key.", "Walk to the baseline.",
        "He may fail.", "A cadet waits.", "They grade you.", "Stand in area 4.", "Score the official.",
        "Go over the back.",
    ],
)  # fmt: skip
def test_a_banned_word_is_found_when_it_stands_there(text: str) -> None:
    assert banned_in(text) != []


def test_plain_words_are_let_through() -> None:
    assert (
        banned_in("The centre circle; the scorer; a goal is scored; the backboard; the 28-foot mark.") == []
    )


def test_no_article_but_those_somebody_has_read() -> None:
    given = {key: p.section for key, p in TEXTS.items() if p.section}
    assert given == {key: article for key, (article, _) in ARTICLES.items()}
    assert all(re.match(r"^\d+-\d+", article) for article in given.values())


@pytest.mark.parametrize("key", ARTICLES, ids=" ".join)
def test_an_article_is_named_by_its_source(key: tuple[str, str]) -> None:
    article, begins = ARTICLES[key]
    assert TEXTS[key].source.startswith(begins)
    assert article in begins


@pytest.mark.parametrize(("edition", "p"), ALL)
def test_what_has_no_source_does_not_look_settled_by_one(edition: str, p: Provision) -> None:
    assert not (p.section and not p.source), f"{p.id}: an article without a book"
    assert names_in(p.source) == set(), f"{p.id}: a source names no body but U.S. high-school rules and FIBA"


def test_a_name_in_a_source_is_found() -> None:
    assert names_in("A page of the Kellmere Council, as read") == {"Kellmere", "Council"}


def test_reworded_for_a_season_without_touching_a_row() -> None:
    before, after = (load_book(e).provisions["throws.awarded"] for e in ("us-hs-2022", "us-hs-2023"))
    assert before.meaning_digest == after.meaning_digest
    assert before.words_digest != after.words_digest
    assert before.sentence == after.sentence
