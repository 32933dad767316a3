"""Fits the weights of whistles on invented gyms only, with the sign of every weight fixed, and says what came of it.

Never fits on a recording: recordings are for testing. The seeds, one build of whistle and one kind of noise that the
tests use are never among these scenes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tenbetween.dev.gym_sound import Blast, Gym, as_aac, heard
from tenbetween.film.spectra import pages
from tenbetween.film.whistle_score import KNEES, PAIRS, Weights, chosen, parts, scores
from tenbetween.film.whistles import FEATURES, Candidate, candidates

SCENES, SECONDS, FIRST_SEED = 70, 90.0, 40_000
LEVELS_DB = (-4.0, 0.0, 3.0, 5.0, 7.0, 10.0, 14.0, 20.0)
MUSIC_EACH_SECOND = 0.05
QUIET_SCENES, QUIET_DB = 10, -25.0
"""Nearly empty halls, where short blasts are heard clearly."""
MUSIC_SCENES, LOUD_MUSIC_EACH_SECOND = 14, 0.2
"""Nearly empty halls with music and no whistle at all."""
ROUNDS = 4
SMALL = 0.0004
"""How strongly small weights are preferred."""
QUIET_NOISES = {"shout": 0.15, "squeak": 0.35, "bounce": 1.5, "clap": 0.1}
FOR_WHISTLES = 1.25
"""How much a missed whistle weighs against a false one in the fit."""
Say = Callable[[str], object]


@dataclass(frozen=True, slots=True)
class Scene:
    """What was heard in one gym: the candidates, and the truth."""

    gym: Gym
    found: tuple[Candidate, ...]
    blasts: tuple[Blast, ...]


def gyms() -> Iterator[tuple[int, Gym]]:
    """Yield the seed and the gym of every scene of the fit: every level, every third with music; then nearly empty halls."""
    for number in range(SCENES):
        gym = Gym(seconds=SECONDS, snr_db=LEVELS_DB[number % len(LEVELS_DB)])
        yield FIRST_SEED + number, gym.also(music=MUSIC_EACH_SECOND) if number % 3 == 2 else gym
    for number in range(QUIET_SCENES):
        level = (20.0, 30.0)[number % 2]
        builds = ("pealess", "pea", "tweet", "tweet")
        yield FIRST_SEED + SCENES + number, Gym(SECONDS, level, builds, 10.0, QUIET_NOISES, QUIET_DB)
    for number in range(MUSIC_SCENES):
        only = {"music": LOUD_MUSIC_EACH_SECOND}
        seed = FIRST_SEED + SCENES + QUIET_SCENES + number
        yield seed, Gym(SECONDS, blasts_per_minute=0, each_second=only, crowd_db=QUIET_DB)


def scene_of(gym: Gym, seed: int) -> Scene:
    """Return a gym as the program hears it: coded as AAC at 64 kbit/s, decoded, looked through for tones."""
    made = heard(gym, seed)
    return Scene(gym, tuple(listened(as_aac(made.samples))), made.blasts)


def listened(film: bytes) -> Iterator[Candidate]:
    """Yield the candidates of a film given as bytes."""
    import tempfile

    from tenbetween.film.sound_in import sound

    with tempfile.TemporaryDirectory(prefix="tenbetween-fit-") as folder:
        file = Path(folder, "gym.m4a")
        file.write_bytes(film)
        # Kept as 16 bits, so that scenes put by for another fit give the very same weights.
        whole = (np.concatenate(list(sound(file))) * 32_767).astype(np.int16)
        samples = np.asarray(whole.astype(np.float32) / 32_767, dtype=np.float32)
        for page in pages([samples]):
            yield from candidates(page)


# -- the fit ---------------------------------------------------------------------------------------------------


def fit(scenes: Sequence[Scene]) -> Weights:
    """Return the weights that tell the whistles of these scenes from everything else.

    A whistle is several tones; which of its candidates stands for it is chosen anew each round: the likeliest.
    """
    tables = [parts(np.stack([one.features for one in scene.found])) for scene in scenes]
    found = Weights(0.0, {}, {})
    guess: list[NDArray[np.float64]] = [np.asarray([_overlap(s, c) for c in s.found]) for s in scenes]
    for _ in range(ROUNDS):
        labels = [_labels(scene, likely) for scene, likely in zip(scenes, guess, strict=True)]
        found = _weighed(np.concatenate(tables), np.concatenate(labels))
        guess = [scores(np.stack([one.features for one in scene.found]), found) for scene in scenes]
    return found


def _overlap(scene: Scene, one: Candidate) -> float:
    """Return how well a candidate covers some whistle, times how clear it is."""
    return max((_shared(blast, one) for blast in scene.blasts), default=0.0) * float(one.features[3])


def _shared(blast: Blast, one: Candidate) -> float:
    both = min(blast.t_end, one.t_end) - max(blast.t, one.t)
    return max(0.0, both / (max(blast.t_end, one.t_end) - min(blast.t, one.t)))


def _labels(scene: Scene, likely: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return 1 for the candidate that stands for a whistle, -1 for what is none, 0 for what sounds along with one."""
    out = np.full(len(scene.found), -1.0)
    for blast in scene.blasts:
        shared = np.array([_shared(blast, one) for one in scene.found])
        touched = [
            i for i, one in enumerate(scene.found) if one.t <= blast.t_end + 0.3 and one.t_end >= blast.t
        ]
        out[touched] = 0.0
        good = np.flatnonzero(shared > 0.4)
        if len(good):
            out[good[np.argmax(likely[good] + 1e-6 * shared[good])]] = 1.0
    return out


def _weighed(table: NDArray[np.float64], labels: NDArray[np.float64]) -> Weights:
    from scipy.optimize import minimize

    table, labels = table[labels != 0], labels[labels != 0]
    scale = np.ones(table.shape[1])
    scaled = table
    share = np.where(labels > 0, FOR_WHISTLES, 1.0)

    def loss(given: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        inner = labels * (given[0] + scaled @ given[1:])
        pull = -labels * share / (1 + np.exp(np.clip(inner, -40, 40)))
        slope = np.concatenate(([pull.sum()], scaled.T @ pull)) / len(labels)
        slope[1:] += 2 * SMALL * given[1:] / 10
        cost = float(np.sum(share * np.logaddexp(0, -inner)) / len(labels))
        return cost + SMALL * float(given[1:] @ given[1:]) / 10, slope

    bounds = [(None, None), *((0, None) for _ in scale)]
    done = minimize(
        loss, np.zeros(len(scale) + 1), jac=True, bounds=bounds, method="L-BFGS-B", options={"maxiter": 2000}
    )
    return _named(float(done.x[0]), done.x[1:] / scale)


def _named(constant: float, flat: NDArray[np.float64]) -> Weights:
    left = iter(round(one, 4) + 0.0 for one in flat.tolist())
    alone = {name: tuple(next(left) for _ in KNEES) for name in FEATURES}
    together: dict[str, dict[str, float]] = {}
    for one, two in PAIRS:
        weight = next(left)
        if weight:
            together.setdefault(one, {})[two] = weight
    return Weights(round(constant, 4), alone, together)


# -- what came of it -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Tally:
    """Counts of found and false whistles at one threshold."""

    blasts: int = 0
    found: int = 0
    false: int = 0
    hours: float = 0.0
    early_or_late: int = 0
    """Found whistles whose beginning is told more than a quarter of a second wrong."""

    def __add__(self, other: Tally) -> Tally:
        return Tally(
            self.blasts + other.blasts,
            self.found + other.found,
            self.false + other.false,
            self.hours + other.hours,
            self.early_or_late + other.early_or_late,
        )

    @property
    def recall(self) -> float:
        """The share of whistles that were found."""
        return self.found / max(1, self.blasts)

    @property
    def false_per_hour(self) -> float:
        """False ones in an hour."""
        return self.false / self.hours

    @property
    def on_time(self) -> float:
        """The share of those found whose beginning is right within a quarter of a second."""
        return 1 - self.early_or_late / max(1, self.found)


def tally(
    proposals: Sequence[tuple[float, float, float]], blasts: Sequence[Blast], seconds: float, threshold: float
) -> Tally:
    """Return the counts over proposals (from, to, confidence) that reach a threshold.

    A whistle is found when some proposal overlaps it, give or take 0.15 s; a proposal that overlaps none is false.
    """
    told = [one for one in proposals if one[2] >= threshold]
    hits = [[one for one in told if _meets(blast, one)] for blast in blasts]
    late = sum(
        bool(hit) and min(abs(one[0] - b.t) for one in hit) > 0.25
        for hit, b in zip(hits, blasts, strict=True)
    )
    false = sum(not any(_meets(blast, one) for blast in blasts) for one in told)
    return Tally(len(blasts), sum(map(bool, hits)), false, seconds / 3_600, late)


def _meets(blast: Blast, one: tuple[float, float, float]) -> bool:
    return one[0] <= blast.t_end + 0.15 and one[1] >= blast.t - 0.15


def tally_of(scenes: Sequence[Scene], by: Weights, threshold: float) -> Tally:
    """Return the counts of scenes under weights."""
    total = Tally()
    for scene in scenes:
        likely = scores(np.stack([one.features for one in scene.found]), by)
        told = [(one.t, one.t_end, one.confidence) for one in chosen(list(scene.found), likely)]
        total += tally(told, scene.blasts, scene.gym.seconds, threshold)
    return total


# -- the command -----------------------------------------------------------------------------------------------

HEAD = (
    "# How likely a tone is a whistle: what `python -m tenbetween.dev whistles --write` fitted. Not to be edited by hand.",
    "#",
    "# Fitted on {scenes} invented scenes of {seconds:.0f} s (seeds from {seed}): {gyms} gyms, every third with music,",
    "# whistles from {low:g} to {high:g} dB over the crowd; {quiet} nearly empty halls with short blasts; {music} with music and",
    "# no whistle. Coded as AAC at 64 kbit/s; by logistic loss, every weight held at 0 or above. No recording was used,",
    "# nor the whistle of two tones and the chair pushed over the floor that the tests add. On these same scenes:",
    "#   {half}",
    "#   {third}",
    "# `alone`: a feature above each of its three knees; `together`: the product of two. Those not named are 0.",
)


def whistle_fit(*, write: bool, say: Say) -> int:
    """Fit, say what came of it on the scenes of the fit, and with ``write`` keep the weights; returns 0."""
    scenes = []
    of = SCENES + QUIET_SCENES + MUSIC_SCENES
    for number, (seed, gym) in enumerate(gyms(), 1):
        scenes.append(scene_of(gym, seed))
        say(f"scene {number} of {of}: {gym.snr_db:g} dB, {len(scenes[-1].found)} tones")
    found = fit(scenes)
    text = as_toml(found, scenes)
    say(text)
    if write:
        place = Path(str(resources.files("tenbetween.film"))) / "whistle_weights.toml"
        place.write_text(text, encoding="utf-8")
        say(f"kept in {place.name}")
    return 0


def as_toml(found: Weights, scenes: Sequence[Scene]) -> str:
    """Return weights as the text that is kept, with how they came about."""
    head = "\n".join(HEAD).format(
        scenes=len(scenes),
        gyms=SCENES,
        quiet=QUIET_SCENES,
        music=MUSIC_SCENES,
        seconds=SECONDS,
        seed=FIRST_SEED,
        low=LEVELS_DB[0],
        high=LEVELS_DB[-1],
        half=_told(tally_of(scenes, found, 0.5), 0.5),
        third=_told(tally_of(scenes, found, 0.3), 0.3),
    )
    lines = [head, f"constant = {found.constant}", "", "[alone]"]
    lines += [f"{name} = {list(part)}" for name, part in found.alone.items()]
    for one, others in found.together.items():
        lines += ["", f"[together.{one}]", *(f"{two} = {weight}" for two, weight in others.items())]
    return "\n".join(lines) + "\n"


def _told(one: Tally, threshold: float) -> str:
    return (
        f"from {threshold}: {one.found} of {one.blasts} found, {one.false_per_hour:.0f} false an hour, "
        f"{100 * one.on_time:.0f} % begin right within 0.25 s"
    )
