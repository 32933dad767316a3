"""The first screen: a sentence with blanks, a court to tap, the answer beside them.

One address is one screen. Scripts fetch the same screen in parts (``/part``); nothing is decided here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from msgspec import Struct
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from tenbetween.errors import Problem, TenbetweenError
from tenbetween.web import sentence as say
from tenbetween.web.causes import GROUPS
from tenbetween.web.draft import Draft, from_query, from_situation, to_query, to_situation
from tenbetween.web.overlay import Overlay, overlay
from tenbetween.web.places import Floor
from tenbetween.web.render import page, part
from tenbetween.web.workbench import Json, Look, Picture, Start, Workbench

LOOK_COOKIE = "tenbetween_look"
EXAMPLES: tuple[tuple[str, str, dict[str, str]], ...] = (
    (
        "Out on the lead’s sideline, high",
        "Do the two of us switch?",
        {"cause": "out_of_bounds", "at": "58,0", "ball": "same"},
    ),
    (
        "Foul at the elbow, before the bonus",
        "Which of the four spots?",
        {"cause": "common_foul", "at": "66,18", "ball": "same", "called": "trail"},
    ),
)


class Screen(Struct, frozen=True, kw_only=True):
    """Everything one screen shows."""

    draft: Draft
    start: Start
    floor: Floor
    pictures: tuple[tuple[str, Picture], ...]
    """Shape and picture; two of them while the shape follows the width of the window."""
    look: Look
    answered: Json | None = None
    problems: tuple[Problem, ...] = ()
    typed: str = ""
    said: str = ""
    """What was just done, after a change brought him back here."""

    @property
    def view(self) -> Json | None:
        """Return the words of the answer, None while a blank is open."""
        return self.answered["view"] if self.answered else None

    @property
    def url(self) -> str:
        """Return the address that shows this screen again."""
        if self.view is None:
            query = to_query(self.draft)
            return "/" + (query if len(query) > 1 else "")
        return line_url(self.view["line"], self.draft.team)


def line_url(line: str, team: str = "White") -> str:
    """Return the address of one line.

    >>> line_url("us-hs-2025 / right / game start")
    '/?line=us-hs-2025+%2F+right+%2F+game+start'
    """
    pairs = [("line", line)] + ([("team", team)] if team != "White" else [])
    return "/?" + urlencode(pairs)


async def answer_page(request: Request) -> Response:
    """Show the screen of an address; an answered one moves to the address that carries its line."""
    screen = make_screen(
        request.app.state.workbench, request.query_params, request.cookies.get(LOOK_COOKIE, "")
    )
    if screen.view is not None and "line" not in request.query_params:
        return RedirectResponse(screen.url, status_code=303)
    return page(request, "answer.html", status=400 if screen.problems else 200, **values(screen))


async def answer_parts(request: Request) -> Response:
    """Give the same screen in parts, for the script that puts them in place."""
    screen = make_screen(
        request.app.state.workbench, request.query_params, request.cookies.get(LOOK_COOKIE, "")
    )
    shown = values(screen)
    names = ("say", "court", "below", "card", "actions")
    parts = {name: part(f"parts/{name}.html", **shown) for name in names}
    return JSONResponse(
        {
            "parts": parts,
            "url": screen.url,
            "query": shown["current_query"],
            "title": shown["title"],
            "speak": spoken(screen),
        }
    )


def make_screen(workbench: Workbench, query: Mapping[str, str], look_cookie: str) -> Screen:
    """Return the screen an address asks for."""
    start = workbench.start()
    try:
        draft = _draft(workbench, start, query)
    except TenbetweenError as error:
        return _screen(workbench, start, Draft(), query, look_cookie, error.problems)
    return _screen(workbench, start, draft, query, look_cookie, ())


def _draft(workbench: Workbench, start: Start, query: Mapping[str, str]) -> Draft:
    if query.get("line", "").strip():
        return from_situation(workbench.read_line(query["line"]), query.get("team", ""))
    floor = floor_of(start, query.get("edition", ""), None)
    given = dict(query)
    if "side" in given:
        given["at"] = say.place_from_form(given, floor)
    return from_query(given, floor)


def floor_of(start: Start, edition: str, asked: tuple[float, float] | None) -> Floor:
    """Return the size of the floor on the screen."""
    if asked is not None:
        return Floor(*asked)
    wanted = edition or start["edition"]
    found = next((one for one in start["editions"] if one["id"] == wanted), None)
    return Floor(found["length"], found["width"]) if found else Floor()


def _screen(
    workbench: Workbench,
    start: Start,
    draft: Draft,
    query: Mapping[str, str],
    look_cookie: str,
    problems: tuple[Problem, ...],
) -> Screen:
    shown = say.resolved(draft, start)
    floor = floor_of(start, shown.edition, draft.floor)
    shapes = _shapes(query.get("look") or look_cookie)
    look = Look(
        shape=shapes[0], turned="turned" in look_cookie, end=_end(query, draft, floor), team=draft.team
    )
    answered, faults = _answered(workbench, shown, look, bool(problems))
    pictures = tuple((shape, _picture(workbench, shown, look, shape, answered)) for shape in shapes)
    return Screen(
        draft=draft,
        start=start,
        floor=floor,
        pictures=pictures,
        look=look,
        answered=answered,
        problems=(*problems, *faults),
        typed=query.get("line", "") if problems else "",
        said=query.get("said", ""),
    )


def _answered(
    workbench: Workbench, draft: Draft, look: Look, already_wrong: bool
) -> tuple[Json | None, tuple[Problem, ...]]:
    if already_wrong or draft.open_blanks():
        return None, ()
    try:
        return workbench.answer(to_situation(draft), look), ()
    except TenbetweenError as error:
        return None, error.problems


def _shapes(asked: str) -> tuple[str, ...]:
    """Return which pictures are drawn: the chosen one, or both when the window's width decides."""
    return next(((shape,) for shape in ("whole", "half") if shape in asked), ("whole", "half"))


def _end(query: Mapping[str, str], draft: Draft, floor: Floor) -> str:
    if query.get("end") in ("left", "right"):
        return query["end"]
    if draft.at is not None:
        return "left" if draft.at[0] < floor.length / 2 else "right"
    return draft.attacks


def _picture(workbench: Workbench, draft: Draft, look: Look, shape: str, answered: Json | None) -> Picture:
    wanted = Look(shape=shape, turned=look["turned"], end=look["end"], team=look["team"])
    if answered is None:
        return workbench.court(draft.edition, wanted)
    if shape == look["shape"]:
        return Picture(svg=answered["svg"], frame=answered["frame"])
    other = workbench.answer(to_situation(draft), wanted)
    return Picture(svg=other["svg"], frame=other["frame"])


def values(screen: Screen) -> dict[str, Any]:
    """Return what the templates of the screen read."""
    draft, floor = screen.draft, screen.floor
    parts = say.situation_parts(draft, floor)
    view = screen.view
    return {
        "screen": screen,
        "draft": draft,
        "floor": floor,
        "view": view,
        "parts": parts,
        "overlays": _overlays(screen),
        "basis": say.basis_parts(draft, screen.start),
        "place": say.place_form(draft, floor),
        "tiles": say.cause_choices(draft, floor, tiles_only=True),
        "causes": say.cause_choices(draft, floor),
        "groups": GROUPS,
        "balls": say.ball_choices(draft),
        "taps": say.tap_addresses(draft, floor),
        "blanks": draft.open_blanks(),
        "examples": [(title, ask, "/?" + urlencode(query)) for title, ask, query in EXAMPLES],
        "title": view["sentence"] if view else "Whose throw-in, where, and do we switch?",
        "spoken": spoken(screen),
        "other_end": "left" if screen.look["end"] == "right" else "right",
        "current_query": to_query(draft)[1:],
    }


def _overlays(screen: Screen) -> dict[str, Overlay]:
    if screen.answered is not None:
        return {}
    draft, floor = screen.draft, screen.floor
    return {shape: overlay(picture, floor, draft.attacks, draft.at) for shape, picture in screen.pictures}


def spoken(screen: Screen) -> str:
    """Return what the live region says once the hand rests."""
    if screen.problems:
        return " ".join(str(problem) for problem in screen.problems)
    if screen.view is not None:
        switch = screen.view.get("switch")
        return str(screen.view["sentence"]) + (f" Switch: {switch}." if switch else "")
    waits = {"at": "where", "cause": "what stopped play", "ball": "whose ball"}
    missing = " and ".join(waits[name] for name in screen.draft.open_blanks())
    return f"{say.as_text(say.situation_parts(screen.draft, screen.floor))} Still open: {missing}."


async def set_look(request: Request) -> Response:
    """Keep how the court is drawn here: whole, half, turned."""
    form = await request.form()
    old = request.cookies.get(LOOK_COOKIE, "")
    response = RedirectResponse(_back(str(form.get("back", "/"))), status_code=303)
    kept = _new_look(old, str(form.get("look", "")))
    response.set_cookie(LOOK_COOKIE, kept, max_age=31536000, samesite="strict", httponly=False)
    return response


def _new_look(old: str, asked: str) -> str:
    """Return the kept look after one button.

    >>> _new_look("half", "turn"), _new_look("half.turned", "whole"), _new_look("whole.turned", "turn")
    ('half.turned', 'whole.turned', 'whole')
    """
    turned = ("turned" in old) != (asked == "turn")
    shape = asked if asked in ("whole", "half") else next((s for s in ("whole", "half") if s in old), "")
    return ".".join(word for word in (shape, "turned" if turned else "") if word)


def _back(address: str) -> str:
    """Return an address of our own, or the first screen: never another site.

    >>> _back("/?line=x"), _back("//else.where/"), _back("http://else.where/")
    ('/?line=x', '/', '/')
    """
    is_ours = address.startswith("/") and not address.startswith(("//", "/\\"))
    return address if is_ours and address.isprintable() else "/"


async def set_theme(request: Request) -> Response:
    """Keep light or dark."""
    form = await request.form()
    chosen = "dark" if form.get("theme") == "dark" else "light"
    response = RedirectResponse(_back(str(form.get("back", "/"))), status_code=303)
    response.set_cookie("tenbetween_theme", chosen, max_age=31536000, samesite="strict", httponly=False)
    return response


ROUTES = [
    Route("/", answer_page),
    Route("/part", answer_parts),
    Route("/look", set_look, methods=["POST"]),
    Route("/theme", set_theme, methods=["POST"]),
]
