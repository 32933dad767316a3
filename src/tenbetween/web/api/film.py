"""``/api/v1/film``: a play is painted frame by frame while the page shows how far it is, and can be stopped.

One thread paints; what it made waits in memory to be fetched once, a few at most. Knows no play.
"""

from __future__ import annotations

import json
import secrets
import threading
from collections.abc import AsyncIterator
from queue import Empty, Queue
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from tenbetween.errors import FormatError, Problem, TenbetweenError
from tenbetween.web.api.answer import read_json
from tenbetween.web.workbench import Workbench

MOST_WAITING = 4
TYPES = {"mp4": "video/mp4", "gif": "image/gif"}
Told = dict[str, Any]


class Painting:
    """One film under way: what it tells, and whether anybody still waits for it."""

    def __init__(self, workbench: Workbench, play: Told, kind: str) -> None:
        self.told: Queue[Told] = Queue()
        self.given_up = threading.Event()
        self.name, self.content = "", b""
        self.work = (workbench, play, kind)
        threading.Thread(target=self._paint, daemon=True).start()

    def _paint(self) -> None:
        workbench, play, kind = self.work
        try:
            self.name, self.content = workbench.play_file(
                play, kind, 0, progress=self._said, cancel=self.given_up.is_set
            )
            self.told.put({"made": True})
        except TenbetweenError as fault:
            self.told.put({"errors": [problem.as_dict() for problem in fault.problems]})
        except Exception as fault:  # the page must hear of it, whatever it is
            found = f"a fault of the program ({type(fault).__name__})"
            problem = Problem(
                "film", found, "a film", "try another kind, and report the play if it happens twice"
            )
            self.told.put({"errors": [problem.as_dict()]})

    def _said(self, done: int, of: int) -> None:
        self.told.put({"done": done, "of": of})

    def hear(self) -> Told:
        """Return what is told next; an empty word now and then, so that a closed page is noticed."""
        try:
            return self.told.get(timeout=1.0)
        except Empty:
            return {}


async def film(request: Request) -> Response:
    """Answer a stream of lines: how far it is, and at the end where the film is to be fetched."""
    given = read_json(await request.body())
    if (
        not isinstance(given, dict)
        or not isinstance(given.get("play"), dict)
        or given.get("kind") not in TYPES
    ):
        problem = Problem("film", "no play or no kind", 'a play and "mp4" or "gif"', "send both")
        raise FormatError(problem)
    painting = Painting(request.app.state.workbench, given["play"], given["kind"])
    made: dict[str, Painting] = request.app.state.__dict__.setdefault("films", {})
    return StreamingResponse(_lines(painting, given["kind"], made), media_type="application/x-ndjson")


async def _lines(painting: Painting, kind: str, made: dict[str, Painting]) -> AsyncIterator[str]:
    try:
        while True:
            told = await run_in_threadpool(painting.hear)
            if told.get("made"):
                key = secrets.token_urlsafe(12)
                made[key] = painting
                for old in [*made][:-MOST_WAITING]:
                    made.pop(old, None)
                told = {"url": f"/court/made/{key}.{kind}"}
            yield json.dumps(told) + "\n"
            if "url" in told or "errors" in told:
                return
    finally:
        painting.given_up.set()


async def made_film(request: Request) -> Response:
    """Hand a film over, once."""
    key, _, kind = request.path_params["name"].rpartition(".")
    painting = request.app.state.__dict__.get("films", {}).pop(key, None)
    if painting is None or kind not in TYPES:
        raise HTTPException(404)
    headers = {"content-disposition": f'attachment; filename="{painting.name}"'}
    return Response(painting.content, media_type=TYPES[kind], headers=headers)


ROUTES = [
    Route("/api/v1/film", film, methods=["POST"]),
    Route("/court/made/{name}", made_film),
]
