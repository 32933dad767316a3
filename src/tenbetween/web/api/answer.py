"""``POST /api/v1/answer``: contract JSON in; contract answer, words and diagram out."""

from __future__ import annotations

import json
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from tenbetween.errors import FormatError, Problem


async def answer(request: Request) -> Response:
    """Answer one situation, or each of a list as if asked alone."""
    given = read_json(await request.body())
    workbench = request.app.state.workbench
    if isinstance(given, list):
        return JSONResponse([workbench.answer(_object(one, f"[{n}]")) for n, one in enumerate(given)])
    return JSONResponse(workbench.answer(_object(given, "situation")))


def read_json(body: bytes) -> Any:
    """Return the JSON of a request.

    >>> read_json(b'{"attacking": "left"}')
    {'attacking': 'left'}

    Raises:
        FormatError: no JSON, a name twice in one object, NaN or infinity.
    """
    try:
        return json.loads(body.decode(), object_pairs_hook=_no_twins, parse_constant=_no_constant)
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError) as error:
        found = str(error) if isinstance(error, json.JSONDecodeError) else "bytes that are no JSON text"
        raise FormatError(Problem("request", found[:120], "one JSON value in UTF-8", "send it so")) from None


def _no_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    names = [name for name, _ in pairs]
    twins = sorted({name for name in names if names.count(name) > 1})
    if twins:
        raise FormatError(
            [Problem(name, "the name twice", "each name once", "take one of them out") for name in twins]
        )
    return dict(pairs)


def _no_constant(name: str) -> Any:
    raise FormatError(Problem("request", name, "a finite number", "leave the field out or write a number"))


def _object(given: Any, where: str) -> dict[str, Any]:
    if not isinstance(given, dict):
        raise FormatError(Problem(where, f"a {type(given).__name__}", "an object", "send a situation"))
    return given


ROUTES = [Route("/api/v1/answer", answer, methods=["POST"])]
