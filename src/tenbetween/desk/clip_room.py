"""Clips out of film: planned from moments, made by a job, looked at before they leave, handed on once confirmed.

A clip is exact (with pointers, stops, captions, blurred regions) or a fast copy; many become a reel; two stand side
by side, joined at disposal. Sound is off unless asked for. Names and contact sheet are shown before anything leaves.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tenbetween.desk import clips, films
from tenbetween.desk.blurred import regions_on
from tenbetween.desk.clip_making import CONTACT, Maker
from tenbetween.desk.clip_words import leaving_words
from tenbetween.errors import Problem, StoreError, UsageError, one_of
from tenbetween.store.derived_files import digest_of
from tenbetween.store.media_file import read_media

if TYPE_CHECKING:
    from tenbetween.desk.court_room import CourtRoom
    from tenbetween.desk.film_room import FilmRoom
    from tenbetween.store import Saved

Json = dict[str, Any]
WAYS = ("exact", "fast", "reel", "beside")
EXPORTS = "exports"
MOST_MARGIN_S, MOST_MARKS = 30.0, 60
HEIGHTS = (360, 480, 720, 1080)


class ClipRoom:
    """The clips of one workbench."""

    def __init__(
        self, films: FilmRoom, courts: CourtRoom, folder: str | Path, now: Callable[[], Any]
    ) -> None:
        self.films, self.courts, self.folder, self._now = films, courts, Path(folder), now
        self.store = films.store

    # -- planning ----------------------------------------------------------------------------------------

    def make(self, marks: Sequence[str], title: str, how: Mapping[str, Any]) -> list[str]:
        """Keep clips of moments and queue their making: one each, or one reel, or two side by side; return ids.

        Raises:
            UsageError: every choice that is none, no moment, leave that has ended.
        """
        wanted = checked(how, len(marks))
        rows = [self._moment(one) for one in marks[:MOST_MARKS]]
        if wanted["way"] in ("reel", "beside"):
            return [
                self._queued(rows[0], title, {**wanted, "pieces": [self._piece(row) for row in rows]}, marks)
            ]
        numbered = len(rows) > 1
        return [
            self._queued(row, f"{title} {number}" if numbered else title, wanted, [row["id"]])
            for number, row in enumerate(rows, 1)
        ]

    def _moment(self, mark: str) -> Json:
        row = self.films.mark(mark)
        films.may_be_used(films.film_of(self.store, row["film"]), self.films.today, read_media(self.folder))
        return row

    def _piece(self, row: Json) -> Json:
        return {"film": row["film"], "mark": row["id"]}

    def _queued(self, row: Json, title: str, how: Json, marks: Sequence[str]) -> str:
        begins, ends = self._span(row, how)
        made = self.films.make_clip(row["film"], begins, ends, title, how, list(marks))
        return str(made["id"])

    def _span(self, row: Json, how: Mapping[str, Any]) -> tuple[Json, Json]:
        """Return from where to where a clip of a moment goes: its events with the margins, inside its part."""
        part = films.film_of(self.store, row["film"]).value.parts.data()
        here = next(one for one in part if one["fingerprint"] == row["at"]["part"])
        stamps = [
            at["pts"]
            for at in [row["at"], *row["events"].values()]
            if isinstance(at, dict) and at["part"] == row["at"]["part"]
        ]
        ticks = here["base"][1] / here["base"][0]
        first = max(here["first_pts"], round(min(stamps) - how["before_s"] * ticks))
        last = min(here["last_pts"], round(max(stamps) + how["after_s"] * ticks))
        at = {"part": here["fingerprint"], "base": list(here["base"])}
        return {**at, "pts": first}, {**at, "pts": last}

    def change(self, clip: str, fields: Mapping[str, Any], seen: str) -> str:
        """Change how a clip is made (regions to blur, a caption, its title) and queue it anew.

        Its confirmation is gone, and its file: what was made the old way is not to be handed on meanwhile.
        """
        kept = self._of(clip)
        how = {
            **kept.value.how.data(),
            **{name: fields[name] for name in ("blur", "sound") if name in fields},
        }
        how.pop("confirmed", None)
        title = str(fields.get("title") or kept.value.title).strip()
        files = [{**one, "stale": True} for one in kept.value.files.data()]
        note = str(fields.get("note", kept.value.note))
        self._save(kept, seen, how=how, title=title, note=note, files=files)
        self._remove_files(clip)
        return str(self.films._queue("export", {"clip": clip, "film": kept.value.film}))

    # -- making ------------------------------------------------------------------------------------------

    def export(
        self, args: Json, told: Callable[[int, int, str], None], cancelled: Callable[[], bool]
    ) -> Json:
        """Make the file of a clip and its contact sheet, whole or not at all; what was made before is replaced.

        A clip that was changed meanwhile is made again at once: asked for while this goes on, it waits for nobody else.
        """
        while True:
            kept = self._of(args["clip"])
            is_ = kept.value
            blurred = len(self._regions(is_.film, is_.begins.data(), is_.ends.data(), is_.how.data()))
            facts = self._made(kept, told, cancelled)
            if _looks(self._of(kept.id)) == _looks(kept):
                self._note_files(kept.id, blurred)
                return {"clip": kept.id, **facts}
            self._remove_files(kept.id)

    def _made(
        self, kept: Saved[Any], told: Callable[[int, int, str], None], cancelled: Callable[[], bool]
    ) -> Json:
        used = {kept.value.film, *(one["film"] for one in kept.value.how.data().get("pieces", ()))}
        for film in used:
            films.may_be_used(films.film_of(self.store, film), self.films.today, read_media(self.folder))
        folder = self.folder / EXPORTS
        folder.mkdir(exist_ok=True)
        path = self.file_of(kept.id)
        maker = Maker(self.films, self.courts, lambda done, of: told(done, of, "Making the clip"), cancelled)
        return maker.make(kept, path)

    def _note_files(self, clip: str, blurred: int) -> None:
        made = self._now().isoformat(timespec="seconds")
        rows = [
            {"name": one.name, "digest": digest_of(one), "made": made}
            for one in (self.file_of(clip), self.sheet_of(clip))
        ]
        rows[0]["blurred"] = blurred
        clips.files_made(self.store, clip, rows)

    def _remove_files(self, clip: str) -> None:
        for one in (self.file_of(clip), self.sheet_of(clip)):
            one.unlink(missing_ok=True)

    # -- what leaves -------------------------------------------------------------------------------------

    def clips(self, film: str = "", words: str = "") -> list[Json]:
        """Return the clips, newest first, those of a film or with words in title or note."""
        asked = words.casefold().split()
        found = []
        for one in self.films.clips():
            text = f"{one['title']} {one['note']} {one['film_title']}".casefold()
            if (not film or one["film"] == film) and all(word in text for word in asked):
                found.append(self._page(one))
        return found

    def clip(self, id: str) -> Json:
        """Return one clip with what to look at before it leaves."""
        found = next((one for one in self.films.clips() if one["id"] == id), None)
        if found is None:
            raise StoreError(Problem("clip", repr(id)[:60], "a clip of the list", "open /clips"))
        return self._page(found)

    def _page(self, one: Json) -> Json:
        there = self._is_there(one)
        film = films.film_of(self.store, one["film"])
        allowed = film.value.permission.data()
        names = self.names_in(one)
        how = one["how"]
        marked = len(self._regions(one["film"], one["begins"], one["ends"], how))
        blurred = next(
            (row["blurred"] for row in one["files"] if "blurred" in row and not row.get("stale")), 0
        )
        return {
            **one,
            "there": there and one["status"] == "made",
            "confirmed": how.get("confirmed", ""),
            "permission": allowed,
            "expired": films.expired(film, self.films.today),
            "names": names,
            "blurred": blurred,
            "sound": bool(how.get("sound")),
            "leaving": leaving_words(
                blurred, bool(how.get("sound")), names, how.get("way", "exact"), max(0, marked - blurred)
            ),
        }

    def _regions(self, film: str, begins: Json, ends: Json, how: Mapping[str, Any]) -> list[Json]:
        """Return every region marked in what a clip shows, whichever clip it was marked for."""
        spans = [(film, begins, ends)]
        if how.get("pieces"):
            there = self._moments([one["mark"] for one in how["pieces"]])
            spans = [(row["film"], *self._span(row, how)) for row in there]
        return [
            region
            for of, first, last in spans
            for region in regions_on(self.store.find("clip", film=of), first, last)
        ]

    def _moments(self, marks: Sequence[str]) -> list[Json]:
        """Return the moments of a reel that are still there."""
        found = []
        for mark in marks:
            try:
                found.append(self.films.mark(mark))
            except StoreError:
                continue  # taken out since: the reel that was made still has it, a new one will not
        return found

    def _is_there(self, one: Mapping[str, Any]) -> bool:
        """Return whether a clip is finished: its file and its contact sheet lie here, and the store knows of both."""
        made = (self.file_of(one["id"]), self.sheet_of(one["id"]))
        known = {row["name"] for row in one["files"] if not row.get("stale")}
        return all(file.name in known and file.exists() for file in made)

    def names_in(self, one: Mapping[str, Any]) -> list[str]:
        """Return what looks like somebody's name or number in the words that would leave with a clip."""
        known = [
            name for saved in self.store.find("official") for name in (saved.value.name, saved.value.short)
        ]
        pointed = [item.get("text", "") for row in self.courts.pointers(one["film"]) for item in row["items"]]
        return names_found(f"{one['title']} . {one['note']} . {' . '.join(pointed)}", known)

    def confirm(self, clip: str, looked: Mapping[str, bool], seen: str) -> Json:
        """Say that permission, names and contact sheet were looked at; only then is the file handed out.

        Raises:
            UsageError: what was not looked at, leave that has ended, or no file yet.
        """
        kept = self._of(clip)
        films.may_be_used(
            films.film_of(self.store, kept.value.film), self.films.today, read_media(self.folder)
        )
        asked = {
            "permission": "who allowed it, and for whom",
            "names": "the names found",
            "sheet": "the contact sheet",
        }
        missing = [
            Problem(name, "not ticked", f"you looked at {what}", "look, then tick it")
            for name, what in asked.items()
            if not looked.get(name)
        ]
        if not self.clip(clip)["there"]:
            missing.append(Problem("file", "not made yet", "a finished clip", "wait for the work to end"))
        if missing:
            raise UsageError(missing)
        self._save(kept, seen, how={**kept.value.how.data(), "confirmed": self.films.today})
        return self.clip(clip)

    def file_of(self, clip: str) -> Path:
        """Return where the file of a clip lies, made or not."""
        return self.folder / EXPORTS / f"clip-{clip}.mp4"

    def sheet_of(self, clip: str) -> Path:
        """Return where its contact sheet lies."""
        return self.file_of(clip).with_suffix(CONTACT)

    def to_take(self, clip: str) -> tuple[str, Path]:
        """Return a plain file name and the file, for a clip that was confirmed.

        Raises:
            UsageError: it was not, or leave has ended.
        """
        page = self.clip(clip)
        if page["expired"] or page["status"] != "made":
            raise UsageError(
                Problem("leave", "ended, or the clip was withdrawn", "leave that still holds", "ask again")
            )
        if not page["confirmed"] or not page["there"]:
            do = "look at permission, names and contact sheet, and confirm"
            raise UsageError(Problem("clip", "not confirmed yet", "a clip somebody looked at", do))
        return f"clip-{clip[-6:]}.mp4", self.file_of(clip)

    def rows(self, film: str = "", words: str = "") -> list[Json]:
        """Return clips as rows for chapters, time lines and tables."""
        found = []
        for one in self.clips(film, words):
            mark = self.films.mark(one["marks"][0]) if one["marks"] else None
            events = {} if mark is None else mark["events"]
            tags = [] if mark is None else mark["tags"]
            found.append({"title": one["title"], "film": one["film_title"], "start": one["begins"], "end": one["ends"],
                          "events": events, "tags": tags, "note": one["note"]})  # fmt: skip
        return found

    # -- kept --------------------------------------------------------------------------------------------

    def _of(self, clip: str) -> Saved[Any]:
        return self.store.get("clip", clip)

    def _save(self, kept: Saved[Any], seen: str, **changed: Any) -> None:
        value = {name: getattr(kept.value, name) for name in kept.value.__struct_fields__}
        self.store.save("clip", {**value, **changed}, id=kept.id, seen=seen or kept.version)


def _looks(clip: Saved[Any]) -> Json:
    """Return what a clip is to look like: how it is made, not whether somebody looked at it."""
    return {name: value for name, value in clip.value.how.data().items() if name != "confirmed"}


def checked(how: Mapping[str, Any], count: int) -> Json:
    """Return how clips are made, every choice filled in.

    >>> checked({}, 1)["sound"], checked({"way": "reel"}, 3)["before_s"]
    (False, 3.0)

    Raises:
        UsageError: every choice that is none.
    """
    way = how.get("way", "exact")
    problems = [] if way in WAYS else [one_of("way", str(way)[:40], WAYS)]
    if count < 1 or (way == "beside" and count != 2):
        wanted = "two moments" if way == "beside" else "at least one moment"
        problems.append(Problem("marks", f"{count} chosen", wanted, "tick them in the list"))
    given: Json = {"way": way}
    for name, usual in (("before_s", 3.0), ("after_s", 3.0), ("hold_s", 0.0)):
        value = how.get(name, usual)
        if not isinstance(value, int | float) or not 0 <= value <= MOST_MARGIN_S:
            problems.append(
                Problem(name, repr(value)[:40], f"seconds from 0 to {MOST_MARGIN_S:g}", f"write {usual:g}")
            )
        given[name] = value
    height = how.get("height", 720)
    if height not in HEIGHTS:
        problems.append(
            Problem("height", repr(height)[:40], f"one of {', '.join(map(str, HEIGHTS))}", "write 720")
        )
    for name, usual_yes in (("sound", False), ("overlay", True), ("captions", True)):
        given[name] = bool(how.get(name, usual_yes))
    if problems:
        raise UsageError(problems)
    return {**given, "height": height, "blur": list(how.get("blur") or ())}


NAME = re.compile(r"\b[A-Z][a-z'’]+(?:-[A-Z][a-z]+)? [A-Z][a-z'’]+(?:-[A-Z][a-z]+)?\b")
NUMBER = re.compile(r"(?:#|\b[Nn]o\. ?|\b[Nn]umber )\d{1,2}\b")
TRADE = frozenset(("White", "Dark", "Lead", "Trail", "Referee", "Umpire", "The", "Throw", "Look", "Praise"))


def names_found(text: str, known: Sequence[str]) -> list[str]:
    """Return what looks like a name or a player's number in a text, each once.

    >>> names_found("Dara at the end line; number 23 and Mo Quill wait", ["Dara Whitlock", "Dara"])
    ['Dara', 'number 23', 'Mo Quill']
    """
    found = [name for name in known if name and re.search(rf"\b{re.escape(name)}\b", text)]
    found += NUMBER.findall(text)
    found += [one for one in NAME.findall(text) if not set(one.split()) & TRADE]
    kept = [one for one in found if not any(one != other and one in other for other in found)]
    return list(dict.fromkeys(kept))
