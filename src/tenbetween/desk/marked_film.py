"""A film with its marks in the order of the game, each with who was who: read once, kept up key by key.

What a list, a search, a measure and an answer are made of. A change is counted in from its own mark on, and no
farther than it makes a difference. Writes nothing.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

from tenbetween import notation
from tenbetween.desk.answers import Shelf, book_for, edition_for
from tenbetween.desk.carry import Answers, Carried, Then, Told, opening_of, step
from tenbetween.desk.duties import title_of
from tenbetween.desk.films import TimeLine
from tenbetween.desk.kept import basis_of
from tenbetween.desk.marks import NOT_SEEN, attributed, told
from tenbetween.draw import words
from tenbetween.errors import StoreError
from tenbetween.situation import Situation, other_side
from tenbetween.store.together import nothing_there
from tenbetween.store.values import kind_of

if TYPE_CHECKING:
    from tenbetween.store import Basis, Saved

Json = dict[str, Any]
WHITE_FIRST = {"a": ("White", "Dark"), "b": ("Dark", "White")}
DARK_FIRST = {"a": ("Dark", "White"), "b": ("White", "Dark")}


class MarkedFilm:
    """One film with its marks; changed only by ``put`` and ``drop``, which mirror what the store was told."""

    def __init__(self, film: Saved[Any], marks: Iterable[Saved[Any]], shelf: Shelf, today: str) -> None:
        self.film, self.today = film, today
        self.line = TimeLine(film.value.parts.data())
        self.base = _base(film, shelf)
        self.book = book_for(shelf, self.base)
        self.answers = Answers(shelf, self.base)
        begins = film.value.opening.data()
        self.opening = opening_of(begins)
        self.teams = DARK_FIRST if begins.get("a") == "dark" else WHITE_FIRST
        self._said: dict[tuple[Situation, tuple[str, str]], str] = {}
        self._lines: dict[Situation, str] = {}
        self._pages: dict[str, tuple[str, Carried, Json]] = {}
        self.in_force = edition_for(today)
        self.spoken: dict[str, tuple[tuple[str, Carried], frozenset[str]]] = {}
        """What is said at each mark, word by word, for searching; filled as it is asked for."""
        timed = sorted(((self.line.second(m.value.at.data()), m.id, m) for m in marks), key=lambda t: t[:2])
        self.seconds = [(second, id_) for second, id_, _ in timed]
        self.marks = [mark for _, _, mark in timed]
        self.carried: list[Carried] = []
        self._walk_on(self.opening, 0, [])
        self._place = {mark.id: n for n, mark in enumerate(self.marks)}

    def _walk_on(self, now: Then, start: int, old: list[Carried]) -> None:
        """Carry from a mark on; once what comes out is what came out before, the rest stands as it was."""
        for n in range(start, len(self.marks)):
            one = step(now, told(self.marks[n]), self.answers)
            self.carried.append(one)
            now = one.after
            rest = n + 1 - start
            if rest <= len(old) and n > start and old[rest - 1] == one:
                self.carried += old[rest:]
                return

    # ---- one mark ----

    def place(self, id: str) -> int:
        """Return the place of a mark in the game.

        Raises:
            StoreError: no such mark on this film.
        """
        found = self._place.get(id)
        if found is None:
            raise StoreError(nothing_there(kind_of("mark"), id))
        return found

    def entering(self, place: int) -> Then:
        """Return what a mark finds before anything is said of it."""
        return self.carried[place - 1].after if place else self.opening

    def entering_at(self, at: Mapping[str, Any]) -> Then:
        """Return what a new mark at a frame would find."""
        return self.entering(bisect_right(self.seconds, (self.line.second(at), "~")))

    def of(self, id: str) -> Carried:
        """Return who was who at a mark."""
        return self.carried[self.place(id)]

    def basis(self, mark: Told, now: Then) -> Json:
        """Return what a mark rests on: the whole situation once it can be answered, else film and book alone."""
        one = step(now, mark, self.answers)
        if one.situation is None or one.ruling is None:
            base = self.base
            head = {"edition": base.edition, "layers": base.layers, "settings": base.settings}
            return {**head, "book_digest": self.book.digest}
        return basis_of(self.book, one.situation, one.ruling, notation.format(one.situation))

    def stale(self) -> list[tuple[Saved[Any], Json]]:
        """Return the marks whose situation is not the one they were kept with, and what they rest on now."""
        return [
            (mark, self.basis(told(mark), self.entering(n)))
            for n, mark in enumerate(self.marks)
            if mark.basis.line != (self.situation_line(self.carried[n]) if self.carried[n].ruling else "")
        ]

    # ---- kept up ----

    def put(self, mark: Saved[Any]) -> None:
        """Take in a mark as it is kept now."""
        there = self._place.get(mark.id)
        if there is not None and self.marks[there].value.at == mark.value.at:
            self.marks[there] = mark
            old, self.carried = self.carried[there:], self.carried[:there]
            self._walk_on(self.entering(there), there, old)
            return
        self.drop(mark.id)
        key = (self.line.second(mark.value.at.data()), mark.id)
        place = bisect_right(self.seconds, key)
        self.seconds.insert(place, key)
        self.marks.insert(place, mark)
        self._again_from(place)

    def drop(self, id: str) -> None:
        """Take a mark out."""
        there = self._place.get(id)
        if there is not None:
            del self.marks[there], self.seconds[there]
            self._again_from(there)

    def _again_from(self, place: int) -> None:
        self._place = {mark.id: n for n, mark in enumerate(self.marks)}
        self.carried = self.carried[:place]
        self._walk_on(self.entering(place), place, [])

    # ---- told ----

    def pages(self) -> list[Json]:
        """Return every mark as a page shows it, in the order of the game."""
        return [self._page(n) for n in range(len(self.marks))]

    def page(self, id: str) -> Json:
        """Return one mark as a page shows it."""
        return self._page(self.place(id))

    def _page(self, n: int) -> Json:
        mark, one = self.marks[n], self.carried[n]
        known = self._pages.get(mark.id)
        if known is None or known[0] != mark.version or known[1] is not one:
            known = self._pages[mark.id] = (mark.version, one, self._written(mark, one))
        return {**known[2], "number": n + 1}

    def _written(self, mark: Saved[Any], one: Carried) -> Json:
        value = mark.value
        at, events = value.at.data(), value.events.data()
        return {
            "id": mark.id,
            "version": mark.version,
            "film": value.film,
            "at": at,
            "t": self.line.seconds(at),
            "situation": value.situation.data(),
            "events": events,
            "times": {e: self._time(event) for e, event in events.items()},
            "crew": crew_page(one, value.crew.data()),
            **who(one),
            "duties": [self._duty(verdict, one) for verdict in value.duties.data()],
            "strokes": value.strokes.data(),
            "tags": value.tags.data(),
            "note": value.note,
            "closed": value.closed,
            "answer": self.sentence(one),
            "line": self.situation_line(one),
            "needs": list(one.needs),
            "taken": list(one.taken),
            "edition": self.status(mark),
        }

    def status(self, mark: Saved[Any]) -> str:
        """Return whether a mark rests on the book as it is now: ``current`` or ``older``."""
        return edition_status(mark.basis, self.book.digest, self.meanings, self.in_force)

    def sentence(self, one: Carried) -> str:
        """Return the answer in one sentence; empty while something is needed, ``not covered`` where it is not."""
        if one.ruling is None or one.situation is None:
            return ""
        teams = self.teams[one.before.ball]
        said = self._said.get((one.situation, teams))
        if said is None:
            covered = one.ruling.restart is not None
            said = words.sentence(one.ruling, teams=teams) if covered else "not covered"
            self._said[one.situation, teams] = said
        return said

    def situation_line(self, one: Carried) -> str:
        """Return the situation in one line; empty while why play stopped is not said."""
        if one.situation is None:
            return ""
        line = self._lines.get(one.situation)
        if line is None:
            line = self._lines[one.situation] = notation.format(one.situation)
        return line

    @cached_property
    def meanings(self) -> Mapping[str, str]:
        """The digest of meaning of each provision of the book, reckoned once."""
        return {id_: one.meaning_digest for id_, one in self.book.provisions.items()}

    def _time(self, event: Any) -> float | None:
        return None if event == NOT_SEEN else self.line.seconds(event)

    def _duty(self, verdict: Json, one: Carried) -> Json:
        return {**attributed(verdict, one), "title": title_of(verdict["duty"], self.book)}


def _base(film: Saved[Any], shelf: Shelf) -> Situation:
    """Return what every situation of a film shares: edition, layers still at hand, settings, date."""
    basis = film.basis
    return Situation(
        edition=basis.edition,
        attacking="right",
        stopped_by="out_of_bounds",
        layers=tuple(one for one in basis.layers if one in shelf.layers),
        settings=basis.settings,
        date=film.value.date or None,
    )


def who(one: Carried) -> Json:
    """Return who was lead and trail when play stopped, and who is when the ball is given."""
    before, after, ruling = one.before, one.after, one.ruling
    gives = ruling.administers if ruling else None
    person = None if gives is None else gives.person or after.person(gives.now)
    return {
        "lead": before.lead,
        "trail": before.trail,
        "lead_side": before.lead_side,
        "trail_side": before.lead_side and other_side(before.lead_side),
        "attacking": before.attacking,
        "ball": before.ball,
        "after": {"lead": after.lead, "trail": after.trail, "lead_side": after.lead_side},
        "gives": person,
        "switch": ruling.switch if ruling else None,
    }


def crew_page(one: Carried, kept: Mapping[str, Any]) -> Json:
    """Return the crew as a mark shows it: as carried and corrected, and what was said by hand."""
    before = one.before
    said = {name: value for name, value in kept.items() if name != "corrected" and value}
    return {
        "lead": before.lead,
        "lead_side": before.lead_side,
        "ball": before.ball,
        "attacking": before.attacking,
        "corrected": bool(said),
        "said": said,
    }


def edition_status(basis: Basis, digest: str, meanings: Mapping[str, str], in_force: str) -> str:
    """Return ``current``, or ``older`` where the edition in force or the meaning of a provision is another now."""
    if basis.edition != in_force:
        return "older"
    if basis.book_digest == digest:
        return "current"
    return "current" if all(meanings.get(m.id) == m.meaning for m in basis.provisions) else "older"
