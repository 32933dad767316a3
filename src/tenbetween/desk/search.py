"""Marks found again: by words, situation, duty, role, side, verdict, person, tag, provision, edition; right first.

The trade's own words and those other people use ("baseline") find the same. Counts nothing and ranks nobody: what
comes first is what was done right, because that is what a class should see first.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from tenbetween.desk.duties import VERDICTS, person_for, title_of
from tenbetween.desk.library import SYNONYMS
from tenbetween.desk.marks import attributed
from tenbetween.desk.measures import kind_of
from tenbetween.draw.phrases import CAUSE_WORDS
from tenbetween.errors import Problem, UsageError, one_of
from tenbetween.notation.phrases import opened
from tenbetween.situation import CAUSES, other_side

if TYPE_CHECKING:
    from tenbetween.desk.marked_film import MarkedFilm

Json = dict[str, Any]
People = Mapping[str, str]
"""Names of officials by id."""
CHOICES: Mapping[str, tuple[str, ...]] = {
    "stopped_by": CAUSES,
    "role": ("lead", "trail"),
    "side": ("table", "opposite"),
    "verdict": VERDICTS,
    "line": ("end_line", "sideline", "division_line"),
    "court_part": ("frontcourt", "backcourt"),
    "restart": ("throw_in", "free_throws", "jump_ball", "play_goes_on"),
    "edition": ("current", "older", "changed"),
    "closed": ("yes", "no"),
}
FREE = ("words", "text", "film", "duty", "person", "tag", "tags", "provision", "kind")
FAR_FROM = re.compile(r"[\d.]+ (ft|m)( [\d.]+ in)? from the [a-z -]*line")
"""How far a spot is from a line says nothing of that line; nobody looks for it by these words."""
ALSO = {"edition_status": "edition", "tags": "tag", "text": "words"}
"""Other names for the same thing."""


def search(films: Iterable[MarkedFilm], query: Mapping[str, Any], people: People) -> list[Json]:
    """Return the marks that fit everything asked for, right examples first, then by film and time.

    Raises:
        UsageError: every filter nobody knows and every word that is not one of its words.
    """
    asked = read_query(query)
    found: list[tuple[tuple[Any, ...], Json]] = []
    for there in films:
        if asked.get("film", there.film.id) != there.film.id:
            continue
        for n in range(len(there.marks)):
            hit = _Mark(there, n, people)
            if hit.fits(asked):
                page = {**there.page(hit.mark.id), "film_title": there.film.value.title}
                key = (hit.rightness(), there.film.value.date, there.film.value.title, there.seconds[n])
                found.append((key, {**page, "matched": hit.matched}))
    return [page for _, page in sorted(found, key=lambda pair: pair[0])]


def read_query(query: Mapping[str, Any]) -> dict[str, str]:
    """Return what is asked for, by the names used here; what is empty is left out.

    >>> read_query({"edition_status": "changed", "words": " "})
    {'edition': 'older'}

    Raises:
        UsageError: every filter nobody knows and every word that is not one of its words.
    """
    asked: dict[str, str] = {}
    faults: list[Problem] = []
    for name, value in query.items():
        value = value.strip() if isinstance(value, str) else value
        if value in (None, ""):
            continue
        right = ALSO.get(name, name)
        if right not in CHOICES and right not in FREE:
            faults.append(one_of("search", name, (*CHOICES, *FREE)))
        elif not isinstance(value, str):
            faults.append(Problem(name, repr(value)[:40], "text", "send it in quotes"))
        elif right in CHOICES and value not in CHOICES[right]:
            faults.append(one_of(name, value, CHOICES[right]))
        else:
            asked[right] = "older" if value == "changed" else value
    if faults:
        raise UsageError(faults)
    return asked


class _Mark:
    """One mark being looked at."""

    def __init__(self, there: MarkedFilm, n: int, people: People) -> None:
        self.there, self.mark, self.one = there, there.marks[n], there.carried[n]
        self.people = people
        self.verdicts = [attributed(one, self.one) for one in self.mark.value.duties.data()]
        self.matched: list[str] = []

    def fits(self, asked: Mapping[str, str]) -> bool:
        """Whether everything asked for is so; notes which verdicts fit."""
        checks: dict[str, Callable[[str], bool]] = {
            "stopped_by": lambda v: self.mark.value.situation.data().get("stopped_by") == v,
            "line": lambda v: self.one.ruling is not None and self.one.ruling.line == v,
            "court_part": lambda v: self.one.ruling is not None and self.one.ruling.court_part == v,
            "restart": lambda v: self.one.ruling is not None and self.one.ruling.restart == v,
            "kind": lambda v: kind_of(self.one.ruling) == v,
            "closed": lambda v: self.mark.value.closed == (v == "yes"),
            "tag": lambda v: v.lower() in [tag.lower() for tag in self.mark.value.tags.data()],
            "edition": lambda v: self.there.status(self.mark) == v,
            "provision": self._rests_on,
            "words": self._says,
        }
        if not all(checks[name](value) for name, value in asked.items() if name in checks):
            return False
        return self._seen(asked)

    def _seen(self, asked: Mapping[str, str]) -> bool:
        """Whether some verdict fits duty, verdict, person and role; without duty and verdict, who was there."""
        persons = self._persons(asked.get("person", ""))
        if persons == ():
            return False
        if "duty" in asked or "verdict" in asked or "crew" in (persons or ()):
            hits = [one for one in self.verdicts if self._verdict_fits(one, asked, persons)]
            self.matched = [one["duty"] for one in hits]
            return bool(hits)
        role, side = asked.get("role"), asked.get("side")
        if role and persons and self._has(role) not in persons:
            return False
        return side is None or side == self._side(role)

    def _verdict_fits(
        self, one: Mapping[str, Any], asked: Mapping[str, str], persons: tuple[str, ...] | None
    ) -> bool:
        role = asked.get("role")
        return (
            (("duty" not in asked) or self._is_duty(one["duty"], asked["duty"]))
            and asked.get("verdict", one["verdict"]) == one["verdict"]
            and (persons is None or one["who"] in persons)
            and (role is None or person_for(role, one["duty"], self.one) == one["who"])
            and ("side" not in asked or asked["side"] == self._side(role))
        )

    def _is_duty(self, duty: str, asked: str) -> bool:
        title = title_of(duty, self.there.book)
        return duty == asked or set(spoken(asked)) <= set(spoken(f"{title} {duty}"))

    def _has(self, role: str) -> str:
        """Who had a role when play stopped."""
        return (self.one.before.lead if role == "lead" else self.one.before.trail) or ""

    def _side(self, role: str | None) -> str | None:
        """The side a role was on when play stopped; without a role, the lead's."""
        side = self.one.before.lead_side
        return other_side(side) if side and role == "trail" else side

    def _persons(self, asked: str) -> tuple[str, ...] | None:
        """Who of this film is meant: None for anybody, empty for nobody here."""
        if not asked:
            return None
        if asked in ("referee", "umpire", "crew"):
            return (asked,)
        crew = self.there.film.value.crew.data()
        wanted = asked.lower()
        return tuple(
            slot
            for slot, id_ in sorted(crew.items())
            if id_ == asked or wanted in self.people.get(id_, str(id_)).lower()
        )

    def _rests_on(self, provision: str) -> bool:
        ruling = self.one.ruling
        live = {reason.provision for reason in ruling.reasons} | set(ruling.duties) if ruling else set()
        ticked = {one["provision"] for one in self.verdicts}
        return provision in live | ticked | {mark.id for mark in self.mark.basis.provisions}

    def _says(self, text: str) -> bool:
        return all(any(word.startswith(asked) for word in self._spoken()) for asked in spoken(text))

    def _spoken(self) -> frozenset[str]:
        said = self.there.spoken.get(self.mark.id)
        if said is None or said[0] != (self.mark.version, self.one):
            said = ((self.mark.version, self.one), frozenset(spoken(self._text())))
            self.there.spoken[self.mark.id] = said
        return said[1]

    def _text(self) -> str:
        value, film = self.mark.value, self.there.film.value
        why = value.situation.data().get("stopped_by", "")
        crew = [self.people.get(id_, "") for id_ in film.crew.data().values()]
        duties = [f"{title_of(v['duty'], self.there.book)} {v['verdict']} {v['note']}" for v in self.verdicts]
        answer = FAR_FROM.sub("", self.there.sentence(self.one))
        said = [CAUSE_WORDS.get(why, why.replace("_", " ")), answer, kind_of(self.one.ruling)]
        return " ".join([*said, value.note, *value.tags.data(), *duties, film.title, film.level, *crew])

    def rightness(self) -> int:
        """0 where all that fits was done right, 1 where some of it was, 2 where it was not, 3 where nobody can say."""
        looked = [one for one in self.verdicts if not self.matched or one["duty"] in self.matched]
        yes, no = (any(one["verdict"] == word for one in looked) for word in ("yes", "no"))
        return (1 if no else 0) if yes else (2 if no else 3)


def spoken(text: str) -> Sequence[str]:
    """Return a text as plain words, those of other people turned into the trade's.

    >>> spoken("The Baseline throw-in")
    ('end', 'line', 'throw', 'in')
    """
    lower = text.lower()
    for said, right in SYNONYMS.items():
        if said in lower and said != right:
            lower = " ".join(right if word == said else word for word in lower.split())
    return opened("".join(sign if sign.isalnum() or sign in "-'" else " " for sign in lower))
