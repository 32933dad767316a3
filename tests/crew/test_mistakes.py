"""A list with mistakes yields all of them, each with its row; nothing is half walked."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tenbetween.book import load_book
from tenbetween.crew import Walk
from tenbetween.errors import FormatError, Problem
from tenbetween.formats.game_csv import read_game, read_game_bytes, walk_game

BOOK = load_book("us-hs-2025")
DEMO = (Path(__file__).resolve().parents[2] / "docs" / "examples" / "game.csv").read_text(encoding="utf-8")
HEAD = "quarter,clock,why,at,ball,by,called by,throw-in,time-out,bonus,had\n"


def walk_text(text: str) -> Walk:
    return walk_game(read_game(text), BOOK)


def problems_of(text: str) -> list[Problem]:
    with pytest.raises(FormatError) as caught:
        walk_text(text)
    return list(caught.value.problems)


def rows_of(problems: list[Problem]) -> list[int]:
    return [int(re.match(r"row (\d+)", p.where)[1]) for p in problems]  # type: ignore[index]


def lines(text: str) -> list[str]:
    return text.splitlines()


def row_of(why: str, number: int = 1) -> int:
    """Return the row, as a spreadsheet counts, of the n-th row of the demo with this cause."""
    found = [i for i, line in enumerate(lines(DEMO), 1) if i > 9 and line.split(",")[2] == why]
    return found[number - 1]


def changed(row: int, pattern: str, new: str | Callable[[re.Match[str]], str]) -> tuple[int, str]:
    """Return a row of the demo with one thing in it written wrongly."""
    line, times = re.subn(pattern, new, lines(DEMO)[row - 1], count=1)
    assert times == 1, line
    return row, line


def test_a_broken_copy_of_the_demo_gives_a_dozen_different_mistakes_at_once() -> None:
    outs = [row_of("out of bounds", n) for n in range(1, 9)]
    edits = dict(
        [
            changed(12, "rebound", "rebuond"),
            changed(outs[1], '"9,0"', '"9,7"'),
            changed(row_of("travelling"), '"80,46"', '"80,64"'),
            changed(row_of("shooting foul"), "trail", "trial"),
            changed(outs[3], r"^1,\d:\d\d", "1,7:77"),
            changed(row_of("player-control foul"), '"74,18",,', '"74,18",,Dark'),
            changed(row_of("wrong team"), "wrong team", "plane"),
            changed(row_of("held ball", 2), ",,,", ",White,,"),
            changed(row_of("time-out", 2), ",(60|30),", ",45,"),
            changed(row_of("quarter start", 2), "^3", "2"),
            changed(row_of("inadvertent whistle"), r'"\d+,\d+"', ""),
            changed(row_of("intentional foul"), "White|Dark", "Brackwater"),
            changed(row_of("goal", 25), "White|Dark", lambda m: "Dark" if m[0] == "White" else "White"),
        ]
    )
    broken = "\n".join(edits.get(i, line) for i, line in enumerate(lines(DEMO), 1))
    problems = problems_of(broken)
    assert rows_of(problems) == sorted(rows_of(problems))
    assert set(rows_of(problems)) == set(edits)
    assert len({(p.expected, p.found) for p in problems}) >= 12
    assert all(all((p.where, p.found, p.expected, p.do)) for p in problems)


def test_the_demo_itself_has_no_mistake() -> None:
    assert len(walk_text(DEMO).rows) == len(lines(DEMO)) - 9


CASES: dict[str, tuple[str, str, str]] = {
    # name: rows after the header, where, a word of what to do or what was expected
    "an unknown cause, with the nearest": ("1,,game start,,White\n,,out of bonds,\"58,0\",Dark", "row 3, why", "out of bounds"),
    "an unknown team": ("1,,game start,,Wihte", "row 2, ball", "white"),
    "a game that does not begin": ("1,,goal,,,White", "row 2, why", "game start"),
    "no tap": ("1,,game start", "row 2, ball", "White or Dark"),
    "a goal by the team without the ball": ("1,,game start,,White\n,,goal,,,Dark", "row 3, by", "change of control"),
    "a goal at the wrong basket": ("1,,game start,,White\n,,goal,\"5,25\",,White", "row 3, at", "half-time"),
    "the ball to the team that put it out": ('1,,game start,,White\n,,out,"58,0",White,White', "row 3, ball", "Dark"),
    "out of bounds inside the floor": ('1,,game start,,White\n,,out,"58,9",White', "row 3, at", "1.5 ft"),
    "a place off the floor": ('1,,game start,,White\n,,travelling,"90,9",Dark', "row 3, at", "x 0 to 84 ft"),
    "no place": ("1,,game start,,White\n,,travelling,,Dark", "row 3, at", "x,y"),
    "nobody did it": ('1,,game start,,White\n,,travelling,"60,9"', "row 3, by", "White or Dark"),
    "a period going backwards": ("1,,game start,,White\n,,goal\n,,quarter start\n1,,goal,,,Dark", "row 5, quarter", "forward"),
    "a quarter nobody began": ("1,,game start,,White\n2,,goal,,,White", "row 3, quarter", "quarter start"),
    "a quarter skipped": ("1,,game start,,White\n3,,quarter start", "row 3, quarter", "begins period 2"),
    "a clock running up": ("1,5:00,game start,,White\n,5:01,goal", "row 3, clock", "runs down"),
    "a clock that is none": ("1,5:61,game start,,White", "row 2, clock", "minutes and seconds"),
    "a fourth time-out of 60": (
        "1,,game start,,White\n" + ',,time-out,"60,20",,White,,,60\n' * 4, "row 6, time-out", "technical"),
    "a third time-out of 30": (
        "1,,game start,,White\n" + ',,time-out,"60,20",,White,,,30\n' * 3, "row 5, time-out", "technical"),
    "a time-out of 45": ('1,,game start,,White\n,,time-out,"60,20",,White,,,45', "row 3, time-out", "60"),
    "a held ball against the arrow": ('1,,game start,,White\n,,held ball,"60,9",White', "row 3, ball", "arrow"),
    "a charge by the defence": ('1,,game start,,White\n,,charge,"60,9",,Dark', "row 3, by", "White had the ball"),
    "a shooter fouled by his own": ('1,,game start,,White\n,,shooting foul,"60,9",,White', "row 3, by", "Dark"),
    "throws nobody awarded": ("1,,game start,,White\n,,last free throw made", "row 3, why", "leave the row out"),
    "nobody took the rebound": (
        '1,,game start,,White\n,,shooting foul,"80,25",,Dark,lead\n,,last free throw missed', "row 4, ball", "White or Dark"),
    "a warning without a throw-in": ("1,,game start,,White\n,,plane warning", "row 3, why", "throw-in"),
    "a second warning": (
        '1,,game start,,White\n,,out,"58,0",White\n,,plane warning\n,,plane warning', "row 5, why", "technical foul"),
    "due where nothing was": ('1,,game start,,White\n,,injury,"60,9",,,,due', "row 3, throw-in", "leave it out"),
    "the wrong kind due": (
        '1,,game start,,White\n,,goal\n,,time-out,"60,9",,Dark,,spot,60', "row 4, throw-in", "run end line"),
    "out of bounds while due": (
        '1,,game start,,White\n,,goal\n,,out,"40,0",White,,,due', "row 4, throw-in", "throw-in violation"),
    "bonus before the fifth foul": ('1,,game start,,White\n,,foul,"60,9",,Dark,,,,yes', "row 3, bonus", "foul 1 of Dark"),
    "control that does not change": ("1,,game start,,White\n,,steal,,White", "row 3, by", "White"),
    "a start in the middle": ("1,,game start,,White\n,,overtime,,Dark", "row 3, why", "quarter start"),
    "whoever had it, with a throw-in due": (
        '1,,game start,,White\n,,goal\n,,time-out,,,Dark,,due,60,,White', "row 4, had", "correct one of the two"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_mistake_is_named_where_it_is(name: str) -> None:
    body, where, word = CASES[name]
    problems = problems_of(HEAD + body)
    assert [p.where for p in problems] == [where], problems
    assert word in str(problems[0])


@pytest.mark.parametrize(
    ("text", "where", "word"),
    [
        ("", "row 1", "no stoppage"),
        ("quarter,clock,wy,at\n1,,game start,\n", "row 1, column 'wy'", "why"),
        ("why,ball,ball\nstart,White,White", "row 1, column 'ball'", "twice"),
        ("why,at,ball\nstart,,White\nout,58,0,White", "row 3", "quotes"),
        ("colour,red\nwhy,ball\nstart,White", "row 1", "whole game"),
        ("date,2 Dec\nwhy,ball\nstart,White", "row 1, date", "2025-12-02"),
        ("white attacks,north\nwhy,ball\nstart,White", "row 1, white attacks", "left or right"),
        ("why,x,y,ball\nstart,,,White\nout,58,,White", "row 3, x and y", "once"),
        ("why,x,y,ball\nstart,,,White\nout,nan,0,White", "row 3, x and y", "numbers"),
        ("why,at,ball\nstart,,White\nout,nowhere,White", "row 3, at", "landmark"),
        ("why,ball\nstart,White\n,Dark\n", "row 3, why", "why play stopped"),
        ("why,ball\n\0,White", "row 1", "UTF-8"),
        ("Q1 game start white\nQ1 7:00 out of bonds 58,0 dark", "row 2", "out of bounds"),
        ("Q1 game start white\nQ1 7:00 goal goal", "row 2, why", "once"),
    ],
)
def test_a_list_that_cannot_be_read_says_where(text: str, where: str, word: str) -> None:
    problems = problems_of(text)
    assert where in [p.where for p in problems]
    assert word in " ".join(map(str, problems))


def test_one_mistake_does_not_bring_others_with_it() -> None:
    """After a row that could not be read, what hangs on it is not blamed."""
    rows = '1,,game start,,White\n,,out of bonds,"58,0",Dark\n,,plane warning\n,,goal,,,Dark\n,,travelling,"80,10",Dark'
    assert rows_of(problems_of(HEAD + rows)) == [3]


def faults_of(text: str | bytes) -> list[Problem]:
    """Return the mistakes of a list, none when it was walked."""
    game = read_game(text) if isinstance(text, str) else read_game_bytes(text)
    try:
        walk_game(game, BOOK)
    except FormatError as error:
        return list(error.problems)
    return []


def are_directions(problems: list[Problem]) -> bool:
    return all(p.where.startswith("row ") and p.found and p.expected and p.do for p in problems)


@given(st.binary(max_size=300))
def test_any_bytes_are_a_game_or_directions(data: bytes) -> None:
    assert are_directions(faults_of(data))


WORDS = [
    "goal",
    "out",
    "58,0",
    "white",
    "by",
    "dark",
    "called by lead",
    "Q1",
    "3:20",
    "due",
    "60",
    "foul",
    "zzz",
    ",",
    "\n",
    '"',
    ";",
]


@given(
    st.lists(
        st.sampled_from([*WORDS, "why,ball,at\n", "start,White\n", "time-out", "held ball"]), max_size=25
    )
)
def test_any_words_are_a_game_or_directions(parts: list[str]) -> None:
    assert are_directions(faults_of(" ".join(parts)))


@given(st.data())
def test_any_cell_of_the_demo_spoiled_is_a_game_or_directions(data: st.DataObject) -> None:
    """Whatever is written into one cell, the answer is a walk or mistakes with rows, never anything else."""
    row = data.draw(st.integers(9, len(lines(DEMO)) - 1))
    cells = next(csv.reader([lines(DEMO)[row]]))
    spoil = data.draw(
        st.sampled_from(
            ["", "White", "Dark", "zzz", "0,0", "-5,99", "1", "goal", "due", "8:00", "lead", "nan"]
        )
    )
    cells[data.draw(st.integers(0, len(cells) - 1))] = spoil
    out = io.StringIO()
    csv.writer(out).writerow(cells)
    text = "\n".join([*lines(DEMO)[:row], out.getvalue().strip(), *lines(DEMO)[row + 1 :]])
    problems = faults_of(text)
    assert are_directions(problems)
    assert all(int(re.findall(r"\d+", p.where)[0]) >= row + 1 for p in problems)
