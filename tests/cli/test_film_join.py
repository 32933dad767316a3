"""``film join`` as a person types it: the parts of one game into one file, or every difference and nothing written."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

from film.filming import film, number_of, steady
from tenbetween.cli.command import run
from tenbetween.film.frames_in import frames

F = Fraction


@pytest.fixture(scope="module")
def parts(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, Path]:
    """Two halves recorded alike, and a third of another size and codec."""
    folder = tmp_path_factory.mktemp("parts")
    return (
        film(folder / "first half.mp4", steady(30), F(1, 30)),
        film(folder / "second half.mp4", steady(45), F(1, 30)),
        film(folder / "phone.mp4", steady(30), F(1, 30), codec="libx265", size=(352, 192)),
    )


def asked(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = run([str(word) for word in words])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_two_halves_become_one_film_frame_after_frame(
    parts: tuple[Path, Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = [path.read_bytes() for path in parts]
    code, out, _ = asked(capsys, "film", "join", *parts[:2], tmp_path / "game.mp4")
    assert code == 0
    assert "2 parts, 75 frames" in out
    assert "nothing re-encoded" in out
    assert "second half.mp4 begins at 1.00 s" in out
    shown = [number_of(picture) for _, picture in frames(tmp_path / "game.mp4")]
    assert shown == [*range(30), *range(45)]
    assert [path.read_bytes() for path in parts] == before


def test_programs_read_where_each_part_begins(
    parts: tuple[Path, Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = asked(capsys, "film", "join", *parts[:2], tmp_path / "game.mp4", "--json")
    told = json.loads(out)
    assert (code, err) == (0, "")
    assert told["frames"] == 75
    assert told["parts"] == [
        {"name": "first half.mp4", "begins_s": 0.0},
        {"name": "second half.mp4", "begins_s": 1.0},
    ]
    assert told["bytes"] == (tmp_path / "game.mp4").stat().st_size


def test_parts_that_differ_are_not_joined_and_every_difference_is_said(
    parts: tuple[Path, Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = asked(capsys, "film", "join", *parts, tmp_path / "game.mp4")
    assert (code, out) == (1, "")
    assert "phone.mp4: found the codec of the pictures: hevc" in err
    assert "the size of the pictures: 352 x 192" in err
    assert "h264 as in first half.mp4" in err
    assert "keep the parts apart (they stand on one time line all the same)" in err
    assert "second half.mp4" not in err
    assert list(tmp_path.iterdir()) == []


def test_a_film_is_never_written_over_and_one_part_is_no_game(
    parts: tuple[Path, Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first, second, _ = parts
    before = second.read_bytes()
    code, _, err = asked(capsys, "film", "join", first, second, second, "--force")
    assert code == 2
    assert "a film is never changed" in err
    code, _, err = asked(capsys, "film", "join", first, tmp_path / "game.mp4")
    assert code == 2
    assert "name the parts in order and the new file last" in err
    (tmp_path / "game.mp4").write_bytes(b"mine")
    code, _, err = asked(capsys, "film", "join", first, second, tmp_path / "game.mp4")
    assert code == 2
    assert "is there already" in err
    code, _, err = asked(capsys, "film", "join", first, tmp_path / "gone.mp4", tmp_path / "new.mp4")
    assert code == 1
    assert "no such file" in err
    assert (tmp_path / "game.mp4").read_bytes() == b"mine"
    assert second.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["game.mp4"]
