"""``tenbetween film listen``: the contract's names out, faults as directions, readable without ``--json``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tenbetween.cli.command import run
from tenbetween.dev.gym_sound import Gym, heard, write_sound


@pytest.fixture(scope="module")
def gym(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = heard(Gym(seconds=15.0, snr_db=20.0, blasts_per_minute=12), 5)
    return write_sound(tmp_path_factory.mktemp("gym") / "gym.m4a", made.samples)


def test_json_has_the_names_other_programs_read(gym: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["film", "listen", str(gym), "--json"]) == 0
    out = capsys.readouterr()
    page = json.loads(out.out)
    assert out.err == ""
    assert {"film", "duration_s", "sound", "proposals"} <= set(page)
    assert page["film"] == str(gym)
    assert page["duration_s"] == pytest.approx(15.0, abs=0.1)
    assert page["sound"] is True
    assert any(one["kind"] == "whistle" and one["confidence"] > 0.5 for one in page["proposals"])
    for one in page["proposals"]:
        assert set(one) == {"t", "t_end", "kind", "confidence"}
        assert 0 <= one["t"] <= one["t_end"] <= 15.1
        assert one["kind"] in {"whistle", "horn", "lull", "cut"}
        assert 0 <= one["confidence"] <= 1


def test_a_person_reads_when_and_how_sure(gym: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["film", "listen", str(gym), "--sound-only", "--least", "0.5"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "0:15.0" in lines[0]
    assert "whistle" in lines[1]
    assert any("no moving picture" in line for line in lines)
    assert lines[-1].startswith("These are proposals")


@pytest.mark.parametrize("name", ["missing.mp4", "words.mp4"])
def test_no_film_is_said_as_json_for_programs(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "words.mp4").write_text("no film")
    assert run(["film", "listen", str(tmp_path / name), "--json"]) == 1
    out = capsys.readouterr()
    assert out.out == ""
    assert set(json.loads(out.err)["errors"][0]) == {"where", "found", "expected", "do"}


def test_a_number_that_means_nothing_is_wrong_usage(gym: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["film", "listen", str(gym), "--least", "7"]) == 2
    assert "--least" in capsys.readouterr().err
