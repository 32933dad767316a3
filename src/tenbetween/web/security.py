"""The walls: this machine only, one-time token, host list, same-origin rule, content policy, body limit.

Plain ASGI, no page of its own: what is refused is raised as ``RefusedError`` and said by the error page.
Knows no route, no book and no store.
"""

from __future__ import annotations

import hmac
import re
import secrets
from collections.abc import Iterable
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl, urlencode

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tenbetween.errors import Problem

SAFE_METHODS = frozenset({"GET", "HEAD"})
UNSAFE_METHODS = frozenset({"POST", "PUT", "PATCH", "DELETE"})
LARGEST_BODY = 2_000_000
LONGEST_TARGET = 8_000
OPEN_PATHS = ("/static/", "/favicon.ico", "/favicon.svg")
"""What a browser without our cookie may fetch: files that are the same for everybody."""

CONTENT_POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "media-src 'self' blob:; connect-src 'self'; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
HEADERS: tuple[tuple[str, str], ...] = (
    ("content-security-policy", CONTENT_POLICY),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    (
        "permissions-policy",
        "camera=(), microphone=(), geolocation=(), payment=(), usb=(), interest-cohort=()",
    ),
    ("cache-control", "private, no-cache"),
)


class RefusedError(Exception):
    """A request a wall turned away: the status code and directions."""

    def __init__(self, status: int, problem: Problem) -> None:
        self.status, self.problem = status, problem
        super().__init__(str(problem))


@dataclass(frozen=True, slots=True)
class Door:
    """Where the workbench listens, under which names, and the token that opens it once."""

    port: int
    token: str
    host: str = "127.0.0.1"
    names: tuple[str, ...] = ("127.0.0.1", "localhost")

    @property
    def cookie(self) -> str:
        """Return the cookie's name; it carries the port, since cookies do not tell ports apart.

        >>> Door(8740, "x").cookie
        'tenbetween_8740'
        """
        return f"tenbetween_{self.port}"

    @property
    def address(self) -> str:
        """Return the address that opens the workbench once.

        >>> Door(8740, "abc").address
        'http://127.0.0.1:8740/?t=abc'
        """
        return f"http://{self.host}:{self.port}/?t={self.token}"

    def hosts(self) -> frozenset[str]:
        """Return every Host header we answer to.

        >>> sorted(Door(8740, "x").hosts())
        ['127.0.0.1:8740', 'localhost:8740']
        """
        bare = self.names if self.port == 80 else ()
        return frozenset((*bare, *(f"{name}:{self.port}" for name in self.names)))


def new_door(port: int) -> Door:
    """Return a door on a port of this machine with a fresh token nobody can guess.

    >>> len(new_door(8740).token) >= 32
    True
    """
    return Door(port, secrets.token_urlsafe(32))


@dataclass(slots=True)
class Keyring:
    """Who came in: the token while it is unused, and the sessions it opened."""

    door: Door
    _unused: bool = True
    _sessions: set[str] = field(default_factory=set)

    def open_with(self, token: str) -> str | None:
        """Return a new session when the token is right and was not used before, else None."""
        right = hmac.compare_digest(token.encode(), self.door.token.encode())
        if not (right and self._unused):
            return None
        self._unused = False
        session = secrets.token_urlsafe(32)
        self._sessions.add(session)
        return session

    def knows(self, session: str) -> bool:
        """Tell whether a cookie's value is one of our sessions."""
        return any(hmac.compare_digest(session.encode(), known.encode()) for known in self._sessions)


class Walls:
    """Every wall in one place, outermost first: headers, size, host, method, origin, session."""

    def __init__(self, app: ASGIApp, door: Door, refuse: ASGIApp) -> None:
        self.app, self.door, self.refuse, self.keys = app, door, refuse, Keyring(door)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or hand it to the error page with what was wrong."""
        if scope["type"] != "http":
            if scope["type"] == "websocket":
                await send({"type": "websocket.close", "code": 1008})
                return
            await self.app(scope, receive, send)
            return
        guarded = _with_headers(send)
        try:
            _check_head(scope, self.door)
            if (session := self._new_session(scope)) is not None:
                await _enter(scope, guarded, self.door, session)
                return
            self._check_session(scope)
            await self.app(scope, _limited(receive), guarded)
        except RefusedError as refused:
            scope["refused"] = refused
            await self.refuse(scope, receive, guarded)

    def _new_session(self, scope: Scope) -> str | None:
        token = dict(_query(scope)).get("t")
        if scope["path"] != "/" or token is None or scope["method"] not in SAFE_METHODS:
            return None
        session = self.keys.open_with(token)
        if session is None and not self._is_known(scope):
            raise RefusedError(
                401, _no_key("a launch address that was used before, or is of an earlier start")
            )
        return session or _cookie(scope, self.door.cookie)

    def _is_known(self, scope: Scope) -> bool:
        return self.keys.knows(_cookie(scope, self.door.cookie))

    def _check_session(self, scope: Scope) -> None:
        if scope["path"].startswith(OPEN_PATHS) or self._is_known(scope):
            return
        found = "a browser that was not let in" if _cookie(scope, self.door.cookie) else "no sign of who asks"
        raise RefusedError(401, _no_key(found))


def _no_key(found: str) -> Problem:
    return Problem(
        "this workbench",
        found,
        "the browser the workbench opened itself",
        "follow the link below if you came here by a link; otherwise start `tenbetween` again and use the "
        "address it prints",
    )


def _headers(scope: Scope, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope["headers"] if key == name]


def _query(scope: Scope) -> list[tuple[str, str]]:
    return parse_qsl(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)


def _cookie(scope: Scope, name: str) -> str:
    """Return the cookie's value, empty when there is none; a broken Cookie header is no cookie."""
    for text in _headers(scope, b"cookie"):
        jar: SimpleCookie = SimpleCookie()
        try:
            jar.load(text)
        except CookieError:
            continue
        if name in jar:
            return jar[name].value
    return ""


def _check_head(scope: Scope, door: Door) -> None:
    _check_target(scope)
    _check_host(scope, door)
    _check_method(scope)
    _check_length(scope)
    if scope["method"] in UNSAFE_METHODS:
        _check_origin(scope, door)


def _check_target(scope: Scope) -> None:
    raw = scope.get("raw_path", scope["path"].encode()) or b""
    if len(raw) + len(scope.get("query_string", b"")) > LONGEST_TARGET:
        problem = Problem("address", "a very long address", f"at most {LONGEST_TARGET} signs", "shorten it")
        raise RefusedError(414, problem)
    if re.search(r"[\x00-\x1f\\]|(^|/)\.{1,2}(/|$)", scope["path"]):
        problem = Problem("address", "dots or signs that climb out of a folder", "a plain path", "go to /")
        raise RefusedError(400, problem)


def _check_host(scope: Scope, door: Door) -> None:
    found = _headers(scope, b"host")
    if len(found) != 1 or found[0].lower() not in door.hosts():
        expected = " or ".join(sorted(door.hosts()))
        name = repr(", ".join(found)[:80])
        raise RefusedError(400, Problem("Host", name, expected, "open the address that `tenbetween` printed"))


def _check_method(scope: Scope) -> None:
    if scope["method"] not in SAFE_METHODS | UNSAFE_METHODS:
        problem = Problem("method", repr(scope["method"])[:40], "GET, HEAD, POST, PUT or DELETE", "use those")
        raise RefusedError(405, problem)


def _check_length(scope: Scope) -> None:
    lengths = _headers(scope, b"content-length")
    if any(not text.isdigit() for text in lengths) or len(set(lengths)) > 1:
        problem = Problem("Content-Length", repr(", ".join(lengths))[:60], "one whole number", "send it so")
        raise RefusedError(400, problem)
    if lengths and int(lengths[0]) > LARGEST_BODY:
        raise RefusedError(413, _too_large())


def _too_large() -> Problem:
    return Problem(
        "request", "more text than is taken at once", f"at most {LARGEST_BODY} bytes", "send it in parts"
    )


def _check_origin(scope: Scope, door: Door) -> None:
    """Refuse a change another page asked for; another port of this machine counts as another page.

    The names are not mixed: a page of ``localhost`` may not change what is at ``127.0.0.1``.
    """
    sites = _headers(scope, b"sec-fetch-site")
    origins = _headers(scope, b"origin")
    own = f"http://{_headers(scope, b'host')[0].lower()}"
    if sites:
        right = sites == ["same-origin"] and all(origin == own for origin in origins)
    else:
        right = origins == [own]
    if not right:
        found = f"a request from {', '.join(origins) or ', '.join(sites) or 'an unnamed page'}"
        expected = f"one from this workbench's own pages ({own})"
        raise RefusedError(
            403, Problem("Origin", found[:160], expected, "open the page here and send it again")
        )


async def _enter(scope: Scope, send: Send, door: Door, session: str) -> None:
    """Answer the launch address: keep the session in the cookie, go on to the clean address."""
    rest = urlencode([(key, value) for key, value in _query(scope) if key != "t"])
    cookie = f"{door.cookie}={session}; Path=/; HttpOnly; SameSite=Strict"
    headers = (("location", f"/?{rest}" if rest else "/"), ("set-cookie", cookie), ("content-length", "0"))
    pairs = [(key.encode(), value.encode("latin-1")) for key, value in headers]
    await send({"type": "http.response.start", "status": 303, "headers": pairs})
    await send({"type": "http.response.body", "body": b""})


def _limited(receive: Receive) -> Receive:
    """Return a reader that stops a body which says it is short and is not."""
    taken = 0

    async def read() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > LARGEST_BODY:
            raise RefusedError(413, _too_large())
        return message

    return read


def _with_headers(send: Send) -> Send:
    """Return a writer that adds every safety header the page did not set for itself."""

    async def write(message: Message) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [*message.get("headers", ()), *_missing(message.get("headers", ()))]
        await send(message)

    return write


def _missing(pairs: Iterable[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    there = {key.lower() for key, _ in pairs}
    return [(key.encode(), value.encode()) for key, value in HEADERS if key.encode() not in there]
