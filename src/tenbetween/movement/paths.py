"""A way from place to place that keeps the eyes on the players: round bodies, out of the lane, out of passing lines.

The shortest way is looked for among straight pieces between the corners of polygons laid round the bodies (each
disc widened by elbow room); a piece counts only when it stays clear of every disc itself. Feet in the lane, across
a passing line or, along the outside, on the floor count as more feet, so that he crosses where he must and not
else. A gap that is wider than nothing by less than 2 % of a disc may be missed. Knows no role and no rule, and
does not say where anybody should run.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush
from itertools import pairwise
from math import atan2, ceil, degrees, dist, inf, isfinite
from typing import Literal, get_args

from msgspec import Struct
from msgspec.structs import replace

from tenbetween.errors import Problem, TenbetweenError, one_of
from tenbetween.movement.plane import JUST, Area, around, clear, length_in, strip
from tenbetween.movement.profiles import Legs
from tenbetween.movement.run import Arrival, time_to
from tenbetween.scene import Scene, known_part
from tenbetween.situation import PointFt
from tenbetween.units import FOOT

Eyes = Literal["players", "ball", "way"]
EYES: tuple[Eyes, ...] = get_args(Eyes)
Gait = Literal["forward", "sideways", "backwards"]


class Manners(Struct, frozen=True):
    """How a way is chosen; feet and degrees. Every number is a choice of ours, from memory.

    Raises:
        TenbetweenError: every number that cannot be.
    """

    radius: float = 0.9
    """Half width of a body."""
    elbow_room: float = 1.6
    """Kept between a body and the middle of the official."""
    border: float = 5.0
    """How far outside the boundary lines he may run."""
    outside: bool = False
    """Along outside the boundary lines where the way allows it."""
    beside: float = 3.0
    """So far outside them."""
    out_of_lane: bool = True
    out_of_passing_lines: bool = True
    """Out of the strip from the ball to each teammate of the one who has it."""
    passing_half: float = 1.5
    """Half the width of such a strip."""
    shun: float = 2.0
    """Each foot where he should not be counts as so many feet more."""
    eyes: Eyes = "players"
    sideways_from: float = 75.0
    backwards_from: float = 120.0
    """Angle between where he looks and where he moves, from which he moves so."""
    usable: float = 120.0
    """Width of the field of view."""
    piece: float = 3.0
    """Longest piece of the way with one facing."""

    def __post_init__(self) -> None:
        wrong = [
            Problem(name, repr(value), "a number from 0 to 1000", "write such a number")
            for name in self.__struct_fields__
            if isinstance(value := getattr(self, name), float | int) and not 0 <= value <= 1000
        ]
        if not self.piece >= 0.1:
            wrong.append(Problem("piece", repr(self.piece), "0.1 ft or more", "raise it"))
        if self.eyes not in EYES:
            wrong.append(one_of("eyes", str(self.eyes)[:40], EYES))
        if wrong:
            raise TenbetweenError(wrong)


MANNERS = Manners()


class Leg(Struct, frozen=True):
    """One straight piece with one facing."""

    start: PointFt
    end: PointFt
    facing: float
    """Degrees from +x towards +y, at its middle."""
    gait: Gait
    in_view: float | None
    """Share of the players within his field of view; None when there are none."""

    @property
    def feet(self) -> float:
        """Its length."""
        return dist(self.start, self.end)


class Path(Struct, frozen=True):
    """A way with its pieces and the manners it was chosen by."""

    points: tuple[PointFt, ...]
    legs: tuple[Leg, ...]
    free: bool
    """False when no way leads round the bodies: then it is the straight one, and somebody must move."""
    manners: Manners

    @property
    def feet(self) -> float:
        """Its whole length."""
        return sum(dist(a, b) for a, b in pairwise(self.points))


def path(
    start: PointFt, end: PointFt, scene: Scene, manners: Manners = MANNERS, *, without: Sequence[str] = ()
) -> Path:
    """Return a way from ``start`` to ``end`` round the players of a scene, named ones left out of account.

    One who stands within the elbow room of a player may leave it, and come as near as the end asks.

    >>> from tenbetween.scene import Crew, Official, Player
    >>> crew = Crew(Official((0.0, 30.0)), Official((30.0, 10.0)))
    >>> scene = Scene((Player("a1", "a", (50.0, 25.5)),), (), (50.0, 25.5), crew)
    >>> found = path((40.0, 25.0), (60.0, 25.0), scene)
    >>> found.free, round(found.feet, 2), {leg.gait for leg in found.legs} >= {"forward", "backwards"}
    (True, 20.42, True)

    Raises:
        TenbetweenError: a place that is none.
    """
    _refuse(start, end)
    scene = known_part(scene)
    ground = _Ground(scene, manners, start, end, frozenset(without))
    points = ground.shortest()
    free = points is not None
    points = points or (start, end)
    return Path(points, tuple(_legs(points, scene, manners)), free, manners)


def _refuse(*places: PointFt) -> None:
    wrong = [
        Problem(
            "place", repr(at)[:60], "x and y in feet, each within 300 of the corner", "write such a place"
        )
        for at in places
        if not all(isfinite(one) and abs(one) <= 300 for one in at)
    ]
    if wrong:
        raise TenbetweenError(wrong)


class _Ground:
    """What lies between two places: discs to go round, areas to shun, corners to turn at."""

    def __init__(
        self, scene: Scene, manners: Manners, start: PointFt, end: PointFt, without: frozenset[str]
    ) -> None:
        self.manners, self.start, self.end = manners, start, end
        wide = manners.radius + manners.elbow_room
        players = [player.at for player in scene.players if player.id not in without]
        # Where he stands, and where he is to stand, he need not stay farther off than he is.
        self.discs = [(at, min(wide, dist(at, start), dist(at, end))) for at in players]
        self.length, self.width = scene.court.length / FOOT, scene.court.width / FOOT
        self.shunned = list(_shunned(scene, manners))
        corners = [corner for at, radius in self.discs for corner in around(at, radius)]
        corners += [corner for area in self.shunned for corner in area]
        corners += self.beside() if manners.outside else []
        nodes = [start, end, *(one for one in corners if self.stands(one))]
        self.nodes = list(dict.fromkeys(nodes))

    def beside(self) -> list[PointFt]:
        """The corners outside the floor, and the points on the lines beside it abreast of both ends."""
        out = min(self.manners.beside, self.manners.border)
        across, along = (-out, self.width + out), (-out, self.length + out)
        found = [(x, y) for x in along for y in across]
        for place in (self.start, self.end):
            found += [(place[0], y) for y in across] + [(x, place[1]) for x in along]
        return found

    def stands(self, at: PointFt) -> bool:
        """Whether he may turn there: near the floor, clear of everybody."""
        far = self.manners.border + JUST
        on = -far <= at[0] <= self.length + far and -far <= at[1] <= self.width + far
        return on and all(dist(at, middle) >= radius - JUST for middle, radius in self.discs)

    def open(self, a: PointFt, b: PointFt) -> bool:
        """Whether the straight piece stays clear of every disc."""
        return clear(a, b, self.discs)

    def cost(self, a: PointFt, b: PointFt) -> float:
        """The length of a piece, with more for every foot where he should not be."""
        return dist(a, b) + self.manners.shun * sum(length_in(a, b, area) for area in self.shunned)

    def shortest(self) -> tuple[PointFt, ...] | None:
        """Return the turning points of the cheapest way, or None when there is no way at all.

        Dijkstra's way, the node first whose cost with the bare distance still to go is least: no way costs less
        than its distance, so the first time the end is reached is the best.
        """
        if self.start == self.end:
            return (self.start, self.end)
        least, before, done = {0: 0.0}, {0: 0}, set()
        queue = [(dist(self.start, self.end), 0)]
        while queue:
            _, here = heappop(queue)
            if here in done:
                continue
            if here == 1:
                return self.back(before)
            done.add(here)
            for there, total in self.onward(here, least[here], least, done):
                least[there], before[there] = total, here
                heappush(queue, (total + dist(self.nodes[there], self.end), there))
        return None

    def onward(
        self, here: int, so_far: float, least: dict[int, float], done: set[int]
    ) -> Iterator[tuple[int, float]]:
        """Tell the nodes that are reached more cheaply from here than before, and at what cost."""
        a = self.nodes[here]
        for there, b in enumerate(self.nodes):
            known = least.get(there, inf)
            if there in done or so_far + dist(a, b) >= known or not self.open(a, b):
                continue
            total = so_far + self.cost(a, b)
            if total < known:
                yield there, total

    def back(self, before: dict[int, int]) -> tuple[PointFt, ...]:
        """The way told from its end backwards, and turned round."""
        found = [1]
        while found[-1] != 0:
            found.append(before[found[-1]])
        return tuple(self.nodes[number] for number in reversed(found))


def _shunned(scene: Scene, manners: Manners) -> Iterator[Area]:
    court = scene.court
    length, width = court.length / FOOT, court.width / FOOT
    if manners.out_of_lane:
        low, high = (court.axis - court.lane_half) / FOOT, (court.axis + court.lane_half) / FOOT
        deep = court.free_throw / FOOT
        yield ((0.0, low), (deep, low), (deep, high), (0.0, high))
        yield ((length - deep, low), (length, low), (length, high), (length - deep, high))
    if manners.out_of_passing_lines:
        yield from _passing_lines(scene, manners)
    if manners.outside:
        yield ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))


def _passing_lines(scene: Scene, manners: Manners) -> Iterator[Area]:
    """Strips from the ball to each teammate of the player nearest to it; none when it is nobody's."""
    if not scene.players or not all(isfinite(one) for one in scene.ball):
        return
    holder = min(scene.players, key=lambda player: (dist(player.at, scene.ball), player.id))
    for player in scene.players:
        if player.team == holder.team and player.id != holder.id:
            area = strip(scene.ball, player.at, manners.passing_half)
            if area:
                yield area


# -- eyes and feet ---------------------------------------------------------------------------------------------


def _legs(points: Sequence[PointFt], scene: Scene, manners: Manners) -> Iterator[Leg]:
    for a, b in pairwise(points):
        pieces = max(1, ceil(dist(a, b) / manners.piece - JUST))
        marks = [_along(a, b, number / pieces) for number in range(pieces + 1)]
        yield from (_leg(p, q, scene, manners) for p, q in pairwise(marks))


def _along(a: PointFt, b: PointFt, share: float) -> PointFt:
    return b if share == 1 else (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def _leg(a: PointFt, b: PointFt, scene: Scene, manners: Manners) -> Leg:
    middle = _along(a, b, 0.5)
    moves = _direction(a, b)
    looks = _looks_at(middle, scene, manners)
    facing = moves if looks is None else looks
    off = _apart(facing, moves)
    gait: Gait = (
        "backwards"
        if off >= manners.backwards_from
        else "sideways"
        if off >= manners.sideways_from
        else "forward"
    )
    seen = [_apart(facing, _direction(middle, player.at)) <= manners.usable / 2 for player in scene.players]
    return Leg(a, b, facing % 360, gait, sum(seen) / len(seen) if seen else None)


def _looks_at(at: PointFt, scene: Scene, manners: Manners) -> float | None:
    """Return the direction of the ball or the middle of the players; None: he looks where he runs."""
    if manners.eyes == "ball" and all(isfinite(one) for one in scene.ball) and at != scene.ball:
        return _direction(at, scene.ball)
    if manners.eyes == "players" and scene.players:
        count = len(scene.players)
        x = sum(player.at[0] for player in scene.players) / count
        y = sum(player.at[1] for player in scene.players) / count
        return _direction(at, (x, y)) if dist(at, (x, y)) > JUST else None
    return None


def _direction(a: PointFt, b: PointFt) -> float:
    return degrees(atan2(b[1] - a[1], b[0] - a[0]))


def _apart(one: float, other: float) -> float:
    """Return the angle between two directions, 0 to 180."""
    return abs((one - other + 180) % 360 - 180)


class OnTheWay(Struct, frozen=True):
    """How long a way takes and what share of that time he has the players before him."""

    arrival: Arrival
    in_view: float | None
    """Mean share of the players in his field of view over the time of the way; None without players."""
    all_in_view: float | None
    """Share of that time in which he has every player in it."""
    seconds: dict[Gait, float]
    """Time spent in each gait."""


def on_the_way(way: Path, legs: Legs, *, turn_deg: float = 0.0, stop: bool = True) -> OnTheWay:
    """Return the time of a way and the time-weighted view of the players.

    A gait slower than running forward counts as a longer way (length / share of speed) in one run; corners of the way
    cost nothing. The moving time is shared among the pieces by that longer way.

    >>> from tenbetween.movement import BRISK
    >>> from tenbetween.scene import Crew, Official, Player
    >>> scene = Scene((Player("a1", "a", (50.0, 25.0)),), (), (50.0, 25.0), Crew(Official((0.0, 0.0)), Official((9.0, 9.0))))
    >>> found = on_the_way(path((20.0, 25.0), (40.0, 25.0), scene), BRISK)
    >>> found.in_view, sorted(gait for gait, s in found.seconds.items() if s)
    (1.0, ['forward'])
    """
    shares = {"forward": 1.0, "sideways": legs.sideways, "backwards": legs.backwards}
    heavy = [leg.feet / shares[leg.gait] for leg in way.legs]
    total = sum(heavy)
    arrival = replace(time_to(total, legs, 0.0, turn_deg, stop=stop), feet=way.feet)
    seconds: dict[Gait, float] = {"forward": 0.0, "sideways": 0.0, "backwards": 0.0}
    for leg, one in zip(way.legs, heavy, strict=True):
        seconds[leg.gait] += arrival.moving * one / total if total else 0.0
    views = [leg.in_view for leg in way.legs if leg.in_view is not None]
    if len(views) < len(way.legs) or not total:
        return OnTheWay(arrival, None, None, seconds)
    mean = sum(view * one for view, one in zip(views, heavy, strict=True)) / total
    whole = sum(one for view, one in zip(views, heavy, strict=True) if view == 1) / total
    return OnTheWay(arrival, mean, whole, seconds)
