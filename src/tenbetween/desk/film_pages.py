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
SOON_DAYS = 14


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
    away = [] if gone else [p for p in parts if films.look_for(folder, footage, p, media) is None]
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
        "missing_why": {part["fingerprint"]: films.missing_words(part, media) for part in away},
        "expired": films.expired(film, today),
        "cautions": [
            *cautions(film, away, gone, media, today),
            *([] if gone else copies_away(folder, parts)),
        ],
    }


def cautions(
    film: Saved[Any], away: Iterable[Mapping[str, Any]], gone: bool, media: Media, today: str
) -> list[str]:
    """Return what has to be known before a film is shown."""
    allowed = film.value.permission.data()
    said = []
    if gone:
        said.append("This film was withdrawn: no picture of it is opened, its marks are kept as numbers.")
    elif films.expired(film, today):
        until = allowed["until"]
        said.append(f"Leave to use this film ended on {until}: ask {allowed['by']} again, or withdraw it.")
    elif allowed:
        seen = "Minors may be visible. " if allowed.get("minors", True) else ""
        said.append(f"{seen}Keep it {allowed['scope']}. Delete it by {allowed['until']}.")
    said += [films.missing_words(part, media) for part in away]
    said += [
        f"{part['name']}: {part['why_copy']}"
        for part in film.value.parts.data()
        if not gone and part.get("needs_copy") and not part.get("copy")
    ]
    return said


def copies_away(folder: Path, parts: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield in words which parts have a copy that is not in this workbench folder: the film itself is shown then."""
    for part in parts:
        if part.get("copy") and films.copy_here(folder, part) is None:
            yield (
                f"{part['name']}: its copy for the browser is not in this workbench folder, so the film itself is "
                "shown, which a browser may refuse; use one workbench folder on every machine, or copy it there"
            )


def duration_s(parts: Iterable[Mapping[str, Any]]) -> float:
    """Return how long a game is on film: from the first picture of any camera to the last."""
    spans = [(p["offset_us"] / 1e6, p["offset_us"] / 1e6 + p["duration_s"]) for p in parts]
    return round(max(end for _, end in spans) - min(begin for begin, _ in spans), 3) if spans else 0.0


def _is_there(part: Mapping[str, Any], media: Media) -> bool:
    path = media.films.get(part["fingerprint"])
    return path is not None and size_of(path) == part["size"]
