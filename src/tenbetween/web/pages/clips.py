"""``/clips``: pieces of film made from moments, looked at, confirmed and taken along; the filming guide; withdrawing.

Everything works as plain forms. The file of a clip is handed out only after somebody looked and confirmed.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Protocol

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from tenbetween.errors import FormatError, Problem, TenbetweenError, UsageError, one_of
from tenbetween.web.api.answer import read_json
from tenbetween.web.film_words import job_row
from tenbetween.web.moments import mark_row
from tenbetween.web.pages.forms import back_to, faults_of, form_of
from tenbetween.web.pages.media import films_of
from tenbetween.web.render import page
from tenbetween.web.workbench import Json

KINDS = {
    "csv": "text/csv; charset=utf-8",
    "vtt": "text/vtt; charset=utf-8",
    "notes.vtt": "text/vtt; charset=utf-8",
    "otio": "application/json",
}
WAYS: tuple[tuple[str, str], ...] = (
    ("exact", "Exact: pointers, stops, captions, blurring"),
    ("fast", "Fast copy: the pictures as they are"),
    ("reel", "One reel of all, a card before each"),
    ("beside", "Two side by side, joined at disposal"),
)
MOST = 60


class ClipRoom(Protocol):
    """Everything the clip pages may ask; every call raises ``TenbetweenError`` with directions on bad input."""

    def clips(self, film: str = "", words: str = "") -> list[Json]:
        """Return the clips, newest first."""
        ...

    def clip(self, id: str) -> Json:
        """Return one clip with what to look at before it leaves."""
        ...

    def make(self, marks: list[str], title: str, how: Mapping[str, Any]) -> list[str]:
        """Keep clips of moments and queue their making."""
        ...

    def change(self, clip: str, fields: Mapping[str, Any], seen: str) -> str:
        """Change how a clip is made and queue it anew."""
        ...

    def confirm(self, clip: str, looked: Mapping[str, bool], seen: str) -> Json:
        """Say that everything was looked at."""
        ...

    def to_take(self, clip: str) -> tuple[str, Any]:
        """Return a plain name and the file of a confirmed clip."""
        ...

    def file_of(self, clip: str) -> Any:
        """Return where the file of a clip lies."""
        ...

    def sheet_of(self, clip: str) -> Any:
        """Return where its contact sheet lies."""
        ...

    def rows(self, film: str = "", words: str = "") -> list[Json]:
        """Return clips as rows for chapters, time lines and tables."""
        ...


def clips_of(request: Request) -> ClipRoom:
    """Return the clips of this workbench."""
    room: ClipRoom = request.app.state.workbench.clips
    return room


async def clips_page(request: Request) -> Response:
    """Show the clips, and the moments a new one can be made of."""
    return await run_in_threadpool(_page, request, [], {})


def _page(request: Request, problems: list[Json], filled: Mapping[str, Any]) -> Response:
    films, query = films_of(request), request.query_params
    film, words, mark = (query.get(name, "").strip() for name in ("film", "words", "mark"))
    marks, wrong = _moments(request, film, words, mark)
    titles = films.films()
    view = {
        "clips": [_row(one) for one in clips_of(request).clips(film, words)],
        "films": [(one["id"], one["title"]) for one in titles],
        "jobs": [job_row(one) for one in films.jobs() if one["kind"] == "export"][:8],
        "moments": marks, "film": film, "words": words, "ticked": [mark] if mark else filled.get("marks", []),
        "filled": filled, "ways": WAYS, "said": query.get("said", ""), "problems": [*problems, *wrong],
    }  # fmt: skip
    return page(request, "clips.html", status=400 if view["problems"] else 200, **view)


def _moments(request: Request, film: str, words: str, mark: str) -> tuple[list[Json], list[Json]]:
    """Return the moments to choose from: of a film, or that fit words, or one; and what was wrong with the question."""
    films = films_of(request)
    try:
        if mark:
            found = [films.mark(mark)]
        elif words:
            found = [one for one in films.search({"words": words}) if not film or one["film"] == film]
        else:
            found = list(films.marks(film)) if film else []
        kept = {one: films.film(one) for one in {row["film"] for row in found}}
    except TenbetweenError as error:
        return [], faults_of(error)
    return [
        {**mark_row(kept[one["film"]], one), "film_title": kept[one["film"]]["title"]}
        for one in found[:MOST]
        if kept[one["film"]]["status"] != "withdrawn"
    ], []


def _row(one: Json) -> Json:
    base = one["begins"]["base"]
    seconds = (one["ends"]["pts"] - one["begins"]["pts"]) * base[0] / base[1]
    state = (
        "withdrawn"
        if one["status"] != "made"
        else "confirmed"
        if one["confirmed"]
        else "to look at"
        if one["there"]
        else "being made"
    )
    return {
        **one,
        "seconds": round(seconds, 1),
        "state": state,
        "way": dict(WAYS).get(one["how"].get("way", "exact"), ""),
    }


async def make(request: Request) -> Response:
    """Make clips of the ticked moments."""
    async with request.form(max_files=0, max_fields=2 * MOST + 20) as form:
        filled: Json = {name: value for name, value in form.items() if isinstance(value, str)}
        filled["marks"] = [one for one in form.getlist("mark") if isinstance(one, str)]
    how = {
        "way": filled.get("way", "exact"), "height": _whole(filled.get("height", "720")),
        **{name: _number(filled.get(name, "")) for name in ("before_s", "after_s", "hold_s")},
        **{name: filled.get(name) == "yes" for name in ("sound", "overlay", "captions")},
    }  # fmt: skip
    title = filled.get("title", "").strip()
    try:
        if not title:
            raise UsageError(
                Problem("title", "nothing", "a title without names of players", "say what it shows")
            )
        made = await run_in_threadpool(clips_of(request).make, filled["marks"], title, how)
    except TenbetweenError as error:
        return await run_in_threadpool(_page, request, faults_of(error), filled)
    if len(made) == 1:
        return back_to(f"/clips/{made[0]}", "It is being made.")
    return back_to("/clips", f"{len(made)} clips are being made.")


def _number(given: str) -> float | str:
    try:
        return float(given or 0)
    except ValueError:
        return given


def _whole(given: str) -> int | str:
    return int(given) if given.isdigit() else given


async def clip_page(request: Request) -> Response:
    """Show one clip, what it holds, and what to look at before it leaves."""
    return await run_in_threadpool(_clip, request, [])


def _clip(request: Request, problems: list[Json]) -> Response:
    clip = _row(clips_of(request).clip(request.path_params["id"]))
    films = films_of(request)
    film = films.film(clip["film"])
    part = next((one for one in film["parts"] if one["fingerprint"] == clip["begins"]["part"]), None)
    jobs = [job_row(one) for one in films.jobs() if one["kind"] == "export" and one["film"] == clip["film"]][
        :3
    ]
    view = {
        "clip": clip, "film": film, "picture": part["picture"] if part else [640, 360], "jobs": jobs,
        "missing": part is None or part["fingerprint"] in film["missing"], "problems": problems,
        "said": request.query_params.get("said", ""), "version": clip["version"],
    }  # fmt: skip
    return page(request, "clip.html", status=400 if problems else 200, **view)


async def confirm(request: Request) -> Response:
    """Confirm that permission, names and contact sheet were looked at."""
    form, id_ = await form_of(request), request.path_params["id"]
    looked = {name: form.get(name) == "yes" for name in ("permission", "names", "sheet")}
    try:
        await run_in_threadpool(clips_of(request).confirm, id_, looked, form.get("version", ""))
    except TenbetweenError as error:
        return await run_in_threadpool(_clip, request, faults_of(error))
    return back_to(f"/clips/{id_}", "Confirmed. It can be taken along now.")


async def change(request: Request) -> Response:
    """Change title and note of a clip; it is made anew."""
    form, id_ = await form_of(request), request.path_params["id"]
    fields = {
        "title": form.get("title", ""),
        "note": form.get("note", ""),
        "sound": form.get("sound") == "yes",
    }
    try:
        await run_in_threadpool(clips_of(request).change, id_, fields, form.get("version", ""))
    except TenbetweenError as error:
        return await run_in_threadpool(_clip, request, faults_of(error))
    return back_to(f"/clips/{id_}", "It is being made anew.")


async def blur(request: Request) -> Response:
    """Keep the regions to blur in a clip; it is made anew."""
    given: Any = read_json(await request.body())
    if not isinstance(given, dict) or not isinstance(given.get("blur"), list):
        raise FormatError(Problem("blur", repr(given)[:60], "a list of regions", "mark the regions again"))
    id_ = request.path_params["id"]
    await run_in_threadpool(
        clips_of(request).change, id_, {"blur": given["blur"]}, str(given.get("version", ""))
    )
    return JSONResponse(
        {"version": clips_of(request).clip(id_)["version"], "words": "It is being made anew, blurred."}
    )


async def look(request: Request) -> Response:
    """Answer the clip to be looked at inside the workbench."""
    return _file(clips_of(request).file_of(request.path_params["id"]), "video/mp4")


async def sheet(request: Request) -> Response:
    """Answer the contact sheet of a clip."""
    return _file(clips_of(request).sheet_of(request.path_params["id"]), "image/jpeg")


def _file(path: Any, kind: str) -> Response:
    if not path.exists():
        problem = Problem("clip", "not made yet", "a finished clip", "wait for the work to end")
        return JSONResponse({"errors": [problem.as_dict()]}, status_code=404)
    return FileResponse(path, media_type=kind, headers={"cache-control": "no-store"})


async def take(request: Request) -> Response:
    """Hand out the file of a confirmed clip."""
    name, path = await run_in_threadpool(clips_of(request).to_take, request.path_params["id"])
    return FileResponse(path, media_type="video/mp4", filename=name, headers={"cache-control": "no-store"})


async def listed(request: Request) -> Response:
    """Hand out the list of clips as table, chapters or time line."""
    kind, query = request.path_params["kind"], request.query_params
    if kind not in KINDS:
        raise UsageError(one_of("kind", kind, tuple(KINDS)))
    content = await run_in_threadpool(
        _written, clips_of(request), kind, query.get("film", ""), query.get("words", "")
    )
    headers = {"content-disposition": f'attachment; filename="clips.{kind}"'}
    return Response(content, media_type=KINDS[kind], headers=headers)


def _written(room: ClipRoom, kind: str, film: str, words: str) -> str:
    from tenbetween.formats.chapters_vtt import chapters_vtt, notes_vtt
    from tenbetween.formats.clip_rows import clip_rows
    from tenbetween.formats.marks_csv import marks_csv
    from tenbetween.formats.timeline_otio import timeline_otio

    rows = clip_rows(room.rows(film, words))
    if kind == "otio":
        return timeline_otio(rows, "Clips")
    return {"csv": marks_csv, "vtt": chapters_vtt, "notes.vtt": notes_vtt}[kind](rows)


# ---- guide and withdrawing ----


async def guide(request: Request) -> Response:
    """Show the one page about filming, to be printed."""
    from tenbetween.desk.clip_words import GUIDE

    return page(request, "film-guide.html", guide=GUIDE)


async def withdraw_page(request: Request) -> Response:
    """Ask who wants a film withdrawn, and say what will go."""
    return await run_in_threadpool(_withdraw, request, [])


def _withdraw(request: Request, problems: list[Json]) -> Response:
    films = films_of(request)
    film = films.film(request.path_params["id"])
    clips = clips_of(request).clips(film["id"])
    view = {
        "film": film,
        "clips": [one for one in clips if one["status"] == "made"],
        "logs": films.withdrawals(film["id"]),
        "problems": problems,
        "said": request.query_params.get("said", ""),
    }
    return page(request, "film-withdraw.html", status=400 if problems else 200, **view)


async def withdraw(request: Request) -> Response:
    """Withdraw a film; its page then shows the log, line by line, as often as it is opened."""
    form, films = await form_of(request), films_of(request)
    asked_by = form.get("asked_by", "").strip()
    try:
        if not asked_by:
            raise UsageError(
                Problem("asked_by", "nothing", "who asked for it", "write the school or the person")
            )
        await run_in_threadpool(films.withdraw, request.path_params["id"], asked_by)
    except TenbetweenError as error:
        return await run_in_threadpool(_withdraw, request, faults_of(error))
    return back_to(f"/films/{request.path_params['id']}/withdraw", "The film is withdrawn.")


ROUTES = [
    Route("/films/guide", guide, methods=["GET"]),
    Route("/films/{id}/withdraw", withdraw_page, methods=["GET"]),
    Route("/films/{id}/withdraw", withdraw, methods=["POST"]),
    Route("/clips", clips_page, methods=["GET"]),
    Route("/clips", make, methods=["POST"]),
    Route("/clips/list.{kind}", listed, methods=["GET"]),
    Route("/clips/{id}", clip_page, methods=["GET"]),
    Route("/clips/{id}", change, methods=["POST"]),
    Route("/clips/{id}/confirm", confirm, methods=["POST"]),
    Route("/clips/{id}/look.mp4", look, methods=["GET"]),
    Route("/clips/{id}/sheet.jpg", sheet, methods=["GET"]),
    Route("/clips/{id}/take", take, methods=["GET"]),
    Route("/api/v1/clips/{id}/blur", blur, methods=["POST"]),
]
