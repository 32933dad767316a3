"""Decides a restart: works out where and for whom, asks the tables in order, and answers with reasons.

Holds no rule of its own: which spot, who, how and what follows are rows of the book; here is only what the
rows' words mean on the floor. A request walks through once; nothing is kept from one answer to the next.
"""

from __future__ import annotations

from typing import Any

from tenbetween.book.index import Desk, Hit, tables_of
from tenbetween.book.load import Book
from tenbetween.book.near import near_line
from tenbetween.book.spots import Placed, place_spot, set_place_features
from tenbetween.court import Court, court_of, depth, post, side_of
from tenbetween.situation import (
    Administers,
    Basket,
    Count,
    NotCovered,
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
    other_role,
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
    return _Case(book, situation, tables_of(book, situation.settings), after_throws=False).ruling()


class _Case:
    """One situation on its way through the tables; filled step by step, read once."""

    __slots__ = (
        "attacks", "book", "court", "f", "handles", "not_covered", "old_lead", "old_trail", "placed", "reasons",
        "s", "shooters_open", "side_after", "spot_side", "spot_side_known", "tables", "tie",
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
        self.old_lead: Role | None = None
        self.old_trail: Role | None = None
        self.handles = "open"
        self.placed: Placed | None = None
        self.spot_side: TableSide = lead_side
        self.spot_side_known = False
        self.side_after: TableSide | None = None
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
        """Walk through the tables in order and put the ruling together."""
        f = self.f
        if f["after_throws"] == "no":
            restart = self.ask("restart")
            f["restart"] = restart["restart"] if restart else "open"
            f["throws"] = restart["throws"] if restart else "none"
            if restart is None:
                return self.nothing()
            self.shooters_open = "shooters" in restart
        if f["restart"] == "throw_in":
            self.settle_spot()
        elif self.s.at is not None:
            set_place_features(self, self.s.at)
        self.settle_run()
        self.settle_roles()
        self.settle_who()
        self.settle_sides()
        return self.put_together()

    def settle_spot(self) -> None:
        """Ask which kind of spot, and put it on the floor."""
        self.placed = place_spot(self)
        placed = self.placed
        if placed is None or placed.line is None:
            return
        self.f["line"] = placed.line
        if placed.line != "division_line":
            self.f["part"] = placed.part
            self.f["level"] = (
                depth(self.court, placed.at, self.attacks) if placed.part == "frontcourt" else "open"
            )
        if placed.kind == "own_end_line":
            return
        self.spot_side = side_of(self.court, placed.at, self.tie)
        self.spot_side_known = True
        in_the_lane = (
            placed.line == "end_line"
            and self.court.elbow <= placed.at[1] <= self.court.width - self.court.elbow
        )
        if self.s.lead_side and not in_the_lane:
            self.f["sideline_of"] = "lead" if self.spot_side == self.s.lead_side else "trail"

    def settle_run(self) -> None:
        """Ask whether the team may run the end line; then there is no spot."""
        if self.f["restart"] not in ("throw_in", "free_throws"):
            return
        run = self.ask("run")
        self.f["run"] = run["run"] if run else "no"

    def settle_roles(self) -> None:
        """Ask who is lead and trail at disposal."""
        outcome = self.ask("roles")
        if outcome is None:
            return
        kind = outcome["roles"]
        if kind in ("referee_is_trail", "tosser_becomes_trail"):
            return
        stays = self.f["direction"] == "same"
        if kind == "caller_is_trail":
            stays = self.s.called_by == "trail"
        elif kind == "nobody_changes":
            stays = True
        elif kind == "exchanged":
            stays = not stays
        self.old_lead, self.old_trail = ("lead", "trail") if stays else ("trail", "lead")
        self.f["old_lead_is"] = self.old_lead
        if self.f["sideline_of"] != "open":
            self.f["owner_now"] = self.old_lead if self.f["sideline_of"] == "lead" else self.old_trail

    def settle_who(self) -> None:
        """Ask who handles the ball."""
        who = self.ask("who")
        self.handles = who["handles"] if who else "open"
        role = {"referee_as_trail": "trail", "referee": "trail"}.get(self.handles, self.handles)
        self.f["handles"] = role

    def settle_sides(self) -> None:
        """Ask how the sides are shared, and work out the lead's side at disposal."""
        sides = self.ask("sides")
        if sides is None:
            return
        if sides["sides"] == "trail_opposite_the_table":
            self.side_after = "table"
        elif self.f["handles"] in ("lead", "trail") and self.spot_side_known and self.f["run"] == "no":
            self.side_after = self.spot_side if self.f["handles"] == "lead" else other_side(self.spot_side)
        elif self.old_lead is not None and self.s.lead_side:
            self.side_after = self.s.lead_side if self.old_lead == "lead" else other_side(self.s.lead_side)
        else:
            self.leave_open("lead_side_after", "who is lead and on which side is open")

    def nothing(self) -> Ruling:
        """The ruling when even the restart is open: every part is, and says so."""
        for part in PARTS[1:]:
            self.leave_open(part, "what restarts play is open")
        return Ruling(
            situation=self.s, restart=None, not_covered=tuple(self.not_covered), caution=self.caution()
        )

    # -- putting together -------------------------------------------------------------------------------

    def put_together(self) -> Ruling:
        """Ask the remaining tables and return the frozen ruling."""
        f, s, placed = self.f, self.s, self.placed
        delivery = self.ask("delivery")
        f["delivered"] = delivery["delivery"] if delivery else "open"
        stands = self.ask("stands")
        count = self.count()
        clock = self.ask("clock")
        chop = self.ask("chop")
        lines = self.lines()
        watches = self.watches()
        places, waiting = self.posts(), self.waiting()
        steps, duties = self.steps(), self.duties()
        jump = f["restart"] == "jump_ball"
        run = f["run"] == "yes"
        fixed = placed is not None and not run
        return Ruling(
            situation=s,
            restart=None if f["restart"] == "open" else f["restart"],  # type: ignore[arg-type]
            spot=placed.at if fixed and placed else None,
            line="end_line" if run else (placed.line if placed else None),
            near=near_line(self) if fixed else None,
            moved_ft=placed.moved_ft if placed else 0.0,
            attacking_after=None if jump or self.shooters_open else self.attacks,
            court_part="backcourt" if run else self.court_part(),
            may_run_end_line=self.may_run(),
            delivery=delivery["delivery"] if delivery else None,
            administers=self.administers(),
            switch=self.switch(),
            roles_after=RolesAfter(self.old_lead, self.old_trail)
            if self.old_lead and self.old_trail
            else None,
            lead_side_after=self.side_after,
            places=places,
            waiting=waiting,
            stands=stands["stands"] if stands else None,
            count=count,
            clock_starts=clock["clock"] if clock else None,
            chop=self.choppers(chop["chop"]) if chop else None,
            lines=lines,
            watches=watches,
            steps=steps,
            duties=duties,
            reasons=tuple(self.reasons),
            not_covered=tuple(self.not_covered),
            after_free_throws=self.after_free_throws() if f["throws"] == "dead" else None,
            caution=self.caution(),
        )

    def may_run(self) -> bool | None:
        """True or False where the ball is thrown in or thrown free; None where nothing decides it."""
        if self.f["restart"] == "jump_ball":
            return False
        decided = any(r.decides == "may_run_end_line" for r in self.reasons)
        return self.f["run"] == "yes" if decided else None

    def court_part(self) -> Any:
        """Front or back court of the team throwing in; None level with the division line."""
        if self.f["restart"] == "free_throws":
            return "frontcourt"
        return None if self.f["part"] == "neither" else self.f["part"]

    def switch(self) -> bool | None:
        """True exactly when roles differ from what direction alone gives; at a start nothing is exchanged."""
        if self.shooters_open:
            self.leave_open("attacking_after", "which team shoots is not part of this situation")
            self.leave_open("switch", "which way play goes for the throws is open")
            return None
        if self.old_lead is None:
            return False if any(r.decides == "roles_after" for r in self.reasons) else None
        return (self.old_lead == "lead") != (self.f["direction"] == "same")

    def administers(self) -> Administers | None:
        """Who handles the ball, by his role before and at disposal."""
        if self.handles in ("nobody", "open"):
            return None
        if self.handles in ("referee_as_trail", "referee"):
            return Administers("either", "trail", "referee")
        now: Role = "lead" if self.handles == "lead" else "trail"
        if self.old_lead is None:
            return Administers("either", now)
        was: Role = "lead" if self.old_lead == now else "trail"
        return Administers(was, now, person_of(was, self.s))

    def count(self) -> Count | None:
        """The count of the restart and who keeps it."""
        c = self.ask("count")
        if c is None:
            return None
        by = c.get("by", "")
        if by == "administering":
            by = "" if self.f["handles"] == "open" else self.f["handles"]
        return Count(c["seconds"], c["begins"], c["ends"], c.get("visible"), by, c.get("arm", "free"))

    def choppers(self, who: Any) -> tuple[str, ...] | None:
        """The officials who chop, in order, by role; open when it is the one who gives the ball and he is open."""
        role = self.f["handles"]
        if role == "open" and "administering" in (who if isinstance(who, tuple) else (who,)):
            self.leave_open("chop", "who gives the ball is open, so who chops is open too")
            return None
        partner = other_role("lead" if role == "lead" else "trail")
        named: dict[str, str] = {"administering": role, "partner": partner}
        listed: tuple[str, ...] = who if isinstance(who, tuple) else (who,)
        return tuple(dict.fromkeys(named.get(one, one) for one in listed))

    def lines(self) -> dict[str, str] | None:
        """Who has which boundary line after the restart, by the lead's side then."""
        got = self.ask("lines")
        if got is None:
            return None
        if self.side_after is None:
            self.leave_open(
                "lines.sidelines", "the lead's side is open, so whose sideline is which is open too"
            )
            ends = ("frontcourt_end_line", "backcourt_end_line", "division_line")
            return {line: got[line] for line in ends}
        mine, his = _SIDELINES[self.side_after], _SIDELINES[other_side(self.side_after)]
        return {
            "frontcourt_end_line": got["frontcourt_end_line"],
            "backcourt_end_line": got["backcourt_end_line"],
            mine: got["lead_sideline"],
            his: got["trail_sideline"],
            "division_line": got["division_line"],
        }

    def watches(self) -> dict[str, str] | None:
        """Whom each official watches at disposal."""
        got = self.ask("watch")
        if got is None:
            return None
        if "lead" in got or "trail" in got:
            return {role: got[role] for role in ("lead", "trail") if role in got}
        trail_first = self.f["handles"] != "lead"
        mine, his = got["administering"], got["partner"]
        return {"lead": his if trail_first else mine, "trail": mine if trail_first else his}

    def posts(self) -> dict[str, Post] | None:
        """Where both stand at disposal."""
        got = self.ask("places")
        if got is None:
            return None
        side = self.side_after
        if side is None:
            if self.f["restart"] != "jump_ball":
                self.leave_open("places", "the lead's side is not known")
                return None
            side = "table"
        at = self.placed.at if self.placed else None
        lead = post(self.court, got["lead"], self.attacks, side, at)
        return {"lead": lead, "trail": post(self.court, got["trail"], self.attacks, other_side(side), at)}

    def waiting(self) -> dict[str, Post] | None:
        """Where each stands while a time-out or break between periods runs."""
        got = self.ask("waiting")
        if got is None:
            return None
        at = self.placed.at if self.placed else None
        return {who: post(self.court, name, self.attacks, "table", at) for who, name in got.items()}

    def steps(self) -> tuple[Step, ...]:
        """The ordered acts of the crew, with the words of this spot filled in."""
        rows = self.tables["steps"].collect(self.f)
        line = self.line_words()
        steps = []
        for provision, row in rows:
            then = dict(row.then)
            moves = then.get("moves", "")
            if moves and not self.moves(moves):
                continue
            act = then["act"]
            act = act.replace("{line}", line) if "{line}" in act else act
            steps.append(Step(then["by"], act, then.get("signal", "none"), provision.id, moves))
        return tuple(steps)

    def moves(self, who: str) -> bool:
        """True when that person changes role, and so has a way to go."""
        now = self.old_lead if who == "old_lead" else self.old_trail
        return now is not None and (now == "lead") != (who == "old_lead")

    def line_words(self) -> str:
        """The line of the spot as it is said on the floor."""
        if self.f["run"] == "yes" or self.f["line"] == "end_line":
            return "end line"
        if self.f["line"] == "open":
            return "line"
        side = "table sideline" if self.spot_side == "table" else "opposite sideline"
        return f"{side}, level with the division line" if self.f["line"] == "division_line" else side

    def duties(self) -> tuple[str, ...]:
        """Every provision of duty that applies, once, in the order of the book."""
        rows = self.tables["duties"].collect(self.f)
        return tuple(dict.fromkeys(p.id for p, _ in rows))

    def after_free_throws(self) -> Ruling | None:
        """The throw-in after throws with a dead ball, asked as a situation of its own."""
        s = self.s
        person = person_of("lead" if self.old_lead == "lead" else "trail", s) if self.old_lead else None
        follow = Situation(
            edition=s.edition,
            attacking=self.attacks,
            stopped_by=s.stopped_by,
            floor=s.floor,
            layers=s.layers,
            settings=s.settings,
            date=s.date,
            lead_side=self.side_after or "table",
            lead_person=person,
            at=s.at,
            ball_to="same",
            pressure=s.pressure,
            clock=s.clock,
        )
        return _Case(self.book, follow, self.tables, after_throws=True).ruling()

    def caution(self) -> str:
        """The sentence that says who decides."""
        articles = sorted({r.section for r in self.reasons if r.section})
        layers = [
            f" with {layer.title} as entered on {layer.entered or 'no date'}" for layer in self.book.layers
        ]
        named = self.book.edition.title + "".join(layers)
        return CAUTION.format(book=named, articles=", " + ", ".join(articles) if articles else "")
