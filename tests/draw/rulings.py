"""Many situations and their answers for the drawing tests: all causes, baskets, sides and editions."""

from __future__ import annotations

import random
from functools import lru_cache
from typing import Any

from tenbetween.book import decide, load_book
from tenbetween.situation import CAUSES, Floor, Ruling, Situation
from tenbetween.units import FOOT

EDITIONS = ("us-hs-2022", "us-hs-2023", "us-hs-2025", "fiba-2po")


def _place(dice: random.Random, long: int) -> tuple[int, int]:
    x, y = dice.randint(0, long), dice.randint(0, 49)
    on = dice.choice(("in", "in", "left", "right", "table", "opposite"))
    at = {"in": (x, y), "left": (0, y), "right": (long, y), "table": (x, 0), "opposite": (x, 49)}[on]
    return at[0] * FOOT, at[1] * FOOT


def _situation(dice: random.Random) -> Situation:
    edition = dice.choice(EDITIONS)
    long = 84 if edition == "fiba-2po" else dice.choice((84, 84, 94))
    given: dict[str, Any] = {
        "edition": edition,
        "attacking": dice.choice(("left", "right")),
        "stopped_by": dice.choice(CAUSES),
        "lead_side": dice.choice(("table", "opposite")),
        "lead_person": dice.choice((None, "referee", "umpire")),
        "ball_to": dice.choice(("same", "other")),
        "called_by": dice.choice((None, "lead", "trail")),
        "bonus": dice.random() < 0.3,
        "pressure": dice.random() < 0.2,
        "at": _place(dice, long),
    }
    if edition != "fiba-2po":
        given["floor"] = Floor(long * FOOT, 49 * FOOT)
    if given["stopped_by"] == "out_of_bounds":
        x = dice.randint(0, long) * FOOT
        given["at"] = dice.choice(((x, 0), (x, 49 * FOOT)))
        if edition == "fiba-2po":
            given["at"] = (x, 0)
    if dice.random() < 0.1:
        given["pending"] = dice.choice(("spot", "run_end_line"))
    return Situation(**given)


@lru_cache(maxsize=4)
def many(count: int = 150, seed: int = 7) -> tuple[Ruling, ...]:
    """Return answers of the book to situations drawn from a fixed seed."""
    dice = random.Random(seed)
    return tuple(decide(load_book(s.edition), s) for s in (_situation(dice) for _ in range(count)))
