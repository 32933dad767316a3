"""A workbench for the tests of the screens: the real book, words and drawings; all else in memory."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import lru_cache
from random import Random
from typing import Any

from tests.web.fake_clips import FakeClips
from tests.web.fake_courts import court_room
from tests.web.fake_films import FakeFilms

from tenbetween.book import Book, decide, editions, load_book
from tenbetween.court import court_of
from tenbetween.desk import board
from tenbetween.draw import facts as draw_facts
from tenbetween.draw import words as draw_words
from tenbetween.draw.court_svg import court_svg
from tenbetween.draw.diagram import painted
from tenbetween.draw.frame import Frame, frame_of
from tenbetween.draw.ink import THEMES
from tenbetween.draw.layout import lay_out
from tenbetween.errors import NotationError, Problem, SituationError, StoreError
from tenbetween.formats.play_json import read_play
from tenbetween.formats.scene_json import read_scene
from tenbetween.situation import CAUSES, Ruling, Situation, person_of
from tenbetween.units import FOOT
from tenbetween.web.workbench import Json, Look, Picture, Start

WIDE: Look = {"shape": "whole", "turned": False, "end": "right", "team": "White"}
SCALES = {"whole": 8.38, "half": 6.0}
FIRST: Json = {
    "attacking": "right", "stopped_by": "out_of_bounds", "ball_to": "same", "lead_side": "table",
    "crew": {"lead": "umpire"},
}  # fmt: skip
OTHER = {"White": "Dark", "Dark": "White"}


@lru_cache(maxsize=8)
def book_of(edition: str) -> Book:
    return load_book(edition)


def read_situation(given: Mapping[str, Any]) -> Situation:
    if given.get("stopped_by") not in CAUSES:
        raise SituationError(Problem("stopped_by", repr(given.get("stopped_by")), "a cause", "choose one"))
    at = given.get("at")
    return Situation(
        edition=given.get("edition") or "us-hs-2025",
        attacking=given["attacking"],
        stopped_by=given["stopped_by"],
        lead_side=given.get("lead_side"),
        lead_person=(given.get("crew") or {}).get("lead"),
        at=(round(at[0] * FOOT), round(at[1] * FOOT)) if at else None,
        ball_to=given.get("ball_to"),
        layers=tuple(given.get("layers") or ()),
        pending=given.get("pending"),
        called_by=given.get("called_by"),
        bonus=bool(given.get("bonus")),
        pressure=bool(given.get("pressure")),
    )


def matrix(frame: Frame) -> tuple[float, float, float, float, float, float]:
    """Return how feet become units of the drawing."""
    (ox, oy), (xx, xy), (yx, yy) = frame.at((0, 0)), frame.at((1, 0)), frame.at((0, 1))
    return (xx - ox, xy - oy, yx - ox, yy - oy, ox, oy)


def empty_court(kind: str, look: Look) -> Picture:
    half = look["end"] if look["shape"] == "half" else None
    court, scale = court_of(kind), SCALES[look["shape"]]
    svg = court_svg(court, half=half, turned=look["turned"], theme="screen", scale=scale)
    return {"svg": svg, "frame": matrix(frame_of(court, half=half, scale=scale, turned=look["turned"]))}


def drawn(ruling: Ruling, look: Look, teams: tuple[str, str]) -> Picture:
    scale = SCALES[look["shape"]]
    plan = lay_out(ruling, half=look["shape"] == "half", turned=look["turned"], scale=scale, teams=teams)
    return {"svg": painted(plan, THEMES["screen"], teams), "frame": matrix(plan.frame)}


class FakeWorkbench:
    """Keeps in memory; answers by the real book."""

    def __init__(self) -> None:
        self.kept: list[Json] = []
        self.undone: list[Json] = []
        self.calls: list[str] = []
        self.films = FakeFilms()
        self.courts = court_room(self.films)
        self.clips = FakeClips()
        self.layer_choices: list[Json] = [
            {"id": "k-24", "title": "Kellmere memo K-24", "authority": "state", "entered": "2025-11-03"}
        ]

    @property
    def today(self) -> str:
        return "2025-11-11"

    def start(self) -> Start:
        choices = []
        for head in editions():
            court = court_of(head.court)
            choices.append(
                {
                    "id": head.id,
                    "title": head.title,
                    "short": head.short,
                    "length": round(court.length / FOOT, 4),
                    "width": round(court.width / FOOT, 4),
                }
            )
        return {
            "edition": "us-hs-2025",
            "layers": [],
            "editions": choices,  # type: ignore[typeddict-item]
            "layer_choices": self.layer_choices,  # type: ignore[typeddict-item]
            "settings": {},
        }

    def read_line(self, line: str) -> Json:
        if line.strip() == "out off dark, table 26, white":
            return self._usual()
        try:
            return dict(json.loads(line))
        except ValueError:
            raise NotationError(
                Problem(
                    "line",
                    repr(line)[:80],
                    "what stopped play, where, whose ball",
                    "write it like the example",
                )
            ) from None

    @staticmethod
    def _usual() -> Json:
        return {
            "edition": "us-hs-2025",
            "attacking": "right",
            "stopped_by": "out_of_bounds",
            "at": [58, 0],
            "ball_to": "same",
            "lead_side": "table",
            "crew": {"lead": "umpire"},
        }

    def answer(self, situation: Json, look: Look | None = None) -> Json:
        self.calls.append("answer")
        look = look or WIDE
        asked = read_situation(situation)
        ruling = decide(book_of(asked.edition), asked)
        picture = drawn(ruling, look, (look["team"], OTHER[look["team"]]))
        return {
            "answer": {"covered": ruling.covered, "reasons": []},
            "view": self._view(situation, asked, ruling, (look["team"], OTHER[look["team"]])),
            **picture,
        }

    def _view(self, situation: Json, asked: Situation, ruling: Ruling, teams: tuple[str, str]) -> Json:
        line = json.dumps(situation, separators=(",", ":"))
        after = ruling.roles_after
        turns = []
        for was, now in (("lead", after.old_lead), ("trail", after.old_trail)) if after else ():
            turns.append({"person": person_of(was, asked) or "referee", "was": was, "now": now})  # type: ignore[arg-type]
        first = next((r for r in ruling.reasons if r.decides == "roles_after"), None)
        return {
            "line": line,
            "line_query": _line_query(line),
            "edition": asked.edition,
            "sentence": draw_words.sentence(ruling, teams=teams),
            "partner": draw_words.partner_sentence(ruling, teams=teams),
            "switch": {True: "yes", False: "no", None: ""}[ruling.switch],
            "turns": turns,
            "facts": [
                {"label": f.label, "strong": f.strong, "rest": f.rest} for f in draw_facts.facts(ruling)
            ],
            "steps": [{"number": s.number, "text": s.text, "open": False} for s in draw_words.steps(ruling)],
            "open": [
                {"part": n.part, "label": n.part.replace("_", " ").capitalize(), "text": n.why, "why": n.why}
                for n in ruling.not_covered
            ],
            "near": "",
            "after": None,
            "provision": first.provision if first else "",
            "confidence": f"confidence {first.confidence}" if first else "",
            "section": "",
            "reasons": [
                {
                    "decides": r.decides.replace("_", " "),
                    "provision": r.provision,
                    "row": r.row,
                    "source": r.source,
                    "edition": r.edition,
                    "layer": r.layer,
                    "setting": r.setting,
                    "confidence": r.confidence,
                    "status": r.status,
                    "beats": list(r.beats),
                }
                for r in ruling.reasons
            ],
            "others": self.compare(situation),
            "notes": self.notes(situation),
            "short_text": draw_words.short_text(ruling),
            "caution": ruling.caution,
        }

    def court(self, edition: str, look: Look) -> Picture:
        return empty_court(book_of(edition).court_kind, look)

    def compare(self, situation: Json) -> Sequence[Json]:
        here = read_situation(situation)
        mine = draw_words.sentence(decide(book_of(here.edition), here))
        said = []
        for head in editions():
            if head.court == "us-hs" and head.id != here.edition:
                there = {**situation, "edition": head.id}
                text = draw_words.sentence(decide(book_of(head.id), read_situation(there)))
                differs = [] if text == mine else [{"part": "sentence", "here": mine, "there": text}]
                said.append(
                    {
                        "edition": head.id,
                        "title": head.title,
                        "short": head.short,
                        "same": text == mine,
                        "sentence": text,
                        "differs": differs,
                        "href": "/?" + _line_query(json.dumps(there)),
                    }
                )
        return said

    # -- taking it along --

    def sheet(self, situation: Json, kind: str, look: Look) -> bytes:
        if kind == "pdf":
            return b"%PDF-1.7 fake"
        return b"\x89PNG fake" if kind == "png" else b"<svg xmlns='http://www.w3.org/2000/svg'/>"

    def one_file(self, situation: Json) -> str:
        return "<!doctype html><title>One answer</title><p>" + self.answer(situation)["view"]["sentence"]

    # -- the book --

    def book(self, edition: str, layers: Sequence[str]) -> Json:
        book = _book_or_directions(edition)
        groups: dict[str, list[Json]] = {}
        for one in book.provisions.values():
            groups.setdefault(one.group, []).append(_short(one))
        settings = self.settings(edition, layers)
        return {
            "id": book.id,
            "title": book.title,
            "layers": [],
            "digest": book.digest,
            "note": "",
            "groups": [{"name": name, "provisions": found} for name, found in groups.items()],
            "settings": settings,
            "totals": f"{len(book.provisions)} provisions",
        }

    def provision(self, edition: str, layers: Sequence[str], id: str) -> Json:
        book = _book_or_directions(edition)
        if id not in book.provisions:
            raise StoreError(Problem("provision", repr(id), "one of the book", "search for it"))
        one = book.provisions[id]
        rows = [{"name": r.name, "table": r.table, "when": _plain(r.when), "then": _plain(r.then), "overrides": list(r.overrides), "because": r.because} for r in one.rows]  # fmt: skip  # noqa: E501
        fields = ("why", "wrong", "said", "signal", "source", "section", "edition", "file", "line")
        more = {name: getattr(one, name) for name in fields}
        history = [{"edition": "us-hs-2022", "change": "first entered"}]
        return {**_short(one), **more, "rows": rows, "history": history, "rests": []}

    def search(self, edition: str, layers: Sequence[str], text: str) -> Sequence[Json]:
        wanted = text.lower().split()
        found = list(_book_or_directions(edition).provisions.values())
        return [
            _short(one)
            for one in found
            if all(w in f"{one.id} {one.title} {one.sentence}".lower() for w in wanted)
        ]

    def changes(self, before: str, after: str, layers: Sequence[str]) -> Json:
        _book_or_directions(before), _book_or_directions(after)
        one = {"kind": "changed", "part": "spot", "before": "sideline", "after": "end line", "row_before": "a/b", "row_after": "c/d", "situations": 12, "example": "violation at 70,40", "follows": False}  # fmt: skip  # noqa: E501
        return {"before": before, "after": after, "situations": 325304, "changes": [one, {**one, "follows": True}], "only_before": [], "only_after": ["who.press"], "reworded": []}  # fmt: skip  # noqa: E501

    # -- writing --

    def entry_form(self, situation: Json, part: str) -> Json:
        field = {"help": "", "choices": [], "kind": "text", "value": "", "required": False}
        return {
            "title": "Enter the answer",
            "about": "White attacks right. Ball out of bounds at table sideline, 26 ft.",
            "line": json.dumps(situation, separators=(",", ":")),
            "fields": [
                {**field, "name": "title", "label": "Name", "value": "Lead's sideline, high", "required": True},
                {**field, "name": "sentence", "label": "As you would say it", "kind": "long", "required": True},
                {**field, "name": "handles", "label": "Who gives the ball", "kind": "choice", "value": "trail",
                 "choices": [["lead", "lead"], ["trail", "trail"]]},
                {**field, "name": "source", "label": "Source", "help": "memo, meeting, page"},
            ],
        }  # fmt: skip

    def write(self, form: Mapping[str, str], *, keep: bool) -> Json:
        problems = []
        if not form.get("sentence"):
            problems.append(
                {"where": "sentence", "found": "nothing", "expected": "one sentence", "do": "write it"}
            )
        kept = keep and not problems
        if kept:
            self._journal("provision", form.get("title", ""))
        return {
            "problems": problems,
            "before": "Nothing entered says who gives the ball here.",
            "after": "Old lead bounces it.",
            "changed": [{"part": "who", "before": "not covered", "after": "trail"}],
            "moved": "Moves 12 situations of the counted space.",
            "text": '[[provision]]\nid = "own.one"\n',
            "kept": kept,
            "entry": self.kept[-1]["id"] if kept else "",
            "href": "/",
        }

    def question(self, situation: Json) -> Json:
        return {"title": "To the interpreter", "text": "Who gives the ball here?\nWe could not find it."}

    def _journal(self, kind: str, words: str) -> None:
        number = len(self.kept) + 1
        entry = {"id": f"e{number}", "seq": number, "at": "2025-11-11 21:52", "by": "Wendell Thackrow"}
        self.kept.append({**entry, "kind": kind, "words": words or kind, "change": "new", "undoable": True})

    def history(self, before: int | None = None) -> Json:
        older = [e for e in self.kept if before is None or e["seq"] < before]
        return {
            "entries": older[::-1][:50],
            "can_undo": bool(self.kept),
            "can_redo": bool(self.undone),
            "older": None,
        }

    def undo(self, entry: str | None) -> Json:
        if not self.kept:
            raise StoreError(Problem("undo", "nothing to take back", "a change", "change something first"))
        self.undone.append(self.kept.pop())
        return {"words": f"Taken back: {self.undone[-1]['words']}."}

    def redo(self, entry: str | None) -> Json:
        if not self.undone:
            raise StoreError(Problem("redo", "nothing was taken back", "an undo", "undo something first"))
        self.kept.append(self.undone.pop())
        return {"words": f"Done again: {self.kept[-1]['words']}."}

    # -- kept --

    def notes(self, situation: Json) -> Json:
        return {"stamps": [], "advice": [], "summary": "nothing yet", "conflict": False}

    def keep(self, kind: str, situation: Json | None, form: Mapping[str, str]) -> Json:
        missing = [
            name
            for name in {"stamp": ("by", "on"), "advice": ("by", "what")}.get(kind, ())
            if not form.get(name)
        ]
        if missing:
            raise StoreError([Problem(name, "nothing", "a few words", "fill it in") for name in missing])
        self._journal(kind, form.get("title") or form.get("what") or kind)
        return {"words": f"Kept: {kind}.", "href": "/history"}

    def frozen(self) -> Json:
        editions_run = [{"short": "2025-26", "ok": True, "says": "the same"}, {"short": "2023-24", "ok": False, "says": "at the sideline"}]  # fmt: skip  # noqa: E501
        one = {"id": "f1", "title": "Lead high", "sentence": "Old lead bounces it.", "href": "/", "note": "", "runs": editions_run}  # fmt: skip  # noqa: E501
        return {
            "frozen": [one] if self.kept else [],
            "columns": ["2025-26", "2023-24"],
            "summary": "1 of 2 as agreed",
        }

    def saved(self) -> Sequence[Json]:
        return []

    def officials(self) -> Json:
        return {"officials": [{"id": "o1", "name": "Dara Whitlock", "short": "Dara"}], "crews": []}

    def settings(self, edition: str, layers: Sequence[str]) -> Sequence[Json]:
        fields = ("name", "title", "what", "value", "set_by")
        found = _book_or_directions(edition).settings.values()
        return [{**{f: getattr(s, f) for f in fields}, "values": list(s.values)} for s in found]

    # -- games --

    def games(self) -> Sequence[Json]:
        return []

    def walk(self, form: Mapping[str, str], *, keep: bool) -> Json:
        rows = [line for line in form.get("stoppages", "").splitlines() if line.strip()]
        if not rows:
            return {"problems": [{"where": "row 1", "found": "nothing", "expected": "a stoppage", "do": "type one"}], "rows": [], "totals": [], "title": "", "id": ""}  # fmt: skip  # noqa: E501
        walked = [{"number": n, "when": "Q1", "what": row, "sentence": "Trail bounces it.", "switch": "no", "lead": "Umpire, table side", "ran": "12 ft", "href": "/", "open": ""} for n, row in enumerate(rows, 1)]  # fmt: skip  # noqa: E501
        return {"problems": [], "rows": walked, "totals": [{"label": "Stoppages", "value": str(len(rows))}], "title": form.get("title", ""), "id": "g1"}  # fmt: skip  # noqa: E501

    def game(self, id: str) -> Json:
        if id != "g1":
            raise StoreError(Problem("game", repr(id), "a walked game", "choose one of the list"))
        return self.walk({"stoppages": "out", "title": "Ardenmoor at Pell Hollow"}, keep=False)

    # -- the court ----------

    def board_of_answer(self, line: str, formation: str, dice: Random, *, turned: bool) -> Json:
        asked = self.read_line(line) if line else {**FIRST, "at": [56, 0]}
        ruling = decide(book_of("us-hs-2025"), read_situation(asked))
        return board.of_answer(ruling, line, formation, dice, turned=turned)

    def board_of_line(self, scene: str, dice: Random, *, turned: bool) -> Json:
        return board.of_line(scene, dice, turned=turned)

    def board_of_play(self, id: str, dice: Random, *, turned: bool) -> Json:
        if id != "p1":
            raise StoreError(Problem("play", repr(id), "a saved play", "choose one of the list"))
        return self.board_of_answer("", "", dice, turned=turned)

    def board_of_file(self, text: str, name: str, dice: Random, *, turned: bool) -> Json:
        return {**self.board_of_answer("", "", dice, turned=turned), "report": ("1 frame.",)}

    def seen(self, scene: Json, line: str, step: int, dice: Random) -> Json:
        return board.seen_parts(read_scene(scene), None, dice)

    def save_play(self, play: Json, title: str = "", id: str | None = None, seen: str | None = None) -> Json:
        return {"id": "p1", "href": "/plays/p1", "words": f"Kept: {title}."}

    def plays(self, provision: str | None = None) -> Sequence[Json]:
        one = {"id": "p1", "title": "Sideline high", "formation": "sideline-box-man", "line": "", "steps": 4}
        return (
            [{**one, "at": "2025-11-11", "provisions": ["who.lead-line-high"]}] if provision != "zzz" else []
        )

    def withdraw_play(self, id: str) -> Json:
        return {"words": "Withdrawn.", "href": "/plays"}

    def play_file(self, play: Json, kind: str, step: int, **_: Any) -> tuple[str, bytes]:
        return board.file_of(read_play(play), kind, step)


def _plain(pairs: Any) -> str:
    return "; ".join(f"{name}: {value if isinstance(value, str) else ', '.join(map(str, value)) if isinstance(value, tuple) else value}" for name, value in pairs)  # fmt: skip  # noqa: E501


def _short(one: Any) -> Json:
    fields = (
        "id",
        "group",
        "title",
        "sentence",
        "status",
        "confidence",
        "layer",
        "why",
        "wrong",
        "said",
        "signal",
    )
    fields = (*fields, "source", "section")
    return {name: getattr(one, name) for name in fields}


def _book_or_directions(edition: str) -> Book:
    if edition not in {head.id for head in editions()}:
        raise SituationError(Problem("edition", repr(edition), "one that is here", "choose one of the list"))
    return book_of(edition)


def _line_query(line: str) -> str:
    from urllib.parse import urlencode

    return urlencode({"line": line})
