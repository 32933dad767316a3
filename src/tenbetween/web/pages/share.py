"""Taking an answer along: sheet, picture, one-file page, text, and the letter about what is open.

All plain links and downloads; a script only adds copy buttons.
"""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tenbetween.web.pages.forms import situation_of, wide_look
from tenbetween.web.render import page

TYPES = {"pdf": "application/pdf", "svg": "image/svg+xml", "png": "image/png"}


async def sheet(request: Request) -> Response:
    """Answer the sheet of one line as PDF, SVG or PNG; the PDF opens in the browser, the others are saved."""
    kind = request.url.path.rpartition(".")[2]
    workbench = request.app.state.workbench
    content = workbench.sheet(situation_of(workbench, request.query_params), kind, wide_look(request))
    disposition = "inline" if kind == "pdf" else "attachment"
    headers = {"content-disposition": f'{disposition}; filename="tenbetween-sheet.{kind}"'}
    return Response(content, media_type=TYPES[kind], headers=headers)


async def picture(request: Request) -> Response:
    """Answer the picture to send."""
    workbench = request.app.state.workbench
    content = workbench.sheet(situation_of(workbench, request.query_params), "png", wide_look(request))
    headers = {"content-disposition": 'attachment; filename="tenbetween-answer.png"'}
    return Response(content, media_type="image/png", headers=headers)


async def one_file(request: Request) -> Response:
    """Answer the page that needs no server, to be sent as a file."""
    workbench = request.app.state.workbench
    text = workbench.one_file(situation_of(workbench, request.query_params))
    headers = {"content-disposition": 'attachment; filename="tenbetween-answer.html"'}
    return Response(text, media_type="text/html; charset=utf-8", headers=headers)


async def share_page(request: Request) -> Response:
    """Show every way to send an answer."""
    workbench = request.app.state.workbench
    situation = situation_of(workbench, request.query_params)
    answered = workbench.answer(situation, wide_look(request))
    return page(request, "share.html", view=answered["view"], svg=answered["svg"])


async def question_page(request: Request) -> Response:
    """Show the letter to the interpreter about what is open."""
    workbench = request.app.state.workbench
    letter = workbench.question(situation_of(workbench, request.query_params))
    return page(request, "question.html", letter=letter, line=request.query_params["line"])


ROUTES = [
    *(Route(f"/sheet.{kind}", sheet, name=f"sheet.{kind}") for kind in TYPES),
    Route("/answer.png", picture),
    Route("/answer.html", one_file),
    Route("/share", share_page),
    Route("/question", question_page),
]
