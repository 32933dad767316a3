"""Reading forms and lines of a request, and going back to an address of our own.

Knows no page; every fault is directions.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from tenbetween.errors import Problem, TenbetweenError, UsageError
from tenbetween.web.draft import TEAMS
from tenbetween.web.workbench import Json, Look, Workbench

MOST_FIELDS = 60


async def form_of(request: Request) -> dict[str, str]:
    """Return the fields of a posted form as text.

    Raises:
        UsageError: it is no form, or has more fields than any of ours.
    """
    kind = request.headers.get("content-type", "").partition(";")[0]
    if not kind and not await request.body():
        return {}
    if kind not in ("application/x-www-form-urlencoded", "multipart/form-data"):
        problem = Problem("request", kind or "no type", "a form", "send the fields as the page does")
        raise UsageError(problem)
    async with request.form(max_files=2, max_fields=MOST_FIELDS) as form:
        return {name: await _text(name, value) for name, value in form.items()}


async def _text(name: str, value: str | UploadFile) -> str:
    if isinstance(value, str):
        return value.replace("\r\n", "\n")
    try:
        return (await value.read()).decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        problem = Problem(name, "a file that is no UTF-8 text", "a text file", "save it as UTF-8 or CSV")
        raise UsageError(problem) from None


def situation_of(workbench: Workbench, given: dict[str, str] | Any) -> Json:
    """Return the situation of the line in an address or a form.

    Raises:
        TenbetweenError: there is no line, or it cannot be read.
    """
    line = given.get("line", "").strip()
    if not line:
        raise UsageError(
            Problem("line", "nothing", "a situation in one line", "answer it on the first screen")
        )
    return workbench.read_line(line)


def wide_look(request: Request) -> Look:
    """Return how a sheet draws the court: whole, turned as his gym stands, teams as named."""
    team = request.query_params.get("team", TEAMS[0])
    turned = "turned" in request.cookies.get("tenbetween_look", "")
    return Look(shape="whole", turned=turned, end="right", team=team if team in TEAMS else TEAMS[0])


def back_to(address: str, said: str = "") -> Response:
    """Return the way on after a change, with one sentence that says what was done."""
    mark = "&" if "?" in address else "?"
    return RedirectResponse(
        f"{address}{mark}{urlencode({'said': said})}" if said else address, status_code=303
    )


def faults_of(error: TenbetweenError) -> list[Json]:
    """Return the problems of an error as a form shows them."""
    return [problem.as_dict() for problem in error.problems]
