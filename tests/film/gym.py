"""A gym rendered with texture, for tests only: the exact camera of every frame is known because we chose it.

Kinder than life in these ways: the crowd sits still, no rolling shutter, no electronic steadying, one lens.
Unkind on purpose: ten players and two officials run with the pan, heads stand before the lens, the camera's place
moves with the head of its tripod, and everything goes through H.264 before anyone sees it.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from math import atan2, ceil, cos, hypot, pi, sin

import av
import cv2
import numpy as np

from film.gym_floor import Sheet, other_sports, paint_basketball, planks, shade, soften
from film.gym_people import Waves, people_of, shadow
from tenbetween.court.markings import court_of
from tenbetween.film.camera import Camera
from tenbetween.units import feet

ROOM = (-14.0, 98.0, -22.0, 61.0)
"""Left, right, near and far end of what stands on the floor, feet."""
CEILING = 27.0


@dataclass(frozen=True, slots=True)
class Spec:
    """What one clip is of."""

    kind: str = "textured"
    """``textured`` (planks, painted lane, crowd) or ``bare`` (plain floor with five sports' lines, plain wall)."""
    seed: int = 0
    seconds: float = 10.0
    picture: tuple[int, int] = (1280, 720)
    fps: int = 30
    k1: float = 0.0
    speed: float = 1.0
    """2: every pan in half the time."""
    handheld: bool = False
    bad: bool = False
    """Contrast x 0.55, blur, more noise, crf 36."""
    still: bool = False
    """Bolted down: neither pan, zoom nor jitter."""
    court: str = "us-hs"


@dataclass(frozen=True, slots=True)
class Clip:
    spec: Spec
    film: bytes
    """An MP4 (H.264)."""
    cameras: tuple[Camera, ...]
    """The truth, one for each frame."""

    def frames(self, grey: bool = False, from_frame: int = 0) -> Iterator[tuple[int, np.ndarray]]:
        """Decode: (pts, picture) one after another."""
        with av.open(io.BytesIO(self.film)) as box:
            stream = box.streams.video[0]
            stream.thread_type = "NONE"
            for number, one in enumerate(box.decode(stream)):
                if number >= from_frame:
                    yield int(one.pts), one.to_ndarray(format="gray" if grey else "rgb24")

    def frame(self, number: int) -> np.ndarray:
        return next(self.frames(from_frame=number))[1]


# ---- where the camera is ----


class Path:
    """The camera of every instant, smooth, so that it may be asked between frames too."""

    def __init__(self, spec: Spec) -> None:
        self.spec = spec
        dice = np.random.default_rng([spec_number(self.spec), 1])
        self.place = np.array([42 + dice.uniform(-5, 5), dice.uniform(-62, -44), dice.uniform(12, 19)])
        self.focal = spec.picture[0] * dice.uniform(1.0, 1.22)
        self.side = dice.choice([-1.0, 1.0])
        self.moves: list[tuple[float, float, float, float]] = []
        now, at = dice.uniform(0.2, 0.6), self._aim(self.side * dice.uniform(0.75, 1.0))
        self.first = at
        while now < spec.seconds * max(1.0, spec.speed) + 1:
            self.side = -self.side
            to, lasts = self._aim(self.side * dice.uniform(0.75, 1.0)), dice.uniform(2.0, 3.0)
            self.moves.append((now, lasts, at, to))
            now, at = now + lasts + dice.uniform(0.8, 2.4), to
        shake = 0.0016 if spec.handheld else 0.0003
        self.waves = [Waves(dice, shake * part, 0.4, 6.0) for part in (1.0, 1.0, 0.7)]
        self.zoom = Waves(dice, 0.03, 0.05, 0.25)
        swing = 0.4 if spec.handheld else 0.0
        self.swing = [Waves(dice, swing * part, 0.12, 0.5) for part in (0.7, 0.45, 0.25)]
        self.roll = dice.uniform(-0.02, 0.02)

    def _aim(self, part: float) -> float:
        return atan2(42 + 27 * part - self.place[0], 25 - self.place[1])

    def play_pan(self, t: float) -> float:
        """The pan of the play at a second of the film, before jitter."""
        if self.spec.still:
            return atan2(42 - self.place[0], 25 - self.place[1])
        t, pan = t * self.spec.speed, self.first
        for start, lasts, at, to in self.moves:
            if t >= start:
                s = min(1.0, (t - start) / lasts)
                pan = at + (to - at) * s * s * s * (10 + s * (6 * s - 15))
        return pan

    def play_x(self, t: float) -> float:
        """Where on the floor the play is."""
        return float(self.place[0] + np.tan(self.play_pan(t)) * (25 - self.place[1]))

    def run(self, t: float) -> float:
        """Where those who run with the play have come: less far than the camera sweeps, for they tire sooner."""
        return 42 + (self.play_x(t) - 42) * 0.48 / max(1.0, self.spec.speed)

    def __call__(self, t: float) -> Camera:
        spec, pan = self.spec, self.play_pan(t)
        down = atan2(self.place[2], hypot(self.play_x(t) - self.place[0], 22 - self.place[1]))
        if spec.still:
            x, y, z = self.place
            return Camera(x, y, z, pan, down, self.roll, self.focal * 0.85, spec.k1, spec.picture)
        turn = [wave(t) for wave in self.waves]
        # The lens sits this far before the axis it turns about: a tripod's head, or somebody's shoulders.
        head = 1.2 if spec.handheld else 0.35
        x, y, z = self.place + [head * sin(pan), head * cos(pan), 0.0] + [wave(t) for wave in self.swing]
        focal = self.focal * (1 + self.zoom(t))
        pan, tilt, roll = pan + turn[0], down + turn[1], self.roll + turn[2]
        return Camera(x, y, z, pan, tilt, roll, focal, spec.k1, spec.picture)


def spec_number(spec: Spec) -> int:
    """One number for what chooses the dice: the same place and pans for a good and a bad copy of a clip."""
    return spec.seed * 2 + (spec.kind == "bare")


class Gym:
    """One gym: its floor and walls painted once, then looked at by any camera.

    ``kind`` is ``textured`` or ``bare``; ``picture`` says how large the frames will be (the paint is made for it).
    """

    def __init__(
        self,
        kind: str = "textured",
        seed: int = 0,
        picture: tuple[int, int] = (1280, 720),
        court: str = "us-hs",
    ) -> None:
        self.kind, self.seed, self.picture = kind, seed, picture
        self.court = court_of(court)
        dice = np.random.default_rng([seed, kind == "bare", 7])
        self.scale = 20.0 if picture[0] > 800 else 14.0
        self.floor_dots = self._floor(dice)
        self.walls = self._walls(dice)
        self.people = people_of(dice)
        self.noise = _noise(dice, picture, 3.0), _noise(dice, picture, 6.0)
        self.heads = [
            (dice.uniform(-9, 9), dice.uniform(5, 11), dice.uniform(0.35, 0.5), dice.uniform(20, 90, 3))
            for _ in range(8)
        ]

    def _floor(self, dice: np.random.Generator) -> np.ndarray:
        wide, high = round((ROOM[1] - ROOM[0]) * self.scale), round((ROOM[3] - ROOM[2]) * self.scale)
        textured = self.kind == "textured"
        wood = np.array([196, 158, 112] if textured else [202, 176, 140], np.float32)
        base = np.broadcast_to(wood, (high, wide, 3)).copy()
        base += shade(dice, high, wide, 9 if textured else 5)[..., None]
        if textured:
            base += planks(dice, high, wide, self.scale)[..., None]
        sheet = Sheet(ROOM, self.scale, base)
        if textured:
            self._areas(sheet, dice)
        else:
            other_sports(sheet)
        pale = dice.random() < 0.5
        colour = np.array([242, 242, 240] if pale or textured else [35, 35, 45], float)
        paint_basketball(sheet, self.court, colour)
        softened = soften(sheet.dots, self.scale, ROOM[2], self.picture[0] * 1.1)
        return np.clip(softened + 0.5, 0, 255).astype(np.uint8)

    def _areas(self, sheet: Sheet, dice: np.random.Generator) -> None:
        long, deep = feet(self.court.length), feet(self.court.width)
        paint = np.array([(120, 40, 45), (35, 60, 120), (30, 95, 60)][dice.integers(3)], float)
        for x0, x1 in ((0, feet(self.court.free_throw)), (long - feet(self.court.free_throw), long)):
            sheet.box(x0, x1, deep / 2 - 6, deep / 2 + 6, paint, 0.9)
        for x0, x1, y0, y1 in (
            (-4, 0, -4, deep + 4),
            (long, long + 4, -4, deep + 4),
            (0, long, -4, 0),
            (0, long, deep, deep + 4),
        ):
            sheet.box(x0, x1, y0, y1, paint * 0.8, 0.9)
        sheet.ring((long / 2, deep / 2), 0, 5.2, (0, 360), paint)
        points = [
            (
                (long / 2 + r * cos(a) - sheet.left) * sheet.scale,
                (deep / 2 + r * sin(a) - sheet.low) * sheet.scale,
            )
            for a, r in ((k * pi / 5 + 0.3, 4.6 if k % 2 == 0 else 2.0) for k in range(10))
        ]
        cv2.fillPoly(sheet.dots, [np.round(points).astype(np.int32)], (235, 215, 120), cv2.LINE_AA)
        for _ in range(26):  # letters of no alphabet along the apron
            x, y = dice.uniform(0, long), dice.choice([-2.5, deep + 1.2])
            sheet.box(
                x, x + dice.uniform(0.3, 1.2), y, y + dice.uniform(0.3, 1.4), np.array([230, 225, 210.0])
            )

    def _walls(self, dice: np.random.Generator) -> list[tuple[np.ndarray, np.ndarray, np.ndarray]]:
        """Each wall: its picture, and its floor corner and the way along it (feet)."""
        left, right, near, far = ROOM
        found = []
        for start, along, length in (
            ((left, far), (1.0, 0.0), right - left),
            ((left, near), (0.0, 1.0), far - near),
            ((right, near), (0.0, 1.0), far - near),
        ):
            found.append((self._wall(dice, length), np.array(start), np.array(along)))
        return found

    def _wall(self, dice: np.random.Generator, length: float) -> np.ndarray:
        scale = 10 if self.picture[0] > 800 else 7
        wide, high = round(length * scale), round(CEILING * scale)
        if self.kind == "bare":
            base = np.full((high, wide, 3), 205, np.float32) + shade(dice, high, wide, 4)[..., None]
            base[: round(6 * scale)] = np.array([90, 110, 150], np.float32)  # mats along the wall
            base[round(22 * scale) :] -= 40
            return np.clip(base, 0, 255).astype(np.uint8)
        base = np.full((high, wide, 3), (88, 84, 82), np.float32)
        base += shade(dice, high, wide, 14)[..., None]
        for row in range(9):
            z = 1.5 + row * 2.0
            for x in np.arange(0.6, length - 0.6, 1.7):
                if dice.random() < 0.7:
                    at = (
                        round((x + dice.uniform(-0.3, 0.3)) * scale),
                        round((z + dice.uniform(-0.2, 0.3)) * scale),
                    )
                    shirt, skin = dice.uniform(20, 240, 3), dice.uniform(80, 220) * np.array([1, 0.8, 0.65])
                    cv2.ellipse(
                        base,
                        at,
                        (round(0.75 * scale), round(1.0 * scale)),
                        0,
                        0,
                        360,
                        shirt.tolist(),
                        -1,
                        cv2.LINE_AA,
                    )
                    up = (at[0], at[1] + round(1.3 * scale))
                    cv2.circle(base, up, round(0.38 * scale), skin.tolist(), -1, cv2.LINE_AA)
        return np.clip(cv2.GaussianBlur(base, (0, 0), 0.8), 0, 255).astype(np.uint8)

    # ---- one look ----

    def frame(
        self, camera: Camera, t: float, seed: int = 0, *, path: Path | None = None, bad: bool = False
    ) -> np.ndarray:
        """Return what the camera sees at second ``t`` (height, width, red-green-blue), not yet compressed.

        ``path`` gives the pan the players follow and the blur of the shutter; without one they mill about.
        """
        flat = replace(camera, k1=0.0)
        picture = self._room(flat)
        if path is not None:
            picture = _shutter(
                picture, flat, replace(path(t - 1 / 120), k1=0.0), replace(path(t + 1 / 120), k1=0.0)
            )
        self._people(picture, flat, t, path)
        self._foreground(picture, flat, t, path)
        if camera.k1:
            picture = _bend(picture, camera)
        return self._film(picture, t, seed, bad)

    def _room(self, camera: Camera) -> np.ndarray:
        wide, high = camera.picture
        floor = _to_dots(
            camera,
            np.array([1 / self.scale, 0, 0]),
            np.array([0, 1 / self.scale, 0]),
            np.array([ROOM[0] + 0.5 / self.scale, ROOM[2] + 0.5 / self.scale, 0]),
        )
        picture = cv2.warpPerspective(
            self.floor_dots, floor, (wide, high), flags=cv2.INTER_LINEAR, borderValue=(70, 66, 64)
        )
        horizon = int(min(max(camera.dots([[42.0, ROOM[3], 0.0]])[0, 1], 0), high))
        picture[: max(0, horizon - round(high * 0.25))] = (60, 58, 56)
        for dots, start, along in self.walls:
            self._put_wall(picture, camera, dots, start, along)
        return picture

    def _put_wall(
        self, picture: np.ndarray, camera: Camera, dots: np.ndarray, start: np.ndarray, along: np.ndarray
    ) -> None:
        scale = len(dots) / CEILING
        length = dots.shape[1] / scale
        flat = np.array([*along, 0.0])
        ends = np.linspace(0, length, 80)
        foot = np.column_stack([start + ends[:, None] * along, np.zeros(80)])
        ahead = (foot - [camera.x, camera.y, camera.z]) @ camera.turn()[2] > 8
        if ahead.sum() < 2:
            return
        rim = np.concatenate([foot[ahead], foot[ahead][::-1] + np.array([0, 0, CEILING])])
        shape = camera.dots(rim)
        wide, high = camera.picture
        low, top = np.floor(shape.min(0)).astype(int), np.ceil(shape.max(0)).astype(int) + 1
        x0, y0, x1, y1 = max(0, low[0]), max(0, low[1]), min(wide, top[0]), min(high, top[1])
        if x1 <= x0 or y1 <= y0:
            return
        way = _to_dots(
            camera,
            flat / scale,
            np.array([0, 0, 1 / scale]),
            np.array([*start, 0.0]) + flat * 0.5 / scale + [0, 0, 0.5 / scale],
        )
        moved = np.array([[1, 0, -x0], [0, 1, -y0], [0, 0, 1.0]]) @ way
        seen = cv2.warpPerspective(
            dots, moved, (x1 - x0, y1 - y0), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        )
        mask = np.zeros((y1 - y0, x1 - x0), np.uint8)
        cv2.fillPoly(mask, [np.round((shape - [x0, y0]) * 16).astype(np.int32)], 255, cv2.LINE_8, 4)
        cv2.copyTo(seen, mask, picture[y0:y1, x0:x1])

    def _people(self, picture: np.ndarray, camera: Camera, t: float, path: Path | None) -> None:
        spots = [one.at(t, path.run if path else None) for one in self.people]
        for at in spots:
            shadow(picture, camera, at)
        for one, at in sorted(zip(self.people, spots, strict=True), key=lambda pair: -pair[1][1]):
            one.draw(picture, camera, at, t)

    def _foreground(self, picture: np.ndarray, camera: Camera, t: float, path: Path | None) -> None:
        """Heads of the rows before the camera: near, so they shift against the floor when its place does."""
        x0, y0, z0 = path.place if path else np.array([camera.x, camera.y, camera.z])
        lens = path.focal if path else camera.focal
        steep = atan2(z0, 22 - y0) + 0.5 * self.picture[1] / lens
        for number, (x, ahead, size, colour) in enumerate(self.heads):
            bob = 0.12 * sin(t * (0.7 + 0.1 * number) + number)
            y, z = y0 + ahead, z0 - ahead * np.tan(steep) + 0.9 + bob
            spot = camera.dots([[x0 + x, y, z]])[0]
            if not np.isfinite(spot).all():
                continue
            radius = size * camera.focal / hypot(x0 + x - camera.x, y - camera.y)
            if -radius < spot[0] < camera.picture[0] + radius and spot[1] - radius < camera.picture[1]:
                at = (round(spot[0] * 16), round(spot[1] * 16))
                cv2.circle(picture, at, round(radius * 16), colour.tolist(), -1, cv2.LINE_AA, 4)
                body = (round(spot[0]), round(spot[1] + 3.4 * radius))
                size_ = (round(2.2 * radius), round(2.5 * radius))
                cv2.ellipse(picture, body, size_, 0, 0, 360, (colour * 0.7).tolist(), -1, cv2.LINE_AA)

    def _film(self, picture: np.ndarray, t: float, seed: int, bad: bool) -> np.ndarray:
        gain = 1.0 + 0.05 * sin(0.9 * t + seed) + 0.015 * sin(5.1 * t)
        if bad:
            picture = cv2.GaussianBlur(picture, (0, 0), 1.3 * camera_scale(self.picture))
            picture = cv2.convertScaleAbs(picture, alpha=0.55 * gain, beta=128 - 0.55 * 128)
        else:
            picture = cv2.convertScaleAbs(picture, alpha=gain, beta=0)
        more, less = self.noise[1 if bad else 0]
        dice = np.random.default_rng([seed, round(t * 1000) & 0xFFFFFFFF])
        dx, dy = dice.integers(0, 64, 2)
        wide, high = self.picture
        cut = np.s_[dy : dy + high, dx : dx + wide]
        return cv2.subtract(cv2.add(picture, more[cut]), less[cut])


def camera_scale(picture: tuple[int, int]) -> float:
    """Blur of a lens, in dots, belongs to a picture 1280 wide."""
    return picture[0] / 1280


def _noise(dice: np.random.Generator, picture: tuple[int, int], size: float) -> tuple[np.ndarray, np.ndarray]:
    rough = np.rint(dice.standard_normal((picture[1] + 64, picture[0] + 64, 3), dtype=np.float32) * size)
    return np.clip(rough, 0, 255).astype(np.uint8), np.clip(-rough, 0, 255).astype(np.uint8)


def _to_dots(camera: Camera, right: np.ndarray, up: np.ndarray, start: np.ndarray) -> np.ndarray:
    """The 3 x 3 from a dot of a flat picture in the room (right, up: feet per dot) to a dot of the frame."""
    middle = camera.middle
    lens = np.array([[camera.focal, 0, middle[0]], [0, camera.focal, middle[1]], [0, 0, 1]])
    return lens @ camera.turn() @ np.column_stack([right, up, start - [camera.x, camera.y, camera.z]])


def _shutter(picture: np.ndarray, camera: Camera, before: Camera, after: Camera) -> np.ndarray:
    """Blur along the way the middle of the floor moved while the shutter stood open (half the frame's time)."""
    aimed = camera.rays([camera.middle])[0]
    there = np.array([[camera.x, camera.y, camera.z]]) + aimed * 80
    moved = (after.dots(there) - before.dots(there))[0]
    length = float(np.hypot(*moved))
    if length < 0.7:
        return picture
    half = ceil(np.abs(moved).max() / 2) + 1
    kernel = np.zeros((2 * half + 1, 2 * half + 1), np.float32)
    for part in np.linspace(-0.5, 0.5, 8 * half + 1):
        x, y = moved * part + half
        i, j, a, b = int(x), int(y), x % 1, y % 1
        kernel[j : j + 2, i : i + 2] += np.outer([1 - b, b], [1 - a, a])[
            : 2 * half + 1 - j, : 2 * half + 1 - i
        ]
    rows = np.flatnonzero(kernel.sum(1) > 0)
    tall = max(half - rows[0], rows[-1] - half)
    kernel = kernel[half - tall : half + tall + 1]
    return cv2.filter2D(picture, -1, kernel / kernel.sum(), borderType=cv2.BORDER_REPLICATE)


def _bend(picture: np.ndarray, camera: Camera) -> np.ndarray:
    """Look through a lens that bends: where each dot of the bent picture lies in the straight one."""
    wide, high = camera.picture
    step = 4
    u, v = np.meshgrid(np.arange(0, wide + step, step, float), np.arange(0, high + step, step, float))
    bent = (np.stack([u, v], -1) - camera.middle) / camera.focal
    flat = bent.copy()
    for _ in range(8):
        flat = bent / (1 + camera.k1 * (flat**2).sum(-1, keepdims=True))
    coarse = (flat * camera.focal + camera.middle).astype(np.float32)
    # Coarse points stand at multiples of the step: enlarge so that they stay there.
    grid = np.array([[step, 0, 0], [0, step, 0]], float)
    map_ = cv2.warpAffine(coarse, grid, (wide, high), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return cv2.remap(picture, map_, None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)


# ---- clips ----


@lru_cache(maxsize=3)
def gym_of(kind: str, seed: int, picture: tuple[int, int], court: str = "us-hs") -> Gym:
    """The gym of a kind and seed, painted once."""
    return Gym(kind, seed, picture, court)


def clip(spec: Spec) -> Clip:
    """Render, compress and hand back a clip with the truth of every frame."""
    gym, path = gym_of(spec.kind, spec.seed, spec.picture, spec.court), Path(spec)
    cameras = tuple(path(n / spec.fps) for n in range(round(spec.seconds * spec.fps)))
    shot = (gym.frame(c, n / spec.fps, spec.seed, path=path, bad=spec.bad) for n, c in enumerate(cameras))
    return Clip(spec, encode(shot, spec.fps, 36 if spec.bad else 26), cameras)


def encode(pictures: Iterator[np.ndarray], fps: int = 30, crf: int = 26) -> bytes:
    """Return the pictures as an MP4."""
    kept = io.BytesIO()
    with av.open(kept, "w", format="mp4") as box:
        stream = None
        for picture in pictures:
            if stream is None:
                stream = box.add_stream(
                    "libx264", rate=fps, options={"crf": str(crf), "preset": "veryfast", "threads": "1"}
                )
                stream.height, stream.width = picture.shape[:2]
                stream.pix_fmt = "yuv420p"
            box.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        if stream is not None:
            box.mux(stream.encode())
    return kept.getvalue()


def decoded(film: bytes) -> list[np.ndarray]:
    with av.open(io.BytesIO(film)) as box:
        return [one.to_ndarray(format="rgb24") for one in box.decode(video=0)]


def anchor_frames(
    n: int,
    kind: str = "textured",
    seed: int = 0,
    *,
    picture: tuple[int, int] = (1280, 720),
    k1: float = 0.0,
    bad: bool = False,
) -> list[tuple[np.ndarray, Camera]]:
    """Return ``n`` frames, each of another gym position and instant, compressed as film is, with their cameras.

    One gym (floor, walls, colours) for each ``seed``; the camera's place, pan and lens differ from frame to frame.
    """
    gym, found = gym_of(kind, seed, picture), []
    for number in range(n):
        spec = Spec(kind, 1000 * seed + number + 17, picture=picture, k1=k1, bad=bad)
        path, dice = Path(spec), np.random.default_rng([seed, number, 3])
        found.append(_one_frame(gym, path, float(dice.uniform(0.5, 9.5)), spec))
    return found


def plays(
    n: int,
    kind: str = "textured",
    seed: int = 0,
    *,
    picture: tuple[int, int] = (1280, 720),
    apart: float = 2.3,
) -> list[tuple[np.ndarray, Camera]]:
    """Return ``n`` frames of one game from one tripod, ``apart`` seconds from one another, with their cameras."""
    spec = Spec(kind, seed, seconds=n * apart + 1, picture=picture)
    gym, path = gym_of(kind, seed, picture), Path(spec)
    return [_one_frame(gym, path, 0.1 + number * apart, spec) for number in range(n)]


def _one_frame(gym: Gym, path: Path, t: float, spec: Spec) -> tuple[np.ndarray, Camera]:
    times = (t - 1 / spec.fps, t)
    shots = (gym.frame(path(when), when, spec.seed, path=path, bad=spec.bad) for when in times)
    return decoded(encode(shots, spec.fps, 36 if spec.bad else 26))[-1], path(t)
