"""Marks: a key each, the clock of events, who was who carried and corrected, whose a verdict is, undo, reopening."""

from __future__ import annotations

import random
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.crew.plain import OTHER, Book, next_event
from tests.desk.film_world import Json, World, at, contents, even, world, write_film

from tenbetween.desk import marked_film
from tenbetween.desk.demo_story import demo_story
from tenbetween.errors import StoreError, TenbetweenError, UsageError
from tenbetween.store import open_workbench

OUT = {"stopped_by": "out_of_bounds", "at": [58, 50], "ball_to": "same"}
"""Out on the trail's sideline in the front court: the trail gives it, nobody changes."""
GOAL = {"stopped_by": "made_goal"}


@pytest.fixture
def there(tmp_path: Path) -> Iterator[World]:
    with world(tmp_path) as made:
        write_film(made.films / "game.mp4", even(5400))
        write_film(made.films / "other.mp4", even(600, first=7))
        yield made


def marked(there: World, *situations: Json, every: float = 30) -> tuple[Json, list[Json]]:
    """Take the film in and mark these moments, one every so many seconds."""
    film = there.add("game.mp4")
    found = []
    for n, situation in enumerate(situations, 1):
        mark = there.room.start_mark(film["id"], at(film, n * every))
        found.append(there.room.set_mark(mark["id"], situation))
    return film, [there.room.mark(one["id"]) for one in found]


def who(mark: Json) -> tuple[str, str, str]:
    return mark["lead"], mark["lead_side"], mark["attacking"]


# ---- the clock of events ----


def test_a_key_is_one_entry_in_the_journal(there: World) -> None:
    film, (mark,) = marked(there, OUT)
    before = there.store.history()[0].seq
    there.room.set_event(mark["id"], "e6", at(film, 41))
    there.room.set_duty(mark["id"], "step-back", "referee", "yes")
    there.room.set_mark(mark["id"], {"flip": "lead"})
    there.room.stroke(mark["id"], at(film, 42))
    there.room.close_mark(mark["id"])
    assert there.store.history()[0].seq == before + 5


def test_a_new_moment_begins_with_the_dead_ball(there: World) -> None:
    film = there.add("game.mp4")
    mark = there.room.start_mark(film["id"], at(film, 12.04))
    assert mark["events"] == {"e0": at(film, 12.04)}
    assert mark["t"] == 12.04
    assert mark["needs"] == ["stopped_by"]
    assert mark["answer"] == ""


def test_what_was_not_seen_is_said_and_never_empty(there: World) -> None:
    film, (mark,) = marked(there, OUT)
    there.room.set_event(mark["id"], "e6", at(film, 41))
    closed = there.room.close_mark(mark["id"])
    assert set(closed["events"]) == {f"e{n}" for n in range(12)}
    assert [e for e, said in closed["events"].items() if said != "not seen"] == ["e0", "e6"]
    # An event taken out of a closed mark is not left empty either.
    assert there.room.set_event(mark["id"], "e6", None)["events"]["e6"] == "not seen"


def test_an_event_can_be_opened_again_while_the_mark_is_open(there: World) -> None:
    _, (mark,) = marked(there, OUT)
    assert there.room.set_event(mark["id"], "e4", "not seen")["events"]["e4"] == "not seen"
    assert "e4" not in there.room.set_event(mark["id"], "e4", None)["events"]


def test_a_stroke_at_the_same_frame_takes_it_away(there: World) -> None:
    film, (mark,) = marked(there, OUT)
    for seconds in (43, 42, 44):
        mark = there.room.stroke(mark["id"], at(film, seconds))
    assert mark["strokes"] == [at(film, seconds) for seconds in (42, 43, 44)]
    assert there.room.stroke(mark["id"], at(film, 43))["strokes"] == [at(film, 42), at(film, 44)]


@pytest.mark.parametrize(
    ("wrong", "where", "words"),
    [
        ({"part": "nobody's"}, "e6", "a part of this film"),
        ({"pts": 5400 * 15_000}, "e6", "0 to 80999400"),
        ({"pts": -600}, "e6", "0 to 80999400"),
        ({"base": [1, 600]}, "e6", "[1, 15000]"),
        ({"pts": 12.5}, "e6", "whole number"),
    ],
)
def test_a_frame_that_is_none_of_the_film_is_refused(
    there: World, wrong: Json, where: str, words: str
) -> None:
    film, (mark,) = marked(there, OUT)
    with pytest.raises(UsageError) as fault:
        there.room.set_event(mark["id"], "e6", {**at(film, 40), **wrong})
    assert fault.value.problems[0].where == where
    assert words in fault.value.problems[0].expected
    assert there.room.mark(mark["id"])["version"] == mark["version"]


@pytest.mark.parametrize(
    ("ask", "where"),
    [
        (lambda room, mark: room.set_event(mark, "e12", None), "event"),
        (lambda room, mark: room.set_duty(mark, "step-back", "center", "yes"), "who"),
        (lambda room, mark: room.set_duty(mark, "step-back", "referee", "perhaps"), "verdict"),
        (lambda room, mark: room.set_duty(mark, " ", "referee", "yes"), "duty"),
        (lambda room, mark: room.set_mark(mark, {"stopped_by": "foul"}), "stopped_by"),
        (lambda room, mark: room.set_mark(mark, {"whistle": 3}), "mark"),
        (lambda room, mark: room.set_mark(mark, {"crew": {"lead": "dark"}}), "lead"),
        (lambda room, mark: room.set_mark(mark, {"flip": "roles"}), "flip"),
        (lambda room, mark: room.set_mark(mark, {"at": [1]}), "at"),
        (lambda room, mark: room.set_mark(mark, {"tags": "end line"}), "tags"),
        (lambda room, mark: room.mark("01arz3ndektsv4rrffq69g5fav"), "mark 01arz3ndektsv4rrffq69g5fav"),
    ],
)
def test_what_means_nothing_is_refused_with_directions(there: World, ask: Any, where: str) -> None:
    _, (mark,) = marked(there, OUT)
    with pytest.raises(TenbetweenError) as fault:
        ask(there.room, mark["id"])
    assert fault.value.problems[0].where == where
    assert fault.value.problems[0].do


# ---- who was who, carried ----


def test_after_a_goal_lead_and_trail_have_exchanged(there: World) -> None:
    _, (goal, out) = marked(there, GOAL, OUT)
    assert who(goal) == ("umpire", "table", "right")
    assert who(out) == ("referee", "opposite", "left")
    assert out["trail"] == "umpire"


def test_a_steal_nobody_marked_is_one_key(there: World) -> None:
    _, (first, second, third) = marked(there, OUT, OUT, OUT)
    assert who(second) == who(there.room.mark(third["id"]))
    stolen = there.room.set_mark(second["id"], {"flip": "ball"})
    assert who(stolen) == (first["trail"], "opposite", "left")
    assert stolen["crew"]["said"] == {"ball": "b"}
    assert there.room.mark(third["id"])["attacking"] == "left"
    assert who(there.room.mark(first["id"])) == who(first)


def test_the_same_key_again_takes_it_back(there: World) -> None:
    _, (_, second) = marked(there, OUT, OUT)
    there.room.set_mark(second["id"], {"flip": "ball"})
    back = there.room.set_mark(second["id"], {"flip": "ball"})
    assert who(back) == who(second)
    assert not back["crew"]["corrected"]


def test_who_is_lead_corrected_holds_for_all_that_follow(there: World) -> None:
    _, marks = marked(there, GOAL, OUT, GOAL, OUT)
    there.room.set_mark(marks[1]["id"], {"flip": "lead"})
    again = [there.room.mark(one["id"]) for one in marks]
    assert [one["lead"] == was["lead"] for one, was in zip(again, marks, strict=True)] == [
        True, False, False, False,
    ]  # fmt: skip
    assert [one["lead_side"] for one in again] == [one["lead_side"] for one in marks]


def test_what_was_said_by_hand_later_stands(there: World) -> None:
    _, marks = marked(there, GOAL, OUT, GOAL)
    there.room.set_mark(marks[2]["id"], {"crew": {"lead": "umpire"}})
    there.room.set_mark(marks[0]["id"], {"flip": "lead"})
    assert there.room.mark(marks[2]["id"])["lead"] == "umpire"


def test_a_mark_put_in_between_is_counted_in(there: World) -> None:
    film, (_, last) = marked(there, OUT, OUT, every=100)
    assert last["attacking"] == "right"
    goal = there.room.start_mark(film["id"], at(film, 150))
    there.room.set_mark(goal["id"], GOAL)
    assert there.room.mark(last["id"])["attacking"] == "left"
    there.room.remove_mark(goal["id"])
    assert there.room.mark(last["id"])["attacking"] == "right"


def test_baskets_change_for_the_second_half(there: World) -> None:
    start = {"stopped_by": "period_start"}
    _, marks = marked(there, {"stopped_by": "game_start"}, start, OUT, start, OUT)
    third = there.room.mark(marks[3]["id"])
    assert third["taken"][0] == "baskets change for the second half"
    # The team that had the first ball goes right, so its opponents had the arrow and go left, then right.
    assert [(one["ball"], one["attacking"]) for one in map(there.room.mark, (m["id"] for m in marks))] == [
        ("a", "right"), ("b", "left"), ("b", "left"), ("a", "left"), ("a", "left"),
    ]  # fmt: skip


def test_without_an_opening_nothing_is_guessed(there: World) -> None:
    film = there.add("game.mp4", opening={})
    mark = there.room.start_mark(film["id"], at(film, 10))
    mark = there.room.set_mark(mark["id"], OUT)
    assert (mark["lead"], mark["lead_side"], mark["needs"]) == (None, None, ["attacking"])
    with pytest.raises(UsageError):
        there.room.set_mark(mark["id"], {"flip": "lead"})
    mark = there.room.set_mark(mark["id"], {"attacking": "right", "lead_side": "table"})
    assert mark["answer"].startswith("Trail bounces it at the opposite sideline")
    assert mark["gives"] is None  # the trail does, and nobody said who that is


@pytest.mark.parametrize("seed", range(12))
def test_a_whole_game_is_carried_as_a_plain_second_bookkeeper_does(there: World, seed: int) -> None:
    """The carry-forward against ``tests/crew/plain.py``, which reads no edition and imports nothing of the program."""
    dealt = random.Random(seed)
    book, rows = Book(), []
    while len(rows) < 60:
        event = next_event(book, dealt.choice)
        before = (book.lead, book.lead_side, book.control)
        told = _told(book, event)
        book.take(event)
        if told is not None:
            rows.append((told, before, (book.lead, book.lead_side)))
    film = there.add("game.mp4", opening={"attacking": book.white_first, "a": "white", "ball": "a"})
    with there.store.together() as changes:
        for n, (told, _, _) in enumerate(rows):
            value = {"film": film["id"], "at": at(film, 10 * n + 1), **told}
            changes.save("mark", value, basis={"edition": "us-hs-2025", "book_digest": "x"})
    marks = there.room.marks(film["id"])
    for mark, (told, before, after) in zip(marks, rows, strict=True):
        why = told["situation"]["stopped_by"]
        assert mark["needs"] == [], told
        if why not in STARTS:
            assert (mark["lead"], mark["lead_side"]) == before[:2], (mark["number"], told)
            assert {"a": "white", "b": "dark"}[mark["ball"]] == before[2], (mark["number"], told)
        assert (mark["after"]["lead"], mark["after"]["lead_side"]) == after, (mark["number"], told)


def _told(book: Book, event: Json) -> Json | None:
    """Return what a trainer would say of an event, or None where he would mark nothing."""
    why, had = event["why"], book.control
    letter = {"white": "a", "dark": "b"}
    if book.shooting and why in ("time_out", "injury"):
        return None  # the throws are still due: no restart of its own
    if why == "missed_last_free_throw" and event["ball"] == had:
        return None
    crew: Json = {}
    if why in ("game_start", "extra_period_start"):
        crew = {"ball": letter[event["ball"]], "corrected": True}
    if why == "period_start":
        crew = {"ball": letter[_arrow_at_the_start(book)], "corrected": True}
    situation: Json = {
        "stopped_by": "change_of_control" if why == "missed_last_free_throw" else why,
        "called_by": None if why in NOBODY_CALLS else event.get("caller"),
        "pending": None if why == "shooting_foul" else event.get("pending"),
    }
    if why not in NO_PLACE and event.get("at"):
        situation["at"] = list(_place(book, event))
    if why not in STARTS:
        situation["ball_to"] = "same" if event["ball"] == had else "other"
    if why == "common_foul" and book.fouls[event["by"]] + 1 >= 5:
        situation["bonus"] = True
    return {"situation": {k: v for k, v in situation.items() if v is not None}, "crew": crew}


NOBODY_CALLS = ("made_goal", "made_last_free_throw", "missed_last_free_throw", "change_of_control", "game_start",
                "period_start", "extra_period_start")  # fmt: skip
NO_PLACE = (*NOBODY_CALLS, "technical_foul")
STARTS = ("game_start", "period_start", "extra_period_start")


def _arrow_at_the_start(book: Book) -> str:
    return OTHER[book.due["team"]] if book.due and book.due["arrow"] else book.arrow


def _place(book: Book, event: Json) -> tuple[float, float]:
    """A whistle during a throw-in from a spot is where that spot is."""
    due = book.due
    kept = event["why"] in (
        "plane_warning",
        "wrong_team",
        "double_foul",
        "time_out",
        "inadvertent_whistle",
        "injury",
    )
    return due["at"] if kept and event.get("pending") and due and due["at"] else event["at"]


def test_the_drawn_game_is_carried_from_its_opening_without_one_correction(there: World) -> None:
    """The demo film's story was told by the book; marked by cause and place alone it comes out as it was told."""
    story = demo_story(there.room.bench.shelf)
    first = story.restarts[0]
    opening = {name: getattr(first, name) for name in ("attacking", "lead", "lead_side")}
    film = there.add("game.mp4", opening=opening)
    for told in story.restarts:
        said = there.room.bench.read_line(told.line)
        mark = there.room.start_mark(film["id"], at(film, round(min(told.events.values()), 2)))
        happened = {name: said[name] for name in SAID_OF_A_STOPPAGE if said.get(name) is not None}
        there.room.set_mark(mark["id"], happened)
    marks = there.room.marks(film["id"])
    assert len(marks) == len(story.restarts)
    assert [who(mark) for mark in marks] == [(r.lead, r.lead_side, r.attacking) for r in story.restarts]
    assert [mark["gives"] for mark in marks if mark["gives"]] == [
        told.administers for told, mark in zip(story.restarts, marks, strict=True) if mark["gives"]
    ]
    assert not any(mark["crew"]["corrected"] for mark in marks)


SAID_OF_A_STOPPAGE = ("stopped_by", "at", "ball_to", "pending", "called_by", "bonus", "pressure")


def test_a_change_is_counted_in_no_farther_than_it_makes_a_difference(
    there: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, marks = marked(there, *[OUT] * 30)
    counted: list[str] = []
    step = marked_film.step
    monkeypatch.setattr(
        marked_film, "step", lambda now, mark, a: counted.append(mark.id) or step(now, mark, a)
    )
    there.room.set_mark(marks[3]["id"], {"note": "she waits for the table"})
    assert len(counted) <= 4
    counted.clear()
    there.room.set_mark(marks[3]["id"], {"flip": "lead"})
    assert set(counted) == {mark["id"] for mark in marks[3:]}


# ---- whose a verdict is ----


def verdict(mark: Json, duty: str) -> Json:
    return next(one for one in mark["duties"] if one["duty"] == duty)


def test_a_tick_for_the_lead_is_on_the_person_and_moves_with_a_correction(there: World) -> None:
    _, (mark,) = marked(there, OUT)
    mark = there.room.set_duty(mark["id"], "stop-clock", "lead", "yes")
    assert (verdict(mark, "stop-clock")["who"], verdict(mark, "stop-clock")["role"]) == ("umpire", "lead")
    mark = there.room.set_mark(mark["id"], {"flip": "lead"})
    assert verdict(mark, "stop-clock")["who"] == "referee"
    assert verdict(mark, "stop-clock")["moved_from"] == "umpire"


def test_ticks_of_later_marks_move_too_and_those_before_stay(there: World) -> None:
    _, marks = marked(there, OUT, OUT, OUT)
    for mark in marks:
        there.room.set_duty(mark["id"], "stop-clock", "lead", "yes")
    before = there.store.history()[0].seq
    there.room.set_mark(marks[1]["id"], {"flip": "lead"})
    assert there.store.history()[0].seq == before + 1
    again = [verdict(there.room.mark(mark["id"]), "stop-clock")["who"] for mark in marks]
    assert again == [marks[0]["lead"], marks[0]["trail"], marks[0]["trail"]]


def test_a_tick_follows_the_person_through_a_switch(there: World) -> None:
    """The umpire gives the ball as lead, and after the goal as trail: both ticks are the umpire's."""
    end_line = {"stopped_by": "violation", "at": [79, 36], "ball_to": "same"}
    _, (first, _, third) = marked(there, end_line, GOAL, OUT)
    first = there.room.set_duty(first["id"], "step-back", "administering", "yes")
    third = there.room.set_duty(third["id"], "stop-clock", "trail", "no")
    assert (first["lead"], third["trail"]) == ("umpire", "umpire")
    assert verdict(first, "step-back")["who"] == verdict(third, "stop-clock")["who"] == "umpire"


def test_a_tick_on_a_person_or_the_crew_is_never_taken_from_them(there: World) -> None:
    _, (mark,) = marked(there, OUT)
    there.room.set_duty(mark["id"], "eye-contact", "crew", "no")
    there.room.set_duty(mark["id"], "kept the whistle out of her mouth", "umpire", "yes")
    mark = there.room.set_mark(mark["id"], {"flip": "lead"})
    assert [(one["who"], one["moved_from"]) for one in mark["duties"]] == [("crew", ""), ("umpire", "")]


def test_the_button_beside_the_official_whose_duty_it_is_means_whoever_has_it(there: World) -> None:
    _, (mark,) = marked(there, OUT)
    assert mark["gives"] == "referee"
    mark = there.room.set_duty(mark["id"], "step-back", "referee", "yes")
    assert verdict(mark, "step-back")["role"] == "administering"
    mark = there.room.set_mark(mark["id"], {"flip": "lead"})
    assert mark["gives"] == "umpire" == verdict(mark, "step-back")["who"]


def test_until_somebody_says_who_it_is_a_tick_is_the_crews(there: World) -> None:
    _, (mark,) = marked(there, {**OUT, "stopped_by": "violation", "at": [70, 10]})
    mark = there.room.set_duty(mark["id"], "direction", "caller", "yes")
    assert verdict(mark, "direction")["who"] == "crew"
    mark = there.room.set_mark(mark["id"], {"called_by": "trail"})
    assert verdict(mark, "direction")["who"] == mark["trail"]


def test_a_verdict_is_replaced_and_taken_back(there: World) -> None:
    _, (mark,) = marked(there, OUT)
    there.room.set_duty(mark["id"], "step-back", "referee", "no", "feet still")
    mark = there.room.set_duty(mark["id"], "step-back", "administering", "yes")
    assert [(one["verdict"], one["note"]) for one in mark["duties"]] == [("yes", "")]
    assert verdict(mark, "step-back")["provision"] == "give.away"
    assert there.room.set_duty(mark["id"], "step-back", "administering", "")["duties"] == []


# ---- undo, another window, reopening ----

KEYS = st.lists(
    st.tuples(
        st.sampled_from(["event", "not seen", "open", "stroke", "duty", "flip", "say", "tags", "close", "new", "out"]),
        st.integers(0, 11),
        st.integers(0, 3),
    ),
    max_size=9,
)  # fmt: skip


def press(there: World, film: Json, marks: list[str], key: str, number: int, which: int) -> None:
    """Press one key on one of the marks; a key that is refused changes nothing."""
    room = there.room
    mark = marks[which % len(marks)] if marks else ""
    moment = at(film, 20 + number)
    acts = {
        "event": lambda: room.set_event(mark, f"e{number}", moment),
        "not seen": lambda: room.set_event(mark, f"e{number}", "not seen"),
        "open": lambda: room.set_event(mark, f"e{number}", None),
        "stroke": lambda: room.stroke(mark, moment),
        "duty": lambda: room.set_duty(
            mark, ("step-back", "chop")[number % 2], ("lead", "umpire")[which % 2], "yes"
        ),
        "flip": lambda: room.set_mark(mark, {"flip": ("lead", "side", "ball", "attacking")[number % 4]}),
        "say": lambda: room.set_mark(mark, (OUT, GOAL, {"stopped_by": None}, {"note": "again"})[number % 4]),
        "tags": lambda: room.set_mark(mark, {"tags": ["end line", f"tag {number}"]}),
        "close": lambda: room.close_mark(mark),
        "out": lambda: room.remove_mark(mark),
    }
    if key == "new":
        marks.append(room.start_mark(film["id"], moment)["id"])
    elif marks:
        acts[key]()
        if key == "out":
            marks.remove(mark)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(KEYS)
def test_whatever_keys_were_pressed_undo_leads_back_to_the_start(
    tmp_path_factory: pytest.TempPathFactory, keys: list[tuple[str, int, int]]
) -> None:
    with world(tmp_path_factory.mktemp("keys")) as there:
        write_film(there.films / "game.mp4", even(60))
        film = there.add("game.mp4")
        mark = there.room.start_mark(film["id"], at(film, 10))
        states, marks = [contents(there.store)], [mark["id"]]
        for key in keys:
            press(there, film, marks, *key)
            if contents(there.store) != states[-1]:
                states.append(contents(there.store))
        for state in reversed(states[:-1]):
            there.room.undo(film["id"])
            assert contents(there.store) == state
            assert there.room.marks(film["id"]) == there.again().marks(film["id"])
        for state in states[1:]:
            there.room.redo(film["id"])
            assert contents(there.store) == state
        assert there.store.check() == ()


def test_many_hands_at_once_lose_no_key(there: World) -> None:
    """The pages are served by several threads: every key arrives, and the list at hand is the list that is kept."""
    film, marks = marked(there, *[OUT] * 4)
    keys = [(mark["id"], f"e{n}") for n in range(1, 6) for mark in marks]
    with ThreadPoolExecutor(4) as hands:
        list(hands.map(lambda key: there.room.set_event(*key, at(film, 41)), keys))
        list(hands.map(lambda mark: there.room.set_mark(mark["id"], {"flip": "ball"}), marks))
    assert there.room.marks(film["id"]) == there.again().marks(film["id"])
    assert all(len(mark["events"]) == 6 for mark in there.room.marks(film["id"]))


def test_what_is_carried_anyway_is_not_written_down(there: World) -> None:
    _, (goal, out) = marked(there, GOAL, OUT)
    said = {"attacking": out["attacking"], "lead_side": out["lead_side"], "crew": {"lead": out["lead"]}}
    assert there.room.set_mark(out["id"], said)["crew"]["corrected"] is False
    there.room.set_mark(goal["id"], {"flip": "lead"})
    assert there.room.mark(out["id"])["lead"] == out["trail"]


def test_what_marks_rest_on_is_written_down_again_after_a_correction(there: World) -> None:
    film, marks = marked(there, OUT, OUT, OUT)
    there.room.set_mark(marks[0]["id"], {"flip": "ball"})
    lines = [one["line"] for one in there.room.marks(film["id"])]
    kept = [there.store.get("mark", one["id"]).basis.line for one in marks]
    assert [a == b for a, b in zip(kept, lines, strict=True)] == [True, False, False]
    assert there.room.settle(film["id"]) == {"settled": 2}
    assert [there.store.get("mark", one["id"]).basis.line for one in marks] == lines
    assert there.room.settle(film["id"]) == {"settled": 0}
    # Closing a mark writes it down too.
    there.room.set_mark(marks[0]["id"], {"flip": "ball"})
    closed = there.room.close_mark(marks[2]["id"])
    assert there.store.get("mark", marks[2]["id"]).basis.line == closed["line"] != lines[2]


def test_a_film_is_put_on_another_edition(there: World) -> None:
    film, (mark,) = marked(there, {**OUT, "stopped_by": "violation", "at": [60, 30]})
    seen = there.room.film(film["id"])
    changed = there.room.change_film(film["id"], {"edition": "us-hs-2022"}, seen=seen["version"])
    assert changed["edition"] == "us-hs-2022"
    assert there.room.mark(mark["id"])["answer"] != mark["answer"]
    assert there.room.mark(mark["id"])["line"].startswith("us-hs-2022 / ")


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        ({"strokes": [{"pts": 3}]}, "mark.strokes[0]"),
        ({"duties": [{"duty": "chop", "who": "lead", "verdict": "yes"}]}, "mark.duties[0].who"),
        ({"duties": [{"duty": "chop", "who": "crew", "verdict": "good"}]}, "mark.duties[0].verdict"),
        ({"duties": ["chop"]}, "mark.duties[0].duty"),
        ({"tags": "end line"}, "mark.tags"),
    ],
)
def test_what_a_list_from_elsewhere_cannot_mean_is_not_kept(there: World, wrong: Json, where: str) -> None:
    film = there.add("game.mp4")
    with pytest.raises(StoreError) as fault:
        there.store.save("mark", {"film": film["id"], "at": at(film, 1), **wrong})
    assert fault.value.problems[0].where == where


def test_undo_belongs_to_one_film(there: World) -> None:
    film, (mark,) = marked(there, OUT)
    other = there.add("other.mp4", title="Brackwater at Oslin Creek")
    there.room.start_mark(other["id"], at(other, 5))
    told = there.room.undo(film["id"])
    assert told["mark"] == mark["id"]
    assert there.room.mark(mark["id"])["situation"] == {}
    assert len(there.room.marks(other["id"])) == 1


def test_a_new_key_after_an_undo_leaves_nothing_to_do_again(there: World) -> None:
    film, (mark,) = marked(there, OUT)
    there.room.undo(film["id"])
    there.room.set_mark(mark["id"], GOAL)
    with pytest.raises(StoreError) as fault:
        there.room.redo(film["id"])
    assert "nothing is left to redo" in fault.value.problems[0].do


def test_two_windows_on_one_film_lose_no_key(there: World) -> None:
    film, (mark,) = marked(there, OUT)
    other = there.again()
    other.marks(film["id"])
    there.room.set_event(mark["id"], "e6", at(film, 41))
    other.set_event(mark["id"], "e8", at(film, 43))
    there.room.set_duty(mark["id"], "step-back", "referee", "yes")
    assert there.room.mark(mark["id"]) == other.mark(mark["id"])
    assert {"e0", "e6", "e8"} <= set(other.mark(mark["id"])["events"])


def test_every_mark_survives_reopening_export_and_import_exactly(there: World, tmp_path: Path) -> None:
    """D1: no mark is off after reopening; here not by a tick."""
    film = there.add("game.mp4")
    dealt = random.Random(11)
    for _ in range(12):
        moment = at(film, dealt.randrange(0, 5000 * 25) / 25)
        mark = there.room.start_mark(film["id"], moment)
        for event in dealt.sample([f"e{n}" for n in range(1, 12)], 5):
            there.room.set_event(
                mark["id"], event, {**moment, "pts": moment["pts"] + 600 * dealt.randrange(200)}
            )
        there.room.set_mark(mark["id"], dealt.choice([OUT, GOAL]))
        there.room.stroke(mark["id"], moment)
    before = there.room.marks(film["id"])
    lines = list(there.store.export_all())
    numbers = iter(range(10_000, 100_000))
    with open_workbench(
        tmp_path / "second", now=there.now, entropy=lambda n: next(numbers).to_bytes(n, "big")
    ) as second:
        second.import_lines(lines)
        there.store, there.folder = second, tmp_path / "second"
        assert there.again().marks(film["id"]) == before


def test_a_mark_rests_on_the_book_as_it_was(there: World) -> None:
    _, (mark,) = marked(there, OUT)
    kept = there.store.get("mark", mark["id"]).basis
    assert kept.line == "us-hs-2025 / right / out of bounds 58,50 / same / lead table umpire" == mark["line"]
    assert (kept.edition, kept.layers) == ("us-hs-2025", ())
    assert {"who.front-sideline", "give.sideline"} <= {one.id for one in kept.provisions}
    assert mark["edition"] == "current"
    assert [one.id for one in there.store.resting_on("give.sideline")] == [mark["id"]]
    older = there.add("other.mp4", date="2024-01-12", title="Last season")
    old = there.room.start_mark(older["id"], at(older, 5))
    assert (older["edition"], old["edition"]) == ("us-hs-2023", "older")
