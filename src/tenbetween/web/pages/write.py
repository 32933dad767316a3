"""Entering an answer: at most twelve inputs, filled from the situation, checked before anything is kept."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tenbetween.errors import TenbetweenError
from tenbetween.web.pages.forms import back_to, faults_of, form_of, situation_of
from tenbetween.web.render import page
from tenbetween.web.workbench import Json


async def write_form(request: Request) -> Response:
    """Show the form, filled from the situation."""
    workbench = request.app.state.workbench
    situation = situation_of(workbench, request.query_params)
    form = workbench.entry_form(situation, request.query_params.get("part", ""))
    return page(request, "write.html", form=form, result=None, faults={}, problems=[])


async def write_answer(request: Request) -> Response:
    """Check what was typed; keep it when asked to and nothing is wrong; what was typed stays."""
    workbench = request.app.state.workbench
    filled = await form_of(request)
    situation = situation_of(workbench, filled)
    form = _filled(workbench.entry_form(situation, filled.get("part", "")), filled)
    if filled.get("do") == "choices":
        return page(request, "write.html", form=form, result=None, faults={}, problems=[])
    try:
        result = workbench.write(filled, keep=filled.get("do") == "keep")
    except TenbetweenError as error:
        result = {"problems": faults_of(error), "kept": False}
    if result["kept"]:
        return back_to(result["href"], "Kept in your own layer. Undo stands under History.")
    problems = result["problems"]
    faults = {problem["where"]: problem for problem in problems}
    status = 400 if problems else 200
    return page(
        request, "write.html", status=status, form=form, result=result, faults=faults, problems=problems
    )


def _filled(form: Json, filled: dict[str, str]) -> Json:
    fields = [{**field, "value": filled.get(field["name"], field["value"])} for field in form["fields"]]
    return {**form, "fields": fields}


ROUTES = [
    Route("/write", write_form, methods=["GET"]),
    Route("/write", write_answer, methods=["POST"]),
]
