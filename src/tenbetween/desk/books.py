"""Looking after the book: list, check, compare, and the first text of a new layer or edition.

Hands texts back; whoever asked writes them.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable
from typing import Any

from tenbetween.book import Book, edition_head, editions, load_book
from tenbetween.book.check import Report, check, moved, totals_text
from tenbetween.book.compare import Comparison, compare
from tenbetween.book.vocabulary import AUTHORITY
from tenbetween.desk.answers import Shelf
from tenbetween.errors import BookError, Problem, one_of


def book_list(shelf: Shelf) -> list[dict[str, Any]]:
    """Return every edition in short: id, title, from when, how many provisions and rows, digest.

    >>> [b["id"] for b in book_list(Shelf())][-1]
    'us-hs-2025'
    """
    return [_in_short(load_book(head.id)) for head in editions()]


def _in_short(book: Book) -> dict[str, Any]:
    head = book.edition
    return {
        "id": head.id,
        "title": head.title,
        "short": head.short,
        "based_on": head.based_on,
        "from": head.from_date,
        "to": head.to_date,
        "provisions": len(book.provisions),
        "rows": sum(len(p.rows) for p in book.provisions.values()),
        "settings": {
            s.name: {"value": s.value, "values": list(s.values), "set_by": s.set_by}
            for s in book.settings.values()
        },
        "digest": book.digest,
        "note": head.note,
    }


def check_book(
    shelf: Shelf,
    edition: str,
    layers: Iterable[str] = (),
    *,
    each_setting: bool = False,
    progress: Callable[[str], None] | None = None,
) -> Report:
    """Return what is wrong with a book over its counted space.

    Raises:
        BookError: the text has faults of its own.
    """
    return check(shelf.book(edition, layers), each_setting=each_setting, progress=progress)


def report_page(report: Report) -> dict[str, Any]:
    """Return a report as plain values: totals, and findings largest first."""
    return {
        "edition": report.totals.edition,
        "good": report.good,
        "situations": report.totals.situations,
        "situations_asked": report.situations_asked,
        "settings_tried": report.settings_tried,
        "digest": report.totals.digest,
        "decided": report.totals.decided,
        "findings": [
            {"situations": f.count, "kind": f.kind, "says": f.says, "where": f.where, "example": f.example}
            for f in report.findings
        ],
    }


def what_moved(report: Report, kept: str) -> tuple[str, ...]:
    """Return which totals moved against the kept ones."""
    return moved(kept, totals_text(report.totals))


def compare_books(shelf: Shelf, before: str, after: str, layers: Iterable[str] = ()) -> Comparison:
    """Return what changed between two editions, with the same layers on both.

    Raises:
        BookError: an edition that is not there, or two floors.
    """
    named = tuple(layers)
    return compare(shelf.book(before, named), shelf.book(after, named))


def new_layer(id: str, title: str, authority: str, entered: str) -> str:
    """Return the first text of a layer.

    >>> new_layer("k-24", "Memo K-24", "state", "2025-11-03").splitlines()[0]
    '[layer]'

    Raises:
        BookError: an id or authority that cannot be.
    """
    problems = [] if _good_id(id) else [_id_problem("layer", id)]
    if authority not in AUTHORITY:
        problems.append(one_of("authority", authority, AUTHORITY))
    if problems:
        raise BookError(problems)
    head = {"id": id, "title": title or id, "authority": authority}
    lines = [
        "[layer]",
        *(f"{name} = {json.dumps(value, ensure_ascii=False)}" for name, value in head.items()),
    ]
    lines += [f"entered = {entered}", 'for = ["us-hs"]', "", *_EXAMPLE]
    return "\n".join(lines) + "\n"


_EXAMPLE = (
    "# Set what your people do otherwise:",
    "# [[set]]",
    '# name = "chop"',
    '# value = "administering_only"',
    "#",
    "# Take a row out until your interpreter has ruled:",
    "# [[withdraw]]",
    '# row = "who.end-line-far/partners-exchange"',
    '# why = "until the area meeting"',
)


def new_edition(id: str, title: str, based_on: str, from_date: str) -> str:
    """Return the first text of a new edition: it holds only what differs from the one it is based on.

    >>> 'based_on = "us-hs-2025"' in new_edition("us-hs-2026", "U.S. high school 2026-27", "us-hs-2025", "2026-07-01")
    True

    Raises:
        BookError: an id that cannot be, or nothing to be based on.
    """
    if not _good_id(id):
        raise BookError(_id_problem("edition", id))
    head = edition_head(based_on)
    values = {
        "id": id,
        "title": title or id,
        "short": title.rsplit(" ", 1)[-1] if title else id,
        "based_on": based_on,
        "court": head.court,
    }
    lines = [
        "[edition]",
        *(f"{name} = {json.dumps(value, ensure_ascii=False)}" for name, value in values.items()),
    ]
    return "\n".join([*lines, f"from = {from_date}", 'note = ""']) + "\n"


def _good_id(id: str) -> bool:
    return bool(re.match(r"^[a-z0-9][a-z0-9-]{0,40}$", id))


def _id_problem(what: str, id: str) -> Problem:
    return Problem(
        f"{what} id",
        repr(id)[:60],
        "small letters, digits and hyphens, such as memo-12",
        "choose another name",
    )
