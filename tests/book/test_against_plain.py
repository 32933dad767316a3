"""The whole counted space put to the book and to one plain function that was written without seeing the book.

Part by part the two must say the same. Where they do not and the book is right, the difference stands once in
``SETTLED`` with the source that settles it, and must still occur; every other difference fails.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import pytest
from msgspec import structs
from tests.book.reading import BOOK_VALUES, EDITIONS, NOT_COVERED, answer_of, asked_of, same
from tests.oracle.plain import answer

from tenbetween.book import Book, decide, load_book
from tenbetween.book.check import other_values
from tenbetween.book.space import first_stage, fresh_tables, groups, variants
from tenbetween.situation import CAUSES, Situation

PARTS = tuple(answer({"edition": "us-hs-2025", "attacking": "left", "stopped_by": "game_start"}))
US_HS = EDITIONS[:3]
COMPARED = tuple(cause for cause in CAUSES if cause != "change_of_control")
"""``change_of_control`` is ours: no whistle, so the plain opinion has no restart to give."""
DIVIDING = ("arc", "corner_to_elbow", "corner_to_elbow_over_circle")
PLAIN_VALUES = {n: {ours: plain for plain, ours in v.items()} for n, v in BOOK_VALUES.items()}


@dataclass(frozen=True)
class Difference:
    """One part in which the two differ for one situation."""

    part: str
    book: Any
    plain: Any
    situation: Situation

    def __str__(self) -> str:
        return f"{self.part}: the book says {self.book!r}, the plain opinion {self.plain!r}"


@dataclass(frozen=True)
class Settled:
    """A difference in which the book is right: which, by what source, and where it must be met."""

    name: str
    source: str
    holds: Callable[[Difference], bool]
    met_in: tuple[tuple[str, str], ...]


def on_the_division_line(d: Difference) -> bool:
    s = d.situation
    return (
        s.stopped_by == "violation" and s.ball_to == "other" and s.at is not None and s.at[0] == 42 * 304_800
    )


def of_a_sideline_stand(d: Difference) -> bool:
    return (
        d.part.endswith("stands")
        and d.plain == NOT_COVERED
        and d.book in ("back_court_side", "end_line_side")
    )


def of_a_jump_ball(d: Difference) -> bool:
    return d.part in ("lines", "lead_side_after") and d.book is None and d.plain == NOT_COVERED


def of_a_kept_run_across_the_line(d: Difference) -> bool:
    return (
        d.part == "near"
        and d.situation.pending == "run_end_line"
        and d.book["other_side_answer"] == {"spot": None, "line": "end_line"}
        and d.plain["other_side_answer"]["line"] == "end_line"
    )


def of_the_leads_sideline(d: Difference) -> bool:
    split = "lead up to the free-throw line extended, trail beyond"
    return (
        d.situation.edition == "fiba-2po"
        and d.part == "lines"
        and d.book == {line: split if line == "table_sideline" else who for line, who in d.plain.items()}
    )


def of_a_stand_after_a_goal(d: Difference) -> bool:
    goal = d.situation.stopped_by in ("made_goal", "made_last_free_throw")
    return (
        d.situation.edition == "fiba-2po"
        and goal
        and (d.part, d.book, d.plain) == ("stands", NOT_COVERED, None)
    )


def of_no_throws(d: Difference) -> bool:
    again = d.situation.stopped_by in ("plane_warning", "wrong_team")
    fiba = d.situation.edition == "fiba-2po"
    return fiba and again and (d.part, d.book, d.plain) == ("after_free_throws", None, NOT_COVERED)


def of_the_place_across_the_drawn_line(d: Difference) -> bool:
    by_drawing = ("nearest_2022", "by_the_corner_to_elbow_drawing") in d.situation.settings
    if not by_drawing or not d.part.endswith("near") or d.book is None or d.plain is None:
        return False
    alike = d.book["line"] == d.plain["line"] and same(float(d.plain["distance_ft"]), d.book["distance_ft"])
    return alike and d.book["other_side_answer"]["line"] == d.plain["other_side_answer"]["line"]


SETTLED: tuple[Settled, ...] = (
    Settled(
        "a violation with a foot exactly on the division line",
        "facts 2.1, row back-court violation: one of the four spots, even for a foot only on the division line",
        on_the_division_line,
        (("us-hs-2023", "violation"),),
    ),
    Settled(
        "where to stand on a sideline",
        "the setting stand_sideline (common practice, no source); the facts speak of end lines only",
        of_a_sideline_stand,
        (("us-hs-2022", "out_of_bounds"), ("us-hs-2023", "time_out"), ("us-hs-2025", "technical_foul")),
    ),
    Settled(
        "sides and lines at a jump ball",
        "contract, convention 11: at a jump ball there is nothing to say of them, so they are empty and not open",
        of_a_jump_ball,
        (("us-hs-2025", "game_start"), ("us-hs-2022", "extra_period_start"), ("fiba-2po", "game_start")),
    ),
    Settled(
        "across the line they could still run the end line",
        "contract, convention 2: where they may run the end line the spot is empty; facts 2.4: the right is kept there",
        of_a_kept_run_across_the_line,
        (("us-hs-2025", "violation"),),
    ),
    Settled(
        "2022 by the drawing: which point is the other candidate",
        "contract near: what the answer would be across the line; the nearest spot of the closest place there, not of"
        " the same place (both texts leave open which; the line and the distance agree)",
        of_the_place_across_the_drawn_line,
        (("us-hs-2022", "nearest_2022 = by_the_corner_to_elbow_drawing"),),
    ),
    Settled(
        "FIBA: whose the lead's sideline is",
        "facts 3.2 and section 5: the lead's, but above the free-throw line extended the trail decides",
        of_the_leads_sideline,
        (("fiba-2po", "shooting_foul"), ("fiba-2po", "technical_foul")),
    ),
    Settled(
        "FIBA: where he stands after a goal",
        "contract, convention 12: who handles the ball then was not read, so where he stands is open and not empty",
        of_a_stand_after_a_goal,
        (("fiba-2po", "made_goal"), ("fiba-2po", "made_last_free_throw")),
    ),
    Settled(
        "FIBA: nothing follows throws that nobody shoots",
        "contract, after_free_throws: null unless free throws leave the ball dead, also where all else is open",
        of_no_throws,
        (("fiba-2po", "plane_warning"), ("fiba-2po", "wrong_team")),
    ),
)


# ---- asking both


def asked_alike(book: Book, cause: str) -> Iterator[Situation]:
    """Every situation of the space with this cause: each once, and each class with all that may go with it.

    Caller, pressure and clock are taken in turn over the space, and all together for one of each class.
    """
    for number, situation in enumerate(_stage(book.id)[cause]):
        options = tuple(variants(situation))
        yield structs.replace(options[number % len(options)], lead_person=("referee", "umpire")[number % 2])
    for example in _classes(book.id)[cause]:
        yield from variants(example)


@lru_cache(maxsize=4)
def _stage(edition: str) -> dict[str, list[Situation]]:
    found: dict[str, list[Situation]] = {cause: [] for cause in CAUSES}
    for situation, after_throws in first_stage(load_book(edition)):
        if not after_throws:
            found[situation.stopped_by].append(situation)
    return found


@lru_cache(maxsize=4)
def _classes(edition: str) -> dict[str, list[Situation]]:
    book = load_book(edition)
    found: dict[str, list[Situation]] = {cause: [] for cause in CAUSES}
    for group in groups(book, fresh_tables(book))[0].values():
        if not group.after_throws:
            found[group.example.stopped_by].append(group.example)
    return found


def differences(book: Book, s: Situation, plain_settings: dict[str, str]) -> Iterator[Difference]:
    """Every part in which the two answers to one situation differ; the throw-in after throws as well."""
    ours, plain = answer_of(decide(book, s)), answer(asked_of(s, plain_settings))
    yield from _apart(ours, plain, s, "")


def _apart(ours: dict[str, Any], plain: dict[str, Any], s: Situation, prefix: str) -> Iterator[Difference]:
    for part in PARTS:
        a, b = ours[part], plain[part]
        if part == "after_free_throws" and isinstance(a, dict) and isinstance(b, dict):
            yield from _apart(a, b, s, "after throws: ")
        elif not (_near_alike(a, b) if part == "near" else same(b, a)):
            yield Difference(prefix + part, a, b, s)


def _near_alike(ours: Any, plain: Any) -> bool:
    """Near the line that chooses end line or sideline both must say the same; other lines are ours alone."""
    if plain is None or plain == NOT_COVERED:
        return ours is None or ours["line"] not in DIVIDING
    if ours is None or ours["line"] not in DIVIDING:
        return False
    return same(plain | {"line": ours["line"]}, ours)


def unsettled(found: Iterator[Difference], met: set[str]) -> list[Difference]:
    """The differences nobody has settled; those that are note their name in ``met``."""
    left = []
    for d in found:
        name = next((row.name for row in SETTLED if row.holds(d)), None)
        if name is None:
            left.append(d)
        else:
            met.add(name)
    return left


def told(left: list[Difference]) -> str:
    """Differences, most frequent first, with one situation each."""
    counted = Counter(str(d) for d in left)
    examples = {str(d): d.situation for d in reversed(left)}
    return "\n".join(
        f"{n:>6} x {says}\n         {asked_of(examples[says])}" for says, n in counted.most_common(12)
    )


@pytest.mark.parametrize("cause", COMPARED)
@pytest.mark.parametrize("edition", EDITIONS)
def test_the_book_and_the_plain_opinion_agree(edition: str, cause: str) -> None:
    book, met = load_book(edition), set[str]()
    asked = list(asked_alike(book, cause))
    left = unsettled((d for s in asked for d in differences(book, s, {})), met)
    assert asked
    assert not left, f"{edition}, {cause}, {len(asked)} situations\n{told(left)}"
    gone = [r.name for r in SETTLED if (edition, cause) in r.met_in and r.name not in met]
    assert not gone, f"settled, but no longer met in {edition} after {cause}: take it out of the table"


# ---- every other value of one setting at a time


def thinner(edition: str) -> Iterator[Situation]:
    """One situation of each class, with what may go with it taken in turn, and every nineteenth of the whole space."""
    number = 0
    for cause in COMPARED:
        for situation in (*_classes(edition)[cause], *_stage(edition)[cause][::19]):
            options = tuple(variants(situation))
            number += 1
            yield structs.replace(options[number % len(options)], lead_person="umpire")


OTHER_VALUES = [
    (edition, name, value)
    for edition in EDITIONS
    for name, value in other_values(load_book(edition))
    if value in PLAIN_VALUES.get(name, {})
]


@pytest.mark.parametrize(("edition", "name", "value"), OTHER_VALUES)
def test_they_agree_at_every_other_value_of_a_setting(edition: str, name: str, value: str) -> None:
    book, plain = load_book(edition), {name: PLAIN_VALUES[name][value]}
    asked = [structs.replace(s, settings=((name, value),)) for s in thinner(edition)]
    met = set[str]()
    left = unsettled((d for s in asked for d in differences(book, s, plain)), met)
    assert not left, f"{edition} with {name} = {value}, {len(asked)} situations\n{told(left)}"
    gone = [r.name for r in SETTLED if (edition, f"{name} = {value}") in r.met_in and r.name not in met]
    assert not gone, (
        f"settled, but no longer met in {edition} with {name} = {value}: take it out of the table"
    )


@pytest.mark.parametrize("edition", US_HS)
def test_settings_the_plain_opinion_does_not_know_do_what_their_words_say(edition: str) -> None:
    book = load_book(edition)
    for s in thinner(edition):
        as_any = answer_of(decide(book, structs.replace(s, settings=(("time_out_line", "as_any_throw_in"),))))
        if s.stopped_by == "time_out":
            injury = answer_of(decide(book, structs.replace(s, stopped_by="injury")))
            assert {p: as_any[p] for p in ("administers", "roles_after")} == {
                p: injury[p] for p in ("administers", "roles_after")
            }, s
        usual = decide(book, s)
        below = decide(book, structs.replace(s, settings=(("stand_sideline", "end_line_side"),)))
        swapped = {"back_court_side": "end_line_side"}.get(usual.stands or "", usual.stands)
        trail_gives = usual.administers is not None and usual.administers.now == "trail"
        assert below.stands == (swapped if trail_gives else usual.stands), s


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_tie_given_to_the_trails_side_is_the_spot_of_the_turned_crew(edition: str) -> None:
    book, met = load_book(edition), 0
    for s in thinner(edition):
        turned = structs.replace(s, lead_side="opposite" if s.lead_side == "table" else "table")
        trails = decide(book, structs.replace(s, settings=(("tie", "trails_side"),)))
        assert trails.spot == decide(book, turned).spot, s
        met += trails.spot != decide(book, s).spot
    assert met, "no place lies between two sides"
