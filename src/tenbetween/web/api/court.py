"""``/api/v1/see`` and ``/api/v1/plays``: a scene in, what the crew sees out; a play in, kept."""

from __future__ import annotations

from random import Random
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from tenbetween.errors import FormatError, Problem
from tenbetween.web.api.answer import read_json
from tenbetween.web.render import part

DICE = 25


def dice() -> Random:
    """Return dice that fall the same for every question, so that the same scene is told the same."""
    return Random(DICE)  # noqa: S311  places to compare with, no secret


async def see(request: Request) -> Response:
    """Return what is seen of a scene: contract JSON, the card and the list as parts, one line, what to speak."""
    given = _object(read_json(await request.body()), "scene")
    line = str(given.get("line", ""))
    step = given.get("step", 1)
    number = step if isinstance(step, int) else 1
    found = await run_in_threadpool(request.app.state.workbench.seen, given["scene"], line, number, dice())
    return JSONResponse(
        {
            "sight": found["seen"]["sight"],
            "card": part("parts/seen.html", seen=found["seen"]),
            "positions": part("parts/positions.html", positions=found["positions"]),
            "line": found["scene_line"],
            "url": "/court?" + urlencode({"scene": found["scene_line"]}),
            "speak": found["speak"],
        }
    )


async def keep(request: Request) -> Response:
    """Keep a play under its title, or its changes under its id."""
    given = _object(read_json(await request.body()), "play")
    play = _object(given["play"], "title")
    kept = request.app.state.workbench.save_play(
        play, str(play["title"]), str(given.get("id", "")) or None, str(given.get("version", "")) or None
    )
    return JSONResponse({"id": kept["id"], "url": f"{kept['href']}?" + urlencode({"said": kept["words"]})})


def _object(given: Any, needs: str) -> dict[str, Any]:
    if not isinstance(given, dict) or needs not in given:
        raise FormatError(Problem(needs, "nothing", f'an object with "{needs}"', f'send {{"{needs}": ...}}'))
    return given


ROUTES = [
    Route("/api/v1/see", see, methods=["POST"]),
    Route("/api/v1/plays", keep, methods=["POST"]),
]
