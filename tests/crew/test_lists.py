"""A list of stoppages is read however it is written: columns in any order, synonyms, typed lines."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tenbetween.court import court_of
from tenbetween.crew import Opening, Stoppage, clock_words
from tenbetween.errors import TenbetweenError
from tenbetween.formats import game_words as words
from tenbetween.formats.game_csv import COLUMNS, column_names, read_game, read_game_bytes
from tenbetween.units import FOOT

DEMO = (Path(__file__).resolve().parents[2] / "docs" / "examples" / "game.csv").read_text(encoding="utf-8")
KNOWN = words.Vocabulary(
    Opening(white="Ardenmoor", dark="Pell Hollow", referee="Dara Whitlock"), court_of("us-hs")
)


def same(text: str) -> bool:
    return read_game(text) == read_game(DEMO)


def rows(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text)))


def written(cells: list[list[str]], **how: str) -> str:
    out = io.StringIO()
    csv.writer(out, **how).writerows(cells)  # type: ignore[arg-type]
    return out.getvalue()


def test_the_demo_reads_without_a_fault() -> None:
    game = read_game(DEMO)
    assert game.faults == ()
    assert (game.edition, game.opening.date, game.opening.white) == ("us-hs-2025", "2025-12-02", "Ardenmoor")


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_any_delimiter_and_windows_line_ends(delimiter: str) -> None:
    assert same(written(rows(DEMO), delimiter=delimiter))


def test_every_cell_in_quotes() -> None:
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL).writerows(rows(DEMO))
    assert same(out.getvalue())


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_any_encoding_of_a_spreadsheet(encoding: str) -> None:
    text = DEMO.replace("coach beckoned", "coach beckoned – “fine”")
    assert read_game_bytes(text.encode(encoding)) == read_game(text)


def test_upper_case_and_columns_in_another_order() -> None:
    head, body = rows(DEMO)[:8], rows(DEMO)[8:]
    turned = [list(reversed(line)) for line in body]
    turned = [[cell.upper() if i != 0 else cell for i, cell in enumerate(line)] for line in turned]
    assert same(written(head + turned))


def test_synonyms_for_columns() -> None:
    old = "quarter,clock,why,at,ball,by,called by,throw-in,time-out,press,note"
    new = "Period,Time left,What happened,WHERE,Ball to,Team,Official,Pending,Length,Pressure,Remarks"
    assert same(DEMO.replace(old, new))


def test_blank_lines_and_remarks_are_passed_over_but_rows_keep_their_numbers() -> None:
    game = read_game("why,ball\n\nstart,White\n# a remark\n,\ngoal,\n")
    assert [s.row for s in game.stoppages] == [3, 6]
    assert game.faults == ()


def test_place_in_two_columns_with_decimal_commas() -> None:
    game = read_game("why;x;y;ball\nstart;;;White\nout;58,5;0;White\n")
    assert game.stoppages[1].at == (58 * FOOT + FOOT // 2, 0)


def test_a_typed_list_says_the_same_as_a_table() -> None:
    typed = """white: Ardenmoor
dark: Pell Hollow
referee: Dara Whitlock
# first quarter
Q1 8:00 game start Ardenmoor
7:49 out of bounds 72,0 Pell Hollow
steal 3,25
goal white
Q1 6:50 foul dark 54,29 called by trail note hand on the arm
time-out 30 by Pell Hollow still due
travelling at 80,46 by white, by lead
shooting foul by dark / 80,25 / called by whitlock
missed free throw, ball dark
held ball 20,20
"""
    table = """white,Ardenmoor
dark,Pell Hollow
referee,Dara Whitlock
quarter,clock,why,at,ball,by,called by,throw-in,time-out,note
1,8:00,game start,,Ardenmoor,,,,,
,7:49,oob,"72,0",Dark,,,,,
,,steal,"3,25",,,,,,
,,goal,,,White,,,,
1,6:50,foul,"54,29",,Dark,trail,,,hand on the arm
,,time-out,,,Dark,,due,30,
,,travelling,"80,46",,White,lead,,,
,,shooting foul,"80,25",,Dark,referee,,,
,,missed free throw,,Dark,,,,,
,,held ball,"20,20",,,,,,
"""
    a, b = read_game(typed), read_game(table)
    assert (a.faults, b.faults) == ((), ())

    def bare(stoppages: tuple[Stoppage, ...]) -> list[Stoppage]:
        from msgspec import structs

        return [structs.replace(s, row=0) for s in stoppages]

    assert bare(a.stoppages) == bare(b.stoppages)


@pytest.mark.parametrize(
    ("text", "tenths"),
    [("7:32", 4520), ("07:32", 4520), ("0:03.4", 34), (":45", 450), ("45", 450), ("32.4", 324), ("7.32", 4520),
     ("07:32:00", 4520), ("07:32:00 AM", 4520), ("7'05\"", 4250), ("8:00", 4800), ("0:00", 0)],
)  # fmt: skip
def test_clock_formats(text: str, tenths: int) -> None:
    assert words.read_clock("row 2, clock", text, KNOWN) == tenths


@pytest.mark.parametrize("text", ["8:60", "x", "", "7:3", "-1:20", "1:2:3", "75"])
def test_what_is_no_clock(text: str) -> None:
    with pytest.raises(TenbetweenError):
        words.read_clock("row 2, clock", text, KNOWN)


@given(st.integers(0, 12 * 600))
def test_a_clock_as_shown_reads_back(tenths: int) -> None:
    assert words.read_clock("row 2, clock", clock_words(tenths), KNOWN) == tenths


@pytest.mark.parametrize(
    ("text", "at"),
    [("58,0", (58, 0)), ("(58, 0)", (58, 0)), ("58 0", (58, 0)), ("58;0", (58, 0)), ("58 ft / 0 ft", (58, 0)),
     ("table sideline 58", (58, 0)), ("opposite 40", (40, 50)), ("left baseline 20", (0, 20)),
     ("Right End Line 31", (84, 31)), ("right table elbow", (65, 19)), ("left_opposite_28_ft_spot", (28, 50))],
)  # fmt: skip
def test_places_as_people_write_them(text: str, at: tuple[int, int]) -> None:
    assert words.read_place("row 2, at", text, KNOWN) == (at[0] * FOOT, at[1] * FOOT)


@pytest.mark.parametrize("text", ["", "58", "nan,0", "1e9,0", "somewhere", "58,0,3"])
def test_what_is_no_place(text: str) -> None:
    with pytest.raises(TenbetweenError):
        words.read_place("row 2, at", text, KNOWN)


def test_no_phrase_means_two_causes() -> None:
    phrases = [words.plain(p) for why, others in words.WHY.items() for p in (why, *others)]
    assert sorted(set(phrases)) == sorted(phrases)


def test_every_phrase_for_a_cause_is_read_in_a_table_and_in_a_line() -> None:
    for phrase, why in words.why_words().items():
        assert words.read_why("row 2, why", phrase.upper(), KNOWN) == why
        if phrase != "quarter":  # in a line a bare "quarter" wants its number
            game = read_game(phrase)
            assert [s.why for s in game.stoppages] == [why], phrase
            assert game.faults == (), phrase


@pytest.mark.parametrize(
    ("text", "team"),
    [("White", "white"), ("HOME", "white"), ("pell hollow", "dark"), ("Visitors", "dark"), ("D", "dark")],
)
def test_teams_by_colour_home_or_name(text: str, team: str) -> None:
    assert words.read_team("row 2, ball", text, KNOWN) == team


@pytest.mark.parametrize(
    ("text", "caller"),
    [("L", "lead"), ("Trail", "trail"), ("r", "referee"), ("Dara Whitlock", "referee"), ("whitlock", "referee"), ("U", "umpire")],
)  # fmt: skip
def test_callers_by_role_person_or_name(text: str, caller: str) -> None:
    assert words.read_caller("row 2, called by", text, KNOWN) == caller


def test_column_names_are_all_read_back() -> None:
    header = ",".join(column_names())
    assert read_game(header + "\n" + "," * header.count(",")).faults[0].problem.found == "no stoppage"
    assert len(COLUMNS) == len(list(column_names())) + 3


def test_a_quarter_alone_on_a_line_begins_it_and_before_a_stoppage_says_when() -> None:
    game = read_game("game start white\nQ2\n2nd quarter 7:40 goal white\n3rd quarter 8:00\n")
    assert [s.why for s in game.stoppages] == ["game_start", "period_start", "made_goal", "period_start"]
    assert game.stoppages[2].period == 2
