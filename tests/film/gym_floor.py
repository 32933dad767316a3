"""The floor of a rendered gym, for tests only: what is painted on it, in feet, edges softened by what they cover.

Which edge of a painted line a name of ``court.drawing`` means, and so where the paint lies (``line_width`` wide):
boundary lines outside the floor's edge; lane lines and arcs (straight parts too) inside, towards the basket's
axis; the free-throw line towards the end line; centre circle and free-throw semicircle inside their radius; the
division line half on each side; lane marks between their two edges; the 28-foot mark half on each side.
"""

from __future__ import annotations

from math import ceil, floor

import cv2
import numpy as np

from tenbetween.court.drawing import curves, lines
from tenbetween.court.markings import Court
from tenbetween.units import feet


class Sheet:
    """A floor or wall as a picture; everything in feet, edges softened by what share of a dot is covered."""

    def __init__(self, room: tuple[float, float, float, float], scale: float, base: np.ndarray) -> None:
        self.left, _, self.low, _ = room
        self.scale, self.dots = scale, base

    def middles(self, low: float, high: float, axis: int) -> tuple[slice, np.ndarray]:
        """The run of dots that touch low..high along an axis, and the middle of each in feet."""
        start = self.left if axis == 0 else self.low
        first = max(0, floor((low - start) * self.scale) - 1)
        last = min(self.dots.shape[1 - axis], ceil((high - start) * self.scale) + 1)
        run = slice(first, max(first, last))
        return run, start + (np.arange(run.start, run.stop) + 0.5) / self.scale

    def cover(self, across: slice, along: slice, share: np.ndarray, colour: np.ndarray) -> None:
        part = self.dots[along, across]
        part += share[..., None] * (np.asarray(colour, np.float32) - part)

    def box(self, x0: float, x1: float, y0: float, y1: float, colour: np.ndarray, share: float = 1.0) -> None:
        x0, x1, y0, y1 = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
        (across, xs), (along, ys) = self.middles(x0, x1, 0), self.middles(y0, y1, 1)
        half = 0.5 / self.scale
        wide = np.clip(np.minimum(xs + half, x1) - np.maximum(xs - half, x0), 0, None) * self.scale
        deep = np.clip(np.minimum(ys + half, y1) - np.maximum(ys - half, y0), 0, None) * self.scale
        self.cover(across, along, (share * np.outer(deep, wide)).astype(np.float32), colour)

    def ring(
        self,
        middle: tuple[float, float],
        inner: float,
        outer: float,
        turn: tuple[float, float],
        colour: np.ndarray,
    ) -> None:
        """A ring between two radii, from one angle to another (degrees, +x towards +y)."""
        across, xs = self.middles(middle[0] - outer, middle[0] + outer, 0)
        along, ys = self.middles(middle[1] - outer, middle[1] + outer, 1)
        dx, dy = np.meshgrid(xs - middle[0], ys - middle[1])
        far = np.hypot(dx, dy)
        share = np.clip(np.minimum(far - inner, outer - far) * self.scale + 0.5, 0, 1)
        within = (np.degrees(np.arctan2(dy, dx)) - turn[0]) % 360 <= turn[1] - turn[0] + 1e-9
        self.cover(across, along, (share * within).astype(np.float32), colour)


def paint_basketball(sheet: Sheet, court: Court, colour: np.ndarray) -> None:
    wide = feet(court.line_width)
    long, deep = feet(court.length), feet(court.width)
    axis = deep / 2
    for x0, x1 in ((-wide, 0), (long, long + wide)):
        sheet.box(x0, x1, -wide, deep + wide, colour)
    for y0, y1 in ((-wide, 0), (deep, deep + wide)):
        sheet.box(-wide, long + wide, y0, y1, colour)
    done = set()
    for name, ((ax, ay), (bx, by)) in lines(court).items():
        if name.endswith("division_line"):
            sheet.box(ax - wide / 2, ax + wide / 2, 0, deep, colour)
        elif name.endswith("free_throw_line"):
            inward = -wide if name.startswith("left") else wide
            sheet.box(ax, ax + inward, ay, by, colour)
        elif name.endswith(("lane_line", "arc_straight")):
            sheet.box(ax, bx, ay, ay + (wide if ay < axis else -wide), colour)
        elif "_lane_mark_near_edge" in name:
            (far, _), _ = lines(court)[name.replace("near", "far")]
            sheet.box(ax, far, ay, by, colour)
        elif name.endswith("28_ft_mark"):
            sheet.box(ax - wide / 2, ax + wide / 2, ay, by, colour)
        done.add(name)
    for name, bow in curves(court).items():
        if name.endswith("ring"):
            continue
        radius, turn = float(bow["radius"]), (float(bow["from_deg"]), float(bow["to_deg"]))
        sheet.ring(bow["centre"], radius - wide, radius, turn, colour)


def planks(dice: np.random.Generator, high: int, wide: int, scale: float) -> np.ndarray:
    """Boards along x, each with a tone of its own, and a grain."""
    board = max(2, round(0.1875 * scale))
    rows, cols = ceil(high / board), ceil(wide / (0.5 * scale))
    starts = dice.random((rows, cols)) < 0.12
    tone = dice.normal(0, 11, (rows, cols))
    held = np.maximum.accumulate(np.where(starts, np.arange(cols), 0), axis=1)
    tones = np.take_along_axis(tone, held, axis=1)
    laid = np.repeat(np.repeat(tones, board, 0)[:high], round(0.5 * scale), 1)[:, :wide].astype(np.float32)
    if laid.shape[1] < wide:
        laid = np.pad(laid, ((0, 0), (0, wide - laid.shape[1])), mode="edge")
    grain = cv2.GaussianBlur(
        dice.normal(0, 16, (high, wide)).astype(np.float32), (0, 0), sigmaX=4, sigmaY=0.7
    )
    return laid + grain


def shade(dice: np.random.Generator, high: int, wide: int, size: float) -> np.ndarray:
    coarse = dice.normal(0, size, (5, 7)).astype(np.float32)
    return cv2.resize(coarse, (wide, high), interpolation=cv2.INTER_CUBIC)


def other_sports(sheet: Sheet) -> None:
    """Volleyball, three badminton courts, small-goal football and team handball over one another."""
    green, blue, yellow, red = (
        np.array(c, float) for c in ((40, 120, 70), (50, 80, 160), (225, 190, 60), (185, 60, 50))
    )

    def frame(x0: float, x1: float, y0: float, y1: float, wide: float, colour: np.ndarray) -> None:
        for a, b, c, d in (
            (x0, x1, y0, y0 + wide),
            (x0, x1, y1 - wide, y1),
            (x0, x0 + wide, y0, y1),
            (x1 - wide, x1, y0, y1),
        ):
            sheet.box(a, b, c, d, colour)

    w = 1 / 6
    frame(42 - 29.5, 42 + 29.5, 25 - 14.75, 25 + 14.75, w, green)
    for x in (42 - 9.84, 42 + 9.84, 42.4):
        sheet.box(x - w / 2, x + w / 2, 25 - 14.75, 25 + 14.75, green)
    for middle in (14.0, 42.0, 70.0):
        for half, reach in ((10.0, 22.0), (8.5, 22.0), (10.0, 19.5)):
            frame(middle - half, middle + half, 25 - reach, 25 + reach, 1.5 / 12, yellow)
        for y in (25 - 6.5, 25 + 6.5):
            sheet.box(middle - 10, middle + 10, y - 0.06, y + 0.06, yellow)
    frame(-4.5, 88.5, -3.0, 53.0, w, red)
    for x, turn in ((-4.5, (-90.0, 90.0)), (88.5, (90.0, 270.0))):
        sheet.ring((x, 25.0), 19.5, 19.5 + w, turn, red)
        sheet.ring((x, 25.0), 29.3, 29.3 + w, turn, blue)
    frame(-2.0, 86.0, -1.2, 51.2, w, blue)
    sheet.ring((42.0, 25.0), 9.84 - w, 9.84, (0.0, 360.0), blue)


def soften(picture: np.ndarray, scale: float, low: float, focal: float) -> np.ndarray:
    """Blur each row along y by what one dot of the picture covers there: far lines keep their right share."""
    high = len(picture)
    y = low + (np.arange(high) + 0.5) / scale
    half = np.maximum(0.5, 0.5 * (y + 53) ** 2 / (15 * focal) * scale)
    summed = np.concatenate([np.zeros_like(picture[:1]), np.cumsum(picture, 0, dtype=np.float32)])

    def upto(row: np.ndarray) -> np.ndarray:
        row = np.clip(row, 0, high)
        under = np.minimum(row.astype(int), high - 1)
        part = (row - under).astype(np.float32)[:, None, None]
        return summed[under] * (1 - part) + summed[under + 1] * part

    middle = np.arange(high) + 0.5
    top, bottom = np.clip(middle - half, 0, high), np.clip(middle + half, 0, high)
    return (upto(bottom) - upto(top)) / (bottom - top).astype(np.float32)[:, None, None]
