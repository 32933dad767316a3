"""From where to where a clip goes, part by part: a camera that splits its film does not split a moment.

All in whole frame times; between the parts of one camera by the game's one time line. Opens no film.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from tenbetween.desk.films import MAIN, US, TimeLine

Json = dict[str, Any]
Stretch = tuple[Json, Json]
"""The first and the last frame of a piece of one part."""


def of_moment(parts: Sequence[Json], row: Mapping[str, Any], how: Mapping[str, Any]) -> list[Stretch]:
    """Return where a clip of a moment goes: its events with the margins, over every part of its camera they lie in.

    >>> half = {"first_pts": 0, "last_pts": 89, "base": [1, 30], "offset_us": 0}
    >>> parts = [{**half, "fingerprint": "a"}, {**half, "fingerprint": "b", "offset_us": 3_000_000}]
    >>> at = {"part": "a", "pts": 60, "base": [1, 30]}
    >>> row = {"at": at, "events": {"e6": {"part": "b", "pts": 15, "base": [1, 30]}}}
    >>> [(a["part"], a["pts"], b["pts"]) for a, b in of_moment(parts, row, {"before_s": 1, "after_s": 0.5})]
    [('a', 30, 89), ('b', 0, 30)]
    """
    line = TimeLine(parts)
    camera = line.parts[row["at"]["part"]].get("camera", MAIN)
    seconds = [
        line.second(at)
        for at in [row["at"], *row["events"].values()]
        if isinstance(at, dict) and at["part"] in line.parts
    ]
    first = min(seconds) - Fraction(how["before_s"]).limit_denominator(1000)
    last = max(seconds) + Fraction(how["after_s"]).limit_denominator(1000)
    return _between(parts, camera, first, last)


def of_frames(parts: Sequence[Json], begins: Mapping[str, Any], ends: Mapping[str, Any]) -> list[Stretch]:
    """Return the stretches from one frame to another of the same camera: one for each part in it."""
    if begins["part"] == ends["part"]:
        return [(dict(begins), dict(ends))]
    line = TimeLine(parts)
    camera = line.parts[begins["part"]].get("camera", MAIN)
    found = _between(parts, camera, line.second(begins), line.second(ends))
    # The two ends are frames already: nothing of them is rounded.
    return [(dict(begins), found[0][1]), *found[1:-1], (found[-1][0], dict(ends))]


def _between(parts: Sequence[Json], camera: str, first: Fraction, last: Fraction) -> list[Stretch]:
    found = []
    for part in sorted(parts, key=lambda one: one["offset_us"]):
        if part.get("camera", MAIN) != camera:
            continue
        base, begins = Fraction(*part["base"]), Fraction(part["offset_us"], US)
        ends = begins + (part["last_pts"] - part["first_pts"]) * base
        if begins <= last and ends >= first:
            at = {"part": part["fingerprint"], "base": list(part["base"])}
            stamps = (part["first_pts"] + round((second - begins) / base) for second in (first, last))
            inside = [min(max(pts, part["first_pts"]), part["last_pts"]) for pts in stamps]
            found.append(({**at, "pts": inside[0]}, {**at, "pts": inside[1]}))
    return found


def seconds_of(stretches: Sequence[Stretch]) -> Fraction:
    """Return how long stretches are together, in seconds, without the last frame of each."""
    return sum(
        (Fraction((b["pts"] - a["pts"]) * a["base"][0], a["base"][1]) for a, b in stretches), Fraction(0)
    )


def offsets_s(parts: Sequence[Mapping[str, Any]]) -> dict[str, float]:
    """Return by fingerprint what is added to the seconds of a part's own clock to get those of the game's time line."""
    return {
        one["fingerprint"]: float(
            Fraction(one["offset_us"], US) - Fraction(one["first_pts"] * one["base"][0], one["base"][1])
        )
        for one in parts
    }


def in_part(line: TimeLine, item: Mapping[str, Any], part: str) -> Json | None:
    """Return what is pointed at as one part of its camera shows it, or nothing where it is not on in that part."""
    begins, ends = item["from"], item["to"]
    if begins["part"] == ends["part"] or item["kind"] == "pause":
        return dict(item) if begins["part"] == part else None
    here, its = line.parts[part], line.parts.get(begins["part"])
    if its is None or its.get("camera", MAIN) != here.get("camera", MAIN):
        return None
    first, last = line.second(begins), line.second(ends)
    found = _between([dict(here)], here.get("camera", MAIN), first, last)
    if not found:
        return None
    return {**_ways_in(item, part), "from": found[0][0], "to": found[0][1]}


def _ways_in(item: Mapping[str, Any], part: str) -> Json:
    """Return an item whose ways keep only the keyed frames of a part, if it has any there."""
    made = dict(item)
    for name in ("at", "to_at"):
        way = (made.get(name) or {}).get("path")
        own = [step for step in way or () if step[0]["part"] == part]
        if own:
            made[name] = {"path": own}
        elif way:
            made[name] = way[-1][1]
    return made


def row_by_part(line: TimeLine, row: Mapping[str, Any], stretches: Sequence[Stretch]) -> list[Json]:
    """Return a row of a list as one row for each part, with the events that lie in it, in that part's own frames."""
    found = []
    for number, (begins, ends) in enumerate(stretches, 1):
        events = {}
        for name, at in row["events"].items():
            if not isinstance(at, dict):
                events[name] = at
            elif (here := _in_stretch(line, at, begins, ends)) is not None:
                events[name] = here
        title = f"{row['title']}, part {number} of {len(stretches)}" if len(stretches) > 1 else row["title"]
        found.append({**row, "title": title, "start": begins, "end": ends, "events": events})
    return found


def _in_stretch(line: TimeLine, at: Json, begins: Json, ends: Json) -> Json | None:
    if at["part"] == begins["part"]:
        return at
    second = line.second(at)
    if not line.second(begins) <= second <= line.second(ends):
        return None
    later = (second - line.second(begins)) / Fraction(*begins["base"])
    return {**begins, "pts": begins["pts"] + round(later)}
