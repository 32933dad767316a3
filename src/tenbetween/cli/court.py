"""``tenbetween court``: every marking of a floor with its place in feet and its source."""

from __future__ import annotations

from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.court import Court


@click.command()
@click.argument("edition", required=False)
@click.option("--length", metavar="FEET", help="Length of the floor, where it is not the usual one.")
@click.option("--width", metavar="FEET", help="Width of the floor.")
@click.option("--to", "file", metavar="FILE.svg", help="Draw the court into a file instead.")
@asked.json_option
def court(
    edition: str | None, length: str | None, width: str | None, file: str | None, as_json: bool
) -> None:
    """Show a court: landmarks, lines and curves, in feet from the left end line and the table sideline."""
    from tenbetween.desk.answers import edition_for

    chosen = edition_for(asked.today(), edition)
    floor = floor_of(chosen, length, width)
    if file:
        _draw(floor, file)
    elif as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json(court_as_dict(chosen, floor)))
    else:
        say(in_words(chosen, floor))


def floor_of(edition: str, length: str | None = None, width: str | None = None) -> Court:
    """Return the court of an edition, on a floor of another size when one is said.

    Raises:
        TenbetweenError: the markings do not fit it, or a size that is no number.
    """
    from tenbetween.book import edition_head
    from tenbetween.court import court_of
    from tenbetween.situation import Floor
    from tenbetween.units import um_from_feet

    kind = edition_head(edition).court
    usual = court_of(kind)
    if length is None and width is None:
        return usual
    sizes = (um_from_feet(length) if length else usual.length, um_from_feet(width) if width else usual.width)
    return court_of(kind, Floor(*sizes))


def court_as_dict(edition: str, court: Court) -> dict[str, Any]:
    """Return a court by the names other programs rely on.

    >>> court_as_dict("us-hs-2025", floor_of("us-hs-2025"))["length"]
    84.0
    """
    from tenbetween.court import curves, landmarks, lines, sources
    from tenbetween.units import feet

    return {
        "edition": edition,
        "length": feet(court.length),
        "width": feet(court.width),
        "landmarks": {name: _rounded(at) for name, at in landmarks(court).items()},
        "lines": {name: [_rounded(end) for end in ends] for name, ends in lines(court).items()},
        "curves": {name: _curve(curve) for name, curve in curves(court).items()},
        "source": sources(court),
    }


def _rounded(at: Any) -> list[float]:
    return [round(value, 6) + 0.0 for value in at]


def _curve(curve: Any) -> dict[str, Any]:
    return {
        "centre": _rounded(curve["centre"]),
        "radius": round(curve["radius"], 6),
        "from_deg": round(curve["from_deg"], 6),
        "to_deg": round(curve["to_deg"], 6),
    }


def in_words(edition: str, court: Court) -> str:
    """Return a court as a table to read."""
    page = court_as_dict(edition, court)
    rows = [f"{edition}: {page['length']:g} by {page['width']:g} ft", "", "Landmarks"]
    rows += [
        f"  {name:<34} {_at(at):<18} {page['source'].get(name, '')}" for name, at in page["landmarks"].items()
    ]
    rows += ["", "Lines"]
    rows += [
        f"  {name:<34} {_at(ends[0])} to {_at(ends[1])}  {page['source'].get(name, '')}"
        for name, ends in page["lines"].items()
    ]
    rows += ["", "Curves"]
    rows += [
        f"  {name:<34} round {_at(one['centre'])}, radius {one['radius']:g} ft  {page['source'].get(name, '')}"
        for name, one in page["curves"].items()
    ]
    return "\n".join(rows)


def _at(point: list[float]) -> str:
    return f"({point[0]:g}, {point[1]:g})"


def _draw(court: Court, file: str) -> None:
    from tenbetween.draw.court_svg import court_svg

    asked.write_whole(file, court_svg(court, theme="print").encode())
    say(f"drawn: {file}")
