"""Clips out of the drawn game: what is drawn in, blurred, silent and confirmed before anything leaves."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tenbetween.desk.clip_names import names_found
from tenbetween.desk.demo_film import make_demo_film
from tenbetween.desk.workbench import Workbench
from tenbetween.errors import StoreError, UsageError
from tenbetween.film.write import StoppedError
from tenbetween.store import open_workbench

NOON = datetime(2025, 11, 11, 12, tzinfo=UTC)
GUARD = {
    "by": "Ardenmoor athletic director",
    "on": "2025-11-01",
    "until": "2026-06-30",
    "scope": "inside the class",
}


class Room:
    """A workbench with ten seconds of the drawn game and two moments in it."""

    def __init__(self, folder: Path, store: Any) -> None:
        shelf = folder / "Season films"
        shelf.mkdir()
        self.truth = make_demo_film(shelf / "Ardenmoor freshman 23.mp4", seconds=10.0, picture=(320, 180))
        self.folder, self.bench = folder / "bench", Workbench(store, lambda: NOON)
        files = self.bench.films.add_folder(str(shelf))
        self.film = self.bench.films.add([files[0]["files"][0]["id"]], "Ardenmoor at Pell Hollow", GUARD)
        self.part = self.film["parts"][0]
        self.marks = [self.mark(60, 120), self.mark(180, 220)]

    def at(self, number: int) -> dict[str, Any]:
        return {"part": self.part["fingerprint"], "pts": self.truth["pts"][number], "base": self.part["base"]}

    def mark(self, first: int, disposal: int) -> str:
        mark = self.bench.films.start_mark(self.film["id"], self.at(first))["id"]
        self.bench.films.set_event(mark, "e6", self.at(disposal))
        return str(mark)

    def made(self, clip: str) -> dict[str, Any]:
        found: dict[str, Any] = self.bench.clips.export({"clip": clip}, lambda *_: None, lambda: False)
        return found

    def pictures(self, clip: str) -> list[np.ndarray]:
        import av

        with av.open(str(self.bench.clips.file_of(clip))) as box:
            return [frame.to_ndarray(format="rgb24") for frame in box.decode(video=0)]


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    folder = tmp_path_factory.mktemp("clips")
    with open_workbench(
        folder / "bench", now=lambda: NOON, entropy=os.urandom, by="Wendell Thackrow"
    ) as store:
        yield Room(folder, store)


HOW = {"before_s": 0.5, "after_s": 0.5, "height": 360}


def test_an_exact_clip_is_silent_holds_its_moment_and_shows_what_is_pointed_at(room: Room) -> None:
    import av

    plain = room.bench.clips.make([room.marks[0]], "Disposal", HOW)[0]
    room.made(plain)
    before = room.pictures(plain)
    ring = {"kind": "ring", "from": room.at(70), "to": room.at(100), "at": {"picture": [0.5, 0.5]}}
    words = {"kind": "sentence", "from": room.at(70), "to": room.at(100), "text": "The trail is there first."}
    room.bench.courts.save_pointer(
        room.film["id"], {"items": [ring, words], "title": "T", "mark": room.marks[0]}
    )
    clip = room.bench.clips.make([room.marks[0]], "Disposal", HOW)[0]
    facts = room.made(clip)
    assert facts["frames"] == 120 - 60 + 1 + 30 == len(before)
    with av.open(str(room.bench.clips.file_of(clip))) as box:
        assert [stream.type for stream in box.streams] == ["video", "subtitle"]
        assert not {"title", "comment", "location", "encoder"} & set(box.metadata)
    after = room.pictures(clip)
    changed = [
        float(np.abs(a.astype(int) - b.astype(int)).mean()) for a, b in zip(before, after, strict=True)
    ]
    on = range(70 - 45, 100 - 45 + 1)
    assert (
        min(changed[number] for number in on)
        > 3 * max(changed[n] for n in range(len(changed)) if n not in on) + 0.5
    )


def test_a_stop_at_disposal_makes_the_clip_longer(room: Room) -> None:
    import av

    clip = room.bench.clips.make([room.marks[0]], "Stop", {**HOW, "hold_s": 2.0})[0]
    room.made(clip)
    with av.open(str(room.bench.clips.file_of(clip))) as box:
        assert float(box.duration / 1e6) == pytest.approx(91 / 30 + 2.0, abs=0.1)


def test_a_marked_region_cannot_be_read_and_the_rest_stays(room: Room) -> None:
    clip = room.bench.clips.make([room.marks[0]], "Blur", HOW)[0]
    room.made(clip)
    before = room.pictures(clip)[10]
    page = room.bench.clips.clip(clip)
    region = {"marks": [[room.truth["pts"][45], [0.4, 0.2, 0.6, 0.45]]], "until": room.truth["pts"][136]}
    room.bench.clips.change(clip, {"blur": [region]}, page["version"])
    room.made(clip)
    after = room.pictures(clip)[10]
    high, wide = before.shape[:2]
    inside = (slice(int(high * 0.22), int(high * 0.43)), slice(int(wide * 0.42), int(wide * 0.58)))
    edges = [float(np.abs(np.diff(one[inside].mean(2), axis=1)).mean()) for one in (before, after)]
    assert edges[1] < edges[0] / 2
    corner = (slice(int(high * 0.75), None), slice(0, int(wide * 0.2)))
    assert np.abs(before[corner].astype(int) - after[corner].astype(int)).mean() < 3
    assert room.bench.clips.clip(clip)["leaving"].startswith(
        "This leaves the class. Faces are blurred in 1 marked region"
    )
    room.bench.clips.change(clip, {"blur": []}, room.bench.clips.clip(clip)["version"])


def test_what_was_marked_for_one_clip_is_blurred_in_a_reel_and_refused_as_a_fast_copy(room: Room) -> None:
    clips = room.bench.clips
    plain = clips.make([room.marks[0]], "Plain", {**HOW, "way": "reel"})[0]
    room.made(plain)
    marked = clips.make([room.marks[0]], "Marked", HOW)[0]
    region = {"marks": [[room.truth["pts"][45], [0.4, 0.2, 0.6, 0.45]]], "until": room.truth["pts"][136]}
    clips.change(marked, {"blur": [region]}, clips.clip(marked)["version"])
    assert "1 more region on this stretch: make it anew" in clips.clip(plain)["leaving"]
    reel = clips.make([room.marks[0]], "Reel", {**HOW, "way": "reel"})[0]
    room.made(reel)
    assert "blurred in 1 marked region" in clips.clip(reel)["leaving"]
    bare, blurred = (room.pictures(one)[int(2.5 * 30) + 10] for one in (plain, reel))
    high, wide = bare.shape[:2]
    inside = (slice(int(high * 0.22), int(high * 0.43)), slice(int(wide * 0.42), int(wide * 0.58)))
    edges = [float(np.abs(np.diff(one[inside].mean(2), axis=1)).mean()) for one in (bare, blurred)]
    assert edges[1] < edges[0] / 2
    fast = clips.make([room.marks[0]], "Fast", {**HOW, "way": "fast"})[0]
    with pytest.raises(UsageError):
        room.made(fast)
    clips.change(marked, {"blur": []}, clips.clip(marked)["version"])


def test_nothing_is_handed_out_before_somebody_looked_and_said_so(room: Room) -> None:
    rooms = room.bench.clips
    clip = rooms.make([room.marks[1]], "Dara hands it, number 12", HOW)[0]
    with pytest.raises(UsageError):
        rooms.to_take(clip)
    page = rooms.clip(clip)
    looked = {"permission": True, "names": True, "sheet": True}
    with pytest.raises(UsageError) as early:
        rooms.confirm(clip, looked, page["version"])
    assert early.value.problems[0].where == "file"
    room.made(clip)
    page = rooms.clip(clip)
    assert page["names"] == ["Dara", "number 12"]
    assert rooms.sheet_of(clip).read_bytes()[:2] == b"\xff\xd8"
    with pytest.raises(UsageError) as told:
        rooms.confirm(clip, {"permission": True}, page["version"])
    assert [one.where for one in told.value.problems] == ["names", "sheet"]
    rooms.confirm(clip, looked, page["version"])
    name, path = rooms.to_take(clip)
    assert path.exists()
    assert "Ardenmoor" not in name
    rooms.change(clip, {"title": "By hand"}, rooms.clip(clip)["version"])
    with pytest.raises(UsageError):  # what was changed has to be looked at again
        rooms.to_take(clip)


def test_a_reel_has_a_card_before_each_and_two_stand_side_by_side_joined_at_disposal(room: Room) -> None:
    clips = room.bench.clips
    reel = clips.make(room.marks, "Both", {**HOW, "way": "reel"})[0]
    facts = room.made(reel)
    assert len(facts["begins_s"]) == 2
    assert facts["begins_s"][1] == pytest.approx(2.5 + 91 / 30, abs=0.1)
    beside = clips.make(room.marks, "Beside", {**HOW, "way": "beside"})[0]
    joined = room.made(beside)
    assert joined["joined_s"] == pytest.approx(75 / 30, abs=0.05)


def test_a_fast_copy_keeps_the_pictures_and_refuses_to_blur(room: Room) -> None:
    clip = room.bench.clips.make([room.marks[0]], "Fast", {**HOW, "way": "fast"})[0]
    assert room.made(clip)["how"] == "same pictures"
    page = room.bench.clips.clip(clip)
    room.bench.clips.change(clip, {"blur": [{"marks": [[0, [0, 0, 1, 1]]]}]}, page["version"])
    with pytest.raises(UsageError) as told:
        room.made(clip)
    assert told.value.problems[0].where == "blur"


def test_stopped_halfway_nothing_of_a_clip_is_left_and_asked_again_it_is_whole(room: Room) -> None:
    clip = room.bench.clips.make([room.marks[0]], "Again", HOW)[0]
    told: list[int] = []
    with pytest.raises(StoppedError):
        room.bench.clips.export({"clip": clip}, lambda done, *_: told.append(done), lambda: len(told) > 9)
    assert told == list(range(1, 11))
    assert not [one for one in (room.folder / "exports").iterdir() if clip in one.name]
    assert room.bench.clips.clip(clip)["there"] is False
    room.made(clip)
    assert room.bench.clips.clip(clip)["there"] is True
    assert not list((room.folder / "exports").glob("*.part"))


@pytest.mark.parametrize(
    ("how", "count", "where"),
    [
        ({"way": "burn"}, 1, "way"),
        ({"way": "beside"}, 1, "marks"),
        ({}, 0, "marks"),
        ({"before_s": -1}, 1, "before_s"),
        ({"height": 7}, 1, "height"),
    ],
)
def test_a_choice_that_is_none_is_said(room: Room, how: dict[str, Any], count: int, where: str) -> None:
    with pytest.raises(UsageError) as told:
        room.bench.clips.make(room.marks[:count], "No", how)
    assert where in [one.where for one in told.value.problems]


def test_names_are_found_and_trade_words_are_not() -> None:
    assert names_found("Throw-in by White at the end line; Lead hands it", ["Dara Whitlock", "Dara"]) == []
    assert names_found("Dara Whitlock and #23", ["Dara Whitlock", "Dara"]) == ["Dara Whitlock", "#23"]


def test_a_withdrawn_film_takes_its_clips_with_it(room: Room) -> None:
    clip = room.bench.clips.make([room.marks[0]], "Going", HOW)[0]
    room.made(clip)
    files = [room.bench.clips.file_of(clip), room.bench.clips.sheet_of(clip)]
    assert all(one.exists() for one in files)
    log = room.bench.films.withdraw(room.film["id"], "Ardenmoor")
    assert not any(one.exists() for one in files)
    assert any("clip" in one["what"] for one in log)
    with pytest.raises(UsageError):
        room.bench.clips.to_take(clip)
    with pytest.raises((UsageError, StoreError)):
        room.bench.clips.make([room.marks[0]], "Again", HOW)
