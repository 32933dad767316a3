"""The files every page shares: read once, named by the digest of them all, kept by browsers for good.

Served from memory by exact name, so no path can lead anywhere else. The font is the drawings' own, so that
their words keep the room that was measured for them. Knows no page.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from tenbetween.draw.fonts import FILES

FOLDER = Path(__file__).parent / "static"
KINDS = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".ico": "image/x-icon",
    ".ttf": "font/ttf",
}
SHEETS = ("tokens", "base", "court", "screen")
HOUSE = "css/house.css"
"""The sheets of every page in one, so that the first page waits for one file only."""
FOREVER = "public, max-age=31536000, immutable"


@dataclass(frozen=True, slots=True)
class Assets:
    """Every static file by name, and the digest of them all."""

    files: dict[str, bytes]
    digest: str

    def url(self, name: str) -> str:
        """Return the address of a file.

        >>> Assets({"css/a.css": b""}, "12ab").url("css/a.css")
        '/static/12ab/css/a.css'

        Raises:
            KeyError: there is no such file; a template names something that is not shipped.
        """
        if name not in self.files:
            raise KeyError(name)
        return f"/static/{self.digest}/{name}"

    def text(self, name: str) -> str:
        """Return a file as text, to be put inside a page that travels alone."""
        return self.files[name].decode()


@lru_cache(maxsize=1)
def load_assets() -> Assets:
    """Return the files shipped with the package.

    >>> load_assets().url("css/tokens.css").startswith("/static/")
    True
    """
    found = {
        str(path.relative_to(FOLDER).as_posix()): path.read_bytes()
        for path in sorted(FOLDER.rglob("*"))
        if path.suffix in KINDS
    } | {f"css/{path.name}": path.read_bytes() for path in FILES}
    found[HOUSE] = b"".join(found[f"css/{name}.css"] for name in SHEETS)
    total = hashlib.sha256()
    for name, content in found.items():
        total.update(name.encode() + b"\0" + hashlib.sha256(content).digest())
    return Assets(found, total.hexdigest()[:12])


async def static_file(request: Request) -> Response:
    """Answer one file, for good; an older digest or another name is not found."""
    assets = load_assets()
    name = request.path_params["name"]
    content = assets.files.get(name)
    if content is None or request.path_params["digest"] != assets.digest:
        raise HTTPException(404)
    return _file(name, content, FOREVER)


async def favicon(request: Request) -> Response:
    """Answer the mark in the browser's tab."""
    return _file("mark.svg", load_assets().files["mark.svg"], "public, max-age=86400")


def _file(name: str, content: bytes, kept: str) -> Response:
    return Response(content, media_type=KINDS[Path(name).suffix], headers={"cache-control": kept})
