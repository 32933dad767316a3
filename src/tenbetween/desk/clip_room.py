"""Clips out of film: planned from moments, made by a job, looked at before they leave, handed on once confirmed.

A clip is exact (with pointers, stops, captions, blurred regions) or a fast copy; many become a reel; two stand side
by side, joined at disposal. Sound is off unless asked for. Names and contact sheet are shown before anything leaves.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tenbetween.desk import clip_span, clips, films
from tenbetween.desk.blurred import regions_on
from tenbetween.desk.clip_choices import TAKES, checked
from tenbetween.desk.clip_making import CARD_S, CONTACT, Maker
from tenbetween.desk.clip_names import names_found
from tenbetween.desk.clip_words import leaving_words, left_out_words
from tenbetween.errors import Problem, StoreError, TenbetweenError, UsageError
from tenbetween.store.derived_files import digest_of
from tenbetween.store.media_file import read_media

if TYPE_CHECKING:
    from tenbetween.desk.court_room import CourtRoom
    from tenbetween.desk.film_room import FilmRoom
    from tenbetween.store import Saved

Json = dict[str, Any]
EXPORTS = "exports"
MOST_MARKS = 60
LOOKED_AT = ("confirmed", "names")
"""What of a clip is not how it is made: who looked, and at which names."""


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
        self._refuse_seams(rows, wanted)
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
        span = self._span(row, how)
        made = self.films.make_clip(row["film"], span[0][0], span[-1][1], title, how, list(marks))
        return str(made["id"])

    def _span(self, row: Json, how: Mapping[str, Any]) -> list[clip_span.Stretch]:
        """Return from where to where a clip of a moment goes: its events with the margins, part by part."""
        return clip_span.of_moment(self._parts(row["film"]), row, how)

    def _parts(self, film: str) -> list[Json]:
        parts: list[Json] = films.film_of(self.store, film).value.parts.data()
        return parts

    def _refuse_seams(self, rows: Sequence[Json], how: Json) -> None:
        """Refuse what a fast copy and a comparison cannot do: go on from one part of a film into the next."""
        do = {
            "fast": "choose exact, or fewer seconds before and after",
            "beside": "choose a reel, or fewer seconds before and after",
        }.get(how["way"])
        over = [number for number, row in enumerate(rows, 1) if do and len(self._span(row, how)) > 1]
        if over:
            raise UsageError(
                [
                    Problem(
                        f"moment {number}",
                        "it goes on from one part of the film into the next",
                        "one part",
                        str(do),
                    )
                    for number in over
                ]
            )

    def change(self, clip: str, fields: Mapping[str, Any], seen: str) -> str:
        """Change how a clip is made (regions to blur, a caption, its title) and queue it anew.

        Its confirmation is gone, and its file: what was made the old way is not to be handed on meanwhile.
        """
        kept = self._of(clip)
        how = {
            **kept.value.how.data(),
            **{name: fields[name] for name in ("blur", "sound") if name in fields},
        }
        for name in LOOKED_AT:
            how.pop(name, None)
        how["sound"] = bool(how.get("sound")) and "sound" in TAKES[how.get("way", "exact")]
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
            blurred = len(self._regions(clips.clip_page(kept, "")))
            self._refuse_unless_allowed(kept.id)
            facts = self._made(kept, told, cancelled)
            self._refuse_unless_allowed(kept.id)
            if _looks(self._of(kept.id)) == _looks(kept):
                self._note_files(kept.id, blurred)
                self._refuse_unless_allowed(kept.id)
                return {"clip": kept.id, **facts}
            self._remove_files(kept.id)

    def _refuse_unless_allowed(self, clip: str) -> None:
        """Refuse a clip any of whose films may not be used; asked again after making, for much can happen meanwhile.

        Raises:
            UsageError: leave has ended, or a film was withdrawn; nothing of the clip is left then.
        """
        kept = self._of(clip)
        problems = self._not_allowed(clips.clip_page(kept, ""))
        if problems:
            self._remove_files(clip)
            raise UsageError(problems)

    def _not_allowed(self, one: Mapping[str, Any]) -> list[Problem]:
        """Return why a clip may not leave: what keeps any of the films in it from being used."""
        media, found = read_media(self.folder), []
        if one["status"] != "made":
            found = [
                Problem(one["title"], "withdrawn", "a clip that may be used", "make it of a film in use")
            ]
        for film in films_in(one):
            try:
                films.may_be_used(films.film_of(self.store, film), self.films.today, media)
            except TenbetweenError as error:
                found += error.problems
        return found

    def _made(
        self, kept: Saved[Any], told: Callable[[int, int, str], None], cancelled: Callable[[], bool]
    ) -> Json:
        folder = self.folder / EXPORTS
        folder.mkdir(exist_ok=True)
        path = self.file_of(kept.id)
        maker = Maker(self.films, self.courts, lambda done, of: told(done, of, "Making the clip"), cancelled)
        return maker.make(kept, path)

    def _note_files(self, clip: str, blurred: int) -> None:
        from tenbetween.film.opened import seconds_long

        made = self._now().isoformat(timespec="seconds")
        rows: list[Json] = [
            {"name": one.name, "digest": digest_of(one), "made": made}
            for one in (self.file_of(clip), self.sheet_of(clip))
        ]
        rows[0] |= {"blurred": blurred, "seconds": seconds_long(self.file_of(clip))}
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
            if (not film or film in films_in(one)) and all(word in text for word in asked):
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
        names = self.names_in(one)
        how = one["how"]
        marked = len(self._regions(one))
        said: Json = next((row for row in one["files"] if "blurred" in row and not row.get("stale")), {})
        blurred = said.get("blurred", 0)
        allowed = [self._permission(film) for film in films_in(one)]
        return {
            **one,
            "there": there and one["status"] == "made",
            "confirmed": how.get("confirmed", ""),
            "permission": allowed[0],
            "permissions": allowed,
            "expired": any(row["expired"] for row in allowed),
            "names": names,
            "blurred": blurred,
            "sound": bool(how.get("sound")),
            "stretches": self._stretches_of(one),
            "seconds": said.get("seconds") or self._planned_s(one),
            "moments_gone": len(one["marks"]) - len(self._moments(one["marks"])),
            "leaving": leaving_words(
                blurred, bool(how.get("sound")), names, how.get("way", "exact"), max(0, marked - blurred)
            ),
        }

    def _permission(self, film: str) -> Json:
        """Return who allowed a film, and whether that has ended."""
        kept = films.film_of(self.store, film)
        ended = films.expired(kept, self.films.today)
        gone = films.withdrawn(kept, read_media(self.folder))
        return {**kept.value.permission.data(), "film": kept.value.title, "expired": ended, "withdrawn": gone}

    def _stretches_of(self, one: Mapping[str, Any]) -> list[Json]:
        """Return the pieces of film of a clip of one moment, each of one part."""
        spans = clip_span.of_frames(self._parts(one["film"]), one["begins"], one["ends"])
        return [{"begins": begins, "ends": ends} for begins, ends in spans]

    def _spans(self, one: Mapping[str, Any]) -> list[tuple[str, list[clip_span.Stretch]]]:
        """Return the film and the stretches of every piece of a clip."""
        if not one["how"].get("pieces"):
            return [(one["film"], clip_span.of_frames(self._parts(one["film"]), one["begins"], one["ends"]))]
        there = self._moments([piece["mark"] for piece in one["how"]["pieces"]])
        return [(row["film"], self._span(row, one["how"])) for row in there]

    def _planned_s(self, one: Mapping[str, Any]) -> float:
        """Return how long a clip that is not made yet is to be; what was made says so itself."""
        how, spans = one["how"], [span for _, span in self._spans(one)]
        long = [float(clip_span.seconds_of(span)) for span in spans]
        if how.get("way") == "beside":
            return max(long, default=0.0)
        return sum(long) + (CARD_S * len(long) if how.get("way") == "reel" else 0.0)

    def _regions(self, one: Mapping[str, Any]) -> list[Json]:
        """Return every region marked in what a clip shows, whichever clip it was marked for."""
        return [
            region
            for film, spans in self._spans(one)
            for first, last in spans
            for region in regions_on(self.store.find("clip", film=film, limit=clips.MOST_CLIPS), first, last)
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
        """Return what looks like somebody's name or number in the words that would leave with a clip or a list."""
        known = [
            name for saved in self.store.find("official") for name in (saved.value.name, saved.value.short)
        ]
        said = [one["title"], one["note"]]
        for film in films_in(one):
            said += [item.get("text", "") for row in self.courts.pointers(film) for item in row["items"]]
        said += [str(tag) for row in self._moments(one["marks"]) for tag in row["tags"]]
        return names_found(" . ".join(said), known)

    def confirm(self, clip: str, looked: Mapping[str, bool], seen: str) -> Json:
        """Say that permission, names and contact sheet were looked at; only then is the file handed out.

        Raises:
            UsageError: what was not looked at, leave of any film in it that has ended, or no file yet.
        """
        kept, page = self._of(clip), self.clip(clip)
        if ended := self._not_allowed(page):
            raise UsageError(ended)
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
        if not page["there"]:
            missing.append(Problem("file", "not made yet", "a finished clip", "wait for the work to end"))
        if missing:
            raise UsageError(missing)
        self._save(
            kept, seen, how={**kept.value.how.data(), "confirmed": self.films.today, "names": page["names"]}
        )
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
        if ended := self._not_allowed(page):
            raise UsageError(ended)
        if not page["confirmed"] or not page["there"]:
            do = "look at permission, names and contact sheet, and confirm"
            raise UsageError(Problem("clip", "not confirmed yet", "a clip somebody looked at", do))
        return f"clip-{clip[-6:]}.mp4", self.file_of(clip)

    def rows(self, film: str = "", words: str = "", by_part: bool = False) -> list[Json]:
        """Return confirmed clips of films in use as rows for chapters and tables; one for each part for a time line.

        What its moment says comes along while the moment is there.
        """
        found = []
        for one in self.clips(film, words):
            if self._kept_back(one):
                continue
            mark: Json = next(iter(self._moments(one["marks"][:1])), {"events": {}, "tags": []})
            row = {"title": one["title"], "film": one["film_title"], "start": one["begins"], "end": one["ends"],
                   "events": mark["events"], "tags": mark["tags"], "note": one["note"]}  # fmt: skip
            parts = self._parts(one["film"])
            spans = [(row_["begins"], row_["ends"]) for row_ in one["stretches"]]
            found += clip_span.row_by_part(films.TimeLine(parts), row, spans) if by_part else [row]
        return found

    def offsets_s(self) -> dict[str, float]:
        """Return by part what makes its own seconds those of its game's one time line."""
        every = self.store.find("film", limit=clips.MOST_CLIPS)
        return {
            part: add for one in every for part, add in clip_span.offsets_s(one.value.parts.data()).items()
        }

    def left_out(self, film: str = "", words: str = "") -> str:
        """Return in words which clips no list hands out, and why; nothing when all are in it."""
        why = [self._kept_back(one) for one in self.clips(film, words)]
        return left_out_words([one for one in why if one])

    def _kept_back(self, one: Mapping[str, Any]) -> str:
        """Return why a clip is in no list that leaves, or nothing."""
        if one["status"] != "made" or any(row["withdrawn"] for row in one["permissions"]):
            return "withdrawn"
        if one["expired"]:
            return "of a film whose leave has ended"
        if not one["confirmed"]:
            return "not confirmed"
        return "with a name nobody looked at" if set(one["names"]) - set(one["how"].get("names", ())) else ""

    # -- kept --------------------------------------------------------------------------------------------

    def _of(self, clip: str) -> Saved[Any]:
        return self.store.get("clip", clip)

    def _save(self, kept: Saved[Any], seen: str, **changed: Any) -> None:
        value = {name: getattr(kept.value, name) for name in kept.value.__struct_fields__}
        self.store.save("clip", {**value, **changed}, id=kept.id, seen=seen or kept.version)


def _looks(clip: Saved[Any]) -> Json:
    """Return what a clip is to look like: how it is made, not whether somebody looked at it."""
    return {name: value for name, value in clip.value.how.data().items() if name not in LOOKED_AT}


def films_in(one: Mapping[str, Any]) -> list[str]:
    """Return every film a clip shows, its own first.

    >>> films_in({"film": "a", "how": {"pieces": [{"film": "a"}, {"film": "b"}]}})
    ['a', 'b']
    """
    return list(dict.fromkeys((one["film"], *(piece["film"] for piece in one["how"].get("pieces", ())))))
