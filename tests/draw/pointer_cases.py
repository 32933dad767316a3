"""What is pointed at in one frame, every kind once and the awkward ones: for the program's drawing and the page's."""

from __future__ import annotations

from typing import Any

PICTURE = (640, 360)
NUMBERS = [43.5, -62.0, 17.0, 0.21, 0.17, 0.006, 6.66, -0.01]
"""A camera in the order of its parts."""
BASE = [1, 15_360]


def at(seconds: float) -> dict[str, Any]:
    return {"part": "f", "pts": round(seconds * BASE[1]), "base": BASE}


def item(kind: str, begins: float = 1.0, ends: float = 6.0, **more: Any) -> dict[str, Any]:
    return {"kind": kind, "from": at(begins), "to": at(ends), **more}


WAY = {
    "path": [
        [at(1.0), {"court": [60.0, 5.0]}],
        [at(3.0), {"court": [70.0, 9.0]}],
        [at(5.0), {"court": [70.0, 30.0]}],
    ]
}
ITEMS: list[dict[str, Any]] = [
    item("ring", at={"court": [58.0, 3.0]}),
    item("ring", at={"picture": [0.25, 0.75]}),
    item("ring", at=WAY),
    item("arrow", at={"court": [58.0, 3.0]}, to_at={"court": [80.0, 25.0]}),
    item("arrow", at={"picture": [0.1, 0.1]}, to_at={"picture": [0.1, 0.1]}),
    item("sight", at={"court": [52.0, -1.5]}, to_at=WAY),
    item("name", at={"court": [52.0, -1.5]}, role="trail", text="Umpire"),
    item("name", at={"picture": [0.5, 0.5]}, role=None, text="<b>"),
    item("count", at={"court": [58.0, 0.0]}),
    item("sentence", text="Praise first: the trail is there before the ball & says so."),
    item("pause", text="What comes now?"),
    item("sentence", 7.0, 9.0, text="Not yet."),
    item("ring", at={"court": [40.0, -80.0]}),  # behind the camera
]
TIMES = (1.0, 2.0, 3.7, 6.0, 8.0)
