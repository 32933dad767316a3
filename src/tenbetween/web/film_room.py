"""What the film screens need of the desk: one protocol, in plain JSON values.

A frame time is ``{"part": fingerprint, "pts": whole number, "base": [numerator, denominator]}``. No page gets or
sends a path: files are chosen by id, and ``path_of`` stays on this side.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol

Json = dict[str, Any]
"""A JSON object."""


class FilmRoom(Protocol):
    """Everything a film page may ask; every call raises ``TenbetweenError`` with directions on bad input."""

    # -- films ----------------------------------------------------------------------------------------
    def files(self) -> Sequence[Json]:
        """Return the folders of this machine with their files: folder, files of id, name, size, film."""
        ...

    def look_at(self, file_ids: Sequence[str]) -> Sequence[Json]:
        """Return what chosen files are made of before they are taken up: a part each, with ``id``,
        ``warnings``, and ``copy_bytes`` and ``free_bytes`` where the browser needs a copy; ``problems`` in place of
        all that where a file is no film.
        """
        ...

    def jobs(self) -> Sequence[Json]:
        """Return the long work of this workbench, under way first: id, kind, film, state, done, of, says, error, and in
        words ``title`` and ``state_words``; ``may`` is which button belongs beside it (cancel, again or none).
        """
        ...

    def lacking(self) -> str:
        """Return in a sentence why this machine does no long work of films; nothing where it does."""
        ...

    def cancel_job(self, job: str) -> None:
        """Stop a piece of work."""
        ...

    def try_again(self, job: str) -> None:
        """Begin a piece of work again that failed or was stopped."""
        ...

    def add(self, file_ids: Sequence[str], title: str, permission: Json, **fields: Any) -> Json:
        """Take up files as the parts of one film, in order; return the film."""
        ...

    def add_camera(self, film: str, file_ids: Sequence[str], camera: str, offset_us: int = 0) -> Json:
        """Add the files of another camera of the same game; return the film."""
        ...

    def align(self, film: str, here: Json, there: Json) -> Json:
        """Move the camera of ``here`` on the time line so that both frames show one moment."""
        ...

    def films(self) -> Sequence[Json]:
        """Return the films in short, newest first."""
        ...

    def film(self, id: str) -> Json:
        """Return one film: parts, crew, recognise, permission, what is missing, cautions, version."""
        ...

    def change_film(self, id: str, fields: Json, seen: str) -> Json:
        """Change words and crew of a film whose version was seen; return the film."""
        ...

    def copy_again(self, film: str, fingerprint: str) -> str:
        """Queue the copy for the browser of a part that has none; return its work."""
        ...

    def withdraw(self, film: str, asked_by: str) -> Sequence[Json]:
        """Withdraw a film; return the log: what, name, found, done."""
        ...

    def withdrawals(self, film: str) -> Sequence[Json]:
        """Return every withdrawal of a film, newest first: asked_by, on, log."""
        ...

    def path_of(self, fingerprint: str) -> Path:
        """Return the file of a part on this machine, or its browser copy where one is needed and made."""
        ...

    def frames(self, fingerprint: str) -> Any:
        """Return when each frame of a part begins: float64 seconds, rising."""
        ...

    def still(self, fingerprint: str, pts: int, height: int) -> bytes:
        """Return one frame as a JPEG."""
        ...

    # -- proposals ------------------------------------------------------------------------------------
    def proposals(self, film: str) -> Sequence[Json]:
        """Return what listening and looking propose: id, part, t, t_end, pts, kind, confidence, verdict."""
        ...

    def judge(self, film: str, proposal: str, verdict: str) -> Json | None:
        """Keep a proposal (the mark made of it is returned) or drop it."""
        ...

    # -- marks ----------------------------------------------------------------------------------------
    def marks(self, film: str) -> Sequence[Json]:
        """Return the marks in game time, each with answer, lead and trail carried forward."""
        ...

    def mark(self, id: str) -> Json:
        """Return one mark."""
        ...

    def start_mark(self, film: str, at: Json, event: str = "") -> Json:
        """Begin a mark at a frame time; with ``event`` that frame is the event too."""
        ...

    def set_event(self, mark: str, event: str, at: Json | str | None) -> Json:
        """Put an event at a frame time, say it was "not seen", or open it again with None."""
        ...

    def set_mark(self, mark: str, fields: Json) -> Json:
        """Set fields of the situation, the crew, tags, note."""
        ...

    def set_duty(self, mark: str, duty: str, who: str, verdict: str, note: str = "") -> Json:
        """Say of one duty: yes, no, not seen, no chance; an empty verdict takes it back."""
        ...

    def stroke(self, mark: str, at: Json) -> Json:
        """Add a stroke of the visible count."""
        ...

    def close_mark(self, mark: str) -> Json:
        """Close a mark: each open event was not seen."""
        ...

    def remove_mark(self, mark: str) -> Json:
        """Take a mark out; undo brings it back."""
        ...

    def undo(self, film: str) -> Json:
        """Take back the last change of this film's marks: words, mark."""
        ...

    def redo(self, film: str) -> Json:
        """Do again what was taken back: words, mark."""
        ...

    def answer_for(self, mark: str) -> Json:
        """Return ruling, sentence, court_svg and compare: expected against seen, right things first."""
        ...

    def measure(self, film: str | None) -> Json:
        """Return restarts with their times, and medians by kind: what, kind, seconds, count; and a note."""
        ...

    def search(self, query: Mapping[str, str]) -> Sequence[Json]:
        """Return marks of all films that fit words and filters."""
        ...
