"""``/media/...``: the film files of this machine by fingerprint, in pieces as the browser asks; frame times; stills.

Only fingerprints the desk knows lead anywhere; no address holds a path, no answer tells one.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from tenbetween.errors import TenbetweenError
from tenbetween.web.film_room import FilmRoom

TYPES = {".mp4": "video/mp4", ".m4v": "video/mp4", ".mov": "video/mp4", ".webm": "video/webm"} | {
    ".mkv": "video/x-matroska",
    ".ts": "video/mp2t",
}
KEPT = "private, max-age=31536000, immutable"
"""What stands under a fingerprint never changes."""
TALLEST = 2160


def films_of(request: Request) -> FilmRoom:
    """Return the film room of this workbench."""
    room: FilmRoom = request.app.state.workbench.films
    return room


def media_type(path: Path) -> str:
    """Return how a film file is announced; a browser that is told ``video/quicktime`` does not even try.

    >>> media_type(Path("game.MOV")), media_type(Path("game.avi"))
    ('video/mp4', 'application/octet-stream')
    """
    return TYPES.get(path.suffix.lower(), "application/octet-stream")


async def media(request: Request) -> Response:
    """Answer a film file, whole or in the piece that was asked for."""
    try:
        path = await run_in_threadpool(films_of(request).path_of, request.path_params["fingerprint"])
    except TenbetweenError as error:
        return _missing(error)
    return FileResponse(path, media_type=media_type(path))


async def frames(request: Request) -> Response:
    """Answer when each frame begins: 8-byte little-endian floats, in seconds of the file's own time."""
    try:
        found = await run_in_threadpool(films_of(request).frames, request.path_params["fingerprint"])
    except TenbetweenError as error:
        return _missing(error)
    content = np.ascontiguousarray(found, "<f8").tobytes()
    return Response(content, media_type="application/octet-stream", headers={"cache-control": KEPT})


async def still(request: Request) -> Response:
    """Answer one frame as a JPEG, in the height that is asked for with ``h``."""
    asked = request.query_params.get("h", "720")
    height = max(64, min(TALLEST, int(asked) if asked.isdigit() else 720))
    fingerprint, pts = request.path_params["fingerprint"], request.path_params["pts"]
    try:
        content = await run_in_threadpool(films_of(request).still, fingerprint, int(pts), height)
    except TenbetweenError as error:
        return _missing(error)
    return Response(content, media_type="image/jpeg", headers={"cache-control": KEPT})


def _missing(error: TenbetweenError) -> Response:
    return JSONResponse({"errors": [problem.as_dict() for problem in error.problems]}, status_code=404)


ROUTES = [
    Route("/media/{fingerprint}", media),
    Route("/media/{fingerprint}/frames", frames),
    Route("/media/{fingerprint}/still/{pts:int}.jpg", still),
]
