"""The words of an answer: they say who, how, where and what he becomes, and never guess what is open."""

from __future__ import annotations

import re

import pytest

from draw.rulings import many
from tenbetween.book import decide, load_book
from tenbetween.draw.goldens import golden_rulings, golden_situation
from tenbetween.draw.words import (
    DEFERENCE,
    facts,
    not_covered_lines,
    partner_sentence,
    sentence,
    short_text,
    situation_sentence,
    situation_text,
    steps,
    switch_words,
)
from tenbetween.situation import Ruling, Situation

GOLDEN = golden_rulings()
# Words of crews of three and codes for areas have no place in a crew of two.
NOT_OURS = re.compile(r"\b(center|slot|rotation|baseline|half-court|None|_)\b|_")


def all_words(ruling: Ruling) -> list[str]:
    rows = [f"{row.label} {row.text}" for row in facts(ruling)]
    acts = [step.text for step in steps(ruling)]
    return [
        sentence(ruling),
        partner_sentence(ruling),
        situation_text(ruling.situation),
        short_text(ruling),
        *rows,
        *acts,
        *not_covered_lines(ruling),
    ]


@pytest.mark.parametrize(
    ("name", "first", "second"),
    [
        (
            "lead-sideline-high",
            "Old lead bounces it at the table sideline, 26 ft from the end line, and becomes trail.",
            "Old trail goes behind the right end line, opposite side, and is the new lead.",
        ),
        (
            "lead-sideline-low",
            "Lead bounces it at the opposite sideline, 10 ft from the end line, and stays lead.",
            "Trail stays trail, by the 28-ft mark, table side.",
        ),
        (
            "front-end-line-far",
            "Lead hands it on the front-court end line, 10 ft from the opposite sideline, and stays lead.",
            "Trail stays trail, by the 28-ft mark, table side.",
        ),
        (
            "jump-ball",
            "The Referee tosses it at the centre circle, facing the table, "
            "and is trail once the ball is won.",
            "Partner is by the division line, table side, chops at the legal tap, "
            "goes ahead of the ball and is lead.",
        ),
        (
            "quarter",
            "The Referee bounces it at the division line, on the opposite sideline, as trail.",
            "Partner is lead, behind the right end line, table side.",
        ),
        (
            "after-a-goal",
            "Nobody hands the ball: Dark throws in from anywhere along its back-court end line; "
            "old lead becomes trail and counts five.",
            "Old trail goes behind the right end line, opposite side, and is the new lead.",
        ),
        (
            "change-of-control",
            "Play goes on, Dark's ball: old trail turns and is lead, old lead follows and is trail.",
            "Lead is behind the right end line, opposite side; trail is near the left end line, table side.",
        ),
    ],
)
def test_first_and_second_sentence(name: str, first: str, second: str) -> None:
    assert sentence(GOLDEN[name]) == first
    assert partner_sentence(GOLDEN[name]) == second


def test_after_free_throws_is_a_second_sentence() -> None:
    said = partner_sentence(GOLDEN["technical-foul"])
    assert "After the throws: " in said
    assert "at the division line, on the opposite sideline" in said


def test_situation_sentence_names_the_field_of_every_blank() -> None:
    s = golden_situation("lead-sideline-high")
    parts = situation_sentence(s)
    sets = {part.sets: part.text for part in parts if part.sets}
    assert sets == {
        "attacking": "right",
        "stopped_by": "Ball out of bounds off Dark",
        "at": "table sideline, 26 ft from the right end line",
        "ball_to": "White keeps it",
        "lead_side": "table side",
        "crew": "Umpire",
    }
    assert situation_text(s, teams=("Green", "Gold")).startswith(
        "Green attacks right. Ball out of bounds off Gold"
    )


def test_facts_of_a_sideline_throw_in() -> None:
    rows = {row.label: row.text for row in facts(GOLDEN["lead-sideline-high"])}
    assert rows["Spot"] == (
        "The table sideline, 26 ft from the end line, 3 ft wide. "
        "Front court, 7 ft above the free-throw line extended."
    )
    assert rows["Count"] == "5 s from disposal to release. The trail counts, visible, without words."
    assert rows["Switch"] == "Yes: old lead is trail, old trail is lead."
    assert rows["Chop"] == "Trail."


def test_a_switch_is_told_together_with_the_way_play_goes() -> None:
    rows = {row.label: row.text for row in facts(GOLDEN["quick-reversal"])}
    assert rows["Switch"] == "Yes: play turns round; lead stays lead, trail stays trail."


def test_close_call_gives_the_margin_and_the_other_spot() -> None:
    rows = {row.label: row.text for row in facts(GOLDEN["close-to-the-arc"])}
    assert rows["Close"].startswith(
        "0.8 ft from the three-point arc; on its other side the spot is at the 28-ft"
    )


def test_what_is_open_is_said_with_cause_and_what_to_do() -> None:
    ruling = GOLDEN["not-covered"]
    lines = not_covered_lines(ruling)
    assert len(lines) == len(ruling.not_covered) > 0
    assert all("nterpreter" in line or "say called by" in line for line in lines)
    assert "not covered" in sentence(ruling)
    assert "not covered" in partner_sentence(ruling)


def test_nothing_entered_at_all() -> None:
    s = Situation(edition="us-hs-2025", attacking="left", stopped_by="injury")
    bare = Ruling(situation=s, restart=None)
    assert sentence(bare).startswith("Nothing entered covers this.")
    assert partner_sentence(bare) == ""
    assert switch_words(bare) == ""
    assert short_text(bare).endswith(DEFERENCE)


def test_short_text_fits_a_message_and_says_who_decides() -> None:
    for ruling in many():
        said = short_text(ruling)
        assert len(said) < 300, said
        assert said.endswith(DEFERENCE)
        assert "By " in said or ruling.restart is None


def test_words_of_many_answers_are_plain_trade_words() -> None:
    for ruling in (*many(), *GOLDEN.values()):
        for text in all_words(ruling):
            assert not NOT_OURS.search(text), text
            assert "  " not in text
            assert ".." not in text.replace("...", "")


def test_left_and_right_change_only_the_words_left_and_right() -> None:
    """Turned end for end the same situation reads the same, with left and right exchanged."""

    def swapped(text: str) -> str:
        ends = {"left": "right", "right": "left"}
        return re.sub(r"\b(left|right)\b", lambda found: ends[found[1]], text)

    for name in ("lead-sideline-high", "front-end-line-far", "quick-reversal", "free-throws"):
        s = golden_situation(name)
        assert s.at is not None
        turned = Situation(
            edition=s.edition,
            attacking="left" if s.attacking == "right" else "right",
            stopped_by=s.stopped_by,
            at=(84 * 304_800 - s.at[0], s.at[1]),
            ball_to=s.ball_to,
            lead_side=s.lead_side,
            lead_person=s.lead_person,
            called_by=s.called_by,
        )
        other = decide(load_book(s.edition), turned)
        assert sentence(other) == swapped(sentence(GOLDEN[name]))
        assert partner_sentence(other) == swapped(partner_sentence(GOLDEN[name]))


def test_steps_are_numbered_from_one() -> None:
    for ruling in GOLDEN.values():
        assert [step.number for step in steps(ruling)] == list(range(1, len(ruling.steps) + 1))
