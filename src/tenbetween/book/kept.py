"""The totals of the counted space that stand in the repository beside each edition, and where they stand.

When a row changes an answer, the kept text no longer agrees with a fresh count and the difference says which
branch moved. Writing the file is left to the one who asks for it; this module only reads.
"""

from __future__ import annotations

from pathlib import Path

from tenbetween.book.check import check, moved, totals_text
from tenbetween.book.load import EDITIONS, load_book
from tenbetween.errors import BookError, Problem


def count_path(edition: str) -> Path:
    """Return where the kept totals of an edition stand.

    >>> count_path("us-hs-2025").name
    'counts.txt'
    """
    return EDITIONS / edition / "counts.txt"


def fresh_totals(edition: str) -> str:
    """Return the totals of an edition counted now, at its default settings, as the text that is kept.

    >>> fresh_totals("fiba-2po").splitlines()[0]
    'edition fiba-2po'
    """
    return totals_text(check(load_book(edition)).totals)


def kept_totals(edition: str) -> str:
    """Return the totals kept for an edition.

    >>> kept_totals("fiba-2po").splitlines()[0]
    'edition fiba-2po'

    Raises:
        BookError: nothing is kept for it, or what is kept cannot be read.
    """
    path = count_path(edition)
    where = f"editions/{edition}/{path.name}"
    try:
        return path.read_text("utf-8")
    except FileNotFoundError:
        raise BookError(
            Problem(
                where,
                "no kept totals",
                "one file of totals per edition",
                "count the edition and keep the result",
            )
        ) from None
    except (OSError, UnicodeDecodeError) as fault:
        raise BookError(
            Problem(
                where, type(fault).__name__, "totals as text", "count the edition again and keep the result"
            )
        ) from None


def moved_since_kept(edition: str) -> tuple[str, ...]:
    """Return which totals of an edition are no longer what is kept, as "row: 10 -> 12"; empty when none moved.

    >>> moved_since_kept("fiba-2po")
    ()

    Raises:
        BookError: nothing is kept for it.
    """
    return moved(kept_totals(edition), fresh_totals(edition))
