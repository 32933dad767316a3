"""Measures answers: one from the command line, twenty thousand with cold caches, and the counted space.

Each round runs in a process of its own, so that nothing is remembered from the round before.
"""

from __future__ import annotations

import json
import random
import statistics
import subprocess
import sys
from collections.abc import Iterator
from itertools import islice
from typing import Any

from msgspec import structs

from tenbetween.dev.figures import Figure, Measured, in_turn, processor_seconds, seconds
from tenbetween.situation import PointUm, Ruling, Situation

LINE = "us-hs-2025 / right / out of bounds 58,0 / same / lead table umpire"
EDITION = "us-hs-2025"
MANY = 20_000
SEED = 2
"""The same situations on every machine."""


def one_answer() -> Measured:
    """Measure one answer from the command line, from nothing, against a bare start of the interpreter."""
    answer = (sys.executable, "-m", "tenbetween", "answer", LINE)
    bare = (sys.executable, "-c", "pass")
    value, floor = in_turn(9, lambda: seconds(lambda: run(answer)), lambda: seconds(lambda: run(bare)))
    return Measured(
        (
            Figure(
                "one answer from the command line",
                value,
                "s",
                0.4,
                floor_name="bare interpreter",
                floor=floor,
            ),
        )
    )


def run(words: tuple[str, ...]) -> str:
    """Return what a program writes; a program that fails fails the run."""
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout


def elsewhere(situation: Situation, dice: random.Random, length: int, width: int) -> Situation:
    """Return the situation moved to a place of its own: along its boundary, or anywhere inside."""
    if situation.at is None:
        return situation
    x, y = situation.at
    anywhere: PointUm = (dice.randrange(1, length), dice.randrange(1, width))
    at = (x, anywhere[1]) if x in (0, length) else (anywhere[0], y) if y in (0, width) else anywhere
    return structs.replace(situation, at=at)


def different(number: int, edition: str = EDITION) -> tuple[Situation, ...]:
    """Return so many different situations, spread over the whole counted space, each at a place of its own.

    >>> len(set(different(500)))
    500
    """
    from tenbetween.book import load_book
    from tenbetween.book.space import first_stage, variants
    from tenbetween.court import court_of

    book = load_book(edition)
    court, dice = court_of(book.court_kind), random.Random(SEED)  # noqa: S311
    everything = [s for first, after in first_stage(book) if not after for s in variants(first)]
    dice.shuffle(everything)
    moved = (elsewhere(s, dice, court.length, court.width) for s in everything)
    return tuple(islice(_once(moved), number))


def _once(situations: Iterator[Situation]) -> Iterator[Situation]:
    seen: set[Situation] = set()
    for situation in situations:
        if situation not in seen:
            seen.add(situation)
            yield situation


def cold_round() -> dict[str, float]:
    """Answer many situations in this fresh process, and build as many bare values as a floor; seconds by name."""
    from tenbetween.book import decide, load_book
    from tenbetween.book.index import tables_of

    book, asked = load_book(EDITION), different(MANY)
    as_given = [structs.asdict(situation) for situation in asked]
    tables_of.cache_clear()
    given: list[Ruling] = []
    answered = processor_seconds(lambda: given.extend([decide(book, situation) for situation in asked]))
    if not all(ruling.reasons or ruling.not_covered for ruling in given):
        raise ValueError("an answer came without its reasons; there is nothing to measure")
    return {
        "answered": answered,
        "built": processor_seconds(lambda: [Situation(**fields) for fields in as_given]),
    }


def counted_round(every_setting: bool) -> dict[str, float]:
    """Count an edition in this fresh process, and only walk through its situations as a floor; seconds by name."""
    from tenbetween.book import load_book
    from tenbetween.book.check import check
    from tenbetween.book.space import first_stage, variants

    book = load_book(EDITION)
    counted = processor_seconds(lambda: check(book, each_setting=every_setting))
    walked = processor_seconds(lambda: sum(1 for s, _ in first_stage(book) for _ in variants(s)))
    return {"counted": counted, "walked": walked}


ROUNDS: dict[str, Any] = {
    "cold": cold_round,
    "defaults": lambda: counted_round(False),
    "settings": lambda: counted_round(True),
}


def in_a_process(name: str, times: int) -> dict[str, float]:
    """Return the medians of rounds, each in a process of its own."""
    words = (sys.executable, "-c", f"from tenbetween.dev.answering import tell; tell({name!r})")
    told = [json.loads(run(words)) for _ in range(times)]
    return {key: statistics.median(one[key] for one in told) for key in told[0]}


def tell(name: str) -> None:
    """Write one round as JSON, for the process that asked."""
    sys.stdout.write(json.dumps(ROUNDS[name]()))


def many_answers() -> Measured:
    """Measure different situations a second with full reasons and cold caches, against building bare values."""
    found = in_a_process("cold", 5)
    value, floor = MANY / found["answered"], MANY / found["built"]
    name = f"{MANY:,} different situations answered with reasons, cold"
    floor_name = "as many bare situations built"
    return Measured((Figure(name, value, "a second", 20_000, True, floor_name, floor),))


def counted_space() -> Measured:
    """Measure the count of one edition at the defaults, and with every other value of one setting at a time."""
    defaults, settings = in_a_process("defaults", 5), in_a_process("settings", 3)
    floor_name = "walking through its situations, unanswered"
    return Measured(
        (
            Figure(
                f"counted space of {EDITION} at the defaults",
                defaults["counted"], "s", 10, floor_name=floor_name, floor=defaults["walked"],
            ),
            Figure(
                "the same, also one setting at a time",
                settings["counted"], "s", 60, floor_name=floor_name, floor=settings["walked"],
            ),
        )
    )  # fmt: skip
