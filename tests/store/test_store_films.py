"""Films and what is marked on them: frame times in whole numbers, the event clock, links to a film."""

from __future__ import annotations

import pytest
from tests.store.conftest import film_kinds, frame

from tenbetween.errors import StoreError
from tenbetween.store import Store
from tenbetween.store.film_values import EVENTS

NOT_WHOLE = [
    None,
    12,
    "00:01:02",
    {},
    {"part": "f1", "pts": 12},
    {"part": "f1", "pts": 12.0, "base": [1, 30]},
    {"part": "f1", "pts": True, "base": [1, 30]},
    {"part": "f1", "pts": "12", "base": [1, 30]},
    {"part": "", "pts": 12, "base": [1, 30]},
    {"part": 1, "pts": 12, "base": [1, 30]},
    {"part": "f1", "pts": 12, "base": [1, 0]},
    {"part": "f1", "pts": 12, "base": [1, -30]},
    {"part": "f1", "pts": 12, "base": [1]},
    {"part": "f1", "pts": 12, "base": [1, 29.97]},
    {"part": "f1", "pts": 12, "base": "1/30"},
    {"part": "f1", "pts": 12, "base": [1, 30], "second": 0.4},
]


@pytest.fixture
def film(bench) -> object:
    with bench.open() as store:
        yield store, store.save("film", {"title": "Ardenmoor at Pell Hollow"}).id


def refused(store: Store, kind: str, value: dict[str, object]) -> str:
    before = store.history()
    with pytest.raises(StoreError) as fault:
        store.save(kind, value)
    assert store.history() == before
    return str(fault.value)


@pytest.mark.parametrize("at", NOT_WHOLE)
def test_a_frame_time_that_is_not_in_whole_numbers_is_refused(film, at):
    store, film_id = film
    rest = {
        "mark": {},
        "anchor": {"clicks": [], "camera": {}},
        "standing": {"feet": []},
    }
    for kind, more in rest.items():
        said = refused(store, kind, {"film": film_id, "at": at, **more})
        assert f"{kind}.at: found" in said
        assert "in whole numbers" in said
    said = refused(store, "mark", {"film": film_id, "at": frame(0), "events": {"e6": at}})
    assert "mark.events.e6: found" in said
    said = refused(store, "mark", {"film": film_id, "at": frame(0), "strokes": [frame(1), at]})
    assert "mark.strokes[1]: found" in said
    for end in ("begins", "ends"):
        given = {"film": film_id, "title": "x", "begins": frame(0), "ends": frame(9)} | {end: at}
        assert f"clip.{end}: found" in refused(store, "clip", given)


@pytest.mark.parametrize("pts", [0, -1, 2**53 + 1, 2**63 - 1])
@pytest.mark.parametrize("base", [[1, 90_000], [1001, 30_000], [1, 2**31 - 1]])
def test_a_frame_time_comes_back_to_the_last_digit(film, pts, base):
    """2 ** 53 + 1 is the first whole number a float does not hold."""
    store, film_id = film
    at = {"part": "f1", "pts": pts, "base": base}
    saved = store.save("mark", {"film": film_id, "at": at, "events": {"e0": at}})
    kept = store.get("mark", saved.id).value
    assert (kept.at.data(), kept.events.data()) == (at, {"e0": at})


@pytest.mark.parametrize("name", ["e12", "e", "E0", "e00", "whistle", ""])
def test_an_event_of_an_unknown_name_is_refused_and_the_near_one_named(film, name):
    store, film_id = film
    said = refused(store, "mark", {"film": film_id, "at": frame(0), "events": {name: "not seen"}})
    assert f"mark.events.{name}" in said
    assert "one of e0, e1" in said


@pytest.mark.parametrize("events", [[], "not seen", None, 5])
def test_events_that_are_no_names_are_refused(film, events):
    store, film_id = film
    said = refused(store, "mark", {"film": film_id, "at": frame(0), "events": events})
    assert "events by name, e0 to e11" in said


@pytest.mark.parametrize("left_open", EVENTS)
def test_a_closed_mark_says_of_each_event_when_or_not_seen(film, left_open):
    store, film_id = film
    whole = dict.fromkeys(EVENTS, "not seen") | {"e0": frame(0)}
    kept = store.save("mark", {"film": film_id, "at": frame(0), "events": whole, "closed": True})
    assert store.get("mark", kept.id).value.closed
    part = {name: at for name, at in whole.items() if name != left_open}
    said = refused(store, "mark", {"film": film_id, "at": frame(0), "events": part, "closed": True})
    assert "an event left open" in said
    assert store.save("mark", {"film": film_id, "at": frame(0), "events": part}).value.events.data() == part


@pytest.mark.parametrize("strokes", [{}, "x", 5])
def test_strokes_are_a_list(film, strokes):
    store, film_id = film
    assert "a list of frame times" in refused(
        store, "mark", {"film": film_id, "at": frame(0), "strokes": strokes}
    )


def test_every_fault_of_a_mark_is_told_at_once(film):
    store, film_id = film
    given = {"film": film_id, "at": 1, "events": {"e0": 2, "e44": 3}, "closed": True}
    said = refused(store, "mark", given).splitlines()
    assert len(said) == 4


@pytest.mark.parametrize(
    ("kind", "value", "told"),
    [
        ("film", {"title": "x", "date": "2025-02-30"}, "a day of the calendar"),
        ("film", {"title": "x", "parts": {}}, "film.parts"),
        ("film", {"title": "x", "status": "lost"}, "film.status"),
        ("film", {"title": ""}, "film.title"),
    ],
)
def test_a_film_that_cannot_be_is_refused(film, kind, value, told):
    assert told in refused(film[0], kind, value)


def test_a_verdict_on_a_proposal_is_kept_or_dropped(film):
    store, film_id = film
    heard = store.save("listening", {"film": film_id, "part": "f1", "proposals": []}).id
    given = {"listening": heard, "number": "1"}
    assert store.save("judged", {**given, "verdict": "dropped"}).value.mark == ""
    assert "judged.verdict" in refused(store, "judged", {**given, "verdict": "maybe"})
    assert "judged.listening" in refused(store, "judged", {**given, "listening": film_id, "verdict": "kept"})


def test_a_withdrawal_names_a_day(film):
    store, film_id = film
    given = {"film": film_id, "asked_by": "Noor Estwick", "log": []}
    assert "withdrawal.on" in refused(store, "withdrawal", {**given, "on": "2025-11-31"})


def test_what_is_made_of_a_film_needs_it(store):
    """A mark needs its film, and a film stays while anything is made of it."""
    kept = film_kinds(store)
    film = kept["film"]
    of_film = {"mark", "anchor", "standing", "pointer", "clip", "listening", "withdrawal"}
    assert {kind for kind in kept if hasattr(kept[kind].value, "film")} == of_film
    with pytest.raises(StoreError) as fault:
        store.remove("film", film.id, seen=film.version)
    assert {word for word in of_film if f"remove that {word} first" in str(fault.value)} == of_film
    lost = {"film": "0" * 26, "at": frame(0)}
    with pytest.raises(StoreError, match=r"mark\.film.*save the film first"):
        store.save("mark", lost)
    assert store.find("mark", film=film.id) == (kept["mark"],)
    assert store.find("judged", listening=kept["listening"].id) == (kept["judged"],)
    assert store.check() == ()
