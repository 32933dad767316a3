"""The runs of a walked game, timed: where each official came from, by which way, and how long one profile needs.

A pure function from a walk to a table; feet are the walk's own. Says nothing of how anybody ran, or ought to.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import dist

from tenbetween.book import edition_head, edition_ids
from tenbetween.court import Court, court_of, post
from tenbetween.crew import PERSONS, Disposal, Walk, Walked
from tenbetween.movement import JOGGER, Legs, Run, Runs, legwork, run_of
from tenbetween.situation import Person, PointFt, other_side

NOTE = (
    "Feet are the least between taught places. Seconds are what this profile needs going all out, where much is "
    "walked after a whistle: information, and no time to beat."
)
ROUNDED = 0.051
"""The walk tells feet to a tenth."""


def runs_of(walk: Walk, legs: Legs = JOGGER) -> Runs:
    """Return every run of a walked game with its seconds, and what each official's add up to.

    >>> from tenbetween.book import load_book
    >>> from tenbetween.crew import Opening, Stoppage, walk
    >>> rows = [Stoppage(row=1, why="game_start", ball="dark"), Stoppage(row=2, why="made_goal")]
    >>> found = runs_of(walk(load_book("us-hs-2025"), Opening(), rows))
    >>> [(one.person, one.runs, round(one.feet)) for one in found.by_official]
    [('referee', 1, 86), ('umpire', 1, 55)]
    """
    found: list[Run] = []
    not_known = 0
    for row in walk.rows:
        court = court_of(_kind_of_court(row), walk.opening.floor)
        for person, disposal, start in _moments(row):
            if start is None or person not in disposal.ran_ft:
                not_known += 1
                continue
            points = _points(court, row, person, start, disposal)
            found.append(run_of(row.stoppage.row, person, kind_of(disposal), points, legs))
    return Runs(legs, tuple(found), not_known, tuple(legwork(person, found) for person in PERSONS))


def runs_page(walk: Walk, legs: Legs = JOGGER) -> dict[str, object]:
    """Return the runs of a walked game for a screen: by official and kind of restart, medians beside their counts.

    >>> from tenbetween.book import load_book
    >>> from tenbetween.crew import Opening, Stoppage, walk
    >>> rows = [Stoppage(row=1, why="game_start", ball="dark"), Stoppage(row=2, why="made_goal")]
    >>> runs_page(walk(load_book("us-hs-2025"), Opening(), rows))["officials"][0]["runs"]
    1
    """
    found = runs_of(walk, legs)
    officials = [
        {
            "name": one.person.capitalize(),
            "runs": one.runs,
            "stays": one.stays,
            "feet": f"{one.feet:,.0f} ft",
            "seconds": f"{one.seconds:.0f} s",
            "longest": "" if one.longest is None else f"{one.longest.feet:.0f} ft, row {one.longest.row}",
            "kinds": [
                (kind.kind, kind.runs, f"{kind.feet_median:.0f} ft", f"{kind.seconds_median:.1f} s")
                for kind in one.kinds
            ],
        }
        for one in found.by_official
    ]
    profile = f"{legs.name}, {legs.speed:g} ft/s"
    return {"profile": profile, "officials": officials, "not_known": found.not_known, "note": NOTE}


def _kind_of_court(row: Walked) -> str:
    edition = row.situation.edition
    return edition_head(edition).court if edition in edition_ids() else "us-hs"


def _moments(row: Walked) -> Iterator[tuple[Person, Disposal, PointFt | None]]:
    """Tell each official's start before each time the ball is put in play."""
    places = dict(row.before.places)
    for disposal in row.disposals:
        for person in PERSONS:
            yield person, disposal, places.get(person)
        places |= {person: there.at for person, there in disposal.posts.items()}


def kind_of(disposal: Disposal) -> str:
    """Return what a restart is, in words."""
    ruling = disposal.ruling
    if ruling.restart == "throw_in":
        return f"throw-in, {(ruling.line or 'place not said').replace('_', ' ')}"
    return (ruling.restart or "not said").replace("_", " ")


def _points(
    court: Court, row: Walked, person: Person, start: PointFt, disposal: Disposal
) -> tuple[PointFt, ...]:
    """Return the way the walk measured: straight, or by way of the end the play had reached.

    The walk keeps feet, not the way; of the two ways there are, the one with its feet is the one it took.
    """
    end, feet = disposal.posts[person].at, disposal.ran_ft[person]
    over = _where_play_was(court, row, person)
    if over is not None and abs(dist(start, end) - feet) > ROUNDED:
        return tuple(_distinct((start, over, end)))
    return (start, end)


def _where_play_was(court: Court, row: Walked, person: Person) -> PointFt | None:
    lead, side = row.before.lead, row.before.lead_side
    if lead is None or side is None:
        return None
    name, own = ("lead_end_line", side) if person == lead else ("trail_28", other_side(side))
    return post(court, name, row.situation.attacking, own, None).at


def _distinct(points: tuple[PointFt, ...]) -> Iterator[PointFt]:
    yield points[0]
    yield from (b for a, b in pairwise(points) if a != b)
