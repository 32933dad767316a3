"""The verbs at the edge of the store, the same on SQLite and PostgreSQL."""

from __future__ import annotations

import dataclasses

import pytest
from msgspec.structs import replace

from tenbetween.errors import StoreError
from tenbetween.store import KINDS, Advice, Basis, Crew, Json, Official, Setting, Stamp
from tenbetween.store.journal import SCHEMA


def problems(refused: pytest.ExceptionInfo[StoreError]) -> str:
    return str(refused.value)


def test_every_kind_is_saved_and_comes_back_as_it_was(store, every_kind):
    """What is got, found and listed equals what was saved, with all it rests on."""
    kept = every_kind(store)
    assert set(kept) == set(KINDS)
    for kind, saved in kept.items():
        assert store.get(kind, saved.id) == saved
        assert saved in store.find(kind)
        assert store.everything()[kind][saved.id] == saved
        assert (saved.schema, saved.created) == (SCHEMA, saved.changed)
    assert store.check() == ()


def test_saved_things_outlive_the_program(place, every_kind):
    """Closed and opened again, everything and its history is there."""
    with place.open() as store:
        every_kind(store)
        state, history = store.everything(), store.history()
    with place.open() as store:
        assert store.everything() == state
        assert store.history() == history
        assert store.check() == ()


def test_a_basis_keeps_line_edition_layers_settings_digest_and_provisions(store, basis):
    saved = store.save("answer", {"title": "x", "ruling": {}}, basis=basis)
    assert store.get("answer", saved.id).basis == basis
    assert store.find("answer", line=basis.line) == store.find("answer", edition="us-hs-2025") == (saved,)
    assert store.find("answer", edition="us-hs-2022") == ()


def test_results_are_frozen(store):
    saved = store.save(Official, Official(name="Cass Verrall"))
    with pytest.raises(AttributeError):
        saved.id = "x"
    with pytest.raises(AttributeError):
        saved.value.name = "x"
    assert hash(saved) == hash(store.get(Official, saved.id))
    assert not dataclasses.is_dataclass(saved)


def test_a_changed_thing_keeps_id_and_creation_and_gets_a_new_version(store):
    first = store.save(Official, Official(name="Cass Verrall"))
    second = store.save(Official, replace(first.value, active=False), id=first.id, seen=first.version)
    assert (second.id, second.created) == (first.id, first.created)
    assert second.version > first.version
    assert second.changed > first.changed
    assert store.find("official", active=False) == (second,)
    assert store.find("official", active=True) == ()


def test_saving_what_is_there_already_writes_no_entry(store):
    first = store.save(Setting, Setting(value="a"), id="tie")
    assert store.save(Setting, Setting(value="a"), id="tie", seen=first.version) == first
    assert len(store.history()) == 1


def test_what_was_changed_meanwhile_is_not_overwritten(store):
    """The second of two who saw the same version is told who was faster."""
    first = store.save(Setting, Setting(value="a"), id="tie")
    store.save(Setting, Setting(value="b"), id="tie", seen=first.version, by="Noor Estwick")
    with pytest.raises(StoreError, match=r"by Noor Estwick.*read it again"):
        store.save(Setting, Setting(value="c"), id="tie", seen=first.version)
    with pytest.raises(StoreError, match="by Noor Estwick"):
        store.remove(Setting, "tie", seen=first.version)
    with pytest.raises(StoreError, match="there already"):
        store.save(Setting, Setting(value="c"), id="tie")
    assert store.get(Setting, "tie").value.value == "b"


def test_what_was_removed_meanwhile_is_not_made_again(store):
    first = store.save(Official, Official(name="Joss Lundagar"))
    store.remove(Official, first.id, seen=first.version)
    with pytest.raises(StoreError, match="look in the history"):
        store.save(Official, Official(name="Joss"), id=first.id, seen=first.version)
    with pytest.raises(StoreError, match="found nothing"):
        store.get(Official, first.id)
    with pytest.raises(StoreError, match="found nothing"):
        store.remove(Official, first.id, seen=first.version)


def test_a_version_seen_before_an_undo_does_not_fit_after_it(store):
    """The state is the old one, the version is not: nobody overwrites what he has not seen."""
    first = store.save(Setting, Setting(value="a"), id="tie")
    store.save(Setting, Setting(value="b"), id="tie", seen=first.version)
    store.undo()
    assert store.get(Setting, "tie").value == first.value
    with pytest.raises(StoreError, match="read it again"):
        store.save(Setting, Setting(value="c"), id="tie", seen=first.version)


def test_a_crew_is_two_different_officials_who_are_kept(store):
    one = store.save(Official, Official(name="Teo Marchbank"))
    with pytest.raises(StoreError, match="two different officials"):
        store.save(Crew, Crew(referee=one.id, umpire=one.id))
    with pytest.raises(StoreError, match="save the official first"):
        store.save(Crew, Crew(referee=one.id, umpire="0" * 26))


def test_what_something_points_to_is_not_removed(store, basis):
    answer = store.save("answer", {"title": "x", "ruling": {}}, basis=basis)
    store.save(Stamp, Stamp(answer=answer.id, confirmed_by="Noor Estwick", on="2025-11-02"), basis=basis)
    with pytest.raises(StoreError, match="remove that stamp first"):
        store.remove("answer", answer.id, seen=answer.version)
    assert store.get("answer", answer.id) == answer


def test_advice_that_differs_stands_side_by_side(store):
    for person, what in (("Gil Pomfrey", "Trail takes it."), ("Ottoline Brace", "Lead takes it.")):
        store.save(Advice, Advice(said_by=person, on="2025-10-30", what=what, provision="who.high"))
    first, second = store.find(Advice, provision="who.high", status="open")
    assert (first.value.said_by, second.value.said_by) == ("Gil Pomfrey", "Ottoline Brace")
    store.save(
        Advice, replace(first.value, status="settled", settled_how="K-24"), id=first.id, seen=first.version
    )
    assert store.find(Advice, provision="who.high", status="open") == (second,)


def test_everything_that_rests_on_a_provision_is_found(store, every_kind):
    kept = every_kind(store)
    found = store.resting_on("who.front-court-sideline")
    assert {saved.kind for saved in found} == {"answer", "stamp", "advice", "frozen", "game", "play"}
    assert kept["answer"] in found
    assert store.resting_on("who.front-court") == ()
    assert store.resting_on("%") == ()


def test_pages_follow_each_other_without_gap(store):
    ids = [store.save(Official, Official(name=f"Person {n}")).id for n in range(7)]
    assert ids == sorted(ids)
    page = store.find(Official, limit=3)
    rest = store.find(Official, limit=9, after=page[-1].id)
    assert [saved.id for saved in page + rest] == ids


def test_history_of_all_of_a_kind_and_of_one_thing(store):
    one = store.save(Official, Official(name="Dara Whitlock"), by="Hesper Vane")
    store.save(Setting, Setting(value="a"), id="tie")
    store.save(Official, Official(name="Dara W."), id=one.id, seen=one.version)
    everything = store.history()
    assert [entry.did for entry in everything] == ["changed", "added", "added"]
    assert [entry.by for entry in everything] == ["Wendell Thackrow", "Wendell Thackrow", "Hesper Vane"]
    assert [entry.seq for entry in everything] == sorted((entry.seq for entry in everything), reverse=True)
    assert store.history("official") == store.history(Official, one.id) == (everything[0], everything[2])
    assert store.history(Official, one.id, before=everything[0].seq) == (everything[2],)
    assert store.history(limit=1) == everything[:1]
    assert everything[0].before == everything[2].after
    assert everything[0].after.data()["value"]["name"] == "Dara W."


def test_changes_together_are_all_kept_or_none(store):
    with store.together() as changes:
        one = changes.save(Official, Official(name="Mina Torvald-Pike"))
        two = changes.save(Official, Official(name="Abel Crosswright"))
        changes.save(Crew, Crew(referee=one.id, umpire=two.id))
    assert len({entry.group for entry in store.history()}) == 1
    before = store.everything(), store.history()

    def add(crew: Crew | None) -> None:
        with store.together() as changes:
            changes.save(Official, Official(name="Emmet Quist"))
            if crew is None:
                raise ZeroDivisionError
            changes.save(Crew, crew)

    with pytest.raises(StoreError, match="two different officials"):
        add(Crew(referee=one.id, umpire=one.id))
    with pytest.raises(ZeroDivisionError):
        add(None)
    assert (store.everything(), store.history()) == before


def test_unknown_kinds_filters_and_names_are_named(store, basis):
    for call in (
        lambda: store.save("answr", {}),
        lambda: store.get("answr", "x"),
        lambda: store.find("answr"),
        lambda: store.history("answr"),
    ):
        with pytest.raises(StoreError, match="did you mean 'answer'"):
            call()
    with pytest.raises(StoreError, match="one of active, book_digest, edition, line, name, short"):
        store.find(Official, names="x")
    with pytest.raises(StoreError, match=r"official\.active: found 'yes'"):
        store.find(Official, active="yes")
    with pytest.raises(StoreError) as refused:
        store.save("answer", {"heading": "x", "note": 5}, basis={"edition": 7, "colour": "red"})
    assert {problem.where for problem in refused.value.problems} == {
        "answer", "answer.title", "answer.note", "answer.ruling", "answer.basis", "answer.basis.edition",
    }  # fmt: skip


def test_an_answer_needs_the_basis_it_rests_on(store):
    with pytest.raises(StoreError) as refused:
        store.save("answer", {"title": "x", "ruling": {}}, basis=Basis(edition="us-hs-2025"))
    wheres = [problem.where for problem in refused.value.problems]
    assert wheres == ["answer.basis.line", "answer.basis.book_digest"]


def test_json_is_kept_to_the_last_sign(store, basis):
    ruling = {"spot": [61.5, -0.0, 1e300, 10**30], "who": None, "ok": True, "words": "½ – ° ′ 🏀 \u2028"}
    saved = store.save("answer", {"title": "x", "ruling": ruling}, basis=basis)
    again = store.get("answer", saved.id).value.ruling
    assert again == Json.of(ruling)
    assert again.data() == ruling


def test_a_play_is_renamed_withdrawn_and_taken_back_by_the_journal(store, basis):
    play = {"steps": [{"says": "Ready.", "ball": [1e-6, 26.5]}]}
    first = store.save("play", {"title": "Box", "play": play, "formation": "end-line-box-man"}, basis=basis)
    value = replace(first.value, title="Thursday's box")
    second = store.save("play", value, basis=first.basis, id=first.id, seen=first.version)
    assert (second.value.title, second.value.play.data()) == ("Thursday's box", play)
    store.remove("play", second.id, seen=second.version)
    assert store.resting_on("spot.nearest") == store.find("play") == ()
    store.undo()
    (again,) = store.find("play", formation="end-line-box-man")
    assert again.value == second.value
    assert store.resting_on("spot.nearest") == (again,)
    assert [entry.did for entry in store.history("play")] == ["added", "removed", "changed", "added"]


@pytest.mark.parametrize("play", [[], {}, {"steps": []}, {"steps": "many"}, 5, None])
def test_a_play_without_steps_is_refused(store, play):
    with pytest.raises(StoreError) as refused:
        store.save("play", {"title": "Box", "play": play})
    assert "play.play: found" in problems(refused)
    assert store.history() == ()
