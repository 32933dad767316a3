"""Clips of a camera that splits its film, and of several films: nothing is lost at the seam, and leave is asked of all.

Each frame of these films bears its number, counted on over both parts, as bright and dark bands: what is seen in a clip
tells which frame it is.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tenbetween.desk.workbench import Workbench
from tenbetween.errors import UsageError
from tenbetween.formats.chapters_vtt import notes_vtt, read_cues
from tenbetween.formats.clip_rows import clip_rows
from tenbetween.formats.marks_csv import marks_csv, read_marks_csv
from tenbetween.formats.timeline_otio import read_timeline, timeline_otio
from tenbetween.store import open_workbench

NOON = datetime(2025, 11, 11, 12, tzinfo=UTC)
LEAVE = {"by": "Ardenmoor athletic director", "on": "2025-11-01", "until": "2026-06-30", "scope": "the class"}
FRAMES, RATE, BITS = 60, 30, 7
HOW = {"before_s": 0.5, "after_s": 0.5, "height": 360}
LOOKED = {"permission": True, "names": True, "sheet": True}


def write_part(path: Path, first: int) -> None:
    import av

    with av.open(str(path), "w") as box:
        stream = box.add_stream("libx264", rate=RATE, options={"crf": "1", "g": "15"})
        stream.width, stream.height, stream.pix_fmt = 320, 180, "yuv420p"
        for number in range(first, first + FRAMES):
            grey = np.full((180, 320, 3), 60, np.uint8)
            for bit in range(BITS):
                grey[10:90, 160 + 20 * bit : 180 + 20 * bit] = 220 if number >> bit & 1 else 20
            # A lattice in one corner, so that blurring has something to take away.
            grey[10:90:4, 10:150] = 250
            box.mux(stream.encode(av.VideoFrame.from_ndarray(grey, format="rgb24")))
        box.mux(stream.encode())


class Room:
    """A workbench with a game in two parts, and a second game in one."""

    def __init__(self, folder: Path, store: Any) -> None:
        shelf = folder / "films"
        shelf.mkdir()
        for name, first in (("game 1.mp4", 0), ("game 2.mp4", FRAMES), ("other.mp4", 7)):
            write_part(shelf / name, first)
        self.bench, self.store = Workbench(store, lambda: NOON), store
        there = {one["name"]: one["id"] for one in self.bench.films.add_folder(str(shelf))[0]["files"]}
        self.game = self.bench.films.add([there["game 1.mp4"], there["game 2.mp4"]], "Both halves", LEAVE)
        self.other = self.bench.films.add([there["other.mp4"]], "The other game", LEAVE)

    def at(self, number: int, film: str = "game") -> dict[str, Any]:
        part = getattr(self, film)["parts"][number // FRAMES]
        step = part["base"][1] // part["base"][0] // RATE
        pts = part["first_pts"] + number % FRAMES * step
        return {"part": part["fingerprint"], "pts": pts, "base": part["base"]}

    def mark(self, first: int, disposal: int, film: str = "game") -> str:
        mark = str(self.bench.films.start_mark(getattr(self, film)["id"], self.at(first, film))["id"])
        self.bench.films.set_event(mark, "e6", self.at(disposal, film))
        return mark

    def made(self, clip: str) -> dict[str, Any]:
        found: dict[str, Any] = self.bench.clips.export({"clip": clip}, lambda *_: None, lambda: False)
        return found

    def confirmed(self, clip: str) -> dict[str, Any]:
        page = self.bench.clips.clip(clip)
        return self.bench.clips.confirm(clip, LOOKED, page["version"])

    def pictures(self, clip: str) -> list[np.ndarray]:
        import av

        with av.open(str(self.bench.clips.file_of(clip))) as box:
            return [frame.to_ndarray(format="rgb24") for frame in box.decode(video=0)]

    def numbers(self, clip: str) -> list[int]:
        """Return the number each frame of a clip bears."""
        found = []
        for picture in self.pictures(clip):
            high, wide = picture.shape[:2]
            bands = picture[int(high * 0.2) : int(high * 0.4)].mean(axis=(0, 2))
            bright = [float(bands[int(wide * (164 + 20 * bit) / 320) : int(wide * (176 + 20 * bit) / 320)].mean()) > 120
                      for bit in range(BITS)]  # fmt: skip
            found.append(sum(on << bit for bit, on in enumerate(bright)))
        return found


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    folder = tmp_path_factory.mktemp("parts")
    with open_workbench(
        folder / "bench", now=lambda: NOON, entropy=os.urandom, by="Wendell Thackrow"
    ) as store:
        yield Room(folder, store)


def leave_until(room: Room, film: str, day: str) -> None:
    kept = room.bench.films.film(film)
    room.bench.films.change_film(film, {"permission": {**LEAVE, "until": day}}, kept["version"])


# -- over the seam ----------


def test_an_exact_clip_goes_on_over_the_seam_and_every_frame_of_both_parts_is_in_it_once(room: Room) -> None:
    clip = room.bench.clips.make([room.mark(45, 75)], "Over the seam", HOW)[0]
    facts = room.made(clip)
    assert (facts["frames"], facts["parts"]) == (75 - 45 + 30 + 1, 2)
    assert room.numbers(clip) == list(range(30, 91))
    assert room.bench.clips.clip(clip)["seconds"] == pytest.approx(61 / 30, abs=0.05)


def test_it_stops_at_the_disposal_of_the_second_part_and_says_its_sentence_there(room: Room) -> None:
    import av

    mark = room.mark(45, 75)
    said = {
        "kind": "sentence",
        "from": room.at(66),
        "to": room.at(80),
        "text": "Hand it when both are ready.",
    }
    kept = room.bench.films.save_pointer(room.game["id"], [said], "Words")
    clip = room.bench.clips.make([mark], "With a stop", {**HOW, "hold_s": 1.0})[0]
    room.made(clip)
    with av.open(str(room.bench.clips.file_of(clip))) as box:
        assert float(box.duration / 1e6) == pytest.approx(61 / 30 + 1.0, abs=0.1)
        assert [stream.type for stream in box.streams] == ["video", "subtitle"]
        words = [one for one in box.demux(box.streams.subtitles[0]) if one.size and one.pts is not None]
        told = [one for one in words if b"both are ready" in bytes(one)]
        assert [float(one.pts * one.time_base) for one in told] == pytest.approx([36 / 30], abs=0.05)
    room.store.remove("pointer", kept["id"], seen=kept["version"])


def test_a_region_marked_in_the_second_part_is_blurred_there_and_not_at_the_same_second_of_the_first(
    room: Room,
) -> None:
    clip = room.bench.clips.make([room.mark(45, 75)], "To blur", HOW)[0]
    box = [0.05, 0.1, 0.4, 0.45]
    second = room.at(61)
    region = {"part": second["part"], "marks": [[second["pts"], box]], "until": room.at(90)["pts"]}
    room.bench.clips.change(clip, {"blur": [region]}, room.bench.clips.clip(clip)["version"])
    room.made(clip)
    rough = [
        float(np.abs(np.diff(one[50:150, 60:200].mean(2), axis=0)).mean()) for one in room.pictures(clip)
    ]
    assert min(rough[:30]) > 4 * max(rough[32:])
    assert "blurred in 1 marked region" in room.bench.clips.clip(clip)["leaving"]
    room.bench.clips.change(clip, {"blur": []}, room.bench.clips.clip(clip)["version"])


def test_a_fast_copy_and_a_comparison_over_the_seam_are_refused_with_what_to_do(room: Room) -> None:
    marks, before = [room.mark(45, 75), room.mark(5, 15)], len(room.bench.clips.clips())
    for way, do in (("fast", "choose exact"), ("beside", "choose a reel")):
        with pytest.raises(UsageError) as told:
            room.bench.clips.make(marks, "No", {**HOW, "way": way})
        assert [one.where for one in told.value.problems] == ["moment 1"]
        assert do in told.value.problems[0].do
    assert len(room.bench.clips.clips()) == before


def test_a_reel_takes_a_moment_over_the_seam_with_one_card_before_it(room: Room) -> None:
    marks = [room.mark(5, 15), room.mark(45, 75)]
    reel = room.bench.clips.make(marks, "Reel", {**HOW, "way": "reel"})[0]
    facts = room.made(reel)
    assert facts["begins_s"] == pytest.approx([0.0, 2.5 + 31 / 30], abs=0.05)
    assert room.numbers(reel)[-61:] == list(range(30, 91))
    assert room.bench.clips.clip(reel)["seconds"] == pytest.approx(5.0 + 92 / 30, abs=0.05)


def test_a_list_counts_on_the_games_one_time_line_whatever_part_an_event_lies_in(room: Room) -> None:
    rooms = room.bench.clips
    over = rooms.make([room.mark(45, 75)], "Listed over the seam", HOW)[0]
    late = rooms.make([room.mark(70, 80)], "Listed in part two", HOW)[0]
    for one in (over, late):
        room.made(one)
        room.confirmed(one)
    rows, offsets = clip_rows(rooms.rows(words="listed")), rooms.offsets_s()
    cues = {
        words.splitlines()[0]: (begins, words) for begins, _, words in read_cues(notes_vtt(rows, offsets))
    }
    assert cues["Listed over the seam"][0] == pytest.approx(1.0, abs=0.002)
    assert "whistle or ball dead +0.50 s, disposal +1.50 s" in cues["Listed over the seam"][1]
    assert cues["Listed in part two"][0] == pytest.approx(55 / 30, abs=0.002)
    assert read_marks_csv(marks_csv(rows, offsets)) == rows
    pieces = clip_rows(rooms.rows(words="listed", by_part=True))
    assert [one.title for one in read_timeline(timeline_otio(pieces, "Clips"))] == [
        "Listed in part two, part 1 of 2", "Listed in part two, part 2 of 2",
        "Listed over the seam, part 1 of 2", "Listed over the seam, part 2 of 2",
    ]  # fmt: skip
    second = next(one for one in pieces if one.title == "Listed over the seam, part 2 of 2")
    assert set(second.events) == {"e6"}


# -- what may leave ----------


def test_a_reel_over_two_films_leaves_only_while_both_are_allowed(room: Room) -> None:
    rooms, other = room.bench.clips, room.other["id"]
    reel = rooms.make([room.mark(5, 15), room.mark(20, 30, "other")], "Both", {**HOW, "way": "reel"})[0]
    room.made(reel)
    assert [one["film"] for one in rooms.clip(reel)["permissions"]] == ["Both halves", "The other game"]
    assert reel in [one["id"] for one in rooms.clips(film=other)]
    room.confirmed(reel)
    assert rooms.to_take(reel)[1].exists()
    leave_until(room, other, "2025-11-10")
    assert rooms.clip(reel)["expired"]
    with pytest.raises(UsageError) as told:
        rooms.to_take(reel)
    assert told.value.problems[0].where == "The other game"
    with pytest.raises(UsageError):
        room.confirmed(reel)
    assert "of a film whose leave has ended" in rooms.left_out(other)
    leave_until(room, other, "2026-06-30")


def test_names_pointed_at_in_any_film_of_a_reel_are_told(room: Room) -> None:
    said = {
        "kind": "sentence",
        "from": room.at(20, "other"),
        "to": room.at(25, "other"),
        "text": "See Zoë Müller",
    }
    kept = room.bench.films.save_pointer(room.other["id"], [said], "Words")
    marks = [room.mark(5, 15), room.mark(20, 30, "other")]
    reel = room.bench.clips.make(marks, "Both", {**HOW, "way": "reel"})[0]
    assert room.bench.clips.clip(reel)["names"] == ["Zoë Müller"]
    room.store.remove("pointer", kept["id"], seen=kept["version"])


def test_leave_that_ends_while_a_clip_is_made_leaves_nothing_of_it(room: Room) -> None:
    rooms, other = room.bench.clips, room.other["id"]
    clip = rooms.make([room.mark(20, 30, "other")], "Ending", HOW)[0]

    def told(done: int, of: int, says: str) -> None:
        if done == of:
            leave_until(room, other, "2025-11-10")

    with pytest.raises(UsageError):
        rooms.export({"clip": clip}, told, lambda: False)
    assert not rooms.file_of(clip).exists()
    assert not rooms.sheet_of(clip).exists()
    leave_until(room, other, "2026-06-30")


def test_a_moment_taken_out_keeps_its_clip_and_spoils_no_list(room: Room) -> None:
    rooms, mark = room.bench.clips, room.mark(5, 15)
    clip = rooms.make([mark], "Kept without its moment", HOW)[0]
    room.made(clip)
    room.confirmed(clip)
    room.bench.films.remove_mark(mark)
    (row,) = rooms.rows(words="without its moment")
    assert (row["title"], row["events"], row["tags"]) == ("Kept without its moment", {}, [])
    assert rooms.clip(clip)["moments_gone"] == 1
    for written in (marks_csv, notes_vtt):
        assert "Kept without its moment" in written(clip_rows(rooms.rows()), rooms.offsets_s())


def test_a_reel_whose_moments_were_all_taken_out_says_so(room: Room) -> None:
    mark = room.mark(5, 15)
    reel = room.bench.clips.make([mark], "Empty", {**HOW, "way": "reel"})[0]
    room.bench.films.remove_mark(mark)
    with pytest.raises(UsageError) as told:
        room.made(reel)
    assert "taken out of the film" in told.value.problems[0].found


def test_a_list_holds_confirmed_clips_only_and_says_how_many_it_leaves_out(room: Room) -> None:
    rooms = room.bench.clips
    clips = rooms.make([room.mark(5, 15), room.mark(20, 30)], "Gate", HOW)
    for one in clips:
        room.made(one)
    room.confirmed(clips[0])
    assert [one["title"] for one in rooms.rows(words="gate")] == ["Gate 1"]
    assert rooms.left_out(words="gate") == "Left out: 1 not confirmed."
    mark = rooms.clip(clips[0])["marks"][0]
    room.bench.films.set_mark(mark, {"tags": ["Marcus Hill"]})
    assert rooms.rows(words="gate") == []
    assert rooms.left_out(words="gate") == "Left out: 1 not confirmed, 1 with a name nobody looked at."
