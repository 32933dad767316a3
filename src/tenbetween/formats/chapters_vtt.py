"""Chapters, notes and captions of a film as WebVTT, which players and browsers read (W3C WebVTT).

Written with webvtt-py (extra ``film``). What stands in a cue is text: nothing in a title can end a cue or begin a tag.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape, unescape
from typing import Any

from tenbetween.errors import FormatError, Problem, UsageError
from tenbetween.formats.clip_rows import EVENT_WORDS, ClipRow, FrameTime, on_line

Cue = tuple[float, float, str]
"""From when to when, in seconds, and the words (line breaks allowed)."""
LONGEST_S = 99 * 3600


def chapters_vtt(rows: Sequence[ClipRow], offsets_s: Mapping[str, float] | None = None) -> str:
    """Return one chapter a row, in the seconds of its film; ``offsets_s``: what makes a part's own seconds those of
    the game's one time line.

    Raises:
        UsageError: webvtt-py is not installed.
    """
    return cues_vtt((*_span(row, offsets_s), row.title) for row in rows)


def notes_vtt(rows: Sequence[ClipRow], offsets_s: Mapping[str, float] | None = None) -> str:
    """Return one cue a row with its title, its events with their seconds, its tags and its note.

    Raises:
        UsageError: webvtt-py is not installed.
    """
    return cues_vtt((*_span(row, offsets_s), _told(row, offsets_s)) for row in rows)


def cues_vtt(cues: Iterable[Cue]) -> str:
    """Return cues as a WebVTT file, in the order of their beginnings.

    Raises:
        UsageError: webvtt-py is not installed.
        FormatError: a time that is none.

    >>> print(cues_vtt([(1.5, 3.0, "Lead hands the ball & <steps back>")]))
    WEBVTT
    <BLANKLINE>
    00:00:01.500 --> 00:00:03.000
    Lead hands the ball &amp; &lt;steps back&gt;
    """
    webvtt = _webvtt()
    made = webvtt.WebVTT()
    for begins, ends, words in sorted(cues):
        if not 0 <= begins <= ends <= LONGEST_S:
            raise FormatError(
                Problem("cue", f"{begins} to {ends} s", "from 0 on, its end after it", "mend the times")
            )
        made.captions.append(webvtt.Caption(_clock(begins), _clock(max(ends, begins + 0.001)), _text(words)))
    return str(made.content)


def read_cues(text: str) -> tuple[Cue, ...]:
    """Return the cues of a WebVTT file.

    Raises:
        FormatError: it is none.
        UsageError: webvtt-py is not installed.
    """
    webvtt = _webvtt()
    try:
        held = webvtt.WebVTT.from_string(text)
    except webvtt.errors.MalformedFileError as error:
        raise FormatError(
            Problem("WebVTT", str(error), "a file that begins with WEBVTT", "choose another")
        ) from None
    return tuple((one.start_in_seconds, one.end_in_seconds, unescape(one.text)) for one in _whole(held))


def _whole(held: Any) -> Iterable[Any]:
    for one in held.captions:
        milli = [stamp.milliseconds / 1000 for stamp in (one.start_time, one.end_time)]
        yield _Cue(int(one.start_in_seconds) + milli[0], int(one.end_in_seconds) + milli[1], one.raw_text)


class _Cue:
    def __init__(self, begins: float, ends: float, text: str) -> None:
        self.start_in_seconds, self.end_in_seconds, self.text = begins, ends, text


def _span(row: ClipRow, offsets_s: Mapping[str, float] | None) -> tuple[float, float]:
    return max(0.0, on_line(row.start, offsets_s)), max(0.0, on_line(row.end, offsets_s))


def _told(row: ClipRow, offsets_s: Mapping[str, float] | None) -> str:
    begins = on_line(row.start, offsets_s)
    seen = [
        f"{EVENT_WORDS[name]} {on_line(at, offsets_s) - begins:+.2f} s"
        for name in EVENT_WORDS
        if isinstance(at := row.events.get(name), FrameTime)
    ]
    unseen = [EVENT_WORDS[name] for name, at in row.events.items() if isinstance(at, str)]
    lines = [
        row.title,
        ", ".join(seen),
        f"not seen: {', '.join(unseen)}" if unseen else "",
        ", ".join(row.tags),
        row.note,
    ]
    return "\n".join(line for line in lines if line)


def _text(words: str) -> str:
    lines = [" ".join(line.split()) for line in words.splitlines()]
    return "\n".join(escape(line, quote=False) for line in lines if line) or "–"


def _clock(seconds: float) -> str:
    milli = round(seconds * 1000)
    return f"{milli // 3_600_000:02d}:{milli // 60_000 % 60:02d}:{milli // 1000 % 60:02d}.{milli % 1000:03d}"


def _webvtt() -> Any:
    try:
        import webvtt
    except ImportError:
        do = 'in the program\'s folder: .venv/bin/pip install "webvtt-py>=0.5"'
        raise UsageError(
            Problem("chapters", "no webvtt-py on this machine", "the extra `film`", do)
        ) from None
    return webvtt
