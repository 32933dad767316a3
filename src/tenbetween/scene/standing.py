"""Puts a formation on a floor: stands become places, defenders find their side, nobody stands in another.

Works in the frame of the restart: ``u`` from the end line attacked, ``v`` from the long axis, + towards the
thrower, in feet; the turn to the court frame is in whole micrometres, so that mirror images are exact. Knows no
rule, no official's duty and no sight.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import permutations
from math import cos, hypot, pi, sin

from msgspec import Struct

from tenbetween.court import Court
from tenbetween.scene.formations import Formation, Stand
from tenbetween.scene.moment import Crew, Matchup, Player, Scene
from tenbetween.situation import Basket, PointFt, PointUm, TableSide
from tenbetween.units import FOOT, feet, um_from_feet

Uv = tuple[float, float]
USUAL_WIDTH = 50.0
USUAL_LENGTH = 84.0
INSIDE = 1.5
"""Feet that everybody but the thrower keeps inside the lines."""
BEHIND = 1.5
"""Feet the thrower stands outside his line."""
APART = 2.25
"""Feet two bodies keep from each other, at the least."""


class Frame(Struct, frozen=True):
    """A floor as a restart sees it: the end line attacked, and the side that counts as +.

    >>> from tenbetween.court import court_of
    >>> Frame(court_of("us-hs"), "right", "table").turned((28.0, 25.0))
    (56.0, 0.0)
    """

    court: Court
    end: Basket
    side: TableSide

    @property
    def length(self) -> float:
        """Length of the floor in feet."""
        return self.court.length / FOOT

    @property
    def half_width(self) -> float:
        """Feet from the long axis to a sideline."""
        return self.court.axis / FOOT

    @property
    def front(self) -> float:
        """Feet from the end line attacked to the division line."""
        return self.court.front / FOOT

    def turned(self, at: Uv) -> PointFt:
        """Return a place of this frame in the court frame, in feet."""
        u, v = um_from_feet(at[0]), um_from_feet(at[1])
        x = u if self.end == "left" else self.court.length - u
        y = self.court.axis - v if self.side == "table" else self.court.axis + v
        return (feet(x), feet(y))

    def seen(self, at: PointFt) -> Uv:
        """Return a place of the court frame, in feet, in this one."""
        return self.seen_um((um_from_feet(at[0]), um_from_feet(at[1])))

    def seen_um(self, at: PointUm) -> Uv:
        """Return a place of the court frame, in micrometres, in this one."""
        u = at[0] if self.end == "left" else self.court.length - at[0]
        v = self.court.axis - at[1] if self.side == "table" else at[1] - self.court.axis
        return (u / FOOT, v / FOOT)

    def inside(self, at: Uv) -> Uv:
        """Return the place, moved onto the floor where it lies outside."""
        u, v = at
        most = self.half_width - INSIDE
        return (max(INSIDE, min(self.length - INSIDE, u)), max(-most, min(most, v)))


# ---- stands become places ----


def placed(frame: Frame, stand: Stand, spot: Uv | None) -> Uv:
    """Return where a stand is on a floor; ``spot`` is the thrower's on the boundary, None without one.

    >>> from tenbetween.court import court_of
    >>> placed(Frame(court_of("us-hs"), "left", "table"), Stand(9, 7.5), None)
    (9.0, 7.5)
    """
    if stand.of == "lane":
        return _lane_space(frame.court, int(stand.out), int(stand.across))
    if stand.of == "spot":
        return _from_spot(frame, stand, spot)
    across = stand.across * min(1.0, 2 * frame.half_width / USUAL_WIDTH)
    return frame.inside((_out(frame, stand), across))


def _out(frame: Frame, stand: Stand) -> float:
    out = float(stand.out)
    if stand.of == "back":
        return frame.length - out
    if stand.of == "court":
        return out * frame.length / USUAL_LENGTH
    since = {
        "end": 0.0,
        "division": frame.front,
        "middle": frame.length / 2,
        "line": frame.court.free_throw / FOOT,
    }
    return since[stand.of] + out


def _from_spot(frame: Frame, stand: Stand, spot: Uv | None) -> Uv:
    if spot is None:
        return frame.inside((frame.front, 0.0))
    u, v = spot
    on_end_line = u < INSIDE / 2 or u > frame.length - INSIDE / 2
    if on_end_line and abs(v) < frame.half_width - INSIDE / 2:
        in_ = stand.out if 2 * u < frame.length else -stand.out
        return frame.inside((u + in_, v - stand.across if v > 0 else v + stand.across))
    at = (u + stand.across, v - stand.out if v > 0 else v + stand.out)
    return frame.inside(_same_part(frame, u, at))


def _same_part(frame: Frame, spot: float, at: Uv) -> Uv:
    """Keep a receiver in the part of the floor the ball is thrown into, unless the spot is at its very edge."""
    u, v = at
    if spot < frame.front - 4:
        return (min(u, frame.front - 3), v)
    if spot > frame.front + 4:
        return (max(u, frame.front + 3), v)
    return at


@lru_cache(maxsize=64)
def _lane_space(court: Court, number: int, side: int) -> Uv:
    from tenbetween.court import lane_spaces

    names = {1: "first", 2: "second", 3: "third"}
    path = lane_spaces(court)[f"left_table_{names[number]}_lane_space"]
    near, far = min(x for x, _ in path), max(x for x, _ in path)
    lane = court.lane_half / FOOT
    return ((near + far) / 2, side * (lane + 1.25))


def thrower_at(frame: Frame, spot: Uv | None, trail: float) -> Uv:
    """Return where the thrower stands, outside the line; without a spot behind the end line by the lane line.

    ``trail`` is + or - 1: the side on which he stands when he may choose.

    >>> from tenbetween.court import court_of
    >>> thrower_at(Frame(court_of("us-hs"), "left", "table"), (28.0, 25.0), 1)
    (28.0, 26.5)
    """
    if spot is None:
        return (frame.length + BEHIND, trail * (frame.court.lane_half / FOOT + 1))
    u, v = spot
    if abs(v) > frame.half_width - 0.01:
        return (u, v + BEHIND if v > 0 else v - BEHIND)
    return (u - BEHIND if 2 * u < frame.length else u + BEHIND, v)


# ---- defenders ----


def _towards(at: Uv, to: Uv) -> Uv:
    away = hypot(to[0] - at[0], to[1] - at[1])
    return (0.0, 0.0) if away < 1e-9 else ((to[0] - at[0]) / away, (to[1] - at[1]) / away)


def goal_side(at: Uv, ball: Uv, basket: Uv) -> Uv:
    """Return where a man defender stands: between his man and the basket, a little to the ball.

    The farther his man is from the ball, the farther he sags.

    >>> goal_side((25.25, 0.0), (25.25, 0.0), (5.25, 0.0))
    (22.25, 0.0)
    """
    off = hypot(at[0] - ball[0], at[1] - ball[1])
    sag = 3.0 + min(4.0, max(0.0, off - 8.0) / 5)
    home, over = _towards(at, basket), _towards(at, ball)
    shade = 0.0 if off < 1 else 0.45 * sag
    sag = min(sag, 0.6 * hypot(at[0] - basket[0], at[1] - basket[1]))
    return (at[0] + home[0] * sag + over[0] * shade, at[1] + home[1] * sag + over[1] * shade)


def ball_side(at: Uv, ball: Uv, basket: Uv) -> Uv:
    """Return where a defender stands who will not let his man have the ball: a step to the ball and the basket.

    >>> ball_side((40.0, 0.0), (80.0, 0.0), (5.0, 0.0))
    (42.0, 0.0)
    """
    over, home = _towards(at, ball), _towards(at, basket)
    return (at[0] + 3.0 * over[0] + 1.0 * home[0], at[1] + 3.0 * over[1] + 1.0 * home[1])


def defenders(
    frame: Frame, formation: Formation, attack: Sequence[Uv], ball: Uv, spot: Uv | None
) -> list[Uv]:
    """Return where the five defenders stand, each beside his man unless they play a zone."""
    if formation.guard == "zone":
        return [placed(frame, stand, spot) for stand in formation.zone]
    basket = (frame.court.basket / FOOT, 0.0)
    stand = ball_side if formation.guard == "deny" else goal_side
    return [
        _on_thrower(frame, one, basket) if _outside(frame, one) else stand(one, ball, basket)
        for one in attack
    ]


def _outside(frame: Frame, at: Uv) -> bool:
    return not (0 <= at[0] <= frame.length and abs(at[1]) <= frame.half_width)


def _on_thrower(frame: Frame, at: Uv, basket: Uv) -> Uv:
    """Return the place of the man on the thrower: on the floor in front of him, a step to the basket."""
    u, v = frame.inside(at)
    u += (1.5 if u <= INSIDE else -1.5 if u >= frame.length - INSIDE else 0.0) or (
        -1.0 if u > basket[0] else 0.0
    )
    v += (-1.5 if v > 0 else 1.5) if abs(at[1]) > frame.half_width else (-1.0 if v > 0 else 1.0)
    return (u, v)


def pairs(attack: Sequence[Uv], defence: Sequence[Uv]) -> tuple[int, ...]:
    """Return for each attacker the number of his defender: the least distance in all, each defender once.

    >>> pairs([(0.0, 0.0), (9.0, 0.0)], [(8.0, 0.0), (1.0, 0.0)])
    (1, 0)
    """
    far = [[hypot(a[0] - d[0], a[1] - d[1]) for d in defence] for a in attack]
    ways = permutations(range(len(defence)), len(attack))
    return min(ways, key=lambda way: round(sum(far[a][d] for a, d in enumerate(way)), 6))


# ---- nobody stands in another ----

_ROUND = 16


def _steps_aside(at: Uv) -> list[Uv]:
    """Return the place and others round it, the nearest first, towards the axis before away from it."""
    turns = sorted(range(_ROUND), key=lambda turn: (min(turn, _ROUND - turn), turn))
    rings = (0.75, 1.5, 2.25, 3.0, 3.75, 4.5, 6.0, 7.5, 9.0)
    inward = -1.0 if at[1] > 0 else 1.0
    return [
        at,
        *(
            (at[0] + far * sin(2 * pi * turn / _ROUND), at[1] + inward * far * cos(2 * pi * turn / _ROUND))
            for far in rings
            for turn in turns
        ),
    ]


def apart(frame: Frame, wanted: Sequence[Uv], standing: Sequence[Uv]) -> list[Uv]:
    """Return the places wanted, each moved as little as keeps bodies apart and on the floor.

    >>> from tenbetween.court import court_of
    >>> apart(Frame(court_of("us-hs"), "left", "table"), [(20.0, 5.0), (20.0, 5.0)], [])[1]
    (20.0, 2.75)
    """
    taken = list(standing)
    found: list[Uv] = []
    for at in wanted:
        free = _free(frame, frame.inside(at), taken)
        taken.append(free)
        found.append(free)
    return found


def _free(frame: Frame, at: Uv, taken: Sequence[Uv]) -> Uv:
    for one in _steps_aside(at):
        near = any(hypot(one[0] - two[0], one[1] - two[1]) < APART - 1e-6 for two in taken)
        if not near and frame.inside(one) == one:
            return (round(one[0] * 8) / 8, round(one[1] * 8) / 8) if _eighths(frame, one, taken) else one
    return at


def _eighths(frame: Frame, at: Uv, taken: Sequence[Uv]) -> bool:
    near = (round(at[0] * 8) / 8, round(at[1] * 8) / 8)
    clear = all(hypot(near[0] - two[0], near[1] - two[1]) >= APART - 1e-6 for two in taken)
    return clear and frame.inside(near) == near


def squads(
    attack: Sequence[Uv], defence: Sequence[Uv], frame: Frame, names: tuple[str, str]
) -> tuple[Player, ...]:
    """Return ten players in the court frame; attackers and defenders are named after their team."""
    first, second = names
    found = [
        *(Player(f"{first}{number}", first, frame.turned(at)) for number, at in enumerate(attack, 1)),  # type: ignore[arg-type]
        *(Player(f"{second}{number}", second, frame.turned(at)) for number, at in enumerate(defence, 1)),  # type: ignore[arg-type]
    ]
    return tuple(sorted(found, key=lambda player: player.id))


def matchups(
    formation: Formation,
    acts: Sequence[str],
    attack: Sequence[Uv],
    defence: Sequence[Uv],
    names: tuple[str, str],
) -> tuple[Matchup, ...]:
    """Return who has whom: each his own man, or in a zone the nearest by least distance in all."""
    whom = pairs(attack, defence) if formation.assigned else tuple(range(len(attack)))
    first, second = names
    return tuple(
        Matchup(f"{first}{number + 1}", f"{second}{whom[number] + 1}", act)  # type: ignore[arg-type]
        for number, act in enumerate(acts)
    )


# ---- a scene ----


def peopled(
    frame: Frame,
    form: Formation,
    holder: Uv | None,
    spot: Uv | None,
    standing: Sequence[Uv],
    crew: Crew,
    names: tuple[str, str],
) -> Scene:
    """Return a scene of a formation; ``holder`` is the one with the ball where the formation does not say it.

    ``standing`` are the officials already there, ``names`` the teams with and without the ball.
    """
    stands = form.attack if holder is None or len(form.attack) == 4 else form.attack[1:]
    first = [] if holder is None else [holder]
    jump = "jump_ball" in form.fits
    attack = first + apart(frame, [placed(frame, one, spot) for one in stands], [*standing, *first])
    ball = (frame.length / 2, 0.0) if jump else attack[0]
    wanted = defenders(frame, form, attack, ball, spot)
    defence = apart(frame, wanted, [*standing, *attack])
    acts = (["ball"] if holder is not None else []) + [one.act for one in stands]
    return Scene(
        players=squads(attack, defence, frame, names),
        matchups=matchups(form, acts, attack, defence, names),
        ball=frame.turned(ball),
        crew=crew,
        court=frame.court,
    )
