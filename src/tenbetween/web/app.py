"""The web application: every route behind the walls, every fault said as directions.

``create_app`` needs a workbench and a door; ``serve`` runs it. Holds nothing of its own.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route
from starlette.types import ASGIApp, Receive, Scope, Send

from tenbetween.errors import Problem, StoreError, TenbetweenError
from tenbetween.web.api import answer as answer_api
from tenbetween.web.api import court as court_api
from tenbetween.web.api import film as film_api
from tenbetween.web.api import films as films_api
from tenbetween.web.assets import favicon, static_file
from tenbetween.web.pages import (
    answer,
    book,
    clips,
    court,
    film_court,
    film_show,
    films,
    games,
    keep,
    media,
    share,
    write,
)
from tenbetween.web.render import problems_page
from tenbetween.web.security import Door, RefusedError, Walls
from tenbetween.web.workbench import Workbench

LOG = logging.getLogger("tenbetween.web")
TITLES = {
    400: "That could not be read",
    401: "This workbench does not know this browser",
    403: "That request came from somewhere else",
    404: "There is no such page",
    405: "That cannot be done here",
    409: "Somebody changed it in between",
    413: "That is too much at once",
    414: "That address is too long",
    500: "Something broke here",
}


def routes() -> list[BaseRoute]:
    """Return every route of the workbench."""
    own: Sequence[BaseRoute] = [
        Route("/static/{digest}/{name:path}", static_file),
        Route("/favicon.svg", favicon),
        Route("/favicon.ico", favicon),
    ]
    rooms = (answer, court, clips, films, film_court, film_show, write, share, book, keep, games, media)
    programs = (answer_api, court_api, film_api, films_api)
    return [*own, *(route for room in (*rooms, *programs) for route in room.ROUTES)]


def create_app(workbench: Workbench, door: Door) -> ASGIApp:
    """Return the whole application: routes, error pages, and the walls around them."""
    app = Starlette(
        routes=routes(),
        exception_handlers={
            HTTPException: _http_fault,
            TenbetweenError: _our_fault,
            RefusedError: _refused_inside,
            Exception: _unforeseen,
        },
    )
    app.state.workbench = workbench
    app.state.door = door
    app.router.redirect_slashes = False
    return Walls(Unbroken(app), door, refused)


class Unbroken:
    """Catches what nobody foresaw once the page has said it in words; the log has the details."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Run the application; what broke was answered inside and is only logged here."""
        try:
            await self.app(scope, receive, send)
        except Exception:
            LOG.exception("%s %s broke", scope.get("method"), scope.get("path"))


def _broken() -> Problem:
    return Problem(
        "this page",
        "a fault of the program",
        "an answer",
        "nothing was changed; go back and try again, and report the address if it happens twice",
    )


async def _http_fault(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    expected = {404: "an address of this workbench", 405: "another method"}.get(status, "a proper request")
    problem = Problem("address", repr(request.url.path)[:120], expected, "start again from the first screen")
    return _say(request, status, (problem,))


async def _our_fault(request: Request, error: Exception) -> Response:
    problems = error.problems if isinstance(error, TenbetweenError) else (_broken(),)
    conflict = isinstance(error, StoreError) and any("changed" in p.found for p in problems)
    return _say(request, 409 if conflict else 400, problems)


async def _refused_inside(request: Request, error: Exception) -> Response:
    if not isinstance(error, RefusedError):
        raise error
    return _say(request, error.status, (error.problem,))


async def _unforeseen(request: Request, error: Exception) -> Response:
    return _say(request, 500, (_broken(),))


async def refused(scope: Scope, receive: Receive, send: Send) -> None:
    """Answer a request the walls turned away."""
    why: RefusedError = scope["refused"]
    await _say(Request(scope, receive), why.status, (why.problem,))(scope, receive, send)


def _say(request: Request, status: int, problems: tuple[Problem, ...]) -> Response:
    """Return the problems as JSON to programs and as a page to people."""
    wants_page = "text/html" in request.headers.get("accept", "")
    if request.url.path.startswith("/api/") or request.url.path == "/part" or not wants_page:
        return JSONResponse({"errors": [p.as_dict() for p in problems]}, status_code=status)
    return problems_page(request, status, TITLES.get(status, TITLES[500]), problems)
