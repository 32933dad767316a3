"""``tenbetween film locate``: JSON for other programs, words for a person, and directions for everything else."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from film.cameras import COURT, clicked, in_view, painted_points, some_camera, spread_out
from tenbetween import cli
from tenbetween.film.clicks import Clicks

FEET = np.array([[30.0, 20.0], [44.0, 31.0]])


@pytest.fixture
def say(capsys: Any, monkeypatch: Any) -> Any:
    def run(*words: str, stdin: bytes = b"") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", type("Input", (), {"buffer": io.BytesIO(stdin)}))
        code = cli.main(list(words))
        out, err = capsys.readouterr()
        return code, out, err

    return run


def as_json(clicks: Clicks) -> dict[str, Any]:
    return {
        "image": list(clicks.picture),
        "court": {"length": 84, "width": 50},
        "landmarks": [{"name": one.name, "px": list(one.dot)} for one in clicks.landmarks],
        "lines": [],
        "feet": [{"id": one.name, "px": list(one.dot)} for one in clicks.feet],
        "click_sd_px": clicks.sd,
    }


@pytest.fixture(scope="module")
def page() -> dict[str, Any]:
    dice = np.random.default_rng(8)
    truth = some_camera(dice)
    names = spread_out(truth, in_view(truth, painted_points(COURT)), 6, dice)
    return as_json(clicked(truth, names, dice, sd=0.5, feet=FEET))


def test_an_answer_has_the_names_of_the_contract(say: Any, page: dict[str, Any], tmp_path: Path) -> None:
    file = tmp_path / "clicks.json"
    file.write_text(json.dumps(page), encoding="utf-8")
    code, out, err = say("film", "locate", str(file), "--json")
    answer = json.loads(out)
    assert (code, err) == (0, "")
    assert {"ok", "why", "model", "residual_px", "feet"} <= set(answer)
    assert answer["ok"] is True
    assert "k1 carried with its prior" in answer["model"]
    assert 0 < answer["residual_px"] < 2
    for foot, at in zip(answer["feet"], FEET, strict=True):
        assert set(foot["ellipse"]) == {"major", "minor", "angle_deg"}
        assert np.hypot(*np.subtract(foot["at"], at)) < 1
    assert [foot["id"] for foot in answer["feet"]] == ["p0", "p1"]


def test_a_list_gives_a_list_each_as_if_asked_alone(say: Any, page: dict[str, Any]) -> None:
    few = page | {"landmarks": page["landmarks"][:2]}
    code, out, _ = say("film", "locate", "-", "--json", stdin=json.dumps([page, few, page]).encode())
    answers = json.loads(out)
    assert code == 0
    assert [one["ok"] for one in answers] == [True, False, True]
    assert (
        answers[0]
        == answers[2]
        == json.loads(say("film", "locate", "-", "--json", stdin=json.dumps(page).encode())[1])
    )
    assert "too few marks" in answers[1]["why"]
    assert answers[1]["feet"] == []


def test_one_bad_set_of_a_list_gives_no_answer_and_its_place(say: Any, page: dict[str, Any]) -> None:
    bad = json.loads(json.dumps(page))
    bad["landmarks"][0]["px"] = [1, None]
    code, out, err = say("film", "locate", "-", "--json", stdin=json.dumps([page, page, page, bad]).encode())
    assert (code, out) == (1, "")
    assert [one["where"] for one in json.loads(err)["errors"]] == ["[3].landmarks[0].px"]


def test_in_words(say: Any, page: dict[str, Any]) -> None:
    code, out, _ = say("film", "locate", "-", "--next", stdin=json.dumps(page).encode())
    assert code == 0
    assert out.startswith("Found the court:")
    assert "95 of 100 within" in out
    assert "One dot of a click on feet moves the place" in out
    assert "Click next:" in out
    code, out, _ = say("film", "locate", "-", stdin=json.dumps(page | {"landmarks": []}).encode())
    assert (code, out) == (
        0,
        "Not to be told: too few marks: nothing is clicked; click four landmarks far apart, or three and two dots on lines.\n",
    )


def test_a_picture_is_looked_at(say: Any, page: dict[str, Any], tmp_path: Path) -> None:
    file = tmp_path / "still.png"
    file.write_bytes(cv2.imencode(".png", np.full((720, 1280, 3), 80, np.uint8))[1].tobytes())
    code, out, _ = say(
        "film", "locate", "-", "--picture", str(file), "--json", stdin=json.dumps(page).encode()
    )
    assert (code, json.loads(out)["lines_fit"]) == (0, 0.0)
    file.write_bytes(b"no picture")
    code, out, err = say("film", "locate", "-", "--picture", str(file), stdin=json.dumps(page).encode())
    assert (code, out) == (1, "")
    assert "PNG or JPEG" in err
    code, out, _ = say("film", "locate", "-", "--picture", str(file), stdin=json.dumps([page]).encode())
    assert (code, out) == (2, "")


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("film", "locate"), 2, "CLICKS"),
        (("film", "locate", "/no/such/file.json"), 1, "a file that can be read"),
        (("film", "locat", "-"), 2, "did you mean 'locate'"),
        (("film", "locate", "-", "--snap"), 2, "--snap"),
    ],
)
def test_wrong_use_gets_directions(say: Any, words: tuple[str, ...], code: int, says: str) -> None:
    found, out, err = say(*words)
    assert (found, out) == (code, "")
    assert says in err
    assert "Traceback" not in err
