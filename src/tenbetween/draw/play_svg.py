"""A play as one animated SVG that needs no script: marks move by style sheet, steps stand below as a list.

Whoever asks his machine for less motion sees no movement: the way of each mark through the steps, numbered, and
everybody at his last place. A program that knows no style sheets shows the beginning.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from tenbetween.draw import marks, scene_key, scene_shade, svg
from tenbetween.draw.court_svg import floor
from tenbetween.draw.fonts import wrap
from tenbetween.draw.frame import LABEL, Frame
from tenbetween.draw.ink import Ink
from tenbetween.draw.play_tracks import Track, beginnings, half_of, known_play, tracks
from tenbetween.draw.scene_key import moved_to
from tenbetween.draw.scene_svg import FLAT, View, dots, seen_by_crew, table
from tenbetween.draw.scene_words import scene_words
from tenbetween.draw.svg import Point
from tenbetween.scene import Play
from tenbetween.situation import Basket

if TYPE_CHECKING:
    from tenbetween.draw.scene_shade import Field
    from tenbetween.sight import Sight

Rows = tuple[tuple[scene_key.Entry, ...], ...]
During = Callable[[int], tuple[float | None, str | None]]
PAD = 12.0
LINE_HIGH = 19.0


def play_svg(
    play: Play,
    *,
    half: Basket | bool | None = None,
    turned: bool = False,
    theme: str = "light",
    scale: float = 8.0,
    loop: bool = True,
    sights: Sequence[Sight | None] = (),
    shades: Sequence[Field | None] = (),
) -> str:
    """Return a play as animated SVG; sights and shades, one for each step, show what is seen while it stands.

    ``half`` None shows half the court where that holds everything, False the whole.

    >>> from tenbetween.scene import Crew, Official, PlayStep, Scene
    >>> scene = Scene((), (), (20.0, 20.0), Crew(Official((-3.0, 34.0)), Official((28.0, 12.0))))
    >>> "@keyframes" in play_svg(Play(title="Still", steps=(PlayStep(says="Ready.", scene=scene),)))
    False
    """
    play = known_play(play)
    view = view_of(play, half, turned, theme, scale)
    frame, ink = view.frame(play.steps[0].scene), view.ink
    wide, court_high = frame.size
    moving = _Moving(play, loop)
    ways = tracks(play, view)
    stage = [
        *_shaded(play, shades, frame, moving),
        *_looks(play, sights, frame, ink, moving),
        svg.tag("g", *(moving.track(track) for track in ways), class_="tokens"),
    ]
    seen = scene_key.groups(looks=any(sights), shade=len(shades) > 0)
    listed, high = steps_list(play, frame, ink, moving, seen)
    inside = [
        svg.tag("g", *floor(play.steps[0].scene.court, frame, ink), table(frame, ink), class_="floor"),
        svg.tag("g", *stage, class_="moving"),
        svg.tag("g", *_still(play, ways, frame, ink), class_="still", display="none"),
        listed,
    ]
    sheet = moving.sheet
    style = [svg.tag("style", sheet)] if sheet else []
    style += [dots(ink)] if any(sights) else []
    style += [scene_shade.patterns(ink)] if len(shades) else []
    return svg.picture(wide, court_high + high, play.title or "Play", play_words(play), *style, *inside)


def view_of(play: Play, half: Basket | bool | None, turned: bool, theme: str, scale: float) -> View:
    """Return how a play is looked at; half the court only where that holds everything."""
    part = half_of(play) if half is None or half is True else (half or None)
    return View(part, turned, theme, scale)


def play_words(play: Play) -> str:
    """Return a play in words: every step, and where everybody stands at its end."""
    return " ".join(
        f"Step {number}: {step.says} {scene_words(step.scene, step.lead)}"
        for number, step in enumerate(play.steps, 1)
    )


# ---- the style sheet ----


class _Moving:
    """Gathers the key frames of a play; the same movement is written once."""

    def __init__(self, play: Play, loop: bool) -> None:
        self.duration = play.duration
        self.begins = beginnings(play)
        self.loop = loop
        self.frames: dict[str, str] = {}

    def _name(self, body: str) -> str:
        return self.frames.setdefault(body, f"k{len(self.frames) + 1}")

    def _rule(self, body: str, *, jump: bool) -> str:
        name = self._name(body)
        timing = "step-end" if jump else "linear"
        often = "infinite" if self.loop else "forwards"
        return f"{name} {svg.number(self.duration)}s {timing} {often}"

    def _percent(self, t: float) -> float:
        return 100 * t / self.duration

    def track(self, track: Track) -> str:
        """Return one mark that moves, is shown and is hidden as its moments say."""
        rules = []
        if self.duration > 0 and track.moves:
            rules.append(self._rule(self._way(track), jump=False))
        shown = [(one.t, one.shown) for one in track.moments]
        if self.duration > 0 and len({there for _, there in shown}) > 1:
            rules.append(self._rule(self._shown(shown), jump=True))
        first = track.moments[0]
        return svg.tag(
            "g",
            track.mark,
            class_=f"token {track.kind}",
            data_id=track.id,
            transform=moved_to(first.at),
            opacity=None if first.shown else 0,
            style=f"animation:{','.join(rules)}" if rules else None,
        )

    def during(self, spans: Iterable[tuple[float, float]]) -> tuple[float | None, str | None]:
        """Return the opacity at the beginning and the style of what is shown during some spans of seconds."""
        marks_ = sorted({0.0, *(t for span in spans for t in span if t < self.duration - 1e-9)})
        shown = [(t, any(a <= t < b for a, b in spans)) for t in marks_]
        if self.duration <= 0 or len({there for _, there in shown}) < 2:
            return (None if shown[0][1] else 0), None
        return (None if shown[0][1] else 0), f"animation:{self._rule(self._shown(shown), jump=True)}"

    def _way(self, track: Track) -> str:
        lines = []
        for one, after in zip(track.moments, (*track.moments[1:], track.moments[-1]), strict=True):
            jumps = after.t - one.t < 1e-9 and after.at != one.at  # two places at one second
            lines.append((max(0.0, self._percent(one.t) - 0.001 * jumps), one.at))
        return "".join(
            f"{svg.number(p)}%{{transform:translate({svg.number(x)}px,{svg.number(y)}px)}}"
            for p, (x, y) in _without_repeats(lines)
        )

    def _shown(self, moments: Sequence[tuple[float, bool]]) -> str:
        kept: dict[str, bool] = {}
        last: bool | None = None
        for t, there in moments:
            if there != last:
                kept[svg.number(self._percent(t))] = there
                last = there
        kept["100"] = last or False
        return "".join(f"{p}%{{opacity:{int(there)}}}" for p, there in kept.items())

    @property
    def sheet(self) -> str:
        """The whole style sheet; empty when nothing moves."""
        if not self.frames:
            return ""
        frames = "".join(f"@keyframes {name}{{{body}}}" for body, name in self.frames.items())
        calm = "@media (prefers-reduced-motion:reduce){.moving,.now{display:none}.still{display:inline}}"
        return frames + calm


def _without_repeats(lines: list[tuple[float, Point]]) -> list[tuple[float, Point]]:
    """Leave out a place that stands between two equal ones, and a second that is named twice."""
    kept: list[tuple[float, Point]] = []
    for number, (percent, at) in enumerate(lines):
        same_before = bool(kept) and kept[-1][1] == at
        same_after = number + 1 < len(lines) and lines[number + 1][1] == at
        if not (same_before and same_after):
            kept.append((percent, at))
    return kept


# ---- parts of the picture ----


def _looks(
    play: Play, sights: Sequence[Sight | None], frame: Frame, ink: Ink, moving: _Moving
) -> Iterator[str]:
    """Yield looks and box of each step, shown while it stands."""
    for step, sight, begins in zip(play.steps, sights, moving.begins, strict=False):
        if sight is not None:
            span = (begins + step.seconds, begins + step.seconds + step.hold)
            opacity, style = moving.during([span])
            yield svg.tag(
                "g", *seen_by_crew(step.scene, sight, frame, ink), class_="seen", opacity=opacity, style=style
            )


def _shaded(play: Play, shades: Sequence[Field | None], frame: Frame, moving: _Moving) -> Iterator[str]:
    for step, field, begins in zip(play.steps, shades, moving.begins, strict=False):
        if field is not None:
            span = (begins + step.seconds, begins + step.seconds + step.hold)
            opacity, style = moving.during([span])
            cells = scene_shade.cells(field, frame)
            if cells:
                yield svg.tag("g", *cells, class_="shade", opacity=opacity, style=style)


def _still(play: Play, ways: Sequence[Track], frame: Frame, ink: Ink) -> Iterator[str]:
    """Yield the ways through the steps, numbered, and everybody at his last place."""
    ends = [begins + step.seconds for begins, step in zip(beginnings(play), play.steps, strict=True)]
    drawn: set[str] = set()
    for track in ways:
        if track.moves and track.id not in drawn:
            drawn.add(track.id)
            yield from _trail(track, ends, ink)
    for track in ways:
        last = track.moments[-1]
        if last.shown:
            yield svg.tag("g", track.mark, class_=f"token {track.kind}", transform=moved_to(last.at))


def _trail(track: Track, ends: Sequence[float], ink: Ink) -> Iterator[str]:
    points = [one.at for one in track.moments]
    dash = {"o": "9 5", "b": "1 5"}.get(track.kind[0])
    yield svg.tag(
        "path", d=svg.path(points), fill="none", stroke=ink.ink if dash != "1 5" else ink.spot,
        stroke_width=1.6, stroke_dasharray=dash, stroke_linecap="round", class_="way",
    )  # fmt: skip
    seen: set[Point] = set()
    for number, end in enumerate(ends, 1):
        at = next(one.at for one in reversed(track.moments) if one.t <= end + 1e-9)
        if track.kind != "ball" and at not in seen:
            seen.add(at)
            back = svg.tag("circle", cx=at[0], cy=at[1], r=7, fill=ink.floor, fill_opacity=0.9)
            yield back + marks.centred(at, str(number), ink.ink, size=11)


def steps_list(play: Play, frame: Frame, ink: Ink, moving: _Moving, explained: Rows) -> tuple[str, float]:
    """Return title and steps below the court, the one under way marked as time goes on, and how high that is."""

    def during(number: int) -> tuple[float | None, str | None]:
        begins, step = moving.begins[number], play.steps[number]
        return moving.during([(begins, begins + step.seconds + step.hold)])

    return _listed(play, frame, ink, during, explained)


def standing_list(play: Play, frame: Frame, ink: Ink, now: int, explained: Rows) -> tuple[str, float]:
    """Return the same with one step marked and nothing that moves."""
    return _listed(play, frame, ink, lambda number: (None if number == now else 0, None), explained)


def _listed(play: Play, frame: Frame, ink: Ink, during: During, explained: Rows) -> tuple[str, float]:
    wide, top = frame.size
    y = top + 26.0
    found = [marks.text((PAD, y), play.title, ink.ink, bold=True, size=17)] if play.title else []
    y += 12.0 if play.title else -14.0
    for number, step in enumerate(play.steps):
        y += LINE_HIGH * 0.5
        middle = (PAD + 11, y + 4)
        opacity, style = during(number)
        found.append(marks.centred(middle, str(number + 1), ink.ink, size=LABEL))
        found.append(svg.tag("g", _now(middle, ink), class_="now", opacity=opacity, style=style))
        for line in wrap(step.says, LABEL, wide - PAD * 2 - 34):
            found.append(marks.text((PAD + 34, y + 9), line, ink.ink))
            y += LINE_HIGH
    caution = FLAT if len(explained) > 1 else ""
    people, more = scene_key.key(explained, caution, wide, y + 6, ink)
    high = y + 6 + more - top
    ground = svg.tag("rect", x=0, y=top, width=wide, height=high, fill=ink.page)
    return svg.tag("g", ground, *found, people, class_="steps"), high


def _now(at: Point, ink: Ink) -> str:
    x, y = at
    return svg.tag(
        "rect", x=x - 10, y=y - 11, width=20, height=22, rx=4, fill="none", stroke=ink.ink, stroke_width=2.6
    )
