"""Keeps the pictures as they now are: run it, look at the pictures and at what changed, then commit."""

from __future__ import annotations

from pathlib import Path

from tenbetween.draw.goldens import draw_goldens

KEPT = Path(__file__).resolve().parent.parent / "golden" / "svg"


def accept() -> None:
    KEPT.mkdir(parents=True, exist_ok=True)
    drawn = draw_goldens()
    for old in KEPT.glob("*.svg"):
        if old.name not in drawn:
            old.unlink()
    for name, text in drawn.items():
        (KEPT / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    accept()
