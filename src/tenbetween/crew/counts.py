"""The scorer's bookkeeping a crew has in its head: team fouls and bonus, time-outs, the arrow.

Pure functions from a ``Standing`` to the next one. Knows no place, no role and no sheet of paper.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct, structs

from tenbetween.book import Book, lineage
from tenbetween.crew.values import COLOURS, Colour, Pair, Standing, Why, other_colour


class BonusRule(Struct, frozen=True):
    """From which team foul free throws follow a common foul, and when the count starts again."""

    per: Literal["quarter", "half"]
    two_from: int
    one_and_one_from: int | None
    source: str


# U.S. high-school rules, 2023-24, as reported in the news; FIBA rules: the fifth foul of a quarter.
BY_QUARTER = BonusRule("quarter", 5, None, "fifth team foul of a quarter: two free throws")
BY_HALF = BonusRule("half", 10, 7, "seventh team foul of a half: one-and-one; tenth: two free throws")
COUNTED: frozenset[Why] = frozenset(
    (
        "common_foul",
        "player_control_foul",
        "team_control_foul",
        "shooting_foul",
        "intentional_foul",
        "flagrant_foul",
        "technical_foul",
    )
)
"""Fouls that count for the team of the one who fouled; a double foul counts for both."""


def bonus_rule(book: Book) -> BonusRule:
    """Return the bonus rule of an edition.

    >>> from tenbetween.book import load_book
    >>> bonus_rule(load_book("us-hs-2025")).two_from, bonus_rule(load_book("us-hs-2022")).one_and_one_from
    (5, 7)
    """
    older = book.court_kind == "us-hs" and "us-hs-2023" not in lineage(book.id)
    return BY_HALF if older else BY_QUARTER


def counts_time_outs(book: Book) -> bool:
    """Return whether the number of time-outs is known: three of 60 s and two of 30 s in U.S. high school.

    >>> from tenbetween.book import load_book
    >>> counts_time_outs(load_book("fiba-2po"))
    False
    """
    return book.court_kind == "us-hs"


def foul_counted(standing: Standing, why: Why, by: Colour | None) -> Standing:
    """Return the standing with a foul added to its team, a double foul to both.

    >>> foul_counted(Standing(), "double_foul", None).fouls
    Pair(white=1, dark=1)
    """
    teams = COLOURS if why == "double_foul" else (by,) if by and why in COUNTED else ()
    fouls = standing.fouls
    for team in teams:
        fouls = fouls.with_one_more(team)
    return structs.replace(standing, fouls=fouls)


def bonus_for(rule: BonusRule, fouls_with_this_one: int) -> str:
    """Return what a common foul brings: ``two``, ``one-and-one``, or nothing.

    >>> bonus_for(BY_QUARTER, 4), bonus_for(BY_QUARTER, 5), bonus_for(BY_HALF, 7), bonus_for(BY_HALF, 10)
    ('', 'two', 'one-and-one', 'two')
    """
    if fouls_with_this_one >= rule.two_from:
        return "two"
    first = rule.one_and_one_from
    return "one-and-one" if first is not None and fouls_with_this_one >= first else ""


def period_begun(standing: Standing, rule: BonusRule) -> Standing:
    """Return the standing in the next period; an extra period goes on with the fouls and adds a time-out.

    >>> period_begun(Standing(period=1, fouls=Pair(3, 4)), BY_QUARTER).fouls
    Pair(white=0, dark=0)
    >>> period_begun(Standing(period=4, fouls=Pair(3, 4)), BY_QUARTER).fouls
    Pair(white=3, dark=4)
    """
    period = standing.period + 1
    again = period <= 4 and (rule.per == "quarter" or period == 3)
    sixties = standing.sixties
    if period > 4:
        sixties = sixties.with_one_more("white").with_one_more("dark")
    fouls = Pair() if again else standing.fouls
    return structs.replace(standing, period=period, fouls=fouls, sixties=sixties, clock=None)


def time_out_taken(standing: Standing, by: Colour, length: int) -> Standing:
    """Return the standing with one time-out less for a team.

    >>> time_out_taken(Standing(), "dark", 30).thirties
    Pair(white=2, dark=1)
    """
    if length == 60:
        return structs.replace(standing, sixties=standing.sixties.with_one_more(by, -1))
    return structs.replace(standing, thirties=standing.thirties.with_one_more(by, -1))


def time_outs_left(standing: Standing, by: Colour, length: int) -> int:
    """Return how many time-outs of a length a team has left.

    >>> time_outs_left(Standing(), "white", 60)
    3
    """
    return (standing.sixties if length == 60 else standing.thirties).of(by)


def throw_in_ended(standing: Standing) -> Standing:
    """Return the standing once the throw-in due is over; an arrow throw-in turns the arrow as it ends.

    >>> from tenbetween.crew.values import Due
    >>> throw_in_ended(Standing(arrow="dark", due=Due("dark", "spot", None, True, 4))).arrow
    'white'
    """
    due = standing.due
    arrow = other_colour(due.team) if due and due.by_arrow else standing.arrow
    return structs.replace(standing, due=None, arrow=arrow)
