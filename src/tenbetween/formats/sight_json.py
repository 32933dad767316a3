"""What the crew sees, as JSON with the names other programs rely on; decides nothing."""

from __future__ import annotations

from typing import Any

from msgspec import to_builtins

from tenbetween.scene import Matchup, Scene
from tenbetween.sight import BestPair, Look, Share, Sight, Spread

NOT_A_PLACE = (
    "The pair of places with the most on these numbers, of those with the players between the two. It moves within a "
    "step and knows nothing of lines or getting back: it is not where to stand."
)


def sight_as_dict(scene: Scene, sight: Sight) -> dict[str, Any]:
    """Return what the crew sees by the names other programs rely on; the settings stand beside it.

    >>> from tenbetween.scene import Crew, Official
    >>> from tenbetween.sight import see
    >>> scene = Scene((), (), (20.0, 20.0), Crew(Official((0.0, 35.0)), Official((30.0, 10.0))))
    >>> sight_as_dict(scene, see(scene))["coverage"] is None
    True
    """
    return {
        "looks": [_look(look) for look in sight.looks],
        "visible": sight.visible,
        "facing": to_builtins(sight.facing),
        "coverage": sight.coverage,
        "double_coverage": sight.double_coverage,
        "blind_spots": [_pair(one) for one in sight.blind_spots],
        "hidden_floor_sqft": sight.hidden_floor_sqft,
        "boxed_in": to_builtins(sight.boxed_in),
        "load": {
            "by_primary_area": _share(scene, sight.load.by_primary_area),
            "by_best_split": _share(scene, sight.load.by_best_split),
        },
        "best_step": to_builtins(sight.best_step),
        "complete": sight.complete,
        "dropped": list(sight.dropped),
        "settings": to_builtins(sight.settings),
        "note": sight.note,
    }


def pair_as_dict(best: BestPair) -> dict[str, Any]:
    """Return the pair of places with the most on these numbers, and who then has which matchups.

    >>> from tenbetween.scene import Crew, Official
    >>> crew = Crew(Official((0.0, 35.0), 0.0), Official((30.0, 10.0), 180.0))
    >>> pair_as_dict(BestPair(crew, 0.9, (Matchup("a1", "b1"),), ()))["lead"]
    {'x': 0.0, 'y': 35.0, 'facing': 0.0, 'has': [['a1', 'b1']]}
    """
    page: dict[str, Any] = {"coverage": best.coverage}
    for role, has in (("lead", best.lead_has), ("trail", best.trail_has)):
        one = best.crew.lead if role == "lead" else best.crew.trail
        page[role] = {"x": one.at[0], "y": one.at[1], "facing": one.facing, "has": [_pair(m) for m in has]}
    return page | {"note": NOT_A_PLACE}


def spread_as_dict(found: Spread | None) -> dict[str, Any] | None:
    """Return what random pairs would hold; None without matchups.

    >>> spread_as_dict(None) is None
    True
    """
    return None if found is None else dict(to_builtins(found))


def _look(look: Look) -> dict[str, Any]:
    return {**to_builtins(look), "matchup": _pair(look.matchup), "act": look.matchup.act}


def _pair(matchup: Matchup) -> list[str]:
    return [matchup.attacker, matchup.defender]


def _share(scene: Scene, share: Share | None) -> dict[str, Any] | None:
    if share is None:
        return None
    split = {role: [_pair(scene.matchups[i]) for i in ones] for role, ones in share.split.items()}
    return {"lead": share.lead, "trail": share.trail, "split": split}
