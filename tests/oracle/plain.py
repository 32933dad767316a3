"""A plain second opinion on every restart, as a chain of if-statements a trainer could follow.

It knows the answer contract and our table of facts and nothing else: it reads no edition text, imports
nothing of the program it is compared with, and knows neither reasons, places, steps nor drawings.

``answer(situation)`` takes the JSON of ``tenbetween answer`` (lengths in feet) and returns its decided parts.
Two kinds of empty: ``None`` where the contract says null, ``"not covered"`` where both texts are silent.

Names of setting values used here (the first is the default of the us-hs editions):

=======================  ======================================================================
backcourt_spots          us-hs-2025 ``spots_of_that_end``, 2022 and 2023 ``nearest_spot``
dividing_line_top        ``straight``, ``over_semicircle`` (corner-to-elbow region only)
edge                     ``inside_below_back`` (one value)
tie                      ``lead_side`` (one value)
end_spot_point           ``middle``, ``nearer_edge``
nearest_2022             ``plain``, ``corner_to_elbow``
end_line_far             ``lead_crosses``, ``partners_exchange``
lead_line_low            ``lead_stays``, ``end_line_only``
lead_line_high           ``lead_becomes_trail``, ``trail_crosses``
lead_line_owner          ``whole_length``, ``to_free_throw_line``
trail_line_low           ``trail_stays``, ``goes_down_as_lead``
foul_switch              ``all_fouls``, ``no_long_switch``
trail_offensive_foul     ``no_exchange``, ``exchange``
shooting_foul_by_trail   ``caller_is_trail``, ``always_exchange``
free_throw_count         ``visible``, ``silent``
stand_end_line           ``outside``, ``inside``
time_out_place           ``halfway``, ``circle``, ``quarter_point`` (no part answered here)
chop                     ``trail_mirrors_end_line``, ``both``, ``administering_only`` (no part here)
count_arm                ``free``, ``table_side`` (no part here)
jump_ball_partner        ``table_side`` (no part here)
=======================  ======================================================================

"facts" below is our table of facts, "conv" a numbered convention of the answer contract.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

NOT_COVERED = "not covered"

SETTING_VALUES: dict[str, tuple[str, ...]] = {
    "backcourt_spots": ("spots_of_that_end", "nearest_spot"),
    "dividing_line_top": ("straight", "over_semicircle"),
    "edge": ("inside_below_back",),
    "tie": ("lead_side",),
    "end_spot_point": ("middle", "nearer_edge"),
    "nearest_2022": ("plain", "corner_to_elbow"),
    "end_line_far": ("lead_crosses", "partners_exchange"),
    "lead_line_low": ("lead_stays", "end_line_only"),
    "lead_line_high": ("lead_becomes_trail", "trail_crosses"),
    "lead_line_owner": ("whole_length", "to_free_throw_line"),
    "trail_line_low": ("trail_stays", "goes_down_as_lead"),
    "foul_switch": ("all_fouls", "no_long_switch"),
    "trail_offensive_foul": ("no_exchange", "exchange"),
    "shooting_foul_by_trail": ("caller_is_trail", "always_exchange"),
    "free_throw_count": ("visible", "silent"),
    "stand_end_line": ("outside", "inside"),
    "time_out_place": ("halfway", "circle", "quarter_point"),
    "chop": ("trail_mirrors_end_line", "both", "administering_only"),
    "count_arm": ("free", "table_side"),
    "jump_ball_partner": ("table_side",),
}

# Each entry: what is asked, the reading taken here, the other reading.
OPEN_QUESTIONS: tuple[tuple[str, str, str], ...] = (
    # --- the spot
    (
        "Tie between two sides goes to 'the lead's side': of the lead before the stoppage or after it?",
        "lead_side as given, before the stoppage (no circle: the roles after depend on the spot)",
        "the side of the lead after the restart",
    ),
    (
        "A violation exactly on the division line, ball to the other team: conv 1 says back court, facts"
        " 2.1 says"
        " four spots of the new front court for a back-court violation even for a foot only on that line.",
        "back court (conv 1; the cause does not say which violation it was)",
        "front court of the new team, four spots (facts 2.1)",
    ),
    (
        "end_spot_point = nearer_edge: does `spot` move?",
        "yes, to 10.5 ft from the long axis (the middle of the 3-ft place)",
        "no, `spot` stays the 9-ft point and only the drawn place moves",
    ),
    (
        "dividing_line_top = over_semicircle: facts give the high-school free-throw semicircle no radius"
        " or centre.",
        "6 ft about the middle of the free-throw line (x = 19), as the lane is 12 ft wide",
        "not covered",
    ),
    (
        "nearest_2022 = corner_to_elbow: also in the back court? also for the nearest spots of us-hs-2023?",
        "both halves of the floor, us-hs-2022 only",
        "front court only / also the back court of us-hs-2023",
    ),
    (
        "backcourt_spots = spots_of_that_end in us-hs-2022, which knows no four spots.",
        "no effect in us-hs-2022",
        "back court four spots with the corner-to-elbow region",
    ),
    (
        "FIBA 'not directly behind the backboard': how wide is the board, and where does the spot go?"
        " (no row)",
        "board 1.80 m; the spot moves to the nearer edge of the board, 0.90 m from the long axis",
        "not covered",
    ),
    (
        "Short floor, two division lines '40 ft from the farther end line': which one is a team's own?",
        "the one 40 ft from the end line it attacks (a 40-ft front court)",
        "the one 40 ft from its own back-court end line",
    ),
    (
        "pending = spot and `at` well inside the floor: is `at` the spot of that throw-in?",
        "yes: the boundary point nearest to `at`, the region rule is not asked again",
        "`at` is where the ball was; the region rule chooses the spot",
    ),
    (
        "plane_warning and wrong_team: 'same spot' in every edition, also with pending null?",
        "yes, the boundary point at `at`",
        "treated as a stoppage, so the four spots by region",
    ),
    (
        "Run of the end line kept after a foul or violation: must the new spot be on the back-court end"
        " line, or does"
        " a front-court end-line spot count too?",
        "the end line where they throw in (back court) only",
        "any end line",
    ),
    (
        "us-hs: which causes keep the right to run besides a violation or pre-bonus common foul of the"
        " scoring team,"
        " time-out, double foul, injury, inadvertent whistle? (held_ball, plane_warning, wrong_team)",
        "plane_warning and wrong_team for the same team keep it, held_ball does not",
        "only those listed",
    ),
    (
        "`near`: which lines are dividing lines?",
        "only the one between end-line and sideline spots (arc, corner-to-elbow); none for plain nearest"
        " spots",
        "also the long axis, the division line, the equal-distance line of the nearest rule, the line"
        " extended",
    ),
    # --- who administers, and roles
    (
        "A time-out with the ball on the lead's sideline above the line extended: conv 7 lets the lead"
        " become trail,"
        " facts 3.5 row 18 says no switch.",
        "row 18: the owner resumes it, nobody changes (likewise end_line_far and trail_line_low are not"
        " applied)",
        "conv 7, as for every other cause",
    ),
    (
        "Other throw-ins that were already due (injury, whistle, plane, pending = spot) on the lead's"
        " sideline above"
        " the line extended: had the exchange already taken place?",
        "conv 7 applies as to any throw-in (a consistent situation has the trail on that side)",
        "nobody changes, the throw-in had been set up",
    ),
    (
        "lead_line_owner = to_free_throw_line: does it also change who administers (conv 7 and 8 speak"
        " of the owner)?",
        "no, only `lines`; lead_line_high decides who administers",
        "yes: above the line extended the trail crosses, and on a reversal the old trail owns both"
        " sidelines there",
    ),
    (
        "How is a split sideline written in `lines`?",
        "'lead up to the free-throw line extended, trail beyond'",
        "two entries",
    ),
    (
        "lead_line_low = end_line_only: who then administers?",
        "the trail crosses and stays trail, the lead goes to the other side",
        "the trail administers without the sides changing",
    ),
    (
        "end_line_far, lead_line_low, lead_line_high and trail_line_low on a reversal into the new front"
        " court.",
        "not applied, conv 8 is complete",
        "applied to the roles after the exchange",
    ),
    (
        "end_line_far = partners_exchange with the spot on the lane line extended (19 or 31) on the"
        " trail's side.",
        "inside the lane width (the line is part of the lane): the lead administers, no exchange (row 1)",
        "beyond, so an exchange",
    ),
    (
        "Foul without free throws, sideline of the new lead above the line extended (a 28-ft mark).",
        "the new lead owns it, administers and stays lead ('nothing adds to it')",
        "the trail administers it",
    ),
    (
        "Foul exchange: do the partners keep their sides (each up or down his own sideline) or change"
        " places?",
        "each keeps his side, so the new lead's side is the old trail's",
        "the lead's side stays and both cross",
    ),
    (
        "Which settings of place still act on a foul without free throws?",
        "those that exchange nobody (lead_line_low, lead_line_high = trail_crosses); not end_line_far,"
        " trail_line_low",
        "none / all",
    ),
    (
        "Foul, play turned in a back court, the new team throws in from its front court: conv 8 or conv 9?",
        "conv 9: old lead stays lead, old trail stays trail, owner under those roles",
        "conv 8 (on the end line the old trail would be lead)",
    ),
    (
        "trail_offensive_foul default 'no exchange' against conv 9 'exchange once'; and what is not"
        " exchanged?",
        "the setting's default holds: roles of direction alone, the owner under those roles, switch false",
        "conv 9 (long switch) / nobody changes at all / conv 8 decides as for a violation",
    ),
    (
        "trail_offensive_foul: is a common foul of the team that last had the ball (loose ball) an"
        " offensive foul?",
        "no, only player-control and team-control fouls",
        "yes, every foul that turns the ball over",
    ),
    (
        "foul_switch = no_long_switch: which exchanges are dropped?",
        "those that turn the ball over (reversed direction)",
        "also same-direction fouls in the back court",
    ),
    (
        "double_foul: is it a 'foul without free throws' that exchanges the partners?",
        "yes (conv 9 to the letter), roles exchange once",
        "no, point of interruption leaves everybody where he was",
    ),
    (
        "called_by missing on free throws.",
        "roles_after and switch not covered; administers was 'either', now 'lead'",
        "administers not covered",
    ),
    (
        "Free throws after which the ball stays dead: who is lead during them?",
        "caller trail, partner lead (facts 3.6, row on free throws)",
        "not covered: facts 3.7 has only one official at the line",
    ),
    (
        "shooting_foul_by_trail = always_exchange: also for bonus free throws, and for dead-ball throws?",
        "bonus free throws yes, dead-ball throws no; the calling trail becomes lead",
        "only the cause shooting_foul",
    ),
    (
        "The throw-in after intentional or flagrant free throws: do the exchanges of rows 2, 4, 6 apply?",
        "conv 6 and 7 as for a violation, from the roles and sides of the throws (lead table side)",
        "as after a technical foul: the official away from the line administers and is trail",
    ),
    (
        "Sides during dead-ball free throws (lane empty).",
        "as for any free throws: trail opposite the table, lead_side_after table",
        "not covered",
    ),
    # --- empty parts
    ("switch where roles_after is null (period start, jump ball).", "false", "null"),
    (
        "Jump ball: administers, may_run_end_line, lead_side_after, lines, count.",
        "administers either/trail/referee (the tosser becomes trail), false, not covered, not covered, null",
        "administers null, the rest null",
    ),
    ("Period start: lead_side_after.", "table (the Referee is trail on the opposite side)", "null"),
    ("court_part of free throws.", "frontcourt (they are thrown at the basket attacked)", "null"),
    (
        "clock_starts of dead-ball free throws.",
        "null, the following throw-in carries it",
        "touched_after_miss",
    ),
    ("stands on a sideline or at the division line.", "not covered", "a side of the thrower there too"),
    (
        "us-hs free-throw count of dead-ball throws: by the trail, who is not at the line?",
        "by the trail, as the setting says",
        "by the administering official",
    ),
    # --- FIBA
    (
        "Do conv 6-11 bind the FIBA edition, or only its own facts?",
        "only where the FIBA facts do not say otherwise; sidelines: trail; sides: not covered ('the"
        " restart decides')",
        "conv 6-11 as for us-hs",
    ),
    (
        "FIBA front-court sideline below the line extended on the lead's side ('trail normally sideline').",
        "trail",
        "lead, whose line it is / not covered",
    ),
    (
        "FIBA reversal into the new front court, sideline.",
        "administers, roles_after and switch not covered",
        "conv 8, or the new trail",
    ),
    (
        "FIBA fouls without free throws: facts say 'normally exchange', from memory.",
        "exchange once (conv 9 and facts agree)",
        "not covered",
    ),
    (
        "FIBA after a goal: delivery and administers.",
        "not covered (only the place is in the facts)",
        "none / null",
    ),
    ("FIBA period start: who administers.", "the Referee as trail (conv 11)", "not covered"),
    (
        "FIBA technical foul: one throw, then the interrupted possession; one ball_to cannot name both"
        " teams.",
        "ball_to is the team of the throw-in; the throwing team's basket is not covered",
        "ball_to is the team of the throw",
    ),
    (
        "FIBA pending = run_end_line after a foul or violation of the scoring team.",
        "may_run_end_line not covered when the spot is on that end line; kept after a time-out (facts 2.4)",
        "as us-hs",
    ),
    ("FIBA plane_warning and wrong_team.", "every part not covered", "same spot again"),
    ("FIBA count: visible, by whom.", "not covered inside `count`", "visible, by the administering official"),
)

FOOT = 304_800
METRE = 1_000_000
# facts 1.3, in micrometres
LANE_HALF = 6 * FOOT
FREE_THROW_LINE = 19 * FOOT
BASKET = 5 * FOOT + FOOT // 4
ARC = 19 * FOOT + 3 * FOOT // 4
MARK_28 = 28 * FOOT
END_SPOT = 9 * FOOT
NEAR = 2 * FOOT
SNAP = 3 * FOOT // 2
# facts 1.1
FIBA_FREE_THROW_LINE = 5_800_000
FIBA_THROW_IN_LINE = 8_325_000
FIBA_BOARD_HALF = 900_000

OTHER = {
    "left": "right",
    "right": "left",
    "table": "opposite",
    "opposite": "table",
    "lead": "trail",
    "trail": "lead",
}
US_HS = ("us-hs-2022", "us-hs-2023", "us-hs-2025")
FOULS_WITHOUT_THROWS = ("common_foul", "player_control_foul", "team_control_foul", "double_foul")
OFFENSIVE = ("player_control_foul", "team_control_foul")
# facts 2.1, row "inadvertent whistle, double foul, timeout, injury": point of interruption
INTERRUPTIONS = ("time_out", "inadvertent_whistle", "injury", "double_foul")
USUAL_BALL_TO = {
    "player_control_foul": "other",
    "team_control_foul": "other",
    "throw_in_violation": "other",
    "wrong_team": "other",
}


def answer(situation: dict[str, Any]) -> dict[str, Any]:
    """Return the decided parts of the answer to one situation, as JSON-able values.

    >>> a = answer({"edition": "us-hs-2025", "attacking": "right", "lead_side": "table",
    ...             "stopped_by": "out_of_bounds", "at": [44, 50], "ball_to": "same"})
    >>> a["spot"], a["administers"]["now"], a["delivery"]
    ([44.0, 50.0], 'trail', 'bounce')
    """
    edition = situation["edition"]
    if edition not in (*US_HS, "fiba-2po"):
        raise ValueError(f"edition {edition!r}")
    fiba = edition == "fiba-2po"
    cause = situation["stopped_by"]

    # facts 2.1 and 2.7: jump ball for the game; for an extra period in the high-school editions only.
    if cause == "game_start" or (cause == "extra_period_start" and not fiba):
        return _jump_ball()
    # facts 2.1, 2.7: periods by the arrow; FIBA extra periods too.
    if cause in ("period_start", "extra_period_start"):
        return _period_start(situation)
    if fiba and cause in ("plane_warning", "wrong_team"):
        return _nothing_covered()
    if cause in ("made_goal", "made_last_free_throw"):
        return _after_goal(situation)
    if _free_throws_follow(situation):
        return _free_throws(situation)
    return _throw_in(situation)


# ---------------------------------------------------------------- the floor and the settings


def _um(feet: Any) -> int:
    return round(Fraction(str(feet)) * FOOT)


def _feet(x: int, y: int) -> list[float]:
    return [round(x / FOOT, 4), round(y / FOOT, 4)]


def _fiba(s: dict[str, Any]) -> bool:
    return bool(s["edition"] == "fiba-2po")


def _floor(s: dict[str, Any]) -> tuple[int, int]:
    """Length and width; facts 1.1 and 1.3."""
    court = s.get("court")
    if court is not None:
        return _um(court["length"]), _um(court["width"])
    if _fiba(s):
        return 28 * METRE, 15 * METRE
    return 84 * FOOT, 50 * FOOT


def _front_length(s: dict[str, Any]) -> int:
    """How far the front court reaches from its end line: half the floor; short floor 40 ft (facts 1.3)."""
    length, _ = _floor(s)
    if not _fiba(s) and length < 74 * FOOT:
        return 40 * FOOT
    return length // 2


def _setting(s: dict[str, Any], name: str) -> str:
    value = (s.get("settings") or {}).get(name)
    if value is not None:
        if value not in SETTING_VALUES[name]:
            raise ValueError(f"settings.{name} {value!r}")
        return str(value)
    if name == "backcourt_spots" and s["edition"] != "us-hs-2025":
        return "nearest_spot"  # facts 8: 2022, 2023
    return SETTING_VALUES[name][0]


def _from_end(s: dict[str, Any], x: int, basket: str) -> int:
    """Distance of x from the end line behind this basket."""
    return x if basket == "left" else _floor(s)[0] - x


def _ball_to(s: dict[str, Any]) -> str:
    return str(s.get("ball_to") or USUAL_BALL_TO.get(s["stopped_by"], "same"))


def _attacking_after(s: dict[str, Any]) -> str:
    return str(s["attacking"]) if _ball_to(s) == "same" else OTHER[s["attacking"]]


# ---------------------------------------------------------------- starts


def _nothing_covered() -> dict[str, Any]:
    parts = (
        "restart spot line near attacking_after court_part may_run_end_line delivery administers switch "
        "roles_after lead_side_after stands count clock_starts lines after_free_throws"
    )
    return dict.fromkeys(parts.split(), NOT_COVERED)


def _jump_ball() -> dict[str, Any]:
    """facts 2.1, 3.3; conv 11."""
    return {
        "restart": "jump_ball",
        "spot": None,
        "line": None,
        "near": None,
        "attacking_after": None,
        "court_part": None,
        "may_run_end_line": False,
        "delivery": "toss",
        # facts 3.3: the Referee tosses (or names the tosser) and becomes trail
        "administers": {"was": "either", "now": "trail", "person": "referee"},
        "switch": False,
        "roles_after": None,
        "lead_side_after": NOT_COVERED,
        "stands": None,
        "count": None,
        "clock_starts": "legally_tapped",  # facts 2.6
        "lines": NOT_COVERED,
        "after_free_throws": None,
    }


def _period_start(s: dict[str, Any]) -> dict[str, Any]:
    """facts 2.1 row "start of Q2, Q3, Q4", 2.7, 3.5 row 17; conv 11."""
    length, width = _floor(s)
    fiba = _fiba(s)
    lead_side = NOT_COVERED if fiba else "table"  # the Referee is trail, opposite the table
    return {
        "restart": "throw_in",
        "spot": _feet(length // 2, width),
        "line": "division_line",
        "near": None,
        "attacking_after": s["attacking"],  # contract: by the team throwing in
        "court_part": None,  # conv 3
        "may_run_end_line": False,
        "delivery": NOT_COVERED if fiba else "bounce",
        "administers": {"was": "either", "now": "trail", "person": "referee"},
        "switch": False,
        "roles_after": None,
        "lead_side_after": lead_side,
        "stands": NOT_COVERED,
        "count": _throw_in_count(s, "trail"),
        "clock_starts": _throw_in_clock(s),
        "lines": _lines(s, lead_side),
        "after_free_throws": None,
    }


# ---------------------------------------------------------------- after a goal


def _after_goal(s: dict[str, Any]) -> dict[str, Any]:
    """facts 2.1 row "made field goal", 2.4, 2.7, 3.5 row 14."""
    fiba = _fiba(s)
    # Both exchange ends, each stays on his own side: the new lead is the old trail.
    lead_side = NOT_COVERED if fiba or not s.get("lead_side") else OTHER[s["lead_side"]]
    return {
        "restart": "throw_in",
        "spot": None,  # conv 2
        "line": "end_line",
        "near": None,
        "attacking_after": OTHER[s["attacking"]],
        "court_part": "backcourt",
        "may_run_end_line": True,
        "delivery": NOT_COVERED if fiba else "none",
        "administers": NOT_COVERED if fiba else None,
        "switch": False,
        "roles_after": {"old_lead": "trail", "old_trail": "lead"},
        "lead_side_after": lead_side,
        "stands": None,
        "count": _throw_in_count(s, "trail"),
        "clock_starts": _throw_in_clock(s),
        "lines": _lines(s, lead_side),
        "after_free_throws": None,
    }


# ---------------------------------------------------------------- free throws


def _free_throws_follow(s: dict[str, Any]) -> bool:
    cause = s["stopped_by"]
    if cause in ("shooting_foul", "intentional_foul", "flagrant_foul", "technical_foul"):
        return True
    # facts 2.10: the bonus; a team-control or player-control foul carries no throws (facts 3.6)
    return bool(cause == "common_foul" and s.get("bonus"))


def _free_throws(s: dict[str, Any]) -> dict[str, Any]:
    """facts 2.10, 3.6 (rows on free throws), 3.7; conv 9 and 11."""
    fiba = _fiba(s)
    cause = s["stopped_by"]
    ball_stays_dead = cause in ("technical_foul", "intentional_foul", "flagrant_foul")
    roles = _free_throw_roles(s, ball_stays_dead)
    lead_side = "table"  # facts 3.7 "side": the trail opposite the table
    if fiba:
        administers: Any = NOT_COVERED
    elif roles is None:
        administers = {"was": "either", "now": "lead", "person": None}
    else:
        administers = _administers(s, "lead" if roles["old_lead"] == "lead" else "trail", "lead")
    # facts 2.7: a FIBA technical foul gives one throw and then the interrupted possession
    shooters_known = not (fiba and cause == "technical_foul")
    return {
        "restart": "free_throws",
        "spot": None,
        "line": None,
        "near": None,
        "attacking_after": _attacking_after(s) if shooters_known else NOT_COVERED,
        "court_part": "frontcourt",
        "may_run_end_line": False,
        "delivery": NOT_COVERED if fiba else "bounce",  # facts 2.10: bounced to the shooter
        "administers": administers,
        "switch": _is_switch(s, roles) if shooters_known else NOT_COVERED,
        "roles_after": NOT_COVERED if roles is None else roles,
        "lead_side_after": lead_side,
        "stands": None,
        "count": _free_throw_count(s),
        "clock_starts": None if ball_stays_dead else "touched_after_miss",  # facts 2.6
        "lines": _lines(s, lead_side),
        "after_free_throws": _after_free_throws(s, roles) if ball_stays_dead else None,
    }


def _free_throw_roles(s: dict[str, Any], ball_stays_dead: bool) -> dict[str, str] | None:
    caller = s.get("called_by")
    if caller is None:
        return None
    if caller == "lead":  # conv 9: the caller is trail, the partner lead
        return {"old_lead": "trail", "old_trail": "lead"}
    if not _fiba(s) and not ball_stays_dead and _setting(s, "shooting_foul_by_trail") == "always_exchange":
        return {"old_lead": "trail", "old_trail": "lead"}  # facts 3.6 "alternative"
    return {"old_lead": "lead", "old_trail": "trail"}


def _free_throw_count(s: dict[str, Any]) -> dict[str, Any]:
    if _fiba(s):
        return {"seconds": 5, "from": "disposal", "to": "release", "visible": NOT_COVERED, "by": NOT_COVERED}
    shown = _setting(s, "free_throw_count") == "visible"
    return {"seconds": 10, "from": "disposal", "to": "release", "visible": shown, "by": "trail"}


def _after_free_throws(s: dict[str, Any], roles: dict[str, str] | None) -> dict[str, Any]:
    """The throw-in after the throws; its old roles are those during the throws (contract)."""
    length, width = _floor(s)
    after = _attacking_after(s)
    crew = s.get("crew")
    if crew is not None and roles is not None and roles["old_lead"] == "trail":
        crew = {"lead": "umpire" if crew["lead"] == "referee" else "referee"}
    elif roles is None:
        crew = None
    then = {**s, "attacking": after, "ball_to": "same", "lead_side": "table", "crew": crew, "pending": None}

    if s["stopped_by"] == "technical_foul" and not _fiba(s):
        # facts 2.1 technical row, 3.5 row 16; conv 9: the official away from the free-throw line, as trail
        then["spot_given"] = (length // 2, width, "sideline")
    elif s["stopped_by"] != "technical_foul" and _fiba(s):
        # facts 2.7 unsportsmanlike / disqualifying: the throw-in line of the front court; conv 2
        x = FIBA_THROW_IN_LINE if after == "left" else length - FIBA_THROW_IN_LINE
        then["spot_given"] = (x, width, "sideline")
    then["stopped_by"] = "violation"  # no further exchange: conv 9 speaks of fouls without free throws
    return _throw_in(then)


# ---------------------------------------------------------------- throw-ins


def _throw_in(s: dict[str, Any]) -> dict[str, Any]:
    fiba = _fiba(s)
    _, width = _floor(s)
    after = _attacking_after(s)
    x, y, line = 0, 0, "end_line"
    may_run: Any = _interrupted_run(s)
    near: Any = None
    if not may_run:
        x, y, line = _spot(s, after)
        near = _near(s, after)
        if _run_survives(s, after, x, line):
            may_run = NOT_COVERED if fiba else True
            near = None
    running = may_run is True

    level_with_division = line == "sideline" and _on_division_line(s, x)
    if running:
        part: Any = "backcourt"
    elif level_with_division:
        part = None  # conv 3
    else:
        part = "frontcourt" if _from_end(s, x, after) < _front_length(s) else "backcourt"

    side = None if running else ("table" if 2 * y < width else "opposite")
    depth = _from_end(s, x, after)
    was, now, roles = _who(s, after, part, line, side, depth, y)

    lead_side: Any
    if fiba or not s.get("lead_side"):
        lead_side = NOT_COVERED  # facts 3.0: no fixed diagonal, the restart decides the sides
    elif running:
        # nobody moves to a spot: each keeps his side
        lead_side = (
            s["lead_side"] if roles == {"old_lead": "lead", "old_trail": "trail"} else OTHER[s["lead_side"]]
        )
    else:
        # the administering official is on the side of the spot, the partner boxes in from the other
        lead_side = side if now == "lead" else OTHER[str(side)]

    return {
        "restart": "throw_in",
        "spot": None if running else _feet(x, y),
        "line": "division_line" if level_with_division and not running else line,
        "near": near,
        "attacking_after": after,
        "court_part": part,
        "may_run_end_line": may_run,
        "delivery": _delivery(s, line, part),
        "administers": NOT_COVERED if now is None else _administers(s, was, now),
        "switch": _is_switch(s, roles),
        "roles_after": NOT_COVERED if roles is None else roles,
        "lead_side_after": lead_side,
        "stands": _stands(s, line),
        "count": _throw_in_count(s, NOT_COVERED if now is None else now),
        "clock_starts": _throw_in_clock(s),
        "lines": _lines(s, lead_side),
        "after_free_throws": None,
    }


def _interrupted_run(s: dict[str, Any]) -> bool:
    """True when the throw-in that was due, with the right to run, is simply given again."""
    if s.get("pending") != "run_end_line" or _ball_to(s) != "same":
        return False
    if _fiba(s):
        return bool(s["stopped_by"] == "time_out")  # facts 2.4, FIBA: kept after a time-out
    # facts 2.1 (point of interruption; time-out keeps the privilege), 2.4; the same again after a warning
    return s["stopped_by"] in (*INTERRUPTIONS, "plane_warning", "wrong_team")


def _run_survives(s: dict[str, Any], after: str, x: int, line: str) -> bool:
    """facts 2.4: the scoring team's violation or pre-bonus common foul, new spot on that same end line."""
    if s.get("pending") != "run_end_line" or _ball_to(s) != "same":
        return False
    if s["stopped_by"] not in ("violation", "common_foul") and not (
        _fiba(s) and s["stopped_by"] in INTERRUPTIONS
    ):
        return False
    return line == "end_line" and _from_end(s, x, after) == _floor(s)[0]


# ------------------------------------------------ the spot


def _spot(s: dict[str, Any], after: str) -> tuple[int, int, str]:
    """x, y and boundary line of the spot, in micrometres of the court frame."""
    if "spot_given" in s:
        given: tuple[int, int, str] = s["spot_given"]
        return given
    x, y = _um(s["at"][0]), _um(s["at"][1])
    cause = s["stopped_by"]
    # facts 2.1: out of bounds in every edition, both courts: where it went out
    if cause == "out_of_bounds":
        return _off_the_lane(s, _boundary_point(s, x, y, SNAP))
    # facts 2.1: an interruption of a throw-in never changes its spot; 3.5b stop.plane; row "wrong team"
    if s.get("pending") == "spot" and cause in INTERRUPTIONS:
        return _off_the_lane(s, _boundary_point(s, x, y, None))
    if cause in ("plane_warning", "wrong_team"):
        return _off_the_lane(s, _boundary_point(s, x, y, None))
    # facts 2.7, section 5 row "throw-in spots after non-OOB stops": FIBA nearest; conv 2
    # facts 2.1: us-hs-2022 nearest spot
    if _fiba(s) or s["edition"] == "us-hs-2022":
        return _off_the_lane(s, _nearest(s, x, y))
    in_front = _from_end(s, x, after) < _front_length(s)  # conv 1: on the division line is back court
    if in_front:
        return _one_of_the_spots(s, x, y, after, _inside(s, x, y, after))
    # conv 4, facts 2.3 and 8: the spots of that end (2025) or the nearest spot (2023)
    if _setting(s, "backcourt_spots") == "spots_of_that_end":
        return _one_of_the_spots(s, x, y, OTHER[after], _inside(s, x, y, OTHER[after]))
    return _off_the_lane(s, _nearest(s, x, y))


def _boundary_point(s: dict[str, Any], x: int, y: int, limit: int | None) -> tuple[int, int, str]:
    """The boundary point closest to where the ball crossed; between two lines the sideline (conv 1)."""
    length, width = _floor(s)
    to_side, to_end = min(abs(y), abs(width - y)), min(abs(x), abs(length - x))
    if limit is not None and min(to_side, to_end) > limit:
        raise ValueError(f"at {s['at']}: farther than 1.5 ft from every boundary")
    inside_x, inside_y = min(max(x, 0), length), min(max(y, 0), width)
    if to_side <= to_end:
        return inside_x, _nearer_sideline(s, y), "sideline"
    return (0 if 2 * x < length else length), inside_y, "end_line"


def _nearer_sideline(s: dict[str, Any], y: int) -> int:
    """y of the nearer sideline; between two sides the lead's side (conv 1)."""
    _, width = _floor(s)
    if 2 * y == width:
        return 0 if s["lead_side"] == "table" else width
    return 0 if 2 * y < width else width


def _nearest(s: dict[str, Any], x: int, y: int) -> tuple[int, int, str]:
    """The nearest-spot rule; facts 8 nearest_2022 and tie."""
    length, width = _floor(s)
    near_end = "left" if 2 * x < length else "right"
    if s["edition"] == "us-hs-2022" and _setting(s, "nearest_2022") == "corner_to_elbow":
        to_end_line = _inside_corner_to_elbow(s, _from_end(s, x, near_end), y)
    else:
        to_end_line = _from_end(s, x, near_end) < min(y, width - y)  # equal: the sideline
    if to_end_line:
        return (0 if near_end == "left" else length), y, "end_line"
    return x, _nearer_sideline(s, y), "sideline"


def _off_the_lane(s: dict[str, Any], spot: tuple[int, int, str]) -> tuple[int, int, str]:
    """conv 2: us-hs, never inside the lane but at the nearer lane line; FIBA, not behind the backboard."""
    x, y, line = spot
    if line != "end_line":
        return spot
    _, width = _floor(s)
    reach = FIBA_BOARD_HALF if _fiba(s) else LANE_HALF
    if abs(2 * y - width) >= 2 * reach:
        return spot
    table_side = 2 * y < width or (2 * y == width and s["lead_side"] == "table")
    return x, (width // 2 - reach if table_side else width // 2 + reach), line


def _one_of_the_spots(s: dict[str, Any], x: int, y: int, end: str, to_end_line: bool) -> tuple[int, int, str]:
    """facts 2.1 "four spots": 28-ft marks, and 9 ft from the long axis on the end line, of this end."""
    length, width = _floor(s)
    table_side = _nearer_sideline(s, y) == 0
    if not to_end_line:
        mark = MARK_28 if end == "left" else length - MARK_28
        return mark, (0 if table_side else width), "sideline"
    # facts 8 end_spot_point: 9 ft is the middle of the 3-ft place, or its nearer edge
    off_axis = END_SPOT if _setting(s, "end_spot_point") == "middle" else END_SPOT + SNAP
    return (
        (0 if end == "left" else length),
        (width // 2 - off_axis if table_side else width // 2 + off_axis),
        "end_line",
    )


def _inside(s: dict[str, Any], x: int, y: int, end: str) -> bool:
    """Whether the place calls for an end-line spot at this end; on the line is inside (conv 1)."""
    depth = _from_end(s, x, end)
    if s["edition"] == "us-hs-2025":
        return _inside_arc(s, depth, y)
    return _inside_corner_to_elbow(s, depth, y)


def _inside_arc(s: dict[str, Any], depth: int, y: int) -> bool:
    """facts 2.3 geometry; doubled so that the middle of the floor is a whole number."""
    across = abs(2 * y - _floor(s)[1])
    if depth < BASKET:
        return across <= 2 * ARC
    return (2 * (depth - BASKET)) ** 2 + across**2 <= (2 * ARC) ** 2


def _inside_corner_to_elbow(s: dict[str, Any], depth: int, y: int) -> bool:
    """facts 2.2 geometry: under the free-throw line and on the lane's side of the two slanted edges."""
    _, width = _floor(s)
    from_side = min(y, width - y)
    elbow = width // 2 - LANE_HALF
    if depth <= FREE_THROW_LINE:
        return depth * elbow <= FREE_THROW_LINE * from_side
    if _setting(s, "dividing_line_top") == "over_semicircle" and s["edition"] == "us-hs-2023":
        return (2 * (depth - FREE_THROW_LINE)) ** 2 + (2 * y - width) ** 2 <= (2 * LANE_HALF) ** 2
    return False


# ------------------------------------------------ near a dividing line


def _near(s: dict[str, Any], after: str) -> dict[str, Any] | None:
    """The margin and the other candidate, when the place is within 2 ft of the line that chose the spot."""
    if "spot_given" in s or s["stopped_by"] in ("out_of_bounds", "plane_warning", "wrong_team") or _fiba(s):
        return None
    if s.get("pending") == "spot" and s["stopped_by"] in INTERRUPTIONS:
        return None
    x, y = _um(s["at"][0]), _um(s["at"][1])
    end = after if _from_end(s, x, after) < _front_length(s) else OTHER[after]
    if s["edition"] == "us-hs-2022":
        if _setting(s, "nearest_2022") == "plain":
            return None
        end = "left" if 2 * x < _floor(s)[0] else "right"
    elif end != after and _setting(s, "backcourt_spots") == "nearest_spot":
        return None
    depth = _from_end(s, x, end)
    if s["edition"] == "us-hs-2025":
        name, squared = "arc", _squared_distance_to_arc(s, depth, y)
    else:
        name, squared = "corner_to_elbow", _squared_distance_to_corner_to_elbow(s, depth, y)
    if squared > NEAR**2:
        return None
    other = not _inside(s, x, y, end)
    if s["edition"] == "us-hs-2022":
        spot = (x, _nearer_sideline(s, y), "sideline")
        if other:
            spot = _off_the_lane(s, (0 if end == "left" else _floor(s)[0], y, "end_line"))
    else:
        spot = _one_of_the_spots(s, x, y, end, other)
    return {
        "line": name,
        "distance_ft": round(math.sqrt(squared) / FOOT, 4),
        "other_side_answer": {"spot": _feet(spot[0], spot[1]), "line": spot[2]},
    }


def _squared_distance_to_arc(s: dict[str, Any], depth: int, y: int) -> Fraction | float:
    across = abs(y - _floor(s)[1] / 2)
    if depth < BASKET:  # the straight pieces
        return (across - ARC) ** 2
    # "within 2 ft" is kept exact at its edges by whole numbers: (ARC - NEAR)^2 <= r^2 <= (ARC + NEAR)^2
    four_r2 = 4 * (depth - BASKET) ** 2 + (2 * y - _floor(s)[1]) ** 2
    if four_r2 in (4 * (ARC - NEAR) ** 2, 4 * (ARC + NEAR) ** 2):
        return float(NEAR**2)
    return (math.sqrt(four_r2) / 2 - ARC) ** 2


def _squared_distance_to_corner_to_elbow(s: dict[str, Any], depth: int, y: int) -> Fraction | float:
    _, width = _floor(s)
    elbow = width // 2 - LANE_HALF
    edges = [((0, 0), (FREE_THROW_LINE, elbow)), ((0, width), (FREE_THROW_LINE, width - elbow))]
    over = _setting(s, "dividing_line_top") == "over_semicircle" and s["edition"] == "us-hs-2023"
    if not over:
        edges.append(((FREE_THROW_LINE, elbow), (FREE_THROW_LINE, width - elbow)))
    closest: Fraction | float = min(_squared_distance_to_edge((depth, y), a, b) for a, b in edges)
    if over and depth >= FREE_THROW_LINE:
        r = math.hypot(depth - FREE_THROW_LINE, y - width / 2)
        closest = min(closest, (r - LANE_HALF) ** 2)
    return closest


def _squared_distance_to_edge(p: tuple[int, int], a: tuple[int, int], b: tuple[int, int]) -> Fraction:
    dx, dy = b[0] - a[0], b[1] - a[1]
    t = Fraction((p[0] - a[0]) * dx + (p[1] - a[1]) * dy, dx * dx + dy * dy)
    t = min(max(t, Fraction(0)), Fraction(1))
    return (p[0] - a[0] - t * dx) ** 2 + (p[1] - a[1] - t * dy) ** 2


def _on_division_line(s: dict[str, Any], x: int) -> bool:
    length, _ = _floor(s)
    reach = _front_length(s)
    return x in (reach, length - reach)


# ------------------------------------------------ who administers, roles after

_SAME = {"old_lead": "lead", "old_trail": "trail"}
_EXCHANGED = {"old_lead": "trail", "old_trail": "lead"}


def _who(
    s: dict[str, Any], after: str, part: str | None, line: str, side: str | None, depth: int, y: int
) -> tuple[str, str | None, dict[str, str] | None]:
    """Role before, role at disposal and roles after of the throw-in."""
    reversed_play = after != s["attacking"]
    if s["stopped_by"] in FOULS_WITHOUT_THROWS:
        return _who_after_foul(s, reversed_play, part, line, side, depth)
    if _fiba(s):
        return _who_fiba(reversed_play, part, line)
    if reversed_play:
        return _who_after_reversal(s, part, line, side)
    return _who_same_direction(s, part, line, side, depth, y)


def _who_same_direction(
    s: dict[str, Any], part: str | None, line: str, side: str | None, depth: int, y: int
) -> tuple[str, str | None, dict[str, str] | None]:
    # conv 8 last sentence, facts 3.4 and 3.5 row 12: the trail has every line of the back court
    if part != "frontcourt":
        return "trail", "trail", _SAME
    time_out = s["stopped_by"] == "time_out"  # facts 3.5 row 18: no switch
    on_leads_side = side == s["lead_side"]

    if line == "end_line":
        beyond_far_lane_line = not on_leads_side and abs(2 * y - _floor(s)[1]) > 2 * LANE_HALF
        if beyond_far_lane_line and not time_out and _setting(s, "end_line_far") == "partners_exchange":
            return "trail", "lead", _EXCHANGED  # facts 3.5 row 2
        return "lead", "lead", _SAME  # conv 6; rows 1, 2', 9, 10

    low = depth <= FREE_THROW_LINE  # conv 1: on the free-throw line extended is below
    if on_leads_side and low:
        if _setting(s, "lead_line_low") == "end_line_only":
            return "trail", "trail", _SAME
        return "lead", "lead", _SAME  # conv 7, row 3
    if on_leads_side:
        if _setting(s, "lead_line_high") == "trail_crosses":
            return "trail", "trail", _SAME  # row 4'
        if time_out:
            return "lead", "lead", _SAME  # row 18
        return "lead", "trail", _EXCHANGED  # conv 7, rows 4 and 8
    if low and not time_out and _setting(s, "trail_line_low") == "goes_down_as_lead":
        return "trail", "lead", _EXCHANGED  # row 6
    return "trail", "trail", _SAME  # conv 7, rows 5 and 7


def _who_after_reversal(
    s: dict[str, Any], part: str | None, line: str, side: str | None
) -> tuple[str, str | None, dict[str, str] | None]:
    # conv 8, facts 3.5 rows 11 and 13: the new trail (old lead) in the new back court
    if part != "frontcourt":
        return "lead", "trail", _EXCHANGED
    if line == "end_line":
        return "trail", "lead", _EXCHANGED  # the ordinary exchange; the new lead hands it
    if side == s["lead_side"]:
        return "lead", "trail", _EXCHANGED  # the old lead's line: the ordinary exchange
    return "trail", "trail", _SAME  # the old trail's line: he stays, the old lead runs


def _who_after_foul(
    s: dict[str, Any], reversed_play: bool, part: str | None, line: str, side: str | None, depth: int
) -> tuple[str, str | None, dict[str, str] | None]:
    """conv 9 and facts 3.6: exchanged once from the roles that direction alone gives."""
    exchange = True
    if not _fiba(s):
        by_trail = s["stopped_by"] in OFFENSIVE and s.get("called_by") == "trail"
        if by_trail and _setting(s, "trail_offensive_foul") == "no_exchange":
            exchange = False
        if reversed_play and _setting(s, "foul_switch") == "no_long_switch":
            exchange = False
    roles = _EXCHANGED if reversed_play != exchange else _SAME
    now = _owner_after_foul(s, roles, part, line, side, depth)
    was = now if roles == _SAME else OTHER[now]
    return was, now, roles


def _owner_after_foul(
    s: dict[str, Any], roles: dict[str, str], part: str | None, line: str, side: str | None, depth: int
) -> str:
    """facts 3.6: who administers follows from the line's owner under the new roles."""
    if part != "frontcourt":
        return "trail"
    if line == "end_line":
        return "lead"
    if _fiba(s):
        return "trail"  # facts 3.5 "FIBA differences": sidelines normally the trail
    new_lead_side = s["lead_side"] if roles == _SAME else OTHER[s["lead_side"]]
    if side != new_lead_side:
        return "trail"
    if depth <= FREE_THROW_LINE and _setting(s, "lead_line_low") == "end_line_only":
        return "trail"
    if depth > FREE_THROW_LINE and _setting(s, "lead_line_high") == "trail_crosses":
        return "trail"
    return "lead"


def _who_fiba(
    reversed_play: bool, part: str | None, line: str
) -> tuple[str, str | None, dict[str, str] | None]:
    """facts 3.5 "FIBA differences", section 5: end line lead, rest trail; 3.4: reversed, exchanged"""
    if reversed_play and part == "frontcourt" and line == "sideline":
        return "either", None, None
    now = "lead" if part == "frontcourt" and line == "end_line" else "trail"
    if reversed_play:
        return OTHER[now], now, _EXCHANGED
    return now, now, _SAME


def _administers(s: dict[str, Any], was: str, now: str) -> dict[str, Any]:
    person = None
    if s.get("crew") and was in ("lead", "trail"):
        lead = s["crew"]["lead"]
        person = lead if was == "lead" else ("umpire" if lead == "referee" else "referee")
    return {"was": was, "now": now, "person": person}


def _is_switch(s: dict[str, Any], roles: dict[str, str] | None) -> Any:
    """Contract: true exactly when the roles differ from what direction alone gives."""
    if roles is None:
        return NOT_COVERED
    by_direction = _SAME if _attacking_after(s) == s["attacking"] else _EXCHANGED
    return roles != by_direction


# ------------------------------------------------ delivery, stand, count, clock, lines


def _delivery(s: dict[str, Any], line: str, part: str | None) -> str:
    if _fiba(s):
        return NOT_COVERED  # facts 3.5: hands or passes, nothing firmer was read
    if line == "sideline":
        return "bounce"  # give.sideline
    if part == "frontcourt":
        return "hand"  # give.front-end-line
    return "hand" if s.get("pressure") else "bounce"  # give.back-end-line; conv 10


def _stands(s: dict[str, Any], line: str) -> str:
    if _fiba(s) or line != "end_line":
        return NOT_COVERED
    return _setting(s, "stand_end_line")  # give.stand


def _throw_in_count(s: dict[str, Any], by: str) -> dict[str, Any]:
    """facts 2.5: five seconds from disposal to release; 3.5b count.five: visible."""
    if _fiba(s):
        return {"seconds": 5, "from": "disposal", "to": "release", "visible": NOT_COVERED, "by": NOT_COVERED}
    return {"seconds": 5, "from": "disposal", "to": "release", "visible": True, "by": by}


def _throw_in_clock(s: dict[str, Any]) -> str:
    """facts 2.6; after a goal the clock has not been stopped."""
    clock = s.get("clock") or ("running" if s["stopped_by"] == "made_goal" else "stopped")
    return "running" if clock == "running" else "legally_touched_inbounds"


def _lines(s: dict[str, Any], lead_side: str) -> dict[str, str]:
    """facts 3.2: who owns which boundary after the restart; facts 8 lead_line_owner."""
    lines = {"frontcourt_end_line": "lead", "backcourt_end_line": "trail", "division_line": "trail"}
    for side in ("table", "opposite"):
        if lead_side == NOT_COVERED:
            owner = NOT_COVERED
        elif side != lead_side:
            owner = "trail"
        elif _fiba(s) or _setting(s, "lead_line_owner") == "whole_length":
            owner = "lead"
        else:
            owner = "lead up to the free-throw line extended, trail beyond"
        lines[f"{side}_sideline"] = owner
    return lines
