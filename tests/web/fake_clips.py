"""Clips kept in memory for the tests of the screens: one finished, one under way, one withdrawn."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tests.web.fake_films import folder

from tenbetween.errors import Problem, StoreError, UsageError
from tenbetween.web.film_room import Json


class FakeClips:
    """Hands out what it was given; the file of a clip is one of the small real films."""

    def __init__(self) -> None:
        at = {"part": "fp-first-half", "pts": 30 * 512, "base": [1, 15_360]}
        one = {
            "id": "c1", "version": "v1", "film": "f1", "film_title": "Ardenmoor at Pell Hollow", "title": "End line, handed",
            "begins": at, "ends": {**at, "pts": 90 * 512}, "how": {"way": "exact", "blur": []}, "files": [], "marks": [],
            "status": "made", "made": "2025-11-11", "note": "Dara waits", "there": True, "confirmed": "",
            "permission": {"by": "Ardenmoor athletic director", "until": "2026-06-30", "scope": "class"}, "expired": False,
            "names": ["Dara"], "blurred": 0, "sound": False, "leaving": "This leaves the class. Faces are not blurred.",
            "seconds": 4.0, "moments_gone": 0, "stretches": [{"begins": at, "ends": {**at, "pts": 90 * 512}}],
            "permissions": [{"film": "Ardenmoor at Pell Hollow", "by": "Ardenmoor athletic director", "until": "2026-06-30",
                             "scope": "class", "expired": False, "withdrawn": False}],
        }  # fmt: skip
        self.kept: dict[str, Json] = {
            "c1": one,
            "c2": {
                **one,
                "id": "c2",
                "title": "Under way",
                "there": False,
                "names": [],
                "how": {"way": "reel"},
            },
            "c3": {**one, "id": "c3", "title": "Gone", "status": "withdrawn", "there": False},
        }

    def clips(self, film: str = "", words: str = "") -> list[Json]:
        return [one for one in self.kept.values() if film in ("", one["film"]) and words in one["title"]]

    def clip(self, id: str) -> Json:
        if id not in self.kept:
            raise StoreError(Problem("clip", repr(id)[:60], "a clip of the list", "open /clips"))
        return self.kept[id]

    def make(self, marks: list[str], title: str, how: Mapping[str, Any]) -> list[str]:
        if not marks:
            raise UsageError(Problem("marks", "0 chosen", "at least one moment", "tick them in the list"))
        return ["c1"]

    def change(self, clip: str, fields: Mapping[str, Any], seen: str) -> str:
        self.kept[clip] = {**self.clip(clip), **fields, "confirmed": ""}
        return "j1"

    def confirm(self, clip: str, looked: Mapping[str, bool], seen: str) -> Json:
        if not all(looked.get(name) for name in ("permission", "names", "sheet")):
            raise UsageError(
                Problem("sheet", "not ticked", "you looked at the contact sheet", "look, then tick it")
            )
        self.kept[clip] = {**self.clip(clip), "confirmed": "2025-11-11"}
        return self.kept[clip]

    def to_take(self, clip: str) -> tuple[str, Any]:
        if not self.clip(clip)["confirmed"]:
            raise UsageError(Problem("clip", "not confirmed yet", "a clip somebody looked at", "confirm it"))
        return "clip-c1.mp4", self.file_of(clip)

    def file_of(self, clip: str) -> Path:
        return folder() / ("other game.mp4" if self.clip(clip)["there"] else "nothing.mp4")

    def sheet_of(self, clip: str) -> Path:
        return self.file_of(clip)

    def offsets_s(self) -> dict[str, float]:
        return {"fp-first-half": 0.0, "fp-second-half": 1200.0}

    def left_out(self, film: str = "", words: str = "") -> str:
        return "Left out: 2 not confirmed."

    def rows(self, film: str = "", words: str = "", by_part: bool = False) -> list[Json]:
        return [
            {"title": one["title"], "film": one["film_title"], "start": one["begins"], "end": one["ends"],
             "events": {}, "tags": [], "note": one["note"]}
            for one in self.clips(film, words)
        ]  # fmt: skip
