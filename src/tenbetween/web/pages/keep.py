"""What is kept: stamps, advice, frozen and saved answers, officials, settings, and the journal with undo."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tenbetween.errors import TenbetweenError
from tenbetween.web.pages.forms import back_to, faults_of, form_of, situation_of, wide_look
from tenbetween.web.render import page
from tenbetween.web.workbench import Json

ABOUT_AN_ANSWER = ("stamp", "advice", "frozen", "answer")
OF_ITS_OWN = ("official", "crew", "setting", "settle")
TITLES = {
    "stamp": ("Stamp this answer", "Who confirmed it, on which day, by which memo."),
    "advice": ("Add advice", "What somebody said stands beside what others said; nothing is overwritten."),
    "frozen": (
        "Freeze this answer",
        "Your list is run on every edition and layer; you see at once what moved.",
    ),
    "answer": ("Save this answer", "Under a name, with the book it rests on."),
}


async def keep_form(request: Request) -> Response:
    """Show the form that keeps something about an answer."""
    kind = request.path_params["kind"]
    if kind not in ABOUT_AN_ANSWER:
        raise HTTPException(404)
    return _form_page(request, kind, dict(request.query_params), [])


def _form_page(request: Request, kind: str, filled: dict[str, str], problems: list[Json]) -> Response:
    workbench = request.app.state.workbench
    answered = workbench.answer(situation_of(workbench, filled), wide_look(request))
    title, about = TITLES[kind]
    return page(
        request,
        "keep.html",
        status=400 if problems else 200,
        kind=kind,
        title=title,
        about=about,
        view=answered["view"],
        filled=filled,
        today=workbench.today,
        problems=problems,
        faults={problem["where"]: problem for problem in problems},
    )


async def keep_it(request: Request) -> Response:
    """Keep one thing, or say in the same form what is missing."""
    kind = request.path_params["kind"]
    if kind not in ABOUT_AN_ANSWER + OF_ITS_OWN:
        raise HTTPException(404)
    workbench = request.app.state.workbench
    filled = await form_of(request)
    situation = situation_of(workbench, filled) if kind in ABOUT_AN_ANSWER else None
    try:
        done = workbench.keep(kind, situation, filled)
    except TenbetweenError as error:
        if situation is None:
            raise
        return _form_page(request, kind, filled, faults_of(error))
    return back_to(done["href"], done["words"])


async def history_page(request: Request) -> Response:
    """Show the journal, newest first."""
    before = request.query_params.get("before", "")
    journal = request.app.state.workbench.history(int(before) if before.isdigit() else None)
    return page(request, "history.html", journal=journal, said=request.query_params.get("said", ""))


async def undo(request: Request) -> Response:
    """Take back one entry, or the last change."""
    form = await form_of(request)
    return back_to("/history", request.app.state.workbench.undo(form.get("entry") or None)["words"])


async def redo(request: Request) -> Response:
    """Take back an undo."""
    form = await form_of(request)
    return back_to("/history", request.app.state.workbench.redo(form.get("entry") or None)["words"])


async def frozen_page(request: Request) -> Response:
    """Show the frozen answers and what every edition and layer says to them now."""
    run = request.app.state.workbench.frozen()
    return page(request, "frozen.html", run=run, said=request.query_params.get("said", ""))


async def saved_page(request: Request) -> Response:
    """Show the saved answers."""
    saved = request.app.state.workbench.saved()
    return page(request, "saved.html", saved=saved, said=request.query_params.get("said", ""))


async def officials_page(request: Request) -> Response:
    """Show the officials and crews by name."""
    people = request.app.state.workbench.officials()
    return page(request, "officials.html", people=people, said=request.query_params.get("said", ""))


async def settings_page(request: Request) -> Response:
    """Show every setting in force, who set it, and the layers always used."""
    workbench = request.app.state.workbench
    start = workbench.start()
    edition = request.query_params.get("edition", start["edition"])
    found = workbench.settings(edition, tuple(start["layers"]))
    said = request.query_params.get("said", "")
    return page(request, "settings.html", settings=found, start=start, edition=edition, said=said)


ROUTES = [
    Route("/keep/{kind}", keep_form, methods=["GET"]),
    Route("/keep/{kind}", keep_it, methods=["POST"]),
    Route("/history", history_page),
    Route("/undo", undo, methods=["POST"]),
    Route("/redo", redo, methods=["POST"]),
    Route("/frozen", frozen_page),
    Route("/saved", saved_page),
    Route("/officials", officials_page),
    Route("/settings", settings_page),
]
