"""Adds up a walked game: what each person did in each period, the switches, and what is left to ask.

Counts and feet only; nothing here says how well anybody did anything.
"""

from __future__ import annotations

from collections.abc import Iterable

from tenbetween.crew.values import PERSONS, Question, Share, Walked
from tenbetween.situation import Person, Ruling

ASKED_PARTS = frozenset(
    ("restart", "spot", "may_run_end_line", "roles_after", "administers", "lead_side_after", "delivery")
)
"""Parts of which a disputed provision is worth a question; the rest is for a quieter hour."""


def shares(rows: Iterable[Walked]) -> tuple[Share, ...]:
    """Return what each person did in each period: restarts, balls handled, feet at least run."""
    listed = list(rows)
    periods = sorted({row.after.period for row in listed})
    return tuple(_share(listed, period, person) for period in periods for person in PERSONS)


def _share(rows: list[Walked], period: int, person: Person) -> Share:
    disposals = [d for row in rows if row.after.period == period for d in row.disposals]
    handled = sum(d.handled_by == person for d in disposals)
    ran = sum(d.ran_ft.get(person, 0.0) for d in disposals)
    return Share(period, person, len(disposals), handled, round(ran, 1))


def switches(rows: Iterable[Walked]) -> tuple[tuple[int, int], ...]:
    """Return how often the crew switched in each period."""
    found: dict[int, int] = {}
    for row in rows:
        switched = sum(d.switch is True for d in row.disposals)
        found[row.after.period] = found.get(row.after.period, 0) + switched
    return tuple(sorted(found.items()))


def questions(rows: Iterable[Walked]) -> tuple[Question, ...]:
    """Return what to ask an interpreter: parts nothing is entered for, and disputed provisions in use."""
    found: dict[tuple[str, str], list[int]] = {}
    for row in rows:
        for about, why in dict.fromkeys(_asked(row.ruling)):
            found.setdefault((about, why), []).append(row.stoppage.row)
    return tuple(Question(about, why, tuple(at)) for (about, why), at in sorted(found.items()))


def _asked(ruling: Ruling) -> list[tuple[str, str]]:
    follow = ruling.after_free_throws
    gaps = [(gap.part, gap.why) for gap in ruling.not_covered]
    disputed = [
        (reason.provision, "taught in more than one way; the answer here rests on it")
        for reason in ruling.reasons
        if reason.status == "disputed" and reason.decides in ASKED_PARTS
    ]
    return gaps + disputed + (_asked(follow) if follow else [])
