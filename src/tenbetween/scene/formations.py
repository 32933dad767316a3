"""Ready-made formations: where ten players stand at each kind of restart, in words a trainer would use.

All of them are invented and none is claimed to be better than another. Feet in a frame of the restart: how far
from the line a stand is counted from, and how far from the long axis (+ towards the thrower), so that mirror
images are exact. Knows no floor and no official; ``stage`` puts them on one.
"""

from __future__ import annotations

from typing import Literal, get_args

from msgspec import Struct

from tenbetween.court import CourtKind
from tenbetween.scene.moment import Act

Kind = Literal[
    "end_line",
    "sideline",
    "back_end_line",
    "back_sideline",
    "division_line",
    "free_throw",
    "free_throw_cleared",
    "jump_ball",
    "play",
]
RESTART_KINDS: tuple[Kind, ...] = get_args(Kind)
"""The kinds of restart a formation may fit, and ``play`` for a ball that is live."""
Counted = Literal["end", "back", "court", "division", "middle", "spot", "line", "lane"]
"""From where a stand is counted:

``end`` the end line attacked, ``back`` the other one, ``court`` the end line attacked on a floor of 84 ft that is
stretched to the real one, ``division`` the division line of the team with the ball, ``middle`` the middle of the
floor, ``line`` the free-throw line, each with feet from the axis; ``spot`` the thrower's spot: feet onto the
floor, then feet along his line, away from the end line attacked on a sideline and towards the axis on an end
line; ``lane`` a lane space (1, 2 or 3) and its side.
"""
Guard = Literal["man", "deny", "zone"]
"""``man``: goal side, shaded to the ball. ``deny``: between his man and the ball. ``zone``: fixed places."""


class Stand(Struct, frozen=True):
    """One place of a formation: feet out from what it is counted from, feet across, and what he is busy with."""

    out: float
    across: float
    act: Act = "off_ball"
    of: Counted = "end"


class Formation(Struct, frozen=True, kw_only=True):
    """A ready-made formation: its name, what it is in words, the restarts it fits, and the stands.

    >>> FORMATIONS["end-line-box-man"].title
    'End line: box, man-to-man'
    """

    id: str
    title: str
    words: str
    fits: frozenset[Kind]
    attack: tuple[Stand, ...]
    """The attackers who are not the thrower: four with a thrower, else five, the one with the ball first."""
    guard: Guard = "man"
    zone: tuple[Stand, ...] = ()
    """Where defenders of a zone stand; empty when each has a man."""
    floor: CourtKind | None = None
    """The kind of court it belongs to; None: any."""

    @property
    def assigned(self) -> bool:
        """True when nobody has a man of his own, so that matchups are assigned by least total distance."""
        return self.guard == "zone"


def _at(*stands: tuple[float, float] | tuple[float, float, Act], of: Counted = "end") -> tuple[Stand, ...]:
    return tuple(Stand(one[0], one[1], one[2] if len(one) == 3 else "off_ball", of) for one in stands)


_TWO_THREE = _at((18, 6.5), (18, -6.5), (8, 12), (6.5, 0), (8, -12))
_TWO_THREE_LOW = _at((16, 5), (16, -7), (6, 14), (5.5, 3.5), (8, -10))
_HOME = _at((34, 7), (34, -7), (20, 12), (20, -12), (8, 0))
_PRESS = _at((13, 10), (13, -8), (30, 10), (30, -8), (50, 0), of="back")

_END_LINE_SETS: tuple[tuple[str, str, str, tuple[Stand, ...]], ...] = (
    (
        "box",
        "box",
        "two at the lane near the end line, two at the elbows; the near one screens",
        _at((9, 7.5, "screen"), (9, -7.5, "post"), (19, 7.5, "cutter"), (19, -7.5)),
    ),
    (
        "stack",
        "stack",
        "four one behind the other along the lane line on the thrower's side",
        _at((6.5, 7.5, "post"), (10.5, 7.5, "screen"), (14.5, 7.5, "cutter"), (18.5, 7.5)),
    ),
    (
        "across",
        "line across",
        "four side by side level with the free-throw line",
        _at((17, 14), (17, 5, "cutter"), (17, -5, "screen"), (17, -14)),
    ),
)
_SIDELINE_SETS: tuple[tuple[str, str, str, tuple[Stand, ...]], ...] = (
    (
        "box",
        "box",
        "one comes to the ball, three at the lane: both low, the far elbow",
        (*_at((10, 3, "cutter"), of="spot"), *_at((9, 7.5, "post"), (9, -7.5), (19, -7.5, "screen"))),
    ),
    (
        "stack",
        "stack at the elbow",
        "three in line from the near elbow outwards, one low on the far side",
        _at((20, 7, "screen"), (24, 8.5, "cutter"), (28, 10), (8, -7.5, "post")),
    ),
    (
        "wide",
        "spread",
        "one close to the thrower, one at the top, two low and wide",
        (*_at((8, -3, "cutter"), of="spot"), *_at((29, -2), (7, 17), (7, -17))),
    ),
)


def _half_court(where: Kind, sets: tuple[tuple[str, str, str, tuple[Stand, ...]], ...]) -> list[Formation]:
    """Return each set twice: against man-to-man and against a zone."""
    said = {"end_line": "End line", "sideline": "Sideline"}[where]
    zone = _TWO_THREE_LOW if where == "end_line" else _TWO_THREE
    found = []
    for name, title, words, attack in sets:
        id_ = f"{where.replace('_', '-')}-{name}"
        found.append(
            Formation(
                id=f"{id_}-man",
                title=f"{said}: {title}, man-to-man",
                words=f"{words}; man-to-man",
                fits=frozenset((where,)),
                attack=attack,
            )
        )
        found.append(
            Formation(
                id=f"{id_}-zone",
                title=f"{said}: {title}, 2-3 zone",
                words=f"{words}; a 2-3 zone",
                fits=frozenset((where,)),
                attack=attack,
                guard="zone",
                zone=zone,
            )
        )
    return found


_UP_THE_FLOOR = (*_at((13, 7, "cutter"), (13, -12), (33, 12), of="back"), *_at((30, -10)))
_WALK_UP = (*_at((9, 5), (24, -14), of="back"), *_at((26, 16), (9, -8, "post")))
_BACK = (
    Formation(
        id="back-end-line-open",
        title="Back court: nobody presses",
        words="one takes the ball close to the end line, the others go ahead; the defence waits in its half",
        fits=frozenset(("back_end_line",)),
        attack=_WALK_UP,
        guard="zone",
        zone=_HOME,
    ),
    Formation(
        id="back-end-line-press-man",
        title="Back court: man-to-man press",
        words="two come to the ball, two go up the floor; every defender between his man and the ball",
        fits=frozenset(("back_end_line",)),
        attack=_UP_THE_FLOOR,
        guard="deny",
    ),
    Formation(
        id="back-end-line-press-zone",
        title="Back court: 2-2-1 zone press",
        words="two come to the ball, two go up the floor; two defenders high, two behind them, one back",
        fits=frozenset(("back_end_line",)),
        attack=_UP_THE_FLOOR,
        guard="zone",
        zone=_PRESS,
    ),
    Formation(
        id="back-sideline-open",
        title="Back-court sideline: nobody presses",
        words="one takes the ball by the sideline, the others go ahead; the defence waits in its half",
        fits=frozenset(("back_sideline",)),
        attack=(*_at((9, 2), of="spot"), *_at((26, -16), (26, 16), (9, -8, "post"))),
        guard="zone",
        zone=_HOME,
    ),
    Formation(
        id="back-sideline-press-man",
        title="Back-court sideline: man-to-man press",
        words="two come to the ball, two go up the floor; every defender between his man and the ball",
        fits=frozenset(("back_sideline",)),
        attack=(*_at((10, 5, "cutter"), (22, -4), of="spot"), *_at((32, 10), (24, -12))),
        guard="deny",
    ),
)
_DIVISION = (
    Formation(
        id="division-line-man",
        title="Division line: spread, man-to-man",
        words="one back, one at the top, a screen at the near elbow, one low on the far side; man-to-man",
        fits=frozenset(("division_line",)),
        attack=(*_at((12, 6), of="spot"), *_at((29, -4, "cutter"), (20, 7.5, "screen"), (8, -7.5, "post"))),
    ),
    Formation(
        id="division-line-zone",
        title="Division line: spread, 2-3 zone",
        words="one back, one at the top, two low and wide; a 2-3 zone",
        fits=frozenset(("division_line",)),
        attack=(*_at((12, 6), of="spot"), *_at((29, -4), (8, 17), (8, -17))),
        guard="zone",
        zone=_TWO_THREE,
    ),
)
_THROWS = (
    Formation(
        id="free-throw-lane",
        title="Free throw: four and two on the lane",
        words="defenders in both first and both third lane spaces, the shooter's team in the second, three behind the arc",
        fits=frozenset(("free_throw",)),
        floor="us-hs",
        attack=(
            *_at((1.25, 0, "ball"), of="line"),
            *_at((2, 1, "post"), (2, -1, "post"), of="lane"),
            *_at((13, 9), (13, -9), of="line"),
        ),
        guard="zone",
        zone=(*_at((1, 1), (1, -1), (3, 1), (3, -1), of="lane"), *_at((15, 0), of="line")),
    ),
    Formation(
        id="free-throw-lane-five",
        title="Free throw: three and two on the lane",
        words="defenders in both first lane spaces and one third, the shooter's team in the second, four behind the arc",
        fits=frozenset(("free_throw",)),
        floor="fiba",
        attack=(
            *_at((1.25, 0, "ball"), of="line"),
            *_at((2, 1, "post"), (2, -1, "post"), of="lane"),
            *_at((13, 9), (13, -9), of="line"),
        ),
        guard="zone",
        zone=(*_at((1, 1), (1, -1), (3, 1), of="lane"), *_at((15, 3), (15, -4), of="line")),
    ),
    Formation(
        id="free-throw-alone",
        title="Free throw: lane cleared",
        words="the shooter alone at the line, all nine others in the back court by the division line",
        fits=frozenset(("free_throw_cleared",)),
        attack=(*_at((1.25, 0, "ball"), of="line"), *_at((7, 6), (7, 12), (12, 6), (12, 12), of="division")),
        guard="zone",
        zone=_at((7, -4), (7, -9), (7, -14), (12, -6), (12, -12), of="division"),
    ),
)
_JUMP = Formation(
    id="jump-ball-circle",
    title="Jump ball: round the circle",
    words="two jumpers, each in the half circle behind which his team defends; eight others round it in turn",
    fits=frozenset(("jump_ball",)),
    attack=_at(
        (1.375, 0, "ball"), (2.875, 6.875), (-6.875, 2.875), (6.875, -2.875), (-2.875, -6.875), of="middle"
    ),
    guard="zone",
    zone=_at((-1.375, 0), (-2.875, 6.875), (6.875, 2.875), (-6.875, -2.875), (2.875, -6.875), of="middle"),
)
_POST_UP = _at((19, 17, "ball"), (28, -1), (20, -17), (8, 7.5, "post"), (8, -8))
_PLAY = (
    Formation(
        id="play-man-post",
        title="Play: post on the ball side, man-to-man",
        words="ball on the wing, a post on that side, two out, one low across; man-to-man",
        fits=frozenset(("play",)),
        attack=_POST_UP,
    ),
    Formation(
        id="play-zone",
        title="Play: against a 2-3 zone",
        words="ball at the top, two wide, one high and one low in the gaps; a 2-3 zone",
        fits=frozenset(("play",)),
        attack=_at((28, 3, "ball"), (20, 18), (20, -18), (16, 0, "post"), (6, -17)),
        guard="zone",
        zone=_TWO_THREE,
    ),
    Formation(
        id="play-fast-break",
        title="Play: fast break",
        words="ball in the middle past the division line, two wide ahead of it, two behind; two defenders back",
        fits=frozenset(("play",)),
        attack=_at((45, 2, "ball"), (30, 19), (28, -19), (57, -9), (68, 7), of="court"),
        guard="zone",
        zone=_at((31, 2), (12, -1), (50, -5), (60, 8), (70, -6), of="court"),
    ),
)

FORMATIONS: dict[str, Formation] = {
    one.id: one
    for one in (
        *_half_court("end_line", _END_LINE_SETS),
        *_half_court("sideline", _SIDELINE_SETS),
        *_BACK,
        *_DIVISION,
        *_THROWS,
        _JUMP,
        *_PLAY,
    )
}
"""Every formation by its name; the first that fits a restart is the usual one."""


def formations_of(kind: Kind, floor: CourtKind | None = None) -> tuple[Formation, ...]:
    """Return the formations that fit a kind of restart on a kind of court (any when not said), the usual one first.

    >>> [one.id for one in formations_of("jump_ball")]
    ['jump-ball-circle']
    """
    return tuple(
        one for one in FORMATIONS.values() if kind in one.fits and one.floor in (None, floor or one.floor)
    )
