"""The sentence with blanks: addresses in and out, what one tap says, every choice leading where it says."""

from __future__ import annotations

from typing import Any
from urllib.parse import parse_qsl

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tenbetween.errors import SituationError
from tenbetween.situation import CAUSES
from tenbetween.web import sentence as say
from tenbetween.web.causes import BY_CAUSE, TILES
from tenbetween.web.draft import (
    CLOSED,
    Draft,
    emptied,
    from_query,
    from_situation,
    settled,
    to_query,
    to_situation,
)
from tenbetween.web.places import Floor, place_words

FLOOR = Floor()
USUAL = Draft(cause="out_of_bounds", at=(58.0, 0.0), ball="same", edition="us-hs-2025", layers=())


def query(address: str) -> dict[str, str]:
    return dict(parse_qsl(address.lstrip("/?"), keep_blank_values=True))


drafts = st.builds(
    Draft,
    team=st.sampled_from(("White", "Dark")),
    attacks=st.sampled_from(("left", "right")),
    cause=st.sampled_from(("", *CAUSES)),
    at=st.none() | st.tuples(st.integers(0, 84).map(float), st.integers(0, 50).map(float)),
    ball=st.sampled_from(("", "same", "other")),
    lead=st.sampled_from(("table", "opposite")),
    lead_is=st.sampled_from(("referee", "umpire")),
    edition=st.sampled_from(("", "us-hs-2023")),
    layers=st.none() | st.sampled_from(((), ("k-24",), ("k-24", "quillan-ridge"))),
    settings=st.sampled_from(((), (("chop", "both_everywhere"),))),
    pending=st.sampled_from(("", "spot", "run_end_line")),
    called=st.sampled_from(("", "lead", "trail")),
    bonus=st.booleans(),
    pressure=st.booleans(),
).map(lambda draft: settled(draft, FLOOR))


@given(drafts)
def test_an_address_gives_back_the_draft_it_was_made_of(draft: Draft) -> None:
    assert from_query(query(to_query(draft)), FLOOR) == draft


@given(drafts)
def test_a_situation_gives_back_the_draft_it_was_made_of(draft: Draft) -> None:
    from msgspec.structs import replace

    there = replace(draft, layers=draft.layers or ())
    assert from_situation(to_situation(there), there.team) == there


@given(drafts)
def test_settling_twice_is_settling_once_and_emptying_keeps_who_and_where_to(draft: Draft) -> None:
    assert settled(draft, FLOOR) == draft
    left = emptied(draft)
    assert left.open_blanks() == ("at", "cause", "ball")
    assert (left.team, left.attacks, left.lead, left.lead_is, left.edition, left.layers) == (
        draft.team, draft.attacks, draft.lead, draft.lead_is, draft.edition, draft.layers,
    )  # fmt: skip


@given(drafts)
def test_every_choice_of_every_part_is_an_address_that_can_be_read(draft: Draft) -> None:
    parts = say.situation_parts(draft, FLOOR)
    assert len({part.name for part in parts if part.name}) == len([part for part in parts if part.name])
    for part in parts:
        for choice in part.choices:
            from_query(query(choice.href), FLOOR)
        assert sum(choice.current for choice in part.choices) <= 1


@given(drafts)
def test_no_key_stands_for_two_things(draft: Draft) -> None:
    keys = [c.key for p in say.situation_parts(draft, FLOOR) for c in p.choices if c.key]
    assert len(keys) == len(set(keys))


def test_the_first_screen_has_three_blanks_and_asks_where_first() -> None:
    parts = say.situation_parts(Draft(), FLOOR)
    assert [(p.name, p.state) for p in parts if p.state != "filled" and p.name] == [
        ("cause", "open"), ("at", "now"), ("ball", "open"),
    ]  # fmt: skip
    assert say.as_text(parts) == (
        "White attacks right. what stopped play? at where?. whose ball?. "
        "Lead was on the table side, the Umpire."
    )


def test_a_tap_on_a_line_says_out_of_bounds_and_one_inside_does_not() -> None:
    assert from_query({"at": "58,0"}, FLOOR).cause == "out_of_bounds"
    assert from_query({"at": "84,31"}, FLOOR).cause == "out_of_bounds"
    assert from_query({"at": "70,12"}, FLOOR).cause == ""
    assert from_query({"at": "58,0", "cause": "held_ball"}, FLOOR).cause == "held_ball"


def test_the_sentence_reads_as_the_trainer_says_it() -> None:
    assert say.as_text(say.situation_parts(USUAL, FLOOR)) == (
        "White attacks right. Ball out of bounds off Dark at table sideline, 26 ft. White keeps it. "
        "Lead was on the table side, the Umpire."
    )
    foul = Draft(cause="common_foul", at=(66.0, 18.0), ball="same", called="trail")
    assert say.as_text(say.situation_parts(foul, FLOOR)) == (
        "White attacks right. Common foul 18 ft from the right end line, 18 ft from the table sideline, "
        "called by the trail, before the bonus. White keeps it. Lead was on the table side, the Umpire."
    )


def test_causes_without_a_place_drop_it_and_a_cause_says_whose_ball() -> None:
    goal = from_query({"cause": "made_goal", "at": "58,0"}, FLOOR)
    assert (goal.at, goal.ball, goal.open_blanks()) == (None, "other", ())
    start = from_query({"cause": "game_start", "ball": "same"}, FLOOR)
    assert (start.ball, start.open_blanks()) == ("", ())


def test_a_new_cause_keeps_the_ball_he_chose_and_lets_go_of_one_filled_in() -> None:
    chosen = Draft(cause="violation", at=(70.0, 12.0), ball="same")
    held = next(c for c in say.cause_choices(chosen, FLOOR) if c.label == "Held ball")
    assert from_query(query(held.href), FLOOR).ball == "same"
    filled_in = settled(Draft(cause="time_out", at=(70.0, 12.0)), FLOOR)
    held = next(c for c in say.cause_choices(filled_in, FLOOR) if c.label == "Held ball")
    assert from_query(query(held.href), FLOOR).ball == ""


def test_changing_the_attacking_colour_keeps_the_ball_with_its_colour() -> None:
    team = next(p for p in say.situation_parts(USUAL, FLOOR) if p.name == "team")
    dark = next(c for c in team.choices if c.label == "Dark")
    changed = from_query(query(dark.href), FLOOR)
    assert (changed.team, changed.ball, changed.to_team) == ("Dark", "other", "White")


def test_pressure_is_asked_only_for_a_throw_in_of_the_back_court() -> None:
    def asks(**fields: Any) -> bool:
        draft = Draft(cause="out_of_bounds", **fields)
        return "pressure" in {p.name for p in say.situation_parts(draft, FLOOR)}

    assert not asks(at=(58.0, 0.0), ball="same")
    assert asks(at=(20.0, 0.0), ball="same")
    assert asks(at=(58.0, 0.0), ball="other")


def test_every_cause_has_words_and_ten_tiles_are_nine_and_more() -> None:
    assert set(BY_CAUSE) == set(CAUSES)
    assert [tile.key for tile in TILES] == [str(n) for n in range(1, 10)]


@pytest.mark.parametrize(
    ("given_", "where"),
    [
        ({"attacks": "rigth"}, ["attacks"]),
        ({"cause": "foul", "ball": "mine"}, ["cause", "ball"]),
        ({"at": "nan,0"}, ["at"]),
        ({"at": "inf,0"}, ["at"]),
        ({"at": "58"}, ["at"]),
        ({"at": "1,2,3"}, ["at"]),
        ({"at": "200,0"}, ["at"]),
        ({"at": "58,-9"}, ["at"]),
        ({"at": "1e400,0", "lead": "up"}, ["lead", "at"]),
        (
            {"is": "coach", "called": "both", "pending": "x", "team": "Red"},
            ["team", "is", "pending", "called"],
        ),
    ],
)
def test_every_wrong_word_of_an_address_is_named(given_: dict[str, str], where: list[str]) -> None:
    with pytest.raises(SituationError) as raised:
        from_query(given_, FLOOR)
    assert [problem.where for problem in raised.value.problems] == where


@given(
    st.dictionaries(st.sampled_from((*CLOSED, "at", "layers", "set", "floor", "bonus")), st.text(max_size=20))
)
def test_no_address_breaks_the_reader(given_: dict[str, str]) -> None:
    try:
        draft = from_query(given_, FLOOR)
    except SituationError as error:
        named = {problem.where for problem in error.problems}
    else:
        named = {name for name in CLOSED if from_query(query(to_query(draft)), FLOOR) != draft}
        assert named == set()
    assert named <= {*CLOSED, "at"}


def test_place_form_gives_the_place_it_shows() -> None:
    for at in ((58.0, 0.0), (58.0, 50.0), (0.0, 20.0), (84.0, 31.0), (70.0, 12.0)):
        form = say.place_form(Draft(at=at), FLOOR)
        filled = {"side": form.line, "ft": form.ft, "x": form.x, "y": form.y}
        assert say.place_from_form(filled, FLOOR) == f"{at[0]:g},{at[1]:g}"
    for broken in ({}, {"side": "table sideline", "ft": "far"}, {"side": "inside", "x": "1"}):
        assert say.place_from_form(broken, FLOOR) == ""


def test_places_read_as_line_and_feet_from_the_nearer_end_line() -> None:
    fiba = Floor(91.8635, 49.2126)
    assert place_words((26, 50), FLOOR) == "opposite sideline, 26 ft"
    assert place_words((42, 0), FLOOR) == "table sideline, division line"
    assert place_words((91.8635, 20), fiba) == "right end line, 20 ft from the table sideline"
    assert place_words((60, 49.2126), fiba) == "opposite sideline, 31.9 ft"
