"""A film withdrawn: everything made of it found, removed or emptied, each line of it said in a log.

Pictures go: clips and their notes files, stills, thumbnails, copies for the browser, wherever they lie in the workbench
folder and under whatever name, copies put aside in it too. Numbers stay: marks, places on the court, pointers, with no
picture to show them on; so does a copy of the database, which holds numbers and words, and each is named in the log.
The film file itself is the trainer's own and is left where it is. From then on the film is not opened, not even after an older
copy of the database is put back: ``media.toml`` keeps the fingerprints.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from tenbetween.errors import Problem, UsageError
from tenbetween.store.derived_files import Made, digest_of, made_files, mentions, remove
from tenbetween.store.media_file import read_media, write_media

if TYPE_CHECKING:
    from tenbetween.store import Saved, Store

Json = dict[str, Any]
NUMBERS = ("mark", "anchor", "standing", "pointer", "listening")
MOST = 100_000
SAYS = {
    "mark": "marks: times, verdicts and notes",
    "anchor": "frames on which the court was found: clicks and camera",
    "standing": "frames on which people stood: places on the court",
    "pointer": "pointers: places and words",
    "listening": "what listening proposed: times",
}


def withdraw(store: Store, folder: Path, film: str, asked_by: str, now: datetime) -> list[Json]:
    """Return the log of a film withdrawn: what was found, and what was done with each.

    May be said again: what came up since is found then.

    Raises:
        UsageError: nobody named who asked for it.
        StoreError: no such film.
    """
    if not asked_by.strip():
        do = "write who asked for it, for example the school"
        raise UsageError(Problem("asked_by", "nothing", "who asked for the film to be withdrawn", do))
    kept, today = store.get("film", film), now.date().isoformat()
    anchors = [one.id for one in store.find("anchor", film=film, limit=MOST)]
    own = _own_files(folder)
    clips = [one for one in store.find("clip", limit=MOST) if of_film(one, film)]
    log = [*close_film(folder, kept, today), *stop_work(store, film, now)]
    log += _files(folder, kept, clips, anchors, own)
    log += list(_kept_numbers(store, film))
    with store.together() as changes:
        for clip in clips:
            changes.save("clip", emptied(clip), id=clip.id, seen=clip.version)
            log.append(
                _line("clip", clip.value.title, "in the list of clips", "marked as withdrawn, emptied")
            )
        changes.save("film", withdrawn_value(kept), id=film, seen=kept.version)
        log.append(_line("film", kept.value.title, "in the list of films", "marked as withdrawn"))
        log += list(_left_to_do(kept, clips))
        value = {"film": film, "asked_by": asked_by.strip(), "on": today, "log": log}
        changes.save("withdrawal", value)
    return log


def told(store: Store, film: str) -> list[Json]:
    """Return what was said when a film was withdrawn, newest first; nothing where it never was."""
    kept = store.find("withdrawal", film=film)
    return [
        {"asked_by": one.value.asked_by, "on": one.value.on, "log": one.value.log.data()}
        for one in reversed(kept)
    ]


def stop_work(store: Store, film: str, now: datetime) -> Iterator[Json]:
    """Stop the long work that waits or runs for a film, so that nothing new is made of it."""
    for job in store.jobs.list(("waiting", "running")):
        if job.args.data().get("film") == film:
            store.jobs.ask_off(job.id, now)
            yield _line("long work", job.kind, job.state, "stopped")


def _line(what: str, name: str, found: str, done: str) -> Json:
    return {"what": what, "name": name, "found": found, "done": done}


def of_film(clip: Saved[Any], film: str) -> bool:
    """Return whether a clip shows a film: its own, or a piece of a reel made of many."""
    return clip.value.film == film or f'"{film}"' in clip.value.how.text


def close_film(folder: Path, film: Saved[Any], today: str) -> Iterator[Json]:
    """Forget where the parts lie, and write down that they are not opened again; first of all, so that nothing new
    is made of them meanwhile.
    """
    media = read_media(folder)
    prints = {part["fingerprint"]: part["name"] for part in film.value.parts.data()}
    there = {one: path for one, path in media.films.items() if one not in prints}
    gone = {**media.withdrawn, **{one: media.withdrawn.get(one, today) for one in prints}}
    write_media(folder, replace(media, films=there, withdrawn=gone))
    for print_, name in prints.items():
        known = "this machine's list of film" if print_ in media.films else "no path known here"
        yield _line(
            "film file", name, known, "not opened any more; the file itself is yours and was left alone"
        )


# ---- files made of it ----


def _own_files(folder: Path) -> OwnFiles:
    """Return what is known of the trainer's own film: these files are left, wherever they lie."""
    media = read_media(folder)
    return OwnFiles(frozenset(media.films.values()), media.folders)


class OwnFiles(Struct, frozen=True):
    """The film files of this machine, and the folders that are listed: what lies there is the trainer's own."""

    films: frozenset[Path]
    folders: tuple[Path, ...]

    def keeps(self, path: Path) -> bool:
        """Return whether a file is a film somebody took in."""
        return path in self.films or path.absolute() in self.films

    def lists(self, path: Path) -> bool:
        """Return whether a file lies in a folder of film, where its name alone says nothing."""
        return any(path.is_relative_to(one) or path.absolute().is_relative_to(one) for one in self.folders)


def _files(
    folder: Path, film: Saved[Any], clips: Sequence[Saved[Any]], anchors: Sequence[str], own: OwnFiles
) -> list[Json]:
    """Remove every file made of the film, and say what became of each copy of the database."""
    names, digests = _made_of(film, clips)
    bears = [part["fingerprint"] for part in film.value.parts.data()] + [clip.id for clip in clips]
    there = [made for made in made_files(folder) if not own.keeps(made.path)]
    plain = [made for made in there if not made.is_copy_of_database and not made.is_packed]
    known = {
        made.name: why
        for made in plain
        if (why := _why(made, names, [*bears, *anchors], by_name=not own.lists(made.path)))
    }
    rest = [made for made in plain if made.name not in known]
    listed = {made.name for made in rest if own.lists(made.path)}
    known |= _same_content([made for made in plain if made.name in known], rest, digests, listed)
    log = [_copy_of_database(made, film.id) for made in there if made.is_copy_of_database]
    for made in plain:
        if made.name in known:
            fault = remove(made.path)
            done = f"could not be removed: {fault}; remove it by hand" if fault else "removed"
            log.append(_line(_sort(made), made.name, known[made.name], done))
    log += [
        _line("packed copy", made.name, "a file with others packed in it", UNPACK)
        for made in there
        if made.is_packed
    ]
    said = {one["name"] for one in log}
    return log + [
        _line("clip file", name, "named in the list of clips", "not there any more")
        for name in sorted(names)
        if not any(one.endswith(name) for one in said)
    ]


UNPACK = "not looked into: look yourself, and delete it if film is in it"


def _made_of(film: Saved[Any], clips: Iterable[Saved[Any]]) -> tuple[set[str], set[str]]:
    """Return the names and digests of the files that are known to be made of a film."""
    files = [file for clip in clips for file in clip.value.files.data()]
    names = {str(file["name"]) for file in files if file.get("name")}
    names |= {part["copy"] for part in film.value.parts.data() if part.get("copy")}
    return names, {str(file["digest"]) for file in files if file.get("digest")}


def _why(made: Made, names: set[str], bears: Sequence[str], *, by_name: bool) -> str:
    """Return how a file is known by its name to be of the film, or nothing."""
    name = Path(made.name).name
    if any(one in made.name for one in bears):
        return "bears the fingerprint of the film or the name of its clip"
    if not by_name:
        return ""
    if name in names:
        return "named in the list"
    stems = {Path(one).stem for one in names}
    if Path(name).stem in stems or any(name.startswith(f"{stem}.") for stem in stems):
        return "beside a file named in the list"
    return ""


def _same_content(
    found: Sequence[Made], rest: Sequence[Made], digests: set[str], listed: set[str]
) -> dict[str, str]:
    """Return the files that hold, under another name, what one made of the film holds.

    A file as long as one that was found is read; any is where a clip is not found by its name, but in a folder of film.
    """
    sizes = {made.size for made in found if made.size}
    there = {digest_of(made.path) for made in found if made.size}
    far = bool(digests - there)
    read = [made for made in rest if made.size in sizes or (far and made.name not in listed)]
    wanted = digests | there
    return {
        made.name: "the same content under another name" for made in read if digest_of(made.path) in wanted
    }


def _sort(made: Made) -> str:
    tops = made.name.split("/")[:-1]
    return next((SORTS[top] for top in reversed(tops) if top in SORTS), "file made of it")


SORTS = {
    "copies": "copy for the browser",
    "stills": "still",
    "thumbnails": "thumbnail",
    "followed": "court carried through the pan",
    "exports": "clip file",
}


def _copy_of_database(made: Made, film: str) -> Json:
    if not mentions(made.path, film):
        return _line(
            "copy of the database", made.name, "made before this film", "kept: nothing of it is in it"
        )
    done = (
        "kept: it holds marks as numbers and words, no picture; put back, the film stays closed all the same"
    )
    return _line("copy of the database", made.name, "names this film", done)


# ---- what stays, and what is left to do ----


def _kept_numbers(store: Store, film: str) -> Iterator[Json]:
    for kind in NUMBERS:
        count = len(store.find(kind, film=film, limit=MOST))
        if count:
            yield _line(
                kind, str(count), SAYS[kind], "kept as numbers and words; no picture of them is shown"
            )


def _left_to_do(film: Saved[Any], clips: Iterable[Saved[Any]]) -> Iterator[Json]:
    handed = [clip.value.title for clip in clips if clip.value.files.data()]
    names = ", ".join(part["name"] for part in film.value.parts.data())
    yield _line("left to you", names, "your own film file", "delete it yourself if that was asked for too")
    if handed:
        done = "what you gave or sent to others cannot be called back from here: ask them to delete it"
        yield _line("left to you", ", ".join(handed), "clips that were made", done)


def emptied(clip: Saved[Any]) -> Json:
    """Return a clip with no file, withdrawn."""
    value = {name: getattr(clip.value, name) for name in clip.value.__struct_fields__}
    return {**value, "files": [], "status": "withdrawn"}


def withdrawn_value(film: Saved[Any]) -> Json:
    """Return a film withdrawn, its parts without copies."""
    value = {name: getattr(film.value, name) for name in film.value.__struct_fields__}
    parts = [{**part, "copy": ""} for part in film.value.parts.data()]
    return {**value, "parts": parts, "status": "withdrawn"}
