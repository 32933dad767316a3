"""The film pages: the films of this workbench, taking one up, the film room, finding a moment.

They read without scripts; playing frame by frame and marking need them. No page gets or sends a path.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from tenbetween.errors import Problem, TenbetweenError, UsageError
from tenbetween.web.film_card import answer_of, clock_of, measured, what_of
from tenbetween.web.film_room import FilmRoom, Json
from tenbetween.web.film_words import (
    CAUTION,
    FILTERS,
    KEYS,
    film_row,
    film_signs,
    film_view,
    job_row,
    listening_words,
    part_words,
)
from tenbetween.web.moments import mark_row, proposal_row, size_words
from tenbetween.web.pages.forms import MOST_FIELDS, back_to, faults_of, form_of
from tenbetween.web.pages.media import films_of
from tenbetween.web.render import page, part
from tenbetween.web.workbench import Look

MAIN = "main"
FLOOR = (84.0, 50.0)
MOST_FILES = 40


async def films_page(request: Request) -> Response:
    """Show the films, the work under way, and the files that can be taken up."""
    return await run_in_threadpool(_list, request, [])


def _list(request: Request, problems: list[Json]) -> Response:
    films = films_of(request)
    folders: Sequence[Json] = []
    try:
        folders = films.files()
    except TenbetweenError as error:
        problems = [*problems, *faults_of(error)]
    shown: Json = {
        "films": [film_row(one) for one in films.films()],
        "folders": [_folder(one) for one in folders],
        "jobs": _jobs(films),
        "lacking": films.lacking(),
        "said": request.query_params.get("said", ""),
        "until": _season_end(request.app.state.workbench.today),
    }
    status = 400 if problems else 200
    return page(request, "films.html", status=status, problems=problems, **shown)


def _season_end(today: str) -> str:
    """Return the end of next year's season as an ISO day."""
    return f"{int(today[:4]) + 1}-06-30"


def _folder(folder: Json) -> Json:
    files = [{**one, "size_words": size_words(one["size"])} for one in folder["files"]]
    return {**folder, "files": files}


def _jobs(films: FilmRoom) -> list[Json]:
    """Return the work that is not done, in words; what is done shows by itself."""
    return [job_row(one) for one in films.jobs() if one["state"] != "done"]


async def jobs_part(request: Request) -> Response:
    """Return the work under way as a part of the page, and whether any of it still goes on."""
    jobs = await run_in_threadpool(_jobs, films_of(request))
    going = any(one["state"] in ("waiting", "running") for one in jobs)
    return JSONResponse({"part": part("parts/film-jobs.html", jobs=jobs), "going": going, "any": bool(jobs)})


async def job_cancel(request: Request) -> Response:
    """Stop a piece of work; what it made so far is thrown away."""
    await run_in_threadpool(films_of(request).cancel_job, request.path_params["job"])
    return back_to("/films", "Stopped.")


async def job_again(request: Request) -> Response:
    """Begin a piece of work again that failed or was stopped."""
    await run_in_threadpool(films_of(request).try_again, request.path_params["job"])
    return back_to("/films", "It is taken up again.")


# -- taking a film up ----------


async def new_page(request: Request) -> Response:
    """Look at the chosen files and ask who allowed them."""
    chosen = request.query_params.getlist("file")[:MOST_FILES]
    if not chosen:
        return back_to("/films", "Tick the files of the game first.")
    return await run_in_threadpool(_new, request, chosen, {}, [], [])


def _new(
    request: Request,
    chosen: Sequence[str],
    filled: Mapping[str, str],
    cameras: Sequence[str],
    problems: list[Json],
) -> Response:
    try:
        found = films_of(request).look_at(chosen)
    except TenbetweenError as error:
        return _list(request, [*problems, *faults_of(error)])
    refused = [one for one in found if one.get("problems")]
    looked = [part_words(one) for one in found if not one.get("problems")]
    if not looked:
        return _list(request, [*problems, *(said for one in refused for said in one["problems"])])
    today = request.app.state.workbench.today
    shown = {"looked": looked, "filled": filled, "cameras": cameras, "problems": problems, "today": today}
    shown["refused"] = refused
    shown["officials"] = _officials(request)
    shown["others"] = [one for one in films_of(request).films() if one.get("status") != "withdrawn"]
    until = filled.get("until") or "the day you set below"
    status = 400 if problems else 200
    return page(request, "film-new.html", status=status, caution=CAUTION.format(until=until), **shown)


async def add(request: Request) -> Response:
    """Take up a film; what is missing is said on the same page."""
    async with request.form(max_files=0, max_fields=MOST_FIELDS + 2 * MOST_FILES) as form:
        filled = {name: value for name, value in form.items() if isinstance(value, str)}
        chosen = [one for one in form.getlist("file") if isinstance(one, str)]
        cameras = [one.strip() or "main" for one in form.getlist("camera") if isinstance(one, str)]
    if missing := _missing(filled, chosen):
        if not chosen:
            raise UsageError(missing)
        return await run_in_threadpool(_new, request, chosen, filled, cameras, [p.as_dict() for p in missing])
    try:
        film = await run_in_threadpool(_add, films_of(request), filled, chosen, cameras)
    except TenbetweenError as error:
        return await run_in_threadpool(_new, request, chosen, filled, cameras, faults_of(error))
    return back_to(f"/films/{film['id']}", "The film is taken up. Nothing was moved.")


def _missing(filled: Mapping[str, str], chosen: Sequence[str]) -> list[Problem]:
    asked = {
        "title": ("a title", "name the game, without players"),
        "by": ("who allowed it", "write who gave permission"),
        "until": ("a day", "say until when the film may be kept"),
    }
    problems = [Problem(n, "nothing", what, do) for n, (what, do) in asked.items() if not filled.get(n, "").strip()]  # fmt: skip
    return problems + ([] if chosen else [Problem("file", "nothing", "a film file", "tick it on /films")])


def _add(films: FilmRoom, filled: Mapping[str, str], chosen: Sequence[str], cameras: Sequence[str]) -> Json:
    permission = {name: filled.get(name, "").strip() for name in ("by", "on", "until", "scope")}
    fields: dict[str, Any] = {name: filled.get(name, "").strip() for name in ("date", "level")}
    if any(one != MAIN for one in cameras):
        fields["cameras"] = list(cameras)
    allowed = {**permission, "minors": filled.get("minors") == "yes"}
    return films.add(
        chosen, filled["title"].strip(), allowed, recognise=_recognise(filled), crew=_crew(filled), **fields
    )


async def add_camera(request: Request) -> Response:
    """Take up files as another camera of a film that is here."""
    async with request.form(max_files=0, max_fields=MOST_FIELDS + 2 * MOST_FILES) as form:
        filled = {name: value.strip() for name, value in form.items() if isinstance(value, str)}
        chosen = [one for one in form.getlist("file") if isinstance(one, str)]
    asked = {"of": "the film it belongs to", "own_camera": "a name for the camera"}
    if missing := [
        Problem(n, "nothing", what, "fill it in") for n, what in asked.items() if not filled.get(n)
    ]:
        faults = [one.as_dict() for one in missing]
        return await run_in_threadpool(_new, request, chosen, filled, [], faults)
    try:
        await run_in_threadpool(films_of(request).add_camera, filled["of"], chosen, filled["own_camera"])
    except TenbetweenError as error:
        return await run_in_threadpool(_new, request, chosen, filled, [], faults_of(error))
    return back_to(
        f"/films/{filled['of']}", "The camera is taken up. Line both up at one moment, such as a tip."
    )


def _officials(request: Request) -> list[Json]:
    return list(request.app.state.workbench.officials()["officials"])


def _crew(filled: Mapping[str, str]) -> Json:
    """Return who the two are, as far as it was said."""
    said = {person: filled.get(f"crew_{person}", "").strip() for person in ("referee", "umpire")}
    return {person: official for person, official in said.items() if official}


def _recognise(filled: Mapping[str, str]) -> Json:
    return {person: filled.get(f"know_{person}", "").strip() for person in ("referee", "umpire")}


# -- the film room ----------


async def film_page(request: Request) -> Response:
    """Show one film: player, proposals, moments, and the card of the moment that is open."""
    return await run_in_threadpool(_film, request, [])


def _film(request: Request, problems: list[Json]) -> Response:
    films, asked_film = films_of(request), request.path_params["id"]
    film = films.film(asked_film)
    marks = films.marks(asked_film)
    asked = request.query_params.get("mark", "")
    current = films.mark(asked) if any(one["id"] == asked for one in marks) else None
    proposals = sorted((proposal_row(film, one) for one in films.proposals(asked_film)), key=_rank)
    view = {
        "film": {**film_view(film), "parts": [part_words(one) for one in film["parts"]]},
        "parts": [_for_player(one, film) for one in film["parts"]],
        "cameras": sorted({one["camera"] for one in film["parts"]}),
        "rows": [mark_row(film, one, number) for number, one in enumerate(marks, 1)],
        "current": current,
        "card": _card(films, film, current) if current else None,
        "proposals": proposals,
        "listening": listening_words(films.jobs(), film, films.lacking()),
        "measured": measured(films.measure(asked_film)),
        "signs_of_film": film_signs(film),
        "court": _court(request),
        "doors": _doors(request, film["id"]),
        "officials": _officials(request),
        "keys": KEYS,
        "said": request.query_params.get("said", ""),
    }
    return page(request, "film.html", status=400 if problems else 200, problems=problems, **view)


async def copy_again(request: Request) -> Response:
    """Have the copy for the browser of a part made, or made again."""
    film, form = request.path_params["id"], await form_of(request)
    try:
        await run_in_threadpool(films_of(request).copy_again, film, form.get("part", ""))
    except TenbetweenError as error:
        return await run_in_threadpool(_film, request, faults_of(error))
    return back_to("/films", "The copy waits its turn; it shows under Work under way.")


OPENING = ("lead", "lead_side", "attacking")
DOORS = (
    ("/films/{id}/court", "Find the court"),
    ("/films/{id}/show", "Teaching view"),
    ("/clips", "Clips"),
)


def _doors(request: Request, film: str) -> list[tuple[str, str]]:
    """Return the ways on from a film to the rooms this workbench has."""
    there = {getattr(route, "path", "") for route in request.app.routes}
    found = [(path.replace("{id}", film), words) for path, words in DOORS if path in there]
    return [(f"{path}?film={film}" if path == "/clips" else path, words) for path, words in found]


def _rank(one: Json) -> tuple[bool, float]:
    return (one["verdict"] != "", -one["confidence"])


def _for_player(one: Json, film: Json) -> Json:
    names = ("fingerprint", "name", "camera", "offset_us", "first_pts", "base", "frames", "duration_s")
    away = {"missing": one["fingerprint"] in film["missing"], "withdrawn": film.get("status") == "withdrawn"}
    return {name: one[name] for name in names} | away


def _card(films: FilmRoom, film: Json, mark: Json) -> dict[str, str]:
    return {
        "clock": part("parts/film-clock.html", **clock_of(films, film, mark)),
        "what": part("parts/film-what.html", **what_of(film, mark)),
        "answer": part("parts/film-answer.html", **answer_of(films, film, mark)),
    }


def _court(request: Request) -> Json:
    workbench = request.app.state.workbench
    look = Look(shape="whole", turned=False, end="right", team="White")
    picture = workbench.court(workbench.start()["edition"], look)
    return {"svg": picture["svg"], "frame": picture["frame"], "size": FLOOR}


async def change(request: Request) -> Response:
    """Keep what was changed of the film's title, permission and officials."""
    form, film = await form_of(request), request.path_params["id"]
    fields = {name: form.get(name, "").strip() for name in ("title", "date", "level")}
    films = films_of(request)

    def keep() -> None:
        before = films.film(film)
        permission = {**before["permission"], **{n: form.get(n, "").strip() for n in ("by", "until")}}
        opening = {
            **(before.get("opening") or {}),
            **{n: form[n] for n in OPENING if form.get(n)},
        }
        given = {
            **fields,
            "permission": permission,
            "recognise": _recognise(form),
            "crew": _crew(form),
            "opening": opening,
        }
        films.change_film(film, given, seen=form.get("version", ""))

    try:
        await run_in_threadpool(keep)
    except TenbetweenError as error:
        return await run_in_threadpool(_film, request, faults_of(error))
    return back_to(f"/films/{film}", "The changes are kept.")


async def search_page(request: Request) -> Response:
    """Find moments of every film by words and filters."""
    asked = {name: value.strip() for name, value in request.query_params.items() if value.strip()}
    films = films_of(request)
    problems: list[Json] = []
    rows: list[Json] = []
    try:
        found = await run_in_threadpool(films.search, asked) if asked else ()
        known: dict[str, Json] = {}
        for one in found:
            known.setdefault(one["film"], {}) or known.update({one["film"]: films.film(one["film"])})
        rows = [mark_row(known[one["film"]], one) for one in found]
    except TenbetweenError as error:
        problems = faults_of(error)
    shown = {
        "rows": rows,
        "asked": asked,
        "filters": FILTERS,
        "problems": problems,
        "officials": _officials(request),
    }
    return page(request, "film-search.html", status=400 if problems else 200, **shown)


ROUTES = [
    Route("/films", films_page, methods=["GET"]),
    Route("/films", add, methods=["POST"]),
    Route("/films/new", new_page, methods=["GET"]),
    Route("/films/search", search_page, methods=["GET"]),
    Route("/films/camera", add_camera, methods=["POST"]),
    Route("/films/jobs", jobs_part, methods=["GET"]),
    Route("/films/jobs/{job}/cancel", job_cancel, methods=["POST"]),
    Route("/films/jobs/{job}/again", job_again, methods=["POST"]),
    Route("/films/{id}", film_page, methods=["GET"]),
    Route("/films/{id}", change, methods=["POST"]),
    Route("/films/{id}/copy", copy_again, methods=["POST"]),
]
