"""What a film file is, in the words a person needs: how long, how large, steady or not, and whether a browser shows it.

Knows one file at a time, no game. A film is never changed; what a browser cannot show needs a copy, and why is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from tenbetween.film.frame_index import FrameIndex, index
from tenbetween.film.frames_in import Shape, decoded
from tenbetween.film.opened import opened, picture_of, refused

CODECS = {
    "h264": "H.264",
    "hevc": "HEVC (H.265)",
    "vp8": "VP8",
    "vp9": "VP9",
    "av1": "AV1",
    "mpeg2video": "MPEG-2",
    "mpeg4": "MPEG-4 part 2",
    "prores": "ProRes",
    "mjpeg": "Motion JPEG",
}
SHOWN = frozenset({"h264", "vp8", "vp9", "av1"})
"""What the browsers we measured show: Chromium and Firefox, without a licence of the machine's own."""
HEARD = frozenset({"aac", "mp3", "opus", "vorbis", "flac"})
EVEN = frozenset({"yuv420p", "yuvj420p"})
"""How colours are kept in an H.264 film every browser shows."""
FRAME_LATE_S = 0.5


@dataclass(frozen=True, slots=True)
class Probe:
    """One film file. Times are whole ticks of ``base`` seconds; ``picture`` is width and height as seen."""

    name: str
    size: int
    kind: str
    codec: str
    picture: tuple[int, int]
    stored: tuple[int, int]
    rotation: int
    """Degrees against the clock from the stored picture to the one seen: 0, 90, 180, 270."""
    pixel: tuple[int, int]
    """Width to height of one stored dot."""
    base: tuple[int, int]
    frames: int
    first_pts: int
    last_pts: int
    end_pts: int
    duration_s: float
    rate: float
    variable_rate: bool
    interlaced: bool
    sound: str
    """The codec of the sound, or nothing."""
    pixels: str
    needs_copy: bool
    why_copy: str
    warnings: tuple[str, ...]

    def part(self, fingerprint: str, *, camera: str = "main", offset_us: int = 0) -> dict[str, Any]:
        """Return what is kept of this file as a part of a film; where it lies is not told."""
        return {
            "fingerprint": fingerprint,
            "name": self.name,
            "size": self.size,
            "first_pts": self.first_pts,
            "last_pts": self.last_pts,
            "base": list(self.base),
            "frames": self.frames,
            "duration_s": self.duration_s,
            "picture": list(self.picture),
            "rotation": self.rotation,
            "codec": self.codec,
            "variable_rate": self.variable_rate,
            "sound": bool(self.sound),
            "camera": camera,
            "offset_us": offset_us,
            "needs_copy": self.needs_copy,
            "why_copy": self.why_copy,
            "copy": "",
        }

    def words(self) -> tuple[str, ...]:
        """Return what a person wants to know of the file, a sentence each."""
        rate = "a rate that changes" if self.variable_rate else f"{self.rate:.2f} pictures a second"
        heard = f"sound ({self.sound})" if self.sound else "no sound"
        about = f"{clock(self.duration_s)} long, {self.picture[0]} x {self.picture[1]} dots, {rate}, {heard}"
        turned = (f"Held sideways: shown turned by {self.rotation} degrees.",) if self.rotation else ()
        shape = self.pixel != (1, 1)
        wide = (f"Its dots are {self.pixel[0]}:{self.pixel[1]}, shown in their true shape.",) if shape else ()
        plays = self.why_copy if self.needs_copy else "A browser plays it as it is."
        name = CODECS.get(self.codec, self.codec)
        return (f"{self.name}: {name} in {self.kind}, {about}.", *turned, *wide, plays, *self.warnings)


def probe(path: Path, frames: FrameIndex | None = None) -> Probe:
    """Return what a film file is; ``frames`` saves reading its times again.

    Raises:
        FormatError: no film, unreadable, cut short beyond use, no picture, or no picture that can be decoded.
    """
    times = frames if frames is not None else index(path)
    shape, first = _first_picture(path)
    with opened(path) as box:
        stream = picture_of(box, path)
        about = stream.codec_context
        sound = next((one.codec_context.name for one in box.streams.audio if one.codec_context), "")
        codec, kind = about.name, _kind(box.format.name, path)
        promised = _promised_s(box, stream)
        pixels = about.pix_fmt or ""
        pixel = stream.sample_aspect_ratio or Fraction(1)
    codec = {"libdav1d": "av1", "libvpx-vp9": "vp9", "libvpx": "vp8"}.get(codec, codec)
    seconds = float((times.end_pts - int(times.pts[0])) * times.base)
    why = _why_copy(kind, codec, pixels, times)
    return Probe(
        name=path.name,
        size=path.stat().st_size,
        kind=kind,
        codec=codec,
        picture=shape.picture,
        stored=(first.width, first.height),
        rotation=shape.turns * 90,
        pixel=(pixel.numerator, pixel.denominator) if pixel > 0 else (1, 1),
        base=(times.base.numerator, times.base.denominator),
        frames=len(times),
        first_pts=int(times.pts[0]),
        last_pts=int(times.pts[-1]),
        end_pts=times.end_pts,
        duration_s=round(seconds, 6),
        rate=round(times.rate, 3),
        variable_rate=not times.steady,
        interlaced=bool(first.interlaced_frame),
        sound=sound,
        pixels=pixels,
        needs_copy=bool(why),
        why_copy=why,
        warnings=_warnings(times, bool(first.interlaced_frame), sound, seconds, promised),
    )


def clock(seconds: float) -> str:
    """Return seconds as minutes and seconds, with hours if there are any.

    >>> clock(5025.4), clock(59.96)
    ('1:23:45', '1:00')
    """
    whole = round(seconds)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def _first_picture(path: Path) -> tuple[Shape, Any]:
    for frame, shape in decoded(path, None, None):
        return shape, frame
    raise refused(path, "pictures that cannot be decoded", "copy the film again from the camera")


def _kind(name: str, path: Path) -> str:
    if "matroska" in name:
        return "webm" if path.suffix.lower() == ".webm" else "mkv"
    if "mpegts" in name:
        return "ts"
    return "mov" if path.suffix.lower() == ".mov" else "mp4"


def _promised_s(box: Any, stream: Any) -> float:
    """Return how long the file itself says its picture is, in seconds; 0 when it does not say."""
    if stream.duration and stream.time_base:
        return float(stream.duration * stream.time_base)
    return float(box.duration or 0) / 1_000_000


def _why_copy(kind: str, codec: str, pixels: str, times: FrameIndex) -> str:
    name = CODECS.get(codec, codec)
    if codec not in SHOWN:
        return f"Browsers do not show {name}: a copy in H.264 is needed to watch it here."
    if codec == "h264" and pixels not in EVEN:
        return f"Browsers do not show H.264 with these colours ({pixels}): a copy is needed to watch it here."
    if kind == "ts":
        return "Browsers do not play .ts files: a copy as mp4 is needed to watch it here."
    if {"edits", "negative"} & set(times.odd):
        return (
            "It was cut without writing its pictures again, and one browser would show a wrong picture at its cut: "
            "a copy is needed to watch it here."
        )
    if "early keys" in times.odd and kind in {"mp4", "mov"}:
        return (
            "The order its pictures are stored in makes one browser show a neighbour of some of them: "
            "a copy is needed to step through it exactly."
        )
    return ""


def _warnings(
    times: FrameIndex, interlaced: bool, sound: str, seconds: float, promised: float
) -> tuple[str, ...]:
    said = []
    if "cut short" in times.odd or (
        "clock" not in times.odd and promised > seconds + max(FRAME_LATE_S, 0.02 * promised)
    ):
        said.append(
            f"Cut short: it should be {clock(promised)} long and ends after {clock(seconds)}. "
            "What is there can be used; copy it again from the camera for the rest."
        )
    if "late key" in times.odd:
        said.append(
            "It begins in the middle of a group of pictures; it is shown from the first whole one on."
        )
    if "clock" in times.odd:
        said.append(
            f"Its clock jumps back after {clock(seconds)}: it is used up to there. "
            "For the rest, have it recorded or written in parts, and add them one by one."
        )
    if "no time" in times.odd:
        said.append("Some of its pictures carry no time and are passed over.")
    if not times.steady:
        said.append("Its rate changes: each picture's own time is used.")
    if interlaced:
        said.append("Interlaced: lines of two moments in one picture, so whatever moves has combed edges.")
    if not sound:
        said.append("No sound: whistles cannot be listened for.")
    elif sound not in HEARD and not sound.startswith("pcm"):
        said.append(f"A browser may not play its sound ({sound}); listening for whistles works all the same.")
    return tuple(said)


__all__ = ["CODECS", "Probe", "clock", "probe"]
