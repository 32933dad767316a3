"""Single sounds of a gym, made from numbers: whistles of several builds, and everything that is not a whistle.

Each function takes the dice and returns one dry sound (mono float64, 44.1 kHz, loudness of no meaning). Knows no gym:
how loud, how often and with what echo is told in ``gym_sound``.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Samples = NDArray[np.float64]
RATE = 44_100
COARSE = 64
"""Samples between which the strength of a harmonic is drawn straight."""


def _times(seconds: float) -> Samples:
    return np.arange(max(8, int(seconds * RATE))) / RATE


def _fade(n: int, attack_s: float, decay_s: float) -> Samples:
    """Return an envelope that rises, holds and falls."""
    up, down = max(2, int(attack_s * RATE)), max(2, int(decay_s * RATE))
    up, down = min(up, n // 2), min(down, n // 2)
    shape = np.ones(n)
    shape[:up] = np.sin(np.linspace(0, np.pi / 2, up)) ** 2
    shape[n - down :] = np.cos(np.linspace(0, np.pi / 2, down)) ** 2
    return shape


def _slow(dice: Generator, n: int, hertz: float) -> Samples:
    """Return a slow random wander of about unit size."""
    knots = max(4, int(n / RATE * hertz) + 4)
    return np.interp(np.linspace(0, knots - 1, n), np.arange(knots), dice.normal(size=knots))


def _tone(pitch: Samples, phase: float = 0.0) -> Samples:
    """Return a sine whose pitch in hertz is given sample by sample."""
    return np.sin(2 * np.pi * np.cumsum(pitch) / RATE + phase)


def _voice(pitch: Samples, loud: Callable[[Samples], Samples], top: float = 7_000.0) -> Samples:
    """Return a tone with all its harmonics up to ``top``; ``loud`` says how strong at which pitch."""
    few = np.arange(0, len(pitch) + COARSE, COARSE)
    some = pitch[np.minimum(few, len(pitch) - 1)]
    turn = np.exp(2j * np.pi * np.cumsum(pitch) / RATE)
    wave, out = np.ones(len(pitch), dtype=np.complex128), np.zeros_like(pitch)
    for number in range(1, int(top / max(60.0, float(pitch.min()))) + 1):
        wave *= turn
        strength = loud(number * some) * (number * some < top)
        out += np.interp(np.arange(len(pitch)), few, strength) * (wave.imag if number % 2 else wave.real)
    return out


# -- whistles ---------------------------------------------------------------------------------------------------


def blast_length(dice: Generator) -> float:
    """Return how long a blast lasts, in seconds: 0.2 to 1.6, half of them under 0.57."""
    return float(np.exp(dice.uniform(np.log(0.2), np.log(1.6))))


def pealess(dice: Generator) -> Samples:
    """Return a pea-less whistle: three tones that chirp up 2 % in the first 50 ms."""
    t = _times(blast_length(dice))
    return _pealess(dice, t, dice.uniform(0.88, 1.15) * np.array([3_420.0, 3_670.0, 3_810.0]))


def _pealess(dice: Generator, t: Samples, tones: Samples) -> Samples:
    n = len(t)
    bend = (1 - 0.02 * np.exp(-t / 0.02)) * (1 + 0.004 * _slow(dice, n, 4))
    breath = 1 + 0.15 * _slow(dice, n, 6)
    out = np.zeros(n)
    for tone in tones:
        out += dice.uniform(0.5, 1.0) * _tone(tone * bend, dice.uniform(0, 6))
        out += 0.1 * _tone(2 * tone * bend, dice.uniform(0, 6))
    return _with_breath(dice, out * breath * _fade(n, dice.uniform(0.008, 0.04), dice.uniform(0.02, 0.08)))


def pea(dice: Generator) -> Samples:
    """Return a whistle with a pea: two tones, trilled 40 to 90 times a second."""
    t = _times(blast_length(dice))
    return _pea(dice, t, 2_110.0 * dice.uniform(0.88, 1.5))


def _pea(dice: Generator, t: Samples, low: float) -> Samples:
    n = len(t)
    bend = (1 - 0.015 * np.exp(-t / 0.03)) * (1 + 0.004 * _slow(dice, n, 4))
    trill = 1 + dice.uniform(0.4, 0.8) * _tone(dice.uniform(40, 90) * (1 + 0.05 * _slow(dice, n, 8)))
    out = _tone(low * bend) + dice.uniform(0.4, 1.0) * _tone(low * 1.038 * bend, 1.0)
    out = (out + 0.15 * _tone(2 * low * bend)) * trill
    return _with_breath(dice, out * _fade(n, dice.uniform(0.01, 0.05), dice.uniform(0.02, 0.08)))


def two_tone(dice: Generator) -> Samples:
    """Return a small pea-less whistle of two tones, lower than the usual: never among the sounds of a fit."""
    t = _times(blast_length(dice))
    return _pealess(dice, t, dice.uniform(0.9, 1.1) * np.array([2_530.0, 2_670.0]))


def tweet(dice: Generator) -> Samples:
    """Return a very short blast, 0.1 to 0.25 s, of a whistle with or without a pea."""
    t = _times(dice.uniform(0.1, 0.25))
    if dice.uniform() < 0.5:
        return _pealess(dice, t, dice.uniform(0.88, 1.15) * np.array([3_420.0, 3_670.0, 3_810.0]))
    return _pea(dice, t, 2_110.0 * dice.uniform(0.88, 1.5))


def _with_breath(dice: Generator, out: Samples) -> Samples:
    return np.asarray(out + 0.05 * dice.normal(size=len(out)) * np.abs(out).max())


# -- everything else --------------------------------------------------------------------------------------------


def shout(dice: Generator) -> Samples:
    """Return a shout: a voice that glides, with two or three places where it rings."""
    t = _times(dice.uniform(0.15, 0.8))
    n = len(t)
    pitch = dice.uniform(130, 480) * np.exp(
        np.linspace(0, dice.uniform(-0.4, 0.3), n) + 0.02 * _slow(dice, n, 6)
    )
    rings = (dice.uniform(450, 1_000), dice.uniform(1_000, 2_400), dice.uniform(2_400, 3_800))
    share = (1.0, dice.uniform(0.3, 0.9), dice.uniform(0.1, 0.5))

    def loud(hertz: Samples) -> Samples:
        found = sum(s * np.exp(-(((hertz - r) / 220) ** 2)) for s, r in zip(share, rings, strict=True))
        return np.asarray(found + 0.05 * (500 / (500 + hertz)))

    return _voice(pitch, loud) * _fade(n, 0.03, 0.12) + 0.02 * dice.normal(size=n)


def squeak(dice: Generator) -> Samples:
    """Return the squeak of a shoe: one tone that glides, mostly short, often with its harmonics."""
    seconds = float(np.clip(np.exp(dice.normal(np.log(0.14), 0.5)), 0.03, 0.45))
    t = _times(seconds)
    n, start = len(t), float(np.exp(dice.uniform(np.log(1_500), np.log(5_000))))
    glide = np.exp(dice.normal(0, 0.16) * t / seconds + dice.normal(0, 0.05) * np.sin(np.pi * t / seconds))
    pitch = start * glide * (1 + 0.006 * _slow(dice, n, 60))
    out = _tone(pitch)
    for number in range(2, 5):
        out += dice.uniform(0, 0.8) / number * _tone(number * pitch)
    rough = 1 + dice.uniform(0, 0.8) * _slow(dice, n, 90)
    return out * rough * _fade(n, 0.01, dice.uniform(0.01, 0.06)) + 0.05 * dice.normal(size=n)


def bounce(dice: Generator) -> Samples:
    """Return a ball on the floor: a thump with a short ring and a click."""
    t = _times(0.2)
    ring = np.exp(-t / 0.04) * np.sin(2 * np.pi * dice.uniform(70, 130) * t)
    air = 0.2 * np.exp(-t / 0.05) * np.sin(2 * np.pi * dice.uniform(900, 1_100) * t)
    return ring + air + 0.3 * np.exp(-t / 0.004) * dice.normal(size=len(t))


def horn(dice: Generator) -> Samples:
    """Return the horn of the clock: low, steady, rich in harmonics, one to two and a half seconds."""
    t = _times(dice.uniform(1.0, 2.5))
    low = dice.uniform(180, 460)
    tilt = dice.uniform(500, 1_500)
    out = sum(
        _voice(np.full(len(t), low * part), lambda hertz: 1 / (1 + (hertz / tilt) ** 2))
        for part in (1.0, 1.26)
    )
    return np.asarray(out) * _fade(len(t), 0.03, 0.1)


def scream(dice: Generator) -> Samples:
    """Return a scream: a high voice that wavers, with harmonics among the whistles' pitches."""
    t = _times(dice.uniform(0.3, 1.4))
    n, shake = len(t), dice.uniform(4, 8)
    pitch = dice.uniform(600, 1_700) * np.exp(
        np.linspace(0, dice.uniform(-0.25, 0.15), n)
        + dice.uniform(0.005, 0.03) * np.sin(2 * np.pi * shake * t)
        + 0.01 * _slow(dice, n, 10)
    )
    tilt = dice.uniform(900, 2_600)
    out = _voice(pitch, lambda hertz: 1 / (1 + (hertz / tilt) ** 2))
    return out * _fade(n, 0.06, 0.15) + 0.05 * dice.normal(size=n)


def clap(dice: Generator) -> Samples:
    """Return one clap: a very short burst around 1 to 3 kHz."""
    t = _times(0.06)
    ring = np.sin(2 * np.pi * dice.uniform(900, 2_600) * t + 3 * dice.normal(size=len(t)))
    return ring * np.exp(-t / dice.uniform(0.004, 0.012))


def music(dice: Generator) -> Samples:
    """Return half a dozen seconds of music: a tune with harmonics, a bass and a drum."""
    t = _times(dice.uniform(5, 9))
    out, beat = np.zeros(len(t)), float(dice.uniform(0.14, 0.45))
    scale = np.array([0, 2, 4, 5, 7, 9, 11, 12])
    root, tilt = dice.uniform(180, 900), dice.uniform(500, 3_500)
    for at in np.arange(0, t[-1] - 2 * beat, beat):
        first, length = int(at * RATE), int(beat * dice.choice([0.8, 0.95, 1.9]) * RATE)
        for step in dice.choice(scale, size=dice.integers(1, 4)):
            pitch = np.full(length, root * 2 ** (step / 12)) * (
                1 + 0.003 * np.sin(np.arange(length) / RATE * 35)
            )
            note = _voice(pitch, lambda hertz: 1 / (1 + (hertz / tilt) ** 2), 6_000)
            out[first : first + length] += note * np.exp(-np.arange(length) / RATE / dice.uniform(0.1, 1.0))
        hit = int(0.05 * RATE)
        out[first : first + hit] += dice.uniform(0, 3) * dice.normal(size=hit) * np.exp(-np.arange(hit) / 500)
    return out * _fade(len(t), 0.2, 0.4)


def scrape(dice: Generator) -> Samples:
    """Return a chair pushed over the floor: a rough buzz whose pitch jumps; never among the sounds of a fit."""
    t = _times(dice.uniform(0.2, 0.9))
    n = len(t)
    jumps = np.repeat(dice.uniform(0.8, 1.25, size=12), -(-n // 12))[:n]
    pitch = dice.uniform(240, 1_300) * jumps * (1 + 0.01 * _slow(dice, n, 80))
    tilt = dice.uniform(1_200, 3_500)
    out = _voice(pitch, lambda hertz: 1 / (1 + (hertz / tilt) ** 2))
    return out * (1 + 0.4 * _slow(dice, n, 40)) * _fade(n, 0.02, 0.06) + 0.1 * dice.normal(size=n)


WHISTLES: dict[str, Callable[[Generator], Samples]] = {
    "pealess": pealess,
    "pea": pea,
    "two_tone": two_tone,
    "tweet": tweet,
}
NOISES: dict[str, Callable[[Generator], Samples]] = {
    "shout": shout,
    "squeak": squeak,
    "bounce": bounce,
    "horn": horn,
    "scream": scream,
    "clap": clap,
    "music": music,
    "scrape": scrape,
}
