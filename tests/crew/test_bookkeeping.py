"""Roles by person, arrow, bonus, time-outs and what was due, each as a short game one can read aloud."""

# ruff: noqa: E501  (tables of cases, one a line)

from __future__ import annotations

from math import dist
from typing import Any

import pytest
from msgspec import structs

from tenbetween.book import LayerText, load_book
from tenbetween.court import court_of
from tenbetween.crew import Opening, Pair, Standing, Stoppage, Walk, Walked, broken, walk
from tenbetween.errors import SituationError
from tenbetween.formats.game_csv import read_game, walk_game
from tenbetween.units import FOOT, feet

BOOK = load_book("us-hs-2025")


def played(*typed: str, edition: str = "us-hs-2025") -> list[Walked]:
    """Walk typed lines after a tap won by White, who attacks the right basket."""
    text = "\n".join(["white attacks: right", "game start white", *typed])
    return list(walk_game(read_game(text), load_book(edition)).rows)


def after(*typed: str, edition: str = "us-hs-2025") -> Standing:
    return played(*typed, edition=edition)[-1].after


# -- the start, direction and the two persons ------------------------------------------------------------


def test_after_the_tap_the_umpire_is_lead_the_tosser_trail_and_the_others_have_the_arrow() -> None:
    """facts 3.3, 2.9."""
    standing = after()
    assert (standing.lead, standing.trail, standing.lead_side) == ("umpire", "referee", "table")
    assert (standing.control, standing.arrow) == ("white", "dark")


def test_a_change_of_control_without_a_whistle_turns_both() -> None:
    """facts 3.4, first row: each keeps his side of the floor."""
    standing = after("steal 60,20")
    assert (standing.lead, standing.lead_side, standing.control) == ("referee", "opposite", "dark")
    assert standing.attacks("dark") == "left"


def test_a_foul_before_the_bonus_exchanges_the_persons_once() -> None:
    row = played("foul dark 70,20 called by trail")[-1]
    assert row.switch is True
    assert (row.before.lead, row.after.lead) == ("umpire", "referee")


def test_lead_becomes_trail_on_his_own_high_sideline_and_the_shape_follows_the_person() -> None:
    """facts 3.5 row 4: 25 ft from the end line, on the lead's side."""
    row = played("out 59,0 white")[-1]
    assert (row.switch, row.after.lead) == (True, "referee")
    assert row.disposals[0].handled_by == "umpire"
    assert row.disposals[0].posts["umpire"].name == "sideline_back_court_side"


def test_trail_calls_the_shooting_foul_and_stays_trail_on_the_far_side() -> None:
    row = played("shooting foul dark 78,22 by trail")[-1]
    assert (row.after.lead, row.after.lead_side, row.disposals[0].handled_by) == ("umpire", "table", "umpire")


def test_the_name_of_an_official_says_which_role_called_it() -> None:
    text = 'why,ball,at,by,called by\nstart,White,,,\nshooting foul,,"78,22",Dark,Dara Whitlock\n'
    game = read_game("referee,Dara Whitlock\n" + text)
    assert walk_game(game, BOOK).rows[-1].situation.called_by == "trail"


# -- baskets ----------------------------------------------------------------------------------------------


def test_baskets_change_at_half_time_and_at_no_other_time() -> None:
    rows = played("quarter start", "quarter start", "quarter start", "overtime dark")
    assert [r.after.attacks("white") for r in rows] == ["right", "right", "left", "left", "left"]
    assert [r.after.period for r in rows] == [1, 2, 3, 4, 5]
    assert {r.after.lead for r in rows} == {"umpire"}


# -- the arrow ----------------------------------------------------------------------------------------------


def test_the_arrow_turns_when_the_arrow_throw_in_ends_not_when_it_is_given() -> None:
    given, ended = played("held ball 70,20", "goal dark")[1:]
    assert (given.after.control, given.after.arrow) == ("dark", "dark")
    assert ended.before.arrow == "white"


def test_a_violation_by_the_team_throwing_in_loses_the_arrow() -> None:
    standing = after("held ball 70,20", "throw-in violation")
    assert (standing.control, standing.arrow, standing.due and standing.due.by_arrow) == (
        "white",
        "white",
        False,
    )


@pytest.mark.parametrize("by", ["white", "dark"])
def test_a_foul_of_either_side_during_it_does_not_lose_the_arrow(by: str) -> None:
    standing = after("held ball 70,20", f"foul by {by} 70,20 called by lead due", "goal")
    assert standing.arrow == "dark"


def test_a_kick_by_the_defence_during_it_does_not_lose_the_arrow() -> None:
    assert after("held ball 70,20", "kick by white 75,20 due", "goal").arrow == "dark"


def test_a_time_out_during_it_keeps_it_an_arrow_throw_in() -> None:
    rows = played("held ball 70,20", "time-out 60 dark due", "goal")
    assert rows[2].after.due is not None
    assert rows[2].after.due.by_arrow
    assert rows[3].after.arrow == "white"


def test_each_quarter_starts_by_the_arrow_and_turns_it() -> None:
    rows = played("quarter start", "goal", "quarter start", "goal", "quarter start")
    assert [r.after.control for r in rows if r.stoppage.why == "period_start"] == ["dark", "white", "dark"]


# -- what was due -------------------------------------------------------------------------------------------


def test_the_right_to_run_survives_a_time_out_and_ends_with_the_throw_in() -> None:
    rows = played("goal", "time-out 60 dark due", "out 40,0 dark")
    assert rows[2].ruling.may_run_end_line is True
    assert rows[2].after.due is not None
    assert rows[2].after.due.kind == "run_end_line"
    assert rows[3].ruling.may_run_end_line is False


def test_the_same_clock_means_the_throw_in_was_still_due() -> None:
    rows = played("3:10 goal", "3:10 time-out dark 30", "3:02 injury 60,30")
    assert rows[2].situation.pending == "run_end_line"
    assert "still due" in " ".join(rows[2].taken)
    assert rows[3].situation.pending is None


def test_an_injury_elsewhere_does_not_move_the_throw_in() -> None:
    rows = played("out 40,50 white", "injury 80,10 due")
    assert rows[2].ruling.spot == rows[1].ruling.spot


def test_wrong_team_when_the_crew_was_set_for_the_wrong_one() -> None:
    row = played("out 40,50 dark", "wrong team ball white")[-1]
    assert (row.situation.ball_to, row.after.control) == ("other", "white")


def test_free_throws_are_taken_up_again_after_a_time_out() -> None:
    rows = played("shooting foul dark 78,22 by lead", "time-out 60 dark", "last free throw made")
    assert (rows[2].resumes, rows[2].switch) == (rows[1].stoppage.row, False)
    assert rows[2].after.lead == rows[1].after.lead
    assert rows[2].ran_ft("referee") == 0
    assert rows[3].after.due is not None
    assert rows[3].after.due.kind == "run_end_line"


def test_a_miss_is_played_on_by_whoever_has_it() -> None:
    foul = "shooting foul dark 78,22 by lead"
    own, theirs = after(foul, "last free throw missed white"), after(foul, "last free throw missed dark")
    assert (own.control, own.lead) == ("white", "referee")
    assert (theirs.control, theirs.lead) == ("dark", "umpire")


def test_a_miss_nobody_wrote_down_is_taken_from_the_next_row() -> None:
    row = played("shooting foul dark 78,22 by lead", "out 80,0 white")[-1]
    assert row.before.control == "white"
    assert "missed" in " ".join(row.taken)


def test_a_change_nobody_wrote_down_is_made_good_by_who_had_it() -> None:
    row = played("travelling by dark 20,20 had dark")[-1]
    assert (row.before.lead, row.before.control, row.after.control) == ("referee", "dark", "white")
    assert "changed hands" in " ".join(row.taken)


def test_technical_and_then_the_throw_in_at_the_division_line() -> None:
    row = played("technical foul dark by lead")[-1]
    first, then = row.disposals
    assert first.ruling.restart == "free_throws"
    assert then.ruling.spot == (42 * FOOT, 50 * FOOT)
    assert (then.lead, then.handled_by) == ("referee", "umpire")
    assert row.after.due is not None
    assert row.after.throws is None


# -- counts -------------------------------------------------------------------------------------------------


def test_the_fifth_foul_of_a_quarter_brings_two_throws_and_counts_start_again() -> None:
    fouls = ["foul dark 70,20 by trail"] * 5
    rows = played(*fouls, "quarter start", "foul by white 70,20 called by lead")
    assert [r.two_shots for r in rows[1:6]] == ["", "", "", "", "two"]
    assert rows[5].ruling.restart == "free_throws"
    assert rows[-1].after.fouls == Pair(1, 0)


def test_up_to_2022_the_seventh_foul_of_a_half_brings_the_one_and_one_and_the_tenth_two() -> None:
    rows = played(*["foul dark 70,20 by trail"] * 4, "quarter start", "steal 60,20", *["foul dark 70,20 by trail"] * 6,
                  "quarter start", edition="us-hs-2022")  # fmt: skip
    assert [r.two_shots for r in rows if r.stoppage.why == "common_foul"] == ["", "", "", "", "", "", "one-and-one", "one-and-one", "one-and-one", "two"]  # fmt: skip
    assert rows[-1].after.fouls == Pair(0, 0)


def test_every_kind_of_foul_counts_once_and_a_double_foul_for_both() -> None:
    standing = after("charge 78,20 by lead", "foul by white 20,20 called by lead", "technical foul dark by lead",
                     "double foul 60,20 by lead")  # fmt: skip
    assert standing.fouls == Pair(3, 2)


def test_time_outs_are_counted_by_length_and_an_extra_period_adds_one() -> None:
    rows = played("time-out 60 white 60,20", "time-out 30 white 60,20", "quarter start", "quarter start",
                  "quarter start", "overtime dark")  # fmt: skip
    assert (rows[2].after.sixties, rows[2].after.thirties) == (Pair(2, 3), Pair(1, 2))
    assert rows[-1].after.sixties == Pair(3, 4)


# -- beginning in the middle, other books ---------------------------------------------------------------------


def test_a_list_may_begin_in_the_middle_of_a_game() -> None:
    head = "quarter: 3\nball: dark\nlead: referee\nlead side: opposite\narrow: white\nwhite attacks: left\n"
    rows = walk_game(read_game(head + "5:00 out of bounds 10,50 dark"), BOOK).rows
    assert rows[0].situation.attacking == "left"  # baskets have changed: Dark attacks left in the second half
    assert rows[0].before.lead == "referee"


def test_fiba_parts_nothing_is_entered_for_are_open_and_the_walk_goes_on() -> None:
    rows = played("out 60,0 white", "technical foul dark by lead", "goal", edition="fiba-2po")
    assert any("not" in text or ":" in text for row in rows for text in row.open)
    assert {row.after.lead for row in rows} <= {"referee", "umpire"}
    assert any(row.open for row in rows)


def test_a_layer_that_sends_both_to_one_side_is_named_with_the_row() -> None:
    layer = """
[layer]
id = "odd"
title = "Odd memo"
authority = "own"

[[provision]]
id = "place.front-sideline"
[[provision.row]]
name = "trail-gives"
table = "places"
when = { restart = "throw_in", line = "sideline", part = "frontcourt", handles = "trail", stand_sideline = "back_court_side" }
then = { lead = "sideline_end_line_side", trail = "sideline_back_court_side" }
"""
    odd = load_book("us-hs-2025", (LayerText(id="odd", text=layer, where="layers/odd.toml"),))
    rows = [Stoppage(row=1, why="game_start", ball="white"), Stoppage(row=2, why="out_of_bounds", ball="white", at=(58 * FOOT, 50 * FOOT))]  # fmt: skip
    assert len(walk(BOOK, Opening(), rows).rows) == 2
    with pytest.raises(SituationError) as caught:
        walk(odd, Opening(), rows)
    assert "row 2: found both officials on the opposite side" in str(caught.value)


# -- what must hold is noticed when it does not --------------------------------------------------------------


def _walk() -> Walk:
    return walk_game(read_game("game start white\nout 59,0 white\ngoal\n"), BOOK)


def _posts(w: Walked, posts: dict[str, Any]) -> Walked:
    return structs.replace(w, disposals=(structs.replace(w.disposals[0], posts=posts),))


def _moved(w: Walked, at: tuple[float, float]) -> Walked:
    posts = dict(w.disposals[0].posts)
    posts["referee"] = structs.replace(posts["referee"], at=at)
    return _posts(w, posts)


def _side(w: Walked) -> Walked:
    other = "table" if w.disposals[0].lead_side == "opposite" else "opposite"
    return structs.replace(w, disposals=(structs.replace(w.disposals[0], lead_side=other),))


BREAKS: list[tuple[str, Any]] = [
    ("below nothing", lambda w: structs.replace(w, after=structs.replace(w.after, fouls=Pair(-1, 0)))),
    ("attacks the", lambda w: structs.replace(w, after=structs.replace(w.after, period=3))),
    ("switch", lambda w: structs.replace(w, disposals=(structs.replace(w.disposals[0], switch=False),))),
    ("one place", lambda w: _posts(w, dict.fromkeys(("referee", "umpire"), w.disposals[0].posts["referee"]))),
    ("one lead and one trail", lambda w: _posts(w, {"referee": w.disposals[0].posts["referee"]})),
    ("off the court", lambda w: _moved(w, (-9.0, 10.0))),
    ("the lead on the", _side),
]


@pytest.mark.parametrize(("word", "spoil"), BREAKS, ids=[word for word, _ in BREAKS])
def test_each_invariant_notices_its_own_break(word: str, spoil: Any) -> None:
    walked = _walk().rows[1]
    court = court_of("us-hs")
    assert broken(court, walked) == ()
    assert word in " ".join(broken(court, spoil(walked)))


def test_the_places_run_between_are_the_taught_ones() -> None:
    """From the toss to the lead's end line, where the play was, and back up to the spot as trail."""
    rows = _walk().rows
    toss, end_line, spot = (42.0, 2.0), (88.5, 10.0), (53.0, -1.5)
    assert rows[1].ran_ft("umpire") == pytest.approx(dist(toss, end_line) + dist(end_line, spot), abs=0.1)
    assert feet(59 * FOOT) - 6 == 53


def test_fouls_of_the_last_quarter_go_on_in_an_extra_period() -> None:
    rows = played(
        "quarter start", "quarter start", "quarter start", "foul dark 20,20 by trail", "overtime dark"
    )
    assert (rows[-1].before.period, rows[-1].after.period) == (5, 5)
    assert rows[-1].after.fouls.white + rows[-1].after.fouls.dark == 1
    assert "go on counting" in " ".join(rows[-1].taken)


def test_where_the_book_leaves_the_side_open_each_keeps_his_own() -> None:
    """FIBA for two persons says who turns; the sides on a sideline throw-in are open."""
    turned, same = played("out 60,0 dark", "out 50,0 dark", edition="fiba-2po")[1:]
    assert turned.ruling.lead_side_after is None
    assert turned.after.lead_side == "opposite"
    assert same.after.lead_side == "opposite"
    assert any(text.startswith("lead_side_after") for text in same.open)
