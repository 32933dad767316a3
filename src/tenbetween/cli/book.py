"""``tenbetween book``: read it, prove it, compare two seasons, begin a new layer or edition."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import BAD_INPUT, GOOD, say
from tenbetween.errors import Problem, UsageError


@click.group(name="book")
def book() -> None:
    """Look after the book: editions and layers as text."""


def _say_json(value: Any) -> None:
    from tenbetween.formats.json_text import write_json

    say(write_json(value))


# -- list ------------------------------------------------------------------------------------------------------


@click.command("list")
@click.argument("named", metavar="[EDITION]", required=False)
@asked.book_options
@asked.json_option
def listed(
    named: str | None, edition: str | None, layers: tuple[str, ...], workbench: str | None, as_json: bool
) -> None:
    """List the editions; with one named, its provisions and settings."""
    from tenbetween.desk import books, library
    from tenbetween.desk.answers import edition_for

    by, shelf = asked.by_which(named or edition, layers, workbench)
    if by.edition is None and not by.layers:
        found = books.book_list(shelf)
        _say_json(found) if as_json else say(_editions(found))
        return
    page = library.book_page(shelf.book(edition_for(asked.today(), by.edition), by.layers))
    _say_json(page) if as_json else say(_provisions(page))


def _editions(found: list[dict[str, Any]]) -> str:
    rows = [f"{'edition':<12} {'title':<40} {'from':<11} {'provisions':>10} {'rows':>5}  digest"]
    rows += [
        f"{one['id']:<12} {one['title']:<40} {one['from']:<11} {one['provisions']:>10} {one['rows']:>5}  "
        f"{one['digest'][:12]}"
        for one in found
    ]
    return "\n".join(rows)


def _provisions(page: dict[str, Any]) -> str:
    rows = [page["title"], page["totals"]]
    for group in page["groups"]:
        rows += ["", group["name"]]
        rows += [f"  {one['id']:<34} {one['sentence']}" for one in group["provisions"]]
    rows += ["", "settings"]
    rows += [f"  {one['name']:<24} {one['value']:<36} {one['set_by']}" for one in page["settings"]]
    return "\n".join(rows)


# -- show ------------------------------------------------------------------------------------------------------


@click.command("show")
@click.argument("provision")
@asked.book_options
@asked.json_option
def show(
    provision: str, edition: str | None, layers: tuple[str, ...], workbench: str | None, as_json: bool
) -> None:
    """Show one provision: what is taught, why, from where, and the rows it owns."""
    from tenbetween.desk import library
    from tenbetween.desk.answers import edition_for

    by, shelf = asked.by_which(edition, layers, workbench)
    in_force = shelf.book(edition_for(asked.today(), by.edition), by.layers)
    page = library.provision_page(shelf, in_force, provision)
    _say_json(page) if as_json else say(_provision(page))


def _provision(page: dict[str, Any]) -> str:
    told = ("why", "wrong", "said", "signal", "source", "section", "confidence", "status", "layer", "edition")
    rows = [f"{page['id']}: {page['title']}", "", page["sentence"], ""]
    rows += [f"{name:<11} {page[name]}" for name in told if page[name]]
    rows += [f"{'stands in':<11} {page['file']}:{page['line']}"]
    for row in page["rows"]:
        rows += ["", f"{row['name']} ({row['table']})", f"  when: {row['when']}", f"  then: {row['then']}"]
    return "\n".join(rows)


# -- check -----------------------------------------------------------------------------------------------------


@click.command("check")
@click.argument("editions", nargs=-1)
@click.option("--each-setting", is_flag=True, help="Also every other value of one setting at a time.")
@asked.book_options
@asked.json_option
def check(
    editions: tuple[str, ...],
    each_setting: bool,
    edition: str | None,
    layers: tuple[str, ...],
    workbench: str | None,
    as_json: bool,
) -> int:
    """Prove a book over every situation there can be: no gap, no conflict, no row that never applies.

    With --workbench the frozen situations kept there are run as well. Ends with status 1 when something was found.
    """
    by, shelf = asked.by_which(edition, layers, workbench)
    chosen = _editions_to_check((*editions, *((edition,) if edition else ())))
    pages = [_checked(shelf, one, by.layers, each_setting, quiet=as_json) for one in chosen]
    frozen = _frozen(workbench) if workbench else None
    if as_json:
        _say_json({"books": pages, "frozen": frozen})
    else:
        say("\n\n".join([*(_report(page) for page in pages), *([_frozen_words(frozen)] if frozen else [])]))
    kept = frozen is None or all(run["ok"] for row in frozen["frozen"] for run in row["runs"])
    return GOOD if kept and all(page["good"] for page in pages) else BAD_INPUT


def _editions_to_check(named: tuple[str, ...]) -> tuple[str, ...]:
    from tenbetween.book import edition_ids
    from tenbetween.desk.answers import edition_for

    return tuple(dict.fromkeys(edition_for("", one) for one in named)) or edition_ids()


def _checked(
    shelf: Any, edition: str, layers: tuple[str, ...], each_setting: bool, *, quiet: bool
) -> dict[str, Any]:
    from tenbetween.desk import books

    def progress(text: str) -> None:
        if not quiet:
            say(f"{edition}: {text}", error=True)

    report = books.check_book(shelf, edition, layers, each_setting=each_setting, progress=progress)
    page = books.report_page(report)
    page["moved"] = list(_moved(edition, report)) if not layers else []
    return page


def _moved(edition: str, report: Any) -> tuple[str, ...]:
    from tenbetween.book.kept import count_path, kept_totals
    from tenbetween.desk import books

    return books.what_moved(report, kept_totals(edition)) if count_path(edition).is_file() else ()


def _report(page: dict[str, Any]) -> str:
    head = (
        f"{page['edition']}: {page['situations']:,} situations at the defaults, digest {page['digest'][:12]}"
    )
    if page["settings_tried"]:
        head += f"; {page['situations_asked']:,} asked with {page['settings_tried']} other settings"
    rows = [
        head,
        "nothing to complain about" if page["good"] else f"{len(page['findings'])} findings, largest first",
    ]
    for one in page["findings"]:
        rows += [f"  {one['situations']:>8,}  {one['kind']}: {one['says']}", f"            {one['where']}"]
        rows += [f"            {one['example']}"]
    return "\n".join([*rows, *(["moved since the kept count:"] if page["moved"] else []), *page["moved"]])


def _frozen(workbench: str) -> dict[str, Any]:
    from tenbetween.cli.serve import opened

    with opened(Path(workbench)) as bench:
        found: dict[str, Any] = bench.frozen()
    return found


def _frozen_words(found: dict[str, Any]) -> str:
    rows = [f"frozen situations: {found['summary']}"]
    for one in found["frozen"]:
        rows += [f"  {one['title']}"]
        rows += [f"    {run['short']}: {run['says']}" for run in one["runs"] if not run["ok"]]
    return "\n".join(rows)


# -- compare ---------------------------------------------------------------------------------------------------


@click.command("compare")
@click.argument("before")
@click.argument("after")
@click.option("--layer", "layers", multiple=True, metavar="LAYER", help="A layer on top of both.")
@click.option("--workbench", metavar="FOLDER", help="The workbench folder whose layers are at hand.")
@asked.json_option
def compare(before: str, after: str, layers: tuple[str, ...], workbench: str | None, as_json: bool) -> None:
    """Tell what changed between two editions: the handout for a new season."""
    from tenbetween.desk import books, library
    from tenbetween.desk.answers import edition_for

    by, shelf = asked.by_which(None, layers, workbench)
    found = books.compare_books(shelf, edition_for("", before), edition_for("", after), by.layers)
    page = library.comparison_page(found)
    _say_json(page) if as_json else say(_comparison(page))


def _comparison(page: dict[str, Any]) -> str:
    rows = [f"From {page['before']} to {page['after']}, over {page['situations']:,} situations"]
    for title, follows in (("What changed", False), ("What follows from it", True)):
        changes = [one for one in page["changes"] if one["follows"] is follows]
        rows += ["", title] if changes else []
        for one in changes:
            rows += [
                f"  {one['situations']:>8,}  {one['kind']}: {one['part']}: {one['before']} -> {one['after']}"
            ]
            rows += [
                f"            {one['row_before']} -> {one['row_after']}",
                f"            {one['example']}",
            ]
    for title, name in (("Taken out", "only_before"), ("New", "only_after"), ("Reworded", "reworded")):
        rows += ["", f"{title}: {', '.join(page[name])}"] if page[name] else []
    return "\n".join(rows) if len(rows) > 1 else f"{rows[0]}: nothing"


# -- new -------------------------------------------------------------------------------------------------------


@click.group("new")
def new() -> None:
    """Begin the text of a new layer or edition."""


_TO = click.option("--to", "file", metavar="FILE", help="Write it there; otherwise it is printed.")


@new.command("layer")
@click.argument("name")
@click.option("--title", default="", help="As a sheet prints it.")
@click.option("--authority", default="own", show_default=True, help="state, association or own.")
@click.option("--entered", metavar="DAY", help="The day it was entered; today unless said.")
@_TO
def new_layer(name: str, title: str, authority: str, entered: str | None, file: str | None) -> None:
    """Begin a layer: what your state, your association or you do otherwise."""
    from tenbetween.desk import books

    _write(books.new_layer(name, title, authority, _day("--entered", entered)), file)


@new.command("edition")
@click.argument("name")
@click.option("--title", default="", help='As a sheet prints it, such as "U.S. high school 2026-27".')
@click.option("--based-on", required=True, metavar="EDITION", help="The edition it differs from.")
@click.option("--from", "from_date", metavar="DAY", help="The day it comes into force; today unless said.")
@_TO
def new_edition(name: str, title: str, based_on: str, from_date: str | None, file: str | None) -> None:
    """Begin an edition: it holds only what differs from the one it is based on."""
    from tenbetween.desk import books
    from tenbetween.desk.answers import edition_for

    _write(books.new_edition(name, title, edition_for("", based_on), _day("--from", from_date)), file)


def _day(option: str, day: str | None) -> str:
    from datetime import date

    try:
        return date.fromisoformat(day).isoformat() if day else asked.today()
    except ValueError:
        expected = "a day of the calendar"
        raise UsageError(Problem(option, repr(day)[:40], expected, "write it like 2025-11-03")) from None


def _write(text: str, file: str | None) -> None:
    if file is None:
        say(text.rstrip("\n"))
        return
    if Path(file).exists():
        do = "name another file, or take the old one away first"
        raise UsageError(Problem("--to", f"{file}, which is there already", "the name of a new file", do))
    asked.write_whole(file, text.encode())
    say(f"written: {file}")


for _command in (listed, show, check, compare, new):
    book.add_command(_command)
