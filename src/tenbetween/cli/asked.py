"""What every command that answers takes: a situation in any form, and by which book.

A situation comes as a line, as JSON, as a file of either, or from standard input. Reads files; decides nothing.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click
from msgspec import Struct, structs

from tenbetween.errors import FormatError, Problem, SituationError, TenbetweenError, UsageError
from tenbetween.situation import Ruling, Situation

Command = TypeVar("Command", bound=Callable[..., Any])
LARGEST_FILE = 20_000_000
"""Bytes; nothing we read is larger."""
HOME_FOLDER = "Tenbetween"


class ByWhich(Struct, frozen=True):
    """By which book to answer: what the options say over what the situation says."""

    edition: str | None = None
    layers: tuple[str, ...] = ()
    settings: tuple[tuple[str, str], ...] = ()
    workbench: str | None = None
    date: str | None = None


def book_options(command: Command) -> Command:
    """Add the options that say by which book to answer."""
    options = (
        click.option("--edition", metavar="EDITION", help="Answer by this edition: us-hs-2025, or 2025-26."),
        click.option(
            "--layer",
            "layers",
            multiple=True,
            metavar="LAYER",
            help="A layer on top: a TOML file, or its id.",
        ),
        click.option("--workbench", metavar="FOLDER", help="The workbench folder whose layers are at hand."),
    )
    for option in reversed(options):
        command = option(command)
    return command


def setting_options(command: Command) -> Command:
    """Add the options that change a situation's settings and day."""
    set_ = click.option(
        "--set", "settings", multiple=True, metavar="NAME=VALUE", help="A setting, over all others."
    )
    date = click.option("--date", metavar="DAY", help="The day of the game; it chooses the edition in force.")
    return set_(date(command))


def json_option(command: Command) -> Command:
    """Add the option for other programs."""
    return click.option("--json", "as_json", is_flag=True, help="JSON out, for other programs.")(command)


def pairs(settings: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Return settings given as name=value.

    >>> pairs(["chop=both_everywhere"])
    (('chop', 'both_everywhere'),)

    Raises:
        UsageError: one that is not of that form.
    """
    wrong = [
        one for one in settings if not one.partition("=")[0].strip() or not one.partition("=")[2].strip()
    ]
    if wrong:
        raise UsageError(
            [
                Problem("--set", repr(one[:60]), "name=value", "write it like chop=both_everywhere")
                for one in wrong
            ]
        )
    split = [one.partition("=") for one in settings]
    return tuple(sorted({name.strip(): _token(value) for name, _, value in split}.items()))


def _token(value: str) -> str:
    return "_".join(value.lower().replace("-", " ").replace("_", " ").split())


def today() -> str:
    """Return today as an ISO day."""
    from datetime import datetime

    return datetime.now().astimezone().date().isoformat()


# -- what is asked ---------------------------------------------------------------------------------------------


def situations(words: Sequence[str], by: ByWhich) -> tuple[tuple[Situation, ...], bool]:
    """Return the situations named by the arguments of a command, and whether they are to be answered as a list.

    Raises:
        SituationError: everything that is wrong with them.
        FormatError: JSON or a file that cannot be read.
    """
    text = " ".join(words).strip()
    if text == "-":
        return _read(read_input(), by, is_json=False)
    if text.startswith(("{", "[")):
        return _read(text.encode("utf-8", "surrogatepass"), by, is_json=True)
    if text.lower().endswith(".json") or _is_file(text):
        return _read(read_file(text), by, is_json=text.lower().endswith(".json"))
    return (from_line(text, by),), False


def _is_file(text: str) -> bool:
    try:
        return bool(text) and len(text) < 1_000 and Path(text).is_file()
    except (OSError, ValueError):
        return False


def read_input() -> bytes:
    """Return all of standard input.

    Raises:
        FormatError: too much.
    """
    raw = sys.stdin.buffer.read(LARGEST_FILE + 1)
    return _not_too_large(raw, "standard input")


def read_file(path: str) -> bytes:
    """Return a file's bytes.

    Raises:
        FormatError: no such file, no file, or too much.
    """
    do = "check the name, or give the situation as a line"
    try:
        with Path(path).open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as fault:
        why = (getattr(fault, "strerror", None) or "no file name").lower()
        raise FormatError(Problem(path[:200], why, "a file that can be read", do)) from None
    return _not_too_large(raw, path)


def _not_too_large(raw: bytes, where: str) -> bytes:
    if len(raw) > LARGEST_FILE:
        expected = f"at most {LARGEST_FILE // 1_000_000} million bytes"
        raise FormatError(Problem(where, "more than that", expected, "split it into several files"))
    return raw


def _read(raw: bytes, by: ByWhich, *, is_json: bool) -> tuple[tuple[Situation, ...], bool]:
    lines = None if is_json else _lines(raw)
    if lines is None:
        return _from_json(raw, by)
    if len(lines) == 1:
        return (from_line(lines[0], by),), False
    return _each([lambda one=one: from_line(one, by) for one in lines]), True  # type: ignore[misc]


def _lines(raw: bytes) -> list[str] | None:
    """Return lines of text that are situations, or None when it is JSON or wants to be."""
    import json

    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return None
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    if not lines or text.lstrip()[:1] in ('"', "{", "["):
        return None
    try:
        json.loads(text)
    except (ValueError, RecursionError):
        return lines
    return None


def _from_json(raw: bytes, by: ByWhich) -> tuple[tuple[Situation, ...], bool]:
    from tenbetween.desk.answers import edition_for
    from tenbetween.formats.answer_json import read_situations

    found, is_list = read_situations(raw, edition_on=edition_for, today=by.date or today())
    return tuple(with_options(one, by) for one in found), is_list


def from_line(line: str, by: ByWhich) -> Situation:
    """Return the situation of a typed line; the edition is the one in force unless the line says another.

    Raises:
        NotationError: everything on the line that is wrong.
    """
    from tenbetween.desk.answers import edition_for
    from tenbetween.notation import parse, read_fields

    day = by.date or read_fields(line)[0].get("date") or today()
    return with_options(parse(line, edition=edition_for(day, by.edition)), by)


def with_options(situation: Situation, by: ByWhich) -> Situation:
    """Return the situation with what the options say over it.

    >>> start = Situation(edition="us-hs-2025", attacking="left", stopped_by="game_start")
    >>> with_options(start, ByWhich(edition="2022-23")).edition
    'us-hs-2022'

    Raises:
        BookError: no such edition.
    """
    from tenbetween.desk.answers import edition_for

    changed: dict[str, Any] = {}
    if by.edition:
        changed["edition"] = edition_for("", by.edition)
    if by.layers:
        changed["layers"] = (*situation.layers, *(one for one in by.layers if one not in situation.layers))
    if by.settings:
        changed["settings"] = tuple(sorted({**dict(situation.settings), **dict(by.settings)}.items()))
    if by.date and situation.date is None:
        changed["date"] = by.date
    return structs.replace(situation, **changed) if changed else situation


Made = TypeVar("Made")


def _each(makers: Sequence[Callable[[], Made]]) -> tuple[Made, ...]:
    """Return what each makes; every fault of every one is told, with its place in the list."""
    found: list[Made] = []
    problems: list[Problem] = []
    for number, make in enumerate(makers):
        try:
            found.append(make())
        except TenbetweenError as fault:
            problems += [problem.under(f"[{number}]") for problem in fault.problems]
    if problems:
        raise SituationError(problems)
    return tuple(found)


def rulings(asked: Sequence[Situation], is_list: bool, shelf: Any) -> tuple[Ruling, ...]:
    """Return the answers; every setting, layer or edition that is not there is told for every situation.

    Raises:
        TenbetweenError: what is not there.
    """
    from tenbetween.desk.answers import answer

    if not is_list:
        return tuple(answer(shelf, one) for one in asked)
    return _each([lambda one=one: answer(shelf, one) for one in asked])  # type: ignore[misc]


# -- the books at hand ----------------------------------------------------------------------------------------


def by_which(
    edition: str | None,
    layers: Sequence[str],
    workbench: str | None,
    settings: Sequence[str] = (),
    date: str | None = None,
) -> tuple[ByWhich, Any]:
    """Return by which book to answer, and the shelf with the layers at hand.

    Raises:
        UsageError: an option that means nothing.
        FormatError: a layer file that cannot be read.
    """
    from tenbetween.desk.answers import Shelf

    if date is not None:
        _check_day(date)
    shelf = Shelf.of(_layers_of(workbench))
    ids = []
    for name in layers:
        if name.endswith(".toml") or "/" in name or os.sep in name:
            text = _layer_file(name)
            shelf = shelf.with_layer(text)
            ids.append(text.id)
        else:
            ids.append(name)
    return ByWhich(edition, tuple(dict.fromkeys(ids)), pairs(settings), workbench, date), shelf


def _check_day(day: str) -> None:
    from datetime import date

    try:
        good = len(day) == 10 and bool(date.fromisoformat(day))
    except ValueError:
        good = False
    if not good:
        raise UsageError(
            Problem("--date", repr(day[:40]), "a day of the calendar", "write it like 2025-11-30")
        )


def _layers_of(workbench: str | None) -> list[Any]:
    """Return the layer texts of a workbench; without one named, of the usual one if it is there."""
    from tenbetween.book import LayerText

    folder = Path(workbench) if workbench else usual_folder()
    if workbench and not folder.is_dir():
        found = "no such folder" if not folder.exists() else "a file"
        do = "check the name; tenbetween serve --workbench FOLDER makes a new one"
        raise FormatError(Problem(str(folder), found, "a workbench folder", do))
    files = sorted((folder / "layers").glob("*.toml")) if (folder / "layers").is_dir() else []
    return [
        LayerText(one.stem, one.read_text("utf-8", errors="replace"), f"layers/{one.name}") for one in files
    ]


def _layer_file(path: str) -> Any:
    from tenbetween.book import LayerText, layer_head

    try:
        text = read_file(path).decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        found = f"bytes that are no UTF-8 text, at byte {fault.start}"
        raise FormatError(Problem(path, found, "TOML text in UTF-8", "save the file as UTF-8")) from None
    first = LayerText(Path(path).stem, text, path)
    return LayerText(layer_head(first).id, text, path)


def usual_folder() -> Path:
    """Return the folder of the usual workbench: what TENBETWEEN_WORKBENCH names, else one in the home folder."""
    named = os.environ.get("TENBETWEEN_WORKBENCH")
    return Path(named) if named else Path.home() / HOME_FOLDER


def write_whole(path: str, content: bytes) -> None:
    """Write a file whole or not at all.

    Raises:
        FormatError: it cannot be written there.
    """
    target = Path(path)
    beside = target.with_name(f".{target.name}.part")
    try:
        beside.write_bytes(content)
        beside.replace(target)
    except (OSError, ValueError) as fault:
        why = (getattr(fault, "strerror", None) or "no file name").lower()
        raise FormatError(
            Problem(path, why, "a file that can be written", "name another file or folder")
        ) from None
