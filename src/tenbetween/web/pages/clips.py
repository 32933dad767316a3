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
from tenbetween.web.render import page, part
from tenbetween.web.workbench import Json

KINDS = {
    "csv": "text/csv; charset=utf-8",
    "vtt": "text/vtt; charset=utf-8",
    "notes.vtt": "text/vtt; charset=utf-8",
    "otio": "application/json",
}
WAYS: tuple[tuple[str, str], ...] = (
    ("exact", "Exact: pointers, stop, captions, sound, blurring"),
    ("fast", "Fast copy: the pictures as they are, sound if ticked"),
    ("reel", "One reel of all, a card before each; takes all that exact takes"),
    ("beside", "Two side by side, joined at disposal; pointers, no sound"),
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

    def rows(self, film: str = "", words: str = "", by_part: bool = False) -> list[Json]:
        """Return confirmed clips as rows for chapters and tables; one for each part for a time line."""
        ...

    def offsets_s(self) -> dict[str, float]:
        """Return by part what makes its own seconds those of its game's one time line."""
        ...

    def left_out(self, film: str = "", words: str = "") -> str:
        """Return in words which clips no list hands out."""
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
    titles, rooms = films.films(), clips_of(request)
    jobs = [job_row(one) for one in films.jobs() if one["kind"] == "export"][:8]
    view = {
        "clips": [_row(one) for one in rooms.clips(film, words)], "left_out": rooms.left_out(film, words),
        "films": [(one["id"], one["title"]) for one in titles],
        "jobs": jobs, "jobs_at": _jobs_at(""), "making": any(one["state"] in ("waiting", "running") for one in jobs),
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
        "seconds": round(one["seconds"], 1),
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
    parts = {one["fingerprint"]: one for one in film["parts"]}
    first = parts.get(clip["begins"]["part"])
    shown = [_stretch(one) for one in clip["stretches"]]
    jobs = [job_row(one) for one in films.jobs() if one["kind"] == "export" and one["film"] == clip["film"]][
        :3
    ]
    view = {
        "clip": clip, "film": film, "picture": first["picture"] if first else [640, 360], "jobs": jobs,
        "jobs_at": _jobs_at(clip["id"]), "making": any(one["state"] in ("waiting", "running") for one in jobs),
        "missing": any(one["part"] not in parts or one["part"] in film["missing"] for one in shown),
        "stretches": shown, "shown_s": round(sum(one["seconds"] for one in shown), 1), "problems": problems,
        "may_sound": clip["how"].get("way", "exact") != "beside",
        "said": request.query_params.get("said", ""), "version": clip["version"],
    }  # fmt: skip
    return page(request, "clip.html", status=400 if problems else 200, **view)


def _stretch(one: Json) -> Json:
    """Return a piece of one part as the page needs it to show the frame of a second."""
    begins, ends = one["begins"], one["ends"]
    seconds = (ends["pts"] - begins["pts"]) * begins["base"][0] / begins["base"][1]
    return {**begins, "begins": begins["pts"], "ends": ends["pts"], "seconds": seconds}


async def work(request: Request) -> Response:
    """Return what is being made as a part of the page, whether it still goes on, and what is finished by now."""
    return await run_in_threadpool(_work, request)


def _work(request: Request) -> Response:
    clip, films, rooms = request.path_params.get("id", ""), films_of(request), clips_of(request)
    there = [rooms.clip(clip)] if clip else rooms.clips()
    film = there[0]["film"] if clip else ""
    rows = [one for one in films.jobs() if one["kind"] == "export" and film in ("", one["film"])]
    jobs = [job_row(one) for one in rows][: 3 if clip else 8]
    return JSONResponse(
        {
            "part": part("parts/film-jobs.html", jobs=jobs, jobs_at=_jobs_at(clip)) if jobs else "",
            "going": any(one["state"] in ("waiting", "running") for one in jobs),
            "made": [one["id"] for one in there if one["there"]],
        }
    )


def _jobs_at(clip: str) -> str:
    return f"/clips/{clip}/making" if clip else "/clips/making"


async def work_cancel(request: Request) -> Response:
    """Stop the making of a clip and go back to where it was asked."""
    await run_in_threadpool(films_of(request).cancel_job, request.path_params["job"])
    return back_to(_clip_address(request), "Stopped.")


async def work_again(request: Request) -> Response:
    """Take up the making of a clip again and go back to where it was asked."""
    await run_in_threadpool(films_of(request).try_again, request.path_params["job"])
    return back_to(_clip_address(request), "It is taken up again.")


def _clip_address(request: Request) -> str:
    clip = request.path_params.get("id", "")
    return f"/clips/{clip}" if clip else "/clips"


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

    rows = clip_rows(room.rows(film, words, by_part=kind == "otio"))
    if not rows:
        left = room.left_out(film, words) or "No clip."
        do = "look at permission, names and contact sheet of a clip and confirm it"
        raise UsageError(Problem("clips", left.rstrip("."), "confirmed clips of films in use", do))
    if kind == "otio":
        return timeline_otio(rows, "Clips")
    write = {"csv": marks_csv, "vtt": chapters_vtt, "notes.vtt": notes_vtt}[kind]
    return write(rows, room.offsets_s())


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
    Route("/clips/making", work, methods=["GET"]),
    Route("/clips/making/{job}/cancel", work_cancel, methods=["POST"]),
    Route("/clips/making/{job}/again", work_again, methods=["POST"]),
    Route("/clips/{id}/making", work, methods=["GET"]),
    Route("/clips/{id}/making/{job}/cancel", work_cancel, methods=["POST"]),
    Route("/clips/{id}/making/{job}/again", work_again, methods=["POST"]),
    Route("/clips/list.{kind}", listed, methods=["GET"]),
    Route("/clips/{id}", clip_page, methods=["GET"]),
    Route("/clips/{id}", change, methods=["POST"]),
    Route("/clips/{id}/confirm", confirm, methods=["POST"]),
    Route("/clips/{id}/look.mp4", look, methods=["GET"]),
    Route("/clips/{id}/sheet.jpg", sheet, methods=["GET"]),
    Route("/clips/{id}/take", take, methods=["GET"]),
    Route("/api/v1/clips/{id}/blur", blur, methods=["POST"]),
]
