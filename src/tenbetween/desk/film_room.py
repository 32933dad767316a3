"""The film room as the screens ask for it: films, marks, measures, answers beside the picture, all by name.

Thin: each verb hands on to the use case that knows it. Everything in and out is plain JSON values; a call that
cannot be done raises ``TenbetweenError`` with directions. Decodes no film itself and holds no rule.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import wraps
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING, Any, Protocol, TypeVar, cast

from tenbetween.desk import (
    clips,
    compare,
    film_pages,
    films,
    marks,
    measures,
    proposals,
    search,
    taking_back,
    withdraw,
    work,
)
from tenbetween.desk.answers import edition_for
from tenbetween.desk.footage import FilmFiles, Footage
from tenbetween.desk.marked_film import MarkedFilm
from tenbetween.desk.marks import RestsOn
from tenbetween.errors import Problem, StoreError, TenbetweenError
from tenbetween.jobs.queue import missing_parts
from tenbetween.store.media_file import free_bytes, read_media

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from tenbetween.desk.workbench import Workbench
    from tenbetween.store import Entry, Saved, Store

Json = dict[str, Any]
FrameTime = Mapping[str, Any]
MOST_MARKS = 100_000


class Jobs(Protocol):
    """Takes long work and has it done in the background; ``store.jobs`` keeps its rows."""

    def add(self, kind: str, args: object, now: datetime) -> Any:
        """Return the row of work that now waits."""


Verb = TypeVar("Verb", bound=Callable[..., Any])


def alone(verb: Verb) -> Verb:
    """Return a verb of the room that waits until no other thread is at the marks it keeps at hand."""

    @wraps(verb)
    def waiting(room: FilmRoom, *given: Any, **named: Any) -> Any:
        with room.lock:
            return verb(room, *given, **named)

    return cast("Verb", waiting)


def _bench(store: Store, now: Callable[[], datetime]) -> Workbench:
    from tenbetween.desk.workbench import Workbench

    return Workbench(store, now)


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
        bench: Workbench | None = None,
    ) -> None:
        self.store, self.folder, self._jobs, self._now = store, Path(folder), jobs, now
        self.bench = bench or _bench(store, now)
        self.footage: Footage = footage or FilmFiles()
        self.lock = RLock()
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

    def look_at(self, file_ids: Sequence[str]) -> list[Json]:
        """Return what chosen files are made of before they are taken in, and the room a browser copy takes."""
        return films.looked_at(self.footage, films.chosen(self.folder, file_ids), free_bytes(self.folder))

    def add(self, file_ids: Sequence[str], title: str, permission: Mapping[str, Any], **fields: Any) -> Json:
        """Take in a film of one file or several in order; listening and a browser copy are queued."""
        cameras = fields.pop("cameras", ())
        given = films.fields_of({"title": title, "permission": permission, **fields}, self.today)
        files = films.chosen(self.folder, file_ids)
        parts, said = films.read_parts(self.footage, files, cameras)
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
        parts, said = films.read_parts(self.footage, files, [camera] * len(files), {camera: offset_us})
        films.refuse_taken(parts, self._in_use(), read_media(self.folder))
        self._save_parts(kept, [*kept.value.parts.data(), *parts], seen)
        films.remember(self.folder, {p["fingerprint"]: f.path for p, f in zip(parts, files, strict=True)})
        self._queue_for(film, parts)
        return {**self.film(film), "warnings": said}

    def copied(self, film: str, fingerprint: str, name: str) -> None:
        """Note that a copy every browser shows was made of a part: a file of the workbench's ``copies/``."""
        kept = films.film_of(self.store, film)
        parts = [
            {**part, "copy": name} if part["fingerprint"] == fingerprint else part
            for part in kept.value.parts.data()
        ]
        if parts != kept.value.parts.data():
            self._save_parts(kept, parts, None)

    def copy_again(self, film: str, fingerprint: str) -> str:
        """Queue the copy every browser shows of a part, made before or not; return its work.

        Raises:
            UsageError: every browser shows the part itself, the copy is there, or the disk lacks the room.
            StoreError: the film was withdrawn, or its file is not here.
        """
        part = films.part_of(films.film_of(self.store, film), fingerprint)
        path = self.source_of(fingerprint)
        films.needs_one(self.folder, part, self.footage.copy_bytes(path), free_bytes(self.folder))
        return self._queue("browser_copy", {"film": film, "part": fingerprint})

    def align(self, film: str, here: FrameTime, there: FrameTime, *, seen: str | None = None) -> Json:
        """Move the camera of ``here`` on the time line so that both frames show one moment."""
        kept = films.film_of(self.store, film)
        self._save_parts(kept, films.aligned(kept.value.parts.data(), here, there), seen)
        return self.film(film)

    def films(self) -> list[Json]:
        """Return every film in short, newest first."""
        media = read_media(self.folder)
        marked = self.store.count("mark", "film")
        closed = self.store.count("mark", "film", closed=True)
        return [
            film_pages.short(one, (marked.get(one.id, 0), closed.get(one.id, 0)), media, self.today)
            for one in reversed(self.store.find("film"))
        ]

    def film(self, id: str) -> Json:
        """Return one film whole: parts, who allowed it until when, what is missing and why, cautions."""
        return film_pages.whole(films.film_of(self.store, id), self.folder, self.footage, self.today)

    def change_film(self, id: str, fields: Mapping[str, Any], seen: str) -> Json:
        """Change what is said of a film; refused when somebody changed it since it was ``seen``.

        ``edition`` and ``layers`` put it on another book; its marks are answered by that one from then on.
        """
        given = dict(fields)
        rests: Json = {name: given.pop(name) for name in ("edition", "layers") if name in given}
        basis = self._basis({**rests, "date": given.get("date")}) if rests else None
        films.changed(self.store, id, given, seen, self.today, basis)
        return self.film(id)

    def path_of(self, fingerprint: str) -> Path:
        """Return what a browser is shown of a part: its copy where one is needed and made, else the film itself.

        A copy that is not in this folder (another machine made it in its own) is as good as none. Never sent to a page.
        Frame i of a copy is frame i of the film.
        """
        kept, part = self._part(fingerprint)
        copy = films.copy_here(self.folder, part)
        if copy is not None and not films.withdrawn(kept, read_media(self.folder)):
            return copy
        return self.source_of(fingerprint)

    def source_of(self, fingerprint: str) -> Path:
        """Return where the film file of a part lies on this machine, found again if it was moved.

        Raises:
            FilmAwayError: it lies nowhere we look.
            StoreError: there is no such part, or its film was withdrawn.
        """
        kept, part = self._part(fingerprint)
        media = read_media(self.folder)
        if films.withdrawn(kept, media):
            raise StoreError(films.away(kept, part, media))
        path = films.look_for(self.folder, self.footage, part, media)
        if path is None:
            raise films.FilmAwayError(films.away(kept, part, media))
        return path

    def pts(self, fingerprint: str) -> NDArray[Any]:
        """Return the time stamp of every frame of a part, in order, as whole numbers."""
        return self.footage.pts(self.source_of(fingerprint))

    def frames(self, fingerprint: str) -> NDArray[Any]:
        """Return when each frame of a part is shown, in seconds, as a browser counts in the file ``path_of`` gives."""
        part = self._part(fingerprint)[1]
        begins = part["first_pts"] if films.copy_here(self.folder, part) else 0
        return (self.pts(fingerprint) - begins) * float(part["base"][0]) / float(part["base"][1])

    def still(self, fingerprint: str, pts: int, height: int = 720) -> bytes:
        """Return one frame as JPEG, ``height`` dots high."""
        return self.footage.still(self.source_of(fingerprint), pts, height)

    # -- proposals --------------------------------------------------------------------------------------

    @alone
    def proposals(self, film: str, least: float = 0.0) -> list[Json]:
        """Return what was heard and seen to propose; those under ``least`` confidence are hidden."""
        return proposals.listed(self.store, film, self.marked(film).line, self._pts_if_here, least)

    @alone
    def heard(self, film: str, part: str, found: Sequence[Mapping[str, Any]]) -> None:
        """Keep what listening to a part proposed; said by the job that listened."""
        proposals.heard(self.store, film, part, found)

    @alone
    def judge(self, film: str, proposal: str, verdict: str) -> Json | None:
        """Keep a proposal, and return the mark made of it, or drop it."""
        there = self.marked(film)
        basis = self._plain_basis(there)
        made = proposals.judge(self.store, film, there.line, self._pts_if_here, proposal, verdict, basis)
        return None if made is None else self.mark(made.id)

    # -- marks ------------------------------------------------------------------------------------------

    @alone
    def marks(self, film: str) -> list[Json]:
        """Return the marks of a film in the order of the game, each with its answer and who was who."""
        return self.marked(film).pages()

    @alone
    def mark(self, id: str) -> Json:
        """Return one mark."""
        return self._page(self._marked_of(id), id)

    @alone
    def start_mark(self, film: str, at: FrameTime, event: str = "e0") -> Json:
        """Begin a mark: its first event, the whistle or dead ball, is at this frame; without ``event``, a frame alone."""
        there = self.marked(film)
        return self._kept(
            there, marks.began(self.store, film, there.line, at, self._plain_basis(there), event)
        )

    @alone
    def set_event(self, mark: str, event: str, at: object) -> Json:
        """Set an event of the clock to a frame, to "not seen", or take it out."""
        there = self._marked_of(mark)
        return self._kept(there, marks.set_event(self.store, mark, there.line, event, at))

    @alone
    def set_mark(self, mark: str, fields: Mapping[str, Any]) -> Json:
        """Say what happened: fields of the situation, a correction of the crew, ``flip``, tags, note."""
        there = self._marked_of(mark)
        now, one = there.entering(there.place(mark)), there.of(mark)
        return self._kept(
            there, marks.set_fields(self.store, mark, fields, now, one, self._rests_on(there, mark))
        )

    @alone
    def set_duty(self, mark: str, duty: str, who: str, verdict: str, note: str = "") -> Json:
        """Tick a duty yes, no, not seen or no chance, for a person, a role of that moment, or the crew."""
        there = self._marked_of(mark)
        made = marks.set_duty(self.store, mark, duty, who, verdict, note, there.of(mark), there.book)
        return self._kept(there, made)

    @alone
    def stroke(self, mark: str, at: FrameTime) -> Json:
        """Set a stroke of the visible count at a frame, or take the one at that frame away."""
        there = self._marked_of(mark)
        return self._kept(there, marks.stroke(self.store, mark, there.line, at))

    @alone
    def close_mark(self, mark: str) -> Json:
        """Close a mark: every event not set is "not seen"."""
        there = self._marked_of(mark)
        return self._kept(there, marks.closed(self.store, mark, self._rests_on(there, mark)))

    @alone
    def remove_mark(self, mark: str) -> Json:
        """Take a mark out; undo brings it back."""
        there = self._marked_of(mark)
        entry = marks.removed(self.store, mark)
        there.drop(mark)
        self._seen(there, entry.id)
        return {"removed": mark, "entry": entry.id}

    @alone
    def settle(self, film: str) -> Json:
        """Write down again what each mark rests on where corrections before it changed that; one undo for all."""
        there = self.marked(film)
        with self.store.together() as changes:
            stale = there.stale()
            for mark, basis in stale:
                changes.save("mark", mark.value, basis=basis, id=mark.id, seen=mark.version)
        return {"settled": len(stale)}

    @alone
    def undo(self, film: str) -> Json:
        """Take back the last change of this film; return it in words, and the mark it was of if that is there."""
        return self._turned(film, self.store.undo(taking_back.last_change(self.store, film)), "Taken back")

    @alone
    def redo(self, film: str) -> Json:
        """Do again what was taken back."""
        return self._turned(film, self.store.redo(taking_back.last_undo(self.store, film)), "Done again")

    def _turned(self, film: str, entries: Sequence[Entry], said: str) -> Json:
        self._count_in(film, entries)
        mark = next((one.object_id for one in entries if one.kind == "mark" and one.after), "")
        changed = ", ".join(dict.fromkeys(f"{one.kind} {one.did}" for one in entries))
        return {"words": f"{said}: {changed}.", "mark": mark, "entries": [one.id for one in entries]}

    # -- answers, measures, search ----------------------------------------------------------------------

    @alone
    def answer_for(self, mark: str) -> Json:
        """Return the book's answer beside the picture: sentence, diagram, and expected against seen, right first."""
        there = self._marked_of(mark)
        return compare.beside_the_picture(there, there.place(mark), self._spacing(there))

    @alone
    def measure(self, film: str | None = None) -> Json:
        """Return the times of each restart, and medians by kind with counts; of one film or of all."""
        wanted = [film] if film else [one.id for one in self.store.find("film")]
        return measures.measures_page([(there := self.marked(one), self._spacing(there)) for one in wanted])

    @alone
    def search(self, query: Mapping[str, Any]) -> list[Json]:
        """Return the marks of all films that fit words and filters, right examples first."""
        people = {one.id: one.value.name for one in self.store.find("official")}
        return search.search((self.marked(one.id) for one in self.store.find("film")), query, people)

    # -- pointers and clips -----------------------------------------------------------------------------

    def pointers(self, film: str) -> list[Json]:
        """Return what is pointed at on a film."""
        return [clips.pointer_page(one) for one in self.store.find("pointer", film=film)]

    @alone
    def save_pointer(
        self, film: str, items: Sequence[Mapping[str, Any]], title: str = "", **more: Any
    ) -> Json:
        """Keep what is pointed at; ``mark``, ``note``, and ``id`` with ``seen`` to put it in an older one's place."""
        line = self.marked(film).line
        return clips.pointer_page(clips.save_pointer(self.store, film, line, items, title=title, **more))

    def clips(self) -> list[Json]:
        """Return the clips made, newest first, with every file that came of them."""
        titles = {one.id: one.value.title for one in self.store.find("film")}
        return clips.clip_pages(self.store, titles)

    @alone
    def make_clip(
        self,
        film: str,
        begins: FrameTime,
        ends: FrameTime,
        title: str,
        how: Mapping[str, Any] | None = None,
        marks: Sequence[str] = (),
    ) -> Json:
        """Keep a clip and queue the making of its file; refused where leave has ended or the film was withdrawn."""
        films.may_be_used(films.film_of(self.store, film), self.today, read_media(self.folder))
        line = self.marked(film).line
        made = clips.new_clip(self.store, film, line, title, begins, ends, how or {}, marks)
        return {"id": made.id, "job": self._queue("export", {"clip": made.id, "film": film})}

    @alone
    def withdraw(self, film: str, asked_by: str) -> list[Json]:
        """Withdraw a film: everything made of it found, removed or emptied; return the log line by line."""
        log = withdraw.withdraw(self.store, self.folder, film, asked_by, self._now())
        self._opened.pop(film, None)
        return log

    def withdrawals(self, film: str) -> list[Json]:
        """Return every withdrawal of a film with who asked, the day and its log line by line, newest first."""
        return withdraw.told(self.store, film)

    # -- long work --------------------------------------------------------------------------------------

    def jobs(self) -> list[Json]:
        """Return the long work of this workbench in words: under way first, then what waits, then what is over."""
        titles = {one.id: one.value.title for one in self.store.find("film")}
        return work.jobs_page(self.store.jobs, titles)

    def lacking(self) -> str:
        """Return in a sentence why this machine does no long work of films, and what to install; nothing if it does."""
        return work.lacking_words(missing_parts())

    def cancel_job(self, job: str) -> None:
        """Stop a piece of work."""
        self.store.jobs.ask_off(job, self._now())

    def try_again(self, job: str) -> None:
        """Begin a piece of work again that failed or was stopped."""
        self.store.jobs.again(job, self._now())

    # -- kept up ----------------------------------------------------------------------------------------

    @alone
    def marked(self, film: str) -> MarkedFilm:
        """Return a film with its marks, as kept now; read again only when something else was written since."""
        newest = self._newest()
        known = self._opened.get(film)
        if known is None or known[0] != newest:
            found = films.film_of(self.store, film)
            found_marks = self.store.find("mark", film=film, limit=MOST_MARKS)
            there = MarkedFilm(found, found_marks, self.bench.shelf, self.today)
            known = self._opened[film] = (newest, there)
        return known[1]

    def _newest(self) -> str:
        latest = self.store.history(limit=1)
        return latest[0].id if latest else ""

    def _kept(self, there: MarkedFilm, mark: Saved[Any]) -> Json:
        there.put(mark)
        self._seen(there, mark.version)
        return self._page(there, mark.id)

    def _page(self, there: MarkedFilm, mark: str) -> Json:
        """Return one mark with its own times, so that nobody need measure a whole film for it."""
        found = measures.restart_page(there.place(mark), there, self._spacing(there))[2]
        return {**there.page(mark), "measures": found["measures"]}

    def _spacing(self, there: MarkedFilm) -> measures.Spacing:
        return measures.Spacing(there.line, self._pts_if_here)

    def _pts_if_here(self, fingerprint: str) -> NDArray[Any] | None:
        """Return the frames of a part, or None where the film is away: its marks are measured all the same."""
        try:
            return self.pts(fingerprint)
        except TenbetweenError:
            return None

    def _rests_on(self, there: MarkedFilm, mark: str) -> RestsOn:
        now = there.entering(there.place(mark))
        return lambda told: there.basis(told, now)

    def _plain_basis(self, there: MarkedFilm) -> Json:
        base = there.base
        head = {"edition": base.edition, "layers": base.layers, "settings": base.settings}
        return {**head, "book_digest": there.book.digest}

    def _seen(self, there: MarkedFilm, version: str) -> None:
        """Note our own change as seen, unless somebody else wrote in between."""
        known = self._opened.get(there.film.id)
        latest = [entry.id for entry in self.store.history(limit=2)]
        if known and known[1] is there and latest[:2] == [version, known[0]]:
            self._opened[there.film.id] = (version, there)

    def _count_in(self, film: str, entries: Sequence[Entry]) -> None:
        """Count in an undo without reading the film again, where it is all of marks and nobody wrote in between."""
        known, number = self._opened.get(film), len(entries)
        latest = [entry.id for entry in self.store.history(limit=number + 1)]
        ours = [entry.id for entry in reversed(entries)]
        if not known or latest != [*ours, known[0]] or any(entry.kind != "mark" for entry in entries):
            return
        for entry in entries:
            if entry.after is None:
                known[1].drop(entry.object_id)
            else:
                known[1].put(self.store.get("mark", entry.object_id))
        self._opened[film] = (latest[0], known[1])

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
        edition = edition_for(given.get("date") or self.today, given.get("edition"))
        layers = tuple(given.get("layers") or self.bench.used_layers())
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
            self._queue("listen", args)
            if part.get("needs_copy"):
                self._queue("browser_copy", args)

    def _queue(self, kind: str, args: Json) -> str:
        return self.bench.ask(kind, args) if self._jobs is not None else ""
