"""Puts numbers and words into a diagram where room is left, the most needed first.

A label never covers another, an official, a spot or a number; the least needed are left out when the floor
is full. Knows boxes, no colours.
"""

from __future__ import annotations

from itertools import pairwise

from tenbetween.draw.fonts import ABOVE, BELOW, LINE, width, wrap
from tenbetween.draw.frame import LABEL, Rect, around
from tenbetween.draw.marks import DIAMOND, GLYPH_WIDTH, on_bend
from tenbetween.draw.people import After, Official
from tenbetween.draw.phrases import DIVIDING_WORDS, Teams, part_words, sentence_of, team_with_ball
from tenbetween.draw.plan import (
    DRAWN,
    Curve,
    Label,
    Layout,
    Mark,
    Owned,
    at_part,
    between,
    deciding_line,
    marks_of,
)
from tenbetween.draw.svg import Point

PAD = 2.0
"""Room between words and the edge of their box."""


def letter(plan: Layout, pair: tuple[Official, Official], teams: Teams) -> None:
    """Put numbers and words where there is room, the most needed first."""
    _numbers(plan, pair)
    _open_words(plan)
    _people_labels(plan, pair)
    _spot_labels(plan, teams)
    _direction(plan, teams)
    _small_labels(plan)


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


GIVING = ("hand_ball", "bounce_ball")


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
        middle = at_part(a, b, 0.5)
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
        line = deciding_line(plan.ruling) or ""
        line = DIVIDING_WORDS.get(line, line.replace("_", " "))
        words = wrap(f"spot here if across the {line}", LABEL, 120.0)
        _label(plan, "near", tuple(("", text) for text in words), box)
    for mark in marks_of(plan, "stopped"):
        _label(plan, "stopped", (("", "stopped here"),), mark.box, near_only=True)


def _direction(plan: Layout, teams: Teams) -> None:
    """Put the arrow of the team that puts the ball in play beside the table, words and arrow in one box."""
    ruling = plan.ruling
    if ruling.attacking_after is None or plan.table is None:
        return
    words = f"{team_with_ball(ruling, teams)} attacks"
    text_wide, arrow = width(words, LABEL, bold=True), 46.0
    size = (text_wide + arrow + 14, 20.0)
    y = plan.table.middle[1] - 10
    wide = plan.frame.size[0]
    spots = (6.0, wide - size[0] - 6, plan.table.x1 + 10, plan.table.x0 - size[0] - 10)
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


def small_direction(plan: Layout) -> None:
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
        x, y = at_part(line.first, line.last, t)
        for way in (-1, 1):
            dx, dy = (0.0, way * (size[1] / 2 + 4)) if level else (way * (size[0] / 2 + 4), 0.0)
            boxes.append(
                Rect(x + dx - size[0] / 2, y + dy - size[1] / 2, x + dx + size[0] / 2, y + dy + size[1] / 2)
            )
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
    line = deciding_line(plan.ruling) or ""
    words = DIVIDING_WORDS.get(line, line.replace("_", " "))
    lines = tuple(("", text) for text in wrap(words, LABEL, 110.0))
    size = label_size(lines, bold=False)
    boxes = []
    path = plan.dividing[0]
    for point in (q for a, b in pairwise(path) for q in between(a, b, 8 if len(path) < 6 else 1)):
        for way in (-1, 1):
            x = point[0] + way * (size[0] / 2 + 4)
            boxes.append(
                Rect(x - size[0] / 2, point[1] - size[1] / 2, x + size[0] / 2, point[1] + size[1] / 2)
            )
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
