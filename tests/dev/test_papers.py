"""What the program writes into the papers: every mark filled, stale ones named, nothing else touched."""

from __future__ import annotations

from pathlib import Path

import pytest

from tenbetween.book import editions, load_book
from tenbetween.dev.papers import PARTS, fresh, made, refresh
from tenbetween.errors import UsageError
from tenbetween.notation import NEEDS

STALE = "# Mine\n\n<!-- made: features -->\nold\n<!-- end -->\n\nMy own words.\n"


def test_a_stale_paper_is_named_and_then_written_with_my_own_words_kept(tmp_path: Path) -> None:
    (tmp_path / "docs").mkdir()
    paper, mine = tmp_path / "docs" / "a.md", tmp_path / "docs" / "b.md"
    paper.write_text(STALE, "utf-8")
    mine.write_text("no marks\n", "utf-8")
    said: list[str] = []
    assert refresh(tmp_path, check_only=True, say=said.append) == 1
    assert paper.read_text("utf-8") == STALE
    assert refresh(tmp_path, check_only=False, say=said.append) == 0
    text = paper.read_text("utf-8")
    assert text.startswith("# Mine\n")
    assert text.endswith("\n\nMy own words.\n")
    assert "| `cause` | why play stopped |" in text
    assert refresh(tmp_path, check_only=True, say=said.append) == 0
    assert said == ["stale, run `make docs`: docs/a.md", "written: docs/a.md", "every paper is fresh"]


def test_a_mark_nothing_is_made_for_is_said_with_the_nearest() -> None:
    with pytest.raises(UsageError, match="did you mean 'features'"):
        fresh(STALE.replace("features", "feature"))


def test_every_edition_setting_cause_and_provision_is_listed() -> None:
    assert all(f"| `{head.id}` |" in made("editions") for head in editions())
    assert all(f"`{name}`" in made("settings") for head in editions() for name in load_book(head.id).settings)
    assert all(f"| {cause.replace('_', ' ')} |" in made("causes") for cause in NEEDS)
    assert all(f"`{id_}`" in made("provisions") for id_ in load_book("us-hs-2025").provisions)


def test_the_value_in_force_stands_first() -> None:
    listed = next(line for line in made("settings").splitlines() if line.startswith("| `time_out_place`"))
    assert "**halfway**, circle" in listed


@pytest.mark.parametrize("name", [name for name in PARTS if name != "provisions"])
def test_a_table_has_as_many_cells_in_every_row(name: str) -> None:
    rows = [line.replace("\\|", "") for line in made(name).splitlines() if line.startswith("|")]
    assert len({line.count("|") for line in rows}) <= 1
