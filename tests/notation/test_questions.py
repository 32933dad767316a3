"""Questions in order lead to a whole situation, and to no question that changes nothing."""

from __future__ import annotations

from itertools import product
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notation.spaces import FLOORS
from tenbetween.errors import NotationError
from tenbetween.notation import (
    NEEDS,
    ask_in_order,
    complaints,
    implied_ball,
    parse,
    place_words,
    question,
    take,
)
from tenbetween.situation import CAUSES, Basket, Cause, Floor, Situation
from tenbetween.units import FOOT, INCH, um

PLACE = "table 26"
USUAL = Floor(um("84 ft"), um("50 ft"))


def talk(replies: dict[str, str]) -> tuple[dict[str, Any], list[str]]:
    """Answer every question, in words or by number; return the fields and which questions were asked."""
    fields: dict[str, Any] = {"edition": "us-hs-2025"}
    asked: list[str] = []
    while (one := ask_in_order(fields, asked)) is not None:
        asked.append(one.field)
        fields = take(one, replies.get(one.field, PLACE if one.field == "at" else "1"), fields)
    return fields, asked


@pytest.mark.parametrize(("cause", "attacks"), list(product(CAUSES, get_args(Basket))))
def test_the_questions_lead_to_a_whole_situation_for_every_cause(cause: Cause, attacks: str) -> None:
    ball = NEEDS[cause].ball
    replies = {"attacking": attacks, "stopped_by": cause, "ball_to": ball[0] if ball else ""}
    fields, asked = talk(replies)
    if fields.get("ball_to") is None:
        fields["ball_to"] = implied_ball(fields)
    assert complaints(fields) == ()
    assert Situation(**fields).stopped_by == cause
    assert asked[:2] == ["attacking", "stopped_by"]
    assert len(set(asked)) == len(asked)


def test_only_what_the_answer_turns_on_is_asked() -> None:
    assert talk({"stopped_by": "game_start"})[1] == ["attacking", "stopped_by"]
    assert talk({"stopped_by": "made_goal"})[1] == ["attacking", "stopped_by", "lead_side"]
    assert talk({"stopped_by": "violation"})[1] == ["attacking", "stopped_by", "at", "ball_to", "lead_side"]
    with_run = talk({"stopped_by": "time_out", "pending": "run_end_line"})[1]
    assert with_run == ["attacking", "stopped_by", "pending", "lead_side"]
    before_bonus = talk({"stopped_by": "common_foul", "bonus": "no"})[1]
    assert before_bonus == ["attacking", "stopped_by", "bonus", "at", "ball_to", "lead_side", "called_by"]
    assert "at" not in talk({"stopped_by": "common_foul", "bonus": "yes"})[1]


def test_an_optional_question_may_be_passed_over() -> None:
    fields, asked = talk({"stopped_by": "technical_foul", "called_by": ""})
    assert "called_by" in asked
    assert "called_by" not in fields


@pytest.mark.parametrize(
    ("field", "reply", "value"),
    [
        ("stopped_by", "2", "violation"),
        ("stopped_by", "travel", "violation"),
        ("stopped_by", "Held ball", "held_ball"),
        ("attacking", "R", "right"),
        ("ball_to", "dark", "other"),
        ("ball_to", "its opponents", "other"),
        ("lead_side", "opposite side", "opposite"),
        ("lead_side", "table", "table"),
        ("pending", "run end line", "run_end_line"),
        ("called_by", "T", "trail"),
        ("bonus", "no", False),
        ("at", "opposite 8", (76 * FOOT, 50 * FOOT)),
        ("at", "58,0", (58 * FOOT, 0)),
    ],
)
def test_an_answer_has_many_spellings(field: str, reply: str, value: Any) -> None:
    known = {"edition": "us-hs-2025", "attacking": "right"}
    assert take(question(field), reply, known)[field] == value


@pytest.mark.parametrize(
    ("field", "reply"),
    [
        ("stopped_by", "99"),
        ("stopped_by", ""),
        ("attacking", "up"),
        ("at", "somewhere"),
        ("at", ""),
        ("lead_side", "travel"),
        ("ball_to", "0"),
    ],
)
def test_an_answer_that_is_none_is_named(field: str, reply: str) -> None:
    with pytest.raises(NotationError) as caught:
        take(question(field), reply, {"edition": "us-hs-2025", "attacking": "right"})
    assert {problem.where for problem in caught.value.problems} == {field}


def test_more_than_was_asked_may_be_said_at_once() -> None:
    fields = take(
        question("stopped_by"), "out off dark, table 26", {"edition": "us-hs-2025", "attacking": "right"}
    )
    assert fields["at"] == (58 * FOOT, 0)
    assert fields["ball_to"] == "same"
    assert ask_in_order(fields, ("attacking", "stopped_by")) == question("lead_side")


def test_every_choice_can_be_taken_by_its_number_its_word_and_its_value() -> None:
    for field in ("attacking", "stopped_by", "ball_to", "lead_side", "pending", "called_by", "bonus"):
        one = question(field)
        for number, (value, words) in enumerate(one.choices, 1):
            taken = [take(one, reply, {})[field] for reply in (str(number), value, words)]
            assert taken == [value == "yes" if field == "bonus" else value] * 3


# -- places in words ----------

INCHES = st.integers(0, 50 * 12).map(lambda inches: inches * INCH)


@given(st.integers(0, 84 * 12).map(lambda inches: inches * INCH), INCHES, st.sampled_from(get_args(Basket)))
def test_a_place_said_in_words_is_read_as_the_same_place(x: int, y: int, attacks: Basket) -> None:
    words = place_words((x, y), USUAL, attacks)
    found = parse(f"{words}; held ball; white; {attacks}; L table; us-hs-2025")
    assert found.at == (x, y), words


@given(FLOORS["us-hs"], st.data())
def test_a_place_in_words_names_one_place_on_any_floor(floor: Floor, data: st.DataObject) -> None:
    def anywhere() -> tuple[int, int]:
        return data.draw(st.tuples(st.integers(0, floor.length), st.integers(0, floor.width)))

    one, other = anywhere(), anywhere()
    said = [place_words(at, floor, "right") for at in (one, other)]
    assert (said[0] == said[1]) == (one == other)


def test_places_read_as_on_the_screen() -> None:
    assert place_words((58 * FOOT, 0), USUAL) == "table sideline, 26 ft"
    assert (
        place_words((58 * FOOT, 12 * FOOT), USUAL) == "26 ft from the end line, 12 ft from the table sideline"
    )
    assert place_words((84 * FOOT, 30 * FOOT), USUAL) == "right end line, 20 ft from the opposite sideline"
    assert place_words((42 * FOOT, 50 * FOOT), USUAL) == "opposite sideline, division line"
