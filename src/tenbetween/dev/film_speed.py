"""Measures films themselves: the times of 162,000 frames behind 6 GB, a clip cut quickly, a clip cut exactly.

Each beside the least it could be: the bare opening of the file, its bytes read and written, its frames decoded.
"""

from __future__ import annotations

import os
import struct
import tempfile
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from tenbetween.dev.figures import Figure, Measured, in_turn, seconds

FPS, CLIP_S, GAME_S = 30, 10, 90 * 60
GAP = 6 << 30


def clips() -> Measured:
    """Measure reading when each frame of a game is shown, and cutting ten seconds out of it both ways."""
    with tempfile.TemporaryDirectory(prefix="tenbetween-bench-") as folder:
        place = Path(folder)
        return Measured((_index(place), *_cuts(place)))


def _index(place: Path) -> Figure:
    from tenbetween.film.frame_index import index
    from tenbetween.film.opened import opened, picture_of

    bare = repeated(_drawn(place / "small.mp4", (64, 64)), place / "long.mp4", GAME_S // CLIP_S)
    large = _with_hole(bare, place / "large.mp4")

    def opening() -> None:
        with opened(large) as box:
            picture_of(box, large)

    found, floor = in_turn(5, lambda: seconds(lambda: index(large)), lambda: seconds(opening))
    if len(index(large)) != GAME_S * FPS:
        raise AssertionError("the long film lost frames")
    return Figure(
        f"when each of {GAME_S * FPS:,} frames is shown, in a film of 6 GB",
        found,
        "s",
        0.5,
        floor_name="the bare opening of it",
        floor=floor,
    )


def _cuts(place: Path) -> tuple[Figure, Figure]:
    from tenbetween.film.cut import exact_cut, fast_cut
    from tenbetween.film.frame_index import index
    from tenbetween.film.frames_in import decoded

    game = repeated(_drawn(place / "clip.mp4", (1280, 720)), place / "game.mp4", 6)
    times = index(game)
    begin, end = (int(times.pts[times.frame_at(round(second / times.base))]) for second in (25, 25 + CLIP_S))
    out, other = place / "out.mp4", place / "bytes"
    size = fast_cut(game, out, begin, end, times=times).size

    def same_bytes() -> None:
        with game.open("rb") as film, other.open("wb") as copy:
            film.seek(game.stat().st_size // 3)
            copy.write(film.read(size))
            copy.flush()
            os.fsync(copy.fileno())

    fast, bytes_alone = in_turn(
        5, lambda: seconds(lambda: fast_cut(game, out, begin, end)), lambda: seconds(same_bytes)
    )
    exact, decode = in_turn(
        3,
        lambda: seconds(lambda: exact_cut(game, out, begin, end, times=times)),
        lambda: seconds(lambda: sum(1 for _ in decoded(game, begin, end))),
    )
    count = CLIP_S * FPS + 1
    return (
        Figure("a clip of 10 s, pictures as they are", fast, "s", 0.3, floor_name="its bytes read and written", floor=bytes_alone),
        Figure(
            "a clip of 10 s at 720p, exact, with new pictures",
            count / exact,
            "frames a second",
            30,
            more_is_better=True,
            floor_name="decoded alone",
            floor=count / decode,
        ),
    )  # fmt: skip


def _drawn(path: Path, size: tuple[int, int]) -> Path:
    """Write ten seconds of a drifting, grainy picture, about as hard to keep as a gym."""
    import av

    wide, high = size
    dice = np.random.default_rng(1)
    ground = (
        dice.integers(60, 190, size=(high // 8 + 1, wide // 8 + 60), dtype=np.uint8).repeat(8, 0).repeat(8, 1)
    )
    grain = dice.integers(0, 10, size=(4, high, wide), dtype=np.uint8)
    with av.open(str(path), "w") as box:
        stream: Any = box.add_stream("libx264", rate=FPS)
        stream.width, stream.height, stream.pix_fmt = wide, high, "yuv420p"
        stream.codec_context.gop_size = FPS
        stream.options = {"preset": "ultrafast", "crf": "24"}
        for number in range(FPS * CLIP_S):
            grey = ground[:high, number : number + wide] + grain[number % 4]
            planes = np.concatenate([grey, np.full((high // 2, wide), 128, np.uint8)])
            frame = av.VideoFrame.from_ndarray(planes, format="yuv420p")
            frame.pts, frame.time_base = number, Fraction(1, FPS)
            box.mux(stream.encode(frame))
        box.mux(stream.encode())
    return path


def repeated(source: Path, out: Path, times: int) -> Path:
    """Write the packets of a film so many times one after another: a long film without encoding one."""
    import av

    with av.open(str(source)) as given, av.open(str(out), "w") as box:
        stream = given.streams.video[0]
        copy = box.add_stream_from_template(stream)
        held = [
            (bytes(one), one.pts or 0, one.dts or 0, one.is_keyframe, one.time_base)
            for one in given.demux(stream)
            if one.size
        ]
        lasts = round(CLIP_S / held[0][4])
        for number in range(times):
            for packed, pts, dts, key, base in held:
                packet = av.Packet(packed)
                packet.pts, packet.dts, packet.is_keyframe = pts + number * lasts, dts + number * lasts, key
                packet.time_base, packet.stream = base, copy
                box.mux(packet)
    return out


def _with_hole(source: Path, out: Path) -> Path:
    """Write an mp4 again with 6 GB of nothing between its pictures and its table of contents."""
    held = source.read_bytes()
    moov = held.rindex(b"moov") - 4
    with out.open("wb") as file:
        file.write(held[:moov])
        file.write(struct.pack(">I4sQ", 1, b"free", GAP))
        file.seek(GAP - 16, 1)
        file.write(held[moov:])
    return out
