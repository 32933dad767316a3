"""The court diagram: true to scale, never the wrong side, and no word ever covers another or a mark."""

from __future__ import annotations

import re
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from draw.accept import KEPT
from draw.pictures import boxes_of_text, grey
from draw.rulings import many
from tenbetween.court import court_of
from tenbetween.draw import marks
from tenbetween.draw.court_svg import court_svg
from tenbetween.draw.diagram import diagram_svg, small_svg
from tenbetween.draw.frame import LABEL, THIN, frame_of
from tenbetween.draw.goldens import draw_goldens, golden_rulings
from tenbetween.draw.ink import THEMES
from tenbetween.draw.layout import lay_out
from tenbetween.draw.plan import Layout, marks_of
from tenbetween.situation import Ruling
from tenbetween.units import feet

GOLDEN = golden_rulings()
SCALES = (5.2, 8.0)
NEVER_COVERED = ("before", "after", "spot", "thrower", "step", "open", "table")


def plans(ruling: Ruling) -> list[Layout]:
    return [
        lay_out(ruling, half=half, turned=turned, scale=scale)
        for scale in SCALES
        for half, turned in ((None, False), (False, True))
    ]


def test_labels_never_meet_each_other_or_a_mark_and_stay_in_the_picture() -> None:
    for ruling in (*many(), *GOLDEN.values()):
        for plan in plans(ruling):
            words = [label.box for label in plan.labels] + [m.box for m in plan.measures]
            where = f"{ruling.situation} at scale {plan.frame.scale}"
            assert not [1 for a, b in combinations(words, 2) if a.meets(b)], where
            kept = [mark.box for mark in plan.marks if mark.kind in NEVER_COVERED]
            assert not [1 for a in words for b in kept if a.meets(b)], where
            assert all(box.inside(plan.frame.bounds) for box in words + kept), where


def test_officials_never_stand_on_each_other_or_on_a_number() -> None:
    for ruling in (*many(), *GOLDEN.values()):
        for plan in plans(ruling):
            people = [m.box for m in plan.marks if m.kind in ("before", "after", "step")]
            assert not [1 for a, b in combinations(people, 2) if a.meets(b)], ruling.situation


def test_every_official_at_disposal_is_drawn_and_named() -> None:
    for ruling in (*many(), *GOLDEN.values()):
        plan = lay_out(ruling)
        expected = 2 if ruling.places is not None and (ruling.roles_after or ruling.restart) else 0
        assert len(marks_of(plan, "after")) == expected, ruling.situation
        assert len([label for label in plan.labels if label.kind == "after"]) == expected


def test_spot_and_officials_are_where_they_truly_are() -> None:
    for ruling in (*many(), *GOLDEN.values()):
        for plan in plans(ruling):
            frame = plan.frame
            if plan.spot_bar is not None and ruling.spot is not None:
                (ax, ay), (bx, by) = (frame.feet(end) for end in plan.spot_bar)
                assert abs((ax + bx) / 2 - feet(ruling.spot[0])) < 0.01
                assert abs((ay + by) / 2 - feet(ruling.spot[1])) < 0.01
            truly = sorted(post.at for post in (ruling.places or {}).values())
            drawn = sorted(frame.feet(mark.at) for mark in marks_of(plan, "after"))
            if truly:
                assert np.allclose(truly, drawn, atol=0.01)


def number_of(text: str, name: str) -> float:
    found = re.search(rf' {name}="([-0-9.]+)"', text)
    assert found is not None, text
    return float(found[1])


def test_the_drawn_spot_is_within_a_hundredth_of_a_foot() -> None:
    """Read back from the picture itself, not from the plan: 26 ft from the right end line."""
    svg = diagram_svg(GOLDEN["lead-sideline-high"], scale=8.0)
    bar = re.search(r'<line class="spot"[^>]*>', svg)
    assert bar is not None
    middle = (number_of(bar[0], "x1") + number_of(bar[0], "x2")) / 2
    boundary = re.search(r'<rect class="boundary"[^>]*>', svg)
    assert boundary is not None
    wide = number_of(boundary[0], "stroke-width")
    right = number_of(boundary[0], "x") + number_of(boundary[0], "width") - wide / 2
    bottom = number_of(boundary[0], "y") + number_of(boundary[0], "height") - wide / 2
    assert abs((right - middle) / 8.0 - 26.0) < 0.01
    assert abs(number_of(bar[0], "y1") - bottom) / 8.0 < 0.01
    assert abs(abs(number_of(bar[0], "x1") - number_of(bar[0], "x2")) / 8.0 - 3.0) < 0.01


@given(
    x=st.floats(-6, 90, allow_nan=False), y=st.floats(-6, 56, allow_nan=False), turned=st.booleans(),
    half=st.sampled_from((None, "left", "right")), scale=st.floats(2, 12, allow_nan=False),
)  # fmt: skip
@settings(max_examples=100)
def test_to_the_picture_and_back(x: float, y: float, turned: bool, half: str | None, scale: float) -> None:
    frame = frame_of(court_of("us-hs"), half=half, scale=scale, turned=turned)  # type: ignore[arg-type]
    assert frame.feet(frame.at((x, y))) == pytest.approx((x, y), abs=1e-6)


def test_the_table_never_leaves_its_side() -> None:
    for ruling in (*many(), *GOLDEN.values()):
        for plan in plans(ruling):
            assert plan.table is not None
            across = plan.frame.feet(plan.table.middle)[1]
            assert across < 0
            below = plan.table.middle[1] > plan.frame.at((0, plan.frame.width / 2))[1]
            assert below != plan.frame.turned


def test_right_is_right_seen_from_the_table_and_left_when_turned() -> None:
    frame = frame_of(court_of("us-hs"), half=None, scale=8)
    turned = frame_of(court_of("us-hs"), half=None, scale=8, turned=True)
    assert frame.at((84, 25))[0] > frame.at((0, 25))[0]
    assert turned.at((84, 25))[0] < turned.at((0, 25))[0]
    assert frame.at((0, 50))[1] < frame.at((0, 0))[1]
    assert turned.at((0, 50))[1] > turned.at((0, 0))[1]


def test_turning_is_a_half_turn_and_never_a_mirror() -> None:
    """Three points keep their sense of turning: a mirror would change it."""

    def sense(turned: bool) -> float:
        frame = frame_of(court_of("us-hs"), half=None, scale=8, turned=turned)
        (ax, ay), (bx, by), (cx, cy) = (frame.at(p) for p in ((0, 0), (84, 0), (84, 50)))
        return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)

    assert sense(False) == pytest.approx(sense(True))
    assert sense(False) != 0


def test_turned_court_is_the_court_turned() -> None:
    """Pixel for pixel: the empty court turned by half a turn, but for the two different margins."""
    plain, other = (
        grey(court_svg(court_of("us-hs"), turned=t, theme="print"), zoom=1) for t in (False, True)
    )
    assert plain.shape == other.shape
    assert np.mean(np.abs(plain[::-1, ::-1].astype(int) - other.astype(int)) > 64) < 0.004


def test_letters_are_roles_and_shapes_are_persons() -> None:
    plan = lay_out(GOLDEN["lead-sideline-high"])
    after = {mark.text: mark.shape for mark in marks_of(plan, "after")}
    before = {mark.text: mark.shape for mark in marks_of(plan, "before")}
    # The Umpire (circle) was lead and is trail; the Referee (square) was trail and is lead.
    assert before == {"L": "circle", "T": "square"}
    assert after == {"T": "circle", "L": "square"}


def test_lead_and_trail_stand_on_opposite_sides_of_the_picture() -> None:
    plan = lay_out(GOLDEN["lead-sideline-high"])
    lead, trail = (next(m for m in marks_of(plan, "after") if m.text == letter) for letter in "LT")
    middle = plan.frame.at((42, 25))[1]
    assert lead.at[1] < middle < trail.at[1]  # opposite side is at the top, table side at the bottom
    assert lead.at[0] > trail.at[0]  # they attack right


def test_moves_carry_the_numbers_of_the_list() -> None:
    plan = lay_out(GOLDEN["lead-sideline-high"])
    numbers = {mark.text for mark in marks_of(plan, "step")}
    acts = {str(n): s for n, s in enumerate(GOLDEN["lead-sideline-high"].steps, 1)}
    moved = {n for n, s in acts.items() if s.moves}
    gives = {n for n, s in acts.items() if s.signal == "bounce_ball"}
    assert numbers == moved | gives
    assert [move.shape for move in plan.moves] == ["circle", "square"]


def test_nothing_entered_is_a_question_mark_and_no_arrow() -> None:
    ruling = GOLDEN["not-covered"]
    plan = lay_out(ruling)
    assert plan.moves == []
    assert marks_of(plan, "after") == []
    assert len(marks_of(plan, "open")) == 1
    said = " ".join(line for label in plan.labels if label.kind == "open" for _, line in label.lines)
    assert said.startswith("Not covered:")
    assert "There is no fixed diagonal" in said


def test_whole_line_for_the_lead_and_broken_for_the_trail() -> None:
    svg = diagram_svg(GOLDEN["lead-sideline-high"])
    owners = re.findall(r'<line class="owner (lead|trail)"([^>]*)>', svg)
    assert {role: "dasharray" in rest for role, rest in owners} == {"lead": False, "trail": True}


def test_half_court_only_when_nobody_is_cut_off() -> None:
    assert lay_out(GOLDEN["lead-sideline-high"]).frame.x0 > 0
    assert lay_out(GOLDEN["quick-reversal"], half=True).frame.x1 == 84.0
    assert lay_out(GOLDEN["lead-sideline-high"], half=False).frame.x0 == 0


# -- sizes and pixels ----------


def test_text_is_at_least_14_and_marks_at_least_one_and_a_half() -> None:
    for name, ruling in GOLDEN.items():
        for svg in (diagram_svg(ruling, theme="print", scale=5.0), small_svg(ruling, 264, 180)):
            sizes = [float(n) for n in re.findall(r'font-size="([0-9.]+)"', svg)]
            widths = [float(n) for n in re.findall(r'stroke-width="([0-9.]+)"', svg)]
            assert min(sizes, default=LABEL) >= LABEL, name
            assert min(widths) >= THIN, name


@pytest.mark.parametrize("name", sorted(GOLDEN))
def test_words_stay_in_their_boxes_when_drawn(name: str) -> None:
    """The renderer, with the shipped font, puts no ink of a text outside the box that was measured for it."""
    plan = lay_out(GOLDEN[name], scale=6.0)
    for label in plan.labels:
        found = boxes_of_text(plan.frame.size, label)
        assert found is not None, label
        assert found[0] >= label.box.x0 - 0.6, label
        assert found[1] >= label.box.y0 - 0.6, label
        assert found[2] <= label.box.x1 + 0.6, label
        assert found[3] <= label.box.y1 + 0.6, label


def test_every_pair_of_marks_differs_in_grey() -> None:
    ink = THEMES["print"]
    at, box = (30.0, 30.0), 60
    shapes = {
        "referee": marks.official(at, 15, "square", "", ink, before=False),
        "umpire": marks.official(at, 15, "circle", "", ink, before=False),
        "referee before": marks.official(at, 15, "square", "", ink, before=True),
        "umpire before": marks.official(at, 15, "circle", "", ink, before=True),
        "step": marks.diamond(at, 3, ink),
        "thrower": marks.thrower(at, 9, False, ink),
        "thrower dark": marks.thrower(at, 9, True, ink),
        "move solid": marks.move(((4, 30), (20, 20), (40, 20), (56, 30)), "square", ink),
        "move hollow": marks.move(((4, 30), (20, 20), (40, 20), (56, 30)), "circle", ink),
        "count": marks.strokes((20, 34), ink),
        "chop": marks.chop((20, 34), ink),
        "lead's space": marks.space(at, "L", ink),
        "trail's space": marks.space(at, "T", ink),
        "bounce": marks.given((10, 30), (50, 30), "bounce", ink),
        "hand": marks.given((10, 30), (50, 30), "hand", ink),
    }
    pixels = {name: grey(wrapped(shape, box), zoom=2).astype(int) for name, shape in shapes.items()}
    for (a, first), (b, second) in combinations(pixels.items(), 2):
        ink_there = max(np.sum(first < 128), np.sum(second < 128))
        differ = np.sum(np.abs(first - second) > 96)
        assert differ > 0.2 * ink_there, f"{a} and {b} look alike in grey"


def wrapped(shape: str, box: int) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {box} {box}" width="{box}" height="{box}">'
        f'<rect width="{box}" height="{box}" fill="#ffffff"/>{shape}</svg>'
    )


def test_print_rests_on_no_colour() -> None:
    for ruling in GOLDEN.values():
        svg = diagram_svg(ruling, theme="print")
        assert set(re.findall(r'"(#[0-9a-f]{6})"', svg)) <= {"#000000", "#ffffff", "#ececec"}


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_contrast_of_words_and_lines(theme: str) -> None:
    """WCAG 2.2: 4.5 for words, 3 for marks."""
    ink = THEMES[theme]

    def ratio(a: str, b: str) -> float:
        high, low = sorted((luminance(a), luminance(b)), reverse=True)
        return (high + 0.05) / (low + 0.05)

    for ground in (ink.floor, ink.apron):
        for word in (ink.ink, ink.soft, ink.spot):
            assert ratio(word, ground) >= 4.5
    assert ratio(ink.on_ink, ink.ink) >= 4.5
    assert ratio(ink.mark, ink.floor) >= 3
    assert ratio(ink.mark, ink.lane) >= 3


# -- kept pictures ----------


def test_kept_pictures_are_as_drawn() -> None:
    drawn = draw_goldens()
    assert len(drawn) >= 12
    assert sorted(path.name for path in KEPT.glob("*.svg")) == sorted(drawn)
    moved = [name for name, text in drawn.items() if (KEPT / name).read_text(encoding="utf-8") != text]
    assert moved == [], "look at the pictures, then `make accept`"


def test_pictures_are_described_and_carry_no_script_or_address() -> None:
    for name, text in draw_goldens().items():
        assert 'role="img"' in text, name
        assert "<desc>" in text, name
        assert "script" not in text, name
        assert re.findall(r"https?://[^\"]+", text) == ["http://www.w3.org/2000/svg"], name
        assert not re.search(
            r"\d\.\d{4}", re.sub(r"<(desc|title)>.*?</\1>|aria-label=\"[^\"]*\"", "", text)
        ), name
