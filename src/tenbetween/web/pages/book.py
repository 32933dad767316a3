"""The book to read, to search, and to take to the gym as one file that needs no server."""

from __future__ import annotations

import hashlib
from base64 import b64encode

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from tenbetween.web.assets import load_assets
from tenbetween.web.render import page, part
from tenbetween.web.workbench import Json, Start, Workbench


def _layers(request: Request, start: Start) -> tuple[str, ...]:
    given = request.query_params.get("layers")
    if given is None:
        return tuple(start["layers"])
    return tuple(name for name in given.split() if name != "none")


async def shelf(request: Request) -> Response:
    """Show the editions; a search goes to the edition in force."""
    start = request.app.state.workbench.start()
    if request.query_params.get("q"):
        return RedirectResponse(f"/book/{start['edition']}?{request.url.query}", status_code=303)
    return page(request, "shelf.html", start=start)


async def edition(request: Request) -> Response:
    """Show one edition by its groups, or what a search finds in it."""
    workbench = request.app.state.workbench
    start = workbench.start()
    name, layers = request.path_params["edition"], _layers(request, start)
    book = workbench.book(name, layers)
    asked = request.query_params.get("q", "").strip()[:200]
    found = workbench.search(name, layers, asked) if asked else None
    return page(request, "book.html", book=book, asked=asked, found=found, start=start, layers=layers)


async def changes(request: Request) -> Response:
    """Show what changed between two editions, as a handout: what a rule moved, then what only followed."""
    workbench = request.app.state.workbench
    start = workbench.start()
    ids = [one["id"] for one in start["editions"]]
    before = request.query_params.get("before") or ids[-2]
    after = request.query_params.get("after") or start["edition"]
    found = workbench.changes(before, after, _layers(request, start))
    return page(request, "changes.html", found=found, before=before, after=after, start=start)


async def provision(request: Request) -> Response:
    """Show one provision: what he teaches, why, what goes wrong, source, rows, history."""
    workbench = request.app.state.workbench
    start = workbench.start()
    name, layers = request.path_params["edition"], _layers(request, start)
    one = workbench.provision(name, layers, request.path_params["id"])
    return page(request, "provision.html", one=one, edition=name, layers=layers)


async def take(request: Request) -> Response:
    """Answer the whole book as one file: readable without scripts, searchable with its one small script."""
    workbench = request.app.state.workbench
    start = workbench.start()
    name = request.query_params.get("edition", start["edition"])
    layers = _layers(request, start)
    book = workbench.book(name, layers)
    text, policy = one_file_book(
        {**book, "groups": [_whole(workbench, name, layers, g) for g in book["groups"]]}
    )
    headers = {
        "content-security-policy": policy,
        "content-disposition": f'attachment; filename="tenbetween-book-{_plain_name(name)}.html"',
    }
    return Response(text, media_type="text/html; charset=utf-8", headers=headers)


def _whole(workbench: Workbench, edition: str, layers: tuple[str, ...], group: Json) -> Json:
    """Return a group with everything each of its provisions says."""
    full = [workbench.provision(edition, layers, one["id"]) for one in group["provisions"]]
    return {"name": group["name"], "provisions": full}


def _plain_name(name: str) -> str:
    return "".join(sign for sign in name if sign.isalnum() or sign == "-")


def one_file_book(book: Json) -> tuple[str, str]:
    """Return the page and the content policy that allows its one style and its one script, nothing else."""
    assets = load_assets()
    style, script = assets.text("css/take.css"), assets.text("js/take.js")
    policy = (
        f"default-src 'none'; style-src '{_digest(style)}'; script-src '{_digest(script)}'; base-uri 'none'"
    )
    return part("take.html", book=book, style=style, script=script, policy=policy), policy


def _digest(text: str) -> str:
    """Return the digest a content policy names an inline text by.

    >>> _digest("")
    'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='
    """
    return f"sha256-{b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


ROUTES = [
    Route("/book", shelf),
    Route("/book/take", take),
    Route("/book/changes", changes),
    Route("/book/{edition}", edition),
    Route("/book/{edition}/{id}", provision),
]
