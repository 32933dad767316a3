"""What the tests of listening share: scenes never used in the fit, the plain rule beside, other people's recordings."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from tenbetween.dev.gym_sound import Blast, Gym, heard, write_sound
from tenbetween.dev.whistle_fit import FIRST_SEED, SCENES, Tally, tally
from tenbetween.film.listen import heard as proposals_of
from tenbetween.film.sound_in import sound

FIRST_TEST_SEED = 2_000
assert FIRST_TEST_SEED + 200 < FIRST_SEED or FIRST_TEST_SEED > FIRST_SEED + SCENES

RECORDINGS = Path("/usr/share/games")
CALLS = ("refwhistleshort.wav", "refwhistlelong.wav", "refwhistletwice.wav", "refwhistleend.wav")
"""Debian's tuxfootball: recorded whistles."""
MUSIC = (
    "tuxfootball/sound/titlemusic.ogg",
    "frozen-bubble/snd/frozen-mainzik-1p.ogg",
    "frozen-bubble/snd/frozen-mainzik-2p.ogg",
    "frozen-bubble/snd/introzik.ogg",
)
"""Debian's tuxfootball and frozen-bubble-data: 12.9 minutes of music."""


def gym_number(number: int, seconds: float = 120.0, music: bool = False) -> Gym:
    """A gym with a build of whistle and a kind of noise that no fit has heard; 5, 10, 15, 20 dB in turn."""
    gym = Gym(
        seconds=seconds, snr_db=(5.0, 10.0, 15.0, 20.0)[number % 4], builds=("pealess", "pea", "two_tone")
    )
    # More squeaks than the 0.35 a second of the fit, so that the plain rule meets what it cannot do.
    gym = gym.also(scrape=0.05, squeak=0.5)
    return gym.also(music=0.05) if music else gym


def listened(
    folder: Path, gym: Gym, seed: int
) -> tuple[list[tuple[float, float, float]], tuple[Blast, ...], np.ndarray]:
    """What is proposed as a whistle in a gym's AAC file, the truth, and the sound as it came back."""
    made = heard(gym, seed)
    file = write_sound(folder / f"{seed}.m4a", made.samples)
    blocks = list(sound(file))
    told = [(one.t, one.t_end, one.confidence) for one in proposals_of(iter(blocks)) if one.kind == "whistle"]
    file.unlink()
    return told, made.blasts, np.concatenate(blocks)


def band_energy(samples: np.ndarray) -> list[tuple[float, float, float]]:
    """The plain rule: more than 0.45 of all energy between 2 and 4.5 kHz for 120 ms."""
    from scipy.signal import spectrogram

    hertz, times, power = spectrogram(samples, 16_000, "hann", 1_024, 768, mode="psd")
    share = power[(hertz >= 2_000) & (hertz <= 4_500)].sum(axis=0) / (power.sum(axis=0) + 1e-20)
    edges = np.flatnonzero(np.diff(np.concatenate(([0], (share > 0.45).astype(int), [0])))).reshape(-1, 2)
    return [(times[a], times[b - 1], 1.0) for a, b in edges if (b - a) * 0.016 >= 0.12]


def tallied(told: list, blasts: tuple[Blast, ...], seconds: float, threshold: float) -> Tally:
    return tally(told, blasts, seconds, threshold)


def recording(name: str) -> Path:
    """A recording of a Debian package, or a failure that says what to install."""
    file = RECORDINGS / name
    assert file.exists(), (
        f"{file} is missing; the tests of whistles listen to recordings of Debian packages: "
        "apt-get install tuxfootball blobby-data frozen-bubble-data"
    )
    return file


def calls(folder: Path) -> Iterator[tuple[str, np.ndarray]]:
    """Every recorded call, 16 kHz, one after the other."""
    for name in CALLS:
        yield name, np.concatenate(list(sound(recording(f"tuxfootball/sound/{name}"))))
    archive = Path("/usr/share/blobby/sounds.zip")
    assert archive.exists(), f"{archive} is missing: apt-get install blobby-data"
    with zipfile.ZipFile(io.BytesIO(archive.read_bytes())) as box:
        file = folder / "pfiff.wav"
        file.write_bytes(box.read("sounds/pfiff.wav"))
    yield "pfiff.wav", np.concatenate(list(sound(file)))
