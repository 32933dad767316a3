"""The sound of an invented gym with the truth about every whistle in it: for fitting, for tests and for measuring.

A crowd, shouts, squeaking shoes, balls, screams, claps, the horn and perhaps music, all with the echo of a hall; the
whistles stand a stated number of decibels above the crowd between 1.7 and 5.2 kHz. Knows nothing of finding them.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from tenbetween.dev.gym_sounds import NOISES, RATE, WHISTLES, Samples

LOW, HIGH = 1_700.0, 5_200.0
"""Hertz between which loudness is compared."""
EACH_SECOND: Mapping[str, float] = {
    "shout": 1.2,
    "squeak": 0.35,
    "bounce": 1.5,
    "clap": 1.0,
    "scream": 0.08,
    "horn": 0.015,
}
"""How many of each, every second."""
LOUD: Mapping[str, tuple[float, float]] = {
    "shout": (-16.0, 5.0),
    "squeak": (-6.0, 20.0),
    "bounce": (-14.0, 2.0),
    "clap": (-12.0, 8.0),
    "scream": (-8.0, 12.0),
    "horn": (-5.0, 10.0),
    "music": (-8.0, 6.0),
    "scrape": (-8.0, 10.0),
}
"""From how far below to how far above the crowd, in decibels between LOW and HIGH."""


@dataclass(frozen=True, slots=True)
class Blast:
    """One whistle: when it begins and ends, in seconds, and its build."""

    t: float
    t_end: float
    build: str


@dataclass(frozen=True, slots=True)
class Gym:
    """What is heard: how long, how loud the whistles stand over the crowd, which builds, what else."""

    seconds: float = 120.0
    snr_db: float = 10.0
    builds: tuple[str, ...] = ("pealess", "pea")
    blasts_per_minute: float = 7.0
    each_second: Mapping[str, float] = field(default_factory=lambda: EACH_SECOND)
    crowd_db: float = 0.0
    """How loud the crowd is against the usual; far below 0 the hall is nearly empty."""

    def also(self, **more: float) -> Gym:
        """Return the same gym with other noises, each so many a second."""
        return replace(self, each_second={**self.each_second, **more})


@dataclass(frozen=True, slots=True)
class Heard:
    """The sound (mono float32, 44.1 kHz) and the truth: every whistle, and every horn."""

    samples: NDArray[np.float32]
    blasts: tuple[Blast, ...]
    horns: tuple[tuple[float, float], ...] = ()


def heard(gym: Gym, seed: int) -> Heard:
    """Return the sound of a gym; the same seed gives the same sound.

    >>> one = heard(Gym(seconds=6.0, blasts_per_minute=20), 1)
    >>> len(one.samples) == 6 * RATE, len(one.blasts)
    (True, 2)
    """
    dice = np.random.default_rng(seed)
    n = int(gym.seconds * RATE)
    echo = _echo(dice)
    crowd = _crowd(dice, n)
    crowd *= 10 ** (gym.crowd_db / 20) / _loudness(crowd)
    others, horns = _others(dice, gym, n)
    background = crowd + _echoed(others, echo)[:n]
    middle = np.sqrt(np.median(_short_power(background)))
    whistles, blasts = _whistles(dice, gym, n, echo, float(middle) * 10 ** (gym.snr_db / 20))
    out = background + whistles
    return Heard((0.7 * out / np.abs(out).max()).astype(np.float32), blasts, horns)


def _others(dice: Generator, gym: Gym, n: int) -> tuple[Samples, tuple[tuple[float, float], ...]]:
    out, horns = np.zeros(n), []
    for kind, rate in gym.each_second.items():
        for at in np.sort(dice.uniform(0, gym.seconds, size=dice.poisson(rate * gym.seconds))):
            sound = NOISES[kind](dice)
            _lay(out, sound / _loudness(sound) * 10 ** (dice.uniform(*LOUD[kind]) / 20), float(at))
            if kind == "horn":
                horns.append((float(at), min(float(at) + len(sound) / RATE, gym.seconds)))
    return out, tuple(horns)


def _whistles(
    dice: Generator, gym: Gym, n: int, echo: Samples, loudness: float
) -> tuple[Samples, tuple[Blast, ...]]:
    """Lay the whistles, one in each of equal stretches of time, each as loud as asked while it is blown."""
    out, blasts = np.zeros(n), []
    count = int(gym.seconds / 60 * gym.blasts_per_minute)
    stretch = gym.seconds / max(1, count)
    for number in range(count):
        build = str(dice.choice(gym.builds))
        dry = WHISTLES[build](dice)
        wet = _echoed(dry, echo)
        at = number * stretch + float(dice.uniform(0.3, max(0.4, stretch - 2.2)))
        _lay(out, wet * loudness / _loudness(wet[: len(dry)]), at)
        blasts.append(Blast(at, at + len(dry) / RATE, build))
    return out, tuple(blasts)


def _lay(out: Samples, sound: Samples, at: float) -> None:
    first = int(at * RATE)
    part = sound[: len(out) - first]
    out[first : first + len(part)] += part


def _crowd(dice: Generator, n: int) -> Samples:
    """Return the murmur of a crowd: noise that falls with pitch and swells slowly."""
    spectrum = np.fft.rfft(dice.normal(size=n))
    hertz = np.fft.rfftfreq(n, 1 / RATE)
    noise = np.fft.irfft(spectrum / np.sqrt(1 + hertz / 1_000) * (hertz > 200), n)
    knots = max(4, int(n / RATE / 3))
    swell = np.interp(np.linspace(0, knots - 1, n), np.arange(knots), dice.normal(0, 2.5, size=knots))
    return np.asarray(noise * 10 ** (swell / 20))


def _echo(dice: Generator) -> Samples:
    """Return how the hall answers: the sound itself, a few walls, then a tail of 0.8 to 1.8 s."""
    lasts = dice.uniform(0.8, 1.8)
    n = int(0.8 * lasts * RATE)
    t = np.arange(n) / RATE
    tail = dice.normal(size=n) * np.exp(-6.9 * t / lasts) * (t > 0.015)
    tail *= 10 ** (-dice.uniform(0, 6) / 20) / np.sqrt(np.sum(tail**2))
    for wall in dice.uniform(0.004, 0.05, size=5):
        tail[int(wall * RATE)] += dice.uniform(-0.35, 0.35)
    tail[0] = 1.0
    return np.asarray(tail)


def _echoed(sound: Samples, echo: Samples) -> Samples:
    from scipy.signal import oaconvolve

    return np.asarray(oaconvolve(sound, echo), dtype=np.float64)


def _loudness(sound: Samples) -> float:
    """Return the root mean square between LOW and HIGH."""
    n = 1 << (len(sound) - 1).bit_length()
    spectrum = np.fft.rfft(sound, n)
    hertz = np.fft.rfftfreq(n, 1 / RATE)
    inside = spectrum[(hertz >= LOW) & (hertz <= HIGH)]
    return float(np.sqrt(2 * np.sum(np.abs(inside) ** 2) / n / len(sound))) or 1e-12


def _short_power(sound: Samples) -> Samples:
    """Return the power between LOW and HIGH in pieces of 46 ms."""
    n = 2_048
    pieces = sound[: len(sound) // n * n].reshape(-1, n)
    hertz = np.fft.rfftfreq(n, 1 / RATE)
    inside = np.fft.rfft(pieces)[:, (hertz >= LOW) & (hertz <= HIGH)]
    return np.asarray(2 * np.sum(np.abs(inside) ** 2, axis=1) / n**2)


# -- as a file --------------------------------------------------------------------------------------------------


def as_aac(samples: NDArray[np.float32], bits: int = 64_000) -> bytes:
    """Return sound as an M4A file (AAC, one channel), coded the way a phone would."""
    from tenbetween.film.write import film_parts

    av = film_parts()
    out = io.BytesIO()
    with av.open(out, "w", format="mp4") as box:
        stream = box.add_stream("aac", rate=RATE, layout="mono")
        stream.bit_rate = bits
        frame = av.AudioFrame.from_ndarray(samples[None, :], format="fltp", layout="mono")
        frame.sample_rate, frame.pts = RATE, 0
        box.mux((*stream.encode(frame), *stream.encode()))
    return out.getvalue()


def write_sound(path: Path, samples: NDArray[np.float32], bits: int = 64_000) -> Path:
    """Write sound as an M4A file and return its place."""
    path.write_bytes(as_aac(samples, bits))
    return path


def overlaps(blasts: Iterable[Blast], t: float, t_end: float, slack: float = 0.15) -> bool:
    """Tell whether a stretch of time holds some of a whistle, give or take ``slack`` seconds.

    >>> overlaps((Blast(1.0, 1.5, "pea"),), 1.6, 2.0), overlaps((Blast(1.0, 1.5, "pea"),), 1.8, 2.0)
    (True, False)
    """
    return any(t <= one.t_end + slack and t_end >= one.t - slack for one in blasts)
