"""What the court screen says of a scene: four things side by side, every number one that the rooms below give."""

from __future__ import annotations

from math import dist
from random import Random

import pytest
from msgspec.structs import replace

from tenbetween.book import decide, load_book
from tenbetween.desk.board import owners_of
from tenbetween.desk.scenes import back_words, getting_back, headline, rests, seen_page, spread_words
from tenbetween.dev.scenes_measured import front_scenes, ruling_of
from tenbetween.movement import BRISK, JOGGER
from tenbetween.scene import Crew, Official, Scene, end_and_side, mirrored, stage
from tenbetween.sight import SIGHT, boxed_in, coverage_of, see

SCENE = front_scenes()[0].scene
EMPTY = Scene((), (), (60.0, 20.0), Crew(Official((87.0, 40.0)), Official((56.0, 2.0))))


def bar(name: str, scene: Scene = SCENE) -> dict[str, object]:
    return next(one for one in seen_page(scene)["bars"] if one["id"] == name)


def test_sight_and_box_are_those_of_the_sight_room() -> None:
    assert bar("sight")["value"] == f"{coverage_of(SCENE):.2f}"
    box = boxed_in(SCENE)
    assert bar("box")["value"] == f"{box.opposition_deg:.0f}°, {100 * (box.share_between or 0):.0f} % between"


def test_each_matchup_has_a_look_of_each_official_with_its_reason() -> None:
    page = seen_page(SCENE)
    looks = see(SCENE).looks
    assert [[look["why"] for look in row["looks"]] for row in page["looks"]] == [
        [one.why for one in looks if one.matchup == matchup] for matchup in SCENE.matchups
    ]


def test_getting_back_is_the_trails_run_and_the_ball_dribbled() -> None:
    """Held against plain bounds: nobody is faster than his top speed all the way, nor than the dribbler's."""
    found = getting_back(SCENE, SCENE.crew)
    assert found is not None
    spot = (-4.5, 40.0 if SCENE.crew.trail.at[1] > 25 else 10.0)
    least = (dist(SCENE.crew.trail.at, spot) - found.short_ft) / BRISK.speed + BRISK.reaction_s
    assert found.official.total > least
    assert found.ball_s > dist(SCENE.ball, (5.25, 25.0)) / found.pace.dribble_speed
    slow = getting_back(SCENE, SCENE.crew, JOGGER)
    assert slow is not None
    assert slow.margin_s < found.margin_s
    deeper = replace(SCENE.crew, trail=Official((50.0, SCENE.crew.trail.at[1])))
    better = getting_back(SCENE, deeper)
    assert better is not None
    assert better.margin_s > found.margin_s


def test_with_the_ball_at_the_other_end_there_is_no_race() -> None:
    assert getting_back(replace(SCENE, ball=(5.0, 25.0)), SCENE.crew) is None
    assert back_words(None) == "not to be told"


def test_the_lines_are_those_of_the_answer_when_there_is_one() -> None:
    ruling = ruling_of("out_of_bounds", (56.0, 0.0))
    scene = stage(ruling).scene
    owners = owners_of(ruling, scene)
    assert owners is not None
    assert "left end line" not in owners
    for line, role in owners.items():
        assert f"{line} " in seen_page(scene, owners)["bars"][2]["says"]
        assert role in ("lead", "trail")


def test_without_players_it_says_so_and_nothing_breaks() -> None:
    page = seen_page(EMPTY)
    assert page["headline"] == "No matchup is named: name who has whom to see the looks."
    assert page["spread"] == ""
    assert bar("sight", EMPTY)["value"] == "not to be told"


def test_the_same_dice_always_draw_the_same_random_pairs() -> None:
    assert spread_words(SCENE, Random(1)) == spread_words(SCENE, Random(1))
    assert "random pairs" in spread_words(SCENE, Random(1))


@pytest.mark.parametrize("one", front_scenes(), ids=lambda one: one.name)
def test_turned_to_the_other_basket_the_four_say_the_same(one: object) -> None:
    scene = one.scene  # type: ignore[attr-defined]
    here, there = seen_page(scene)["bars"], seen_page(mirrored(scene, ends=True))["bars"]
    assert [bar["value"] for bar in here] == [bar["value"] for bar in there]


@pytest.mark.parametrize("end", ["left", "right"])
def test_under_pressure_the_leads_end_is_away_from_the_trail(end: str) -> None:
    """The lead holds at the division line; his own place does not tell where play goes."""
    from tenbetween.notation import parse

    line = f"us-hs-2025 / {end} / made goal / other / lead opposite umpire / pressure"
    situation = parse(line)
    ruling = decide(load_book(situation.edition), situation)
    scene = stage(ruling).scene
    assert end_and_side(scene)[0] == ruling.attacking_after != end
    assert bar("back", scene)["value"] == "not to be told"  # the ball is at that end already


def test_nobodys_matchups_are_named() -> None:
    away = replace(SCENE, crew=Crew(Official((0.0, 0.0)), Official((0.0, 50.0))))
    assert "open to nobody" in headline(see(away))


def test_every_setting_is_said() -> None:
    names = dict(rests(SIGHT))
    assert names["radius"] == "0.9"
    assert names["weights: ball"] == "3"
    assert names["contact begins"] == "none"
