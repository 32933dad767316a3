"""One line names a situation: exact both ways over all values, many spellings in, one out."""

from __future__ import annotations

from itertools import product
from typing import get_args
from urllib.parse import parse_qs, quote_plus, urlencode

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notation.spaces import every_combination, situations
from tenbetween.book import editions
from tenbetween.draw.phrases import CAUSE_WORDS
from tenbetween.errors import NotationError, Problem
from tenbetween.notation import EDITIONS, as_json, exact_feet, format, parse  # noqa: A004
from tenbetween.notation.phrases import CAUSE_PHRASES, PHRASES
from tenbetween.situation import CAUSES, Basket, ClockState, Floor, Situation
from tenbetween.units import FOOT, um, um_from_feet
from tenbetween.web.causes import WORDS

SPOT = (58 * FOOT, 0)
USUAL = Situation(
    edition="us-hs-2025", attacking="right", stopped_by="out_of_bounds", at=SPOT, ball_to="same",
    lead_side="table", lead_person="umpire",
)  # fmt: skip


@given(situations())
def test_reading_gives_back_what_was_written(situation: Situation) -> None:
    line = format(situation)
    assert parse(line) == situation
    assert format(parse(line)) == line
    assert "\n" not in line
    assert line.isascii()


def test_every_combination_of_closed_words_is_read_back() -> None:
    lines = {}
    for situation in every_combination():
        line = format(situation)
        assert parse(line) == situation, line
        assert lines.setdefault(line, situation) == situation, "two situations with one line"
    assert len(lines) > 7_000


def test_every_clock_and_pressure_is_read_back() -> None:
    for attacking, pressure, clock in product(get_args(Basket), (False, True), (None, *get_args(ClockState))):
        one = Situation(
            edition="us-hs-2022", attacking=attacking, stopped_by="made_goal", ball_to="other",
            lead_side="table", pressure=pressure, clock=clock,
        )  # fmt: skip
        assert parse(format(one)) == one


@given(st.integers(-2 * um("94 ft"), 2 * um("94 ft")))
def test_feet_give_back_the_micrometre_and_are_as_short_as_can_be(micrometres: int) -> None:
    text = exact_feet(micrometres)
    assert um_from_feet(text) == micrometres
    if "." in text:
        for shorter in (text[:-1], f"{float(text):.{len(text.split('.')[1]) - 1}f}"):
            assert um_from_feet(shorter) != micrometres


@given(situations())
def test_a_line_survives_an_address(situation: Situation) -> None:
    line = format(situation)
    assert parse(parse_qs(urlencode({"s": line}))["s"][0]) == situation


@given(situations())
def test_a_plus_that_became_a_blank_is_still_a_layer(situation: Situation) -> None:
    assert parse(format(situation).replace(" + ", "   ")) == situation


def test_the_canonical_line_is_as_agreed() -> None:
    whole = Situation(
        edition="us-hs-2025", layers=("k-24",), attacking="right", stopped_by="common_foul", at=SPOT,
        ball_to="same",
        lead_side="table", lead_person="umpire", called_by="lead", bonus=True, pressure=True,
        pending="run_end_line", clock="running", floor=Floor(um("94 ft"), um("50 ft")), date="2025-11-03",
        settings=(("lead_line_high", "trail_crosses"), ("tie", "leads_side")),
    )  # fmt: skip
    assert format(whole) == (
        "us-hs-2025 + k-24 / right / common foul 58,0 / same / lead table umpire / called by lead / bonus"
        " / pressure / pending run end line / clock running / floor 94x50 / set lead_line_high=trail_crosses tie=leads_side"
        " / on 2025-11-03"
    )
    assert (
        quote_plus(format(USUAL))
        == "us-hs-2025+%2F+right+%2F+out+of+bounds+58%2C0+%2F+same+%2F+lead+table+umpire"
    )


SPELLINGS = [
    "us-hs-2025 / right / out of bounds 58,0 / same / lead table umpire",
    "lead table umpire/same/out of bounds 58,0/right/us-hs-2025",
    "out off dark, table 26, white, attacking right, L table, umpire leads, 2025-26",
    "2025-26; OUT OF BOUNDS; table sideline 26 ft; white ball; going right; lead on the table side, the Umpire",
    "table 26, white, right, lead table, U leads, 25-26",
    "White attacks right. Ball out of bounds off Dark at table sideline, 26 ft. White keeps it. Lead was on "
    "the table side, the Umpire. By U.S. high school 2025-26.",
    "oob 26 from end line table off defense right T opposite referee trails us-hs-2025",
    "Dark attacks right, off white, out, table sideline 26', same, umpire leads, trail opposite, 2025-2026",
    "us-hs-2025 / right / out_of_bounds / 58, 0 / same / lead table umpire",
    "26 ft 0 in on the table sideline – ball out – to white – right – lead umpire – lead table – 25-26",
]


@pytest.mark.parametrize("line", SPELLINGS)
def test_many_spellings_one_out(line: str) -> None:
    assert format(parse(line)) == format(USUAL)


PLACES = [
    ("table 26", (58, 0)),
    ("table 26 back court", (26, 0)),
    ("opposite sideline 8", (76, 50)),
    ("far sideline 8", (76, 50)),
    ("table sideline, 26 from left end line", (26, 0)),
    ("table 26 from left", (26, 0)),
    ("right end line 12 from table", (84, 12)),
    ("left baseline, 12 ft from the opposite sideline", (0, 38)),
    ("end line 12 from table", (84, 12)),
    ("back-court end line, 3 from opposite", (0, 47)),
    ("26 from end line, 12 from table", (58, 12)),
    ("12 from table, 26 from the baseline", (58, 12)),
    ("inside, 14 ft from the right end line, 12 ft from the table sideline", (70, 12)),
    ("26 from end line, 12 from opposite, back court", (26, 38)),
    ("58,0", (58, 0)),
    ("58.5 , 0", (58.5, 0)),
    ("table, division line", (42, 0)),
    ("half-court line, opposite", (42, 50)),
    ("opposite 28-foot mark", (56, 50)),
    ("table at the free-throw line extended", (65, 0)),
    ("table 19 ft 9 in", (64.25, 0)),
    ("table 26.25", (57.75, 0)),
]


@pytest.mark.parametrize(("words", "at"), PLACES)
def test_places_in_words(words: str, at: tuple[float, float]) -> None:
    cause = "travel" if " , " in words else "held ball"
    found = parse(f"{words}; {cause}; white; right; L table; us-hs-2025")
    assert found.at == (um_from_feet(at[0]), um_from_feet(at[1]))


def test_metres_on_a_floor_measured_in_metres() -> None:
    found = parse("fiba, opposite 8.325 m, out, white, right, L table")
    assert found.at == (um("28 m") - um("8.325 m"), um("15 m"))


SPOKEN = [
    ("kick", "violation"),
    ("travelling", "violation"),
    ("three seconds", "violation"),
    ("backcourt violation", "violation"),
    ("inbound violation", "throw_in_violation"),
    ("charge", "player_control_foul"),
    ("tie-up", "held_ball"),
    ("timeout", "time_out"),
    ("stray whistle", "inadvertent_whistle"),
    ("the quarter starts", "period_start"),
    ("overtime", "extra_period_start"),
    ("tip-off", "game_start"),
    ("Basket made", "made_goal"),
]


@pytest.mark.parametrize(
    ("words", "cause"),
    [
        *SPOKEN,
        *((cause, cause) for cause in CAUSES),
        *((words.says.format(off=""), words.cause) for words in WORDS),
        *((words.tile, words.cause) for words in WORDS),
        *((words, cause) for cause, words in CAUSE_WORDS.items()),
    ],
)
def test_what_is_said_on_our_own_screens_and_sheets_is_understood(words: str, cause: str) -> None:
    line = f"{words}; 58,0; right; L table; us-hs-2025"
    needs_ball = cause not in ("game_start", "extra_period_start")
    balls = ("white ball", "dark ball") if needs_ball else ("",)
    read = {found for ball in balls if (found := read_or_none(f"{line}; {ball}"))}
    assert read == {cause}


def read_or_none(line: str) -> str | None:
    """Return the cause, or nothing when only the ball cannot go that way."""
    try:
        return parse(line).stopped_by
    except NotationError as fault:
        wheres = {problem.where for problem in fault.problems}
    return None if wheres == {"ball_to"} else str(wheres)


def test_every_cause_has_words_of_its_own() -> None:
    assert set(CAUSE_PHRASES) == set(CAUSES)
    assert len(PHRASES) > 400


def test_every_edition_of_the_book_has_a_name_here_and_the_same_floor() -> None:
    assert {(head.id, head.court) for head in editions()} == {(one.id, one.court) for one in EDITIONS}
    assert all(parse(f"right / game start / {head.short}").edition == head.id for head in editions())
    assert all(parse(f"right / game start / {head.title}").edition == head.id for head in editions())


def test_the_season_2024_25_is_the_text_of_2023_24() -> None:
    for name in ("us-hs-2024", "2024-25", "24-25"):
        assert parse(f"{name} / right / game start").edition == "us-hs-2023"


def test_what_is_not_said_stays() -> None:
    base = parse(
        "us-hs-2022 + k-24 / left / common foul 10,10 / same / lead opposite referee / called by lead / set a=b"
    )
    found = parse("out off white, table 26", base=base)
    assert (
        format(found)
        == "us-hs-2022 + k-24 / left / out of bounds 26,0 / other / lead opposite referee / set a=b"
    )


def test_an_edition_handed_in_gives_way_to_one_that_is_said() -> None:
    assert parse("right, game starts", edition="us-hs-2022").edition == "us-hs-2022"
    assert parse("right, game starts, fiba", edition="us-hs-2022").edition == "fiba-2po"


BAD = [
    (
        "tabel 26, outt, whte, right, L table",
        [("piece 1", "table"), ("piece 2", "out"), ("piece 3", "white")],
    ),
    ("us-hs-2031 / right / game start", [("piece 1", "us-hs-20")]),
    ("2031-32, right, game start", [("piece 1", "did you mean")]),
    ("out, table 60, white, right, L table", [("at", "back court")]),
    ("out, table, white, right, L table", [("at", "table 26")]),
    ("travel, 26, white, right, L table", [("at", "table 26")]),
    ("travel, end line 12, white, right, L table", [("at", "12 from table")]),
    ("travel, 12 from table, white, right, L table", [("at", "table 26")]),
    ("travel, 10,10, 20,20, white, right, L table", [("at", "one of the two")]),
    ("travel, 10,10, left, white, right, L table", [("piece 5", "one of the two")]),
    ("travel, kick, goal, 10,10, white, right, L table", [("piece 3", "one of the two")]),
    ("white foul, 10,10, right, L table", [("piece 1", "comma")]),
    ("foul, off white, white, 10,10, right, L table", [("piece 3", "off dark")]),
    ("goal, white, right, L table", [("ball_to", "other")]),
    ("travel, 10,10, white, right, L table, bonus", [("bonus", "leave bonus out")]),
    ("game start, right, dark", [("ball_to", "leave ball_to out")]),
    ("out, 40,25, white, right, L table", [("at", "crossed the line")]),
    ("out, 95,25, white, right, L table", [("at", "left end line")]),
    ("out, 99999,25, white, right, L table", [("piece 2.length", "number")]),
    ("game start, right, floor 20x20", [("court.length", ""), ("court.width", "")]),
    ("game start, right, on 2025-02-30", [("piece 3", "2025-11-03")]),
    ("game start, right, set a=b a=c", [("piece 3", "take one")]),
    ("us-hs-2025 + k-24 + k-24 / right / game start", [("piece 1", "take one")]),
    ("", [("attacking", "basket"), ("stopped_by", "cause")]),
    ("x" * 5_000, [("line", "one situation")]),
]


@pytest.mark.parametrize(("line", "expected"), BAD)
def test_every_mistake_is_told_at_once_with_what_to_do(line: str, expected: list[tuple[str, str]]) -> None:
    with pytest.raises(NotationError) as caught:
        parse(line, edition="us-hs-2025")
    told = [(problem.where, problem.do) for problem in caught.value.problems]
    assert [where for where, _ in told] == [where for where, _ in expected]
    assert all(words in do for (_, do), (_, words) in zip(told, expected, strict=True)), told


PIECES = st.sampled_from(
    [
        *(" ".join(phrase) for phrase in PHRASES),
        "58,0",
        "26",
        "12 from table",
        "+ k-24",
        "a=b",
        "94x50",
        "2025-26",
        "/",
    ]
)
ALMOST = st.lists(PIECES | st.text(max_size=6), max_size=9).map(", ".join)


@given(ALMOST | st.text(max_size=120))
def test_no_line_brings_anything_but_a_situation_or_directions(line: str) -> None:
    found, problems = read_or_problems(line)
    assert (found is None) == bool(problems)
    assert all(all(problem.as_dict().values()) for problem in problems)
    assert found is None or parse(format(found)) == found


def read_or_problems(line: str) -> tuple[Situation | None, tuple[Problem, ...]]:
    try:
        return parse(line, edition="us-hs-2025"), ()
    except NotationError as fault:
        return None, fault.problems


@given(situations())
def test_json_of_a_situation_leaves_out_what_was_not_said(situation: Situation) -> None:
    said = as_json(situation)
    assert all(value or value == [0.0, 0.0] for value in said.values())
    assert {"edition", "attacking", "stopped_by"} <= set(said)
