"""The plain oracle against the numbers of our table of facts, its own reflections, and the readable cases."""

from __future__ import annotations

import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from .plain import NOT_COVERED, OPEN_QUESTIONS, SETTING_VALUES, US_HS, answer

CASES_FOLDER = Path(__file__).parent.parent / "cases"
OTHER = {"left": "right", "right": "left", "table": "opposite", "opposite": "table"}
PARTS = set(answer({"edition": "us-hs-2025", "attacking": "left", "stopped_by": "game_start"}))
SITUATION_FIELDS = {
    *("edition", "date", "settings", "layers", "court", "attacking", "lead_side", "crew", "stopped_by", "at"),
    *("ball_to", "pending", "called_by", "bonus", "pressure", "clock"),
}


def read_cases() -> list[tuple[str, dict[str, Any]]]:
    """All readable cases with file and place, as ("spots.toml 3", case)."""
    found = []
    for path in sorted(CASES_FOLDER.glob("*.toml")):
        for number, case in enumerate(tomllib.loads(path.read_text(encoding="utf-8"))["case"], start=1):
            found.append((f"{path.name} {number}", case))
    return found


CASES = read_cases()


def differences(expected: dict[str, Any], got: Any, where: str = "") -> list[str]:
    """Every part in which an answer differs from what a case expects, as readable lines."""
    if not isinstance(got, dict):
        return [f"{where}: expected parts, found {got!r}"]
    lines: list[str] = []
    for key, want in expected.items():
        place = f"{where}.{key}".lstrip(".")
        if key == "null":
            lines += [
                f"{place} {part}: expected empty, found {got[part]!r}"
                for part in want
                if got[part] is not None
            ]
        elif key == "not_covered":
            lines += [
                f"{place} {p}: expected not covered, found {got[p]!r}" for p in want if got[p] != NOT_COVERED
            ]
        elif isinstance(want, dict):
            lines += differences(want, got[key], place)
        elif not same(want, got[key]):
            lines.append(f"{place}: expected {want!r}, found {got[key]!r}")
    return lines


def same(want: Any, got: Any) -> bool:
    """Equal, numbers within a thousandth of a foot."""
    if isinstance(want, list):
        return isinstance(got, list) and len(want) == len(got) and all(map(same, want, got))
    if isinstance(want, float) and isinstance(got, int | float):
        return abs(want - got) < 0.001
    return bool(want == got)


def violation(edition: str, x: float, y: float, attacking: str = "left", **more: Any) -> dict[str, Any]:
    """A violation at a point of the half-court frame, the same team throwing in."""
    court_x = x if attacking == "left" else 84 - x
    base = {"edition": edition, "attacking": attacking, "lead_side": "table", "stopped_by": "violation"}
    return answer({**base, "at": [court_x, y], "ball_to": "same", **more})


def out(x: float, y: float, ball_to: str = "same", **more: Any) -> dict[str, Any]:
    """Ball out in the 2025 edition, attacking right, lead table side; x from the front-court end line."""
    base = {
        "edition": "us-hs-2025",
        "attacking": "right",
        "lead_side": "table",
        "stopped_by": "out_of_bounds",
    }
    return answer({**base, "at": [84 - x, y], "ball_to": ball_to, **more})


def who(result: dict[str, Any]) -> tuple[Any, Any, Any, Any]:
    """(was, now, delivery, switch), the columns of the table of throw-ins."""
    a = result["administers"]
    return (a and a["was"], a and a["now"], result["delivery"], result["switch"])


# ------------------------------------------------------------------ the cases


@pytest.mark.parametrize(("place", "case"), CASES, ids=[place for place, _ in CASES])
def test_a_readable_case(place: str, case: dict[str, Any]) -> None:
    assert not differences(case["expect"], answer(case["situation"])), case["says"]


def test_the_cases_are_well_formed_and_spread() -> None:
    for place, case in CASES:
        assert set(case) == {"says", "follows", "situation", "expect"}, place
        assert all(case.values()), place
        assert set(case["situation"]) <= SITUATION_FIELDS, place
        inner = case["expect"].get("after_free_throws", {})
        assert {*case["expect"], *inner} <= {*PARTS, "null", "not_covered"}, place
    situations = [case["situation"] for _, case in CASES]
    assert len(CASES) >= 130
    assert len({case["says"] for _, case in CASES}) == len(CASES)
    by_edition = Counter(s["edition"] for s in situations)
    assert all(by_edition[edition] >= 10 for edition in (*US_HS, "fiba-2po")), by_edition
    for field in ("attacking", "lead_side"):
        assert min(Counter(s[field] for s in situations if field in s).values()) >= 30
    assert len({s["stopped_by"] for s in situations}) == 22, "every cause of the contract"


def test_the_first_twenty_are_numbered_as_the_trainer_asks_them() -> None:
    first = [case["says"].split(".")[0] for place, case in CASES if place.startswith("twenty")]
    assert first == [str(n) for n in range(1, 21)]


def test_a_wrong_expectation_is_seen() -> None:
    case = CASES[0][1]
    wrong = {**case["expect"], "null": ["restart"], "not_covered": ["restart"], "restart": "jump_ball"}
    assert len(differences(wrong, answer(case["situation"]))) >= 3


# ------------------------------------------------------------------ facts 2.3 and 6 (39-41)

VECTORS = [
    ((10, 12), "end_line", "end_line"),
    ((14, 10), "sideline", "end_line"),
    ((20, 25), "sideline", "end_line"),
    ((20, 22), "sideline", "end_line"),
    ((18, 20), "end_line", "end_line"),
    ((3, 2), "sideline", "sideline"),
    ((5, 6), "end_line", "end_line"),
    ((26, 25), "sideline", "sideline"),
    ((2, 4), "end_line", "sideline"),
]


@pytest.mark.parametrize("attacking", ["left", "right"])
@pytest.mark.parametrize(("point", "trapezoid", "arc"), VECTORS)
def test_facts_2_3_vectors(point: tuple[int, int], trapezoid: str, arc: str, attacking: str) -> None:
    assert violation("us-hs-2023", *point, attacking=attacking)["line"] == trapezoid
    assert violation("us-hs-2025", *point, attacking=attacking)["line"] == arc


def test_facts_6_number_40_names_the_spot() -> None:
    assert violation("us-hs-2025", 20, 22)["spot"] == [0.0, 16.0]


def test_the_elbow_is_on_the_line_and_a_hair_outside_is_out() -> None:
    assert violation("us-hs-2023", 19, 19)["line"] == "end_line"
    assert violation("us-hs-2023", 19, 18.9999)["line"] == "sideline"
    assert violation("us-hs-2023", 19.0001, 25)["line"] == "sideline"


def test_the_arc_is_exact_at_its_edge() -> None:
    assert violation("us-hs-2025", 17.1, 9.2)["line"] == "end_line"
    assert violation("us-hs-2025", 17.1, 9.1999)["line"] == "sideline"
    assert violation("us-hs-2025", 5.25, 5.25)["line"] == "end_line"


def test_near_is_offered_up_to_two_feet_and_not_beyond() -> None:
    assert violation("us-hs-2025", 27, 25)["near"]["distance_ft"] == 2.0
    assert violation("us-hs-2025", 27.0001, 25)["near"] is None
    assert violation("us-hs-2023", 21, 25)["near"]["distance_ft"] == 2.0
    assert violation("us-hs-2023", 21.0001, 25)["near"] is None
    assert violation("us-hs-2022", 12, 12)["near"] is None


# ------------------------------------------------------------------ facts 3.5, row by row


def test_facts_3_5_rows_of_the_front_court() -> None:
    assert who(out(0, 10)) == ("lead", "lead", "hand", False)  # row 1
    assert who(out(0, 22)) == ("lead", "lead", "hand", False)  # row 1, inside the lane width
    exchange = {"end_line_far": "partners_exchange"}
    assert who(out(0, 40, settings=exchange)) == ("trail", "lead", "hand", True)  # row 2
    assert who(out(0, 40)) == ("lead", "lead", "hand", False)  # row 2'
    assert who(out(12, 0)) == ("lead", "lead", "bounce", False)  # row 3
    assert who(out(26, 0)) == ("lead", "trail", "bounce", True)  # row 4
    crossing = {"lead_line_high": "trail_crosses"}
    assert who(out(26, 0, settings=crossing)) == ("trail", "trail", "bounce", False)  # row 4'
    assert who(out(26, 50)) == ("trail", "trail", "bounce", False)  # row 5
    down = {"trail_line_low": "goes_down_as_lead"}
    assert who(out(8, 50, settings=down)) == ("trail", "lead", "bounce", True)  # row 6


def test_facts_3_5_rows_of_the_four_spots() -> None:
    assert who(violation("us-hs-2023", 35, 40)) == ("trail", "trail", "bounce", False)  # row 7
    assert who(violation("us-hs-2023", 35, 10)) == ("lead", "trail", "bounce", True)  # row 8
    assert who(violation("us-hs-2023", 5, 10)) == ("lead", "lead", "hand", False)  # row 9
    assert who(violation("us-hs-2023", 5, 40)) == ("lead", "lead", "hand", False)  # row 10 B
    exchange = {"end_line_far": "partners_exchange"}
    assert who(violation("us-hs-2023", 5, 40, settings=exchange)) == (
        "trail",
        "lead",
        "hand",
        True,
    )  # row 10 A


def test_facts_3_5_rows_of_the_back_court_and_reversals() -> None:
    assert who(out(0, 10, "other")) == ("lead", "trail", "bounce", False)  # row 11
    assert who(out(60, 0)) == ("trail", "trail", "bounce", False)  # row 12
    assert who(out(60, 50)) == ("trail", "trail", "bounce", False)  # row 12
    assert who(out(20, 50, "other")) == ("lead", "trail", "bounce", False)  # row 13


def test_facts_3_5_rows_after_a_goal_and_at_special_places() -> None:
    base = {"edition": "us-hs-2025", "attacking": "right", "lead_side": "table"}
    assert who(answer({**base, "stopped_by": "made_goal"})) == (None, None, "none", False)  # row 14
    waiting = {**base, "stopped_by": "time_out", "pending": "run_end_line"}
    assert who(answer(waiting)) == ("trail", "trail", "bounce", False)  # row 15
    technical = answer({**base, "stopped_by": "technical_foul", "ball_to": "same", "called_by": "lead"})
    assert who(technical["after_free_throws"]) == ("trail", "trail", "bounce", False)  # row 16
    assert who(answer({**base, "stopped_by": "period_start"})) == (
        "either",
        "trail",
        "bounce",
        False,
    )  # row 17
    time_out = {**base, "stopped_by": "time_out", "at": [58, 3]}
    assert answer(time_out)["switch"] is False  # row 18


# ------------------------------------------------------------------ reflections, on every case


def swap(value: Any, changes: dict[str, str]) -> Any:
    return changes.get(value, value) if isinstance(value, str) else value


def turned_end_for_end(part: Any, length: float) -> Any:
    """The same part with left and right exchanged."""
    if isinstance(part, dict):
        return {
            k: turned_point(v, length) if k in ("spot", "at") else turned_end_for_end(v, length)
            for k, v in part.items()
        }
    return swap(part, {"left": "right", "right": "left"})


def turned_point(point: Any, length: float) -> Any:
    return point if not isinstance(point, list) else [round(length - point[0], 7), point[1]]


def close(a: Any, b: Any) -> bool:
    if isinstance(a, dict) and isinstance(b, dict):
        return a.keys() == b.keys() and all(close(a[k], b[k]) for k in a)
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(abs(p - q) < 0.001 for p, q in zip(a, b, strict=True))
    return bool(a == b)


@pytest.mark.parametrize(("place", "case"), CASES, ids=[place for place, _ in CASES])
def test_left_and_right_are_alike(place: str, case: dict[str, Any]) -> None:
    s = case["situation"]
    length = s.get("court", {}).get("length", 91.8635171 if s["edition"] == "fiba-2po" else 84)
    straight, turned = answer(s), answer(turned_end_for_end(s, length))
    assert close(turned_end_for_end(straight, length), turned)


NAME_THE_TABLE = {
    "period_start",
    "extra_period_start",
    "game_start",
    "technical_foul",
    "intentional_foul",
    "flagrant_foul",
    "shooting_foul",
}


def turned_across(part: Any, width: float) -> Any:
    """The same part with table and opposite exchanged."""
    if isinstance(part, dict):
        turned = {
            k: [v[0], round(width - v[1], 7)]
            if k in ("spot", "at") and isinstance(v, list)
            else turned_across(v, width)
            for k, v in part.items()
        }
        if "table_sideline" in turned:
            turned["table_sideline"], turned["opposite_sideline"] = (
                turned["opposite_sideline"],
                turned["table_sideline"],
            )
        return turned
    return swap(part, {"table": "opposite", "opposite": "table"})


@pytest.mark.parametrize(("place", "case"), CASES, ids=[place for place, _ in CASES])
def test_table_and_opposite_are_alike_unless_the_table_is_named(place: str, case: dict[str, Any]) -> None:
    s = case["situation"]
    width = 49.2125984 if s["edition"] == "fiba-2po" else 50
    straight, turned = answer(s), answer(turned_across(s, width))
    alike = close(turned_across(straight, width), turned)
    names_the_table = s["stopped_by"] in NAME_THE_TABLE or straight["restart"] == "free_throws"
    assert alike or names_the_table


# ------------------------------------------------------------------ the oracle's own order


@pytest.mark.parametrize(("place", "case"), CASES, ids=[place for place, _ in CASES])
def test_every_answer_holds_together(place: str, case: dict[str, Any]) -> None:
    result = answer(case["situation"])
    assert set(result) == PARTS
    follows = result["after_free_throws"]
    for part in (result, follows if isinstance(follows, dict) else result):
        roles, hands = part["roles_after"], part["administers"]
        if isinstance(roles, dict):
            assert {roles["old_lead"], roles["old_trail"]} == {"lead", "trail"}
            if isinstance(hands, dict) and hands["was"] != "either":
                assert roles[f"old_{hands['was']}"] == hands["now"]
        if part["may_run_end_line"] is True:
            assert (part["spot"], part["line"]) == (None, "end_line")
        if part["line"] == "division_line":
            assert part["court_part"] is None


def test_unknown_edition_and_setting_are_refused() -> None:
    start = {"attacking": "left", "stopped_by": "made_goal"}
    with pytest.raises(ValueError, match="edition"):
        answer({**start, "edition": "us-hs-1999"})
    with pytest.raises(ValueError, match="lead_line_owner"):
        answer(
            {
                **start,
                "edition": "us-hs-2025",
                "lead_side": "table",
                "settings": {"lead_line_owner": "nobody"},
            }
        )
    with pytest.raises(ValueError, match="farther"):
        out(10, 5)


def test_a_short_floor_has_a_front_court_of_forty_feet() -> None:
    short = {
        "edition": "us-hs-2025",
        "court": {"length": 70, "width": 50},
        "attacking": "left",
        "lead_side": "table",
        "stopped_by": "out_of_bounds",
        "ball_to": "same",
    }
    assert answer({**short, "at": [39, 0]})["court_part"] == "frontcourt"
    assert answer({**short, "at": [41, 0]})["court_part"] == "backcourt"


def test_every_setting_of_the_table_is_listed_and_every_open_question_has_two_readings() -> None:
    assert len(SETTING_VALUES) == 20
    assert all(len({text.strip() for text in entry}) == 3 for entry in OPEN_QUESTIONS)
