"""Marks found again: the trade's words and other people's, duty, role, side, verdict, person; right ones first."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.desk.film_world import Json, World, at, even, world, write_film

from tenbetween.errors import UsageError

END_LINE = {"stopped_by": "violation", "at": [79, 36], "ball_to": "same"}
SIDELINE = {"stopped_by": "out_of_bounds", "at": [58, 50], "ball_to": "same"}
GOAL = {"stopped_by": "made_goal"}


@pytest.fixture
def there(tmp_path: Path) -> Iterator[World]:
    """Two games: Dara and Teo, then Cass and Teo."""
    with world(tmp_path) as made:
        people = {
            n: made.store.save("official", {"name": n}).id
            for n in ("Dara Whitlock", "Teo Marchbank", "Cass Verrall")
        }
        for n, (first, second) in enumerate(
            (("Dara Whitlock", "Teo Marchbank"), ("Cass Verrall", "Teo Marchbank"))
        ):
            write_film(made.films / f"game-{n}.mp4", even(600, first=n))
            crew = {"referee": people[first], "umpire": people[second]}
            film = made.add(f"game-{n}.mp4", title=f"Game {n}", crew=crew, date=f"2025-11-{10 + n}")
            for k, situation in enumerate((END_LINE, SIDELINE, GOAL)):
                mark = made.room.start_mark(film["id"], at(film, 30 * (k + 1)))
                made.room.set_mark(mark["id"], situation)
        yield made


def films(there: World) -> list[Json]:
    return sorted(there.room.films(), key=lambda film: film["title"])


def marks(there: World, film: int) -> list[Json]:
    return there.room.marks(films(there)[film]["id"])


def found(there: World, **query: str) -> list[tuple[str, int]]:
    return [(mark["film_title"], mark["number"]) for mark in there.room.search(query)]


def test_the_trades_words_and_other_peoples_find_the_same(there: World) -> None:
    right = found(there, words="end line throw-in")
    assert right == [("Game 0", 1), ("Game 0", 3), ("Game 1", 1), ("Game 1", 3)]
    assert found(there, words="baseline throw in") == right
    assert found(there, words="Baseline inbounds") == right


def test_how_far_a_spot_is_from_the_end_line_is_no_end_line(there: World) -> None:
    assert "from the end line" in marks(there, 0)[1]["answer"]
    assert ("Game 0", 2) not in found(there, words="end line")
    assert found(there, words="sideline 58") == []
    assert found(there, words="sideline") == [("Game 0", 2), ("Game 1", 2)]


def test_what_stopped_play_and_where(there: World) -> None:
    assert found(there, stopped_by="made_goal", film=films(there)[1]["id"]) == [("Game 1", 3)]
    assert found(there, line="sideline", court_part="frontcourt") == [("Game 0", 2), ("Game 1", 2)]
    assert found(there, kind="throw-in after a goal") == [("Game 0", 3), ("Game 1", 3)]


def test_right_examples_come_first_then_what_to_work_on_then_what_nobody_saw(there: World) -> None:
    said = [(0, 0, "not seen"), (0, 1, "no"), (1, 0, "yes"), (1, 1, "no chance"), (1, 2, "yes")]
    for film, mark, verdict in said:
        there.room.set_duty(marks(there, film)[mark]["id"], "step-back", "administering", verdict)
    assert found(there, duty="step-back") == [
        ("Game 1", 1), ("Game 1", 3), ("Game 0", 2), ("Game 0", 1), ("Game 1", 2),
    ]  # fmt: skip
    assert found(there, duty="step back", verdict="no") == [("Game 0", 2)]


def test_a_verdict_is_found_by_the_person_through_a_switch(there: World) -> None:
    """Teo gives the ball on the end line as lead, and on the sideline he becomes trail: both ticks are Teo's."""
    first, second, _ = marks(there, 0)
    assert (first["lead"], second["lead"], second["after"]["trail"]) == ("umpire", "umpire", "umpire")
    there.room.set_duty(first["id"], "step-back", "lead", "yes")
    there.room.set_duty(second["id"], "step-back", "trail", "no")
    assert found(there, person="Teo", verdict="yes") == [("Game 0", 1)]
    assert found(there, person="teo marchbank", verdict="no") == [("Game 0", 2)]
    assert found(there, person="Dara", verdict="no") == []
    assert found(there, person="umpire", verdict="no") == [("Game 0", 2)]


def test_who_was_there(there: World) -> None:
    assert {title for title, _ in found(there, person="Cass")} == {"Game 1"}
    assert found(there, person="Noor") == []
    # Teo is lead until the sideline throw-in, where the two switch: at the goal Cass is.
    assert found(there, person="Cass", role="trail") == [("Game 1", 1), ("Game 1", 2)]
    assert found(there, person="Cass", role="lead") == [("Game 1", 3)]
    assert found(there, person="Cass", role="lead", side=marks(there, 1)[2]["lead_side"]) == [("Game 1", 3)]
    assert found(there, person="Cass", role="lead", side=marks(there, 1)[2]["trail_side"]) == []


def test_role_and_side(there: World) -> None:
    mark = marks(there, 0)[0]
    assert (mark["lead"], mark["lead_side"]) == ("umpire", "table")
    assert ("Game 0", 1) in found(there, role="lead", side="table")
    assert ("Game 0", 1) in found(there, role="trail", side="opposite")
    assert ("Game 0", 1) not in found(there, role="trail", side="table")


def test_crew_matters_are_found_as_the_crews(there: World) -> None:
    there.room.set_duty(marks(there, 0)[1]["id"], "eye-contact", "crew", "no")
    assert found(there, person="crew") == [("Game 0", 2)]
    assert found(there, person="Teo", duty="eye-contact") == []


def test_notes_and_tags(there: World) -> None:
    mark = marks(there, 1)[0]
    there.room.set_mark(mark["id"], {"note": "She waits for the table.", "tags": ["show first", "End Line"]})
    assert found(there, words="waits table") == [("Game 1", 1)]
    assert found(there, tag="show first") == found(there, tag="end line") == [("Game 1", 1)]
    assert found(there, words="waits table", tag="other") == []


def test_by_provision(there: World) -> None:
    assert found(there, provision="give.front-end-line") == [("Game 0", 1), ("Game 1", 1)]
    assert found(there, provision="give.after-goal") == [("Game 0", 3), ("Game 1", 3)]


def test_marks_of_an_older_edition_are_told_from_current_ones(there: World) -> None:
    write_film(there.films / "old.mp4", even(60, first=9))
    old = there.add("old.mp4", title="Last season", date="2024-01-12")
    mark = there.room.start_mark(old["id"], at(old, 5))
    there.room.set_mark(mark["id"], END_LINE)
    assert found(there, edition="older") == found(there, edition_status="changed") == [("Last season", 1)]
    assert len(found(there, edition_status="current")) == 6


def test_a_provision_entered_since_makes_only_the_marks_it_touches_older(there: World) -> None:
    text = (
        '[layer]\nid = "k-9"\ntitle = "K-9"\nauthority = "own"\nentered = 2025-11-12\n\n'
        '[[provision]]\nid = "give.after-goal"\nwithdraw = "we hand it after a goal"\n'
    )
    assert found(there, edition="older") == []
    there.store.save("layer", {"text": text}, id="k-9")
    assert found(there, edition="older") == []  # a film keeps the layers it was taken in with


@pytest.mark.parametrize(
    ("query", "where"),
    [({"colour": "red"}, "search"), ({"verdict": "fail"}, "verdict"), ({"role": "center"}, "role")],
)
def test_a_filter_that_means_nothing_is_refused(there: World, query: dict[str, str], where: str) -> None:
    with pytest.raises(UsageError) as fault:
        there.room.search(query)
    assert fault.value.problems[0].where == where


def test_empty_filters_are_no_filters(there: World) -> None:
    assert len(found(there, words=" ", duty="", verdict="")) == 6


# ---- the answer beside the picture ----


def test_the_answer_stands_beside_the_picture_right_things_first(there: World) -> None:
    mark = marks(there, 0)[0]
    for duty, verdict in (("eye-contact", "no"), ("delivery", "yes"), ("side", "not seen"), ("chop", "yes")):
        there.room.set_duty(mark["id"], duty, "crew" if duty == "eye-contact" else "administering", verdict)
    told = there.room.answer_for(mark["id"])
    assert [row["verdict"] for row in told["compare"]][:4] == ["yes", "yes", "no", "not seen"]
    rows = {row["duty"]: row for row in told["compare"]}
    assert (rows["delivery"]["expected"], rows["delivery"]["provision"]) == (
        "hand the ball",
        "give.front-end-line",
    )
    assert rows["delivery"]["seen"] == "Umpire: yes"
    assert rows["side"]["expected"] == "outside the thrower"
    assert rows["who-gives"]["expected"] == "the lead, the Umpire"
    assert rows["partner-chop"]["who"] == "referee"
    assert rows["strokes"]["seen"] == "not looked for yet"
    assert told["ruling"]["spot"] == [84.0, 34.0]
    assert told["court_svg"].startswith("<svg")
    assert told["sentence"] == mark["answer"]


def test_nobody_hands_the_ball_after_a_goal_so_there_is_no_eye_contact_to_ask_for(there: World) -> None:
    duties = {row["duty"]: row for row in there.room.answer_for(marks(there, 0)[2]["id"])["compare"]}
    assert "eye-contact" not in duties
    assert "stop-clock" not in duties
    assert duties["delivery"]["expected"] == "leave the ball alone"


def test_what_the_book_has_nothing_on_is_said_to_be_not_covered(there: World) -> None:
    mark = marks(there, 0)[1]
    there.room.set_duty(mark["id"], "thanked the thrower", "umpire", "yes")
    row = there.room.answer_for(mark["id"])["compare"][0]
    assert (row["duty"], row["provision"], row["verdict"]) == ("thanked the thrower", "", "yes")
    assert row["expected"].startswith("not covered")


def test_until_the_situation_is_whole_the_answer_says_what_is_missing(there: World) -> None:
    film = there.room.film(films(there)[0]["id"])
    mark = there.room.start_mark(film["id"], at(film, 300))
    mark = there.room.set_mark(mark["id"], {"stopped_by": "common_foul"})
    told = there.room.answer_for(mark["id"])
    assert (told["ruling"], told["sentence"], told["compare"]) == (None, "", [])
    assert told["needs"] == ["at", "ball_to"]
