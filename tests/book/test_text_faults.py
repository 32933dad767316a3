"""Wrong text is named with file and line, what was found, what belongs there and what to do; all of it at once."""

# ruff: noqa: E501  (one fault a line reads best in one line)
from __future__ import annotations

import random
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.book.planting import HEAD, layer, row

from tenbetween.book import LayerText, edition_head, editions, layer_head, lineage, load_book
from tenbetween.book import load as loading
from tenbetween.errors import BookError, Problem

GOOD = row(
    "give.shouted",
    "shout",
    "delivery",
    'restart = "throw_in", line = "sideline", cause = "held_ball"',
    'delivery = "hand"',
)
"""A sound provision from line 7 on, its row at line 11."""


def faults(*texts: str, edition: str = "fiba-2po") -> tuple[Problem, ...]:
    """The faults of layers with these bodies; every one says where, what was found, what belongs there, what to do."""
    layers = tuple(layer(text, f"memo-{n}") for n, text in enumerate(texts))
    with pytest.raises(BookError) as caught:
        load_book(edition, layers)
    for problem in caught.value.problems:
        assert problem.where.startswith(("layers/", "editions/"))
        assert problem.found
        assert problem.expected
        assert problem.do
    return caught.value.problems


ONE_FAULT: dict[str, tuple[str, str, str]] = {
    "not TOML at all": ("[[provision]]\nid = \n", "layers/memo-0.toml:7", "mend this part; the other parts were read"),
    "a key twice": (GOOD.replace("table =", 'name = "again"\ntable ='), "layers/memo-0.toml:13", "mend this part"),
    "a provision twice in one file": (GOOD + GOOD, "layers/memo-0.toml:17 id", "it stands at line 7 already"),
    "a row twice": (GOOD + GOOD[GOOD.index("[[provision.row]]") :], "layers/memo-0.toml:17 name", "it stands at line 11 already"),
    "an unknown table": (GOOD.replace('"delivery"\nwhen', '"delivry"\nwhen'), "layers/memo-0.toml:11 table", "did you mean 'delivery'?"),
    "an unknown feature": (GOOD.replace("cause =", "couse ="), "layers/memo-0.toml:11 when.couse", "did you mean 'cause'?"),
    "an unknown value": (GOOD.replace('"sideline"', '"sidelne"'), "layers/memo-0.toml:11 when.line", "did you mean 'sideline'?"),
    "an unknown outcome": (GOOD.replace('"hand"', '"hands"'), "layers/memo-0.toml:11 then.delivery", "did you mean 'hand'?"),
    "an unknown field of an outcome": (GOOD.replace("{ delivery", "{ deliver"), "layers/memo-0.toml:11 then.deliver", "did you mean 'delivery'?"),
    "an unknown field of a row": (GOOD + 'becuase = "x"\n', "layers/memo-0.toml:11 becuase", "did you mean 'because'?"),
    "an unknown field of a provision": (GOOD.replace("sentence =", 'tittle = "x"\nsentence ='), "layers/memo-0.toml:7 tittle", "did you mean 'title'?"),
    "a provision without a sentence": (GOOD.replace('sentence = "When it happens, do this."\n', ""), "layers/memo-0.toml:7 sentence", "add sentence"),
    "a row with no provision above it": (GOOD[GOOD.index("[[provision.row]]") :], "layers/memo-0.toml:7", "put the row under its provision"),
    "a row with no outcome": (GOOD.replace('then = { delivery = "hand" }', ""), "layers/memo-0.toml:11 then", "write then ="),
    "an override without a reason": (GOOD + 'overrides = ["fiba.give/throw-in"]\n', "layers/memo-0.toml:11 because", "add because"),
    "an id with blanks": (GOOD.replace("give.shouted", "Give shouted"), "layers/memo-0.toml:7 id", "use a-z, 0-9, - and ."),
    "a heading nobody knows": ("[[provison]]\nid = 'a.b'\n", "layers/memo-0.toml:7", "did you mean 'provision'?"),
    "a setting that is not there": ('[[set]]\nname = "ties"\nvalue = "leads_side"\n', "layers/memo-0.toml:7 name", "did you mean 'tie'?"),
    "a value that is not there": ('[[set]]\nname = "tie"\nvalue = "lead_side"\n', "layers/memo-0.toml:7 value", "did you mean 'leads_side'?"),
    "a row to withdraw that is not there": ('[[withdraw]]\nrow = "fiba.who/qarter"\nwhy = "x"\n', "layers/memo-0.toml:7 row", "did you mean 'fiba.who/quarter'?"),
    "withdrawn without why": ('[[withdraw]]\nrow = "fiba.who/quarter"\n', "layers/memo-0.toml:7 why", "add why"),
    "not a number": (GOOD.replace('table = "delivery"', 'table = "count"').replace('delivery = "hand"', "seconds = nan"), "layers/memo-0.toml:11 then.seconds", "mend the value"),
    "a number that is a word": (GOOD.replace('table = "delivery"', 'table = "count"').replace('delivery = "hand"', 'seconds = "five"'), "layers/memo-0.toml:11 then.seconds", "mend the value"),
    "a yes that is a one": (GOOD.replace('table = "delivery"', 'table = "count"').replace('delivery = "hand"', "visible = 1"), "layers/memo-0.toml:11 then.visible", "mend the value"),
    "a sentence that is a list": (GOOD.replace('"When it happens, do this."', "[1, 2]"), "layers/memo-0.toml:7 sentence", "write sentence"),
    "a condition that is a word": (GOOD.replace("when = { restart", 'when = "x"\n# {'), "layers/memo-0.toml:11 when", "write when"),
    "a confidence nobody uses": (GOOD.replace("sentence =", 'confidence = "hihg"\nsentence ='), "layers/memo-0.toml:7 confidence", "did you mean 'high'?"),
    "nested a thousand deep": (f"[[provision]]\nid = {'[' * 5000}\n", "layers/memo-0.toml:7", "mend this part"),
}  # fmt: skip


@pytest.mark.parametrize("name", ONE_FAULT)
def test_one_fault_is_named_where_it_stands_with_what_to_do(name: str) -> None:
    body, where, advice = ONE_FAULT[name]
    found = [(p.where, p.do) for p in faults(body)]
    assert any(w == where and advice in do for w, do in found), found


def test_a_sound_layer_is_no_fault() -> None:
    book = load_book("fiba-2po", (layer(GOOD),))
    assert book.provisions["give.shouted"].rows[0].line == 11


def test_all_faults_of_all_texts_come_together() -> None:
    texts = [body for name, (body, _, _) in ONE_FAULT.items() if "deep" not in name]
    bodies = [body.replace("give.shouted", f"give.shouted-{n}") for n, body in enumerate(texts)]
    named = {p.where.split(":")[0] for p in faults(*bodies)}
    assert named == {f"layers/memo-{n}.toml" for n in range(len(bodies))}


def test_one_broken_part_does_not_hide_the_faults_of_the_others() -> None:
    wheres = [p.where for p in faults('[[provision]]\nid = oops\n\n[[set]]\nname = "ties"\nvalue = "x"\n')]
    assert wheres == ["layers/memo-0.toml:8", "layers/memo-0.toml:10 name"]


@pytest.mark.parametrize("size", ["text", "one line"])
def test_a_file_of_three_megabytes_is_refused_by_its_size(size: str) -> None:
    body = ("# " + "x" * 70 + "\n") * 42_000 if size == "text" else 'a = "' + "y" * 3_000_000 + '"'
    problem = faults(body)[0]
    assert problem.do == "split the file"
    assert "characters" in problem.found


# ---- layers among themselves


def test_a_broken_head_does_not_hide_the_faults_below_it() -> None:
    text = '[layer]\nid = "k"\nauthority = "stat"\ntitle = 3\n\n[[set]]\nname = "ties"\nvalue = "x"\n'
    with pytest.raises(BookError) as caught:
        load_book(
            "fiba-2po", (LayerText("k", text, "layers/k.toml"), layer('[[set]]\nname = "tye"\nvalue = "x"\n'))
        )
    assert [p.where for p in caught.value.problems] == [
        "layers/memo.toml:7 name",
        "layers/k.toml:1 authority",
        "layers/k.toml:1 title",
        "layers/k.toml:6 name",
    ]


def test_two_different_layers_of_one_name_are_refused_and_the_same_one_twice_is_one() -> None:
    once = layer(GOOD)
    assert load_book("fiba-2po", (once, once)).digest == load_book("fiba-2po", (once,)).digest
    with pytest.raises(BookError) as caught:
        load_book("fiba-2po", (once, layer("")))
    assert "twice" in caught.value.problems[0].found


def test_a_layer_for_other_editions_changes_nothing_here() -> None:
    text = HEAD.format(id="k", authority="state").replace("\n\n", '\nfor = ["us-hs"]\n\n') + GOOD
    other = LayerText("k", text, "layers/k.toml")
    assert load_book("fiba-2po", (other,)).layers == ()
    assert load_book("fiba-2po", (other,)).digest == load_book("fiba-2po").digest


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("", "add one at the top"),
        ('[layer]\nid = "k"\nauthority = "stat"\n', "did you mean 'state'?"),
        ('[layer]\nid = "other"\nauthority = "own"\n', "make them the same"),
        ('[layer]\nauthority = "own"\n', "add id"),
        ('[layer]\nid = 7\nauthority = ["own"]\n', "write id"),
        ('[layer]\nid = "k"\nauthority = "own"\nbased_on = "k"\n', "one of them"),
        ('[layer]\nid = "k', "mend this part"),
    ],
)
def test_a_layer_without_a_sound_head_is_refused(text: str, advice: str) -> None:
    with pytest.raises(BookError) as caught:
        layer_head(LayerText("k", text, "layers/k.toml"))
    assert any(advice in p.do for p in caught.value.problems), caught.value.problems


def test_a_lower_authority_goes_below_a_higher_one_whatever_the_order() -> None:
    state = layer('[[set]]\nname = "tie"\nvalue = "trails_side"\n', "s", "state")
    own = layer('[[set]]\nname = "tie"\nvalue = "leads_side"\n', "o", "own")
    for given_layers in ((state, own), (own, state)):
        setting = load_book("fiba-2po", given_layers).settings["tie"]
        assert (setting.value, setting.set_by) == ("leads_side", "o")


# ---- editions


@pytest.mark.parametrize(
    "name",
    [
        "us-hs-2026",
        "us-hs-2025 ",
        "",
        ".",
        "..",
        "../../etc",
        "/etc",
        "us-hs-2025/../fiba-2po",
        "a\0b",
        "US-HS-2025",
    ],
)
def test_an_edition_that_is_not_in_the_list_is_refused_with_the_list(name: str) -> None:
    with pytest.raises(BookError) as caught:
        load_book(name)
    assert "us-hs-2025" in caught.value.problems[0].expected
    assert repr(name) == caught.value.problems[0].found


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the editions that may be spoiled, with nothing remembered from before or after."""
    copy = tmp_path / "editions"
    shutil.copytree(loading.EDITIONS, copy)
    monkeypatch.setattr(loading, "EDITIONS", copy)
    _forget()
    yield copy
    _forget()


def _forget() -> None:
    for remembered in (loading.edition_head, loading._load_cached, loading._rows_of_all_editions):
        remembered.cache_clear()


def _based_on(shelf: Path, edition: str, base: str) -> None:
    file = shelf / edition / "edition.toml"
    lines = [line for line in file.read_text("utf-8").splitlines() if not line.startswith("based_on")]
    lines.insert(lines.index("[edition]") + 1, f'based_on = "{base}"')
    file.write_text("\n".join(lines), "utf-8")


def test_editions_that_build_on_each_other_in_a_circle_are_refused(shelf: Path) -> None:
    _based_on(shelf, "us-hs-2022", "us-hs-2025")
    for ask in (lineage, load_book):
        with pytest.raises(BookError) as caught:
            ask("us-hs-2025")
        assert "us-hs-2025 > us-hs-2023 > us-hs-2022 > us-hs-2025" in caught.value.problems[0].do


def test_an_edition_that_builds_on_nothing_there_is_refused(shelf: Path) -> None:
    _based_on(shelf, "us-hs-2022", "../../../etc")
    with pytest.raises(BookError) as caught:
        load_book("us-hs-2022")
    assert "us-hs-2023" in caught.value.problems[0].expected


@pytest.mark.parametrize(
    ("spoil", "where"),
    [
        (lambda f: f.write_bytes(f.read_bytes() + b'\n# caf\xe9\n'), "editions/us-hs-2025/spots.toml:"),
        (lambda f: f.write_text('[[provision]]\nid = "where.four-spots"\ncolour = "red"\n', "utf-8"), "editions/us-hs-2025/spots.toml:1 colour"),
    ],
)  # fmt: skip
def test_a_spoiled_file_of_an_edition_is_named_with_its_line(
    shelf: Path, spoil: Callable[[Path], object], where: str
) -> None:
    spoil(shelf / "us-hs-2025" / "spots.toml")
    with pytest.raises(BookError) as caught:
        load_book("us-hs-2025")
    assert any(p.where.startswith(where) for p in caught.value.problems), caught.value.problems


@pytest.mark.parametrize(
    "text", ["", "[editon]\nid = 'x'\n", "[edition]\nid = \n", "[edition]\nid = 3\n", "\ufeff[edition]\n"]
)
def test_an_edition_with_a_spoiled_head_is_refused(shelf: Path, text: str) -> None:
    (shelf / "us-hs-2025" / "edition.toml").write_text(text, "utf-8")
    with pytest.raises(BookError) as caught:
        edition_head("us-hs-2025")
    assert all(p.where.startswith("editions/us-hs-2025/edition.toml") for p in caught.value.problems)


def test_a_head_that_is_not_text_is_refused(shelf: Path) -> None:
    (shelf / "us-hs-2025" / "edition.toml").write_bytes(b"[edition]\nid = '\xff\xfe'\n")
    with pytest.raises(BookError) as caught:
        editions()
    assert caught.value.problems[0].where == "editions/us-hs-2025/edition.toml:2"


# ---- anything at all

REAL = [f.read_text("utf-8") for f in sorted(loading.EDITIONS.glob("fiba-2po/*.toml"))]
WORDS = (
    '"',
    "'",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    "\n",
    '"""',
    "nan",
    "inf",
    "-1",
    "true",
    "[]",
    "{}",
    "not ",
    "1979-05-27",
    "\0",
    "é",
    "#",
)


def spoiled(text: str, seed: int, times: int) -> str:
    """A text with pieces cut, doubled, moved or overwritten."""
    dice = random.Random(seed)
    for _ in range(times):
        a, b = sorted(dice.randrange(len(text) + 1) for _ in range(2))
        b = min(b, a + dice.randrange(1, 60))
        piece = text[a:b]
        text = dice.choice(
            (
                text[:a] + text[b:],
                text[:a] + piece + piece + text[b:],
                text[:a] + dice.choice(WORDS) + text[b:],
                text[:a] + dice.choice(WORDS) + text[a:],
                text[:a] + piece[::-1] + text[b:],
            )
        )
    return text


@settings(max_examples=120)
@given(st.integers(0, 10**9), st.integers(1, 12))
def test_spoiled_real_text_is_a_book_or_its_faults_and_nothing_else(seed: int, times: int) -> None:
    body = spoiled(REAL[seed % len(REAL)].replace("[edition]", "[groups]"), seed, times)
    for p in faults_or_none(layer(body)):
        assert p.where
        assert p.found
        assert p.expected
        assert p.do


@settings(max_examples=150)
@given(st.text(alphabet="[]{}=\"'\n abc.#1-\\\t\0é", max_size=200))
def test_any_text_at_all_is_a_book_or_its_faults(text: str) -> None:
    for whole in (text, HEAD.format(id="k", authority="own") + text):
        for p in faults_or_none(LayerText("k", whole, "layers/k.toml")):
            assert p.where.startswith("layers/k.toml")


def faults_or_none(one: LayerText) -> tuple[Problem, ...]:
    """The faults of a layer, or none; anything but a list of faults comes through and fails the test."""
    try:
        load_book("fiba-2po", (one,))
    except BookError as fault:
        return fault.problems or (Problem("", "a fault that says nothing", "", ""),)
    return ()
