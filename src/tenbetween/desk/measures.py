"""Times of a restart off the film: whistle to live ball, the five-second count, touch to chop.

Each in seconds with plus or minus a frame, as long as the frames really were just there (rates vary). Medians by kind
of restart with how many were measured and how many not seen; never a best time, never an order of persons.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np
from msgspec import Struct

from tenbetween.desk.films import TimeLine
from tenbetween.desk.marks import NOT_SEEN
from tenbetween.situation import Ruling

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from tenbetween.desk.marked_film import MarkedFilm

Json = dict[str, Any]
Pts = Callable[[str], "NDArray[Any] | None"]
SPANS = {"restart": ("e0", "e6"), "count": ("e6", "e8"), "chop": ("e9", "e10")}
"""What is measured, from which event to which."""
SAID = {
    "restart": "whistle or dead ball to the ball given",
    "count": "ball given to the release",
    "chop": "touch to chop",
}
BACKWARDS = {
    "restart": "the ball given stands before the whistle or dead ball: look again",
    "count": "release stands before disposal: look again",
    "chop": "chop stands before the touch: look again",
}
"""Said in place of a time whose end stands before its beginning: that is a slip of marking and no time."""
STROKE_TOO_EARLY = "a stroke stands before disposal: look again"
NOTE = "Rhythm, not a race: a middle value of few says little, and speed without eye contact is no aim."


class Span(Struct, frozen=True):
    """A time between two frames, exact, and how far off it can be: one frame as long as it lasted there."""

    seconds: Fraction
    within: Fraction | None
    """None where the frames are not at hand and nothing says how long one lasts."""

    def page(self) -> Json:
        """Return the time as a page shows it, in seconds."""
        within = None if self.within is None else round(float(self.within), 4)
        return {"seconds": round(float(self.seconds), 4), "plus_minus": within}


class Spacing:
    """How long a frame lasts around a frame time: off the film's own frames, or on the whole where it is away."""

    def __init__(self, line: TimeLine, pts_of: Pts) -> None:
        self.line, self._pts_of = line, pts_of
        self._known: dict[str, NDArray[Any] | None] = {}

    def around(self, at: Mapping[str, Any]) -> Fraction | None:
        """Return the longer of the two frames that meet at a frame time, in seconds."""
        print_ = at["part"]
        if print_ not in self._known:
            self._known[print_] = self._pts_of(print_)
        pts = self._known[print_]
        if pts is None or len(pts) < 2:
            return self._on_the_whole(print_)
        n = max(0, int(np.searchsorted(pts, at["pts"], side="right")) - 1)
        steps = [int(pts[k + 1] - pts[k]) for k in (n - 1, n) if 0 <= k < len(pts) - 1]
        return max(steps) * Fraction(at["base"][0], at["base"][1])

    def _on_the_whole(self, print_: str) -> Fraction | None:
        part = self.line.parts.get(print_)
        if not part:
            return None
        if part["frames"] < 2:
            return Fraction(str(part["duration_s"]))
        ticks = part["last_pts"] - part["first_pts"]
        return Fraction(ticks, part["frames"] - 1) * Fraction(part["base"][0], part["base"][1])

    def span(self, begins: Mapping[str, Any], ends: Mapping[str, Any]) -> Span:
        """Return the time from one frame to another.

        Each event fell somewhere in its frame, so the time between is off by no more than the longer one.
        """
        around = [self.around(begins), self.around(ends)]
        within = None if None in around else max(one for one in around if one is not None)
        return Span(self.line.second(ends) - self.line.second(begins), within)


def measured(events: Mapping[str, Any], strokes: Sequence[Mapping[str, Any]], spacing: Spacing) -> Json:
    """Return what the event clock of one mark says: times, or words where there is none; None where nobody looked.

    "not seen" where an end was not seen; the words of ``BACKWARDS`` where the end stands before the beginning.
    """
    found: Json = {name: _between(name, events, spacing) for name in SPANS}
    found["strokes"] = _strokes(events.get("e6"), strokes, spacing)
    return found


def _between(name: str, events: Mapping[str, Any], spacing: Spacing) -> Span | str | None:
    first, last = (events.get(end) for end in SPANS[name])
    if NOT_SEEN in (first, last):
        return NOT_SEEN
    if first is None or last is None:
        return None
    span = spacing.span(first, last)
    return BACKWARDS[name] if span.seconds < 0 else span


def _strokes(given: Any, strokes: Sequence[Mapping[str, Any]], spacing: Spacing) -> Json | None:
    """Return the count beside true seconds: first stroke after the ball was given, and how far it drifts.

    A stroke before the ball was given is a slip: words in place of the first, and no drift.
    """
    if not strokes:
        return None
    ordered = sorted(strokes, key=spacing.line.second)
    took = spacing.span(ordered[0], ordered[-1])
    lag = None if given is None or given == NOT_SEEN else spacing.span(given, ordered[0])
    if lag is not None and lag.seconds < 0:
        return {"number": len(ordered), "first": STROKE_TOO_EARLY, "took": None, "drift": None}
    steps = len(ordered) - 1
    drift = Span(took.seconds - steps, took.within) if steps else None
    return {"number": len(ordered), "first": lag, "took": took if steps else None, "drift": drift}


# ---- kinds ----


def kind_of(ruling: Ruling | None) -> str:
    """Return what kind of restart a mark is, so that like is laid beside like."""
    if ruling is None or ruling.restart is None:
        return "kind not said yet"
    if ruling.restart != "throw_in":
        return ruling.restart.replace("_", " ")
    if ruling.delivery == "none":
        return "throw-in after a goal"
    if ruling.may_run_end_line:
        return "throw-in, end line to run"
    if ruling.line is None:
        return "throw-in, spot not covered"
    if ruling.line == "division_line":
        return "throw-in, division line"
    part = {"frontcourt": "front-court ", "backcourt": "back-court "}.get(ruling.court_part or "", "")
    return f"throw-in, {part}{ruling.line.replace('_', ' ')}"


# ---- pages ----


def restart_page(number: int, there: MarkedFilm, spacing: Spacing) -> tuple[str, Json, Json]:
    """Return the kind, the measures, and the line of the list of one mark."""
    mark, one = there.marks[number], there.carried[number]
    found = measured(mark.value.events.data(), mark.value.strokes.data(), spacing)
    kind = kind_of(one.ruling)
    page = {
        "mark": mark.id,
        "film": there.film.id,
        "title": there.film.value.title,
        "number": number + 1,
        "t": there.line.seconds(mark.value.at.data()),
        "kind": kind,
        "measures": rows_of(found),
    }
    return kind, found, page


def rows_of(found: Json) -> list[Json]:
    """Return the measures of a mark as lines: what, seconds, plus or minus a frame, and a word where there is one.

    What nobody looked for yet is left out; what was not seen, or stands the wrong way round, has no seconds.
    """
    rows = [_row(SAID[name], found[name]) for name in SPANS if found[name] is not None]
    strokes = found["strokes"] or {}
    if strokes.get("first") is not None:
        rows.append(_row("first stroke after the ball was given", strokes["first"]))
    if strokes.get("drift") is not None:
        rows.append(_row(f"{strokes['number']} strokes against true seconds", strokes["drift"], strokes))
    return rows


def _row(what: str, value: Span | str, strokes: Json | None = None) -> Json:
    if not isinstance(value, Span) or value.within is None:
        note = value if isinstance(value, str) else "the film says nothing of its frames"
        return {"what": what, "seconds": None, "plus_minus": None, "note": note}
    if strokes is None:
        note = ""
    else:
        pace = "slower" if value.seconds > 0 else "faster" if value.seconds < 0 else "as fast"
        note = (
            f"{strokes['number'] - 1} s counted in {float(strokes['took'].seconds):.2f} s, {pace} than true"
        )
        note = note.replace("as fast than true", "as fast as true")
    return {"what": what, **value.page(), "note": note}


def medians(found: Iterable[tuple[str, Json]]) -> list[Json]:
    """Return the middle values by kind, in the order of their names, each with how many it rests on."""
    kinds: dict[str, list[Json]] = {}
    for kind, measures in found:
        kinds.setdefault(kind, []).append(measures)
    return [
        {"kind": kind, "name": name, "what": SAID[name], **middle([row[name] for row in rows])}
        for kind, rows in sorted(kinds.items())
        for name in SPANS
        if any(row[name] is not None for row in rows)
    ]


def middle(values: Sequence[Span | str | None]) -> Json:
    """Return the median in seconds, how far off it can be, of how many, and how many were left out and why.

    Left out: not seen, not looked for, and backwards (the end stands before the beginning: to be looked at again).
    """
    spans = sorted((one for one in values if isinstance(one, Span)), key=lambda one: one.seconds)
    counted = {
        "count": len(spans),
        "not_seen": sum(one == NOT_SEEN for one in values),
        "not_looked": sum(one is None for one in values),
        "backwards": sum(isinstance(one, str) and one != NOT_SEEN for one in values),
    }
    if not spans:
        return {"seconds": None, "plus_minus": None, **counted}
    two = spans[(len(spans) - 1) // 2 : len(spans) // 2 + 1]
    median = sum((one.seconds for one in two), Fraction(0)) / len(two)
    within = [one.within for one in spans if one.within is not None]
    longest = round(float(max(within)), 4) if within else None
    return {"seconds": round(float(median), 4), "plus_minus": longest, **counted}


def measures_page(films: Iterable[tuple[MarkedFilm, Spacing]]) -> Json:
    """Return the measures of films: every restart in the order of the game, and the medians by kind."""
    rows: list[Json] = []
    found: list[tuple[str, Json]] = []
    for there, spacing in films:
        for number in range(len(there.marks)):
            kind, measures, page = restart_page(number, there, spacing)
            rows.append(page)
            found.append((kind, measures))
    return {"restarts": rows, "medians": medians(found), "note": NOTE}


def words(name: str, found: Span) -> str:
    """Return a measure in words, as it stands beside a duty."""
    off = "" if found.within is None else f" ± {float(found.within):.2f}"
    return f"{SAID[name]} {float(found.seconds):.2f}{off} s"
