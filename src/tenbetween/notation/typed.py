"""Reads a typed situation: the one-line form, the quick form, or the whole sentence, in any order.

Every mistake on the line is told at once, with the nearest right words. Reads into fields first; what is
missing or cannot be true together is for ``needs``.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from difflib import get_close_matches
from typing import Any

from msgspec import Struct

from tenbetween.court import Court
from tenbetween.errors import NotationError, Problem, TenbetweenError
from tenbetween.notation.needs import complaints, floor_court, implied_ball
from tenbetween.notation.phrases import LONGEST, PHRASES, SPELLINGS, Meaning
from tenbetween.notation.places import Distance, Said, resolve
from tenbetween.notation.seasons import EDITION_NAMES, edition_named
from tenbetween.notation.tokens import Token, tokens
from tenbetween.situation import Floor, PointUm, Situation
from tenbetween.units import um, um_from_feet

LONGEST_LINE = 4_000
"""Signs; a longer line is not a situation."""
_KEPT = ("edition", "attacking", "lead_side", "lead_person", "layers", "settings", "floor", "date")
"""What stays from one stoppage to the next; the rest is said each time."""
_FROM = frozenset(("from", "off"))
_LENGTH_UNITS = {"ft": "ft", "feet": "ft", "foot": "ft", "m": "m", "cm": "cm"}


def parse(text: str, *, edition: str | None = None, base: Situation | None = None) -> Situation:
    """Return the situation a line names; ``edition`` and ``base`` stand where the line says nothing.

    >>> parse("out off dark, table 26, white, right, L table", edition="us-hs-2025").at
    (17678400, 0)

    Raises:
        NotationError: everything on the line that cannot be read, is missing or contradicts itself.
    """
    fields, problems = read_fields(text, edition=edition, base=base)
    if not problems:
        if fields.get("ball_to") is None:
            fields["ball_to"] = implied_ball(fields)
        problems = complaints(fields)
    if problems:
        raise NotationError(problems)
    return Situation(**fields)


def read_fields(
    text: str, *, edition: str | None = None, base: Situation | None = None
) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    """Return the fields a line says, and every problem of reading it; whether they are enough is not asked.

    >>> read_fields("travel, dark")[0]
    {'stopped_by': 'violation', 'ball_to': 'other'}
    """
    if len(text) > LONGEST_LINE:
        expected = f"at most {LONGEST_LINE} signs"
        return {}, (
            Problem("line", f"{len(text)} signs", expected, "name one situation, such as table 26, white"),
        )
    reading = _Reading(_kept(base, edition))
    reading.read(tokens(text))
    return reading.finish()


def _kept(base: Situation | None, edition: str | None) -> dict[str, Any]:
    kept = {name: getattr(base, name) for name in _KEPT} if base else {}
    if edition and not kept.get("edition"):
        kept["edition"] = edition
    return {name: value for name, value in kept.items() if value}


class _Heard(Struct):
    """A value that was said, and the words it was said in."""

    value: Any
    text: str


class _Reading:
    """One line on its way into fields; what is heard is kept with its words until the end."""

    def __init__(self, kept: dict[str, Any]) -> None:
        self.kept = kept
        self.heard: dict[str, _Heard] = {}
        self.problems: list[Problem] = []
        self.place = Said(sides=[], ends=[], depths=[], halves=[], distances=[], texts=[])
        self.layers: list[str] = []
        self.settings: dict[str, str] = {}
        self.teams: list[tuple[str, str, Token]] = []
        self.cause_pieces: set[int] = set()
        self.unread: list[Token] = []

    # -- walking along the line ---------------------------------------------------------------------------

    def read(self, line: tuple[Token, ...]) -> None:
        """Take the longest phrase at each place, else what the shape of the token says."""
        n = 0
        while n < len(line):
            n = self.phrase(line, n) or self.shape(line, n)
        self.flush()

    def phrase(self, line: tuple[Token, ...], n: int) -> int:
        """Take the longest phrase here and return where it ends; 0 when there is none."""
        if line[n].kind == "number" and not _phrase_at(line, n):
            return 0
        found = _phrase_at(line, n)
        if found is None:
            return 0
        meaning, end = found
        self.flush()
        self.hear(meaning, line[n:end])
        return end

    def shape(self, line: tuple[Token, ...], n: int) -> int:
        """Take one token by its shape and return where reading goes on."""
        token = line[n]
        if token.kind in ("number", "length"):
            self.flush()
            return self.distance(line, n)
        take: dict[str, Callable[[Token], None]] = {
            "layer": self.layer,
            "date": self.date,
            "season": self.edition,
            "edition": self.edition,
            "setting": self.setting,
            "size": self.size,
            "point": self.point,
        }
        if token.kind in take:
            self.flush()
            take[token.kind](token)
        else:
            self.not_read(token)
        return n + 1

    def not_read(self, token: Token) -> None:
        """Keep a word nobody knows until its neighbours are known, so that they are told together."""
        if self.unread and self.unread[-1].piece != token.piece:
            self.flush()
        self.unread.append(token)

    def flush(self) -> None:
        """Tell the words that could not be read."""
        if self.unread:
            text = " ".join(token.text for token in self.unread)[:80]
            self.problems.append(_not_understood(text, self.unread[0].piece))
            self.unread = []

    # -- one kind of thing each ---------------------------------------------------------------------------

    def hear(self, meaning: Meaning, said: tuple[Token, ...]) -> None:
        """Keep what a phrase says."""
        text, part, value = " ".join(token.text for token in said), meaning.part, meaning.value
        names_team = part in ("off", "team") or (part == "ball_to" and value in ("white", "dark"))
        if part in ("side", "end", "depth", "half"):
            self.hear_place(part, value, text)
        elif names_team:
            self.teams.append((part, value, said[0]))
        elif part == "attacker":
            team, side = value.split()
            self.say("attacker", team, text, said[0])
            self.say("attacking", side, text, said[0])
        elif part in ("bonus", "pressure"):
            self.say(part, value == "yes", text, said[0])
        elif part != "fill":
            self.say(part, value, text, said[0])
        if part == "stopped_by":
            self.cause_pieces.add(said[0].piece)

    def hear_place(self, part: str, value: str, text: str) -> None:
        """Keep one thing said about the place."""
        lists = {"side": self.place.sides, "end": self.place.ends, "depth": self.place.depths}
        lists.get(part, self.place.halves).append(value)
        self.place.texts.append(text)

    def say(self, part: str, value: Any, text: str, token: Token) -> None:
        """Set a part; two different values for one part are a problem."""
        before = self.heard.get(part)
        if before is not None and before.value != value:
            name = part.replace("_", " ")
            found = f"{before.text!r} and {text!r}"
            self.problems.append(
                Problem(f"piece {token.piece}", found, f"one {name}", "take one of the two out")
            )
            return
        self.heard[part] = _Heard(value, text)

    def layer(self, token: Token) -> None:
        """Take a layer."""
        if token.text in self.layers:
            found = f"layer {token.text!r} twice"
            self.problems.append(
                Problem(f"piece {token.piece}", found, "each layer once", "take one of them out")
            )
        self.layers.append(token.text)

    def date(self, token: Token) -> None:
        """Take a day."""
        try:
            date.fromisoformat(token.text)
        except ValueError:
            self.problems.append(
                Problem(
                    f"piece {token.piece}",
                    repr(token.text),
                    "a day of the calendar",
                    "write it like 2025-11-03",
                )
            )
            return
        self.say("date", token.text, token.text, token)

    def edition(self, token: Token) -> None:
        """Take an edition by any of its names."""
        found = edition_named(token.text)
        if found is None:
            near = get_close_matches(token.text, EDITION_NAMES, n=1)
            expected = "an edition: us-hs-2022, us-hs-2023, us-hs-2025, fiba-2po, or a season such as 2025-26"
            do = f"did you mean {near[0]!r}?" if near else "write one of them"
            self.problems.append(Problem(f"piece {token.piece}", repr(token.text), expected, do))
            return
        self.say("edition", found, token.text, token)

    def setting(self, token: Token) -> None:
        """Take a setting."""
        name, _, value = token.text.partition("=")
        if self.settings.setdefault(name, value) != value:
            found = f"{name} twice"
            self.problems.append(
                Problem(f"piece {token.piece}", found, "each setting once", "take one of them out")
            )

    def size(self, token: Token) -> None:
        """Take the size of the floor."""
        length, width = (size.strip() for size in token.text.replace("by", "x").split("x"))
        self.measured(token, lambda: self.take_size(length, width, token))

    def take_size(self, length: str, width: str, token: Token) -> None:
        """Keep the size of the floor."""
        self.say("floor", Floor(um_from_feet(length), um_from_feet(width)), token.text, token)

    def point(self, token: Token) -> None:
        """Take a point as x,y in feet of the court frame."""
        self.measured(token, lambda: self.take_point(token))

    def take_point(self, token: Token) -> None:
        """Keep a point; a second one is a problem when it is another."""
        x, y = (um_from_feet(number) for number in token.text.split(","))
        if self.place.point not in (None, (x, y)):
            self.problems.append(
                Problem("at", repr(token.text), "one place", "take one of the two points out")
            )
        self.place.point = (x, y)
        self.place.texts.append(token.text)

    def measured(self, token: Token, take: Callable[[], None]) -> None:
        """Take something with lengths in it; a length out of all measure is a problem of its piece."""
        try:
            take()
        except TenbetweenError as fault:
            self.problems += [p.under(f"piece {token.piece}") for p in fault.problems]

    def distance(self, line: tuple[Token, ...], n: int) -> int:
        """Take a length with its unit and what it is from; return where reading goes on."""
        end, unit = n + 1, "ft"
        if line[n].kind == "number" and end < len(line) and line[end].text in _LENGTH_UNITS:
            unit, end = _LENGTH_UNITS[line[end].text], end + 1
        part, name, after = _reference(line, end)
        words = " ".join(token.text for token in line[n:after])
        self.measured(line[n], lambda: self.place.distances.append(Distance(_um(line[n], unit), part, name)))
        self.place.texts.append(words)
        return after

    # -- putting together ---------------------------------------------------------------------------------

    def finish(self) -> tuple[dict[str, Any], tuple[Problem, ...]]:
        """Return the fields and all problems."""
        fields = dict(self.kept)
        fields |= {part: heard.value for part, heard in self.heard.items() if part != "attacker"}
        if self.layers:
            fields["layers"] = tuple(self.layers)
        if self.settings:
            fields["settings"] = tuple(sorted(self.settings.items()))
        self.ball(fields)
        self.at(fields)
        return fields, tuple(self.problems)

    def ball(self, fields: dict[str, Any]) -> None:
        """Work out whose ball it is from the teams named."""
        heard = self.heard.get("attacker")
        attacker = heard.value if heard else "white"
        for part, team, token in self.teams:
            value = _team(team, attacker)
            if part == "off":
                value = "other" if value == "same" else "same"
            elif part == "team" and token.piece in self.cause_pieces:
                self.unclear_team(token)
                continue
            said = fields.setdefault("ball_to", value)
            if said != value:
                found = f"{token.text!r}, and before it the ball went the other way"
                do = "say it once, like white, or off dark"
                self.problems.append(
                    Problem(f"piece {token.piece}", found, "one team that gets the ball", do)
                )

    def unclear_team(self, token: Token) -> None:
        """Tell that a team beside a cause can mean two things."""
        expected = f"what {token.text!r} means beside the cause: who did it, or who gets the ball"
        do = f"write 'by {token.text}', or a comma before {token.text}, or '{token.text} ball'"
        self.problems.append(Problem(f"piece {token.piece}", repr(token.text), expected, do))

    def at(self, fields: dict[str, Any]) -> None:
        """Work out the place."""
        if self.place.nothing:
            return
        try:
            court = floor_court(fields.get("edition"), fields.get("floor"))
        except TenbetweenError as fault:
            self.problems += fault.problems
            return
        if self.place.point is None and not fields.get("attacking"):
            self.problems.append(_which_basket())
            return
        found = resolve(self.place, court, fields.get("attacking", "right"))
        if isinstance(found, Problem):
            # a word nobody understood may be the one that is missing here
            self.problems += [] if any(p.where.startswith("piece") for p in self.problems) else [found]
        else:
            fields["at"] = found
            if "stopped_by" not in fields and _on_line(found, court):
                fields["stopped_by"] = "out_of_bounds"  # a place on the line already says why


def _on_line(at: PointUm, court: Court) -> bool:
    return at[0] in (0, court.length) or at[1] in (0, court.width)


def _which_basket() -> Problem:
    return Problem(
        "attacking", "nothing", "left or right", "say which basket the team attacked that had the ball"
    )


def _team(team: str, attacker: str) -> str:
    if team in ("same", "other"):
        return team
    return "same" if team == attacker else "other"


def _phrase_at(line: tuple[Token, ...], n: int) -> tuple[Meaning, int] | None:
    """Return the meaning of the longest phrase at a place and where it ends."""
    for end in range(min(n + LONGEST, len(line)), n, -1):
        part = line[n:end]
        if part[-1].piece != part[0].piece or any(t.kind not in ("word", "number") for t in part):
            continue
        meaning = PHRASES.get(tuple(token.text for token in part))
        if meaning is not None:
            return meaning, end
    return None


def _reference(line: tuple[Token, ...], n: int) -> tuple[str, str, int]:
    """Return what a distance is from, after the word "from", and where reading goes on."""
    if n + 1 >= len(line) or line[n].text not in _FROM:
        return "", "", n
    if line[n + 1].text in ("left", "right") and (_phrase_at(line, n + 1) or (None, 0))[1] == n + 2:
        return "end", line[n + 1].text, n + 2
    found = _phrase_at(line, n + 1)
    if found and found[0].part in ("side", "end"):
        return found[0].part, found[0].value, found[1]
    return "", "", n


def _um(token: Token, unit: str) -> int:
    if token.kind == "number":
        return um_from_feet(token.text) if unit == "ft" else um(f"{token.text} {unit}")
    text = token.text.replace("'", " ft ").replace('"', " in ")
    for long, short in (
        ("feet", "ft"),
        ("foot", "ft"),
        ("inches", "in"),
        ("inch", "in"),
        ("metres", "m"),
        ("meters", "m"),
    ):
        text = text.replace(long, short)
    return um(" ".join(text.split()))


def _not_understood(text: str, piece: int) -> Problem:
    near = get_close_matches(text, SPELLINGS, n=1) or get_close_matches(
        text.split(maxsplit=1)[0], SPELLINGS, n=1
    )
    do = (
        f"did you mean {near[0]!r}?"
        if near
        else "take it out, or write it like: out off dark, table 26, white"
    )
    return Problem(f"piece {piece}", repr(text), "a cause, a place, a team, a side, a role or a setting", do)
