"""Films taken in where they lie: nothing copied or moved, leave asked, found again, gone, cut short, out of date."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.desk.film_world import LEAVE, World, at, even, world, write_film

from tenbetween.desk.film_room import FilmRoom
from tenbetween.desk.work import jobs_page
from tenbetween.errors import StoreError, TenbetweenError, UsageError
from tenbetween.store.media_file import Media, read_media, write_media


@pytest.fixture
def there(tmp_path: Path) -> Iterator[World]:
    with world(tmp_path) as made:
        write_film(made.films / "first-half.mp4", even(120))
        write_film(made.films / "second-half.mp4", even(60, first=6000))
        yield made


def said(fault: pytest.ExceptionInfo[TenbetweenError]) -> str:
    return "\n".join(str(problem) for problem in fault.value.problems)


# ---- taken in ----


def test_a_film_is_taken_in_where_it_lies(there: World) -> None:
    before = {path: path.read_bytes() for path in there.films.iterdir()}
    film = there.add("first-half.mp4", "second-half.mp4")
    assert {path: path.read_bytes() for path in there.films.iterdir()} == before
    assert there.room.source_of(film["parts"][0]["fingerprint"]) == there.films / "first-half.mp4"
    assert sum(path.stat().st_size for path in there.folder.rglob("*.mp4")) == 0


def test_no_path_of_this_machine_is_kept_or_told(there: World) -> None:
    there.add("first-half.mp4")
    place = str(there.films)
    assert not any(place in line for line in there.store.export_all())
    assert place not in str(there.room.files())
    assert place not in str(there.room.films())
    assert place in (there.folder / "media.toml").read_text("utf-8")


def test_parts_follow_one_another_on_one_time_line(there: World) -> None:
    film = there.add("first-half.mp4", "second-half.mp4")
    there.room.start_mark(film["id"], at(film, 10, part=1))
    there.room.start_mark(film["id"], at(film, 100, part=0))
    assert [mark["t"] for mark in there.room.marks(film["id"])] == [100.0, 130.0]
    assert film["duration_s"] == 180.0


def test_the_frames_of_a_part_are_told_in_the_files_own_seconds(there: World) -> None:
    part = there.add("first-half.mp4", "second-half.mp4")["parts"][1]["fingerprint"]
    assert there.room.pts(part)[:2].tolist() == [6000, 6600]
    assert there.room.frames(part)[:2].tolist() == pytest.approx([0.4, 0.44])


def test_a_browser_is_shown_the_copy_once_it_is_made(there: World) -> None:
    write_film(there.films / "phone.mov", even(20, first=600), codec="hevc")
    film = there.add("phone.mov")
    part = film["parts"][0]["fingerprint"]
    assert film["cautions"][-1] == "phone.mov: a browser here cannot show it"
    assert there.room.path_of(part) == there.films / "phone.mov"
    (there.folder / "copies").mkdir()
    (there.folder / "copies" / "copy.mp4").write_bytes(b"copy")
    there.room.copied(film["id"], part, "copy.mp4")
    assert there.room.path_of(part) == there.folder / "copies" / "copy.mp4"
    assert there.room.source_of(part) == there.films / "phone.mov"
    # Frame i of a copy is frame i of the film, and the copy begins at zero.
    assert there.room.frames(part)[:2].tolist() == pytest.approx([0.0, 0.04])


def test_a_copy_another_machine_made_in_its_own_folder_is_as_good_as_none_and_that_is_said(
    there: World,
) -> None:
    write_film(there.films / "phone.mov", even(20, first=600), codec="hevc")
    film = there.add("phone.mov")
    part = film["parts"][0]["fingerprint"]
    there.room.copied(film["id"], part, "copy.mp4")
    assert there.room.path_of(part) == there.films / "phone.mov"
    assert there.room.frames(part)[:2].tolist() == pytest.approx([0.04, 0.08]), "of the file that is shown"
    words = there.room.film(film["id"])["cautions"][-1]
    assert words.startswith("phone.mov: its copy for the browser is not in this workbench folder")
    assert "the film itself is shown" in words
    (there.folder / "copies").mkdir()
    (there.folder / "copies" / "copy.mp4").write_bytes(b"copy")
    assert not any("its copy" in one for one in there.room.film(film["id"])["cautions"])


def test_long_work_waits_for_a_worker(there: World) -> None:
    write_film(there.films / "phone.mov", even(20), codec="hevc")
    room = there.room.bench.films
    room.footage = there.room.footage
    film = room.add(there.ids("phone.mov"), "Brackwater", LEAVE)
    assert sorted((job["kind"], job["film_title"]) for job in room.jobs()) == [
        ("browser_copy", "Brackwater"),
        ("listen", "Brackwater"),
    ]
    assert {job["film"] for job in room.jobs()} == {film["id"]}
    assert room.jobs() == jobs_page(there.store.jobs, {film["id"]: "Brackwater"}), (
        "in the same words everywhere"
    )


def test_files_are_looked_at_before_they_are_taken_in(there: World) -> None:
    write_film(there.films / "phone.mov", even(20), codec="hevc", warnings=["its rate changes"])
    looked = there.room.look_at(there.ids("phone.mov"))[0]
    assert looked["copy_bytes"] == 1000
    assert looked["free_bytes"] > 0
    assert looked["warnings"] == ["its rate changes"]
    assert there.room.films() == []


def test_a_file_that_is_none_does_not_keep_the_others_from_being_looked_at(there: World) -> None:
    (there.films / "notes.mp4").write_text("no film at all", "utf-8")
    first, torn, second = there.room.look_at(there.ids("first-half.mp4", "notes.mp4", "second-half.mp4"))
    assert (first["frames"], second["frames"]) == (3000, 1500)
    assert (torn["name"], torn["problems"][0]["do"]) == ("notes.mp4", "copy it again from the camera")
    assert first["problems"] == []


# ---- leave ----


def test_who_allowed_it_and_until_when_are_asked_together(there: World) -> None:
    with pytest.raises(UsageError) as fault:
        there.add("first-half.mp4", permission={"by": " "})
    assert [problem.where for problem in fault.value.problems] == ["permission.by", "permission.until"]
    assert there.store.find("film") == ()


def test_a_day_that_is_none_is_refused(there: World) -> None:
    with pytest.raises(UsageError) as fault:
        there.add("first-half.mp4", permission={"by": "Ardenmoor", "until": "31 May"})
    assert "a day of the calendar" in said(fault)


def test_a_last_day_that_has_passed_is_no_leave(there: World) -> None:
    with pytest.raises(UsageError) as fault:
        there.add("first-half.mp4", permission={**LEAVE, "until": "2025-11-10"})
    assert "2025-11-10, which has passed" in said(fault)
    assert "ask again for leave" in said(fault)
    assert there.store.find("film") == ()
    today = there.add("first-half.mp4", permission={**LEAVE, "until": "2025-11-11"})
    assert not today["expired"]


def test_other_words_of_a_film_out_of_date_can_be_mended_but_no_other_past_day_written(there: World) -> None:
    film = there.add("first-half.mp4")
    there.day[0] = datetime(2026, 6, 1, tzinfo=UTC)
    film = there.room.change_film(film["id"], {"title": "Mended", "permission": LEAVE}, seen=film["version"])
    assert (film["title"], film["expired"]) == ("Mended", True)
    with pytest.raises(UsageError) as fault:
        there.room.change_film(
            film["id"], {"permission": {**LEAVE, "until": "2026-05-30"}}, seen=film["version"]
        )
    assert "which has passed" in said(fault)
    film = there.room.change_film(
        film["id"], {"permission": {**LEAVE, "until": "2027-05-31"}}, seen=film["version"]
    )
    assert not film["expired"]


@pytest.mark.parametrize(
    ("scope", "words"),
    [
        ("", "Minors may be visible. Keep it inside the class. Delete it by 2026-05-31."),
        (
            "training of our class",
            "Minors may be visible. Keep it inside the class; allowed for: training of our class. "
            "Delete it by 2026-05-31.",
        ),
    ],
)
def test_what_a_film_may_be_used_for_reads_as_a_sentence(there: World, scope: str, words: str) -> None:
    assert there.add("first-half.mp4", permission={**LEAVE, "scope": scope})["cautions"] == [words]


def test_leave_that_has_ended_is_shown_and_no_clip_leaves(there: World) -> None:
    film = there.add("first-half.mp4")
    assert not there.room.film(film["id"])["expired"]
    there.room.make_clip(film["id"], at(film, 10), at(film, 20), "Throw-in at the end line")
    there.day[0] = datetime(2026, 6, 1, tzinfo=UTC)
    again = there.room.film(film["id"])
    assert again["expired"]
    assert again["cautions"][0].startswith("Leave to use this film ended on 2026-05-31: ask Ardenmoor again")
    assert there.room.films()[0]["expired"]
    with pytest.raises(UsageError) as fault:
        there.room.make_clip(film["id"], at(film, 10), at(film, 20), "Throw-in at the end line")
    assert "leave until 2026-05-31" in said(fault)
    assert there.room.marks(film["id"]) == []


def test_the_last_day_of_leave_still_holds(there: World) -> None:
    film = there.add("first-half.mp4")
    there.day[0] = datetime(2026, 5, 31, 23, tzinfo=UTC)
    assert not there.room.film(film["id"])["expired"]


# ---- refused ----


def test_every_file_that_is_no_film_is_named_and_nothing_is_kept(there: World) -> None:
    (there.films / "notes.mp4").write_text("no film at all", "utf-8")
    (there.films / "torn.mkv").write_text('{"pts": [', "utf-8")
    with pytest.raises(UsageError) as fault:
        there.add("first-half.mp4", "notes.mp4", "torn.mkv")
    assert [problem.where for problem in fault.value.problems] == ["notes.mp4", "torn.mkv"]
    assert there.store.find("film") == ()
    assert read_media(there.folder).films == {}


def test_a_part_is_taken_in_once(there: World) -> None:
    there.add("first-half.mp4", title="Ardenmoor at Pell Hollow")
    shutil.copy(there.films / "first-half.mp4", there.films / "again.mp4")
    with pytest.raises(UsageError) as fault:
        there.add("again.mp4")
    assert "already in the film 'Ardenmoor at Pell Hollow'" in said(fault)


def test_a_file_that_left_the_folder_meanwhile_is_said(there: World) -> None:
    ids = there.ids("first-half.mp4")
    (there.films / "first-half.mp4").unlink()
    with pytest.raises(UsageError) as fault:
        there.room.add(ids, "Gone", LEAVE)
    assert "read the list again" in said(fault)


def test_two_people_do_not_write_over_each_other(there: World) -> None:
    film = there.add("first-half.mp4")
    changed = there.room.change_film(film["id"], {"title": "Pell Hollow, second game"}, seen=film["version"])
    assert changed["title"] == "Pell Hollow, second game"
    with pytest.raises(StoreError):
        there.room.change_film(film["id"], {"title": "Ardenmoor"}, seen=film["version"])


# ---- moved, gone, cut short ----


def test_a_film_moved_and_renamed_is_found_again_with_its_marks(there: World, tmp_path: Path) -> None:
    film = there.add("first-half.mp4")
    there.room.start_mark(film["id"], at(film, 30))
    before = there.room.marks(film["id"])
    away = tmp_path / "other disk"
    away.mkdir()
    shutil.move(there.films / "first-half.mp4", away / "AP-freshman.mp4")
    assert there.room.film(film["id"])["missing"] == [film["parts"][0]["fingerprint"]]
    there.room.add_folder(str(away))
    assert there.room.film(film["id"])["missing"] == []
    assert there.room.source_of(film["parts"][0]["fingerprint"]) == away / "AP-freshman.mp4"
    assert there.room.marks(film["id"]) == before


def test_a_film_put_into_a_folder_inside_a_listed_one_is_found_and_one_deeper_is_not(there: World) -> None:
    film = there.add("first-half.mp4")
    part = film["parts"][0]["fingerprint"]
    deep = there.films / "2025" / "November" / "girls"
    (deep / "too deep").mkdir(parents=True)
    (there.films / "loop").symlink_to(there.films)
    shutil.move(there.films / "first-half.mp4", deep / "too deep" / "a.mp4")
    assert there.room.film(film["id"])["missing"] == [part]
    shutil.move(deep / "too deep" / "a.mp4", deep / "a.mp4")
    assert there.room.film(film["id"])["missing"] == []
    assert there.room.source_of(part) == deep / "a.mp4"


def test_another_film_of_the_same_size_is_not_taken_for_it(there: World) -> None:
    film = there.add("first-half.mp4")
    first = there.films / "first-half.mp4"
    text = first.read_text("utf-8")
    first.unlink()
    (there.films / "other.mp4").write_text(text.replace("600", "601", 1), "utf-8")
    assert (there.films / "other.mp4").stat().st_size == film["parts"][0]["size"]
    assert there.room.film(film["id"])["missing"] == [film["parts"][0]["fingerprint"]]


def test_a_film_pulled_away_keeps_its_marks_and_says_so(there: World) -> None:
    film = there.add("first-half.mp4")
    part = film["parts"][0]["fingerprint"]
    mark = there.room.start_mark(film["id"], at(film, 30))
    there.room.set_event(mark["id"], "e6", at(film, 42))
    before = there.room.mark(mark["id"])
    (there.films / "first-half.mp4").unlink()
    for look in (there.room.frames, there.room.pts, there.room.path_of):
        with pytest.raises(StoreError) as fault:
            look(part)
        assert "first-half.mp4 is not where it was" in said(fault)
        assert "marks are kept" in said(fault)
    assert there.room.mark(mark["id"])["events"] == before["events"]
    # A frame still lasts as long as on the whole, so that the time between is told with what it may be off.
    assert there.room.mark(mark["id"])["measures"][0]["plus_minus"] == pytest.approx(0.04)
    assert there.room.set_event(mark["id"], "e9", at(film, 45))["events"]["e9"] == at(film, 45)


def test_a_film_cut_short_is_said_to_be_so(there: World) -> None:
    film = there.add("first-half.mp4")
    path = there.films / "first-half.mp4"
    path.write_bytes(path.read_bytes()[:200])
    again = there.room.film(film["id"])
    assert again["missing"] == [film["parts"][0]["fingerprint"]]
    assert "is cut short: 200 of" in again["missing_why"][film["parts"][0]["fingerprint"]]


# ---- several cameras ----


def test_two_cameras_stand_on_one_time_line_once_one_moment_is_shown_on_both(there: World) -> None:
    write_film(there.films / "stands.mp4", [n * 1001 for n in range(1500)], (1, 30_000))
    film = there.add("first-half.mp4")
    film = there.room.add_camera(film["id"], there.ids("stands.mp4"), "stands")
    stands = film["parts"][1]
    whistle_here = {"part": stands["fingerprint"], "pts": 300 * 1001, "base": stands["base"]}
    film = there.room.align(film["id"], whistle_here, at(film, 60))
    first = there.room.start_mark(film["id"], at(film, 60))
    second = there.room.start_mark(film["id"], whistle_here)
    assert first["t"] == 60.0
    assert abs(Fraction(second["t"]) - 60) < Fraction(1, 1_000_000)
    # One frame later on either camera is one frame of that camera later on the line.
    later = there.room.start_mark(film["id"], {**whistle_here, "pts": 301 * 1001})
    assert later["t"] - second["t"] == pytest.approx(1001 / 30_000)


def test_one_moment_on_one_camera_alone_aligns_nothing(there: World) -> None:
    film = there.add("first-half.mp4", "second-half.mp4")
    with pytest.raises(UsageError) as fault:
        there.room.align(film["id"], at(film, 10), at(film, 5, part=1))
    assert "one moment on two cameras" in said(fault)


# ---- media.toml ----

NAMES = st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\x00"), min_size=1)


@settings(max_examples=40)
@given(st.dictionaries(NAMES, NAMES, max_size=4), st.lists(NAMES, max_size=3), st.dictionaries(NAMES, NAMES))
def test_whatever_a_folder_is_called_it_is_read_back(
    tmp_path_factory: pytest.TempPathFactory, films: dict[str, str], folders: list[str], gone: dict[str, str]
) -> None:
    place = tmp_path_factory.mktemp("media")
    media = Media(
        films={print_: Path(path) for print_, path in films.items()},
        folders=tuple(Path(one) for one in folders),
        withdrawn=gone,
    )
    write_media(place, media)
    assert read_media(place) == media
    assert [path.name for path in place.iterdir()] == ["media.toml"]


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("[[film]]\npath = 'a'\n", "media.toml, film 1"),
        ("[[folder]]\n[[folder]]\npath = 3\n", "media.toml, folder 1"),
        ("[[disk]]\npath = 'a'\n", "media.toml"),
        ("[[film]\n", "media.toml"),
    ],
)
def test_a_media_file_spoiled_by_hand_is_said_and_not_written_over(
    there: World, text: str, where: str
) -> None:
    (there.folder / "media.toml").write_text(text, "utf-8")
    with pytest.raises(StoreError) as fault:
        there.room.files()
    assert fault.value.problems[0].where == where
    assert (there.folder / "media.toml").read_text("utf-8") == text


def test_a_full_disk_leaves_the_list_of_film_as_it_was(there: World, monkeypatch: pytest.MonkeyPatch) -> None:
    before = (there.folder / "media.toml").read_text("utf-8")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StoreError) as fault:
        there.room.add_folder(str(there.folder / "exports"))
    assert "media.toml" in fault.value.problems[0].where
    assert (there.folder / "media.toml").read_text("utf-8") == before
    assert not list(there.folder.glob("*.part"))


# ---- real film ----


def test_real_film_is_taken_in_moved_and_stepped(there: World, tmp_path: Path) -> None:
    import av
    import numpy as np

    path = there.films / "drawn.mp4"
    with av.open(str(path), "w") as box:
        stream = box.add_stream("libx264", rate=25)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        for shade in range(40):
            picture = np.full((48, 64, 3), shade * 5, np.uint8)
            for packet in stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")):
                box.mux(packet)
        for packet in stream.encode(None):
            box.mux(packet)
    room = FilmRoom(there.store, there.now, there.folder)
    film = room.add(there.ids("drawn.mp4"), "Drawn", LEAVE, opening={"attacking": "left"})
    part = film["parts"][0]
    assert (part["frames"], part["picture"]) == (40, [64, 48])
    pts = room.pts(part["fingerprint"])
    mark = room.start_mark(
        film["id"], {"part": part["fingerprint"], "pts": int(pts[17]), "base": part["base"]}
    )
    assert mark["t"] == pytest.approx(17 / 25)
    away = tmp_path / "away"
    away.mkdir()
    shutil.move(path, away / "moved.mp4")
    room.add_folder(str(away))
    assert room.frames(part["fingerprint"]).tolist() == pytest.approx([n / 25 for n in range(40)])
    assert room.still(part["fingerprint"], int(pts[17]), 48).startswith(b"\xff\xd8")
