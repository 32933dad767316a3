"""Writing a provision there and then: a form of at most twelve fields, checked before it is kept.

A filled form becomes one provision with one row in the trainer's own layer. The row goes before every row it
meets in the counted space and names them; the whole layered book is checked, and only a clean text is offered
for keeping. Knows no store: the text is handed back.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from msgspec import Struct, structs

from tenbetween.book import Book, LayerText, decide, edition_head, load_book
from tenbetween.book.alike import alike
from tenbetween.book.check import check
from tenbetween.book.decide import Case
from tenbetween.book.index import tables_of
from tenbetween.book.provision import digest
from tenbetween.book.space import answer_of, fresh_tables, groups, variants
from tenbetween.book.vocabulary import FEATURE_WORDS, STATUS, TABLES, Table
from tenbetween.desk.answers import Shelf, book_for
from tenbetween.draw.phrases import part_words
from tenbetween.errors import BookError, Problem, TenbetweenError, one_of
from tenbetween.situation import Ruling, Situation

OWN = "own"
_NOT_ASKED = ("steps", "duties", "restart", "waiting")
_SCOPE = {
    "restart": ("cause", "bonus"),
    "spot": ("cause", "place", "ball_to"),
    "run": ("cause", "pending", "line", "part"),
    "roles": ("restart", "line", "part", "level", "sideline_of", "direction"),
    "who": ("restart", "line", "part", "level", "sideline_of", "direction"),
    "sides": ("restart", "line", "part"),
    "delivery": ("restart", "line", "part", "pressure"),
    "stands": ("restart", "line", "part", "handles"),
    "count": ("restart", "line", "part"),
    "clock": ("restart", "clock"),
    "chop": ("restart", "clock", "line", "part"),
    "lines": ("restart",),
    "watch": ("restart", "throws"),
    "places": ("restart", "line", "part", "handles", "pressure"),
}
"""Which features of the situation a new row asks for, besides the cause when it is kept narrow."""


class Field(Struct, frozen=True):
    """One field of the form."""

    name: str
    label: str
    kind: str = "text"
    value: str = ""
    help: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    required: bool = False


class Drafted(Struct, frozen=True):
    """What a filled form comes to: the layer text, what is wrong with it, and what it changes."""

    text: str
    provision: str
    problems: tuple[Problem, ...]
    before: Ruling
    after: Ruling | None
    situations: int
    """Situations of the counted space that the new row decides."""


def parts_that_can_be_entered() -> tuple[str, ...]:
    """Return the parts of an answer that a form can enter.

    >>> "administers" in parts_that_can_be_entered()
    True
    """
    return tuple(t.decides for t in TABLES if t.name not in _NOT_ASKED)


def table_for(part: str) -> Table:
    """Return the table that decides a part.

    >>> table_for("administers").name
    'who'

    Raises:
        BookError: no form enters that part.
    """
    bare = {"lines.sidelines": "lead_side_after", "switch": "roles_after"}.get(part, part)
    for table in TABLES:
        if bare in (table.decides, table.name) and table.name not in _NOT_ASKED:
            return table
    raise BookError(one_of("part", part, parts_that_can_be_entered()))


def form_for(shelf: Shelf, situation: Situation, part: str) -> tuple[Field, ...]:
    """Return the form that enters one part for a situation, filled as far as the situation says it.

    Raises:
        BookError: no form enters that part, or the situation's book is not there.
    """
    book = book_for(shelf, situation)
    table = table_for(part)
    parts = tuple((one, _words(one)) for one in parts_that_can_be_entered())
    cause = situation.stopped_by.replace("_", " ")
    return (
        Field("part", "What you enter", "choice", table.decides, choices=parts, required=True),
        Field("outcome", "The answer", "choice", "", choices=outcomes(book, table), required=True),
        Field(
            "scope",
            "It holds for",
            "choice",
            "cause",
            choices=(
                ("cause", f"{cause}, at such a place"),
                ("any", "whatever stopped play, at such a place"),
            ),
        ),
        Field("title", "Name", required=True, help="a few words, as you would list it"),
        Field("sentence", "As you would say it to a class", "long", required=True, help="condition first"),
        Field("why", "Why it matters", "long"),
        Field("wrong", "What goes wrong", "long"),
        Field("said", "What is said or signalled"),
        Field("source", "Source", help="memo, meeting, page; empty: common practice, no source"),
        Field("section", "Article, from your manual", help="leave empty when you have none"),
        Field("status", "Status", "choice", "local option", choices=tuple((s, s) for s in STATUS)),
        Field("by", "Entered by", required=True),
    )


def outcomes(book: Book, table: Table) -> tuple[tuple[str, str], ...]:
    """Return the answers a form offers for a table: every value of a single field, else those the book uses."""
    if len(table.fields) == 1:
        field, values = next(iter(table.fields.items()))
        if isinstance(values, tuple):
            return tuple((json.dumps({field: v}), OUTCOME_WORDS.get(v, v.replace("_", " "))) for v in values)
    seen: dict[str, str] = {}
    for _, row in book.rows(table.name):
        if row.then:
            seen[json.dumps(dict(row.then), sort_keys=True)] = _outcome_words(dict(row.then))
    return tuple(seen.items())


def _outcome_words(then: Mapping[str, Any]) -> str:
    shown = {k: " and ".join(v) if isinstance(v, tuple | list) else str(v) for k, v in then.items()}
    return "; ".join(f"{k.replace('_', ' ')}: {v.replace('_', ' ')}" for k, v in shown.items())


def _words(part: str) -> str:
    return part_words(part)


OUTCOME_WORDS: Mapping[str, str] = {
    "as_crossed": "where the ball crossed the line",
    "nearest": "the nearest boundary",
    "nearest_by_corner_to_elbow": "end line or sideline by the corner-to-elbow drawing",
    "end_line_spot": "the end-line spot, three feet outside the lane",
    "sideline_mark": "the 28-foot mark on the nearer sideline",
    "division_line_opposite": "the division line, opposite the table",
    "front_throw_in_line": "the throw-in line in the front court",
    "same_place": "the same place again",
    "own_end_line": "anywhere along the end line",
    "by_direction": "direction alone: nobody changes, or both turn round",
    "exchanged": "lead and trail exchange once",
    "caller_is_trail": "the caller is trail, his partner lead",
    "nobody_changes": "nobody changes role",
    "referee_is_trail": "the Referee is trail",
    "tosser_becomes_trail": "the tosser is trail afterwards",
    "lead": "the lead",
    "trail": "the trail",
    "nobody": "nobody",
    "referee_as_trail": "the Referee, as trail",
    "referee": "the Referee",
    "none": "nobody hands it",
    "yes": "yes",
    "no": "no",
}
"""Answers as a trainer reads them in the form; what is not here reads well as it is."""


def draft(shelf: Shelf, situation: Situation, form: Mapping[str, str], day: str) -> Drafted:
    """Return the own layer's text with the new provision, checked over the counted space.

    Raises:
        BookError: the situation's book is not there.
    """
    book = book_for(shelf, situation)
    before = decide(book, situation)
    problems = _form_problems(form)
    old = shelf.layers.get(OWN)
    try:
        table = table_for(form.get("part", ""))
        then = _read_outcome(form.get("outcome", ""))
    except TenbetweenError as fault:
        problems += fault.problems
    if problems:
        return Drafted(old.text if old else "", "", tuple(problems), before, None, 0)
    base = old.text if old else _new_layer(book.court_kind, day)
    id_ = _free_id(base, form["title"])
    when = conditions(book, situation, table, narrow=form.get("scope") != "any")
    bare = base + _provision_text(id_, form, table, when, then, (), day)
    others = [layer for layer in situation.layers if layer != OWN]
    return _checked(shelf, situation, before, base, bare, (id_, form, table, when, then, day), others)


def _checked(
    shelf: Shelf,
    situation: Situation,
    before: Ruling,
    base: str,
    bare: str,
    written: tuple[str, Mapping[str, str], Table, dict[str, str], Mapping[str, Any], str],
    others: list[str],
) -> Drafted:
    id_, form, table, when, then, day = written

    def book_with(text: str) -> Book:
        return load_book(situation.edition, (*shelf.texts(others), LayerText(OWN, text, "layers/own.toml")))

    try:
        met = rows_met(book_with(bare), table.name, f"{id_}/entered")
        text = base + _provision_text(id_, form, table, when, then, met, day)
        book = book_with(text)
        report = check(book)
    except BookError as fault:
        return Drafted(base, id_, fault.problems, before, None, 0)
    problems = tuple(
        Problem(
            f.where or table.name,
            f"{f.kind}: {f.says}",
            "no gap, conflict or impossible answer",
            f"see: {f.example}",
        )
        for f in report.findings
        if f.kind in ("conflict", "impossible", "gap")
    )
    asked = structs.replace(situation, layers=(*others, OWN))
    return Drafted(
        text, id_, problems, before, decide(book, asked), report.totals.rows.get(f"{id_}/entered", 0)
    )


def rows_met(book: Book, table: str, row: str) -> tuple[str, ...]:
    """Return the rows of a table that apply together with one row somewhere in the counted space."""
    tables = fresh_tables(book)
    found, _ = groups(book, tables)
    for group in found.values():
        for situation in variants(group.example):
            answer_of(book, tables, situation, group.after_throws)
    index = tables[table]
    if row not in index.ids:
        return ()
    mine = index.ids.index(row)
    met = {index.ids[n] for hit in index.hits.values() if mine in hit.live for n in hit.live if n != mine}
    return tuple(sorted(met))


def conditions(book: Book, situation: Situation, table: Table, *, narrow: bool) -> dict[str, str]:
    """Return what a new row asks for: the features of this situation that such a row turns on.

    >>> goal = Situation(edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table")
    >>> conditions(Shelf().book("us-hs-2025"), goal, table_for("delivery"), narrow=True)["cause"]
    'made_goal'
    """
    case = Case(book, situation, tables_of(book, situation.settings), after_throws=False)
    case.to_the_spot()
    f = alike(case.tables, case.f).features
    asked = _SCOPE[table.name]
    names = tuple(dict.fromkeys((*(("cause",) if narrow else ()), *asked)))
    if not narrow:
        names = tuple(n for n in names if n != "cause")
    return {name: f[name] for name in names if f[name] not in ("open", "unsaid")}


def conditions_words(when: Mapping[str, str]) -> str:
    """Return conditions as a person reads them.

    >>> conditions_words({"line": "end_line"})
    'line of the spot: end line'
    """
    return "; ".join(f"{FEATURE_WORDS.get(k, k)}: {v.replace('_', ' ')}" for k, v in when.items())


def _form_problems(form: Mapping[str, str]) -> list[Problem]:
    problems = []
    for name, label in (
        ("title", "a short name"),
        ("sentence", "one sentence"),
        ("outcome", "an answer"),
        ("by", "a name"),
    ):
        if not form.get(name, "").strip():
            problems.append(Problem(name, "nothing", label, "fill it in"))
    for name, value in form.items():
        if len(value) > 2_000:
            problems.append(Problem(name, f"{len(value)} signs", "at most 2,000", "shorten it"))
        elif any(ord(sign) < 32 and sign not in "\r\n\t" for sign in value):
            problems.append(Problem(name, "a sign that is no text", "readable text", "take it out"))
    section = form.get("section", "").strip()
    if section and not re.match(r"^[0-9A-Za-z][0-9A-Za-z .-]{0,30}$", section):
        problems.append(
            Problem("section", repr(section), "an article number such as 7-6-2", "copy it from your manual")
        )
    status = form.get("status", "local option")
    if status not in STATUS:
        problems.append(one_of("status", status, STATUS))
    return problems


def _read_outcome(text: str) -> Mapping[str, Any]:
    try:
        value = json.loads(text)
    except ValueError:
        value = None
    if not isinstance(value, dict) or not value:
        raise BookError(
            Problem("outcome", repr(text)[:80], "one of the answers offered", "choose one of the list")
        )
    return value


def _free_id(base: str, title: str) -> str:
    slug = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:40].strip("-") or digest(title)[:8]
    id_, n = f"own.{slug}", 2
    while f'id = "{id_}"' in base:
        id_, n = f"own.{slug}-{n}", n + 1
    return id_


def _new_layer(court: str, day: str) -> str:
    return (
        "# Your own layer: it lies on top of edition, state and association.\n"
        f'[layer]\nid = "{OWN}"\ntitle = "own layer"\nauthority = "own"\nentered = {day}\nfor = {json.dumps([_ids_begin(court)])}\n'
    )


def _provision_text(
    id_: str,
    form: Mapping[str, str],
    table: Table,
    when: Mapping[str, str],
    then: Mapping[str, Any],
    overrides: tuple[str, ...],
    day: str,
) -> str:
    lines = ["", "[[provision]]", f"id = {_toml(id_)}", 'group = "own"']
    for name in ("title", "sentence", "why", "wrong", "said", "source", "section"):
        value = " ".join(form.get(name, "").split())
        if value:
            lines.append(f"{name} = {_toml(value)}")
    lines += ['confidence = "practice"', f"status = {_toml(form.get('status') or 'local option')}", ""]
    lines += ["[[provision.row]]", 'name = "entered"', f"table = {_toml(table.name)}"]
    lines.append(f"when = {_inline(when)}")
    lines.append(f"then = {_inline(then)}")
    if overrides:
        because = f"entered by {' '.join(form['by'].split())} on {day}"
        lines += [f"overrides = {json.dumps(list(overrides))}", f"because = {_toml(because)}"]
    return "\n".join(lines) + "\n"


def _inline(pairs: Mapping[str, Any]) -> str:
    return "{ " + ", ".join(f"{name} = {_toml(value)}" for name, value in pairs.items()) + " }"


def _toml(value: Any) -> str:
    """Return a value as TOML; JSON's text, number and list forms are TOML's as well."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def question(ruling: Ruling, said: str, book_title: str) -> str:
    """Return the letter to the interpreter about what is open, ready to send.

    >>> s = Situation(edition="fiba-2po", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> question(Ruling(situation=s, restart=None), "After a goal.", "FIBA").splitlines()[0]
    'A question about mechanics for a crew of two'
    """
    open_parts = [f"- {_words(n.part)}: {n.why}" for n in ruling.not_covered] or [
        "- nothing is open; is the answer right?"
    ]
    return "\n".join(
        [
            "A question about mechanics for a crew of two",
            "",
            f"Situation: {said}",
            f"Looked up in: {book_title}",
            "",
            "Nothing entered covers:",
            *open_parts,
            "",
            "What should we teach, and from which article or memo?",
            "",
            "Until you answer we tell the class that this is open.",
        ]
    )


def editions_for(court: str) -> tuple[str, ...]:
    """Return the ids of the editions played on a kind of floor.

    >>> editions_for("fiba")
    ('fiba-2po',)
    """
    from tenbetween.book import editions

    return tuple(head.id for head in editions() if edition_head(head.id).court == court)


def _ids_begin(court: str) -> str:
    """How the ids of a floor's editions begin, as a layer says what it is meant for."""
    return "us-hs" if court == "us-hs" else court
