"""``tenbetween sight``: a scene in, what each official sees of it out."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random
from typing import TYPE_CHECKING, Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.scene import ROLES, Matchup, Official, Scene

if TYPE_CHECKING:
    from tenbetween.sight import BestPair, Share, Sight, Spread

NOTHING_NAMED = "No matchup is named: there is nothing to hold."
SEED = 1
"""The same random pairs each time, so that two scenes meet the same dice."""


@click.command()
@click.argument("scene")
@click.option("--pair", is_flag=True, help="Also the pair of places with the most on these numbers.")
@click.option(
    "--spread", is_flag=True, help="Also what 200 random pairs would hold, and each choice's weight."
)
@asked.json_option
def sight(scene: str, pair: bool, spread: bool, as_json: bool) -> None:
    """Tell what two officials see of a scene: a JSON file, or - for standard input.

    Each matchup open, straight-lined or screened and by whom; boxing in; what a step would change. Bodies are flat
    discs: heads, arms and height are not modelled.
    """
    from tenbetween.formats.scene_json import read_scenes
    from tenbetween.formats.sight_json import sight_as_dict

    scenes, is_list = read_scenes(asked.read_input() if scene == "-" else asked.read_file(scene))
    from tenbetween.sight import see

    seen = [see(one) for one in scenes]
    more = [_more(one, pair=pair, spread=spread) for one in scenes]
    if as_json:
        from tenbetween.formats.json_text import write_json

        pages = [
            sight_as_dict(one, found) | extra
            for one, found, (extra, _) in zip(scenes, seen, more, strict=True)
        ]
        say(write_json(pages if is_list else pages[0]))
    else:
        say(
            "\n\n".join(
                "\n".join((in_words(found), *lines)) for found, (_, lines) in zip(seen, more, strict=True)
            )
        )


def _more(scene: Scene, *, pair: bool, spread: bool) -> tuple[dict[str, Any], list[str]]:
    """Return what is told only when asked for: fields, and the same in words."""
    from tenbetween import sight as room
    from tenbetween.formats.sight_json import pair_as_dict, spread_as_dict

    fields: dict[str, Any] = {}
    lines: list[str] = []
    if pair:
        leads, trails = (room.zone_places(scene, role) for role in ROLES)
        best = room.best_pair(scene, leads, trails) if scene.matchups and leads and trails else None
        fields["pair"] = None if best is None else pair_as_dict(best)
        lines.append(_pair_words(best) if scene.matchups else NOTHING_NAMED)
    if spread:
        dice = Random(SEED)  # noqa: S311 - no secret hangs on it
        found, changed = room.spread(scene, dice), room.sensitivity(scene)
        fields |= {"spread": spread_as_dict(found), "sensitivity": changed}
        lines += _spread_words(found, changed)
    return fields, lines


def _pair_words(best: BestPair | None) -> str:
    if best is None:
        return "No pair of places tried has the players between the two."
    lead, trail = (f"{role} at {one.at[0]:g}, {one.at[1]:g}" for role, one in _both(best))
    lead_has, trail_has = (_names(ones) for ones in (best.lead_has, best.trail_has))
    return (
        f"The pair of places with the most on these numbers, of those with the players between: {lead}, {trail}; "
        f"{best.coverage:.2f} held, {lead_has} by the lead, {trail_has} by the trail. It moves within a step, knows "
        "nothing of lines or getting back, and is not where to stand."
    )


def _both(best: BestPair) -> Iterator[tuple[str, Official]]:
    return ((role, best.crew.of(role)) for role in ROLES)


def _names(ones: tuple[Matchup, ...]) -> str:
    return ", ".join(f"{one.attacker} and {one.defender}" for one in ones) or "nothing"


def _spread_words(found: Spread | None, changed: dict[str, float | None]) -> list[str]:
    if found is None:
        return [NOTHING_NAMED]
    around = ", ".join(f"{name} {value:.2f}" for name, value in changed.items() if value is not None)
    return [
        f"Of {found.pairs} random pairs eight in ten hold {found.low:.2f} to {found.high:.2f}, half less than "
        f"{found.median:.2f}; {found.percentile:.0f} of a hundred hold less than this crew ({found.coverage:.2f}). "
        "That proves no place right or wrong.",
        f"Held with one choice changed: {around}",
    ]


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
