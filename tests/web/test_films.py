"""Film pages, media and the marking API over the film room of the tests: right input, and every shape of wrong input."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
from tests.web.conftest import OWN, PAGE
from tests.web.fake_films import folder

FIRST = "fp-first-half"
AT = {"part": FIRST, "pts": 90_000, "base": [1, 90_000]}


def do(client: Any, film: str = "f1", **given: Any) -> Any:
    return client.post(f"/api/v1/films/{film}/do", json=given, headers=OWN)


def start(client: Any, pts: int = 90_000) -> str:
    return str(do(client, do="start", at={**AT, "pts": pts}).json()["mark"])


# -- media ----------


def test_a_film_is_answered_whole_and_in_pieces(client: Any) -> None:
    whole = (folder() / "first half.mp4").read_bytes()
    first = client.get(f"/media/{FIRST}")
    assert (first.status_code, first.content) == (200, whole)
    assert first.headers["accept-ranges"] == "bytes"
    piece = client.get(f"/media/{FIRST}", headers={"range": "bytes=100-299"})
    assert (piece.status_code, piece.content) == (206, whole[100:300])
    assert piece.headers["content-range"] == f"bytes 100-299/{len(whole)}"
    tail = client.get(f"/media/{FIRST}", headers={"range": "bytes=-50"})
    assert tail.content == whole[-50:]
    assert client.get(f"/media/{FIRST}", headers={"range": f"bytes={len(whole)}-"}).status_code == 416


def test_no_answer_tells_where_a_film_lies(client: Any) -> None:
    place = str(folder())
    for path in (f"/media/{FIRST}", "/films", "/films/f1", "/films/new?file=other-game", "/media/nowhere"):
        answer = client.get(path, headers={**PAGE, "range": "bytes=0-9"} if "media" in path else PAGE)
        assert place not in str(answer.headers)
        assert place.encode() not in answer.content


def test_frames_are_eight_byte_floats_in_seconds(client: Any) -> None:
    answer = client.get(f"/media/{FIRST}/frames")
    times = np.frombuffer(answer.content, "<f8")
    assert len(times) == 240
    assert np.allclose(np.diff(times), 1 / 30, atol=1e-5)


@pytest.mark.parametrize("name", ["nowhere", "fp-gone", "%2e%2e%2fetc", "fp-first-half.mp4"])
def test_only_known_fingerprints_lead_anywhere(client: Any, name: str) -> None:
    for tail in ("", "/frames", "/still/0.jpg"):
        assert client.get(f"/media/{name}{tail}").status_code in (400, 404)


def test_a_still_has_a_height_within_reason(client: Any) -> None:
    for asked in ("", "?h=90", "?h=999999", "?h=-1", "?h=x"):
        answer = client.get(f"/media/{FIRST}/still/0.jpg{asked}")
        assert (answer.status_code, answer.headers["content-type"]) == (200, "image/jpeg")
    assert client.get(f"/media/{FIRST}/still/x.jpg").status_code == 404


# -- marking ----------


def test_a_moment_is_begun_walked_through_closed_and_taken_back(client: Any, bench: Any) -> None:
    mark = start(client)
    answer = do(client, do="event", mark=mark, event="e1", at={**AT, "pts": 120_000}).json()
    assert answer["next"] == "e2"
    assert set(answer["parts"]) == {"clock"}
    assert 'id="go-e1"' in answer["parts"]["clock"]
    assert "+0.33 s" in answer["parts"]["clock"]
    assert len(answer["rows"]) == 1
    unseen = do(client, do="event", mark=mark, event="e2", at="not seen").json()
    assert 'id="open-e2"' in unseen["parts"]["clock"]
    closed = do(client, do="close", mark=mark).json()
    assert (closed["next"], "closed" in closed["rows"][0]) == ("", True)
    assert set(bench.films.mark(mark)["events"]) == {f"e{n}" for n in range(12)}
    back = do(client, do="undo").json()
    assert back["words"] == "Taken back."
    assert not bench.films.mark(mark)["closed"]
    do(client, do="redo")
    assert bench.films.mark(mark)["closed"]


def test_what_is_said_of_a_moment_comes_back_in_its_parts(client: Any) -> None:
    mark = start(client)
    answer = do(client, do="set", mark=mark, fields={"stopped_by": "out_of_bounds", "at": [58, 0]}).json()
    assert set(answer["parts"]) == {"clock", "what", "answer"}
    assert "table sideline, 26\u00a0ft" in answer["parts"]["what"]
    assert "Old lead bounces it" in answer["parts"]["answer"]
    told = do(client, do="duty", mark=mark, duty="chop", who="referee", verdict="yes").json()
    first = re.search(r'data-duty="([^"]+)"', told["parts"]["answer"])
    assert first is not None
    assert first.group(1) == "chop"  # right things first
    shown = client.get(f"/api/v1/films/f1/marks/{mark}").json()
    assert shown["parts"].keys() == {"clock", "what", "answer"}


@pytest.mark.parametrize(
    "given",
    [
        [],
        {},
        {"do": "nothing"},
        {"do": "start"},
        {"do": "start", "at": {"part": FIRST, "pts": 1.5, "base": [1, 90_000]}},
        {"do": "event", "mark": "nobody", "event": "e1"},
        {"do": "event"},
        {"do": "set", "mark": "nobody", "fields": {}},
        {"do": "undo"},
        {"do": "redo"},
    ],
)
def test_wrong_input_is_directions_and_nothing_is_kept(client: Any, bench: Any, given: Any) -> None:
    answer = client.post("/api/v1/films/f1/do", json=given, headers=OWN)
    assert answer.status_code == 400
    assert all(one["do"] for one in answer.json()["errors"])
    assert bench.films.moments == {}


def test_another_site_can_change_nothing(client: Any, bench: Any) -> None:
    stranger = {"origin": "http://127.0.0.1:9", "sec-fetch-site": "same-site"}
    for path in ("/api/v1/films/f1/do", "/films", "/films/f1", "/films/jobs/j2/cancel", "/films/camera"):
        assert client.post(path, json={"do": "start", "at": AT}, headers=stranger).status_code == 403
    assert bench.films.moments == {}


# -- pages ----------


def test_a_film_is_not_taken_up_before_it_is_said_who_allowed_it(client: Any, bench: Any) -> None:
    sent = {"file": "other-game", "title": "Brackwater at Oslin Creek", "camera": "main"}
    answer = client.post("/films", data=sent, headers={**OWN, **PAGE})
    assert answer.status_code == 400
    assert "write who gave permission" in answer.text
    assert "say until when" in answer.text
    assert 'value="Brackwater at Oslin Creek"' in answer.text  # what was typed is still there
    assert len(bench.films.kept) == 2
    right = client.post(
        "/films", data={**sent, "by": "the school", "until": "2026-06-30"}, headers={**OWN, **PAGE}
    )
    assert right.status_code == 303
    assert bench.films.kept["f3"]["permission"]["by"] == "the school"
    assert client.post("/films", data={"title": "x"}, headers={**OWN, **PAGE}).status_code == 400


def test_the_room_a_copy_takes_is_said_before_it_is_made(client: Any) -> None:
    text = client.get("/films/new?file=other-game", headers=PAGE).text
    assert "A copy for the browser takes about 900.0 MB; 52.0 GB are free." in text
    assert "Do you have permission to use this film for training?" in text
    none = client.get("/films/new", headers=PAGE)
    assert (none.status_code, none.headers["location"].split("?")[0]) == (303, "/films")
    assert client.get("/films/new?file=%2Fetc%2Fpasswd", headers=PAGE).status_code == 400


def test_expired_and_missing_are_said_in_words_with_a_sign(client: Any) -> None:
    text = client.get("/films", headers=PAGE).text
    assert "Permission has run out" in text
    assert re.search(r'class="sign missing" aria-hidden="true"></span> 1 file is not where it was', text)
    assert "did not work" in text
    assert "the file ends in the middle of a picture; copy it again" in text


def test_work_is_stopped_and_begun_again(client: Any, bench: Any) -> None:
    told = client.get("/films/jobs").json()
    assert (told["going"], told["any"]) == (True, True)
    for path, number, state in (("j2/cancel", 1, "cancelled"), ("j3/again", 2, "waiting")):
        answer = client.post(f"/films/jobs/{path}", headers={**OWN, **PAGE})
        assert answer.status_code == 303
        assert bench.films.under_way[number]["state"] == state
    assert client.post("/films/jobs/none/cancel", headers={**OWN, **PAGE}).status_code == 400


def test_a_film_changed_in_between_is_a_conflict_with_the_page_still_there(client: Any) -> None:
    fields = {"title": "Other", "date": "2025-11-04", "level": "", "by": "x", "until": "2026-06-30"}
    late = client.post("/films/f1", data={**fields, "version": "older"}, headers={**OWN, **PAGE})
    assert late.status_code == 400
    assert "changed in between" in late.text
    assert 'id="film"' in late.text
    kept = client.post("/films/f1", data={**fields, "version": "v1"}, headers={**OWN, **PAGE})
    assert kept.status_code == 303
    assert "Other" in client.get("/films", headers=PAGE).text


def test_words_typed_into_a_film_are_text_and_never_a_page(client: Any, bench: Any) -> None:
    evil = '"><script>alert(1)</script>'
    mark = start(client)
    do(client, do="set", mark=mark, fields={"note": evil, "tags": [evil]})
    bench.films.kept["f1"]["title"] = evil
    for path in (f"/films/f1?mark={mark}", "/films", "/films/search?words=script"):
        assert "<script>alert" not in client.get(path, headers=PAGE).text
    assert "<script>alert" not in client.get(f"/api/v1/films/f1/marks/{mark}").json()["parts"]["answer"]


def test_only_the_rows_that_read_otherwise_come_back_with_the_order_of_all(client: Any) -> None:
    later = start(client, 180_000)
    first = do(client, do="start", at=AT).json()
    assert first["order"] == [first["mark"], later]
    assert len(first["rows"]) == 1
    assert f'id="row-{first["mark"]}"' in first["rows"][0]
    gone = do(client, do="remove", mark=later).json()
    assert (gone["rows"], gone["order"]) == ([], [first["mark"]])
