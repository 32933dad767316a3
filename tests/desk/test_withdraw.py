"""Proposals kept or dropped, and a film withdrawn: every picture of it found, every line said, numbers kept."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from tests.desk.film_world import Json, World, at, contents, even, world, write_film

from tenbetween.desk import clips
from tenbetween.errors import StoreError, TenbetweenError, UsageError


@pytest.fixture
def there(tmp_path: Path) -> Iterator[World]:
    with world(tmp_path) as made:
        write_film(made.films / "game.mp4", even(600))
        write_film(made.films / "other.mp4", even(600, first=5))
        yield made


def said(log: list[Json]) -> list[tuple[str, str, str]]:
    return [(line["what"], line["name"], line["done"]) for line in log]


def made_of(there: World, film: Json, clip: str, name: str, content: bytes) -> Path:
    """Put a file into exports/ as a job does, and note it with its clip."""
    path = there.folder / "exports" / name
    path.write_bytes(content)
    clips.files_made(
        there.store, clip, [{"name": name, "digest": sha256(content).hexdigest(), "made": "now"}]
    )
    return path


# ---- proposals ----

HEARD = [
    {"t": 12.5, "t_end": 13.1, "kind": "whistle", "confidence": 0.93},
    {"t": 40.0, "t_end": 52.0, "kind": "lull", "confidence": 0.55},
    {"t": 70.013, "t_end": 70.4, "kind": "whistle", "confidence": 0.31},
]


def listened(there: World) -> tuple[Json, list[Json]]:
    film = there.add("game.mp4")
    there.room.heard(film["id"], film["parts"][0]["fingerprint"], HEARD)
    return film, there.room.proposals(film["id"])


def test_proposals_come_in_the_order_of_the_game_and_the_doubtful_can_be_hidden(there: World) -> None:
    film, found = listened(there)
    assert [one["t"] for one in found] == pytest.approx([12.48, 40.0, 70.0])  # the frame on the screen then
    assert [one["kind"] for one in there.room.proposals(film["id"], 0.5)] == ["whistle", "lull"]


def test_what_a_worker_noted_meanwhile_is_not_taken_back_by_a_key(there: World) -> None:
    film = there.add("game.mp4")
    there.room.start_mark(film["id"], at(film, 30))
    clip = there.room.make_clip(film["id"], at(film, 30), at(film, 40), "Throw-in")["id"]
    clips.files_made(there.store, clip, [{"name": "a.mp4", "digest": "x", "made": "now"}])
    there.room.copied(film["id"], film["parts"][0]["fingerprint"], "copy.mp4")
    there.room.undo(film["id"])
    assert there.room.marks(film["id"]) == []
    assert there.room.film(film["id"])["parts"][0]["copy"] == "copy.mp4"
    assert there.room.clips()[0]["files"] != []


def test_a_film_whose_times_begin_late_has_its_proposals_where_they_were_heard(there: World) -> None:
    write_film(there.films / "late.mp4", even(100, first=90_000))
    film = there.add("late.mp4", title="Late")
    there.room.heard(film["id"], film["parts"][0]["fingerprint"], HEARD)
    found = there.room.proposals(film["id"])
    assert found[0]["pts"] == 90_000 + 312 * 600
    assert found[0]["t"] == pytest.approx(12.48)


def test_a_whistle_kept_is_a_mark_that_begins_with_it(there: World) -> None:
    film, found = listened(there)
    mark = there.room.judge(film["id"], found[0]["id"], "kept")
    assert mark is not None
    assert mark["at"] == mark["events"]["e0"] == found[0]["at"] == at(film, 12.48)
    lull = there.room.judge(film["id"], found[1]["id"], "kept")
    assert lull is not None
    assert lull["events"] == {}
    assert [one["verdict"] for one in there.room.proposals(film["id"])] == ["kept", "kept", ""]


def test_keeping_twice_makes_one_mark_and_one_undo_takes_all_of_it_back(there: World) -> None:
    film, found = listened(there)
    before = contents(there.store)
    first = there.room.judge(film["id"], found[0]["id"], "kept")
    assert there.room.judge(film["id"], found[0]["id"], "kept") == first
    assert len(there.room.marks(film["id"])) == 1
    there.room.undo(film["id"])
    assert contents(there.store) == before


def test_a_proposal_dropped_after_all_takes_its_untouched_mark_along(there: World) -> None:
    film, found = listened(there)
    first, second = (there.room.judge(film["id"], one["id"], "kept") for one in (found[0], found[2]))
    assert first is not None
    assert second is not None
    there.room.set_mark(second["id"], {"note": "a whistle from the next court"})
    assert there.room.judge(film["id"], found[0]["id"], "dropped") is None
    assert there.room.judge(film["id"], found[2]["id"], "dropped") is None
    assert [mark["id"] for mark in there.room.marks(film["id"])] == [second["id"]]
    there.room.undo(film["id"])
    there.room.undo(film["id"])
    assert len(there.room.marks(film["id"])) == 2


def test_what_was_judged_stays_when_the_film_is_listened_to_again(there: World) -> None:
    film, found = listened(there)
    there.room.judge(film["id"], found[0]["id"], "dropped")
    there.room.heard(film["id"], film["parts"][0]["fingerprint"], HEARD)
    assert [one["verdict"] for one in there.room.proposals(film["id"], 0.9)] == ["dropped"]
    assert len(there.store.find("listening")) == 1


def test_a_proposal_of_another_film_or_none_is_refused(there: World) -> None:
    film, found = listened(there)
    other = there.add("other.mp4", title="Other")
    for id_, of in ((found[0]["id"], other), ("nothing", film), (found[0]["id"].split(".")[0] + ".9", film)):
        with pytest.raises(StoreError) as fault:
            there.room.judge(of["id"], id_, "kept")
        assert fault.value.problems[0].where == "proposal"
    with pytest.raises(UsageError):
        there.room.judge(film["id"], found[0]["id"], "perhaps")
    with pytest.raises(UsageError) as broken:
        there.room.heard(film["id"], "x", [{"t": "soon", "t_end": 1, "kind": "whistle", "confidence": 1}])
    assert broken.value.problems[0].where == "proposals[0].t"


# ---- withdrawn ----


def filled(there: World) -> tuple[Json, str]:
    """A film with marks, two clips with files in several places, a copy for the browser, stills, another film's clip."""
    film, other = there.add("game.mp4"), there.add("other.mp4", title="Other")
    part = film["parts"][0]["fingerprint"]
    mark = there.room.start_mark(film["id"], at(film, 30))
    there.room.set_event(mark["id"], "e6", at(film, 41))
    clip = there.room.make_clip(film["id"], at(film, 30), at(film, 40), "Throw-in", marks=[mark["id"]])["id"]
    made_of(there, film, clip, "throw-in.mp4", b"moving pictures")
    (there.folder / "exports" / f"clip-{clip}.mp4.part").write_bytes(b"cut off while it was made")
    (there.folder / "exports" / "throw-in.vtt").write_text("WEBVTT", "utf-8")
    kept = there.room.make_clip(other["id"], at(other, 1), at(other, 2), "Other's own")["id"]
    made_of(there, other, kept, "others.mp4", b"other pictures")
    for name, content in {
        f"copies/{part}.mp4": b"copy", f"stills/{part}/600.jpg": b"still",
        "exports/sent to class.mp4": b"moving pictures", "exports/answer.pdf": b"a sheet",
        f"copies/{other['parts'][0]['fingerprint']}.mp4": b"other copy",
    }.items():  # fmt: skip
        (there.folder / name).parent.mkdir(parents=True, exist_ok=True)
        (there.folder / name).write_bytes(content)
    there.room.copied(film["id"], part, f"{part}.mp4")
    there.room.save_pointer(
        film["id"],
        [{"kind": "ring", "from": at(film, 31), "to": at(film, 33), "at": {"court": [70, 10]}, "text": ""}],
    )
    return film, mark["id"]


def test_every_picture_of_a_withdrawn_film_goes_and_each_line_is_said(there: World) -> None:
    """Job, scenario 8: Brackwater asks for deletion."""
    film, _ = filled(there)
    part = film["parts"][0]["fingerprint"]
    log = said(there.room.withdraw(film["id"], "Brackwater"))
    other = next(one for one in there.room.films() if one["title"] == "Other")
    others = there.room.film(other["id"])["parts"][0]["fingerprint"]
    left = sorted(p.relative_to(there.folder).as_posix() for p in there.folder.rglob("*/*") if p.is_file())
    assert [name for name in left if not name.startswith("layers")] == [
        f"copies/{others}.mp4",
        "exports/answer.pdf",
        "exports/others.mp4",
    ]
    for name in (f"copies/{part}.mp4", f"stills/{part}/600.jpg", "exports/throw-in.mp4", "exports/throw-in.vtt",
                 "exports/sent to class.mp4"):  # fmt: skip
        assert [done for _, said_name, done in log if said_name == name] == ["removed"]
    kept = there.store.find("withdrawal")[0].value
    assert kept.asked_by == "Brackwater"
    assert said(kept.log.data()) == log


def test_marks_stay_as_numbers_and_nothing_shows_a_picture_of_them(there: World) -> None:
    film, mark = filled(there)
    part = film["parts"][0]["fingerprint"]
    events = there.room.mark(mark)["events"]
    log = there.room.withdraw(film["id"], "Brackwater")
    assert there.room.mark(mark)["events"] == events
    assert ("mark", "1") in [(line["what"], line["name"]) for line in log]
    for look in (there.room.path_of, there.room.source_of, there.room.frames):
        with pytest.raises(StoreError) as fault:
            look(part)
        assert "withdrawn" in str(fault.value)
    with pytest.raises(StoreError):
        there.room.still(part, 600, 100)
    with pytest.raises(UsageError):
        there.room.make_clip(film["id"], at(film, 1), at(film, 2), "Again")
    shown = there.room.film(film["id"])
    assert (shown["status"], shown["missing"]) == ("withdrawn", [part])
    assert shown["cautions"] == [
        "This film was withdrawn: no picture of it is opened, its marks are kept as numbers."
    ]
    clip = next(one for one in there.room.clips() if one["film"] == film["id"])
    assert (clip["status"], clip["files"]) == ("withdrawn", [])


def test_the_film_file_itself_is_left_and_said_to_be(there: World) -> None:
    film, _ = filled(there)
    log = there.room.withdraw(film["id"], "Brackwater")
    assert (there.films / "game.mp4").exists()
    assert [line["done"] for line in log if line["what"] == "left to you"] == [
        "delete it yourself if that was asked for too",
        "what you gave or sent to others cannot be called back from here: ask them to delete it",
    ]


def test_copies_of_the_database_are_each_told_and_put_back_they_open_nothing(there: World) -> None:
    there.store.backup(there.folder / "exports" / "before.db")
    film, _ = filled(there)
    there.store.backup(there.folder / "exports" / "with.db")
    log = {line["name"]: line for line in there.room.withdraw(film["id"], "Brackwater")}
    assert log["exports/before.db"]["done"] == "kept: nothing of it is in it"
    assert log["exports/with.db"]["found"] == "names this film"
    assert "no picture" in log["exports/with.db"]["done"]
    # The older state is put back, as a restored copy would: the film stays closed all the same.
    kept = there.store.get("film", film["id"])
    value = {name: getattr(kept.value, name) for name in kept.value.__struct_fields__}
    there.store.save("film", {**value, "status": "in use"}, id=kept.id, seen=kept.version)
    assert there.store.get("film", film["id"]).value.status == "in use"
    again = there.again()
    assert again.film(film["id"])["status"] == "withdrawn"
    with pytest.raises(StoreError):
        again.path_of(film["parts"][0]["fingerprint"])


def test_a_key_does_not_bring_a_withdrawn_film_back(there: World) -> None:
    film, _ = filled(there)
    there.room.withdraw(film["id"], "Brackwater")
    there.room.undo(film["id"])
    assert there.store.get("film", film["id"]).value.status == "withdrawn"


def test_neither_undo_nor_the_history_takes_a_withdrawal_and_its_log_back(there: World) -> None:
    film, _ = filled(there)
    log = there.room.withdraw(film["id"], "Brackwater")
    by_name = [entry.id for entry in there.store.history(limit=3)]
    for which in (None, there.store.history("withdrawal")[0].group, *by_name):
        with pytest.raises(StoreError) as fault:
            there.store.undo(which)
        assert "the withdrawal of a film, with its log" in str(fault.value)
        assert "take an earlier change back by its own Undo" in str(fault.value)
    assert there.room.withdrawals(film["id"]) == [{"asked_by": "Brackwater", "on": "2025-11-11", "log": log}]


def test_what_somebody_put_aside_in_the_workbench_folder_goes_too(there: World) -> None:
    film, _ = filled(there)
    part = film["parts"][0]["fingerprint"]
    clicks = {"u": 1.0, "v": 2.0}
    anchor = there.store.save(
        "anchor", {"film": film["id"], "at": at(film, 30), "clicks": [clicks], "camera": {}},
        basis={"edition": film["edition"]},
    ).id  # fmt: skip
    aside = {
        f"followed/{anchor}.json": b"[]",
        f"before-moving/copies/{part}.mp4": b"copy",
        "before-moving/renamed.mp4": b"copy",
        "my things/half.mp4": b"moving pictures",
        f"stills-old/{part}/600.jpg": b"still",
        "my things/one more.jpg": b"still",
    }
    mine = {
        "my things/plan.txt": b"a plan",
        "before-moving/notes.zip": b"PK",
        "before-moving/state": b"SQLite format 3\x00",
    }
    for name, content in {**aside, **mine}.items():
        (there.folder / name).parent.mkdir(parents=True, exist_ok=True)
        (there.folder / name).write_bytes(content)
    log = {line["name"]: line for line in there.room.withdraw(film["id"], "Brackwater")}
    for name in aside:
        assert not (there.folder / name).exists(), name
        assert log[name]["done"] == "removed"
    assert log[f"followed/{anchor}.json"]["what"] == "court carried through the pan"
    for name in mine:
        assert (there.folder / name).exists(), name
    assert log["before-moving/notes.zip"]["done"].startswith("not looked into: look yourself")
    assert log["before-moving/state"]["what"] == "copy of the database"
    assert "my things/plan.txt" not in log


def test_a_film_that_lies_in_the_workbench_folder_itself_is_left_and_so_is_another_of_the_same_name(
    there: World,
) -> None:
    inside = there.folder / "film"
    write_film(inside / "half.mp4", even(90))
    write_film(inside / "throw-in.mp4", even(40))
    there.room.add_folder(str(inside))
    film = there.add("half.mp4")
    clip = there.room.make_clip(film["id"], at(film, 3), at(film, 4), "Throw-in")["id"]
    made_of(there, film, clip, "throw-in.mp4", b"moving pictures")
    there.room.withdraw(film["id"], "Brackwater")
    assert (inside / "half.mp4").exists()
    assert (inside / "throw-in.mp4").exists()
    assert not (there.folder / "exports" / "throw-in.mp4").exists()


def test_a_withdrawn_film_is_not_taken_in_again_by_mistake(there: World) -> None:
    film, _ = filled(there)
    there.room.withdraw(film["id"], "Brackwater")
    shutil.move(there.films / "game.mp4", there.films / "renamed.mp4")
    with pytest.raises(UsageError) as fault:
        there.add("renamed.mp4", title="Another try")
    assert "withdrawn on 2025-11-11" in str(fault.value)


def test_work_that_waits_is_stopped_and_what_came_up_since_is_found(there: World) -> None:
    room = there.room.bench.films
    room.footage = there.room.footage
    film = room.add(there.ids("game.mp4"), "Brackwater", {"by": "Brackwater", "until": "2026-05-31"})
    assert [job["state"] for job in room.jobs()] == ["waiting"]
    log = said(room.withdraw(film["id"], "the school"))
    assert ("long work", "listen", "stopped") in log
    assert [job["state"] for job in room.jobs()] == ["cancelled"]
    late = there.folder / "copies" / f"{film['parts'][0]['fingerprint']}.mp4"
    late.parent.mkdir()
    late.write_bytes(b"made meanwhile")
    again = said(room.withdraw(film["id"], "the school"))
    assert ("copy for the browser", f"copies/{late.name}", "removed") in again
    assert not late.exists()


def test_a_file_that_cannot_be_removed_is_said_so(there: World, monkeypatch: pytest.MonkeyPatch) -> None:
    film, _ = filled(there)
    refused = there.folder / "exports" / "throw-in.mp4"
    unlink = Path.unlink

    def held(path: Path, missing_ok: bool = False) -> None:
        if path == refused:
            raise PermissionError(13, "Permission denied")
        unlink(path, missing_ok)

    monkeypatch.setattr(Path, "unlink", held)
    log = {line["name"]: line["done"] for line in there.room.withdraw(film["id"], "Brackwater")}
    assert log["exports/throw-in.mp4"] == "could not be removed: Permission denied; remove it by hand"
    assert refused.exists()


def test_nothing_outside_the_workbench_is_touched(there: World, tmp_path: Path) -> None:
    film, _ = filled(there)
    outside = tmp_path / "mine" / f"{film['parts'][0]['fingerprint']}.jpg"
    outside.parent.mkdir()
    outside.write_bytes(b"mine")
    (there.folder / "exports" / "link").symlink_to(outside.parent)
    (there.folder / "exports" / outside.name).symlink_to(outside)
    there.room.withdraw(film["id"], "Brackwater")
    assert outside.read_bytes() == b"mine"


def test_who_asked_is_asked(there: World) -> None:
    film, _ = filled(there)
    with pytest.raises(TenbetweenError) as fault:
        there.room.withdraw(film["id"], "  ")
    assert fault.value.problems[0].where == "asked_by"
    assert there.room.film(film["id"])["status"] == "in use"
