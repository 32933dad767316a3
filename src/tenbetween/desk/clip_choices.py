"""How clips may be made: four ways, what each of them takes, and the margins around a moment. Makes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tenbetween.errors import Problem, UsageError, one_of

Json = dict[str, Any]
WAYS = ("exact", "fast", "reel", "beside")
TAKES: dict[str, frozenset[str]] = {
    "exact": frozenset(("hold_s", "sound", "overlay", "captions")),
    "reel": frozenset(("hold_s", "sound", "overlay", "captions")),
    "beside": frozenset(("overlay",)),
    "fast": frozenset(("sound",)),
}
"""Which of the choices a way can follow; the others are kept as not chosen, so that nothing is said that is not so."""
MOST_MARGIN_S = 30.0
HEIGHTS = (360, 480, 720, 1080)


def checked(how: Mapping[str, Any], count: int) -> Json:
    """Return how clips are made, every choice filled in; what the way does not take is off.

    >>> checked({}, 1)["sound"], checked({"way": "reel"}, 3)["before_s"]
    (False, 3.0)
    >>> checked({"way": "beside", "sound": True, "hold_s": 2}, 2)["sound"]
    False

    Raises:
        UsageError: every choice that is none.
    """
    way = how.get("way", "exact")
    problems = [] if way in WAYS else [one_of("way", str(way)[:40], WAYS)]
    if count < 1 or (way == "beside" and count != 2):
        wanted = "two moments" if way == "beside" else "at least one moment"
        problems.append(Problem("marks", f"{count} chosen", wanted, "tick them in the list"))
    takes = TAKES.get(way, frozenset())
    given: Json = {"way": way}
    for name, usual in (("before_s", 3.0), ("after_s", 3.0), ("hold_s", 0.0)):
        value = how.get(name, usual)
        if not isinstance(value, int | float) or not 0 <= value <= MOST_MARGIN_S:
            problems.append(
                Problem(name, repr(value)[:40], f"seconds from 0 to {MOST_MARGIN_S:g}", f"write {usual:g}")
            )
        given[name] = value if name in takes or name != "hold_s" else 0.0
    height = how.get("height", 720)
    if height not in HEIGHTS:
        problems.append(
            Problem("height", repr(height)[:40], f"one of {', '.join(map(str, HEIGHTS))}", "write 720")
        )
    for name, usual_yes in (("sound", False), ("overlay", True), ("captions", True)):
        given[name] = name in takes and bool(how.get(name, usual_yes))
    if problems:
        raise UsageError(problems)
    return {**given, "height": height, "blur": list(how.get("blur") or ())}
