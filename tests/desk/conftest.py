"""A real workbench in a folder of its own, with the demo layers, a clock that stands still and named chance."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tenbetween.desk.workbench import Workbench
from tenbetween.store import open_workbench

DEMO_LAYERS = Path(__file__).parents[2] / "src/tenbetween/demo/layers"
USUAL = "us-hs-2025 / right / out of bounds 58,0 / same / lead table umpire"
OPEN_LINE = "us-hs-2025 + k-24 / right / out of bounds 76,50 / same / lead table umpire"


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    """A fresh workbench; every look at the clock is a second later."""
    ticks = itertools.count()

    def now() -> datetime:
        return datetime(2025, 11, 11, 21, 52, tzinfo=UTC) + timedelta(seconds=next(ticks))

    numbers = itertools.count(1)
    store = open_workbench(
        tmp_path / "bench", now=now, entropy=lambda n: next(numbers).to_bytes(n, "big"), by="Wendell Thackrow"
    )
    with store:
        for file in sorted(DEMO_LAYERS.glob("*.toml")):
            store.save("layer", {"text": file.read_text("utf-8")}, id=file.stem)
        yield Workbench(store, now)
