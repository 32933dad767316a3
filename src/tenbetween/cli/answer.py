"""``tenbetween answer``: whose throw-in, where, who gives it, and do we switch; as words or as JSON."""

from __future__ import annotations

import sys
from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say, tell
from tenbetween.errors import NotationError
from tenbetween.situation import Ruling, Situation

EXAMPLE = '"out off dark, table 26, white, right, lead table"'


@click.command()
@click.argument("situation", nargs=-1)
@asked.book_options
@asked.setting_options
@asked.json_option
def answer(
    situation: tuple[str, ...],
    edition: str | None,
    layers: tuple[str, ...],
    workbench: str | None,
    settings: tuple[str, ...],
    date: str | None,
    as_json: bool,
) -> None:
    """Answer a situation: a line, a JSON file, or - for standard input.

    \b
    tenbetween answer "out off dark, table 26, white, right, lead table"
    tenbetween answer situations.json --json

    Without a situation the questions are asked one after the other.
    """  # noqa: D301 - the backspace keeps the lines below it apart
    by, shelf = asked.by_which(edition, layers, workbench, settings, date)
    found, is_list = asked.situations(situation, by) if situation else ((ask(by),), False)
    given = asked.rulings(found, is_list, shelf)
    if as_json:
        _say_json(given, is_list)
    else:
        say("\n\n".join(in_words(one, shelf) for one in given))


def _say_json(given: tuple[Ruling, ...], is_list: bool) -> None:
    from tenbetween.formats.answer_json import ruling_as_dict
    from tenbetween.formats.json_text import write_json

    pages = [ruling_as_dict(one) for one in given]
    say(write_json(pages if is_list else pages[0], indent=2 if len(pages) == 1 else None))


# -- questions in order ----------------------------------------------------------------------------------------


def ask(by: asked.ByWhich) -> Situation:
    """Return the situation somebody answers question by question.

    Raises:
        click.UsageError: nobody is there to be asked.
    """
    if not sys.stdin.isatty():
        raise click.UsageError(f"say a situation, such as {EXAMPLE}, or - for standard input")
    from tenbetween.desk.answers import edition_for
    from tenbetween.notation import implied_ball

    fields = _dialogue({"edition": edition_for(by.date or asked.today(), by.edition)})
    if fields.get("ball_to") is None:
        fields["ball_to"] = implied_ball(fields)
    return asked.with_options(Situation(**fields), by)


def _dialogue(fields: dict[str, Any]) -> dict[str, Any]:
    from tenbetween.notation import ask_in_order, take

    seen: set[str] = set()
    while (question := ask_in_order(fields, seen)) is not None:
        say(question.asks)
        for number, (_, words) in enumerate(question.choices, 1):
            say(f"  {number:>2}  {words}")
        reply = click.prompt(
            ">", default="" if question.optional else None, show_default=False, prompt_suffix=" "
        )
        try:
            fields = _checked(take(question, reply, fields), question.field)
            seen.add(question.field)
        except NotationError as fault:
            tell(fault.problems, as_json=False)
    return fields


def _checked(fields: dict[str, Any], field: str) -> dict[str, Any]:
    """Return the fields, or refuse the last answer when it cannot be true with the others."""
    from tenbetween.notation import complaints

    wrong = [p for p in complaints(fields) if p.where == field and p.found != "nothing"]
    if wrong:
        raise NotationError(wrong)
    return fields


# -- in words --------------------------------------------------------------------------------------------------


def in_words(ruling: Ruling, shelf: Any) -> str:
    """Return an answer as it is read: the sentence, its parts, the steps, the reasons, the caution."""
    from tenbetween.desk.answers import book_for
    from tenbetween.draw import words
    from tenbetween.notation import format as line_of

    parts = [words.sentence(ruling), words.partner_sentence(ruling), ""]
    parts += [
        f"{fact.label}: {fact.text}" if hasattr(fact, "text") else str(fact) for fact in words.facts(ruling)
    ]
    parts += ["", *_steps(ruling), "", *_reasons(ruling), *_open(ruling), ""]
    if ruling.after_free_throws is not None:
        parts += ["After the throws:", words.sentence(ruling.after_free_throws), ""]
    book = book_for(shelf, ruling.situation)
    parts += [ruling.caution, f"{book.title} · {line_of(ruling.situation)}"]
    return _spaced(parts)


def _spaced(parts: list[str]) -> str:
    kept = [part for n, part in enumerate(parts) if part or (n and parts[n - 1])]
    return "\n".join(kept).strip()


def _steps(ruling: Ruling) -> list[str]:
    from tenbetween.draw import words

    return [f"{step.number:>2}. {step.text}" for step in words.steps(ruling)]


def _reasons(ruling: Ruling) -> list[str]:
    if not ruling.reasons:
        return []
    return ["Why:", *(f"  {_reason(one)}" for one in ruling.reasons)]


def _reason(one: Any) -> str:
    from tenbetween.draw.phrases import part_words

    source = one.source or ("common practice, no source" if one.confidence == "practice" else "no source")
    rests = f"; rests on {one.setting}" if one.setting else ""
    beats = f"; goes before {', '.join(one.beats)}" if one.beats else ""
    layer = f" + {one.layer}" if one.layer else ""
    return f"{part_words(one.decides)}: {one.row} ({one.edition}{layer}; {source}; {one.confidence}{rests}{beats})"


def _open(ruling: Ruling) -> list[str]:
    from tenbetween.draw.phrases import part_words

    if not ruling.not_covered:
        return []
    return ["", "Not covered:", *(f"  {part_words(one.part)}: {one.why}" for one in ruling.not_covered)]
