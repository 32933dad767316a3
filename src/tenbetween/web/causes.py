"""What stopped play, as a trainer says it, and which further blanks each cause opens.

Words for the screen only; which cause leads to what is the book's business.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tenbetween.situation import CAUSES, Cause

Ask = Literal["no", "may", "must"]


class CauseWords(Struct, frozen=True):
    """One cause: its tile, its sentence, and what it asks."""

    cause: Cause
    tile: str
    says: str
    """The sentence part; ``{off}`` is the team that lost the ball, ``{to}`` the one that gets it."""
    group: str
    at: Ask = "must"
    ball: Ask = "must"
    usual_ball: Literal["", "same", "other"] = ""
    """Filled in until the trainer says otherwise."""
    follow: tuple[str, ...] = ()
    """Blanks of its own: ``called_by``, ``bonus``, ``pending``, ``pressure``."""
    key: str = ""
    hint: str = ""


_OUT, _FOUL, _SHOT, _STOP, _START = "Out and violations", "Fouls", "Goals", "Stops", "Starts"

WORDS: tuple[CauseWords, ...] = (
    CauseWords(
        "out_of_bounds", "Out of bounds", "Ball out of bounds{off}", _OUT, key="1", follow=("pressure",)
    ),
    CauseWords("common_foul", "Foul", "Common foul", _FOUL, key="2", follow=("called_by", "bonus")),
    CauseWords("violation", "Violation", "Violation", _OUT, key="3"),
    CauseWords("held_ball", "Held ball", "Held ball", _STOP, key="4"),
    CauseWords("made_goal", "Made basket", "Basket made", _SHOT, "no", "must", "other", ("pressure",), "5"),
    CauseWords("time_out", "Time-out", "Time-out", _STOP, "may", "must", "same", ("pending",), "6"),
    CauseWords("period_start", "Quarter starts", "The quarter starts", _START, "no", "must", "same", (), "7"),
    CauseWords(
        "shooting_foul", "Free throws", "Shooting foul", _FOUL, "may", "must", "same", ("called_by",), "8"
    ),
    CauseWords(
        "inadvertent_whistle", "Stray whistle", "Stray whistle", _STOP, "may", "must", "", ("pending",), "9"
    ),
    CauseWords(
        "throw_in_violation", "Throw-in violation", "Throw-in violation", _OUT, "must", "must", "other"
    ),
    CauseWords(
        "plane_warning",
        "Warning at the line",
        "Warning for crossing the line",
        _OUT,
        "must",
        "must",
        "same",
        ("pending",),
        hint="the defender reached through the plane",
    ),
    CauseWords(
        "wrong_team", "Wrong team threw in", "The wrong team threw in", _OUT, "must", "must", "", ("pending",)
    ),
    CauseWords(
        "player_control_foul",
        "Player-control foul",
        "Player-control foul",
        _FOUL,
        "must",
        "must",
        "other",
        ("called_by",),
    ),
    CauseWords(
        "team_control_foul",
        "Team-control foul",
        "Team-control foul",
        _FOUL,
        "must",
        "must",
        "other",
        ("called_by",),
    ),
    CauseWords(
        "intentional_foul",
        "Intentional foul",
        "Intentional foul",
        _FOUL,
        "must",
        "must",
        "same",
        ("called_by",),
    ),
    CauseWords(
        "flagrant_foul", "Flagrant foul", "Flagrant foul", _FOUL, "must", "must", "same", ("called_by",)
    ),
    CauseWords(
        "technical_foul", "Technical foul", "Technical foul", _FOUL, "may", "must", "", ("called_by",)
    ),
    CauseWords("double_foul", "Double foul", "Double foul", _FOUL, "may", "must", "same", ("pending",)),
    CauseWords(
        "made_last_free_throw",
        "Last free throw made",
        "Last free throw made",
        _SHOT,
        "no",
        "must",
        "other",
        ("pressure",),
    ),
    CauseWords("injury", "Injury", "Stopped for an injury", _STOP, "may", "must", "same", ("pending",)),
    CauseWords("game_start", "Game starts", "The game starts", _START, "no", "no"),
    CauseWords("extra_period_start", "Extra period starts", "The extra period starts", _START, "no", "no"),
    CauseWords(
        "change_of_control",
        "Ball changes hands",
        "The ball changes hands, no whistle",
        _STOP,
        "may",
        "must",
        "other",
    ),
)
BY_CAUSE: dict[str, CauseWords] = {words.cause: words for words in WORDS}
TILES: tuple[CauseWords, ...] = tuple(words for words in WORDS if words.key)
GROUPS: tuple[str, ...] = (_OUT, _FOUL, _SHOT, _STOP, _START)


def missing_words() -> tuple[str, ...]:
    """Return the causes the screen has no words for; a test keeps this empty.

    >>> missing_words()
    ()
    """
    return tuple(cause for cause in CAUSES if cause not in BY_CAUSE)
