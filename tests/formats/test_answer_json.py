"""Situations in and answers out as JSON: what other programs rely on, and every fault with its place."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notation.spaces import situations
from tenbetween.book import decide, editions, load_book
from tenbetween.errors import FormatError, Problem, SituationError, TenbetweenError
from tenbetween.formats.answer_json import FIELDS, read_situation, read_situations, ruling_as_dict
from tenbetween.formats.json_text import parse_json, write_errors, write_json
from tenbetween.notation import NEEDS, as_json
from tenbetween.situation import CAUSES, Floor, Ruling, Situation
from tenbetween.units import um

CASES = Path(__file__).parent.parent / "cases"
WHOLE: dict[str, Any] = {
    "edition": "us-hs-2025",
    "attacking": "right",
    "lead_side": "table",
    "stopped_by": "out_of_bounds",
    "at": [58, 0],
    "ball_to": "same",
}
ANSWER = (
    "covered", "not_covered", "restart", "after_free_throws", "spot", "line", "near", "attacking_after", "court_part",
    "may_run_end_line", "delivery", "administers", "switch", "roles_after", "lead_side_after", "places", "zones",
    "stands", "count", "clock_starts", "chop", "lines", "watches", "steps", "reasons", "caution",
)  # fmt: skip
"""The fields of an answer, in the order of the agreement with other programs."""
REASON = (
    "decides", "provision", "row", "section", "edition", "layer", "setting", "source", "confidence", "beats",
)  # fmt: skip


def faults(given: Any) -> dict[str, Problem]:
    """Return the faults of an object (or a text) by their place."""
    text = given if isinstance(given, str | bytes) else json.dumps(given)
    with pytest.raises(TenbetweenError) as caught:
        read_situations(text, default_edition="us-hs-2025")
    return {problem.where: problem for problem in caught.value.problems}


def read(given: Any) -> Situation:
    (found,), is_list = read_situations(json.dumps(given), default_edition="us-hs-2025")
    assert not is_list
    return found


# -- in ----------


@given(situations())
def test_a_situation_survives_json(situation: Situation) -> None:
    assert read(as_json(situation)) == situation


def test_every_readable_case_is_read() -> None:
    count = 0
    for path in sorted(CASES.glob("*.toml")):
        for case in tomllib.loads(path.read_text("utf-8"))["case"]:
            assert read(case["situation"]).stopped_by == case["situation"]["stopped_by"]
            count += 1
    assert count > 150


def test_every_field_is_read() -> None:
    given = {
        **WHOLE, "stopped_by": "common_foul", "date": "2025-12-01", "settings": {"tie": "Lead's side"}, "layers": ["k-24"],
        "court": {"length": 94, "width": 50}, "crew": {"lead": "umpire"}, "pending": "run_end_line", "called_by": "lead",
        "bonus": True, "pressure": True, "clock": "running",
    }  # fmt: skip
    assert set(given) == set(FIELDS)
    assert read(given) == Situation(
        edition="us-hs-2025", attacking="right", stopped_by="common_foul", floor=Floor(um("94 ft"), um("50 ft")),
        layers=("k-24",), settings=(("tie", "leads_side"),), date="2025-12-01", lead_side="table", lead_person="umpire",
        at=(um("58 ft"), 0), ball_to="same", pending="run_end_line", called_by="lead", bonus=True, pressure=True,
        clock="running",
    )  # fmt: skip


def test_null_is_the_same_as_nothing() -> None:
    assert read({**dict.fromkeys(FIELDS), **WHOLE}) == read(WHOLE)


@pytest.mark.parametrize("edition", ["us-hs-2023", "us-hs-2024"])
def test_the_season_2024_25_goes_by_the_text_of_2023_24(edition: str) -> None:
    assert read({**WHOLE, "edition": edition}).edition == "us-hs-2023"


def test_the_edition_is_the_one_in_force_on_the_day() -> None:
    asked: list[str] = []

    def edition_on(day: str) -> str:
        asked.append(day)
        return "us-hs-2022"

    bare = {name: value for name, value in WHOLE.items() if name != "edition"}
    text = json.dumps([bare, {**bare, "date": "2022-12-01"}, {**WHOLE, "date": "2022-12-01"}])
    found, _ = read_situations(text, edition_on=edition_on, today="2025-11-25")
    assert [one.edition for one in found] == ["us-hs-2022", "us-hs-2022", "us-hs-2025"]
    assert asked == ["2025-11-25", "2022-12-01"]


@pytest.mark.parametrize(
    ("cause", "ball", "more"),
    [
        ("made_goal", "other", {}),
        ("made_last_free_throw", "other", {}),
        ("shooting_foul", "same", {}),
        ("period_start", "same", {}),
        ("player_control_foul", "other", {"at": [70, 20]}),
        ("time_out", "same", {"pending": "run_end_line"}),
        ("common_foul", "same", {"bonus": True}),
        ("game_start", None, {}),
        ("extra_period_start", None, {}),
    ],
)
def test_what_a_cause_implies_need_not_be_said(cause: str, ball: str | None, more: dict[str, Any]) -> None:
    given = {"attacking": "right", "lead_side": "table", "stopped_by": cause, **more}
    assert read(given).ball_to == ball


def test_every_cause_has_a_need() -> None:
    assert tuple(NEEDS) == CAUSES


CONTRADICTIONS: list[tuple[dict[str, Any], str, str]] = [
    ({"stopped_by": "made_goal", "ball_to": "same"}, "ball_to", "write other"),
    ({"stopped_by": "player_control_foul", "ball_to": "same"}, "ball_to", "write other"),
    ({"stopped_by": "period_start", "ball_to": "other"}, "ball_to", "write same"),
    ({"stopped_by": "game_start", "ball_to": "same"}, "ball_to", "leave ball_to out"),
    ({"stopped_by": "violation", "bonus": True}, "bonus", "leave bonus out"),
    ({"stopped_by": "made_goal", "ball_to": "other", "pending": "spot"}, "pending", "leave pending out"),
    ({"stopped_by": "period_start", "called_by": "lead"}, "called_by", "leave called_by out"),
    ({"at": [40, 25]}, "at", "crossed the line"),
    ({"at": [58, 1.6]}, "at", "crossed the line"),
    ({"at": [58, -1.6]}, "at", "left end line"),
    ({"stopped_by": "violation", "at": [90, 25]}, "at", "left end line"),
    ({"stopped_by": "violation", "at": [-30, 25]}, "at", "left end line"),
    ({"court": {"length": 20, "width": 5}}, "court.length", ""),
    ({"court": {"length": 84, "width": 500}}, "court.width", ""),
]


@pytest.mark.parametrize(("change", "where", "do"), CONTRADICTIONS)
def test_what_cannot_be_true_together_is_named(change: dict[str, Any], where: str, do: str) -> None:
    found = faults({**WHOLE, **change})
    assert do in found[where].do


@pytest.mark.parametrize(
    ("cause", "missing"),
    [
        ("out_of_bounds", {"at", "ball_to", "lead_side"}),
        ("violation", {"at", "ball_to", "lead_side"}),
        ("held_ball", {"at", "ball_to", "lead_side"}),
        ("time_out", {"at", "ball_to", "lead_side"}),
        ("common_foul", {"at", "ball_to", "lead_side"}),
        ("technical_foul", {"ball_to", "lead_side"}),
        ("player_control_foul", {"at", "lead_side"}),
        ("shooting_foul", {"lead_side"}),
        ("made_goal", {"lead_side"}),
    ],
)
def test_what_is_missing_is_named_all_of_it(cause: str, missing: set[str]) -> None:
    assert set(faults({"stopped_by": cause})) == missing | {"attacking"}


def test_a_point_just_off_a_boundary_is_taken() -> None:
    for at in ([58, 1.5], [58, -1.5], [0, 51], [85.5, 20], [-1, -1]):
        assert read({**WHOLE, "at": at}).at is not None


WRONG: list[tuple[Any, str, str]] = [
    ({"atacking": "left"}, "atacking", "did you mean 'attacking'?"),
    ({"attacking": "rigth"}, "attacking", "did you mean 'right'?"),
    ({"attacking": 1}, "attacking", "in quotes"),
    ({"attacking": ["left"]}, "attacking", "in quotes"),
    ({"stopped_by": "out of bounds"}, "stopped_by", "did you mean 'out_of_bounds'?"),
    ({"edition": "us-hs-2031"}, "edition", "did you mean"),
    ({"edition": 2025}, "edition", "in quotes"),
    ({"date": "2025-02-30"}, "date", "2025-11-30"),
    ({"date": "30.11.2025"}, "date", "2025-11-30"),
    ({"date": 20251130}, "date", "2025-11-30"),
    ({"bonus": 1}, "bonus", "without quotes"),
    ({"bonus": "true"}, "bonus", "without quotes"),
    ({"pressure": []}, "pressure", "without quotes"),
    ({"at": 58}, "at", "[58, 0]"),
    ({"at": [58]}, "at", "[58, 0]"),
    ({"at": [58, 0, 0]}, "at", "[58, 0]"),
    ({"at": ["58", 0]}, "at[0]", "without quotes"),
    ({"at": [True, 0]}, "at[0]", "without quotes"),
    ({"at": [58, None]}, "at[1]", "without quotes"),
    ({"at": [1e300, 0]}, "at[0]", "number"),
    ({"at": {"x": 58, "y": 0}}, "at", "[58, 0]"),
    ({"crew": "umpire"}, "crew", "leave crew out"),
    ({"crew": {"lead": "center"}}, "crew.lead", "which person"),
    ({"crew": {"lead": "umpire", "trail": "referee"}}, "crew.trail", "leave it out"),
    ({"crew": {}}, "crew.lead", "which person"),
    ({"layers": "k-24"}, "layers", "k-24"),
    ({"layers": ["k-24", "k-24"]}, "layers[1]", "take this one out"),
    ({"layers": ["../../etc/passwd"]}, "layers[0]", "k-24"),
    ({"layers": [7]}, "layers[0]", "k-24"),
    ({"settings": ["tie"]}, "settings", "both_everywhere"),
    ({"settings": {"tie": 1}}, "settings.tie", "book list"),
    ({"settings": {"a b": "c"}}, "settings.'a b'", "book list"),
    ({"settings": {"tie": "///"}}, "settings.tie", "book list"),
    ({"court": "us-hs-2025"}, "court", "leave court out"),
    ({"court": {"length": "84"}}, "court.length", "without quotes"),
    ({"court": {"lenght": 84}}, "court.lenght", "did you mean 'length'?"),
]


@pytest.mark.parametrize(("change", "where", "do"), WRONG)
def test_what_cannot_be_read_is_named(change: dict[str, Any], where: str, do: str) -> None:
    found = faults({**WHOLE, **change})
    assert list(found) == [where]
    assert do in found[where].do


def test_every_fault_of_every_item_is_told_with_its_place() -> None:
    found = faults([WHOLE, {**WHOLE, "at": [40, 25], "bonus": 1}, 7, {**WHOLE, "colour": "white"}])
    assert list(found) == ["[1].bonus", "[1].at", "[2]", "[3].colour"]


TEXTS: list[tuple[str | bytes, str]] = [
    ("", "input"),
    ("   ", "input"),
    ("{", "input"),
    ("{'a': 1}", "input"),
    ("42", "input"),
    ('"left"', "input"),
    ("null", "input"),
    ("true", "input"),
    ("[1, ]", "input"),
    ('{"at": [NaN, 0]}', "at[0]"),
    ('[{}, {"at": [58, Infinity]}]', "[1].at[1]"),
    ('{"at": [-Infinity, 1e999]}', "at[1]"),
    ('{"at": [' + "9" * 5_000 + ", 0]}", "at[0]"),
    ('{"at": [0.' + "9" * 5_000 + ", 0]}", "at[0]"),
    ('{"attacking": "left", "attacking": "right"}', "attacking"),
    ('[{"crew": {"lead": "umpire", "lead": "referee"}}]', "[0].crew.lead"),
    ("[" * 100_000 + "]" * 100_000, "input"),
    ("[" * 50 + "]" * 50, "[0]" * 13),
    ('{"a":' * 200 + "1" + "}" * 200, "a" + ".a" * 12),
    (b"\xff\xfe{\x00}\x00", "input"),
    (b'{"attacking": "\xc3("}', "input"),
]


@pytest.mark.parametrize(("text", "where"), TEXTS)
def test_text_that_is_no_proper_json_is_named(text: str | bytes, where: str) -> None:
    assert where in faults(text)


def test_a_text_with_a_mark_in_front_is_read() -> None:
    (found,), _ = read_situations(b"\xef\xbb\xbf" + json.dumps(WHOLE).encode())
    assert found == read(WHOLE)


def test_too_much_text_is_refused_before_it_is_read() -> None:
    with pytest.raises(FormatError, match="split it"):
        parse_json("[" + " " * 20_000_000 + "]")


def test_an_empty_list_is_an_empty_list() -> None:
    assert read_situations("[]") == ((), True)


LEAF = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8)
ANYTHING = st.recursive(
    LEAF, lambda one: st.lists(one, max_size=3) | st.dictionaries(st.text(max_size=6), one, max_size=3)
)
ALMOST = st.fixed_dictionaries({}, optional={name: ANYTHING | st.just(WHOLE.get(name)) for name in FIELDS})


@given(ALMOST | ANYTHING | st.lists(ALMOST, max_size=3))
def test_nothing_comes_of_json_but_situations_or_directions(given: Any) -> None:
    problems = told(json.dumps(given))
    assert all(problem.found and problem.expected and problem.do for problem in problems)
    assert json.loads(write_errors(problems))["errors"] == [problem.as_dict() for problem in problems]


@given(st.text(max_size=60) | st.binary(max_size=60))
def test_nothing_comes_of_any_text_but_situations_or_directions(text: str | bytes) -> None:
    assert all(problem.where and problem.do for problem in told(text))


def told(text: str | bytes) -> tuple[Problem, ...]:
    try:
        read_situations(text, default_edition="us-hs-2025")
    except TenbetweenError as fault:
        return fault.problems
    return ()


# -- out ----------


def answers() -> list[tuple[Situation, Ruling]]:
    found = []
    for head in editions():
        book = load_book(head.id)
        for stopped in (
            "out_of_bounds",
            "made_goal",
            "shooting_foul",
            "technical_foul",
            "game_start",
            "period_start",
        ):
            given = {
                **WHOLE,
                "edition": head.id,
                "stopped_by": stopped,
                "ball_to": NEEDS[stopped].ball[:1] or None,
            }  # type: ignore[index]
            given["ball_to"] = given["ball_to"][0] if given["ball_to"] else None
            situation = read_situation(given)
            found.append((situation, decide(book, situation)))
    return found


@pytest.mark.parametrize(("situation", "ruling"), answers())
def test_an_answer_has_the_agreed_names_in_their_order(situation: Situation, ruling: Ruling) -> None:
    page = ruling_as_dict(ruling)
    assert tuple(page)[: len(ANSWER)] == ANSWER
    for reason in page["reasons"]:
        assert tuple(reason)[: len(REASON)] == REASON
    assert page["covered"] is (page["not_covered"] == [])
    assert json.loads(write_json(page)) == page
    assert page["reasons"] or not page["covered"]
    if page["after_free_throws"]:
        assert tuple(page["after_free_throws"]) == tuple(page)


def test_the_parts_of_an_answer_have_the_agreed_shapes() -> None:
    page = ruling_as_dict(decide(load_book("us-hs-2025"), read({**WHOLE, "crew": {"lead": "umpire"}})))
    assert page["spot"] == [58.0, 0.0]
    assert page["administers"] == {"was": "lead", "now": "trail", "person": "umpire"}
    assert page["roles_after"] == {"old_lead": "trail", "old_trail": "lead"}
    assert {"seconds", "from", "to", "visible", "by"} <= set(page["count"])
    assert set(page["places"]) == set(page["zones"]) == {"lead", "trail"}
    assert all(len(place) == 2 for place in page["places"].values())
    assert page["near"] is None
    assert page["situation_line"] == "us-hs-2025 / right / out of bounds 58,0 / same / lead table umpire"


def test_parts_read_off_another_part_have_its_reason_and_its_gap() -> None:
    page = ruling_as_dict(decide(load_book("us-hs-2025"), read(WHOLE)))
    row = {reason["decides"]: reason["row"] for reason in page["reasons"]}
    assert len(row) == len(page["reasons"])
    assert row["switch"] == row["roles_after"] == "who.lead-line-high/exchange"
    assert row["line"] == row["court_part"] == row["spot"]
    assert row["zones"] == row["places"]
    foul = {**WHOLE, "stopped_by": "shooting_foul", "at": [78, 20]}
    page = ruling_as_dict(decide(load_book("us-hs-2025"), read(foul)))
    why = {one["part"]: one["why"] for one in page["not_covered"]}
    assert page["switch"] is None
    assert why["switch"] == why["roles_after"]
    assert "switch" not in {reason["decides"] for reason in page["reasons"]}


def test_near_gives_the_margin_and_the_other_candidate() -> None:
    page = ruling_as_dict(
        decide(load_book("us-hs-2025"), read({**WHOLE, "stopped_by": "violation", "at": [80, 6]}))
    )
    assert page["near"]["distance_ft"] == 0.75
    assert page["near"]["other_side_answer"] == {"spot": [56.0, 0.0], "line": "sideline"}


def test_a_number_that_is_none_is_never_written() -> None:
    with pytest.raises(ValueError, match="JSON"):
        write_json({"x": float("nan")})


def test_one_situation_read_by_itself_names_its_faults_without_a_place_in_a_list() -> None:
    with pytest.raises(SituationError) as caught:
        read_situation([])
    assert [problem.where for problem in caught.value.problems] == [""]
