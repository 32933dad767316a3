"""Plays on the workbench: staged, told, kept under a name, found by provision, taken back."""

from __future__ import annotations

import pytest

from desk.conftest import USUAL
from tenbetween.desk import demo
from tenbetween.desk.workbench import Workbench
from tenbetween.errors import StoreError, TenbetweenError
from tenbetween.formats.play_json import read_play
from tenbetween.formats.scene_json import read_scene
from tenbetween.formats.scene_line import read_play_line


def kept(bench: Workbench, line: str = USUAL, title: str = "Box on her side") -> str:
    return str(bench.save_play(bench.play(bench.read_line(line)), title)["id"])


def test_an_answer_is_staged_with_what_is_to_be_known(bench: Workbench) -> None:
    page = bench.stage(bench.read_line(USUAL))
    assert read_scene(page["scene"]).complete
    assert page["formation"] == "sideline-box-man"
    assert page["lead"] == "referee"
    assert page["unplaced"] == []
    assert [one["id"] for one in page["formations"]][:2] == ["sideline-box-man", "sideline-box-zone"]
    situation, formation = read_play_line(page["play_line"])
    assert (formation, situation.edition) == ("sideline-box-man", "us-hs-2025")
    other = bench.stage(bench.read_line(USUAL), "sideline-wide-zone")
    assert "assigned" in other["note"]
    assert other["scene"] != page["scene"]


def test_a_formation_that_does_not_fit_is_refused(bench: Workbench) -> None:
    with pytest.raises(TenbetweenError, match="formation"):
        bench.stage(bench.read_line(USUAL), "jump-ball-circle")


def test_a_saved_play_is_what_was_handed_in_under_its_name(bench: Workbench) -> None:
    play = bench.play(bench.read_line(USUAL))
    made = bench.save_play(play, "  Box   on her side ")
    page = bench.play_saved(made["id"])
    assert page["title"] == "Box on her side"
    assert read_play(page["play"]).steps == read_play(play).steps
    assert page["play"]["title"] == "Box on her side"
    assert page["line"] == play["line"]
    assert page["edition"] == "us-hs-2025"
    assert page["steps"] == len(play["steps"])
    assert page["changed_since"] == []


def test_plays_are_found_by_a_provision_they_show_or_rest_on(bench: Workbench) -> None:
    one = kept(bench)
    two = kept(bench, "us-hs-2025 / right / made goal / other / lead table umpire", "After a goal")
    assert [page["id"] for page in bench.plays()] == [two, one]
    assert [page["id"] for page in bench.plays("who.lead-line-high")] == [one]
    assert [page["id"] for page in bench.plays("steps.goal")] == [two], "a step shows it, no reason names it"
    assert bench.plays("who.lead-line") == []
    assert any(
        "Box on her side" in line for line in bench.provision("us-hs-2025", (), "who.lead-line-high")["rests"]
    )


def test_a_play_of_his_own_rests_on_the_provisions_it_names(bench: Workbench) -> None:
    play = bench.play(bench.read_line(USUAL))
    play["line"], play["formation"] = "", ""
    for step in play["steps"]:
        step["provisions"] = ["count.five", "local.habit"]
    made = bench.save_play(play, "My own")
    saved = bench.store.get("play", made["id"])
    assert [(mark.id, bool(mark.meaning)) for mark in saved.basis.provisions] == [
        ("count.five", True),
        ("local.habit", False),
    ]
    assert saved.basis.line == ""
    assert [page["id"] for page in bench.plays("local.habit")] == [made["id"]]


def test_a_play_is_renamed_saved_again_withdrawn_and_brought_back(bench: Workbench) -> None:
    id_ = kept(bench)
    bench.rename_play(id_, "Thursday")
    assert bench.play_saved(id_)["play"]["title"] == "Thursday"
    changed = bench.play_saved(id_)["play"]
    changed["steps"][0]["says"] = "Look here first."
    assert bench.save_play(changed, id=id_)["id"] == id_
    assert bench.play_saved(id_)["play"]["steps"][0]["says"] == "Look here first."
    bench.withdraw_play(id_)
    assert bench.plays() == []
    with pytest.raises(StoreError):
        bench.play_saved(id_)
    bench.undo(None)
    assert [page["title"] for page in bench.plays()] == ["Thursday"]
    assert [entry.did for entry in bench.store.history("play")] == [
        "added",
        "removed",
        "changed",
        "changed",
        "added",
    ]


def test_a_layer_that_is_gone_is_told_beside_the_play_it_taught(bench: Workbench) -> None:
    play = bench.play(bench.read_line(USUAL))
    play["line"] = ""
    play["steps"][0]["provisions"] = ["who.trail-line-low"]
    id_ = bench.save_play(play, "As the memo has it")["id"]
    assert bench.play_saved(id_)["changed_since"] == []
    bench.store.remove("layer", "k-24", seen=bench.store.get("layer", "k-24").version)
    assert bench.play_saved(id_)["changed_since"] == ["who.trail-line-low"]


def test_the_demo_keeps_plays_of_different_restarts(bench: Workbench) -> None:
    for title, line, formation in demo.PLAYS:
        bench.save_play(bench.play(bench.read_line(line), formation), title)
    pages = bench.plays()
    assert len(pages) == 6
    assert len({page["formation"] for page in pages}) == 6
    assert all(page["changed_since"] == [] for page in pages)
    assert {len(bench.play_saved(page["id"])["play"]["steps"]) for page in pages} <= {3, 4, 5}


@pytest.mark.parametrize("title", ["", " ", "x" * 201, "a\x07b"])
def test_a_name_that_is_none_is_refused(bench: Workbench, title: str) -> None:
    id_ = kept(bench)
    with pytest.raises(StoreError, match="title"):
        bench.rename_play(id_, title)
    assert len(bench.store.history("play")) == 1


def test_a_broken_play_is_refused_and_nothing_kept(bench: Workbench) -> None:
    play = bench.play(bench.read_line(USUAL))
    play["steps"][0]["players"][0]["x"] = 900
    with pytest.raises(TenbetweenError, match=r"steps\[0\].players\[0\].x"):
        bench.save_play(play, "Broken")
    assert bench.plays() == []
