"""A court room for the tests of the screens: the real one, over a workbench folder of its own."""

from __future__ import annotations

import os
import tempfile
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from tenbetween.desk.court_room import CourtRoom
from tenbetween.store import open_workbench

OPEN = ExitStack()
"""Workbenches stay open as long as the tests run."""
NOON = datetime(2025, 11, 11, 12, tzinfo=UTC)


def court_room(films: Any) -> CourtRoom:
    folder = Path(OPEN.enter_context(tempfile.TemporaryDirectory(prefix="courts-")), "bench")
    store = OPEN.enter_context(
        open_workbench(folder, now=lambda: NOON, entropy=os.urandom, by="Wendell Thackrow")
    )
    return CourtRoom(films, store, folder, lambda: np.random.default_rng(5))
