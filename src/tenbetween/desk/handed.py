"""What can be handed on from an answer: the sheet, the picture, the one-file page, the text for a phone.

Nothing here leaves the machine by itself.
"""

from __future__ import annotations

from typing import Any

from tenbetween.desk.answers import Shelf, answer, book_for
from tenbetween.errors import UsageError, one_of
from tenbetween.situation import Situation

SHEETS = ("pdf", "svg", "png")


def sheet(shelf: Shelf, situation: Situation, kind: str, **how: Any) -> bytes:
    """Return the printed sheet of one answer as ``pdf``, ``svg`` or ``png``.

    Raises:
        UsageError: another kind of sheet.
    """
    if kind not in SHEETS:
        raise UsageError(one_of("kind", kind, SHEETS))
    from tenbetween.draw import sheet as sheets

    ruling, book = answer(shelf, situation), book_for(shelf, situation)
    make = {"pdf": sheets.sheet_pdf, "svg": sheets.sheet_svg, "png": sheets.sheet_png}[kind]
    made = make(ruling, book_title=book.title, **how)
    return made.encode() if isinstance(made, str) else made


def one_file(shelf: Shelf, situation: Situation, line: str) -> str:
    """Return the answer as one page that opens on a phone without a server."""
    from tenbetween.draw import share

    ruling, book = answer(shelf, situation), book_for(shelf, situation)
    return share.one_file_page(ruling, book_title=book.title, line=line)
