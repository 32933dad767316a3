"""The demo game walked whole, row by row against the plain second bookkeeper, and going out again."""

from __future__ import annotations

import csv
import io
import json
from itertools import pairwise
from math import dist
from pathlib import Path
from typing import Any

import pytest

from crew.plain import OTHER, Book
from crew.test_walk_oracle import seen, written
from tenbetween.book import load_book
from tenbetween.court import court_of
from tenbetween.crew import PERSONS, Stoppage, Walk, broken
from tenbetween.formats.game_csv import read_game_bytes, walk_game
from tenbetween.formats.game_walked import TABLE, walk_as_csv, walk_as_dict
from tenbetween.notation import format as line_of
from tenbetween.notation import parse
from tenbetween.units import feet

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "src" / "tenbetween" / "demo" / "game.csv"
NO_WHISTLE = ("change_of_control", "missed_last_free_throw")


@pytest.fixture(scope="module")
def walked() -> Walk:
    return walk_game(read_game_bytes(DEMO.read_bytes()), load_book("us-hs-2025"))


def test_the_papers_hold_the_same_game_as_the_package() -> None:
    assert (ROOT / "docs" / "examples" / "game.csv").read_bytes() == DEMO.read_bytes()


def test_it_is_a_whole_game(walked: Walk) -> None:
    stoppages = [row for row in walked.rows if row.stoppage.why not in NO_WHISTLE]
    assert 110 <= len(stoppages) <= 130
    assert [row.stoppage.why for row in walked.rows if row.stoppage.why.endswith("start")] == [
        "game_start",
        *["period_start"] * 3,
    ]
    kinds = {row.stoppage.why for row in stoppages}
    assert len(kinds) >= 18
    assert walked.opening.white == "Ardenmoor"
    assert {walked.opening.referee, walked.opening.umpire} == {"Dara Whitlock", "Teo Marchbank"}


def event_of(stoppage: Stoppage, book: Book) -> dict[str, Any]:
    """Say a row of the demo in full, from the row and the plain book alone."""
    why, had = stoppage.why, book.control
    due = book.due
    same_clock = due is not None and due.get("clock") == stoppage.clock
    only = why in ("throw_in_violation", "plane_warning", "wrong_team")
    over = (
        "out_of_bounds",
        "made_goal",
        "change_of_control",
        "made_last_free_throw",
        "missed_last_free_throw",
    )
    pending = (
        due["kind"]
        if due and (only or stoppage.throw_in == "due" or (same_clock and why not in over))
        else None
    )
    by = stoppage.by or {"plane_warning": OTHER.get(had, "")}.get(why)
    if by is None and why in ("player_control_foul", "team_control_foul", "throw_in_violation"):
        by = had
    if by is None and stoppage.ball:
        by = OTHER[stoppage.ball]
    kept = ("plane_warning", "wrong_team", "double_foul", "time_out", "inadvertent_whistle", "injury")
    if why in kept:
        ball = had
    elif why == "held_ball":
        ball = OTHER[due["team"]] if due and due["arrow"] and not pending else book.arrow
    elif why == "made_last_free_throw":
        ball = OTHER[had]
    else:
        ball = stoppage.ball or (OTHER[by] if by else "")
    at = stoppage.at and (feet(stoppage.at[0]), feet(stoppage.at[1]))
    if at is None and why == "throw_in_violation" and due:
        at = due["at"]
    caller = stoppage.called_by
    return {"why": why, "had": had, "by": by, "ball": ball, "at": at, "pending": pending, "caller": caller, "length": stoppage.length}  # fmt: skip  # noqa: E501


def test_every_row_agrees_with_the_plain_book(walked: Walk) -> None:
    book = Book(walked.opening.standing.white_attacks_first)
    for row in walked.rows:
        book.take(event_of(row.stoppage, book))
        assert seen(row.after) == written(book), row.stoppage
        if book.due:
            book.due["clock"] = row.stoppage.clock
            want = dict(book.due)
            book.due = want


def test_every_row_keeps_what_must_hold(walked: Walk) -> None:
    court = court_of("us-hs")
    for row in walked.rows:
        assert broken(court, row) == ()
        for disposal in row.disposals:
            assert set(disposal.posts) == set(PERSONS), row.stoppage
            assert disposal.lead in PERSONS


def test_each_row_begins_where_the_last_one_ended(walked: Walk) -> None:
    for before, after in zip(walked.rows, walked.rows[1:], strict=False):
        assert after.before.lead == before.after.lead
        assert after.before.places == before.after.places
        assert after.before.control == before.after.control or after.stoppage.why == "period_start"


def test_the_feet_run_are_the_straight_ways_between_the_places(walked: Walk) -> None:
    where: dict[str, tuple[float, float]] = {}
    total = dict.fromkeys(PERSONS, 0.0)
    for row in walked.rows:
        for disposal in row.disposals:
            for person, post in disposal.posts.items():
                if person in where:
                    # never less than the straight way; more where the play had taken him elsewhere first
                    assert disposal.ran_ft[person] >= dist(where[person], post.at) - 0.06
                    total[person] += disposal.ran_ft[person]
                where[person] = post.at
    for person in PERSONS:
        summed = sum(share.ran_ft for share in walked.shares if share.person == person)
        assert summed == pytest.approx(total[person], abs=0.5)
        assert 4_000 < summed < 14_000


def test_whoever_gives_the_ball_is_the_nearer_one_to_the_spot(walked: Walk) -> None:
    seen_any = 0
    for row in walked.rows:
        for disposal in row.disposals:
            spot, by = disposal.ruling.spot, disposal.handled_by
            if disposal.ruling.restart != "throw_in" or spot is None or by is None:
                continue
            at = (feet(spot[0]), feet(spot[1]))
            far = {person: dist(at, post.at) for person, post in disposal.posts.items()}
            assert far[by] == min(far.values()), row.stoppage
            assert far[by] < 10
            seen_any += 1
    assert seen_any > 50


def test_technical_and_intentional_fouls_go_on_with_a_throw_in(walked: Walk) -> None:
    rows = {row.stoppage.why: row for row in walked.rows if len(row.disposals) == 2}
    assert set(rows) == {"technical_foul", "intentional_foul"}
    then = rows["technical_foul"].disposals[1].ruling
    assert (then.line, feet(then.spot[0]), feet(then.spot[1])) == ("division_line", 42, 50)  # type: ignore[index]


def test_it_goes_out_as_json_and_as_a_table(walked: Walk) -> None:
    plain = json.loads(json.dumps(walk_as_dict(walked, line_of)))
    assert [row["row"] for row in plain["rows"]] == [row.stoppage.row for row in walked.rows]
    table = list(csv.DictReader(io.StringIO(walk_as_csv(walked, line_of))))
    assert len(table) == sum(len(row.disposals) for row in walked.rows)
    assert tuple(table[0]) == TABLE
    first = next(row for row in table if row["why"] == "out_of_bounds")
    answer = next(row for row in plain["rows"] if row["row"] == int(first["row"]))
    assert [float(first["spot_x"]), float(first["spot_y"])] == answer["disposals"][0]["spot"]
    assert first["gives_name"] == answer["disposals"][0]["administers"]["name"]
    assert sum(person["handled"] for person in plain["totals"]["persons"]) == sum(
        bool(line["gives"]) for line in table
    )


def test_each_row_can_be_asked_again_by_its_line(walked: Walk) -> None:
    from tenbetween.book import decide

    book = load_book("us-hs-2025")
    for row in walked.rows:
        again = parse(line_of(row.situation))
        if row.resumes is None:
            assert decide(book, again).roles_after == row.ruling.roles_after
            assert decide(book, again).spot == row.ruling.spot


def test_a_run_to_the_other_end_counts_though_the_next_whistle_is_back_here(walked: Walk) -> None:
    """A steal at one end and a goal at the other nine seconds later: both were at the far end in between."""
    steal, goal = next(
        (one, two)
        for one, two in pairwise(walked.rows)
        if one.stoppage.why == "change_of_control" and two.stoppage.why == "made_goal"
    )
    lead, trail = goal.before.lead, goal.before.trail
    assert lead is not None
    assert trail is not None
    at_the_end = {"left": -4.5, "right": 88.5}[goal.situation.attacking]
    from_here = abs(steal.disposals[-1].posts[lead].at[0] - at_the_end)
    and_back = abs(goal.disposals[0].posts[lead].at[0] - at_the_end)
    assert goal.ran_ft(lead) >= from_here + and_back - 0.2  # type: ignore[operator]
    total = sum(share.ran_ft for share in walked.shares)
    straight = sum(
        dist(one.disposals[-1].posts[p].at, two.disposals[0].posts[p].at)
        for one, two in pairwise(walked.rows)
        for p in PERSONS
        if p in one.disposals[-1].posts and p in two.disposals[0].posts
    )
    assert total > 1.2 * straight
