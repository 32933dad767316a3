"""A measured figure, its floor from the same run, and the table they are written to. Measures nothing itself."""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Callable, Iterable

from msgspec import Struct


class Figure(Struct, frozen=True):
    """One measured figure: what, how much, against which floor of the same run, and what was aimed at."""

    name: str
    value: float
    unit: str
    aim: float
    more_is_better: bool = False
    floor_name: str = ""
    floor: float = 0.0
    """In the unit of the value; 0 when nothing can serve as a floor."""

    @property
    def met(self) -> bool:
        """Tell whether the aim is met.

        >>> Figure("a", 3.0, "s", 4.0).met, Figure("b", 3.0, "a second", 4.0, more_is_better=True).met
        (True, False)
        """
        return self.value >= self.aim if self.more_is_better else self.value <= self.aim

    @property
    def ratio(self) -> str:
        """Return how many times the floor it takes.

        >>> Figure("a", 3.0, "s", 4.0, floor_name="bare", floor=1.5).ratio
        '2.0'
        """
        if not self.floor:
            return ""
        return f"{self.floor / self.value if self.more_is_better else self.value / self.floor:.1f}"


class Measured(Struct, frozen=True):
    """What one part of the run brought: figures, or one sentence why there are none."""

    figures: tuple[Figure, ...] = ()
    skipped: str = ""
    part: str = ""
    """The word after ``--only`` that measures just this."""


def seconds(act: Callable[[], object]) -> float:
    """Return how long an act takes, in seconds."""
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def processor_seconds(act: Callable[[], object]) -> float:
    """Return how long the processor worked on an act in this process, in seconds; other programs do not count."""
    began = time.process_time()
    act()
    return time.process_time() - began


def in_turn(times: int, *acts: Callable[[], float]) -> tuple[float, ...]:
    """Return the median of each act over so many rounds; the acts take turns, so that both meet the same machine.

    >>> in_turn(3, lambda: 1.0, lambda: 2.0)
    (1.0, 2.0)
    """
    rounds = [[act() for act in acts] for _ in range(times)]
    return tuple(statistics.median(column) for column in zip(*rounds, strict=True))


def amount(value: float, unit: str) -> str:
    """Return a value with its unit, to three digits.

    >>> amount(0.20461, "s"), amount(48123.4, "a second"), amount(0, "")
    ('0.205 s', '48,100 a second', '')
    """
    if not value:
        return ""
    digits = f"{float(f'{value:.3g}'):,.10g}"
    return f"{digits} {unit}".strip()


HEAD = "| figure | value | floor | times the floor | aim | met | alone, with |\n|---|--:|---|--:|--:|---|---|"


def row(figure: Figure, part: str) -> str:
    """Return a figure as a row of the table.

    >>> row(Figure("one answer", 0.2, "s", 0.4, floor_name="bare start", floor=0.05), "one answer")
    '| one answer | 0.2 s | bare start: 0.05 s | 4.0 | under 0.4 s | yes | `bench --only "one answer"` |'
    """
    floor = f"{figure.floor_name}: {amount(figure.floor, figure.unit)}" if figure.floor else ""
    aim = f"{'over' if figure.more_is_better else 'under'} {amount(figure.aim, figure.unit)}"
    met = "yes" if figure.met else "**no**"
    value, alone = amount(figure.value, figure.unit), f'`bench --only "{part}"`'
    return f"| {figure.name} | {value} | {floor} | {figure.ratio} | {aim} | {met} | {alone} |"


def page(parts: Iterable[Measured]) -> str:
    """Return docs/figures.md."""
    found = tuple(parts)
    rows = [row(figure, part.part) for part in found for figure in part.figures]
    skipped = [f"- {part.skipped}" for part in found if part.skipped]
    cores = os.cpu_count() or 1
    lines = [
        "# Figures",
        "",
        f"Written by `make bench` (`python -m tenbetween.dev bench`) on {cores} cores; never by hand. Each value is the",
        "median of several rounds; the floor was measured in the same run, in turn with the value. Many answers and the",
        "counted space are in seconds of the processor, everything else in seconds of the clock. On another machine",
        "compare how many times the floor it takes. Run it while nothing else runs.",
        "",
        HEAD,
        *rows,
    ]
    return "\n".join([*lines, *(["", "Not measured:", "", *skipped] if skipped else [])]) + "\n"
