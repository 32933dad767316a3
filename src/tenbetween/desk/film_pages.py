"""Films as a page shows them: in short for the list, whole for the room, with what is missing and until when.

Plain values only. Says what is wrong in words and hides nothing; opens no film but to find one that was moved.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tenbetween.desk import films
from tenbetween.desk.footage import Footage
from tenbetween.store.media_file import Media, read_media, size_of

if TYPE_CHECKING:
    from tenbetween.store import Saved

Json = dict[str, Any]
INSIDE = "inside the class"
GONE = "This film was withdrawn: no picture of it is opened, its marks are kept as numbers."


def short(film: Saved[Any], counted: tuple[int, int], media: Media, today: str) -> Json:
    """Return a film as a line of the list."""
    value, parts = film.value, film.value.parts.data()
    away = [part["fingerprint"] for part in parts if not _is_there(part, media)]
    gone = films.withdrawn(film, media)
    return {
        "id": film.id,
        "version": film.version,
        "title": value.title,
        "date": value.date,
        "level": value.level,
        "status": "withdrawn" if gone else value.status,
        "parts": len(parts),
        "cameras": list(dict.fromkeys(part["camera"] for part in parts)),
        "duration_s": duration_s(parts),
        "marks": counted[0],
        "closed": counted[1],
        "missing": [] if gone else away,
        "until": value.permission.data().get("until", ""),
        "expired": films.expired(film, today),
    }


def whole(film: Saved[Any], folder: Path, footage: Footage, today: str) -> Json:
    """Return a film with everything a screen needs; a part that was moved is looked for."""
    value, parts = film.value, film.value.parts.data()
    media = read_media(folder)
    gone = films.withdrawn(film, media)
    away = [p for p in parts if gone or films.look_for(folder, footage, p, media) is None]
    return {
        "id": film.id,
        "version": film.version,
        **{name: getattr(value, name) for name in ("title", "date", "level", "note")},
        **{name: getattr(value, name).data() for name in ("crew", "recognise", "permission", "opening")},
        "parts": parts,
        "status": "withdrawn" if gone else value.status,
        "edition": film.basis.edition,
        "layers": list(film.basis.layers),
        "duration_s": duration_s(parts),
        "missing": [part["fingerprint"] for part in away],
        "missing_why": {part["fingerprint"]: _why_away(part, media, gone) for part in away},
        "expired": films.expired(film, today),
        "uncopied": [] if gone else _uncopied(folder, parts),
        "cautions": [
            *cautions(film, away, gone, media, today),
            *([] if gone else copies_away(folder, parts)),
        ],
    }


def _why_away(part: Mapping[str, Any], media: Media, gone: bool) -> str:
    return GONE if gone else films.missing_words(part, media)


def cautions(
    film: Saved[Any], away: Iterable[Mapping[str, Any]], gone: bool, media: Media, today: str
) -> list[str]:
    """Return what has to be known before a film is shown."""
    allowed = film.value.permission.data()
    said = []
    if gone:
        return [GONE]
    if films.expired(film, today):
        until = allowed["until"]
        said.append(f"Leave to use this film ended on {until}: ask {allowed['by']} again, or withdraw it.")
    elif allowed:
        seen = "Minors may be visible. " if allowed.get("minors", True) else ""
        scope = allowed.get("scope") or INSIDE
        kept = "Keep it inside the class" + ("" if scope == INSIDE else f"; allowed for: {scope}")
        said.append(f"{seen}{kept}. Delete it by {allowed['until']}.")
    said += [films.missing_words(part, media) for part in away]
    said += [
        f"{part['name']}: {part['why_copy']}"
        for part in film.value.parts.data()
        if part.get("needs_copy") and not part.get("copy")
    ]
    return said


def _uncopied(folder: Path, parts: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return the fingerprints of parts that need a copy for the browser and have none in this folder."""
    return [p["fingerprint"] for p in parts if p.get("needs_copy") and films.copy_here(folder, p) is None]


def copies_away(folder: Path, parts: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield in words which parts have a copy that is not in this workbench folder: the film itself is shown then."""
    for part in parts:
        if part.get("copy") and films.copy_here(folder, part) is None:
            yield (
                f"{part['name']}: its copy for the browser is not in this workbench folder, so the film itself is "
                "shown, which a browser may refuse; make the copy again under The film, or use one workbench folder on "
                "every machine"
            )


def duration_s(parts: Iterable[Mapping[str, Any]]) -> float:
    """Return how long a game is on film: from the first picture of any camera to the last."""
    spans = [(p["offset_us"] / 1e6, p["offset_us"] / 1e6 + p["duration_s"]) for p in parts]
    return round(max(end for _, end in spans) - min(begin for begin, _ in spans), 3) if spans else 0.0


def _is_there(part: Mapping[str, Any], media: Media) -> bool:
    path = media.films.get(part["fingerprint"])
    return path is not None and size_of(path) == part["size"]
