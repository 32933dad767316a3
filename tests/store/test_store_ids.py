"""Ids: collision-free, ordered by time, and the pair of writing and reading them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tenbetween.errors import StoreError
from tenbetween.store.ids import ALPHABET, IdMaker, id_parts, id_text, is_id, time_text

MOMENTS = st.integers(0, (1 << 48) - 1)
CHANCES = st.integers(0, (1 << 80) - 1)


@given(MOMENTS, CHANCES)
def test_an_id_is_read_back_as_it_was_written(moment, chance):
    text = id_text(moment, chance)
    assert id_parts(text) == (moment, chance)
    assert is_id(text)
    assert set(text) <= set(ALPHABET)


@given(st.tuples(MOMENTS, CHANCES), st.tuples(MOMENTS, CHANCES))
def test_ids_sort_as_text_by_time_and_then_chance(one, two):
    assert (id_text(*one) < id_text(*two)) == (one < two)


@given(st.text(max_size=30))
def test_what_is_no_id_is_refused(text):
    if not is_id(text):
        with pytest.raises(StoreError, match="copy the whole id"):
            id_parts(text)


@given(st.lists(st.integers(-5000, 5000), min_size=2, max_size=60), st.sampled_from([0, 255]))
def test_each_id_is_greater_than_the_last_even_when_the_clock_steps_back(steps, sign):
    """Also with dice that always throw the highest."""
    times = iter(datetime(2025, 11, 3, tzinfo=UTC) + timedelta(milliseconds=step) for step in steps)
    make = IdMaker(lambda: next(times), lambda count: bytes([sign]) * count)
    made = [make() for _ in steps]
    assert made == sorted(set(made))


def test_two_makers_in_the_same_millisecond_differ_by_their_dice():
    moment = datetime(2025, 11, 3, tzinfo=UTC)
    one, two = (IdMaker(lambda: moment, lambda count, d=d: bytes([d]) * count) for d in (1, 2))
    assert len({*(one() for _ in range(500)), *(two() for _ in range(500))}) == 1000


def test_the_time_in_an_id_is_the_clocks():
    moment = datetime(2025, 11, 3, 19, 4, 5, 678000, tzinfo=timezone(timedelta(hours=-5)))
    made = IdMaker(lambda: moment, bytes)()
    assert id_parts(made) == (int(moment.timestamp() * 1000), 0)
    assert time_text(moment) == "2025-11-04T00:04:05.678Z"


@pytest.mark.parametrize(
    ("moment", "told"),
    [(datetime(2025, 1, 1), "time with its zone"), (datetime(1960, 1, 1, tzinfo=UTC), "after 1970")],
)
def test_a_clock_without_zone_or_before_1970_is_refused(moment, told, tmp_path):
    from tenbetween.store import open_workbench

    with pytest.raises(StoreError, match=told):
        IdMaker(lambda: moment, bytes)()
    with pytest.raises(StoreError, match=told):
        open_workbench(tmp_path / "bench", now=lambda: moment, entropy=bytes)
    assert not (tmp_path / "bench").exists()
