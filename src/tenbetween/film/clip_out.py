"""Pictures, sound and captions written as one mp4 that tells nothing but what is seen and heard in it.

H.264 and AAC, ready to play before it is loaded whole. No place, device, day, file name or program is written along,
not even where encoders sign their work inside the pictures. Knows ticks and dots; no film is read here.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.errors import FormatError, Problem
from tenbetween.film.signatures import Cleaner
from tenbetween.film.whole import whole
from tenbetween.film.write import film_parts

Dots = NDArray[np.uint8]
BARE = {"fflags": "+bitexact"}
FIRST = {"fflags": "+bitexact", "movflags": "+faststart"}
"""What a player needs stands first."""
SOUND_RATE = 48_000
Caption = tuple[float, float, str]
"""From when to when, in seconds of the clip, and the words."""


class UnfitError(FormatError):
    """Pictures or sound that do not go into an mp4 as they are."""


@contextmanager
def mp4_out(out: Path, needs: int = 0, options: dict[str, str] | None = None) -> Iterator[Any]:
    """Open an mp4 to be written whole or not at all (a PyAV container).

    Raises:
        FormatError: the disk is full, or the folder cannot be written to.
        UnfitError: what was written does not go into an mp4.
    """
    av = film_parts()
    given = dict(options or BARE)
    try:
        with whole(out, needs) as part, av.open(str(part), "w", format="mp4", options=given) as box:
            yield box
    except av.error.FFmpegError as error:
        found = f"pictures or sound that do not go into an mp4 ({error.strerror})"
        do = "cut exactly, with new pictures, or without sound"
        raise UnfitError(Problem(out.name, found, "pictures and sound in order", do)) from None


def picture_stream(
    box: Any, size: tuple[int, int], base: Fraction, *, crf: int = 20, gop: int = 30, most_bits: int = 0
) -> Any:
    """Add a stream of H.264 pictures (width, height: even) timed in ``base``, no frame hanging on a later one."""
    av = film_parts()
    stream = box.add_stream("libx264", rate=30)
    stream.width, stream.height, stream.pix_fmt = *size, "yuv420p"
    about = stream.codec_context
    about.time_base, about.gop_size, about.max_b_frames = base, gop, 0
    about.flags |= int(av.codec.context.Flags.bitexact)
    stream.time_base = base
    limit = {"maxrate": str(most_bits), "bufsize": str(most_bits)} if most_bits else {}
    stream.options = {"preset": "veryfast", "crf": str(crf), **limit}
    return stream


def sound_stream(box: Any) -> Any:
    """Add a stream of AAC sound, two channels."""
    av = film_parts()
    stream = box.add_stream("aac", rate=SOUND_RATE)
    stream.codec_context.layout = "stereo"
    stream.codec_context.bit_rate = 128_000
    stream.codec_context.flags |= int(av.codec.context.Flags.bitexact)
    return stream


class ClipOut:
    """An mp4 being written: pictures with their ticks, sound behind them, captions."""

    def __init__(
        self, box: Any, size: tuple[int, int], base: Fraction, *, sound: bool, captions: bool, crf: int
    ) -> None:
        self._box, self.base, self.hears = box, base, sound
        self._stream = picture_stream(box, size, base, crf=crf)
        self._sound = sound_stream(box) if sound else None
        self._captions = _caption_stream(box) if captions else None
        self._clean = Cleaner("h264", None)
        self._samples = 0
        self.frames = 0

    def picture(self, dots: Dots, ticks: int) -> None:
        """Write a picture (red-green-blue) shown from a tick on; ticks rise."""
        av = film_parts()
        frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(dots), format="rgb24")
        made = frame.reformat(format="yuv420p", dst_colorspace="ITU709", dst_color_range="MPEG")
        if not self.frames:
            _same_colours(self._stream.codec_context)
        made.pts, made.time_base = ticks, self.base
        self._put(self._stream.encode(made))
        self.frames += 1

    def sound(self, block: NDArray[np.float32]) -> None:
        """Write the next samples: two rows, 48,000 a second."""
        av = film_parts()
        if self._sound is None or block.shape[1] == 0:
            return
        frame = av.AudioFrame.from_ndarray(np.ascontiguousarray(block), format="fltp", layout="stereo")
        frame.sample_rate, frame.pts, frame.time_base = SOUND_RATE, self._samples, Fraction(1, SOUND_RATE)
        self._samples += block.shape[1]
        self._box.mux(self._sound.encode(frame))

    def close(self, captions: Sequence[Caption] = ()) -> None:
        """Write what is still under way, and the captions."""
        self._put(self._stream.encode())
        if self._sound is not None:
            self._box.mux(self._sound.encode())
        if self._captions is not None:
            for packet in caption_packets(captions):
                packet.stream = self._captions
                self._box.mux(packet)

    def _put(self, packets: Any) -> None:
        for packet in packets:
            clean = self._clean.packet(packet)
            clean.stream = self._stream
            self._box.mux(clean)


@contextmanager
def clip_out(
    out: Path, size: tuple[int, int], base: Fraction, *, sound: bool = False, captions: Sequence[Caption] = (),
    crf: int = 20, needs: int = 0,
) -> Iterator[ClipOut]:  # fmt: skip
    """Open a clip to be written whole or not at all: its size (even), the seconds a tick of its times.

    Raises:
        FormatError: the disk is full, or the folder cannot be written to.
    """
    with mp4_out(out, needs, FIRST) as box:
        clip = ClipOut(box, size, base, sound=sound, captions=bool(captions), crf=crf)
        yield clip
        clip.close(captions)


def _same_colours(about: Any) -> None:
    # Said openly, so that every player shows the same colours: those of high-definition television.
    about.colorspace, about.color_primaries, about.color_trc, about.color_range = 1, 1, 1, 1


def _caption_stream(box: Any) -> Any:
    stream = box.add_mux_stream("mov_text")
    stream.time_base = Fraction(1, 1000)
    return stream


def caption_packets(captions: Sequence[Caption]) -> Iterator[Any]:
    """Yield captions as packets of timed text: two bytes of length and the words (3GPP TS 26.245)."""
    av = film_parts()
    for begins, ends, words in sorted(captions):
        held = words.encode("utf-8")[:60_000]
        packet = av.Packet(struct.pack(">H", len(held)) + held)
        packet.time_base = Fraction(1, 1000)
        packet.pts = packet.dts = round(begins * 1000)
        packet.duration = max(1, round(ends * 1000) - round(begins * 1000))
        yield packet


def even(size: tuple[int, int]) -> tuple[int, int]:
    """Return a size with even sides, as pictures in H.264 have them.

    >>> even((853, 480)), even((1, 1))
    ((854, 480), (2, 2))
    """
    wide, high = size
    return max(2, wide + wide % 2), max(2, high + high % 2)
