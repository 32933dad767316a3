"""A file opened on the court: a play as open JSON, or tracks of players told as a play, one frame a second.

Says what was left out on reading; guesses no matchup and no official. Keeps nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from msgspec.structs import replace

from tenbetween.errors import FormatError, Problem
from tenbetween.formats.play_json import read_play
from tenbetween.formats.track_lines import KINDS, Report
from tenbetween.formats.tracks import Tracks, has_crew, read_tracks, thinned
from tenbetween.scene import Crew, Official, Play, PlayStep, Scene, known_part
from tenbetween.units import FOOT

MOST_STEPS = 120
"""Two minutes, one frame a second; a longer file is cut, and said to be."""
FIRST_SAID = 5


def opened(text: str, name: str = "") -> tuple[Play, tuple[str, ...]]:
    r"""Return the play of a file's text, and what is to be known about the reading.

    >>> line = '{"t": %s, "ball": [20, 25], "players": [{"id": "a1", "team": "a", "x": 20, "y": 25}]}'
    >>> play, said = opened("\n".join(line % t for t in (0.0, 1.0, 2.0)))
    >>> len(play.steps), said[0]
    (3, '3 frames from 3 lines.')

    Raises:
        FormatError: neither a play nor tracks; all that is wrong with it.
    """
    if not text.strip():
        raise FormatError(Problem("file", "nothing", "a play or tracks of players", "choose another file"))
    if text.lstrip("\ufeff \r\n\t").startswith("{") and '"tenbetween play"' in text:
        play = read_play(text)
        return play, (f"A play of {len(play.steps)} steps.",)
    return play_of_tracks(read_tracks(text), name)


def play_of_tracks(tracks: Tracks, name: str = "") -> tuple[Play, tuple[str, ...]]:
    """Return tracks as a play of one step a second, and the report of what was left out, in sentences.

    Raises:
        FormatError: no frame could be read.
    """
    frames = list(thinned(tracks.frames, 1.0))
    if not frames:
        raise FormatError(
            Problem("file", "no frame that can be read", "players with times", "look at the report")
        )
    steps: list[PlayStep] = []
    last = frames[0][0]
    for t, scene in frames[:MOST_STEPS]:
        seconds = min(60.0, t - last)
        steps.append(PlayStep(says=_clock(t), scene=_with_crew(scene), seconds=seconds, hold=0.0))
        last = t
    steps[-1] = replace(steps[-1], hold=1.0)
    said = tuple(_said(tracks, len(frames)))
    return Play(title=name or "Tracks", steps=tuple(steps), note=" ".join(said)[:1000]), said


def _clock(t: float) -> str:
    return f"{int(t) // 60}:{int(t) % 60:02d}"


def _with_crew(scene: Scene) -> Scene:
    """Return the scene with whoever is not known left out; officials and ball wait beside the table instead."""
    scene = known_part(scene)
    middle = scene.court.length / FOOT / 2
    if not all(isfinite(one) for one in scene.ball):
        scene = replace(scene, ball=(middle, -2.0))
    if has_crew(scene):
        return scene
    return replace(scene, crew=Crew(Official((middle - 4, -4.0)), Official((middle + 4, -4.0))))


def _said(tracks: Tracks, frames: int) -> Iterator[str]:
    report: Report = tracks.report
    yield f"{report.frames} frames from {report.lines} lines."
    if frames > MOST_STEPS:
        yield f"Only the first {MOST_STEPS} seconds are shown; the command tells all: tenbetween tracks."
    if not all(has_crew(scene) for _, scene in tracks.frames):
        yield "Where an official is not in the file both stand beside the table: put them where they were."
    if not any(scene.matchups for _, scene in tracks.frames):
        yield "No matchup is named, and none is guessed: looks are told for named matchups only."
    for kind, count in report.counts.items():
        yield f"{count} {KINDS[kind]}."
    for one in report.first[:FIRST_SAID]:
        yield f"{one.where}: found {one.found}; {one.do}."
