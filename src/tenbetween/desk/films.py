"""Films of games where they lie: taken in by fingerprint, with leave and its last day, on one time line.

Nothing is uploaded and nothing moved: the store keeps fingerprints and names, ``media.toml`` keeps this machine's
paths. A film that was moved is found again by its content; one that is gone keeps its marks. Decodes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from tenbetween.desk.footage import Footage
from tenbetween.errors import Problem, StoreError, TenbetweenError, UsageError, one_of
from tenbetween.store.media_file import (
    Media,
    MediaFile,
    file_id,
    files_below,
    files_in,
    read_media,
    size_of,
    write_media,
)

if TYPE_CHECKING:
    from tenbetween.store import Saved, Store

Json = dict[str, Any]
FIELDS = ("title", "date", "level", "crew", "recognise", "permission", "opening", "note")
"""What the trainer may say of a film."""
MAIN = "main"
COPIES = "copies"
"""The folder of a workbench with the copies every browser shows."""
US = 1_000_000


# ---- files ----


def listed(folder: Path, films: Iterable[Saved[Any]]) -> list[Json]:
    """Return the folders of ``media.toml`` with the film files in each, and which film each belongs to."""
    media = read_media(folder)
    owners = {part["fingerprint"]: film.id for film in films for part in film.value.parts.data()}
    known = {file_id(path): owners.get(print_, "") for print_, path in media.films.items()}
    return [
        {
            "folder": place.name or str(place),
            "id": file_id(place),
            "there": place.is_dir(),
            "files": [
                {"id": f.id, "name": f.name, "size": f.size, "film": known.get(f.id, "")}
                for f in files_in(place)
            ],
        }
        for place in media.folders
    ]


def add_folder(folder: Path, wanted: str) -> None:
    """Let the page list a folder; it is said on this machine only.

    Raises:
        UsageError: no such folder.
    """
    place = Path(wanted).expanduser().absolute()
    if not place.is_dir():
        raise UsageError(Problem("folder", wanted, "a folder with film in it", "look at how it is written"))
    media = read_media(folder)
    if place not in media.folders:
        write_media(folder, replace(media, folders=(*media.folders, place)))


def chosen(folder: Path, ids: Sequence[str]) -> tuple[MediaFile, ...]:
    """Return the files of ids, in that order.

    Raises:
        UsageError: an id that is none of a file in a listed folder, or none at all.
    """
    there = {file.id: file for place in read_media(folder).folders for file in files_in(place)}
    if not ids:
        raise UsageError(Problem("files", "none", "one file or more", "choose the files of the game"))
    faults = [
        Problem(
            f"files[{n}]",
            repr(one)[:60],
            "a file of a listed folder",
            "read the list again: it may have been moved",
        )
        for n, one in enumerate(ids)
        if one not in there
    ]
    if faults:
        raise UsageError(faults)
    return tuple(there[one] for one in ids)


def read_parts(
    footage: Footage,
    files: Sequence[MediaFile],
    cameras: Sequence[str] = (),
    offsets_us: Mapping[str, int] = {},
) -> tuple[list[Json], list[str]]:
    """Return files as parts, and what is odd about them; the parts of a camera follow one another on the time line.

    ``cameras`` names the camera of each file, ``offsets_us`` where on the time line a camera begins.

    Raises:
        TenbetweenError: every file that cannot be read as film.
    """
    named = [*cameras, *[MAIN] * len(files)][: len(files)]
    begins = {name: offsets_us.get(name, 0) for name in named}
    parts: list[Json] = []
    said: list[str] = []
    faults: list[Problem] = []
    for file, camera in zip(files, named, strict=True):
        try:
            probed = dict(footage.probe(file.path))
        except TenbetweenError as fault:
            faults += [one if file.name in one.where else one.under(file.name) for one in fault.problems]
            continue
        said += [f"{file.name}: {one}" for one in probed.pop("warnings", ())]
        end_pts = probed.pop("end_pts", probed["last_pts"])
        parts.append({**probed, "camera": camera, "offset_us": begins[camera], "copy": ""})
        lasts = Fraction((end_pts - probed["first_pts"]) * probed["base"][0], probed["base"][1])
        begins[camera] += round(lasts * US)
    if faults:
        raise UsageError(faults)
    return parts, said


def looked_at(footage: Footage, files: Sequence[MediaFile], free_bytes: int) -> list[Json]:
    """Return what files are made of before they are taken in, and how much room a copy for the browser takes.

    A file that is no film is said to be so beside the others: id, name, size and ``problems``.
    """
    return [_looked_at(footage, file, free_bytes) for file in files]


def _looked_at(footage: Footage, file: MediaFile, free_bytes: int) -> Json:
    try:
        part = {**footage.probe(file.path), "id": file.id, "problems": []}
        if part["needs_copy"]:
            part |= {"copy_bytes": footage.copy_bytes(file.path), "free_bytes": free_bytes}
    except TenbetweenError as fault:
        problems = [one.as_dict() for one in fault.problems]
        return {"id": file.id, "name": file.name, "size": file.size, "problems": problems}
    part.pop("end_pts", None)
    return {**part, "warnings": list(part["warnings"])}


def refuse_taken(parts: Sequence[Json], films: Iterable[Saved[Any]], media: Media) -> None:
    """Refuse a part twice, a part of another film, and film that was withdrawn.

    Raises:
        UsageError: every part that cannot be taken in, and why.
    """
    owners = {p["fingerprint"]: film.value.title for film in films for p in film.value.parts.data()}
    faults, seen = [], set[str]()
    for part in parts:
        print_, name = part["fingerprint"], part["name"]
        if print_ in media.withdrawn:
            do = "ask again for leave; then take its [[withdrawn]] lines out of media.toml"
            faults.append(
                Problem(name, f"withdrawn on {media.withdrawn[print_]}", "film that may be used", do)
            )
        elif print_ in owners:
            faults.append(
                Problem(
                    name, f"already in the film {owners[print_]!r}", "a file of its own", "open that film"
                )
            )
        elif print_ in seen:
            faults.append(Problem(name, "the same file twice", "each part once", "leave one out"))
        seen.add(print_)
    if faults:
        raise UsageError(faults)


# ---- leave to use it ----


def permission_of(given: Mapping[str, Any], today: str, kept_until: str = "") -> Json:
    """Return who allowed the film, on which day, until when, for what, and whether minors are to be seen.

    ``kept_until`` is the last day kept so far: it may stay though it has passed, so that other words can be mended.

    >>> permission_of({"by": "Ardenmoor", "until": "2026-05-31"}, "2025-11-03")["on"]
    '2025-11-03'

    Raises:
        UsageError: nobody named, no last day, one that has passed, or a day that is none.
    """
    faults = []
    known = ("by", "on", "until", "scope", "minors")
    faults += [one_of("permission", name, known) for name in given if name not in known]
    by = str(given.get("by") or "").strip()
    if not by:
        do = "ask for leave first; then write the name of who gave it"
        faults.append(Problem("permission.by", "nothing", "who allowed this film for training", do))
    on, until = str(given.get("on") or today), str(given.get("until") or "")
    faults += _day_faults(on, "permission.on") if on else []
    if not until:
        do = "write the day by which it is to be deleted, for example the end of the season"
        faults.append(Problem("permission.until", "nothing", "the last day it may be used", do))
    elif wrong := _day_faults(until, "permission.until"):
        faults += wrong
    elif until < today and until != kept_until:
        do = "ask again for leave, and write the day it holds until"
        faults.append(Problem("permission.until", f"{until}, which has passed", f"{today} or later", do))
    if faults:
        raise UsageError(faults)
    scope = str(given.get("scope") or "inside the class")
    return {"by": by, "on": on, "until": until, "scope": scope, "minors": given.get("minors") is not False}


def _day_faults(day: str, where: str) -> list[Problem]:
    try:
        date.fromisoformat(day)
    except ValueError:
        return [Problem(where, repr(day)[:40], "a day of the calendar", "write it like 2026-05-31")]
    return []


def expired(film: Saved[Any], today: str) -> bool:
    """Return whether the last day of leave has passed."""
    until = film.value.permission.data().get("until", "")
    return bool(until) and until < today


def may_be_used(film: Saved[Any], today: str, media: Media) -> None:
    """Refuse what may not leave the workbench any more.

    Raises:
        UsageError: withdrawn, or the last day of leave has passed.
    """
    if withdrawn(film, media):
        do = "ask again for leave and take the film in anew"
        raise UsageError(Problem(film.value.title, "withdrawn", "a film that may be used", do))
    if expired(film, today):
        until = film.value.permission.data()["until"]
        do = "ask again and write the new day, or withdraw the film"
        raise UsageError(Problem(film.value.title, f"leave until {until}", "leave that still holds", do))


def withdrawn(film: Saved[Any], media: Media) -> bool:
    """Return whether a film was withdrawn, here or, after a copy was put back, before."""
    prints = [part["fingerprint"] for part in film.value.parts.data()]
    return film.value.status == "withdrawn" or any(one in media.withdrawn for one in prints)


# ---- where a part lies now ----


def remember(folder: Path, paths: Mapping[str, Path]) -> None:
    """Write down where parts lie on this machine."""
    media = read_media(folder)
    write_media(folder, replace(media, films={**media.films, **paths}))


def look_for(folder: Path, footage: Footage, part: Mapping[str, Any], media: Media) -> Path | None:
    """Return where a part lies now: where it was, or found again by its content in a listed folder or one inside it."""
    print_ = part["fingerprint"]
    if print_ in media.withdrawn:
        return None
    path = media.films.get(print_)
    if path is not None and size_of(path) == part["size"]:
        return path
    for place in media.folders:
        for file in files_below(place):
            if file.size == part["size"] and _is(footage, file.path, print_):
                remember(folder, {print_: file.path})
                return file.path
    return None


def needs_one(folder: Path, part: Mapping[str, Any], takes: int, free: int) -> None:
    """Refuse the copy of a part that needs none, has one, or for which the disk lacks the room (bytes).

    Raises:
        UsageError: why no copy is made.
    """
    name = str(part["name"])
    if not part.get("needs_copy"):
        raise UsageError(Problem(name, "a film browsers show as it is", "one that needs a copy", "play it"))
    if copy_here(folder, part) is not None:
        raise UsageError(Problem(name, "its copy is here", "a part without one", "open the film again"))
    if takes > free > 0:
        found = f"{free / 1e6:,.0f} MB free, {takes / 1e6:,.0f} MB needed at most"
        raise UsageError(Problem(name, found, "room for the copy", "make room on the disk of the workbench"))


def copy_here(folder: Path, part: Mapping[str, Any]) -> Path | None:
    """Return the copy of a part every browser shows, where one was made and lies in this workbench folder."""
    copy = folder / COPIES / str(part.get("copy") or "")
    return copy if part.get("copy") and size_of(copy) else None


def _is(footage: Footage, path: Path, print_: str) -> bool:
    try:
        return footage.fingerprint(path) == print_
    except TenbetweenError:
        return False


def missing_words(part: Mapping[str, Any], media: Media) -> str:
    """Return what is the matter with a part that cannot be opened."""
    path = media.films.get(part["fingerprint"])
    size = None if path is None else size_of(path)
    name = part["name"]
    if path is not None and size is not None and size < part["size"]:
        return f"{name} is cut short: {size:,} of {part['size']:,} bytes are there; copy it again"
    if path is not None and size is not None:
        return f"{name} has changed since it was taken in; its marks are kept, but do not fit any more"
    return f"{name} is not where it was; put it into a listed folder, or plug its disk in: marks are kept"


# ---- the one time line ----


class TimeLine:
    """The one time line of a game, in whole microseconds: every part of every camera has its place on it."""

    def __init__(self, parts: Sequence[Mapping[str, Any]]) -> None:
        self.parts = {part["fingerprint"]: part for part in parts}
        self._scale: dict[str, tuple[int, int, int, int]] = {
            p["fingerprint"]: (p["base"][0], p["base"][1], p["first_pts"], p["offset_us"]) for p in parts
        }

    def second(self, at: Mapping[str, Any]) -> Fraction:
        """Return the exact second of a frame time; a part that is not of this film stands at its own time."""
        return Fraction(*self._ratio(at))

    def seconds(self, at: Mapping[str, Any]) -> float:
        """Return the second of a frame time, rounded once."""
        over, under = self._ratio(at)
        return over / under

    def _ratio(self, at: Mapping[str, Any]) -> tuple[int, int]:
        found = self._scale.get(at["part"])
        if found is None:
            return at["pts"] * at["base"][0], at["base"][1]
        num, den, first, offset = found
        return offset * den + (at["pts"] - first) * num * US, den * US

    def faults(self, at: Mapping[str, Any], where: str) -> Iterator[Problem]:
        """Yield what keeps a frame time from being one of this film."""
        part = self.parts.get(at["part"])
        if part is None:
            yield Problem(
                where, at["part"][:40], "a part of this film", "send the fingerprint the film names"
            )
        elif list(at["base"]) != list(part["base"]):
            yield Problem(where, f"time base {at['base']}", f"{part['base']}", "send the part's own base")
        elif not part["first_pts"] <= at["pts"] <= part["last_pts"]:
            expected = f"{part['first_pts']} to {part['last_pts']}"
            yield Problem(where, str(at["pts"]), expected, "send the time of a frame of this part")


def aligned(parts: Sequence[Json], here: Mapping[str, Any], there: Mapping[str, Any]) -> list[Json]:
    """Return the parts with the camera of ``here`` moved so that both frame times show the same moment.

    Raises:
        UsageError: a frame of no part, or both of the same camera.
    """
    line = TimeLine(parts)
    faults = [*line.faults(here, "here"), *line.faults(there, "there")]
    if faults:
        raise UsageError(faults)
    moved, fixed = line.parts[here["part"]]["camera"], line.parts[there["part"]]["camera"]
    if moved == fixed:
        found = f"both of the camera {moved!r}"
        raise UsageError(
            Problem("here", found, "one moment on two cameras", "choose it on the other camera too")
        )
    shift = round((line.second(there) - line.second(here)) * US)
    return [
        {**part, "offset_us": part["offset_us"] + shift} if part["camera"] == moved else part
        for part in parts
    ]


# ---- kept ----


def fields_of(given: Mapping[str, Any], today: str, kept_until: str = "") -> Json:
    """Return what was said of a film, ready to keep.

    Raises:
        UsageError: a name that a film does not have, or something that cannot be.
    """
    faults = [one_of("film", name, FIELDS) for name in given if name not in FIELDS]
    faults += list(_people_faults(given))
    if faults:
        raise UsageError(faults)
    found = {name: value for name, value in given.items() if value is not None}
    if "permission" in found:
        found["permission"] = permission_of(found["permission"], today, kept_until)
    return found


_OPENING = {
    "attacking": ("left", "right"), "lead": ("referee", "umpire"), "lead_side": ("table", "opposite"),
    "ball": ("a", "b"), "arrow": ("a", "b"), "a": ("white", "dark"),
}  # fmt: skip


def _people_faults(given: Mapping[str, Any]) -> Iterator[Problem]:
    for name in ("crew", "recognise"):
        for person in given.get(name) or {}:
            if person not in ("referee", "umpire"):
                yield one_of(name, person, ("referee", "umpire"))
    for name, value in (given.get("opening") or {}).items():
        if name == "period":
            continue
        if name not in _OPENING:
            yield one_of("opening", name, (*_OPENING, "period"))
        elif value not in (None, "", *_OPENING[name]):
            yield one_of(f"opening.{name}", value, _OPENING[name])


def changed(
    store: Store, id: str, fields: Mapping[str, Any], seen: str, today: str, basis: Json | None = None
) -> Saved[Any]:
    """Return a film with some of its fields changed; with ``basis`` it rests on another book from now on.

    Raises:
        TenbetweenError: what ``fields_of`` refuses, or somebody changed it since it was seen.
    """
    film = store.get("film", id)
    value = {name: getattr(film.value, name) for name in film.value.__struct_fields__}
    new = fields_of(fields, today, film.value.permission.data().get("until", ""))
    return store.save("film", {**value, **new}, basis=basis or film.basis, id=id, seen=seen)


def film_of(store: Store, id: str) -> Saved[Any]:
    """Return one film.

    Raises:
        StoreError: there is none with that id.
    """
    found: Saved[Any] = store.get("film", id)
    return found


def part_of(film: Saved[Any], print_: str) -> Json:
    """Return a part of a film by its fingerprint.

    Raises:
        StoreError: the film has no such part.
    """
    for part in film.value.parts.data():
        if part["fingerprint"] == print_:
            return dict(part)
    do = "read the film again"
    raise StoreError(Problem("part", print_[:40], f"a part of the film {film.value.title!r}", do))


class FilmAwayError(StoreError):
    """A film that may be opened and lies nowhere this machine looks; another machine may have it."""


def away(film: Saved[Any], part: Mapping[str, Any], media: Media) -> Problem:
    """Return the problem of a part that cannot be opened: withdrawn, cut short, or not where it was."""
    if withdrawn(film, media):
        do = "ask again for leave and take the film in anew"
        return Problem(part["name"], "withdrawn", "a film that may be opened", do)
    do = "then open the film again; its marks are kept"
    return Problem(part["name"], missing_words(part, media), "the film file", do)
