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
        """Return a part as ``Film.parts`` keeps it, without camera and place on the time line; and ``warnings``."""

    def pts(self, path: Path) -> NDArray[Any]:
        """Return the time stamp of every frame, in order."""

    def still(self, path: Path, pts: int, height: int) -> bytes:
        """Return one frame as JPEG, ``height`` dots high."""


OF_A_PROBE = (
    "first_pts", "last_pts", "base", "frames", "duration_s", "picture", "rotation", "codec", "variable_rate",
    "sound", "needs_copy", "why_copy",
)  # fmt: skip


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
        part = {name: getattr(found, name) for name in OF_A_PROBE}
        part |= {"base": list(part["base"]), "picture": list(part["picture"])}
        return {**part, "warnings": [str(one) for one in found.warnings]}

    def pts(self, path: Path) -> NDArray[Any]:
        """Return the time stamp of every frame."""
        stat = path.stat()
        return _pts(path, stat.st_mtime_ns, stat.st_size)

    def still(self, path: Path, pts: int, height: int) -> bytes:
        """Return one frame as JPEG."""
        import cv2

        from tenbetween.film.frames_in import still

        done, coded = cv2.imencode(".jpg", still(path, pts, height), [cv2.IMWRITE_JPEG_QUALITY, 88])
        return bytes(coded) if done else b""


@lru_cache(maxsize=16)
def _pts(path: Path, changed: int, size: int) -> NDArray[Any]:
    from tenbetween.film.frame_index import index

    return index(path).pts
