"""``film look`` and ``film cut`` as a person types them."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

from film.filming import film, number_of, steady
from tenbetween.cli.command import run
from tenbetween.film.browser_copy import space_needed
from tenbetween.film.frames_in import frames
from tenbetween.film.probe import probe

F = Fraction


@pytest.fixture(scope="module")
def game(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return film(tmp_path_factory.mktemp("film") / "game.ts", steady(90), F(1, 30), sound=True)


def asked(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = run([str(word) for word in words])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_look_tells_what_it_is_and_what_a_copy_needs(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = asked(capsys, "film", "look", game)
    assert code == 0
    assert "0:03 long, 320 x 192 dots, 30.00 pictures a second, sound (aac)" in out
    assert "Browsers do not play .ts files" in out
    assert "takes at most 1 MB" in out
    code, out, _ = asked(capsys, "film", "look", game, "--json")
    told = json.loads(out)
    assert (code, told["frames"], told["needs_copy"], told["kind"]) == (0, 90, True, "ts")
    assert told["copy_bytes"] == space_needed(probe(game))
    assert str(game.parent) not in out


def test_look_refuses_with_directions(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "notes.mp4").write_text("whistle at 3:15")
    code, out, err = asked(capsys, "film", "look", tmp_path / "notes.mp4")
    assert (code, out) == (1, "")
    assert "notes.mp4: found text" in err
    code, _, err = asked(capsys, "film", "look", tmp_path / "none.mp4", "--json")
    assert code == 1
    assert json.loads(err)["errors"][0]["found"] == "no such file"


def test_cut_goes_from_frame_to_frame(game: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    clip = tmp_path / "clip.mp4"
    code, out, _ = asked(capsys, "film", "cut", game, "--from", "0:01.05", "--to", "2", clip)
    assert code == 0
    assert "from 1.03 s to 2.00 s, 30 frames, new pictures" in out
    assert [number_of(one) for _, one in frames(clip)] == list(range(31, 61))
    code, _, err = asked(capsys, "film", "cut", game, "--from", "1", "--to", "2", clip)
    assert code == 2
    assert "is there already" in err
    words = ("film", "cut", game, "--from", "1", "--to", "2", clip, "--force", "--fast", "--json")
    code, out, _ = asked(capsys, *words)
    told = json.loads(out)
    assert (code, told["how"], told["sound"]) == (0, "same pictures", False)
    first = number_of(next(frames(clip))[1])
    assert first == round(told["from_s"] * 30)
    assert first <= 30


@pytest.mark.parametrize(
    ("begins", "ends", "word"),
    [("soon", "2", "12:30.5"), ("2", "1", "the beginning first"), ("0", "9:00", "the beginning first")],
)
def test_cut_refuses_what_means_nothing(
    game: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], begins: str, ends: str, word: str
) -> None:
    code, _, err = asked(capsys, "film", "cut", game, "--from", begins, "--to", ends, tmp_path / "a.mp4")
    assert code == 2
    assert word in err
    assert list(tmp_path.iterdir()) == []


def test_a_film_is_never_written_over(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = game.read_bytes()
    code, _, err = asked(capsys, "film", "cut", game, "--from", "0", "--to", "1", game, "--force")
    assert code == 2
    assert "never changed" in err
    assert game.read_bytes() == before
