"""Decides a restart: works out where and for whom, asks the tables in order, and answers with reasons.

Holds no rule of its own: which spot, who, how and what follows are rows of the book; here is only what the
rows' words mean on the floor. A request walks through once; nothing is kept from one answer to the next.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from tenbetween.book.alike import Alike, alike
from tenbetween.book.index import Desk, Hit, tables_of
from tenbetween.book.load import Book
from tenbetween.book.near import near_lines
from tenbetween.book.spots import Placed, place_spot, set_place_features
from tenbetween.court import Court, court_of, depth, post, side_of
from tenbetween.situation import (
    Administers,
    Basket,
    NotCovered,
    PointUm,
    Post,
    Reason,
    Role,
    RolesAfter,
    Ruling,
    Situation,
    Step,
    TableSide,
    Team,
    other_basket,
    other_side,
    person_of,
)

CAUTION = "Training aid. Based on {book}{articles}. Your state association and interpreter decide."
PARTS = (
    "restart", "spot", "attacking_after", "may_run_end_line", "roles_after", "administers", "lead_side_after",
    "delivery", "stands", "count", "clock_starts", "chop", "lines", "watches", "places",
)  # fmt: skip
"""The parts of an answer, as reasons and "not covered" name them."""
_RUNNING = frozenset(("made_goal", "change_of_control"))
_OTHER_TEAM = (
    "made_goal",
    "made_last_free_throw",
    "player_control_foul",
    "team_control_foul",
    "throw_in_violation",
)
_SAME_TEAM = (
    "plane_warning",
    "time_out",
    "inadvertent_whistle",
    "injury",
    "double_foul",
    "shooting_foul",
    "period_start",
)
ONLY_TEAM: dict[str, Team] = {
    **dict.fromkeys(_OTHER_TEAM, "other"),
    "change_of_control": "other",
    **dict.fromkeys(_SAME_TEAM, "same"),
}
"""Causes after which the ball can go to one team only, so that nobody need say which."""
_SIDELINES = {"table": "table_sideline", "opposite": "opposite_sideline"}


def decide(book: Book, situation: Situation) -> Ruling:
    """Return the ruling of a book on a situation, with the reason for every decided part.

    >>> from tenbetween.book import load_book
    >>> goal = Situation(edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table")
    >>> decide(load_book("us-hs-2025"), goal).may_run_end_line
    True

    Raises:
        BookError: a setting the book does not have.
    """
    return Case(book, situation, tables_of(book, situation.settings), after_throws=False).ruling()


class Case:
    """One situation on its way through the tables; filled step by step, read once."""

    __slots__ = (
        "attacks", "book", "court", "f", "not_covered", "placed", "reasons", "s", "shooters_open", "spot_side",
        "spot_side_known", "tables", "tie",
    )  # fmt: skip

    def __init__(self, book: Book, s: Situation, tables: Desk, *, after_throws: bool) -> None:
        self.book, self.s, self.tables = book, s, tables
        self.court: Court = court_of(book.edition.court, s.floor)
        self.shooters_open = False
        self.reasons: list[Reason] = []
        self.not_covered: list[NotCovered] = []
        ball_to = s.ball_to or ONLY_TEAM.get(s.stopped_by)
        self.attacks: Basket = other_basket(s.attacking) if ball_to == "other" else s.attacking
        lead_side = s.lead_side or "table"
        tie = tables["spot"].settings["tie"].value
        self.tie: TableSide = lead_side if tie == "leads_side" else other_side(lead_side)
        self.placed: Placed | None = None
        self.spot_side: TableSide = lead_side
        self.spot_side_known = False
        clock = s.clock or ("running" if s.stopped_by in _RUNNING else "stopped")
        self.f: dict[str, str] = {
            "cause": s.stopped_by,
            "ball_to": ball_to or "unsaid",
            "pending": s.pending or "nothing",
            "caller": s.called_by or "unsaid",
            "bonus": "yes" if s.bonus else "no",
            "pressure": "yes" if s.pressure else "no",
            "clock": clock,
            "roles_known": "yes" if s.lead_side else "no",
            "after_throws": "yes" if after_throws else "no",
            "direction": "reversed" if ball_to == "other" else "same",
            "restart": "throw_in" if after_throws else "open",
            "throws": "none",
            "line": "open",
            "part": "neither",
            "level": "open",
            "sideline_of": "open",
            "run": "no",
            "owner_now": "open",
            "handles": "open",
            "delivered": "open",
            "old_lead_is": "open",
            "place": "unsaid",
            "inside_arc": "unsaid",
            "inside_corner_to_elbow": "unsaid",
            "inside_over_semicircle": "unsaid",
        }

    # -- asking -----------------------------------------------------------------------------------------

    def ask(self, table: str) -> dict[str, Any] | None:
        """Ask one table; note the reason, or what is not covered."""
        hit: Hit = self.tables[table].hit(self.f)
        if hit.reason is not None:
            self.reasons.append(hit.reason)
            return hit.then
        if hit.not_covered is not None:
            self.not_covered.append(hit.not_covered)
        return None

    def leave_open(self, part: str, why: str) -> None:
        """Note a part that cannot be decided because an earlier one is open."""
        self.not_covered.append(NotCovered(part, why))

    # -- walking ----------------------------------------------------------------------------------------

    def ruling(self) -> Ruling:
        """Walk to the spot, take what all such situations share, and put the ruling together."""
        if not self.to_the_spot():
            return self.nothing()
        return self.put_together(alike(self.tables, self.f))

    def to_the_spot(self) -> bool:
        """Settle what restarts play and where; False when not even the restart is known."""
        f = self.f
        if f["after_throws"] == "no":
            restart = self.ask("restart")
            f["restart"] = restart["restart"] if restart else "open"
            f["throws"] = restart["throws"] if restart else "none"
            if restart is None:
                return False
            self.shooters_open = "shooters" in restart
        if f["restart"] == "throw_in":
            self.settle_spot()
        elif self.s.at is not None:
            set_place_features(self, self.s.at)
        return True

    def settle_spot(self) -> None:
        """Ask which kind of spot, and put it on the floor."""
        placed = self.placed = place_spot(self)
        if placed is None or placed.line is None:
            return
        f = self.f
        f["line"] = placed.line
        if placed.line != "division_line":
            f["part"] = placed.part
            f["level"] = depth(self.court, placed.at, self.attacks) if placed.part == "frontcourt" else "open"
        if placed.kind == "own_end_line":
            return
        self.spot_side = side_of(self.court, placed.at, self.tie)
        self.spot_side_known = True
        elbow, y = self.court.elbow, placed.at[1]
        in_the_lane = placed.line == "end_line" and elbow <= y <= self.court.width - elbow
        if self.s.lead_side and not in_the_lane:
            f["sideline_of"] = "lead" if self.spot_side == self.s.lead_side else "trail"

    def nothing(self) -> Ruling:
        """The ruling when even the restart is open: every part is, and says so."""
        for part in PARTS[1:]:
            self.leave_open(part, "what restarts play is open")
        return Ruling(
            situation=self.s,
            restart=None,
            not_covered=tuple(self.not_covered),
            caution=caution(self.book, frozenset()),
        )

    # -- putting together -------------------------------------------------------------------------------

    def put_together(self, a: Alike) -> Ruling:
        """Return the frozen ruling: the shared part, and where and on which side things are here."""
        f, s, placed = self.f, self.s, self.placed
        self.not_covered += a.not_covered
        side = self.side_after(a)
        run = a.run is True
        near, also_near = near_lines(self, a) if placed and not run else (None, None)
        reasons = (*self.reasons, *a.reasons)
        return Ruling(
            situation=s,
            restart=f["restart"],  # type: ignore[arg-type]
            spot=placed.at if placed and not run else None,
            line="end_line" if run else (placed.line if placed else None),
            near=near,
            also_near=also_near,
            moved_ft=placed.moved_ft if placed else 0.0,
            attacking_after=None if f["restart"] == "jump_ball" or self.shooters_open else self.attacks,
            court_part="backcourt" if run else self.court_part(),
            may_run_end_line=a.run,
            delivery=a.delivery,
            administers=self.administers(a),
            switch=self.switch(a),
            roles_after=RolesAfter(a.old_lead, a.old_trail) if a.old_lead and a.old_trail else None,
            lead_side_after=side,
            places=self.posts(a, side),
            waiting=self.waiting(a),
            stands=a.stands,
            count=a.count,
            clock_starts=a.clock,
            chop=a.chop,
            lines=self.lines(a, side),
            watches=a.watches,
            steps=self.steps(a),
            duties=a.duties,
            reasons=reasons,
            not_covered=tuple(self.not_covered),
            after_free_throws=self.after_free_throws(a, side) if f["throws"] == "dead" else None,
            caution=caution(self.book, frozenset([r.section for r in reasons if r.section])),
        )

    def side_after(self, a: Alike) -> TableSide | None:
        """The lead's side at disposal: each keeps his sideline unless the spot draws one across."""
        if a.sides is None:
            return None
        if a.sides == "trail_opposite_the_table":
            return "table"
        if a.role in ("lead", "trail") and self.spot_side_known and not a.run:
            return self.spot_side if a.role == "lead" else other_side(self.spot_side)
        if a.old_lead is not None and self.s.lead_side:
            return self.s.lead_side if a.old_lead == "lead" else other_side(self.s.lead_side)
        self.leave_open("lead_side_after", "who is lead and on which side is open")
        return None

    def court_part(self) -> Any:
        """Front or back court of the team throwing in; None level with the division line."""
        if self.f["restart"] == "free_throws":
            return "frontcourt"
        return None if self.f["part"] == "neither" else self.f["part"]

    def switch(self, a: Alike) -> bool | None:
        """True exactly when roles differ from what direction alone gives; at a start nothing is exchanged."""
        if self.shooters_open:
            self.leave_open("attacking_after", "which team shoots is not part of this situation")
            self.leave_open("switch", "which way play goes for the throws is open")
            return None
        if a.old_lead is None:
            return False if a.starts else None
        return (a.old_lead == "lead") != (self.f["direction"] == "same")

    def administers(self, a: Alike) -> Administers | None:
        """Who handles the ball, by his role before and at disposal."""
        if a.handles in ("nobody", "open"):
            return None
        if a.handles in ("referee_as_trail", "referee"):
            return Administers("either", "trail", "referee")
        now: Role = "lead" if a.handles == "lead" else "trail"
        if a.old_lead is None:
            return Administers("either", now)
        was: Role = "lead" if a.old_lead == now else "trail"
        return Administers(was, now, person_of(was, self.s))

    def lines(self, a: Alike, side: TableSide | None) -> dict[str, str] | None:
        """Who has which boundary line after the restart, by the lead's side then."""
        got = a.lines
        if got is None:
            return None
        owners = {line: got[line] for line in ("frontcourt_end_line", "backcourt_end_line", "division_line")}
        if side is None:
            why = "the lead's side is open, so whose sideline is which is open too"
            self.leave_open("lines.sidelines", why)
            return owners
        owners[_SIDELINES[side]] = got["lead_sideline"]
        owners[_SIDELINES[other_side(side)]] = got["trail_sideline"]
        return owners

    def fixed_spot(self) -> PointUm | None:
        """The spot, or None where there is none or any point of the end line will do."""
        return self.placed.at if self.placed and self.placed.kind != "own_end_line" else None

    def posts(self, a: Alike, side: TableSide | None) -> dict[str, Post] | None:
        """Where both stand at disposal."""
        if a.places is None:
            return None
        if side is None:
            if self.f["restart"] != "jump_ball":
                self.leave_open("places", "the lead's side is not known")
                return None
            side = "table"
        at = self.fixed_spot()
        return {
            "lead": post(self.court, a.places["lead"], self.attacks, side, at),
            "trail": post(self.court, a.places["trail"], self.attacks, other_side(side), at),
        }

    def waiting(self, a: Alike) -> dict[str, Post] | None:
        """Where each stands while a time-out or break between periods runs."""
        if a.waiting is None:
            return None
        at = self.fixed_spot()
        return {who: post(self.court, name, self.attacks, "table", at) for who, name in a.waiting.items()}

    def steps(self, a: Alike) -> tuple[Step, ...]:
        """The ordered acts of the crew, with the line of this spot filled in."""
        line = self.line_words(a)
        found = a.steps_by_line.get(line)
        if found is None:
            found = a.steps_by_line[line] = tuple(
                Step(s.by, s.act.replace("{line}", line), s.signal, s.provision, s.moves) for s in a.steps
            )
        return found

    def line_words(self, a: Alike) -> str:
        """The line of the spot as it is said on the floor."""
        line = self.f["line"]
        if a.run or line == "end_line":
            return "end line"
        if line == "open":
            return "line"
        side = "table sideline" if self.spot_side == "table" else "opposite sideline"
        return f"{side}, level with the division line" if line == "division_line" else side

    def after_free_throws(self, a: Alike, side: TableSide | None) -> Ruling:
        """The throw-in after throws with a dead ball, asked as a situation of its own."""
        s = self.s
        follow = Situation(
            edition=s.edition,
            attacking=self.attacks,
            stopped_by=s.stopped_by,
            floor=s.floor,
            layers=s.layers,
            settings=s.settings,
            date=s.date,
            lead_side=side or "table",
            lead_person=person_of(a.old_lead, s) if a.old_lead else None,
            at=s.at,
            ball_to="same",
            pressure=s.pressure,
            clock=s.clock,
        )
        return Case(self.book, follow, self.tables, after_throws=True).ruling()


@lru_cache(maxsize=512)
def caution(book: Book, articles: frozenset[str]) -> str:
    """Return the sentence that says what an answer rests on and who decides."""
    entered = [f" with {one.title} as entered on {one.entered or 'no date'}" for one in book.layers]
    listed = ", " + ", ".join(sorted(articles)) if articles else ""
    return CAUTION.format(book=book.edition.title + "".join(entered), articles=listed)
