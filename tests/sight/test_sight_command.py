"""``tenbetween sight``: the fields other programs rely on, lists, and every fault with directions."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tenbetween import cli
from tenbetween.errors import FormatError
from tenbetween.formats.scene_json import read_scenes

ROOT = Path(__file__).resolve().parents[2]
SCENE = json.loads((ROOT / "docs" / "examples" / "scene.json").read_text("utf-8"))


def asked(scene: Any, capsys: Any, monkeypatch: Any, *more: str) -> tuple[int, str, str]:
    text = scene if isinstance(scene, str) else json.dumps(scene)
    monkeypatch.setattr(sys, "stdin", type("Input", (), {"buffer": io.BytesIO(text.encode())}))
    code = cli.main(["sight", "-", *more])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_fields_of_an_answer(capsys: Any, monkeypatch: Any) -> None:
    code, out, err = asked(SCENE, capsys, monkeypatch, "--json")
    page = json.loads(out)
    assert (code, err) == (0, "")
    look = {
        "official", "matchup", "openness", "clear", "gap_deg", "distance", "in_field", "value", "screened_by",
        "straight_lined", "why",
    }  # fmt: skip
    assert len(page["looks"]) == 10
    assert all(look <= set(one) for one in page["looks"])
    assert page["looks"][0]["matchup"] == ["a1", "b1"]
    assert set(page["visible"]) == {"lead", "trail"}
    assert set(page["visible"]["lead"]) == {one["id"] for one in SCENE["players"]}
    assert 0 < page["coverage"] < 1
    assert {"ok", "opposition_deg", "share_between", "behind"} <= set(page["boxed_in"])
    assert all({"to", "gain", "why"} == set(step) for step in page["best_step"].values())
    assert page["facing"]["lead"]["given"] is False
    assert page["facing"]["trail"] == {"deg": 140.0, "given": True}
    assert page["settings"]["radius"] == 0.9
    assert "flat discs" in page["note"]


def test_a_list_gives_a_list_each_as_if_asked_alone(capsys: Any, monkeypatch: Any) -> None:
    other = {**SCENE, "players": SCENE["players"][:4], "matchups": [["a1", "b1"]]}
    both = json.loads(asked([SCENE, other], capsys, monkeypatch, "--json")[1])
    assert both == [json.loads(asked(one, capsys, monkeypatch, "--json")[1]) for one in (SCENE, other)]
    assert both[1]["complete"] is False
    assert json.loads(asked([], capsys, monkeypatch, "--json")[1]) == []


def test_words_never_speak_of_how_often_anybody_is_right(capsys: Any, monkeypatch: Any) -> None:
    _, out, _ = asked(SCENE, capsys, monkeypatch)
    _, page, _ = asked(SCENE, capsys, monkeypatch, "--json")
    for text in (out, page):
        assert not re.search(r"accura|score|grade|correct|optimal|probab", text, re.IGNORECASE)
    assert "flat discs" in out


def changed(**fields: Any) -> dict[str, Any]:
    return {**SCENE, **fields}


def player(number: int, **fields: Any) -> dict[str, Any]:
    players = [dict(one) for one in SCENE["players"]]
    players[number] |= fields
    return changed(players=players)


def lead(**fields: Any) -> dict[str, Any]:
    officials = {**SCENE["officials"], "lead": {"x": -3, "y": 36, **fields}}
    return changed(officials=officials)


FAULTS: list[tuple[Any, str]] = [
    (player(2, x="20"), "players[2].x"),
    (player(2, x=None), "players[2].x"),
    (player(2, x=True), "players[2].x"),
    (player(2, x=94.5), "players[2].x"),
    (player(2, y=-10.5), "players[2].y"),
    (player(2, id="a1"), "players[2].id"),
    (player(2, id=""), "players[2].id"),
    (player(2, team="c"), "players[2].team"),
    (player(2, team="b"), "players"),
    (player(2, z=3), "players[2].z"),
    (changed(players=None), "players"),
    (changed(players=[7]), "players[0]"),
    (changed(matchups=[["a1", "b9"]]), "matchups[0][1]"),
    (changed(matchups=[["a1", "a2"]]), "matchups[0]"),
    (changed(matchups=[["a1", "b1"], ["b1", "a1"]]), "matchups[1]"),
    (changed(matchups=[["a1"]]), "matchups[0]"),
    (changed(matchups=[["a1", "b1", "bal"]]), "matchups[0][2]"),
    (changed(matchups=[["a1", ["b1"]]]), "matchups[0][1]"),
    (changed(ball=[1]), "ball"),
    (changed(ball=[1, None]), "ball[1]"),
    (changed(officials={"lead": {"x": 0, "y": 0}}), "officials.trail"),
    (changed(officials=[]), "officials"),
    (lead(facing=400), "officials.lead.facing"),
    (lead(facing="north"), "officials.lead.facing"),
    (lead(x=-10.5), "officials.lead.x"),
    (changed(court="us-sh"), "court"),
    (changed(court={"length": 84}), "court.width"),
    (changed(court={"length": 84, "width": -1}), "court.width"),
    (changed(court=84), "court"),
    (changed(courts=84), "courts"),
    (7, ""),
]  # fmt: skip


@pytest.mark.parametrize(
    ("scene", "where"), FAULTS, ids=[f"{n}-{where}" for n, (_, where) in enumerate(FAULTS)]
)
def test_every_fault_is_named_with_its_place(scene: Any, where: str, capsys: Any, monkeypatch: Any) -> None:
    code, out, err = asked([SCENE, scene], capsys, monkeypatch, "--json")
    errors = json.loads(err)["errors"]
    assert (code, out) == (1, "")
    assert (f"[1].{where}" if where else "[1]") in [one["where"] for one in errors]
    assert all(list(one) == ["where", "found", "expected", "do"] and all(one.values()) for one in errors)


def test_all_faults_of_a_list_are_told_together() -> None:
    with pytest.raises(FormatError) as fault:
        read_scenes(json.dumps([player(0, x="1"), SCENE, {**player(3, y="1"), "ball": None}]))
    assert [one.where for one in fault.value.problems] == ["[0].players[0].x", "[2].players[3].y", "[2].ball"]


@pytest.mark.parametrize(
    "text", ["", "{", "7", '{"court": NaN}', '{"ball": [1e999, 2]}', '{"ball": 1, "ball": 2}']
)
def test_what_is_no_scene_is_refused(text: str, capsys: Any, monkeypatch: Any) -> None:
    code, out, err = asked(text, capsys, monkeypatch, "--json")
    assert (code, out) == (1, "")
    assert json.loads(err)["errors"]


@pytest.mark.parametrize(
    ("court", "length"),
    [
        ("us-hs-2025", 84),
        ("fiba", 91.86),
        ({"length": 94, "width": 50}, 94),
        ({"length": 91.86, "width": 49.21}, 91.86),
    ],
)
def test_the_floor_may_be_named_or_measured(court: Any, length: float) -> None:
    (scene,), _ = read_scenes(json.dumps(changed(court=court)))
    assert scene.court.length / 304_800 == pytest.approx(length, abs=0.01)


def test_an_answer_about_a_restart_does_not_wait_for_numpy() -> None:
    code = (
        "import sys; from tenbetween.cli import main; "
        "assert main(['answer', 'us-hs-2025 / right / out of bounds 58,0 / same / lead table umpire']) == 0; "
        "assert 'tenbetween.book' in sys.modules; "
        "sys.exit('numpy' in sys.modules)"
    )
    done = subprocess.run((sys.executable, "-c", code), cwd=ROOT, env={"PYTHONPATH": "src"}, check=False)
    assert done.returncode == 0


def test_pair_and_spread_come_only_when_asked(capsys: Any, monkeypatch: Any) -> None:
    plain = json.loads(asked(SCENE, capsys, monkeypatch, "--json")[1])
    more = json.loads(asked(SCENE, capsys, monkeypatch, "--json", "--pair", "--spread")[1])
    assert set(more) - set(plain) == {"pair", "spread", "sensitivity"}
    assert {name: more[name] for name in plain} == plain


def test_the_pair_with_the_most_holds_what_the_command_tells_of_it(capsys: Any, monkeypatch: Any) -> None:
    pair = json.loads(asked(SCENE, capsys, monkeypatch, "--json", "--pair")[1])["pair"]
    officials = {
        role: {name: pair[role][name] for name in ("x", "y", "facing")} for role in ("lead", "trail")
    }
    there = json.loads(asked({**SCENE, "officials": officials}, capsys, monkeypatch, "--json")[1])
    assert there["coverage"] == pytest.approx(pair["coverage"], abs=1e-9)
    assert there["boxed_in"]["ok"]
    held = [tuple(one) for role in ("lead", "trail") for one in pair[role]["has"]]
    assert sorted(held) == sorted(tuple(one[:2]) for one in SCENE["matchups"])
    assert "not where to stand" in pair["note"]


def test_the_spread_says_how_many_random_pairs_hold_less(capsys: Any, monkeypatch: Any) -> None:
    page = json.loads(asked(SCENE, capsys, monkeypatch, "--json", "--spread")[1])
    spread = page["spread"]
    assert spread["low"] <= spread["median"] <= spread["high"]
    assert spread["coverage"] == pytest.approx(page["coverage"])
    assert 0 <= spread["percentile"] <= 100
    assert page["sensitivity"]["as set"] == pytest.approx(page["coverage"])
    assert len(set(page["sensitivity"].values())) > 3
