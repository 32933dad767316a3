"""Figures are measured, never typed: medians in turn, floors of the same run, and no table from half a run."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tenbetween.court import court_of
from tenbetween.dev import answering, bench, paper_speed, screen
from tenbetween.dev.checkout import checkout
from tenbetween.dev.figures import Figure, Measured, in_turn, page, row
from tenbetween.errors import UsageError
from tenbetween.situation import Situation

GOOD = Measured((Figure("one answer", 0.2, "s", 0.4, floor_name="bare interpreter", floor=0.05),))
SLOW = Measured((Figure("many", 15_000, "a second", 20_000, True, "bare values", 300_000),))


def test_rounds_take_turns_and_the_median_is_kept() -> None:
    order: list[str] = []
    firsts, seconds_ = iter([5.0, 1.0, 2.0]), iter([9.0, 7.0, 8.0])

    def first() -> float:
        order.append("a")
        return next(firsts)

    def second() -> float:
        order.append("b")
        return next(seconds_)

    assert in_turn(3, first, second) == (2.0, 8.0)
    assert order == ["a", "b"] * 3


def cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.strip("|").split("|")]


def test_a_row_says_value_floor_ratio_aim_and_whether_it_is_met() -> None:
    name, *rest = cells(row(GOOD.figures[0], "one answer"))
    assert name == "one answer"
    assert rest == [
        "0.2 s",
        "bare interpreter: 0.05 s",
        "4.0",
        "under 0.4 s",
        "yes",
        '`bench --only "one answer"`',
    ]
    assert cells(row(SLOW.figures[0], "many"))[3:6] == ["20.0", "over 20,000 a second", "**no**"]


def test_the_page_names_command_and_cores_and_what_was_not_measured() -> None:
    text = page([GOOD, Measured(skipped="The screen: no Chromium found.")])
    assert "python -m tenbetween.dev bench" in text
    assert " cores; never by hand" in text
    assert text.endswith("Not measured:\n\n- The screen: no Chromium found.\n")


def test_only_a_whole_run_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "docs").mkdir()
    monkeypatch.setattr(bench, "PARTS", {"good": lambda: GOOD, "slow": lambda: SLOW})
    said: list[str] = []
    assert bench.bench(tmp_path, only="good", say=said.append) == 0
    assert not (tmp_path / "docs" / "figures.md").exists()
    assert bench.bench(tmp_path, only="", say=said.append) == 1
    assert row(SLOW.figures[0], "slow") in (tmp_path / "docs" / "figures.md").read_text("utf-8")


def test_nothing_of_that_name_to_measure_is_said(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="one answer"):
        bench.bench(tmp_path, only="lightning", say=print)


def test_the_situations_are_different_the_same_every_time_and_off_the_counted_cells() -> None:
    some = answering.different(400)
    assert len(set(some)) == 400
    assert some == answering.different(400)
    assert len({s.at for s in some if s.at}) > 300
    assert len({s.stopped_by for s in some}) > 15


def test_a_moved_situation_stays_on_its_boundary() -> None:
    court, dice = court_of("us-hs"), random.Random(1)
    out = Situation(edition="us-hs-2025", attacking="left", stopped_by="out_of_bounds", at=(0, 5))
    moved = answering.elsewhere(out, dice, court.length, court.width)
    assert moved.at is not None
    assert moved.at[0] == 0
    assert moved.at != out.at


def test_a_cold_round_answers_every_situation_it_times(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answering, "MANY", 300)
    told = answering.cold_round()
    assert told["answered"] > told["built"] > 0


def test_a_program_that_fails_fails_the_measurement() -> None:
    with pytest.raises(Exception, match="exit status 1"):
        answering.run(("python3", "-c", "raise SystemExit(1)"))


def test_a_sheet_takes_longer_than_a_blank_page() -> None:
    assert all(figure.value > figure.floor > 0 for figure in paper_speed.sheets().figures)


def test_without_a_browser_the_screen_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(screen, "chromium", lambda: None)
    measured = screen.screens()
    assert measured.figures == ()
    assert "dev/install system" in measured.skipped


@pytest.mark.alone
@pytest.mark.browser
def test_the_screen_is_measured_on_the_real_workbench(
    monkeypatch: pytest.MonkeyPatch, chromium_path: str
) -> None:
    monkeypatch.setattr(screen, "chromium", lambda: chromium_path)
    monkeypatch.setattr(screen, "FIRSTS", 1)
    monkeypatch.setattr(screen, "TOUCHES", 2)
    first, touch, script = screen.screens().figures
    assert first.value > first.floor > 0
    assert touch.value > touch.floor > 0
    assert 1 < script.value < script.aim


def test_outside_a_checkout_it_says_where_to_go(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="make setup"):
        checkout(tmp_path / "site-packages" / "tenbetween" / "dev" / "checkout.py")
