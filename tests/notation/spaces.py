"""Every situation there can be: generators over the whole value space, plain lists of the closed words."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Any, get_args

from hypothesis import strategies as st

from tenbetween.notation import EDITIONS, NEEDS, complaints
from tenbetween.notation.needs import floor_court
from tenbetween.situation import (
    CAUSES,
    Basket,
    ClockState,
    Floor,
    Pending,
    Person,
    Role,
    Situation,
    TableSide,
)
from tenbetween.units import FOOT, um

IDS = tuple(one.id for one in EDITIONS)
LAYERS = st.lists(
    st.from_regex(r"[a-z0-9]{1,6}([.-][a-z0-9]{1,6}){0,3}", fullmatch=True), unique=True, max_size=3
)
NAMES = st.from_regex(r"[a-z][a-z0-9_]{0,20}", fullmatch=True)
VALUES = st.from_regex(r"[a-z0-9][a-z0-9_]{0,30}", fullmatch=True)
FLOORS = {
    "us-hs": st.builds(Floor, st.integers(um("60 ft"), um("94 ft")), st.integers(um("40 ft"), um("50 ft"))),
    "fiba": st.builds(Floor, st.integers(um("24 m"), um("28 m")), st.integers(um("14 m"), um("15 m"))),
}


def maybe(words: Any) -> st.SearchStrategy[Any]:
    return st.none() | st.sampled_from(get_args(words))


@st.composite
def situations(draw: st.DrawFn) -> Situation:
    """Return any valid situation."""
    edition = draw(st.sampled_from(EDITIONS))
    cause = draw(st.sampled_from(CAUSES))
    need = NEEDS[cause]
    floor = draw(st.none() | FLOORS[edition.court])
    follow = need.may_follow
    fields: dict[str, Any] = {
        "edition": edition.id,
        "attacking": draw(st.sampled_from(get_args(Basket))),
        "stopped_by": cause,
        "floor": floor,
        "layers": tuple(draw(LAYERS)),
        "settings": tuple(sorted(draw(st.dictionaries(NAMES, VALUES, max_size=3)).items())),
        "date": draw(st.none() | st.dates().map(lambda day: day.isoformat())),
        "lead_side": draw(st.sampled_from(get_args(TableSide)) if need.roles else maybe(TableSide)),
        "lead_person": draw(maybe(Person)),
        "at": draw(places(need.place, edition.id, floor)),
        "pending": draw(maybe(Pending)) if "pending" in follow else None,
        "called_by": draw(maybe(Role)) if "called_by" in follow else None,
        "bonus": draw(st.booleans()) if "bonus" in follow else False,
        "pressure": draw(st.booleans()),
        "clock": draw(maybe(ClockState)),
        "ball_to": draw(st.sampled_from(need.ball)) if need.ball else None,
    }
    assert complaints(fields) == ()
    return Situation(**fields)


def places(kind: str, edition: str, floor: Floor | None) -> st.SearchStrategy[Any]:
    """Return a place that a cause allows, to the micrometre, on a line or up to 1.5 ft off it."""
    court = floor_court(edition, floor)
    length, width, off = court.length, court.width, int(1.06 * FOOT)
    anywhere = st.tuples(st.integers(-off, length + off), st.integers(-off, width + off))
    side = st.tuples(st.integers(0, length), st.sampled_from((0, width, 1, width + off, -off)))
    end = st.tuples(st.sampled_from((0, length, 1, length + off, -off)), st.integers(0, width))
    on_line = side | end
    if kind == "line":
        return on_line
    return anywhere | on_line if kind == "must" else st.none() | anywhere


def every_combination() -> Iterator[Situation]:
    """Yield every combination of cause with what goes with it, and of the closed words with each other."""
    spot = (58 * FOOT, 0)
    for cause, need in NEEDS.items():
        follow = need.may_follow
        pending = (None, *get_args(Pending)) if "pending" in follow else (None,)
        callers = (None, *get_args(Role)) if "called_by" in follow else (None,)
        bonus = (False, True) if "bonus" in follow else (False,)
        for ball, due, caller, on in product(need.ball or (None,), pending, callers, bonus):
            for edition, attacking, side, person in product(
                IDS, get_args(Basket), get_args(TableSide), (None, *get_args(Person))
            ):
                yield Situation(
                    edition=edition, attacking=attacking, stopped_by=cause, lead_side=side,
                    lead_person=person, at=spot, ball_to=ball, pending=due, called_by=caller, bonus=on,
                )  # fmt: skip
