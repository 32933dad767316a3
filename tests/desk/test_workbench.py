"""The trainer's evening on a real workbench: answer, correct, undo, stamp, freeze, hand on."""

from __future__ import annotations

import json

import pytest

from tenbetween.desk import demo
from tenbetween.desk.workbench import Workbench
from tenbetween.errors import StoreError, TenbetweenError

from .conftest import OPEN_LINE, USUAL


def given(bench: Workbench, line: str) -> dict[str, object]:
    return bench.read_line(line)


def test_an_answer_has_sentence_reasons_other_editions_and_a_picture(bench: Workbench) -> None:
    found = bench.answer(given(bench, USUAL))
    view = found["view"]
    assert view["sentence"].startswith("Old lead bounces it at the table sideline, 26 ft")
    assert view["switch"] == "yes"
    assert {o["edition"] for o in view["others"]} == {"us-hs-2022", "us-hs-2023"}
    assert len(view["reasons"]) >= 12
    assert all(r["row"] and r["edition"] for r in view["reasons"])
    assert found["svg"].startswith("<svg")
    assert found["answer"]["administers"] == {"was": "lead", "now": "trail", "person": "umpire"}


def test_the_frame_says_where_a_tap_on_the_picture_lies(bench: Workbench) -> None:
    """Feet go into the picture and the corner of the table side lies below the opposite one; turned, above."""
    plain = bench.court("us-hs-2025", {"shape": "whole", "turned": False})["frame"]
    turned = bench.court("us-hs-2025", {"shape": "whole", "turned": True})["frame"]

    def at(frame: tuple[float, ...], x: float, y: float) -> tuple[float, float]:
        a, b, c, d, e, f = frame
        return (a * x + c * y + e, b * x + d * y + f)

    assert at(plain, 0, 0)[1] > at(plain, 0, 50)[1]
    assert at(plain, 84, 0)[0] > at(plain, 0, 0)[0]
    assert at(turned, 0, 0)[1] < at(turned, 0, 50)[1]
    assert at(turned, 84, 0)[0] < at(turned, 0, 0)[0]


def test_what_the_memo_leaves_open_is_not_covered_and_can_be_entered(bench: Workbench) -> None:
    view = bench.answer(given(bench, OPEN_LINE))["view"]
    assert {"roles_after", "administers"} <= {o["part"] for o in view["open"]}
    assert "Kellmere memo K-24" in view["open"][0]["why"]
    fields = bench.entry_form(given(bench, OPEN_LINE), "")["fields"]
    assert len(fields) <= 12
    assert fields[0]["value"] == "roles_after"


def entry(part: str, outcome: dict[str, str], **more: str) -> dict[str, str]:
    form = {
        "line": OPEN_LINE,
        "part": part,
        "outcome": json.dumps(outcome),
        "scope": "cause",
        "title": f"Trail's low sideline: {part}",
        "sentence": "When the ball goes out low on the trail's sideline, the trail comes down and gives it.",
        "by": "Wendell Thackrow",
    }
    return {**form, **more}


def test_a_provision_written_in_the_form_answers_at_once_and_can_be_undone(bench: Workbench) -> None:
    roles = entry("roles_after", {"roles": "by_direction"})
    checked = bench.write(roles, keep=False)
    assert checked["problems"] == []
    assert not checked["kept"]
    assert bench.store.find("layer", limit=10)[-1].id != "own"
    kept = bench.write(roles, keep=True)
    assert kept["kept"]
    assert "decides" in kept["moved"]
    bench.write(entry("administers", {"handles": "trail"}), keep=True)
    line = OPEN_LINE.replace("k-24", "k-24 + own")
    view = bench.answer(given(bench, line))["view"]
    assert view["sentence"].startswith("Trail bounces it at the opposite sideline, 8 ft")
    mine = [r for r in view["reasons"] if r["layer"] == "own"]
    assert {r["decides"] for r in mine} >= {"who gives the ball"}
    assert any("k-24" in beaten for r in mine for beaten in r["beats"]) or all(r["beats"] for r in mine)
    bench.undo(None)
    view = bench.answer(given(bench, line))["view"]
    assert "administers" in {o["part"] for o in view["open"]}
    bench.redo(None)
    assert bench.answer(given(bench, line))["view"]["sentence"].startswith("Trail bounces it")


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        ({"title": ""}, "title"),
        ({"sentence": " "}, "sentence"),
        ({"outcome": ""}, "outcome"),
        ({"outcome": "no json"}, "outcome"),
        ({"by": ""}, "by"),
        ({"section": "see the memo; page 3"}, "section"),
        ({"status": "certain"}, "status"),
        ({"sentence": "x" * 3000}, "sentence"),
        ({"title": "a\x00b"}, "title"),
        ({"part": "steps"}, "part"),
    ],
)
def test_a_form_with_mistakes_is_not_kept_and_says_what_to_do(
    bench: Workbench, wrong: dict[str, str], where: str
) -> None:
    made = bench.write({**entry("administers", {"handles": "trail"}), **wrong}, keep=True)
    assert not made["kept"]
    assert where in [p["where"] for p in made["problems"]]
    assert all(p["do"] for p in made["problems"])
    assert "own" not in [s.id for s in bench.store.find("layer")]


def test_words_that_look_like_toml_stay_words(bench: Workbench) -> None:
    """Quotes, brackets and line ends in a sentence never become structure."""
    sneaky = 'When it "goes" out,\n[[provision]]\nid = "x" \\ the trail'
    made = bench.write(entry("administers", {"handles": "trail"}, sentence=sneaky), keep=True)
    assert made["kept"], made["problems"]
    book = bench.shelf.book("us-hs-2025", ("k-24", "own"))
    ours = [p for p in book.provisions.values() if p.layer == "own"]
    assert [p.sentence for p in ours] == [" ".join(sneaky.split())]


def test_an_outcome_nobody_offers_is_named_with_its_line(bench: Workbench) -> None:
    made = bench.write(entry("administers", {"handles": "the coach"}), keep=True)
    assert not made["kept"]
    assert any("handles" in p["where"] and "layers/own.toml" in p["where"] for p in made["problems"])


def test_a_stamp_goes_stale_when_the_book_moves(bench: Workbench) -> None:
    line = OPEN_LINE.replace("k-24", "k-24 + own")
    bench.write(entry("administers", {"handles": "trail"}), keep=True)
    bench.keep("stamp", given(bench, line), {"by": "Noor Estwick", "on": "2025-11-11", "memo": "by phone"})
    assert bench.notes(given(bench, line))["stamps"][0]["stale"] is False
    bench.write(entry("delivery", {"delivery": "hand"}), keep=True)
    assert bench.notes(given(bench, line))["stamps"][0]["stale"] is True


def test_conflicting_advice_stands_side_by_side_until_settled(bench: Workbench) -> None:
    for who, what in (("Noor Estwick", "Lead crosses."), ("Gil Pomfrey", "Exchange.")):
        bench.keep("advice", given(bench, USUAL), {"by": who, "what": what})
    notes = bench.notes(given(bench, USUAL))
    assert notes["conflict"]
    assert [a["by"] for a in notes["advice"]] == ["Noor Estwick", "Gil Pomfrey"]
    bench.keep("settle", None, {"id": notes["advice"][0]["id"], "how": "the interpreter ruled"})
    assert not bench.notes(given(bench, USUAL))["conflict"]


def test_frozen_answers_run_on_every_edition_and_layer(bench: Workbench) -> None:
    bench.keep(
        "frozen",
        given(bench, "us-hs-2025 / right / violation 70,40 / same / lead table umpire"),
        {"title": "Arc"},
    )
    found = bench.frozen()["frozen"][0]["runs"]
    by = {run["short"]: run for run in found}
    assert by["2025-26"]["ok"]
    assert not by["2023-24"]["ok"]
    assert "agreed" in by["2023-24"]["says"]
    assert len(found) == 6


def test_what_is_missing_is_named_and_nothing_is_kept(bench: Workbench) -> None:
    before = len(bench.store.history())
    with pytest.raises(StoreError) as fault:
        bench.keep("stamp", given(bench, USUAL), {"memo": "x"})
    assert [p.where for p in fault.value.problems] == ["by", "on"]
    assert len(bench.store.history()) == before


def test_own_settings_go_before_the_book_and_are_named_in_the_reason(bench: Workbench) -> None:
    bench.keep("setting", None, {"name": "chop", "value": "both_everywhere"})
    found = bench.answer(given(bench, USUAL))
    chop = next(r for r in found["answer"]["reasons"] if r["decides"] == "chop")
    assert chop["setting"].startswith("chop=both_everywhere")
    with pytest.raises(StoreError):
        bench.keep("setting", None, {"name": "chop", "value": "nobody"})


def test_what_is_handed_on_opens_without_this_machine(bench: Workbench) -> None:
    pdf = bench.sheet(given(bench, USUAL), "pdf", {})
    assert pdf.startswith(b"%PDF")
    page = bench.one_file(given(bench, USUAL))
    assert "127.0.0.1" not in page
    assert "localhost" not in page
    assert "<script" not in page
    text = bench.answer(given(bench, USUAL))["view"]["short_text"]
    assert len(text) < 300
    assert "http" not in text


def test_the_journal_says_in_words_what_happened(bench: Workbench) -> None:
    bench.keep("official", None, {"name": "Dara Whitlock", "short": "Dara"})
    history = bench.history()
    assert history["entries"][0]["words"] == "official: Dara Whitlock"
    assert history["can_undo"]
    assert bench.undo(None)["words"] == "Taken back: official: Dara Whitlock."


def test_the_demo_fills_an_empty_workbench_once(bench: Workbench) -> None:
    for saved in bench.store.find("layer"):
        bench.store.remove("layer", saved.id, seen=saved.version)
    layers = {"k-24": "[layer]\nid='k-24'\ntitle='Kellmere memo K-24'\nauthority='state'\nfor=['us-hs']\n"}
    layers["quillan-ridge"] = (
        "[layer]\nid='quillan-ridge'\ntitle='Quillan Ridge circle'\nauthority='association'\n"
    )
    demo.fill(bench, layers, "")
    count = len(bench.store.history(limit=500))
    demo.fill(bench, layers, "")
    assert len(bench.store.history(limit=500)) == count
    assert all("found" not in sentence for sentence in demo.sentences(bench))


@pytest.mark.parametrize(
    "line",
    [
        "",
        "us-hs-2025",
        "nonsense",
        "us-hs-1999 / left / injury",
        "x" * 10_000,
        "us-hs-2025 / left / out of bounds 900,0",
    ],
)
def test_a_line_that_cannot_be_read_gives_directions(bench: Workbench, line: str) -> None:
    with pytest.raises(TenbetweenError) as fault:
        bench.answer(bench.read_line(line))
    assert all(p.found and p.expected and p.do for p in fault.value.problems)
