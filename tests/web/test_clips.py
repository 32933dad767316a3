"""The clip pages: nothing is handed out before it was confirmed, and what is wrong is said on the page."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.web.conftest import OWN, PAGE


def post(client: Any, path: str, **fields: Any) -> Any:
    return client.post(path, data=fields, headers={**OWN, **PAGE})


def test_a_clip_is_taken_along_only_after_all_three_were_ticked(client: Any) -> None:
    assert client.get("/clips/c1/take", headers=PAGE).status_code == 400
    refused = post(client, "/clips/c1/confirm", version="v1", permission="yes")
    assert refused.status_code == 400
    assert "you looked at the contact sheet" in refused.text
    answer = post(client, "/clips/c1/confirm", version="v1", permission="yes", names="yes", sheet="yes")
    assert answer.status_code == 303
    taken = client.get("/clips/c1/take", headers=PAGE)
    assert taken.status_code == 200
    assert taken.headers["content-disposition"] == 'attachment; filename="clip-c1.mp4"'
    assert taken.headers["cache-control"] == "no-store"


def test_moments_of_a_film_are_offered_and_what_was_chosen_is_kept(client: Any, bench: Any) -> None:
    at = {"part": "fp-first-half", "pts": 512, "base": [1, 15_360]}
    mark = bench.films.start_mark("f1", at)["id"]
    page = client.get("/clips?film=f1", headers=PAGE)
    assert page.status_code == 200
    assert f'value="{mark}"' in page.text
    alone = client.get(f"/clips?mark={mark}", headers=PAGE).text
    assert f'value="{mark}" checked' in alone
    answer = post(client, "/clips?film=f1", title="", way="reel", before_s="5", mark=mark)
    assert answer.status_code == 400
    assert f'value="{mark}" checked' in answer.text
    assert '<option value="reel" selected>' in answer.text
    assert 'name="before_s" type="number" min="0" max="30" step="0.5" value="5"' in answer.text
    assert (
        post(client, "/clips?film=f1", title="Handed", way="exact", mark=mark)
        .headers["location"]
        .startswith("/clips/c1")
    )


def test_making_without_moments_or_title_says_what_is_missing_and_keeps_what_was_typed(client: Any) -> None:
    answer = post(client, "/clips?film=f1", title="", way="exact")
    assert answer.status_code == 400
    assert "a title without names of players" in answer.text
    answer = post(client, "/clips?film=f1", title="Handed", way="exact")
    assert "tick them in the list" in answer.text


@pytest.mark.parametrize(
    ("kind", "begins"), [("csv", "title"), ("vtt", "WEBVTT"), ("notes.vtt", "WEBVTT"), ("otio", "{")]
)
def test_the_list_is_handed_out_as_table_chapters_and_time_line(client: Any, kind: str, begins: str) -> None:
    answer = client.get(f"/clips/list.{kind}?film=f1")
    assert answer.status_code == 200
    assert answer.text.lstrip("\ufeff").startswith(begins)
    assert "End line, handed" in answer.text


def test_a_list_of_another_kind_is_refused_in_words(client: Any) -> None:
    answer = client.get("/clips/list.doc")
    assert answer.status_code == 400
    assert "csv" in answer.json()["errors"][0]["expected"]


def test_what_is_not_made_yet_is_not_there(client: Any) -> None:
    assert client.get("/clips/c2/look.mp4").status_code == 404
    assert client.get("/clips/c1/look.mp4").status_code == 200


def test_regions_are_kept_as_they_are_sent(client: Any, bench: Any) -> None:
    region = {"marks": [[512, [0.1, 0.1, 0.2, 0.2]]], "until": 1024}
    given = {"blur": [region], "version": "v1"}
    answer = client.post("/api/v1/clips/c1/blur", content=json.dumps(given), headers=OWN)
    assert answer.status_code == 200
    assert bench.clips.kept["c1"]["blur"] == [region]
    assert client.post("/api/v1/clips/c1/blur", content=b"[]", headers=OWN).status_code == 400


@pytest.mark.parametrize(
    "given",
    [{"do": "fly"}, {"do": "locate"}, {"do": "locate", "at": {"part": "x", "pts": 1.5, "base": [1, 30]}}],
)
def test_a_wrong_click_is_refused_in_words(client: Any, given: Any) -> None:
    answer = client.post("/api/v1/films/f1/court", content=json.dumps(given), headers=OWN)
    assert answer.status_code == 400
    assert answer.json()["errors"]


def test_a_mark_that_is_not_on_this_floor_is_named(client: Any) -> None:
    at = {"part": "fp-first-half", "pts": 0, "base": [1, 15_360]}
    given = {
        "do": "locate",
        "at": at,
        "landmarks": [{"name": "goal", "px": [1, 2]}, {"name": "division_line_table", "px": [1]}],
    }
    answer = client.post("/api/v1/films/f1/court", content=json.dumps(given), headers=OWN)
    assert [one["where"] for one in answer.json()["errors"]] == ["landmarks[0].name", "landmarks[1].px"]


def test_a_list_with_nothing_confirmed_is_refused_and_says_what_to_do(client: Any) -> None:
    answer = client.get("/clips/list.csv?words=zzz")
    assert answer.status_code == 400
    (error,) = answer.json()["errors"]
    assert error["found"] == "Left out: 2 not confirmed"
    assert "confirm it" in error["do"]
    assert "Left out: 2 not confirmed." in client.get("/clips", headers=PAGE).text


def test_chapters_of_the_second_part_stand_on_the_one_time_line(client: Any, bench: Any) -> None:
    kept = bench.clips.kept
    late = {**kept["c1"]["begins"], "part": "fp-second-half"}
    kept["c1"] = {**kept["c1"], "begins": late, "ends": {**late, "pts": 90 * 512}}
    text = client.get("/clips/list.vtt?words=End").text
    assert "00:20:01.000 --> 00:20:03.000" in text


def test_an_unconfirmed_clip_has_no_download_in_its_player_and_a_confirmed_one_may(client: Any) -> None:
    assert 'controlslist="nodownload"' in client.get("/clips/c1", headers=PAGE).text
    post(client, "/clips/c1/confirm", version="v1", permission="yes", names="yes", sheet="yes")
    assert "nodownload" not in client.get("/clips/c1", headers=PAGE).text


def test_the_page_says_which_way_takes_which_choice_and_how_long_the_file_really_is(
    client: Any, bench: Any
) -> None:
    at = {"part": "fp-first-half", "pts": 512, "base": [1, 15_360]}
    bench.films.start_mark("f1", at)
    page = client.get("/clips?film=f1", headers=PAGE).text
    assert "Two side by side take pointers, but no stop, no captions and no sound." in page
    bench.clips.kept["c2"] |= {"how": {"way": "beside"}, "seconds": 19.8}
    clip = client.get("/clips/c2", headers=PAGE).text
    assert "19.8 s" in clip
    assert "Two side by side have no sound." in clip
    assert 'name="sound"' not in clip


def test_a_reel_shows_who_allowed_each_film(client: Any, bench: Any) -> None:
    one = bench.clips.kept["c1"]["permissions"][0]
    bench.clips.kept["c1"]["permissions"] = [
        one,
        {**one, "film": "The other game", "by": "Pell Hollow", "expired": True},
    ]
    text = client.get("/clips/c1", headers=PAGE).text
    assert "<b>The other game</b>: Pell Hollow" in text
    assert "That day has passed: ask again." in text


def test_work_on_a_clip_is_stopped_from_its_page_and_one_stays_there(client: Any, bench: Any) -> None:
    told = client.get("/clips/c2/making").json()
    assert set(told) == {"part", "going", "made"}
    assert told["made"] == []
    assert client.get("/clips/making").json()["made"] == ["c1"]
    job = bench.films.jobs()[0]["id"]
    answer = post(client, f"/clips/c2/making/{job}/cancel")
    assert answer.headers["location"] == "/clips/c2?said=Stopped."
    answer = post(client, f"/clips/making/{job}/again")
    assert answer.headers["location"].startswith("/clips?said=")
