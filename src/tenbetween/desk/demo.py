"""The demo workbench: an invented world, filled through the same verbs a trainer uses.

Everything here is made up: people, teams, memo and association exist nowhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from tenbetween.desk import kept
from tenbetween.desk.workbench import Workbench
from tenbetween.errors import TenbetweenError

if TYPE_CHECKING:
    from tenbetween.store import Store

TRAINER = "Wendell Thackrow"
OFFICIALS = (
    ("Dara Whitlock", "Dara"),
    ("Teo Marchbank", "Teo"),
    ("Cass Verrall", "Cass"),
    ("Priya Sandleford", "Priya"),
)
ANSWERS = (
    "us-hs-2025 + k-24 + quillan-ridge / right / out of bounds 58,0 / same / lead table umpire",
    "us-hs-2025 + k-24 + quillan-ridge / right / common foul 65,31 / same / lead table umpire / called by lead",
)
FROZEN = (
    (
        "Ball out on the trail's sideline, 40 ft up",
        "us-hs-2025 / right / out of bounds 44,50 / same / lead table umpire",
    ),
    ("After a goal nobody gives it", "us-hs-2025 / right / made goal / other / lead table umpire"),
    ("Second quarter: division line, opposite the table", "us-hs-2025 / right / period start / same"),
    (
        "Foul at the elbow, before the bonus",
        "us-hs-2025 / right / common foul 65,31 / same / lead table umpire / called by lead",
    ),
    (
        "Front-court end line, far side of the lane",
        "us-hs-2025 / right / violation 79,36 / same / lead table umpire",
    ),
)
PLAYS = (
    ("Thursday: box under the basket", FROZEN[4][1], "end-line-box-man"),
    ("Her sideline, spread against the zone", FROZEN[0][1], "sideline-wide-zone"),
    ("After a goal, nobody presses", FROZEN[1][1], "back-end-line-open"),
    (
        "Ardenmoor presses after the goal",
        "us-hs-2025 / right / made goal / other / lead table umpire / pressure",
        "back-end-line-press-man",
    ),
    (
        "Two throws, lane filled",
        "us-hs-2025 / right / shooting foul 75,20 / same / lead table umpire / called by lead",
        "free-throw-lane",
    ),
    ("Opening tap", "us-hs-2025 / right / game start", "jump-ball-circle"),
)
ADVICE = (
    ("Noor Estwick", "The lead crosses; nobody switches on the end line.", "autumn meeting"),
    ("Gil Pomfrey", "Let the partners exchange, it is the shorter way.", "twenty years of games"),
)


def fill(bench: Workbench, layers: Mapping[str, str], game: str) -> None:
    """Fill an empty workbench with the demo: layers, officials, a crew, answers, advice, frozen answers, a game."""
    store = bench.store
    if store.find("official") or store.find("layer"):
        return
    with store.together(TRAINER) as changes:
        for id_, text in layers.items():
            changes.save("layer", {"text": text}, id=id_)
        people = [changes.save("official", {"name": name, "short": short}) for name, short in OFFICIALS]
        changes.save("crew", {"referee": people[0].id, "umpire": people[1].id, "title": "Thursday's crew"})
    _answers(bench, store)
    for title, line, formation in PLAYS:
        bench.save_play(bench.play(bench.read_line(line), formation), title)
    if game:
        bench.walk(
            {"title": "Ardenmoor at Pell Hollow", "stoppages": game, "edition": "us-hs-2025"}, keep=True
        )


def _answers(bench: Workbench, store: Store) -> None:
    for line in ANSWERS:
        bench.keep("answer", bench.read_line(line), {})
    for title, line in FROZEN:
        bench.keep("frozen", bench.read_line(line), {"title": title})
    about = bench.situation(bench.read_line(FROZEN[-1][1]))
    from tenbetween import notation

    for by, what, source in ADVICE:
        kept.advise(
            store, about, notation.format(about), {"by": by, "what": what, "source": source}, bench.today
        )
    bench.keep(
        "stamp",
        bench.read_line(FROZEN[0][1]),
        {"by": "Ottoline Brace", "on": bench.today, "memo": "agreed at the autumn meeting"},
    )


def sentences(bench: Workbench) -> list[str]:
    """Return the sentences of the demo's frozen answers, as a check that each can be answered."""
    found = []
    for _, line in FROZEN:
        try:
            found.append(bench.answer(bench.read_line(line))["view"]["sentence"])
        except TenbetweenError as fault:
            found.append(str(fault))
    return found


__all__ = ["FROZEN", "PLAYS", "TRAINER", "fill", "sentences"]
