"""Counts every situation again, says which branch moved, and keeps totals and drawings when asked to.

What is counted and what is drawn is known to ``book.check`` and ``draw.goldens``; this only reads, compares and writes.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Sequence
from pathlib import Path

from tenbetween.book import edition_head, edition_ids, load_book
from tenbetween.book.check import Finding, Report, check, moved, totals_text
from tenbetween.book.kept import count_path, kept_totals
from tenbetween.dev.checkout import GOLDENS

Say = Callable[[str], object]
SHOWN = 20
"""Findings shown for one edition; the rest are counted."""


def count(editions: Sequence[str], *, every_setting: bool, say: Say) -> int:
    """Count editions (none named: all), say what moved since it was kept, and return 1 when anything did.

    Raises:
        BookError: no such edition, or a text with faults.
    """
    chosen = tuple(edition_head(one).id for one in editions) or edition_ids()
    return max(_counted(edition, every_setting, say) for edition in chosen)


def _counted(edition: str, every_setting: bool, say: Say) -> int:
    report = check(load_book(edition), each_setting=every_setting)
    lines = tuple(told(edition, report))
    for line in lines:
        say(line)
    return 1 if len(lines) > 1 else 0


def told(edition: str, report: Report) -> list[str]:
    """Return what a count has to say: one line when nothing moved and nothing was found, else what did."""
    size = f"{edition}: {report.totals.situations:,} situations"
    if report.settings_tried:
        size += (
            f", {report.situations_asked:,} asked with {report.settings_tried} other values of one setting"
        )
    changes = changed(edition, report)
    found = [_finding(one) for one in report.findings[:SHOWN]]
    more = len(report.findings) - len(found)
    says = "; ".join(
        part
        for part in (
            f"{len(changes)} totals moved" if changes else "nothing moved",
            _found(len(report.findings)),
        )
        if part
    )
    return [
        f"{size}; {says}",
        *(f"  {one}" for one in (*changes, *found, *([f"and {more} more"] if more else []))),
    ]


def _found(number: int) -> str:
    return f"{number} findings, largest first" if number else ""


def _finding(one: Finding) -> str:
    return f"{one.count:,} {one.kind}: {one.says} ({one.where or 'no row'}), for example {one.example}"


def changed(edition: str, report: Report) -> tuple[str, ...]:
    """Return which kept totals of an edition a fresh count no longer gives, as "row: 10 -> 12"."""
    if not count_path(edition).is_file():
        return ("nothing is kept for this edition yet; `make accept` keeps this count",)
    return moved(kept_totals(edition), totals_text(report.totals))


def accept(root: Path, *, say: Say) -> int:
    """Keep totals and drawings as they now are and show what changed against the last commit."""
    keep_totals()
    keep_drawings(root / GOLDENS)
    kept = (*(str(count_path(edition)) for edition in edition_ids()), str(root / GOLDENS))
    shown = subprocess.run(
        ("git", "diff", "--stat", "--", *kept), cwd=root, capture_output=True, text=True, check=False
    )
    say(shown.stdout.rstrip() or shown.stderr.strip() or "kept; no total and no drawing changed")
    return 0


def keep_totals() -> None:
    """Write the totals of every edition as they are counted now."""
    for edition in edition_ids():
        count_path(edition).write_text(totals_text(check(load_book(edition)).totals), encoding="utf-8")


def keep_drawings(folder: Path) -> None:
    """Write every kept drawing as it is drawn now, and take away those that are drawn no more."""
    from tenbetween.draw.goldens import draw_goldens

    folder.mkdir(parents=True, exist_ok=True)
    drawn = draw_goldens()
    for old in folder.glob("*.svg"):
        if old.name not in drawn:
            old.unlink()
    for name, text in drawn.items():
        (folder / name).write_text(text, encoding="utf-8")
