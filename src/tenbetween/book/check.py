"""Proves a book over the counted space: no gap, no conflict, no idle row, nothing impossible, true reflections.

Every class of situations is asked at the default settings and at every other value of one setting at a time.
Problems come largest first, as rows a trainer can read, with file and line.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

from msgspec import Struct

from tenbetween.book.alike import alike
from tenbetween.book.decide import Case
from tenbetween.book.index import GAP, Desk
from tenbetween.book.load import Book
from tenbetween.book.provision import digest
from tenbetween.book.space import Group, Key, answer_of, first_stage, fresh_tables, groups, settled, variants
from tenbetween.court import mirror_basket, mirror_ends, mirror_side, mirror_sides
from tenbetween.situation import Ruling, Situation, as_plain

NAMES_THE_TABLE = (
    "where.quarter/division-line",
    "where.technical/division-line",
    "fiba.where/quarter",
    "fiba.throw-in-line/front-line",
)
"""Rows that name the table's side, so that the table/opposite reflection does not hold for them."""
SPOT_SETTINGS = ("tie", "end_spot_point", "nearest_2022", "dividing_line_top", "backcourt_spots")
"""Settings that move the spot, for which the classes must be found again."""


class Finding(Struct, frozen=True, order=True):
    """One problem: how many situations it touches, what it is, where it stands, and one situation."""

    count: int
    kind: str
    says: str
    where: str
    example: str


class Totals(Struct, frozen=True):
    """What the space comes to: situations, how often each row decides, each answer is given, and a digest of it all."""

    edition: str
    situations: int
    rows: dict[str, int]
    decided: dict[str, int]
    digest: str
    answers: dict[str, int] = {}
    """How often each part has each answer, as "administers: lead"."""


class Report(Struct, frozen=True):
    """The outcome of a check: totals at the defaults, findings largest first, and how much was asked."""

    totals: Totals
    findings: tuple[Finding, ...]
    settings_tried: int
    situations_asked: int

    @property
    def good(self) -> bool:
        """True when nothing was found."""
        return not self.findings


class _Tally:
    """What is gathered while a space is walked."""

    def __init__(self) -> None:
        self.rows: Counter[str] = Counter()
        self.decided: Counter[str] = Counter()
        self.answers: Counter[str] = Counter()
        self.problems: dict[tuple[str, str], list[Any]] = {}
        self.outcomes: list[tuple[Key, str]] = []
        self.live: set[str] = set()
        self.total = 0

    def problem(
        self, kind: str, says: str, count: int, example: Situation, rows: tuple[str, ...] = ()
    ) -> None:
        """Note a problem once, with how many situations it touches and the rows it comes from."""
        entry = self.problems.setdefault((kind, says), [0, example, rows])
        entry[0] += count


def check(book: Book, *, each_setting: bool = False, progress: Callable[[str], None] | None = None) -> Report:
    """Return what is wrong with a book over its counted space, or that nothing is.

    ``each_setting`` asks every other value of one setting at a time as well; only then is an idle row known.

    >>> from tenbetween.book import load_book
    >>> check(load_book("fiba-2po")).good
    True
    """
    tally = _Tally()
    tables = fresh_tables(book)
    found, wrong = groups(book, tables)
    _ask_all(book, tables, found, tally)
    for says in wrong:
        tally.problem("impossible", says, 1, next(iter(found.values())).example)
    _reflections(book, tables, tally)
    totals = _totals(book, tally)
    tried, asked = 0, tally.total
    if each_setting:
        for name, value in other_values(book):
            if progress:
                progress(f"{name} = {value}")
            asked += _ask_setting(book, name, value, found, tally)
            tried += 1
        _idle_rows(book, tally)
    return Report(totals, _findings(book, tally), tried, asked)


def other_values(book: Book) -> Iterator[tuple[str, str]]:
    """Yield every value of every setting that is not the one in force."""
    for setting in book.settings.values():
        yield from ((setting.name, value) for value in setting.values if value != setting.value)


def _ask_setting(book: Book, name: str, value: str, found: dict[Key, Group], tally: _Tally) -> int:
    tables = fresh_tables(book, ((name, value),))
    if name in SPOT_SETTINGS:
        found, wrong = groups(book, tables)
        for says in wrong:
            tally.problem(
                "impossible", f"with {name} = {value}: {says}", 1, next(iter(found.values())).example
            )
    own = _Tally()
    own.problems = tally.problems
    own.live = tally.live
    _ask_all(book, tables, found, own)
    return own.total


def _ask_all(book: Book, tables: Desk, found: dict[Key, Group], tally: _Tally) -> None:
    for key, group in found.items():
        for situation in variants(group.example):
            ruling = answer_of(book, tables, situation, group.after_throws)
            tally.total += group.count
            _judge(tally, ruling, group.count, situation)
            _gaps(tally, ruling, group, situation, (book, tables))
            tally.outcomes.append(((*key, *_variant(situation)), _outcome(ruling)))
    tally.live |= _live_rows(tables)


def _variant(situation: Situation) -> Key:
    return (situation.called_by or "unsaid", str(situation.pressure), situation.clock or "unsaid")


def _outcome(ruling: Ruling) -> str:
    """A ruling without its point, place and words: what must not move unseen."""
    return digest(
        [
            ruling.restart, ruling.line, ruling.court_part, ruling.may_run_end_line, ruling.delivery,
            as_plain(ruling.administers), ruling.switch, as_plain(ruling.roles_after), ruling.stands, as_plain(ruling.count),
            ruling.clock_starts, ruling.chop, ruling.watches,
            sorted((name, post.name) for name, post in (ruling.places or {}).items()),
            [r.row for r in ruling.reasons], [n.part for n in ruling.not_covered],
        ]
    )  # fmt: skip


def _judge(tally: _Tally, ruling: Ruling, count: int, situation: Situation) -> None:
    for said in _answers(ruling):
        tally.answers[said] += count
    for reason in ruling.reasons:
        tally.rows[reason.row] += count
        tally.decided[reason.decides] += count
    for part in ruling.not_covered:
        tally.decided[f"{part.part} not covered"] += count
        if "both apply" in part.why:
            tally.problem("conflict", f"{part.part}: {part.why}", count, situation)
    for says, parts in _impossible(ruling):
        rows = tuple(r.row for r in ruling.reasons if r.decides in parts)
        tally.problem("impossible", says, count, situation, rows)


def _answers(ruling: Ruling) -> Iterator[str]:
    """Yield each part with what is answered, as totals name it."""
    for part in _PLAIN_PARTS:
        value = getattr(ruling, part)
        yield f"{part}: {'nothing' if value is None else value}"
    who, roles = ruling.administers, ruling.roles_after
    yield f"administers: {who.now if who else 'nobody or open'}"
    yield f"roles_after: {'nothing' if roles is None else 'each keeps his' if roles.old_lead == 'lead' else 'traded'}"
    yield from (f"places: {role} {post.name}" for role, post in (ruling.places or {}).items())


_PLAIN_PARTS = (
    "restart", "line", "court_part", "may_run_end_line", "delivery", "switch", "lead_side_after", "stands", "clock_starts",
)  # fmt: skip


def _gaps(
    tally: _Tally, ruling: Ruling, group: Group, situation: Situation, asked: tuple[Book, Desk]
) -> None:
    """Note every part for which no row at all applies, with the rows that come closest to applying."""
    for part in ruling.not_covered:
        if part.why == GAP:
            says = f"{part.part}: {GAP}"
            new = ("gap", says) not in tally.problems
            rows = closest_rows(*asked, situation, group.after_throws, part.part) if new else ()
            tally.problem("gap", says, group.count, situation, rows)


def closest_rows(
    book: Book, tables: Desk, situation: Situation, after_throws: bool, part: str
) -> tuple[str, ...]:
    """Return the rows of a part that fail to apply by the fewest conditions, at most two.

    >>> from tenbetween.book import load_book
    >>> book = load_book("us-hs-2025")
    >>> goal = Situation(edition=book.id, attacking="left", stopped_by="made_goal", lead_side="table")
    >>> closest_rows(book, fresh_tables(book), goal, False, "delivery")
    ('give.after-goal/none',)
    """
    case = Case(book, situation, tables, after_throws=after_throws)
    case.to_the_spot()
    f = alike(tables, case.f).features
    index = next(index for index in tables.values() if index.table.decides == part)
    short = [sum(f[name] not in allowed for name, allowed in r.when if name in f) for _, r in index.rows]
    return tuple(id_ for id_, n in zip(index.ids, short, strict=True) if n == min(short))[:2]


def impossible(ruling: Ruling) -> Iterator[str]:
    """Yield what cannot be on any floor: said plainly, one line each.

    >>> hurt = Situation(edition="e", attacking="left", stopped_by="injury")
    >>> list(impossible(Ruling(situation=hurt, restart="throw_in", delivery="hand")))
    ['the ball is handed and nobody gives it']
    """
    yield from (says for says, _ in _impossible(ruling))


def _impossible(ruling: Ruling) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield what cannot be, with the parts of the answer it comes from."""
    open_parts = {n.part for n in ruling.not_covered}
    who = ruling.administers
    if ruling.delivery in ("hand", "bounce") and who is None and "administers" not in open_parts:
        yield (
            f"the ball is {'handed' if ruling.delivery == 'hand' else 'bounced'} and nobody gives it",
            ("delivery", "administers"),
        )
    if ruling.may_run_end_line and (ruling.line != "end_line" or ruling.spot is not None):
        yield "the thrower may run the end line and has a spot", ("may_run_end_line", "spot")
    if ruling.roles_after and ruling.roles_after.old_lead == ruling.roles_after.old_trail:
        yield "both officials have the same role", ("roles_after",)
    if ruling.clock_starts == "running" and ruling.chop:
        yield "the clock runs and somebody chops", ("clock_starts", "chop")
    if who and ruling.court_part == "backcourt" and ruling.restart == "throw_in" and who.now == "lead":
        yield "the lead gives a throw-in in the back court", ("administers", "roles_after")
    if ruling.places and len({post.at for post in ruling.places.values()}) < len(ruling.places):
        yield "both officials stand on one place", ("places",)
    if ruling.situation.edition.startswith("us-hs") and ruling.restart and not 2 <= len(ruling.steps) <= 6:
        yield f"there are {len(ruling.steps)} steps; a sheet has room for two to six", ("restart",)


def _live_rows(tables: Desk) -> set[str]:
    live: set[str] = set()
    for index in tables.values():
        for hit in index.hits.values():
            live |= {index.ids[n] for n in hit.live}
        for rows in index.collected.values():
            live |= {f"{p.id}/{r.name}" for p, r in rows}
    return live


def _idle_rows(book: Book, tally: _Tally) -> None:
    nowhere = Situation(edition=book.id, attacking="left", stopped_by="injury")
    for provision in book.provisions.values():
        for row in provision.rows:
            if f"{provision.id}/{row.name}" not in tally.live:
                tally.problem("idle", f"{provision.id}/{row.name} never applies", 0, nowhere)


def _reflections(book: Book, tables: Desk, tally: _Tally) -> None:
    """Turn every situation round and over, and ask whether its spot and roles turn with it."""
    seen: dict[Situation, Any] = {}
    for situation, after in first_stage(book):
        if not after:
            case = settled(book, tables, situation, after)
            row = next((r.row for r in case.reasons if r.decides == "spot"), "")
            features = (case.f["line"], case.f["part"], case.f["level"], case.f["sideline_of"])
            seen[situation] = (case.placed.at if case.placed else None, features, row, case.court)
    for situation, (at, features, row, court) in seen.items():
        turned = _turned(situation, court, ends=True, sides=False)
        _compare(
            tally, seen, situation, turned, (mirror_ends(court, at) if at else None, features), "left/right"
        )
        if row and row not in NAMES_THE_TABLE:
            over = _turned(situation, court, ends=False, sides=True)
            _compare(
                tally,
                seen,
                situation,
                over,
                (mirror_sides(court, at) if at else None, features),
                "table/opposite",
            )


def _compare(
    tally: _Tally,
    seen: dict[Situation, Any],
    situation: Situation,
    turned: Situation,
    wanted: tuple[Any, Any],
    which: str,
) -> None:
    got = seen.get(turned)
    own_end = situation.pending == "run_end_line" or situation.at is None
    if got is None:
        tally.problem("reflection", f"{which}: the turned place is no cell", 1, situation)
    elif got[1] != wanted[1] or (got[0] != wanted[0] and not own_end):
        tally.problem("reflection", f"{which}: {wanted[0]} became {got[0]} by {got[2]}", 1, situation)


def _turned(s: Situation, court: Any, *, ends: bool, sides: bool) -> Situation:
    at = s.at
    if at is not None:
        at = mirror_ends(court, at) if ends else mirror_sides(court, at)
    return Situation(
        edition=s.edition,
        attacking=mirror_basket(s.attacking, ends=ends),
        stopped_by=s.stopped_by,
        lead_side=mirror_side(s.lead_side, sides=sides) if s.lead_side else None,
        at=at,
        ball_to=s.ball_to,
        pending=s.pending,
        bonus=s.bonus,
    )


def _totals(book: Book, tally: _Tally) -> Totals:
    rows = dict(sorted(tally.rows.items()))
    decided = dict(sorted(tally.decided.items()))
    answers = dict(sorted(tally.answers.items()))
    return Totals(book.id, tally.total, rows, decided, digest(sorted(tally.outcomes)), answers)


def _findings(book: Book, tally: _Tally) -> tuple[Finding, ...]:
    where = {f"{p.id}/{r.name}": f"{r.file}:{r.line}" for p in book.provisions.values() for r in p.rows}
    found = []
    for (kind, says), (count, example, rows) in tally.problems.items():
        named = [f"{row} ({where[row]})" for row in where if row in rows or row in says.split()]
        found.append(Finding(count, kind, says, ", ".join(named), situation_words(example)))
    return tuple(sorted(found, key=lambda f: (-f.count, f.kind, f.says)))


def situation_words(s: Situation) -> str:
    """Return a situation in a few words, for a row of a report.

    >>> situation_words(Situation(edition="e", attacking="left", stopped_by="held_ball", ball_to="other"))
    'held ball, attacking left, ball to other'
    """
    words = [s.stopped_by.replace("_", " "), f"attacking {s.attacking}"]
    if s.at:
        words.append(f"at {s.at[0] / 304_800:g},{s.at[1] / 304_800:g}")
    for name, value in (
        ("ball to", s.ball_to),
        ("lead", s.lead_side),
        ("pending", s.pending),
        ("called by", s.called_by),
    ):
        if value:
            words.append(f"{name} {value.replace('_', ' ')}")
    words += [word for word, on in (("bonus", s.bonus), ("pressure", s.pressure)) if on]
    return ", ".join(words)


def totals_text(totals: Totals) -> str:
    """Return totals as the text kept in the repository, one number a line.

    >>> totals_text(Totals("e", 2, {"a/b": 2}, {"spot": 2}, "d")).splitlines()[0]
    'edition e'
    """
    lines = [
        f"edition {totals.edition}",
        f"situations {totals.situations}",
        f"digest {totals.digest}",
        "",
        "decided",
    ]
    lines += [f"  {n:>9}  {part}" for part, n in totals.decided.items()]
    lines += ["", "answers"]
    lines += [f"  {n:>9}  {said}" for said, n in totals.answers.items()]
    lines += ["", "rows"]
    lines += [f"  {n:>9}  {row}" for row, n in totals.rows.items()]
    return "\n".join(lines) + "\n"


def moved(before: str, after: str) -> tuple[str, ...]:
    r"""Return which lines of kept totals moved, as "row: 10 -> 12".

    >>> moved("rows\n  10  a/b\n", "rows\n  12  a/b\n   1  c/d\n")
    ('a/b: 10 -> 12', 'c/d: 0 -> 1')
    """
    old, new = _numbers(before), _numbers(after)
    changed = [name for name in sorted({*old, *new}) if old.get(name) != new.get(name)]
    return tuple(f"{name}: {old.get(name, 0)} -> {new.get(name, 0)}" for name in changed)


def _numbers(text: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for line in text.splitlines():
        first, _, rest = line.strip().partition(" ")
        if first in ("situations", "digest"):
            found[first] = rest.strip()
        elif first.isdigit():
            found[rest.strip()] = first
    return found
