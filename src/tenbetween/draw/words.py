"""The words of an answer: its sentences, its steps, the situation in a sentence, and a text for the phone.

The sentence says who, how, where and what he becomes; everything else only details it. What is not covered
is said so, never guessed. Words of the trade; the rows of facts are in ``facts``.
"""

from __future__ import annotations

from msgspec import Struct

from tenbetween.book import edition_head
from tenbetween.court import Court
from tenbetween.draw.facts import Fact, facts, not_covered_lines
from tenbetween.draw.phrases import (
    CAUSE_WORDS,
    GIVES,
    SIDES,
    TEAMS,
    Teams,
    court_for,
    inside_words,
    listed,
    old_name,
    part_words,
    place_words,
    post_words,
    sentence_of,
    team_with_ball,
)
from tenbetween.situation import Administers, Post, Role, Ruling, Situation, other_basket, other_role
from tenbetween.units import feet

__all__ = [
    "Fact",
    "SentencePart",
    "StepLine",
    "facts",
    "not_covered_lines",
    "partner_sentence",
    "sentence",
    "short_text",
    "situation_sentence",
    "situation_text",
    "steps",
    "switch_words",
]

DEFERENCE = "Your state association and interpreter decide."
NOTHING = "Nothing entered covers this. Ask your interpreter; add the answer here."
SHORT_LIMIT = 300


class SentencePart(Struct, frozen=True):
    """A piece of the situation sentence and the field it sets, empty for the words between."""

    text: str
    sets: str = ""


class StepLine(Struct, frozen=True):
    """One numbered act: what is done, the signal shown, by whom, and whose move it is."""

    number: int
    text: str
    signal: str
    by: str = ""
    moves: str = ""


# ---- the first sentence ----


def sentence(ruling: Ruling, *, teams: Teams = TEAMS) -> str:
    """Return the first sentence of an answer: who, how, where, and what he becomes.

    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal")
    >>> sentence(Ruling(situation=goal, restart=None))
    'Nothing entered covers this. Ask your interpreter; add the answer here.'
    """
    say = {
        "throw_in": _throw_in,
        "free_throws": _free_throws,
        "jump_ball": _jump_ball,
        "play_goes_on": _play_goes_on,
    }
    return say[ruling.restart](ruling, teams) if ruling.restart else NOTHING


def _throw_in(ruling: Ruling, teams: Teams) -> str:
    where = _where(ruling)
    if ruling.administers is not None:
        return _given(ruling, ruling.administers, where)
    if ruling.delivery == "none":
        return sentence_of(f"nobody hands the ball: {team_with_ball(ruling, teams)} {where}{_counts(ruling)}")
    open_part = "who gives the ball is not covered"
    return sentence_of(
        f"{team_with_ball(ruling, teams)} throws in {where or 'at a spot not covered'}; {open_part}"
    )


def _where(ruling: Ruling) -> str:
    if ruling.may_run_end_line:
        if ruling.delivery == "none":
            return "throws in from anywhere along its back-court end line"
        return "for the thrower to run the back-court end line"
    if ruling.spot is None:
        return ""
    return place_words(court_for(ruling.situation), ruling.spot, ruling.attacking_after)


def _given(ruling: Ruling, given: Administers, where: str) -> str:
    gives = GIVES.get(ruling.delivery or "", "gives the ball (how is not covered)")
    place = where or "(the spot is not covered)"
    if given.was == "either":
        who = "the Referee" if given.person == "referee" else "one official"
        return sentence_of(f"{who} {gives} {place}, as {given.now}")
    who, becomes = old_name(given.was, given.now), _becomes(ruling, given.was, given.now)
    return sentence_of(f"{who} {gives} {place}{becomes}")


def _becomes(ruling: Ruling, was: Role, now: Role) -> str:
    if ruling.roles_after is None:
        return "; who is lead and who is trail is not covered"
    return f", and {'stays' if was == now else 'becomes'} {now}"


def _counts(ruling: Ruling) -> str:
    if ruling.count is None or ruling.count.by not in ("lead", "trail"):
        return ""
    now: Role = "lead" if ruling.count.by == "lead" else "trail"
    was = _was(ruling, now)
    who = now if was in (None, now) else f"old {was}"
    becomes = "" if was in (None, now) else f"becomes {now} and "
    return f"; {who} {becomes}counts {_number(ruling.count.seconds)}"


def _number(seconds: int) -> str:
    return {5: "five", 8: "eight", 10: "ten"}.get(seconds, str(seconds))


def _was(ruling: Ruling, now: Role) -> Role | None:
    """Return the old role of whoever has a role now, or None when that is open."""
    after = ruling.roles_after
    if after is None:
        return None
    return "lead" if after.old_lead == now else "trail"


def _free_throws(ruling: Ruling, teams: Teams) -> str:
    team, end = team_with_ball(ruling, teams), ruling.attacking_after
    basket = f"the {end} basket" if end else "a basket that is not covered"
    shoots = f"{team} shoots at {basket}" if end else "which team shoots is not covered"
    if ruling.administers is None:
        return sentence_of(f"{shoots}; who gives the ball is not covered")
    now = ruling.administers.now
    was = _was(ruling, now)
    who = now if was is None else old_name(was, now)
    becomes = "" if was is None else _becomes(ruling, was, now)
    gives = {"bounce": "bounces the ball", "hand": "hands the ball"}.get(
        ruling.delivery or "", "gives the ball"
    )
    lane = "with the lane empty, " if ruling.after_free_throws is not None else ""
    return sentence_of(f"{lane}{who} {gives} to the shooter at {basket}{becomes}")


def _jump_ball(ruling: Ruling, teams: Teams) -> str:
    given = ruling.administers
    if given is None:
        return "Jump ball at the centre circle; who tosses it is not covered."
    who = "the Referee" if given.person == "referee" else "the tosser"
    return sentence_of(
        f"{who} tosses it at the centre circle, facing the table, and is trail once the ball is won"
    )


def _play_goes_on(ruling: Ruling, teams: Teams) -> str:
    team = team_with_ball(ruling, teams)
    after = ruling.roles_after
    if after is None:
        return sentence_of(f"play goes on, {team}'s ball; who is lead and who is trail is not covered")
    if after.old_lead == "lead":
        return sentence_of(f"play goes on, {team}'s ball; nobody changes role")
    return sentence_of(
        f"play goes on, {team}'s ball: old trail turns and is lead, old lead follows and is trail"
    )


# ---- the second sentence ----


def partner_sentence(ruling: Ruling, *, teams: Teams = TEAMS) -> str:
    """Return the second sentence: where the partner goes and what he is; then what follows free throws.

    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal")
    >>> partner_sentence(Ruling(situation=goal, restart=None))
    ''
    """
    first = _partner(ruling)
    if ruling.after_free_throws is None:
        return first
    then = sentence(ruling.after_free_throws, teams=teams)
    return f"{first} After the throws: {then[0].lower()}{then[1:]}".strip()


def _partner(ruling: Ruling) -> str:
    if ruling.restart == "jump_ball":
        return _jump_partner(ruling)
    if ruling.restart == "play_goes_on":
        return _both_places(ruling)
    if ruling.restart is None:
        return ""
    now = _partner_role(ruling)
    if now is None or ruling.places is None:
        return _open_partner(ruling)
    was = _was(ruling, now)
    return sentence_of(_partner_moves(ruling, ruling.places[now], was, now))


def _partner_role(ruling: Ruling) -> Role | None:
    if ruling.administers is not None:
        return other_role(ruling.administers.now)
    if ruling.delivery == "none":
        return "lead"
    return None


def _partner_moves(ruling: Ruling, post: Post, was: Role | None, now: Role) -> str:
    court = court_for(ruling.situation)
    place = post_words(post, court)
    side = _side(court, post)
    where = place if not side or "table" in place or "opposite" in place else f"{place}, {side}"
    if was is None:
        return f"partner is {now}, {where}"
    if was == now:
        runs = _runs(ruling) if now == "lead" else ""
        return f"{now} {runs}stays {now}, {where}"
    return f"old {was} goes {_way(place)}{where}, and is the new {now}"


def _runs(ruling: Ruling) -> str:
    """Return the words of the long switch: the direction turns, the roles stay, the lead runs end to end."""
    turned = ruling.attacking_after == other_basket(ruling.situation.attacking)
    return "runs the length and " if turned else ""


def _way(place: str) -> str:
    return "" if place.startswith(("behind", "by", "near")) else "to his place "


def _side(court: Court, post: Post) -> str:
    y = post.at[1]
    return SIDES["table" if y < feet(court.axis) else "opposite"]


def _open_partner(ruling: Ruling) -> str:
    after = ruling.roles_after
    if after is None:
        return ""
    who = f"old lead is {after.old_lead}, old trail is {after.old_trail}"
    if after.old_lead == "lead":
        who = "lead stays lead and trail stays trail"
    return sentence_of(f"{who}; where both stand is not covered")


def _jump_partner(ruling: Ruling) -> str:
    if ruling.places is None:
        return "Where both stand is not covered."
    chops = "chops at the legal tap, " if ruling.chop else ""
    return f"Partner is by the division line, table side, {chops}goes ahead of the ball and is lead."


def _both_places(ruling: Ruling) -> str:
    if ruling.places is None:
        return "Where both go is not covered."
    court = court_for(ruling.situation)
    lead, trail = (
        f"{role} is {post_words(ruling.places[role], court)}, {_side(court, ruling.places[role])}"
        for role in ("lead", "trail")
    )
    return sentence_of(f"{lead}; {trail}")


def switch_words(ruling: Ruling) -> str:
    """Return ``yes``, ``no`` or nothing: whether the roles differ from what direction alone gives.

    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal")
    >>> switch_words(Ruling(situation=goal, restart="throw_in", switch=False))
    ''
    """
    if ruling.switch is None or ruling.roles_after is None:
        return ""
    return "yes" if ruling.switch else "no"


# ---- steps ----


def steps(ruling: Ruling) -> tuple[StepLine, ...]:
    """Return the ordered acts with their numbers, as the diagram and the list under it show them.

    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal")
    >>> steps(Ruling(situation=goal, restart=None))
    ()
    """
    return tuple(
        StepLine(number, sentence_of(step.act), step.signal, step.by, step.moves)
        for number, step in enumerate(ruling.steps, 1)
    )


# ---- the situation ----


def situation_sentence(situation: Situation, *, teams: Teams = TEAMS) -> tuple[SentencePart, ...]:
    """Return the situation in a sentence with blanks: each part that can be set names its field.

    >>> s = Situation(edition="us-hs-2025", attacking="right", stopped_by="held_ball", lead_side="table")
    >>> "".join(part.text for part in situation_sentence(s)).strip()
    'White attacks right. Held ball. Lead was on the table side.'
    """
    parts = [
        SentencePart(teams[0]),
        SentencePart(" attacks "),
        SentencePart(situation.attacking, "attacking"),
        SentencePart(". "),
        *_stopped(situation, teams),
        *_whose(situation, teams),
        *_asked(situation, teams),
        *_lead(situation),
    ]
    return tuple(parts)


def situation_text(situation: Situation, *, teams: Teams = TEAMS) -> str:
    """Return the situation as one plain text.

    >>> start = Situation(edition="us-hs-2025", attacking="right", stopped_by="game_start")
    >>> situation_text(start)
    'White attacks right. Game starts.'
    """
    return "".join(part.text for part in situation_sentence(situation, teams=teams)).strip()


def _stopped(s: Situation, teams: Teams) -> list[SentencePart]:
    parts = [SentencePart(_cause(s, teams), "stopped_by")]
    if s.at is not None:
        parts += [SentencePart(" at "), SentencePart(inside_words(court_for(s), s.at), "at")]
    return [*parts, SentencePart(". ")]


def _cause(s: Situation, teams: Teams) -> str:
    cause = CAUSE_WORDS[s.stopped_by]
    cause = cause[0].upper() + cause[1:]
    if s.ball_to is None:
        return cause
    off = teams[1] if s.ball_to == "same" else teams[0]
    if s.stopped_by in ("out_of_bounds", "throw_in_violation", "violation"):
        return f"{cause} {'off' if s.stopped_by == 'out_of_bounds' else 'by'} {off}"
    return cause


def _whose(s: Situation, teams: Teams) -> list[SentencePart]:
    if s.ball_to is None:
        return []
    team, verb = (teams[0], "keeps it") if s.ball_to == "same" else (teams[1], "gets it")
    return [SentencePart(f"{team} {verb}", "ball_to"), SentencePart(". ")]


def _asked(s: Situation, teams: Teams) -> list[SentencePart]:
    """Return what only some causes ask for: caller, bonus, a throw-in that was due, pressure, the clock."""
    said = [
        (f"Called by the {s.called_by}", "called_by", s.called_by),
        ("Bonus", "bonus", s.bonus),
        ("A throw-in was due at a spot", "pending", s.pending == "spot"),
        ("The throw-in that was due may run the end line", "pending", s.pending == "run_end_line"),
        ("Opponents press the thrower", "pressure", s.pressure),
        (f"Clock {s.clock}", "clock", s.clock),
    ]
    return [p for text, sets, on in said if on for p in (SentencePart(text, sets), SentencePart(". "))]


def _lead(s: Situation) -> list[SentencePart]:
    parts = []
    if s.lead_side is not None:
        parts += [SentencePart("Lead was on the "), SentencePart(SIDES[s.lead_side], "lead_side")]
    if s.lead_person is not None:
        before = ", the " if parts else "Lead was the "
        parts += [SentencePart(before), SentencePart(s.lead_person.capitalize(), "crew")]
    return [*parts, SentencePart(".")] if parts else []


# ---- for the person who asked by phone ----


def short_text(ruling: Ruling, *, book_title: str = "", teams: Teams = TEAMS) -> str:
    """Return the answer in fewer than 300 characters, with the edition and who decides.

    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal")
    >>> short_text(Ruling(situation=goal, restart=None)).endswith(DEFERENCE)
    True
    """
    title = book_title or edition_head(ruling.situation.edition).title
    switch = f"Switch: {switch_words(ruling)}." if switch_words(ruling) else ""
    first, second = sentence(ruling, teams=teams), partner_sentence(ruling, teams=teams)
    open_parts = _open_parts(ruling)
    for words in (
        (first, second, switch, open_parts, f"By {title}.", DEFERENCE),
        (first, _partner(ruling), switch, open_parts, f"By {title}.", DEFERENCE),
        (first, switch, open_parts, f"By {title}.", DEFERENCE),
        (first, switch, open_parts, f"By {edition_head(ruling.situation.edition).title}.", DEFERENCE),
        (first, switch, f"By {edition_head(ruling.situation.edition).title}.", DEFERENCE),
    ):
        text = " ".join(filter(None, words))
        if len(text) < SHORT_LIMIT:
            return text
    return text[: SHORT_LIMIT - len(DEFERENCE) - 6].rsplit(" ", 1)[0] + " ... " + DEFERENCE


def _open_parts(ruling: Ruling) -> str:
    names = list(dict.fromkeys(part_words(gap.part) for gap in ruling.not_covered))
    return f"Not covered: {listed(names)}." if names and ruling.restart else ""


def attacks_words(ruling: Ruling, *, teams: Teams = TEAMS) -> str:
    """Return which team attacks which basket after the restart, or nothing at a jump ball.

    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal")
    >>> attacks_words(Ruling(situation=goal, restart="throw_in", attacking_after="right"))
    'Dark attacks right'
    """
    if ruling.attacking_after is None:
        return ""
    return f"{team_with_ball(ruling, teams)} attacks {ruling.attacking_after}"
