"""The court diagram of an answer as SVG: paints what ``layout`` has put in place, lowest first.

Seen from the table, which lies at the bottom; ``turned`` is a half turn for a gym that stands the other way.
"""

from __future__ import annotations

import re
from html import unescape
from math import atan2

from tenbetween.draw import marks, svg
from tenbetween.draw.court_svg import floor
from tenbetween.draw.fonts import ABOVE, LINE, width
from tenbetween.draw.frame import LABEL, THIN, Rect
from tenbetween.draw.ink import THEMES, Ink
from tenbetween.draw.layout import half_that_holds, lay_out
from tenbetween.draw.lettering import PAD
from tenbetween.draw.people import officials
from tenbetween.draw.phrases import TEAMS, Teams, court_for, team_with_ball
from tenbetween.draw.plan import Label, Layout, marks_of, out_of, thrower_radius
from tenbetween.draw.svg import Point
from tenbetween.draw.words import not_covered_lines, partner_sentence, sentence
from tenbetween.situation import PointUm, Ruling

DOT = 1.8
DOT_STEP = 11.0


def diagram_svg(
    ruling: Ruling,
    *,
    half: bool | None = None,
    turned: bool = False,
    theme: str = "light",
    scale: float = 8.0,
    teams: Teams = TEAMS,
) -> str:
    """Return the court diagram of an answer; ``scale`` is points of the picture per foot, texts stay 14.

    ``half`` None or True shows half the court when every place lies in it (nobody is ever cut off), False the
    whole court.

    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> diagram_svg(Ruling(situation=goal, restart="throw_in")).startswith("<svg")
    True

    Raises:
        BookError: no such edition.
    """
    plan = lay_out(ruling, half=half, turned=turned, scale=scale, teams=teams)
    return painted(plan, THEMES[theme], teams)


def small_svg(
    ruling: Ruling,
    wide: float,
    high: float,
    *,
    turned: bool = False,
    theme: str = "print",
    teams: Teams = TEAMS,
) -> str:
    """Return a small diagram for a page of many: marks, letters and ways, no words beside them.

    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> small_svg(Ruling(situation=goal, restart="throw_in"), 264, 180).startswith("<svg")
    True
    """
    scale = (high - 78.0) / 50.0
    plan = lay_out(ruling, turned=turned, scale=scale, teams=teams, compact=True)
    if plan.frame.size[0] > wide:
        scale *= wide / plan.frame.size[0]
        plan = lay_out(ruling, turned=turned, scale=scale, teams=teams, compact=True)
    return painted(plan, THEMES[theme], teams)


def shows_half(ruling: Ruling) -> bool:
    """Return whether half the court holds every place of a ruling.

    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> shows_half(Ruling(situation=goal, restart="throw_in", may_run_end_line=True))
    False
    """
    court = court_for(ruling.situation)
    return half_that_holds(ruling, court, officials(ruling, court)) is not None


def painted(plan: Layout, ink: Ink, teams: Teams = TEAMS) -> str:
    """Return a layout as a picture with its description."""
    inside = [
        *floor(plan.court, plan.frame, ink),
        *_areas(plan, ink),
        *_owned(plan, ink),
        *_dividing(plan, ink),
        *_table(plan, ink),
        *_spot(plan, ink),
        *_ties(plan, ink),
        *(marks.move(move.curve, move.shape, ink) for move in plan.moves),
        *_measures(plan, ink),
        *_labels(plan, ink),
        *_people(plan, ink),
        *_direction(plan, ink),
    ]
    return svg.picture(*plan.frame.size, "Court diagram", description(plan.ruling, teams), *inside)


def description(ruling: Ruling, teams: Teams = TEAMS) -> str:
    """Return what the picture shows in words, for those who do not see it.

    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> description(Ruling(situation=goal, restart=None))
    'Nothing entered covers this. Ask your interpreter; add the answer here.'
    """
    said = (
        sentence(ruling, teams=teams),
        partner_sentence(ruling, teams=teams),
        *not_covered_lines(ruling)[:3],
    )
    return " ".join(filter(None, said))


_TEXT = re.compile(r"<text ([^>]*)>([^<]*)</text>")


def fitted(picture: str) -> str:
    """Return a picture whose words keep their measured width even where our font is not at hand.

    >>> fitted('<text font-size="14" font-weight="400">ten</text>')
    '<text font-size="14" font-weight="400" lengthAdjust="spacingAndGlyphs" textLength="19.796">ten</text>'
    """
    return _TEXT.sub(_fit, picture)


def _fit(found: re.Match[str]) -> str:
    attributes, words = found[1], unescape(found[2])
    size = re.search(r'font-size="([0-9.]+)"', attributes)
    wide = width(words, float(size[1]) if size else LABEL, bold='font-weight="700"' in attributes) / 1.02
    stretch = f'lengthAdjust="spacingAndGlyphs" textLength="{svg.number(wide)}"'
    return f"<text {attributes} {stretch}>{found[2]}</text>"


def _areas(plan: Layout, ink: Ink) -> list[str]:
    return [text for area in plan.areas for text in _dotted(area, ink)]


def _dotted(area: tuple[Point, ...], ink: Ink) -> list[str]:
    """Return an upright box of dots with a dashed edge: a pattern, so that it survives black and white."""
    xs, ys = [p[0] for p in area], [p[1] for p in area]
    dots = []
    x = min(xs) + DOT_STEP / 2
    while x < max(xs):
        y = min(ys) + DOT_STEP / 2
        while y < max(ys):
            dots.append(f"M{svg.number(x)} {svg.number(y)}h.01")
            y += DOT_STEP
        x += DOT_STEP
    return [
        svg.tag(
            "path", d="".join(dots), stroke=ink.soft, stroke_width=DOT, stroke_linecap="round", class_="area"
        ),
        svg.tag(
            "path",
            d=svg.path(area, closed=True),
            fill="none",
            stroke=ink.soft,
            stroke_width=THIN,
            stroke_dasharray="2 4",
            class_="area-edge",
        ),
    ]


def _owned(plan: Layout, ink: Ink) -> list[str]:
    """Solid outside the lead's lines, broken outside the trail's."""
    return [
        svg.tag(
            "line",
            x1=line.first[0],
            y1=line.first[1],
            x2=line.last[0],
            y2=line.last[1],
            stroke=ink.ink,
            stroke_width=1.8,
            stroke_dasharray=None if line.role == "lead" else "9 6",
            class_=f"owner {line.role}",
        )
        for line in plan.owned
    ]


def _dividing(plan: Layout, ink: Ink) -> list[str]:
    return [
        svg.tag(
            "path",
            d=svg.path(path),
            fill="none",
            stroke=ink.spot,
            stroke_width=2,
            stroke_dasharray="7 4 1.5 4",
            class_="dividing",
        )
        for path in plan.dividing
    ]


def _table(plan: Layout, ink: Ink) -> list[str]:
    box = plan.table
    if box is None:
        return []
    frame = svg.tag(
        "rect",
        x=box.x0,
        y=box.y0,
        width=box.x1 - box.x0,
        height=box.y1 - box.y0,
        fill=ink.page,
        stroke=ink.ink,
        stroke_width=THIN,
    )
    return [svg.tag("g", frame, marks.centred(box.middle, "Table", ink.ink, bold=False), class_="table")]


def _spot(plan: Layout, ink: Ink) -> list[str]:
    found = []
    if plan.run_bar is not None:
        found += _run_bar(plan.run_bar, ink)
    if plan.other_bar is not None:
        found.append(_bar(plan.other_bar, ink, 5.0, "4 3", "spot other"))
    if plan.spot_bar is not None and plan.ruling.spot is not None:
        found += [
            _place(plan, plan.spot_bar, plan.ruling.spot, ink),
            _bar(plan.spot_bar, ink, max(5.0, 0.7 * plan.frame.scale), None, "spot"),
        ]
    dark = team_with_ball(plan.ruling, ("a", "b")) == "b"
    found += [marks.thrower(m.at, thrower_radius(plan.frame), dark, ink) for m in marks_of(plan, "thrower")]
    if plan.given is not None:
        found.append(marks.given(*plan.given, plan.ruling.delivery or "", ink))
    return found


def _bar(ends: tuple[Point, Point], ink: Ink, wide: float, dash: str | None, name: str) -> str:
    (x1, y1), (x2, y2) = ends
    return svg.tag(
        "line",
        x1=x1,
        y1=y1,
        x2=x2,
        y2=y2,
        stroke=ink.spot,
        stroke_width=wide,
        stroke_dasharray=dash,
        class_=name,
    )


def _place(plan: Layout, bar: tuple[Point, Point], spot: PointUm, ink: Ink) -> str:
    """Two posts that lead off the court from the ends of the bar: the place is open behind."""
    out, deep = out_of(plan, spot), 3.0 * plan.frame.scale
    posts = "".join(svg.path([end, (end[0] + out[0] * deep, end[1] + out[1] * deep)]) for end in bar)
    return svg.tag("path", d=posts, fill="none", stroke=ink.spot, stroke_width=1.8, class_="place")


def _run_bar(ends: tuple[Point, Point], ink: Ink) -> list[str]:
    a, b = ends
    turn = atan2(b[1] - a[1], b[0] - a[0])
    heads = [
        svg.tag("path", d=svg.path(marks.arrow_head(a, turn + 3.14159, 14), closed=True), fill=ink.spot),
        svg.tag("path", d=svg.path(marks.arrow_head(b, turn, 14), closed=True), fill=ink.spot),
    ]
    return [_bar((a, b), ink, 5.0, None, "run"), *heads]


def _ties(plan: Layout, ink: Ink) -> list[str]:
    return [_tie(label.box, label.tie, ink) for label in plan.labels if label.tie is not None]


def _tie(box: Rect, to: Point, ink: Ink) -> str:
    x, y = to
    start = (min(max(x, box.x0), box.x1), min(max(y, box.y0), box.y1))
    return svg.tag(
        "line",
        x1=start[0],
        y1=start[1],
        x2=x,
        y2=y,
        stroke=ink.soft,
        stroke_width=THIN,
        stroke_dasharray="1.5 3",
        class_="tie",
    )


def _measures(plan: Layout, ink: Ink) -> list[str]:
    return [marks.measure(m.first, m.last, m.box, m.words, ink) for m in plan.measures]


def _labels(plan: Layout, ink: Ink) -> list[str]:
    return [_label(plan, label, ink) for label in plan.labels]


_COLOUR = {
    "before": "soft",
    "owner": "soft",
    "area": "soft",
    "dividing": "spot",
    "near": "spot",
    "run": "spot",
}


def _label(plan: Layout, label: Label, ink: Ink) -> str:
    colour = getattr(ink, _COLOUR.get(label.kind, "ink"))
    box = label.box
    behind = svg.tag(
        "rect",
        x=box.x0,
        y=box.y0,
        width=box.x1 - box.x0,
        height=box.y1 - box.y0,
        rx=3,
        fill=ink.floor if _over_court(plan, box.middle) else ink.apron,
        fill_opacity=0.9,
    )
    lines = []
    y = box.y0 + PAD / 2 + ABOVE * LABEL
    for mark, words in label.lines:
        x = box.x0 + PAD
        if mark:
            lines.append(marks.strokes((x + 1, y), ink) if mark == "count" else marks.chop((x, y), ink))
            x += marks.GLYPH_WIDTH
        lines.append(marks.text((x, y), words, colour, bold=label.bold))
        y += LINE * LABEL
    return svg.tag("g", behind, *lines, class_=f"label {label.kind}")


def _over_court(plan: Layout, at: Point) -> bool:
    x, y = plan.frame.feet(at)
    return 0 <= x <= plan.frame.length and 0 <= y <= plan.frame.width


def _people(plan: Layout, ink: Ink) -> list[str]:
    found = []
    for mark in plan.marks:
        if mark.kind in ("before", "after"):
            before = mark.kind == "before"
            found.append(
                marks.official(mark.at, plan.frame.official, mark.shape, mark.text, ink, before=before)
            )
        elif mark.kind == "step":
            found.append(marks.diamond(mark.at, int(mark.text), ink))
        elif mark.kind == "open":
            found.append(marks.question(mark.box, ink))
        elif mark.kind == "space":
            found.append(marks.space(mark.at, mark.text, ink))
        elif mark.kind == "stopped":
            found += _stopped(mark.at, ink)
    return found


def _stopped(at: Point, ink: Ink) -> list[str]:
    ring = svg.tag(
        "circle", cx=at[0], cy=at[1], r=5, fill=ink.page, stroke=ink.spot, stroke_width=THIN, class_="stopped"
    )
    return [ring, svg.tag("circle", cx=at[0], cy=at[1], r=1.8, fill=ink.spot)]


def _direction(plan: Layout, ink: Ink) -> list[str]:
    if plan.arrow is None:
        return []
    tail, tip = plan.arrow
    right = tip[0] > tail[0]
    neck = tip[0] - (12 if right else -12)
    line = svg.tag("line", x1=tail[0], y1=tail[1], x2=neck, y2=tail[1], stroke=ink.ink, stroke_width=4)
    head = svg.path(marks.arrow_head(tip, 0.0 if right else 3.14159265, 14), closed=True)
    return [svg.tag("g", line, svg.tag("path", d=head, fill=ink.ink), class_="direction")]
