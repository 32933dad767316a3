"""A plain second bookkeeper for a walked game, U.S. high school 2025-26, as a chain of if-statements.

Written from the conventions of an answer (5 to 11) and our table of facts (2.9, 2.10, 3.3 to 3.8) alone:
it reads no edition, asks no table, imports nothing of the program. Lengths are feet, the floor 84 by 50.
It also deals out random games, since it knows at every moment what can happen next.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

OTHER = {
    "white": "dark",
    "dark": "white",
    "left": "right",
    "right": "left",
    "table": "opposite",
    "opposite": "table",
}
PARTNER = {"referee": "umpire", "umpire": "referee"}
PLAIN_FOULS = ("common_foul", "player_control_foul", "team_control_foul", "double_foul")
COUNTED = ("common_foul", "player_control_foul", "team_control_foul", "shooting_foul", "intentional_foul", "flagrant_foul", "technical_foul")  # fmt: skip  # noqa: E501
KEEPS = ("plane_warning", "wrong_team", "double_foul", "time_out", "inadvertent_whistle", "injury")


class Book:
    """What a scorer and a trainer would write down, row by row."""

    def __init__(self, white_first: str = "right", *, bonus_by_half: bool = False) -> None:
        self.white_first = white_first
        self.bonus_by_half = bonus_by_half
        self.period = 0
        self.lead = ""
        self.lead_side = ""
        self.control = ""
        self.arrow = ""
        self.due: dict[str, Any] | None = None
        self.shooting = ""
        self.fouls = {"white": 0, "dark": 0}
        self.left = {
            (team, length): (3 if length == 60 else 2) for team in ("white", "dark") for length in (60, 30)
        }
        self.warned: list[str] = []

    def attacks(self, team: str) -> str:
        white = self.white_first if self.period < 3 else OTHER[self.white_first]
        return white if team == "white" else OTHER[white]

    # -- one row ----------------------------------------------------------------------------------------

    def take(self, event: dict[str, Any]) -> None:
        """Write one row down. An event names everything: why, by, ball, at, pending, caller, length."""
        why = event["why"]
        if not event.get("pending"):
            self.end_throw_in()
        if why in ("game_start", "extra_period_start", "period_start"):
            self.begin(why, event)
            return
        if why in ("made_last_free_throw", "missed_last_free_throw"):
            self.shooting = ""
        resumed = bool(self.shooting) and why in KEEPS
        if not resumed:
            self.shooting = ""
        had, ball = self.control, event["ball"]
        self.count(event)
        if resumed:
            return
        was = self.due
        self.due = None
        by_arrow = self.arrow_row(event, was)
        self.control = ball
        if why in ("change_of_control", "missed_last_free_throw"):
            self.turn(had != ball)
        elif why in ("made_goal", "made_last_free_throw"):
            self.turn(True)
            self.due = {"team": ball, "kind": "run_end_line", "at": None, "arrow": False}
        elif self.throws(event):
            self.free_throws(event)
        else:
            self.throw_in(event, had, was, by_arrow)

    def end_throw_in(self) -> None:
        """An arrow throw-in that ended turns the arrow."""
        if self.due and self.due["arrow"]:
            self.arrow = OTHER[self.due["team"]]
        self.due = None

    def begin(self, why: str, event: dict[str, Any]) -> None:
        self.period += 1
        self.shooting = ""
        if self.period <= 4 and (not self.bonus_by_half or self.period == 3):
            self.fouls = {"white": 0, "dark": 0}
        if self.period > 4:
            for team in ("white", "dark"):
                self.left[team, 60] += 1
        # The Referee tosses, or gives the quarter's first ball, and is trail; the Umpire is lead, table side.
        self.lead, self.lead_side = "umpire", "table"
        if why == "period_start":
            self.control = self.arrow
            self.due = {"team": self.arrow, "kind": "spot", "at": (42.0, 50.0), "arrow": True}
        else:
            self.control = event["ball"]
            self.arrow = OTHER[event["ball"]]

    def count(self, event: dict[str, Any]) -> None:
        why, by = event["why"], event.get("by")
        if why in COUNTED:
            self.fouls[by] += 1
        if why == "double_foul":
            self.fouls = {team: n + 1 for team, n in self.fouls.items()}
        if why == "time_out":
            self.left[by, event["length"]] -= 1
        if why == "plane_warning":
            self.warned.append(by)

    def arrow_row(self, event: dict[str, Any], was: dict[str, Any] | None) -> bool:
        """Tell whether the next throw-in is the arrow's; a violation of the throwing team loses it."""
        why = event["why"]
        if why == "held_ball":
            return True
        if was is None or not was["arrow"]:
            return False
        if why in ("violation", "throw_in_violation") and event["by"] == was["team"]:
            self.arrow = OTHER[was["team"]]
            return False
        return why in KEEPS and event["ball"] == was["team"]

    def turn(self, turned: bool) -> None:
        """Direction alone: reversed, lead and trail exchange; each keeps his side of the floor."""
        if turned:
            self.lead, self.lead_side = PARTNER[self.lead], OTHER[self.lead_side]

    def throws(self, event: dict[str, Any]) -> str:
        why = event["why"]
        if why in ("intentional_foul", "flagrant_foul", "technical_foul"):
            return "dead"
        if why == "shooting_foul" or (
            why == "common_foul" and self.fouls[event["by"]] >= (7 if self.bonus_by_half else 5)
        ):
            return "live"
        return ""

    def free_throws(self, event: dict[str, Any]) -> None:
        """Whoever called it is trail, across from the table; the partner is lead."""
        if event["caller"] == "lead":
            self.lead = PARTNER[self.lead]
        self.lead_side = "table"
        if self.throws(event) == "live":
            self.shooting = event["ball"]
        elif event["why"] == "technical_foul":
            # The one away from the line gives it at the division line opposite and stays trail.
            self.due = {"team": event["ball"], "kind": "spot", "at": (42.0, 50.0), "arrow": False}
        else:
            self.throw_in(event, event["ball"], None, False)

    def throw_in(self, event: dict[str, Any], had: str, was: dict[str, Any] | None, by_arrow: bool) -> None:
        why, ball = event["why"], event["ball"]
        attacks = self.attacks(ball)
        keeps_run = self.keeps_run(event, had, was, attacks)
        if keeps_run and (why in KEEPS or self.spot(event, attacks, was)[0] in (0.0, 84.0)):
            # Handed to the same team behind the same end line: nobody changes unless it was a foul.
            self.turn(why in PLAIN_FOULS)
            self.due = {"team": ball, "kind": "run_end_line", "at": None, "arrow": by_arrow}
            return
        x, y = self.spot(event, attacks, was)
        side = "table" if y < 25 else "opposite"
        old_lead, exchanged = self.lead, self.exchanged(event, had, x, y, side, attacks)
        new_lead = PARTNER[old_lead] if exchanged else old_lead
        hands = self.hands(new_lead, old_lead, x, y, side, attacks)
        self.lead = new_lead
        # Whoever gives the ball stands at the spot; the partner takes the other side.
        self.lead_side = side if hands == new_lead else OTHER[side]
        self.due = {"team": ball, "kind": "spot", "at": (x, y), "arrow": by_arrow}

    def keeps_run(self, event: dict[str, Any], had: str, was: dict[str, Any] | None, attacks: str) -> bool:
        if was is None or was["kind"] != "run_end_line" or event["ball"] != was["team"]:
            return False
        if event["why"] in KEEPS:
            return True
        on_it = 84.0 if attacks == "left" else 0.0
        return event["why"] in ("violation", "common_foul") and self.spot(event, attacks, was)[0] == on_it

    # -- where and who ------------------------------------------------------------------------------------

    def spot(self, event: dict[str, Any], attacks: str, was: dict[str, Any] | None) -> tuple[float, float]:
        why = event["why"]
        if why in KEEPS and was and was["kind"] == "spot":
            return was["at"]  # type: ignore[no-any-return]
        x, y = event["at"]
        side = "table" if y < 25 or (y == 25 and self.lead_side == "table") else "opposite"
        if why == "out_of_bounds":
            on_end = x in (0, 84) and y not in (0, 50)
            inside_lane = on_end and 19 < y < 31
            return (float(x), (19.0 if side == "table" else 31.0) if inside_lane else float(y))
        if x == 42:
            new_front = why == "violation" and event["ball"] != self.control_before(event)
            end = attacks if new_front else OTHER[attacks]
        else:
            end = "left" if x < 42 else "right"
        out = x if end == "left" else 84 - x
        inside = abs(y - 25) <= 19.75 if out <= 5.25 else math.hypot(out - 5.25, y - 25) <= 19.75
        u, v = (0.0, 16.0) if inside else (28.0, 0.0)
        return (u if end == "left" else 84 - u, v if side == "table" else 50 - v)

    @staticmethod
    def control_before(event: dict[str, Any]) -> str:
        return str(event["had"])

    def exchanged(self, event: dict[str, Any], had: str, x: float, y: float, side: str, attacks: str) -> bool:
        """Tell whether the old lead is trail at disposal."""
        why, turned = event["why"], event["ball"] != had
        if why in PLAIN_FOULS:
            offensive = why in ("player_control_foul", "team_control_foul")
            if offensive and event["caller"] == "trail":
                return turned
            return not turned
        depth = 84 - x if attacks == "right" else x
        front_sideline = y in (0.0, 50.0) and depth < 42
        if front_sideline and not turned and side == self.lead_side and depth > 19 and why != "time_out":
            return True
        if front_sideline and turned and side != self.lead_side:
            return False
        return turned

    def hands(self, lead: str, old_lead: str, x: float, y: float, side: str, attacks: str) -> str:
        """Tell which person gives the ball."""
        depth = 84 - x if attacks == "right" else x
        if depth >= 42:
            return PARTNER[lead]
        if y not in (0.0, 50.0):
            return lead
        return old_lead if side == self.lead_side else PARTNER[old_lead]


# -- dealing out a game -----------------------------------------------------------------------------------

Pick = Callable[[list[Any]], Any]
"""Chooses one of a list: dice in one place, hypothesis in another."""


def next_event(book: Book, pick: Pick, *, may_begin: bool = True) -> dict[str, Any]:
    """Return something that can happen next, with everything named."""
    if book.period == 0:
        return {"why": "game_start", "ball": pick(["white", "dark"])}
    if book.shooting:
        return _after_throws(book, pick)
    kinds = ["out_of_bounds"] * 4 + ["made_goal"] * 6 + ["change_of_control"] * 5 + ["violation"] * 3
    kinds += ["common_foul"] * 4 + ["shooting_foul"] * 3 + ["player_control_foul", "team_control_foul"]
    kinds += ["held_ball", "time_out", "injury", "inadvertent_whistle", "double_foul", "intentional_foul"]
    kinds += ["technical_foul"]
    if may_begin:
        kinds += ["period"]
    if book.due:
        kinds += ["throw_in_violation", "plane_warning", "wrong_team", "time_out"] * 2
    return _event(book, pick(kinds), pick)


def _after_throws(book: Book, pick: Pick) -> dict[str, Any]:
    team = book.shooting
    why = pick(["made_last_free_throw", "missed_last_free_throw", "time_out", "injury"])
    if why == "missed_last_free_throw":
        return {"why": why, "by": team, "ball": pick([team, OTHER[team]])}
    if why == "made_last_free_throw":
        return {"why": why, "by": team, "ball": OTHER[team]}
    return _event(book, why, pick)


def _event(book: Book, why: str, pick: Pick) -> dict[str, Any]:
    had = book.control
    due = book.due
    if why == "period":
        if book.period < 4:
            return {"why": "period_start", "ball": None}
        return {"why": "extra_period_start", "ball": pick(["white", "dark"])}
    event: dict[str, Any] = {"why": why, "had": had, "caller": pick(["lead", "trail"]), "pending": None}
    only = why in ("throw_in_violation", "plane_warning", "wrong_team")
    over = ("out_of_bounds", "made_goal", "change_of_control", "held_ball")
    if due and (only or (why not in over and pick([True, False]))):
        event["pending"] = due["kind"]
    event["by"] = _who(why, had, pick)
    event["ball"] = _ball(book, why, had, event["by"])
    if why == "time_out":
        lengths = [n for n in (60, 30) if book.left[event["by"], n]]
        if not lengths:
            return _event(book, "injury", pick)
        event["length"] = pick(lengths)
    if why == "plane_warning" and event["by"] in book.warned:
        return _event(book, "wrong_team", pick)
    event["at"] = _place(why, pick)
    return event


def _who(why: str, had: str, pick: Pick) -> str:
    if why in (
        "made_goal",
        "player_control_foul",
        "team_control_foul",
        "throw_in_violation",
        "change_of_control",
    ):
        return had
    if why in ("shooting_foul", "plane_warning"):
        return OTHER[had]
    return str(pick([had, OTHER[had]]))


def _ball(book: Book, why: str, had: str, by: str) -> str:
    if why in KEEPS:
        return had
    if why == "held_ball":
        due = book.due
        return OTHER[due["team"]] if due and due["arrow"] else book.arrow
    return OTHER[by]


def _place(why: str, pick: Pick) -> tuple[int, int]:
    if why == "out_of_bounds":
        x, y = pick(list(range(85))), pick(list(range(51)))
        return pick([(x, 0), (x, 50), (0, y), (84, y)])  # type: ignore[no-any-return]
    return (pick(list(range(85))), pick(list(range(51))))
