"""``/films/{id}/show``: the teaching view, large and plain, and pointing at people and places on it.

Stops just before the moment and asks; pointers stay on their places through the pan. Reads without scripts as a list.
"""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from tenbetween.web.api.answer import read_json
from tenbetween.web.film_courts import courts_of
from tenbetween.web.moments import mark_row
from tenbetween.web.pages.media import films_of
from tenbetween.web.render import page
from tenbetween.web.workbench import Json

ASKS = "What comes now? Who gives the ball, from where, by hand or by a bounce, and where does the partner stand?"
NOT_COVERED = "Nothing entered covers this. Ask your interpreter; add the answer here."
KINDS: tuple[tuple[str, str, str], ...] = (
    ("ring", "Ring", "one place"),
    ("name", "Name of a role", "one place"),
    ("arrow", "Arrow", "from one place to another"),
    ("sight", "Line of sight", "from one place to another"),
    ("count", "Count of seconds", "one place"),
    ("sentence", "One sentence", "no place"),
    ("pause", "Stop here and ask", "no place"),
)
"""What can be pointed with, and what it needs clicked."""
KEYS: tuple[tuple[str, str], ...] = (
    ("Space", "play, stop; on a question: play on"),
    (", .", "a frame back, on"),
    ("B N", "the moment before, after"),
    ("A", "the answer"),
    ("P", "stop before the moment, or not"),
    ("O", "pointers shown, or not"),
    ("G", "point; again: done"),
    ("arrows, Enter", "while pointing: move the cross half a dot, with Shift five; put it there"),
    ("Escape", "from the fields of the panel back to the picture"),
    ("F", "full screen"),
    ("?", "this list"),
)


async def show_page(request: Request) -> Response:
    """Show the film large, at a moment when ``mark`` names one."""
    return await run_in_threadpool(_page, request)


def _page(request: Request) -> Response:
    films = films_of(request)
    film = films.film(request.path_params["id"])
    rows = [_moment(film, mark, number) for number, mark in enumerate(films.marks(film["id"]), 1)]
    asked = request.query_params.get("mark", "")
    view: Json = {
        "film": film,
        "parts": [_part(one, film) for one in film["parts"]],
        "picture": film["parts"][0]["picture"] if film["parts"] else [640, 360],
        "rows": rows,
        "mark": next((one["id"] for one in rows if one["id"] == asked), ""),
        "pointers": courts_of(request).pointers(film["id"]),
        "kinds": KINDS,
        "keys": KEYS,
        "missing": bool(film["missing"]),
    }
    return page(request, "film-show.html", **view)


def _moment(film: Json, mark: Json, number: int) -> Json:
    row = mark_row(film, mark, number)
    stop = mark["events"].get("e6")
    return {
        "id": mark["id"], "number": number, "time": row["time"], "cause": row["cause"], "at": mark["at"],
        "stop": stop if isinstance(stop, dict) else None, "asks": ASKS, "answer": mark.get("answer") or NOT_COVERED,
    }  # fmt: skip


def _part(one: Json, film: Json) -> Json:
    names = ("fingerprint", "name", "camera", "offset_us", "first_pts", "base", "frames", "duration_s")
    return {name: one[name] for name in names} | {"missing": one["fingerprint"] in film["missing"]}


async def keep(request: Request) -> Response:
    """Keep what is pointed at; answers the pointer with the version to send next time."""
    given: Any = read_json(await request.body())
    kept = await run_in_threadpool(courts_of(request).save_pointer, request.path_params["id"], given)
    return JSONResponse(kept)


async def pointers(request: Request) -> Response:
    """Answer everything that is pointed at on a film."""
    found = await run_in_threadpool(courts_of(request).pointers, request.path_params["id"])
    return JSONResponse({"pointers": found})


ROUTES = [
    Route("/films/{id}/show", show_page, methods=["GET"]),
    Route("/api/v1/films/{id}/pointers", pointers, methods=["GET"]),
    Route("/api/v1/films/{id}/pointers", keep, methods=["POST"]),
]
