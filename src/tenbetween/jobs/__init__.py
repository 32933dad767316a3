"""Long work beside the pages: a queue that wakes workers, and workers that do what rows say.

The row is the truth and the queue only a bell: what a killed worker leaves behind is found in its row and
taken up again. Knows errors and nothing else of the house: who keeps the rows and what the work is are
handed in.
"""

from __future__ import annotations

from tenbetween.jobs.beside import Beside
from tenbetween.jobs.keeper import (
    WORK,
    Cancelled,
    Function,
    Functions,
    NotHereError,
    Row,
    RowKeeper,
    Told,
)
from tenbetween.jobs.queue import Queue, missing_parts, open_queue
from tenbetween.jobs.running import keep_working, worker_name
from tenbetween.jobs.worker import Worker

__all__ = [
    "WORK",
    "Beside",
    "Cancelled",
    "Function",
    "Functions",
    "NotHereError",
    "Queue",
    "Row",
    "RowKeeper",
    "Told",
    "Worker",
    "keep_working",
    "missing_parts",
    "open_queue",
    "worker_name",
]
