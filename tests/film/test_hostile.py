"""Spoiled films: whatever is done to a file, it is read as far as it goes or refused in words, soon, and nothing crashes.

A crash of the library underneath would end the tests themselves: that they end is part of what is tested.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from film.faults import left_in
from film.filming import boxes, film, number_of, steady, uneven
from film.spoiling import spoiled
from tenbetween.errors import FormatError, Problem, TenbetweenError
from tenbetween.film.browser_copy import browser_copy
from tenbetween.film.cut import exact_cut, fast_cut
from tenbetween.film.fingerprint import fingerprint
from tenbetween.film.frame_index import index
from tenbetween.film.frames_in import frames, still
from tenbetween.film.mp4_tables import tables_of
from tenbetween.film.probe import probe

F = Fraction
SMALL = (160, 96)
PATIENCE_S = 20.0
"""Far more than any of these films needs on a busy machine."""
KINDS = {
    "a.mp4": {"times": steady(30), "base": F(1, 30), "sound": True},
    "b.mov": {"times": uneven(30), "base": F(1, 90000), "rotation": 90, "box": {"movflags": "+faststart"}},
    "c.mkv": {"times": steady(30), "base": F(1, 30), "sound": True},
    "d.ts": {"times": steady(30), "base": F(1, 30), "sound": True},
    "e.mp4": {"times": steady(30), "base": F(1, 30), "codec": "libx265"},
    "f.mp4": {"times": steady(30), "base": F(1, 30), "box": {"movflags": "frag_keyframe+empty_moov"}},
    "g.webm": {"times": steady(30), "base": F(1, 30), "codec": "libvpx-vp9"},
}


class Films(dict[str, bytes]):
    """The films by name, told by their names alone when a test fails."""

    def __repr__(self) -> str:
        return f"Films({', '.join(self)})"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Films:
    av.logging.set_level(None)
    folder = tmp_path_factory.mktemp("film")
    made = {
        name: film(folder / name, size=SMALL, **more).read_bytes()  # type: ignore[arg-type]
        for name, more in KINDS.items()
    }
    return Films(made)


def all_that_is_done(path: Path, out: Path) -> list[tuple[str, Callable[[], object]]]:
    times = index(path)
    middle, last = int(times.pts[len(times) // 2]), int(times.pts[-1])
    return [
        ("probe", lambda: probe(path, times)),
        ("frames", lambda: list(frames(path))),
        ("still", lambda: still(path, middle, 48)),
        ("fast", lambda: fast_cut(path, out, middle, last, sound=True, times=times)),
        ("exact", lambda: exact_cut(path, out, middle, last, sound=True, height=48, times=times)),
        ("copy", lambda: browser_copy(path, out, height=48)),
    ]


def read_or_refuse(whole: Films, folder: Path, name: str, number: int) -> None:
    """Do all that is done with a film with a spoiled one: it works or is refused in words, soon, and nothing is left."""
    path, out = folder / name, folder / "out.mp4"
    path.write_bytes(spoiled(whole[name], number))
    began = time.perf_counter()
    try:
        fingerprint(path)
        done = all_that_is_done(path, out)
    except TenbetweenError:
        done = []
    problems: list[Problem] = []
    for _, one in done:
        try:
            one()
        except TenbetweenError as error:
            problems += error.problems
    assert all(problem.found and problem.do for problem in problems)
    assert time.perf_counter() - began < PATIENCE_S
    assert not [left for left in left_in(folder) if left.endswith(".part")]
    path.unlink()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(list(KINDS)), st.integers(0, 10**9))
def test_a_spoiled_film_is_read_or_refused_in_words(
    whole: Films, tmp_path: Path, name: str, number: int
) -> None:
    read_or_refuse(whole, tmp_path, name, number)


@pytest.mark.full
@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(list(KINDS)), st.integers(0, 10**9))
def test_four_hundred_spoiled_films(whole: Films, tmp_path: Path, name: str, number: int) -> None:
    read_or_refuse(whole, tmp_path, name, number)


FOUND = [3, 19, 21, 111, 167, 1043, 1175, 1371]
"""Spoiled films that once did harm: signatures, sound without a place, a clock that jumps by hours, a frame too many."""


@pytest.mark.parametrize("number", FOUND)
@pytest.mark.parametrize("name", ["a.mp4", "d.ts", "f.mp4"])
def test_what_once_did_harm(whole: Films, tmp_path: Path, name: str, number: int) -> None:
    read_or_refuse(whole, tmp_path, name, number)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(["a.mp4", "b.mov", "e.mp4"]), st.integers(0, 10**9))
def test_the_tables_are_never_believed_against_the_reader(
    whole: Films, tmp_path: Path, name: str, number: int
) -> None:
    """Reading the tables of a spoiled file gives tables or nothing; they never raise, never take long."""
    path = tmp_path / "t.mp4"
    path.write_bytes(spoiled(whole[name], number))
    began = time.perf_counter()
    with path.open("rb") as file:
        tables = tables_of(file, path.stat().st_size)
    assert time.perf_counter() - began < 2
    for table in tables or ():
        assert len(table.shown) == len(table.decoded) == len(table.key)
        assert 0 <= table.whole <= len(table.shown)


def test_tables_that_promise_a_thousand_million_frames_are_not_made(whole: Films, tmp_path: Path) -> None:
    held = bytearray(whole["a.mp4"])
    at = held.index(b"stsz")
    held[at + 8 : at + 16] = (5).to_bytes(4, "big") + (1_000_000_000).to_bytes(4, "big")
    path = tmp_path / "a.mp4"
    path.write_bytes(held)
    began = time.perf_counter()
    with pytest.raises(FormatError):
        raise_unless_read(path)
    assert time.perf_counter() - began < 5


def raise_unless_read(path: Path) -> None:
    """Read a film; a film that is read with no more frames than it can have is refused here, so that both ways count."""
    if len(index(path)) <= 30:
        raise FormatError(())


# -- clocks ----------


def stream_that_begins_anew(tmp_path: Path) -> Path:
    """A stream whose sender was started a second time: its clock begins anew in the middle."""
    parts = [film(tmp_path / f"{n}.ts", steady(90), F(1, 10), begins=100 * n) for n in range(2)]
    path = tmp_path / "a.ts"
    path.write_bytes(b"".join(part.read_bytes() for part in parts))
    return path


def test_a_stream_that_begins_anew_is_used_up_to_there_and_says_so(tmp_path: Path) -> None:
    path = stream_that_begins_anew(tmp_path)
    told = probe(path)
    assert any("clock jumps back after 0:09" in line for line in told.warnings)
    times = index(path)
    assert len(times) <= 90
    assert number_of(still(path, int(times.pts[40]))) == 40


def test_a_hole_of_hours_is_not_filled_with_silence(tmp_path: Path) -> None:
    times = [*range(20), *range(3_000_000, 3_000_020)]
    path = film(tmp_path / "a.mp4", times, F(1, 30), sound=False)
    at = [int(pts) for pts in index(path).pts]
    with pytest.raises(FormatError, match="without a frame"):
        exact_cut(path, tmp_path / "clip.mp4", at[5], at[30], sound=True)
    assert exact_cut(path, tmp_path / "clip.mp4", at[25], at[30], sound=True).frames == 6


# -- what is told ----------


@pytest.mark.parametrize("name", list(KINDS))
def test_half_a_film_is_read_to_its_half_or_said_to_be_cut_short(
    whole: Films, tmp_path: Path, name: str
) -> None:
    path = tmp_path / name
    path.write_bytes(whole[name][: len(whole[name]) // 2])
    told, seen = read_or_refused(path)
    if told:
        assert any(word in told for word in ("cut short", "no frame", "no reader"))
        return
    assert seen == list(range(len(seen)))
    assert 0 < len(seen) < 30
    assert len(index(path)) <= len(seen) + 3


def read_or_refused(path: Path) -> tuple[str, list[int]]:
    """Return in what words a film is refused, or the numbers of its frames."""
    try:
        index(path)
        return "", [number_of(picture) for _, picture in frames(path)]
    except FormatError as error:
        return str(error), []


def test_boxes_in_another_order_tell_the_same_frames(whole: Films, tmp_path: Path) -> None:
    """The table of contents behind or before the pictures: another file, the same times."""
    plain, first = tmp_path / "a.mp4", tmp_path / "b.mp4"
    plain.write_bytes(whole["e.mp4"])
    film(first, steady(30), F(1, 30), size=SMALL, codec="libx265", box={"movflags": "+faststart"})
    order = [[name for name, _, _ in boxes(path.read_bytes())] for path in (plain, first)]
    assert order[0].index(b"moov") > order[0].index(b"mdat")
    assert order[1].index(b"moov") < order[1].index(b"mdat")
    assert index(plain).pts.tolist() == index(first).pts.tolist()
