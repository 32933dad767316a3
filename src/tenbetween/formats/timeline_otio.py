"""Marked pieces of film as an OpenTimelineIO timeline: clips with a marker for each event, times exact.

A time is the whole number of ticks at the rate of the film's own time base, so that nothing is rounded. Needs
OpenTimelineIO (extra ``film``). Where a film lies is told only if the caller says so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from tenbetween.errors import FormatError, Problem, UsageError
from tenbetween.formats.clip_rows import EVENT_WORDS, ClipRow, FrameTime, clip_rows

KEY = "tenbetween"
"""Under this name stands what only we read back."""
MOST = 2**53
"""Times beyond this cannot be held exactly by programs that keep them as floats."""


def timeline_otio(
    rows: Sequence[ClipRow], title: str, *, media: Mapping[str, str] | None = None, steps: Mapping[str, int] | None = None
) -> str:  # fmt: skip
    """Return a timeline as OpenTimelineIO JSON: one track, one clip a row, a marker for each event seen.

    ``media`` tells by fingerprint where a film lies; without it, clips refer to nothing. ``steps`` tells by
    fingerprint how many ticks a frame lasts, so that the last frame of a piece is in it to its end.

    Raises:
        UsageError: OpenTimelineIO is not installed.
        FormatError: a piece of two parts, or a time too large; all of them are told.
    """
    otio = _otio()
    _fits(rows)
    timeline = otio.schema.Timeline(name=title)
    track = otio.schema.Track(name="restarts", kind=otio.schema.TrackKind.Video)
    timeline.tracks.append(track)
    for row in rows:
        track.append(
            _clip(otio, row, (media or {}).get(row.start.part), (steps or {}).get(row.start.part, 1))
        )
    return str(timeline.to_json_string(indent=2))


def read_timeline(text: str) -> tuple[ClipRow, ...]:
    """Return the rows of a timeline written by ``timeline_otio``.

    Raises:
        UsageError: OpenTimelineIO is not installed.
        FormatError: no timeline, or none of ours.
    """
    otio = _otio()
    try:
        timeline = otio.adapters.read_from_string(text, "otio_json")
        held = [clip.metadata[KEY]["row"] for clip in timeline.find_clips()]
    except (otio.exceptions.OTIOError, ValueError, KeyError, AttributeError, TypeError):
        raise FormatError(
            Problem(
                "timeline", "no timeline of ours", "OpenTimelineIO JSON", "choose the .otio file written here"
            )
        ) from None
    return clip_rows([_plain(one) for one in held])


def _clip(otio: Any, row: ClipRow, place: str | None, step: int) -> Any:
    ends = row.end.pts + step
    span = otio.opentime.TimeRange(_time(otio, row.start), _time(otio, row.start, ends - row.start.pts))
    there = (
        otio.schema.ExternalReference(target_url=place)
        if place
        else otio.schema.MissingReference(name=row.film)
    )
    clip = otio.schema.Clip(name=row.title, media_reference=there, source_range=span)
    clip.metadata[KEY] = {"row": _row(row)}
    for name, words in EVENT_WORDS.items():
        at = row.events.get(name)
        if isinstance(at, FrameTime):
            moment = otio.opentime.TimeRange(_time(otio, at), _time(otio, at, 0))
            clip.markers.append(
                otio.schema.Marker(name=words, marked_range=moment, metadata={KEY: {"event": name}})
            )
    return clip


def _time(otio: Any, at: FrameTime, ticks: int | None = None) -> Any:
    """Return a frame time exactly: whole ticks at a whole rate."""
    return otio.opentime.RationalTime((at.pts if ticks is None else ticks) * at.base[0], at.base[1])


def _row(row: ClipRow) -> dict[str, Any]:
    import msgspec

    made: dict[str, Any] = msgspec.to_builtins(row)
    return made


def _plain(value: Any) -> Any:
    if hasattr(value, "items"):
        return {str(name): _plain(one) for name, one in value.items()}
    if isinstance(value, str | int | float | bool) or value is None:
        return value
    return [_plain(one) for one in value]


def _fits(rows: Sequence[ClipRow]) -> None:
    bad = []
    for number, row in enumerate(rows):
        if row.start.part != row.end.part:
            bad.append(
                Problem(f"[{number}]", "a piece of two parts", "one part of a film", "end it with its part")
            )
        if max(abs(row.start.pts), abs(row.end.pts)) * row.start.base[0] >= MOST:
            bad.append(
                Problem(f"[{number}]", str(row.end.pts), "a time below 2**53 ticks", "choose a coarser base")
            )
    if bad:
        raise FormatError(bad)


def _otio() -> Any:
    try:
        import opentimelineio
    except ImportError:
        do = 'in the program\'s folder: .venv/bin/pip install "opentimelineio>=0.17"'
        raise UsageError(Problem("timeline", "no OpenTimelineIO here", "the extra `film`", do)) from None
    return opentimelineio
