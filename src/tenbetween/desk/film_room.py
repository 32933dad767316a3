"""The film room as the screens ask for it: films, marks, measures, answers beside the picture, all by name.

Thin: each verb hands on to the use case that knows it. Everything in and out is plain JSON values; a call that
cannot be done raises ``TenbetweenError`` with directions. Decodes no film itself and holds no rule.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from tenbetween.book import LayerText
from tenbetween.desk import film_pages, films, marks
from tenbetween.desk.answers import edition_for
from tenbetween.desk.footage import FilmFiles, Footage
from tenbetween.desk.marked_film import MarkedFilm
from tenbetween.desk.workbench import Workbench
from tenbetween.errors import Problem, StoreError
from tenbetween.store.media_file import read_media

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from tenbetween.store import Saved, Store

Json = dict[str, Any]
FrameTime = Mapping[str, Any]
MOST_MARKS = 100_000


class Jobs(Protocol):
    """Takes long work and does it in the background."""

    def ask(self, kind: str, args: Json) -> str:
        """Return the id of a job that is now waiting."""


class FilmRoom:
    """The films of one workbench."""

    def __init__(
        self,
        store: Store,
        now: Callable[[], datetime],
        folder: str | Path,
        jobs: Jobs | None = None,
        *,
        footage: Footage | None = None,
        shipped: Sequence[LayerText] = (),
    ) -> None:
        self.store, self.folder, self.jobs = store, Path(folder), jobs
        self.bench = Workbench(store, now, shipped)
        self.footage: Footage = footage or FilmFiles()
        self._opened: dict[str, tuple[str, MarkedFilm]] = {}

    @property
    def today(self) -> str:
        """Today as an ISO day."""
        return self.bench.today

    # -- films ------------------------------------------------------------------------------------------

    def files(self) -> list[Json]:
        """Return the folders that may be listed, with the film files in each and the film each belongs to."""
        return films.listed(self.folder, self.store.find("film"))

    def add_folder(self, path: str) -> list[Json]:
        """Let a folder be listed; said on the command line or on this machine, never by a page elsewhere."""
        films.add_folder(self.folder, path)
        return self.files()

    def add(self, file_ids: Sequence[str], title: str, permission: Mapping[str, Any], **fields: Any) -> Json:
        """Take in a film of one file or several in order; listening and a browser copy are queued."""
        given = films.fields_of({"title": title, "permission": permission, **fields}, self.today)
        files = films.chosen(self.folder, file_ids)
        parts, said = films.read_parts(self.footage, files)
        films.refuse_taken(parts, self._in_use(), read_media(self.folder))
        saved = self.store.save("film", {**given, "parts": parts}, basis=self._basis(given))
        films.remember(self.folder, {p["fingerprint"]: f.path for p, f in zip(parts, files, strict=True)})
        self._queue_for(saved.id, parts)
        return {**self.film(saved.id), "warnings": said}

    def add_camera(
        self, film: str, file_ids: Sequence[str], camera: str, offset_us: int = 0, *, seen: str | None = None
    ) -> Json:
        """Add the files of another camera of the same game; ``align`` puts them on the one time line."""
        kept = films.film_of(self.store, film)
        files = films.chosen(self.folder, file_ids)
        parts, said = films.read_parts(self.footage, files, camera=camera, offset_us=offset_us)
        films.refuse_taken(parts, self._in_use(), read_media(self.folder))
        self._save_parts(kept, [*kept.value.parts.data(), *parts], seen)
        films.remember(self.folder, {p["fingerprint"]: f.path for p, f in zip(parts, files, strict=True)})
        self._queue_for(film, parts)
        return {**self.film(film), "warnings": said}

    def align(self, film: str, here: FrameTime, there: FrameTime, *, seen: str | None = None) -> Json:
        """Move the camera of ``here`` on the time line so that both frames show one moment."""
        kept = films.film_of(self.store, film)
        self._save_parts(kept, films.aligned(kept.value.parts.data(), here, there), seen)
        return self.film(film)

    def films(self) -> list[Json]:
        """Return every film in short, newest first."""
        media = read_media(self.folder)
        counts = film_pages.counts(self.store.find("mark", limit=MOST_MARKS))
        return [
            film_pages.short(one, counts.get(one.id, (0, 0)), media, self.today)
            for one in reversed(self.store.find("film"))
        ]

    def film(self, id: str) -> Json:
        """Return one film whole: parts, who allowed it until when, what is missing and why, cautions."""
        return film_pages.whole(films.film_of(self.store, id), self.folder, self.footage, self.today)

    def change_film(self, id: str, fields: Mapping[str, Any], seen: str) -> Json:
        """Change what is said of a film; refused when somebody changed it since it was ``seen``."""
        films.changed(self.store, id, fields, seen, self.today)
        return self.film(id)

    def path_of(self, fingerprint: str) -> Path:
        """Return where a part lies on this machine; never sent to a page."""
        kept, part = self._part(fingerprint)
        media = read_media(self.folder)
        path = None
        if not films.withdrawn(kept, media):
            path = films.look_for(self.folder, self.footage, part, media)
        if path is None:
            gone = films.withdrawn(kept, media)
            found = "withdrawn: it is not opened any more" if gone else films.missing_words(part, media)
            do = "ask again for leave" if gone else "then open the film again"
            raise StoreError(Problem(str(part["name"]), found, "a part that can be opened", do))
        return path

    def pts(self, fingerprint: str) -> NDArray[Any]:
        """Return the time stamp of every frame of a part, in order, as whole numbers."""
        return self.footage.pts(self.path_of(fingerprint))

    def frames(self, fingerprint: str) -> NDArray[Any]:
        """Return when each frame of a part is shown, in seconds, as a browser counts."""
        base = self._part(fingerprint)[1]["base"]
        return self.pts(fingerprint) * float(base[0]) / float(base[1])

    def still(self, fingerprint: str, pts: int, height: int = 720) -> bytes:
        """Return one frame as JPEG, ``height`` dots high."""
        return self.footage.still(self.path_of(fingerprint), pts, height)

    # -- marks ------------------------------------------------------------------------------------------

    def marks(self, film: str) -> list[Json]:
        """Return the marks of a film in the order of the game, each with its answer and who was who."""
        return self.marked(film).pages()

    def mark(self, id: str) -> Json:
        """Return one mark."""
        return self.marked(self._film_of_mark(id)).page(id)

    def start_mark(self, film: str, at: FrameTime, event: str = "") -> Json:
        """Begin a mark at a frame; with ``event`` that frame is the event too."""
        there = self.marked(film)
        basis = {"edition": there.base.edition, "layers": there.base.layers, "settings": there.base.settings}
        made = marks.began(
            self.store, film, there.line, at, {**basis, "book_digest": there.book.digest}, event
        )
        return self._kept(there, made)

    def set_event(self, mark: str, event: str, at: object) -> Json:
        """Set an event of the clock to a frame, to "not seen", or take it out."""
        there = self._marked_of(mark)
        return self._kept(there, marks.set_event(self.store, mark, there.line, event, at))

    def set_mark(self, mark: str, fields: Mapping[str, Any]) -> Json:
        """Say what happened: fields of the situation, a correction of the crew, ``flip``, tags, note."""
        there = self._marked_of(mark)
        place = there.place(mark)
        now = there.entering(place)
        made = marks.set_fields(
            self.store, mark, fields, there.carried[place], lambda told: there.basis(told, now)
        )
        return self._kept(there, made)

    def set_duty(self, mark: str, duty: str, who: str, verdict: str, note: str = "") -> Json:
        """Tick a duty yes, no, not seen or no chance, for a person, a role of that moment, or the crew."""
        there = self._marked_of(mark)
        made = marks.set_duty(self.store, mark, duty, who, verdict, note, there.of(mark), there.book)
        return self._kept(there, made)

    def stroke(self, mark: str, at: FrameTime) -> Json:
        """Set a stroke of the visible count at a frame, or take the one at that frame away."""
        there = self._marked_of(mark)
        return self._kept(there, marks.stroke(self.store, mark, there.line, at))

    def close_mark(self, mark: str) -> Json:
        """Close a mark: every event not set is "not seen"."""
        return self._kept(self._marked_of(mark), marks.closed(self.store, mark))

    def remove_mark(self, mark: str) -> Json:
        """Take a mark out; undo brings it back."""
        there = self._marked_of(mark)
        entry = marks.removed(self.store, mark)
        there.drop(mark)
        self._seen(there, entry.id)
        return {"removed": mark, "entry": entry.id}

    # -- kept up ----------------------------------------------------------------------------------------

    def marked(self, film: str) -> MarkedFilm:
        """Return a film with its marks, as kept now; read again only when something else was written since."""
        newest = self._newest()
        known = self._opened.get(film)
        if known is None or known[0] != newest:
            found = films.film_of(self.store, film)
            found_marks = self.store.find("mark", film=film, limit=MOST_MARKS)
            known = self._opened[film] = (
                newest, MarkedFilm(found, found_marks, self.bench.shelf, self.today)
            )  # fmt: skip
        return known[1]

    def _newest(self) -> str:
        latest = self.store.history(limit=1)
        return latest[0].id if latest else ""

    def _kept(self, there: MarkedFilm, mark: Saved[Any]) -> Json:
        there.put(mark)
        self._seen(there, mark.version)
        return there.page(mark.id)

    def _seen(self, there: MarkedFilm, version: str) -> None:
        """Note our own change as seen, unless somebody else wrote in between."""
        known = self._opened.get(there.film.id)
        latest = [entry.id for entry in self.store.history(limit=2)]
        if known and known[1] is there and latest[:2] == [version, known[0]]:
            self._opened[there.film.id] = (version, there)

    def _marked_of(self, mark: str) -> MarkedFilm:
        return self.marked(self._film_of_mark(mark))

    def _film_of_mark(self, mark: str) -> str:
        return str(self.store.get("mark", mark).value.film)

    def _in_use(self) -> list[Saved[Any]]:
        return [one for one in self.store.find("film") if one.value.status == "in use"]

    def _part(self, fingerprint: str) -> tuple[Saved[Any], Json]:
        for one in self.store.find("film"):
            for part in one.value.parts.data():
                if part["fingerprint"] == fingerprint:
                    return one, part
        do = "read the films again"
        raise StoreError(Problem("part", fingerprint[:40], "a part of a film of this workbench", do))

    def _basis(self, given: Mapping[str, Any]) -> Json:
        edition, layers = edition_for(given.get("date") or self.today), self.bench.used_layers()
        book = self.bench.shelf.book(edition, layers)
        mine = self.bench.own_settings().items()
        own = {n: v for n, v in mine if n in book.settings and v in book.settings[n].values}
        return {"edition": edition, "layers": layers, "settings": own, "book_digest": book.digest}

    def _save_parts(self, kept: Saved[Any], parts: list[Json], seen: str | None) -> None:
        value = {name: getattr(kept.value, name) for name in kept.value.__struct_fields__}
        self.store.save("film", {**value, "parts": parts}, id=kept.id, seen=seen or kept.version)

    def _queue_for(self, film: str, parts: Sequence[Json]) -> None:
        for part in parts:
            args = {"film": film, "part": part["fingerprint"]}
            if part.get("sound"):
                self._queue("listen", args)
            if part.get("needs_copy"):
                self._queue("browser_copy", args)

    def _queue(self, kind: str, args: Json) -> str:
        return self.jobs.ask(kind, args) if self.jobs is not None else ""
