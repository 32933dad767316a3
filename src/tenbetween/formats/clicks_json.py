"""Clicks on a picture in and the places of feet out as JSON, with the names other programs rely on.

Every fault of every set of clicks is named at once, each with its place. Dots are counted from the middle of the first
one, feet in the court frame, angles in degrees from +x towards +y. Finds nothing itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import isfinite
from typing import TYPE_CHECKING, Any

from tenbetween.errors import FormatError, Problem, TenbetweenError, one_of
from tenbetween.film.clicks import CLICK_SD, Click, Clicks, is_upright, lines_of, places_of, rounds_of
from tenbetween.formats.json_text import joined, parse_json
from tenbetween.formats.scene_json import court_as_dict, read_court

if TYPE_CHECKING:
    from tenbetween.court import Court
    from tenbetween.film.locate import Foot, Located

FIELDS = ("image", "court", "landmarks", "lines", "feet", "click_sd_px")
LONGEST_NAME = 40
MOST = 500
SMALLEST, LARGEST = 16, 20_000
"""Dots of a picture's side."""
LEAST_SD, MOST_SD = 0.05, 50.0


def read_clicks(text: str | bytes) -> tuple[tuple[Clicks, ...], bool]:
    """Return the sets of clicks of a JSON text, and whether it was a list.

    >>> read_clicks('{"image": [1280, 720], "landmarks": [{"name": "centre", "px": [640, 360]}]}')[1]
    False

    Raises:
        FormatError: not JSON, neither object nor list, or every fault of every set (``[3].landmarks[0].px``).
    """
    given = parse_json(text)
    if isinstance(given, dict):
        return (read_one(given),), False
    if not isinstance(given, list):
        raise FormatError(_wrong("input", given, "clicks or a list of them", "write { ... } or [{ ... }]"))
    found: list[Clicks] = []
    problems: list[Problem] = []
    for number, one in enumerate(given):
        try:
            found.append(read_one(one))
        except TenbetweenError as fault:
            problems += [problem.under(f"[{number}]") for problem in fault.problems]
    if problems:
        raise FormatError(problems)
    return tuple(found), True


def read_one(given: Any) -> Clicks:
    """Return one set of clicks from its JSON object.

    Raises:
        FormatError: everything that is wrong with it.
    """
    if not isinstance(given, dict):
        raise FormatError(
            _wrong("", given, "clicks, which are a JSON object", 'write {"image": [1280, 720], ...}')
        )
    reader = _Reader(given)
    clicks = reader.clicks()
    if reader.problems:
        raise FormatError(reader.problems)
    return clicks


class _Reader:
    """One set of clicks being read; every fault is gathered."""

    def __init__(self, given: dict[str, Any]) -> None:
        self.given = given
        self.problems: list[Problem] = []

    def fault(self, where: str, found: Any, expected: str, do: str) -> None:
        """Note a fault."""
        self.problems.append(_wrong(where, found, expected, do))

    def clicks(self) -> Clicks:
        """Return the clicks; to be thrown away when there are problems."""
        self.unknown(self.given, FIELDS, "")
        court, problems = read_court(self.given.get("court"))
        self.problems += problems
        picture = self.picture()
        places = (*places_of(court), *(name for name in _uprights(court)))
        lined = (*lines_of(court), *rounds_of(court))
        return Clicks(
            picture,
            court,
            self.some("landmarks", "name", picture, self.named(places, "lines", lined), once=True),
            self.some("lines", "name", picture, self.named(lined, "landmarks", places), once=False),
            self.some("feet", "id", picture, self.called, once=True),
            self.sd(),
        )

    def unknown(self, given: dict[str, Any], known: Iterable[str], where: str) -> None:
        """Note every name that is not one of ours."""
        for name in given:
            if name not in known:
                one = one_of(joined(where, name), name[:LONGEST_NAME], tuple(known))
                self.problems.append(Problem(one.where, f"the name {one.found}", one.expected, one.do))

    def picture(self) -> tuple[int, int]:
        """Return width and height in dots."""
        value = self.given.get("image")
        if isinstance(value, list) and len(value) == 2 and all(_is_side(side) for side in value):
            return int(value[0]), int(value[1])
        expected = f"width and height in dots, whole numbers from {SMALLEST} to {LARGEST:,}"
        self.fault("image", value, expected, "write [1280, 720], the picture the clicks were made on")
        return (LARGEST, LARGEST)

    def sd(self) -> float:
        """Return how far off a click may be, in dots."""
        value = self.given.get("click_sd_px", CLICK_SD)
        if _is_number(value) and LEAST_SD <= value <= MOST_SD:
            return float(value)
        self.fault("click_sd_px", value, f"dots from {LEAST_SD:g} to {MOST_SD:g}", "write 2, or leave it out")
        return CLICK_SD

    # -- clicks ----------------------------------------------------------------------------------------------

    def some(
        self, field: str, key: str, picture: tuple[int, int], name: Callable[[Any, str], str], *, once: bool
    ) -> tuple[Click, ...]:
        """Return the clicks of one kind; ``name`` reads what each is on."""
        value = self.given.get(field, [])
        if not isinstance(value, list) or len(value) > MOST:
            shown = f"{len(value)} of them" if isinstance(value, list) else value
            self.fault(field, shown, f"a list of at most {MOST} clicks", "write [ ... ]")
            return ()
        found: list[Click] = []
        taken: set[str] = set()
        for number, one in enumerate(value):
            where = f"{field}[{number}]"
            click = self.click(one, where, key, picture, name)
            if click.name and once and click.name in taken:
                expected, do = f"each {key} once", "take one of the two out"
                self.fault(f"{where}.{key}", click.name, expected, do)
            taken.add(click.name)
            found.append(click)
        return tuple(found)

    def click(
        self, given: Any, where: str, key: str, picture: tuple[int, int], name: Callable[[Any, str], str]
    ) -> Click:
        """Return one click."""
        if not isinstance(given, dict):
            self.fault(where, given, "a click", f'write {{"{key}": "...", "px": [640, 360]}}')
            return Click("", (0.0, 0.0))
        self.unknown(given, (key, "px"), where)
        return Click(
            name(given.get(key), f"{where}.{key}"), self.dot(given.get("px"), f"{where}.px", picture)
        )

    def dot(self, value: Any, where: str, picture: tuple[int, int]) -> tuple[float, float]:
        """Return a dot; one a little outside the picture may be where a mark would be, one far outside is a slip."""
        if not isinstance(value, list) or len(value) != 2 or not all(_is_number(one) for one in value):
            self.fault(where, value, "two numbers, in dots to the right and down", "write [640, 360]")
        elif not all(-side <= one <= 2 * side for one, side in zip(value, picture, strict=True)):
            expected = f"a dot of the picture of {picture[0]} by {picture[1]}"
            self.fault(where, value, expected, "check the numbers, and that image is the picture's size")
        else:
            return float(value[0]), float(value[1])
        return 0.0, 0.0

    def named(self, known: tuple[str, ...], other: str, there: tuple[str, ...]) -> Callable[[Any, str], str]:
        """Return how to read a name that must be one of the court's; ``there`` are the names of the other list."""

        def read(value: Any, where: str) -> str:
            if isinstance(value, str) and value in known:
                return value
            if isinstance(value, str) and value in there:
                self.fault(where, value, f"a name for {where.partition('[')[0]}", f"put it under {other}")
            elif isinstance(value, str):
                one = one_of(where, value[:LONGEST_NAME], known)
                expected = "a name of this court; tenbetween court lists them all"
                self.problems.append(Problem(where, one.found, expected, one.do))
            else:
                self.fault(where, value, "a name of this court", f'write one such as "{known[0]}"')
            return ""

        return read

    def called(self, value: Any, where: str) -> str:
        """Return the id of somebody's feet."""
        if isinstance(value, str) and value.strip() and len(value) <= LONGEST_NAME and value.isprintable():
            return value
        self.fault(where, value, f"a name of 1 to {LONGEST_NAME} letters", 'write one such as "lead"')
        return ""


def _uprights(court: Court) -> list[str]:
    from tenbetween.court import landmarks

    return [name for name in landmarks(court) if is_upright(name)]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def _is_side(value: Any) -> bool:
    return _is_number(value) and float(value).is_integer() and SMALLEST <= value <= LARGEST


def _wrong(where: str, found: Any, expected: str, do: str) -> Problem:
    shown = "nothing" if found is None else ascii(found)
    return Problem(where, shown if len(shown) <= 80 else f"{shown[:77]}...", expected, do)


# ---- and the answer out ----


def located_as_dict(clicks: Clicks, found: Located) -> dict[str, Any]:
    """Return an answer by the names other programs rely on; a refusal has no feet."""
    return {
        "ok": found.ok,
        "why": found.why,
        "model": found.model or None,
        "court": court_as_dict(clicks.court),
        "residual_px": _rounded(found.residual),
        "feet": [_foot_as_dict(one) for one in found.feet],
        "marks": [
            {"name": one.name, "px": list(one.dot), "off_px": _rounded(one.off)} for one in found.marks
        ],
        "suspects": list(found.suspects),
        "unsure_ft": _rounded(found.unsure_ft),
        "depth": found.depth or None,
        "lines_fit": _rounded(found.share),
        "camera": _camera_as_dict(found),
        "next": [
            {
                "name": one.name,
                "px": [_rounded(one.dot[0]), _rounded(one.dot[1])],
                "unsure_ft": _rounded(one.unsure_ft),
            }
            for one in found.next_marks
        ],
    }


def _foot_as_dict(foot: Foot) -> dict[str, Any]:
    if foot.hold is None:
        return {"id": foot.id, "at": None, "ellipse": None, "ft_per_dot": None, "why": foot.why}
    ellipse = foot.hold.ellipse
    return {
        "id": foot.id,
        "at": [_rounded(value) for value in foot.hold.at],
        "ellipse": {
            "major": _rounded(ellipse.major),
            "minor": _rounded(ellipse.minor),
            "angle_deg": round(ellipse.angle_deg, 1) % 180.0,
        },
        "ft_per_dot": _rounded(foot.hold.ft_per_dot),
    }


def _camera_as_dict(found: Located) -> dict[str, Any] | None:
    from math import degrees

    camera = found.camera
    if camera is None:
        return None
    return {
        "at": [_rounded(camera.x), _rounded(camera.y), _rounded(camera.z)],
        "pan_deg": _rounded(degrees(camera.pan)),
        "tilt_deg": _rounded(degrees(camera.tilt)),
        "roll_deg": _rounded(degrees(camera.roll)),
        "focal_px": _rounded(camera.focal),
        "k1": round(camera.k1, 5) + 0.0,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None or not isfinite(value) else round(value, 3) + 0.0
