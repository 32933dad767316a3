"""Tells a staged ruling as a play: where everybody was, at disposal, released and touched, live.

The sentences are those of the book's steps where it has them. Persons move and carry their new letter from the
start of the way. How fast anybody is, is handed in; a pass and a run of a player are plain guesses and said here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from math import hypot

from msgspec.structs import replace

from tenbetween.scene.formations import FORMATIONS
from tenbetween.scene.moment import ROLES, Crew, Player, Scene
from tenbetween.scene.play import Play, PlayStep, person_in
from tenbetween.scene.posted import (
    Staged,
    attacked,
    court_under,
    crew_before,
    crew_in_play,
    kind_of_restart,
    lead_before,
)
from tenbetween.scene.standing import Frame, peopled
from tenbetween.situation import Person, PointFt, Ruling, Step, TableSide, other_side
from tenbetween.units import FOOT

Seconds = Callable[[float], float]
PASS_FT_S = 40.0
"""A thrown ball; a guess from memory, no source."""
RUN_FT_S = 18.0
"""A player on his way; a guess from memory, no source."""
BENDS_FT = 12.0
"""An official whose way is longer than this both up and across keeps to the lines instead of cutting through."""
Names = tuple[str, str]
OURS: Names = ("a", "b")
THEIRS: Names = ("b", "a")


def pace(feet: float) -> float:
    """Return the seconds an official takes for some feet at a run of 14 ft a second."""
    return feet / 14


def tell(ruling: Ruling, staged: Staged, after: Staged | None, seconds_for: Seconds, line: str) -> Play:
    """Return the play of a staged ruling; ``after`` is the throw-in that follows throws with a dead ball."""
    teller = _Teller(ruling, staged, seconds_for)
    if kind_of_restart(ruling) == "jump_ball":
        teller.jump_ball()
    elif ruling.restart == "free_throws":
        teller.stopped()
        teller.free_throws()
        if after is None:
            teller.rebound()
        else:
            follow = ruling.after_free_throws
            teller.throw_in(ruling if follow is None else follow, after, live=False)
    elif ruling.restart == "throw_in":
        teller.stopped()
        teller.throw_in(ruling, staged)
    else:
        teller.goes_on()
    return Play(
        title=_title(ruling, staged),
        steps=tuple(teller.steps),
        line=line,
        formation=staged.formation.id,
        note=staged.note,
    )


def _title(ruling: Ruling, staged: Staged) -> str:
    why = ruling.situation.stopped_by.replace("_", " ")
    return f"{why[0].upper()}{why[1:]}: {staged.formation.title[0].lower()}{staged.formation.title[1:]}"


class _Teller:
    """A play being told; step follows step."""

    def __init__(self, ruling: Ruling, staged: Staged, seconds_for: Seconds) -> None:
        self.ruling, self.staged, self.seconds_for = ruling, staged, seconds_for
        self.steps: list[PlayStep] = []

    def add(
        self, says: str, scene: Scene, lead: Person, provisions: Iterable[str], hold: float = 1.5
    ) -> None:
        """Add a step; how long the way into it takes, and where it bends, follows from where everybody was."""
        step = PlayStep(
            says=says, scene=scene, lead=lead, hold=hold, provisions=tuple(dict.fromkeys(provisions))
        )
        if self.steps:
            via = tuple(_bends(self.steps[-1], step))
            step = replace(
                step, via=via, seconds=_seconds(self.steps[-1], replace(step, via=via), self.seconds_for)
            )
        self.steps.append(step)

    # -- the steps ---------------------------------------------------------------------------------------

    def stopped(self) -> None:
        """Play stops, or the ball has gone in: everybody where he is then, as far as that is taught."""
        found = scene_when_stopped(self.ruling)
        if found is None:
            return
        acts = _acts(self.ruling, lambda step: step.by == "caller" or step.signal == "count_score")
        why = self.ruling.situation.stopped_by.replace("_", " ")
        says = f"{why[0].upper()}{why[1:]}." + (f" {acts}" if acts else "")
        given = _reasons(self.ruling, "restart", "spot", "attacking_after")
        self.add(says, found, lead_before(self.ruling), (*given, *_steps(self.ruling, _of_the_caller)))

    def throw_in(self, ruling: Ruling, staged: Staged, *, live: bool = True) -> None:
        """Both at their places, the release and the touch, and play."""
        self.at_disposal(ruling, staged)
        touched = _touched(staged.scene)
        who = _chops(ruling)
        says = f"The throw-in is released and touched on the court. {who}".strip()
        self.add(
            says, touched, staged.lead, (*_reasons(ruling, "clock_starts", "chop"), *_steps(ruling, _chop))
        )
        if live:
            self.live(ruling, staged)

    def at_disposal(self, ruling: Ruling, staged: Staged) -> None:
        """Both at their places, the thrower has the ball."""
        acts = _acts(ruling, lambda step: not _of_the_caller(step) and not _chop(step))
        says = acts or "Both take their places; the thrower has the ball."
        parts = (
            "may_run_end_line", "roles_after", "administers", "lead_side_after", "delivery", "stands", "count",
            "places", "watches", "lines",
        )  # fmt: skip
        named = _steps(ruling, lambda step: not _of_the_caller(step) and not _chop(step))
        self.add(says, staged.scene, staged.lead, (*_reasons(ruling, *parts), *named), hold=2.5)

    def live(self, ruling: Ruling, staged: Staged) -> None:
        """Play goes on towards the basket attacked, the crew where it is taught to be while play moves."""
        says = "Play is live: the lead on the end line, the trail behind the ball, all ten between the two."
        if staged.unplaced or ruling.lead_side_after is None:
            says = "Play is live. The book gives no places here, so neither official is moved."
        self.add(
            says, scene_in_play(ruling, staged), staged.lead, _reasons(ruling, "lines", "lead_side_after")
        )

    def free_throws(self) -> None:
        """The shooter has the ball, then he shoots."""
        ruling, staged = self.ruling, self.staged
        throws = [step.act for step in ruling.steps if step.provision == "steps.throws"]
        moves = _acts(ruling, lambda step: bool(step.moves))
        ready = throws[0] if throws else "The shooter has the ball."
        parts = ("roles_after", "administers", "lead_side_after", "delivery", "count", "places", "watches")
        named = _steps(ruling, lambda step: not _of_the_caller(step))
        self.add(
            f"{moves} {ready}".strip(),
            staged.scene,
            staged.lead,
            (*_reasons(ruling, *parts), *named),
            hold=2.5,
        )
        last = (
            throws[1] if len(throws) > 1 else "The shot is up; nobody on the lane leaves before the release."
        )
        shot = replace(staged.scene, ball=_basket(ruling, staged.scene))
        self.add(
            last, shot, staged.lead, (*_reasons(ruling, "clock_starts", "chop"), *_steps(ruling, _chop)), 0.5
        )

    def rebound(self) -> None:
        """A miss is touched by the nearest defender; the lane players step in, the crew stands."""
        staged = self.staged
        scene = _stepped_in(staged.scene, _basket(self.ruling, staged.scene), staged.scene.crew)
        says = (
            "A miss comes off and is touched: the clock starts. Both stay with the players near the basket."
        )
        self.add(says, scene, staged.lead, _reasons(self.ruling, "clock_starts", "chop", "watches"))

    def jump_ball(self) -> None:
        """Ready, the toss and the tap, and roles that settle."""
        ruling, staged = self.ruling, self.staged
        acts = [step.act for step in ruling.steps]
        parts = ("restart", "administers", "delivery", "places", "watches")
        ready = acts[0] if acts else "Tosser and jumpers are ready, eight others round the circle."
        named = tuple(step.provision for step in ruling.steps)
        self.add(ready, staged.scene, staged.lead, (*_reasons(ruling, *parts), *named), hold=2.0)
        says = acts[1] if len(acts) > 1 else "Straight up, above both."
        self.add(says, staged.scene, staged.lead, named, hold=0.5)
        says = "Legally tapped: the clock starts."
        self.add(says, _tapped(staged.scene), staged.lead, _reasons(ruling, "clock_starts", "chop"), hold=0.5)
        settle = acts[2] if len(acts) > 2 else "Roles settle with the way play goes."
        says = f"If team a controls it: {settle[0].lower()}{settle[1:]}"
        self.add(says, scene_in_play(ruling, staged), staged.lead, (*_reasons(ruling, "roles_after"), *named))

    def goes_on(self) -> None:
        """No whistle: control changes, both turn, ten between them all the way."""
        ruling, staged = self.ruling, self.staged
        before = scene_when_stopped(ruling)
        acts = [step.act for step in ruling.steps]
        if before is not None:
            says = acts[0] if acts else "The ball changes hands."
            self.add(says, before, lead_before(ruling), _reasons(ruling, "restart"))
        turn = _acts(ruling, lambda step: bool(step.moves)) or "Both turn with the ball."
        parts = ("roles_after", "lead_side_after", "places", "watches", "count", "lines")
        named = tuple(step.provision for step in ruling.steps)
        turned = staged.scene
        if before is not None and ruling.restart == "play_goes_on":
            turned = _turning(ruling, before, staged.scene.crew)
        self.add(turn, turned, staged.lead, (*_reasons(ruling, *parts), *named))
        self.live(ruling, staged)


# ---- scenes ----


def scene_when_stopped(ruling: Ruling) -> Scene | None:
    """Return everybody when play stopped: the crew at its taught places, players as in live play.

    None where nobody has a role yet, or where a throw-in was under way.
    """
    s, kind = ruling.situation, kind_of_restart(ruling)
    court = court_under(ruling)
    crew = crew_before(ruling, court)
    if crew is None or s.lead_side is None:
        return None
    side: TableSide = s.lead_side
    if s.at is not None and s.at[1] != court.axis:
        side = "table" if s.at[1] < court.axis else "opposite"
    frame = Frame(court, s.attacking, side)
    same = attacked(ruling) == s.attacking or kind == "jump_ball"
    scene = peopled(
        frame,
        FORMATIONS["play-man-post"],
        None,
        None,
        [frame.seen(crew.of(role).at) for role in ROLES],
        crew,
        OURS if same else THEIRS,
    )
    return replace(scene, ball=_ball_when_stopped(ruling, frame, scene.ball))


def _ball_when_stopped(ruling: Ruling, frame: Frame, held: PointFt) -> PointFt:
    s = ruling.situation
    if s.at is not None:
        return frame.turned(frame.seen_um(s.at))
    if s.stopped_by in ("made_goal", "made_last_free_throw"):
        return frame.turned((frame.court.basket / FOOT, 0.0))
    return held


def scene_in_play(ruling: Ruling, staged: Staged) -> Scene:
    """Return live play after a restart: the set of the formation's defence, the crew at its moving places."""
    end, court = attacked(ruling), staged.scene.court
    jump = ruling.restart == "jump_ball"
    side: TableSide = "table" if jump else (ruling.lead_side_after or "table")
    name = "play-zone" if staged.formation.id.endswith("zone") else "play-man-post"
    frame = Frame(court, end, other_side(side))
    ball = frame.turned((FORMATIONS[name].attack[0].out, FORMATIONS[name].attack[0].across))
    known = not staged.unplaced and (jump or ruling.lead_side_after is not None)
    crew = crew_in_play(court, end, side, ball) if known else staged.scene.crew
    standing = [frame.seen(crew.of(role).at) for role in ROLES]
    return peopled(frame, FORMATIONS[name], None, None, standing, crew, OURS)


def _touched(scene: Scene) -> Scene:
    """Return the scene with the ball at the thrower's nearest team-mate."""
    thrower = scene.player("a1")
    mates = [player for player in scene.players if player.team == "a" and player.id != thrower.id]
    nearest = min(mates, key=lambda mate: (round(_far(mate.at, thrower.at), 6), mate.id))
    return replace(scene, ball=nearest.at)


def _tapped(scene: Scene) -> Scene:
    mates = [player for player in scene.players if player.team == "a" and player.id != "a1"]
    return replace(scene, ball=min(mates, key=lambda mate: (round(_far(mate.at, scene.ball), 6), mate.id)).at)


TURNED_FT = 10.0
"""How far the ten have come towards the other end when both officials have turned."""


def _turning(ruling: Ruling, before: Scene, crew: Crew) -> Scene:
    """Return the ten and the ball on their way to the other end, the crew where the book has it."""
    by = TURNED_FT if attacked(ruling) == "right" else -TURNED_FT
    players = tuple(replace(player, at=_along(player.at, by)) for player in before.players)
    return replace(before, players=players, ball=_along(before.ball, by), crew=crew)


def _along(at: PointFt, by: float) -> PointFt:
    return (round(at[0] + by, 4), at[1])


def _basket(ruling: Ruling, scene: Scene) -> PointFt:
    return Frame(scene.court, attacked(ruling), "table").turned((scene.court.basket / FOOT, 0.0))


def _stepped_in(scene: Scene, basket: PointFt, crew: Crew) -> Scene:
    """Return the scene with those on the lane a step nearer to the basket, and the ball with the nearest one."""
    players = tuple(_nearer(player, basket) for player in scene.players)
    defenders = [player for player in players if player.team == "b"]
    ball = min(defenders, key=lambda player: (round(_far(player.at, basket), 6), player.id)).at
    return replace(scene, players=players, ball=ball, crew=crew)


STEP_IN_FT = 2.0


def _nearer(player: Player, basket: PointFt) -> Player:
    far = _far(player.at, basket)
    if not 6.0 < far < 15.0:
        return player
    part = STEP_IN_FT / far
    at = (
        round(player.at[0] + (basket[0] - player.at[0]) * part, 4),
        round(player.at[1] + (basket[1] - player.at[1]) * part, 4),
    )
    return replace(player, at=at)


# ---- ways and times ----


def _far(a: PointFt, b: PointFt) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def _where(step: PlayStep) -> dict[Person, PointFt]:
    return {person_in(step, role): step.scene.crew.of(role).at for role in ROLES}


def _bends(before: PlayStep, after: PlayStep) -> Iterable[tuple[str, tuple[PointFt, ...]]]:
    """Yield where an official's way bends: along the lines, the players beside him and not round him."""
    was, now = _where(before), _where(after)
    court = after.scene.court
    middle = (court.length / 2 / FOOT, court.width / 2 / FOOT)
    for person, to in now.items():
        since = was[person]
        if abs(to[0] - since[0]) < BENDS_FT or abs(to[1] - since[1]) < BENDS_FT:
            continue
        first, second = (to[0], since[1]), (since[0], to[1])
        outer = _outside(first, middle) >= _outside(second, middle) - 0.01
        yield person, (first if outer else second,)


def _outside(at: PointFt, middle: PointFt) -> float:
    return round(abs(at[0] - middle[0]) / middle[0] + abs(at[1] - middle[1]) / middle[1], 3)


def _seconds(before: PlayStep, after: PlayStep, seconds_for: Seconds) -> float:
    """Return how long the slowest takes: an official, a player, or the ball."""
    was, now, via = _where(before), _where(after), dict(after.via)
    officials = [seconds_for(_way((was[who], *via.get(who, ()), now[who]))) for who in now]
    stood = {player.id: player.at for player in before.scene.players}
    runs = [_far(stood[one.id], one.at) / RUN_FT_S for one in after.scene.players if one.id in stood]
    ball = _far(before.scene.ball, after.scene.ball) / PASS_FT_S
    return round(max([*officials, *runs, ball, 0.3]), 2)


def _way(points: Sequence[PointFt]) -> float:
    return sum(_far(a, b) for a, b in pairwise(points))


# ---- words and provisions ----


def _of_the_caller(step: Step) -> bool:
    return step.by == "caller" or step.signal == "count_score"


def _chop(step: Step) -> bool:
    return step.signal == "chop"


def _acts(ruling: Ruling, which: Callable[[Step], bool]) -> str:
    return " ".join(step.act for step in ruling.steps if which(step))


def _chops(ruling: Ruling) -> str:
    said = _acts(ruling, _chop)
    if said:
        return said
    return "The clock runs on." if ruling.clock_starts == "running" else ""


def _steps(ruling: Ruling, which: Callable[[Step], bool]) -> tuple[str, ...]:
    return tuple(step.provision for step in ruling.steps if which(step) and step.provision)


def _reasons(ruling: Ruling, *parts: str) -> tuple[str, ...]:
    return tuple(one.provision for one in ruling.reasons if one.decides in parts)
