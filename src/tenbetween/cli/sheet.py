"""``tenbetween sheet``: the answer on paper, as a picture, as a one-file page, or as a text for the phone."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.errors import UsageError, one_of
from tenbetween.situation import Situation

KINDS = ("pdf", "svg", "png", "html", "txt")


@click.command()
@click.argument("situation", nargs=-1, required=True)
@click.option(
    "--to", "file", default="sheet.pdf", show_default=True, metavar="FILE", help="- is standard output."
)
@click.option("--kind", metavar="KIND", help=f"{', '.join(KINDS)}; otherwise the file's ending says.")
@click.option("--turned", is_flag=True, help="The table at the top, for a gym that stands the other way.")
@click.option("--paper", default="us-letter", show_default=True, metavar="PAPER", help="us-letter or a4.")
@click.option("--title", default="", help="Title of a page with many answers.")
@asked.book_options
@asked.setting_options
@asked.json_option
def sheet(
    situation: tuple[str, ...],
    file: str,
    kind: str | None,
    turned: bool,
    paper: str,
    title: str,
    edition: str | None,
    layers: tuple[str, ...],
    workbench: str | None,
    settings: tuple[str, ...],
    date: str | None,
    as_json: bool,
) -> None:
    """Print the answer to a situation: court, moves, steps, provision and edition.

    A list of situations becomes one PDF with six on a page. A text (.txt) is short enough for a phone message.
    """
    chosen = kind_of(file, kind)
    by, shelf = asked.by_which(edition, layers, workbench, settings, date)
    found, is_list = asked.situations(situation, by)
    asked.rulings(found, is_list, shelf)
    how = {"turned": turned, "paper": paper}
    content = many(shelf, found, chosen, title, how) if is_list else one(shelf, found[0], chosen, how)
    _hand_out(content, file, chosen, len(found), as_json)


def kind_of(file: str, kind: str | None) -> str:
    """Return which kind of sheet is meant, by name or by the ending of the file.

    >>> kind_of("wall.PNG", None), kind_of("-", "pdf"), kind_of("-", None)
    ('png', 'pdf', 'pdf')

    Raises:
        UsageError: no such kind.
    """
    ending = Path(file).suffix.lower().lstrip(".") if file != "-" else ""
    chosen = (kind or ending or "pdf").lower()
    chosen = {"htm": "html", "text": "txt"}.get(chosen, chosen)
    if chosen not in KINDS:
        raise UsageError(one_of("--kind" if kind else "--to", kind or file, KINDS))
    return chosen


def one(shelf: Any, situation: Situation, kind: str, how: dict[str, Any]) -> bytes:
    """Return the sheet of one situation."""
    from tenbetween.desk import handed
    from tenbetween.notation import format as line_of

    line = line_of(situation)
    made: dict[str, Callable[[], bytes]] = {
        "html": lambda: handed.one_file(shelf, situation, line).encode(),
        "txt": lambda: _text(shelf, situation),
    }
    if kind in made:
        return made[kind]()
    return handed.sheet(shelf, situation, kind, line=line, on=asked.today(), **how)


def _text(shelf: Any, situation: Situation) -> bytes:
    from tenbetween.desk.answers import answer, book_for
    from tenbetween.draw.words import short_text

    text = short_text(answer(shelf, situation), book_title=book_for(shelf, situation).title)
    return f"{text}\n".encode()


def many(shelf: Any, situations: tuple[Situation, ...], kind: str, title: str, how: dict[str, Any]) -> bytes:
    """Return a page of many answers.

    Raises:
        UsageError: another kind than a PDF.
    """
    if kind != "pdf":
        raise UsageError(one_of("--kind", kind, ("pdf",)))
    from tenbetween.desk.handed import contact_sheet

    return contact_sheet(shelf, situations, title, **how)


def _hand_out(content: bytes, file: str, kind: str, count: int, as_json: bool) -> None:
    if file == "-":
        sys.stdout.buffer.write(content)
        return
    asked.write_whole(file, content)
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json({"file": file, "kind": kind, "bytes": len(content), "situations": count}))
    else:
        say(f"written: {file}")
