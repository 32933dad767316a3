"""How the readable cases and the plain second opinion are put to the book, and its answer in their words.

The cases and ``tests/oracle/plain.py`` speak the JSON of the contract with setting values of their own; the
book has longer tokens for the same. The tables here are the only place where one is said in the other's words.
"""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

from tenbetween.situation import Floor, Ruling, Situation
from tenbetween.units import FOOT

NOT_COVERED = "not covered"
EDITIONS = ("us-hs-2022", "us-hs-2023", "us-hs-2025", "fiba-2po")
CASES_FOLDER = Path(__file__).parent.parent / "cases"

BOOK_VALUES: dict[str, dict[str, str]] = {
    "backcourt_spots": {"spots_of_that_end": "spots_of_that_end", "nearest_spot": "nearest_spot"},
    "dividing_line_top": {"straight": "straight", "over_semicircle": "over_the_free_throw_semicircle"},
    "edge": {"inside_below_back": "inside_below_back"},
    "tie": {"lead_side": "leads_side"},
    "end_spot_point": {"middle": "middle", "nearer_edge": "near_edge"},
    "nearest_2022": {"plain": "plain_nearest_boundary", "corner_to_elbow": "by_the_corner_to_elbow_drawing"},
    "end_line_far": {"lead_crosses": "lead_crosses", "partners_exchange": "partners_exchange"},
    "lead_line_low": {
        "lead_stays": "lead_administers_stays_lead",
        "end_line_only": "lead_takes_the_end_line_only",
    },
    "lead_line_high": {
        "lead_becomes_trail": "lead_administers_becomes_trail",
        "trail_crosses": "trail_crosses",
    },
    "lead_line_owner": {
        "whole_length": "whole_length",
        "to_free_throw_line": "up_to_the_free_throw_line_extended",
    },
    "trail_line_low": {
        "trail_stays": "trail_administers_stays_trail",
        "goes_down_as_lead": "goes_down_as_lead",
    },
    "foul_switch": {"all_fouls": "all_fouls_without_free_throws", "no_long_switch": "no_long_switch"},
    "trail_offensive_foul": {"no_exchange": "no_exchange", "exchange": "exchange"},
    "shooting_foul_by_trail": {"caller_is_trail": "caller_is_trail", "always_exchange": "always_exchange"},
    "free_throw_count": {"visible": "visible_by_the_trail", "silent": "silent"},
    "stand_end_line": {"outside": "outside_the_thrower", "inside": "inside_the_thrower"},
    "time_out_place": {"halfway": "halfway", "circle": "circle", "quarter_point": "quarter_point"},
    "chop": {
        "trail_mirrors_end_line": "administering_and_trail_mirrors",
        "both": "both_everywhere",
        "administering_only": "administering_only",
    },
    "count_arm": {"free": "free", "table_side": "table_side"},
    "jump_ball_partner": {"table_side": "table_side_at_the_division_line"},
}
"""Setting values: as the cases and the plain opinion say them, and as the book does."""
STANDS = {"outside_the_thrower": "outside", "inside_the_thrower": "inside"}
SPLIT_LINE = {"lead_below_trail_above": "lead up to the free-throw line extended, trail beyond"}
_PARTS = {"line": "spot", "court_part": "spot", "switch": "roles_after", "arm": "count"}
"""Parts that are open together with another: a line is open when its spot is."""


def read_cases() -> list[tuple[str, dict[str, Any]]]:
    """All readable cases with their sentence, as ("spots: the sentence", case).

    Those in the folder ``book`` expect parts the plain opinion has not (who chops, the arm of the count) and may
    name several editions, for each of which they are a case.
    """
    found = []
    for path in sorted((*CASES_FOLDER.glob("*.toml"), *CASES_FOLDER.glob("book/*.toml"))):
        for case in tomllib.loads(path.read_text(encoding="utf-8"))["case"]:
            found += [(f"{path.stem}: {one['says']}", one) for one in _in_each_edition(case)]
    return found


def _in_each_edition(case: dict[str, Any]) -> list[dict[str, Any]]:
    if "editions" not in case:
        return [case]
    rest = {key: value for key, value in case.items() if key != "editions"}
    return [
        rest | {"says": f"{case['says']} ({edition})", "situation": case["situation"] | {"edition": edition}}
        for edition in case["editions"]
    ]


# ---- a situation, there and back


def um(feet: Any) -> int:
    """Feet as printed, in whole micrometres."""
    return round(Fraction(str(feet)) * FOOT)


def as_feet(micrometres: int) -> Any:
    """Micrometres in feet, exact where a decimal number can be."""
    return float(Fraction(micrometres, FOOT)) if micrometres % FOOT else micrometres // FOOT


def situation_of(asked: dict[str, Any]) -> Situation:
    """The situation of a contract object, with setting values in the book's words."""
    settings = {n: BOOK_VALUES.get(n, {}).get(v, v) for n, v in asked.get("settings", {}).items()}
    court, at = asked.get("court"), asked.get("at")
    plain = {n: asked[n] for n in _SAME_NAME if n in asked}
    return Situation(
        floor=Floor(um(court["length"]), um(court["width"])) if court else None,
        settings=tuple(sorted(settings.items())),
        lead_person=asked["crew"]["lead"] if asked.get("crew") else None,
        at=(um(at[0]), um(at[1])) if at else None,
        **plain,
    )


_SAME_NAME = (
    "edition", "date", "attacking", "stopped_by", "lead_side", "ball_to", "pending", "called_by", "bonus", "pressure", "clock",
)  # fmt: skip


def asked_of(s: Situation, settings: dict[str, str] | None = None) -> dict[str, Any]:
    """The contract object of a situation, for the plain opinion; ``settings`` in the plain opinion's words."""
    asked: dict[str, Any] = {n: getattr(s, n) for n in _SAME_NAME if getattr(s, n) is not None}
    if s.at is not None:
        asked["at"] = [as_feet(s.at[0]), as_feet(s.at[1])]
    if s.floor is not None:
        asked["court"] = {"length": as_feet(s.floor.length), "width": as_feet(s.floor.width)}
    if s.lead_person is not None:
        asked["crew"] = {"lead": s.lead_person}
    if settings:
        asked["settings"] = settings
    return asked


# ---- an answer, in the words of the plain opinion


def answer_of(ruling: Ruling) -> dict[str, Any]:
    """A ruling as the parts of the contract, with "not covered" in place of what the ruling says is open."""
    open_parts = {n.part for n in ruling.not_covered}
    parts: dict[str, Any] = {
        "restart": ruling.restart,
        "spot": _point(ruling.spot),
        "line": ruling.line,
        "near": _near(ruling),
        "attacking_after": ruling.attacking_after,
        "court_part": ruling.court_part,
        "may_run_end_line": ruling.may_run_end_line,
        "delivery": ruling.delivery,
        "administers": _fields(ruling.administers, "was", "now", "person"),
        "switch": ruling.switch,
        "roles_after": _fields(ruling.roles_after, "old_lead", "old_trail"),
        "lead_side_after": ruling.lead_side_after,
        "stands": STANDS.get(ruling.stands or "", ruling.stands),
        "count": _count(ruling),
        "clock_starts": ruling.clock_starts,
        "lines": _lines(ruling, open_parts),
        "chop": list(ruling.chop) if ruling.chop is not None else None,
        "arm": ruling.count.arm if ruling.count is not None else None,
        "after_free_throws": answer_of(ruling.after_free_throws) if ruling.after_free_throws else None,
    }
    for part, value in parts.items():
        if value is None and (part in open_parts or _PARTS.get(part) in open_parts):
            parts[part] = NOT_COVERED
    return parts


def _point(at: tuple[int, int] | None) -> list[float] | None:
    return None if at is None else [round(at[0] / FOOT, 4), round(at[1] / FOOT, 4)]


def _fields(value: Any, *names: str) -> dict[str, Any] | None:
    return None if value is None else {name: getattr(value, name) for name in names}


def _near(ruling: Ruling) -> dict[str, Any] | None:
    near = ruling.near
    if near is None:
        return None
    other = near.other_side_answer
    return {
        "line": near.line,
        "distance_ft": near.distance_ft,
        "other_side_answer": {"spot": _point(other.spot), "line": other.line},
    }


def _count(ruling: Ruling) -> dict[str, Any] | None:
    c = ruling.count
    if c is None:
        return None
    shown = NOT_COVERED if c.visible is None else c.visible
    by = NOT_COVERED if c.by in ("", "open") else c.by
    return {"seconds": c.seconds, "from": c.begins, "to": c.ends, "visible": shown, "by": by}


def _lines(ruling: Ruling, open_parts: set[str]) -> dict[str, str] | None:
    if ruling.lines is None:
        return None
    lines = {line: SPLIT_LINE.get(who, who) for line, who in ruling.lines.items()}
    if "lines.sidelines" in open_parts:
        lines |= {"table_sideline": NOT_COVERED, "opposite_sideline": NOT_COVERED}
    return lines


# ---- telling two answers apart


def same(want: Any, got: Any) -> bool:
    """Equal; numbers within a fiftieth of a foot, the step in which a margin is told."""
    if isinstance(want, dict):
        return (
            isinstance(got, dict) and want.keys() == got.keys() and all(same(want[k], got[k]) for k in want)
        )
    if isinstance(want, list):
        return isinstance(got, list) and len(want) == len(got) and all(map(same, want, got))
    if isinstance(want, float) and isinstance(got, int | float):
        return abs(want - got) <= 0.006
    return bool(want == got)


def missed(expected: dict[str, Any], got: Any, where: str = "") -> list[str]:
    """Every part in which an answer differs from what a case expects, as readable lines."""
    if not isinstance(got, dict):
        return [f"{where}: expected parts, found {got!r}"]
    lines: list[str] = []
    for key, want in expected.items():
        place = f"{where}.{key}".lstrip(".")
        if key == "null":
            lines += [f"{place} {p}: expected empty, found {got[p]!r}" for p in want if got[p] is not None]
        elif key == "not_covered":
            lines += [f"{place} {p}: expected open, found {got[p]!r}" for p in want if got[p] != NOT_COVERED]
        elif isinstance(want, dict):
            lines += missed(want, got[key], place)
        elif not same(want, got[key]):
            lines.append(f"{place}: expected {want!r}, found {got[key]!r}")
    return lines
