"""A scene as SVG: floor, what is seen of it, the box, the looks, and everybody as a mark that can be moved.

The groups stand in this order: ``floor``, ``shade``, ``box``, ``looks``, ``tokens``, and a ``key`` below the court.
Everything is in points of ``frame_of(court, half, scale, turned)``; each mark of ``tokens`` is drawn about its own
origin and put in place by ``transform``, so that a page or a player of plays only moves it. What each mark looks
like stands in ``scene_marks``; the bodies are drawn as what they are here, flat discs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan2, cos, hypot, isfinite, radians, sin
from typing import TYPE_CHECKING, NamedTuple

from tenbetween.draw import marks, scene_key, scene_marks, scene_shade, svg
from tenbetween.draw.court_svg import floor
from tenbetween.draw.frame import THIN, Frame, Rect, frame_of
from tenbetween.draw.ink import THEMES, Ink
from tenbetween.draw.scene_box import Box, Cone, box_of
from tenbetween.draw.scene_key import cone_edge, moved_to
from tenbetween.draw.scene_words import ROLES, holder, kind_of, scene_words, screener
from tenbetween.draw.svg import Point
from tenbetween.scene import Scene, known_part
from tenbetween.situation import Basket, Person, PointFt, Role

if TYPE_CHECKING:
    from tenbetween.draw.scene_shade import Field
    from tenbetween.sight import Look, Sight

FLAT = "Bodies are flat discs: heads, arms and height are not modelled."


class View(NamedTuple):
    """How a scene is looked at: part of the court, size, which way round, in which colours."""

    half: Basket | None = None
    turned: bool = False
    theme: str = "screen"
    scale: float = 8.0
    compact: bool = False
    """A small picture on a page of many."""

    def frame(self, scene: Scene) -> Frame:
        """Return the frame of the picture."""
        return frame_of(
            scene.court, half=self.half, scale=self.scale, turned=self.turned, compact=self.compact
        )

    @property
    def ink(self) -> Ink:
        """The colours."""
        return THEMES[self.theme]


def scene_svg(
    scene: Scene,
    *,
    lead: Person = "umpire",
    half: Basket | None = None,
    turned: bool = False,
    theme: str = "screen",
    scale: float = 8.0,
    sight: Sight | None = None,
    shade: Field | None = None,
    title: str = "",
    description: str = "",
    key: bool | None = None,
) -> str:
    """Return the picture of a scene; ``scale`` is points of the picture per foot, the smallest text stays 11.

    ``lead`` is which person is lead, ``sight`` draws looks and box, ``shade`` the floor as seen (cells by columns and
    rows, bit 1 the lead, bit 2 the trail). ``key`` None explains the marks everywhere but on a page, which has its own.

    >>> from tenbetween.scene import Crew, Official, Player
    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> scene = Scene((Player("a1", "a", (20.0, 20.0)),), (), (20.0, 20.0), crew)
    >>> scene_svg(scene).count('class="token ')
    4
    """
    view = View(half, turned, theme, scale)
    explained = key if key is not None else theme != "screen"
    said = description or scene_words(scene, lead, sight)
    return painted(scene, view, lead, sight=sight, shade=shade, key=explained, said=(title or "Scene", said))


def painted(
    scene: Scene,
    view: View,
    lead: Person,
    *,
    sight: Sight | None = None,
    shade: Field | None = None,
    ways: Sequence[str] = (),
    key: bool = False,
    said: tuple[str, str] = ("Scene", ""),
) -> str:
    """Return the picture of a scene in a view; ``ways`` lie below the tokens, ``said`` is title and description."""
    scene = known_part(scene)
    frame, ink = view.frame(scene), view.ink
    seen = (_group("box", ()), _group("looks", ()))
    if sight is not None:
        seen = seen_by_crew(scene, sight, frame, ink)
    groups = [
        svg.tag("g", *floor(scene.court, frame, ink), table(frame, ink), class_="floor"),
        _group("shade", () if shade is None else scene_shade.cells(shade, frame)),
        *seen,
        *([svg.tag("g", *ways, class_="ways")] if ways else []),
        tokens(scene, lead, frame, ink, sight),
    ]
    defs = [scene_shade.patterns(ink)] if shade is not None else []
    defs += [dots(ink)] if sight is not None else []
    wide, high = frame.size
    if key:
        words, more = scene_key.key(
            scene_key.groups(looks=sight is not None, shade=shade is not None, ways=bool(ways)),
            FLAT if sight is not None or shade is not None else "",
            *frame.size,
            ink,
        )
        groups.append(words)
        high += more
    return svg.picture(wide, high, *said, *defs, *groups)


def _group(name: str, inside: Sequence[str]) -> str:
    # An empty group still stands, so that a page has a place to draw into.
    return svg.tag("g", *inside, class_=name) if inside else f'<g class="{name}"></g>'


def table(frame: Frame, ink: Ink) -> str:
    """Return the scorer's table outside the middle of its sideline."""
    x, y = frame.at((frame.length / 2, 0.0))
    y += frame.outward(0.0) * (frame.near - 14.0)
    wide = max(7.5 * frame.scale, 26.0)
    box = Rect(x - wide, y - 11, x + wide, y + 11)
    plank = svg.tag(
        "rect", x=box.x0, y=box.y0, width=2 * wide, height=22, fill=ink.page, stroke=ink.ink,
        stroke_width=THIN,
    )  # fmt: skip
    return svg.tag("g", plank, marks.centred(box.middle, "Table", ink.ink, bold=False), class_="table")


# ---- who is there ----


def tokens(scene: Scene, lead: Person, frame: Frame, ink: Ink, sight: Sight | None = None) -> str:
    """Return everybody and the ball, each drawn about his own origin and moved into place."""
    body = scene_marks.body_size(frame.scale)
    found = [
        token(f"player {p.team}", p.id, frame.at(p.at), scene_marks.player(body, p.team, p.id, ink))
        for p in scene.players
    ]
    found += [_official(scene, role, lead, frame, ink, sight) for role in ROLES]
    if all(isfinite(one) for one in scene.ball):
        name = holder(scene)
        mark = scene_marks.ball(ball_shift(scene, frame), ink)
        found.append(token("ball", "ball", frame.at(scene.ball), mark, data_held=name or None))
    return svg.tag("g", *found, class_="tokens")


def token(name: str, who: str, at: Point, inside: str, **data: str | None) -> str:
    """Return one mark that can be moved."""
    return svg.tag("g", inside, class_=f"token {name}", data_id=who, transform=moved_to(at), **data)


def ball_shift(scene: Scene, frame: Frame) -> Point:
    """Return how far the ball is drawn from its place: to the hip of a holder, so that his number shows."""
    name = holder(scene, within=1.5)
    if not name:
        return (0.0, 0.0)
    x, y = scene.player(name).at
    apart = hypot(x - scene.ball[0], y - scene.ball[1])
    part = min(1.0, (1.5 - apart) / 0.5)
    reach = (scene_marks.body_size(frame.scale) + 1.5) * part
    return (reach * 0.78, reach * 0.62)


def shape_of(role: Role, lead: Person) -> str:
    """Return the shape of whoever has a role: the Referee's square or the Umpire's circle.

    >>> shape_of("lead", "umpire"), shape_of("trail", "umpire")
    ('circle', 'square')
    """
    return "square" if (lead == "referee") == (role == "lead") else "circle"


def _official(scene: Scene, role: Role, lead: Person, frame: Frame, ink: Ink, sight: Sight | None) -> str:
    shape = shape_of(role, lead)
    mark = marks.official((0.0, 0.0), frame.official, shape, role[0].upper(), ink, before=False)
    turn = sight.facing[role].deg if sight is not None else scene.crew.of(role).facing
    if turn is not None:
        mark = (
            scene_marks.facing(frame.official, seen_turn(turn, frame), ink, square=shape == "square") + mark
        )
    at = frame.at(scene.crew.of(role).at)
    return token(f"official {role}", role, at, mark, data_shape=shape)


def seen_turn(deg: float, frame: Frame) -> float:
    """Return a direction of the court (degrees from +x towards +y) as it lies in the picture, in radians."""
    a, b = frame.at((0.0, 0.0)), frame.at((cos(radians(deg)), sin(radians(deg))))
    return atan2(b[1] - a[1], b[0] - a[0])


# ---- what they see ----


def seen_by_crew(scene: Scene, sight: Sight, frame: Frame, ink: Ink) -> tuple[str, str]:
    """Return box and looks of a scene whose places are all known; ``dots`` has to stand once in the picture."""
    box = _group("box", _box(scene, sight, frame, ink))
    return box, _group("looks", _looks(scene, sight, frame, ink))


def _looks(scene: Scene, sight: Sight, frame: Frame, ink: Ink) -> list[str]:
    there = {player.id for player in scene.players}
    found: list[str] = []
    for look in sight.looks:
        if look.matchup.attacker in there and look.matchup.defender in there:
            found += _look(scene, look, frame, ink)
    return found


def _look(scene: Scene, look: Look, frame: Frame, ink: Ink) -> Iterator[str]:
    kind, at = kind_of(look), frame.at(scene.crew.of(look.official).at)
    a, d = (frame.at(scene.player(name).at) for name in (look.matchup.attacker, look.matchup.defender))
    middle = ((a[0] + d[0]) / 2, (a[1] + d[1]) / 2)
    way = (middle[0] - at[0], middle[1] - at[1])
    long = hypot(*way) or 1.0
    start = _along(at, way, min(frame.official * 1.1, long) / long)
    pair = f"{look.matchup.attacker}-{look.matchup.defender}"
    yield scene_marks.look(start, middle, kind, ink, data_official=look.official, data_matchup=pair)
    if kind == "open":
        yield scene_marks.look_ring(_along(at, way, max(0.0, long - 5) / long), ink)
    elif kind == "straight-lined":
        near = min(hypot(p[0] - at[0], p[1] - at[1]) for p in (a, d))
        stop = max(0.0, near - scene_marks.body_size(frame.scale) - 5)
        yield scene_marks.look_bar(_along(at, way, min(stop, long) / long), way, ink)
    elif kind == "screened" and (name := screener(look)):
        square = scene_marks.body_size(frame.scale) + 4
        yield scene_marks.look_square(frame.at(scene.player(name).at), square, ink)


def _along(at: Point, way: Point, part: float) -> Point:
    return (at[0] + way[0] * part, at[1] + way[1] * part)


# ---- the box ----


def _box(scene: Scene, sight: Sight, frame: Frame, ink: Ink) -> list[str]:
    box = box_of(scene, sight.boxed_in.behind_of, sight.settings.radius)
    found = [_shared(box, frame)] if len(box.shared) > 2 else []
    for role, one in box.cones:
        found += _cone(one, role, frame, ink)
    body = scene_marks.body_size(frame.scale)
    for names, behind in ((box.outside, False), (box.behind, True)):
        found += [
            scene_marks.ring(frame.at(scene.player(n).at), body, ink, behind=behind, data_id=n) for n in names
        ]
    return found


def _shared(box: Box, frame: Frame) -> str:
    outline = svg.path(_seen(box.shared, frame), closed=True)
    return svg.tag("path", d=outline, fill="url(#box-shared)", class_="held-by-both")


def _seen(points: Sequence[PointFt], frame: Frame) -> list[Point]:
    return [frame.at(point) for point in points]


def _cone(one: Cone, role: Role, frame: Frame, ink: Ink) -> Iterator[str]:
    """Two edges from the official, and near him an arc: one for the lead, two for the trail."""
    clear = min(frame.official * 1.15 / frame.scale, one.reach / 2)
    for turn in (one.first, one.last):
        yield cone_edge(_seen((one.edge(turn, clear), one.edge(turn)), frame), role, ink)
    for number in range(1 if role == "lead" else 2):
        far = clear + 1.6 + number * 0.9
        yield cone_edge(_seen(one.bow(far), frame), "lead", ink, name=f"bow of-{role}")


def dots(ink: Ink) -> str:
    """Return the pattern of what both hold."""
    spots = "".join(svg.tag("circle", cx=x, cy=y, r=1.0, fill=ink.spot) for x, y in ((2.5, 2.5), (7.5, 7.5)))
    return svg.tag("defs", svg.tag(
        "pattern", spots, id="box-shared", patternUnits="userSpaceOnUse", width=10, height=10
    ))  # fmt: skip
