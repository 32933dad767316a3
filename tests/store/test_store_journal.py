"""The journal: append-only, undo and redo, and the state as the fold of its entries."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from sqlalchemy import exc, text
from tests.store.workplaces import fresh_place

from tenbetween.errors import StoreError
from tenbetween.store import Crew, Official, Setting, Store, replay


def journal_of(store: Store) -> list[Any]:
    return list(reversed(store.history(limit=100_000)))


def content(store: Store) -> dict[tuple[str, str], Any]:
    """What a person sees: values without versions and times."""
    everything = store.everything()
    return {
        (kind, name): saved.value for kind, things in everything.items() for name, saved in things.items()
    }


def set_to(store: Store, value: str, name: str = "tie") -> str:
    """Change a setting and return the id of the journal entry."""
    before = next((saved.version for saved in store.find(Setting) if saved.id == name), None)
    return store.save(Setting, Setting(value=value), id=name, seen=before).version


# ---- append-only ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE journal SET made_by = 'x'",
        "DELETE FROM journal",
        "UPDATE journal SET after_json = NULL WHERE seq = 1",
    ],
)
def test_the_database_itself_refuses_to_rewrite_the_journal(store, sql):
    """Even past the store, with plain SQL."""
    set_to(store, "a")
    with pytest.raises(exc.DBAPIError, match="append-only"), store._database.engine.begin() as connection:
        connection.execute(text(sql))
    assert len(store.history()) == 1
    assert store.check() == ()


def test_the_journal_is_not_replaced_nor_emptied_by_other_words(store):
    set_to(store, "a")
    columns = "seq, id, at, made_by, kind, object_id, before_json, after_json, together, undoes"
    if store._database.is_postgresql:
        sql = "TRUNCATE journal CASCADE"
    else:
        sql = f"INSERT OR REPLACE INTO journal SELECT {columns.replace('made_by', repr('x'))} FROM journal"
    with pytest.raises(exc.DBAPIError, match="append-only"), store._database.engine.begin() as connection:
        connection.execute(text(sql))
    assert store.history()[0].by == "Wendell Thackrow"


def test_a_table_changed_behind_the_journal_is_told(store):
    set_to(store, "a")
    with store._database.engine.begin() as connection:
        connection.execute(text("UPDATE setting SET value = 'b'"))
    assert [problem.where for problem in store.check()] == ["setting tie"]
    with pytest.raises(StoreError, match="not what its journal says"):
        store.undo()


# ---- undo and redo -------------------------------------------------------------------------------


def test_undo_puts_back_what_was_there_and_redo_takes_that_back(store):
    set_to(store, "a")
    set_to(store, "b")
    (undo,) = store.undo(by="Noor Estwick")
    assert (store.get(Setting, "tie").value.value, undo.by, undo.did) == ("a", "Noor Estwick", "changed")
    (redo,) = store.redo()
    assert (store.get(Setting, "tie").value.value, redo.undoes) == ("b", undo.id)
    store.undo()
    store.undo()
    assert store.find(Setting) == ()
    with pytest.raises(StoreError, match="nothing is left to undo"):
        store.undo()
    store.redo()
    store.redo()
    assert store.get(Setting, "tie").value.value == "b"
    with pytest.raises(StoreError, match="nothing is left to redo"):
        store.redo()
    assert len(store.history()) == 8


def test_a_new_change_after_an_undo_leaves_nothing_to_redo(store):
    set_to(store, "a")
    store.undo()
    set_to(store, "b", "edge")
    with pytest.raises(StoreError, match="nothing is left to redo"):
        store.redo()
    store.undo()
    store.redo()
    assert set(store.everything()["setting"]) == {"edge"}
    with pytest.raises(StoreError, match="nothing is left to redo"):
        store.redo()


def test_undo_of_a_removal_brings_the_same_thing_back(store):
    saved = store.save(Official, Official(name="Abel Crosswright"))
    store.remove(Official, saved.id, seen=saved.version)
    store.undo()
    back = store.get(Official, saved.id)
    assert (back.value, back.created, back.basis) == (saved.value, saved.created, saved.basis)
    assert back.version != saved.version


def test_an_older_change_is_undone_when_nothing_came_after_it(store):
    first = set_to(store, "a", "tie")
    set_to(store, "b", "edge")
    store.undo(first)
    assert set(store.everything()["setting"]) == {"edge"}


def test_an_older_change_is_refused_while_a_later_one_counts(store):
    set_to(store, "a")
    second = set_to(store, "b")
    third = set_to(store, "c")
    with pytest.raises(StoreError, match=f"{third}.*undo that one first"):
        store.undo(second)
    store.undo(third)
    store.undo(second)
    assert store.get(Setting, "tie").value.value == "a"


def test_a_later_change_that_was_undone_and_redone_is_in_the_way_again(store):
    first, second = set_to(store, "a"), set_to(store, "b")
    store.undo(second)
    store.redo(second)
    with pytest.raises(StoreError, match="undo that one first"):
        store.undo(first)
    store.undo(second)
    store.undo(first)
    assert store.find(Setting) == ()


def test_what_was_undone_is_not_undone_twice_nor_redone_when_it_counts(store):
    first = set_to(store, "a")
    with pytest.raises(StoreError, match="nothing to redo"):
        store.redo(first)
    store.undo(first)
    with pytest.raises(StoreError, match="undone already"):
        store.undo(first)
    store.redo(first)
    assert store.get(Setting, "tie").value.value == "a"


@pytest.mark.parametrize("which", ["", "x", "0" * 26, "0" * 25 + "\n", "\x00", "ü" * 26])
def test_an_entry_that_is_not_there_is_named(store, which):
    for call in (store.undo, store.redo):
        with pytest.raises(StoreError, match="journal"):
            call(which)


def test_a_group_is_undone_and_redone_as_one(store):
    with store.together() as changes:
        one = changes.save(Official, Official(name="Priya Sandleford"))
        two = changes.save(Official, Official(name="Emmet Quist"))
        crew = changes.save(Crew, Crew(referee=one.id, umpire=two.id))
        changes.save(Crew, Crew(referee=two.id, umpire=one.id), id=crew.id, seen=crew.version)
    was = content(store)
    group = store.history()[0].group
    assert len(store.undo(group)) == 4
    assert store.everything() == {}
    store.redo(group)
    assert content(store) == was
    assert store.undo()[0].group != group
    assert store.everything() == {}


def test_an_undo_that_would_leave_a_link_to_nothing_is_refused(store):
    one = store.save(Official, Official(name="Priya Sandleford"))
    two = store.save(Official, Official(name="Emmet Quist"))
    store.save(Crew, Crew(referee=one.id, umpire=two.id))
    before = store.everything()
    with pytest.raises(StoreError, match="remove that crew first"):
        store.undo(one.version)
    assert store.everything() == before


# ---- the fold ------------------------------------------------------------------------------------

ACTIONS = st.lists(
    st.tuples(
        st.sampled_from(["official", "crew", "setting", "layer", "change", "remove", "both", "undo", "redo"]),
        st.integers(0, 5),
        st.integers(0, 5),
    ),
    max_size=25,
)


def _add(store: Store, action: str, one: int, two: int) -> None:
    officials = store.find(Official)
    if action == "official":
        store.save(Official, Official(name=f"Person {one}", active=two % 2 == 0))
    elif action == "crew" and officials:
        pair = (officials[one % len(officials)].id, officials[two % len(officials)].id)
        store.save(Crew, Crew(referee=pair[0], umpire=pair[1]))
    elif action == "setting":
        set_to(store, f"value {two}", f"s{one % 3}")
    elif action == "layer":
        seen = {saved.id: saved.version for saved in store.find("layer")}.get(f"l{one % 2}")
        store.save("layer", {"text": f"# {two}\n"}, id=f"l{one % 2}", seen=seen)
    elif action == "both":
        with store.together() as changes:
            changes.save(Official, Official(name=f"Both {one}"))
            changes.save(
                Crew,
                Crew(referee=officials[one % len(officials)].id, umpire=officials[0].id) if officials else {},
            )


def _change(store: Store, action: str, one: int, two: int) -> None:
    things = [saved for kind in store.everything().values() for saved in kind.values()]
    if not things:
        return
    saved = things[(one * 6 + two) % len(things)]
    if action == "remove":
        store.remove(saved.kind, saved.id, seen=saved.version)
    elif saved.kind == "official":
        value = replace(saved.value, short=f"{one}{two}")
        store.save("official", value, id=saved.id, seen=saved.version)


def _act(store: Store, action: str, one: int, two: int) -> None:
    if action in ("undo", "redo"):
        getattr(store, action)()
    elif action in ("change", "remove"):
        _change(store, action, one, two)
    else:
        _add(store, action, one, two)


def _follows_an_editor(store: Store, actions: list[tuple[str, int, int]]) -> None:
    """Undo and redo behave as in any editor: a line of states and a place in it; a change cuts the rest."""
    states, here = [content(store)], 0
    for action, one, two in actions:
        entries = len(journal_of(store))
        try:
            _act(store, action, one, two)
        except StoreError:
            assert len(journal_of(store)) == entries
            assert content(store) == states[here]
            assert not (action == "undo" and here > 0)
            assert not (action == "redo" and here + 1 < len(states))
            continue
        if action == "undo":
            here -= 1
        elif action == "redo":
            here += 1
        elif len(journal_of(store)) > entries:
            states, here = [*states[: here + 1], content(store)], here + 1
        assert content(store) == states[here]
    assert replay(journal_of(store)) == store.everything()
    assert store.check() == ()
    layers = {layer: saved.value.text for layer, saved in store.everything().get("layer", {}).items()}
    assert {path.stem: path.read_text() for path in (store.folder / "layers").glob("*.toml")} == layers


def test_any_sequence_of_changes_undos_and_redos_is_an_editors_and_folds(keeper, request):
    """Tables equal the fold of the journal, files equal the tables, and the copy made of it equals both."""
    server = request.getfixturevalue("postgres_url") if keeper == "postgresql" else None

    @settings(max_examples=25 if keeper == "sqlite" else 8)
    @given(ACTIONS)
    def run(actions: list[tuple[str, int, int]]) -> None:
        with tempfile.TemporaryDirectory() as folder:
            with fresh_place(Path(folder) / "a", server).open() as store:
                _follows_an_editor(store, actions)
                lines, state, journal = list(store.export_all()), store.everything(), journal_of(store)
            with fresh_place(Path(folder) / "b", None).open() as other:
                other.import_lines(lines)
                assert other.everything() == state
                assert [replace(entry, seq=0) for entry in journal_of(other)] == [
                    replace(entry, seq=0) for entry in journal
                ]

    run()


@given(ACTIONS, st.lists(st.integers(0, 1000), max_size=12))
@settings(max_examples=25)
def test_undoing_any_entry_in_any_order_restores_or_changes_nothing(actions, picks):
    """By its id, out of turn: either the thing is as it was before the entry, or nothing at all happened."""

    with tempfile.TemporaryDirectory() as folder, fresh_place(Path(folder), None).open() as store:
        for action, one, two in actions:
            try:
                _act(store, action, one, two)
            except StoreError:
                continue
        for pick in picks:
            journal = journal_of(store)
            if not journal:
                return
            entry, before = journal[pick % len(journal)], store.everything()
            try:
                (made,) = store.undo(entry.id)
            except StoreError:
                assert store.everything() == before
                assert journal_of(store) == journal
                continue
            now = store.everything().get(entry.kind, {}).get(entry.object_id)
            assert (now and now.value) == (entry.before and _value(store, entry))
            assert made.undoes == entry.id
            assert replay(journal_of(store)) == store.everything()


def _value(store: Store, entry: Any) -> Any:
    from tenbetween.store.journal import saved_in

    return saved_in(entry.before, "before").value


def test_a_journal_that_does_not_follow_is_refused(store):
    set_to(store, "a")
    set_to(store, "b")
    first, second = journal_of(store)
    assert replay([first, second])["setting"]["tie"].value.value == "b"
    assert replay([second], start=replay([first])) == replay([first, second])
    for wrong in ([second], [second, first], [first, first], [first, replace(second, object_id="edge")]):
        with pytest.raises(StoreError, match="journal entry"):
            replay(wrong)
