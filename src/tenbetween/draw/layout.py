"""Puts everything of a diagram in its place: marks where they truly are, words where there is room.

Knows boxes and points of the picture, no colours. The result can be tested: every label and every mark that
must not be covered has its box here, and ``diagram`` only paints what stands here.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import hypot

from tenbetween.court import (
    Court,
    coverage,
    coverage_areas,
    dividing_path,
    landmarks,
    lane_spaces,
    thrower_place,
)
from tenbetween.draw.fonts import ABOVE, BELOW, LINE, width, wrap
from tenbetween.draw.frame import LABEL, Frame, Rect, around, frame_of
from tenbetween.draw.labels import Room, along
from tenbetween.draw.marks import DIAMOND, GLYPH_WIDTH, bend, on_bend, trimmed
from tenbetween.draw.people import After, Before, Official, officials
from tenbetween.draw.phrases import (
    DIVIDING_WORDS,
    TEAMS,
    Teams,
    court_for,
    from_end,
    long_text,
    part_words,
    sentence_of,
    team_with_ball,
)
from tenbetween.draw.svg import Point
from tenbetween.situation import Basket, PointFt, PointUm, Ruling
from tenbetween.units import feet

Curve = tuple[Point, Point, Point, Point]
BAND = 6.0
"""How far outside a line its owner's pattern runs."""
PAD = 2.0


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of words in a box, each with a mark before it or none; ``tie`` is where a thin line leads."""

    kind: str
    lines: tuple[tuple[str, str], ...]
    box: Rect
    bold: bool = False
    tie: Point | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that must stay uncovered: what it is, where, and its box."""

    kind: str
    at: Point
    box: Rect
    text: str = ""
    shape: str = ""


@dataclass(frozen=True, slots=True)
class Move:
    """A way from before to at disposal."""

    curve: Curve
    shape: str


@dataclass(frozen=True, slots=True)
class Measure:
    """A length between two points, with its words in a box."""

    first: Point
    last: Point
    box: Rect
    words: str


@dataclass(frozen=True, slots=True)
class Owned:
    """A stretch of boundary line with its owner, as a chain in the picture just outside the line."""

    role: str
    first: Point
    last: Point


@dataclass(slots=True)
class Layout:
    """A diagram with everything in its place."""

    ruling: Ruling
    court: Court
    frame: Frame
    room: Room
    marks: list[Mark] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    moves: list[Move] = field(default_factory=list)
    measures: list[Measure] = field(default_factory=list)
    owned: list[Owned] = field(default_factory=list)
    areas: list[tuple[Point, ...]] = field(default_factory=list)
    dividing: list[tuple[Point, ...]] = field(default_factory=list)
    spot_bar: tuple[Point, Point] | None = None
    other_bar: tuple[Point, Point] | None = None
    run_bar: tuple[Point, Point] | None = None
    given: tuple[Point, Point] | None = None
    arrow: tuple[Point, Point] | None = None
    table: Rect | None = None


def lay_out(
    ruling: Ruling,
    *,
    half: bool | None = None,
    turned: bool = False,
    scale: float = 8.0,
    teams: Teams = TEAMS,
    compact: bool = False,
) -> Layout:
    """Return a ruling's diagram with everything in its place; ``half`` None shows half when all fits in.

    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> plan = lay_out(Ruling(situation=goal, restart="throw_in"))
    >>> [mark.kind for mark in plan.marks if mark.kind == "before"]
    ['before', 'before']
    """
    court = court_for(ruling.situation)
    pair = officials(ruling, court)
    shown = None if half is False or compact else half_that_holds(ruling, court, pair)
    frame = frame_of(court, half=shown, scale=scale, turned=turned, compact=compact)
    plan = Layout(ruling, court, frame, Room(frame.bounds.wider(-2.0)))
    _fixed(plan, pair)
    if compact:
        _small_direction(plan)
    else:
        _worded(plan, pair, teams)
    return plan


def _fixed(plan: Layout, pair: tuple[Official, Official]) -> None:
    """Put what stands where it stands: table, spot, officials, ball, ways."""
    _table(plan)
    _spot(plan)
    _people(plan, pair)
    _at_the_line(plan)
    _given(plan)
    if not plan.frame.compact:
        _areas(plan)
        _owners(plan)
        _dividing(plan)
        _measure(plan)
        _stopped_here(plan)
    _open_mark(plan)
    for one in pair:
        _way(plan, one)


def _worded(plan: Layout, pair: tuple[Official, Official], teams: Teams) -> None:
    """Put numbers and words where there is room, the most needed first."""
    _numbers(plan, pair)
    _open_words(plan)
    _people_labels(plan, pair)
    _spot_labels(plan, teams)
    _direction(plan, teams)
    _small_labels(plan)


def half_that_holds(ruling: Ruling, court: Court, pair: tuple[Official, Official]) -> Basket | None:
    """Return the end whose half court holds every place of a ruling, or None when it takes the whole."""
    s = ruling.situation
    xs = [before.post.at[0] for one in pair for before in one.before]
    xs += [one.after.at[0] for one in pair if one.after]
    xs += [feet(at[0]) for at in (ruling.spot, s.at) if at is not None]
    if ruling.may_run_end_line or not xs:
        return None
    middle = feet(court.length) / 2
    if min(xs) >= middle - 5.5:
        return "right"
    return "left" if max(xs) <= middle + 5.5 else None


# ---- what lies fixed ----


def _table(plan: Layout) -> None:
    """Put the table outside the middle of its sideline."""
    frame = plan.frame
    x, y = frame.at((frame.length / 2, 0.0))
    out = frame.outward(0.0)
    y += out * (plan.frame.near - 14.0)
    high, wide = 11.0, max(7.5 * frame.scale, 26.0)
    box = Rect(x - wide, y - high, x + wide, y + high)
    plan.table = box
    plan.room.block(box.wider(2))
    plan.marks.append(Mark("table", box.middle, box, "Table"))


def out_of(plan: Layout, spot: PointUm) -> Point:
    """Return the unit step, in the picture, that leads off the court at a boundary spot."""
    x, y = feet(spot[0]), feet(spot[1])
    if y <= 0 or y >= plan.frame.width:
        return (0.0, plan.frame.outward(y))
    left = (x <= 0) != plan.frame.turned
    return (-1.0 if left else 1.0, 0.0)


def _spot(plan: Layout) -> None:
    """Put the spot's bar on the line and the thrower behind it; a whole end line when he may run it."""
    ruling, frame = plan.ruling, plan.frame
    if ruling.may_run_end_line and ruling.attacking_after is not None:
        x = frame.length if ruling.attacking_after == "left" else 0.0
        plan.run_bar = (frame.at((x, 0.0)), frame.at((x, frame.width)))
        y = frame.width / 2 - 11.0
        _thrower(plan, (x, y), _step_off(plan, x))
        return
    if ruling.spot is None:
        return
    first, last = (frame.at(point) for point in thrower_place(plan.court, ruling.spot))
    plan.spot_bar = (first, last)
    _thrower(plan, (feet(ruling.spot[0]), feet(ruling.spot[1])), out_of(plan, ruling.spot))
    bar = Rect(min(first[0], last[0]), min(first[1], last[1]), max(first[0], last[0]), max(first[1], last[1]))
    box = bar.wider(4.0)
    plan.marks.append(Mark("spot", bar.middle, box))
    plan.room.block(box)
    if ruling.near is not None and ruling.near.other_side_answer.spot is not None:
        other = thrower_place(plan.court, ruling.near.other_side_answer.spot)
        plan.other_bar = (frame.at(other[0]), frame.at(other[1]))


def _step_off(plan: Layout, x: float) -> Point:
    left = (x <= 0) != plan.frame.turned
    return (-1.0 if left else 1.0, 0.0)


def thrower_radius(frame: Frame) -> float:
    """Return the half width of the thrower."""
    return 5.0 if frame.compact else max(7.0, 0.9 * frame.scale)


def _thrower(plan: Layout, at: PointFt, out: Point) -> None:
    x, y = plan.frame.at(at)
    off = 15.0 if plan.frame.compact else max(1.8 * plan.frame.scale, thrower_radius(plan.frame) + 4)
    place = (x + out[0] * off, y + out[1] * off)
    box = around(place, thrower_radius(plan.frame))
    plan.marks.append(Mark("thrower", place, box))
    plan.room.block(box.wider(1.0))


def _people(plan: Layout, pair: tuple[Official, Official]) -> None:
    """Put both officials at disposal where they are, then where they were, clear of each other."""
    for one in pair:
        if one.after is not None:
            _stand(plan, "after", plan.frame.at(one.after.at), one.after.letter, one.shape)
    for one in pair:
        for before in one.before:
            at = _clear_place(plan, before)
            if at is not None:
                _stand(plan, "before", at, before.letter, one.shape)


def _stand(plan: Layout, kind: str, at: Point, letter: str, shape: str) -> None:
    box = around(at, plan.frame.official)
    plan.marks.append(Mark(kind, at, box, letter, shape))
    plan.room.block(box.wider(1.0))


def _clear_place(plan: Layout, before: Before) -> Point | None:
    """Return where a before-mark can be drawn: the taught point, or another point of its zone when taken."""
    taken = [mark.box for mark in plan.marks if mark.kind in ("after", "before", "spot", "thrower")]
    for point in _zone_points(before):
        at = plan.frame.at(point)
        box = around(at, plan.frame.official + 1.0)
        if box.inside(plan.frame.bounds) and not any(box.meets(other) for other in taken):
            return at
    return None


def _zone_points(before: Before) -> list[PointFt]:
    at, zone = before.post.at, before.post.zone
    if not zone:
        return [at]
    xs, ys = [p[0] for p in zone], [p[1] for p in zone]
    steps = (0.5, 0.25, 0.75, 0.0, 1.0)
    inside = [(min(xs) + (max(xs) - min(xs)) * i, min(ys) + (max(ys) - min(ys)) * j) for i in steps for j in steps]
    inside.sort(key=lambda p: hypot(p[0] - at[0], p[1] - at[1]))
    return [at, *inside]


def marks_of(plan: Layout, kind: str) -> list[Mark]:
    """Return the marks of one kind."""
    return [mark for mark in plan.marks if mark.kind == kind]


WATCHED = {
    "first space on his own side and all three spaces across the lane": ("first",),
}
"""What the lead watches at live throws, and the spaces on his own side that are his; the others are the trail's."""


def _at_the_line(plan: Layout) -> None:
    """Put the shooter at the line, and on each lane space the letter of the official who watches it."""
    ruling, end = plan.ruling, plan.ruling.attacking_after
    if ruling.restart != "free_throws" or end is None:
        return
    x, y = landmarks(plan.court)[f"{end}_free_throw_line_middle"]
    at = plan.frame.at((x + (1.0 if end == "left" else -1.0), y))
    box = around(at, thrower_radius(plan.frame))
    plan.marks.append(Mark("thrower", at, box))
    plan.room.block(box.wider(1.0))
    if plan.frame.compact:
        return
    mine = WATCHED.get((ruling.watches or {}).get("lead", ""))
    if mine is None or ruling.lead_side_after is None or ruling.after_free_throws is not None:
        return
    for name, shape in lane_spaces(plan.court).items():
        if name.startswith(end):
            _lane_space(plan, name, shape, mine)


def _lane_space(plan: Layout, name: str, shape: tuple[PointFt, ...], mine: tuple[str, ...]) -> None:
    own_side = f"_{plan.ruling.lead_side_after}_" in name
    lead = not own_side or any(f"_{space}_" in name for space in mine)
    xs, ys = [p[0] for p in shape], [p[1] for p in shape]
    lane = ys[0] if abs(ys[0] - plan.frame.width / 2) < abs(ys[2] - plan.frame.width / 2) else ys[2]
    out = 2.1 if lane > plan.frame.width / 2 else -2.1
    at = plan.frame.at(((min(xs) + max(xs)) / 2, lane + out))
    box = around(at, 8.5)
    plan.marks.append(Mark("space", at, box, "L" if lead else "T"))
    plan.room.block(box)


def _given(plan: Layout) -> None:
    """Join the official who gives the ball with the thrower."""
    ruling = plan.ruling
    throwers = marks_of(plan, "thrower")
    if ruling.restart != "throw_in" or ruling.administers is None or not throwers:
        return
    if ruling.delivery not in ("hand", "bounce"):
        return
    letter = "L" if ruling.administers.now == "lead" else "T"
    giver = next((m for m in marks_of(plan, "after") if m.text == letter), None)
    if giver is None:
        return
    a, b = giver.at, throwers[0].at
    length = hypot(b[0] - a[0], b[1] - a[1])
    start, stop = plan.frame.official + 3, length - thrower_radius(plan.frame) - 3
    if stop - start < 3:
        return
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    plan.given = ((a[0] + ux * start, a[1] + uy * start), (a[0] + ux * stop, a[1] + uy * stop))
    plan.room.avoid(along([plan.given[0], plan.given[1]], 4))


# ---- areas and lines ----


def _areas(plan: Layout) -> None:
    """Put the lead's coverage area, as often taught, where play restarts in the front court."""
    ruling = plan.ruling
    front = ruling.restart == "throw_in" and ruling.court_part == "frontcourt"
    if not front or ruling.attacking_after is None or ruling.lead_side_after is None:
        return
    end, side = ruling.attacking_after, ruling.lead_side_after
    if plan.court.kind == "us-hs":
        shapes = [coverage(plan.court, end, side)["lead"]]
    else:
        trail_side = "opposite" if side == "table" else "table"
        areas = coverage_areas(plan.court, end, trail_side)
        shapes = [polygon for who, polygon in areas.values() if who in ("lead", "both")]
    plan.areas = [tuple(plan.frame.at(point) for point in shape) for shape in shapes]


def _owners(plan: Layout) -> None:
    """Put the owner's pattern just outside every boundary line that has one."""
    ruling, frame = plan.ruling, plan.frame
    if not ruling.lines or ruling.attacking_after is None or ruling.restart != "throw_in":
        return
    front = 0.0 if ruling.attacking_after == "left" else frame.length
    ends = {"frontcourt_end_line": front, "backcourt_end_line": frame.length - front}
    for line, role in ruling.lines.items():
        if line in ends:
            _own(plan, role, (ends[line], 0.0), (ends[line], frame.width), _step_off(plan, ends[line]))
        elif line.endswith("sideline"):
            _own_side(plan, line, role, front)


def _own_side(plan: Layout, line: str, role: str, front: float) -> None:
    frame = plan.frame
    y = 0.0 if line == "table_sideline" else frame.width
    out = (0.0, frame.outward(y))
    if role in ("lead", "trail"):
        _own(plan, role, (0.0, y), (frame.length, y), out)
        return
    depth = feet(plan.court.free_throw)
    level = depth if front == 0.0 else frame.length - depth
    _own(plan, "lead", (front, y), (level, y), out)
    _own(plan, "trail", (level, y), (frame.length - front, y), out)


def _own(plan: Layout, role: str, first: PointFt, last: PointFt, out: Point) -> None:
    a, b = (plan.frame.at(point) for point in (first, last))
    a, b = (a[0] + out[0] * BAND, a[1] + out[1] * BAND), (b[0] + out[0] * BAND, b[1] + out[1] * BAND)
    wide = plan.frame.size[0]
    if a[0] == b[0] and not 0 < a[0] < wide:
        return
    a, b = (min(max(a[0], 0.0), wide), a[1]), (min(max(b[0], 0.0), wide), b[1])
    if hypot(a[0] - b[0], a[1] - b[1]) > 30:
        plan.owned.append(Owned(role, a, b))
        plan.room.avoid(along(_between(a, b, 14), 3))


def _between(a: Point, b: Point, pieces: int) -> list[Point]:
    return [(a[0] + (b[0] - a[0]) * i / pieces, a[1] + (b[1] - a[1]) * i / pieces) for i in range(pieces + 1)]


def _dividing(plan: Layout) -> None:
    """Put the dividing line an answer turned on: the one close by, or the free-throw line extended."""
    line, end = deciding_line(plan.ruling), plan.ruling.attacking_after
    if line is None or end is None:
        return
    if plan.ruling.near is not None and plan.ruling.situation.at is not None:
        left = 2 * plan.ruling.situation.at[0] <= plan.court.length
        end = "left" if left else "right"
    path = tuple(plan.frame.at(point) for point in dividing_path(plan.court, end, line))
    plan.dividing.append(path)
    plan.room.avoid(along([p for a, b in zip(path, path[1:], strict=False) for p in _between(a, b, 6)][:90], 2))


def deciding_line(ruling: Ruling) -> str | None:
    """Return the dividing line to draw, or None: the near one, else the level that decides a sideline.

    >>> from tenbetween.situation import Situation
    >>> out = Situation(edition="us-hs-2025", attacking="left", stopped_by="out_of_bounds")
    >>> deciding_line(Ruling(situation=out, restart="throw_in", line="sideline", court_part="frontcourt"))
    'free_throw_line_extended'
    """
    if ruling.near is not None:
        return ruling.near.line
    if ruling.restart == "throw_in" and ruling.line == "sideline" and ruling.court_part == "frontcourt":
        return "free_throw_line_extended"
    return None


def _measure(plan: Layout) -> None:
    """Measure a fixed spot to the end line, or on an end line to the nearer sideline."""
    ruling, frame, court = plan.ruling, plan.frame, plan.court
    spot = ruling.spot
    if spot is None or ruling.line == "division_line":
        return
    x, y = feet(spot[0]), feet(spot[1])
    if spot[1] in (0, court.width):
        end = 0.0 if 2 * spot[0] <= court.length else frame.length
        _measured(plan, (x, y), (end, y), (0.0, frame.outward(y)), from_end(court, spot[0]))
    else:
        side = 0.0 if 2 * spot[1] <= court.width else frame.width
        _measured(plan, (x, y), (x, side), _step_off(plan, x), min(spot[1], court.width - spot[1]))


def _measured(plan: Layout, first: PointFt, last: PointFt, out: Point, length: int) -> None:
    if length == 0:
        return
    off = 1.5 * plan.frame.scale + plan.frame.official + 7.0 if out[0] == 0 else 40.0
    off = min(off, 43.0)
    a, b = plan.frame.at(first), plan.frame.at(last)
    a, b = (a[0] + out[0] * off, a[1] + out[1] * off), (b[0] + out[0] * off, b[1] + out[1] * off)
    words = long_text(plan.court, length)
    size = (width(words, LABEL, bold=True) + 6, LABEL * 1.05)
    box = plan.room.at_one_of(_measure_boxes(plan, a, b, size, out))
    if box is not None:
        plan.measures.append(Measure(a, b, box, words))
        plan.room.avoid(along(_between(a, b, 8), 3))


def _measure_boxes(plan: Layout, a: Point, b: Point, size: Point, out: Point) -> list[Rect]:
    spots = [on for t in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8) for on in (_at(a, b, t),)]
    found = [Rect(x - size[0] / 2, y - size[1] / 2, x + size[0] / 2, y + size[1] / 2) for x, y in spots]
    if out[0] == 0:
        return found
    # Beside an upright measure, towards the court where the margin is too narrow for the words.
    inward = size[0] / 2 + 5
    return [*found, *(Rect(r.x0 - out[0] * inward, r.y0, r.x1 - out[0] * inward, r.y1) for r in found)]


def _at(a: Point, b: Point, t: float) -> Point:
    return (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)


# ---- words and numbers ----


DRAWN = ("restart", "spot", "administers", "roles_after", "lead_side_after", "places")
"""Parts that would be drawn on the court, and are a question mark while nobody entered them."""


def _open_mark(plan: Layout) -> None:
    """Put a dashed question mark where something that would be drawn is not entered."""
    gaps = [gap for gap in plan.ruling.not_covered if gap.part in DRAWN]
    if not gaps:
        return
    at = _open_place(plan, gaps[0].part)
    found = plan.room.place((26.0, 26.0), Rect(at[0] - 1, at[1] - 1, at[0] + 1, at[1] + 1))
    if found is not None:
        plan.marks.append(Mark("open", found.box.middle, found.box, "?"))


def _open_words(plan: Layout) -> None:
    """Say beside the question mark which parts are open, and why where there is room."""
    gaps = [gap for gap in plan.ruling.not_covered if gap.part in DRAWN]
    for mark in marks_of(plan, "open"):
        names = list(dict.fromkeys(part_words(gap.part) for gap in gaps))
        lines = wrap(f"Not covered: {'; '.join(names)}.", LABEL, 190.0)
        why = wrap(sentence_of(gaps[0].why), LABEL, 190.0)
        for words in ((*lines, *why), lines, ("Not covered",)):
            if _label(plan, "open", tuple(("", line) for line in words), mark.box) is not None:
                return


def _open_place(plan: Layout, part: str) -> Point:
    s = plan.ruling.situation
    if part == "spot" and s.at is not None:
        return plan.frame.at((feet(s.at[0]), feet(s.at[1])))
    shown = plan.frame.bounds.middle
    return (shown[0], plan.frame.at((0.0, plan.frame.width / 2))[1])


GIVING = ("hand_ball", "bounce_ball")


def _way(plan: Layout, one: Official) -> None:
    """Draw the way of an official from before to at disposal."""
    if one.after is None or len(one.before) != 1 or not one.steps:
        return
    start = next((m for m in marks_of(plan, "before") if m.shape == one.shape), None)
    if start is None:
        return
    centre = plan.frame.at((plan.frame.length / 2, plan.frame.width / 2))
    full = bend(start.at, plan.frame.at(one.after.at), centre)
    curve = trimmed(full, plan.frame.official + 3, plan.frame.official + 3)
    if curve is None or hypot(curve[3][0] - curve[0][0], curve[3][1] - curve[0][1]) < 20:
        return
    plan.moves.append(Move(curve, one.shape))
    plan.room.avoid(along([on_bend(curve, i / 24) for i in range(25)], 5))


def _numbers(plan: Layout, pair: tuple[Official, Official]) -> None:
    """Put the number of its step on every way, and on the ball that is given."""
    for move in plan.moves:
        one = next(one for one in pair if one.shape == move.shape)
        _diamond(plan, move.curve, one.steps[0])
    number = next((n for n, step in enumerate(plan.ruling.steps, 1) if step.signal in GIVING), 0)
    if plan.given is not None and number:
        _diamond(plan, [plan.given], number)


def _diamond(plan: Layout, way: Curve | list[tuple[Point, Point]], number: int) -> None:
    if isinstance(way, tuple):
        points = [on_bend(way, t) for t in (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18)]
        box = plan.room.at_one_of([around(p, DIAMOND) for p in points])
    else:
        box = None
    if box is None:
        a, b = (way[0], way[3]) if isinstance(way, tuple) else way[0]
        middle = _at(a, b, 0.5)
        found = plan.room.place((2 * DIAMOND, 2 * DIAMOND), around(middle, 6.0))
        box = found.box if found else None
    if box is not None:
        plan.marks.append(Mark("step", box.middle, box, str(number)))


def _people_labels(plan: Layout, pair: tuple[Official, Official]) -> None:
    afters = iter(marks_of(plan, "after"))
    for one in pair:
        if one.after is not None:
            lines = _after_lines(one.after)
            _label(plan, "after", lines, next(afters).box, bold=True)
    for one in pair:
        for before, mark in zip(one.before, _befores(plan, one), strict=False):
            _label(plan, "before", tuple(("", line) for line in before.label), mark.box)


def _befores(plan: Layout, one: Official) -> list[Mark]:
    return [mark for mark in marks_of(plan, "before") if mark.shape == one.shape]


def _after_lines(after: After) -> tuple[tuple[str, str], ...]:
    lines = [("", line) for line in after.label]
    lines += [("count", after.counts)] if after.counts else []
    lines += [("chop", after.chops)] if after.chops else []
    return tuple(lines)


def label_size(lines: tuple[tuple[str, str], ...], *, bold: bool) -> Point:
    """Return the room lines of words take, with a mark before them where there is one.

    >>> label_size((("", "26 ft"),), bold=True) < label_size((("count", "26 ft"),), bold=True)
    True
    """
    wide = max(width(line, LABEL, bold=bold) + (GLYPH_WIDTH if mark else 0) for mark, line in lines)
    high = LABEL * (ABOVE + BELOW + LINE * (len(lines) - 1))
    return (wide + 2 * PAD, high + PAD)


def _label(
    plan: Layout,
    kind: str,
    lines: tuple[tuple[str, str], ...],
    anchor: Rect,
    *,
    bold: bool = False,
    near_only: bool = False,
) -> Label | None:
    found = plan.room.place(label_size(lines, bold=bold), anchor, near_only=near_only)
    if found is None:
        return None
    label = Label(kind, lines, found.box, bold, anchor.middle if found.tied else None)
    plan.labels.append(label)
    return label


def _spot_labels(plan: Layout, teams: Teams) -> None:
    throwers = marks_of(plan, "thrower")
    if plan.run_bar is not None and throwers:
        _label(plan, "run", (("", "may run the"), ("", "end line")), throwers[0].box, bold=True)
    if plan.other_bar is not None:
        a, b = plan.other_bar
        box = Rect(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])).wider(4)
        near = plan.ruling.near
        assert near is not None
        line = DIVIDING_WORDS.get(near.line, near.line.replace("_", " "))
        words = wrap(f"spot here if across the {line}", LABEL, 120.0)
        _label(plan, "near", tuple(("", text) for text in words), box)
    for mark in marks_of(plan, "stopped"):
        _label(plan, "stopped", (("", "stopped here"),), mark.box, near_only=True)


def _stopped_here(plan: Layout) -> None:
    s = plan.ruling.situation
    if s.at is None or plan.ruling.restart == "play_goes_on" or (plan.ruling.spot == s.at):
        return
    at = plan.frame.at((feet(s.at[0]), feet(s.at[1])))
    box = around(at, 6.0)
    if not plan.room.free(box):
        return
    plan.marks.append(Mark("stopped", at, box))
    plan.room.block(box)


def _direction(plan: Layout, teams: Teams) -> None:
    """Put the arrow of the team that puts the ball in play beside the table, words and arrow in one box."""
    ruling = plan.ruling
    if ruling.attacking_after is None:
        return
    words = f"{team_with_ball(ruling, teams)} attacks"
    text_wide, arrow = width(words, LABEL, bold=True), 46.0
    size = (text_wide + arrow + 14, 20.0)
    assert plan.table is not None
    y = plan.table.middle[1] - 10
    wide = plan.frame.size[0]
    spots = [x for x in (6.0, wide - size[0] - 6, plan.table.x1 + 10, plan.table.x0 - size[0] - 10)]
    boxes = [Rect(x, y, x + size[0], y + 20) for x in spots]
    box = plan.room.at_one_of(boxes)
    if box is None:
        found = plan.room.place(size, plan.table)
        box = found.box if found else None
    if box is None:
        return
    right = (ruling.attacking_after == "right") != plan.frame.turned
    middle = box.middle[1]
    tail, tip = (box.x0 + text_wide + 10, box.x1 - 2) if right else (box.x1 - 2, box.x0 + text_wide + 10)
    plan.arrow = ((tail, middle), (tip, middle))
    label = Rect(box.x0, box.y0, box.x0 + text_wide + 4, box.y1)
    plan.labels.append(Label("direction", (("", words),), label, True))


def _small_direction(plan: Layout) -> None:
    """Put a bare arrow of the direction beside the table."""
    if plan.ruling.attacking_after is None or plan.table is None:
        return
    right = (plan.ruling.attacking_after == "right") != plan.frame.turned
    y = plan.table.y0
    before, after = plan.table.x0 - 48, plan.table.x1 + 8
    boxes = [Rect(x, y, x + 40, y + 22) for x in ((after, before) if right else (before, after))]
    box = plan.room.at_one_of(boxes)
    if box is not None:
        ends = ((box.x0, box.middle[1]), (box.x1, box.middle[1]))
        plan.arrow = ends if right else (ends[1], ends[0])


def _small_labels(plan: Layout) -> None:
    """Name the owners of the lines, the deciding line and the lead's area, where there is room."""
    for line in sorted(plan.owned, key=lambda owned: owned.first[1] != owned.last[1]):
        _owner_label(plan, line)
    if plan.dividing:
        _dividing_label(plan)
    if plan.areas:
        _area_label(plan)


def _owner_label(plan: Layout, line: Owned) -> None:
    words = f"{line.role}'s line"
    size = label_size((("", words),), bold=False)
    level = line.first[1] == line.last[1]
    boxes = []
    for t in (0.3, 0.7, 0.2, 0.8, 0.5, 0.4, 0.6, 0.12, 0.88):
        x, y = _at(line.first, line.last, t)
        for way in (-1, 1):
            dx, dy = (0.0, way * (size[1] / 2 + 4)) if level else (way * (size[0] / 2 + 4), 0.0)
            boxes.append(Rect(x + dx - size[0] / 2, y + dy - size[1] / 2, x + dx + size[0] / 2, y + dy + size[1] / 2))
    outside = [box for box in boxes if not _on_court(plan, box)]
    box = plan.room.at_one_of(outside) or plan.room.at_one_of(boxes)
    if box is not None:
        plan.labels.append(Label("owner", (("", words),), box))


def _on_court(plan: Layout, box: Rect) -> bool:
    near, far = plan.frame.at((0.0, 0.0)), plan.frame.at((plan.frame.length, plan.frame.width))
    low, high = sorted((near[1], far[1]))
    left, right = sorted((near[0], far[0]))
    return box.meets(Rect(left, low, right, high))


def _dividing_label(plan: Layout) -> None:
    line = deciding_line(plan.ruling)
    assert line is not None
    words = DIVIDING_WORDS.get(line, line.replace("_", " "))
    lines = tuple(("", text) for text in wrap(words, LABEL, 110.0))
    size = label_size(lines, bold=False)
    boxes = []
    path = plan.dividing[0]
    for point in (q for a, b in zip(path, path[1:], strict=False) for q in _between(a, b, 8 if len(path) < 6 else 1)):
        for way in (-1, 1):
            x = point[0] + way * (size[0] / 2 + 4)
            boxes.append(Rect(x - size[0] / 2, point[1] - size[1] / 2, x + size[0] / 2, point[1] + size[1] / 2))
    box = plan.room.at_one_of(boxes)
    if box is not None:
        plan.labels.append(Label("dividing", lines, box))


def _area_label(plan: Layout) -> None:
    xs = [p[0] for area in plan.areas for p in area]
    ys = [p[1] for area in plan.areas for p in area]
    lines = (("", "lead's area,"), ("", "as often taught"))
    size = label_size(lines, bold=False)
    boxes = []
    for i in (0.5, 0.3, 0.7, 0.15, 0.85):
        for j in (0.5, 0.3, 0.7, 0.15, 0.85):
            x = min(xs) + (max(xs) - min(xs) - size[0]) * i
            y = min(ys) + (max(ys) - min(ys) - size[1]) * j
            boxes.append(Rect(x, y, x + size[0], y + size[1]))
    box = plan.room.at_one_of(boxes)
    if box is not None:
        plan.labels.append(Label("area", lines, box))
