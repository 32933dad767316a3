"""A place as a person says it: a line and feet from the nearer end line, or two distances inside.

Where one says no end, the end is that of the basket attacked; "back court" or "left end line" says otherwise.
Works in whole micrometres. Knows no rule about which spot a throw-in gets.
"""

from __future__ import annotations

from msgspec import Struct

from tenbetween.court import Court
from tenbetween.errors import Problem
from tenbetween.notation.lengths import exact_feet
from tenbetween.situation import Basket, Floor, PointUm, other_basket
from tenbetween.units import INCH, ft_text


class Distance(Struct, frozen=True):
    """A length, and what it is measured from: ``side`` or ``end`` with its name, or nothing said."""

    length: int
    part: str = ""
    name: str = ""


class Said(Struct):
    """What was said about the place, in any order."""

    point: PointUm | None = None
    sides: list[str] = []
    ends: list[str] = []
    depths: list[str] = []
    halves: list[str] = []
    distances: list[Distance] = []
    texts: list[str] = []

    @property
    def nothing(self) -> bool:
        """True when no place was said at all."""
        lists = (self.sides, self.ends, self.depths, self.halves, self.distances)
        return self.point is None and not any(lists)

    @property
    def text(self) -> str:
        """What was said, to be quoted."""
        return " ".join(self.texts)


def place_words(at: PointUm, floor: Floor, attacking: Basket | None = None) -> str:
    """Return a place in words: line and feet from the nearer end line, or two distances inside.

    Feet are from the end line of the basket attacked or, when ``attacking`` is not handed in, from the nearer
    one without saying which.

    >>> from tenbetween.units import um
    >>> floor = Floor(um("84 ft"), um("50 ft"))
    >>> place_words((um("58 ft"), 0), floor), place_words((um("26 ft"), 0), floor, "right")
    ('table sideline, 26 ft', 'table sideline, 26 ft, back court')
    >>> place_words((um("58 ft"), um("12 ft")), floor)
    '26 ft from the end line, 12 ft from the table sideline'
    """
    x, y = at
    side = "table" if 2 * y <= floor.width else "opposite"
    depth = min(x, floor.length - x)
    half = _half_words(at, floor, attacking)
    across = f"{_said_length(min(y, floor.width - y))} from the {side} sideline"
    if y in (0, floor.width):
        return f"{side} sideline, {'division line' if 2 * x == floor.length else _said_length(depth) + half}"
    if x in (0, floor.length):
        return f"{_end_words(x, attacking)}, {across}"
    return f"{_said_length(depth)} from the end line, {across}{half}"


def _half_words(at: PointUm, floor: Floor, attacking: Basket | None) -> str:
    nearer = "left" if 2 * at[0] <= floor.length else "right"
    return "" if attacking in (None, nearer) or 2 * at[0] == floor.length else ", back court"


def _end_words(x: int, attacking: Basket | None) -> str:
    end = "left" if x == 0 else "right"
    if attacking is None:
        return f"{end} end line"
    return "end line" if end == attacking else "back-court end line"


def _said_length(micrometres: int) -> str:
    return ft_text(micrometres) if micrometres % INCH == 0 else f"{exact_feet(micrometres)} ft"


# -- from what was said to a point -------------------------------------------------------------------------


def resolve(said: Said, court: Court, attacking: Basket) -> PointUm | Problem:
    """Return the point that was said, or what is missing to make it one.

    >>> from tenbetween.court import court_of
    >>> resolve(Said(sides=["table"], distances=[Distance(26 * 304_800)]), court_of("us-hs"), "right")
    (17678400, 0)
    """
    if said.point is not None:
        alone = not (said.sides or said.ends or said.depths or said.distances or said.halves)
        return said.point if alone else _twice(said)
    if _two_numbers(said):
        return (said.distances[0].length, said.distances[1].length)
    if len(said.distances) + len(said.depths) > 2 or len(set(said.sides)) > 1 or len(set(said.ends)) > 1:
        return _twice(said)
    from_end = _from_end(said, court, attacking)
    from_side = _from_side(said, court)
    spare = [d for d in said.distances if not d.part]
    if said.ends and said.sides and spare:
        return _unclear(
            said, "which of the two lines the feet are from", "write it like 26 from end line, 12 from table"
        )
    return _joined(said, court, attacking, (from_end, from_side, spare))


def _two_numbers(said: Said) -> bool:
    """Tell whether nothing but two lengths was said: x and y."""
    bare = [one for one in said.distances if not one.part]
    return len(bare) == len(said.distances) == 2 and not (
        said.sides or said.ends or said.depths or said.halves
    )


def _joined(
    said: Said,
    court: Court,
    attacking: Basket,
    parts: tuple[int | Problem | None, int | None, list[Distance]],
) -> PointUm | Problem:
    from_end, from_side, spare = parts
    if isinstance(from_end, Problem):
        return from_end
    if said.ends and from_side is not None:
        x = 0 if _end(said.ends[0], attacking) == "left" else court.length
        return _twice(said) if from_end is not None else (x, from_side)
    if said.sides and not said.ends and from_side is None:
        y = 0 if said.sides[0] == "table" else court.width
        depth = (
            from_end if from_end is not None else (_near(spare[0], said, court, attacking) if spare else None)
        )
        if isinstance(depth, Problem):
            return depth
        return (depth, y) if depth is not None else _missing_depth(said)
    if from_end is not None and from_side is not None:
        return (from_end, from_side)
    return _incomplete(said, from_end)


def _incomplete(said: Said, from_end: int | None) -> Problem:
    if said.ends or from_end is not None:
        return _unclear(said, "how far from which sideline", "add it, like 12 from table")
    if said.distances:
        return _unclear(
            said,
            "the line the feet are on, or from",
            "write table 26, opposite 8, or 26 from end line, 12 from table",
        )
    return _unclear(
        said, "a line and feet, or two distances", "write table 26, or 26 from end line, 12 from table"
    )


def _missing_depth(said: Said) -> Problem:
    return _unclear(said, "feet from the nearer end line", f"write it like {said.sides[0]} 26")


def _end(name: str, attacking: Basket) -> Basket:
    if name in ("left", "right"):
        return name  # type: ignore[return-value]
    return other_basket(attacking) if name == "back" else attacking


def _half_end(said: Said, attacking: Basket) -> Basket:
    return other_basket(attacking) if "back" in said.halves else attacking


def _from_end(said: Said, court: Court, attacking: Basket) -> int | Problem | None:
    """Return the x that was said by a distance from an end line, or by a named line across the court."""
    for one in said.distances:
        if one.part == "end":
            end = _end(one.name, attacking) if one.name else _half_end(said, attacking)
            return _measured(one.length, end, said, court, nearer=not one.name)
    if said.depths:
        return _named_depth(said, court, attacking)
    return None


def _named_depth(said: Said, court: Court, attacking: Basket) -> int | Problem:
    end = _half_end(said, attacking)
    name = said.depths[0]
    lengths = {"division": court.front, "mark": court.mark_28, "free_throw": court.free_throw}
    length = lengths[name]
    if length is None:
        return _unclear(said, "a marking of this floor", "this floor has no 28-foot mark; give the feet")
    return length if end == "left" else court.length - length


def _near(distance: Distance, said: Said, court: Court, attacking: Basket) -> int | Problem:
    return _measured(distance.length, _half_end(said, attacking), said, court, nearer=True)


def _measured(length: int, end: Basket, said: Said, court: Court, *, nearer: bool) -> int | Problem:
    if nearer and 2 * length > court.length:
        half = f"at most {ft_text(court.length // 2)} from the nearer end line"
        return _unclear(said, half, "count from the nearer end line; say back court for the other end")
    return length if end == "left" else court.length - length


def _from_side(said: Said, court: Court) -> int | None:
    for one in said.distances:
        if one.part == "side":
            return one.length if one.name == "table" else court.width - one.length
    return None


def _unclear(said: Said, expected: str, do: str) -> Problem:
    return Problem("at", repr(said.text), expected, do)


def _twice(said: Said) -> Problem:
    return _unclear(said, "one place", "say the place once, like table 26 or 58,0")
