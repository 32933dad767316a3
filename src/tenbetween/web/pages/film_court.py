"""``/films/{id}/court``: find the court on a frame, click feet, see what the crew saw; and the answers to its clicks.

The page reads without scripts; clicking needs them. One address takes every click and answers with parts.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from tenbetween.errors import FormatError, Problem
from tenbetween.web.api.answer import read_json
from tenbetween.web.film_courts import (
    KEYS,
    SIGNS,
    WHO,
    CourtRoom,
    anchor_row,
    anchors_part,
    clock,
    courts_of,
    feet_part,
    foot_row,
    marks_part,
    saw_part,
    work_told,
)
from tenbetween.web.film_room import FilmRoom
from tenbetween.web.pages.films import FLOOR
from tenbetween.web.pages.media import films_of
from tenbetween.web.render import page
from tenbetween.web.workbench import Json, Look

STEPS = ((-30, "30 frames back"), (-1, "1 frame back"), (1, "1 frame on"), (30, "30 frames on"))


async def court_page(request: Request) -> Response:
    """Show the frame that is asked for by ``mark``, or by ``part`` and ``pts``, else the first of the film."""
    return await run_in_threadpool(_page, request)


def _page(request: Request) -> Response:
    films, rooms = films_of(request), courts_of(request)
    film = films.film(request.path_params["id"])
    mark = request.query_params.get("mark", "")
    at = _asked(films, film, request.query_params)
    view = rooms.page(film["id"], at)
    here = view["at"]
    view |= {
        "time": clock(view["seconds"]),
        "mark": mark,
        "steps": _steps(films, film, here),
        "who": WHO,
        "keys": KEYS,
        "signs": SIGNS,
        "feet": [foot_row(one) for one in view["standing"]["feet"]],
        "told": view["standing"]["told"],
        "pairs": [(dict(WHO).get(a, a), dict(WHO).get(b, b)) for a, b in view["standing"]["pairs"]],
        "anchors": [anchor_row(one) for one in view["anchors"]],
        "missing": here["part"] in film["missing"],
        "withdrawn": film.get("status") == "withdrawn",
        "court": _court(request),
        "said": request.query_params.get("said", ""),
    }
    return page(request, "film-court.html", **view)


def _asked(films: FilmRoom, film: Json, query: Mapping[str, str]) -> Json | None:
    """Return the frame time an address asks for; None for the first of the film."""
    if query.get("mark"):
        mark = films.mark(query["mark"])
        found = mark["events"].get("e6")
        return found if isinstance(found, dict) else dict(mark["at"])
    part = next((one for one in film["parts"] if one["fingerprint"] == query.get("part")), None)
    if part is None or not query.get("pts", "").lstrip("-").isdigit():
        return None
    return {"part": part["fingerprint"], "pts": int(query["pts"]), "base": list(part["base"])}


def _steps(films: FilmRoom, film: Json, at: Json) -> list[Json]:
    """Return the frames some steps away, as addresses."""
    if at["part"] in film["missing"]:
        return []
    base = at["base"]
    times = np.round(np.asarray(films.frames(at["part"])) * base[1] / base[0]).astype(int)
    here = int(np.clip(np.searchsorted(times, at["pts"], side="right") - 1, 0, len(times) - 1))
    found = []
    for by, words in STEPS:
        to = int(times[int(np.clip(here + by, 0, len(times) - 1))])
        found.append(
            {"href": f"/films/{film['id']}/court?part={at['part']}&pts={to}", "words": words, "by": by}
        )
    return found


def _court(request: Request) -> Json:
    workbench = request.app.state.workbench
    look = Look(shape="whole", turned=False, end="right", team="White")
    picture = workbench.court(workbench.start()["edition"], look)
    return {"svg": picture["svg"], "frame": picture["frame"], "size": FLOOR}


# ---- what a click does ----


def _locate(rooms: CourtRoom, film: str, given: Json) -> Json:
    located = rooms.locate(film, given["at"], given)
    return {
        "located": located,
        "parts": {"marks": marks_part(located), "feet": feet_part(located["feet"])},
        "words": "",
    }


def _again(rooms: CourtRoom, film: str, given: Json) -> Json:
    located = rooms.again(film, given["at"])
    return {"located": located, "parts": {"marks": marks_part(located)}, "words": located["why"]}


def _keep(rooms: CourtRoom, film: str, given: Json) -> Json:
    anchor = rooms.save_anchor(film, given["at"], given)
    parts = {"anchors": anchors_part(film, rooms.anchors(film))}
    return {"anchor": anchor["id"], "parts": parts, "words": "The court of this frame is kept."}


def _stand(rooms: CourtRoom, film: str, given: Json) -> Json:
    stood = rooms.stand(film, given["at"], given, str(given.get("mark") or ""), keep=bool(given.get("keep")))
    parts = {"feet": feet_part(stood["feet"]), "saw": saw_part(stood)}
    return {
        "feet": stood["feet"],
        "pairs": stood["pairs"],
        "parts": parts,
        "words": stood["told"]["why"] or "Kept.",
    }


def _follow(rooms: CourtRoom, film: str, given: Json) -> Json:
    asked = rooms.follow(str(given.get("anchor")), float(given.get("seconds", 10)))
    words = (
        "It is carried in the background; its row says how far."
        if asked["job"]
        else "Carried through the pan."
    )
    return {
        "job": asked["job"],
        "parts": {"anchors": anchors_part(film, rooms.anchors(film))},
        "words": words,
    }


def _drop(rooms: CourtRoom, film: str, given: Json) -> Json:
    rooms.remove_anchor(str(given.get("anchor")))
    return {
        "parts": {"anchors": anchors_part(film, rooms.anchors(film))},
        "words": "Taken away. Undo stands under History.",
    }


def _look(rooms: CourtRoom, film: str, given: Json) -> Json:
    return {"parts": {"anchors": anchors_part(film, rooms.anchors(film))}, "words": ""}


ACTS: dict[str, tuple[Callable[[CourtRoom, str, Json], Json], tuple[str, ...]]] = {
    "locate": (_locate, ("at",)),
    "again": (_again, ("at",)),
    "keep": (_keep, ("at",)),
    "stand": (_stand, ("at", "feet")),
    "follow": (_follow, ("anchor",)),
    "drop": (_drop, ("anchor",)),
    "look": (_look, ()),
}


async def do(request: Request) -> Response:
    """Do one thing on the page and answer with the parts that are different now."""
    given = read_json(await request.body())
    name = given.get("do") if isinstance(given, dict) else given
    if not isinstance(given, dict) or name not in ACTS:
        raise FormatError(
            Problem("do", repr(name)[:60], f"one of {', '.join(ACTS)}", "send what is to be done")
        )
    act, needs = ACTS[str(name)]
    if missing := [one for one in needs if one not in given]:
        raise FormatError([Problem(one, "nothing", "a value", f"send {one} too") for one in missing])
    if "at" in given:
        given["at"] = frame_time(given["at"])
    return JSONResponse(await run_in_threadpool(act, courts_of(request), request.path_params["id"], given))


def frame_time(given: Any) -> Json:
    """Return a frame time.

    Raises:
        FormatError: it is none.
    """
    right = isinstance(given, dict) and set(given) == {"part", "pts", "base"} and type(given["pts"]) is int
    base = given.get("base") if isinstance(given, dict) else None
    if (
        not right
        or not isinstance(base, list)
        or len(base) != 2
        or not all(type(one) is int and one > 0 for one in base)
    ):
        form = '{"part": fingerprint, "pts": whole number, "base": [1, 90000]}'
        raise FormatError(
            Problem("at", repr(given)[:80], form, "send the time of the frame in whole numbers")
        )
    found: Json = given
    return found


async def carrying(request: Request) -> Response:
    """Answer how far the work is that carries an anchor; asked often, so it says no more than that."""
    film, job = request.path_params["id"], request.path_params["job"]
    return JSONResponse(work_told(await run_in_threadpool(courts_of(request).carrying, film, job)))


async def change_carrying(request: Request) -> Response:
    """Stop the work that carries an anchor, or take it up again; answers how it stands then."""
    film, job = request.path_params["id"], request.path_params["job"]
    given = read_json(await request.body())
    wanted = given.get("do") if isinstance(given, dict) else given
    films = films_of(request)
    does = {"cancel": films.cancel_job, "again": films.try_again}
    if wanted not in does:
        raise FormatError(
            Problem("do", repr(wanted)[:60], "cancel or again", "send what is to be done with the work")
        )
    rooms = courts_of(request)
    await run_in_threadpool(rooms.carrying, film, job)  # it is work of this film, or is refused
    await run_in_threadpool(does[wanted], job)
    return JSONResponse(work_told(await run_in_threadpool(rooms.carrying, film, job)))


async def cameras(request: Request) -> Response:
    """Answer every known camera of a part between two time stamps, for what is drawn over the running film."""
    query = request.query_params
    numbers = [
        int(query[name]) if query.get(name, "").lstrip("-").isdigit() else 0 for name in ("from", "to")
    ]
    found = await run_in_threadpool(
        courts_of(request).cameras, request.path_params["id"], query.get("part", ""), *numbers
    )
    return JSONResponse(found)


ROUTES = [
    Route("/films/{id}/court", court_page, methods=["GET"]),
    Route("/api/v1/films/{id}/court", do, methods=["POST"]),
    Route("/api/v1/films/{id}/carrying/{job}", carrying, methods=["GET"]),
    Route("/api/v1/films/{id}/carrying/{job}", change_carrying, methods=["POST"]),
    Route("/api/v1/films/{id}/cameras", cameras, methods=["GET"]),
]
