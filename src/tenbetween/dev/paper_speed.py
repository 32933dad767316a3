"""Measures the printed sheet against a blank page by the same engine."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count, cycle
from pathlib import Path
from typing import Any

from tenbetween.dev.answering import EDITION, LINE, different, run
from tenbetween.dev.figures import Figure, Measured, in_turn, seconds

BLANK = "#set document(title: sys.inputs.title)\n#pagebreak()"
"""A tagged PDF needs a title; another one each time, so that nothing is taken from the time before."""


def sheets() -> Measured:
    """Measure a PDF sheet, another situation each round, against a blank PDF with the same fonts at hand."""
    from tenbetween.book import decide, load_book
    from tenbetween.draw.sheet import sheet_pdf

    book = load_book(EDITION)
    rulings = cycle([decide(book, situation) for situation in different(12)])
    numbers = count()

    def a_sheet() -> float:
        ruling = next(rulings)
        return seconds(lambda: sheet_pdf(ruling, book.title))

    with _blank() as blank:

        def a_blank() -> float:
            title = {"title": f"blank {next(numbers)}"}
            return seconds(lambda: blank.compile(format="pdf", pdf_standards="ua-1", sys_inputs=title))

        a_sheet()
        value, floor = in_turn(11, a_sheet, a_blank)
        sheet_, bare = in_turn(7, lambda: seconds(_sheet_from_nothing), lambda: seconds(_start_bare))
    return Measured(
        (
            Figure("a PDF sheet", value, "s", 0.5, floor_name="blank PDF by the same engine", floor=floor),
            Figure(
                "a PDF sheet from the command line",
                sheet_,
                "s",
                0.5,
                floor_name="bare interpreter",
                floor=bare,
            ),
        )
    )


def _sheet_from_nothing() -> None:
    with tempfile.TemporaryDirectory(prefix="tenbetween-bench-") as folder:
        run((sys.executable, "-m", "tenbetween", "sheet", LINE, "--to", str(Path(folder, "sheet.pdf"))))


def _start_bare() -> None:
    run((sys.executable, "-c", "pass"))


@contextmanager
def _blank() -> Iterator[Any]:
    import typst

    from tenbetween.draw.fonts import FOLDER

    with tempfile.TemporaryDirectory(prefix="tenbetween-bench-") as folder:
        file = Path(folder, "blank.typ")
        file.write_text(BLANK, encoding="utf-8")
        yield typst.Compiler(str(file), root=folder, font_paths=[str(FOLDER)], ignore_system_fonts=True)
