"""The trainer's workbench as the screens ask for it: one store, one shelf, every use case by name.

Joins the use cases of this room; holds no rule. Every call raises ``TenbetweenError`` with directions.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from msgspec import structs

from tenbetween import notation
from tenbetween.book import Book, LayerText, edition_head, editions, layer_head
from tenbetween.book.compare import PARTS
from tenbetween.court import court_of
from tenbetween.desk import books, entries, frozen, games, handed, kept, library, plays, views
from tenbetween.desk.answers import Shelf, answer, book_for, by_each_edition, edition_for
from tenbetween.desk.film_rooms import FilmRooms
from tenbetween.draw import words
from tenbetween.draw.court_svg import court_svg
from tenbetween.draw.diagram import diagram_svg, painted
from tenbetween.draw.frame import affine, frame_of
from tenbetween.draw.ink import THEMES
from tenbetween.draw.layout import lay_out
from tenbetween.draw.phrases import part_words
from tenbetween.errors import BookError, Problem, StoreError, TenbetweenError, UsageError, one_of
from tenbetween.formats.answer_json import read_situation, ruling_as_dict
from tenbetween.formats.play_json import play_as_dict, read_play
from tenbetween.situation import Ruling, Situation
from tenbetween.units import feet, um_from_feet

if TYPE_CHECKING:
    from tenbetween.sight.spread import Dice
    from tenbetween.store import Store

Json = dict[str, Any]
OTHER = {"White": "Dark", "Dark": "White"}
WIDE: Json = {"shape": "whole", "turned": False, "end": "right", "team": "White"}


class Workbench(FilmRooms):
    """One open workbench folder with the books it uses."""

    def __init__(self, store: Store, now: Callable[[], datetime], shipped: Sequence[LayerText] = ()) -> None:
        self.store, self._now, self._shipped = store, now, tuple(shipped)
        self._shelf_key: tuple[str, ...] = ()
        self._shelf = Shelf()

    # -- what is at hand --------------------------------------------------------------------------------

    @property
    def today(self) -> str:
        """Today as an ISO day."""
        return self._now().date().isoformat()

    @property
    def shelf(self) -> Shelf:
        """The layers of the folder, as they are kept now."""
        saved = self.store.find("layer")
        key = tuple(s.version for s in saved)
        if key != self._shelf_key or not self._shelf.layers:
            mine = [LayerText(s.id, s.value.text, f"layers/{s.id}.toml") for s in saved]
            self._shelf = Shelf.of([*self._shipped, *mine])
            self._shelf_key = key
        return self._shelf

    def own_settings(self) -> dict[str, str]:
        """The trainer's own settings."""
        return {s.id: s.value.value for s in self.store.find("setting")}

    def used_layers(self) -> tuple[str, ...]:
        """The layers always used here, lowest authority last."""
        rank = {"state": 0, "association": 1, "own": 2}
        heads = [h for text in self.shelf.layers.values() if (h := self._head(text)) is not None]
        return tuple(h.id for h in sorted(heads, key=lambda h: (rank[h.authority], h.id)))

    @staticmethod
    def _head(text: LayerText) -> Any:
        try:
            return layer_head(text)
        except BookError:
            return None

    def start(self) -> Json:
        """Return what a fresh screen begins with."""
        courts = [(head, court_of(head.court)) for head in editions()]
        choices = [
            {"id": h.id, "title": h.title, "short": h.short, "length": feet(c.length), "width": feet(c.width)}
            for h, c in courts
        ]
        layers = [
            {"id": h.id, "title": h.title, "authority": h.authority, "entered": h.entered}
            for text in self.shelf.layers.values()
            if (h := self._head(text)) is not None
        ]
        return {
            "edition": edition_for(self.today),
            "layers": list(self.used_layers()),
            "editions": choices,
            "layer_choices": layers,
            "settings": self.own_settings(),
        }

    # -- the answer -------------------------------------------------------------------------------------

    def read_line(self, line: str) -> Json:
        """Return the situation of one typed line as contract JSON.

        A whole line (pieces between slashes) names its layers or means none; a typed one leaves them as used here.
        """
        base = self._base()
        return notation.as_json(
            notation.parse(line, base=structs.replace(base, layers=()) if "/" in line else base)
        )

    def _base(self) -> Situation:
        return Situation(
            edition=edition_for(self.today),
            attacking="right",
            stopped_by="out_of_bounds",
            lead_side="table",
            lead_person="umpire",
            layers=self.used_layers(),
        )

    def situation(self, given: Json, shelf: Shelf | None = None) -> Situation:
        """Return the situation of contract JSON; own settings lie under those asked for."""
        situation = read_situation(given, edition_on=edition_for, today=self.today)
        book = book_for(shelf or self.shelf, situation)
        mine = {
            n: v
            for n, v in self.own_settings().items()
            if n in book.settings and v in book.settings[n].values
        }
        settings = {**mine, **dict(situation.settings)}
        return structs.replace(situation, settings=tuple(sorted(settings.items())))

    def answer(self, situation: Json, look: Json | None = None) -> Json:
        """Return the contract answer, the words for the screen, and the diagram with its frame."""
        shelf = self.shelf
        asked = self.situation(situation, shelf)
        how = {**WIDE, **(look or {})}
        ruling, book = answer(shelf, asked), book_for(shelf, asked)
        teams = (how["team"], OTHER.get(how["team"], "Dark"))
        view = self._view(ruling, book, teams, shelf)
        return {"answer": ruling_as_dict(ruling), "view": view, **self._picture(ruling, how, teams)}

    def _view(self, ruling: Ruling, book: Book, teams: tuple[str, str], shelf: Shelf) -> Json:
        line = notation.format(ruling.situation)
        view = views.answer_view(ruling, line, teams, book.title)
        view["others"] = self._others(ruling, teams, shelf)
        view["notes"] = kept.notes_on(self.store, line, book.digest)
        return view

    def _picture(self, ruling: Ruling, how: Json, teams: tuple[str, str]) -> Json:
        half = how["shape"] == "half"
        plan = lay_out(ruling, half=half, turned=bool(how["turned"]), scale=8.0, teams=teams)
        return {"svg": painted(plan, THEMES["screen"], teams), "frame": affine(plan.frame)}

    def court(self, edition: str, look: Json) -> Json:
        """Return an empty court."""
        how = {**WIDE, **look}
        court = court_of(edition_head(edition).court)
        half = how["end"] if how["shape"] == "half" else None
        frame = frame_of(court, half=half, scale=8.0, turned=bool(how["turned"]))
        svg = court_svg(court, half=half, turned=bool(how["turned"]), theme="screen", scale=8.0)
        return {"svg": svg, "frame": affine(frame)}

    def compare(self, situation: Json) -> Sequence[Json]:
        """Return what each other edition says."""
        shelf = self.shelf
        return self._others(answer(shelf, self.situation(situation, shelf)), ("White", "Dark"), shelf)

    def _others(self, ruling: Ruling, teams: tuple[str, str], shelf: Shelf) -> list[Json]:
        found = []
        for _, other in by_each_edition(shelf, ruling.situation):
            head = edition_head(other.situation.edition)
            if head.id == ruling.situation.edition:
                continue
            line = notation.format(other.situation)
            found.append(
                {
                    "edition": head.id,
                    "title": head.title,
                    "short": head.short,
                    "same": views.same_answer(ruling, other),
                    "sentence": words.sentence(other, teams=teams),
                    "differs": views.differences(ruling, other, PARTS),
                    "href": "/?" + views.line_query(line),
                }
            )
        return found

    # -- taking it along --------------------------------------------------------------------------------

    def sheet(self, situation: Json, kind: str, look: Json) -> bytes:
        """Return the sheet as ``pdf``, ``svg`` or ``png``."""
        how = {**WIDE, **look}
        asked = self.situation(situation)
        teams = (how["team"], OTHER.get(how["team"], "Dark"))
        line, turned = notation.format(asked), bool(how["turned"])
        return handed.sheet(self.shelf, asked, kind, line=line, on=self.today, turned=turned, teams=teams)

    def one_file(self, situation: Json) -> str:
        """Return the answer as one HTML file that needs nothing else."""
        asked = self.situation(situation)
        return handed.one_file(self.shelf, asked, notation.format(asked))

    # -- scenes and plays -------------------------------------------------------------------------------

    def stage(self, situation: Json, formation: str | None = None) -> Json:
        """Return the answer as a scene of ten players, ball and crew, with the formations that fit."""
        return plays.scene_page(self.shelf, self.situation(situation), formation or None)

    def play(self, situation: Json, formation: str | None = None) -> Json:
        """Return the answer as a play, open JSON."""
        return play_as_dict(plays.play_of_answer(self.shelf, self.situation(situation), formation or None))

    def save_play(self, play: Json, title: str = "", id: str | None = None, seen: str | None = None) -> Json:
        """Keep a play under a name; with ``id`` in the place of the version that was ``seen``."""
        book, layers = edition_for(self.today), self.used_layers()
        given = read_play(play)
        made = plays.save_play(
            self.store, self.shelf, given, title, edition=book, layers=layers, id=id, seen=seen
        )
        href = f"/plays/{made.id}"
        return {"words": f"Kept: {made.value.title}.", "href": href, "id": made.id, "entry": made.version}

    def plays(self, provision: str | None = None) -> Sequence[Json]:
        """Return the saved plays, newest first: all, or those of one provision."""
        found = plays.saved_plays(self.store, provision)
        return [plays.play_in_short(self.shelf, one) for one in found]

    def play_saved(self, id: str) -> Json:
        """Return one saved play with its steps."""
        return plays.play_page(self.shelf, self.store.get("play", id))

    def rename_play(self, id: str, title: str) -> Json:
        """Give a saved play another name."""
        made = plays.rename_play(self.store, id, title)
        return {"words": f"Named: {made.value.title}.", "href": f"/plays/{id}", "entry": made.version}

    def withdraw_play(self, id: str) -> Json:
        """Take a saved play out; undo brings it back."""
        return {"words": "Withdrawn.", "href": "/plays", "entry": plays.withdraw_play(self.store, id).id}

    # -- the book ---------------------------------------------------------------------------------------

    def _book(self, edition: str, layers: Sequence[str]) -> Book:
        return self.shelf.book(edition_for(self.today, edition), layers)

    def book(self, edition: str, layers: Sequence[str]) -> Json:
        """Return head, groups of provisions in short, settings in force, totals."""
        return library.book_page(self._book(edition, layers))

    def provision(self, edition: str, layers: Sequence[str], id: str) -> Json:
        """Return one provision with rows, history and what rests on it."""
        page = library.provision_page(self.shelf, self._book(edition, layers), id)
        resting = [
            f"{s.kind}: {getattr(s.value, 'title', '') or s.basis.line}" for s in self.store.resting_on(id)
        ]
        return {**page, "rests": [*page["rests"], *resting]}

    def search(self, edition: str, layers: Sequence[str], text: str) -> Sequence[Json]:
        """Return provisions that have all words, best first."""
        return library.search(self._book(edition, layers), text[:200])

    def settings(self, edition: str, layers: Sequence[str]) -> Sequence[Json]:
        """Return every setting in force; the trainer's own go before the book's."""
        mine = self.own_settings()
        page = library.settings_page(self._book(edition, layers))
        return [{**s, "value": mine[s["name"]], "set_by": "own"} if s["name"] in mine else s for s in page]

    def changes(self, before: str, after: str, layers: Sequence[str]) -> Json:
        """Return what changed between two editions, with the same layers on both."""
        old, new = edition_for(self.today, before), edition_for(self.today, after)
        return library.comparison_page(books.compare_books(self.shelf, old, new, layers))

    # -- writing ----------------------------------------------------------------------------------------

    def entry_form(self, situation: Json, part: str) -> Json:
        """Return the form that enters an answer: at most twelve fields."""
        asked = self.situation(situation)
        ruling = answer(self.shelf, asked)
        wanted = part or next(
            (n.part for n in ruling.not_covered if n.part in entries.parts_that_can_be_entered()),
            "administers",
        )
        fields = [
            {
                "name": f.name,
                "label": f.label,
                "kind": f.kind,
                "value": f.value,
                "help": f.help,
                "choices": [list(c) for c in f.choices],
                "required": f.required,
            }
            for f in entries.form_for(self.shelf, asked, wanted)
        ]
        about = words.situation_text(asked)
        return {"title": "Enter the answer", "about": about, "line": notation.format(asked), "fields": fields}

    def write(self, form: Mapping[str, str], *, keep: bool) -> Json:
        """Check a filled form and, when ``keep`` and clean, keep it in the own layer."""
        asked = self.situation(self.read_line(form.get("line", "")))
        drafted = entries.draft(self.shelf, asked, form, self.today)
        entry, asked_after = "", asked
        if keep and not drafted.problems:
            entry = self._keep_own(drafted.text, form.get("by", ""))
            asked_after = structs.replace(asked, layers=tuple(dict.fromkeys((*asked.layers, entries.OWN))))
        after = drafted.after
        changed = views.differences(drafted.before, after, PARTS) if after else []
        return {
            "problems": [p.as_dict() for p in drafted.problems],
            "before": words.sentence(drafted.before),
            "after": words.sentence(after) if after else "",
            "changed": [{"part": c["part"], "before": c["here"], "after": c["there"]} for c in changed],
            "moved": _moved(drafted.situations, after),
            "text": drafted.text,
            "kept": bool(entry),
            "entry": entry,
            "href": "/?" + views.line_query(notation.format(asked_after)),
        }

    def _keep_own(self, text: str, by: str) -> str:
        old = next((s for s in self.store.find("layer") if s.id == entries.OWN), None)
        saved = self.store.save(
            "layer", {"text": text}, id=entries.OWN, seen=old.version if old else None, by=by.strip() or None
        )
        return saved.version

    def question(self, situation: Json) -> Json:
        """Return the letter to the interpreter about what is open."""
        asked = self.situation(situation)
        ruling, book = answer(self.shelf, asked), book_for(self.shelf, asked)
        text = entries.question(ruling, words.situation_text(asked), book.title)
        return {"title": "To the interpreter", "text": text}

    def history(self, before: int | None = None) -> Json:
        """Return journal entries, newest first, and whether undo and redo are possible."""
        found = self.store.history(before=before, limit=50)
        everything = self.store.history(limit=1000)
        undone = kept.undone_entries(everything)
        pages = [kept.entry_page(e, undone, None) for e in found]
        older = found[-1].seq if len(found) == 50 else None
        can_undo = any(e.id not in undone and not e.undoes for e in everything)
        return {
            "entries": pages,
            "can_undo": can_undo,
            "can_redo": bool(everything and everything[0].undoes),
            "older": older,
        }

    def undo(self, entry: str | None) -> Json:
        """Take back an entry or the last change."""
        made = self.store.undo(entry or None)
        return {
            "words": f"Taken back: {', '.join(kept.entry_page(e, frozenset(), None)['words'] for e in made)}."
        }

    def redo(self, entry: str | None) -> Json:
        """Take back an undo."""
        made = self.store.redo(entry or None)
        return {
            "words": f"Done again: {', '.join(kept.entry_page(e, frozenset(), None)['words'] for e in made)}."
        }

    # -- what is kept -----------------------------------------------------------------------------------

    def notes(self, situation: Json) -> Json:
        """Return stamps and advice on a situation."""
        asked = self.situation(situation)
        return kept.notes_on(self.store, notation.format(asked), book_for(self.shelf, asked).digest)

    def keep(self, kind: str, situation: Json | None, form: Mapping[str, str]) -> Json:
        """Keep one thing of a kind."""
        if kind in ("official", "crew"):
            made = (
                kept.add_official(self.store, form) if kind == "official" else kept.add_crew(self.store, form)
            )
            return {"words": f"Kept: {kind}.", "href": "/officials", "entry": made.version}
        if kind == "setting":
            edition = form.get("edition") or edition_for(self.today)
            kept.own_setting(self.store, self._book(edition, self.used_layers()), form)
            return {"words": "Kept: your setting.", "href": "/settings"}
        if kind == "settle":
            kept.settle_advice(self.store, form.get("id", ""), form.get("how", ""))
            return {"words": "Settled.", "href": "/history"}
        if situation is None:
            raise UsageError(
                Problem("situation", "nothing", "the situation it is about", "start from the answer")
            )
        asked = self.situation(situation)
        return self._keep_about(kind, asked, form)

    def _keep_about(self, kind: str, asked: Situation, form: Mapping[str, str]) -> Json:
        line = notation.format(asked)
        sentence = words.sentence(answer(self.shelf, asked))
        back = "/?" + views.line_query(line)
        if kind == "answer":
            made = kept.keep_answer(
                self.store, self.shelf, asked, line, form.get("title") or sentence, form.get("note", "")
            )
        elif kind == "stamp":
            made = kept.stamp(self.store, self.shelf, asked, line, sentence, form)
        elif kind == "advice":
            made = kept.advise(self.store, asked, line, form, self.today)
        elif kind == "frozen":
            made = kept.freeze(
                self.store,
                self.shelf,
                asked,
                line,
                {"title": sentence, **{k: v for k, v in form.items() if v}},
            )
        else:
            raise StoreError(one_of("kind", kind, kept.KINDS))
        return {
            "words": f"Kept: {kind}.",
            "href": "/frozen" if kind == "frozen" else back,
            "entry": made.version,
        }

    def stacks(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Every edition alone and with the layers used here."""
        layers = self.used_layers()
        alone = [(head.id, ()) for head in editions() if head.court == "us-hs"]
        return (*alone, *((edition, layers) for edition, _ in alone if layers))

    def frozen(self) -> Json:
        """Return the frozen situations, each run on every edition and layer."""
        rows, good, total = [], 0, 0
        for one in self.store.find("frozen"):
            try:
                situation = notation.parse(one.basis.line)
            except TenbetweenError as fault:
                runs: list[Json] = [{"short": "line", "ok": False, "says": str(fault.problems[0])}]
            else:
                found = frozen.run(self.shelf, situation, one.value.expected.data(), self.stacks())
                runs = [
                    {"short": r.short + (" + layers" if r.layers else ""), "ok": r.ok, "says": r.says}
                    for r in found
                ]
            good += sum(r["ok"] for r in runs)
            total += len(runs)
            rows.append(
                {
                    "id": one.id,
                    "title": one.value.title,
                    "sentence": frozen.agreed_words(one.value.expected.data()),
                    "note": one.value.note,
                    "href": "/?" + views.line_query(one.basis.line),
                    "runs": runs,
                }
            )
        columns = [r["short"] for r in rows[0]["runs"]] if rows else []
        return {
            "frozen": rows,
            "columns": columns,
            "summary": f"{good} of {total} as agreed" if rows else "nothing frozen yet",
        }

    def saved(self) -> Sequence[Json]:
        """Return the saved answers, newest first."""
        return [
            {
                "id": s.id,
                "title": s.value.title,
                "note": s.value.note,
                "line": s.basis.line,
                "at": s.created[:10],
                "edition": s.basis.edition,
                "href": "/?" + views.line_query(s.basis.line),
            }
            for s in reversed(self.store.find("answer"))
        ]

    def officials(self) -> Json:
        """Return officials and crews."""
        return kept.officials_page(self.store)

    # -- the court --------------------------------------------------------------------------------------

    def board_of_answer(self, line: str, formation: str, dice: Dice, *, turned: bool) -> Json:
        """Return the court screen of an answer; without a line, of one to begin with."""
        from tenbetween.desk import board

        ruling = answer(self.shelf, self.situation(self.read_line(line) if line.strip() else self._first()))
        return board.of_answer(ruling, notation.format(ruling.situation), formation, dice, turned=turned)

    def _first(self) -> Json:
        from tenbetween.desk.board import START_AT

        base = structs.replace(self._base(), at=(um_from_feet(START_AT[0]), um_from_feet(START_AT[1])))
        return notation.as_json(structs.replace(base, ball_to="same"))

    def board_of_line(self, scene: str, dice: Dice, *, turned: bool) -> Json:
        """Return the court screen of a scene in one line."""
        from tenbetween.desk import board

        return board.of_line(scene, dice, turned=turned)

    def board_of_play(self, id: str, dice: Dice, *, turned: bool) -> Json:
        """Return the court screen of a saved play."""
        from tenbetween.desk import board

        kept_play = self.store.get("play", id)
        play = read_play(kept_play.value.play.data())
        number = 1 if play.line and len(play.steps) > 1 else 0
        page = board.board_page(play, None, dice, turned=turned, number=number)
        return {**page, "version": kept_play.version}

    def board_of_file(self, text: str, name: str, dice: Dice, *, turned: bool) -> Json:
        """Return the court screen of an opened file, play or tracks, and what was left out."""
        from tenbetween.desk import board, tracked

        play, said = tracked.opened(text, name)
        return {**board.board_page(play, None, dice, turned=turned), "report": said}

    def play_file(
        self,
        play: Json,
        kind: str,
        step: int,
        *,
        progress: Callable[[int, int], object] | None = None,
        cancel: Callable[[], bool] | None = None,
    ) -> tuple[str, bytes]:
        """Return a file name and the play as it stands: svg, mp4, gif, pdf, png or json."""
        from tenbetween.desk import board

        return board.file_of(read_play(play), kind, step, progress=progress, cancel=cancel)

    def seen(self, scene: Json, line: str, step: int, dice: Dice) -> Json:
        """Return what is seen of a contract scene; with a line, from step 1 on, by who has which line in that answer."""
        from tenbetween.desk import board
        from tenbetween.formats.scene_json import read_scene

        there = read_scene(scene)
        owners = None
        if line.strip() and step > 0:  # before the answer the lines are those of play
            owners = board.owners_of(answer(self.shelf, self.situation(self.read_line(line))), there)
        return board.seen_parts(there, owners, dice)

    # -- games ------------------------------------------------------------------------------------------

    def games(self) -> Sequence[Json]:
        """Return the walked games."""
        return [
            {"id": g.id, "title": g.value.title, "date": g.value.date, "href": f"/games/{g.id}"}
            for g in reversed(self.store.find("game"))
        ]

    def walk(self, form: Mapping[str, str], *, keep: bool) -> Json:
        """Walk a typed list of stoppages."""
        edition = edition_for(self.today, form.get("edition") or None)
        layers = self.used_layers()
        title = form.get("title", "").strip() or "Game"
        text = form.get("stoppages", "")
        page = games.walk_page(self.shelf, edition, layers, text, title)
        if keep and not page["problems"]:
            book = self.shelf.book(edition, layers)
            value = {
                "title": title,
                "date": form.get("date") or self.today,
                "stoppages": text,
                "result": {"rows": len(page["rows"])},
            }
            basis = {"edition": edition, "layers": layers, "book_digest": book.digest}
            page["id"] = self.store.save("game", value, basis=basis).id
        return page

    def game(self, id: str) -> Json:
        """Return one walked game, walked again with the book it rests on."""
        one = self.store.get("game", id)
        layers = tuple(name for name in one.basis.layers if name in self.shelf.layers)
        page = games.walk_page(self.shelf, one.basis.edition, layers, one.value.stoppages, one.value.title)
        return {**page, "id": id}


def _moved(situations: int, after: Ruling | None) -> str:
    """What an entry decides, and what is still open here, so that he knows what to enter next."""
    if after is None:
        return ""
    said = f"It decides {situations:,} situations of the counted space."
    can = entries.parts_that_can_be_entered()
    still = [part_words(n.part) for n in after.not_covered if n.part in can]
    return f"{said} Still open here: {still[0]}; enter that next." if still else said


__all__ = ["Workbench", "affine", "diagram_svg"]
