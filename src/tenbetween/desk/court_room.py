"""Finding the court on film, kept and carried on: anchors, cameras through a pan, where people stood.

Every verb takes and returns plain JSON values. Pictures are taken by whoever is handed in; the long work of carrying
a camera through a pan is queued, and its cameras lie in the workbench folder, since they can be reckoned again.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court
from tenbetween.desk import pointed
from tenbetween.desk.court_found import (
    Found,
    as_kept,
    floor_of,
    found_again,
    found_of,
    located,
    read_clicks,
    state_of,
)
from tenbetween.desk.court_words import groups
from tenbetween.desk.standing import Stood, nearest_pairs, told
from tenbetween.desk.work import in_words
from tenbetween.errors import FormatError, Problem, StoreError, UsageError
from tenbetween.film.whole import whole

if TYPE_CHECKING:
    from tenbetween.store import Saved, Store

Json = dict[str, Any]
Picture = NDArray[np.uint8]
ALONE = 4
"""From so many landmarks on a frame is found by itself; with fewer, the camera's place is taken from another frame."""
FOLLOWED = "followed"
"""Folder of a workbench with the cameras that were carried on, one file an anchor."""
BACK_S = 1.0
"""Against time, so many seconds of pictures are held at once."""
USUAL_SECONDS, LONGEST_SECONDS = 10.0, 30.0


MOST_LOST = 3
"""So many frames of a stretch may be missing: more, and the film was pulled away or is damaged there."""


class Films(Protocol):
    """What is needed of the film room."""

    def film(self, id: str) -> Json:
        """Return one film."""

    def pts(self, fingerprint: str) -> NDArray[Any]:
        """Return the time stamp of every frame of a part."""

    def source_of(self, fingerprint: str) -> Path:
        """Return the film file of a part: frame times are its own, not those of a copy for the browser."""


class CourtRoom:
    """The court of the films of one workbench."""

    def __init__(
        self,
        films: Films,
        store: Store,
        folder: str | Path,
        dice: Callable[[], np.random.Generator],
        *,
        ask: Callable[[str, Json], str] | None = None,
        picture: Callable[[Path, int], Picture] | None = None,
    ) -> None:
        self.films, self.store, self.folder = films, store, Path(folder)
        self._dice, self._ask, self._picture = dice, ask, picture or _still

    # -- the page ---------------------------------------------------------------------------------------

    def page(self, film: str, at: Json | None = None) -> Json:
        """Return what the page shows for a frame: the picture, what can be clicked, what is known already."""
        kept = self.films.film(film)
        at = at or first_frame(kept)
        part = part_of(kept, at)
        court = self.floor(kept)
        known, how = self.camera_at(film, at)
        anchor = self._anchor_at(film, at)
        clicks = anchor.value.clicks.data() if anchor else {}
        marked = read_clicks(clicks, part["picture"], court)
        shown = located(marked, None, known)
        if anchor and known is not None:
            shown = as_kept(shown, known, marked)
        standing = self._standing_at(film, at)
        return {
            "film": {"id": kept["id"], "title": kept["title"]},
            "at": at,
            "picture": part["picture"],
            "seconds": at["pts"] * at["base"][0] / at["base"][1],
            "groups": groups(court),
            "clicks": clicks,
            "located": shown,
            "how": how,
            "anchor": anchor.id if anchor else "",
            "anchors": self.anchors(film),
            "standing": standing,
        }

    def floor(self, film: Json) -> Court:
        """Return the floor a film is played on."""
        return floor_of(str(film.get("edition", "")))

    # -- clicks ------------------------------------------------------------------------------------------

    def locate(self, film: str, at: Json, given: Mapping[str, Any]) -> Json:
        """Return what clicks give on a frame; with ``snap`` the camera is moved onto the painted lines."""
        kept = self.films.film(film)
        part = part_of(kept, at)
        clicks = read_clicks(given, part["picture"], self.floor(kept))
        picture = (
            self._picture(self.films.source_of(at["part"]), int(at["pts"])) if given.get("snap") else None
        )
        known, _ = self.camera_at(film, at)
        prior = self._prior(film, at) if len(clicks.landmarks) < ALONE else None
        return located(clicks, picture, known, prior)

    def again(self, film: str, at: Json) -> Json:
        """Offer the court of a frame found again from the nearest frame on which it is known, for a person to look at.

        Raises:
            UsageError: it is known nowhere yet, or too little was found again: two marks then do.
        """
        offered, why = self._offer(film, at)
        if offered is None:
            do = "click two marks far apart instead"
            raise UsageError(Problem("court", why, "enough of the other frame found again", do))
        empty = read_clicks({}, offered.camera.picture, self.floor(self.films.film(film)))
        words = "An offer: look whether the lines lie on the floor, then keep it or click two marks."
        return {**located(empty, None, offered), "why": words}

    def _offer(self, film: str, at: Json) -> tuple[Found | None, str]:
        from tenbetween.film.reanchor import pieces_of, reanchor

        near = self._nearest_anchor(film, at)
        if near is None:
            return None, "known on no other frame of this part"
        kept, there = self.films.film(film), near.value.at.data()
        court, path = self.floor(kept), self.films.source_of(at["part"])
        anchor = found_of(near.value.camera.data())
        picture = self._picture(path, int(at["pts"]))
        offer = reanchor(pieces_of(self._picture(path, int(there["pts"])), anchor.camera, court), picture)
        if offer.camera is None:
            return None, offer.why
        seconds = there["pts"] * there["base"][0] / there["base"][1]
        return found_again(offer.camera, anchor, picture, court, f"the frame at {seconds:.1f} s"), ""

    def _prior(self, film: str, at: Json) -> Found | None:
        near = self._nearest_anchor(film, at)
        return None if near is None else found_of(near.value.camera.data())

    def _nearest_anchor(self, film: str, at: Json) -> Saved[Any] | None:
        others = [
            one for one in self.store.find("anchor", film=film) if one.value.at.data()["part"] == at["part"]
        ]
        others = [one for one in others if one.value.at.data() != at]
        return min(others, key=lambda one: abs(one.value.at.data()["pts"] - at["pts"]), default=None)

    def save_anchor(self, film: str, at: Json, given: Mapping[str, Any]) -> Json:
        """Keep the court as found on a frame; one anchor a frame, the newer in place of the older.

        Raises:
            UsageError: the clicks give no camera, or one of them is misnamed.
        """
        found = self.again(film, at) if given.get("offered") else self.locate(film, at, given)
        if not found["ok"]:
            raise UsageError(
                Problem("clicks", found["why"], "marks that agree on one camera", "click again, far apart")
            )
        before = self._anchor_at(film, at)
        value = {"film": film, "at": at, "clicks": _clicked(given), "camera": found["camera"]}
        saved = self.store.save(
            "anchor", value, id=before.id if before else None, seen=before.version if before else None
        )
        self._followed_file(saved.id).unlink(missing_ok=True)
        return _anchor_page(saved)

    def anchors(self, film: str) -> list[Json]:
        """Return the anchors of a film in the order they were made, each with the work that carries it, if any."""
        under_way = self._carriers(film)
        return [
            {**_anchor_page(one), "carried": self._carried(one.id), "job": under_way.get(one.id)}
            for one in self.store.find("anchor", film=film)
        ]

    def _carriers(self, film: str) -> dict[str, Json]:
        """Return the work on each anchor in words: what is not over yet, else what was asked for last."""
        found: dict[str, Json] = {}
        rows = [one for one in self.store.jobs.list() if one.kind == "follow"]
        for one in sorted(rows, key=lambda row: row.state not in ("waiting", "running")):
            args = one.args.data()
            if args.get("film") == film:
                found.setdefault(str(args.get("anchor")), in_words(one, {}))
        return found

    def carrying(self, film: str, job: str) -> Json:
        """Return how far the work is that carries an anchor of a film, and once it is done how the frames stand.

        Raises:
            StoreError: there is no such work on this film.
        """
        row = self.store.jobs.get(job)
        args = row.args.data()
        if row.kind != "follow" or args.get("film") != film:
            raise StoreError(
                Problem(
                    "work", repr(job)[:60], "work that carries a court of this film", "open the page again"
                )
            )
        carried = self._carried(str(args["anchor"])) if row.state == "done" else None
        return {**in_words(row, {}), "anchor": args["anchor"], "carried": carried}

    def remove_anchor(self, anchor: str) -> None:
        """Take an anchor away; undo brings it back."""
        kept = self.store.get("anchor", anchor)
        self.store.remove("anchor", anchor, seen=kept.version)

    # -- through the pan ---------------------------------------------------------------------------------

    def follow(self, anchor: str, seconds: float = USUAL_SECONDS) -> Json:
        """Carry the camera of an anchor on and back for some seconds: queued where there is a queue, else done now."""
        if not 0 < seconds <= LONGEST_SECONDS:
            do = f"ask for {USUAL_SECONDS:g}"
            raise UsageError(
                Problem("seconds", f"{seconds:g}", f"more than nothing, at most {LONGEST_SECONDS:g}", do)
            )
        args = {"film": self.store.get("anchor", anchor).value.film, "anchor": anchor, "seconds": seconds}
        if self._ask is not None:
            return {"job": self._ask("follow", args), "carried": None}
        self.carry_on(args, lambda *_: None, lambda: False)
        return {"job": "", "carried": self._carried(anchor)}

    def carry_on(
        self, args: Json, tell: Callable[[int, int, str], None], cancelled: Callable[[], bool]
    ) -> Json:
        """Do the work of ``follow`` as a job: begun anew when asked again, its file whole or not there."""
        from tenbetween.film.follow import follow
        from tenbetween.film.frames_in import frames

        kept = self.store.get("anchor", args["anchor"])
        at, found = kept.value.at.data(), found_of(kept.value.camera.data())
        film = self.films.film(kept.value.film)
        part, path, court = part_of(film, at), self.films.source_of(at["part"]), self.floor(film)
        ticks = float(args["seconds"]) * at["base"][1] / at["base"][0]
        ends = int(min(part["last_pts"], at["pts"] + ticks)), int(max(part["first_pts"], at["pts"] - ticks))
        stamps = self.films.pts(at["part"])
        rows: dict[int, Json] = {}
        total = max(1, ends[0] - ends[1])
        forward = frames(path, at["pts"], ends[0], grey=True)
        for one in follow(found.camera, forward, court, cancelled=cancelled):
            rows[one.pts] = _row(one)
            tell(one.pts - at["pts"], total, "Carrying the court through the pan")
        if cancelled():
            return {"stopped": True}
        _not_cut_short(path, stamps, (at["pts"], ends[0]), rows)
        behind = _backwards(path, ends[1], at["pts"], round(BACK_S * at["base"][1] / at["base"][0]))
        for one in follow(found.camera, behind, court, cancelled=cancelled):
            rows[one.pts] = _row(one)
            tell(total - (one.pts - ends[1]), total, "Carrying the court back through the pan")
        if cancelled():
            return {"stopped": True}
        _not_cut_short(path, stamps, (ends[1], ends[0]), rows)
        self._keep_followed(kept.id, at, rows)
        return {"carried": self._carried(kept.id)}

    def cameras(self, film: str, part: str, begins: int, ends: int) -> Json:
        """Return every known camera of a part between two time stamps: the numbers and the state of each frame."""
        kept = self.films.film(film)
        found: dict[int, Json] = {}
        for one in self.store.find("anchor", film=film):
            at = one.value.at.data()
            if at["part"] != part:
                continue
            for row in self._rows_of(one.id):
                best = found.get(row["pts"])
                if best is None or row["share"] > best["share"]:
                    found[row["pts"]] = row
            if begins <= at["pts"] <= ends:
                camera = one.value.camera.data()
                share = camera.get("share")
                state = state_of(share) or "amber"
                found[at["pts"]] = {
                    "pts": at["pts"],
                    "numbers": camera["numbers"],
                    "share": 2.0,
                    "state": state,
                }
        rows = [found[pts] for pts in sorted(found) if begins <= pts <= ends]
        picture = next((one["picture"] for one in kept["parts"] if one["fingerprint"] == part), [1, 1])
        return {
            "part": part,
            "picture": picture,
            "pts": [one["pts"] for one in rows],
            "numbers": [[round(value, 9) for value in one["numbers"]] for one in rows],
            "state": [one["state"] for one in rows],
        }

    def camera_at(self, film: str, at: Json) -> tuple[Found | None, str]:
        """Return the camera of a frame, from its own anchor or carried from another, and in words which."""
        own = self._anchor_at(film, at)
        if own is not None:
            return found_of(own.value.camera.data()), "from the marks clicked on this frame"
        for one in self.store.find("anchor", film=film):
            if one.value.at.data()["part"] != at["part"]:
                continue
            row = next((row for row in self._rows_of(one.id) if row["pts"] == at["pts"]), None)
            if row is not None:
                anchor = found_of(one.value.camera.data())
                camera = anchor.camera.with_numbers(row["numbers"])
                return Found(
                    camera, anchor.covariance, "carried from another frame", row["share"]
                ), "carried from another frame"
        return None, ""

    # -- pointing ------------------------------------------------------------------------------------------

    def pointers(self, film: str) -> list[Json]:
        """Return what is pointed at on a film."""
        return pointed.kept(self.store, film)

    def save_pointer(self, film: str, given: Mapping[str, Any]) -> Json:
        """Keep a pointer new, or its changes under its id and the version that was seen."""
        self.films.film(film)
        return pointed.keep(self.store, film, given)

    # -- where they stood --------------------------------------------------------------------------------

    def stand(
        self, film: str, at: Json, given: Mapping[str, Any], mark: str = "", *, keep: bool = True
    ) -> Json:
        """Return where clicked feet stand and what the crew saw, as ranges; kept for this frame unless told not to."""
        kept = self.films.film(film)
        part, court = part_of(kept, at), self.floor(kept)
        clicks = read_clicks({"feet": given.get("feet") or []}, part["picture"], court)
        known, _ = self.camera_at(film, at)
        if known is None:
            do = "click six marks of the floor and keep the court first"
            raise UsageError(Problem("court", "not known on this frame", "a camera", do))
        shown = located(clicks, None, known)["feet"]
        dots = np.array([one.dot for one in clicks.feet], float).reshape(-1, 2)
        stood = Stood(known, tuple(one.name for one in clicks.feet), dots, clicks.sd, court)
        on_floor = {one["id"]: tuple(one["at"]) for one in shown if one["at"] is not None}
        pairs = given.get("pairs")
        pairs = nearest_pairs(on_floor) if pairs == "nearest" else (pairs or [])
        all_there = len(on_floor) == len(clicks.feet)
        saw = (
            told(stood, None, pairs, self._dice())
            if all_there
            else {"ok": False, "why": "Somebody stands above the floor.", "rows": []}
        )
        result = {"feet": shown, "pairs": pairs, "told": saw, "line": saw.get("line", "")}
        if keep and clicks.feet:
            result["standing"] = self._keep_standing(film, at, result, mark)
        return result

    def _keep_standing(self, film: str, at: Json, result: Json, mark: str) -> str:
        before = self._standing_saved(film, at)
        value = {"film": film, "at": at, "feet": result["feet"], "mark": mark,
                 "scene": {"pairs": result["pairs"], "told": result["told"], "line": result["line"]}}  # fmt: skip
        saved = self.store.save(
            "standing", value, id=before.id if before else None, seen=before.version if before else None
        )
        return str(saved.id)

    def _standing_saved(self, film: str, at: Json) -> Saved[Any] | None:
        return next(
            (one for one in self.store.find("standing", film=film) if one.value.at.data() == at), None
        )

    def _standing_at(self, film: str, at: Json) -> Json:
        found = self._standing_saved(film, at)
        if found is None:
            return {"feet": [], "pairs": [], "told": {"ok": False, "why": "", "rows": []}}
        return {"feet": found.value.feet.data(), **found.value.scene.data()}

    # -- what is kept ------------------------------------------------------------------------------------

    def _anchor_at(self, film: str, at: Json) -> Saved[Any] | None:
        return next((one for one in self.store.find("anchor", film=film) if one.value.at.data() == at), None)

    def _followed_file(self, anchor: str) -> Path:
        return self.folder / FOLLOWED / f"{anchor}.json"

    def _keep_followed(self, anchor: str, at: Json, rows: Mapping[int, Json]) -> None:
        path = self._followed_file(anchor)
        path.parent.mkdir(exist_ok=True)
        with whole(path) as part:
            part.write_text(json.dumps({"at": at, "rows": [rows[pts] for pts in sorted(rows)]}), "utf-8")

    def _rows_of(self, anchor: str) -> list[Json]:
        path = self._followed_file(anchor)
        if not path.exists():
            return []
        found: list[Json] = json.loads(path.read_text("utf-8"))["rows"]
        return found

    def _carried(self, anchor: str) -> Json | None:
        """Return how far an anchor was carried, by state; None when it was not."""
        rows = self._rows_of(anchor)
        if not rows:
            return None
        counts = {state: sum(one["state"] == state for one in rows) for state in ("green", "amber", "red")}
        return {"frames": len(rows), **counts, "runs": list(_runs(rows))}


def _still(path: Path, pts: int) -> Picture:
    from tenbetween.film.frames_in import still

    return np.asarray(still(path, pts), np.uint8)


def _backwards(path: Path, low: int, high: int, window: int) -> Iterator[tuple[int, Picture]]:
    """Yield frames against time, from one time stamp down to another, a window at a time."""
    from tenbetween.film.frames_in import frames

    ends = high
    while ends >= low:
        begins = max(low, ends - window + 1)
        yield from list(frames(path, begins, ends, grey=True))[::-1]
        ends = begins - 1


def _not_cut_short(path: Path, stamps: NDArray[Any], span: tuple[int, int], rows: Mapping[int, Json]) -> None:
    """Refuse a stretch of which frames are missing.

    Raises:
        FormatError: the film was pulled away, or is damaged there.
    """
    wanted = int(((stamps >= span[0]) & (stamps <= span[1])).sum())
    if len(rows) < wanted - MOST_LOST:
        do = "plug the disk in again, or copy the film anew, and start once more"
        found = (
            f"an end after {len(rows)} of {wanted} frames: the disk was taken away, or it is damaged there"
        )
        raise FormatError(Problem(path.name, found, "the whole stretch", do))


def first_frame(film: Json) -> Json:
    """Return the time of the first frame of a film."""
    part = film["parts"][0]
    return {"part": part["fingerprint"], "pts": part["first_pts"], "base": list(part["base"])}


def part_of(film: Json, at: Mapping[str, Any]) -> Json:
    """Return the part a frame time lies in.

    Raises:
        StoreError: it is not a part of this film.
    """
    for part in film["parts"]:
        if part["fingerprint"] == at.get("part"):
            found: Json = part
            return found
    raise StoreError(
        Problem("at.part", repr(at.get("part"))[:60], "a part of this film", "open the film again")
    )


def _clicked(given: Mapping[str, Any]) -> Json:
    return {name: list(given.get(name) or []) for name in ("landmarks", "lines")} | {
        "snap": bool(given.get("snap"))
    }


def _anchor_page(saved: Saved[Any]) -> Json:
    at, camera = saved.value.at.data(), saved.value.camera.data()
    state = state_of(camera.get("share"))
    return {"id": saved.id, "at": at, "seconds": at["pts"] * at["base"][0] / at["base"][1], "how": camera["how"],
            "share": camera.get("share"), "state": state}  # fmt: skip


def _row(one: Any) -> Json:
    return {
        "pts": int(one.pts),
        "numbers": one.camera.numbers().tolist(),
        "share": round(float(one.share), 4),
        "state": one.state,
    }


def _runs(rows: list[Json]) -> Iterator[Json]:
    """Yield stretches of frames in one state, in order, for a strip and for words."""
    first = rows[0]
    for before, one in zip(rows, [*rows[1:], None], strict=True):
        if one is None or one["state"] != first["state"]:
            yield {"state": first["state"], "from": first["pts"], "to": before["pts"]}
            first = one if one is not None else first
