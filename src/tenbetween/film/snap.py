"""A camera that is nearly right, made right by the painted lines of the picture.

Along each line of the court the picture is read across it; where it is lighter or darker in the middle than on both
sides, as paint is, the line is taken to be. What the clicks said stays in as what is known before. Knows no names of
clicks and no people; a player who stands on a line costs samples, no more.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import ModuleType

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court
from tenbetween.errors import FormatError, Problem, UsageError
from tenbetween.film import pinhole
from tenbetween.film.calibrate import covariance_of
from tenbetween.film.camera import Camera, Floats
from tenbetween.film.outline import in_sight, paint_alone
from tenbetween.film.painted import Paint

REACHES = (16.0, 5.0, 4.0, 3.0)
"""How far across the lines is looked, round by round, in dots; the first time no farther than the clicks leave open."""
MOST = 500
STEP = 0.5
"""Dots between two readings across a line."""
TANGENT = (-3.0, -1.5, 0.0, 1.5, 3.0)
"""Readings are averaged over so many dots along the line: noise goes, the line stays."""
FAINTEST = 3.0
"""Grey levels by which a line must stand out."""
BESIDE = (5.0, 11.0)
"""Dots beside a line where the grain of the picture is measured: nothing but chance puts a ridge there."""
STANDS_OUT = 1.0
"""Times the middle of the strongest ridges there."""
SECOND = 0.7
"""A second ridge so strong, of the first, may be the line just as well: another sport's."""
NEIGHBOURS = 0.2
"""Samples beside each other see the same faults: so much of each counts."""
FITS = 1.5
"""Dots within which a sample fits."""
TAKEN = 0.4
"""Share of samples that must fit for the snapped camera to be taken instead of the clicked one: with fewer it is as
often worse, and surer of itself."""
GOOD = 0.6
"""Share from which on no other start is tried."""
LEAST = 30
"""Samples of line that must be in view."""


@dataclass(frozen=True, slots=True)
class Snapped:
    """A camera after looking at the lines, how sure it is, and the share of samples in view that fit it."""

    camera: Camera
    covariance: Floats
    share: float
    seen: int
    """How many samples of line were in view."""

    @property
    def taken(self) -> bool:
        """Whether enough samples fit to trust it more than the clicks."""
        return self.share >= TAKEN and self.seen >= LEAST


@dataclass(frozen=True, slots=True)
class Sighted:
    """Samples of line as a camera sees them."""

    dots: Floats
    across: Floats
    """(n, 2) unit way across the line in the picture."""
    wide: Floats
    """(n) width of the paint across the line, in dots."""
    at: Floats
    """(n, 3) feet."""
    of: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Ridges:
    """What was found across each sample: how far off the line lies, how it stands out, whether another does too."""

    off: Floats
    strength: Floats
    """Grey levels; above nothing for a line found."""
    doubtful: NDArray[np.bool_]


def cv2_parts() -> ModuleType:
    """Return OpenCV.

    Raises:
        UsageError: it is not installed.
    """
    try:
        import cv2
    except ImportError:
        do = 'in the program\'s folder: .venv/bin/pip install "opencv-python-headless>=4.10"'
        raise UsageError(Problem("film", "no OpenCV on this machine", "the extra `film`", do)) from None
    return cv2


def grey_of(image: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return a picture (height, width[, red-green-blue]) in grey.

    Raises:
        UsageError: the extra is missing.
    """
    cv2 = cv2_parts()
    return image if image.ndim == 2 else np.asarray(cv2.cvtColor(image, cv2.COLOR_RGB2GRAY), np.uint8)


def picture_of(content: bytes, where: str = "picture") -> NDArray[np.uint8]:
    """Return a PNG or JPEG as height, width, red-green-blue; ``where`` names it in what is said of it.

    Raises:
        FormatError: it is no such picture.
        UsageError: the extra is missing.
    """
    cv2 = cv2_parts()
    try:
        found = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_COLOR)
    except cv2.error:
        found = None
    if found is None:
        size = f"{len(content)} bytes that are no picture"
        raise FormatError(Problem(where[:200], size, "a PNG or JPEG", "save the still as PNG"))
    return np.asarray(cv2.cvtColor(found, cv2.COLOR_BGR2RGB), np.uint8)


def snap(
    camera: Camera, covariance: Floats, court: Court, image: NDArray[np.uint8], *,
    without: tuple[str, ...] = (), reaches: tuple[float, ...] = REACHES,
) -> Snapped:  # fmt: skip
    """Return a camera snapped to the painted lines of a picture of its size.

    ``covariance`` (8, 8) is how sure the camera is before; ``without`` names lines of the court that are not to be
    looked for; ``reaches`` how far across the lines is looked, in dots, round by round.

    Raises:
        UsageError: the extra is missing, or the picture is not of the camera's size.
    """
    grey = grey_of(image)
    if grey.shape != camera.picture[::-1]:
        found, expected = (
            f"{grey.shape[1]} x {grey.shape[0]} dots",
            f"{camera.picture[0]} x {camera.picture[1]}",
        )
        raise UsageError(Problem("image", found, expected, "give the picture the clicks were made on"))
    lines = paint_alone(court, frozenset(without))
    best = _descended(camera, camera, covariance, grey, lines, reaches)
    for start in _elsewhere(camera, covariance):
        if best.share >= GOOD:
            break
        other = _descended(start, camera, covariance, grey, lines, reaches)
        best = max(best, other, key=lambda one: one.share)
    return best


def _elsewhere(camera: Camera, covariance: Floats) -> list[Camera]:
    """Return cameras a good step off, the ways the clicks leave most open: where the first look may have gone wrong."""
    size = np.sqrt(np.maximum(np.diag(covariance), 1e-16))
    values, vectors = np.linalg.eigh(covariance / np.outer(size, size))
    ways = [vectors[:, -one] * np.sqrt(max(values[-one], 0.0)) * size for one in (1, 2)]
    return [camera.with_numbers(camera.numbers() + by * way) for way in ways for by in (1.2, -1.2)]


def _descended(
    start: Camera, clicked: Camera, covariance: Floats, grey: NDArray[np.uint8], lines: Paint,
    reaches: tuple[float, ...],
) -> Snapped:  # fmt: skip
    camera, prior = start, np.asarray(np.linalg.inv(_firm(covariance)), float)
    information = prior
    for number, reach in enumerate(reaches):
        seen = sighted(camera, lines)
        if len(seen.dots) < LEAST:
            return Snapped(clicked, covariance, 0.0, len(seen.dots))
        slopes = _slopes(camera, seen)
        spread = np.sqrt(((slopes @ covariance_of(information)) * slopes).sum(axis=1))
        open_to = np.clip(3 * spread + 2, 3, reach) if number == 0 else np.full(len(spread), reach)
        ridges = ridges_of(grey, seen, open_to)
        scale = 2.0 if number == 0 else 1.0
        camera, information = _moved(camera, clicked.numbers(), prior, slopes, ridges, scale)
    return Snapped(camera, covariance_of(information), *_share(grey, camera, lines))


def _firm(covariance: Floats) -> Floats:
    return covariance + np.diag([1e-8, 1e-8, 1e-8, 1e-14, 1e-14, 1e-14, 1e-12, 1e-12])


def _share(grey: NDArray[np.uint8], camera: Camera, lines: Paint) -> tuple[float, int]:
    seen = sighted(camera, lines)
    if not len(seen.dots):
        return 0.0, 0
    ridges = ridges_of(grey, seen, np.full(len(seen.dots), REACHES[-1]))
    fitting = (ridges.strength > _by_chance(grey, seen)) & (np.abs(ridges.off) < FITS)
    return float(fitting.mean()), len(seen.dots)


def _by_chance(grey: NDArray[np.uint8], seen: Sighted) -> float:
    """Return how strong a ridge must be to be more than the grain of this picture: its like beside the lines."""
    response = np.abs(_response(grey, seen, BESIDE[1]))
    offs = np.abs(STEP * (np.arange(response.shape[1]) - (response.shape[1] - 1) // 2))
    grain = response[:, (offs >= BESIDE[0]) & (offs <= BESIDE[1])].max(axis=1)
    return STANDS_OUT * float(np.median(grain))


def sighted(camera: Camera, lines: Paint, most: int = MOST) -> Sighted:
    """Return the samples of line in view, evenly thinned to at most ``most``."""
    dots = camera.dots(lines.places)
    inside = np.flatnonzero(in_sight(camera, dots, margin=6))
    inside = inside[:: max(1, -(-len(inside) // most))]
    at, along = lines.places[inside], lines.along[inside]
    ahead, behind = camera.dots(at + 0.05 * along), camera.dots(at - 0.05 * along)
    way = ahead - behind
    way /= np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
    across = np.column_stack([-way[:, 1], way[:, 0]])
    beside = 0.5 * lines.width * np.column_stack([-along[:, 1], along[:, 0]])
    wide = np.abs(((camera.dots(at + beside) - camera.dots(at - beside)) * across).sum(axis=1))
    return Sighted(dots[inside], across, wide, np.column_stack([at, np.zeros(len(at))]), lines.line[inside])


def _slopes(camera: Camera, seen: Sighted) -> Floats:
    """Return how far each sample moves across its line by each of the camera's numbers (n, 8), in dots."""
    moved = pinhole.slopes(pinhole.dots(pinhole.around(camera.numbers()), seen.at, camera.middle))
    return np.asarray(np.einsum("ni,nij->nj", seen.across, moved))


# -- reading the picture ----


def ridges_of(grey: NDArray[np.uint8], seen: Sighted, reach: Floats) -> Ridges:
    """Return the strongest line across each sample, no farther than its reach (n, dots)."""
    response = _response(grey, seen, float(reach.max()))
    count = (response.shape[1] - 1) // 2
    offs = STEP * np.arange(-count, count + 1)
    near = np.abs(offs)[None] <= reach[:, None]
    # Of two alike the nearer: what was known before counts a little.
    weight = np.where(near, 1 - 0.3 * (offs[None] / (reach[:, None] + 1)) ** 2, 0.0)
    signed = response * weight
    polarity = _polarities(signed, seen.of)
    signed = np.maximum(signed * polarity[:, None], 0.0)
    rows, best = np.arange(len(signed)), signed.argmax(axis=1)
    strength = signed[rows, best]
    part = _parabola(signed, rows, best)
    apart = np.abs(offs[None] - offs[best][:, None]) > np.maximum(1.5 * seen.wide, 2.0)[:, None]
    second = np.where(apart, signed, 0.0).max(axis=1)
    found = strength > FAINTEST
    return Ridges(
        offs[best] + STEP * part, np.where(found, strength, 0.0), second > SECOND * np.maximum(strength, 1e-9)
    )


def _parabola(signed: Floats, rows: NDArray[np.int64], best: NDArray[np.int64]) -> Floats:
    """Return where between two readings the top lies, in readings, from -0.5 to 0.5."""
    last = signed.shape[1] - 1
    left, right = signed[rows, np.maximum(best - 1, 0)], signed[rows, np.minimum(best + 1, last)]
    bend = left - 2 * signed[rows, best] + right
    part = np.where(bend < -1e-6, 0.5 * (left - right) / np.where(bend < -1e-6, bend, -1.0), 0.0)
    return np.where((best == 0) | (best == last), 0.0, np.clip(part, -0.5, 0.5))


def _polarities(signed: Floats, of: NDArray[np.int64]) -> Floats:
    """Return 1 where the line of a sample is light, -1 where it is dark: a vote by line, of all where it is close."""
    light, dark = np.maximum(signed, 0).max(axis=1), np.maximum(-signed, 0).max(axis=1)
    # A vote counts with its square: a few samples that stand out say more than many that hardly do.
    lights, darks = np.bincount(of, light**2), np.bincount(of, dark**2)
    everywhere = 1.0 if lights.sum() >= darks.sum() else -1.0
    clear = np.maximum(lights, darks) > 1.5 * np.minimum(lights, darks)
    by_line = np.where(clear, np.where(lights >= darks, 1.0, -1.0), everywhere)
    return np.asarray(by_line[of])


def _response(grey: NDArray[np.uint8], seen: Sighted, reach: float) -> Floats:
    """Return how far the middle stands out from both sides, every half dot across each sample: light +, dark -."""
    box: Floats = np.maximum(seen.wide, 1.2)
    count = int(np.ceil(reach / STEP))
    around = int(np.ceil((1.5 * float(box.max()) + 1.5) / STEP)) + 1
    profile = _profile(grey, seen, count + around)
    summed = np.concatenate([np.zeros((len(profile), 1)), np.cumsum(profile, axis=1)], axis=1)
    middles = np.asarray(around + 0.5 + np.arange(2 * count + 1), float)
    half: Floats = 0.5 * box / STEP
    gap = 0.5 / STEP
    centre = _mean(summed, middles, -half, half)
    left = _mean(summed, middles, -3 * half - gap, -half - gap)
    right = _mean(summed, middles, half + gap, 3 * half + gap)
    over_left, over_right = centre - left, centre - right
    least = np.minimum(np.abs(over_left), np.abs(over_right))
    return np.asarray(np.where(over_left * over_right > 0, np.sign(over_left) * least, 0.0))


def _mean(summed: Floats, middles: Floats, low: Floats, high: Floats) -> Floats:
    """Return the mean of readings from ``low`` to ``high`` (n) of each middle."""
    return (_upto(summed, middles, high) - _upto(summed, middles, low)) / (high - low)[:, None]


def _upto(summed: Floats, middles: Floats, by: Floats) -> Floats:
    # The same fraction of a reading for all middles of a sample: two shifted rows, mixed.
    place = middles[None] + by[:, None]
    under = np.clip(np.floor(place).astype(np.int64), 0, summed.shape[1] - 2)
    part = place - under
    return np.take_along_axis(summed, under, 1) * (1 - part) + np.take_along_axis(summed, under + 1, 1) * part


def _profile(grey: NDArray[np.uint8], seen: Sighted, count: int) -> Floats:
    """Return readings across each sample (n, 2 count + 1), averaged a little along the line."""
    cv2 = cv2_parts()
    offs = STEP * np.arange(-count, count + 1)
    along = np.column_stack([seen.across[:, 1], -seen.across[:, 0]])
    across = (seen.dots[:, None] + offs[None, :, None] * seen.across[:, None]).astype(np.float32)
    found = np.zeros(across.shape[:2], np.float32)
    for by in TANGENT:
        spots = across + (by * along[:, None]).astype(np.float32)
        found += cv2.remap(
            grey, spots[..., 0], spots[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        )
    return np.asarray(found / len(TANGENT), float)


# -- moving the camera ----


def _moved(
    camera: Camera, before: Floats, prior: Floats, slopes: Floats, ridges: Ridges, scale: float
) -> tuple[Camera, Floats]:
    """Return the camera that fits what was found best, beside what was known before, and its information."""
    start = camera.numbers()
    trust = np.where(ridges.strength > 0, np.where(ridges.doubtful, 0.2, 1.0), 0.0) * NEIGHBOURS
    step, information = np.zeros(8), prior
    for _ in range(6):
        left = ridges.off - slopes @ step
        weight = trust / (1 + (left / scale) ** 2) ** 2
        information = prior + (slopes * weight[:, None]).T @ slopes
        pull = (slopes * weight[:, None]).T @ ridges.off + prior @ (before - start)
        step = covariance_of(information) @ pull
    return camera.with_numbers(start + step), information
