"""What a walked game is made of: opening, stoppages as written, where things stand, what came of each.

Small frozen values. Persons are Referee and Umpire, teams are told by the colour they wear; roles, sides and
baskets follow from a ``Standing``. Knows no rule: how a standing changes is the business of ``walk``.
"""

from __future__ import annotations

from typing import Literal, TypeVar

from msgspec import Struct, field

from tenbetween.errors import Problem
from tenbetween.situation import (
    Basket,
    Cause,
    Floor,
    Pending,
    Person,
    PointFt,
    PointUm,
    Post,
    Role,
    Ruling,
    Situation,
    TableSide,
    other_basket,
    other_side,
)

Colour = Literal["white", "dark"]
Why = Cause | Literal["missed_last_free_throw"]
"""Why a row was written: a cause, or that the last free throw missed and somebody has the ball."""
Caller = Role | Person
ThrowInState = Literal["due", "over"] | Pending
"""What a row says about the throw-in before it: still due (and which kind), or over."""
PERSONS: tuple[Person, Person] = ("referee", "umpire")
COLOURS: tuple[Colour, Colour] = ("white", "dark")
T = TypeVar("T")


def other_colour(colour: Colour) -> Colour:
    """Return the other team.

    >>> other_colour("white")
    'dark'
    """
    return "dark" if colour == "white" else "white"


def other_person(person: Person) -> Person:
    """Return the partner.

    >>> other_person("referee")
    'umpire'
    """
    return "umpire" if person == "referee" else "referee"


class Pair(Struct, frozen=True):
    """One number for each team.

    >>> Pair(3, 4).with_one_more("dark")
    Pair(white=3, dark=5)
    """

    white: int = 0
    dark: int = 0

    def of(self, colour: Colour) -> int:
        """The number of one team."""
        return self.white if colour == "white" else self.dark

    def with_one_more(self, colour: Colour, by: int = 1) -> Pair:
        """The same with ``by`` added for one team."""
        if colour == "white":
            return Pair(self.white + by, self.dark)
        return Pair(self.white, self.dark + by)


class Due(Struct, frozen=True):
    """A throw-in that has been given and may not be over yet."""

    team: Colour
    kind: Pending
    at: PointUm | None
    """The spot; None where the whole end line is free."""
    by_arrow: bool
    """It was given by the arrow, which turns when this throw-in ends."""
    row: int
    clock: int | None = None
    """What the clock showed when it was given, in tenths of a second."""


class Throws(Struct, frozen=True):
    """Free throws with a live ball after the last one, until somebody has it."""

    team: Colour
    row: int
    ruling: Ruling


class Standing(Struct, frozen=True, kw_only=True):
    """Where everything stands between two stoppages.

    >>> Standing(white_attacks_first="left", period=3).attacks("white")
    'right'
    """

    white_attacks_first: Basket = "right"
    """The basket White attacks in the first half."""
    period: int = 0
    """0 before the game, 1 to 4 the quarters, 5 and on the extra periods."""
    clock: int | None = None
    """What the clock showed at the last row that said so, in tenths of a second."""
    control: Colour | None = None
    """Who has the ball, had it last, or is about to throw in or shoot; None before the game."""
    lead: Person | None = None
    lead_side: TableSide | None = None
    arrow: Colour | None = None
    due: Due | None = None
    throws: Throws | None = None
    fouls: Pair = Pair()
    """Team fouls of this quarter (of this half under the older bonus rule)."""
    sixties: Pair = Pair(3, 3)
    """Sixty-second time-outs left."""
    thirties: Pair = Pair(2, 2)
    warned: tuple[Colour, ...] = ()
    """Teams that have had their delay warning."""
    places: dict[Person, PointFt] = field(default_factory=dict)
    """The taught place each had at the last disposal, in feet; a person without one is left out."""

    @property
    def trail(self) -> Person | None:
        """The person who is trail."""
        return None if self.lead is None else other_person(self.lead)

    @property
    def trail_side(self) -> TableSide | None:
        """The sideline nearer to the trail."""
        return None if self.lead_side is None else other_side(self.lead_side)

    def attacks(self, colour: Colour) -> Basket:
        """The basket a team attacks now; baskets change at half-time only."""
        first = self.white_attacks_first if colour == "white" else other_basket(self.white_attacks_first)
        return other_basket(first) if self.period >= 3 else first

    def role_of(self, person: Person) -> Role | None:
        """The role a person has."""
        return None if self.lead is None else ("lead" if person == self.lead else "trail")


class Opening(Struct, frozen=True, kw_only=True):
    """What is known before the first row: names, floor, settings, and where things stand.

    A game from its start needs nothing but the basket White attacks; a film that begins later says the rest.
    """

    title: str = ""
    date: str | None = None
    referee: str = "Referee"
    umpire: str = "Umpire"
    white: str = "White"
    dark: str = "Dark"
    floor: Floor | None = None
    settings: tuple[tuple[str, str], ...] = ()
    standing: Standing = Standing()

    def name_of(self, who: Person | Colour) -> str:
        """The name of a person or a team."""
        return str(getattr(self, who))


class Stoppage(Struct, frozen=True, kw_only=True):
    """One row as it was written; what is left out is filled from what is known.

    >>> Stoppage(row=2, why="held_ball", at=(0, 0)).ball is None
    True
    """

    row: int
    why: Why
    at: PointUm | None = None
    ball: Colour | None = None
    """The team that is given the ball (or has it now)."""
    by: Colour | None = None
    """The team that did it: fouled, scored, touched it last, broke the rule, asked for time."""
    had: Colour | None = None
    """The team that had the ball, where a change of control was not written down."""
    called_by: Caller | None = None
    period: int | None = None
    clock: int | None = None
    throw_in: ThrowInState | None = None
    length: int | None = None
    """60 or 30, for a time-out."""
    bonus: bool | None = None
    pressure: bool = False
    note: str = ""


def clock_words(tenths: int) -> str:
    """Return a game clock as it is read out.

    >>> clock_words(4520), clock_words(34)
    ('7:32', '0:03.4')
    """
    minutes, rest = divmod(tenths, 600)
    seconds, tenth = divmod(rest, 10)
    return f"{minutes}:{seconds:02d}" + (f".{tenth}" if tenth else "")


class Fault(Struct, frozen=True):
    """One mistake and the row it is in."""

    row: int
    problem: Problem


class Disposal(Struct, frozen=True):
    """One moment the ball is put in play: what the book says, and where the two persons are then."""

    ruling: Ruling
    lead: Person | None
    lead_side: TableSide | None
    posts: dict[Person, Post]
    ran_ft: dict[Person, float]
    """Feet at least run from the place before; a person whose places are not both known is left out."""
    handled_by: Person | None
    switch: bool | None


class Walked(Struct, frozen=True, kw_only=True):
    """One row after the walk: as written, the question it came to, the answer, and before and after."""

    stoppage: Stoppage
    situation: Situation
    before: Standing
    """With the throw-in before it ended or still due, and the arrow turned if it ended."""
    after: Standing
    disposals: tuple[Disposal, ...]
    """One; two where free throws with an empty lane are followed by a throw-in."""
    two_shots: str = ""
    """Where team fouls decide: ``two``, ``one-and-one`` or empty."""
    resumes: int | None = None
    """The row whose free throws are taken up again after this stoppage."""
    taken: tuple[str, ...] = ()
    """What was not written and was taken from what is known."""
    open: tuple[str, ...] = ()
    """What the book leaves open here."""

    @property
    def ruling(self) -> Ruling:
        """The ruling on the stoppage itself."""
        return self.disposals[0].ruling

    @property
    def switch(self) -> bool | None:
        """Whether the crew switched on this stoppage."""
        return self.disposals[0].switch

    def ran_ft(self, person: Person) -> float | None:
        """Feet this person at least ran for this row; None where no place is known."""
        legs = [d.ran_ft[person] for d in self.disposals if person in d.ran_ft]
        return round(sum(legs), 1) if legs else None


class Share(Struct, frozen=True):
    """What one person did in one period."""

    period: int
    person: Person
    restarts: int
    handled: int
    ran_ft: float
    """At least this much, between taught places."""


class Question(Struct, frozen=True):
    """Something to ask an interpreter, and the rows where it comes up."""

    about: str
    why: str
    rows: tuple[int, ...]


class Walk(Struct, frozen=True):
    """A walked game."""

    book_title: str
    book_digest: str
    opening: Opening
    rows: tuple[Walked, ...]
    shares: tuple[Share, ...]
    switches: tuple[tuple[int, int], ...]
    """(period, switches of the crew)."""
    questions: tuple[Question, ...]
