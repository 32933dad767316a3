"""The command itself, with a few kinds of work that tell what they did: run as a worker by the tests."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path
from typing import Any

from tenbetween.cli import main
from tenbetween.desk import work
from tenbetween.jobs import Cancelled, NotHereError, Told


def count(place: Any, args: dict[str, Any], told: Told, cancelled: Cancelled) -> dict[str, Any]:
    """Write a file line by line, slowly; goes on where a part of it stands."""
    out = Path(args["out"])
    part = out.with_name(out.name + ".part")
    begun = len(part.read_text().splitlines()) if part.exists() else 0
    note(args, "begin", begun)
    for step in range(begun, args["to"]):
        if cancelled():
            note(args, "stopped", step)
            return {"by": os.getpid(), "half": True}
        with part.open("a") as file:
            file.write(f"{step}\n")
        told(step + 1, args["to"], "counting")
        time.sleep(args["pause"])
    part.replace(out)
    note(args, "end", args["to"])
    return {"by": os.getpid(), "to": args["to"]}


def find(place: Any, args: dict[str, Any], told: Told, cancelled: Cancelled) -> dict[str, Any]:
    """Find a file in one of the film folders."""
    from tenbetween.errors import Problem

    for folder in place.films:
        if (folder / args["name"]).exists():
            return {"by": os.getpid()}
    note(args, "missed", 0)
    raise NotHereError(Problem(args["name"], "no such film here", "the film", "mount its folder"))


def write(place: Any, args: dict[str, Any], told: Told, cancelled: Cancelled) -> dict[str, Any]:
    """Write a large file whole or not at all."""
    out = Path(args["out"])
    part = out.with_name(out.name + ".part")
    try:
        with part.open("wb") as file:
            for _ in range(args["kilobytes"]):
                file.write(bytes(1024))
            file.flush()
        part.replace(out)
    finally:
        part.unlink(missing_ok=True)
    return {"size": out.stat().st_size}


def crash(place: Any, args: dict[str, Any], told: Told, cancelled: Cancelled) -> dict[str, Any]:
    """Bring the whole process down, as a decoder can, so many times."""
    note(args, "begin", 0)
    if sum(line.startswith("begin") for line in Path(args["log"]).read_text().splitlines()) <= args["times"]:
        os.abort()
    return {"by": os.getpid()}


def note(args: dict[str, Any], what: str, step: int) -> None:
    with Path(args["log"]).open("a") as file:
        file.write(f"{what} {os.getpid()} {step}\n")


if __name__ == "__main__":
    sys.modules["tenbetween.desk.tried"] = sys.modules[__name__]
    for kind in ("count", "find", "write", "crash"):
        work.WORK[kind] = f"tried:{kind}"
    sys.exit(main(sys.argv[1:]))
