"""Frozen situations: his agreed answers, run on every edition and layer, with every part that came out otherwise.

The regression list of a trainer: he trusts the book because his own twenty come out right.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from msgspec import Struct, structs

from tenbetween.book import decide, edition_head
from tenbetween.desk.answers import Shelf
from tenbetween.errors import BookError
from tenbetween.situation import Ruling, Situation, as_plain

PARTS = (
    "restart", "spot", "line", "attacking_after", "court_part", "may_run_end_line", "delivery", "administers", "switch",
    "roles_after", "lead_side_after", "stands", "count", "clock_starts", "chop",
)  # fmt: skip


class Run(Struct, frozen=True):
    """What one edition with its layers says to one frozen situation now."""

    edition: str
    short: str
    layers: tuple[str, ...]
    differs: tuple[tuple[str, str, str], ...]
    """Part, agreed, now."""
    problem: str = ""

    @property
    def ok(self) -> bool:
        """True when every agreed part comes out."""
        return not self.differs and not self.problem

    @property
    def says(self) -> str:
        """The differences in words."""
        if self.problem:
            return self.problem
        return (
            "; ".join(f"{part.replace('_', ' ')}: agreed {was}, now {now}" for part, was, now in self.differs)
            or "as agreed"
        )


def agreed_parts(ruling: Ruling) -> dict[str, Any]:
    """Return the parts of a ruling that are frozen with it, as plain values.

    >>> s = Situation(edition="e", attacking="left", stopped_by="injury")
    >>> agreed_parts(Ruling(situation=s, restart="throw_in", switch=False))
    {'restart': 'throw_in', 'switch': False}
    """
    plain = {part: as_plain(getattr(ruling, part)) for part in PARTS}
    return {part: list(v) if isinstance(v, tuple) else v for part, v in plain.items() if v is not None}


def agreed_words(agreed: Mapping[str, Any]) -> str:
    """Return what was agreed in a few words: who gives the ball, how, on which line, and whether they switch.

    >>> agreed_words({"administers": {"was": "lead", "now": "trail"}, "delivery": "bounce", "line": "sideline", "switch": True})
    'lead gives it as trail, bounce, sideline, switch'
    """
    who = agreed.get("administers") or {}
    was, now = who.get("was"), who.get("now")
    if was == "either" and who.get("person"):
        was = who["person"].capitalize()
    said = [] if not who else [f"{now} gives it" if was == now else f"{was} gives it as {now}"]
    said += [_say(agreed[part]) for part in ("delivery", "line") if agreed.get(part) not in (None, "none")]
    if not said and agreed.get("restart"):
        said.append(_say(agreed["restart"]))
    if agreed.get("switch") is not None and agreed.get("roles_after"):
        said.append("switch" if agreed["switch"] else "no switch")
    elif agreed.get("switch"):
        said.append("switch")
    return ", ".join(said)


def run(
    shelf: Shelf,
    situation: Situation,
    agreed: Mapping[str, Any],
    stacks: Iterable[tuple[str, tuple[str, ...]]],
) -> tuple[Run, ...]:
    """Return what each edition with its layers says to a frozen situation, part by agreed part."""
    return tuple(_run_one(shelf, situation, agreed, edition, layers) for edition, layers in stacks)


def _run_one(
    shelf: Shelf, situation: Situation, agreed: Mapping[str, Any], edition: str, layers: tuple[str, ...]
) -> Run:
    short = edition_head(edition).short
    try:
        book = shelf.book(edition, layers)
        kept = tuple((n, v) for n, v in situation.settings if n in book.settings)
        ruling = decide(book, structs.replace(situation, edition=edition, layers=layers, settings=kept))
    except BookError as fault:
        return Run(edition, short, layers, (), str(fault.problems[0]))
    now = agreed_parts(ruling)
    differs = [
        (p, _say(was), _say(now.get(p))) for p, was in agreed.items() if _plain(was) != _plain(now.get(p))
    ]
    return Run(edition, short, layers, tuple(differs))


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def _say(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return ", ".join(f"{k.replace('_', ' ')} {_say(v)}" for k, v in value.items())
    if isinstance(value, list | tuple):
        points = all(isinstance(v, int) for v in value)
        return (" by " if points else " and ").join(_say(v) for v in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return (
        f"{value / 304_800:g} ft"
        if isinstance(value, int) and abs(value) > 1000
        else str(value).replace("_", " ")
    )
