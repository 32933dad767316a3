"""The runs of a walked game: the feet are the walk's own, the seconds one profile's, and both are told with the rest."""

from __future__ import annotations

import json
from itertools import pairwise
from math import dist
from pathlib import Path
from statistics import median
from typing import Any

import pytest

from tenbetween import cli
from tenbetween.book import load_book
from tenbetween.crew import PERSONS, Walk
from tenbetween.desk.games import walk_json
from tenbetween.desk.runs import NOTE, kind_of, runs_of
from tenbetween.formats.game_csv import read_game_bytes, walk_game
from tenbetween.formats.game_walked import runs_as_dict
from tenbetween.movement import BRISK, JOGGER, SPRINTER, time_to

ROOT = Path(__file__).resolve().parents[2]
GAME = ROOT / "docs" / "examples" / "game.csv"


@pytest.fixture(scope="module")
def walked() -> Walk:
    return walk_game(read_game_bytes(GAME.read_bytes()), load_book("us-hs-2025"))


def by_the_walk(walk: Walk) -> list[tuple[int, str, str, float]]:
    """Every run as the walk tells it, read from the walk alone."""
    found = []
    for row in walk.rows:
        for disposal in row.disposals:
            for person in PERSONS:
                if person in disposal.ran_ft:
                    found.append((row.stoppage.row, person, kind_of(disposal), disposal.ran_ft[person]))
    return found


@pytest.mark.parametrize("edition", ["us-hs-2023", "us-hs-2025"])
def test_each_run_has_the_feet_of_the_walk(edition: str) -> None:
    """The way put together from known places is as long as the walk says."""
    walk = walk_game(read_game_bytes(GAME.read_bytes()), load_book(edition))
    runs = runs_of(walk).runs
    expected = by_the_walk(walk)
    assert len(runs) == len(expected) > 200
    for run, (row, person, kind, feet) in zip(runs, expected, strict=True):
        assert (run.row, run.person, run.kind) == (row, person, kind)
        assert run.feet == pytest.approx(feet, abs=0.0501)
        assert run.feet == pytest.approx(sum(dist(a, b) for a, b in pairwise(run.points)))


def test_where_a_book_gives_no_places_nothing_is_timed_and_that_is_said(capsys: Any) -> None:
    walk = walk_game(read_game_bytes(GAME.read_bytes()), load_book("fiba-2po"))
    runs = runs_of(walk)
    assert (runs.runs, runs.not_known) == ((), 2 * sum(len(row.disposals) for row in walk.rows))
    assert [(one.runs, one.feet, one.longest, one.kinds) for one in runs.by_official] == [
        (0, 0.0, None, ())
    ] * 2
    _, out, _ = command("--edition", "fiba-2po", capsys=capsys)
    assert f"{runs.not_known} times a place before or after is not known" in out


def test_some_runs_go_by_way_of_the_end_the_play_had_reached(walked: Walk) -> None:
    lengths = {len(run.points) for run in runs_of(walked).runs}
    assert lengths == {2, 3}


def test_what_each_official_ran_adds_up_to_the_totals_of_the_walk(walked: Walk) -> None:
    runs = runs_of(walked)
    for one in runs.by_official:
        total = sum(share.ran_ft for share in walked.shares if share.person == one.person)
        assert one.feet == pytest.approx(total, abs=0.05 * (one.runs + one.stays))
        mine = [run for run in runs.runs if run.person == one.person]
        assert one.runs + one.stays == len(mine)
        assert one.longest is not None
        assert one.longest.feet == max(run.feet for run in mine)
    disposals = sum(len(row.disposals) for row in walked.rows)
    assert len(runs.runs) + runs.not_known == 2 * disposals


def test_medians_by_kind_with_their_counts(walked: Walk) -> None:
    for one in runs_of(walked).by_official:
        told = [
            (kind, feet) for _, person, kind, feet in by_the_walk(walked) if person == one.person and feet > 0
        ]
        assert sum(kind.runs for kind in one.kinds) == one.runs == len(told)
        for kind in one.kinds:
            feet = [ft for name, ft in told if name == kind.kind]
            assert kind.runs == len(feet)
            assert kind.feet_median == pytest.approx(median(feet), abs=0.051)


def test_seconds_are_those_of_the_profile_and_faster_legs_need_fewer(walked: Walk) -> None:
    slow, fast, fastest = (runs_of(walked, legs) for legs in (JOGGER, BRISK, SPRINTER))
    run = next(run for run in slow.runs if len(run.points) == 3)
    pieces = [time_to(dist(a, b), JOGGER) for a, b in pairwise(run.points)]
    assert run.seconds == pytest.approx(sum(piece.run + piece.brake for piece in pieces))
    assert run.until_set == pytest.approx(sum(piece.total for piece in pieces))
    for person in range(2):
        seconds = [runs.by_official[person].seconds for runs in (slow, fast, fastest)]
        assert seconds == sorted(seconds, reverse=True)
        assert len({runs.by_official[person].feet for runs in (slow, fast, fastest)}) == 1


def command(*words: str, capsys: Any) -> tuple[int, str, str]:
    code = cli.main(["walk", str(GAME), *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_runs_stand_beside_the_walk_and_change_nothing_in_it(walked: Walk, capsys: Any) -> None:
    code, out, _ = command("--edition", "us-hs-2025", "--json", capsys=capsys)
    page = json.loads(out)
    runs = page.pop("runs")
    assert code == 0
    assert page == json.loads(json.dumps(walk_json(walked)))
    assert runs.pop("note") == NOTE
    assert runs == json.loads(json.dumps(runs_as_dict(runs_of(walked), walked.opening)))
    assert runs["profile"]["name"] == "jogger"
    assert [one["person"] for one in runs["by_official"]] == ["referee", "umpire"]
    assert {
        "row",
        "person",
        "kind",
        "points",
        "at_least_ran_ft",
        "seconds_running",
        "seconds_until_set",
    } == set(runs["runs"][0])


def test_the_walk_in_words_ends_with_the_runs(walked: Walk, capsys: Any) -> None:
    code, out, _ = command("--edition", "us-hs-2025", "--legs", "brisk-adult", capsys=capsys)
    assert code == 0
    assert "Runs, timed as a brisk adult (21 ft/s):" in out
    for one in runs_of(walked, BRISK).by_official:
        assert f"{one.runs} runs, {one.feet:,.0f} ft, {one.seconds:,.0f} s running" in out
    assert out.rstrip().endswith(NOTE)
    code, out, err = command("--legs", "joger", capsys=capsys)
    assert (code, out) == (1, "")
    assert "did you mean 'jogger'?" in err
