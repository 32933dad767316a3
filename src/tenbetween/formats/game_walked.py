"""A walked game going out: as plain values for JSON, and as a table of every time the ball is given.

Facts without sentences: spot, line, who gives it, switch, where the two stand, feet run, what is open; and beside
it the runs with their seconds.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from typing import Any

from msgspec import to_builtins

from tenbetween.crew import PERSONS, Disposal, Opening, Standing, Walk, Walked, clock_words
from tenbetween.movement import Legwork, Run, Runs
from tenbetween.situation import PointUm, Situation
from tenbetween.units import feet

LineOf = Callable[[Situation], str]
"""How a situation is written as one line; ``notation.format`` is meant."""
TABLE = (
    "row", "quarter", "clock", "why", "ball", "moment", "restart", "line", "spot_x", "spot_y",
    "may_run_end_line",
    "delivery", "gives", "gives_name", "gives_role", "switch", "lead", "lead_name", "lead_side",
    "referee_x", "referee_y", "umpire_x", "umpire_y", "referee_ran_ft", "umpire_ran_ft",
    "arrow", "white_fouls", "dark_fouls", "resumes", "taken", "open", "situation",
)  # fmt: skip
"""The columns of the table."""


def walk_as_dict(walk: Walk, line_of: LineOf) -> dict[str, Any]:
    """Return a walked game as plain values: game, rows, totals, questions.

    Lengths are feet, distances the least run between taught places; what is not known is None.

    >>> from tenbetween.book import load_book
    >>> from tenbetween.crew import Stoppage, walk
    >>> walked = walk(load_book("us-hs-2025"), Opening(), [Stoppage(row=1, why="game_start", ball="dark")])
    >>> walk_as_dict(walked, lambda situation: situation.stopped_by)["rows"][0]["after"]["arrow"]
    'white'
    """
    opening = walk.opening
    return {
        "game": _game(walk),
        "rows": [_row(row, opening, line_of) for row in walk.rows],
        "totals": {
            "stoppages": len(walk.rows),
            "switches": [{"quarter": period, "switches": n} for period, n in walk.switches],
            "persons": [
                {
                    "quarter": share.period,
                    "person": share.person,
                    "name": opening.name_of(share.person),
                    "restarts": share.restarts,
                    "handled": share.handled,
                    "at_least_ran_ft": share.ran_ft,
                }
                for share in walk.shares
            ],
        },
        "questions": [{"about": q.about, "why": q.why, "rows": list(q.rows)} for q in walk.questions],
    }


def walk_as_csv(walk: Walk, line_of: LineOf) -> str:
    """Return a walked game as a table, one line for each time the ball is given.

    >>> from tenbetween.book import load_book
    >>> from tenbetween.crew import Stoppage, walk
    >>> walked = walk(load_book("us-hs-2025"), Opening(), [Stoppage(row=1, why="game_start", ball="dark")])
    >>> walk_as_csv(walked, lambda situation: "").splitlines()[1].split(",")[:5]
    ['1', '1', '', 'game_start', 'Dark']
    """
    out = io.StringIO()
    table = csv.DictWriter(out, TABLE, lineterminator="\n")
    table.writeheader()
    for row in walk.rows:
        for number, disposal in enumerate(row.disposals):
            table.writerow(
                {k: _safe(v) for k, v in _line(row, number, disposal, walk.opening, line_of).items()}
            )
    return out.getvalue()


def runs_as_dict(runs: Runs, opening: Opening) -> dict[str, Any]:
    """Return the runs of a walked game as plain values: by official, by kind of restart, and each run.

    >>> from tenbetween.movement import JOGGER
    >>> runs_as_dict(Runs(JOGGER, (), 0, ()), Opening())["profile"]["name"]
    'jogger'
    """
    return {
        "profile": to_builtins(runs.legs),
        "by_official": [_legwork(one, opening) for one in runs.by_official],
        "runs": [_run(run) for run in runs.runs],
        "not_known": runs.not_known,
    }


def _legwork(one: Legwork, opening: Opening) -> dict[str, Any]:
    return {
        "person": one.person,
        "name": opening.name_of(one.person),
        "runs": one.runs,
        "stays": one.stays,
        "at_least_ran_ft": round(one.feet, 1),
        "seconds_running": round(one.seconds, 1),
        "longest": _run(one.longest) if one.longest else None,
        "kinds": [
            {
                "kind": kind.kind,
                "runs": kind.runs,
                "median_ft": round(kind.feet_median, 1),
                "median_s": round(kind.seconds_median, 1),
            }
            for kind in one.kinds
        ],
    }


def _run(run: Run) -> dict[str, Any]:
    return {
        "row": run.row,
        "person": run.person,
        "kind": run.kind,
        "points": [list(at) for at in run.points],
        "at_least_ran_ft": round(run.feet, 1),
        "seconds_running": round(run.seconds, 2),
        "seconds_until_set": round(run.until_set, 2),
    }


def _game(walk: Walk) -> dict[str, Any]:
    opening = walk.opening
    names = {who: opening.name_of(who) for who in ("white", "dark", "referee", "umpire")}
    book = {"title": walk.book_title, "digest": walk.book_digest}
    first = opening.standing.white_attacks_first
    return {"title": opening.title, "date": opening.date, **names, "white_attacks_first": first, "book": book}


def _row(row: Walked, opening: Opening, line_of: LineOf) -> dict[str, Any]:
    stoppage = row.stoppage
    return {
        "row": stoppage.row,
        "quarter": row.after.period,
        "clock": None if stoppage.clock is None else clock_words(stoppage.clock),
        "why": stoppage.why,
        "note": stoppage.note,
        "situation": line_of(row.situation),
        "disposals": [_disposal(disposal, opening) for disposal in row.disposals],
        "switch": row.switch,
        "bonus": row.two_shots or None,
        "resumes": row.resumes,
        "at_least_ran_ft": {person: row.ran_ft(person) for person in PERSONS},
        "before": _standing(row.before),
        "after": _standing(row.after),
        "taken": list(row.taken),
        "open": list(row.open),
    }


def _disposal(disposal: Disposal, opening: Opening) -> dict[str, Any]:
    ruling, by = disposal.ruling, disposal.handled_by
    gives = None
    if by is not None and ruling.administers is not None:
        gives = {"person": by, "name": opening.name_of(by), "role": ruling.administers.now}
    stand = {
        person: {
            "place": post.name,
            "at": list(post.at),
            "role": "lead" if person == disposal.lead else "trail",
        }
        for person, post in disposal.posts.items()
    }
    return {
        "restart": ruling.restart,
        "spot": _point(ruling.spot),
        "line": ruling.line,
        "may_run_end_line": ruling.may_run_end_line,
        "delivery": ruling.delivery,
        "administers": gives,
        "switch": disposal.switch,
        "lead": disposal.lead,
        "lead_side": disposal.lead_side,
        "stand": stand or None,
        "at_least_ran_ft": {person: disposal.ran_ft.get(person) for person in PERSONS},
    }


def _standing(standing: Standing) -> dict[str, Any]:
    due = standing.due
    return {
        "ball": standing.control,
        "attacks": {"white": standing.attacks("white"), "dark": standing.attacks("dark")},
        "lead": standing.lead,
        "trail": standing.trail,
        "lead_side": standing.lead_side,
        "arrow": standing.arrow,
        "fouls": {"white": standing.fouls.white, "dark": standing.fouls.dark},
        "time_outs_60": {"white": standing.sixties.white, "dark": standing.sixties.dark},
        "time_outs_30": {"white": standing.thirties.white, "dark": standing.thirties.dark},
        "throw_in_due": due
        and {"team": due.team, "kind": due.kind, "spot": _point(due.at), "by_arrow": due.by_arrow},
        "free_throws_due": standing.throws.team if standing.throws else None,
    }


def _line(row: Walked, number: int, disposal: Disposal, opening: Opening, line_of: LineOf) -> dict[str, Any]:
    ruling, after, by = disposal.ruling, row.after, disposal.handled_by
    spot: list[Any] = list(_point(ruling.spot) or (None, None))
    at = {person: post.at for person, post in disposal.posts.items()}
    ball = after.control
    return {
        "row": row.stoppage.row,
        "quarter": after.period,
        "clock": None if row.stoppage.clock is None else clock_words(row.stoppage.clock),
        "why": row.stoppage.why,
        "ball": opening.name_of(ball) if ball else None,
        "moment": "first" if number == 0 else "after the throws",
        "restart": ruling.restart,
        "line": ruling.line,
        "spot_x": spot[0],
        "spot_y": spot[1],
        "may_run_end_line": _yes(ruling.may_run_end_line),
        "delivery": ruling.delivery,
        "gives": by,
        "gives_name": opening.name_of(by) if by else None,
        "gives_role": ruling.administers.now if by and ruling.administers else None,
        "switch": _yes(disposal.switch),
        "lead": disposal.lead,
        "lead_name": opening.name_of(disposal.lead) if disposal.lead else None,
        "lead_side": disposal.lead_side,
        **{f"{p}_{axis}": at[p][i] if p in at else None for p in PERSONS for i, axis in enumerate("xy")},
        **{f"{p}_ran_ft": disposal.ran_ft.get(p) for p in PERSONS},
        "arrow": opening.name_of(after.arrow) if after.arrow else None,
        "white_fouls": after.fouls.white,
        "dark_fouls": after.fouls.dark,
        "resumes": row.resumes,
        "taken": "; ".join(row.taken),
        "open": "; ".join(row.open),
        "situation": line_of(row.situation if number == 0 else ruling.situation),
    }


def _point(at: PointUm | None) -> list[float] | None:
    return None if at is None else [feet(at[0]), feet(at[1])]


def _yes(value: bool | None) -> str | None:
    return None if value is None else ("yes" if value else "no")


def _safe(value: Any) -> Any:
    """Keep a spreadsheet from taking a name for a formula."""
    return f"'{value}" if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t") else value
