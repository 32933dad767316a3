"""Cameras as they stand in gyms, and clicks made through them: the truth the tests of finding the court measure by.

Places, aims, lenses and hands as the published simulation of our notes has them: beside the floor, up in the stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court, court_of, not_painted
from tenbetween.film.camera import Camera
from tenbetween.film.clicks import Click, Clicks, is_upright, places_of

PICTURE = (1280, 720)
COURT = court_of("us-hs")
Floats = NDArray[np.float64]


def some_camera(dice: np.random.Generator, *, k1: float = 0.0) -> Camera:
    """Return a camera in the stands on the table side, looking at some part of the floor."""
    while True:
        x, y, z = dice.uniform([17, -70, 12], [67, -20, 26])
        aim = np.array([dice.uniform(17, 67), dice.uniform(15, 35), 0.0])
        away = aim - [x, y, z]
        pan = np.arctan2(away[0], away[1]) + dice.normal(0, 0.02)
        tilt = np.arctan2(-away[2], np.hypot(away[0], away[1])) + dice.normal(0, 0.02)
        view = np.radians(dice.uniform(45, 60))
        focal = PICTURE[0] / 2 / np.tan(view / 2)
        camera = Camera(x, y, z, pan, tilt, dice.normal(0, np.radians(1.0)), focal, k1, PICTURE)
        if len(in_view(camera, painted_points(COURT))) >= 14:
            return camera


def painted_points(court: Court) -> tuple[str, ...]:
    """Return the names of the places a person can see on the floor, one name for a place."""
    found: dict[tuple[float, ...], str] = {}
    for name, at in places_of(court).items():
        if name not in not_painted(court) and not is_upright(name):
            found.setdefault(at, name)
    return tuple(found.values())


def in_view(camera: Camera, names: tuple[str, ...], margin: float = 5.0) -> list[str]:
    """Return the places well inside the picture."""
    dots = camera.dots([places_of(COURT)[name] for name in names])
    wide, high = camera.picture
    inside = (dots > margin).all(1) & (dots[:, 0] < wide - 1 - margin) & (dots[:, 1] < high - 1 - margin)
    return [name for name, good in zip(names, inside, strict=True) if good]


def spread_out(camera: Camera, names: list[str], count: int, dice: np.random.Generator) -> list[str]:
    """Return places as a coached hand chooses them: the best of six handfuls, by how far from one line any three are.

    Not the best there are: a person clicks what nobody stands on.
    """
    dots = camera.dots([places_of(COURT)[name] for name in names])
    handfuls = [dice.choice(len(names), count, replace=False) for _ in range(6)]
    chosen = max(handfuls, key=lambda some: _least_triangle(dots[some[:4]]))
    return [names[number] for number in chosen]


def _least_triangle(four: Floats) -> float:
    return min(abs(float(np.linalg.det(four[[b, c]] - four[a]))) for a, b, c in combinations(range(4), 3))


def clicked(
    camera: Camera,
    names: list[str],
    dice: np.random.Generator,
    *,
    sd: float = 2.0,
    feet: Floats | None = None,
) -> Clicks:
    """Return clicks on places and on feet (n, 2, feet), each off by a hand's error."""
    dots = camera.dots([places_of(COURT)[name] for name in names]) + dice.normal(0, sd, (len(names), 2))
    marks = tuple(Click(name, (float(u), float(v))) for name, (u, v) in zip(names, dots, strict=True))
    standing: tuple[Click, ...] = ()
    if feet is not None:
        on_feet = camera.dots(feet) + dice.normal(0, sd, (len(feet), 2))
        standing = tuple(Click(f"p{n}", (float(u), float(v))) for n, (u, v) in enumerate(on_feet))
    return Clicks(camera.picture, COURT, marks, (), standing, sd)


def visible_floor(camera: Camera, step: float = 2.0) -> Floats:
    """Return a grid of places of the floor that lie in the picture."""
    grid = np.stack(np.meshgrid(np.arange(0, 84.1, step), np.arange(0, 50.1, step)), -1).reshape(-1, 2)
    dots = camera.dots(grid)
    wide, high = camera.picture
    inside = (dots >= 0).all(1) & (dots[:, 0] <= wide - 1) & (dots[:, 1] <= high - 1)
    return grid[inside]


@dataclass(frozen=True)
class Off:
    """How far places of the visible floor come out from where they are, in feet."""

    median: float
    p90: float


def ground_error(truth: Camera, floor_of: object) -> Off:
    """Return how far the visible floor comes out, by a function from dots to places."""
    grid = visible_floor(truth)
    off = np.linalg.norm(floor_of(truth.dots(grid)) - grid, axis=1)  # type: ignore[operator]
    off = np.where(np.isfinite(off), off, 1e3)
    return Off(float(np.median(off)), float(np.quantile(off, 0.9)))
