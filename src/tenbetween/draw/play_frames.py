"""A play as frames, told apart into what stands still and what moves, so that a film is painted once and not 30 times a second.

Says which picture lies below at a second, which marks lie on it and where; every mark stands on one sheet in
sixteen places between two dots, so that it moves smoothly. Paints nothing itself and knows no film.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor
from typing import TYPE_CHECKING, NamedTuple

from tenbetween.draw import scene_key, scene_shade, svg
from tenbetween.draw.court_svg import floor as court_floor
from tenbetween.draw.frame import Frame
from tenbetween.draw.ink import Ink
from tenbetween.draw.play_svg import Rows, standing_list, view_of
from tenbetween.draw.play_tracks import Moment, Track, known_play, tracks
from tenbetween.draw.scene_key import moved_to
from tenbetween.draw.scene_svg import View, dots, seen_by_crew, table
from tenbetween.draw.svg import Point
from tenbetween.scene import Play, Scene, known_part, step_at
from tenbetween.situation import Basket

if TYPE_CHECKING:
    from tenbetween.draw.scene_shade import Field
    from tenbetween.sight import Sight

PHASES = 4
"""A mark stands on quarters of a dot, along and across."""


class Size(NamedTuple):
    """Of a film in dots; both even, as films want them."""

    wide: int
    high: int


class Put(NamedTuple):
    """One mark on a frame: which one of the sheet, in which of its places, and the dot its box begins at."""

    mark: int
    phase: int
    x: int
    y: int


class Staging:
    """A play made ready to be painted as frames of ``height`` dots or so, at ``zoom`` dots for a point."""

    def __init__(self, play: Play, view: View, zoom: float, explained: Rows) -> None:
        self.play, self.view, self.zoom = known_play(play), view, zoom
        self.frame: Frame = view.frame(play.steps[0].scene)
        self.ink: Ink = view.ink
        self.tracks: tuple[Track, ...] = tracks(self.play, view)
        self._explained = explained
        _, more = standing_list(self.play, self.frame, self.ink, 0, explained)
        wide, high = self.frame.size
        self.size = Size(_even(wide * zoom), _even((high + more) * zoom))
        self.box = _even((self.frame.official * 1.15 + 3) * 2 * zoom) + 2
        """Side of the square a mark is painted in, in dots."""

    def step(self, t: float) -> int:
        """Return the step under way."""
        return step_at(self.play, t)[0]

    def ground(
        self, number: int, scene: Scene | None = None, sight: Sight | None = None, shade: Field | None = None
    ) -> str:
        """Return what lies below the marks while a step is under way: floor, what is seen, steps."""
        inside = [
            *court_floor(self.play.steps[0].scene.court, self.frame, self.ink),
            table(self.frame, self.ink),
        ]
        if shade is not None:
            inside += [scene_shade.patterns(self.ink), *scene_shade.cells(shade, self.frame)]
        if sight is not None and scene is not None:
            inside += [dots(self.ink), *seen_by_crew(known_part(scene), sight, self.frame, self.ink)]
        listed, _ = standing_list(self.play, self.frame, self.ink, number, self._explained)
        return self._picture(self.size, *inside, listed, ground=self.ink.page)

    def sheet(self) -> str:
        """Return every mark in every place between two dots: one row a mark, one column a place."""
        size = Size(self.box * PHASES * PHASES, self.box * len(self.tracks))
        found = []
        for row, track in enumerate(self.tracks):
            for phase in range(PHASES * PHASES):
                x = phase * self.box + self.box / 2 + (phase % PHASES) / PHASES
                y = row * self.box + self.box / 2 + (phase // PHASES) / PHASES
                at = moved_to((x / self.zoom, y / self.zoom))
                found.append(svg.tag("g", track.mark, transform=at))
        return self._picture(size, *found)

    def _picture(self, size: Size, *inside: str, ground: str = "") -> str:
        wide, high = size.wide / self.zoom, size.high / self.zoom
        behind = [svg.tag("rect", width=wide, height=high, fill=ground)] if ground else []
        return svg.tag(
            "svg", *behind, *inside, xmlns="http://www.w3.org/2000/svg",
            viewBox=f"0 0 {svg.number(wide)} {svg.number(high)}", width=size.wide, height=size.high,
        )  # fmt: skip

    def marks(self, t: float) -> tuple[Put, ...]:
        """Return the marks that are there at a second, lowest first."""
        found = []
        for number, track in enumerate(self.tracks):
            at = place_at(track.moments, t)
            if at is not None:
                found.append(self._put(number, at))
        return tuple(found)

    def _put(self, number: int, at: Point) -> Put:
        dots_ = [round(one * self.zoom * PHASES) for one in at]
        x, y = (one // PHASES for one in dots_)
        phase = dots_[0] % PHASES + PHASES * (dots_[1] % PHASES)
        return Put(number, phase, x - self.box // 2, y - self.box // 2)


def staging(
    play: Play,
    *,
    half: Basket | bool | None = None,
    turned: bool = False,
    theme: str = "light",
    scale: float = 8.0,
    height: int = 720,
    looks: bool = False,
    shade: bool = False,
) -> Staging:
    """Return a play made ready for a film about ``height`` dots high, with the key to what it is going to show.

    >>> from tenbetween.draw.golden_scenes import golden_play
    >>> staging(golden_play(), height=480).size
    Size(wide=526, high=480)
    """
    view = view_of(play, half, turned, theme, scale)
    explained = scene_key.groups(looks=looks, shade=shade)
    plain = Staging(play, view, 1.0, explained)
    return Staging(play, view, height / plain.size.high, explained)


def place_at(moments: Sequence[Moment], t: float) -> Point | None:
    """Return where a mark is at a second; None while it is not shown.

    >>> way = (Moment(0, (0, 0), True), Moment(2, (4, 0), True), Moment(2, (9, 9), False))
    >>> place_at(way, 0.5), place_at(way, 2)
    ((1.0, 0.0), None)
    """
    last = moments[0]
    for one in moments:
        if one.t > t:
            part = (t - last.t) / (one.t - last.t)
            at = (last.at[0] + (one.at[0] - last.at[0]) * part, last.at[1] + (one.at[1] - last.at[1]) * part)
            return at if last.shown else None
        last = one
    return last.at if last.shown else None


def times(play: Play, fps: int) -> tuple[float, ...]:
    """Return the second of every frame; each shows the middle of its own time.

    >>> from tenbetween.draw.golden_scenes import golden_play
    >>> len(times(golden_play(), 30)), times(golden_play(), 30)[0] * 60
    (300, 1.0)
    """
    return tuple((number + 0.5) / fps for number in range(max(1, round(play.duration * fps))))


def _even(value: float) -> int:
    return 2 * max(1, ceil(floor(value * 1000) / 1000 / 2))
