"""The trainer's layer files: written whole, kept in the journal, and never over what somebody typed."""

from __future__ import annotations

import os

import pytest

from tenbetween.errors import StoreError
from tenbetween.store import Layer, Store
from tenbetween.store.layer_files import LIST

FIRST, SECOND = 'id = "own"\n', 'id = "own"\n\n[settings]\ntie = "lead"\n'


def file_of(store: Store, name: str = "own"):
    return store.folder / "layers" / f"{name}.toml"


def states(store: Store) -> dict[str, str]:
    return {file.id: file.state for file in store.layer_files()}


def test_each_version_stands_in_the_file_and_undo_restores_it_to_the_last_sign(store):
    first = store.save(Layer, Layer(text=FIRST), id="own")
    assert file_of(store).read_bytes() == FIRST.encode()
    store.save(Layer, Layer(text="# café\r\n½\n"), id="own", seen=first.version)
    assert file_of(store).read_bytes() == "# café\r\n½\n".encode()
    store.undo()
    assert file_of(store).read_bytes() == FIRST.encode()
    store.redo()
    store.undo()
    store.undo()
    assert not file_of(store).exists()
    versions = [entry.after and entry.after.data()["value"]["text"] for entry in store.history(Layer, "own")]
    assert versions == [None, FIRST, "# café\r\n½\n", FIRST, "# café\r\n½\n", FIRST]
    assert states(store) == {}
    assert store.check() == ()


def test_only_whole_files_lie_in_the_folder(store):
    seen = None
    for number in range(5):
        seen = store.save(Layer, Layer(text=f"# {number}\n" * 1000), id="own", seen=seen).version
    assert sorted(path.name for path in file_of(store).parent.iterdir()) == [LIST, "own.toml"]


@pytest.mark.parametrize(
    "name",
    [
        "../own",
        "..",
        ".",
        "",
        "/etc/own",
        "a/b",
        "a\\b",
        ".own",
        "con",
        "com1.x",
        "Own",
        "own ",
        "own.",
        "x" * 64,
        "ö",
        None,
        5,
    ],
)
def test_a_layer_id_is_a_plain_name(store, name):
    with pytest.raises(StoreError, match=r"layer\.id"):
        store.save(Layer, Layer(text="x"), id=name)
    with pytest.raises(StoreError, match=r"layer\.id"):
        store.get(Layer, name)
    assert not [*store.folder.parent.rglob("*.toml.part")]
    assert store.history() == ()


@pytest.mark.parametrize("name", ["own", "k-24", "quillan-ridge", "2025", "a.b_c-d", "x" * 63])
def test_a_plain_name_is_taken(store, name):
    store.save(Layer, Layer(text=FIRST), id=name)
    assert file_of(store, name).exists()
    assert states(store) == {name: "same"}


def test_text_typed_into_the_file_is_not_overwritten(store):
    first = store.save(Layer, Layer(text=FIRST), id="own")
    file_of(store).write_text("# typed\n")
    assert states(store) == {"own": "edited"}
    for change in (
        lambda: store.save(Layer, Layer(text=SECOND), id="own", seen=first.version),
        lambda: store.remove(Layer, "own", seen=first.version),
        store.undo,
    ):
        with pytest.raises(StoreError, match="typed into the file by hand"):
            change()
    assert file_of(store).read_text() == "# typed\n"
    assert store.get(Layer, "own") == first
    assert len(store.check()) == 1


def test_what_was_done_by_hand_is_taken_up_into_the_journal(store):
    for name in ("edited", "gone", "left"):
        store.save(Layer, Layer(text=FIRST), id=name)
    file_of(store, "edited").write_text(SECOND)
    file_of(store, "new").write_text(SECOND)
    file_of(store, "gone").unlink()
    assert states(store) == {"edited": "edited", "gone": "gone", "left": "same", "new": "new"}
    entries = store.take_up_layer_files(by="Ottoline Brace")
    assert {(entry.object_id, entry.did, entry.by) for entry in entries} == {
        ("edited", "changed", "Ottoline Brace"),
        ("new", "added", "Ottoline Brace"),
        ("gone", "removed", "Ottoline Brace"),
    }
    assert states(store) == {"edited": "same", "left": "same", "new": "same"}
    assert store.take_up_layer_files() == ()
    store.undo()
    assert {name: file_of(store, name).read_text() for name in states(store)} == {
        "edited": FIRST, "gone": FIRST, "left": FIRST,
    }  # fmt: skip
    assert store.check() == ()


def test_files_that_are_no_text_are_all_named_and_none_is_taken_up(store):
    file_of(store, "good").write_text(FIRST)
    file_of(store, "bytes").write_bytes(b"\xff\xfe")
    file_of(store, "nul").write_bytes(b"a")
    with pytest.raises(StoreError, match=r"plain name"):
        store.take_up_layer_files()
    file_of(store, "nul").unlink()
    file_of(store, "folder").mkdir()
    file_of(store, "folder").rmdir()
    with pytest.raises(StoreError, match=r"bytes\.toml: found bytes that are no UTF-8 text"):
        store.take_up_layer_files()
    file_of(store, "bytes").write_bytes(b"a\x00b")
    with pytest.raises(StoreError, match=r"layer\.text.*take that sign out"):
        store.take_up_layer_files()
    assert store.history() == ()


def test_a_link_or_folder_in_place_of_a_file_is_refused(store, tmp_path):
    secret = tmp_path / "secret.toml"
    secret.write_text("x")
    file_of(store).symlink_to(secret)
    file_of(store, "folder").mkdir()
    for name in ("own", "folder"):
        with pytest.raises(StoreError, match="a link or a folder"):
            store.save(Layer, Layer(text=FIRST), id=name)
    with pytest.raises(StoreError, match="a link or a folder"):
        store.take_up_layer_files()
    assert secret.read_text() == "x"
    assert store.history() == ()


def test_a_file_left_behind_by_a_crash_is_finished_at_the_next_opening(place, monkeypatch):
    """The change was kept, the machine died before the file was written."""
    with place.open() as store:
        first = store.save(Layer, Layer(text=FIRST), id="own")
        with monkeypatch.context() as patch:
            patch.setattr(Store, "_settle", lambda *_: None)
            store.save(Layer, Layer(text=SECOND), id="own", seen=first.version)
        assert file_of(store).read_text() == FIRST
        assert states(store) == {"own": "waiting"}
        (file_of(store).parent / ".other.toml.part").write_text("half")
    with place.open() as store:
        assert file_of(store).read_text() == SECOND
        assert sorted(path.name for path in file_of(store).parent.iterdir()) == [LIST, "own.toml"]
        assert store.check() == ()


def test_a_list_that_was_damaged_or_lost_loses_no_text(place):
    with place.open() as store:
        store.save(Layer, Layer(text=FIRST), id="own")
        listed = file_of(store).parent / LIST
    for damage in (b"", b"{", b"[]", b'{"../x": "y", "own": 5}', b"\xff"):
        listed.write_bytes(damage)
        with place.open() as store:
            assert states(store) == {"own": "same"}
    listed.unlink()
    file_of(store).write_text("# typed\n")
    with place.open() as store:
        assert states(store) == {"own": "edited"}
        assert file_of(store).read_text() == "# typed\n"


def test_a_disk_that_refuses_the_file_keeps_nothing(store, monkeypatch):
    first = store.save(Layer, Layer(text=FIRST), id="own")
    before = store.history()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(StoreError, match="no room left on the disk"):
            store.save(Layer, Layer(text=SECOND), id="own", seen=first.version)
    assert store.history() == before
    assert file_of(store).read_text() == FIRST
    assert sorted(path.name for path in file_of(store).parent.iterdir()) == [LIST, "own.toml"]
    assert store.check() == ()
