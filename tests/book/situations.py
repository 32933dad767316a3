"""Random situations on every kind of floor, for tests that ask the book about anything at all."""

from __future__ import annotations

from hypothesis import strategies as st
from tests.book.reading import EDITIONS

from tenbetween.book import load_book
from tenbetween.court import boundary_cells, court_of, place_cells
from tenbetween.situation import CAUSES, Floor, Situation
from tenbetween.units import FOOT

_HIGH_SCHOOL = ((84, 50), (94, 50), (70, 50), (72, 48), (60, 42))
FLOORS = {
    **{edition: (None, *(Floor(x * FOOT, y * FOOT) for x, y in _HIGH_SCHOOL)) for edition in EDITIONS[:3]},
    "fiba-2po": (None, Floor(26_000_000, 14_000_000)),
}
"""The usual floor of each edition, and others: long, short (two division lines), narrow."""


def _points(edition: str, floor: Floor | None, outside: int) -> st.SearchStrategy[tuple[int, int]]:
    court = court_of("fiba" if edition == "fiba-2po" else "us-hs", floor)
    free = st.tuples(
        st.integers(-outside, court.length + outside), st.integers(-outside, court.width + outside)
    )
    whole_feet = st.tuples(st.integers(0, court.length // FOOT), st.integers(0, court.width // FOOT))
    return st.one_of(
        free,
        whole_feet.map(lambda at: (at[0] * FOOT, at[1] * FOOT)),
        st.sampled_from(place_cells(court)),
        st.sampled_from(boundary_cells(court)),
    )


@st.composite
def situations(draw: st.DrawFn, *, outside: int = 0, roles_known: bool = True) -> Situation:
    """Any situation with allowed words in every field, sensible or not; ``outside`` in micrometres off the floor."""
    edition = draw(st.sampled_from(EDITIONS))
    floor = draw(st.sampled_from(FLOORS[edition]))
    at = draw(st.one_of(st.none(), *[_points(edition, floor, outside)] * 4))
    setting = draw(st.one_of(st.none(), st.sampled_from(sorted(load_book(edition).settings))))
    values = load_book(edition).settings[setting].values if setting else ()
    sides = ("table", "opposite") if roles_known else (None, "table", "opposite")
    return Situation(
        edition=edition,
        floor=floor,
        settings=((setting, draw(st.sampled_from(values))),) if setting else (),
        attacking=draw(st.sampled_from(("left", "right"))),
        stopped_by=draw(st.sampled_from(CAUSES)),
        lead_side=draw(st.sampled_from(sides)),
        lead_person=draw(st.sampled_from((None, "referee", "umpire"))),
        at=at,
        ball_to=draw(st.sampled_from((None, "same", "other"))),
        pending=draw(st.sampled_from((None, "spot", "run_end_line"))),
        called_by=draw(st.sampled_from((None, "lead", "trail"))),
        bonus=draw(st.booleans()),
        pressure=draw(st.booleans()),
        clock=draw(st.sampled_from((None, "stopped", "running"))),
    )
