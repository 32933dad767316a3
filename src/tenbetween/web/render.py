"""Templates and the frame every page shares: theme, address of the files, what is current.

Knows no page and no desk.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from tenbetween.errors import Problem
from tenbetween.web.assets import load_assets

FOLDER = Path(__file__).parent / "templates"
THEMES = ("light", "dark")
THEME_COOKIE = "tenbetween_theme"


@lru_cache(maxsize=1)
def environment() -> Environment:
    """Return the one template environment: everything escaped, nothing undefined passes."""
    made = Environment(
        loader=FileSystemLoader(FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.globals["asset"] = load_assets().url
    made.filters["nbsp_units"] = nbsp_units
    made.filters["drawing"] = drawing
    made.filters["fact_text"] = fact_text
    made.filters["ours"] = ours
    return made


def nbsp_units(text: str) -> str:
    r"""Return text whose feet and seconds stay with their number.

    >>> nbsp_units("26 ft from it") == "26\u00a0ft from it"
    True
    """
    import re

    return re.sub(r"(\d) (ft|in|s|m)\b", "\\1\u00a0\\2", text)


def fact_text(fact: dict[str, str]) -> Markup:
    r"""Return a fact with its strong words first, and a space where the rest goes on in words.

    >>> [str(fact_text({"strong": "Yes", "rest": rest})) for rest in (": lead", "to him")]
    ['<b>Yes</b>: lead', '<b>Yes</b> to him']
    """
    strong, rest = nbsp_units(fact["strong"]), nbsp_units(fact["rest"])
    space = " " if (strong and rest[:1].isalnum()) or rest[:1] == "(" else ""
    bold = Markup("<b>{}</b>").format(strong) if strong else Markup("")
    return bold + space + rest


def drawing(svg: str) -> Markup:
    """Return an SVG of our own drawing room as part of the page.

    Raises:
        ValueError: it holds a script or a style the content policy would refuse anyway.
    """
    lowered = svg.lower()
    if not svg.startswith("<svg") or "<script" in lowered or "<style" in lowered or " style=" in lowered:
        raise ValueError("a drawing for a page is one <svg> without script or style")
    return Markup(svg)  # noqa: S704  our own drawing, looked at above


def ours(text: str) -> Markup:
    """Return a part that one of our own templates made, to be put into a page as it is."""
    return Markup(text)  # noqa: S704  escaped when it was made


def theme_of(request: Request) -> str:
    """Return ``light`` or ``dark`` as chosen, empty for what the system says."""
    chosen = request.cookies.get(THEME_COOKIE, "")
    return chosen if chosen in THEMES else ""


def part(name: str, **values: Any) -> str:
    """Return one template as text."""
    return environment().get_template(name).render(**values)


def page(request: Request, name: str, *, status: int = 200, **values: Any) -> HTMLResponse:
    """Return a whole page."""
    frame = {"theme": theme_of(request), "path": request.url.path, "here": _here(request)}
    return HTMLResponse(part(name, **frame, **values), status_code=status)


def _here(request: Request) -> str:
    return request.url.path + (f"?{request.url.query}" if request.url.query else "")


def problems_page(request: Request, status: int, title: str, problems: tuple[Problem, ...]) -> HTMLResponse:
    """Return the page that says what was wrong and what to do."""
    return page(request, "problem.html", status=status, title=title, problems=problems, code=status)
