"""Parts of one game put one after another into one file, pictures and sound as they are.

Only parts that were recorded alike can be joined so; which of their properties differ is said, all of them together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from tenbetween.errors import FormatError, Problem
from tenbetween.film.clip_out import BARE, mp4_out
from tenbetween.film.cut import SamePictures
from tenbetween.film.frame_index import FrameIndex, Progress, index
from tenbetween.film.opened import opened, packets, picture_of, refused
from tenbetween.film.sound_along import later
from tenbetween.film.write import Cancel, StoppedError

ALIKE = {
    "codec": "the codec of the pictures",
    "picture": "the size of the pictures",
    "pixels": "the colours",
    "pixel": "the shape of the dots",
    "turned": "how it is turned",
    "settings": "the settings of the encoder",
    "sound": "the sound",
}


@dataclass(frozen=True, slots=True)
class Joined:
    """A finished film of several parts: how many frames, and the second at which each part begins."""

    frames: int
    begins_s: tuple[float, ...]
    size: int


def differences(parts: Sequence[Path]) -> tuple[Problem, ...]:
    """Return what keeps parts from being joined as they are: each property that differs from the first part's.

    Raises:
        FormatError: a part is no film.
    """
    traits = [_traits(path) for path in parts]
    return tuple(
        Problem(
            path.name,
            f"{ALIKE[name]}: {_short(mine[name])}",
            f"{_short(first[name])} as in {parts[0].name}",
            DO,
        )
        for path, mine in zip(parts[1:], traits[1:], strict=True)
        for first in traits[:1]
        for name in ALIKE
        if mine[name] != first[name]
    )


DO = "keep the parts apart (they stand on one time line all the same), or make a browser copy of each"


def join(
    parts: Sequence[Path], out: Path, *, progress: Progress | None = None, cancel: Cancel | None = None
) -> Joined:
    """Put parts one after another into one mp4; ``progress`` is told parts done, and of how many.

    Raises:
        FormatError: a part is no film, they differ (all differences are told), or the disk is full.
        StoppedError: ``cancel`` said so.
    """
    if not parts:
        raise FormatError(Problem("parts", "no part", "the parts of one game", "choose them"))
    if found := differences(parts):
        raise FormatError(found)
    times = [index(path) for path in parts]
    needs = sum(path.stat().st_size for path in parts)
    begins, at, count = [], Fraction(0), 0
    with mp4_out(out, needs, BARE) as box:
        line = _Line(box, max(one.early * one.base for one in times))
        for number, (path, frames) in enumerate(zip(parts, times, strict=True)):
            begins.append(float(at))
            count += line.add(path, frames, at, cancel)
            at += (frames.end_pts - int(frames.pts[0])) * frames.base
            if progress is not None:
                progress(number + 1, len(parts))
    return Joined(count, tuple(begins), out.stat().st_size)


class _Line:
    """One file being filled, part after part."""

    def __init__(self, box: Any, early: Fraction) -> None:
        self._box, self._early = box, early
        self._same: SamePictures | None = None
        self._sound: Any = None
        self._last = -(2**62)

    def add(self, path: Path, frames: FrameIndex, at: Fraction, cancel: Cancel | None) -> int:
        """Write one part from a second on; returns how many frames it had."""
        wanted, count = set(frames.pts.tolist()), 0
        shift = at - int(frames.pts[0]) * frames.base
        with opened(path) as given:
            stream = picture_of(given, path)
            sound = next((one for one in given.streams.audio if one.codec_context), None)
            same = self._begin(stream, sound)
            same.coming(frames, 0, shift)
            for number, packet in enumerate(
                packets(given, [one for one in (stream, sound) if one is not None])
            ):
                if number % 500 == 0 and cancel is not None and cancel():
                    raise StoppedError
                if packet.size == 0 or packet.pts is None:
                    continue
                if packet.stream_index != stream.index:
                    self._put_sound(packet, shift)
                elif packet.pts in wanted:
                    same.put(packet, shift)
                    count += 1
        if count != len(frames):
            raise refused(
                path, "an end before its end", "plug the disk in again and start once more", "the whole part"
            )
        return count

    def _begin(self, stream: Any, sound: Any) -> SamePictures:
        if self._same is None:
            self._same = SamePictures(self._box, stream, self._early)
            self._sound = None if sound is None else self._box.add_stream_from_template(sound)
        return self._same

    def _put_sound(self, packet: Any, shift: Fraction) -> None:
        later(packet, shift)
        when = round(packet.pts * packet.time_base * 1_000_000)
        # Sound that reaches over the end of its part gives way to the next part's.
        if packet.pts >= 0 and when > self._last:
            self._last = when
            packet.stream = self._sound
            self._box.mux(packet)


def _traits(path: Path) -> dict[str, object]:
    from tenbetween.film.frames_in import decoded

    with opened(path) as box:
        about = picture_of(box, path).codec_context
        sound = next((one.codec_context for one in box.streams.audio if one.codec_context), None)
        found: dict[str, object] = {
            "codec": about.name,
            "picture": (about.width, about.height),
            "pixels": about.pix_fmt,
            "pixel": picture_of(box, path).sample_aspect_ratio or Fraction(1),
            "settings": bytes(about.extradata or b""),
            "sound": (sound.name, sound.sample_rate, sound.layout.name) if sound else "none",
        }
    turned = next((shape.turns * 90 for _, shape in decoded(path, None, None)), 0)
    return {**found, "turned": turned}


def _short(value: object) -> str:
    """Return a property as a person reads it."""
    if isinstance(value, bytes):
        import hashlib

        return f"settings {hashlib.sha256(value).hexdigest()[:6]}"
    if isinstance(value, tuple):
        return (
            " x ".join(map(str, value))
            if all(isinstance(one, int) for one in value)
            else ", ".join(map(str, value))
        )
    return str(value)
