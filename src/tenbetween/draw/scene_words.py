"""A scene in words, for those who do not see the picture: who stands where, and what the crew sees.

Says what is there; judges nobody.
"""

from __future__ import annotations

from math import hypot, isfinite
from typing import TYPE_CHECKING

from tenbetween.court import Court
from tenbetween.draw.phrases import listed
from tenbetween.scene import Scene, is_known
from tenbetween.situation import Person, PointFt, Role
from tenbetween.units import feet

if TYPE_CHECKING:
    from tenbetween.sight import Look, Sight

ROLES: tuple[Role, ...] = ("lead", "trail")


def scene_words(scene: Scene, lead: Person, sight: Sight | None = None) -> str:
    """Return what a picture of a scene shows, in sentences.

    >>> from tenbetween.scene import Crew, Official
    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> scene_words(Scene((), (), (20.0, 20.0), crew), "umpire").split(". ")[0]
    'The lead, Umpire, is 3 ft behind the left end line and 16 ft from the opposite sideline'
    """
    said = [_official(scene, role, lead) for role in ROLES]
    said += [f"The ball is {_ball(scene)}."] if all(isfinite(one) for one in scene.ball) else []
    said += [_players(scene)] if scene.players else []
    if sight is not None:
        said += [*(_looks(sight, role) for role in ROLES if sight.looks), _box(sight), sight.note]
    return " ".join(filter(None, said))


def _official(scene: Scene, role: Role, lead: Person) -> str:
    person = lead if role == "lead" else ("umpire" if lead == "referee" else "referee")
    return f"The {role}, {person.capitalize()}, is {where(scene.court, scene.crew.of(role).at)}."


def where(court: Court, at: PointFt) -> str:
    """Return a place on or beside the floor in words, in whole feet from the nearer lines.

    >>> from tenbetween.court import court_of
    >>> where(court_of("us-hs"), (30.0, -2.0)), where(court_of("us-hs"), (84.0, 25.0))
    ('30 ft from the left end line and 2 ft outside the table sideline', 'on the right end line and 25 ft from the table sideline')
    """
    length, width = feet(court.length), feet(court.width)
    end, depth = ("left", at[0]) if at[0] <= length / 2 else ("right", length - at[0])
    side, across = ("table", at[1]) if at[1] <= width / 2 else ("opposite", width - at[1])
    return f"{_off(depth, f'the {end} end line', 'behind')} and {_off(across, f'the {side} sideline', 'outside')}"


def _off(distance: float, line: str, out: str) -> str:
    whole = round(distance)
    if whole == 0:
        return f"on {line}"
    return f"{whole} ft from {line}" if whole > 0 else f"{-whole} ft {out} {line}"


def holder(scene: Scene, within: float = 1.0) -> str:
    """Return who has the ball: the nearest player within a foot of it, else nobody."""
    near = [(_apart(player.at, scene.ball), player.id) for player in scene.players if is_known(player)]
    best = min(near, default=(within + 1, ""))
    return best[1] if best[0] <= within else ""


def _apart(a: PointFt, b: PointFt) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def _ball(scene: Scene) -> str:
    name = holder(scene)
    return f"with {name}" if name else where(scene.court, scene.ball)


def _players(scene: Scene) -> str:
    known = [player for player in scene.players if is_known(player)]
    places = "; ".join(f"{player.id} {where(scene.court, player.at)}" for player in known)
    return f"Players: {places}."


def _looks(sight: Sight, role: Role) -> str:
    by_kind: dict[str, list[str]] = {}
    for look in sight.looks:
        if look.official == role:
            by_kind.setdefault(_kind_words(look), []).append(
                f"{look.matchup.attacker} and {look.matchup.defender}"
            )
    told = "; ".join(f"{kind}: {listed(pairs)}" for kind, pairs in by_kind.items())
    return f"For the {role} {told}."


def _kind_words(look: Look) -> str:
    name = screener(look)
    return f"screened by {name}" if kind_of(look) == "screened" and name else look.cause


def screener(look: Look) -> str:
    """Return who hides most of the space between the two of a matchup; empty when nobody does."""
    return look.screened_by or max(look.hidden_by, key=lambda name: look.hidden_by[name], default="")


def kind_of(look: Look) -> str:
    """Return how a look is drawn: open, straight-lined, screened, or other (too far, too close, out of the field).

    The weakest part decides, as in the sentence beside it.
    """
    return look.cause if look.cause in ("open", "straight-lined", "screened") else "other"


def _box(sight: Sight) -> str:
    box = sight.boxed_in
    if box.opposition_deg is None or box.share_between is None:
        return ""
    held = (
        "The two have the players between them" if box.ok else "The two do not have all players between them"
    )
    behind = f", behind: {listed(box.behind)}" if box.behind else ", nobody behind"
    return (
        f"{held}: {box.opposition_deg:.0f}° from lead to trail round the middle of the players, "
        f"{100 * box.share_between:.0f} % of the players between{behind}."
    )
