"""``tenbetween run`` and ``tenbetween tracks``: parts, JSON, and every fault with directions."""

from __future__ import annotations

import io
import json
import re
import sys
from pathlib import Path
from typing import Any

import pytest
from msgspec import to_builtins

from tenbetween import cli
from tenbetween.movement import BRISK, JOGGER, BallStep, race, time_to

ROOT = Path(__file__).resolve().parents[2]
SCENE = str(ROOT / "docs" / "examples" / "scene.json")
TRACKS = ROOT / "docs" / "examples" / "tracks.jsonl"
STEAL = ("--ball", "30,25", "--then", "steal", "--then", "dribble 88.75,25")


@pytest.fixture
def say(capsys: Any, monkeypatch: Any) -> Any:
    def run(*words: str, stdin: bytes = b"") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", type("Input", (), {"buffer": io.BytesIO(stdin)}))
        code = cli.main(list(words))
        out, err = capsys.readouterr()
        return code, out, err

    return run


# -- run ----------


def test_the_parts_of_a_run(say: Any) -> None:
    code, out, _ = say("run", "--from", "-3,36", "--to", "-3,6", "--legs", "jogger", "--turn", "90", "--json")
    page = json.loads(out)
    found = time_to(30.0, JOGGER, 0.0, 90.0)
    assert code == 0
    assert page["arrival"]["total"] == pytest.approx(found.total)
    assert {
        name: page["arrival"][name] for name in ("reaction", "turn", "run", "brake", "settle")
    } == pytest.approx(
        {
            "reaction": found.reaction,
            "turn": found.turn,
            "run": found.run,
            "brake": found.brake,
            "settle": found.settle,
        }
    )
    assert page["profile"] == to_builtins(JOGGER)
    assert "race" not in page
    assert "way" not in page


def test_a_race_with_the_ball(say: Any) -> None:
    code, out, _ = say("run", "--from", "34,10", "--to", "97.5,36", *STEAL, "--json")
    found = race(
        (34.0, 10.0),
        (97.5, 36.0),
        (30.0, 25.0),
        (BallStep("steal"), BallStep("dribble", (88.75, 25.0))),
        BRISK,
    )
    page = json.loads(out)["race"]
    assert code == 0
    assert page["margin_s"] == pytest.approx(found.margin_s)
    assert page["wins"] is found.wins
    assert page["deepest"] == pytest.approx(found.deepest)
    assert page["official"]["total"] == pytest.approx(found.official.total)
    assert set(page["pace"]) >= {"pass_speed", "dribble_speed"}


def test_words_tell_who_is_there_first_and_no_aim(say: Any) -> None:
    _, near, _ = say("run", "--from", "60,10", "--to", "97.5,36", *STEAL)
    _, far, _ = say("run", "--from", "2,10", "--to", "97.5,36", *STEAL)
    assert "he is there first" in near
    assert "the ball is there first" in far
    for text in (near, far):
        assert "Warm up" in text
        assert not re.search(r"score|grade|optimal|accura|faster is better", text, re.IGNORECASE)


def test_round_the_players_of_a_scene(say: Any) -> None:
    _, out, _ = say("run", "--from", "-3,36", "--to", "31,11", "--scene", SCENE, "--json")
    way = json.loads(out)["way"]
    assert way["points"][0] == [-3.0, 36.0]
    assert way["points"][-1] == [31.0, 11.0]
    assert way["free"] is True
    assert 0 <= way["all_in_view"] <= way["in_view"] <= 1
    assert {leg["gait"] for leg in way["legs"]} <= {"forward", "sideways", "backwards"}
    _, words, _ = say("run", "--from", "-3,36", "--to", "31,11", "--scene", SCENE)
    assert "By way of -3.0,36.0 - " in words
    assert "in his field of view" in words


@pytest.mark.parametrize(
    ("words", "where", "status"),
    [
        (("--from", "34", "--to", "97.5,x"), ["--from", "--to"], 2),
        (("--from", "nan,1", "--to", "1,1"), ["--from"], 2),
        (("--from", "1,1", "--to", "9,9", "--ball", "1,1"), ["--ball"], 2),
        (("--from", "1,1", "--to", "9,9", "--then", "steal"), ["--then"], 2),
        (("--from", "1,1", "--to", "9,9", "--outside"), ["--outside"], 2),
        (("--from", "1,1", "--to", "9,9", "--ball", "1,1", "--then", "pass 3"), ["--then 1"], 2),
        (("--from", "1,1", "--to", "9,9", "--ball", "1,1", "--then", "kick"), ["route[0]"], 1),
        (("--from", "1,1", "--to", "9,9", "--legs", "walker"), ["profile"], 1),
        (("--from", "1,1", "--to", "9,9", "--speed", "nan"), ["start speed"], 1),
        (("--from", "1,1", "--to", "9,9", "--turn", "inf"), ["turn"], 1),
        (("--from", "1,1", "--to", "9,9", "--speed", "3", "--scene", SCENE), ["--speed"], 2),
        (("--from", "1,1", "--to", "9,9", "--scene", "nowhere.json"), ["nowhere.json"], 1),
        (("--to", "9,9"), ["command"], 2),
    ],
)
def test_faults_of_a_run_are_directions(
    words: tuple[str, ...], where: list[str], status: int, say: Any
) -> None:
    code, out, err = say("run", *words, "--json")
    errors = json.loads(err)["errors"]
    assert (code, out) == (status, "")
    assert [one["where"] for one in errors] == where
    assert all(list(one) == ["where", "found", "expected", "do"] and all(one.values()) for one in errors)


# -- tracks ----------


def test_tracks_tell_a_report_and_what_the_crew_had(say: Any) -> None:
    code, out, _ = say("tracks", str(TRACKS), "--json")
    page = json.loads(out)
    assert code == 0
    assert (page["report"]["frames"], page["moments"], page["with_both_officials"]) == (12, 12, 12)
    assert page["boxed_in"]["moments"] == 12
    assert page["boxed_in"]["share"] == page["boxed_in"]["boxed"] / 12
    held = page["coverage"]
    assert held["moments"] == 12
    assert held["held"]["p10"] <= held["held"]["median"] <= held["held"]["p90"]
    assert held["two_places_at_random"]["p10"] < held["two_places_at_random"]["p90"]


def test_summary_is_what_sight_says_frame_by_frame(say: Any) -> None:
    from statistics import median

    from tenbetween.formats.tracks import read_tracks
    from tenbetween.sight import see

    seen = [see(scene) for _, scene in read_tracks(TRACKS).frames]
    page = json.loads(say("tracks", str(TRACKS), "--json")[1])
    assert page["boxed_in"]["boxed"] == sum(one.boxed_in.ok for one in seen)
    assert page["coverage"]["held"]["median"] == pytest.approx(
        median(one.coverage for one in seen if one.coverage is not None)
    )


def test_standard_input_and_every_so_often(say: Any) -> None:
    one = say("tracks", "-", "--every", "0.4", "--json", stdin=TRACKS.read_bytes())
    page = json.loads(one[1])
    assert (page["report"]["frames"], page["moments"]) == (12, 6)
    assert one == say("tracks", str(TRACKS), "--every", "0.4", "--json")


def test_without_officials_or_matchups_nothing_is_made_up(say: Any) -> None:
    rows = b"t,id,team,x,y\n0,1,white,10,10\n0,2,dark,12,12\n1,1,white,10,11\n1,2,dark,12,13\n"
    code, out, _ = say("tracks", "-", stdin=rows)
    assert code == 0
    assert "team white is a here" in out
    assert "in no moment are both officials there" in out
    crew = b"".join(b"%d,,lead,-3,30\n%d,,trail,30,12\n" % (t, t) for t in (2,)) + b"2,1,white,10,11\n"
    _, out, _ = say("tracks", "-", stdin=rows + crew)
    assert "No matchup is named" in out
    assert "frames with fewer than ten players, kept" in out
    page = json.loads(say("tracks", "-", "--json", stdin=rows + crew)[1])
    assert page["coverage"] == {"moments": 0, "held": None, "two_places_at_random": None}
    assert page["boxed_in"]["moments"] == 1


def test_words_judge_nobody(say: Any) -> None:
    _, out, _ = say("tracks", str(TRACKS))
    assert not re.search(r"score|grade|optimal|accura|correct", out, re.IGNORECASE)
    assert "not how anybody worked" in out
    assert "two places drawn at random" in out


@pytest.mark.parametrize(
    ("words", "stdin", "status"),
    [
        (("-",), b"", 1),
        (("-",), b"\xff\xfe\x00", 1),
        (("-",), b'{"version": 7}\n', 1),
        (("-", "--units", "inches"), TRACKS.read_bytes(), 1),
        (("-", "--every", "0"), TRACKS.read_bytes(), 2),
        (("-", "--every", "nan"), TRACKS.read_bytes(), 2),
        (("nowhere.jsonl",), b"", 1),
    ],
)
def test_faults_of_tracks_are_directions(words: tuple[str, ...], stdin: bytes, status: int, say: Any) -> None:
    code, out, err = say("tracks", *words, "--json", stdin=stdin)
    errors = json.loads(err)["errors"]
    assert (code, out) == (status, "")
    assert errors
    assert all(list(one) == ["where", "found", "expected", "do"] and all(one.values()) for one in errors)
