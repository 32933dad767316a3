"""Puts the marks of a diagram where they truly are: table, spot, officials, ball, ways, lines, measure.

Knows boxes and points of the picture, no colours. The words come after, in ``lettering``, where room is left.
"""

from __future__ import annotations

from itertools import pairwise
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
from tenbetween.draw.fonts import width
from tenbetween.draw.frame import LABEL, Rect, around, frame_of
from tenbetween.draw.labels import Room, along
from tenbetween.draw.lettering import letter, small_direction
from tenbetween.draw.marks import bend, on_bend, trimmed
from tenbetween.draw.people import Before, Official, officials
from tenbetween.draw.phrases import TEAMS, Teams, court_for, from_end, long_text
from tenbetween.draw.plan import (
    DRAWN,
    Layout,
    Mark,
    Measure,
    Move,
    Owned,
    at_part,
    between,
    deciding_line,
    marks_of,
    out_of,
    step_off,
    thrower_radius,
)
from tenbetween.draw.svg import Point
from tenbetween.situation import Basket, PointFt, Ruling, other_side
from tenbetween.units import feet

BAND = 6.0
"""How far outside a line its owner's pattern runs."""


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
        small_direction(plan)
    else:
        letter(plan, pair, teams)
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


def _spot(plan: Layout) -> None:
    """Put the spot's bar on the line and the thrower behind it; a whole end line when he may run it."""
    ruling, frame = plan.ruling, plan.frame
    if ruling.may_run_end_line and ruling.attacking_after is not None:
        x = frame.length if ruling.attacking_after == "left" else 0.0
        plan.run_bar = (frame.at((x, 0.0)), frame.at((x, frame.width)))
        y = frame.width / 2 - 11.0
        _thrower(plan, (x, y), step_off(plan, x))
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
    inside = [
        (min(xs) + (max(xs) - min(xs)) * i, min(ys) + (max(ys) - min(ys)) * j) for i in steps for j in steps
    ]
    inside.sort(key=lambda p: hypot(p[0] - at[0], p[1] - at[1]))
    return [at, *inside]


WATCHED = {
    "first space on his own side and all three spaces across the lane": ("first",),
}
"""What the lead watches at live throws, and which spaces on his own side are his."""


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
        areas = coverage_areas(plan.court, end, other_side(side))
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
            _own(plan, role, (ends[line], 0.0), (ends[line], frame.width), step_off(plan, ends[line]))
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
        plan.room.avoid(along(between(a, b, 14), 3))


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
    plan.room.avoid(along([p for a, b in pairwise(path) for p in between(a, b, 6)][:90], 2))


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
        _measured(plan, (x, y), (x, side), step_off(plan, x), min(spot[1], court.width - spot[1]))


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
        plan.room.avoid(along(between(a, b, 8), 3))


def _measure_boxes(plan: Layout, a: Point, b: Point, size: Point, out: Point) -> list[Rect]:
    spots = [on for t in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8) for on in (at_part(a, b, t),)]
    found = [Rect(x - size[0] / 2, y - size[1] / 2, x + size[0] / 2, y + size[1] / 2) for x, y in spots]
    if out[0] == 0:
        return found
    # Beside an upright measure, towards the court where the margin is too narrow for the words.
    inward = size[0] / 2 + 5
    return [*found, *(Rect(r.x0 - out[0] * inward, r.y0, r.x1 - out[0] * inward, r.y1) for r in found)]


def _open_mark(plan: Layout) -> None:
    """Put a dashed question mark where something that would be drawn is not entered."""
    gaps = [gap for gap in plan.ruling.not_covered if gap.part in DRAWN]
    if not gaps:
        return
    at = _open_place(plan, gaps[0].part)
    found = plan.room.place((26.0, 26.0), Rect(at[0] - 1, at[1] - 1, at[0] + 1, at[1] + 1))
    if found is not None:
        plan.marks.append(Mark("open", found.box.middle, found.box, "?"))


def _open_place(plan: Layout, part: str) -> Point:
    s = plan.ruling.situation
    if part == "spot" and s.at is not None:
        return plan.frame.at((feet(s.at[0]), feet(s.at[1])))
    shown = plan.frame.bounds.middle
    return (shown[0], plan.frame.at((0.0, plan.frame.width / 2))[1])


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
