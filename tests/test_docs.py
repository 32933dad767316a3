"""The papers for the trainer are true: their examples run, their made parts are fresh, their links lead somewhere."""

from __future__ import annotations

import doctest
import re
import shlex
from pathlib import Path

import pytest

from tenbetween.cli import main
from tenbetween.dev.checkout import FIGURES
from tenbetween.dev.papers import MARKED, PARTS, fresh

ROOT = Path(__file__).resolve().parents[1]
PAPERS = sorted((ROOT / "docs").glob("*.md"))
CONSOLE = re.compile(r"^```console\n(.*?)^```", re.DOTALL | re.MULTILINE)
PYTHON = re.compile(r"^```python\n(.*?)^```", re.DOTALL | re.MULTILINE)
ENOUGH = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE


def runs(block: str) -> list[tuple[str, str]]:
    """Split a console block into commands and what each of them says."""
    parts = re.split(r"^\$ ", block, flags=re.MULTILINE)
    assert parts[0].strip() == "", "a console block begins with $ and a command"
    return [(command, said) for command, _, said in (part.partition("\n") for part in parts[1:])]


def examples() -> list[tuple[str, str, str]]:
    return [
        (path.name, command, said)
        for path in PAPERS
        for block in CONSOLE.findall(path.read_text("utf-8"))
        for command, said in runs(block)
    ]


@pytest.fixture
def a_desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder with the papers in it, as if one stood at the top of the checkout; no workbench at home."""
    (tmp_path / "docs").symlink_to(ROOT / "docs")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("TENBETWEEN_WORKBENCH", str(tmp_path / "none"))
    return tmp_path


@pytest.mark.parametrize(
    ("paper", "command", "said"),
    examples(),
    ids=[f"{paper}-{command[:60]}" for paper, command, _ in examples()],
)
def test_every_console_example_says_what_the_paper_says(
    paper: str, command: str, said: str, a_desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    program, *words = shlex.split(command)
    assert program == "tenbetween"
    status = main(words)
    out, err = capsys.readouterr()
    got = out or err
    assert status == (0 if out else 1), err
    assert doctest.OutputChecker().check_output(said, got, ENOUGH), (
        f"docs/{paper} says otherwise than:\n{got}"
    )
    written = re.search(r"^written: (\S+)$", said, re.MULTILINE)
    assert written is None or (a_desk / written[1]).stat().st_size > 100


def test_the_matcher_notices_a_wrong_answer() -> None:
    assert not doctest.OutputChecker().check_output(
        "Trail hands it\n...\n", "Lead hands it\nand more\n", ENOUGH
    )


@pytest.mark.parametrize("paper", PAPERS, ids=lambda path: path.name)
def test_every_python_example_holds(paper: Path) -> None:
    for block in PYTHON.findall(paper.read_text("utf-8")):
        test = doctest.DocTestParser().get_doctest(block, {}, paper.name, str(paper), 0)
        assert test.examples, "a python block without >>> is not run: write it as text"
        said: list[str] = []
        result = doctest.DocTestRunner(optionflags=ENOUGH, verbose=False).run(test, out=said.append)
        assert result.failed == 0, "".join(said)


def test_every_trainer_paper_has_an_example_that_runs() -> None:
    shown = {paper for paper, _, _ in examples()}
    assert {
        "answer.md",
        "book.md",
        "walk.md",
        "sheet.md",
        "notation.md",
        "court.md",
        "sight.md",
        "plays.md",
    } <= shown


@pytest.mark.parametrize("paper", PAPERS, ids=lambda path: path.name)
def test_what_the_program_writes_into_a_paper_is_fresh(paper: Path) -> None:
    text = paper.read_text("utf-8")
    assert fresh(text) == text, "stale: run `make docs`"


def test_every_made_part_stands_in_a_paper_and_staleness_is_noticed() -> None:
    texts = "\n".join(path.read_text("utf-8") for path in PAPERS)
    assert {found["name"] for found in MARKED.finditer(texts)} == set(PARTS)
    old = "<!-- made: editions -->\nan older list\n<!-- end -->\n"
    assert "us-hs-2025" in fresh(old)
    assert fresh(fresh(old)) == fresh(old)


def test_the_index_names_every_paper_and_nothing_else() -> None:
    named = set(re.findall(r"`docs/([\w-]+\.md)`", (ROOT / "docs" / "README.md").read_text("utf-8")))
    there = {path.name for path in PAPERS} - {"README.md"}
    assert named == there | {FIGURES.name}


def test_every_file_a_paper_names_is_there() -> None:
    lost = [
        f"{path.name}: {word}"
        for path in PAPERS
        for word in re.findall(r"`?\b((?:docs|src|tests)/[\w./-]+[\w/])", path.read_text("utf-8"))
        if not (ROOT / word).exists()
    ]
    assert lost == []


@pytest.mark.parametrize("paper", ["answer.md", "book.md", "sheet.md", "walk.md", "README.md"])
def test_who_decides_is_said_where_answers_are_shown(paper: str) -> None:
    text = " ".join((ROOT / "docs" / paper).read_text("utf-8").lower().split())
    assert "interpreter" in text


# Words for judging people, and codes; the papers teach where to stand and judge nobody.
JUDGING = re.compile(r"\b(scored?|grades?|graded|pass(ed)? or fail|failing|rating|accuracy)\b", re.IGNORECASE)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda path: path.name)
def test_no_paper_judges_a_person(paper: Path) -> None:
    bare = [line for line in paper.read_text("utf-8").splitlines() if JUDGING.search(line)]
    assert bare == []
