"""The walk against a plain second bookkeeper, step by step, over random games."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crew.plain import OTHER, Book, next_event
from tenbetween.book import editions, load_book
from tenbetween.court import court_of
from tenbetween.crew import PERSONS, Opening, Standing, Stoppage, broken, walk
from tenbetween.units import FOOT, feet

BOOK = load_book("us-hs-2025")
COURT = court_of("us-hs")


def stoppage_of(row: int, event: dict[str, Any], leave_out: bool) -> Stoppage:
    """Return the row a person might write: with everything, or with what follows left out."""
    why, at = event["why"], event.get("at")
    throw_in = ("due" if event["pending"] else "over") if "pending" in event else None
    if why in ("out_of_bounds", "made_goal", "change_of_control"):
        throw_in = None
    said: dict[str, Any] = {
        "ball": event["ball"],
        "called_by": event.get("caller"),
        "length": event.get("length"),
    }
    said |= {"by": event.get("by"), "throw_in": throw_in, "at": at and (at[0] * FOOT, at[1] * FOOT)}
    if why == "held_ball":
        said["by"] = None
    if why == "made_goal":
        said["at"] = None
    if leave_out:
        said |= _left_out(why, said)
    return Stoppage(row=row, why=why, **{name: value for name, value in said.items() if value is not None})


def _left_out(why: str, said: dict[str, Any]) -> dict[str, Any]:
    if why in (
        "made_goal",
        "player_control_foul",
        "team_control_foul",
        "throw_in_violation",
        "change_of_control",
    ):
        return {"ball": None, "by": None}
    if why in ("held_ball", "time_out", "injury", "double_foul", "inadvertent_whistle", "shooting_foul"):
        return {"ball": None}
    return {"by": None} if said["ball"] and why not in ("technical_foul", "plane_warning") else {}


def seen(standing: Standing) -> dict[str, Any]:
    """Return a standing in the words of the plain book."""
    due = standing.due and {
        "team": standing.due.team,
        "kind": standing.due.kind,
        "at": standing.due.at and (feet(standing.due.at[0]), feet(standing.due.at[1])),
        "arrow": standing.due.by_arrow,
    }
    return {
        "period": standing.period,
        "lead": standing.lead,
        "lead_side": standing.lead_side,
        "control": standing.control,
        "arrow": standing.arrow,
        "due": due,
        "shooting": standing.throws.team if standing.throws else "",
        "fouls": {"white": standing.fouls.white, "dark": standing.fouls.dark},
        "left": {
            (team, length): (standing.sixties if length == 60 else standing.thirties).of(team)
            for team in ("white", "dark")
            for length in (60, 30)
        },
        "warned": list(standing.warned),
    }


def written(book: Book) -> dict[str, Any]:
    names = ("period", "lead", "lead_side", "control", "arrow", "due", "shooting", "fouls", "left", "warned")
    return {name: getattr(book, name) for name in names}


# Every edition of a U.S. high-school floor, and every other value of every setting, one at a time.
EDITIONS = [head.id for head in editions() if head.court == "us-hs"]
SETTINGS: list[tuple[str, tuple[tuple[str, str], ...]]] = [(e, ()) for e in EDITIONS] + [
    (e, ((name, value),))
    for e in EDITIONS
    for name, setting in load_book(e).settings.items()
    for value in setting.values
    if value != setting.value
]


@pytest.mark.parametrize(("edition", "chosen"), SETTINGS, ids=lambda v: v if isinstance(v, str) else "=".join(v[0]) if v else "-")  # fmt: skip  # noqa: E501
def test_no_setting_breaks_what_must_hold(edition: str, chosen: tuple[tuple[str, str], ...]) -> None:
    dice = random.Random(f"{edition} {chosen}")
    for _ in range(4):
        book = Book(dice.choice(["left", "right"]), bonus_by_half=edition == "us-hs-2022")
        opening = Opening(settings=chosen, standing=Standing(white_attacks_first=book.white_first))  # type: ignore[arg-type]
        rows = []
        for number in range(1, 50):
            event = next_event(book, dice.choice, may_begin=number % 12 == 0)
            rows.append(stoppage_of(number, event, dice.choice([True, False])))
            event["had"] = book.control
            book.take(event)
        walked = walk(load_book(edition), opening, rows)
        assert len(walked.rows) == len(rows)
        for row in walked.rows:
            assert broken(COURT, row) == ()
            assert row.after.control == row.before.control or row.stoppage.why not in (
                "injury",
                "double_foul",
            )
        last = walked.rows[-1].after
        assert (last.period, last.control, last.arrow) == (book.period, book.control, book.arrow)
        assert (last.fouls.white, last.fouls.dark) == (book.fouls["white"], book.fouls["dark"])


def copy_of(value: Any) -> Any:
    return {k: copy_of(v) for k, v in value.items()} if isinstance(value, dict) else (list(value) if isinstance(value, list) else value)  # fmt: skip  # noqa: E501


@given(st.data())
def test_every_step_of_a_random_game_agrees_with_the_plain_book(data: st.DataObject) -> None:
    book = Book(data.draw(st.sampled_from(["left", "right"])))
    opening = Opening(standing=Standing(white_attacks_first=book.white_first))  # type: ignore[arg-type]
    rows, expected = [], []
    for number in range(1, data.draw(st.integers(5, 40)) + 1):
        event = next_event(book, lambda choices: data.draw(st.sampled_from(choices)))
        rows.append(stoppage_of(number, event, data.draw(st.booleans())))
        event["had"] = book.control
        book.take(event)
        expected.append(copy_of(written(book)))
    walked = walk(BOOK, opening, rows)
    for row, want in zip(walked.rows, expected, strict=True):
        assert seen(row.after) == want, row.stoppage
        assert broken(COURT, row) == ()
        assert {row.after.lead, row.after.trail} == set(PERSONS)
        assert row.after.lead_side == OTHER[row.after.trail_side or ""]
        assert (
            row.after.attacks("white") == book.white_first
            if row.after.period < 3
            else OTHER[book.white_first]
        )
