"""``tenbetween play``: an answer step by step, as JSON, as a scene or as a line; faults are directions."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import pytest

from tenbetween import cli
from tenbetween.formats.play_json import read_play
from tenbetween.formats.scene_json import read_scene
from tenbetween.formats.scene_line import read_scene_line
from tenbetween.scene import FORMATIONS

LINE = "us-hs-2025 / right / out of bounds 58,0 / same / lead table umpire"


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Any:
    """Return a function that runs the command in this process, away from any workbench."""
    monkeypatch.setenv("TENBETWEEN_WORKBENCH", str(tmp_path / "none"))

    def run(*args: str, stdin: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", type("Input", (), {"buffer": io.BytesIO(stdin.encode())}))
        return (cli.main(["play", *args]), *capsys.readouterr())

    return run


def test_the_steps_are_told_in_order_with_persons_and_places(say: Any) -> None:
    code, out, err = say(LINE)
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert [line[:3] for line in lines if line[:3].strip().rstrip(".").isdigit()] == [
        " 1.",
        " 2.",
        " 3.",
        " 4.",
    ]
    assert "lead (Umpire) 88.5,10" in lines[2]
    assert "lead (Referee) 88.5,40" in lines[5]
    assert "who.lead-line-high" in lines[6]
    assert lines[-1] == f"{LINE} // sideline-box-man"


def test_the_last_line_makes_the_same_play_again(say: Any) -> None:
    _, first, _ = say(LINE, "--formation", "sideline-wide-zone")
    _, again, _ = say(first.splitlines()[-1])
    assert again == first


def test_json_is_an_open_play_and_one_step_of_it(say: Any) -> None:
    _, out, _ = say(LINE, "--json")
    play = read_play(out)
    assert len(play.steps) == 4
    _, one, _ = say(LINE, "--json", "--step", "3")
    assert read_play(one).steps == play.steps[2:3]


def test_a_scene_goes_on_to_what_the_crew_sees(say: Any, capsys: Any, monkeypatch: Any) -> None:
    _, out, _ = say(LINE, "--scene")
    monkeypatch.setattr(sys, "stdin", type("Input", (), {"buffer": io.BytesIO(out.encode())}))
    assert cli.main(["sight", "-", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["looks"]) == 10


def test_the_line_of_a_step_is_the_scene_of_that_step(say: Any) -> None:
    _, line, _ = say(LINE, "--line", "--step", "1")
    _, scene, _ = say(LINE, "--scene", "--step", "1")
    assert read_scene_line(line.strip()) == read_scene(json.loads(scene))
    _, at_disposal, _ = say(LINE, "--line")
    assert at_disposal != line


def test_formations_are_listed_all_or_those_that_fit(say: Any) -> None:
    _, everything, _ = say("--formations")
    assert [line.split()[0] for line in everything.splitlines()] == list(FORMATIONS)
    _, fitting, _ = say("us-hs-2025 / right / game start", "--formations")
    assert fitting == "jump-ball-circle  Jump ball: round the circle\n"
    _, page, _ = say("--formations", "--json")
    assert {one["id"] for one in json.loads(page)} == set(FORMATIONS)


def test_a_situation_as_json_on_standard_input(say: Any) -> None:
    given = {"edition": "us-hs-2025", "attacking": "right", "stopped_by": "game_start"}
    code, out, _ = say("-", "--json", stdin=json.dumps(given))
    assert (code, read_play(out).formation) == (0, "jump-ball-circle")


@pytest.mark.parametrize(
    ("args", "code", "told"),
    [
        ((LINE, "--formation", "sideline-bax-man"), 1, "formation"),
        ((LINE, "--formation", "jump-ball-circle"), 1, "choose sideline-box-man"),
        ((f"{LINE} // nothing",), 1, "formation"),
        ((LINE, "--step", "9"), 2, "a step from 1 to 4"),
        ((LINE, "--step", "0"), 2, "a step from 1 to 4"),
        ((LINE, "--scene", "--line"), 2, "take one of"),
        ((), 2, "say a situation"),
        (("nonsense",), 1, "expected"),
        (("-",), 1, "expected"),
    ],
)
def test_faults_are_directions(say: Any, args: tuple[str, ...], code: int, told: str) -> None:
    got, out, err = say(*args)
    assert (got, out) == (code, "")
    assert told in err
    assert "Traceback" not in err


def test_a_list_is_refused(say: Any) -> None:
    given = {"edition": "us-hs-2025", "attacking": "right", "stopped_by": "game_start"}
    code, out, err = say("-", "--json", stdin=json.dumps([given, given]))
    assert (code, out) == (2, "")
    assert json.loads(err)["errors"][0]["found"] == "a list of 2"
