"""The words rows may use: features with their values, and tables with what each may decide.

A row of the book says ``when`` (features and the values they may have) and ``then`` (what it decides). This
module closes both lists, so that a misspelt word is a fault with a line number and the counted space is
finite. Knows no edition and decides nothing.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tenbetween.situation import CAUSES

YES_NO = ("yes", "no")

FEATURES: dict[str, tuple[str, ...]] = {
    # as the situation says it
    "cause": CAUSES,
    "ball_to": ("same", "other", "unsaid"),
    "pending": ("nothing", "spot", "run_end_line"),
    "caller": ("lead", "trail", "unsaid"),
    "bonus": YES_NO,
    "pressure": YES_NO,
    "clock": ("stopped", "running"),
    "roles_known": YES_NO,
    # where it happened, for the team that puts the ball in play
    "place": ("frontcourt", "backcourt", "division_line", "unsaid"),
    "inside_arc": (*YES_NO, "unsaid"),
    "inside_corner_to_elbow": (*YES_NO, "unsaid"),
    "inside_over_semicircle": (*YES_NO, "unsaid"),
    "after_throws": YES_NO,
    # what earlier tables decided
    "restart": ("throw_in", "free_throws", "jump_ball", "play_goes_on", "open"),
    "throws": ("live", "dead", "none"),
    "line": ("end_line", "sideline", "division_line", "open"),
    "part": ("frontcourt", "backcourt", "neither"),
    "level": ("low", "high", "open"),
    "sideline_of": ("lead", "trail", "open"),
    "run": YES_NO,
    "direction": ("same", "reversed"),
    "owner_now": ("lead", "trail", "open"),
    "handles": ("lead", "trail", "nobody", "open"),
    "delivered": ("hand", "bounce", "toss", "none", "open"),
    "old_lead_is": ("lead", "trail", "open"),
}
"""Every feature and its closed list of values; the settings of an edition are features as well."""

FEATURE_WORDS: dict[str, str] = {
    "cause": "why play stopped",
    "ball_to": "whose ball, against the team that had it",
    "pending": "throw-in that was due",
    "caller": "who called it",
    "bonus": "bonus",
    "pressure": "thrower pressed in his back court",
    "clock": "clock",
    "roles_known": "roles given",
    "place": "where it happened, for the team throwing in",
    "inside_arc": "at or inside the arc",
    "inside_corner_to_elbow": "at or inside the corner-to-elbow line",
    "inside_over_semicircle": "inside the corner-to-elbow line with the semicircle on top",
    "after_throws": "after free throws with a dead ball",
    "restart": "restart",
    "throws": "ball after the throws",
    "line": "line of the spot",
    "part": "court part of the spot",
    "level": "low or high, by the free-throw line extended",
    "sideline_of": "on whose side before the stoppage; open within the lane's width",
    "run": "may run the end line",
    "direction": "direction of play",
    "owner_now": "role now of the official whose sideline it is",
    "handles": "who handles the ball",
    "delivered": "how the ball is given",
    "old_lead_is": "role of the old lead now",
}


class Table(Struct, frozen=True):
    """One decision: which part of the answer, and the fields and values its rows may set.

    ``hit`` "one": exactly one row applies in every situation of the counted space; "all": every row that
    applies is collected, in the order its rows give.
    """

    name: str
    decides: str
    fields: dict[str, tuple[str, ...] | type]
    hit: Literal["one", "all"] = "one"
    only_if: tuple[str, tuple[str, ...]] | None = None
    """The table is asked only when this feature has one of these values."""


PLACES = (
    "lead_end_line",
    "trail_28",
    "end_line_outside_thrower",
    "end_line_inside_thrower",
    "sideline_back_court_side",
    "sideline_end_line_side",
    "division_line_holding",
    "near_basket_trail",
    "circle_tosser",
    "division_line_table",
    "free_throw_lead",
    "free_throw_trail",
    "free_throw_alone",
    "by_the_benches",
)
WAITING = (
    "time_out_spot",
    "time_out_opposite_circle",
    "time_out_opposite_halfway",
    "time_out_opposite_quarter",
    "time_out_table_circle",
    "time_out_table_halfway",
    "time_out_table_quarter",
    "between_periods_referee",
    "between_periods_umpire",
)
SIGNALS = (
    "none",
    "open_hand",
    "fist",
    "point_direction",
    "point_spot",
    "thumbs_up",
    "run_end_line_wave",
    "strokes",
    "arm_up",
    "chop",
    "hold_hand",
    "beckon",
    "count_score",
    "wave_off",
    "one_finger",
    "two_fingers",
    "three_fingers",
    "time_out",
    "report_number",
    "free_throw_strokes",
    "hand_ball",
    "bounce_ball",
    "toss",
    "whistle",
    "look",
)
ROLE = ("lead", "trail")

TABLES: tuple[Table, ...] = (
    Table(
        "restart",
        "restart",
        {
            "restart": ("throw_in", "free_throws", "jump_ball", "play_goes_on"),
            "throws": ("live", "dead", "none"),
            "shooters": ("open",),
        },
    ),
    Table(
        "spot",
        "spot",
        {
            "spot": (
                "as_crossed",
                "nearest",
                "nearest_by_corner_to_elbow",
                "end_line_spot",
                "sideline_mark",
                "division_line_opposite",
                "front_throw_in_line",
                "same_place",
                "own_end_line",
            )
        },
        only_if=("restart", ("throw_in",)),
    ),
    Table("run", "may_run_end_line", {"run": YES_NO}, only_if=("restart", ("throw_in", "free_throws"))),
    Table(
        "roles",
        "roles_after",
        {
            "roles": (
                "by_direction",
                "exchanged",
                "caller_is_trail",
                "nobody_changes",
                "referee_is_trail",
                "tosser_becomes_trail",
            )
        },
    ),
    Table("who", "administers", {"handles": ("lead", "trail", "nobody", "referee_as_trail", "referee")}),
    Table(
        "sides",
        "lead_side_after",
        {"sides": ("each_keeps_his_side_or_crosses_to_the_spot", "trail_opposite_the_table")},
    ),
    Table("delivery", "delivery", {"delivery": ("hand", "bounce", "toss", "none")}),
    Table(
        "stands",
        "stands",
        {
            "stands": (
                "outside_the_thrower",
                "inside_the_thrower",
                "back_court_side",
                "end_line_side",
            )
        },
    ),
    Table(
        "count",
        "count",
        {
            "seconds": int,
            "begins": str,
            "ends": str,
            "visible": bool,
            "by": ("administering", *ROLE),
            "arm": str,
        },
    ),
    Table(
        "clock",
        "clock_starts",
        {"clock": ("legally_touched_inbounds", "running", "legally_tapped", "touched_after_miss")},
    ),
    Table("chop", "chop", {"chop": ("administering", "partner", "lead", "trail", "umpire")}),
    Table(
        "lines",
        "lines",
        {
            "frontcourt_end_line": ROLE,
            "backcourt_end_line": ROLE,
            "lead_sideline": ("lead", "trail", "lead_below_trail_above"),
            "trail_sideline": ROLE,
            "division_line": ROLE,
        },
    ),
    Table("watch", "watches", {"administering": str, "partner": str, "lead": str, "trail": str}),
    Table("places", "places", {"lead": PLACES, "trail": PLACES}),
    Table(
        "waiting",
        "waiting",
        {"administering": WAITING, "partner_60": WAITING, "partner_30": WAITING, "partner": WAITING},
    ),
    Table(
        "steps",
        "steps",
        {"order": int, "by": str, "act": str, "signal": SIGNALS, "moves": ("", "old_lead", "old_trail")},
        hit="all",
    ),
    Table("duties", "duties", {"duty": ("yes",)}, hit="all"),
)
TABLE_NAMES = tuple(table.name for table in TABLES)
CONFIDENCE = ("high", "medium", "low", "practice")
STATUS = ("settled", "local option", "disputed", "from memory")
AUTHORITY = ("state", "association", "own")
