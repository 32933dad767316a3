"""Our own stick figures for the signals: a head, a trunk and limbs set by angles, drawn as thick lines.

Each name of a signal in the book has one figure here; ``none`` is an official who stands and does nothing.
An angle is measured from straight down, towards the side of the limb: 0 hangs, 90 is level, 180 is up.
"""

from __future__ import annotations

from math import cos, radians, sin

from msgspec import Struct

from tenbetween.draw import svg
from tenbetween.draw.fonts import wrap
from tenbetween.draw.ink import THEMES, Ink
from tenbetween.draw.marks import arrow_head, text
from tenbetween.draw.svg import Point

WIDE, HIGH = 90.0, 104.0
_HEAD, _NECK, _HIP = (42.0, 30.0), (42.0, 42.0), (42.0, 69.0)
_SHOULDER = 8.0
_UPPER, _LOWER = 15.0, 15.0
_LIMB = 3.8
THIN = 2.9
"""Width of the thinnest line of a figure; 1.5 pt where the sheet prints it 54 pt high."""


class Arm(Struct, frozen=True):
    """Upper arm and lower arm by angle, and what the hand does."""

    upper: float = 14.0
    lower: float = 6.0
    hand: str = "plain"


class Figure(Struct, frozen=True):
    """One signal: the arm on our left, the arm on our right, and what is drawn beside them."""

    name: str
    says: str
    left: Arm = Arm()
    right: Arm = Arm()
    extra: str = ""


DOWN = Arm()
FIGURES: dict[str, Figure] = {
    figure.name: figure
    for figure in (
        Figure("none", "stands ready"),
        Figure("open_hand", "open hand straight up: the clock stops", right=Arm(172, 178, "open")),
        Figure("fist", "fist straight up: a foul", right=Arm(172, 178, "fist")),
        Figure("point_direction", "arm level: this way", right=Arm(90, 90, "arrow")),
        Figure("point_spot", "arm down and out: the spot", right=Arm(48, 40, "arrow"), extra="spot"),
        Figure("thumbs_up", "both thumbs up: held ball", Arm(70, 150, "thumb"), Arm(70, 150, "thumb")),
        Figure(
            "run_end_line_wave", "bent arm waved along the line", right=Arm(88, 176, "open"), extra="wave"
        ),
        Figure(
            "strokes", "arm from the chest outward: one a second", right=Arm(60, 95, "plain"), extra="strokes"
        ),
        Figure("arm_up", "arm up, ready to chop", right=Arm(160, 166, "plain"), extra="still"),
        Figure("chop", "arm comes down: the clock starts", right=Arm(100, 80, "plain"), extra="down"),
        Figure("hold_hand", "palm out: wait", right=Arm(95, 140, "palm")),
        Figure("beckon", "hand waves in: come on", right=Arm(95, 185, "open"), extra="in"),
        Figure("count_score", "two fingers brought down: it counts", right=Arm(120, 60, "two"), extra="drop"),
        Figure("wave_off", "arms crossed and swept: no goal", Arm(60, -60), Arm(60, -60), extra="sweep"),
        Figure("one_finger", "one finger: one throw", right=Arm(110, 170, "one")),
        Figure("two_fingers", "two fingers: two throws", right=Arm(110, 170, "two")),
        Figure(
            "three_fingers", "three fingers: three throws, or a try for three", right=Arm(110, 170, "three")
        ),
        Figure("time_out", "hands make a T: time-out", Arm(60, -120), Arm(35, -158), extra="tee"),
        Figure("report_number", "both hands show the number", Arm(75, 165, "two"), Arm(75, 165, "three")),
        Figure("free_throw_strokes", "wrist flicks: ten seconds", right=Arm(40, 100, "flick"), extra="ten"),
        Figure("hand_ball", "hands the ball to the thrower", right=Arm(35, 70, "ball")),
        Figure("bounce_ball", "bounces the ball to the thrower", right=Arm(50, 62, "plain"), extra="bounce"),
        Figure("toss", "tosses the ball straight up", Arm(30, -20), Arm(115, 165, "plain"), extra="toss"),
        Figure("whistle", "whistle in the mouth", extra="whistle"),
        Figure("look", "looks at the partner", extra="look"),
    )
}
"""Every signal by its name in the book."""


def signal_svg(name: str, *, theme: str = "light", height: float = HIGH) -> str:
    """Return the figure of a signal as a picture of its own; an unknown name stands and does nothing.

    >>> signal_svg("chop").startswith("<svg")
    True
    """
    figure = FIGURES.get(name, FIGURES["none"])
    inside = figure_parts(figure, THEMES[theme])
    title = figure.name.replace("_", " ").capitalize()
    picture = svg.picture(WIDE, HIGH, title, figure.says, *inside)
    scale = height / HIGH
    old = f'height="{svg.number(HIGH)}"'
    new = f'height="{svg.number(height)}"'
    wide_old, wide_new = f'width="{svg.number(WIDE)}"', f'width="{svg.number(WIDE * scale)}"'
    return picture.replace(old, new, 1).replace(wide_old, wide_new, 1)


def gallery_svg(*, theme: str = "print", columns: int = 5) -> str:
    """Return all figures with their meaning, as a sheet for the wall.

    >>> gallery_svg().count("<circle") > len(FIGURES)
    True
    """
    ink = THEMES[theme]
    wide, high = 160.0, 164.0
    cells = []
    for i, figure in enumerate(FIGURES.values()):
        x, y = (i % columns) * wide, (i // columns) * high
        lines = wrap(figure.says, 14, wide - 12)
        words = [
            text((wide / 2, 118 + 16 * n), line, ink.ink, anchor="middle") for n, line in enumerate(lines)
        ]
        body = svg.tag("svg", *figure_parts(figure, ink), x=(wide - WIDE) / 2, y=2, width=WIDE, height=HIGH)
        cells.append(svg.tag("g", body, *words, transform=f"translate({svg.number(x)} {svg.number(y)})"))
    rows = -(-len(FIGURES) // columns)
    return svg.picture(columns * wide, rows * high, "Signals", "Stick figures of all signals.", *cells)


def figure_parts(figure: Figure, ink: Ink) -> list[str]:
    """Return the elements of one figure in a box of 90 by 104."""
    head = svg.tag("circle", cx=_HEAD[0], cy=_HEAD[1], r=8.5, fill=ink.page, stroke=ink.ink, stroke_width=3)
    trunk = _limb([_NECK, _HIP], ink)
    legs = _limb([(32.0, 100.0), _HIP, (52.0, 100.0)], ink)
    yoke = _limb([joints(figure.left, -1)[0], joints(figure.right, 1)[0]], ink)
    arms = [*_arm(figure.left, -1, ink), *_arm(figure.right, 1, ink)]
    return [legs, trunk, yoke, *arms, head, *_extra(figure, ink)]


def _limb(points: list[Point], ink: Ink, wide: float = _LIMB) -> str:
    return svg.tag(
        "path",
        d=svg.path(points),
        fill="none",
        stroke=ink.ink,
        stroke_width=wide,
        stroke_linecap="round",
        stroke_linejoin="round",
    )


def joints(arm: Arm, side: int) -> tuple[Point, Point, Point]:
    """Return shoulder, elbow and hand of an arm; ``side`` is -1 for our left, 1 for our right.

    >>> joints(Arm(90, 90), 1)[2]
    (80.0, 44.0)
    """
    shoulder = (_NECK[0] + side * _SHOULDER, _NECK[1] + 2)
    elbow = _swing(shoulder, arm.upper, side, _UPPER)
    return shoulder, elbow, _swing(elbow, arm.lower, side, _LOWER)


def _swing(at: Point, angle: float, side: int, length: float) -> Point:
    turn = radians(angle)
    return (round(at[0] + side * length * sin(turn), 3), round(at[1] + length * cos(turn), 3))


def _arm(arm: Arm, side: int, ink: Ink) -> list[str]:
    shoulder, elbow, hand = joints(arm, side)
    return [_limb([shoulder, elbow, hand], ink), *_hand(arm, hand, side, ink)]


def _hand(arm: Arm, at: Point, side: int, ink: Ink) -> list[str]:
    fingers = {"one": (0,), "two": (-14, 14), "three": (-26, 0, 26), "open": (-44, -22, 0, 22, 44)}
    if arm.hand in fingers:
        ends = [_swing(at, arm.lower + spread, side, 9.0) for spread in fingers[arm.hand]]
        return [_limb([at, end], ink, THIN) for end in ends]
    if arm.hand == "thumb":
        return [_disc(at, 4.2, ink), _limb([at, (at[0], at[1] - 10)], ink, 3.2)]
    draw = {"fist": _fist, "arrow": _arrow, "palm": _palm, "ball": _ball}
    return draw[arm.hand](at, arm, side, ink) if arm.hand in draw else []


def _disc(at: Point, radius: float, ink: Ink) -> str:
    return svg.tag("circle", cx=at[0], cy=at[1], r=radius, fill=ink.ink)


def _fist(at: Point, arm: Arm, side: int, ink: Ink) -> list[str]:
    return [_disc(at, 5.6, ink)]


def _arrow(at: Point, arm: Arm, side: int, ink: Ink) -> list[str]:
    turn = radians(90 - arm.lower) if side > 0 else radians(90 + arm.lower)
    tip = _swing(at, arm.lower, side, 7.0)
    return [svg.tag("path", d=svg.path(arrow_head(tip, turn, 11), closed=True), fill=ink.ink)]


def _palm(at: Point, arm: Arm, side: int, ink: Ink) -> list[str]:
    x, y = at
    box = {"x": x - 4.5, "y": y - 9, "width": 9, "height": 12, "rx": 2.5}
    return [svg.tag("rect", fill=ink.page, stroke=ink.ink, stroke_width=THIN, **box)]


def _ball(at: Point, arm: Arm, side: int, ink: Ink) -> list[str]:
    return [_ball_at((at[0] + side * 4.0, at[1]), ink)]


# ---- what is drawn beside the figure ----

Piece = tuple[str, tuple[Point, ...], float]
"""``line`` (width), ``dash``, ``tip`` (degrees), ``ball`` or ``dot`` (radius), with its points."""


def _ticks(rows: int) -> tuple[Piece, ...]:
    """Five strokes in a row, one for each second."""
    return tuple(
        ("line", ((48.0 + i * 6, 56.0 + row * 14), (48.0 + i * 6, 65.0 + row * 14)), THIN)
        for row in range(rows)
        for i in range(5)
    )


EXTRAS: dict[str, tuple[Piece, ...]] = {
    "spot": (("line", ((56, 92), (70, 92)), 4.0),),
    "wave": (("dash", ((40, -1), (66, -1)), 0), ("tip", ((73, -1),), 0), ("tip", ((32, -1),), 180)),
    "strokes": _ticks(1),
    "ten": _ticks(2),
    "still": (("line", ((56, 2), (56, 20)), THIN), ("line", ((62, 2), (62, 20)), THIN)),
    "down": (
        ("dash", ((48, 4), (62, 14)), 0),
        ("line", ((69, 16), (69, 26)), THIN),
        ("line", ((69, 42), (69, 52)), THIN),
        ("tip", ((69, 60),), 90),
    ),
    "in": (("dash", ((70, 60), (56, 60)), 0), ("tip", ((48, 60),), 180)),
    "drop": (("dash", ((66, 6), (66, 20)), 0), ("tip", ((66, 32),), 90)),
    "sweep": (
        ("tip", ((4, 52),), 180),
        ("dash", ((12, 52), (24, 52)), 0),
        ("dash", ((48, 52), (60, 52)), 0),
        ("tip", ((68, 52),), 0),
    ),
    "tee": (("line", ((54, 0), (72, 0)), 4.4), ("line", ((63, 0), (63, 18)), 4.4)),
    "bounce": (("dash", ((56, 52), (58, 74), (66, 60)), 0), ("ball", ((58, 82),), 6)),
    "toss": (("ball", ((58, 1),), 6), ("line", ((68, -2), (68, 16)), THIN), ("tip", ((68, -6),), -90)),
    "whistle": (
        ("line", ((38, 24), (48, 24)), 3.4),
        ("dot", ((47, 26),), 4),
        ("line", ((54, 19), (63, 16)), THIN),
        ("line", ((54, 25), (63, 25)), THIN),
        ("line", ((54, 31), (63, 34)), THIN),
    ),
    "look": (("dot", ((37, 19),), 2), ("dash", ((46, 20), (58, 20)), 0), ("tip", ((68, 20),), 0)),
}


def _extra(figure: Figure, ink: Ink) -> list[str]:
    pieces = [_piece(piece, ink) for piece in EXTRAS.get(figure.extra, ())]
    return [svg.tag("g", *pieces, transform="translate(9 9)")] if pieces else []


def _piece(piece: Piece, ink: Ink) -> str:
    kind, points, size = piece
    if kind == "line":
        return _limb(list(points), ink, size)
    if kind == "dash":
        return _dashes(list(points), ink)
    if kind == "tip":
        return svg.tag("path", d=svg.path(arrow_head(points[0], radians(size), 9), closed=True), fill=ink.ink)
    return _disc(points[0], size, ink) if kind == "dot" else _ball_at(points[0], ink)


def _dashes(points: list[Point], ink: Ink) -> str:
    return svg.tag(
        "path",
        d=svg.path(points),
        fill="none",
        stroke=ink.ink,
        stroke_width=THIN,
        stroke_dasharray="4.5 3.5",
    )


def _ball_at(at: Point, ink: Ink) -> str:
    return svg.tag("circle", cx=at[0], cy=at[1], r=6, fill=ink.page, stroke=ink.spot, stroke_width=THIN)
