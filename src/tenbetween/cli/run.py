"""``tenbetween run``: how long an official needs from one place to another, and whether the ball is there first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.errors import Problem, UsageError

if TYPE_CHECKING:
    from tenbetween.movement import Arrival, BallStep, Legs, OnTheWay, Path, Race
    from tenbetween.scene import Scene
    from tenbetween.situation import PointFt

NOTE = (
    "A profile is a way of running, not a person; speeds of the ball are from memory. "
    "Warm up before you run this on a floor, and leave races alone: a crew needs rhythm, not speed."
)


@click.command()
@click.option("--from", "start", required=True, metavar="X,Y", help="Where he is, in feet.")
@click.option("--to", "spot", required=True, metavar="X,Y", help="Where he is to be.")
@click.option(
    "--legs", default="brisk adult", show_default=True, metavar="PROFILE", help="Or jogger, or sprinter."
)
@click.option(
    "--speed",
    default=0.0,
    metavar="FT/S",
    help="His speed along that way at the start; negative: away from it.",
)
@click.option(
    "--turn", default=0.0, metavar="DEG", help="How far he turns before he runs; 180 is half a turn."
)
@click.option("--on", is_flag=True, help="He runs on past the spot instead of stopping there.")
@click.option("--scene", metavar="FILE", help="A scene whose players he runs round, with his eyes on them.")
@click.option(
    "--outside", is_flag=True, help="With a scene: along outside the lines where the way allows it."
)
@click.option("--ball", metavar="X,Y", help="Where the ball is: who is there first?")
@click.option(
    "--then",
    "steps",
    multiple=True,
    metavar="STEP",
    help="rebound, steal, 'pass X,Y' or 'dribble X,Y', in order.",
)
@asked.json_option
def run(
    start: str, spot: str, legs: str, ball: str | None, steps: tuple[str, ...], as_json: bool, **more: Any
) -> None:
    """Tell how long an official needs from one place to another: reaction, turn, run, braking, set.

    tenbetween run --from 34,10 --to 97.5,36 --ball 30,25 --then steal --then "dribble 88.75,25"

    In a race with the ball he runs straight and on, and is there 8 ft short of the spot.
    """
    from tenbetween.movement import legs_of, race, time_to

    places = _places({"--from": start, "--to": spot, "--ball": ball})
    here, there = places["--from"], places["--to"]
    _belongs(steps, ball, more["scene"], outside=more["outside"])
    profile = legs_of(legs)
    way: Path | None = None
    going: OnTheWay | None = None
    if more["scene"]:
        way, going = _round_players(here, there, profile, more)
        arrival = going.arrival
    else:
        arrival = time_to(_straight(here, there), profile, more["speed"], more["turn"], stop=not more["on"])
    found = None
    if "--ball" in places:
        found = race(here, there, places["--ball"], _steps(steps), profile, turn_deg=more["turn"])
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json(_page(arrival, profile, way, going, found)))
    else:
        say("\n".join(in_words(arrival, profile, way, going, found)))


def _straight(here: PointFt, there: PointFt) -> float:
    from math import dist

    return dist(here, there)


def _places(given: dict[str, str | None]) -> dict[str, PointFt]:
    found, problems = {}, []
    for name, text in given.items():
        if text is None:
            continue
        place = _place(text)
        if place is None:
            problems.append(_no_place(name, text))
        else:
            found[name] = place
    if problems:
        raise UsageError(problems)
    return found


def _place(text: str) -> PointFt | None:
    parts = text.strip().strip("()[]").replace(";", ",").split(",")
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        return None
    return (x, y) if abs(x) <= 300 and abs(y) <= 300 else None


def _no_place(where: str, text: str) -> Problem:
    return Problem(where, repr(text[:60]), "x,y in feet, each within 300", "write it like 34,10.5")


def _belongs(steps: tuple[str, ...], ball: str | None, scene: str | None, *, outside: bool) -> None:
    problems = []
    if steps and ball is None:
        problems.append(Problem("--then", "no --ball", "where the ball is at first", "add --ball X,Y"))
    if ball is not None and not steps:
        problems.append(Problem("--ball", "no --then", "how the ball comes", 'add --then "dribble X,Y"'))
    if outside and not scene:
        problems.append(Problem("--outside", "no --scene", "a scene with its floor", "add --scene FILE"))
    if problems:
        raise UsageError(problems)


def _steps(texts: tuple[str, ...]) -> tuple[BallStep, ...]:
    from tenbetween.movement import BallStep

    found, problems = [], []
    for number, text in enumerate(texts, 1):
        act, _, rest = text.strip().partition(" ")
        place = _place(rest) if rest.strip() else None
        if rest.strip() and place is None:
            problems.append(_no_place(f"--then {number}", text))
        found.append(BallStep(act.lower(), place))  # type: ignore[arg-type]
    if problems:
        raise UsageError(problems)
    return tuple(found)


def _round_players(here: PointFt, there: PointFt, legs: Legs, more: dict[str, Any]) -> tuple[Path, OnTheWay]:
    from tenbetween.movement import Manners, on_the_way, path

    if more["speed"]:
        raise UsageError(Problem("--speed", "with --scene", "one of the two", "leave one out"))
    way = path(here, there, _scene(more["scene"]), Manners(outside=more["outside"]))
    return way, on_the_way(way, legs, turn_deg=more["turn"], stop=not more["on"])


def _scene(file: str) -> Scene:
    from tenbetween.formats.scene_json import read_scenes

    scenes, _ = read_scenes(asked.read_file(file))
    if len(scenes) != 1:
        raise UsageError(Problem("--scene", f"{len(scenes)} scenes", "one scene", "put one into the file"))
    return scenes[0]


# -- what is told ----------------------------------------------------------------------------------------------


def in_words(
    arrival: Arrival, legs: Legs, way: Path | None, going: OnTheWay | None, found: Race | None
) -> Iterator[str]:
    """Tell the parts as lines to read."""
    yield f"{arrival.total:.2f} s as a {legs.name} ({legs.speed:g} ft/s), {arrival.feet if way is None else way.feet:.1f} ft"
    parts = (
        ("reaction", arrival.reaction),
        ("wrong way first", arrival.wrong_way),
        ("turn", arrival.turn),
        ("run", arrival.run),
        ("braking", arrival.brake),
        ("getting set", arrival.settle),
    )
    yield "  " + ", ".join(f"{name} {seconds:.2f} s" for name, seconds in parts if seconds)
    if way is not None and going is not None:
        yield from _way_in_words(way, going)
    if found is not None:
        yield from _race_in_words(found)
    yield NOTE


def _way_in_words(way: Path, going: OnTheWay) -> Iterator[str]:
    if not way.free:
        yield "No free way round the players: this is the straight one, and somebody stands in it."
    yield "By way of " + " - ".join(f"{x:.1f},{y:.1f}" for x, y in way.points)
    gaits = ", ".join(f"{gait} {seconds:.1f} s" for gait, seconds in going.seconds.items() if seconds)
    yield f"Looking at the players he runs {gaits or 'nowhere'}"
    if going.in_view is not None and going.all_in_view is not None:
        yield (
            f"Of the players {100 * going.in_view:.0f} % in his field of view on the way, "
            f"all of them for {100 * going.all_in_view:.0f} % of it"
        )


def _race_in_words(found: Race) -> Iterator[str]:
    parts = ", ".join(f"{part.act} {part.seconds:.2f} s" for part in found.ball)
    yield f"Ball there after {found.ball_s:.2f} s ({parts})"
    first = "he is there first" if found.wins else "the ball is there first"
    yield (
        f"Running on, {found.short_ft:g} ft short of the spot after {found.official.total:.2f} s: {first}, "
        f"by {abs(found.margin_s):.2f} s"
    )
    yield f"With the ball from as far as {found.deepest_ft:.0f} ft from the spot"


def _page(
    arrival: Arrival, legs: Legs, way: Path | None, going: OnTheWay | None, found: Race | None
) -> dict[str, Any]:
    from msgspec import to_builtins

    page: dict[str, Any] = {"arrival": _arrival(arrival), "profile": to_builtins(legs)}
    if way is not None and going is not None:
        page["way"] = {
            **to_builtins(way),
            "feet": way.feet,
            "in_view": going.in_view,
            "all_in_view": going.all_in_view,
            "seconds": going.seconds,
        }
    if found is not None:
        page["race"] = {**to_builtins(found), "official": _arrival(found.official)}
        del page["race"]["legs"]
    return {**page, "note": NOTE}


def _arrival(arrival: Arrival) -> dict[str, Any]:
    from msgspec import to_builtins

    return {**to_builtins(arrival), "total": arrival.total}
