"""A drawn film written to a file with its sound, and its truth beside it as JSON.

Written under another name and given its own when it is whole: stopped or failed, nothing is left.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from tenbetween.film.camera import PARTS
from tenbetween.film.drawn import Drawn
from tenbetween.film.drawn_sound import RATE, Wave, sound_of
from tenbetween.film.story import Restart
from tenbetween.film.whole import whole
from tenbetween.film.write import Cancel, Progress, StoppedError, film_parts

ABOUT = "A drawn film: nobody in it is real. Places in feet of the court frame, times in pts of the picture's time base."
BOX = {"movflags": "+faststart", "fflags": "+bitexact"}
MOST_BYTES_S = 250_000
"""So much a second is asked for of the disk before anything is drawn."""
BLOCK = 1024
"""So many numbers of sound are handed over at once: what AAC takes."""


def truth_path(path: Path) -> Path:
    """Return where the truth of a drawn film stands.

    >>> truth_path(Path("demo.mp4")).name
    'demo.truth.json'
    """
    return path.with_name(f"{path.stem}.truth.json")


def write_drawn(
    drawn: Drawn, path: Path, *, progress: Progress | None = None, cancel: Cancel | None = None
) -> dict[str, Any]:
    """Write a drawn film as MP4 (H.264, AAC) and its truth beside it; return the truth.

    ``progress`` is told frames done and of how many, ``cancel`` asked before each frame.

    Raises:
        UsageError: PyAV or OpenCV is missing.
        StoppedError: ``cancel`` said so; nothing is left.
        FormatError: the disk is full, or the folder cannot be written to; nothing is left.
    """
    av = film_parts()
    # The truth gets its name first: a film that is there has its truth beside it.
    with whole(path, round(drawn.frames / drawn.fps * MOST_BYTES_S)) as part:
        with av.open(str(part), "w", format="mp4", options=BOX) as box:
            _write(av, box, drawn, progress, cancel)
        truth = truth_of(drawn, _pts(av, part))
        with whole(truth_path(path)) as beside:
            beside.write_text(json.dumps(truth, separators=(",", ":")), "utf-8")
    return truth


def _write(av: ModuleType, box: Any, drawn: Drawn, progress: Progress | None, cancel: Cancel | None) -> None:
    picture, sound = _picture_stream(box, drawn), _sound_stream(box)
    blocks = _Blocks(av, sound_of(drawn.story))
    for number in range(drawn.frames):
        if cancel is not None and cancel():
            raise StoppedError
        frame = av.VideoFrame.from_ndarray(drawn.planes(number), format="yuv420p")
        frame.pts, frame.time_base = number, Fraction(1, drawn.fps)
        box.mux(picture.encode(frame))
        for block in blocks.until((number + 1) / drawn.fps):
            box.mux(sound.encode(block))
        if progress is not None:
            progress(number + 1, drawn.frames)
    for block in blocks.until(float("inf")):
        box.mux(sound.encode(block))
    box.mux(picture.encode())
    box.mux(sound.encode())


def _picture_stream(box: Any, drawn: Drawn) -> Any:
    stream = box.add_stream("libx264", rate=drawn.fps)
    stream.width, stream.height, stream.pix_fmt = *drawn.picture, "yuv420p"
    stream.time_base = Fraction(1, drawn.fps)
    about = stream.codec_context
    about.colorspace, about.color_primaries, about.color_trc, about.color_range = 6, 6, 6, 1
    # One thread, so that the same story gives the same file; no picture waits for a later one.
    about.thread_count = 1
    stream.options = {"crf": "24", "preset": "veryfast", "tune": "animation", "bf": "0", "g": "30"}
    return stream


def _sound_stream(box: Any) -> Any:
    stream = box.add_stream("aac", rate=RATE)
    stream.bit_rate, stream.layout = 64_000, "mono"
    return stream


class _Blocks:
    """The sound in blocks, handed over as the picture goes on."""

    def __init__(self, av: ModuleType, wave: Wave) -> None:
        self.av, self.wave, self.done = av, wave, 0

    def until(self, seconds: float) -> Any:
        """Yield the blocks that begin before a time."""
        while self.done < len(self.wave) and self.done < seconds * RATE:
            block = self.wave[self.done : self.done + BLOCK]
            frame = self.av.AudioFrame.from_ndarray(block[None, :], format="fltp", layout="mono")
            frame.sample_rate, frame.pts, frame.time_base = RATE, self.done, Fraction(1, RATE)
            self.done += len(block)
            yield frame


def _pts(av: ModuleType, path: Path) -> tuple[list[int], Fraction]:
    """Return the time stamps of the pictures as they stand in the file, and their time base."""
    with av.open(str(path)) as box:
        stream = box.streams.video[0]
        found = sorted(int(packet.pts) for packet in box.demux(stream) if packet.pts is not None)
        return found, stream.time_base


# ---- the truth ----


def truth_of(drawn: Drawn, stamps: tuple[list[int], Fraction]) -> dict[str, Any]:
    """Return everything that is known of a drawn film: cameras, places, restarts and sounds, by frame."""
    pts, base = stamps
    story = drawn.story
    return {
        "about": ABOUT,
        "picture": list(drawn.picture),
        "fps": drawn.fps,
        "base": [base.numerator, base.denominator],
        "court": {"edition": "us-hs-2025"},
        "pts": pts,
        "camera": {"parts": list(PARTS), "numbers": [_rounded(one.numbers(), 9) for one in drawn.cameras]},
        "people": {
            one.id: {"kind": one.kind, "places": _rounded(drawn.places[one.id], 3)} for one in story.figures
        },
        "ball": _rounded(drawn.ball, 2),
        "restarts": [_restart(one, drawn.fps, pts) for one in story.restarts],
        "whistles_s": [round(one.at, 4) for one in story.sounds if one.kind == "whistle"],
        "recognise": dict(story.said),
    }


def _rounded(numbers: Any, digits: int) -> Any:
    return np.round(numbers, digits).tolist()


def _restart(one: Restart, fps: int, pts: list[int]) -> dict[str, Any]:
    def stamp(at: float) -> int:
        return pts[min(len(pts) - 1, round(at * fps))]

    return {
        "line": one.line,
        "attacking": one.attacking,
        "lead": one.lead,
        "lead_side": one.lead_side,
        "administers": one.administers,
        "events": {
            name: stamp(at) for name, at in sorted(one.events.items(), key=lambda item: int(item[0][1:]))
        },
        "strokes": [stamp(at) for at in one.strokes],
        "otherwise": list(one.otherwise),
    }
