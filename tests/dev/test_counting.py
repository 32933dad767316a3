"""What moved is shown with its branch; what is accepted is written, and nothing else."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from tenbetween.book import edition_ids, load_book
from tenbetween.book.check import Finding, Report, Totals, check
from tenbetween.dev import counting
from tenbetween.dev.__main__ import main
from tenbetween.errors import BookError

SMALL = "fiba-2po"
TOTALS = Totals(SMALL, 12, {"a.b/c": 5, "a.b/d": 7}, {"spot": 12}, "0123")


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep totals in a folder of the test, where there are none yet."""
    monkeypatch.setattr("tenbetween.book.kept.EDITIONS", tmp_path)
    for edition in edition_ids():
        (tmp_path / edition).mkdir()
    return tmp_path


def report(*findings: Finding, totals: Totals = TOTALS) -> Report:
    return Report(totals, findings, 0, totals.situations)


def test_nothing_moved_is_one_line(kept: Path) -> None:
    (kept / SMALL / "counts.txt").write_text(counting.totals_text(TOTALS), "utf-8")
    assert counting.told(SMALL, report()) == ["fiba-2po: 12 situations; nothing moved"]


def test_a_moved_total_is_named_with_before_and_after(kept: Path) -> None:
    before = Totals(SMALL, 12, {"a.b/c": 6, "a.b/d": 6}, {"spot": 12}, "4567")
    (kept / SMALL / "counts.txt").write_text(counting.totals_text(before), "utf-8")
    assert counting.told(SMALL, report()) == [
        "fiba-2po: 12 situations; 3 totals moved",
        "  a.b/c: 6 -> 5",
        "  a.b/d: 6 -> 7",
        "  digest: 4567 -> 0123",
    ]


def test_nothing_kept_says_what_to_do(kept: Path) -> None:
    assert "`make accept` keeps this count" in counting.told(SMALL, report())[1]


def test_findings_come_largest_first_and_the_rest_are_counted(kept: Path) -> None:
    (kept / SMALL / "counts.txt").write_text(counting.totals_text(TOTALS), "utf-8")
    many = tuple(Finding(1_000 - n, "gap", f"spot {n}", "x.toml:3", "goal") for n in range(25))
    said = counting.told(SMALL, report(*many))
    assert said[0].endswith("nothing moved; 25 findings, largest first")
    assert said[1] == "  1,000 gap: spot 0 (x.toml:3), for example goal"
    assert said[-1] == "  and 5 more"


def test_count_ends_with_one_when_something_moved_and_with_none_after_accepting(kept: Path) -> None:
    said: list[str] = []
    assert counting.count((SMALL,), every_setting=False, say=said.append) == 1
    fresh = counting.totals_text(check(load_book(SMALL)).totals)
    (kept / SMALL / "counts.txt").write_text(fresh, "utf-8")
    assert counting.count((SMALL,), every_setting=False, say=said.append) == 0
    assert said[-1].endswith("nothing moved")


def test_count_asks_other_values_when_told_to(kept: Path) -> None:
    counted = Report(TOTALS, (), 33, 4_000)
    assert "4,000 asked with 33 other values of one setting" in counting.told(SMALL, counted)[0]


def test_an_unknown_edition_is_said() -> None:
    with pytest.raises(BookError, match="us-hs-2025"):
        counting.count(("us-hs-2052",), every_setting=False, say=print)


def test_accept_keeps_totals_and_drawings_and_shows_what_changed(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a repository of the test: one drawing is new, one is drawn no more, one is drawn otherwise."""
    drawings = kept / "tests" / "golden" / "svg"
    drawings.mkdir(parents=True)
    (drawings / "old.svg").write_text("<svg/>\n", "utf-8")
    (drawings / "same.svg").write_text("<svg>before</svg>\n", "utf-8")
    (kept / SMALL / "counts.txt").write_text("old\n", "utf-8")
    for words in (
        ("init", "-q"),
        ("add", "."),
        ("-c", "user.name=t", "-c", "user.email=t", "commit", "-qm", "kept"),
    ):
        subprocess.run(("git", *words), cwd=kept, check=True)
    monkeypatch.setattr(
        "tenbetween.draw.goldens.draw_goldens", lambda: {"same.svg": "<svg>after</svg>\n", "new.svg": "x"}
    )
    monkeypatch.setattr(counting, "check", lambda book: report(totals=TOTALS))
    said: list[str] = []
    assert counting.accept(kept, say=said.append) == 0
    assert {path.name for path in drawings.iterdir()} == {"same.svg", "new.svg"}
    assert (kept / SMALL / "counts.txt").read_text("utf-8") == counting.totals_text(TOTALS)
    assert "same.svg" in said[0]
    assert "counts.txt" in said[0]


@pytest.mark.parametrize("words", [["cuont"], ["bench", "--fast"], ["docs", "extra"]])
def test_wrong_usage_ends_with_two(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 2
    assert "Usage:" in capsys.readouterr().err


def test_a_fault_is_directions_and_ends_with_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["count", "us-hs-2052"]) == 1
    assert "expected one of" in capsys.readouterr().err
