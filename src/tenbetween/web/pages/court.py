"""The court screen: a play staged from an answer, set up from one line, or saved; and the list of plays.

Without scripts it reads, and the line and the forms set it up; moving people by hand needs scripts.
"""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tenbetween.errors import TenbetweenError
from tenbetween.web.api.answer import read_json
from tenbetween.web.api.court import dice
from tenbetween.web.pages.answer import LOOK_COOKIE, line_url
from tenbetween.web.pages.forms import back_to, faults_of, form_of
from tenbetween.web.render import page
from tenbetween.web.workbench import Json, Workbench

TYPES = {
    "svg": "image/svg+xml",
    "mp4": "video/mp4",
    "gif": "image/gif",
    "pdf": "application/pdf",
    "png": "image/png",
    "json": "application/json",
}


async def court_page(request: Request) -> Response:
    """Show the play of an answer, the scene of a line, or a play to begin with."""
    query = request.query_params
    try:
        board = await run_in_threadpool(_board, request.app.state.workbench, query, _turned(request))
    except TenbetweenError as error:
        board = await run_in_threadpool(_board, request.app.state.workbench, {}, _turned(request))
        return _page(request, board, status=400, problems=faults_of(error))
    return _page(request, board)


def _board(workbench: Workbench, query: Mapping[str, str], turned: bool) -> Json:
    if query.get("scene", "").strip():
        return workbench.board_of_line(query["scene"], dice(), turned=turned)
    return workbench.board_of_answer(query.get("line", ""), query.get("formation", ""), dice(), turned=turned)


def _turned(request: Request) -> bool:
    return "turned" in request.cookies.get(LOOK_COOKIE, "")


def _page(
    request: Request, board: Json, *, status: int = 200, problems: list[Json] | None = None
) -> Response:
    shown = {
        "problems": problems or [],
        "said": request.query_params.get("said", ""),
        "saved": "",
        "formations": [],
        "note": "",
        "unplaced": False,
        "version": "",
        "report": (),
        "answer_url": line_url(board["play"]["line"]),
        **board,
    }
    return page(request, "court.html", status=status, **shown)


async def scene_posted(request: Request) -> Response:
    """Set up the scene of a typed line."""
    form = await form_of(request)
    return back_to("/court?" + urlencode({"scene": " ".join(form.get("scene", "").split())}))


async def file(request: Request) -> Response:
    """Hand out the play as it stands on the screen: picture that moves, film, sheet, still, JSON."""
    form = await form_of(request)
    kind = form.get("kind", "")
    play = read_json(form.get("play", "").encode())
    step = int(form["step"]) if form.get("step", "").isdigit() else 0
    name, content = await run_in_threadpool(request.app.state.workbench.play_file, play, kind, step)
    disposition = "inline" if kind in ("pdf", "svg") else "attachment"
    headers = {"content-disposition": f'{disposition}; filename="{name}"'}
    return Response(content, media_type=TYPES[kind], headers=headers)


async def open_file(request: Request) -> Response:
    """Open a play or tracks of players from a file; nothing is kept until it is saved."""
    form = await form_of(request)
    workbench = request.app.state.workbench
    try:
        board = await run_in_threadpool(
            workbench.board_of_file,
            form.get("file", ""),
            form.get("title", "").strip(),
            dice(),
            turned=_turned(request),
        )
    except TenbetweenError as error:
        plays = workbench.plays(None)
        shown = {"plays": plays, "provision": "", "said": "", "problems": faults_of(error)}
        return page(request, "plays.html", status=400, **shown)
    return _page(request, board)


async def plays_page(request: Request) -> Response:
    """Show the saved plays, all or those that show a provision."""
    provision = request.query_params.get("provision", "").strip()
    plays = request.app.state.workbench.plays(provision or None)
    said = request.query_params.get("said", "")
    return page(request, "plays.html", plays=plays, provision=provision, said=said, problems=[])


async def play_page(request: Request) -> Response:
    """Open one saved play on the court."""
    found = request.path_params["id"]
    board = await run_in_threadpool(
        request.app.state.workbench.board_of_play, found, dice(), turned=_turned(request)
    )
    return _page(request, {**board, "saved": found})


async def withdraw(request: Request) -> Response:
    """Take a play off the list; the journal keeps it, undo brings it back."""
    request.app.state.workbench.withdraw_play(request.path_params["id"])
    return back_to("/plays", "The play is withdrawn. Undo stands under History.")


ROUTES = [
    Route("/court", court_page, methods=["GET"]),
    Route("/court/scene", scene_posted, methods=["POST"]),
    Route("/court/file", file, methods=["POST"]),
    Route("/plays", plays_page, methods=["GET"]),
    Route("/plays/open", open_file, methods=["POST"]),
    Route("/plays/{id}", play_page, methods=["GET"]),
    Route("/plays/{id}/withdraw", withdraw, methods=["POST"]),
]
