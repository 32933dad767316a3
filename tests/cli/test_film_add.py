"""``film add`` as a person types it: what a copy for the browser takes is told before anything is kept."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

from film.filming import film, steady
from tenbetween.cli.command import run
from tenbetween.film.browser_copy import space_needed
from tenbetween.film.probe import probe

F = Fraction


def add(
    capsys: pytest.CaptureFixture[str], bench: Path, *files: Path, until: str = "2035-06-30"
) -> tuple[int, str, str]:
    words = [
        "film",
        "add",
        *map(str, files),
        "--title",
        "Ardenmoor at Pell Hollow",
        "--allowed-by",
        "the school",
    ]
    code = run([*words, "--until", until, "--workbench", str(bench), "--json"])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_the_room_a_copy_takes_is_told_before_it_is_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plain = film(tmp_path / "game.mp4", steady(30), F(1, 30))
    phone = film(tmp_path / "phone.mp4", steady(30), F(1, 30), codec="libx265")
    code, out, err = add(capsys, tmp_path / "bench", plain, phone)
    assert (code, len(json.loads(out)["parts"])) == (0, 2)
    takes = f"{space_needed(probe(phone)) / 1e6:,.0f} MB"
    assert f"phone.mp4: a copy for the browser is made in the background; it takes at most {takes}, " in err
    assert "MB are free" in err
    assert "game.mp4: a copy" not in err


def test_a_day_that_has_passed_keeps_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plain = film(tmp_path / "game.mp4", steady(30), F(1, 30))
    code, out, err = add(capsys, tmp_path / "bench", plain, until="2020-01-01")
    assert (code, out) == (2, "")
    assert "2020-01-01, which has passed" in err
    assert add(capsys, tmp_path / "bench", plain)[0] == 0
