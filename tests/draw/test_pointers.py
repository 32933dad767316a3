"""Pointers as drawing: shapes on their places, readable on anything, nothing of what was typed taken as markup."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np
import pytest
from tests.draw.pointer_cases import BASE, ITEMS, NUMBERS, PICTURE, TIMES, at, item

from tenbetween.desk.pointed import checked, place_at, shapes_at
from tenbetween.draw.pointers import drawn, lines_of, pointers_svg
from tenbetween.errors import FormatError
from tenbetween.film.camera import Camera

CAMERA = Camera(0, 0, 1, 0, 0, 0, 1, 0, PICTURE).with_numbers(NUMBERS)


@pytest.mark.parametrize("seconds", TIMES)
def test_every_drawing_is_whole_and_holds_what_is_on(seconds: float) -> None:
    shapes = shapes_at(ITEMS, "f", seconds, PICTURE, CAMERA)
    root = ET.fromstring(pointers_svg(shapes, PICTURE))
    texts = [one.text for one in root.iter("{http://www.w3.org/2000/svg}text")]
    assert ("Not yet." in texts) == (seconds == 8.0)
    if seconds < 7:
        assert {"T Umpire", "<b>", str(int(seconds - 1))} <= set(texts)
        assert [shape["kind"] for shape in shapes].count("unknown") == 1
    assert shapes_at(ITEMS, "another part", seconds, PICTURE, CAMERA) == []


def test_a_ring_lies_round_its_place_and_a_name_stands_above_it() -> None:
    ring, name = shapes_at([ITEMS[0], ITEMS[6]], "f", 2.0, PICTURE, CAMERA)
    (feet,) = CAMERA.dots([[58.0, 3.0]])
    points = np.array(ring["points"])
    assert np.abs(points.mean(0) - feet).max() < 1.0
    floor = CAMERA.floor(points) - [58.0, 3.0]
    assert np.hypot(*floor.T) == pytest.approx(2.4, abs=1e-6)
    (below,) = CAMERA.dots([[52.0, -1.5]])
    assert name["at"][1] < below[1] - 20


def test_on_a_way_it_is_between_its_key_frames_and_stays_at_its_ends() -> None:
    way = ITEMS[2]["at"]
    assert place_at(way, 0.0) == {"court": [60.0, 5.0]}
    assert place_at(way, 2.0) == {"court": [65.0, 7.0]}
    assert place_at(way, 4.0) == {"court": [70.0, 19.5]}
    assert place_at(way, 9.0) == {"court": [70.0, 30.0]}


def test_where_the_court_is_not_known_only_what_is_tied_to_the_picture_shows() -> None:
    kinds = [one["kind"] for one in shapes_at(ITEMS, "f", 2.0, PICTURE, None)]
    assert kinds.count("unknown") == 7
    assert "sentence" in kinds


def test_what_is_kept_is_checked_item_by_item() -> None:
    assert checked(ITEMS) == ITEMS
    bad = [
        {"kind": "cross"},
        item("ring"),
        item("arrow", at={"court": [1.0, 2.0]}),
        item("sentence", text=" "),
        {**item("name", at={"court": [1.0, float("nan")]}), "role": "slot"},
        {**item("count", at={"picture": [0.5, 0.5]}), "from": {"part": "f", "pts": 1.5, "base": BASE}},
        item("ring", at={"path": [[at(1), {"path": []}]]}),
        item("name", at={"picture": [0.1, 0.1]}, text="x" * 300),
    ]
    with pytest.raises(FormatError) as told:
        checked(bad)
    where = [one.where for one in told.value.problems]
    assert where == [
        "items[0].kind", "items[1].at", "items[2].to_at", "items[3].text", "items[4].at", "items[4].role",
        "items[5].from", "items[6].at.path[0]", "items[7].text",
    ]  # fmt: skip


def test_a_long_sentence_is_broken_into_lines_and_loses_no_word() -> None:
    said = "Good: your eyes met before the ball was given; now step back once it is given, and look at the nearest."
    lines = lines_of(said)
    assert " ".join(lines) == said
    assert max(map(len, lines)) <= 42
    assert "".join(lines_of("x" * 100)) == "x" * 100
    drawn_lines = [
        one for one in drawn({"kind": "sentence", "text": said}, PICTURE) if one.startswith("<text")
    ]
    assert len(drawn_lines) == len(lines) == 3
