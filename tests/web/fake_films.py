"""A film room for the tests of the screens: two small real films, everything else in memory."""

from __future__ import annotations

import copy
import tempfile
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from tenbetween.desk.work import STATES, TITLES
from tenbetween.dev.barcoded import even, pts_of, uneven, write_film
from tenbetween.errors import Problem, StoreError
from tenbetween.web.film_room import Json

EVENTS = tuple(f"e{n}" for n in range(12))


@lru_cache(maxsize=1)
def folder() -> Path:
    """Return a folder with two parts of one game and a film nobody took up yet."""
    made = Path(tempfile.mkdtemp(prefix="films-"))
    write_film(made / "first half.mp4", even(240, Fraction(30)))
    write_film(made / "second half.mp4", uneven(240), first=1000)
    write_film(made / "other game.mp4", even(30, Fraction(30000, 1001)))
    return made


def part_of(name: str, offset_s: float, **more: Any) -> Json:
    pts, base = pts_of(folder() / name)
    length = float((pts[-1] - pts[0]) * base) + 1 / 30
    return {
        "fingerprint": f"fp-{name.replace(' ', '-')[:-4]}",
        "name": name,
        "size": 730_000,
        "first_pts": int(pts[0]),
        "last_pts": int(pts[-1]),
        "base": [base.numerator, base.denominator],
        "frames": len(pts),
        "duration_s": length,
        "picture": [320, 176],
        "rotation": 0,
        "codec": "h264",
        "variable_rate": "second" in name,
        "sound": True,
        "camera": "main",
        "offset_us": round(offset_s * 1e6),
        "needs_copy": False,
        "why_copy": "",
        "copy": "",
        **more,
    }


class FakeFilms:
    """Keeps one film in memory; frames and files are real."""

    def __init__(self) -> None:
        first = part_of("first half.mp4", 0)
        second = part_of("second half.mp4", first["duration_s"])
        self.kept: dict[str, Json] = {}
        self.moments: dict[str, Json] = {}
        self.past: list[dict[str, Json]] = []
        self.future: list[dict[str, Json]] = []
        self.judged: dict[str, str] = {}
        self.under_way: list[Json] = [
            {
                "id": "j1",
                "kind": "listen",
                "film": "f1",
                "film_title": "Ardenmoor at Pell Hollow",
                "state": "done",
                "done": 1,
                "of": 1,
                "says": "",
                "error": None,
            },
            {
                "id": "j2",
                "kind": "browser_copy",
                "film": "f1",
                "film_title": "Ardenmoor at Pell Hollow",
                "state": "running",
                "done": 3,
                "of": 10,
                "says": "second half.mp4",
                "error": None,
            },
            {
                "id": "j3",
                "kind": "listen",
                "film": "f2",
                "film_title": "Brackwater at Oslin Creek",
                "state": "failed",
                "done": 0,
                "of": 10,
                "says": "",
                "error": [
                    {
                        "where": "film",
                        "found": "the file ends in the middle of a picture",
                        "expected": "a whole file",
                        "do": "copy it again",
                    }
                ],
            },
        ]
        permission = {
            "by": "Ardenmoor athletic director",
            "on": "2025-11-01",
            "until": "2026-06-30",
            "scope": "class",
            "minors": True,
        }
        whole = {
            "id": "f1",
            "version": "v1",
            "title": "Ardenmoor at Pell Hollow",
            "date": "2025-11-04",
            "level": "freshman",
            "crew": {},
            "recognise": {"referee": "taller, belt", "umpire": "glasses"},
            "permission": permission,
            "parts": [first, second],
            "status": "in use",
            "opening": {},
            "edition": "us-hs-2025",
            "layers": [],
            "missing": [],
            "expired": False,
            "cautions": [],
        }
        self.kept["f1"] = whole
        lost = {**first, "fingerprint": "fp-gone", "name": "gone.mov"}
        self.kept["f2"] = {
            **whole,
            "id": "f2",
            "title": "Brackwater at Oslin Creek",
            "parts": [lost],
            "missing": ["fp-gone"],
            "expired": True,
        }

    # -- films --

    def files(self) -> Sequence[Json]:
        taken = {one["name"]: film["id"] for film in self.kept.values() for one in film["parts"]}
        files = [
            {
                "id": p.stem.replace(" ", "-"),
                "name": p.name,
                "size": p.stat().st_size,
                "film": taken.get(p.name, ""),
            }
            for p in sorted(folder().iterdir())
        ]
        return [{"folder": "Season films", "files": files}]

    def look_at(self, file_ids: Sequence[str]) -> Sequence[Json]:
        found = []
        for one in file_ids:
            name = f"{one.replace('-', ' ')}.mp4"
            if not (folder() / name).exists():
                raise StoreError(Problem("file", repr(one), "a file of the list", "open /films again"))
            found.append(
                {
                    **part_of(name, 0),
                    "id": one,
                    "warnings": [],
                    "needs_copy": True,
                    "why_copy": "HEVC: this browser cannot show it.",
                    "copy_bytes": 900_000_000,
                    "free_bytes": 52_000_000_000,
                }
            )
        return found

    def jobs(self) -> Sequence[Json]:
        return [self._in_words(one) for one in self.under_way]

    def _in_words(self, one: Json) -> Json:
        """As the desk tells work."""
        going = one["state"] in ("waiting", "running")
        may = "cancel" if going else "again" if one["state"] in ("failed", "cancelled") else ""
        title = f"{TITLES[one['kind']]}: {one['film_title']}"
        return {**one, "title": title, "state_words": STATES[one["state"]], "may": may}

    def lacking(self) -> str:
        return ""

    def cancel_job(self, job: str) -> None:
        self._job(job)["state"] = "cancelled"

    def try_again(self, job: str) -> None:
        self._job(job)["state"] = "waiting"

    def _job(self, job: str) -> Json:
        found = next((one for one in self.under_way if one["id"] == job), None)
        if found is None:
            raise StoreError(Problem("work", repr(job), "work of the list", "open /films again"))
        return found

    def add(self, file_ids: Sequence[str], title: str, permission: Json, **fields: Any) -> Json:
        parts, at = [], 0.0
        for one in self.look_at(file_ids):
            parts.append({**part_of(one["name"], at), "camera": "main"})
            at += one["duration_s"]
        new_id = f"f{len(self.kept) + 1}"
        base = {k: v for k, v in self.kept["f1"].items() if k not in ("id", "parts")}
        self.kept[new_id] = {
            **base,
            "id": new_id,
            "title": title,
            "permission": permission,
            "parts": parts,
            **fields,
        }
        return self.kept[new_id]

    def films(self) -> Sequence[Json]:
        return [
            {
                **one,
                "marks": sum(m["film"] == one["id"] for m in self.moments.values()),
                "duration_s": sum(p["duration_s"] for p in one["parts"]),
            }
            for one in self.kept.values()
        ]

    def film(self, id: str) -> Json:
        if id not in self.kept:
            raise StoreError(Problem("film", repr(id), "a film of the list", "open /films"))
        return self.kept[id]

    def change_film(self, id: str, fields: Json, seen: str) -> Json:
        if seen != self.film(id)["version"]:
            raise StoreError(Problem("film", "changed in between", "the version you saw", "look at it again"))
        self.kept[id] = {**self.kept[id], **fields}
        return self.kept[id]

    def withdrawals(self, film: str) -> Sequence[Json]:
        return []

    def path_of(self, fingerprint: str) -> Path:
        for film in self.kept.values():
            for one in film["parts"]:
                if one["fingerprint"] == fingerprint and fingerprint not in film["missing"]:
                    return folder() / str(one["name"])
        raise StoreError(Problem("film file", repr(fingerprint)[:60], "a file that is here", "put it back"))

    source_of = path_of

    def pts(self, fingerprint: str) -> Any:
        return pts_of(self.path_of(fingerprint))[0]

    def frames(self, fingerprint: str) -> Any:
        pts, base = pts_of(self.path_of(fingerprint))
        return pts * base.numerator / base.denominator

    def still(self, fingerprint: str, pts: int, height: int) -> bytes:
        self.path_of(fingerprint)
        return b"\xff\xd8 fake still"

    # -- proposals --

    def proposals(self, film: str) -> Sequence[Json]:
        if film != "f1":
            return []
        first = self.kept["f1"]["parts"][0]
        return [
            {
                "id": f"p{n}",
                "part": first["fingerprint"],
                "t": t,
                "t_end": t + 0.4,
                "pts": round(t * first["base"][1]),
                "kind": kind,
                "confidence": sure,
                "verdict": self.judged.get(f"p{n}", ""),
            }
            for n, (t, kind, sure) in enumerate(
                [(1.0, "whistle", 0.97), (3.0, "lull", 0.22), (5.0, "horn", 0.81)]
            )
        ]

    def judge(self, film: str, proposal: str, verdict: str) -> Json | None:
        one = next(p for p in self.proposals(film) if p["id"] == proposal)
        self.judged[proposal] = verdict
        base = self.kept[film]["parts"][0]["base"]
        return (
            self.start_mark(film, {"part": one["part"], "pts": one["pts"], "base": base})
            if verdict == "kept"
            else None
        )

    # -- marks --

    def marks(self, film: str) -> Sequence[Json]:
        self.film(film)
        return sorted(
            (m for m in self.moments.values() if m["film"] == film),
            key=lambda m: (m["at"]["part"] != "fp-first-half", m["at"]["pts"]),
        )

    def mark(self, id: str) -> Json:
        if id not in self.moments:
            raise StoreError(Problem("mark", repr(id)[:60], "a mark of this film", "choose one of the list"))
        return {**self.moments[id], "measures": self._measures(self.moments[id])}

    def _keep(self, mark: Json) -> Json:
        self.past.append(copy.deepcopy(self.moments))
        self.future.clear()
        self.moments[mark["id"]] = mark
        return mark

    def start_mark(self, film: str, at: Json, event: str = "e0") -> Json:
        if set(at) != {"part", "pts", "base"} or not isinstance(at["pts"], int):
            raise StoreError(Problem("at", repr(at)[:80], "a frame time in whole numbers", "send it so"))
        new_id = f"m{len(self.past) + len(self.moments) + 1}"
        new = {
            "id": new_id,
            "film": film,
            "at": at,
            "situation": {},
            "events": {"e0": at},
            "crew": {},
            "duties": [],
            "strokes": [],
            "tags": [],
            "closed": False,
            "note": "",
            "answer": "",
            "lead": "umpire",
            "trail": "referee",
        }
        return self._keep(new)

    def _with(self, mark: str, **fields: Any) -> Json:
        return self._keep({**self.mark(mark), **fields})

    def set_event(self, mark: str, event: str, at: Json | str | None) -> Json:
        events = {k: v for k, v in self.mark(mark)["events"].items() if k != event}
        return self._with(mark, events=events if at is None else {**events, event: at})

    def set_mark(self, mark: str, fields: Json) -> Json:
        before = self.mark(mark)
        more = {k: v for k, v in fields.items() if k in ("tags", "note", "lead", "lead_side")}
        rest = {k: v for k, v in fields.items() if k not in more}
        if more.get("lead"):
            more["trail"] = "umpire" if more["lead"] == "referee" else "referee"
        if rest.pop("flip", "") == "lead":
            more["lead"] = "umpire" if before["lead"] == "referee" else "referee"
            more["trail"] = before["lead"]
        return self._with(mark, situation={**before["situation"], **rest}, **more)

    def set_duty(self, mark: str, duty: str, who: str, verdict: str, note: str = "") -> Json:
        others = [d for d in self.mark(mark)["duties"] if (d["duty"], d["who"]) != (duty, who)]
        new = (
            [{"duty": duty, "title": duty, "provision": "", "who": who, "verdict": verdict, "note": note}]
            if verdict
            else []
        )
        return self._with(mark, duties=[*others, *new])

    def stroke(self, mark: str, at: Json) -> Json:
        return self._with(mark, strokes=[*self.mark(mark)["strokes"], at])

    def close_mark(self, mark: str) -> Json:
        events = {name: self.mark(mark)["events"].get(name, "not seen") for name in EVENTS}
        return self._with(mark, events=events, closed=True)

    def remove_mark(self, mark: str) -> Json:
        gone = self.mark(mark)
        self.past.append(copy.deepcopy(self.moments))
        del self.moments[mark]
        return {"words": "Taken out.", "mark": gone}

    def undo(self, film: str) -> Json:
        if not self.past:
            raise StoreError(Problem("undo", "nothing to take back", "a change", "mark something first"))
        self.future.append(copy.deepcopy(self.moments))
        self.moments = self.past.pop()
        return {"words": "Taken back.", "mark": None}

    def redo(self, film: str) -> Json:
        if not self.future:
            raise StoreError(Problem("redo", "nothing was taken back", "an undo", "undo something first"))
        self.past.append(copy.deepcopy(self.moments))
        self.moments = self.future.pop()
        return {"words": "Done again.", "mark": None}

    def answer_for(self, mark: str) -> Json:
        kept = self.mark(mark)
        if not kept["situation"].get("stopped_by"):
            return {"ruling": {}, "sentence": "", "court_svg": "", "compare": []}
        said = {(d["duty"], d["who"]): d["verdict"] for d in kept["duties"]}
        wanted = [
            ("administers", "umpire", "Old lead bounces it up the line"),
            ("eye contact", "crew", "Eye contact before disposal"),
            ("chop", "referee", "Trail chops with the touch"),
        ]
        compare = [
            {
                "duty": d,
                "provision": "who.lead-line-high",
                "title": d,
                "moved_from": "",
                "expected": text,
                "seen": "",
                "verdict": said.get((d, who), ""),
                "who": who,
            }
            for d, who, text in wanted
        ]
        return {
            "ruling": {},
            "sentence": "Old lead bounces it at the table sideline, 26 ft from the end line.",
            "court_svg": "",
            "compare": sorted(compare, key=lambda c: c["verdict"] != "yes"),
        }

    def measure(self, film: str | None) -> Json:
        all_of = [one for mark in self.moments.values() for one in self._measures(mark)]
        medians = (
            [
                {
                    "what": "whistle to the ball given",
                    "kind": "throw-in",
                    "seconds": float(np.median([m["seconds"] for m in all_of])),
                    "plus_minus": 0.03,
                    "count": len(all_of),
                    "not_seen": 1,
                }
            ]
            if all_of
            else []
        )
        return {"restarts": [], "medians": medians, "note": "It is no race."}

    def _measures(self, mark: Json) -> list[Json]:
        first, last = mark["events"].get("e0"), mark["events"].get("e6")
        if not isinstance(first, dict) or not isinstance(last, dict):
            return []
        seconds = float((last["pts"] - first["pts"]) * Fraction(*first["base"]))
        return [{"what": "whistle to the ball given", "seconds": seconds, "plus_minus": 0.03, "note": ""}]

    def add_camera(self, film: str, file_ids: Sequence[str], camera: str, offset_us: int = 0) -> Json:
        new = [{**part_of(one["name"], 0), "camera": camera} for one in self.look_at(file_ids)]
        self.kept[film] = {**self.film(film), "parts": [*self.film(film)["parts"], *new]}
        return self.kept[film]

    def align(self, film: str, here: Json, there: Json) -> Json:
        parts = [
            {**one, "offset_us": one["offset_us"] + (1_000_000 if one["fingerprint"] == here["part"] else 0)}
            for one in self.film(film)["parts"]
        ]
        self.kept[film] = {**self.film(film), "parts": parts}
        return self.kept[film]

    def search(self, query: Mapping[str, str]) -> Sequence[Json]:
        words = query.get("words", "").lower()
        return [
            m
            for m in self.moments.values()
            if words in f"{m['note']} {' '.join(m['tags'])} {m['situation'].get('stopped_by', '')}".lower()
        ]
