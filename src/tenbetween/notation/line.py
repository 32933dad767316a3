"""The one spelling that comes out: a situation as one line, its pieces between slashes.

    us-hs-2025 + k-24 / right / out of bounds 58,0 / same / lead table umpire

Everything that is not said is left out; reading the line gives back the same situation to the micrometre. The
same situation by the names other programs use is here as well. Reading is in ``typed``.
"""

from __future__ import annotations

from typing import Any

from tenbetween.notation.lengths import exact_feet, floor_text, point_text
from tenbetween.situation import Situation


def format(situation: Situation) -> str:  # noqa: A001
    """Return a situation as one line of text.

    >>> from tenbetween.units import FOOT
    >>> had = Situation(edition="us-hs-2025", attacking="right", stopped_by="out_of_bounds",
    ...                 at=(58 * FOOT, 0), ball_to="same", lead_side="table", lead_person="umpire")
    >>> format(had)
    'us-hs-2025 / right / out of bounds 58,0 / same / lead table umpire'
    """
    s = situation
    pieces = [
        " + ".join((s.edition, *s.layers)),
        s.attacking,
        _cause(s),
        s.ball_to or "",
        _lead(s),
        *_rest(s),
    ]
    return " / ".join(piece for piece in pieces if piece)


def _cause(s: Situation) -> str:
    words = s.stopped_by.replace("_", " ")
    return words if s.at is None else f"{words} {point_text(s.at)}"


def _lead(s: Situation) -> str:
    said = [word for word in (s.lead_side, s.lead_person) if word]
    return " ".join(("lead", *said)) if said else ""


def _rest(s: Situation) -> tuple[str, ...]:
    settings = " ".join(f"{name}={value}" for name, value in s.settings)
    return (
        f"called by {s.called_by}" if s.called_by else "",
        "bonus" if s.bonus else "",
        "pressure" if s.pressure else "",
        f"pending {s.pending.replace('_', ' ')}" if s.pending else "",
        f"clock {s.clock}" if s.clock else "",
        f"floor {floor_text(s.floor)}" if s.floor else "",
        f"set {settings}" if settings else "",
        f"on {s.date}" if s.date else "",
    )


def as_json(situation: Situation) -> dict[str, Any]:
    """Return a situation by the names other programs use, without what was not said.

    >>> as_json(Situation(edition="us-hs-2025", attacking="left", stopped_by="game_start"))
    {'edition': 'us-hs-2025', 'attacking': 'left', 'stopped_by': 'game_start'}
    """
    s = situation
    said: dict[str, Any] = {
        "edition": s.edition,
        "date": s.date,
        "settings": dict(s.settings),
        "layers": list(s.layers),
        "court": {"length": _feet(s.floor.length), "width": _feet(s.floor.width)} if s.floor else None,
        "attacking": s.attacking,
        "lead_side": s.lead_side,
        "crew": {"lead": s.lead_person} if s.lead_person else None,
        "stopped_by": s.stopped_by,
        "at": [_feet(s.at[0]), _feet(s.at[1])] if s.at else None,
        "ball_to": s.ball_to,
        "pending": s.pending,
        "called_by": s.called_by,
        "bonus": s.bonus,
        "pressure": s.pressure,
        "clock": s.clock,
    }
    return {name: value for name, value in said.items() if value}


def _feet(micrometres: int) -> float:
    return float(exact_feet(micrometres))
