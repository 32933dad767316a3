"""Disks that fill up and films that are pulled away, for the tests."""

from __future__ import annotations

import os
import resource
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def files_no_larger_than(count: int) -> Iterator[None]:
    """Have the kernel refuse every byte of a file beyond so many, as a full disk does."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (count, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def pull_away(path: Path) -> None:
    """End a file that is being read where its first tenth ends: whoever reads on finds nothing."""
    os.truncate(path, path.stat().st_size // 10)


def left_in(folder: Path) -> list[str]:
    """Return the names of what lies in a folder."""
    return sorted(one.name for one in folder.iterdir())
