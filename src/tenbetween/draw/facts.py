"""The rows of facts under an answer: label, what is strong, and the rest.

Only what the ruling holds; a part nobody entered has no row here but a line of its own, with what to do.
"""

from __future__ import annotations

from msgspec import Struct

from tenbetween.draw.phrases import (
    DIVIDING_WORDS,
    LINE_NAMES,
    court_for,
    from_end,
    listed,
    long_text,
    part_words,
    place_words,
    post_words,
    sentence_of,
)
from tenbetween.situation import Count, Ruling
from tenbetween.units import um

STANDS = {
    "outside_the_thrower": "outside the thrower, between him and the nearer sideline",
    "inside_the_thrower": "inside the thrower, between him and the lane",
    "back_court_side": "on the thrower's back-court side",
    "end_line_side": "on the thrower's end-line side",
    "outside_the_lane": "off the end line, outside the lane",
    "at_the_circle": "at the circle, facing the table",
    "anywhere": "either side of the thrower",
}
HOW = {
    "hand": ("Hand", "to the thrower."),
    "bounce": ("Bounce", "to the thrower."),
    "toss": ("Toss", "straight up, above both jumpers."),
    "none": ("Nobody", "handles the ball; the team takes it out itself."),
}
CLOCK = {
    "legally_touched_inbounds": ("legal touch", "on the court."),
    "running": ("", "It keeps running."),
    "legally_tapped": ("legal tap", "by a jumper."),
    "touched_after_miss": ("touch after a miss", "of the last throw."),
}
CHOPPERS = ("lead", "trail", "referee", "umpire")
ADD_IT = "ask your interpreter, then add it here"


class Fact(Struct, frozen=True):
    """One row: its label, the strong words first, and the rest of the row."""

    label: str
    strong: str
    rest: str

    @property
    def text(self) -> str:
        """The row without its label."""
        gap = "" if self.rest[:1] in (",", ".", ":") else " "
        return f"{self.strong}{gap}{self.rest}".strip()


def facts(ruling: Ruling) -> tuple[Fact, ...]:
    """Return the rows of facts of an answer, in the order they are read.

    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal")
    >>> facts(Ruling(situation=goal, restart="throw_in", delivery="none"))[0].text
    'Nobody handles the ball; the team takes it out itself.'
    """
    rows = (
        _spot(ruling),
        _near(ruling),
        _delivery(ruling),
        _stands(ruling),
        _count(ruling),
        _clock(ruling),
        _chop(ruling),
        *_roles(ruling),
        _lines(ruling),
        _watch(ruling),
        *_waits(ruling),
    )
    return tuple(row for row in rows if row is not None)


def not_covered_lines(ruling: Ruling) -> tuple[str, ...]:
    """Return one line for every part nobody entered: which, why, and what to do.

    >>> from tenbetween.situation import NotCovered, Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal")
    >>> gap = NotCovered("chop", "nothing entered says who")
    >>> not_covered_lines(Ruling(situation=goal, restart="throw_in", not_covered=(gap,)))
    ('Not covered: who chops. Nothing entered says who; ask your interpreter, then add it here.',)
    """
    return tuple(
        f"Not covered: {part_words(gap.part)}. {sentence_of(gap.why)[:-1]}{_advice(gap.why)}."
        for gap in ruling.not_covered
    )


def _advice(why: str) -> str:
    return "" if "interpreter" in why or "say called by" in why else f"; {ADD_IT}"


def _spot(ruling: Ruling) -> Fact | None:
    if ruling.restart != "throw_in":
        return None
    if ruling.may_run_end_line:
        return Fact("Spot", "Anywhere", "along the back-court end line: he may run it.")
    if ruling.spot is None:
        return None
    court = court_for(ruling.situation)
    wide = long_text(court, um("3 ft") if court.kind == "us-hs" else um("1 m"))
    strong = place_words(court, ruling.spot, ruling.attacking_after).removeprefix("at ").removeprefix("on ")
    return Fact("Spot", strong[0].upper() + strong[1:], f", {wide} wide.{_part(ruling)}{_moved(ruling)}")


def _part(ruling: Ruling) -> str:
    court, at = court_for(ruling.situation), ruling.spot
    if ruling.court_part is None or at is None:
        return ""
    said = "Front court" if ruling.court_part == "frontcourt" else "Back court"
    if ruling.court_part == "backcourt" or ruling.line != "sideline":
        return f" {said}."
    above = from_end(court, at[0]) - court.free_throw
    level = "above" if above > 0 else "below"
    gap = f"{long_text(court, abs(above))} {level}" if above else "level with"
    return f" {said}, {gap} the free-throw line extended."


def _moved(ruling: Ruling) -> str:
    return f" The place given was moved {ruling.moved_ft:.1f} ft onto the line." if ruling.moved_ft else ""


def _near(ruling: Ruling) -> Fact | None:
    if ruling.near is None:
        return None
    line = DIVIDING_WORDS.get(ruling.near.line, ruling.near.line.replace("_", " "))
    other = ruling.near.other_side_answer
    court = court_for(ruling.situation)
    spot = f"the spot is {place_words(court, other.spot, ruling.attacking_after)}" if other.spot else ""
    then = spot or "the answer changes"
    return Fact("Close", f"{ruling.near.distance_ft:.1f} ft", f"from the {line}; on its other side {then}.")


def _delivery(ruling: Ruling) -> Fact | None:
    if ruling.delivery is None:
        return None
    strong, rest = HOW.get(ruling.delivery, (ruling.delivery, ""))
    if ruling.restart == "free_throws":
        rest = "to the shooter."
    return Fact("Delivery", strong, rest)


def _stands(ruling: Ruling) -> Fact | None:
    if ruling.stands is None:
        return None
    said = STANDS.get(ruling.stands, ruling.stands.replace("_", " "))
    return Fact("Stands", "", sentence_of(said))


def _count(ruling: Ruling) -> Fact | None:
    count = ruling.count
    if count is None:
        return None
    return Fact("Count", f"{count.seconds} s", f"from {count.begins} to {count.ends}.{_shown(count)}")


def _shown(count: Count) -> str:
    by = f"the {count.by} counts" if count.by in ("lead", "trail") else ""
    arm = "" if count.arm == "free" else ", arm on the table side"
    how = {None: "", True: "visible, without words", False: "silent, no arm"}[count.visible]
    said = f"{by}{', ' if by and how else ''}{how}{arm}"
    return f" {sentence_of(said)}" if said else ""


def _clock(ruling: Ruling) -> Fact | None:
    if ruling.clock_starts is None:
        return None
    strong, rest = CLOCK.get(ruling.clock_starts, (ruling.clock_starts.replace("_", " "), ""))
    return Fact("Clock", f"Starts on the {strong}" if strong else "", rest)


def _chop(ruling: Ruling) -> Fact | None:
    who = [one for one in ruling.chop or () if one in CHOPPERS]
    if not who:
        return None
    rest = "" if len(who) == 1 else f", then the {listed(who[1:])}"
    return Fact("Chop", who[0].capitalize(), f"{rest}.")


def _roles(ruling: Ruling) -> tuple[Fact, ...]:
    after = ruling.roles_after
    if after is None:
        return ()
    stays = after.old_lead == "lead"
    said = "lead stays lead, trail stays trail." if stays else "old lead is trail, old trail is lead."
    if ruling.switch == stays:  # play turns round: what direction alone gives is the exchange
        said = f"play turns round; {said}"
    switch = "yes" if ruling.switch else "no"
    return (Fact("Switch", switch.capitalize(), f": {said}"),)


def _lines(ruling: Ruling) -> Fact | None:
    if not ruling.lines:
        return None
    held: dict[str, list[str]] = {}
    for line, role in ruling.lines.items():
        held.setdefault(role, []).append(LINE_NAMES.get(line, line.replace("_", " ")))
    split = held.pop("lead_below_trail_above", [])
    said = [f"{role.capitalize()}: {listed(lines)}." for role, lines in sorted(held.items())]
    said += (
        [f"{listed(split).capitalize()}: lead below the free-throw line extended, trail above."]
        if split
        else []
    )
    return Fact("Lines", "", " ".join(said))


def _watch(ruling: Ruling) -> Fact | None:
    if not ruling.watches:
        return None
    said = [f"{role.capitalize()}: {whom}." for role, whom in sorted(ruling.watches.items())]
    return Fact("Watch", "", " ".join(said))


def _waits(ruling: Ruling) -> tuple[Fact, ...]:
    if not ruling.waiting:
        return ()
    court = court_for(ruling.situation)
    names = {
        "administering": "administering official",
        "partner": "partner",
        "partner_60": "partner, 60 s",
        "partner_30": "partner, 30 s",
    }
    said = [
        f"{names.get(who, who.replace('_', ' '))}: {post_words(post, court)}."
        for who, post in ruling.waiting.items()
    ]
    return (Fact("Meanwhile", "", " ".join(text[0].upper() + text[1:] for text in said)),)
