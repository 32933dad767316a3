"""What must hold after every row of a walked game, whatever the book says.

A book or a layer that breaks one of these is named with the row; the walk never goes on with it in silence.
"""

from __future__ import annotations

from tenbetween.court import Court
from tenbetween.crew.values import COLOURS, PERSONS, Disposal, Standing, Walked
from tenbetween.units import feet

OFF_THE_FLOOR_FT = 6.0
"""No taught place is farther from the floor than this."""


def broken(court: Court, walked: Walked) -> tuple[str, ...]:
    """Return what a walked row breaks, in words; nothing when all holds."""
    found = [*_counts(walked.after), *_baskets(walked), *_switch(walked)]
    for disposal in walked.disposals:
        found += [*_crew(disposal), *_on_the_court(court, disposal), *_boxed(court, disposal)]
    return tuple(found)


def _counts(standing: Standing) -> list[str]:
    pairs = (
        ("team fouls", standing.fouls),
        ("60 s time-outs", standing.sixties),
        ("30 s time-outs", standing.thirties),
    )
    return [f"{name} of {c} below nothing" for name, pair in pairs for c in COLOURS if pair.of(c) < 0]


def _baskets(walked: Walked) -> list[str]:
    """The team putting the ball in play attacks the basket that is its own in this half."""
    after, found = walked.after, []
    if after.attacks("white") == after.attacks("dark"):
        found.append("both teams attack one basket")
    for disposal in walked.disposals:
        said = disposal.ruling.attacking_after
        if said and after.control and said != after.attacks(after.control):
            found.append(f"{after.control} attacks the {said} basket")
    return found


def _switch(walked: Walked) -> list[str]:
    """A switch is what the roles do beyond what direction alone does."""
    first = walked.disposals[0]
    roles = first.ruling.roles_after
    if roles is None or walked.resumes is not None or first.switch is None:
        return []
    if roles.old_lead == roles.old_trail:
        return [f"two officials with the role {roles.old_lead}"]
    reversed_ = first.ruling.situation.ball_to == "other"
    exchanged = roles.old_lead == "trail"
    return (
        [] if first.switch == (exchanged != reversed_) else ["a switch that does not fit the roles after it"]
    )


def _crew(disposal: Disposal) -> list[str]:
    """Two persons, each on the place of one role."""
    if not disposal.posts:
        return []
    if set(disposal.posts) != set(PERSONS) or disposal.lead not in PERSONS:
        return ["a crew that is not one lead and one trail"]
    places = [post.at for post in disposal.posts.values()]
    return ["both officials on one place"] if places[0] == places[1] else []


def _on_the_court(court: Court, disposal: Disposal) -> list[str]:
    length, width = feet(court.length), feet(court.width)
    low, margin = -OFF_THE_FLOOR_FT, OFF_THE_FLOOR_FT
    return [
        f"the {person} at {post.at[0]:g}, {post.at[1]:g}, off the court"
        for person, post in disposal.posts.items()
        if not (low <= post.at[0] <= length + margin and low <= post.at[1] <= width + margin)
    ]


def _boxed(court: Court, disposal: Disposal) -> list[str]:
    """At a throw-in and in play the two are on opposite sides, the lead on his."""
    restart = disposal.ruling.restart
    if set(disposal.posts) != set(PERSONS) or restart not in ("throw_in", "play_goes_on"):
        return []
    middle = feet(court.width) / 2
    sides = {p: "table" if post.at[1] < middle else "opposite" for p, post in disposal.posts.items()}
    if sides["referee"] == sides["umpire"]:
        return [f"both officials on the {sides['referee']} side"]
    if disposal.lead is not None and sides[disposal.lead] != disposal.lead_side:
        return [f"the lead on the {sides[disposal.lead]} side, told to be on the {disposal.lead_side} side"]
    return []
