"""Measures how fast a play is painted and filmed, against painting the bare court with the same part in the same run."""

from __future__ import annotations

from importlib.util import find_spec

from msgspec.structs import replace

from tenbetween.dev.figures import Figure, Measured, in_turn, processor_seconds

SECONDS = 10.0


def plays() -> Measured:
    """Measure ten seconds of a play as MP4, its moving picture and its step sheet."""
    if find_spec("av") is None:
        return Measured(skipped="Plays taken along: PyAV is not installed; dev/install dev brings it.")
    from tenbetween.court import court_of
    from tenbetween.desk.export import FPS, export_play
    from tenbetween.draw.court_svg import court_svg
    from tenbetween.draw.golden_scenes import golden_play
    from tenbetween.draw.sheet import diagram_png

    play = golden_play()
    share = SECONDS / play.duration
    play = replace(
        play,
        steps=tuple(replace(one, seconds=one.seconds * share, hold=one.hold * share) for one in play.steps),
    )
    frames = int(SECONDS * FPS["mp4"])
    bare = court_svg(court_of("us-hs"), theme="light", scale=8.0)
    film, court = in_turn(
        3,
        lambda: processor_seconds(lambda: export_play(play, "mp4")) / frames,
        lambda: processor_seconds(lambda: diagram_png(bare, zoom=1.0)),
    )
    moving = min(processor_seconds(lambda: export_play(play, "svg")) for _ in range(5))
    sheet = min(processor_seconds(lambda: export_play(play, "pdf")) for _ in range(5))
    floor = "the bare court painted once"
    return Measured(
        (
            Figure("a frame of a film, painted and written", film, "s", 0.1, floor_name=floor, floor=court),
            Figure("a moving picture of ten seconds", moving, "s", 1.0),
            Figure("a step sheet", sheet, "s", 2.0),
        )
    )
