"""Whistles against synthetic truth, beside the plain band-energy rule, and on recordings no fit has heard (W1 to W3).

Targets and the plain rule's badness as the film notes state them; published figure for comparison: 0.926 of 350
whistles at 3.4 false an hour in broadcasts (referee whistles, Int. J. of Computer Applications 12(11), 2011).
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from film.gym_sound import (
    FIRST_TEST_SEED,
    MUSIC,
    band_energy,
    calls,
    gym_number,
    listened,
    recording,
    tallied,
)
from tenbetween.dev.whistle_fit import LEVELS_DB, Tally, fit, gyms
from tenbetween.film.listen import heard
from tenbetween.film.sound_in import RATE, sound
from tenbetween.film.spectra import CORE, HOP, STEP_S, pages, spectra
from tenbetween.film.whistle_score import KNEES, PAIRS, UNITS, chosen, scores, weights
from tenbetween.film.whistles import FEATURES, Candidate, candidates

SURE = 0.5
"""The one score at which recorded calls must be found and music must be quiet."""


def tone(hertz: float, begins: float, lasts: float, seconds: float) -> np.ndarray:
    """A clean tone in faint noise, 16 kHz."""
    t = np.arange(int(seconds * RATE)) / RATE
    on = (t >= begins) & (t < begins + lasts)
    noise = np.random.default_rng(1).normal(0, 1e-3, len(t))
    return (0.3 * np.sin(2 * np.pi * hertz * t) * on + noise).astype(np.float32)


def test_spectra_are_those_of_an_independent_library() -> None:
    from scipy.signal import spectrogram

    samples = np.random.default_rng(3).normal(size=40_000).astype(np.float32)
    _, _, theirs = spectrogram(
        samples, RATE, "hann", 1_024, 768, detrend=False, mode="magnitude", scaling="spectrum"
    )
    ours = np.sqrt(spectra(samples))
    assert ours.shape == theirs.T.shape
    np.testing.assert_allclose(ours / ours.max(), theirs.T / theirs.max(), atol=2e-6)


@pytest.mark.parametrize("hertz", [2_000.0, 2_750.0, 3_500.0, 4_250.0])
def test_the_beginning_of_a_clean_tone_is_where_an_independent_library_puts_it(hertz: float) -> None:
    """SciPy's spectrogram and peak finder: the first spectrum whose peak is within 7 dB of the tone's loud part."""
    from scipy.signal import find_peaks, spectrogram

    samples = tone(hertz, 2.0, 0.5, 5.0)
    padded = np.concatenate((np.zeros(512, np.float32), samples, np.zeros(512, np.float32)))
    _, _, power = spectrogram(padded, RATE, "hann", 1_024, 768, detrend=False)
    line = round(hertz * 1_024 / RATE)
    assert line in find_peaks(power[:, 140])[0]
    level = 10 * np.log10(power[int(line * 0.95) : int(line * 1.05) + 2].sum(axis=0))
    expected = int(np.flatnonzero(level > level[130:150].mean() - 7)[0])
    found = [one for page in pages([samples]) for one in candidates(page) if abs(one.hertz - hertz) < 30]
    best = max(found, key=lambda one: one.features[0])
    assert round(best.t / STEP_S) == expected
    assert abs(best.t - 2.0) < 0.05
    assert abs(best.t_end - 2.5) < 0.05


def test_pages_tell_the_same_wherever_they_are_parted() -> None:
    """A tone across the border of two pages, and the blocks a sound comes in, change nothing."""
    border = CORE * HOP / RATE
    samples = np.concatenate([tone(3_000.0, border - 0.2 - 190, 0.5, 10.0 + border - 190)])
    samples = np.concatenate(
        (np.random.default_rng(2).normal(0, 1e-3, 190 * RATE).astype(np.float32), samples)
    )
    whole = [one for page in pages([samples]) for one in candidates(page) if one.features[0] > 1]
    parts = [
        one for page in pages(np.array_split(samples, 331)) for one in candidates(page) if one.features[0] > 1
    ]
    assert [(one.t, one.t_end) for one in whole] == [(one.t, one.t_end) for one in parts]
    near = [one for one in whole if abs(one.t - (border - 0.2)) < 0.05 and abs(one.hertz - 3_000) < 30]
    assert len(near) == 1


def test_no_weight_may_turn_the_sense_of_a_feature_round() -> None:
    given = weights()
    assert set(given.alone) == set(UNITS) == set(FEATURES)
    assert all(len(part) == len(KNEES) and min(part) >= 0 for part in given.alone.values())
    assert all(
        weight > 0 and (one, two) in PAIRS
        for one, part in given.together.items()
        for two, weight in part.items()
    )
    dice = np.random.default_rng(5)
    low, high = (np.array([UNITS[name][side] for name in FEATURES]) for side in (0, 1))
    for _ in range(200):
        unit, number = dice.uniform(0, 1, len(FEATURES)), dice.integers(len(FEATURES))
        more = unit.copy()
        more[number] = dice.uniform(unit[number], 1)
        both = scores(low + np.stack((unit, more)) * (high - low))
        assert both[1] >= both[0]


def test_of_tones_at_once_only_the_likeliest_is_told() -> None:
    some = [Candidate(1.0, 2.0, 3_000, np.zeros(1)), Candidate(1.5, 2.5, 2_000, np.zeros(1))]
    assert [one.hertz for one in chosen(some, np.array([0.4, 0.9]))] == [2_000]
    assert chosen(some, np.array([0.01, 0.02])) == []


def test_a_fit_is_the_same_each_time_and_the_tests_hear_other_gyms() -> None:
    made = list(gyms())
    assert {gym.snr_db for _, gym in made} > set(LEVELS_DB)
    assert all("two_tone" not in gym.builds and "scrape" not in gym.each_second for _, gym in made)
    assert not {seed for seed, _ in made} & set(range(FIRST_TEST_SEED, FIRST_TEST_SEED + 200))
    from tenbetween.dev.gym_sound import Gym
    from tenbetween.dev.whistle_fit import scene_of

    few = [scene_of(Gym(seconds=12.0, snr_db=15.0, blasts_per_minute=20), seed) for seed in (1, 2)]
    assert fit(few) == fit(few)


# -- the targets, small ----------------------------------------------------------------------------------------


Heard = dict[float, tuple[Tally, Tally, Tally]]
"""By level: at 0.5, at 0.3, and the plain rule."""


def measured(folder: Path, numbers: range, seconds: float, music: bool = False) -> Heard:
    """Listen to test scenes, and count."""
    found: Heard = {}
    for number in numbers:
        gym = gym_number(number, seconds, music)
        told, blasts, samples = listened(folder, gym, FIRST_TEST_SEED + number)
        three = (
            tallied(told, blasts, seconds, 0.5),
            tallied(told, blasts, seconds, 0.3),
            tallied(band_energy(samples), blasts, seconds, 0.5),
        )
        before = found.get(gym.snr_db, (Tally(), Tally(), Tally()))
        found[gym.snr_db] = tuple(one + two for one, two in zip(before, three, strict=True))  # type: ignore[assignment]
    return found


def total(found: Heard, which: int, *levels: float) -> Tally:
    return sum((found[level][which] for level in levels), Tally())


def test_whistles_are_found_in_a_gym(tmp_path: Path) -> None:
    """A few scenes: bounds one whistle and two false ones wider than in full, the plain rule beside."""
    found = measured(tmp_path, range(4), 60.0)
    loud = total(found, 0, 10.0, 15.0, 20.0)
    assert loud.recall >= 0.9
    assert total(found, 1, 5.0, 10.0, 15.0, 20.0).recall >= 0.88
    assert total(found, 0, 5.0, 10.0, 15.0, 20.0).false <= 4
    assert total(found, 1, 5.0, 10.0, 15.0, 20.0).on_time >= 0.9
    plain = total(found, 2, 5.0, 10.0, 15.0, 20.0)
    assert plain.false_per_hour >= 4 * total(found, 0, 5.0, 10.0, 15.0, 20.0).false_per_hour


def test_noise_alone_is_no_whistle() -> None:
    noise = np.random.default_rng(8).normal(0, 0.1, 60 * RATE).astype(np.float32)
    assert [one for one in heard(iter([noise])) if one.confidence >= 0.3] == []


def test_every_recorded_call_is_found(tmp_path: Path) -> None:
    """W3: five recorded calls (Debian's tuxfootball, blobby-data), each in a quiet room; heard by no fit.

    Found at the very score at which ``in_music`` counts what is false.
    """
    missed = []
    for name, samples in calls(tmp_path):
        room = np.random.default_rng(1).normal(0, 1e-3, len(samples) + 6 * RATE)
        room[3 * RATE : 3 * RATE + len(samples)] += samples
        told = [one for one in heard(iter([room.astype(np.float32)])) if one.kind == "whistle"]
        inside = [one for one in told if 2.9 < one.t < 3.1 + len(samples) / RATE and one.confidence >= SURE]
        missed += [] if inside else [(name, max((one.confidence for one in told), default=0.0))]
    assert missed == []


def test_music_has_at_most_one_false_whistle_a_minute() -> None:
    """W3, the shortest piece; all pieces in full."""
    told, minutes = in_music(MUSIC[:1])
    assert told <= minutes


def in_music(names: tuple[str, ...]) -> tuple[int, float]:
    false, samples = 0, 0
    for name in names:
        blocks = list(sound(recording(name)))
        samples += sum(map(len, blocks))
        false += sum(one.kind == "whistle" and one.confidence >= SURE for one in heard(iter(blocks)))
    return false, samples / RATE / 60


# -- the targets, in full --------------------------------------------------------------------------------------


@cache
def in_full(group: int) -> Heard:
    """Four of forty scenes of two minutes, coded as AAC at 64 kbit/s; the last eight with music."""
    with TemporaryDirectory() as folder:
        return measured(Path(folder), range(4 * group, 4 * group + 4), 120.0, music=group >= 8)


@pytest.mark.full
@pytest.mark.parametrize("group", range(10))
def test_the_plain_rule_is_as_bad_as_published_on_each_four_scenes(group: int) -> None:
    """W1, per four scenes: beside it the plain rule is false at least four times as often, and finds less."""
    ours, plain = (total(in_full(group), which, 5.0, 10.0, 15.0, 20.0) for which in (0, 2))
    assert plain.false_per_hour >= 200
    assert plain.false_per_hour >= 4 * ours.false_per_hour
    assert plain.recall < ours.recall


@pytest.mark.full
def test_w1_and_w2_in_full() -> None:
    """All forty scenes together; listened to already, four at a time, by the test before."""
    found: Heard = {}
    for group in range(10):
        for level, three in in_full(group).items():
            before = found.get(level, (Tally(), Tally(), Tally()))
            found[level] = tuple(one + two for one, two in zip(before, three, strict=True))  # type: ignore[assignment]
    every = (5.0, 10.0, 15.0, 20.0)
    lines = "\n".join(f"{level} dB: " + "; ".join(map(str, found[level])) for level in every)
    assert total(found, 0, 10.0, 15.0, 20.0).recall >= 0.95, lines
    assert found[5.0][0].recall >= 0.85, lines
    assert total(found, 0, *every).false_per_hour <= 30, lines
    assert total(found, 1, *every).recall >= 0.9, lines
    assert total(found, 1, *every).on_time >= 0.9, lines
    assert found[5.0][2].false_per_hour >= 200, lines
    assert total(found, 2, *every).false_per_hour >= 4 * total(found, 0, *every).false_per_hour, lines


@pytest.mark.full
def test_w3_in_full() -> None:
    told, minutes = in_music(MUSIC)
    assert minutes > 12
    assert told <= minutes


@pytest.mark.full
@pytest.mark.alone
def test_w4_listening_takes_at_most_as_long_again_as_decoding() -> None:
    """The sound of ninety minutes in seconds of the processor, against decoding and resampling alone in the same run."""
    from tenbetween.dev.listen_speed import on_one_core

    whole, decode = on_one_core(10.0)
    assert whole <= 2 * decode, f"{whole / decode:.2f} times"
    assert whole * 9 <= 25
