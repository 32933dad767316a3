"""Ranges of what the crew saw: honest about the clicks, and silent where the error is larger than the answer."""

from __future__ import annotations

import numpy as np
import pytest

from tenbetween.court import court_of, landmarks
from tenbetween.desk.court_found import Found, located, read_clicks
from tenbetween.desk.standing import CANNOT, Stood, nearest_pairs, told
from tenbetween.film.camera import Camera
from tenbetween.formats.scene_line import read_scene_line

CAMERA = Camera(43.5, -62.0, 17.0, 0.24, 0.17, 0.006, 780.0, -0.01, (640, 360))
COURT = court_of("us-hs")
PLACES = {
    "lead": (88.5, 40.0), "trail": (52.0, 4.0), "a1": (58.0, 20.0), "b1": (61.0, 21.0), "a2": (70.0, 12.0),
    "b2": (72.0, 15.0), "a3": (72.0, 38.0), "b3": (74.0, 34.0),
}  # fmt: skip


def stood(sd: float, spread: float = 1e-7) -> Stood:
    dots = CAMERA.dots(list(PLACES.values()))
    return Stood(Found(CAMERA, np.eye(8) * spread, "by hand"), tuple(PLACES), dots, sd, COURT)


def answers(sd: float) -> dict[str, str]:
    found = told(stood(sd), None, [["a1", "b1"], ["a2", "b2"], ["a3", "b3"]], np.random.default_rng(5), 60)
    return {one["name"]: one["value"] for one in found["rows"]}


def test_with_good_clicks_everything_is_told_and_with_bad_ones_less_and_less() -> None:
    unsure = [sum(value == CANNOT for value in answers(sd).values()) for sd in (0.05, 3.0, 30.0)]
    assert unsure[0] == 0
    assert unsure[0] < unsure[1] < unsure[2]


def test_what_is_told_with_good_clicks_is_what_the_true_scene_says() -> None:
    from tenbetween.scene import Crew, Matchup, Official, Player, Scene
    from tenbetween.sight import boxed_in, see

    players = tuple(Player(who, who[0], at) for who, at in PLACES.items() if who not in ("lead", "trail"))  # type: ignore[arg-type]
    pairs = tuple(Matchup(f"a{n}", f"b{n}") for n in (1, 2, 3))
    crew = Crew(Official(PLACES["lead"]), Official(PLACES["trail"]))
    middle = tuple(float(one) for one in np.mean([one.at for one in players], axis=0))
    scene = Scene(players, pairs, middle, crew, COURT)  # type: ignore[arg-type]
    found = answers(0.05)
    assert found["All between the two"] == ("Yes" if boxed_in(scene).ok else "No")
    for look in see(scene).looks:
        name = f"{look.official.capitalize()} at {look.matchup.attacker} and {look.matchup.defender}"
        assert found[name] == (look.cause or "open").replace("_", " ").capitalize()


def test_the_range_holds_the_true_angle_nineteen_times_in_twenty() -> None:
    from tenbetween.sight.boxing import opposition

    bodies = np.array([at for who, at in PLACES.items() if who not in ("lead", "trail")])
    true = float(opposition(np.array([PLACES["lead"]]), np.array([PLACES["trail"]]), bodies)[0, 0])
    dice, held, tries = np.random.default_rng(11), 0, 60
    for _ in range(tries):
        clicked = CAMERA.dots(list(PLACES.values())) + dice.normal(0, 2.0, (len(PLACES), 2))
        one = Stood(Found(CAMERA, np.eye(8) * 1e-9, ""), tuple(PLACES), clicked, 2.0, COURT)
        said = told(one, None, (), dice, 60)["rows"][1]["range"]
        low, high = (float(part.rstrip("°")) for part in said.split(";")[0].split(" to "))
        held += low - 0.5 <= true <= high + 0.5  # told in whole degrees
    assert held / tries > 0.85


def test_the_same_dice_give_the_same_answer() -> None:
    assert answers(3.0) == answers(3.0)


def test_missing_players_are_said_and_the_scene_is_handed_on() -> None:
    found = told(stood(1.0), None, [["a1", "b1"]], np.random.default_rng(5))
    assert found["why"] == "4 of the ten players are not clicked: nothing is told of them."
    scene = read_scene_line(found["line"])
    assert scene.crew.lead.at == pytest.approx(PLACES["lead"], abs=0.06)
    assert len(scene.players) == 6


def test_without_both_officials_nothing_is_told() -> None:
    dots = CAMERA.dots([(60.0, 20.0)])
    alone = Stood(Found(CAMERA, np.eye(8) * 1e-7, ""), ("lead",), dots, 1.0, COURT)
    assert told(alone, None, (), np.random.default_rng(1))["ok"] is False


def test_pairs_are_those_with_the_least_distance_in_all() -> None:
    from itertools import permutations

    dice = np.random.default_rng(3)
    for _ in range(20):
        places = {f"{team}{n}": tuple(dice.uniform((0, 0), (84, 50))) for team in "ab" for n in range(1, 6)}

        def far(pairs: list[list[str]], at: dict[str, tuple[float, ...]] = places) -> float:
            return sum(float(np.hypot(*(np.array(at[a]) - at[b]))) for a, b in pairs)

        best = min(
            far([[f"a{n}", f"b{m}"] for n, m in enumerate(order, 1)]) for order in permutations(range(1, 6))
        )
        assert far(nearest_pairs(places)) == pytest.approx(best)  # type: ignore[arg-type]


def test_a_click_above_the_horizon_is_said_and_not_placed() -> None:
    at = landmarks(COURT)
    names = ("division_line_table", "division_line_opposite", "right_table_elbow", "right_opposite_elbow")
    names += ("right_opposite_corner", "right_table_corner")
    marks = [{"name": name, "px": CAMERA.dots([at[name]])[0].tolist()} for name in names]
    given = {
        "landmarks": marks,
        "feet": [{"id": "lead", "px": [300.0, 2.0]}, {"id": "trail", "px": [300.0, 250.0]}],
    }
    found = located(read_clicks(given, (640, 360), COURT))
    sky, floor = found["feet"]
    assert sky["at"] is None
    assert "click where he stands" in sky["says"]
    assert floor["at"] is not None
    assert floor["says"].endswith("ft from the marks you clicked")
