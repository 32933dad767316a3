"""The sound of a drawn film: whistles, a horn, the ball on the floor, shoes, and people on the seats, all reckoned.

One channel of numbers from -1 to 1, made from the story's sounds and dice handed in. Nothing is recorded.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.story import Sound, Story

Wave = NDArray[np.float32]
RATE = 44_100
TONES = (3_420.0, 3_670.0, 3_810.0)
"""Three tones of a whistle without a pea, in hertz; each chirps up two per cent at its start."""


def sound_of(story: Story, seed: int = 4, rate: int = RATE) -> Wave:
    """Return the whole sound of a story, ``rate`` numbers a second.

    >>> from tenbetween.court import court_of
    >>> still = Story(court_of("us-hs"), 1.0, (), (), sounds=(Sound(0.5, "whistle"),))
    >>> wave = sound_of(still, rate=16_000)
    >>> len(wave), bool(abs(wave[8_200:12_000]).mean() > 4 * abs(wave[:7_000]).mean())
    (16000, True)
    """
    dice = np.random.default_rng(seed)
    count = int(story.seconds * rate)
    wave = _murmur(count, rate, dice)
    for one in (*story.sounds, *_squeaks(story.seconds, dice)):
        _lay(wave, one, rate, dice)
    peak = float(np.abs(wave).max(initial=1e-9))
    found: Wave = (wave * min(1.0, 0.89 / peak)).astype(np.float32)
    return found


def _murmur(count: int, rate: int, dice: np.random.Generator) -> NDArray[np.float64]:
    """Return people on the seats: noise of voices, swelling and sinking."""
    size = 1 << (max(count, 2) - 1).bit_length()
    hertz = np.fft.rfftfreq(size, 1 / rate)
    shape = np.exp(-(((np.log(np.maximum(hertz, 1.0)) - np.log(420.0)) / 0.85) ** 2))
    turned = dice.uniform(0, 2 * np.pi, len(hertz))
    noise = np.fft.irfft(shape * np.exp(1j * turned), size)[:count]
    noise /= float(np.sqrt(np.mean(noise**2))) or 1.0
    times = np.arange(count) / rate
    swell = 1 + 0.35 * np.sin(times * 0.41) + 0.2 * np.sin(times * 1.3 + 1)
    found: NDArray[np.float64] = 0.035 * noise * swell
    return found


def _squeaks(seconds: float, dice: np.random.Generator) -> Iterator[Sound]:
    for at in np.sort(dice.uniform(0, max(seconds - 0.5, 0.0), int(seconds * 0.12))):
        yield Sound(float(at), "squeak", 0.09, float(dice.uniform(0.2, 0.6)))


def _lay(wave: NDArray[np.float64], one: Sound, rate: int, dice: np.random.Generator) -> None:
    begins = int(one.at * rate)
    part = _PARTS[one.kind](one, rate, dice)
    end = min(len(wave), begins + len(part))
    if end > begins:
        wave[begins:end] += part[: end - begins]


def _whistle(one: Sound, rate: int, dice: np.random.Generator) -> NDArray[np.float64]:
    times = np.arange(int(one.seconds * rate)) / rate
    chirp = 1 - 0.02 * np.exp(-times / 0.05)
    tones = sum(np.sin(2 * np.pi * np.cumsum(tone * chirp) / rate) for tone in TONES)
    shake = 1 + 0.15 * np.sin(2 * np.pi * 31 * times)
    found: NDArray[np.float64] = 0.16 * one.loud * tones * shake * _hull(times, 0.012, 0.05)
    return found


def _horn(one: Sound, rate: int, dice: np.random.Generator) -> NDArray[np.float64]:
    times = np.arange(int(one.seconds * rate)) / rate
    tones = sum(np.sin(2 * np.pi * 290 * number * times) / number for number in range(1, 9))
    found: NDArray[np.float64] = 0.16 * one.loud * tones * _hull(times, 0.02, 0.05)
    return found


def _bounce(one: Sound, rate: int, dice: np.random.Generator) -> NDArray[np.float64]:
    times = np.arange(int(0.16 * rate)) / rate
    thump = np.sin(2 * np.pi * 92 * times) * np.exp(-times / 0.035)
    slap = dice.normal(0, 1, len(times)) * np.exp(-times / 0.006)
    found: NDArray[np.float64] = one.loud * (0.22 * thump + 0.05 * slap)
    return found


def _squeak(one: Sound, rate: int, dice: np.random.Generator) -> NDArray[np.float64]:
    times = np.arange(int(one.seconds * rate)) / rate
    pitch = 2_300 + 1_800 * times / max(one.seconds, 1e-9)
    found: NDArray[np.float64] = (
        0.05 * one.loud * np.sin(2 * np.pi * np.cumsum(pitch) / rate) * _hull(times, 0.01, 0.03)
    )
    return found


def _hull(times: NDArray[np.float64], rise: float, fall: float) -> NDArray[np.float64]:
    long = float(times[-1]) if len(times) else 0.0
    return np.clip(np.minimum(times / rise, (long - times) / fall), 0.0, 1.0)


_PARTS = {"whistle": _whistle, "horn": _horn, "bounce": _bounce, "squeak": _squeak}
