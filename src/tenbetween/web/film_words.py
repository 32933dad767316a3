"""What the film pages say: films and files in words, signs beside them, work under way, keys, filters.

A sign is never a colour alone: each has its shape and its words. Knows no page and no store.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from tenbetween.web.causes import WORDS
from tenbetween.web.moments import length_words, size_words

Json = dict[str, Any]
CAUTION = (
    "Do you have permission to use this film for training? Minors may be visible. "
    "Keep it inside the class. Delete by {until}."
)
KEYS: tuple[tuple[str, str], ...] = (
    ("Space", "play, stop on an exact frame"),
    (", .", "one frame back, on"),
    ("← →", "1 s back, on; with Shift 5 s"),
    ("Page Up, Page Down", "10 s back, on"),
    ("< >", "slower, faster, up to three times"),
    ("M", "new moment: whistle or ball dead at this frame"),
    ("E, X", "next event now, next event not seen"),
    ("0–9 - =", "that event of the clock now"),
    ("; '", "the event marked last one frame earlier, later"),
    ("T", "stroke of the count"),
    ("C", "close: the rest was not seen"),
    ("Z, Y", "undo, redo"),
    ("N, B", "next moment, moment before"),
    ("Q, then a letter", "what stopped play"),
    ("[ ]", "attacks left, right"),
    ("W, D", "ball to the team that attacked, to the others"),
    ("U, S", "the other official is lead, lead on the other side"),
    ("I", "place: to the court; arrows, then Enter"),
    ("G", "first duty that is open: Y, N, X, O there"),
    ("P, K, R", "next proposal, keep it, drop it"),
    ("H", "proposals shown, off"),
    ("V", "other camera"),
    ("/, Escape", "note; back to the film"),
    ("?", "this list"),
)
DUTY_VERDICTS = (("yes", "yes"), ("no", "no"), ("not seen", "not seen"), ("no chance", "no chance"))


def _filter(name: str, label: str, *choices: tuple[str, str]) -> Json:
    return {"name": name, "label": label, "choices": choices}


FILTERS: tuple[Json, ...] = (
    _filter("stopped_by", "What stopped play", *((word.cause, word.tile) for word in WORDS)),
    _filter("duty", "Duty or provision"),
    _filter("role", "Role", ("lead", "lead"), ("trail", "trail")),
    _filter("side", "Lead's side", ("table", "table side"), ("opposite", "opposite side")),
    _filter("verdict", "Seen", *DUTY_VERDICTS),
    _filter("person", "Person"),
    _filter("tag", "Tag"),
    _filter("edition_status", "Edition", ("current", "in force"), ("changed", "changed in the book since")),
)


BLANK: Json = {
    "crew": {"referee": "", "umpire": ""},
    "recognise": {"referee": "", "umpire": ""},
    "permission": {"by": "", "on": "", "until": "", "scope": "", "minors": True},
    "opening": {"attacking": "", "lead": "", "lead_side": ""},
}


def film_view(film: Mapping[str, Any]) -> Json:
    """Return a film with every field a page shows, empty where nothing is kept.

    >>> film_view({"opening": {"lead": "umpire"}})["opening"]
    {'attacking': '', 'lead': 'umpire', 'lead_side': ''}
    """
    filled = {name: {**blank, **(film.get(name) or {})} for name, blank in BLANK.items()}
    return {"date": "", "level": "", "edition": "", "missing": (), "uncopied": (), **film, **filled}


def film_row(one: Mapping[str, Any]) -> Json:
    """Return one film of the list in words, with its signs."""
    marks = int(one.get("marks") or 0)
    until = (one.get("permission") or {}).get("until") or one.get("until") or ""
    return {
        **one,
        "length": length_words(one["duration_s"]) if one.get("duration_s") else "",
        "marked": f"{marks} moment{'s' if marks != 1 else ''}",
        "until": f"delete by {until}" if until else "",
        "signs": film_signs(one),
    }


def film_signs(one: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return what must be known about a film before it is used: (sign, words).

    >>> film_signs({"expired": True, "missing": ["f1"]})[1]
    ('missing', '1 file is not where it was; the moments are kept.')
    """
    said: list[tuple[str, str]] = []
    if one.get("cautions"):
        return _said_of_film(one)
    if one.get("status") == "withdrawn":
        said.append(("withdrawn", "Withdrawn: the film may not be used."))
    if one.get("expired"):
        said.append(("expired", "Permission has run out: delete the film, or ask again."))
    missing = len(one.get("missing") or ())
    if missing == 1:
        said.append(("missing", "1 file is not where it was; the moments are kept."))
    elif missing:
        said.append(("missing", f"{missing} files are not where they were; the moments are kept."))
    return said


def _said_of_film(one: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the cautions of a whole film, each with the sign of what it is about."""
    gone = one.get("status") == "withdrawn"
    away = set() if gone else set((one.get("missing_why") or {}).values())
    first = (
        "withdrawn" if one.get("status") == "withdrawn" else "expired" if one.get("expired") else "caution"
    )
    return [
        ("missing" if words in away else first if number == 0 else "caution", words)
        for number, words in enumerate(one["cautions"])
    ]


def part_words(one: Mapping[str, Any]) -> Json:
    """Return a part of a film with its facts in words."""
    picture, frames, duration = (
        list(one.get("picture") or []),
        one.get("frames") or 0,
        one.get("duration_s") or 0.0,
    )
    rate = f"{frames / duration:.2f}".rstrip("0").rstrip(".") if duration else "?"
    copy = one.get("copy_bytes")
    free = one.get("free_bytes")
    room = f"; {size_words(free)} are free" if free else ""
    return {
        "warnings": (),
        "needs_copy": False,
        "why_copy": "",
        **one,
        "length": length_words(duration),
        "picture_words": f"{picture[0]} × {picture[1]}" if len(picture) == 2 else "",
        "rate_words": f"about {rate} frames a second, not even"
        if one.get("variable_rate")
        else f"{rate} frames a second",
        "sound_words": "with sound" if one.get("sound") else "without sound",
        "copy_words": f"A copy for the browser takes about {size_words(copy)}{room}." if copy else "",
    }


def job_row(job: Mapping[str, Any]) -> Json:
    """Return one piece of work as a row: its title and state in the desk's words, how far, what went wrong."""
    done, of = job.get("done") or 0, job.get("of") or 0
    share = min(1.0, done / of) if of else 0.0
    said = [job["state_words"]]
    if job["state"] == "running" and of:
        said.append(f"{100 * share:.0f} %")
    if job.get("says"):
        said.append(str(job["says"]))
    problems = job.get("error") or ()
    return {
        "id": job["id"],
        "state": job["state"],
        "title": job["title"],
        "may": job["may"],
        "words": ", ".join(said),
        "share": round(share, 3),
        "problems": [f"{p['found']}; {p['do']}" for p in problems if isinstance(p, Mapping)],
    }


def listening_words(jobs: Iterable[Mapping[str, Any]], film: Mapping[str, Any], lacking: str = "") -> str:
    """Return why there are no proposals: not looked for here, still listening, it did not work, nothing heard.

    >>> listening_words([{"kind": "listen", "film": "f", "state": "waiting"}], {"id": "f"}, "film work is off")
    'The sound waits to be listened to: on this machine film work is off. Mark by eye meanwhile.'
    """
    own = [job for job in jobs if job["kind"] == "listen" and job.get("film") == film["id"]]
    if lacking and any(job["state"] == "waiting" for job in own):
        return f"The sound waits to be listened to: on this machine {lacking}. Mark by eye meanwhile."
    if any(job["state"] in ("waiting", "running") for job in own):
        return "The sound is being listened to; proposals come up when the page is opened again."
    if any(job["state"] == "failed" for job in own):
        return "Listening did not work; see the work under way on the page of all films."
    if not any(one.get("sound") for one in film["parts"]):
        return "This film has no sound to listen to. Mark by eye."
    return "Nothing is proposed. Mark by eye."
