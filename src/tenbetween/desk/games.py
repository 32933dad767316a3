"""Walking a game: from a list of stoppages to who stood where, who ran how far, and what to ask.

Hands over plain values; nothing here says how well anybody did anything.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from tenbetween import notation
from tenbetween.crew.values import PERSONS, Fault, Walk, Walked, clock_words
from tenbetween.desk.answers import Shelf, edition_for
from tenbetween.desk.runs import runs_page
from tenbetween.desk.views import line_query
from tenbetween.draw import words
from tenbetween.errors import FormatError, Problem
from tenbetween.formats.game_csv import GameFile, read_game, read_game_bytes, walk_game
from tenbetween.formats.game_walked import walk_as_csv, walk_as_dict

Page = dict[str, Any]


def walk_text(
    shelf: Shelf, text: str | bytes, *, today: str, edition: str | None = None, layers: Iterable[str] = ()
) -> Walk:
    """Return the walk of a game as written; the file's own edition and layers count unless others are named.

    Raises:
        FormatError: every mistake with its row.
        BookError: an edition or layer that is not there.
    """
    game = read_game_bytes(text) if isinstance(text, bytes) else read_game(text)
    chosen = edition_for(today, edition or game.edition)
    return walk_game(game, shelf.book(chosen, tuple(layers) or game.layers))


def walk_page(shelf: Shelf, edition: str, layers: tuple[str, ...], text: str, title: str) -> Page:
    """Return a walked game for a screen, or its mistakes, row by row."""
    if not text.strip():
        nothing = Problem(
            "row 1", "nothing", "a list of stoppages, one a line", "type them or paste a CSV file"
        )
        return {"problems": [nothing.as_dict()], "rows": [], "totals": [], "title": title, "id": ""}
    try:
        walk = walk_game(read_game(text), shelf.book(edition, layers))
    except FormatError as fault:
        return {
            "problems": [p.as_dict() for p in fault.problems],
            "rows": [],
            "totals": [],
            "title": title,
            "id": "",
        }
    return {
        "problems": [],
        "rows": [row_page(walk, row) for row in walk.rows],
        "totals": totals(walk),
        "runs": runs_page(walk),
        "title": title,
        "id": "",
    }


def row_page(walk: Walk, row: Walked) -> Page:
    """Return one restart: what happened, the answer, who is where, who ran how far."""
    last, teams = row.disposals[-1], _teams(row)
    return {
        "number": row.stoppage.row,
        "when": _when(row),
        "what": words.situation_text(row.situation, teams=teams),
        "sentence": words.sentence(row.ruling, teams=teams),
        "switch": {True: "yes", False: "no", None: ""}[row.switch if row.ruling.roles_after else None],
        "lead": _lead(last.lead, last.lead_side),
        "places": {person: _post(post) for person, post in sorted(last.posts.items())},
        "ran": ", ".join(
            f"{person.capitalize()} {row.ran_ft(person):g} ft"
            for person in PERSONS
            if row.ran_ft(person) is not None
        ),
        "handled_by": last.handled_by or "",
        "href": f"/?{line_query(notation.format(row.situation))}&team={teams[0]}",
        "line": notation.format(row.situation),
        "open": "; ".join(row.open),
        "taken": list(row.taken),
    }


def _teams(row: Walked) -> tuple[str, str]:
    """The colours as the words need them: first the team that attacked."""
    return ("White", "Dark") if row.after.attacks("white") == row.situation.attacking else ("Dark", "White")


def _when(row: Walked) -> str:
    period = row.after.period
    name = "before the game" if not period else f"Q{period}" if period <= 4 else f"extra period {period - 4}"
    return f"{name} {clock_words(row.stoppage.clock)}" if row.stoppage.clock is not None else name


def _lead(person: str | None, side: str | None) -> str:
    return f"{(person or 'either').capitalize()}, {side} side" if side else (person or "").capitalize()


def _post(post: Any) -> Page:
    return {"name": post.name, "at": list(post.at)}


def totals(walk: Walk) -> list[dict[str, str]]:
    """Return what a game adds up to: restarts, switches, feet at least run, and what to ask."""
    switches = sum(n for _, n in walk.switches)
    stoppages = sum(row.ruling.restart != "play_goes_on" for row in walk.rows)
    found = [
        {"label": "Stoppages", "value": str(stoppages)},
        {"label": "Changes of control without a whistle", "value": str(len(walk.rows) - stoppages)},
        {"label": "Switches", "value": str(switches)},
    ]
    for person in PERSONS:
        mine = [s for s in walk.shares if s.person == person]
        feet, handled = sum(s.ran_ft for s in mine), sum(s.handled for s in mine)
        found.append(
            {
                "label": f"{person.capitalize()} at least ran",
                "value": f"{feet:,.0f} ft, gave the ball {handled} {_times(handled)}",
            }
        )
    found.append({"label": "Questions to ask", "value": str(len(walk.questions))})
    return found


def _times(number: int) -> str:
    return "time" if number == 1 else "times"


def walk_report(walk: Walk) -> Page:
    """Return a walked game for a person to read: rows in words, totals, and what to ask."""
    return {
        "book": walk.book_title,
        "digest": walk.book_digest,
        "rows": [row_page(walk, row) for row in walk.rows],
        "shares": [
            {
                "period": s.period,
                "person": s.person,
                "restarts": s.restarts,
                "handled": s.handled,
                "ran_ft": s.ran_ft,
            }
            for s in walk.shares
        ],
        "switches": [{"period": p, "switches": n} for p, n in walk.switches],
        "questions": [{"about": q.about, "why": q.why, "rows": list(q.rows)} for q in walk.questions],
        "totals": totals(walk),
    }


def walk_json(walk: Walk) -> Page:
    """Return a walked game for other programs: every row with what stood before and after."""
    return walk_as_dict(walk, notation.format)


def walk_csv(walk: Walk) -> str:
    """Return a walked game as a table, one line for each time the ball is given."""
    return walk_as_csv(walk, notation.format)


def faults_page(faults: Iterable[Fault]) -> list[dict[str, str]]:
    """Return mistakes by row."""
    return [f.problem.as_dict() for f in faults]


__all__ = [
    "GameFile",
    "faults_page",
    "row_page",
    "totals",
    "walk_csv",
    "walk_json",
    "walk_page",
    "walk_report",
    "walk_text",
]
