"""Stages a ruling: ten players of a formation, the ball, and both officials where the book puts them.

The book's places are taken as they are; where it gives none the official stands beside the table and the result
says so. Knows no rule and decides nothing: who stands where at disposal comes from the ruling, where players stand
from a formation.
"""

from __future__ import annotations

from collections.abc import Callable

from tenbetween.errors import Problem, TenbetweenError, one_of
from tenbetween.scene.formations import FORMATIONS, Formation, Kind, formations_of
from tenbetween.scene.moment import ROLES
from tenbetween.scene.play import Play
from tenbetween.scene.posted import (
    UNCREWED,
    Staged,
    attacked,
    court_under,
    crew_at_disposal,
    frame_of_restart,
    kind_of_restart,
    lead_after,
)
from tenbetween.scene.standing import Frame, Uv, peopled, thrower_at
from tenbetween.scene.telling import pace, tell
from tenbetween.situation import Person, Role, Ruling


def formations_for(ruling: Ruling) -> tuple[Formation, ...]:
    """Return the formations that fit a ruling, the usual one first: a press when the throw-in is pressed.

    >>> from tenbetween.situation import Situation
    >>> start = Situation(edition="us-hs-2025", attacking="left", stopped_by="game_start")
    >>> [one.id for one in formations_for(Ruling(situation=start, restart="jump_ball"))]
    ['jump-ball-circle']
    """
    found = formations_of(kind_of_restart(ruling), court_under(ruling).kind)
    if ruling.situation.pressure:
        return tuple(sorted(found, key=lambda one: not _pressed(one)))
    if _comes_from_the_back(ruling):
        return tuple(sorted(found, key=lambda one: one.id != "play-fast-break"))
    return found


def _comes_from_the_back(ruling: Ruling) -> bool:
    at = ruling.situation.at
    if ruling.restart != "play_goes_on" or at is None:
        return False
    court = court_under(ruling)
    u = at[0] if attacked(ruling) == "left" else court.length - at[0]
    return u > court.front


def chosen(ruling: Ruling, formation: str | None) -> Formation:
    """Return the formation asked for, or the usual one.

    Raises:
        TenbetweenError: no such formation, or one that does not fit this restart.
    """
    fitting = formations_for(ruling)
    if formation is None:
        return fitting[0]
    names = tuple(one.id for one in fitting)
    if formation in names:
        return FORMATIONS[formation]
    if formation in FORMATIONS:
        do = f"choose {', '.join(names)}"
        found = f"{formation}: {FORMATIONS[formation].words}"
        raise TenbetweenError(Problem("formation", found, "a formation for this restart", do))
    raise TenbetweenError(one_of("formation", formation, names))


# ---- a scene ----


def stage(ruling: Ruling, formation: str | None = None) -> Staged:
    """Return the scene of a ruling at disposal: ten players, the ball, and the crew in its roles.

    >>> from tenbetween.situation import Situation
    >>> start = Situation(edition="us-hs-2025", attacking="left", stopped_by="game_start")
    >>> staged = stage(Ruling(situation=start, restart="jump_ball"))
    >>> staged.scene.complete, staged.unplaced
    (True, ('lead', 'trail'))

    Raises:
        TenbetweenError: no such formation, or one that does not fit this restart.
    """
    return _staged(ruling, formation, None)


def _staged(ruling: Ruling, formation: str | None, before: Person | None) -> Staged:
    kind, form = kind_of_restart(ruling), chosen(ruling, formation)
    frame = frame_of_restart(ruling, kind)
    crew, unplaced = crew_at_disposal(ruling, frame)
    given = [frame.seen(crew.of(role).at) for role in ROLES if role not in unplaced]
    scene = peopled(frame, form, _thrower(ruling, kind, frame), _spot(ruling, frame), given, crew, ("a", "b"))
    return Staged(
        scene=scene,
        formation=form,
        lead=lead_after(ruling, before),
        unplaced=unplaced,
        note=_note(ruling, kind, form, unplaced),
    )


def play_of(
    ruling: Ruling,
    formation: str | None = None,
    seconds_for: Callable[[float], float] = pace,
    *,
    line: str = "",
) -> Play:
    """Return the play of a ruling in three to five steps: stopped, at disposal, released and touched, live.

    ``seconds_for`` says how long an official takes for a number of feet; ``line`` is kept with the play.

    >>> from tenbetween.situation import Situation
    >>> start = Situation(edition="us-hs-2025", attacking="left", stopped_by="game_start")
    >>> len(play_of(Ruling(situation=start, restart="jump_ball")).steps)
    4

    Raises:
        TenbetweenError: no such formation, or one that does not fit this restart.
    """
    staged = stage(ruling, formation)
    follow = ruling.after_free_throws
    after = None if follow is None else _staged(follow, None, staged.lead)
    return tell(ruling, staged, after, seconds_for, line)


def _spot(ruling: Ruling, frame: Frame) -> Uv | None:
    return None if ruling.spot is None else frame.seen_um(ruling.spot)


def _thrower(ruling: Ruling, kind: Kind, frame: Frame) -> Uv | None:
    """Return where the one with the ball stands when the formation does not say it."""
    if kind == "play":
        at = ruling.situation.at
        return None if at is None or ruling.restart != "play_goes_on" else frame.inside(frame.seen_um(at))
    if kind in ("free_throw", "free_throw_cleared", "jump_ball"):
        return None
    return thrower_at(frame, _spot(ruling, frame), 1.0)


# ---- what is to be known ----


_OTHER_PRESSURE = {
    True: "The answer is one without pressure: set pressure to see where the crew holds for a press.",
    False: "The answer is one with pressure, and nobody presses in this formation.",
}


def _pressed(form: Formation) -> bool:
    return "press" in form.id


def _note(ruling: Ruling, kind: Kind, form: Formation, unplaced: tuple[Role, ...]) -> str:
    said = []
    if kind == "play" and ruling.restart != "play_goes_on":
        said.append("Where or how play restarts is not covered: the players stand as in live play.")
    if len(unplaced) == 2:
        said.append(
            "The book gives no places here: both stand beside the table; put them where you teach it."
        )
    elif unplaced:
        said.append(f"The book gives no place for the {unplaced[0]}: he stands beside the table.")
    if _pressed(form) != ruling.situation.pressure and "back" in kind:
        said.append(_OTHER_PRESSURE[_pressed(form)])
    if form.assigned:
        said.append("Matchups are assigned: each attacker and a defender near him, least distance in all.")
    if ruling.situation.lead_person is None and ruling.roles_after is not None:
        said.append(f"The crew is not given: the old lead is shown as the {UNCREWED.capitalize()}.")
    return " ".join(said)
