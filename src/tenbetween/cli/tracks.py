"""``tenbetween tracks``: tracks of players in, what was left out and what the crew had before it through time out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say

if TYPE_CHECKING:
    from tenbetween.formats.track_lines import Report
    from tenbetween.scene import Scene
    from tenbetween.sight import BoxedIn
    from tenbetween.situation import PointFt

NOTE = (
    "Bodies are flat discs: heads, arms and height are not modelled. These numbers tell what stood in the way, "
    "not how anybody worked."
)
MOMENTS, PAIRS, SEED = 20, 40, 7
"""So many moments, and in each so many pairs of places drawn at random, to set coverage beside."""


@click.command()
@click.argument("file")
@click.option(
    "--every", default=0.2, show_default=True, metavar="SECONDS", help="Look at a frame every so often."
)
@click.option("--units", metavar="UNIT", help="ft or m, where the file does not say.")
@click.option("--origin", metavar="ORIGIN", help="corner or centre, where the file does not say.")
@click.option("--court", metavar="COURT", help="An edition or a kind of court, where the file does not say.")
@asked.json_option
def tracks(
    file: str, every: float, units: str | None, origin: str | None, court: str | None, as_json: bool
) -> None:
    """Read tracks of players: JSON Lines or a table, or - for standard input.

    Tells what was left out, line by line, and, where both officials are there, how much of the time the players were
    between them and what somebody held of the matchups named.
    """
    from tenbetween.formats.track_lines import Notes
    from tenbetween.formats.tracks import read_frames, thinned

    notes = Notes()
    frames = read_frames(_source(file), court=court, units=units, origin=origin, notes=notes)
    found = summary(thinned(frames, _rate(every)))
    page = {"report": _report(notes.report()), "every_s": every, **found, "note": NOTE}
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json(page))
    else:
        say("\n".join(in_words(page)))


def _source(file: str) -> Any:
    from pathlib import Path

    return asked.read_input() if file == "-" else Path(file)


def _rate(every: float) -> float:
    from tenbetween.errors import Problem, UsageError

    if not 0.001 <= every <= 3600:
        raise UsageError(
            Problem("--every", repr(every), "seconds from 0.001 to 3600", "write one such as 0.2")
        )
    return 1 / every


# -- what comes of it ------------------------------------------------------------------------------------------


def summary(frames: Iterable[tuple[float, Scene]]) -> dict[str, Any]:
    """Return boxing in and coverage over moments, each with the number of moments it rests on.

    Moments are taken as they come and not kept: a season does not fit into memory.
    """
    from tenbetween.formats.tracks import has_crew

    seen = _Seen()
    for t, scene in frames:
        seen.moment(t, scene if has_crew(scene) else None)
    return seen.page()


class _Seen:
    """What is gathered moment by moment."""

    def __init__(self) -> None:
        self.moments, self.last = 0, 0.0
        self.first: float | None = None
        self.boxes: list[BoxedIn] = []
        self.held: list[float] = []
        self.kept: list[Scene] = []
        self.stride = 1

    def moment(self, t: float, scene: Scene | None) -> None:
        """Take one moment; without a scene it is only counted."""
        from tenbetween.sight import boxed_in, coverage_of

        self.moments += 1
        self.first = t if self.first is None else self.first
        self.last = t
        if scene is None:
            return
        self.boxes.append(boxed_in(scene))
        held = coverage_of(scene) if scene.matchups else None
        if held is not None:
            self.keep(scene)
            self.held.append(held)

    def keep(self, scene: Scene) -> None:
        """Keep some scenes, evenly spread over all that came."""
        if len(self.held) % self.stride == 0:
            self.kept.append(scene)
        if len(self.kept) > 2 * MOMENTS:
            self.kept, self.stride = self.kept[::2], 2 * self.stride

    def page(self) -> dict[str, Any]:
        """Return what was gathered, as plain values."""
        some = self.kept[:: max(1, -(-len(self.kept) // MOMENTS))]
        held, chance = _spread(self.held), _spread(_at_random(some))
        return {
            "moments": self.moments,
            "from_s": self.first,
            "to_s": None if self.first is None else self.last,
            "with_both_officials": len(self.boxes),
            "boxed_in": _boxing(self.boxes),
            "coverage": {"moments": len(self.held), "held": held, "two_places_at_random": chance},
        }


def _boxing(found: Sequence[BoxedIn]) -> dict[str, Any]:
    boxed = sum(one.ok for one in found)
    return {
        "moments": len(found),
        "boxed": boxed,
        "share": boxed / len(found) if found else None,
        "opposition_deg": _spread([one.opposition_deg for one in found if one.opposition_deg is not None]),
        "share_between": _spread([one.share_between for one in found if one.share_between is not None]),
        "somebody_behind": sum(bool(one.behind) for one in found),
    }


def _at_random(scenes: Sequence[Scene]) -> list[float]:
    """Return coverage from pairs of places drawn evenly over the half where the players are and its border."""
    from random import Random

    from msgspec.structs import replace

    from tenbetween.scene import Crew, Official
    from tenbetween.sight import coverage_of

    dice = Random(SEED)  # noqa: S311 - the same places each time, nothing secret
    found = []
    for scene in scenes:
        for _ in range(PAIRS):
            crew = Crew(Official(_somewhere(scene, dice)), Official(_somewhere(scene, dice)))
            found.append(coverage_of(replace(scene, crew=crew)))
    return [one for one in found if one is not None]


def _somewhere(scene: Scene, dice: Any) -> PointFt:
    from tenbetween.units import FOOT

    length, width, border = scene.court.length / FOOT, scene.court.width / FOOT, 5.0
    middle = sum(player.at[0] for player in scene.players) / len(scene.players)
    low, high = (-border, length / 2) if middle <= length / 2 else (length / 2, length + border)
    return (dice.uniform(low, high), dice.uniform(-border, width + border))


def _spread(values: Sequence[float]) -> dict[str, float] | None:
    """Return the median and the middle four fifths; nothing when there is nothing."""
    from statistics import median

    if not values:
        return None
    ordered = sorted(values)
    last = len(ordered) - 1
    return {"p10": ordered[round(0.1 * last)], "median": median(ordered), "p90": ordered[round(0.9 * last)]}


def _report(report: Report) -> dict[str, Any]:
    from msgspec import to_builtins

    found: dict[str, Any] = to_builtins(report)
    return {**found, "first": [problem.as_dict() for problem in report.first]}


# -- in words --------------------------------------------------------------------------------------------------


def in_words(page: dict[str, Any]) -> Iterator[str]:
    """Tell report and summary as lines to read."""
    yield from _report_in_words(page["report"])
    yield f"{page['moments']} moments, {page['from_s']:g} to {page['to_s']:g} s, one every {page['every_s']:g} s"
    box, held = page["boxed_in"], page["coverage"]
    if not box["moments"]:
        yield "Nothing is told of the crew: in no moment are both officials there."
        return
    yield f"All between the two: in {box['boxed']} of {box['moments']} moments ({100 * box['share']:.0f} % of the time)"
    if box["opposition_deg"]:
        yield f"  lead to trail round the middle of the players: {_of(box['opposition_deg'], 0)} degrees"
        yield f"  share of players between: {_of(box['share_between'], 2)}"
    yield f"  somebody behind an official: in {box['somebody_behind']}"
    if held["moments"]:
        yield f"Held by somebody, in {held['moments']} moments: {_of(held['held'], 2)}"
        yield f"  two places drawn at random there: {_of(held['two_places_at_random'], 2)}"
    else:
        yield "No matchup is named: what somebody held is not told."
    yield page["note"]


def _of(spread: dict[str, float], digits: int) -> str:
    low, middle, high = (f"{spread[name]:.{digits}f}" for name in ("p10", "median", "p90"))
    return f"median {middle} (one in ten below {low}, one in ten above {high})"


def _report_in_words(report: dict[str, Any]) -> Iterator[str]:
    from tenbetween.formats.track_lines import KINDS

    turned = "" if report["units"] == "ft" else f"; {report['units']} turned into feet"
    turned += "" if report["origin"] == "corner" else "; counted from the centre, turned to the corner"
    yield f"{report['frames']} frames from {report['lines']} lines{turned}"
    yield from (
        f"  team {name} is {letter} here" for name, letter in report["teams"].items() if name != letter
    )
    if report["counts"]:
        yield "Left out or worth knowing:"
    yield from (f"  {count} {KINDS[kind]}" for kind, count in report["counts"].items())
    yield from (f"    {one['where']}: found {one['found']}; {one['do']}" for one in report["first"][:5])
