"""The game of the demo film: nine restarts one after the other, each told from what the book answers.

Who stands where at disposal is the answer's; how players move between is invented. Three things are drawn on
purpose not as the book says, and the story says which. Nobody in it is real.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from math import atan2, degrees, hypot
from typing import Any

import numpy as np
from msgspec import structs

from tenbetween import notation
from tenbetween.court import court_of
from tenbetween.desk.answers import Shelf, answer
from tenbetween.film.story import (
    Arm,
    Figure,
    Flight,
    Heard,
    Held,
    Kind,
    Restart,
    Sign,
    Sound,
    Story,
    Way,
    touches,
)
from tenbetween.scene import Play, PlayStep, person_in, play_of
from tenbetween.scene.posted import lead_before, other_person
from tenbetween.situation import Basket, Person, PointFt, Ruling, Situation, TableSide
from tenbetween.units import um_from_feet

EDITION = "us-hs-2025"
FPS = 30
Ids = dict[str, str]


@dataclass(frozen=True, slots=True)
class Cue:
    """One stoppage of the game, before it is known who is where."""

    cause: str
    at: PointFt | None = None
    ball_to: str = "same"
    called_by: str | None = None
    formation: str | None = None
    wrong: str = ""
    """``late chop``, ``stands still``, ``wrong side``, or nothing."""


CUES = (
    Cue("period_start"),
    Cue("out_of_bounds", (58.0, 0.0)),
    Cue("common_foul", (65.0, 31.0), called_by="lead", wrong="stands still"),
    Cue("made_goal", ball_to="other"),
    Cue("out_of_bounds", (52.0, 50.0), wrong="late chop"),
    Cue("violation", (72.0, 40.0), ball_to="other"),
    Cue("out_of_bounds", (84.0, 38.0), wrong="wrong side"),
    Cue("held_ball", (70.0, 20.0)),
    Cue("made_goal", ball_to="other"),
)
"""Places are for the basket each cue is written for; they are turned when play has turned."""
WRONG_WORDS = {
    "stands still": "e7: the administering official does not step back after disposal",
    "late chop": "e10: the chop comes 1.4 s after the touch",
    "wrong side": "places: the partner stands 14 ft farther up the floor than the book has him",
}
RECOGNISE = {"referee": "grey hair", "umpire": "dark hair"}
RUN_FT_S, JOG_FT_S = 13.0, 10.5
"""What players and officials of the film average between two places."""


@dataclass(slots=True)
class _Telling:
    """The story so far."""

    shelf: Shelf
    now: float = 0.0
    keys: dict[str, list[tuple[float, PointFt]]] = field(default_factory=dict)
    ball: list[Held | Flight] = field(default_factory=list)
    signs: list[Sign] = field(default_factory=list)
    sounds: list[Sound] = field(default_factory=list)
    restarts: list[Restart] = field(default_factory=list)
    ids: Ids = field(default_factory=lambda: {"a": "w", "b": "d"})
    """Which team the letters of the scene mean: White (w) or Dark (d)."""
    carrier: str = ""
    attacking: Basket = "right"
    lead: Person = "umpire"
    lead_side: TableSide = "table"


def demo_story(shelf: Shelf | None = None) -> Story:
    """Return the story of the demo film, told from the answers of a shelf (the edition alone when none is given).

    >>> story = demo_story()
    >>> len(story.restarts), 150 < story.seconds < 210
    (9, True)
    """
    telling = _Telling(shelf or Shelf())
    for cue in CUES:
        _restart(telling, cue)
    _held(telling, telling.carrier, telling.now, telling.now + 2.0, dribbled=True)
    return Story(
        court=court_of("us-hs"),
        seconds=_frame(telling.now + 2.0),
        figures=tuple(_figures(telling)),
        ball=tuple(telling.ball),
        signs=tuple(telling.signs),
        sounds=tuple(sorted([*telling.sounds, *_bounces(telling)], key=lambda one: one.at)),
        restarts=tuple(telling.restarts),
        said=dict(RECOGNISE),
    )


def _frame(t: float) -> float:
    """Return the time of the nearest frame: every event of the film lies on one."""
    return round(t * FPS) / FPS


# ---- one restart ----


def _restart(telling: _Telling, cue: Cue) -> None:
    situation = _situation(telling, cue)
    ruling = answer(telling.shelf, situation)
    play = play_of(ruling, cue.formation)
    stopped = play.steps[0] if len(play.steps) == 4 else None
    disposal, touched, live = play.steps[-3:]
    _letters(telling, situation, ruling)
    lead_was = telling.lead
    e0 = _stop(telling, situation, stopped)
    events = _until_disposal(telling, ruling, disposal, e0, cue)
    _until_live(telling, ruling, disposal, touched, live, events, cue)
    administers = person_in(disposal, ruling.administers.now if ruling.administers else "trail")
    telling.restarts.append(Restart(
        line=notation.format(situation), attacking=situation.attacking, lead=lead_was, lead_side=telling.lead_side,
        administers=administers, events=events, strokes=_strokes(telling, administers, events),
        otherwise=(WRONG_WORDS[cue.wrong],) if cue.wrong else (),
    ))  # fmt: skip
    telling.attacking = ruling.attacking_after or situation.attacking
    telling.lead_side = ruling.lead_side_after or telling.lead_side
    telling.lead = live.lead


def _situation(telling: _Telling, cue: Cue) -> Situation:
    start = cue.cause == "period_start"
    at = None if cue.at is None else (um_from_feet(_turned(telling, cue.at)[0]), um_from_feet(cue.at[1]))
    given: dict[str, Any] = {"ball_to": cue.ball_to, "called_by": cue.called_by, "at": at}
    if not start:
        given |= {"lead_side": telling.lead_side, "lead_person": telling.lead}
    return Situation(edition=EDITION, attacking=telling.attacking, stopped_by=cue.cause, **given)  # type: ignore[arg-type]


def _turned(telling: _Telling, at: PointFt) -> PointFt:
    """Return a place of the right basket's end at the end attacked now."""
    return at if telling.attacking == "right" else (84.0 - at[0], at[1])


def _letters(telling: _Telling, situation: Situation, ruling: Ruling) -> None:
    """In a scene ``a`` has the ball after the restart: when it goes over, the letters change teams."""
    if situation.ball_to == "other":
        telling.ids = {"a": telling.ids["b"], "b": telling.ids["a"]}


def _id(telling: _Telling, player: str) -> str:
    return f"{telling.ids[player[0]]}{player[1:]}"


def _stop(telling: _Telling, situation: Situation, stopped: PlayStep | None) -> float:
    """Move everybody to where they are when play stops and return when it does."""
    if stopped is None:
        telling.sounds.append(Sound(0.6, "horn", 1.0, 0.8))
        return _frame(1.2)
    began = telling.now
    e0 = _frame(began + max(5.5, _longest(telling, stopped) / RUN_FT_S + 0.3))
    _move(telling, stopped, began, e0)
    leaves = _frame(e0 - 0.8)
    _held(telling, telling.carrier, began, leaves, dribbled=True)
    goal = situation.stopped_by == "made_goal"
    _fly(telling, leaves, e0, stopped.scene.ball, (4.5, 9.9 if goal else 0.6))
    if not goal:
        telling.sounds.append(Sound(e0, "whistle", 0.55))
    return e0


def _until_disposal(
    telling: _Telling, ruling: Ruling, disposal: PlayStep, e0: float, cue: Cue
) -> dict[str, float]:
    """Signals, everybody to his place, eyes meet; return the events up to disposal."""
    events = {"e0": e0}
    handled = ruling.administers is not None
    caller: Person = _caller(ruling, telling)
    whistled = ruling.situation.stopped_by != "made_goal"
    first = e0
    if telling.keys:
        if whistled and handled and ruling.situation.stopped_by != "period_start":
            events |= {"e1": e0 + 0.4, "e2": e0 + 1.5, "e3": e0 + 2.3}
            _signals(telling, ruling, caller, events)
            first = e0 + 2.6
        arrives = _frame(first + max(4.0, _longest(telling, disposal) / JOG_FT_S))
        _move(telling, _drawn_otherwise(disposal, ruling, cue), first, arrives)
    else:
        arrives = _frame(e0 + 1.5)
        _move(telling, disposal, 0.0, 0.0)
    thrower = _id(telling, "a1")
    e6 = _frame(arrives + (2.2 if handled else 0.5))
    if handled:
        events |= {"e4": _frame(arrives + 0.9), "e5": arrives}
        _give(telling, ruling, disposal, arrives, e6)
    else:
        _fly(
            telling,
            e0,
            _frame(e0 + 0.5),
            telling.ball[-1].end if isinstance(telling.ball[-1], Flight) else (0, 0),
            (9.0, 0.5),
        )
        _held(telling, thrower, _frame(e0 + 1.0), e6)
    events["e6"] = e6
    return {name: _frame(at) for name, at in events.items()}


def _until_live(
    telling: _Telling, ruling: Ruling, disposal: PlayStep, touched: PlayStep, live: PlayStep,
    events: dict[str, float], cue: Cue,
) -> None:  # fmt: skip
    """The count, the release and the touch, the chop, and play."""
    e6, thrower = events["e6"], _id(telling, "a1")
    counted = 1.9 + 0.35 * (len(telling.restarts) % 4)
    e8 = _frame(e6 + counted)
    receiver = min(
        (one for one in touched.scene.players if one.team == "a" and one.id != "a1"),
        key=lambda one: hypot(one.at[0] - touched.scene.ball[0], one.at[1] - touched.scene.ball[1]),
    )
    start = disposal.scene.player("a1").at
    e9 = _frame(e8 + max(0.4, hypot(receiver.at[0] - start[0], receiver.at[1] - start[1]) / 32))
    if cue.wrong != "stands still" and ruling.administers is not None:
        events["e7"] = _frame(e6 + 0.6)
        _step_back(telling, ruling, disposal, e6, events["e7"])
    _held(telling, thrower, e6, e8)
    _fly(telling, e8, e9, receiver.at, (5.0, 4.0))
    events |= {"e8": e8, "e9": e9}
    if ruling.clock_starts == "legally_touched_inbounds":
        events["e10"] = _frame(e9 + (1.4 if cue.wrong == "late chop" else 0.3))
    who = person_in(disposal, ruling.administers.now if ruling.administers else "trail")
    if "e10" in events:
        telling.signs.append(Sign(who, e6, events["e10"], "up"))
        telling.signs.append(Sign(who, events["e10"], events["e10"] + 0.7, "chop"))
    events["e11"] = _frame(max(e9 + 1.2, events.get("e10", e9) + 0.4))
    telling.carrier = _id(telling, receiver.id)
    arrives = _frame(e9 + max(2.0, _longest(telling, live) / RUN_FT_S))
    _move(telling, live, e9, arrives)
    _held(telling, telling.carrier, e9, arrives, dribbled=True)
    telling.now = arrives


# ---- people ----


def _spots(telling: _Telling, step: PlayStep) -> Iterator[tuple[str, PointFt]]:
    for player in step.scene.players:
        yield _id(telling, player.id), player.at
    for role in ("lead", "trail"):
        yield person_in(step, role), step.scene.crew.of(role).at


def _longest(telling: _Telling, step: PlayStep) -> float:
    """Return the farthest anybody has to go into a step (feet)."""
    ways = [
        hypot(at[0] - telling.keys[who][-1][1][0], at[1] - telling.keys[who][-1][1][1])
        for who, at in _spots(telling, step)
        if who in telling.keys
    ]
    return max(ways, default=0.0)


def _move(telling: _Telling, step: PlayStep, begins: float, ends: float) -> None:
    """Let everybody be at his place of a step at a time, having set off at another."""
    for number, (who, at) in enumerate(_spots(telling, step)):
        keys = telling.keys.setdefault(who, [])
        if keys and ends > begins:
            late = 0.0 if who in ("referee", "umpire") else 0.12 * (number % 5)
            keys.append((max(begins + late, keys[-1][0] + 1e-3), keys[-1][1]))
        keys.append((max(ends, keys[-1][0] + 1e-3) if keys else ends, at))


def _drawn_otherwise(step: PlayStep, ruling: Ruling, cue: Cue) -> PlayStep:
    """Return the step with the partner where he should not be, when that is what is drawn on purpose."""
    if cue.wrong != "wrong side" or ruling.administers is None:
        return step
    role = "trail" if ruling.administers.now == "lead" else "lead"
    from tenbetween.scene import moved

    at = step.scene.crew.of(role).at  # type: ignore[arg-type]
    towards = 14.0 if ruling.attacking_after == "right" else -14.0
    return structs.replace(step, scene=moved(step.scene, role, (at[0] + towards, at[1])))  # type: ignore[arg-type]


def _step_back(telling: _Telling, ruling: Ruling, disposal: PlayStep, begins: float, ends: float) -> None:
    """Let the administering official go three feet from the thrower, along the line."""
    role = ruling.administers.now if ruling.administers else "trail"
    who, at = person_in(disposal, role), disposal.scene.crew.of(role).at
    thrower = disposal.scene.player("a1").at
    away = (at[0] - thrower[0], at[1] - thrower[1])
    far = max(hypot(*away), 1e-6)
    keys = telling.keys[who]
    keys.append((begins, at))
    keys.append((ends, (at[0] + away[0] / far * 3.0, at[1] + away[1] / far * 3.0)))


def _figures(telling: _Telling) -> Iterator[Figure]:
    for who, keys in telling.keys.items():
        kind: Kind = who if who in ("referee", "umpire") else ("white" if who[0] == "w" else "dark")  # type: ignore[assignment]
        times = tuple(at for at, _ in keys)
        if any(after <= before for before, after in pairwise(times)):
            times = tuple(np.maximum.accumulate(np.array(times) + np.arange(len(times)) * 1e-6).tolist())
        yield Figure(who, kind, Way(times, tuple(place for _, place in keys)))


# ---- signals ----


def _caller(ruling: Ruling, telling: _Telling) -> Person:
    s = ruling.situation
    lead = lead_before(ruling)
    if s.called_by is not None:
        return lead if s.called_by == "lead" else other_person(lead)
    who = ruling.administers
    if who is not None and who.was != "either":
        return lead if who.was == "lead" else other_person(lead)
    return lead


def _signals(telling: _Telling, ruling: Ruling, caller: Person, events: dict[str, float]) -> None:
    first: Arm = "fist" if "foul" in ruling.situation.stopped_by else "up"
    towards = 0.0 if ruling.attacking_after == "right" else 180.0
    spot = ruling.spot
    at = telling.keys[caller][-1][1]
    to_spot = (
        towards if spot is None else degrees(atan2(spot[1] / 304_800 - at[1], spot[0] / 304_800 - at[0]))
    )
    telling.signs.append(Sign(caller, events["e1"], events["e2"], first))
    telling.signs.append(Sign(caller, events["e2"], events["e3"], "point", towards))
    telling.signs.append(Sign(caller, events["e3"], events["e3"] + 0.6, "point", to_spot))


def _strokes(telling: _Telling, who: Person, events: dict[str, float]) -> tuple[float, ...]:
    """Return when each second of the count is stroked, and let the arm be seen doing it."""
    found = []
    at = events["e6"] + 1.0
    while at < events["e8"]:
        found.append(_frame(at))
        telling.signs.append(Sign(who, at - 0.2, at + 0.25, "stroke"))
        at += 1.0
    return tuple(found)


# ---- the ball ----


def _held(telling: _Telling, who: str, begins: float, ends: float, *, dribbled: bool = False) -> None:
    if ends > begins:
        telling.ball.append(Held(begins, ends, who, dribbled))


def _last(telling: _Telling, at: float) -> PointFt:
    """Return where the ball is when its last stretch ends."""
    last = telling.ball[-1]
    if isinstance(last, Flight):
        return last.end
    keys = telling.keys[last.who]
    place = Way(tuple(t for t, _ in keys), tuple(p for _, p in keys)).at([at])[0]
    return (float(place[0]), float(place[1]))


def _fly(
    telling: _Telling,
    begins: float,
    ends: float,
    to: PointFt,
    heights: tuple[float, float],
    *,
    bounced: bool = False,
) -> None:
    if ends > begins:
        telling.ball.append(Flight(begins, ends, _last(telling, begins), to, heights, bounced))
        if bounced:
            telling.sounds.append(Sound((begins + ends) / 2, "bounce"))


def _give(telling: _Telling, ruling: Ruling, disposal: PlayStep, arrives: float, e6: float) -> None:
    """Bring the ball to the administering official and from him to the thrower, by hand or by a bounce."""
    role = ruling.administers.now if ruling.administers else "trail"
    who = person_in(disposal, role)
    if telling.ball:
        begins = telling.ball[-1].ends
        _fly(
            telling,
            begins,
            _frame(begins + (arrives - begins) * 0.8),
            disposal.scene.crew.of(role).at,
            (0.5, 3.5),
            bounced=False,
        )
        _held(telling, who, telling.ball[-1].ends, _frame(e6 - 0.6))
    else:
        _held(telling, who, 0.0, _frame(e6 - 0.6))
    bounced = ruling.delivery == "bounce"
    _fly(telling, _frame(e6 - 0.6), e6, disposal.scene.player("a1").at, (4.0, 3.8), bounced=bounced)


def _bounces(telling: _Telling) -> Iterator[Sound]:
    kind: Heard = "bounce"
    for stretch in telling.ball:
        if isinstance(stretch, Held):
            yield from (Sound(at, kind, 0.1, 0.7) for at in touches(stretch))


__all__ = ["CUES", "RECOGNISE", "WRONG_WORDS", "Play", "demo_story"]
