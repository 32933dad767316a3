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
