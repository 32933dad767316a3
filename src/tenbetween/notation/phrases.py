"""Every phrase a typed situation may hold, and what each one says; many spellings in.

A phrase is a row of lower-case words with the small words (the, a, was, is, it, at) left out and hyphens
opened. Search words of other people (baseline, half-court line, inbound) are understood; what comes out is
the trade's word.
"""

from __future__ import annotations

from typing import NamedTuple

from tenbetween.situation import CAUSES


class Meaning(NamedTuple):
    """What a phrase says: about which part, and the value."""

    part: str
    value: str


Phrase = tuple[str, ...]

SMALL_WORDS = frozenset(("the", "a", "an", "was", "is", "were", "it", "at", "s"))
OPENED: dict[str, str] = {
    "baseline": "end line",
    "endline": "end line",
    "timeout": "time out",
    "halfcourt": "half court",
    "midcourt": "half court",
    "backcourt": "back court",
    "frontcourt": "front court",
    "inbound": "throw in",
    "inbounds": "throw in",
    "inbounding": "throw in",
    "throwin": "throw in",
    "tipoff": "tip off",
    "travelled": "travel",
    "traveled": "travel",
    "travelling": "travel",
    "traveling": "travel",
    "travels": "travel",
    "kicks": "kick",
    "kicked": "kick",
    "defence": "defense",
    "offence": "offense",
    "centre": "center",
    "quarter's": "quarter",
    "lead's": "lead",
    "trail's": "trail",
    "light": "white",
}
"""One word, and the word or words it stands for."""

CAUSE_PHRASES: dict[str, str] = {
    "out_of_bounds": "out | oob | out bounds | ball out | ball out of bounds | went out | goes out",
    "violation": (
        "kick | kick ball | travel | traveling violation | double dribble | dribble violation | carry "
        "| palming | three seconds | 3 seconds | three second violation | ten seconds | 10 seconds | "
        "ten second violation | closely guarded | over and back | back court violation | "
        "kick violation | lane violation | fist | free throw violation | "
        "basket interference violation | illegal dribble"
    ),
    "throw_in_violation": (
        "throw in violation | violation on throw in | five seconds on throw in | "
        "five second throw in violation | thrower violation | thrower stepped on court | "
        "thrower stepped in"
    ),
    "plane_warning": (
        "plane | plane warning | plane violation | warning | delay warning | warning line | "
        "reached through plane | warning for crossing line | defender over plane of line | "
        "defender over plane | over plane | crossed plane"
    ),
    "wrong_team": "wrong team | wrong team threw in | ball given to wrong team | given to wrong team",
    "common_foul": (
        "foul | common foul | personal foul | personal | hold | holding foul | push | block | blocking foul"
    ),
    "player_control_foul": "player control | player control foul | charge | charging | charging foul",
    "team_control_foul": "team control | team control foul | illegal screen | offensive foul off ball",
    "shooting_foul": (
        "shooting foul | shooting | foul on shot | foul on shooter | foul in act of shooting | free throws"
    ),
    "intentional_foul": "intentional | intentional foul",
    "flagrant_foul": "flagrant | flagrant foul | flagrant personal foul",
    "technical_foul": "technical | technical foul | tech",
    "double_foul": "double foul | double personal foul",
    "held_ball": "held | held ball | tie up | tied up | possession arrow | alternating possession",
    "made_goal": (
        "goal | basket | made goal | made basket | basket made | goal made | basket good | made | "
        "made field goal | field goal | field goal made | awarded goal | goal awarded | after goal | "
        "after made basket"
    ),
    "made_last_free_throw": (
        "made last free throw | last free throw made | made free throw | free throw made | "
        "free throw good | last free throw good | after made free throw"
    ),
    "time_out": "time out | charged time out | time out called | after time out",
    "inadvertent_whistle": "inadvertent | inadvertent whistle | stray whistle | accidental whistle",
    "injury": "injury | injured player | hurt player | player hurt | stopped for injury | blood",
    "period_start": (
        "quarter | quarter starts | quarter start | start of quarter | period starts | "
        "start of period | half starts | third quarter | second quarter | fourth quarter | "
        "second half | 2nd quarter | 3rd quarter | 4th quarter | 2nd half | start of second quarter | "
        "start of third quarter | start of fourth quarter | start of 2nd quarter | "
        "start of 3rd quarter | start of 4th quarter | start of second half | second quarter starts | "
        "third quarter starts | fourth quarter starts | second half starts | q2 | q3 | q4"
    ),
    "game_start": (
        "game starts | start of game | opening jump | opening jump ball | tip | tip off | opening tip "
        "| jump ball"
    ),
    "extra_period_start": (
        "extra period | extra period starts | start of extra period | overtime | overtime starts | "
        "start of overtime | ot"
    ),
    "change_of_control": (
        "change of control | change of possession | ball changes hands | steal | stolen | ball stolen "
        "| ball changes hands no whistle | ball changes hands play goes on | changes hands"
    ),
}
"""Other words for each cause, in the trade and beside it; its own name always works."""

_LEADS: dict[str, tuple[str, ...]] = {"lead": ("lead", "l"), "trail": ("trail", "t")}
_PERSONS: dict[str, tuple[str, ...]] = {"referee": ("referee", "r"), "umpire": ("umpire", "u")}
_SIDES: dict[str, tuple[str, ...]] = {"table": ("table",), "opposite": ("opposite", "far", "opposite table")}
_TEAMS: dict[str, tuple[str, ...]] = {
    "white": ("white",),
    "dark": ("dark",),
    "same": ("offense",),
    "other": ("defense",),
}
_ENDS: dict[str, tuple[str, ...]] = {
    "left": ("left end line", "left end"),
    "right": ("right end line", "right end"),
    "front": ("front court end line", "front end line"),
    "back": ("back court end line", "back end line", "own end line"),
    "": ("end line",),
}
_OTHER = {"table": "opposite", "opposite": "table", "referee": "umpire", "umpire": "referee"}


def phrases() -> dict[Phrase, Meaning]:
    """Return every phrase with its meaning; a phrase never means two things.

    >>> phrases()[("l", "table")]
    Meaning(part='lead_side', value='table')

    Raises:
        ValueError: one phrase was given two meanings (a fault in this file).
    """
    found: dict[Phrase, Meaning] = {}
    for text, meaning in (*_cause_pairs(), *_role_pairs(), *_team_pairs(), *_place_pairs(), *_word_pairs()):
        phrase = opened(text)
        if found.setdefault(phrase, meaning) != meaning:
            raise ValueError(f"{text!r} means both {found[phrase]} and {meaning}")
    return found


def opened(text: str) -> Phrase:
    """Return the words of a phrase: lower case, hyphens opened, small words left out, other words put in.

    >>> opened("The Throw-in"), opened("baseline")
    (('throw', 'in'), ('end', 'line'))
    """
    words = text.lower().replace("-", " ").replace("_", " ").split()
    whole = " ".join(OPENED.get(word, word) for word in words)
    return tuple(word for word in whole.split() if word not in SMALL_WORDS)


Pairs = list[tuple[str, Meaning]]


def _cause_pairs() -> Pairs:
    own = [(cause, Meaning("stopped_by", cause)) for cause in CAUSES]
    listed = [
        (text, Meaning("stopped_by", cause))
        for cause, texts in CAUSE_PHRASES.items()
        for text in texts.split(" | ")
    ]
    return own + listed


def _role_pairs() -> Pairs:
    pairs: Pairs = []
    for lead in _LEADS["lead"]:
        pairs += [(text, Meaning("lead_side", side)) for side in _SIDES for text in _on_side(lead, side)]
    for trail in _LEADS["trail"]:
        pairs += [
            (text, Meaning("lead_side", _OTHER[side])) for side in _SIDES for text in _on_side(trail, side)
        ]
    for person, names in _PERSONS.items():
        pairs += [(text, Meaning("lead_person", person)) for name in names for text in _leads(name)]
        pairs += [(text, Meaning("lead_person", _OTHER[person])) for name in names for text in _trails(name)]
    for role, names in _LEADS.items():
        pairs += [(text, Meaning("called_by", role)) for name in names for text in _calls(name)]
    return pairs


def _on_side(role: str, side: str) -> list[str]:
    names = _SIDES[side]
    forms = (
        "{r} {s}",
        "{r} on {s}",
        "{r} {s} side",
        "{r} on {s} side",
        "{r} {s} sideline",
        "{r} on {s} sideline",
    )
    return [form.format(r=role, s=name) for form in forms for name in names]


def _leads(name: str) -> list[str]:
    return [
        name,
        f"{name} leads",
        f"{name} lead",
        f"{name} as lead",
        *(f"{one} {name}" for one in _LEADS["lead"]),
    ]


def _trails(name: str) -> list[str]:
    return [
        f"{name} trails",
        f"{name} trail",
        f"{name} as trail",
        *(f"{one} {name}" for one in _LEADS["trail"]),
    ]


def _calls(name: str) -> list[str]:
    return [
        f"called by {name}",
        f"{name} called",
        f"{name} calls",
        f"{name} call",
        f"{name} whistle",
        f"by {name}",
    ]


def _team_pairs() -> Pairs:
    pairs: Pairs = [(side, Meaning("attacking", side)) for side in ("left", "right")]
    for side in ("left", "right"):
        pairs += [
            (f"{verb} {side}", Meaning("attacking", side))
            for verb in ("attacks", "attacking", "going", "goes")
        ]
    for team, names in _TEAMS.items():
        for name in names:
            pairs += [
                (f"{name} {rest}", Meaning("ball_to", team))
                for rest in ("ball", "keeps", "gets", "throws in")
            ]
            pairs += [
                (f"{pre} {name}", Meaning("ball_to", team)) for pre in ("to", "for", "ball to", "ball for")
            ]
            pairs += [
                (f"{pre} {name}", Meaning("off", team)) for pre in ("off", "by", "on", "off of", "against")
            ]
            pairs.append((name, Meaning("team", team)))
    for team in ("white", "dark"):
        pairs += [
            (f"{team} {verb} {side}", Meaning("attacker", f"{team} {side}"))
            for verb in ("attacks", "attacking", "going", "goes")
            for side in ("left", "right")
        ]
    for team in ("same", "other"):
        pairs += [(text, Meaning("ball_to", team)) for text in (team, f"{team} team", f"ball {team}")]
    return pairs


def _place_pairs() -> Pairs:
    pairs: Pairs = []
    for side, names in _SIDES.items():
        pairs += [
            (f"{name}{more}", Meaning("side", side)) for name in names for more in ("", " sideline", " side")
        ]
        pairs += [(f"sideline {name}", Meaning("side", side)) for name in names]
    pairs += [(text, Meaning("end", end)) for end, texts in _ENDS.items() for text in texts]
    division = ("division line", "half court line", "half court", "center line", "mid court line")
    pairs += [(text, Meaning("depth", "division")) for text in division]
    pairs += [(text, Meaning("depth", "mark")) for text in ("28 foot mark", "28 ft mark", "28 mark")]
    pairs += [
        (text, Meaning("depth", "free_throw")) for text in ("free throw line extended", "free throw line")
    ]
    pairs += [(f"{half} court", Meaning("half", half)) for half in ("front", "back")]
    return pairs


def _word_pairs() -> Pairs:
    said = {
        ("bonus", "yes"): "bonus | in bonus | with bonus | bonus on | one and one | 1 and 1 | double bonus",
        ("bonus", "no"): "no bonus | before bonus | not in bonus",
        (
            "pressure",
            "yes",
        ): "pressure | press | pressed | full press | full court press | under pressure | with press",
        ("pressure", "no"): "no pressure | no press",
        ("pending", "spot"): "pending spot | spot pending | spot throw in pending | throw in pending",
        (
            "pending",
            "run_end_line",
        ): "pending run end line | run end line | may run end line | may run | run pending",
        ("clock", "running"): "clock running | running clock | clock runs",
        ("clock", "stopped"): "clock stopped | stopped clock",
        ("fill", ""): (
            "ball | on | by | from | with | for | set | floor | court | and | team | edition | inside | "
            "no whistle | play goes on | goes on | "
            "us high school | high school | us | crew of two | layer | of | ft | feet"
        ),
    }
    return [(text, Meaning(*key)) for key, texts in said.items() for text in texts.split(" | ")]


PHRASES: dict[Phrase, Meaning] = phrases()
LONGEST = max(map(len, PHRASES))
SPELLINGS: tuple[str, ...] = tuple(" ".join(phrase) for phrase in PHRASES)
