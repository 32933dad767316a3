"""A scene as the court screen says it: four things side by side, each look with its reason, what a step changes.

Joins sight, lines and movement; holds no measure of its own and never makes one number of the four.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from msgspec import to_builtins
from msgspec.structs import replace

from tenbetween.court import post
from tenbetween.draw.phrases import listed
from tenbetween.formats.sight_json import sight_as_dict
from tenbetween.movement import BRISK, JOGGER, SPRINTER, Legs
from tenbetween.movement.race import BallStep, Race, race
from tenbetween.scene import (
    ROLES,
    Crew,
    Elsewhere,
    Matchup,
    Scene,
    common_errors,
    end_and_side,
    is_known,
    taught,
)
from tenbetween.sight import SIGHT, BoxedIn, Look, Settings, Sight, best_step, see
from tenbetween.sight.compare import Compared, compare, sensitivity
from tenbetween.sight.lines import NEAR_ENOUGH, LineHeld, lines_held
from tenbetween.sight.spread import Dice, spread
from tenbetween.sight.view import FLAT
from tenbetween.situation import Role, other_basket, other_side
from tenbetween.units import FOOT

Page = dict[str, Any]
RADII = (0.75, 1.0)
"""Half widths of a body (ft) with which every look is told once more, to show how far it hangs on that."""
KINDS = ("open", "straight-lined", "screened")
EVIDENCE = "It shows what stands in the way from a spot. It does not say how well anybody judges, nor that a place is right."
FLOOR = "Warm up on the floor: running and stopping are learnt there, not here."


def seen_page(
    scene: Scene,
    owners: Mapping[str, Role] | None = None,
    settings: Settings = SIGHT,
    dice: Dice | None = None,
) -> Page:
    """Return what a screen says of one scene; ``owners`` says who has which line, as taught when not given.

    With dice the coverage stands beside that of random pairs.

    >>> from tenbetween.scene import Official
    >>> alone = Scene((), (), (60.0, 20.0), Crew(Official((87.0, 40.0)), Official((56.0, 2.0))))
    >>> seen_page(alone)["headline"]
    'No matchup is named: name who has whom to see the looks.'
    """
    sight = see(scene, settings)
    lines = lines_held(scene, owners)
    moved = sensitivity(scene, settings)
    others = tuple(see(scene, replace(settings, radius=radius)) for radius in RADII)
    return {
        "headline": headline(sight),
        "bars": [
            _sight_bar(sight, moved),
            _box_bar(sight.boxed_in, settings),
            _lines_bar(scene, owners, lines),
            _back_bar(scene),
        ],
        "looks": [_row(one, sight.looks, others) for one in known_matchups(scene)],
        "hidden_floor": _hidden(sight, others),
        "load": _load(sight),
        "steps": [_step(role, sight, scene, settings) for role in ROLES],
        "facing": [_facing(role, sight) for role in ROLES],
        "compare": compared(scene, owners, settings),
        "rests": rests(settings),
        "spread": spread_words(scene, dice, settings) if dice is not None else "",
        "sensitivity": [(name, _number(value)) for name, value in moved.items()],
        "note": f"{FLAT} {EVIDENCE}",
        "sight": sight_as_dict(scene, sight),
    }


def known_matchups(scene: Scene) -> tuple[Matchup, ...]:
    """Return the matchups both of whose players are there."""
    there = {player.id for player in scene.players if is_known(player)}
    return tuple(one for one in scene.matchups if {one.attacker, one.defender} <= there)


def headline(sight: Sight) -> str:
    """Return the first sentence: how many matchups somebody has an open look at, and which are nobody's."""
    pairs = {look.matchup for look in sight.looks}
    if not pairs:
        return "No matchup is named: name who has whom to see the looks."
    blind = sight.blind_spots
    said = f"Somebody sees into {len(pairs) - len(blind)} of {len(pairs)} matchups"
    if not blind:
        return f"{said}."
    return f"{said}; {listed([f'{one.attacker} and {one.defender}' for one in blind])} open to nobody."


def spoken(page: Page) -> str:
    """Return what the live region says after a drop."""
    bars = " ".join(f"{one['name']}: {one['value']}." for one in page["bars"])
    return f"{page['headline']} {bars}"


# -- the bars ----------


def _sight_bar(sight: Sight, moved: Mapping[str, float | None]) -> Page:
    value = sight.coverage
    blind = len(sight.blind_spots)
    says = "Share of the matchups, by weight, that the better look of the two takes in. "
    says += f"Both at once: {_number(sight.double_coverage)}. Open to nobody: {blind}. "
    told = [one for one in moved.values() if one is not None]
    says += f"With one setting changed: {min(told):.2f} to {max(told):.2f}." if told else ""
    return {"id": "sight", "name": "Sight", "share": value or 0.0, "value": _number(value), "says": says}


def _box_bar(box: BoxedIn, settings: Settings) -> Page:
    share = box.share_between
    value = "not to be told"
    if share is not None and box.opposition_deg is not None:
        value = f"{box.opposition_deg:.0f}°, {100 * share:.0f} % between"
    behind = listed(list(box.behind)) or "nobody"
    says = f"{'The players are between the two' if box.ok else 'Not all are between the two'}: angle from lead to trail "
    says += f"round the players, share who see the two a right angle apart. Behind an official: {behind}. "
    says += f"It asks for {settings.opposition_least:g}° and {100 * settings.between_least:g} %; "
    says += (
        "; ".join(
            f"asked for {deg:g}° and {100 * share:.0f} %: {_boxes(box, deg, share)}" for deg, share in ASKED
        )
        + "."
    )
    return {"id": "box", "name": "Boxing in", "share": share or 0.0, "value": value, "says": says}


ASKED = ((120.0, 0.6), (140.0, 0.8))
"""What else boxing in could ask for, to show how far the answer hangs on it."""


def _boxes(box: BoxedIn, degrees: float, share: float) -> str:
    held = (box.opposition_deg or 0.0) >= degrees and (box.share_between or 0.0) >= share and not box.behind
    return "yes" if held else "no"


def _lines_bar(scene: Scene, owners: Mapping[str, Role] | None, lines: tuple[LineHeld, ...]) -> Page:
    near = sum(one.near for one in lines)
    parts = [f"{one.line} {one.off:.0f} ft ({one.role})" for one in lines]
    says = f"Within {NEAR_ENOUGH:g} ft of the line he has: {'; '.join(parts)}. "
    others = {far: sum(one.near for one in lines_held(scene, owners, far)) for far in (6.0, 12.0)}
    says += "With " + ", ".join(f"{far:g} ft: {count}" for far, count in others.items()) + "."
    share = near / len(lines) if lines else 0.0
    return {"id": "lines", "name": "Lines", "share": share, "value": f"{near} of {len(lines)}", "says": says}


# -- getting back ----------


def getting_back(scene: Scene, crew: Crew, legs: Legs = BRISK) -> Race | None:
    """Return the race after a steal: the trail to the lead's place at the other end, the ball dribbled to its rim.

    None when the ball is already nearer to that end.
    """
    end, side = end_and_side(replace(scene, crew=crew))
    length, width = scene.court.length / FOOT, scene.court.width / FOOT
    far = other_basket(end)
    if abs(scene.ball[0] - (0.0 if far == "left" else length)) < length / 4:
        return None
    spot = post(scene.court, "lead_end_line", far, other_side(side), None).at
    rim = (5.25 if far == "left" else length - 5.25, width / 2)
    steal = (BallStep("steal"), BallStep("dribble", rim))
    return race(crew.trail.at, spot, scene.ball, steal, legs, court=scene.court, turn_deg=180.0)


def _back_bar(scene: Scene) -> Page:
    found = getting_back(scene, scene.crew)
    if found is None:
        return {
            "id": "back",
            "name": "Getting back",
            "share": 0.0,
            "value": "not to be told",
            "says": "The ball is at the other end already.",
        }
    total = found.official.total
    says = (
        f"After a steal here the trail, lead then, needs {total:.1f} s to within {found.short_ft:.0f} ft of his place at "
        f"the other end ({found.legs.name}), the ball dribbled to that rim {found.ball_s:.1f} s. Ball speeds are from "
        f"memory. {_other_legs(scene)} {FLOOR}"
    )
    share = min(1.0, found.ball_s / total) if total else 1.0
    return {"id": "back", "name": "Getting back", "share": share, "value": back_words(found), "says": says}


def _other_legs(scene: Scene) -> str:
    """Return the margin for the other ways of running, so that one of them is not taken for the truth."""
    said = [f"{legs.name} {back_words(getting_back(scene, scene.crew, legs))}" for legs in (JOGGER, SPRINTER)]
    return f"{'; '.join(said)}.".capitalize()


def back_words(found: Race | None) -> str:
    """Return the margin of a race in words."""
    if found is None:
        return "not to be told"
    if not found.official.total:
        return "he is there already"
    if abs(found.margin_s) < 0.05:
        return "level with the ball"
    return f"{abs(found.margin_s):.1f} s {'before' if found.wins else 'after'} the ball"


def _number(value: float | None) -> str:
    return "not to be told" if value is None else f"{value:.2f}"


# -- looks, load, steps ----------


def _hidden(sight: Sight, others: tuple[Sight, ...]) -> str:
    told = sorted(one.hidden_floor_sqft for one in (sight, *others))
    return (
        f"Floor hidden from both: {sight.hidden_floor_sqft:.0f} sq ft "
        f"({told[0]:.0f} to {told[-1]:.0f} with bodies of {RADII[0]:g} to {RADII[1]:g} ft)."
    )


def _row(matchup: Matchup, looks: tuple[Look, ...], others: tuple[Sight, ...]) -> Page:
    mine = {look.official: look for look in looks if look.matchup == matchup}
    return {
        "pair": f"{matchup.attacker} and {matchup.defender}",
        "act": matchup.act.replace("_", " "),
        "looks": [_look(mine[role], _as_told(mine[role], others)) for role in ROLES],
    }


def _as_told(look: Look, others: tuple[Sight, ...]) -> list[float]:
    """Return the value of the same look with other bodies, and its own."""
    same = [
        one.value
        for other in others
        for one in other.looks
        if (one.official, one.matchup) == (look.official, look.matchup)
    ]
    return sorted((look.value, *same))


def _look(look: Look, told: list[float]) -> Page:
    kind = look.cause if look.cause in KINDS else "other"
    parts = {
        "openness": look.openness,
        "clear": look.clear,
        "distance": look.closeness,
        "at one look": look.width,
        "field of view": look.in_field,
    }
    return {
        "role": look.official,
        "kind": kind,
        "cause": look.cause,
        "value": f"{look.value:.2f}",
        "why": look.why,
        "parts": ", ".join(f"{name} {part:.2f}" for name, part in parts.items()),
        "gap": f"{look.gap_deg:.1f}° of daylight, {look.distance:.0f} ft away",
        "moves": f"{told[0]:.2f} to {told[-1]:.2f} with bodies of {RADII[0]:g} to {RADII[1]:g} ft",
    }


def _load(sight: Sight) -> str:
    said = []
    for name, share in (
        ("by who sees better", sight.load.by_best_split),
        ("by taught areas", sight.load.by_primary_area),
    ):
        if share is None or share.lead is None or share.trail is None:
            said.append(f"{name}: not to be told")
        else:
            said.append(f"{name}: lead {100 * share.lead:.0f} %, trail {100 * share.trail:.0f} %")
    return f"Load {'; '.join(said)}."


def _step(role: Role, sight: Sight, scene: Scene, settings: Settings) -> Page:
    step = sight.best_step[role]
    near = best_step(scene, role, replace(settings, contact_begins=8.0, contact_half=25.0))
    moves = step.to != scene.crew.of(role).at
    return {
        "role": role,
        "x": step.to[0],
        "y": step.to[1],
        "says": f"{step.why} Where closeness counts too: {near.why[:1].lower()}{near.why[1:]}",
        "moves": moves,
    }


def _facing(role: Role, sight: Sight) -> str:
    found = sight.facing[role]
    given = "as set" if found.given else "not set: the way that shows him most"
    return f"{role.capitalize()} faces {found.deg:.0f}° ({given})."


# -- beside common errors ----------


def compared(scene: Scene, owners: Mapping[str, Role] | None, settings: Settings = SIGHT) -> list[Page]:
    """Return the parts side by side for the crew as it stands, the taught places and the common errors."""
    stands = (
        Elsewhere("As they stand", scene.crew),
        Elsewhere("Taught places, live play", taught(scene)),
        *common_errors(scene),
    )
    found = compare(scene, {one.name: one.crew for one in stands}, settings)
    return [_stood(one, stand.crew, scene, owners) for one, stand in zip(found, stands, strict=True)]


def _stood(one: Compared, crew: Crew, scene: Scene, owners: Mapping[str, Role] | None) -> Page:
    lines = lines_held(replace(scene, crew=crew), owners)
    return {
        "name": one.name,
        "crew": {role: dict(zip("xy", crew.of(role).at, strict=True)) for role in ROLES},
        "sight": _number(one.coverage),
        "box": "" if one.opposition_deg is None else f"{one.opposition_deg:.0f}°",
        "between": "" if one.share_between is None else f"{100 * one.share_between:.0f} %",
        "behind": listed(list(one.behind)) or "nobody",
        "lines": f"{sum(line.near for line in lines)} of {len(lines)}",
        "back": back_words(getting_back(scene, crew)),
    }


def spread_words(scene: Scene, dice: Dice, settings: Settings = SIGHT) -> str:
    """Return where the crew's coverage lies among random pairs; nothing without matchups."""
    found = spread(scene, dice, settings)
    if found is None:
        return ""
    return (
        f"Beside {found.pairs} random pairs of places: one in ten holds less than {found.low:.2f}, half of them less than "
        f"{found.median:.2f}, one in ten more than {found.high:.2f}; this crew, {found.coverage:.2f}, holds more than "
        f"{_of_a_hundred(found.percentile)}. Coverage lies high nearly everywhere; neither a high nor a low place among "
        "random pairs says that a place is right."
    )


def _of_a_hundred(percentile: float) -> str:
    """Return a percentile as it is said.

    >>> _of_a_hundred(99.8), _of_a_hundred(0.2), _of_a_hundred(64)
    ('all of them', 'none of them', '64 of a hundred')
    """
    if percentile > 99.5:
        return "all of them"
    return "none of them" if percentile < 0.5 else f"{percentile:.0f} of a hundred"


def rests(settings: Settings) -> list[tuple[str, str]]:
    """Return the settings the numbers rest on, as words and values.

    >>> rests(SIGHT)[0]
    ('radius', '0.9')
    """
    return list(_named(to_builtins(settings), ""))


def _named(given: Mapping[str, Any], before: str) -> Iterator[tuple[str, str]]:
    for name, value in given.items():
        words = f"{before}{name.replace('_', ' ')}"
        if isinstance(value, dict):
            yield from _named(value, f"{words}: ")
        else:
            yield words, "none" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
