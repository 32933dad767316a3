"""What each place of the floor, and a little round it, sees of each matchup: the look from thousands of places.

A map is read as "how much would he see from there", never as "stand there": the brightest place moves within a
step and knows nothing of lines, boxing in or getting back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court
from tenbetween.errors import Problem, TenbetweenError
from tenbetween.scene import Matchup, Scene, known_part
from tenbetween.sight.bearings import Bools, Floats, wrapped
from tenbetween.sight.looks import in_field
from tenbetween.sight.many_looks import Reals, plain_on_grid
from tenbetween.sight.settings import SIGHT, Settings
from tenbetween.sight.stance import Arrays, arrays_of, stance_of
from tenbetween.situation import Role
from tenbetween.units import FOOT

Kernel = Literal["numpy", "fast", "auto"]
Width = type[np.float64] | type[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class LookMap:
    """The open look at each matchup from the middle of every cell; arrays cannot be written to."""

    xs: Floats
    """Middles of the cells along the court (ft), X of them ..."""
    ys: Floats
    """... and across, Y."""
    looks: Reals
    """(matchup, X, Y), 0 to 1: all parts of the look; the field of view only where a facing was given."""
    near: Bools
    """(X, Y): nearer to a player's middle than 2 ft (a setting). Nobody stands there, so a map is left blank."""
    matchups: tuple[Matchup, ...]
    weights: Floats
    facing: float | None
    """Degrees from +x towards +y; None: the eyes turned at each matchup in turn."""
    kernel: str
    settings: Settings


def look_map(
    scene: Scene,
    step: float = 1.0,
    settings: Settings = SIGHT,
    dtype: Width = np.float64,
    facing: float | None = None,
    kernel: Kernel = "numpy",
) -> LookMap:
    """Return the look at each matchup from cells of ``step`` ft, from 5 ft (a setting) outside the lines inward.

    With 32-bit numbers it is found sooner and is right to 3e-5. ``kernel`` "fast" takes compiled loops, which
    reckon in 64 bits whatever is asked for; "auto" takes them where they are installed.

    >>> from tenbetween.scene import Crew, Official, Player
    >>> players = (Player("a1", "a", (10.0, 20.0)), Player("b1", "b", (13.0, 20.0)))
    >>> crew = Crew(Official((-4.0, 20.0)), Official((30.0, 10.0)))
    >>> look_map(Scene(players, (Matchup("a1", "b1"),), (10.0, 20.0), crew)).looks.shape
    (1, 94, 60)

    Raises:
        TenbetweenError: a step that is no length, or compiled loops asked for where numba is not installed.
    """
    if not 0.1 <= step <= 50:
        raise TenbetweenError([Problem("step", f"{step!r} ft", "0.1 to 50 ft", "choose the side of a cell")])
    scene = known_part(scene)
    arrays = arrays_of(scene, settings)
    xs, ys = cells(scene.court, step, settings.border)
    looks, used = _plain(xs, ys, arrays, settings, dtype, kernel)
    if facing is not None and len(arrays.pairs):
        looks = looks * _field(xs, ys, arrays, np.radians(facing), settings).astype(dtype)
    near = _nearest(xs, ys, arrays.bodies) < settings.map_room
    for one in (xs, ys, looks, near, arrays.weights):
        one.setflags(write=False)
    return LookMap(xs, ys, looks, near, scene.matchups, arrays.weights, facing, used, settings)


def seen_most(found: LookMap, partner: Floats | None = None) -> Reals:
    """Return for each cell the weighted share of the matchups seen from there, (X, Y); NaN where left blank.

    With the looks of a partner who stands still (M), what the two hold together: sum of w max / sum of w.

    >>> from tenbetween.scene import Crew, Official, Player
    >>> players = (Player("a1", "a", (10.0, 20.0)), Player("b1", "b", (13.0, 20.0)))
    >>> crew = Crew(Official((-4.0, 20.0)), Official((30.0, 10.0)))
    >>> found = look_map(Scene(players, (Matchup("a1", "b1"),), (10.0, 20.0), crew))
    >>> bool(np.isnan(seen_most(found)[15, 25])), round(float(seen_most(found)[15, 10]), 2)
    (True, 1.0)
    """
    if not len(found.matchups):
        return np.full(found.near.shape, np.nan)
    looks = found.looks if partner is None else np.maximum(found.looks, partner[:, None, None])
    weights = found.weights.astype(found.looks.dtype)
    share = np.tensordot(weights / weights.sum(), looks, 1)
    return np.asarray(np.where(found.near, np.nan, share), dtype=looks.dtype)


def partner_looks(scene: Scene, role: Role, settings: Settings = SIGHT) -> Floats:
    """Return the open looks (M) of the official in a role where he stands: the partner of ``seen_most``.

    >>> from tenbetween.scene import Crew, Official
    >>> crew = Crew(Official((0.0, 35.0)), Official((30.0, 15.0)))
    >>> partner_looks(Scene((), (), (20.0, 20.0), crew), "lead").shape
    (0,)
    """
    scene = known_part(scene)
    found: Floats = stance_of(scene.crew.of(role), arrays_of(scene, settings), settings).values[0]
    return found


def cells(court: Court, side: float, border: float = 0.0) -> tuple[Floats, Floats]:
    """Return the middles along and across of equal cells, as near to the wanted side as fits the floor with a border.

    >>> from tenbetween.court import court_of
    >>> along, across = cells(court_of("us-hs"), 1.0)
    >>> len(along), len(across), float(along[0])
    (84, 50, 0.5)
    """
    lines = []
    for feet in (court.length / FOOT, court.width / FOOT):
        whole = feet + 2 * border
        count = max(1, round(whole / side))
        lines.append((np.arange(count) + 0.5) * whole / count - border)
    return lines[0], lines[1]


def _plain(
    xs: Floats, ys: Floats, arrays: Arrays, settings: Settings, dtype: Width, kernel: Kernel
) -> tuple[Reals, str]:
    if not len(arrays.pairs):
        return np.zeros((0, xs.size, ys.size), dtype=dtype), "numpy"
    if kernel != "numpy":
        compiled = _compiled(kernel)
        if compiled is not None:
            return compiled.plain_on_grid(xs, ys, arrays.bodies, arrays.pairs, settings).astype(dtype), "fast"
    return plain_on_grid(xs, ys, arrays.bodies, arrays.pairs, settings, dtype), "numpy"


def _compiled(kernel: Kernel) -> Any:
    """Return the compiled loops; None where they are not installed and need not be."""
    try:
        from tenbetween.sight import fast
    except ImportError:
        if kernel == "auto":
            return None
        do = 'in the program folder: .venv/bin/pip install "numba>=0.60"; or ask for kernel "auto"'
        raise TenbetweenError([Problem("kernel", "fast, but numba is not installed", "numba", do)]) from None
    return fast


def _field(xs: Floats, ys: Floats, arrays: Arrays, facing: float, settings: Settings) -> Floats:
    """Return the part of the field of view of each matchup from each cell, (M, X, Y)."""
    directions: list[NDArray[np.float64]] = []
    for column in (0, 1):
        to = arrays.bodies[arrays.pairs[:, column]]
        directions.append(np.arctan2((to[:, 1:] - ys)[:, None, :], (to[:, :1] - xs)[:, :, None]))
    turn = wrapped(directions[1] - directions[0])
    return in_field(directions[0] + turn / 2, np.abs(turn), np.asarray(facing), settings)


def _nearest(xs: Floats, ys: Floats, bodies: Floats) -> Floats:
    square = np.full((xs.size, ys.size), np.inf)
    for x, y in bodies:
        np.minimum(square, ((xs - x) ** 2)[:, None] + ((ys - y) ** 2)[None, :], out=square)
    return np.asarray(np.sqrt(square), dtype=np.float64)
