"""Scenes and plays: any answer staged with a formation, told as a play, kept under a name, found by provision.

What is kept rests on its situation line, edition, layers and provisions as they stood; a play of the trainer's own
rests on the provisions it names. Takes an open store; holds no rule and knows no screen.
"""

from __future__ import annotations

from collections.abc import Callable
from math import dist
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from tenbetween import notation
from tenbetween.book import Book
from tenbetween.desk.answers import Shelf, answer, book_for
from tenbetween.desk.kept import basis_of
from tenbetween.errors import Problem, StoreError, TenbetweenError
from tenbetween.formats.play_json import LONGEST_TITLE, play_as_dict, read_play
from tenbetween.formats.scene_json import scene_as_dict
from tenbetween.formats.scene_line import play_line
from tenbetween.movement import BRISK, time_to
from tenbetween.movement.paths import path
from tenbetween.scene import FORMATIONS, ROLES, Play, Staged, formations_for, person_in, play_of, stage
from tenbetween.situation import Situation, other_role

if TYPE_CHECKING:
    from tenbetween.store import Saved, Store

Json = dict[str, Any]
SHORT_RUN = 8.0
"""A run shorter than this, in feet, is told straight."""


# ---- made from an answer ----


def run_seconds(feet: float) -> float:
    """Return how long a brisk adult takes to run so far and stand ready, to a tenth of a second.

    >>> run_seconds(30), run_seconds(0.2)
    (4.2, 0.0)
    """
    return round(time_to(feet, BRISK, 0.0, 90.0).total, 1) if feet > 0.5 else 0.0


def scene_of(shelf: Shelf, situation: Situation, formation: str | None = None) -> Staged:
    """Return the answer to a situation as a scene, with the formation asked for or the usual one.

    >>> goal = Situation(edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table")
    >>> scene_of(Shelf(), goal).formation.id
    'back-end-line-open'

    Raises:
        TenbetweenError: an edition, layer or setting that is not there, or a formation that does not fit.
    """
    return stage(answer(shelf, situation), formation)


def play_of_answer(
    shelf: Shelf,
    situation: Situation,
    formation: str | None = None,
    seconds_for: Callable[[float], float] | None = None,
) -> Play:
    """Return the answer to a situation as a play; ``seconds_for`` says how long an official takes for some feet,
    as a brisk adult runs unless said.

    >>> goal = Situation(edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table")
    >>> play_of_answer(Shelf(), goal).line
    'us-hs-2025 / right / made goal / lead table'

    Raises:
        TenbetweenError: as ``scene_of``.
    """
    ruling, pace = answer(shelf, situation), seconds_for or run_seconds
    return on_their_ways(play_of(ruling, formation, pace, line=notation.format(situation)), pace)


def on_their_ways(play: Play, seconds_for: Callable[[float], float]) -> Play:
    """Return the play with each official's run led round the players, eyes on them; ways that bend already stay.

    A step takes as long as its longest run.
    """
    steps = list(play.steps[:1])
    for step in play.steps[1:]:
        before, ways, longest = steps[-1], dict(step.via), 0.0
        for role in ROLES:
            person = person_in(step, role)
            start = before.scene.crew.of(role if person_in(before, role) == person else other_role(role)).at
            end = step.scene.crew.of(role).at
            if person in ways or dist(start, end) < SHORT_RUN:
                continue
            way = path(start, end, step.scene)
            if way.free and len(way.points) > 2:
                ways[person] = tuple((round(x, 2), round(y, 2)) for x, y in way.points[1:-1])
                longest = max(longest, seconds_for(way.feet))
        steps.append(replace(step, via=tuple(ways.items()), seconds=max(step.seconds, longest)))
    return replace(play, steps=tuple(steps))


def scene_page(shelf: Shelf, situation: Situation, formation: str | None = None) -> Json:
    """Return a staged answer for a screen: the scene, what it is, what is to be known, and the other formations."""
    staged = scene_of(shelf, situation, formation)
    others = formations_for(answer(shelf, situation))
    return {
        "scene": scene_as_dict(staged.scene),
        "formation": staged.formation.id,
        "title": staged.formation.title,
        "words": staged.formation.words,
        "lead": staged.lead,
        "unplaced": list(staged.unplaced),
        "note": staged.note,
        "line": notation.format(situation),
        "play_line": play_line(situation, staged.formation.id),
        "formations": [{"id": one.id, "title": one.title, "words": one.words} for one in others],
    }


# ---- kept ----


def save_play(
    store: Store,
    shelf: Shelf,
    play: Play,
    title: str = "",
    *,
    edition: str = "",
    layers: tuple[str, ...] = (),
    id: str | None = None,
    seen: str | None = None,
) -> Saved[Any]:
    """Return a play as saved, under its title or another; with ``id`` in the place of its older text.

    ``seen`` is the version that was opened: what somebody else saved since is not written over.

    ``edition`` and ``layers`` name the book a play of the trainer's own rests on.

    Raises:
        TenbetweenError: no title, or a line that cannot be answered any more.
    """
    named = replace(play, title=_title(title or play.title))
    value = {"title": named.title, "play": play_as_dict(named), "formation": named.formation}
    basis = _basis(shelf, named, edition, layers)
    if id is None:
        return store.save("play", value, basis=basis)
    return store.save("play", value, basis=basis, id=id, seen=seen or store.get("play", id).version)


def _title(title: str) -> str:
    found = " ".join(title.split())
    if not found or len(found) > LONGEST_TITLE or not found.isprintable():
        expected = f"a name of 1 to {LONGEST_TITLE} letters"
        raise StoreError(
            Problem("title", ascii(found[:60]) if found else "nothing", expected, "name the play")
        )
    return found


def _basis(shelf: Shelf, play: Play, edition: str, layers: tuple[str, ...]) -> Json:
    if not play.line:
        book = shelf.book(edition, layers) if edition else None
        head: Json = {"edition": edition, "layers": layers, "book_digest": book.digest if book else ""}
        return {**head, "provisions": _marks(book, play.provisions)}
    situation = notation.parse(play.line)
    ruling, book = answer(shelf, situation), book_for(shelf, situation)
    basis = basis_of(book, situation, ruling, play.line)
    there = {mark["id"] for mark in basis["provisions"]}
    more = _marks(book, tuple(one for one in play.provisions if one not in there))
    return {**basis, "provisions": (*basis["provisions"], *more)}


def _marks(book: Book | None, ids: tuple[str, ...]) -> tuple[Json, ...]:
    """Return provisions as they stand in a book; one it does not have is kept by its name alone."""
    found = []
    for id_ in ids:
        one = book.provisions.get(id_) if book is not None else None
        digests = {"meaning": one.meaning_digest, "words": one.words_digest} if one is not None else {}
        found.append({"id": id_, **digests})
    return tuple(found)


def rename_play(store: Store, id: str, title: str) -> Saved[Any]:
    """Return a saved play under another name.

    Raises:
        StoreError: no such play, or no name.
    """
    old = store.get("play", id)
    play = {**old.value.play.data(), "title": _title(title)}
    value = {"title": _title(title), "play": play, "formation": old.value.formation}
    return store.save("play", value, basis=old.basis, id=id, seen=old.version)


def withdraw_play(store: Store, id: str) -> Any:
    """Return the journal entry that takes a saved play out; undo brings it back.

    Raises:
        StoreError: no such play.
    """
    return store.remove("play", id, seen=store.get("play", id).version)


# ---- found again ----


def saved_plays(store: Store, provision: str | None = None) -> tuple[Saved[Any], ...]:
    """Return the saved plays, newest first: all, or those that show or rest on a provision."""
    found = store.find("play") if not provision else store.resting_on(provision)
    return tuple(reversed([one for one in found if one.kind == "play"]))


def play_in_short(shelf: Shelf, saved: Saved[Any]) -> Json:
    """Return a saved play as a line of a list: name, steps, seconds, provisions, and which of them changed since."""
    play = read_play(saved.value.play.data())
    return {
        "id": saved.id,
        "title": saved.value.title,
        "formation": saved.value.formation,
        "formation_title": FORMATIONS[saved.value.formation].title
        if saved.value.formation in FORMATIONS
        else "",
        "line": saved.basis.line,
        "edition": saved.basis.edition,
        "steps": len(play.steps),
        "seconds": round(play.duration, 1),
        "provisions": [mark.id for mark in saved.basis.provisions],
        "shown": list(play.provisions),
        "changed_since": list(changed_provisions(shelf, saved)),
        "at": saved.changed,
        "href": f"/plays/{saved.id}",
    }


def changed_provisions(shelf: Shelf, saved: Saved[Any]) -> tuple[str, ...]:
    """Return the provisions of a saved play whose meaning is not what it was, or that are gone."""
    basis = saved.basis
    if not basis.edition:
        return ()
    try:
        book = shelf.book(basis.edition, [one for one in basis.layers if one in shelf.layers])
    except TenbetweenError:
        return ()
    marks = [mark for mark in basis.provisions if mark.meaning]
    now = {mark.id: book.provisions.get(mark.id) for mark in marks}
    return tuple(
        mark.id for mark in marks if (one := now[mark.id]) is None or one.meaning_digest != mark.meaning
    )


def play_page(shelf: Shelf, saved: Saved[Any]) -> Json:
    """Return a saved play whole: the list line and the play itself."""
    return {**play_in_short(shelf, saved), "play": saved.value.play.data(), "version": saved.version}
