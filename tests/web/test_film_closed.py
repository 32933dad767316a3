"""A film withdrawn, a copy lost, a file that is none: what a trainer reads on the pages, over a real workbench."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.desk.film_world import LEAVE, PlainFilm, World, at, even, world, write_film
from tests.web.conftest import HOME, OWN, PAGE, TOKEN

from tenbetween.errors import UsageError
from tenbetween.web.app import create_app
from tenbetween.web.security import Door


class Room:
    """A workbench with one film of two marked moments, and a browser that was let in."""

    def __init__(self, there: World, door: Door) -> None:
        self.there, self.bench = there, there.room.bench
        self.films = self.bench.films
        self.films.footage = PlainFilm()
        self.client: Any = TestClient(
            create_app(self.bench, door), base_url=HOME, follow_redirects=True, raise_server_exceptions=True
        )
        self.client.get(f"/?t={TOKEN}")
        film = self.films.add(
            there.ids("game.mp4"), "Ardenmoor at Pell Hollow", LEAVE, opening={"lead": "umpire"}
        )
        self.film, self.id = film, film["id"]
        self.mark = self.films.start_mark(self.id, at(film, 30))["id"]

    def read(self, path: str) -> str:
        answer = self.client.get(path, headers=PAGE)
        assert answer.status_code == 200, path
        return plain(answer.text)

    def send(self, path: str, **fields: Any) -> Any:
        return self.client.post(path, data=fields, headers={**OWN, **PAGE})


def plain(text: str) -> str:
    main = re.search(r"<main.*</main>", text, re.DOTALL)
    assert main is not None
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", main[0]))


@pytest.fixture
def room(tmp_path: Path, door: Door) -> Iterator[Room]:
    with world(tmp_path) as there:
        write_film(there.films / "game.mp4", even(600))
        yield Room(there, door)


@pytest.fixture
def closed(room: Room) -> Room:
    assert room.send(f"/films/{room.id}/withdraw", asked_by="Brackwater").status_code == 200
    return room


# ---- withdrawn ----


def test_what_was_done_is_read_again_at_any_time_and_reached_from_the_film(closed: Room) -> None:
    for path in (f"/films/{closed.id}/withdraw", f"/films/{closed.id}/withdraw?x"):
        text = closed.read(path)
        assert "Withdrawn on 2025-11-11, asked for by Brackwater" in text
        assert "not opened any more; the file itself is yours and was left alone" in text
        assert "Withdraw it for good" not in text
    assert (
        f'href="/films/{closed.id}/withdraw"' in closed.client.get(f"/films/{closed.id}", headers=PAGE).text
    )


def test_undo_the_last_change_does_not_take_the_log_away(closed: Room) -> None:
    answer = closed.send("/undo")
    assert answer.status_code in (400, 409)
    assert "the withdrawal of a film, with its log" in answer.text
    assert "asked for by Brackwater" in closed.read(f"/films/{closed.id}/withdraw")


@pytest.mark.parametrize("tail", ["", "/show", "/court", "/court?mark={mark}"])
def test_every_page_of_a_withdrawn_film_says_so_and_none_says_the_file_was_lost(
    closed: Room, tail: str
) -> None:
    text = closed.read(f"/films/{closed.id}{tail.replace('{mark}', closed.mark)}")
    assert "This film was withdrawn: no picture of it is opened" in text
    assert "ot where it was" not in text
    assert "not here" not in text


def test_no_picture_of_a_withdrawn_film_is_asked_for(closed: Room) -> None:
    part = closed.film["parts"][0]["fingerprint"]
    for tail in ("", "/show", "/court"):
        assert f"/media/{part}/still" not in closed.client.get(f"/films/{closed.id}{tail}", headers=PAGE).text
    for tail in ("", "/frames", "/still/600.jpg"):
        assert closed.client.get(f"/media/{part}{tail}").status_code == 404


def test_no_clip_of_a_withdrawn_film_is_offered(closed: Room) -> None:
    text = closed.client.get(f"/clips?film={closed.id}", headers=PAGE).text
    assert f'value="{closed.mark}"' not in text
    assert ">Make</button>" not in text


# ---- the copy for the browser ----


def test_a_copy_that_was_deleted_is_made_again_from_the_film(room: Room) -> None:
    write_film(room.there.films / "phone.mov", even(20), codec="hevc")
    film = room.films.add(room.there.ids("phone.mov"), "Phone", LEAVE)
    part = film["parts"][0]["fingerprint"]
    jobs = room.there.store.jobs
    for job in jobs.list(("waiting",)):
        jobs.ask_off(job.id, room.there.now())
    room.films.copied(film["id"], part, f"{part}.mp4")
    text = room.read(f"/films/{film['id']}")
    assert "make the copy again" in text
    assert "Make the copy again" in text
    answer = room.send(f"/films/{film['id']}/copy", part=part)
    assert "The copy waits its turn" in plain(answer.text)
    assert [job.kind for job in jobs.list(("waiting",))] == ["browser_copy"]
    (room.there.folder / "copies").mkdir()
    (room.there.folder / "copies" / f"{part}.mp4").write_bytes(b"copy")
    assert "Make the copy" not in room.read(f"/films/{film['id']}")
    refused = room.send(f"/films/{film['id']}/copy", part=part)
    assert refused.status_code == 400
    assert "its copy is here" in refused.text


def test_the_commands_of_the_demo_film_are_whole(room: Room) -> None:
    text = room.read("/films")
    assert "tenbetween film demo drawn.mp4" in text
    assert "tenbetween film add drawn.mp4 --title" in text
    assert "--until 2026-06-30" in text


# ---- taking up ----


def test_of_several_ticked_files_the_one_that_is_none_is_named_and_the_rest_go_on(room: Room) -> None:
    (room.there.films / "notes.mp4").write_text("no film at all", "utf-8")
    write_film(room.there.films / "second.mp4", even(60))
    good, bad = room.there.ids("second.mp4", "notes.mp4")
    answer = room.client.get(f"/films/new?file={good}&file={bad}", headers=PAGE)
    assert answer.status_code == 200
    assert "<h3>Left out: no film that can be read</h3>" in answer.text
    assert (
        '<b>notes.mp4</b><small class="wrong">no film; copy it again from the camera</small>' in answer.text
    )
    assert f'name="file" value="{good}"' in answer.text
    assert f'name="file" value="{bad}"' not in answer.text


def test_where_no_ticked_file_can_be_read_the_list_of_films_says_so(room: Room) -> None:
    (room.there.films / "notes.mp4").write_text("no film at all", "utf-8")
    for asked, words in (
        (room.there.ids("notes.mp4")[0], "copy it again from the camera"),
        ("none", "read the list again"),
    ):
        answer = room.client.get(f"/films/new?file={asked}", headers=PAGE)
        assert answer.status_code == 400
        assert words in answer.text
        assert "Look at the files" in answer.text


def test_a_day_that_has_passed_is_asked_again_with_what_was_typed(room: Room) -> None:
    write_film(room.there.films / "second.mp4", even(60))
    sent = {
        "file": room.there.ids("second.mp4")[0],
        "title": "Pell Hollow",
        "by": "the school",
        "until": "2025-01-01",
    }
    answer = room.send("/films", **sent)
    assert answer.status_code == 400
    assert "2025-01-01, which has passed" in answer.text
    assert 'value="Pell Hollow"' in answer.text
    assert len(room.films.films()) == 1


def test_where_film_packages_are_missing_the_pages_say_that_work_waits(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "film work is off" not in room.read("/films")
    assert "The sound is being listened to" in room.read(f"/films/{room.id}")
    monkeypatch.setitem(sys.modules, "huey", None)
    text = room.read("/films")
    assert "On this machine film work is off, huey is missing; in the program&#39;s folder:" in text.replace(
        "'", "&#39;"
    )
    text = room.read(f"/films/{room.id}")
    assert "The sound waits to be listened to: on this machine film work is off, huey is missing" in text
    assert "being listened to;" not in text


def test_a_tag_is_a_word_or_two(room: Room) -> None:
    for tags, words in (
        (["late", "x" * 5_000], "of 5,000 letters: expected at most 60 letters"),
        ([f"tag {n}" for n in range(31)], "31 tags"),
    ):
        with pytest.raises(UsageError) as fault:
            room.films.set_mark(room.mark, {"tags": tags})
        assert words.split(":")[0] in str(fault.value)
    room.films.set_mark(room.mark, {"tags": ["late chop", "x" * 60]})
    assert room.films.mark(room.mark)["tags"] == ["late chop", "x" * 60]
