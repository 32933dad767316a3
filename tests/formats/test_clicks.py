"""Clicks as JSON: read strictly, every fault named at once with its place; hostile text gets directions, nothing else."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tenbetween.court import KINDS, court_of, curves, landmarks, lines
from tenbetween.errors import FormatError, Problem, TenbetweenError
from tenbetween.film.clicks import Click, Clicks
from tenbetween.film.locate import Located
from tenbetween.formats.clicks_json import located_as_dict, read_clicks, read_one

GIVEN: dict[str, Any] = {
    "image": [1280, 720],
    "court": "us-hs-2025",
    "landmarks": [
        {"name": "left_table_corner", "px": [100, 600.5]},
        {"name": "left_basket", "px": [300, 200]},
    ],
    "lines": [{"name": "division_line", "px": [700, 400]}, {"name": "left_arc", "px": [500, 350]}],
    "feet": [{"id": "lead", "px": [420, 510]}],
    "click_sd_px": 1.5,
}


def test_clicks_are_read_as_they_are_written() -> None:
    clicks = read_one(GIVEN)
    assert clicks == Clicks(
        (1280, 720),
        court_of("us-hs"),
        (Click("left_table_corner", (100.0, 600.5)), Click("left_basket", (300.0, 200.0))),
        (Click("division_line", (700.0, 400.0)), Click("left_arc", (500.0, 350.0))),
        (Click("lead", (420.0, 510.0)),),
        1.5,
    )


def test_what_is_left_out_has_its_usual_value() -> None:
    clicks = read_one({"image": [640, 360]})
    assert (clicks.court, clicks.sd, clicks.landmarks, clicks.feet) == (court_of("us-hs"), 2.0, (), ())


@pytest.mark.parametrize("kind", KINDS)
def test_every_name_of_a_court_is_read(kind: str) -> None:
    """What can be clicked: every landmark; every line and curve that lies on the floor."""
    court = court_of(kind)
    on_floor = [name for name in lines(court) if not name.endswith("_backboard")]
    on_floor += [name for name in curves(court) if not name.endswith("_ring")]
    clicks = read_one(
        {
            "image": [1280, 720],
            "court": kind,
            "landmarks": [{"name": name, "px": [1, 2]} for name in landmarks(court)],
            "lines": [{"name": name, "px": [1, 2]} for name in on_floor],
        }
    )
    assert (len(clicks.landmarks), len(clicks.lines)) == (len(landmarks(court)), len(on_floor))


@pytest.mark.parametrize(
    ("court", "size"),
    [
        ("fiba-2po", (28.0 / 0.3048, 15.0 / 0.3048)),
        ({"length": 94, "width": 50}, (94, 50)),
        ({"edition": "us-hs-2022", "length": 74, "width": 42}, (74, 42)),
    ],
)
def test_a_court_is_an_edition_or_a_size(court: Any, size: tuple[float, float]) -> None:
    found = read_one({"image": [1280, 720], "court": court}).court
    assert (found.length / 304_800, found.width / 304_800) == pytest.approx(size, abs=1e-4)


def changed(place: str, value: Any) -> dict[str, Any]:
    """The clicks with one part put in the place of another."""
    found = copy.deepcopy(GIVEN)
    *way, last = [int(part) if part.isdigit() else part for part in place.split(".")]
    here: Any = found
    for part in way:
        here = here[part]
    here[last] = value
    return found


@pytest.mark.parametrize(
    ("place", "value", "where"),
    [
        ("pictures", [], "pictures"),
        ("image", None, "image"),
        ("image", [1280], "image"),
        ("image", [1280, 0], "image"),
        ("image", [1280.5, 720], "image"),
        ("image", [1280, True], "image"),
        ("image", [10**9, 720], "image"),
        ("court", "us-hs-1999", "court"),
        ("court", 84, "court"),
        ("court", {"length": 84}, "court.width"),
        ("court", {"length": 84, "width": 50, "height": 9}, "court.height"),
        ("court", {"length": 8, "width": 50}, "court"),
        ("click_sd_px", 0, "click_sd_px"),
        ("click_sd_px", -2, "click_sd_px"),
        ("click_sd_px", "2", "click_sd_px"),
        ("click_sd_px", None, "click_sd_px"),
        ("landmarks", {}, "landmarks"),
        ("landmarks.0", "left_table_corner", "landmarks[0]"),
        ("landmarks.0.name", "left_table_cornet", "landmarks[0].name"),
        ("landmarks.0.name", "left_arc", "landmarks[0].name"),
        ("landmarks.0.name", None, "landmarks[0].name"),
        ("landmarks.0.name", ["left_table_corner"], "landmarks[0].name"),
        ("landmarks.1.name", "left_table_corner", "landmarks[1].name"),
        ("landmarks.0.px", [1], "landmarks[0].px"),
        ("landmarks.0.px", [1, "2"], "landmarks[0].px"),
        ("landmarks.0.px", [1, 10**6], "landmarks[0].px"),
        ("landmarks.0.px", None, "landmarks[0].px"),
        ("landmarks.0.sd", 2, "landmarks[0].sd"),
        ("lines.0.name", "left_table_corner", "lines[0].name"),
        ("lines.0.name", "left_backboard", "lines[0].name"),
        ("lines.0.name", "left_ring", "lines[0].name"),
        ("feet.0.id", "", "feet[0].id"),
        ("feet.0.id", 7, "feet[0].id"),
        ("feet.0.id", "x" * 41, "feet[0].id"),
        ("feet.0.name", "lead", "feet[0].name"),
        ("feet", [{"id": "a", "px": [1, 2]}] * 2, "feet[1].id"),
        ("feet", [{"id": "a", "px": [1, 2]}] * 501, "feet"),
    ],
)
def test_a_fault_is_told_with_its_place_and_what_to_do(place: str, value: Any, where: str) -> None:
    with pytest.raises(FormatError) as fault:
        read_one(changed(place, value))
    assert where in [one.where for one in fault.value.problems] or any(
        one.where.startswith(where) for one in fault.value.problems
    )
    assert all(one.expected and one.do for one in fault.value.problems)
    with pytest.raises(FormatError) as fault:
        read_clicks(json.dumps([GIVEN, GIVEN, changed(place, value)]))
    assert all(one.where.startswith("[2].") for one in fault.value.problems)


def test_all_faults_are_told_together() -> None:
    bad = changed("landmarks.0.px", None) | {"image": 3, "x": 1}
    with pytest.raises(FormatError) as fault:
        read_clicks(json.dumps([bad, 5]))
    assert [one.where for one in fault.value.problems] == ["[0].x", "[0].image", "[0].landmarks[0].px", "[1]"]


def test_a_near_name_is_offered_and_a_name_of_the_other_list_is_sent_there() -> None:
    for name, advice in (
        ("left_table_cornr", "did you mean 'left_table_corner'?"),
        ("left_arc", "put it under lines"),
    ):
        with pytest.raises(FormatError) as fault:
            read_one(changed("landmarks.0.name", name))
        assert fault.value.problems[0].do == advice


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ('{"image": [1, 2], "image": [3, 4]}', "image"),
        ('{"feet": [{"id": "a", "id": "b", "px": [1, 2]}]}', "feet[0].id"),
        ('{"click_sd_px": NaN}', "click_sd_px"),
        ('{"landmarks": [{"name": "centre", "px": [1e999, 2]}]}', "landmarks[0].px[0]"),
        ("", "input"),
        ("7", "input"),
        ('"image"', "input"),
        ("[" * 100_000, "input"),
        (b"\xff\xfe", "input"),
    ],
)
def test_text_that_is_no_clicks(text: str | bytes, where: str) -> None:
    with pytest.raises(FormatError) as fault:
        read_clicks(text)
    assert where in [one.where for one in fault.value.problems]


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(sorted(GIVEN)),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)
PLACES = (
    "image",
    "court",
    "landmarks",
    "landmarks.0",
    "landmarks.0.name",
    "landmarks.0.px",
    "lines",
    "feet.0",
)


@settings(max_examples=120, deadline=None)
@given(st.sampled_from((*PLACES, "feet.0.id", "click_sd_px", "more")), VALUES)
def test_hostile_values_are_read_or_told_never_more(place: str, value: Any) -> None:
    clicks, problems = read_or_told(changed(place, value))
    assert (clicks is None) == bool(problems)
    assert all(one.found and one.expected and one.do and len(one.found) < 200 for one in problems)
    if clicks is not None:
        assert place != "more"
        assert all(abs(at) <= 40_000 for one in clicks.landmarks for at in one.dot)


def read_or_told(bad: Any) -> tuple[Clicks | None, tuple[Problem, ...]]:
    try:
        return (read_one(bad) if isinstance(bad, dict) else read_clicks(bad)[0][0]), ()
    except TenbetweenError as fault:
        return None, fault.problems


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_broken_text_is_told_never_more(data: st.DataObject) -> None:
    text = list(json.dumps(GIVEN))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text) - 1))
        text[at : at + data.draw(st.integers(0, 3))] = data.draw(st.text(max_size=3))
    clicks, problems = read_or_told("".join(text))
    assert (clicks is None) == bool(problems)


def test_a_refusal_has_the_names_of_an_answer_and_no_feet() -> None:
    page = located_as_dict(read_one(GIVEN), Located(False, "too few marks"))
    assert {"ok", "why", "model", "residual_px", "feet"} <= set(page)
    assert (page["ok"], page["why"], page["feet"], page["residual_px"]) == (False, "too few marks", [], None)
    assert json.dumps(page, allow_nan=False)
