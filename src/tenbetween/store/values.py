"""What can be saved: frozen values of each kind, and what each of them rests on.

Knows the names, sizes and forms of what is kept, not where it is kept. A value is handed in as its struct
or as a mapping with the same names; every fault is named at once. A new kind is one struct here, one line
in ``KINDS`` and one migration.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Annotated, Any, Literal, TypeVar

import msgspec
from msgspec import Meta, Struct

from tenbetween.errors import Problem, StoreError, one_of
from tenbetween.store import ids
from tenbetween.store.film_values import (
    Anchor,
    Clip,
    Film,
    Judged,
    Listening,
    Mark,
    Pointer,
    Standing,
    Withdrawal,
    clip_faults,
    film_faults,
    mark_faults,
    timed_faults,
    withdrawal_faults,
)  # fmt: skip
from tenbetween.store.forms import (
    Day,
    Json,
    LongText,
    Name,
    ObjectId,
    Words,
    brief,
    day_faults,
    json_faults,
    name_faults,
    sort_of,
)


class ProvisionMark(Struct, frozen=True, forbid_unknown_fields=True):
    """A provision as it stood when something was saved: its id and the digests of its meaning and its
    words.
    """

    id: Name
    meaning: Words = ""
    words: Words = ""


class Basis(Struct, frozen=True, kw_only=True):
    """What a saved thing rests on, so that a later change of the book can find it.

    >>> Basis(edition="us-hs-2025").layers
    ()
    """

    line: Annotated[str, Meta(max_length=2_000)] = ""
    """The situation in one line."""
    edition: Annotated[str, Meta(max_length=200)] = ""
    layers: tuple[Name, ...] = ()
    settings: tuple[tuple[Name, Words], ...] = ()
    """Settings that differ from their default, sorted by name."""
    book_digest: Annotated[str, Meta(max_length=200)] = ""
    provisions: tuple[ProvisionMark, ...] = ()


class Answer(Struct, frozen=True, kw_only=True):
    """A saved answer; the situation stands in its basis."""

    title: Name
    ruling: Json
    note: Words = ""


class Stamp(Struct, frozen=True, kw_only=True):
    """An answer confirmed by a person, on a day, with a memo."""

    answer: ObjectId
    confirmed_by: Name
    on: Day
    memo: Words = ""


class Advice(Struct, frozen=True, kw_only=True):
    """What somebody said about one line or provision; advice that differs stands side by side."""

    said_by: Name
    on: Day
    what: Annotated[str, Meta(min_length=1, max_length=20_000)]
    source: Words = ""
    provision: Annotated[str, Meta(max_length=200)] = ""
    status: Literal["open", "settled"] = "open"
    settled_how: Words = ""


class Frozen(Struct, frozen=True, kw_only=True):
    """A frozen situation with the agreed answer: parts of a ruling that must come out on every edition
    and layer.
    """

    title: Name
    expected: Json
    note: Words = ""


class Layer(Struct, frozen=True, kw_only=True):
    """The text of one layer file; its id is the name of the file in ``layers/``."""

    text: LongText


class Official(Struct, frozen=True, kw_only=True):
    """A named official; ``short`` is what fits beside a mark on the court."""

    name: Name
    short: Annotated[str, Meta(max_length=20)] = ""
    active: bool = True


class Crew(Struct, frozen=True, kw_only=True):
    """Exactly two officials: the referee and the umpire of a game, by their ids."""

    referee: ObjectId
    umpire: ObjectId
    title: Words = ""


class Game(Struct, frozen=True, kw_only=True):
    """A walked game: its stoppages as CSV text and the walk as JSON."""

    title: Name
    date: Day
    stoppages: LongText
    result: Json = Json()


class Play(Struct, frozen=True, kw_only=True):
    """A play under the name the trainer gave it, as open JSON; the formation is empty for one of his own."""

    title: Name
    play: Json
    formation: Annotated[str, Meta(max_length=200)] = ""


class Setting(Struct, frozen=True, kw_only=True):
    """One of the trainer's own settings; its id is the name of the setting."""

    value: Words


Value = (
    Answer | Stamp | Advice | Frozen | Layer | Official | Crew | Game | Play | Setting
    | Film | Mark | Anchor | Standing | Pointer | Clip | Listening | Judged | Withdrawal
)  # fmt: skip
V = TypeVar("V", bound=Struct)
Check = Callable[[Any, Basis], Iterator[Problem]]


class Kind(Struct, frozen=True, kw_only=True):
    """One kind of saved thing: its name, its struct, and what must hold for it."""

    name: str
    value: type[Any]
    id_pattern: str = ids.PATTERN
    """How its ids look: made by the store, or a name chosen by the trainer."""
    named: bool = False
    refers: tuple[tuple[str, str], ...] = ()
    """Fields that hold the id of a thing of another kind."""
    must_rest_on: tuple[str, ...] = ()
    """Parts of the basis that may not be empty."""
    check: Check | None = None


def _stamp_faults(value: Stamp, basis: Basis) -> Iterator[Problem]:
    yield from day_faults(value.on, "on")


def _advice_faults(value: Advice, basis: Basis) -> Iterator[Problem]:
    yield from day_faults(value.on, "on")
    if not (value.provision or basis.line):
        yield Problem(
            "provision", "no line and no provision", "what the advice is about", "name one of the two"
        )


def _game_faults(value: Game, basis: Basis) -> Iterator[Problem]:
    yield from day_faults(value.date, "date")


def _crew_faults(value: Crew, basis: Basis) -> Iterator[Problem]:
    if value.referee == value.umpire:
        yield Problem("umpire", "the same official twice", "two different officials", "choose another one")


def _frozen_faults(value: Frozen, basis: Basis) -> Iterator[Problem]:
    if not isinstance(value.expected.data(), dict) or not value.expected.data():
        yield Problem(
            "expected",
            value.expected.text[:80],
            "at least one part of an answer by name",
            "say what must come out",
        )


def _play_faults(value: Play, basis: Basis) -> Iterator[Problem]:
    play = value.play.data()
    if not isinstance(play, dict) or not isinstance(play.get("steps"), list) or not play["steps"]:
        yield Problem("play", value.play.text[:80], "a play with its steps", "hand in the whole play")


_OF_FILM = (("film", "film"),)
_IN_FULL = ("line", "edition", "book_digest")
FILE_NAME = r"^(?!(con|prn|aux|nul|com\d|lpt\d)(\.|\Z))[a-z0-9][a-z0-9_.-]{0,62}(?<!\.)\Z"
"""A layer id is also a file name: no path, no leading dot, no name some system keeps for itself."""

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(name="answer", value=Answer, must_rest_on=_IN_FULL),
        Kind(
            name="stamp",
            value=Stamp,
            refers=(("answer", "answer"),),
            must_rest_on=_IN_FULL,
            check=_stamp_faults,
        ),
        Kind(name="advice", value=Advice, check=_advice_faults),
        Kind(name="frozen", value=Frozen, must_rest_on=_IN_FULL, check=_frozen_faults),
        Kind(name="layer", value=Layer, named=True, id_pattern=FILE_NAME),
        Kind(name="official", value=Official),
        Kind(
            name="crew",
            value=Crew,
            refers=(("referee", "official"), ("umpire", "official")),
            check=_crew_faults,
        ),
        Kind(name="game", value=Game, must_rest_on=("edition", "book_digest"), check=_game_faults),
        Kind(name="play", value=Play, check=_play_faults),
        Kind(name="film", value=Film, check=film_faults),
        Kind(name="mark", value=Mark, refers=_OF_FILM, check=mark_faults),
        Kind(name="anchor", value=Anchor, refers=_OF_FILM, check=timed_faults),
        Kind(name="standing", value=Standing, refers=_OF_FILM, check=timed_faults),
        Kind(name="pointer", value=Pointer, refers=_OF_FILM),
        Kind(name="clip", value=Clip, refers=_OF_FILM, check=clip_faults),
        Kind(name="listening", value=Listening, refers=_OF_FILM),
        Kind(name="judged", value=Judged, refers=(("listening", "listening"),)),
        Kind(name="withdrawal", value=Withdrawal, refers=_OF_FILM, check=withdrawal_faults),
        Kind(name="setting", value=Setting, named=True, id_pattern=r"^[a-z][a-z0-9_.-]{0,62}\Z"),
    )
}


def kind_of(kind: str | type[Struct]) -> Kind:
    """Return a kind by its name or its struct.

    >>> kind_of("crew").value is Crew, kind_of(Crew).name
    (True, 'crew')

    Raises:
        StoreError: there is no such kind.
    """
    found = KINDS.get(kind) if isinstance(kind, str) else None
    if isinstance(kind, type):
        found = next((each for each in KINDS.values() if each.value is kind), None)
    if found is None:
        raise StoreError(one_of("kind", kind if isinstance(kind, str) else repr(kind), tuple(KINDS)))
    return found


def plain(value: Struct) -> dict[str, Any]:
    """Return a value as a mapping ready for JSON.

    >>> plain(Setting(value="ft"))
    {'value': 'ft'}
    """
    return {name: _plain_part(getattr(value, name)) for name in value.__struct_fields__}


def _plain_part(part: object) -> object:
    if isinstance(part, Json):
        return part.data()
    return msgspec.to_builtins(part)


def read(form: type[V], given: object, where: str, unknown: dict[str, Any] | None = None) -> V:
    """Return a value of the form from its struct or a mapping; names it does not know go into ``unknown``.

    >>> read(Setting, {"value": "ft"}, "setting").value
    'ft'

    Raises:
        StoreError: fields are missing, of a wrong type, too large or (without ``unknown``) not known.
    """
    names = _as_mapping(form, given, where)
    fields = {field.name: field for field in msgspec.structs.fields(form)}
    faults: list[Problem] = []
    kept: dict[str, Any] = {}
    for name, part in names.items():
        if name not in fields:
            faults += _put_aside(name, part, where, tuple(fields), unknown)
            continue
        try:
            kept[name] = _read_part(fields[name].type, part, f"{where}.{name}")
        except StoreError as fault:
            faults += fault.problems
    faults += [
        _missing(where, name) for name, field in fields.items() if field.required and name not in names
    ]
    if faults:
        raise StoreError(faults)
    return form(**kept)


def _as_mapping(form: type[Struct], given: object, where: str) -> Mapping[str, Any]:
    if isinstance(given, form):
        return {name: getattr(given, name) for name in given.__struct_fields__}
    if isinstance(given, Mapping):
        return given
    found = sort_of(given)
    raise StoreError(
        Problem(where, found, f"a {form.__name__} or its fields by name", f"hand in {form.__name__}(...)")
    )


def _put_aside(
    name: object, part: object, where: str, known: tuple[str, ...], unknown: dict[str, Any] | None
) -> list[Problem]:
    faults = [*name_faults(name, where), *json_faults(part, f"{where}.{name}", 0)]
    if unknown is None:
        faults.append(one_of(where, name, known))
    elif not faults:
        unknown[str(name)] = part
    return faults


def _missing(where: str, name: str) -> Problem:
    return Problem(f"{where}.{name}", "nothing", "a value", f"add {name}")


def _read_part(form: Any, part: object, where: str) -> Any:
    if form is Json:
        return Json.of(_json_data(part, where), where)
    if isinstance(part, Mapping) and form is not str:  # settings are written as {name: value}
        part = sorted(part.items(), key=str)
    if isinstance(part, list | tuple):
        part = [plain(each) if isinstance(each, Struct) else each for each in part]
    try:
        read_part = msgspec.convert(part, form, strict=True)
    except (msgspec.ValidationError, TypeError, RecursionError, OverflowError, ValueError) as fault:
        raise StoreError(_type_fault(part, where, fault)) from fault
    faults = tuple(json_faults(msgspec.to_builtins(read_part), where, 0))
    if faults:
        raise StoreError(faults)
    return read_part


def _json_data(part: object, where: str) -> object:
    if not isinstance(part, Json):
        return part
    try:
        return part.data()
    except (TypeError, ValueError, RecursionError) as fault:
        raise StoreError(
            Problem(where, str(part.text)[:60], "JSON text", "make it with Json.of(...)")
        ) from fault


_IN_WORDS = (
    (f"`str` matching regex {ids.PATTERN!r}", f"an id of {ids.LENGTH} letters and digits"),
    ("`str` matching regex " + repr(r"^\d{4}-\d{2}-\d{2}\Z"), "a day as 2025-11-30"),
    ("of length >= 1", "that is not empty"),
    ("of length <=", "with a number of signs up to"),
    ("`str`", "text"),
    ("`bool`", "true or false"),
    ("`int`", "a whole number"),
    ("`array`", "a list"),
    ("`object`", "named fields"),
)


def _type_fault(part: object, where: str, fault: Exception) -> Problem:
    expected, _, inner = str(fault).removeprefix("Expected ").partition(" - at ")
    expected = expected.partition(", got")[0]
    for code, words in _IN_WORDS:
        expected = expected.replace(code, words)
    return Problem(where + inner.strip("`$"), brief(part), expected, "write it in that form")


def read_name(given: object, where: str) -> str:
    """Return the name of a person, not empty and of at most 200 signs.

    >>> read_name("Wendell Thackrow", "by")
    'Wendell Thackrow'

    Raises:
        StoreError: it is not.
    """
    return str(_read_part(Name, given, where))


def read_basis(given: object, where: str, unknown: dict[str, Any] | None = None) -> Basis:
    """Return a basis from its struct or a mapping, settings in order of their names.

    >>> read_basis({"settings": {"tie": "lead", "edge": "inside"}}, "basis").settings[0]
    ('edge', 'inside')

    Raises:
        StoreError: as ``read`` does.
    """
    basis = read(Basis, given, where, unknown)
    names = [name for name, _ in basis.settings]
    if len(set(names)) < len(names):
        raise StoreError(
            Problem(f"{where}.settings", brief(names), "each setting once", "leave the double one out")
        )
    return msgspec.structs.replace(basis, settings=tuple(sorted(basis.settings)))


def faults_of(kind: Kind, value: Struct, basis: Basis) -> tuple[Problem, ...]:
    """Return everything that must hold for this kind and does not."""
    missing = tuple(
        Problem(
            f"{kind.name}.basis.{name}",
            "nothing",
            f"the {name.replace('_', ' ')} it rests on",
            "hand in the full basis",
        )
        for name in kind.must_rest_on
        if not getattr(basis, name)
    )
    special = tuple(kind.check(value, basis)) if kind.check else ()
    return missing + tuple(problem.under(kind.name) for problem in special)
