"""Pieces of film for other programs, read back by the libraries those programs use."""

from __future__ import annotations

import csv
import io
import json
from fractions import Fraction
from typing import Any

import opentimelineio as otio
import pytest
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from tenbetween.errors import FormatError
from tenbetween.formats.chapters_vtt import chapters_vtt, cues_vtt, notes_vtt, read_cues
from tenbetween.formats.clip_rows import EVENT_WORDS, ClipRow, clip_rows
from tenbetween.formats.marks_csv import COLUMNS, marks_csv, read_marks_csv
from tenbetween.formats.timeline_otio import read_timeline, timeline_otio


def at(pts: int, base: tuple[int, int] = (1, 90000), part: str = "f1") -> dict[str, Any]:
    return {"part": part, "pts": pts, "base": list(base)}


ROWS = clip_rows(
    [
        {
            "title": "Throw-in, table side", "film": "Thistle Wharf, first half", "start": at(90_000), "end": at(990_003),
            "events": {"e0": at(180_000), "e6": at(450_001), "e8": at(630_000), "e10": "not seen"},
            "tags": ["press", "hand or bounce; both"], "note": "Good:\nball held until the partner was ready",
        },
        {"title": "=2+5", "film": "@home", "start": at(7, (1001, 30000), "f2"), "end": at(700, (1001, 30000), "f2"), "note": "-"},
    ]
)  # fmt: skip

texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=30)
titles = texts.filter(lambda one: one.strip() != "")
bases = st.sampled_from([(1, 90000), (1, 30), (1001, 30000), (1, 1000), (1, 15360)])


@st.composite
def rows(draw: st.DrawFn) -> ClipRow:
    base, part = draw(bases), draw(st.sampled_from(["f1", "0ab3", "=f"]))
    start = draw(st.integers(0, 10**9))
    times = st.integers(0, 10**9).map(lambda pts: at(pts, base, part))
    events = draw(
        st.dictionaries(st.sampled_from(list(EVENT_WORDS)), times | st.just("not seen"), max_size=5)
    )
    tags = draw(st.lists(texts.filter(bool), max_size=3))
    end = at(start + draw(st.integers(0, 10**6)), base, part)
    return clip_rows(
        [
            {
                "title": draw(texts), "film": draw(texts), "start": at(start, base, part), "end": end,
                "events": events, "tags": tags, "note": draw(texts),
            }
        ]
    )[0]  # fmt: skip


# -- WebVTT ----------


def test_chapters_are_read_by_the_library_at_their_seconds() -> None:
    held = webvtt.WebVTT.from_string(chapters_vtt(ROWS))
    assert [(one.start, one.end) for one in held] == [
        ("00:00:00.234", "00:00:23.357"),
        ("00:00:01.000", "00:00:11.000"),
    ]
    assert [one.text for one in held] == ["=2+5", "Throw-in, table side"]
    moved = webvtt.WebVTT.from_string(chapters_vtt(ROWS[:1], {"f1": 3600.0}))
    assert moved[0].start == "01:00:01.000"


def test_notes_tell_events_in_seconds_from_the_beginning_and_what_was_not_seen() -> None:
    (cue,) = read_cues(notes_vtt(ROWS[:1]))
    assert cue[2].splitlines() == [
        "Throw-in, table side",
        "whistle or ball dead +1.00 s, disposal +4.00 s, release +6.00 s",
        "not seen: chop",
        "press, hand or bounce; both",
        "Good:",
        "ball held until the partner was ready",
    ]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 10**7), st.integers(1, 10**6), titles), max_size=5))
def test_any_words_come_back_out_of_a_cue(cues: list[tuple[int, int, str]]) -> None:
    given_ = [(a / 1000, (a + b) / 1000, words) for a, b, words in cues]
    held = read_cues(cues_vtt(given_))
    expected = sorted((a, b, " ".join(words.split()) or "–") for a, b, words in given_)
    assert sorted((round(a, 3), round(b, 3), words) for a, b, words in held) == expected


def test_words_cannot_end_a_cue_or_begin_a_tag() -> None:
    text = cues_vtt([(0, 1, "a\n\n00:00:00.000 --> 00:09:00.000\n<b>x</b>\nNOTE no"), (2, 3, "WEBVTT")])
    held = webvtt.WebVTT.from_string(text)
    assert len(held) == 2
    assert "<b>" not in held[0].raw_text
    with pytest.raises(FormatError):
        cues_vtt([(3, 1, "turned round")])
    with pytest.raises(FormatError):
        read_cues("no such file")


# -- OpenTimelineIO ----------


def test_a_timeline_is_read_by_the_library_with_exact_times() -> None:
    timeline = otio.adapters.read_from_string(
        timeline_otio(ROWS, "Restarts", steps={"f1": 3003}), "otio_json"
    )
    first, second = timeline.find_clips()
    assert (first.source_range.start_time.value, first.source_range.start_time.rate) == (90_000, 90_000)
    assert first.source_range.duration.value == 990_003 + 3003 - 90_000
    assert [marker.name for marker in first.markers] == ["whistle or ball dead", "disposal", "release"]
    assert [marker.marked_range.start_time.value for marker in first.markers] == [180_000, 450_001, 630_000]
    start = second.source_range.start_time
    assert Fraction(int(start.value), int(start.rate)) == Fraction(7 * 1001, 30000)
    assert isinstance(first.media_reference, otio.schema.MissingReference)
    assert timeline.duration().to_seconds() == pytest.approx(
        (903_006 / 90000) + (694 * 1001 / 30000), abs=0.1
    )


def test_where_a_film_lies_is_told_only_when_asked() -> None:
    assert "games" not in timeline_otio(ROWS, "x")
    told = otio.adapters.read_from_string(timeline_otio(ROWS, "x", media={"f1": "games/a.mp4"}), "otio_json")
    assert next(iter(told.find_clips())).media_reference.target_url == "games/a.mp4"


@settings(max_examples=40, deadline=None)
@given(st.lists(rows(), max_size=3))
def test_every_row_comes_back_from_a_timeline(given_rows: list[ClipRow]) -> None:
    assert list(read_timeline(timeline_otio(given_rows, "x"))) == given_rows


@pytest.mark.parametrize("text", ["", "{}", "no json", "[1]", json.dumps({"OTIO_SCHEMA": "Clip.2"})])
def test_what_is_no_timeline_of_ours_is_refused(text: str) -> None:
    with pytest.raises(FormatError, match="timeline"):
        read_timeline(text)


# -- a table ----------


def test_the_table_has_plain_headings_and_no_cell_is_a_formula() -> None:
    lines = list(csv.reader(io.StringIO(marks_csv(ROWS), newline="")))
    assert lines[0] == list(COLUMNS)
    assert lines[1][:5] == ["Throw-in, table side", "Thistle Wharf, first half", "f1", "1.000", "11.000"]
    assert lines[1][COLUMNS.index("disposal (s)")] == "5.000"
    assert lines[1][COLUMNS.index("chop (s)")] == "not seen"
    assert lines[1][COLUMNS.index("touch (s)")] == ""
    assert lines[2][:2] == ["'=2+5", "'@home"]


@settings(max_examples=60, deadline=None)
@given(st.lists(rows(), max_size=3))
def test_every_row_comes_back_from_the_table_and_nothing_begins_a_formula(given_rows: list[ClipRow]) -> None:
    text = marks_csv(given_rows)
    assert list(read_marks_csv(text)) == given_rows
    assert list(read_marks_csv("\ufeff" + text)) == given_rows
    for line in list(csv.reader(io.StringIO(text, newline="")))[1:]:
        assert not [cell for cell in line if cell[:1] in {"=", "+", "-", "@", "\t", "\r"}]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "no column"),
        ("title,film\r\n1,2\r\n", "no column"),
        (marks_csv(ROWS).replace("90000", "x", 1), "mend"),
    ],
)
def test_a_table_that_is_none_is_refused_with_the_row(text: str, word: str) -> None:
    with pytest.raises(FormatError, match=word):
        read_marks_csv(text)


def test_rows_that_mean_nothing_are_all_told() -> None:
    good = {"title": "a", "film": "b", "start": at(0), "end": at(5)}
    with pytest.raises(FormatError) as raised:
        clip_rows([{**good, "end": at(-5)}, {**good, "events": {"e12": at(0)}}, {"title": "a"}, good])
    assert [one.where.split(".")[0] for one in raised.value.problems] == ["[0]", "[1]", "[2]"]
    two = clip_rows([{**good, "end": at(5, part="f2")}])
    with pytest.raises(FormatError, match="one part"):
        timeline_otio(two, "x")


def test_a_piece_over_two_parts_comes_back_from_the_table_and_counts_on_the_one_time_line() -> None:
    later = (1001, 30000)
    over = {"title": "over the seam", "film": "b", "start": at(90_000), "end": at(60, later, "f2"),
            "events": {"e0": at(180_000), "e6": at(30, later, "f2")}}  # fmt: skip
    given_rows = clip_rows([over])
    offsets = {"f1": 0.0, "f2": 3.0}
    text = marks_csv(given_rows, offsets)
    assert read_marks_csv(text) == given_rows
    cells = dict(zip(COLUMNS, list(csv.reader(io.StringIO(text, newline="")))[1], strict=True))
    assert (cells["from (s)"], cells["to (s)"], cells["disposal (s)"]) == ("1.000", "5.002", "4.001")
    assert cells["disposal (ticks)"] == "30 in f2 at 1001/30000"
    ((begins, ends, words),) = read_cues(notes_vtt(given_rows, offsets))
    assert (begins, ends) == (1.0, 5.002)
    assert words.splitlines()[1] == "whistle or ball dead +1.00 s, disposal +3.00 s"
