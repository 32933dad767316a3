"""What the film room asks of film files: measured once, frames listed, one picture taken.

The work is the film room's below (PyAV, OpenCV), which is loaded only when a film is really opened; tests and
machines without it hand in their own. Knows no mark and keeps nothing but the list of frames of the last films.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from numpy.typing import NDArray

Json = dict[str, Any]


class Footage(Protocol):
    """Reads film files; every call raises ``TenbetweenError`` with directions on a file that is none."""

    def fingerprint(self, path: Path) -> str:
        """Return the name of a file's content, wherever it lies."""

    def probe(self, path: Path) -> Json:
        """Return a part as ``Film.parts`` keeps it, with ``warnings`` and the ``end_pts`` of its last frame."""

    def pts(self, path: Path) -> NDArray[Any]:
        """Return the time stamp of every frame, in order."""

    def still(self, path: Path, pts: int, height: int) -> bytes:
        """Return one frame as JPEG, ``height`` dots high."""

    def copy_bytes(self, path: Path) -> int:
        """Return how much a copy for the browser takes at most."""


class FilmFiles:
    """Film files as they lie on this machine."""

    def fingerprint(self, path: Path) -> str:
        """Return the name of a file's content."""
        from tenbetween.film.fingerprint import fingerprint

        return fingerprint(path)

    def probe(self, path: Path) -> Json:
        """Return what a file is made of."""
        from tenbetween.film.probe import probe

        found = probe(path)
        more = {"warnings": [str(one) for one in found.warnings], "end_pts": found.end_pts}
        return {**found.part(self.fingerprint(path)), **more}

    def pts(self, path: Path) -> NDArray[Any]:
        """Return the time stamp of every frame."""
        stat = path.stat()
        return _pts(path, stat.st_mtime_ns, stat.st_size)

    def still(self, path: Path, pts: int, height: int) -> bytes:
        """Return one frame as JPEG."""
        from tenbetween.film.frames_in import jpeg, still

        return jpeg(still(path, pts, height))

    def copy_bytes(self, path: Path) -> int:
        """Return how much a copy for the browser takes at most."""
        from tenbetween.film.browser_copy import space_needed
        from tenbetween.film.probe import probe

        return space_needed(probe(path))


@lru_cache(maxsize=16)
def _pts(path: Path, changed: int, size: int) -> NDArray[Any]:
    from tenbetween.film.frame_index import index

    return index(path).pts
