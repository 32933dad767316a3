"""Last year's workbench opened by somebody else: export and import as lines of JSON."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from tests.store.workplaces import fresh_place

from tenbetween.errors import StoreError
from tenbetween.store import Official, Setting, Store

OLD = Path(__file__).parent / "old"


def exported(store: Store) -> list[str]:
    return list(store.export_all())


def without_seq(store: Store) -> list[object]:
    return [replace(entry, seq=0) for entry in store.history(limit=10_000)]


def test_everything_and_its_history_goes_out_and_comes_in_the_same(place, every_kind):
    """Into an empty workbench, with the undo still working there."""
    with place.open() as store:
        every_kind(store)
        store.undo()
        lines, state, history = exported(store), store.everything(), without_seq(store)
    with place.another().open() as other:
        done = other.import_lines(lines)
        assert (done.entries, done.already_here, done.unknown_fields) == (len(history), 0, ())
        assert other.everything() == state
        assert without_seq(other) == history
        assert other.check() == ()
        assert (other.folder / "layers" / "own.toml").read_text() == 'id = "own"\n'
        assert exported(other)[1:] == lines[1:]
        other.redo()
        assert other.get("setting", "table_drawn").value.value == "bottom"


def test_a_second_import_of_the_same_changes_nothing(place, every_kind):
    with place.open() as store:
        every_kind(store)
        lines, history = exported(store), store.history()
        done = store.import_lines(lines)
        assert (done.entries, done.things, done.already_here) == (0, 0, len(history))
        assert store.history() == history


def test_an_import_goes_on_from_what_is_here(place):
    """What was changed on one side only is taken over; ours ahead of theirs stays."""
    with place.open() as store:
        ours = store.save(Setting, Setting(value="a"), id="ours")
        theirs = store.save(Setting, Setting(value="a"), id="theirs")
        lines = exported(store)
        with place.another().open() as other:
            other.import_lines(lines)
            other.save(Setting, Setting(value="b"), id="theirs", seen=theirs.version)
            added = other.save(Official, Official(name="Ruben Saldry"))
            back = exported(other)
        store.save(Setting, Setting(value="c"), id="ours", seen=ours.version)
        done = store.import_lines(back)
        assert (done.entries, done.things) == (2, 2)
        assert store.get(Setting, "ours").value.value == "c"
        assert store.get(Setting, "theirs").value.value == "b"
        assert store.get(Official, added.id) == added
        assert store.check() == ()


def test_a_thing_changed_on_both_sides_is_named_and_nothing_is_taken(place):
    with place.open() as store:
        first = store.save(Setting, Setting(value="a"), id="tie")
        lines = exported(store)
        with place.another().open() as other:
            other.import_lines(lines)
            other.save(Setting, Setting(value="theirs"), id="tie", seen=first.version)
            other.save(Official, Official(name="Ruben Saldry"))
            back = exported(other)
        store.save(Setting, Setting(value="ours"), id="tie", seen=first.version)
        before = store.history()
        with pytest.raises(StoreError, match=r"setting tie.*both here and in the export"):
            store.import_lines(back)
        assert store.history() == before
        assert store.find(Official) == ()


def _newer(lines: list[str]) -> list[str]:
    """The same export as a program of next year would write it: a field more in every part of an official."""
    out = []
    for line in lines:
        part = json.loads(line)
        for record in (
            part.get("saved"),
            part.get("entry", {}).get("after"),
            part.get("entry", {}).get("before"),
        ):
            if record and record["kind"] == "official":
                record["value"]["shirt"] = {"size": "L"}
                record["basis"]["weather"] = "snow"
                record["shared"] = [1, 2]
        out.append(json.dumps(part))
    return out


def test_fields_of_a_newer_program_survive_change_undo_and_export(place):
    with place.open() as store:
        saved = store.save(Official, Official(name="Dara Whitlock"))
        lines = _newer(exported(store))
    with place.another().open() as other:
        done = other.import_lines(lines)
        assert done.unknown_fields == ("official.basis.weather", "official.shared", "official.value.shirt")
        other.save(Official, Official(name="Dara W."), id=saved.id, seen=saved.version)
        other.undo()
        (line,) = (part for line in exported(other) if (part := json.loads(line).get("saved")))
        assert (line["value"]["shirt"], line["basis"]["weather"], line["shared"]) == (
            {"size": "L"},
            "snow",
            [1, 2],
        )
        assert other.check() == ()


def test_an_export_of_every_older_form_can_still_be_read(place):
    """Each file in ``old/`` is an export as one form of the program wrote it."""
    files = sorted(OLD.glob("*.jsonl"))
    assert [path.stem for path in files] == ["1"]
    for path in files:
        with place.another().open() as store:
            done = store.import_lines(path.read_text("utf-8").splitlines())
            assert done.unknown_fields == ()
            assert {kind: len(things) for kind, things in store.everything().items()} == {
                "answer": 1, "stamp": 1, "advice": 1, "frozen": 1, "layer": 1, "official": 2, "crew": 1,
                "game": 1, "setting": 1,
            }  # fmt: skip
            assert store.check() == ()


# ---- broken exports ------------------------------------------------------------------------------


@pytest.fixture
def lines(bench, every_kind) -> list[str]:
    with bench.open() as store:
        every_kind(store)
        return exported(store)


def refused(bench, lines: object) -> str:
    with bench.another().open() as other:
        with pytest.raises(StoreError) as fault:
            other.import_lines(lines)
        assert other.history() == ()
        assert not [*(other.folder / "layers").glob("*.toml")]
    return str(fault.value)


def test_a_file_that_was_cut_off_is_refused(bench, lines):
    for count in range(len(lines)):
        assert "the whole file again" in refused(bench, lines[:count])


def test_a_line_left_out_is_refused(bench, lines):
    for count in range(len(lines) - 1):
        assert refused(bench, lines[:count] + lines[count + 1 :])


def _with(lines: list[str], tag: str, change: object) -> list[str]:
    """The export with the first line of a sort changed by a function that is given its part."""
    out, done = [], False
    for line in lines:
        part = json.loads(line)
        if tag in part and not done:
            change(part[tag])
            done = True
        out.append(json.dumps(part))
    assert done
    return out


@pytest.mark.parametrize(
    ("tag", "change", "told"),
    [
        ("entry", lambda e: e.update(id="x"), "entry.id"),
        ("entry", lambda e: e.update(at="yesterday"), "entry.at"),
        ("entry", lambda e: e.update(by=""), "entry.by"),
        ("entry", lambda e: e.update(kind="whistle"), "one of answer"),
        ("entry", lambda e: e.update(object_id="../x"), "entry.object_id"),
        ("entry", lambda e: e.update(colour=1), "the field 'colour'"),
        ("entry", lambda e: e.update(after=None), "no before and no after"),
        ("entry", lambda e: e["after"].update(id="0" * 26), "the thing its entry names"),
        ("entry", lambda e: e["after"].update(version="0" * 26), "another thing"),
        ("entry", lambda e: e["after"]["value"].update(title=5), "entry.after.value.title: found 5"),
        ("entry", lambda e: e["after"]["basis"].update(line=""), "the line it rests on"),
        ("entry", lambda e: e["after"].pop("value"), "entry.after.value"),
        ("saved", lambda s: s["value"].update(title="another"), "not what its journal makes of it"),
        ("saved", lambda s: s.update(schema=True), "saved.schema"),
        ("saved", lambda s: s.update(changed="2025"), "saved.changed"),
        ("end", lambda e: e.update(entries=3), "3 entries"),
    ],
)
def test_every_fault_in_an_export_is_named_with_its_line(bench, lines, tag, change, told):
    said = refused(bench, _with(lines, tag, change))
    assert told in said
    assert "line" in said or "journal entry" in said or tag == "saved"


def test_many_faults_are_told_together(bench, lines):
    broken = [line.replace("2025-11-03T", "2025-11-3T") for line in lines]
    said = refused(bench, broken).splitlines()
    assert len(said) > 20
    assert len({line.split(".")[0] for line in said}) > 15


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('{"saved": {"a": 1, "a": 2}}', "'a' twice"),
        ('{"saved": {"a": NaN}}', "NaN is no number"),
        ("{", "no JSON"),
        ("[1]", '{"saved": ...}'),
        ('{"saved": {}, "entry": {}}', '{"saved": ...}'),
        ('{"clip": {}}', '{"saved": ...}'),
        ('{"saved": null}', "found None"),
        ("[" * 100_000, "no JSON"),
    ],
)
def test_a_line_that_is_none_is_named(bench, lines, line, told):
    assert told in refused(bench, [lines[0], line, *lines[1:]])


@pytest.mark.parametrize("given_lines", [[], [""], [b"{}"], [None], ["{}"], "text", ['{"saved": {}}']])
def test_what_is_no_export_at_all_is_refused(bench, given_lines):
    assert refused(bench, given_lines)


def test_a_layer_id_that_is_a_path_writes_no_file_outside(bench, lines):
    for name in (
        "../out",
        "..",
        "/tmp/out",
        "a/b",
        "a\\b",
        ".hidden",
        "con",
        "nul.x",
        "a\x00",
        "A",
        "a.",
        "",
    ):
        broken = [line.replace('"object_id":"own"', f'"object_id":{json.dumps(name)}') for line in lines]
        broken = [line.replace('"id":"own"', f'"id":{json.dumps(name)}') for line in broken]
        assert broken != lines
        assert "plain name of small letters" in refused(bench, broken)
    assert not [*bench.folder.parent.rglob("out*")]


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=40)
@given(st.data())
def test_any_part_of_an_export_replaced_by_anything_is_read_or_refused(data):
    """Never another error, never a workbench that does not hold together."""
    lines = [json.loads(line) for line in (OLD / "1.jsonl").read_text("utf-8").splitlines()]
    line = data.draw(st.sampled_from(lines))
    spot, part = line, next(iter(line))
    while isinstance(spot[part], dict) and spot[part] and data.draw(st.booleans()):
        spot = spot[part]
        part = data.draw(st.sampled_from(sorted(spot)))
    spot[part] = data.draw(JSON)
    with tempfile.TemporaryDirectory() as folder, fresh_place(Path(folder) / "b", None).open() as store:
        try:
            store.import_lines([json.dumps(line) for line in lines])
        except StoreError:
            assert store.history() == ()
        assert store.check() == ()
