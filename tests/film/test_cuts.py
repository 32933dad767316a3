"""Cuts are found to the very picture, pans and flashes are none (film targets: S1); lulls where nobody runs."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from film.pans import Film, Shot, spliced
from tenbetween.film.cuts import Look, cuts
from tenbetween.film.listen import listen
from tenbetween.film.lulls import swing


def told(folder: Path, film: Film, kind: str = "cut") -> list:
    file = folder / "film.mp4"
    file.write_bytes(film.film)
    return sorted((one for one in listen(file).proposals if one.kind == kind), key=lambda one: one.t)


def shots(seed: int, count: int, shortest: float, longest: float) -> list[Shot]:
    dice = np.random.default_rng(seed)
    return [
        Shot(
            int(dice.integers(0, 2_000)),
            float(dice.uniform(shortest, longest)),
            float(dice.choice([1, 2, 3, 5])),
        )
        for _ in range(count)
    ]


def found(folder: Path, film: Film) -> tuple[int, int]:
    """How many splices were told to the very picture, and how many cuts are none."""
    at = [one.t for one in told(folder, film)]
    hit = sum(any(abs(one - cut) < 0.01 for one in at) for cut in film.cuts)
    return hit, sum(all(abs(one - cut) >= 0.01 for cut in film.cuts) for one in at)


def test_splices_are_found_to_the_very_picture_and_fast_pans_are_none(tmp_path: Path) -> None:
    film = spliced(shots(3, 9, 1.0, 2.0), 30)
    assert found(tmp_path, film) == (8, 0)


def test_a_flash_is_no_cut(tmp_path: Path) -> None:
    assert told(tmp_path, spliced([Shot(5, 4.0, 2.0, flash_at=2.0)], 31)) == []


def test_without_the_comparison_beside_it_a_fast_pan_would_be_taken_for_a_cut() -> None:
    """The two thresholds alone fire on a pan of several widths a second between pictures 0.1 s apart."""
    dice = np.random.default_rng(4)
    looks = []
    for number in range(20):
        colours = dice.dirichlet(np.full(128, 0.2)).astype(np.float32)
        looks.append(Look(number / 10, colours, dice.uniform(0, 255, (36, 64)).astype(np.float32)))
    apart = [one.apart(two) for one, two in pairwise(looks)]
    assert min(one[0] for one in apart) > 0.35
    assert min(one[1] for one in apart) > 12
    assert list(cuts(looks)) == []


def test_a_lull_is_told_where_nobody_runs(tmp_path: Path) -> None:
    lulls = told(tmp_path, spliced([Shot(40, 26.0, 2.0, lull=(9.0, 17.0))], 1), "lull")
    assert any(
        one.t < 12 and one.t_end > 14 and abs(one.t - 9) < 2 and abs(one.t_end - 17) < 2 for one in lulls
    )
    assert all(one.t > 9 - 2 and one.t_end < 17 + 2 for one in lulls)


@pytest.mark.parametrize(("down", "right"), [(0, 0), (3, -7), (-5, 12)])
def test_the_swing_of_the_camera_is_what_it_was(down: int, right: int) -> None:
    wall = np.random.default_rng(2).uniform(0, 255, (120, 200)).astype(np.float32)
    assert swing(wall[20:92, 30:158], wall[20 - down : 92 - down, 30 - right : 158 - right]) == (down, right)


@pytest.mark.full
@pytest.mark.parametrize("number", range(4))
def test_s1_splices_in_full(tmp_path: Path, number: int) -> None:
    """Recall at least 0.98 in each of four films with 40 splices: that is all of them; and nothing false."""
    film = spliced(shots(100 + number, 41, 1.0, 4.0), 1_000 * number)
    hit, wrong = found(tmp_path, film)
    assert hit / len(film.cuts) >= 0.98
    assert wrong == 0


@pytest.mark.full
@pytest.mark.parametrize("number", range(12))
def test_s1_pans_in_full(tmp_path: Path, number: int) -> None:
    """Nothing false in twelve pans of 50 s, ten minutes in all, up to five widths a second, with a flash in each."""
    fastest = (1.0, 2.0, 3.0, 5.0)[number % 4]
    assert told(tmp_path, spliced([Shot(3_000 + number, 50.0, fastest, flash_at=25.0)], 9_000 + number)) == []
