"""Walked games: a list of stoppages, where both should be at each, every one opened as an answer."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tenbetween.errors import TenbetweenError
from tenbetween.web.pages.forms import back_to, faults_of, form_of
from tenbetween.web.render import page


async def games_page(request: Request) -> Response:
    """Show the walked games and the form that walks another."""
    workbench = request.app.state.workbench
    games, today = workbench.games(), workbench.today
    said = request.query_params.get("said", "")
    return page(request, "games.html", games=games, today=today, filled={}, problems=[], said=said)


async def walk_game(request: Request) -> Response:
    """Walk what was typed or sent as a file; keep it when nothing is wrong."""
    workbench = request.app.state.workbench
    filled = await form_of(request)
    filled["stoppages"] = filled.pop("file", "") or filled.get("stoppages", "")
    try:
        walk = workbench.walk(filled, keep=True)
    except TenbetweenError as error:
        walk = {"problems": faults_of(error), "id": ""}
    if not walk["problems"]:
        return back_to(f"/games/{walk['id']}", "Walked and kept.")
    games, today = workbench.games(), workbench.today
    shown = {"games": games, "today": today, "filled": filled, "problems": walk["problems"], "said": ""}
    return page(request, "games.html", status=400, **shown)


async def game_page(request: Request) -> Response:
    """Show one walked game, stoppage by stoppage."""
    walk = request.app.state.workbench.game(request.path_params["id"])
    return page(request, "game.html", walk=walk, said=request.query_params.get("said", ""))


ROUTES = [
    Route("/games", games_page, methods=["GET"]),
    Route("/games", walk_game, methods=["POST"]),
    Route("/games/{id}", game_page),
]
