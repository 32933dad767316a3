"""A file opened on the court: a play as written, or tracks told a frame a second; nothing guessed, nothing lost unsaid."""

from __future__ import annotations

import json
from contextlib import suppress
from math import isfinite
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tenbetween.desk.tracked import MOST_STEPS, opened
from tenbetween.dev.scenes_measured import ruling_of
from tenbetween.errors import TenbetweenError
from tenbetween.formats.play_json import play_as_dict
from tenbetween.scene import play_of

EXAMPLE = (Path(__file__).parents[2] / "docs" / "examples" / "tracks.jsonl").read_text("utf-8")


def frames(*times: float, **more: object) -> str:
    players = [
        {"id": "a1", "team": "a", "x": 20.0, "y": 25.0},
        {"id": "b1", "team": "b", "x": 23.0, "y": 25.0},
    ]
    return "\n".join(json.dumps({"t": t, "players": players, "ball": [20, 25], **more}) for t in times)


def test_a_play_comes_back_as_it_went_out() -> None:
    play = play_of(ruling_of("out_of_bounds", (56.0, 0.0)))
    assert opened(json.dumps(play_as_dict(play)))[0] == play


def test_the_example_is_played_a_frame_a_second_on_its_own_clock() -> None:
    play, said = opened(EXAMPLE, "Tuesday")
    assert play.title == "Tuesday"
    assert said[0].endswith("lines.")
    assert sum(step.seconds for step in play.steps) <= 60


def test_officials_who_are_not_there_stand_beside_the_table_and_it_is_said() -> None:
    play, said = opened(frames(0.0, 1.0))
    assert {one.at[1] for one in (play.steps[0].scene.crew.lead, play.steps[0].scene.crew.trail)} == {-4.0}
    assert any("beside the table" in one for one in said)
    assert any("none is guessed" in one for one in said)


def test_a_gap_in_time_is_a_slow_step_and_never_more_than_a_minute() -> None:
    play, _ = opened(frames(0.0, 1.0, 9.0, 500.0))
    assert [step.seconds for step in play.steps] == [0.0, 1.0, 8.0, 60.0]


def test_a_long_file_is_cut_and_said_to_be() -> None:
    play, said = opened(frames(*(float(t) for t in range(MOST_STEPS + 40))))
    assert len(play.steps) == MOST_STEPS
    assert any("Only the first" in one for one in said)


def test_whoever_has_no_place_is_left_out_and_named() -> None:
    lost = [{"id": "a1", "team": "a", "x": None, "y": 3}, {"id": "b1", "team": "b", "x": 23.0, "y": 25.0}]
    play, said = opened(json.dumps({"t": 0.0, "players": lost, "ball": None}))
    assert [one.id for one in play.steps[0].scene.players] == ["b1"]
    assert all(isfinite(one) for one in play.steps[0].scene.ball)
    assert any("players[0]" in one for one in said)


@pytest.mark.parametrize(
    "text", ["", "   ", "nothing at all", "{}", "[1, 2]", '{"format": "tenbetween play"}']
)
def test_what_is_neither_gets_directions(text: str) -> None:
    with pytest.raises(TenbetweenError) as fault:
        opened(text)
    assert all(problem.do for problem in fault.value.problems)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=300))
def test_any_text_ends_in_a_play_or_in_directions(text: str) -> None:
    with suppress(TenbetweenError):
        assert opened(text)[0].steps
