"""Makes the file of one clip: pictures cut, pointers drawn in, regions blurred, stops and captions, a contact sheet.

Asks the film room for the cutting and the drawing room for what is laid over; keeps nothing in the store.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.desk import clip_span
from tenbetween.desk.blurred import regions_on
from tenbetween.desk.clips import MOST_CLIPS
from tenbetween.desk.films import TimeLine, film_of
from tenbetween.desk.pointed import seconds_of, shapes_at
from tenbetween.draw.pointers import pointers_svg
from tenbetween.errors import Problem, StoreError, UsageError
from tenbetween.film.camera import Camera

if TYPE_CHECKING:
    from tenbetween.desk.court_room import CourtRoom
    from tenbetween.desk.film_room import FilmRoom
    from tenbetween.film.blur import Region
    from tenbetween.film.cut import Change, Overlay
    from tenbetween.film.reel import ReelPiece
    from tenbetween.store import Saved

Json = dict[str, Any]
Dots = NDArray[np.uint8]
CONTACT = ".contact.jpg"
PAUSE_S = 3.0
"""How long a picture stands where a pointer says "stop here and ask"."""
CARD_S = 2.5


class Maker:
    """Makes clips; told how far it is, and asked whether it is still wanted."""

    def __init__(
        self,
        films: FilmRoom,
        courts: CourtRoom,
        told: Callable[[int, int], None],
        cancelled: Callable[[], bool],
    ) -> None:
        self.films, self.courts, self.told, self.cancelled = films, courts, told, cancelled

    def make(self, clip: Saved[Any], out: Path) -> Json:
        """Write the file of a clip and its contact sheet; return what it came to."""
        how = clip.value.how.data()
        make = {"fast": self._fast, "reel": self._reel, "beside": self._beside}.get(
            how.get("way", ""), self._exact
        )
        facts = make(clip, how, out)
        _keep_sheet(out)
        return facts

    # -- the four ways -----------------------------------------------------------------------------------

    def _fast(self, clip: Saved[Any], how: Json, out: Path) -> Json:
        from tenbetween.film.cut import fast_cut

        begins, ends = clip.value.begins.data(), clip.value.ends.data()
        if begins["part"] != ends["part"]:
            found, do = (
                "a fast copy over two parts of a film",
                "choose exact, or fewer seconds before and after",
            )
            raise UsageError(Problem("way", found, "one part, or the exact way", do))
        if how.get("blur") or self.regions(clip.value.film, begins, ends):
            do = "choose the exact way"
            raise UsageError(Problem("blur", "regions to blur in a fast copy", "an exact clip", do))
        made = fast_cut(
            self._path(begins),
            out,
            begins["pts"],
            ends["pts"],
            sound=bool(how.get("sound")),
            cancel=self.cancelled,
        )
        return {"frames": made.frames, "bytes": made.size, "how": made.how}

    def _exact(self, clip: Saved[Any], how: Json, out: Path) -> Json:
        from tenbetween.film.cut import exact_cut

        begins, ends = clip.value.begins.data(), clip.value.ends.data()
        if begins["part"] != ends["part"]:
            return self._over_parts(clip, how, out)
        path, film, marks = self._path(begins), clip.value.film, clip.value.marks.data()
        items = self._items(film, begins["part"])
        made = exact_cut(
            path, out, begins["pts"], ends["pts"], height=how.get("height"),
            overlay=self._overlay(film, begins, ends, self._size(path, how), how, items),
            change=self._blurred(film, path, begins, ends), holds=self._holds(begins, ends, how, items, marks),
            sound=bool(how.get("sound")), captions=self._captions(begins, ends, how, items),
            progress=self.told, cancel=self.cancelled,
        )  # fmt: skip
        return {"frames": made.frames, "bytes": made.size, "how": made.how}

    def _over_parts(self, clip: Saved[Any], how: Json, out: Path) -> Json:
        """Write an exact clip that goes on from one part of a camera into the next, with nothing between them."""
        from tenbetween.film.reel import reel

        film, marks = clip.value.film, clip.value.marks.data()
        spans = clip_span.of_frames(self._parts(film), clip.value.begins.data(), clip.value.ends.data())
        size = self._size(self._path(spans[0][0]), how)
        pieces = self._pieces(film, spans, size, how, marks)
        made = reel(
            pieces, out, size=size, sound=bool(how.get("sound")), progress=self.told, cancel=self.cancelled
        )
        return {"frames": made.frames, "bytes": made.size, "how": "new pictures", "parts": len(pieces)}

    def _reel(self, clip: Saved[Any], how: Json, out: Path) -> Json:
        from tenbetween.film.reel import reel

        high = int(how.get("height", 720))
        size = (2 * round(high * 8 / 9), high)
        pieces: list[ReelPiece] = []
        for number, row in enumerate(self._rows(how), 1):
            card = title_card(f"{number}", row.get("answer") or clip.value.title, size)
            pieces += self._pieces(row["film"], self._span(row, how), size, how, [row["id"]], card)
        made = reel(
            pieces, out, size=size, sound=bool(how.get("sound")), progress=self.told, cancel=self.cancelled
        )
        begins = [at for at, one in zip(made.begins_s, pieces, strict=True) if one.card is not None]
        return {"frames": made.frames, "bytes": made.size, "begins_s": begins}

    def _pieces(
        self, film: str, spans: Sequence[clip_span.Stretch], size: tuple[int, int], how: Json,
        marks: Sequence[str], card: Dots | None = None,
    ) -> list[ReelPiece]:  # fmt: skip
        """Return stretches of a film as pieces of a reel, the card before the first."""
        from tenbetween.film.reel import ReelPiece

        found: list[ReelPiece] = []
        for begins, ends in spans:
            items, path = self._items(film, begins["part"]), self._path(begins)
            found.append(
                ReelPiece(
                    path, begins["pts"], ends["pts"],
                    overlay=self._overlay(film, begins, ends, size, how, items),
                    change=self._blurred(film, path, begins, ends),
                    holds=tuple(self._holds(begins, ends, how, items, marks)),
                    captions=tuple(self._captions(begins, ends, how, items)),
                    card=None if found else card, card_s=CARD_S,
                )
            )  # fmt: skip
        return found

    def _rows(self, how: Json) -> list[Json]:
        """Return the moments of a reel or comparison that are still there.

        Raises:
            UsageError: none is, or one of two that were to stand side by side.
        """
        found = self._moments([piece["mark"] for piece in how["pieces"]])
        if not found or (how["way"] == "beside" and len(found) < 2):
            do = "bring it back with undo, or make a new clip of other moments"
            raise UsageError(Problem("moments", "taken out of the film", "a moment that is there", do))
        return found

    def _moments(self, marks: Sequence[str]) -> list[Json]:
        found = []
        for mark in marks:
            try:
                found.append(self.films.mark(mark))
            except StoreError:
                continue  # taken out of the film since
        return found

    def _beside(self, clip: Saved[Any], how: Json, out: Path) -> Json:
        from tenbetween.film.side_by_side import Side, side_by_side, side_size

        high = int(how.get("height", 720)) // 2
        size = (2 * round(high * 16 / 9), high)
        sides = []
        for row in self._rows(how):
            spans, joined = self._span(row, how), row["events"].get("e6")
            if not isinstance(joined, dict):
                do = "mark e6 in both moments"
                raise UsageError(
                    Problem("e6", "disposal not marked", "disposal, where the two are joined", do)
                )
            (begins, ends), path = spans[0], self._path(spans[0][0])
            if len(spans) > 1 or joined["part"] != begins["part"]:
                found, do = (
                    "a moment over two parts of a film",
                    "choose a reel, or fewer seconds before and after",
                )
                raise UsageError(Problem("way", found, "moments that lie in one part", do))
            items = self._items(row["film"], begins["part"])
            over = self._overlay(row["film"], begins, ends, side_size(size), how, items)
            blur = self._blurred(row["film"], path, begins, ends)
            sides.append(Side(path, begins["pts"], joined["pts"], ends["pts"], over, blur))
        made = side_by_side(sides[0], sides[1], out, size=size, progress=self.told, cancel=self.cancelled)
        return {"frames": made.frames, "bytes": made.size, "joined_s": made.joined_s}

    # -- what goes into them -----------------------------------------------------------------------------

    def _path(self, at: Mapping[str, Any]) -> Path:
        return self.films.source_of(at["part"])

    def _size(self, path: Path, how: Mapping[str, Any]) -> tuple[int, int]:
        from tenbetween.film.cut import clip_size

        return clip_size(path, how.get("height"))

    def _parts(self, film: str) -> list[Json]:
        parts: list[Json] = film_of(self.films.store, film).value.parts.data()
        return parts

    def _span(self, row: Json, how: Mapping[str, Any]) -> list[clip_span.Stretch]:
        return clip_span.of_moment(self._parts(row["film"]), row, how)

    def _items(self, film: str, part: str) -> list[Json]:
        """Return what is pointed at in a part: of its own camera, each from and to a frame of that part."""
        line = TimeLine(self._parts(film))
        items = [item for one in self.courts.pointers(film) for item in one["items"]]
        return [found for one in items if (found := clip_span.in_part(line, one, part)) is not None]

    def _overlay(
        self, film: str, begins: Json, ends: Json, size: tuple[int, int], how: Json, items: Sequence[Json]
    ) -> Overlay | None:
        """Return what draws the pointers of a frame, or nothing when none is on."""
        first, last = seconds_of(begins), seconds_of(ends)
        on = [one for one in items if seconds_of(one["from"]) <= last and seconds_of(one["to"]) >= first]
        if not how.get("overlay", True) or not on:
            return None
        told = self.courts.cameras(film, begins["part"], begins["pts"], ends["pts"])
        shown = (int(told["picture"][0]), int(told["picture"][1]))
        numbers = {
            pts: (row, state)
            for pts, row, state in zip(told["pts"], told["numbers"], told["state"], strict=True)
        }
        scale = float(begins["base"][0]) / float(begins["base"][1])
        empty = Camera(0, 0, 1, 0, 0, 0, 1, 0, shown)

        def over(pts: int) -> Dots | None:
            known = numbers.get(pts)
            camera = None if known is None or known[1] == "red" else empty.with_numbers(known[0])
            shapes = shapes_at(on, begins["part"], pts * scale, shown, camera)
            shapes = [one for one in shapes if one["kind"] != "unknown"]
            return painted(pointers_svg(shapes, shown), shown, size) if shapes else None

        return over

    def regions(self, film: str, begins: Json, ends: Json) -> list[Json]:
        """Return every region marked between two frames of a film, whichever clip it was marked for."""
        return regions_on(self.films.store.find("clip", film=film, limit=MOST_CLIPS), begins, ends)

    def _blurred(self, film: str, path: Path, begins: Json, ends: Json) -> Change | None:
        from tenbetween.film.blur import blurring, checked, followed
        from tenbetween.film.frames_in import frames

        regions = checked(regions_of(self.regions(film, begins, ends), ends["pts"]))
        if not regions:
            return None
        places = []
        for one in regions:
            # From its first mark on, even when that is before the clip: where it is then is followed, not guessed.
            stretch = frames(path, one.begins, min(one.ends, ends["pts"]), grey=True)
            places.append(followed(one, stretch))
        return blurring(places)

    def _holds(
        self, begins: Json, ends: Json, how: Json, items: Sequence[Json], marks: Sequence[str]
    ) -> list[tuple[int, float]]:
        found = {one["from"]["pts"]: PAUSE_S for one in items if one["kind"] == "pause"}
        if how.get("hold_s"):
            for row in self._moments(marks):
                at = row["events"].get("e6")
                if isinstance(at, dict) and at["part"] == begins["part"]:
                    found[at["pts"]] = float(how["hold_s"])
        return [(pts, held) for pts, held in sorted(found.items()) if begins["pts"] <= pts <= ends["pts"]]

    def _captions(
        self, begins: Json, ends: Json, how: Json, items: Sequence[Json]
    ) -> list[tuple[int, int, str]]:
        if not how.get("captions", True):
            return []
        said = [one for one in items if one["kind"] == "sentence"]
        spans = [
            (max(begins["pts"], one["from"]["pts"]), min(ends["pts"], one["to"]["pts"]), one["text"])
            for one in said
        ]
        return [one for one in spans if one[0] < one[1]]


def regions_of(given: Sequence[Mapping[str, Any]], last: int) -> tuple[Region, ...]:
    """Return regions to blur from what a clip keeps: ``{"marks": [[pts, [left, top, right, bottom]]], "until": pts}``.

    Raises:
        UsageError: one that is none.
    """
    from tenbetween.film.blur import Region

    found = []
    for number, one in enumerate(given):
        try:
            marks = tuple(sorted((int(pts), tuple(float(side) for side in box)) for pts, box in one["marks"]))
            found.append(Region(marks, int(one.get("until") or last)))  # type: ignore[arg-type]
        except (KeyError, TypeError, ValueError):
            form = '{"marks": [[pts, [left, top, right, bottom]]]}'
            raise UsageError(
                Problem(f"blur[{number}]", repr(one)[:60], form, "mark the region again")
            ) from None
    return tuple(found)


def painted(svg: str, shown: tuple[int, int], size: tuple[int, int]) -> Dots:
    """Return a drawing as large as a clip: height, width, red-green-blue and cover."""
    from tenbetween.draw.sheet import diagram_png
    from tenbetween.film.frames import dots_of

    sized = svg.replace(f'width="{shown[0]}"', f'width="{size[0]}"', 1).replace(
        f'height="{shown[1]}"', f'height="{size[1]}"', 1
    )
    return dots_of(diagram_png(sized, zoom=1.0))


def title_card(number: str, sentence: str, size: tuple[int, int]) -> Dots:
    """Return a card before a piece of a reel: its number and one sentence, light on dark."""
    from tenbetween.draw import svg
    from tenbetween.draw.fonts import wrap

    wide, high = size
    large = high / 11
    lines = wrap(sentence, large, wide * 0.84)[:4]
    words = [
        svg.tag("text", svg.words(line), x=wide / 2, y=high * 0.46 + (n + 0.5) * large * 1.3, font_size=large,
                font_family="Atkinson Hyperlegible Next", text_anchor="middle", fill="#ffffff")
        for n, line in enumerate(lines)
    ]  # fmt: skip
    head = svg.tag("text", svg.words(number), x=wide / 2, y=high * 0.34, font_size=large * 2, font_weight="bold",
                   font_family="Atkinson Hyperlegible Next", text_anchor="middle", fill="#ffffff")  # fmt: skip
    ground = svg.tag("rect", x=0, y=0, width=wide, height=high, fill="#16120e")
    box = f"0 0 {wide} {high}"
    picture = svg.tag(
        "svg", ground, head, *words, xmlns="http://www.w3.org/2000/svg", viewBox=box, width=wide, height=high
    )
    return painted(picture, size, size)[..., :3]


def _keep_sheet(out: Path) -> None:
    from tenbetween.film.contact import contact_sheet
    from tenbetween.film.frames_in import jpeg
    from tenbetween.film.whole import whole

    with whole(out.with_suffix(CONTACT)) as part:
        part.write_bytes(jpeg(contact_sheet(out).picture))
