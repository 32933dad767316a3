"""The check finds nothing wrong with the editions, and every fault that is planted in one.

A second, plain way of looking rows up (every row against every combination, no bit masks) must agree with the
quick one, on random tables and on the tables of the book.
"""

# ruff: noqa: E501  (a planted row reads best in one line)
from __future__ import annotations

import re
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs
from tests.book.planting import row, with_layer
from tests.book.reading import EDITIONS

from tenbetween.book import Book, Provision, Row, load_book
from tenbetween.book.check import Finding, check, impossible
from tenbetween.book.index import GAP, Index
from tenbetween.book.vocabulary import FEATURES, TABLES, Table
from tenbetween.errors import BookError
from tenbetween.situation import Post, RolesAfter, Ruling, Situation


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_edition_is_clean_at_its_defaults_and_at_every_other_value(edition: str) -> None:
    book, said = load_book(edition), list[str]()
    report = check(book, each_setting=True, progress=said.append)
    assert report.good, "\n".join(map(str, report.findings))
    assert report.settings_tried == len(said) == sum(len(s.values) - 1 for s in book.settings.values())
    assert report.situations_asked > report.totals.situations > 100_000


def test_asking_twice_gives_the_same_totals_and_digest() -> None:
    assert check(load_book("fiba-2po")).totals == check(load_book("fiba-2po")).totals


# ---- planted faults


def found(body: str, kind: str, *, edition: str = "us-hs-2025", each_setting: bool = False) -> list[Finding]:
    """The findings of one kind, largest first, after a fault was planted."""
    report = check(with_layer(body, edition), each_setting=each_setting)
    counts = [f.count for f in report.findings]
    assert counts == sorted(counts, reverse=True), "the largest come first"
    return [f for f in report.findings if f.kind == kind]


def test_a_gap_is_found_with_the_row_that_comes_closest() -> None:
    narrow = row(
        "who.front-end-line",
        "lead",
        "who",
        'restart = "throw_in", line = "end_line", part = "frontcourt", pressure = "no"',
        'handles = "lead"',
    )
    gaps = found(narrow, "gap")
    assert gaps[0].says == f"administers: {GAP}"
    assert "who.front-end-line/lead (layers/memo.toml:11)" in gaps[0].where
    assert gaps[0].count > 1_000
    assert "pressure" in gaps[0].example


def test_a_conflict_is_found_with_both_rows() -> None:
    second = row(
        "give.shouted",
        "shout",
        "delivery",
        'restart = "throw_in", line = "sideline", pressure = "yes"',
        'delivery = "hand"',
    )
    conflict = found(second, "conflict")[0]
    assert "give.shouted/shout (layers/memo.toml:11)" in conflict.where
    assert re.search(r"give\.sideline/bounce \(editions/us-hs-2022/3-giving\.toml:\d+\)", conflict.where)
    assert "both apply" in conflict.says
    assert conflict.count > 1_000


def test_a_conflict_is_gone_once_one_row_says_it_goes_before() -> None:
    rest = 'overrides = ["give.sideline"]\nbecause = "against a press the thrower is too close to a bounce"\n'
    second = row(
        "give.shouted",
        "shout",
        "delivery",
        'restart = "throw_in", line = "sideline", pressure = "yes"',
        'delivery = "hand"',
        rest,
    )
    assert check(with_layer(second)).good


def test_a_row_that_never_applies_is_found() -> None:
    never = row(
        "give.never", "never", "delivery", 'cause = "game_start", restart = "throw_in"', 'delivery = "hand"'
    )
    idle = found(never, "idle", edition="fiba-2po", each_setting=True)
    assert [(f.says, f.where) for f in idle] == [
        ("give.never/never never applies", "give.never/never (layers/memo.toml:11)")
    ]


@pytest.mark.parametrize(
    ("body", "says", "blamed"),
    [
        (
            row("give.after-goal", "none", "delivery", 'restart = "throw_in", cause = "goals"', 'delivery = "hand"'),
            "the ball is handed and nobody gives it",
            "give.after-goal/none (layers/memo.toml:11)",
        ),
        (
            row("who.back-sideline", "trail", "who", 'restart = "throw_in", part = "backcourt", cause = "not goals"', 'handles = "lead"'),
            "the lead gives a throw-in in the back court",
            "who.back-sideline/trail (layers/memo.toml:11)",
        ),
        (
            row("clock.chop", "running", "chop", 'restart = "throw_in", clock = "running"', 'chop = "administering"'),
            "the clock runs and somebody chops",
            "clock.chop/running (layers/memo.toml:11)",
        ),
        (
            row("run.kept", "interrupted", "run", 'pending = "spot", cause = "time_out", restart = "throw_in"', 'run = "yes"', 'overrides = ["run.spot"]\nbecause = "planted"\n'),
            "the lead gives a throw-in in the back court",
            "who.front-sideline/owner-is-lead",
        ),
    ],
)  # fmt: skip
def test_an_impossible_result_is_found_with_the_rows_it_comes_from(body: str, says: str, blamed: str) -> None:
    wrong = [f for f in found(body, "impossible") if f.says == says]
    assert wrong
    assert blamed in wrong[0].where
    assert wrong[0].count > 0


def test_a_spot_that_does_not_turn_with_the_court_is_found() -> None:
    rest = 'overrides = ["where.four-spots", "where.four-spots-back", "where.nearest"]\nbecause = "planted"\n'
    body = row("where.held", "there", "spot", 'cause = "held_ball"', 'spot = "division_line_opposite"', rest)
    broken = found(body, "reflection")
    assert all(f.says.startswith("table/opposite") for f in broken)
    assert "where.held/there (layers/memo.toml:11)" in broken[0].where


def test_a_row_that_overrides_nothing_is_a_fault_of_the_text_with_its_line() -> None:
    rest = 'overrides = ["who.front-sideline"]\nbecause = "planted"\n'
    body = row(
        "give.shouted",
        "shout",
        "delivery",
        'restart = "throw_in", line = "sideline"',
        'delivery = "hand"',
        rest,
    )
    with pytest.raises(BookError) as caught:
        with_layer(body)
    assert [p.where for p in caught.value.problems] == ["layers/memo.toml:11 overrides"]
    assert "who.front-sideline" in caught.value.problems[0].found


def test_what_no_floor_allows_is_said_of_a_ruling_in_plain_words() -> None:
    at = Situation(edition="us-hs-2025", attacking="left", stopped_by="injury")
    spot = Post("trail_28", (1.0, 2.0), ())
    wrong = Ruling(
        situation=at,
        restart="throw_in",
        may_run_end_line=True,
        spot=(0, 0),
        line="sideline",
        roles_after=RolesAfter("lead", "lead"),
        places={"lead": spot, "trail": spot},
    )
    assert list(impossible(wrong)) == [
        "the thrower may run the end line and has a spot",
        "both officials have the same role",
        "both officials stand on one place",
        "there are 0 steps; a sheet has room for two to six",
    ]


# ---- the second way of looking rows up


def plain_lookup(rows: list[tuple[str, Row]], features: dict[str, str]) -> list[str]:
    """The rows that apply and are not overridden by one that applies, found one after the other."""
    applying = [(name, r) for name, r in rows if all(features[f] in allowed for f, allowed in r.when)]
    beaten = {target for _, r in applying for target in r.overrides}
    return [name for name, _ in applying if name not in beaten]


SMALL = {
    "bonus": ("yes", "no"),
    "caller": ("lead", "trail", "unsaid"),
    "pending": ("nothing", "spot", "run_end_line"),
}


@st.composite
def small_tables(draw: st.DrawFn) -> list[Row]:
    """A table of a few rows over three features, with overrides among them."""
    rows = []
    for n in range(draw(st.integers(1, 6))):
        when = {}
        for feature, values in SMALL.items():
            chosen = draw(st.sets(st.sampled_from(values), min_size=1))
            if len(chosen) < len(values):
                when[feature] = tuple(v for v in values if v in chosen)
        others = [f"p.q/r{m}" for m in range(6) if m != n]
        beats = tuple(draw(st.lists(st.sampled_from(others), max_size=2, unique=True)))
        value = draw(st.sampled_from(("hand", "bounce", "toss", "none")))
        silent = draw(st.booleans())
        rows.append(
            Row(f"r{n}", "delivery", tuple(sorted(when.items())), () if silent else (("delivery", value),), beats, not_needed=silent)
        )  # fmt: skip
    return rows


@given(small_tables())
def test_the_quick_index_agrees_with_a_plain_look_at_every_row(rows: list[Row]) -> None:
    book = with_rows(load_book("fiba-2po"), "delivery", rows)
    index = Index(_table("delivery"), book, book.settings)
    named = [(f"p.q/{r.name}", r) for r in rows]
    for values in product(*SMALL.values()):
        features = {f: v[0] for f, v in FEATURES.items()} | dict(zip(SMALL, values, strict=True))
        live = plain_lookup(named, features)
        hit = index.hit(features)
        assert [index.ids[n] for n in hit.live] == live
        assert (hit.not_covered is not None and hit.not_covered.why == GAP) == (not live)
        assert hit.conflict == (len(live) > 1)
        if len(live) == 1:
            assert hit.then == (dict(dict(named)[live[0]].then) or None)


def with_rows(book: Book, table: str, rows: list[Row]) -> Book:
    """The book with these rows, and no other, in one table."""
    kept = {
        p.id: structs.replace(p, rows=tuple(r for r in p.rows if r.table != table))
        for p in book.provisions.values()
    }
    mine = Provision(id="p.q", group="p", title="", sentence="", rows=tuple(rows))
    return structs.replace(book, provisions=kept | {"p.q": mine})


def _table(name: str) -> Table:
    return next(t for t in TABLES if t.name == name)


@pytest.mark.parametrize("name", ["restart", "run", "roles", "delivery", "clock", "lines", "sides"])
@pytest.mark.parametrize("edition", EDITIONS)
def test_gaps_and_conflicts_of_a_whole_table_are_the_same_both_ways(edition: str, name: str) -> None:
    book = load_book(edition)
    index = Index(_table(name), book, book.settings)
    named: list[tuple[str, Any]] = [
        (f"{p.id}/{r.name}", _without_settings(book, r)) for p, r in book.rows(name) if _in_force(book, r)
    ]
    used = [feature for feature, _ in index.masks]
    quick, plain = [0, 0, 0], [0, 0, 0]
    for values in product(*(FEATURES[f] for f in used)):
        features = dict(zip(used, values, strict=True))
        live = plain_lookup(named, features)
        plain[min(len(live), 2)] += 1
        quick[min(len(index.hit(features).live), 2)] += 1
    assert quick == plain
    assert plain[1] > 0


def _in_force(book: Book, r: Row) -> bool:
    return all(book.settings[f].value in allowed for f, allowed in r.when if f in book.settings)


def _without_settings(book: Book, r: Row) -> Row:
    return structs.replace(r, when=tuple((f, allowed) for f, allowed in r.when if f not in book.settings))
