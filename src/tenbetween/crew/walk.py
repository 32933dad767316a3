"""Walks a game: keeps two persons, their roles and sides through every row, and asks the book at each.

The answer is the book's; the bookkeeping is ``rows`` and ``counts``. Here a ruling, which speaks of roles, is
turned into persons, places and a next standing. A game with mistakes is not walked: all of them are named.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import dist
from typing import cast

from msgspec import structs

from tenbetween.book import Book, decide
from tenbetween.court import Court, court_of, half, post
from tenbetween.crew import counts
from tenbetween.crew.invariants import broken
from tenbetween.crew.rows import BY_ARROW, JUMPS, KEEPS, STARTS, Settled, Table, settle
from tenbetween.crew.sums import questions, shares, switches
from tenbetween.crew.values import (
    PERSONS,
    Colour,
    Disposal,
    Due,
    Fault,
    Opening,
    Standing,
    Stoppage,
    Throws,
    Walk,
    Walked,
    other_person,
)
from tenbetween.errors import Problem, SituationError
from tenbetween.situation import (
    Pending,
    Person,
    PointFt,
    Post,
    Ruling,
    Situation,
    TableSide,
    other_side,
)


def walk(book: Book, opening: Opening, stoppages: Iterable[Stoppage], *, known: Iterable[Fault] = ()) -> Walk:
    """Return a game walked row by row; ``known`` are mistakes already found on reading the rows.

    >>> from tenbetween.book import load_book
    >>> rows = [Stoppage(row=1, why="game_start", ball="dark"), Stoppage(row=2, why="made_goal")]
    >>> walked = walk(load_book("us-hs-2025"), Opening(), rows).rows[-1]
    >>> walked.before.lead, walked.after.lead, walked.after.arrow
    ('umpire', 'referee', 'white')

    Raises:
        SituationError: every mistake of every row; nothing is half walked.
    """
    walker = _Walker(book, opening, tuple(known))
    for stoppage in stoppages:
        walker.take(stoppage)
    if walker.faults:
        raise SituationError(fault.problem for fault in sorted(walker.faults, key=lambda f: f.row))
    rows = tuple(walker.rows)
    return Walk(book.title, book.digest, opening, rows, shares(rows), switches(rows), questions(rows))


class _Walker:
    """A game under way: the standing, the rows walked and the mistakes found so far."""

    def __init__(self, book: Book, opening: Opening, known: tuple[Fault, ...]) -> None:
        self.book, self.opening = book, opening
        self.court = court_of(book.edition.court, opening.floor)
        self.table = Table(
            self.court,
            opening,
            counts.bonus_rule(book),
            counts.counts_time_outs(book),
            book.court_kind == "us-hs",
        )
        self.standing = opening.standing
        self.faults: list[Fault] = list(known)
        self.misread = {fault.row for fault in known}
        self.rows: list[Walked] = []
        self.lost = False

    def take(self, stoppage: Stoppage) -> None:
        """Take one row: walk it, or note its mistakes and go on with what it leaves known."""
        misread = stoppage.row in self.misread
        row = settle(self.table, self.standing, stoppage, lost=self.lost or misread)
        # What a misread row seems to lack may stand in the cell that could not be read: no second blame.
        self.faults += [] if misread else row.faults
        if misread or row.faults or (row.had is None and stoppage.why not in STARTS) or row.ball is None:
            self.limp(row)
            return
        self.lost = False
        self.advance(row)

    def limp(self, row: Settled) -> None:
        """Go on after a mistake: what was due is open, and whose ball it is if the mistake was there."""
        standing = counts.foul_counted(row.before, row.stoppage.why, row.by)
        whose = any(fault.problem.where.endswith((", by", ", ball", ", had")) for fault in row.faults)
        control = None if whose else row.ball
        self.standing = structs.replace(standing, control=control, due=None, throws=None)
        self.lost = True

    def advance(self, row: Settled) -> None:
        """Ask the book and take the next standing from its ruling."""
        before = row.before
        situation = situation_of(self.book, self.opening, row)
        throws = before.throws
        ruling = throws.ruling if row.resumes and throws else decide(self.book, situation)
        counted = _counted(row)
        disposals = _disposals(row, ruling, counted, _while_live(self.court, row, situation))
        after = self.after(row, ruling, counted, disposals[-1])
        walked = Walked(
            stoppage=row.stoppage,
            situation=situation,
            before=before,
            after=after,
            disposals=disposals,
            two_shots=row.two_shots,
            resumes=throws.row if row.resumes and throws else None,
            taken=(*row.taken, *_taken(row, ruling)),
            open=_open(ruling),
        )
        for what in broken(self.court, walked):
            do = "look at the rows named as its reasons (book check finds them) and at the layers on top"
            self.faults.append(
                Fault(
                    row.stoppage.row,
                    Problem(f"row {row.stoppage.row}", what, "a result a crew can carry out", do),
                )
            )
        self.rows.append(walked)
        self.standing = after

    def after(self, row: Settled, ruling: Ruling, counted: Standing, last: Disposal) -> Standing:
        """The standing when the ball is at disposal, or in play again."""
        arrow = _arrow_after(row, ruling)
        resumed = row.before.throws if row.resumes else None
        live = ruling.restart == "free_throws" and ruling.after_free_throws is None
        ball = cast("Colour", row.ball)
        throws = resumed or (Throws(ball, row.stoppage.row, ruling) if live else None)
        return structs.replace(
            counted,
            control=ball,
            lead=last.lead,
            lead_side=last.lead_side,
            arrow=arrow,
            due=_due_after(row, last.ruling, ball),
            throws=throws,
            places={person: post.at for person, post in last.posts.items()},
        )


def situation_of(book: Book, opening: Opening, row: Settled) -> Situation:
    """Return the question a row comes to."""
    start = row.stoppage.why in STARTS
    jump = row.stoppage.why in JUMPS
    had = cast("Colour", row.ball if start else row.had)
    before = row.before
    why = "change_of_control" if row.stoppage.why == "missed_last_free_throw" else row.stoppage.why
    return Situation(
        edition=book.id,
        attacking=before.attacks(had),
        stopped_by=why,
        floor=opening.floor,
        layers=tuple(layer.id for layer in book.layers),
        settings=opening.settings,
        date=opening.date,
        lead_side=None if jump else (before.lead_side or "table"),
        lead_person=None if jump else before.lead,
        at=row.at if not start else None,
        ball_to=None if jump else ("same" if row.ball == had else "other"),
        pending=row.pending,
        called_by=row.caller,
        bonus=bool(row.two_shots),
        pressure=row.stoppage.pressure,
    )


def _counted(row: Settled) -> Standing:
    """The standing with this row's foul, time-out or warning on the scorer's sheet."""
    why, by = row.stoppage.why, row.by
    standing = counts.foul_counted(row.before, why, by)
    if why == "time_out" and by and row.length:
        standing = counts.time_out_taken(standing, by, row.length)
    if why == "plane_warning" and by:
        standing = structs.replace(standing, warned=(*standing.warned, by))
    return standing


# -- persons and places ----------------------------------------------------------------------------


def _while_live(court: Court, row: Settled, situation: Situation) -> dict[Person, PointFt]:
    """Where both must have been just before play stopped: at the end where a team had the ball in its front court.

    Empty where nothing says so: the ball was not live, or play stopped in the back court.
    """
    before = row.before
    waiting = situation.pending or before.due or before.throws
    if waiting or before.lead is None or before.lead_side is None or situation.stopped_by in STARTS:
        return {}
    at, attacked = situation.at, situation.attacking
    in_front = at is not None and half(court, at, attacked) == "frontcourt"
    if not in_front and situation.stopped_by not in ("made_goal", "shooting_foul"):
        return {}
    lead = post(court, "lead_end_line", attacked, before.lead_side, None)
    trail = post(court, "trail_28", attacked, other_side(before.lead_side), None)
    return {before.lead: lead.at, other_person(before.lead): trail.at}


def _disposals(
    row: Settled, ruling: Ruling, standing: Standing, via: dict[Person, PointFt]
) -> tuple[Disposal, ...]:
    """The moments the ball is put in play: the restart, and the throw-in after throws with an empty lane."""
    if row.resumes:
        first = _placed(ruling, standing.lead, standing.lead_side, standing.places, switch=False)
        return (first,)
    lead, side = crew_after(ruling, standing)
    first = _placed(ruling, lead, side, standing.places, switch=ruling.switch, via=via)
    follow = ruling.after_free_throws
    if follow is None:
        return (first,)
    then = structs.replace(standing, lead=lead, lead_side=side)
    lead, side = crew_after(follow, then)
    from_there = {**standing.places, **{p: post.at for p, post in first.posts.items()}}
    return (first, _placed(follow, lead, side, from_there, switch=follow.switch))


def crew_after(ruling: Ruling, standing: Standing) -> tuple[Person | None, TableSide | None]:
    """Who is lead, and on which side, once the ball is at disposal."""
    situation = ruling.situation
    lead = standing.lead
    if ruling.restart == "jump_ball" or situation.stopped_by in STARTS:
        lead = "umpire"
    elif ruling.roles_after is not None and lead is not None:
        lead = lead if ruling.roles_after.old_lead == "lead" else other_person(lead)
    elif lead is not None and situation.ball_to == "other":
        lead = other_person(lead)
    side = ruling.lead_side_after
    if side is None and ruling.restart == "jump_ball":
        side = "table"
    elif side is None and standing.lead_side is not None:
        side = standing.lead_side if lead == standing.lead else other_side(standing.lead_side)
    return lead, side


def _placed(
    ruling: Ruling,
    lead: Person | None,
    side: TableSide | None,
    before: dict[Person, PointFt],
    *,
    switch: bool | None,
    via: dict[Person, PointFt] | None = None,
) -> Disposal:
    """Put the two persons on the places of their roles, and measure the straight ways from where they were,
    by way of where the play had taken them.
    """
    posts: dict[Person, Post] = {}
    if lead is not None and ruling.places is not None:
        posts = {p: ruling.places["lead" if p == lead else "trail"] for p in PERSONS}
    ran = {p: _way(before[p], (via or {}).get(p), posts[p].at) for p in PERSONS if p in before and p in posts}
    return Disposal(ruling, lead, side, posts, ran, _handler(ruling, lead), switch)


def _way(start: PointFt, over: PointFt | None, end: PointFt) -> float:
    way = dist(start, end) if over is None else dist(start, over) + dist(over, end)
    return round(way, 1)


def _handler(ruling: Ruling, lead: Person | None) -> Person | None:
    given = ruling.administers
    if given is None or lead is None:
        return None
    return lead if given.now == "lead" else other_person(lead)


# -- the arrow and what is due ---------------------------------------------------------------------


def _arrow_after(row: Settled, ruling: Ruling) -> Colour | None:
    """The arrow after this row: set by the tap, lost by the throwing team's own violation, else as it was."""
    before = row.before
    if ruling.restart == "jump_ball":
        return "dark" if row.ball == "white" else "white"
    own_violation = row.stoppage.why in ("violation", "throw_in_violation")
    if own_violation and row.pending and before.due and row.by == before.due.team:
        return counts.throw_in_ended(before).arrow
    return before.arrow


def _due_after(row: Settled, ruling: Ruling, ball: Colour) -> Due | None:
    """The throw-in that has been given; it stays the arrow's own while it is only interrupted."""
    was = row.before.due
    if ruling.restart is None and row.pending is not None:
        return was  # nothing entered says what comes next; what was due is still due
    if ruling.restart != "throw_in":
        return None
    kept = row.stoppage.why in KEEPS and row.pending is not None and was is not None and was.by_arrow
    by_arrow = kept or row.stoppage.why in BY_ARROW or row.stoppage.why == "extra_period_start"
    kind: Pending = "run_end_line" if ruling.may_run_end_line else "spot"
    return Due(
        ball, kind, ruling.spot, by_arrow and ball == row.before.arrow, row.stoppage.row, row.stoppage.clock
    )


# -- what is said about it -------------------------------------------------------------------------


def _taken(row: Settled, ruling: Ruling) -> list[str]:
    """What the walk took as given because neither the row nor the book says it."""
    said = []
    if ruling.restart == "jump_ball":
        said.append("the umpire, who stands at the table side for the toss, is lead on that side after it")
    elif ruling.roles_after is None and row.stoppage.why not in STARTS:
        said.append("roles as direction alone gives them")
    if row.stoppage.why == "extra_period_start":
        said.append("team fouls of the last quarter go on counting, each team has one more time-out of 60 s")
    return said


def _open(ruling: Ruling) -> tuple[str, ...]:
    follow = ruling.after_free_throws
    gaps = (*ruling.not_covered, *(follow.not_covered if follow else ()))
    return tuple(dict.fromkeys(f"{gap.part}: {gap.why}" for gap in gaps))
