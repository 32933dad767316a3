"""``tenbetween sight``: a scene in, what each official sees of it out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say

if TYPE_CHECKING:
    from tenbetween.sight import Share, Sight


@click.command()
@click.argument("scene")
@asked.json_option
def sight(scene: str, as_json: bool) -> None:
    """Tell what two officials see of a scene: a JSON file, or - for standard input.

    Each matchup open, straight-lined or screened and by whom; boxing in; what a step would change. Bodies are flat
    discs: heads, arms and height are not modelled.
    """
    from tenbetween.formats.scene_json import read_scenes
    from tenbetween.formats.sight_json import sight_as_dict

    scenes, is_list = read_scenes(asked.read_input() if scene == "-" else asked.read_file(scene))
    from tenbetween.sight import see

    seen = [see(one) for one in scenes]
    if as_json:
        from tenbetween.formats.json_text import write_json

        pages = [sight_as_dict(one, found) for one, found in zip(scenes, seen, strict=True)]
        say(write_json(pages if is_list else pages[0]))
    else:
        say("\n\n".join(in_words(found) for found in seen))


def in_words(sight: Sight) -> str:
    """Return what the crew sees as a list to read: four things side by side, never one number."""
    return "\n".join(_lines(sight))


def _lines(sight: Sight) -> Iterator[str]:
    for role, facing in sight.facing.items():
        given = "as given" if facing.given else "not given: the way that shows him most is taken"
        yield f"{role.capitalize()} faces {facing.deg:.0f}° ({given})"
        yield from (f"  {look.value:.2f}  {look.why}" for look in sight.looks if look.official == role)
    yield from _together(sight)
    for role, step in sight.best_step.items():
        yield f"A step of the {role}: {step.why}"
    yield sight.note


def _together(sight: Sight) -> Iterator[str]:
    if sight.coverage is not None and sight.double_coverage is not None:
        yield f"Held by somebody: {sight.coverage:.2f}; by both at once: {sight.double_coverage:.2f}"
    blind = ", ".join(f"{one.attacker} and {one.defender}" for one in sight.blind_spots)
    yield f"Open to nobody: {blind or 'no matchup'}"
    areas = sight.load.by_primary_area
    yield f"Load of lead and trail: by better look {_shares(sight.load.by_best_split)}; by taught areas {_shares(areas)}"
    box = sight.boxed_in
    if box.opposition_deg is not None and box.share_between is not None:
        yield (
            f"Between the two: {'yes' if box.ok else 'not all'}; {box.opposition_deg:.0f}° lead to trail round the "
            f"middle of the players, {100 * box.share_between:.0f} % between, behind: {', '.join(box.behind) or 'nobody'}"
        )


def _shares(share: Share | None) -> str:
    if share is None or share.lead is None or share.trail is None:
        return "not to be told"
    return f"{share.lead:.2f} and {share.trail:.2f}"
