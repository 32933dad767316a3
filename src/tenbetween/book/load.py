"""Loads an edition with its layers into one Book, or says everything that is wrong with it at once.

An edition holds only what differs from the one it is based on; layers (state, association, own) lie on top.
The only room of the house below ``store`` that reads files, and only the book's own text.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from typing import Any, cast

from msgspec import Struct, structs

from tenbetween.book import text as txt
from tenbetween.book import vocabulary as words
from tenbetween.book.provision import (
    Authority,
    EditionHead,
    LayerHead,
    LayerText,
    Provision,
    Row,
    Setting,
    digest,
)
from tenbetween.court.markings import KINDS
from tenbetween.errors import BookError, Problem, one_of

EDITIONS = Path(__file__).with_name("editions")
_RANK = {"state": 0, "association": 1, "own": 2}


class Book(Struct, frozen=True, eq=False):
    """One edition with its layers, read and put together; what ``decide`` looks things up in."""

    edition: EditionHead
    layers: tuple[LayerHead, ...]
    settings: dict[str, Setting]
    provisions: dict[str, Provision]
    groups: dict[str, tuple[str, ...]]
    digest: str

    @property
    def id(self) -> str:
        """Id of the edition."""
        return self.edition.id

    @property
    def title(self) -> str:
        """Title of the edition with its layers, as a sheet prints it."""
        names = [layer.title for layer in self.layers]
        return self.edition.title + (f" with {' and '.join(names)}" if names else "")

    @property
    def court_kind(self) -> str:
        """Which floor the edition is played on."""
        return self.edition.court

    def rows(self, table: str) -> list[tuple[Provision, Row]]:
        """Return every row of one table with the provision that owns it."""
        return [(p, r) for p in self.provisions.values() for r in p.rows if r.table == table]


class _Draft:
    """What is being put together while texts are laid one over the other."""

    def __init__(self) -> None:
        self.settings: dict[str, Setting] = {}
        self.provisions: dict[str, Provision] = {}
        self.groups: dict[str, tuple[str, ...]] = {}
        self.faults: list[Problem] = []
        self.court = ""


def edition_ids() -> tuple[str, ...]:
    """Return the ids of all editions, oldest first: the folder is the list.

    >>> "us-hs-2025" in edition_ids()
    True
    """
    return tuple(sorted(p.name for p in EDITIONS.iterdir() if (p / "edition.toml").is_file()))


@lru_cache(maxsize=64)
def edition_head(edition: str) -> EditionHead:
    """Return the head of one edition.

    >>> edition_head("us-hs-2025").based_on
    'us-hs-2023'

    Raises:
        BookError: no such edition, or its head cannot be read.
    """
    if edition not in edition_ids():
        raise BookError(one_of("edition", edition, edition_ids()))
    where = f"editions/{edition}/edition.toml"
    faults: list[Problem] = []
    parts = txt.read_parts(_read(EDITIONS / edition / "edition.toml", where), where, faults)
    head = next((p for p in parts if p.header == "edition"), None)
    if head is None or faults:
        raise BookError(faults or [Problem(where, "no [edition]", "an [edition] part", "add one")])
    fields = list(EditionHead.__struct_fields__)
    txt.unknown_fields(head, tuple(f.removesuffix("_date") for f in fields), faults)
    needed = ("id", "title", "short", "court")
    given = {f: txt.text_of(head, f.removesuffix("_date"), faults, needed=f in needed) for f in fields}
    if given["id"] != edition:
        faults.append(
            Problem(
                head.at("id"), repr(given["id"]), f"the name of the folder, {edition!r}", "make them the same"
            )
        )
    if given["court"] not in KINDS:
        faults.append(one_of(head.at("court"), given["court"], KINDS))
    if faults:
        raise BookError(faults)
    return EditionHead(**given)


def _read(file: Path, where: str) -> str:
    try:
        return file.read_text("utf-8")
    except UnicodeDecodeError as fault:
        line = file.read_bytes()[: fault.start].count(b"\n") + 1
        raise BookError(
            Problem(
                f"{where}:{line}",
                "bytes that are not UTF-8 text",
                "text saved as UTF-8",
                "save the file again as UTF-8",
            )
        ) from None
    except OSError as fault:
        raise BookError(
            Problem(where, type(fault).__name__, "a file that can be read", "look at the folder")
        ) from None


def editions() -> tuple[EditionHead, ...]:
    """Return the heads of all editions.

    >>> [e.id for e in editions()][-1]
    'us-hs-2025'
    """
    return tuple(edition_head(e) for e in edition_ids())


def edition_on(day: str, court: str = "us-hs") -> str:
    """Return the edition in force on an ISO day; before the first one, the first.

    >>> edition_on("2024-12-01"), edition_on("2026-01-05")
    ('us-hs-2023', 'us-hs-2025')
    """
    heads = [h for h in editions() if h.court == court]
    in_force = [h for h in heads if h.from_date and h.from_date <= day] or heads[:1]
    return max(in_force, key=lambda h: h.from_date).id


def lineage(edition: str) -> tuple[str, ...]:
    """Return an edition and all it builds on, the oldest first.

    >>> lineage("us-hs-2025")
    ('us-hs-2022', 'us-hs-2023', 'us-hs-2025')

    Raises:
        BookError: an edition builds on itself in a circle, or on one that does not exist.
    """
    chain = [edition]
    while base := edition_head(chain[-1]).based_on:
        if base in chain:
            raise BookError(
                Problem(
                    f"editions/{chain[-1]}/edition.toml",
                    f"based_on = {base!r}",
                    "an older edition",
                    "break the circle: " + " > ".join([*chain, base]),
                )
            )
        chain.append(base)
    return tuple(reversed(chain))


def load_book(edition: str, layers: Iterable[LayerText] = ()) -> Book:
    """Return an edition with layers on top, state below association below own.

    >>> load_book("us-hs-2025").settings["backcourt_spots"].value
    'spots_of_that_end'

    Raises:
        BookError: every fault of every text, each with file and line.
    """
    ordered = _in_order(tuple(layers))
    return _load_cached(edition, ordered)


@lru_cache(maxsize=64)
def _load_cached(edition: str, layers: tuple[LayerText, ...]) -> Book:
    draft = _edition_draft(edition)
    heads = tuple(head for layer in layers if (head := _lay_layer(draft, layer, edition)))
    _check_overrides(draft)
    if draft.faults:
        raise BookError(dict.fromkeys(draft.faults))
    return Book(
        edition_head(edition), heads, draft.settings, draft.provisions, draft.groups, _book_digest(draft)
    )


def _edition_draft(edition: str) -> _Draft:
    draft = _Draft()
    draft.court = edition_head(edition).court
    for one in lineage(edition):
        for file in sorted((EDITIONS / one).glob("*.toml"), key=lambda f: (f.name != "edition.toml", f.name)):
            where = f"editions/{one}/{file.name}"
            try:
                text = _read(file, where)
            except BookError as fault:
                draft.faults.extend(fault.problems)
                continue
            _lay(draft, text, where, edition=one)
    return draft


def applies_to(layer: LayerText, edition: str) -> bool:
    r"""Return whether a layer is meant for an edition: ``for`` lists the beginnings of edition ids.

    >>> applies_to(LayerText("k", '[layer]\nid="k"\nauthority="own"\nfor=["us-hs"]\n', "k"), "fiba-2po")
    False
    """
    return _meant_for(layer_head(layer), edition)


def _meant_for(head: LayerHead, edition: str) -> bool:
    return not head.editions or any(edition.startswith(one) for one in head.editions)


@lru_cache(maxsize=8)
def _rows_of_all_editions(court: str) -> frozenset[str]:
    """Every row id of every edition on that floor: a layer may name a row that only some of them have."""
    rows: set[str] = set()
    for head in editions():
        if head.court == court:
            rows |= {f"{p.id}/{r.name}" for p in _edition_draft(head.id).provisions.values() for r in p.rows}
    return frozenset(rows)


def _book_digest(draft: _Draft) -> str:
    meaning = {p.id: p.meaning_digest for p in draft.provisions.values()}
    return digest([meaning, {s.name: s.value for s in draft.settings.values()}])


def _in_order(layers: tuple[LayerText, ...]) -> tuple[LayerText, ...]:
    seen: dict[str, LayerText] = {}
    for layer in layers:
        if layer.id in seen and seen[layer.id] != layer:
            raise BookError(
                Problem(layer.where, f"layer {layer.id!r} twice", "each layer once", "leave one out")
            )
        seen[layer.id] = layer
    return tuple(sorted(seen.values(), key=lambda one: (_rank(one), one.id)))


def _rank(layer: LayerText) -> int:
    """State below association below own; a layer without a sound head comes last and is refused later."""
    try:
        return _RANK[layer_head(layer).authority]
    except BookError:
        return len(_RANK)


@lru_cache(maxsize=256)
def layer_head(layer: LayerText) -> LayerHead:
    r"""Return the head of a layer text.

    >>> layer_head(LayerText("k", '[layer]\nid="k"\ntitle="Memo"\nauthority="state"\n', "k.toml")).title
    'Memo'

    Raises:
        BookError: the layer has no readable ``[layer]`` part.
    """
    faults: list[Problem] = []
    parts = txt.read_parts(layer.text, layer.where, faults)
    head = next((p for p in parts if p.header == "layer"), None)
    if head is None:
        nothing = Problem(
            layer.where, "no [layer] part", "a [layer] with id, title, authority", "add one at the top"
        )
        raise BookError(faults or nothing)
    faults = []  # those of other parts are told when the layer is laid
    read = _read_layer_head(head, layer.id, faults)
    if faults:
        raise BookError(faults)
    return read


def _read_layer_head(head: txt.Part, name: str, faults: list[Problem]) -> LayerHead:
    txt.unknown_fields(head, ("id", "title", "authority", "entered", "from", "to", "for"), faults)
    authority = txt.text_of(head, "authority", faults, needed=True)
    if authority not in words.AUTHORITY:
        faults.append(one_of(head.at("authority"), authority, words.AUTHORITY))
    id_ = txt.text_of(head, "id", faults, needed=True)
    if id_ != name:
        faults.append(
            Problem(head.at("id"), repr(id_), f"the name of the file, {name!r}", "make them the same")
        )
    title = txt.text_of(head, "title", faults, default=id_)
    entered, begins, ends = (txt.text_of(head, field, faults) for field in ("entered", "from", "to"))
    meant = txt.list_of(head, "for", faults)
    return LayerHead(id_, title, cast("Authority", authority), entered, begins, ends, meant)


def _lay_layer(draft: _Draft, layer: LayerText, edition: str) -> LayerHead | None:
    """Lay a layer that is meant for the edition; the body of one with a broken head is read for its faults."""
    try:
        head = layer_head(layer)
    except BookError as fault:
        draft.faults.extend(fault.problems)
        head = LayerHead(layer.id, layer.id, "own")
    if not _meant_for(head, edition):
        return None
    _lay(draft, layer.text, layer.where, layer=head)
    return head


def _lay(draft: _Draft, text: str, where: str, *, edition: str = "", layer: LayerHead | None = None) -> None:
    """Lay one text over the draft, part by part."""
    owner = ""
    for part in txt.read_parts(text, where, draft.faults):
        if part.header == "provision":
            owner = _lay_provision(draft, part, edition, layer)
        elif part.header == "provision.row":
            _lay_row(draft, part, owner, edition, layer)
        elif part.header in _LAYERS_OF_TEXT:
            _LAYERS_OF_TEXT[part.header](draft, part, edition, layer)
        elif part.header not in ("edition", "layer"):
            known = ("edition", "layer", "provision", "provision.row", *_LAYERS_OF_TEXT)
            draft.faults.append(one_of(part.at(), part.header or "text before the first header", known))


def _lay_provision(draft: _Draft, part: txt.Part, edition: str, layer: LayerHead | None) -> str:
    base = draft.provisions.get(str(part.body.get("id", "")))
    made = txt.read_provision(part, base, draft.faults)
    if made is None:
        return ""
    if base and (base.file, base.edition, base.layer) == (part.where, edition, layer.id if layer else ""):
        draft.faults.append(
            Problem(
                part.at("id"),
                repr(made.id),
                "each provision once in a file",
                f"it stands at line {base.line} already",
            )
        )
    draft.provisions[made.id] = structs.replace(
        made, edition=edition or (base.edition if base else ""), layer=layer.id if layer else ""
    )
    return made.id


def _lay_row(draft: _Draft, part: txt.Part, owner: str, edition: str, layer: LayerHead | None) -> None:
    if not owner:
        draft.faults.append(
            Problem(part.at(), "a row", "a [[provision]] above it", "put the row under its provision")
        )
        return
    row = txt.read_row(part, owner, draft.settings, draft.groups, draft.faults)
    if row is None:
        return
    provision = draft.provisions[owner]
    old = next((r for r in provision.rows if r.name == row.name), None)
    if old and (old.file, old.edition) == (row.file, edition):
        draft.faults.append(
            Problem(
                part.at("name"), repr(row.name), "each row name once", f"it stands at line {old.line} already"
            )
        )
    replaces = (*old.replaces, _said_by(old, owner)) if old and (old.layer or layer) else ()
    row = structs.replace(row, edition=edition, layer=layer.id if layer else "", replaces=replaces)
    rows = tuple(r for r in provision.rows if r.name != row.name)
    draft.provisions[owner] = structs.replace(provision, rows=(*rows, row))


def _said_by(row: Row, owner: str) -> str:
    return f"{owner}/{row.name} of {row.layer or row.edition}"


def _lay_setting(draft: _Draft, part: txt.Part, edition: str, layer: LayerHead | None) -> None:
    txt.unknown_fields(
        part, ("name", "title", "what", "values", "default", "source", "confidence"), draft.faults
    )
    name = txt.text_of(part, "name", draft.faults, needed=True)
    values = txt.list_of(part, "values", draft.faults)
    value = txt.text_of(part, "default", draft.faults, needed=True)
    if value not in values:
        draft.faults.append(one_of(part.at("default"), value, values or ("a value",)))
    draft.settings[name] = Setting(
        name,
        txt.text_of(part, "title", draft.faults, default=name),
        txt.text_of(part, "what", draft.faults),
        values,
        value,
        edition or (layer.id if layer else ""),
        txt.text_of(part, "source", draft.faults, default="common practice, no source"),
        txt.text_of(part, "confidence", draft.faults, default="practice"),
    )


def _lay_set(draft: _Draft, part: txt.Part, edition: str, layer: LayerHead | None) -> None:
    txt.unknown_fields(part, ("name", "value", "because"), draft.faults)
    name = txt.text_of(part, "name", draft.faults, needed=True)
    value = txt.text_of(part, "value", draft.faults, needed=True)
    setting = draft.settings.get(name)
    if setting is None:
        draft.faults.append(one_of(part.at("name"), name, tuple(draft.settings) or ("a setting",)))
    elif value not in setting.values:
        draft.faults.append(one_of(part.at("value"), value, setting.values))
    else:
        because = txt.text_of(part, "because", draft.faults)
        set_by = edition or (layer.id if layer else "")
        draft.settings[name] = structs.replace(setting, value=value, set_by=set_by, because=because)


def _lay_withdraw(draft: _Draft, part: txt.Part, edition: str, layer: LayerHead | None) -> None:
    """Take a row out and say why: its place then answers "not covered" with that reason."""
    txt.unknown_fields(part, ("row", "why"), draft.faults)
    owner, _, name = txt.text_of(part, "row", draft.faults, needed=True).partition("/")
    why = txt.text_of(part, "why", draft.faults, needed=True)
    provision = draft.provisions.get(owner)
    row = next((r for r in provision.rows if r.name == name), None) if provision else None
    if (
        (provision is None or row is None)
        and layer
        and f"{owner}/{name}" in _rows_of_all_editions(draft.court)
    ):
        return  # a row this edition does not have: there is nothing to withdraw
    if provision is None or row is None:
        known = [f"{p.id}/{r.name}" for p in draft.provisions.values() for r in p.rows]
        draft.faults.append(one_of(part.at("row"), f"{owner}/{name}", known or ["a row"]))
        return
    by = layer.title if layer else edition
    entered = f", entered {layer.entered}" if layer and layer.entered else ""
    gone = structs.replace(
        row,
        then=(),
        not_covered=f"{by} withdraws {owner}/{name} ({why}{entered}) and puts nothing in its place",
        edition=edition,
        layer=layer.id if layer else "",
        replaces=(*row.replaces, _said_by(row, owner)),
        file=part.where,
        line=part.line,
    )
    rows = tuple(gone if r is row else r for r in provision.rows)
    draft.provisions[owner] = structs.replace(provision, rows=rows)


def _lay_groups(draft: _Draft, part: txt.Part, edition: str, layer: LayerHead | None) -> None:
    for name in part.body:
        draft.groups[name] = txt.list_of(part, name, draft.faults)


_LAYERS_OF_TEXT: dict[str, Any] = {
    "setting": _lay_setting,
    "set": _lay_set,
    "withdraw": _lay_withdraw,
    "groups": _lay_groups,
}


def _check_overrides(draft: _Draft) -> None:
    """Check that each row named as overridden exists, and spell a whole provision out as its rows."""
    tables = {f"{p.id}/{r.name}": r.table for p in draft.provisions.values() for r in p.rows}
    for p in list(draft.provisions.values()):
        rows = tuple(structs.replace(r, overrides=_overridden(draft, p, r, tables)) for r in p.rows)
        draft.provisions[p.id] = structs.replace(p, rows=rows)


def _known_elsewhere(court: str, target: str) -> bool:
    rows = _rows_of_all_editions(court)
    return target in rows or any(row.split("/")[0] == target for row in rows)


def _overridden(draft: _Draft, p: Provision, r: Row, tables: dict[str, str]) -> tuple[str, ...]:
    own, full = f"{p.id}/{r.name}", list[str]()
    for target in r.overrides:
        named = [target] if "/" in target else [t for t in tables if t.split("/")[0] == target]
        meant = [t for t in named if tables.get(t) == r.table and t != own]
        here = any(t in tables for t in named)
        elsewhere = not meant and not here and r.layer and _known_elsewhere(draft.court, target)
        if not meant and not elsewhere:
            known = tuple(t for t, table in tables.items() if table == r.table) or ("a row",)
            draft.faults.append(one_of(f"{r.file}:{r.line} overrides", target, known))
        full += meant
    return tuple(full)
