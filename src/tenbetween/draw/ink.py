"""Colours of a picture in light, in dark and on paper. On paper nothing rests on grey or colour.

Knows no shapes. Every sign has at least one carrier besides colour: shape, fill, dash, number or word.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

ThemeName = Literal["light", "dark", "print", "screen"]


class Ink(Struct, frozen=True):
    """One theme: what each kind of mark is painted with."""

    page: str
    apron: str
    floor: str
    lane: str
    ink: str
    """Text, officials, moves."""
    soft: str
    """Labels of what was before."""
    mark: str
    """Lines of the court."""
    spot: str
    """Spot, ball, measures, rim."""
    spottint: str
    on_ink: str
    """Letters on ink."""


THEMES: dict[str, Ink] = {
    "light": Ink(
        page="#fffdf9",
        apron="#dfd6c6",
        floor="#f3e2c0",
        lane="#e8cf9f",
        ink="#211a13",
        soft="#564b3e",
        mark="#4a3a28",
        spot="#a3360b",
        spottint="#f6dccb",
        on_ink="#fffdf9",
    ),
    "dark": Ink(
        page="#231c16",
        apron="#241c15",
        floor="#3d2f20",
        lane="#523f2a",
        ink="#f6eee0",
        soft="#cbbfac",
        mark="#dcc9a6",
        spot="#ffb48c",
        spottint="#5a3220",
        on_ink="#1b150f",
    ),
    "print": Ink(
        page="#ffffff",
        apron="#ffffff",
        floor="#ffffff",
        lane="#ececec",
        ink="#000000",
        soft="#000000",
        mark="#000000",
        spot="#000000",
        spottint="#ffffff",
        on_ink="#ffffff",
    ),
    # On a page the colours are the page's own tokens, so that a picture turns dark with it.
    "screen": Ink(
        page="var(--card)",
        apron="var(--apron)",
        floor="var(--floor)",
        lane="var(--lane)",
        ink="var(--ink)",
        soft="var(--soft)",
        mark="var(--mark)",
        spot="var(--spot)",
        spottint="var(--spottint)",
        on_ink="var(--onink)",
    ),
}
