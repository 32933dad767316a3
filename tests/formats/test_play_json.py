"""Plays as open JSON: read back as written, over all values; anything else gets directions, all at once."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formats.scenes_of_all_kinds import plays
from tenbetween.errors import FormatError, TenbetweenError
from tenbetween.formats.play_json import play_as_dict, read_play
from tenbetween.scene import Crew, Official, Play, Player, PlayStep, Scene

STEP = PlayStep(
    says="Ready.",
    scene=Scene(
        (Player("a1", "a", (20.0, 25.0)),),
        (),
        (20.0, 25.0),
        Crew(Official((-3.0, 34.0)), Official((28.0, 12.0))),
    ),
    via=(("umpire", ((30.0, 20.0),)),),
    provisions=("count.five",),
)
PLAY = Play(title="Mine", steps=(STEP, STEP))


@settings(max_examples=200, deadline=None)
@given(plays())
def test_json_gives_the_same_play_again(play: Play) -> None:
    given_ = play_as_dict(play)
    assert read_play(given_) == play
    assert read_play(json.dumps(given_, allow_nan=False)) == play
    assert [one["court"] for one in [given_]] == [given_["court"]]
    assert all("court" not in step for step in given_["steps"])


def changed(place: str, value: Any) -> dict[str, Any]:
    """The play with one part put in the place of another; no value: the part taken out."""
    given_ = copy.deepcopy(play_as_dict(PLAY))
    *way, last = [int(part) if part.isdigit() else part for part in place.split(".")]
    here: Any = given_
    for part in way:
        here = here[part]
    if value is None:
        del here[last]
    else:
        here[last] = value
    return given_


@pytest.mark.parametrize(
    ("place", "value", "where"),
    [
        ("format", "other", "format"),
        ("version", 2, "version"),
        ("version", True, "version"),
        ("title", " ", "title"),
        ("title", "a\nb", "title"),
        ("court", {"length": 8}, "court.width"),
        ("steps", {}, "steps"),
        ("steps", [], "steps"),
        ("steps", [PLAY.title], r"steps\[0\]"),
        ("colour", "red", "colour"),
        ("steps.1.secs", 3, r"steps\[1\].secs"),
        ("steps.1.seconds", -1, r"steps\[1\].seconds"),
        ("steps.1.hold", 1e9, r"steps\[1\].hold"),
        ("steps.1.lead", "refere", r"steps\[1\].lead"),
        ("steps.1.provisions", ["", 7], r"steps\[1\].provisions\[1\]"),
        ("steps.1.ball", None, r"steps\[1\].ball"),
        ("steps.1.players.0.x", "left", r"steps\[1\].players\[0\].x"),
        ("steps.1.via", {"a7": []}, r"steps\[1\].via.a7"),
        ("steps.1.via", {"a1": [[1, 2, 3]]}, r"steps\[1\].via.a1\[0\]"),
        ("steps.1.via", {"a1": [[1, 2000]]}, r"steps\[1\].via.a1\[0\]\[1\]"),
    ],
)
def test_a_mistake_is_told_with_its_place(place: str, value: Any, where: str) -> None:
    with pytest.raises(FormatError, match=where):
        read_play(changed(place, value))


def test_all_mistakes_are_told_together() -> None:
    wrong = changed("steps.0.seconds", -1)
    wrong["steps"][1]["officials"]["lead"]["x"] = "here"
    wrong["title"] = 5
    with pytest.raises(FormatError) as told:
        read_play(wrong)
    assert [one.where for one in told.value.problems] == [
        "title",
        "steps[0].seconds",
        "steps[1].officials.lead.x",
    ]


def test_a_wrong_floor_is_told_once() -> None:
    with pytest.raises(FormatError) as told:
        read_play(changed("court", "nowhere"))
    assert [one.where for one in told.value.problems] == ["court"]


VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False), st.text(max_size=8)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)
PLACES = st.sampled_from(
    ["title", "court", "line", "steps", "steps.0", "steps.0.players", "steps.0.players.0", "steps.0.players.0.at",
     "steps.0.via", "steps.0.ball", "steps.0.officials", "steps.1.provisions", "steps.1.lead", "steps.0.matchups"]
)  # fmt: skip


@settings(max_examples=500, deadline=None)
@given(st.one_of(VALUES, st.builds(changed, PLACES, VALUES.filter(lambda value: value is not None))))
def test_any_json_is_a_play_or_gets_directions(value: Any) -> None:
    try:
        play = read_play(json.dumps(value))
    except TenbetweenError as fault:
        told = fault.problems
    else:
        told = None
        assert read_play(play_as_dict(play)) == play
    assert told is None or (told and all(one.expected and one.do for one in told))


@settings(max_examples=200, deadline=None)
@given(st.one_of(st.text(max_size=60), st.binary(max_size=60)))
def test_any_text_is_a_play_or_gets_directions(text: str | bytes) -> None:
    with pytest.raises(TenbetweenError):
        read_play(text)


def test_a_play_on_two_floors_is_refused() -> None:
    from msgspec.structs import replace

    from tenbetween.court import court_of

    other = replace(STEP, scene=replace(STEP.scene, court=court_of("fiba")))
    with pytest.raises(FormatError, match="2 floors in 2 steps"):
        play_as_dict(replace(PLAY, steps=(STEP, other)))
