"""A scene as one line, and as JSON: read back as written, over all values; anything else gets directions."""

from __future__ import annotations

import json

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from formats.scenes_of_all_kinds import scenes
from notation.spaces import situations
from tenbetween.book import edition_ids
from tenbetween.court import court_of
from tenbetween.errors import TenbetweenError
from tenbetween.formats.scene_json import read_scene, scene_as_dict
from tenbetween.formats.scene_line import play_line, read_play_line, read_scene_line, scene_line
from tenbetween.scene import FORMATIONS, Crew, Matchup, Official, Player, Scene
from tenbetween.situation import Situation

CREW = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0), 90.0))
PLAYERS = (
    Player("a1", "a", (20.0, 25.0)),
    Player("b1", "b", (22.123456, 25.0)),
    Player("Dara", "a", (9.0, 1e-7)),
)
SCENE = Scene(PLAYERS, (Matchup("a1", "b1", "ball"), Matchup("Dara", "b1")), (20.0, 25.0), CREW)
LINE = (
    "us-hs | a1 20,25 b1 22.123456,25 a:Dara 9,1e-07 | a1-b1 ball, Dara-b1 | ball 20,25 "
    "| lead -3,34 | trail 28,12 @90"
)


def test_the_line_reads_as_the_paper_says() -> None:
    assert scene_line(SCENE) == LINE
    assert read_scene_line(LINE) == SCENE


@settings(max_examples=400, deadline=None)
@given(scenes())
def test_a_line_gives_the_same_scene_again(scene: Scene) -> None:
    line = scene_line(scene)
    assert "\n" not in line
    assert read_scene_line(line) == scene


@settings(max_examples=400, deadline=None)
@given(scenes())
def test_json_gives_the_same_scene_again(scene: Scene) -> None:
    assert read_scene(json.loads(json.dumps(scene_as_dict(scene), allow_nan=False))) == scene


def test_a_player_of_unknown_place_is_left_out_of_both() -> None:
    lost = Scene((*PLAYERS, Player("a9", "a", (float("nan"), 2.0))), SCENE.matchups, SCENE.ball, CREW)
    assert read_scene_line(scene_line(lost)) == SCENE
    assert read_scene(scene_as_dict(lost)) == SCENE


def test_the_floor_may_be_an_edition_with_its_size() -> None:
    for edition in edition_ids():
        kind = court_of("fiba" if edition.startswith("fiba") else "us-hs")
        size = {"edition": edition, "length": kind.length / 304_800, "width": kind.width / 304_800}
        given_ = {**scene_as_dict(SCENE), "court": size}
        assert read_scene(given_).court == kind
    with pytest.raises(TenbetweenError, match=r"court.edition: found 'us-hs-1999'"):
        read_scene({**scene_as_dict(SCENE), "court": {"edition": "us-hs-1999", "length": 84, "width": 50}})


PIECES = st.sampled_from(
    [
        "us-hs",
        "fiba",
        "|",
        "a1",
        "20,25",
        "-",
        ",",
        "ball",
        "lead -3,34",
        "trail 28,12 @90",
        "b1",
        '"',
        "@",
        "nan,1",
        "\\",
    ]
)


@settings(max_examples=600, deadline=None)
@given(st.one_of(st.text(max_size=80), st.lists(PIECES, max_size=16).map(" ".join)))
@example(LINE.replace("25", "2500"))
@example("|" * 5)
@example('us-hs | "a | - | 1,1 | lead 1,1 | trail 1,1')
def test_any_text_is_a_scene_or_gets_directions(text: str) -> None:
    try:
        scene = read_scene_line(text)
    except TenbetweenError as fault:
        told = fault.problems
    else:
        told = None
        assert read_scene_line(scene_line(scene)) == scene
    assert told is None or (told and all(one.expected and one.do for one in told))


@pytest.mark.parametrize(
    ("was", "wrong", "where"),
    [
        ("us-hs", "us-h", "floor"),
        ("us-hs", "us-hs 8x5", "court: found 8 ft"),
        ("b1 22.123456,25", "b1 22.123456", "players"),
        ("a1-b1 ball", "a1-b9 ball", r"matchups\[0\]\[1\]"),
        ("a1-b1 ball", "a1-b1 bull", r"matchups\[0\]\[2\]"),
        ("ball 20,25", "ball", "ball"),
        ("lead -3,34", "-3,34", "lead"),
        ("@90", "@900", "officials.trail.facing"),
        (" | ball", "", "line"),
        ("Dara-b1", "Dara-b1,", "matchups"),
    ],
)
def test_a_mistake_is_told_with_its_place(was: str, wrong: str, where: str) -> None:
    with pytest.raises(TenbetweenError, match=where):
        read_scene_line(LINE.replace(was, wrong, 1))


@settings(max_examples=150, deadline=None)
@given(situations(), st.sampled_from(["", *FORMATIONS]))
def test_the_line_of_a_play_gives_both_again(situation: Situation, formation: str) -> None:
    assert read_play_line(play_line(situation, formation)) == (situation, formation)


def test_a_formation_that_is_none_is_named_with_the_nearest() -> None:
    with pytest.raises(TenbetweenError, match=r"did you mean|one of|expected"):
        read_play_line("us-hs-2025 / right / made goal / lead table // back-end-line-opne")
