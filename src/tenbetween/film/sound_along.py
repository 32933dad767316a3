"""The sound of a film on its way into another file: as it is, or written anew, in step with the pictures.

Knows samples and packets; what is heard in it is for others to say.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.clip_out import SOUND_RATE, sound_stream
from tenbetween.film.opened import opened, packets
from tenbetween.film.write import film_parts

Samples = NDArray[np.float32]
AS_IT_IS = frozenset({"aac", "mp3"})
"""Sound that goes into an mp4 without being written again."""
ALONE_S = Fraction(1, 20)
"""A step in the times of the sound smaller than this is no gap: files round, ears do not."""
BLOCK = 1024


def later(packet: Any, by: Fraction) -> None:
    """Move the times of a packet by so many seconds."""
    ticks = round(by / packet.time_base)
    packet.pts = None if packet.pts is None else packet.pts + ticks
    packet.dts = None if packet.dts is None else packet.dts + ticks


def heard(path: Path, begins: Fraction, ends: Fraction) -> Iterator[Samples]:
    """Yield what is heard from one second to another: two rows, 48,000 a second, silence where there is no sound.

    Raises:
        FormatError: the film cannot be read.
    """
    total, done = round((ends - begins) * SOUND_RATE), 0
    loose = 0  # where the sound begins is exact; from then on small steps are rounding
    for at, block in _placed(path, begins, ends):
        if at - done > loose:
            yield from silence(min(at, total) - done)
            done = min(at, total)
        late = max(0, done - at) if done - at > loose else 0
        loose = int(ALONE_S * SOUND_RATE)
        kept = block[:, late : late + total - done]
        done += kept.shape[1]
        yield kept
        if done >= total:
            return
    yield from silence(total - done)


def silence(samples: int) -> Iterator[Samples]:
    """Yield so many samples of silence, in blocks.

    >>> [block.shape for block in silence(1500)]
    [(2, 1024), (2, 476)]
    """
    while samples > 0:
        yield np.zeros((2, min(BLOCK, samples)), np.float32)
        samples -= BLOCK


def _placed(path: Path, begins: Fraction, ends: Fraction) -> Iterator[tuple[int, Samples]]:
    """Yield blocks of sound with the sample, counted from the beginning, at which each stands."""
    av = film_parts()
    with opened(path) as box:
        given = next((one for one in box.streams.audio if one.codec_context), None)
        if given is None:
            return
        turn = av.AudioResampler(format="fltp", layout="stereo", rate=SOUND_RATE)
        _seek(box, given, begins)
        for frame in _decoded(box, given):
            if frame.pts * frame.time_base >= ends:
                return
            at = round((frame.pts * frame.time_base - begins) * SOUND_RATE)
            for turned in turn.resample(frame):
                block = np.asarray(turned.to_ndarray(), np.float32)
                if at + block.shape[1] > 0:
                    early = max(0, -at)
                    yield at + early, block[:, early:]
                at += block.shape[1]


def _seek(box: Any, given: Any, begins: Fraction) -> None:
    av = film_parts()
    try:
        box.seek(int((begins - Fraction(1, 2)) / given.time_base), stream=given, backward=True)
    except av.error.FFmpegError:
        return  # read from the beginning


def _decoded(box: Any, given: Any) -> Iterator[Any]:
    av = film_parts()
    for packet in packets(box, [given]):
        try:
            frames = packet.decode()
        except av.error.FFmpegError:
            continue
        yield from (frame for frame in frames if frame.pts is not None)


def _fits(about: Any) -> bool:
    """Return whether packets of sound go into an mp4 as they are: AAC of a stream (.ts) is framed in another way."""
    return about.name == "mp3" or (about.name in AS_IT_IS and bool(about.extradata))


class SoundAlong:
    """The sound of a film on its way into another file: as it is, or as AAC; earlier by as much as the pictures."""

    def __init__(self, given: Any, box: Any, shift: Fraction, *, as_it_is: bool = True) -> None:
        self.given = next((one for one in given.streams.audio if one.codec_context), None)
        self._box, self._shift, self._last = box, shift, -1
        self._as_it_is = as_it_is and self.given is not None and _fits(self.given.codec_context)
        self._made: Any = None
        if self._as_it_is:
            self._made = box.add_stream_from_template(self.given)
        elif self.given is not None:
            self._made = sound_stream(box)
            self._turn = film_parts().AudioResampler(format="fltp", layout="stereo", rate=SOUND_RATE)
            self._next: int | None = None

    def put(self, packet: Any) -> None:
        """Take one packet of sound."""
        if self._as_it_is:
            later(packet, -self._shift)
            # What sounds before the first frame is left out, and what does not go forward in time.
            when = packet.pts if packet.dts is None else packet.dts
            if packet.pts is not None and packet.pts >= 0 and when > self._last:
                self._last = packet.dts = when
                packet.stream = self._made
                self._box.mux(packet)
            return
        av = film_parts()
        try:
            frames = packet.decode()
        except av.error.FFmpegError:
            return
        for frame in frames:
            self._write(frame)

    def close(self) -> None:
        """Write what is still under way."""
        if self._made is not None and not self._as_it_is:
            self._box.mux(self._made.encode())

    def _write(self, frame: Any) -> None:
        if frame.pts is None:
            return
        begins = round((frame.pts * frame.time_base - self._shift) * SOUND_RATE)
        for turned in self._turn.resample(frame):
            block = np.asarray(turned.to_ndarray(), np.float32)
            # Its own time counts, but never backwards, and nothing before the first picture; a gap stays a gap.
            at = begins if self._next is None or abs(begins - self._next) > 2400 else self._next
            early = max(0, (self._next or 0) - at)
            begins = at + block.shape[1]
            if early < block.shape[1]:
                self._next = begins
                self._box.mux(self._made.encode(_framed(block[:, early:], at + early)))


def _framed(block: Samples, at: int) -> Any:
    av = film_parts()
    frame = av.AudioFrame.from_ndarray(np.ascontiguousarray(block), format="fltp", layout="stereo")
    frame.sample_rate, frame.pts, frame.time_base = SOUND_RATE, at, Fraction(1, SOUND_RATE)
    return frame
