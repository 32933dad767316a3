"""What can be handed on from an answer: the sheet, the picture, the one-file page, the text for a phone.

Nothing here leaves the machine by itself.
"""

from __future__ import annotations

from typing import Any

from tenbetween.desk.answers import Shelf, answer, book_for
from tenbetween.errors import UsageError, one_of
from tenbetween.situation import Situation

SHEETS = ("pdf", "svg", "png")


def sheet(
    shelf: Shelf,
    situation: Situation,
    kind: str,
    *,
    line: str = "",
    on: str = "",
    turned: bool = False,
    teams: tuple[str, str] = ("White", "Dark"),
    paper: str = "us-letter",
) -> bytes:
    """Return the printed sheet of one answer as ``pdf``, ``png`` or the drawing as ``svg``.

    Raises:
        UsageError: another kind of sheet.
    """
    if kind not in SHEETS:
        raise UsageError(one_of("kind", kind, SHEETS))
    from tenbetween.draw import sheet as sheets

    ruling, book = answer(shelf, situation), book_for(shelf, situation)
    how: dict[str, Any] = {"line": line, "on": on, "turned": turned, "teams": teams, "paper": paper}
    if kind == "pdf":
        return sheets.sheet_pdf(ruling, book.title, **how)
    if kind == "png":
        return sheets.sheet_png(ruling, book.title, **how)
    return sheets.sheet_svg(ruling, book.title, **how)[0].encode()


def contact_sheet(shelf: Shelf, situations: tuple[Situation, ...], title: str = "", **how: Any) -> bytes:
    """Return many answers, six on a page, as a PDF."""
    from tenbetween.draw.sheet import contact_sheet_pdf

    return contact_sheet_pdf([answer(shelf, s) for s in situations], title, **how)


def one_file(shelf: Shelf, situation: Situation, line: str) -> str:
    """Return the answer as one page that opens on a phone without a server."""
    from tenbetween.draw.share import page_html

    ruling, book = answer(shelf, situation), book_for(shelf, situation)
    return page_html(ruling, book.title, line=line)
