"""``/api/v1/films/...``: what a key or a tap of the film room does, and the parts of the page it changes.

One address per film takes every change of its marks; the answer holds only the parts that are different now.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from tenbetween.errors import FormatError, Problem
from tenbetween.web.api.answer import read_json
from tenbetween.web.film_card import card, measured, row_of
from tenbetween.web.film_room import FilmRoom, Json
from tenbetween.web.pages.media import films_of
from tenbetween.web.render import part

Act = Callable[[FilmRoom, str, Json], Json]
ONE_ROW = ("event", "stroke", "close", "duty")
"""Changes that touch no other mark of the film."""


def _start(films: FilmRoom, film: str, given: Json) -> Json:
    return {"mark": films.start_mark(film, given["at"], event="e0")}


def _event(films: FilmRoom, film: str, given: Json) -> Json:
    return {"mark": films.set_event(given["mark"], given["event"], given.get("at"))}


def _set(films: FilmRoom, film: str, given: Json) -> Json:
    return {"mark": films.set_mark(given["mark"], given["fields"])}


def _duty(films: FilmRoom, film: str, given: Json) -> Json:
    asked = (given["mark"], given["duty"], given["who"], given["verdict"])
    return {"mark": films.set_duty(*asked, note=given.get("note", ""))}


def _align(films: FilmRoom, film: str, given: Json) -> Json:
    films.align(film, given["here"], given["there"])
    return {"mark": None, "words": "The cameras are lined up."}


def _stroke(films: FilmRoom, film: str, given: Json) -> Json:
    return {"mark": films.stroke(given["mark"], given["at"])}


def _close(films: FilmRoom, film: str, given: Json) -> Json:
    return {"mark": films.close_mark(given["mark"])}


def _remove(films: FilmRoom, film: str, given: Json) -> Json:
    films.remove_mark(given["mark"])
    return {"mark": None, "words": "Taken out. Undo brings it back."}


def _undo(films: FilmRoom, film: str, given: Json) -> Json:
    return films.undo(film)


def _redo(films: FilmRoom, film: str, given: Json) -> Json:
    return films.redo(film)


def _judge(films: FilmRoom, film: str, given: Json) -> Json:
    mark = films.judge(film, given["proposal"], given["verdict"])
    words = "Kept as a moment." if mark else "Dropped."
    return {"mark": mark, "words": words, "proposal": given["proposal"], "verdict": given["verdict"]}


ACTS: dict[str, tuple[Act, tuple[str, ...]]] = {
    "start": (_start, ("at",)),
    "event": (_event, ("mark", "event")),
    "set": (_set, ("mark", "fields")),
    "duty": (_duty, ("mark", "duty", "who", "verdict")),
    "stroke": (_stroke, ("mark", "at")),
    "close": (_close, ("mark",)),
    "remove": (_remove, ("mark",)),
    "undo": (_undo, ()),
    "redo": (_redo, ()),
    "align": (_align, ("here", "there")),
    "judge": (_judge, ("proposal", "verdict")),
}


async def do(request: Request) -> Response:
    """Do one thing to the marks of a film; return the parts of the page that are different now."""
    given = read_json(await request.body())
    act = _act_of(given)
    film, films = request.path_params["id"], films_of(request)
    return JSONResponse(await run_in_threadpool(_done, films, film, given, act))


def _act_of(given: Any) -> Act:
    if not isinstance(given, dict) or given.get("do") not in ACTS:
        found = repr(given.get("do") if isinstance(given, dict) else given)[:60]
        raise FormatError(Problem("do", found, f"one of {', '.join(ACTS)}", "send what is to be done"))
    act, needs = ACTS[given["do"]]
    if missing := [name for name in needs if name not in given]:
        raise FormatError([Problem(name, "nothing", "a value", f"send {name} too") for name in missing])
    return act


def _done(films: FilmRoom, film_id: str, given: Json, act: Act) -> Json:
    alone = given["do"] in ONE_ROW
    before = {} if alone else {one["id"]: one for one in films.marks(film_id)}
    told = act(films, film_id, given)
    film, mark = films.film(film_id), told.get("mark")
    if isinstance(mark, str):
        mark = films.mark(mark) if mark else None
    answer: Json = {name: told.get(name, "") for name in ("words", "proposal", "verdict")}
    if mark:
        whole = given["do"] not in ("event", "stroke")
        answer |= {"mark": mark["id"], **card(films, film, mark, whole=whole)}
    if alone and mark:
        return answer | {"rows": [row_of(film, mark)]}
    after = films.marks(film_id)
    changed = [one for one in after if not _alike(before.get(one["id"]), one)]
    return answer | {"rows": [row_of(film, one) for one in changed], "order": [one["id"] for one in after]}


def _alike(before: Json | None, after: Json) -> bool:
    """Tell whether a mark reads as before; its number in the list is not part of its row."""
    return before is not None and {**before, "number": 0} == {**after, "number": 0}


async def show(request: Request) -> Response:
    """Return the card of one mark."""
    films, film_id, mark = films_of(request), request.path_params["id"], request.path_params["mark"]

    def found() -> Json:
        film, shown = films.film(film_id), films.mark(mark)
        return {"mark": shown["id"], "words": "", **card(films, film, shown, whole=True)}

    return JSONResponse(await run_in_threadpool(found))


async def figures(request: Request) -> Response:
    """Return the measures of a film as a part of its page."""
    films, film = films_of(request), request.path_params["id"]

    def found() -> str:
        return part("parts/film-medians.html", measured=measured(films.measure(film)))

    return JSONResponse({"medians": await run_in_threadpool(found)})


ROUTES = [
    Route("/api/v1/films/{id}/do", do, methods=["POST"]),
    Route("/api/v1/films/{id}/marks/{mark}", show, methods=["GET"]),
    Route("/api/v1/films/{id}/measure", figures, methods=["GET"]),
]
