"""Writes again the parts of docs/ that the program itself knows; what stands between two marks is never typed by hand.

A paper names a part with a line ``<!-- made: editions -->`` and ends it with ``<!-- end -->``.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

from tenbetween.book import Provision, editions, load_book
from tenbetween.book.kept import kept_totals
from tenbetween.book.provision import Setting
from tenbetween.book.vocabulary import FEATURE_WORDS, FEATURES, TABLES, Table
from tenbetween.desk.library import grouped
from tenbetween.errors import BookError, UsageError, one_of
from tenbetween.notation import NEEDS, Need
from tenbetween.notation.phrases import CAUSE_PHRASES

Say = Callable[[str], object]
NEWEST = "us-hs-2025"
MARKED = re.compile(r"(<!-- made: (?P<name>[a-z-]+) -->\n)(?P<text>.*?)(<!-- end -->)", re.DOTALL)
COMMANDS = (
    "", "answer", "sheet", "walk", "book", "book list", "book show", "book check", "book compare", "book new layer",
    "book new edition", "court", "sight", "run", "tracks", "play", "show", "film", "film add", "film folder", "film look",
    "film listen", "film locate", "film cut", "film join", "film demo", "work", "serve", "demo", "completion",
)  # fmt: skip
"""Every command whose help stands in the papers."""


def refresh(root: Path, *, check_only: bool, say: Say) -> int:
    """Write every stale paper again, or with ``check_only`` name it and return 1."""
    stale = [
        path
        for path in sorted((root / "docs").glob("*.md"))
        if fresh(path.read_text("utf-8")) != path.read_text("utf-8")
    ]
    for path in stale:
        if not check_only:
            path.write_text(fresh(path.read_text("utf-8")), encoding="utf-8")
        say(f"{'stale, run `make docs`' if check_only else 'written'}: docs/{path.name}")
    if not stale:
        say("every paper is fresh")
    return 1 if stale and check_only else 0


def fresh(text: str) -> str:
    """Return a paper with every marked part written anew.

    >>> fresh("no marks")
    'no marks'

    Raises:
        UsageError: a mark with a name nothing is made for.
    """
    return MARKED.sub(lambda found: f"{found[1]}{made(found['name'])}\n{found[4]}", text)


def made(name: str) -> str:
    """Return one part by name.

    >>> made("editions").splitlines()[0]
    '| edition | title | in force from | builds on | situations counted | provisions |'

    Raises:
        UsageError: no such part.
    """
    if name not in PARTS:
        raise UsageError(one_of("<!-- made: -->", name, tuple(PARTS)))
    return PARTS[name]()


def table(head: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    r"""Return a table in Markdown.

    >>> table(["a"], [["x | y"]])
    '| a |\n|---|\n| x \\| y |'
    """
    names = tuple(head)
    lines = [names, *rows]
    body = ["| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines]
    return "\n".join([body[0], "|" + "---|" * len(names), *body[1:]])


# -- the parts -------------------------------------------------------------------------------------------------


def edition_table() -> str:
    """Return who the editions are, with the situations counted for each."""
    head = ("edition", "title", "in force from", "builds on", "situations counted", "provisions")
    rows = [
        (
            f"`{e.id}`",
            e.title,
            e.from_date or "not said",
            f"`{e.based_on}`" if e.based_on else "",
            _counted(e.id),
            _size(e.id),
        )
        for e in editions()
    ]
    return table(head, rows)


def _counted(edition: str) -> str:
    try:
        found = re.search(r"^situations (\d+)$", kept_totals(edition), re.MULTILINE)
    except BookError:
        found = None
    return f"{int(found[1]):,}" if found else "not counted yet"


def _size(edition: str) -> str:
    return str(len(load_book(edition).provisions))


def setting_table() -> str:
    """Return every setting of the newest U.S. edition and of the others that it lacks, default first."""
    found: dict[str, Setting] = {}
    for edition in (NEWEST, *(head.id for head in editions())):
        found = {**load_book(edition).settings, **found}
    rows = [(f"`{s.name}`", s.title, _values(s), s.set_by, _ground(s)) for s in found.values()]
    return table(
        ("setting", "what it is about", "values, the one in force first", "set by", "says who"), rows
    )


def _values(setting: Setting) -> str:
    others = [value for value in setting.values if value != setting.value]
    return ", ".join([f"**{setting.value}**", *others])


def _ground(setting: Setting) -> str:
    return f"{setting.source} ({setting.confidence})" + (f"; {setting.because}" if setting.because else "")


HITS = {"one": "exactly one", "all": "all that apply"}


def tables_table() -> str:
    """Return every decision of the book, what it may say, and how many rows apply."""
    rows = [(f"`{t.name}`", t.decides.replace("_", " "), _fields(t), HITS[t.hit]) for t in TABLES]
    return table(("table", "decides", "then", "rows"), rows)


def _fields(one: Table) -> str:
    """Return the fields of a table; those with the same values stand together."""
    by_values: dict[str, list[str]] = {}
    for name, allowed in one.fields.items():
        by_values.setdefault(_allowed(allowed), []).append(f"`{name}`")
    return "; ".join(f"{', '.join(names)}: {values}" for values, names in by_values.items())


def _allowed(allowed: tuple[str, ...] | type) -> str:
    if isinstance(allowed, tuple):
        return ", ".join(word or "(empty)" for word in allowed)
    return {"int": "a whole number", "str": "a text", "bool": "true or false"}[allowed.__name__]


def feature_table() -> str:
    """Return what a row may ask about a situation."""
    rows = [(f"`{name}`", words, _asked(name)) for name, words in FEATURE_WORDS.items()]
    return table(("when", "asks", "values"), rows)


def _asked(name: str) -> str:
    return "see the causes in notation.md" if name == "cause" else ", ".join(FEATURES[name])


PLACES = {"line": "where it crossed the line", "must": "where it was", "may": "may be said"}


def cause_table() -> str:
    """Return every cause with what it asks for and other words for it."""
    rows = [
        (
            cause.replace("_", " "),
            PLACES[need.place],
            _ball(need),
            "yes" if need.roles else "no",
            _also(cause),
        )
        for cause, need in NEEDS.items()
    ]
    return table(
        ("why play stopped", "place", "ball to", "lead's side", "also understood, for example"), rows
    )


def _ball(need: Need) -> str:
    words = " or ".join(need.ball) or "not asked"
    return words if len(need.ball) != 1 else f"{words}, need not be said"


def _also(cause: str) -> str:
    spellings = [word.strip() for word in CAUSE_PHRASES.get(cause, "").split("|")]
    return ", ".join(spellings[:5])


def provision_list() -> str:
    """Return every provision of the newest U.S. edition and of the international game, in the order of the lesson."""
    return "\n\n".join(_provisions(edition) for edition in (NEWEST, "fiba-2po"))


def _provisions(edition: str) -> str:
    book = load_book(edition)
    lines = [f"## {book.title}"]
    for name, found in grouped(book):
        lines += ["", f"### {name[:1].upper()}{name[1:]}", "", *(_line(one) for one in found)]
    return "\n".join(lines)


def _line(one: Provision) -> str:
    sure = one.status if one.confidence == "practice" else f"{one.status}, {one.confidence}"
    return f"- **{one.title}** `{one.id}`. {one.sentence} *({one.source or 'common practice, no source'}; {sure})*"


def command_help() -> str:
    """Return what each command says of itself."""
    return "\n\n".join(f"## {_name(words)}\n\n```text\n{_help(words)}\n```" for words in COMMANDS)


def _name(words: str) -> str:
    return f"tenbetween {words}".strip()


def _help(words: str) -> str:
    given = (sys.executable, "-m", "tenbetween", *words.split(), "--help")
    wide = {**os.environ, "COLUMNS": "100", "LC_ALL": "C.UTF-8"}
    return subprocess.run(given, capture_output=True, text=True, check=True, env=wide).stdout.rstrip()


PARTS: dict[str, Callable[[], str]] = {
    "editions": edition_table,
    "settings": setting_table,
    "tables": tables_table,
    "features": feature_table,
    "causes": cause_table,
    "provisions": provision_list,
    "commands": command_help,
}
