"""The book to read, search, take along and compare: provisions as plain dictionaries, in the order of the lesson.

Knows books, not screens.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from tenbetween.book import Book, Provision, edition_head, lineage, load_book
from tenbetween.book.compare import Change, Comparison
from tenbetween.book.provision import Row
from tenbetween.book.vocabulary import FEATURE_WORDS
from tenbetween.desk.answers import Shelf
from tenbetween.errors import BookError, one_of

GROUPS = (
    "before the ball is given", "where", "giving it", "who", "fouls", "free throws", "starts", "moving", "count and clock",
    "watching", "lines", "places", "time-outs", "interruptions", "signals", "own",
)  # fmt: skip
"""The order in which a class is taught; groups not named here come last."""
SYNONYMS: Mapping[str, str] = {
    "baseline": "end line",
    "half-court line": "division line",
    "halfcourt": "division line",
    "inbound": "throw-in",
    "inbounds": "throw-in",
    "key": "lane",
    "paint": "lane",
    "arc": "arc",
    "three-point": "arc",
    "hash": "28-foot mark",
    "ref": "referee",
    "switch": "exchange",
    "rotate": "exchange",
    "free-throw": "throws",
}
"""Words people search by, and the words the book uses."""


def book_page(book: Book) -> dict[str, Any]:
    """Return a book in short: head, groups of provisions, settings, totals.

    >>> book_page(Shelf().book("us-hs-2025"))["groups"][0]["name"]
    'before the ball is given'
    """
    rows = sum(len(p.rows) for p in book.provisions.values())
    return {
        "id": book.id,
        "title": book.title,
        "layers": [
            {"id": h.id, "title": h.title, "authority": h.authority, "entered": h.entered}
            for h in book.layers
        ],
        "digest": book.digest,
        "note": book.edition.note,
        "groups": [{"name": name, "provisions": [short(p) for p in found]} for name, found in grouped(book)],
        "settings": settings_page(book),
        "totals": f"{len(book.provisions)} provisions, {rows} rows, {len(book.settings)} settings",
    }


def grouped(book: Book) -> list[tuple[str, list[Provision]]]:
    """Return the provisions by group, in the order of the lesson."""
    found: dict[str, list[Provision]] = {}
    for provision in book.provisions.values():
        found.setdefault(provision.group, []).append(provision)
    order = {name: n for n, name in enumerate(GROUPS)}
    return sorted(found.items(), key=lambda pair: (order.get(pair[0], len(order)), pair[0]))


def short(provision: Provision) -> dict[str, Any]:
    """Return what a list says of a provision."""
    fields = ("id", "group", "title", "sentence", "status", "confidence", "layer")
    return {name: getattr(provision, name) for name in fields}


def provision_page(shelf: Shelf, book: Book, id: str) -> dict[str, Any]:
    """Return one provision with its rows and what each older text had of it.

    Raises:
        BookError: no such provision, with the nearest one.
    """
    if id not in book.provisions:
        raise BookError(one_of("provision", id, tuple(book.provisions)))
    one = book.provisions[id]
    more = ("why", "wrong", "said", "signal", "source", "section", "edition", "file", "line")
    return {
        **short(one),
        **{name: getattr(one, name) for name in more},
        "meaning_digest": one.meaning_digest,
        "words_digest": one.words_digest,
        "rows": [row_page(row) for row in one.rows],
        "history": provision_history(book, id),
        "rests": [f"{s.title}: {s.value.replace('_', ' ')} ({s.set_by})" for s in resting_on(book, one)],
    }


def row_page(row: Row) -> dict[str, Any]:
    """Return one row in words."""
    then = "; ".join(f"{k.replace('_', ' ')}: {_value(v)}" for k, v in row.then)
    return {
        "name": row.name,
        "table": row.table,
        "when": "; ".join(f"{FEATURE_WORDS.get(k, k.replace('_', ' '))}: {_any_of(v)}" for k, v in row.when)
        or "always",
        "then": then or (f"not covered: {row.not_covered}" if row.not_covered else "has no meaning here"),
        "overrides": list(row.overrides),
        "because": row.because,
        "where": f"{row.file}:{row.line}",
    }


def _value(value: Any) -> str:
    return " and ".join(value) if isinstance(value, tuple) else str(value).replace("_", " ")


def _any_of(values: Iterable[str]) -> str:
    listed = [v.replace("_", " ") for v in values]
    return " or ".join(listed) if len(listed) <= 6 else f"{', '.join(listed[:5])} or {len(listed) - 5} more"


def provision_history(book: Book, id: str) -> list[dict[str, str]]:
    """Return in which edition or layer a provision was entered, changed or reworded."""
    history, last = [], None
    for edition in lineage(book.id):
        now = load_book(edition).provisions.get(id)
        if now is None:
            continue
        if last is None:
            history.append({"edition": edition_head(edition).title, "change": "first entered"})
        elif now.meaning_digest != last.meaning_digest:
            history.append({"edition": edition_head(edition).title, "change": "meaning changed"})
        elif now.words_digest != last.words_digest:
            history.append({"edition": edition_head(edition).title, "change": "reworded"})
        last = now
    one = book.provisions[id]
    if one.layer:
        history.append(
            {"edition": one.layer, "change": "first entered" if last is None else "changed by this layer"}
        )
    return history


def resting_on(book: Book, provision: Provision) -> list[Any]:
    """Return the settings that rows of a provision rest on."""
    named = {f for row in provision.rows for f, _ in row.when if f in book.settings}
    return [book.settings[name] for name in sorted(named)]


def settings_page(book: Book) -> list[dict[str, Any]]:
    """Return every setting that a row of this book or its spots rest on, with who set it."""
    used = {f for p in book.provisions.values() for r in p.rows for f, _ in r.when} | {
        "tie",
        "end_spot_point",
        "edge",
    }
    fields = ("name", "title", "what", "value", "set_by", "because", "source")
    return [
        {**{f: getattr(s, f) for f in fields}, "values": list(s.values)}
        for s in book.settings.values()
        if s.name in used
    ]


def search(book: Book, text: str) -> list[dict[str, Any]]:
    """Return the provisions that have all words (or what they stand for), best first.

    >>> "give.front-end-line" in [p["id"] for p in search(Shelf().book("us-hs-2025"), "baseline hand")]
    True
    """
    said = text.lower()
    for spoken, written in SYNONYMS.items():
        said = re.sub(rf"\b{re.escape(spoken)}\b", written, said)
    wanted = said.split()
    if not wanted:
        return []
    scored = [(_score(p, wanted), p) for p in book.provisions.values()]
    found = sorted((pair for pair in scored if pair[0]), key=lambda pair: (-pair[0], pair[1].id))
    return [short(p) for _, p in found]


def _score(provision: Provision, wanted: list[str]) -> int:
    title = f"{provision.id} {provision.title}".lower()
    sentence = provision.sentence.lower()
    rest = (
        f"{provision.why} {provision.wrong} {provision.said} {provision.signal} {provision.section}".lower()
    )
    total = 0
    for word in wanted:
        points = 4 * (word in title) + 2 * (word in sentence) + (word in rest)
        if not points:
            return 0
        total += points
    return total


def comparison_page(found: Comparison) -> dict[str, Any]:
    """Return a comparison as a handout: what a rule change moved first, then what follows from it."""
    return {
        "before": found.before,
        "after": found.after,
        "situations": found.situations,
        "changes": [change_page(c) for c in found.changes],
        "only_before": list(found.only_before),
        "only_after": list(found.only_after),
        "reworded": list(found.reworded),
    }


def change_page(change: Change) -> dict[str, Any]:
    """Return one change in words."""
    return {
        "kind": change.kind,
        "part": change.part.replace("_", " "),
        "before": change.before,
        "after": change.after,
        "row_before": change.row_before,
        "row_after": change.row_after,
        "situations": change.count,
        "example": change.words,
        "follows": change.follows,
    }
