"""``tenbetween film locate``: clicks on a picture in, the places of feet on the floor out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.errors import Problem, UsageError

if TYPE_CHECKING:
    from tenbetween.film.clicks import Clicks
    from tenbetween.film.locate import Located


@click.command()
@click.argument("clicks")
@click.option(
    "--picture", metavar="FILE", help="The picture clicked on (PNG, JPEG): snap to its painted lines."
)
@click.option("--next", "more", is_flag=True, help="Also which landmarks would help most if clicked next.")
@asked.json_option
def locate(clicks: str, picture: str | None, more: bool, as_json: bool) -> None:
    """Tell where feet stood, from clicks on a picture: a JSON file, or - for standard input.

    Each place comes with its 95 % ellipse. Marks that cannot be gone by are refused with the reason.
    """
    from tenbetween.formats.clicks_json import located_as_dict, read_clicks

    given, is_list = read_clicks(asked.read_input() if clicks == "-" else asked.read_file(clicks))
    image = _image(picture, is_list=is_list)
    from tenbetween.film.locate import locate as found_from

    found = [found_from(one, image, next_marks=more) for one in given]
    if as_json:
        from tenbetween.formats.json_text import write_json

        pages = [located_as_dict(one, answer) for one, answer in zip(given, found, strict=True)]
        say(write_json(pages if is_list else pages[0]))
    else:
        say("\n\n".join(in_words(one, answer) for one, answer in zip(given, found, strict=True)))


def _image(path: str | None, *, is_list: bool) -> Any:
    if path is None:
        return None
    if is_list:
        found, do = "a list of click sets", "give one set with its picture"
        raise UsageError(Problem("--picture", found, "one set of clicks", do))
    from tenbetween.film.snap import picture_of

    return picture_of(asked.read_file(path), path)


def in_words(clicks: Clicks, found: Located) -> str:
    """Return an answer as lines to read."""
    return "\n".join(_lines(clicks, found))


def _lines(clicks: Clicks, found: Located) -> Iterator[str]:
    if not found.ok:
        yield f"Not to be told: {found.why}."
    else:
        yield f"Found the court: {found.model}."
        yield f"The marks are {found.residual or 0:.1f} dots off on average (root mean square)."
        if found.why:
            yield f"Mind: {found.why}."
        if found.share is not None:
            yield f"Of the painted lines in view {100 * found.share:.0f} % fit: {found.state}."
        yield from (_foot(one) for one in found.feet)
        yield found.depth
    yield from (f"Off by {one.off:.0f} dots: {one.name}" for one in found.marks if one.off > 3 * clicks.sd)
    for one in found.next_marks:
        u, v = one.dot
        yield f"Click next: {one.name}, near dot {u:.0f}, {v:.0f}; the floor would be known to {one.unsure_ft:.1f} ft"


def _foot(foot: Any) -> str:
    if foot.hold is None:
        return f"{foot.id}: {foot.why}"
    (x, y), ellipse = foot.hold.at, foot.hold.ellipse
    return (
        f"{foot.id}: {x:.1f}, {y:.1f} ft; 95 of 100 within {ellipse.major:.1f} ft along {ellipse.angle_deg:.0f}° "
        f"and {ellipse.minor:.1f} ft across"
    )
