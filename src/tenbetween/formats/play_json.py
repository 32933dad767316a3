"""Plays as open JSON, in and out: titled steps, each a scene with its sentence, its times and its provisions.

The names inside a step are those of a scene, the floor stands once. Every fault of every step is named at once with
its place; nothing half-read goes on. Decides nothing, and takes a formation by its name only.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any, cast, get_args

from tenbetween.errors import FormatError, Problem, TenbetweenError, one_of
from tenbetween.formats.json_text import joined, parse_json
from tenbetween.formats.scene_json import OFF_THE_FLOOR, court_as_dict, read_scene, scene_as_dict
from tenbetween.scene import BALL, HOLD, Play, PlayStep, Scene
from tenbetween.situation import Person, PointFt
from tenbetween.units import FOOT

FORMAT = "tenbetween play"
VERSION = 1
FIELDS = ("format", "version", "title", "court", "line", "formation", "note", "steps")
SCENE_FIELDS = ("players", "matchups", "ball", "officials")
STEP_FIELDS = ("says", "seconds", "hold", "lead", "provisions", *SCENE_FIELDS, "via")
PERSONS: tuple[Person, ...] = get_args(Person)
MOST_STEPS = 60
MOST_BENDS = 20
LONGEST = 600.0
"""Seconds a step may take or stand."""
LONGEST_TITLE = 200
LONGEST_TEXT = 2_000
_FIRST = "referee"


def play_as_dict(play: Play) -> dict[str, Any]:
    """Return a play by the names other programs rely on; ``read_play`` gives it again.

    >>> from tenbetween.scene import Crew, Official
    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> still = PlayStep(says="Ready.", scene=Scene((), (), (20.0, 20.0), crew))
    >>> play_as_dict(Play(title="Still", steps=(still,)))["steps"][0]["hold"]
    1.0

    Raises:
        FormatError: no step, or steps on different floors.
    """
    floors = {step.scene.court for step in play.steps}
    if len(floors) != 1:
        found = f"{len(floors)} floors in {len(play.steps)} steps"
        raise FormatError(
            Problem("steps", found, "one step at least, all on one floor", "make it one play a floor")
        )
    return {
        "format": FORMAT,
        "version": VERSION,
        "title": play.title,
        "court": court_as_dict(floors.pop()),
        "line": play.line,
        "formation": play.formation,
        "note": play.note,
        "steps": [_step_as_dict(step) for step in play.steps],
    }


def _step_as_dict(step: PlayStep) -> dict[str, Any]:
    scene = scene_as_dict(step.scene)
    return {
        "says": step.says,
        "seconds": step.seconds,
        "hold": step.hold,
        "lead": step.lead,
        "provisions": list(step.provisions),
        **{name: scene[name] for name in SCENE_FIELDS},
        "via": {who: [list(at) for at in bends] for who, bends in step.via},
    }


def read_play(given: str | bytes | Mapping[str, Any]) -> Play:
    """Return a play from JSON text, or from its object.

    >>> read_play('{"format": "tenbetween play", "version": 1, "title": "Mine", "steps": []}')
    Traceback (most recent call last):
    tenbetween.errors.FormatError: steps: found an empty list; expected 1 to 60 steps; add a step

    Raises:
        FormatError: not JSON, or everything that is wrong with the play (``steps[2].players[0].x``).
    """
    value = parse_json(given) if isinstance(given, str | bytes) else given
    if not isinstance(value, Mapping):
        raise FormatError(
            _wrong("play", value, "a play, which is a JSON object", 'write {"title": "...", ...}')
        )
    reader = _Reader(dict(value))
    play = reader.play()
    if reader.problems:
        raise FormatError(reader.problems)
    return play


class _Reader:
    """One play being read; every fault is gathered."""

    def __init__(self, given: dict[str, Any]) -> None:
        self.given = given
        self.problems: list[Problem] = []

    def fault(self, where: str, found: Any, expected: str, do: str) -> None:
        """Note a fault."""
        self.problems.append(_wrong(where, found, expected, do))

    def unknown(self, given: Mapping[str, Any], known: tuple[str, ...], where: str) -> None:
        """Note every name that is not one of ours."""
        for name in given:
            if name not in known:
                one = one_of(joined(where, str(name)), str(name)[:40], known)
                self.problems.append(Problem(one.where, f"the name {one.found}", one.expected, one.do))

    def play(self) -> Play:
        """Return the play; to be thrown away when there are problems."""
        self.unknown(self.given, FIELDS, "")
        self.head()
        return Play(
            title=self.text(self.given, "title", "", LONGEST_TITLE, needed=True),
            line=self.text(self.given, "line", "", LONGEST_TEXT),
            formation=self.text(self.given, "formation", "", 100),
            note=self.text(self.given, "note", "", LONGEST_TEXT),
            steps=self.steps(),
        )

    def head(self) -> None:
        """Check that it is a play of ours, of a version we know."""
        if self.given.get("format") != FORMAT:
            self.fault("format", self.given.get("format"), repr(FORMAT), f'write "format": "{FORMAT}"')
        version = self.given.get("version")
        if version != VERSION or isinstance(version, bool):
            do = f'write "version": {VERSION}; a newer one needs a newer Tenbetween'
            self.fault("version", version, str(VERSION), do)

    def text(
        self, given: Mapping[str, Any], name: str, where: str, longest: int, *, needed: bool = False
    ) -> str:
        """Return a text of the play or a step."""
        value = given.get(name, "")
        if (
            isinstance(value, str)
            and len(value) <= longest
            and value.isprintable()
            and (value.strip() or not needed)
        ):
            return value
        shown = value[:60] if isinstance(value, str) and value else (value or None)
        expected = f"{'1' if needed else '0'} to {longest} letters on one line"
        self.fault(joined(where, name), shown, expected, "write it on one line, or shorter")
        return ""

    def steps(self) -> tuple[PlayStep, ...]:
        """Return the steps."""
        value = self.given.get("steps")
        if not isinstance(value, list):
            self.fault("steps", value, "a list of steps", "write [ ... ]")
            return ()
        if not 1 <= len(value) <= MOST_STEPS:
            found = f"{len(value)} steps" if value else "an empty list"
            do = "make it several plays" if value else "add a step"
            self.problems.append(Problem("steps", found, f"1 to {MOST_STEPS} steps", do))
            return ()
        floor = self.floor()
        found_steps = [self.step(one, f"steps[{number}]", floor) for number, one in enumerate(value)]
        return tuple(step for step in found_steps if step is not None)

    def floor(self) -> Any:
        """Return the floor as it is given, checked once and not again in every step."""
        empty = {"players": [], "matchups": [], "ball": [0, 0], "officials": _NOBODY}
        try:
            read_scene({"court": self.given.get("court"), **empty})
        except TenbetweenError as fault:
            self.problems += fault.problems
            return None
        return self.given.get("court")

    def step(self, given: Any, where: str, floor: Any) -> PlayStep | None:
        """Return one step, or None when it cannot be read."""
        if not isinstance(given, dict):
            self.fault(
                where, given, "a step, which is a JSON object", 'write {"says": "...", "players": ...}'
            )
            return None
        self.unknown(given, STEP_FIELDS, where)
        scene = self.scene({name: given[name] for name in SCENE_FIELDS if name in given}, where, floor)
        says = self.text(given, "says", where, LONGEST_TEXT)
        seconds = self.seconds(given.get("seconds", 0.0), f"{where}.seconds")
        hold = self.seconds(given.get("hold", HOLD), f"{where}.hold")
        lead = self.lead(given.get("lead", _FIRST), f"{where}.lead")
        provisions = self.provisions(given.get("provisions", []), f"{where}.provisions")
        via = self.via(given.get("via", {}), f"{where}.via", scene)
        if scene is None:
            return None
        return PlayStep(
            says=says, scene=scene, seconds=seconds, hold=hold, lead=lead, provisions=provisions, via=via
        )

    def scene(self, given: dict[str, Any], where: str, floor: Any) -> Scene | None:
        """Return the scene of a step."""
        try:
            return read_scene(given if floor is None else {"court": floor, **given})
        except TenbetweenError as fault:
            self.problems += [problem.under(where) for problem in fault.problems]
            return None

    def seconds(self, value: Any, where: str) -> float:
        """Return a time."""
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= LONGEST:
            return float(value)
        self.fault(where, value, f"seconds from 0 to {LONGEST:g}", "write a number such as 2.5")
        return 0.0

    def lead(self, value: Any, where: str) -> Person:
        """Return which person is lead."""
        if value in PERSONS:
            return cast("Person", value)
        if isinstance(value, str):
            self.problems.append(one_of(where, value[:40], PERSONS))
        else:
            self.fault(where, value, "referee or umpire", 'write "referee" or "umpire"')
        return "referee"

    def provisions(self, value: Any, where: str) -> tuple[str, ...]:
        """Return the ids of provisions."""
        if not isinstance(value, list) or len(value) > 200:
            self.fault(where, value, "a list of provision ids", 'write ["who.lead-line-high"]')
            return ()
        for number, one in enumerate(value):
            if not isinstance(one, str) or not one.strip() or len(one) > 200 or not one.isprintable():
                self.fault(
                    f"{where}[{number}]", one, "the id of a provision", 'write one such as "count.five"'
                )
        return tuple(str(one) for one in value)

    # -- bends -----------------------------------------------------------------------------------------------

    def via(self, value: Any, where: str, scene: Scene | None) -> tuple[tuple[str, tuple[PointFt, ...]], ...]:
        """Return where ways bend."""
        if not isinstance(value, dict):
            self.fault(where, value, "bends by name", 'write {"a1": [[20, 25]]}')
            return ()
        found = []
        for name, bends in value.items():
            self.mover(name, where, scene)
            found.append((name, self.bends(bends, joined(where, name), scene)))
        return tuple(found)

    def mover(self, name: str, where: str, scene: Scene | None) -> None:
        """Check that somebody of that name can move."""
        if scene is None:
            return
        known = (BALL, *PERSONS, *(player.id for player in scene.players))
        if name not in known:
            self.problems.append(one_of(joined(where, name), name[:40], known))

    def bends(self, value: Any, where: str, scene: Scene | None) -> tuple[PointFt, ...]:
        """Return the bends of one way."""
        if not isinstance(value, list) or len(value) > MOST_BENDS:
            self.fault(where, value, f"a list of at most {MOST_BENDS} places", "write [[20, 25], [30, 25]]")
            return ()
        return tuple(self.place(one, f"{where}[{number}]", scene) for number, one in enumerate(value))

    def place(self, value: Any, where: str, scene: Scene | None) -> PointFt:
        """Return one bend, at most 10 ft off the floor."""
        if not isinstance(value, list) or len(value) != 2:
            self.fault(where, value, "a place", "write [x, y] in feet")
            return (0.0, 0.0)
        sizes = (94.0, 50.0) if scene is None else (scene.court.length / FOOT, scene.court.width / FOOT)
        x, y = (
            self.along(one, f"{where}[{n}]", most)
            for n, (one, most) in enumerate(zip(value, sizes, strict=True))
        )
        return (x, y)

    def along(self, value: Any, where: str, most: float) -> float:
        """Return one coordinate in feet."""
        good = isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)
        if good and -OFF_THE_FLOOR <= value <= most + OFF_THE_FLOOR:
            return float(value)
        expected = f"feet, from -{OFF_THE_FLOOR:g} to {most + OFF_THE_FLOOR:g}"
        self.fault(where, value, expected, "write a number such as 26.5")
        return 0.0


_NOBODY = {"lead": {"x": 0, "y": 0}, "trail": {"x": 0, "y": 0}}


def _wrong(where: str, found: Any, expected: str, do: str) -> Problem:
    shown = "nothing" if found is None else ascii(found)
    return Problem(where, shown if len(shown) <= 80 else f"{shown[:77]}...", expected, do)
