"""What is kept about answers: saved ones, stamps, conflicting advice, frozen situations, officials, settings.

Each rests on its situation line, edition, layers, settings and provisions as they stood. Takes an open store.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from tenbetween.book import Book
from tenbetween.desk.answers import Shelf, answer, book_for
from tenbetween.desk.frozen import agreed_parts
from tenbetween.errors import Problem, StoreError, TenbetweenError, one_of
from tenbetween.situation import Ruling, Situation, as_plain

if TYPE_CHECKING:
    from tenbetween.store import Saved, Store

Json = dict[str, Any]
KINDS = ("answer", "stamp", "advice", "frozen", "official", "crew", "setting")


def basis_of(book: Book, situation: Situation, ruling: Ruling, line: str) -> Json:
    """Return what a saved thing rests on: line, edition, layers, settings off default, digests."""
    used = dict.fromkeys(r.provision for r in ruling.reasons)
    return {
        "line": line,
        "edition": situation.edition,
        "layers": tuple(situation.layers),
        "settings": tuple(situation.settings),
        "book_digest": book.digest,
        "provisions": tuple(
            {
                "id": id_,
                "meaning": book.provisions[id_].meaning_digest,
                "words": book.provisions[id_].words_digest,
            }
            for id_ in used
            if id_ in book.provisions
        ),
    }


def keep_answer(
    store: Store, shelf: Shelf, situation: Situation, line: str, sentence: str, note: str = ""
) -> Saved[Any]:
    """Save an answer with everything it rests on."""
    ruling, book = answer(shelf, situation), book_for(shelf, situation)
    value = {"title": sentence[:200] or line[:200], "ruling": as_plain(ruling), "note": note}
    return store.save("answer", value, basis=basis_of(book, situation, ruling, line))


def stamp(
    store: Store, shelf: Shelf, situation: Situation, line: str, sentence: str, form: Mapping[str, str]
) -> Saved[Any]:
    """Stamp an answer "confirmed by, on, memo"; the answer is saved with it when it was not yet."""
    _need(form, ("by", "on"))
    ruling, book = answer(shelf, situation), book_for(shelf, situation)
    basis = basis_of(book, situation, ruling, line)
    with store.together() as changes:
        found = [
            s for s in store.find("answer") if s.basis.line == line and s.basis.book_digest == book.digest
        ]
        value = {"title": sentence[:200] or line[:200], "ruling": as_plain(ruling), "note": ""}
        saved = found[-1] if found else changes.save("answer", value, basis=basis)
        confirmed = {
            "answer": saved.id,
            "confirmed_by": form["by"].strip(),
            "on": form["on"].strip(),
            "memo": form.get("memo", "").strip(),
        }
        return changes.save("stamp", confirmed, basis=basis)


def advise(
    store: Store, situation: Situation | None, line: str, form: Mapping[str, str], today: str
) -> Saved[Any]:
    """Keep what somebody said about a situation, beside what others said."""
    _need(form, ("by", "what"))
    value = {
        "said_by": form["by"].strip(),
        "on": form.get("on", "").strip() or today,
        "what": form["what"].strip(),
        "source": form.get("source", "").strip(),
        "provision": form.get("provision", "").strip(),
    }
    basis = {
        "line": line,
        "edition": situation.edition if situation else "",
        "layers": situation.layers if situation else (),
    }
    return store.save("advice", value, basis=basis)


def settle_advice(store: Store, id: str, how: str) -> Saved[Any]:
    """Mark advice as settled, with how."""
    found = store.get("advice", id)
    value = {n: getattr(found.value, n) for n in found.value.__struct_fields__}
    return store.save(
        "advice",
        {**value, "status": "settled", "settled_how": how},
        basis=found.basis,
        id=id,
        seen=found.version,
    )


def freeze(
    store: Store, shelf: Shelf, situation: Situation, line: str, form: Mapping[str, str]
) -> Saved[Any]:
    """Freeze a situation with the answer of now as the agreed one."""
    _need(form, ("title",))
    ruling, book = answer(shelf, situation), book_for(shelf, situation)
    value = {
        "title": form["title"].strip()[:200],
        "expected": agreed_parts(ruling),
        "note": form.get("note", "").strip(),
    }
    return store.save("frozen", value, basis=basis_of(book, situation, ruling, line))


def notes_on(store: Store, line: str, digest: str) -> Json:
    """Return stamps and advice on one line, and whether advice conflicts."""
    stamps = [
        {
            "by": s.value.confirmed_by,
            "on": s.value.on,
            "memo": s.value.memo,
            "stale": s.basis.book_digest != digest,
        }
        for s in store.find("stamp")
        if s.basis.line == line
    ]
    advice = [
        {
            "id": a.id,
            "by": a.value.said_by,
            "on": a.value.on,
            "what": a.value.what,
            "source": a.value.source,
            "status": a.value.status,
        }
        for a in store.find("advice")
        if a.basis.line == line
    ]
    still_open = [a for a in advice if a["status"] == "open"]
    counted = [(len(stamps), "stamp"), (len(advice), "piece of advice")]
    summary = ", ".join(
        f"{n} {name if n == 1 else name.replace('piece', 'pieces') + ('s' if name == 'stamp' else '')}"
        for n, name in counted
        if n
    )
    return {
        "stamps": stamps,
        "advice": advice,
        "conflict": len(still_open) > 1,
        "summary": summary or "nothing yet",
    }


def add_official(store: Store, form: Mapping[str, str]) -> Saved[Any]:
    """Add a named official."""
    _need(form, ("name",))
    return store.save("official", {"name": form["name"].strip(), "short": form.get("short", "").strip()})


def add_crew(store: Store, form: Mapping[str, str]) -> Saved[Any]:
    """Put two officials together as Referee and Umpire."""
    _need(form, ("referee", "umpire"))
    return store.save(
        "crew", {"referee": form["referee"], "umpire": form["umpire"], "title": form.get("title", "").strip()}
    )


def own_setting(store: Store, book: Book, form: Mapping[str, str]) -> Saved[Any] | None:
    """Keep an own setting, or take it back when it is the book's own value again."""
    name, value = form.get("name", ""), form.get("value", "")
    if name not in book.settings:
        raise StoreError(one_of("name", name, tuple(book.settings)))
    if value not in book.settings[name].values:
        raise StoreError(one_of("value", value, book.settings[name].values))
    old = next((s for s in store.find("setting") if s.id == name), None)
    if value == book.settings[name].value:
        if old is not None:
            store.remove("setting", name, seen=old.version)
        return None
    return store.save("setting", {"value": value}, id=name, seen=old.version if old else None)


def _need(form: Mapping[str, str], names: tuple[str, ...]) -> None:
    missing = [n for n in names if not form.get(n, "").strip()]
    if missing:
        raise StoreError([Problem(n, "nothing", "a few words", "fill it in") for n in missing])


def entry_page(entry: Any, undone: frozenset[str], last: str | None) -> Json:
    """Return one journal entry in words."""
    after = entry.after.data() if entry.after else None
    before = entry.before.data() if entry.before else None
    value = (after or before or {}).get("value", {})
    named = (
        value.get("title")
        or value.get("name")
        or value.get("what")
        or value.get("confirmed_by")
        or value.get("value")
        or entry.object_id
    )
    did = {"added": "added", "changed": "changed", "removed": "removed"}[entry.did]
    back = ", taking back an earlier change" if entry.undoes else ""
    return {
        "id": entry.id,
        "seq": entry.seq,
        "at": entry.at.replace("T", " ")[:16],
        "by": entry.by,
        "kind": entry.kind,
        "words": f"{entry.kind}: {str(named)[:120]}",
        "change": did + back,
        "undoable": entry.id not in undone,
    }


def undone_entries(entries: tuple[Any, ...]) -> frozenset[str]:
    """Return the ids of entries that a later entry takes back and that stay taken back."""
    back = {e.undoes: e.id for e in entries if e.undoes}
    return frozenset(id_ for id_, by in back.items() if by not in back)


def said_problem(fault: TenbetweenError) -> list[Json]:
    """Return the problems of a fault as dictionaries."""
    return [p.as_dict() for p in fault.problems]


def officials_page(store: Store) -> Json:
    """Return officials and crews."""
    people = {o.id: o.value for o in store.find("official")}
    crews = [
        {
            "id": c.id,
            "title": c.value.title,
            "referee": people[c.value.referee].name,
            "umpire": people[c.value.umpire].name,
        }
        for c in store.find("crew")
        if c.value.referee in people and c.value.umpire in people
    ]
    return {
        "officials": [{"id": i, "name": o.name, "short": o.short} for i, o in people.items()],
        "crews": crews,
    }
