"""A file written whole or not at all, also when two programs write the same one."""

from __future__ import annotations

from pathlib import Path

import pytest

from tenbetween.errors import FormatError
from tenbetween.film.whole import whole


def test_what_killed_programs_left_goes_when_the_file_is_written_again(tmp_path: Path) -> None:
    for name in ("game [1].mp4.part", "game [1].mp4.0badcafe.part"):
        (tmp_path / name).write_bytes(b"half")
    other = tmp_path / "game 1.mp4.part"
    other.write_bytes(b"of another file")
    with whole(tmp_path / "game [1].mp4") as part:
        part.write_bytes(b"whole")
    assert (tmp_path / "game [1].mp4").read_bytes() == b"whole"
    assert {path.name for path in tmp_path.iterdir()} == {"game [1].mp4", other.name}


def two_at_once(out: Path) -> None:
    """One that slept over its lease wakes at its end, after another began and ended the same file."""
    with whole(out) as early:
        early.write_bytes(b"early")
        with whole(out) as later:
            assert later != early
            assert not early.exists()
            later.write_bytes(b"later")
        assert out.read_bytes() == b"later"


def one_in_the_middle(out: Path) -> None:
    """The same, but it wakes while the other is still in the middle."""
    first, second = whole(out), whole(out)
    first.__enter__().write_bytes(b"early")
    second.__enter__().write_bytes(b"later, half")
    try:
        first.__exit__(None, None, None)
    finally:
        assert not out.exists()
        second.__exit__(None, None, None)


def test_of_two_that_write_the_same_file_neither_gives_the_others_half_its_name(tmp_path: Path) -> None:
    out = tmp_path / "copy.mp4"
    for turn in (two_at_once, one_in_the_middle):
        with pytest.raises(FormatError):
            turn(out)
        assert out.read_bytes() in (b"later", b"later, half")  # what the second had when it said it was whole
        assert [*tmp_path.iterdir()] == [out]
        out.unlink()
