"""The command line: answers, exit statuses, and faults that are directions; never a traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tenbetween import cli
from tenbetween.cli.command import COMMANDS
from tenbetween.notation import as_json, parse

LINE = "us-hs-2025 / right / out of bounds 58,0 / same / lead table umpire"
SITUATION = as_json(parse(LINE))
ROOT = Path(__file__).resolve().parent.parent.parent
K24 = ROOT / "src" / "tenbetween" / "demo" / "layers" / "k-24.toml"


class Said:
    """What one command wrote, and its exit status."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err

    @property
    def page(self) -> Any:
        return json.loads(self.out)

    @property
    def errors(self) -> list[dict[str, str]]:
        assert self.out == "", "nothing on standard output beside errors"
        page = json.loads(self.err)
        assert list(page) == ["errors"]
        assert all(list(one) == ["where", "found", "expected", "do"] for one in page["errors"])
        return page["errors"]  # type: ignore[no-any-return]


@pytest.fixture(autouse=True)
def nobodys_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No workbench of whoever runs the tests is used."""
    monkeypatch.setenv("TENBETWEEN_WORKBENCH", str(tmp_path / "nothing-here"))


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return a function that runs a command in this process."""

    def run(*args: str, stdin: str | bytes = b"") -> Said:
        class Input:
            buffer = __import__("io").BytesIO(stdin.encode() if isinstance(stdin, str) else stdin)

            @staticmethod
            def isatty() -> bool:
                return False

        monkeypatch.setattr(sys, "stdin", Input())
        code = cli.main(args)
        out, err = capsys.readouterr()
        assert "Traceback" not in err
        return Said(code, out, err)

    return run


# -- answer ----------


def test_a_line_is_answered_in_words(say: Any) -> None:
    said = say("answer", LINE)
    assert said.code == 0
    assert said.out.startswith("Old lead bounces it at the table sideline, 26 ft from the end line")
    assert "Why:" in said.out
    assert "who.lead-line-high/" in said.out
    assert said.out.rstrip().endswith(LINE)
    assert said.err == ""


def test_a_line_need_not_be_quoted(say: Any) -> None:
    assert say("answer", *LINE.split()).out == say("answer", LINE).out


def test_a_line_a_file_and_standard_input_give_the_same_answer(say: Any, tmp_path: Path) -> None:
    file = tmp_path / "one.json"
    file.write_text(json.dumps(SITUATION), "utf-8")
    pages = [
        say("answer", LINE, "--json").page,
        say("answer", str(file), "--json").page,
        say("answer", "-", "--json", stdin=json.dumps(SITUATION)).page,
        say("answer", "-", "--json", stdin=LINE + "\n").page,
        say("answer", json.dumps(SITUATION), "--json").page,
    ]
    assert all(page == pages[0] for page in pages)
    assert pages[0]["spot"] == [58.0, 0.0]


def test_a_list_gives_a_list_each_as_if_asked_alone(say: Any) -> None:
    goal = {**SITUATION, "stopped_by": "made_goal", "ball_to": "other"}
    both = say("answer", "-", "--json", stdin=json.dumps([SITUATION, goal])).page
    alone = [say("answer", "-", "--json", stdin=json.dumps(one)).page for one in (SITUATION, goal)]
    assert both == alone
    assert say("answer", "-", "--json", stdin=json.dumps([SITUATION])).page == [alone[0]]
    assert say("answer", "-", "--json", stdin="[]").page == []


def test_several_lines_are_a_list(say: Any) -> None:
    said = say("answer", "-", "--json", stdin=f"# two\n{LINE}\n\nright, game starts\n")
    assert [page["restart"] for page in said.page] == ["throw_in", "jump_ball"]


def test_one_bad_item_leaves_standard_output_empty(say: Any) -> None:
    bad = [SITUATION, {**SITUATION, "at": [40, 25]}, SITUATION, {**SITUATION, "settings": {"ties": "x"}}]
    said = say("answer", "-", "--json", stdin=json.dumps(bad))
    assert said.code == 1
    assert [one["where"] for one in said.errors] == ["[1].at"]
    said = say(
        "answer", "-", "--json", stdin=json.dumps([bad[0], bad[3], {**SITUATION, "layers": ["nowhere"]}])
    )
    assert said.code == 1
    assert [one["where"] for one in said.errors] == ["[1].settings.ties", "[2].layers"]


def test_the_day_chooses_the_edition(say: Any) -> None:
    bare = {name: value for name, value in SITUATION.items() if name != "edition"}
    lines = [
        say("answer", "-", "--json", stdin=json.dumps({**bare, "date": day})).page["situation_line"]
        for day in ("2022-12-01", "2024-12-01", "2025-12-01")
    ]
    assert [line.split(" /")[0] for line in lines] == ["us-hs-2022", "us-hs-2023", "us-hs-2025"]
    assert (
        say("answer", "right, game starts", "--date", "2022-12-01", "--json")
        .page["situation_line"]
        .startswith("us-hs-2022")
    )


def test_options_stand_over_what_the_situation_says(say: Any) -> None:
    said = say(
        "answer", LINE, "--edition", "2022-23", "--layer", str(K24), "--set", "tie=trails_side", "--json"
    )
    assert said.page["situation_line"] == (
        "us-hs-2022 + k-24 / right / out of bounds 58,0 / same / lead table umpire / set tie=trails_side"
    )


def test_a_layer_of_a_workbench_is_named_by_its_id(say: Any, tmp_path: Path) -> None:
    (tmp_path / "layers").mkdir()
    (tmp_path / "layers" / "k-24.toml").write_text(K24.read_text("utf-8"), "utf-8")
    by_id = say("answer", LINE, "--workbench", str(tmp_path), "--layer", "k-24", "--json")
    assert by_id.code == 0
    assert by_id.page == say("answer", LINE, "--layer", str(K24), "--json").page
    assert say("answer", LINE, "--layer", "k-24", "--json").errors[0]["where"] == "layers"


def test_without_anybody_to_ask_a_situation_must_be_said(say: Any) -> None:
    said = say("answer")
    assert said.code == 2
    assert "say a situation" in said.err


def test_questions_are_asked_in_order_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    from tenbetween.cli import answer
    from tenbetween.cli.asked import ByWhich

    replies = iter(["right", "1", "tabel 26", "table 26", "white", "2"])
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("click.prompt", lambda *_, **__: next(replies))
    found = answer.ask(ByWhich(edition="us-hs-2025"))
    assert found == parse("us-hs-2025 / right / out of bounds 58,0 / same / lead opposite")
    assert list(replies) == []


# -- the other commands ----------


def test_every_command_explains_itself(say: Any) -> None:
    for name in COMMANDS:
        said = say(name, "--help")
        assert said.code == 0
        assert said.out.startswith(f"Usage: tenbetween {name}")
    assert all(name in say("--help").out for name in COMMANDS)


@pytest.mark.parametrize(
    ("kind", "begins"),
    [("pdf", b"%PDF-"), ("png", b"\x89PNG"), ("svg", b"<svg"), ("html", b"<!"), ("txt", b"Old lead")],
)
def test_a_sheet_is_written_whole(say: Any, tmp_path: Path, kind: str, begins: bytes) -> None:
    file = tmp_path / f"sheet.{kind}"
    said = say("sheet", LINE, "--to", str(file), "--json")
    assert said.page == {"file": str(file), "kind": kind, "bytes": file.stat().st_size, "situations": 1}
    assert file.read_bytes().lstrip()[: len(begins)].lower() == begins.lower()
    assert [path.name for path in tmp_path.iterdir()] == [file.name]


def test_many_situations_are_one_page(say: Any, tmp_path: Path) -> None:
    file = tmp_path / "many.pdf"
    assert say("sheet", "-", "--to", str(file), stdin=json.dumps([SITUATION] * 3)).code == 0
    assert file.read_bytes().startswith(b"%PDF-")
    refused = say("sheet", "-", "--to", str(tmp_path / "many.png"), stdin=json.dumps([SITUATION] * 3))
    assert (refused.code, refused.out) == (2, "")


def test_a_sheet_that_cannot_be_written_says_why(say: Any, tmp_path: Path) -> None:
    said = say("sheet", LINE, "--to", str(tmp_path / "no" / "such" / "a.txt"), "--json")
    assert said.code == 1
    assert "no such file" in said.errors[0]["found"]
    assert say("sheet", LINE, "--to", "a.docx", "--json").code == 2


def test_a_court_has_the_agreed_names(say: Any) -> None:
    page = say("court", "us-hs-2025", "--json").page
    assert list(page) == ["edition", "length", "width", "landmarks", "lines", "curves", "source"]
    assert page["lines"]["division_line"] == [[42.0, 0.0], [42.0, 50.0]]
    assert set(page["curves"]["left_arc"]) == {"centre", "radius", "from_deg", "to_deg"}
    assert set(page["landmarks"]) | set(page["lines"]) | set(page["curves"]) <= set(page["source"])
    assert say("court", "--length", "94", "--json").page["length"] == 94.0
    assert say("court", "--length", "9", "--json").errors[0]["where"] == "court.length"


def test_a_game_is_walked_and_a_broken_one_names_its_rows(say: Any) -> None:
    game = ROOT / "src" / "tenbetween" / "demo" / "game.csv"
    said = say("walk", str(game), "--json")
    assert len(said.page["rows"]) >= 100
    assert "Stoppages:" in say("walk", "-", stdin=game.read_bytes()).out
    broken = game.read_text("utf-8").replace("out of bounds", "owt of bownds")
    found = say("walk", "-", "--json", stdin=broken)
    assert found.code == 1
    assert len(found.errors) >= 1


def test_the_book_is_listed_shown_checked_and_compared(say: Any) -> None:
    assert [one["id"] for one in say("book", "list", "--json").page][-1] == "us-hs-2025"
    assert say("book", "list", "2025-26", "--json").page["id"] == "us-hs-2025"
    assert say("book", "show", "where.quarter", "--json").page["id"] == "where.quarter"
    assert say("book", "show", "where.quater", "--json").errors[0]["do"] == "did you mean 'where.quarter'?"
    page = say("book", "check", "fiba-2po", "--json").page["books"][0]
    assert page["situations"] > 100_000
    assert say("book", "compare", "fiba-2po", "fiba-2po", "--json").page["changes"] == []
    assert say("book", "compare", "fiba-2po", "us-hs-2025", "--json").code == 1


def test_a_new_layer_is_printed_or_written_and_never_over_another(say: Any, tmp_path: Path) -> None:
    file = tmp_path / "memo-12.toml"
    printed = say("book", "new", "layer", "memo-12", "--entered", "2025-11-03").out
    assert say("book", "new", "layer", "memo-12", "--entered", "2025-11-03", "--to", str(file)).code == 0
    assert file.read_text("utf-8").rstrip() == printed.rstrip()
    assert say("answer", LINE, "--layer", str(file)).code == 0
    again = say("book", "new", "layer", "memo-12", "--to", str(file))
    assert again.code == 2
    assert "there already" in again.err
    assert say("book", "new", "edition", "us-hs-2026", "--based-on", "2025-26").out.startswith("[edition]")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shells_can_finish_our_commands(say: Any, shell: str) -> None:
    assert "_TENBETWEEN_COMPLETE" in say("completion", shell).out


# -- wrong usage and faults ----------


@pytest.mark.parametrize(
    "args",
    [
        ("anser", LINE),
        (LINE,),
        ("answer", LINE, "--nothing"),
        ("answer", LINE, "--set", "tie"),
        ("answer", LINE, "--date", "tomorrow"),
        ("sheet",),
        ("sheet", LINE, "--kind", "doc"),
        ("court", "a", "b"),
        ("serve", "--port", "x"),
        ("completion", "tcsh"),
        ("book", "check", "--nothing"),
    ],
)
def test_wrong_usage_is_status_2_with_directions(say: Any, args: tuple[str, ...]) -> None:
    plain = say(*args)
    assert (plain.code, plain.out) == (2, "")
    assert plain.err
    assert say(*args, "--json").code == 2


NASTY = [
    ("-", b""),
    ("-", b"\x00\x00\x00"),
    ("-", b"\xff\xfe\x00\x01"),
    ("-", b"{"),
    ("-", b"[" * 200_000),
    ("-", b'{"at": [NaN, NaN]}'),
    ("-", b'{"at": [1e999, 0], "at": 3}'),
    ("-", b'"left"'),
    ("-", b"42"),
    ("-", b"null"),
    ("-", b"[null]"),
    ("-", b'[{"settings": {"\\ud800": "\\udfff"}}]'),
    ("-", b'{"stopped_by": "\\u0000"}'),
    ("-", b"tabel 26, outt\n\x00\n"),
    ("-", ("x" * 100_000).encode()),
    ("-", b"answer me"),
    ("/dev/null.json", b""),
    ("no-such-file.json", b""),
    ("../../../../etc/shadow.json", b""),
    ("\u0301\u202e", b""),
    (",,,,", b""),
    ("us-hs-2025 / right / out of bounds 58,0 / same / lead table / set nothing=here", b""),
    ("us-hs-2025 + nowhere / right / game start", b""),
    ("{" + '"a":{' * 3_000, b""),
]


@pytest.mark.parametrize(("arg", "stdin"), NASTY)
def test_nasty_input_is_status_1_with_directions(say: Any, arg: str, stdin: bytes) -> None:
    said = say("answer", arg, "--json", stdin=stdin)
    assert said.code == 1
    assert said.errors
    assert all(all(one[name] for name in ("found", "expected", "do")) for one in said.errors)
    plain = say("answer", arg, stdin=stdin)
    assert (plain.code, plain.out) == (1, "")


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.text(min_size=1, max_size=60).filter(lambda text: not text.startswith("-")) | st.just("-"),
    st.binary(max_size=60),
)
def test_no_argument_and_no_input_breaks_it(say: Any, arg: str, stdin: bytes) -> None:
    said = say("answer", arg, "--json", stdin=stdin)
    assert said.code in (0, 1, 2)
    assert said.code == 0 or said.errors


def test_a_fault_nobody_foresaw_is_told_without_a_traceback(
    say: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("tenbetween.cli.asked.situations", broken)
    said = say("answer", LINE, "--json")
    assert said.code == 1
    assert "ZeroDivisionError" in said.errors[0]["found"]
    assert "report" in said.errors[0]["do"]


# -- as a process ----------


def process(
    command: tuple[str, ...], *args: str, stdin: bytes = b"", **env: str
) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        (*command, *args), input=stdin, capture_output=True, check=False, env={**os.environ, **env}
    )


@pytest.mark.parametrize(("arg", "stdin"), NASTY[2:15:3])
def test_nasty_input_to_the_real_command(command: tuple[str, ...], arg: str, stdin: bytes) -> None:
    done = process(command, "answer", arg, "--json", stdin=stdin)
    assert (done.returncode, done.stdout) == (1, b"")
    assert json.loads(done.stderr)["errors"]
    assert b"Traceback" not in done.stderr


def test_the_real_command_answers_where_only_plain_letters_can_be_written(command: tuple[str, ...]) -> None:
    done = process(command, "answer", LINE, PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert b"us-hs-2025" in done.stdout


def test_a_reader_that_goes_away_is_no_fault(command: tuple[str, ...]) -> None:
    words = " ".join((*command, "book", "list", "2025-26"))
    done = subprocess.run(("bash", "-c", f"{words} | head -c 10"), capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (0, b"")


def test_answering_loads_nothing_heavy() -> None:
    heavy = {
        "sqlalchemy",
        "starlette",
        "uvicorn",
        "typst",
        "resvg_py",
        "jinja2",
        "numpy",
        "alembic",
        "asyncio",
    }
    code = (
        "import sys; from tenbetween.cli import main; code = main(['answer', sys.argv[1], '--json']);"
        "print(sorted(set(sys.argv[2:]) & set(sys.modules)), file=sys.stderr); sys.exit(code)"
    )
    done = subprocess.run(
        (sys.executable, "-c", code, LINE, *heavy), capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr.strip()) == (0, "[]")
