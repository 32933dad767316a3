"""Measures the printed sheet against a blank page by the same engine."""

from __future__ import annotations

from itertools import count, cycle

from tenbetween.dev.answering import EDITION, different
from tenbetween.dev.figures import Figure, Measured, in_turn, seconds

BLANK = b"#set document(title: sys.inputs.title)\n#pagebreak()"
"""A tagged PDF needs a title; another one each time, so that nothing is taken from the time before."""


def sheets() -> Measured:
    """Measure a PDF sheet, another situation each round, against a blank PDF with the same fonts at hand."""
    import typst

    from tenbetween.book import decide, load_book
    from tenbetween.draw.fonts import FOLDER
    from tenbetween.draw.sheet import sheet_pdf

    book = load_book(EDITION)
    rulings = cycle([decide(book, situation) for situation in different(12)])
    blank = typst.Compiler(BLANK, font_paths=[str(FOLDER)], ignore_system_fonts=True)
    numbers = count()

    def a_sheet() -> float:
        ruling = next(rulings)
        return seconds(lambda: sheet_pdf(ruling, book.title))

    def a_blank() -> float:
        title = {"title": f"blank {next(numbers)}"}
        return seconds(lambda: blank.compile(format="pdf", pdf_standards="ua-1", sys_inputs=title))

    a_sheet()
    value, floor = in_turn(11, a_sheet, a_blank)
    return Measured((Figure("a PDF sheet", value, "s", 0.5, floor_name="blank PDF by the same engine", floor=floor),))
