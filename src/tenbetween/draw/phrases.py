"""Small phrases a ruling is said with: lines, places, persons, distances. Trade words only.

Knows what the words of the book mean on the floor; builds no whole sentence (see ``words``).
"""

from __future__ import annotations

from tenbetween.book import edition_head
from tenbetween.court import PLACE_WORDS, Court, court_of
from tenbetween.situation import Basket, PointUm, Post, Role, Ruling, Situation, TableSide
from tenbetween.units import METRE, feet, ft_text

Teams = tuple[str, str]
TEAMS: Teams = ("White", "Dark")
"""The team that had the ball when play stopped, and its opponents, until the trainer says other colours."""

SIDES: dict[str, str] = {"table": "table side", "opposite": "opposite side"}
LINE_NAMES = {
    "frontcourt_end_line": "front-court end line",
    "backcourt_end_line": "back-court end line",
    "table_sideline": "table sideline",
    "opposite_sideline": "opposite sideline",
    "division_line": "division line",
}
DIVIDING_WORDS = {
    "arc": "three-point arc",
    "corner_to_elbow": "line from corner to elbow",
    "corner_to_elbow_over_circle": "line from corner to elbow over the semicircle",
    "free_throw_line_extended": "free-throw line extended",
    "division_line": "division line",
    "division": "division line",
    "middle": "middle of the court",
}
CAUSE_WORDS: dict[str, str] = {
    "out_of_bounds": "ball out of bounds",
    "violation": "violation",
    "throw_in_violation": "throw-in violation",
    "plane_warning": "defender over the plane of the line",
    "wrong_team": "ball given to the wrong team",
    "common_foul": "common foul",
    "player_control_foul": "player-control foul",
    "team_control_foul": "team-control foul",
    "shooting_foul": "shooting foul",
    "intentional_foul": "intentional foul",
    "flagrant_foul": "flagrant foul",
    "technical_foul": "technical foul",
    "double_foul": "double foul",
    "held_ball": "held ball",
    "made_goal": "goal",
    "made_last_free_throw": "last free throw made",
    "time_out": "time-out",
    "inadvertent_whistle": "inadvertent whistle",
    "injury": "injury",
    "period_start": "quarter starts",
    "game_start": "game starts",
    "extra_period_start": "extra period starts",
    "change_of_control": "ball changes hands, play goes on",
}
PART_WORDS = {
    "restart": "what follows",
    "spot": "the spot",
    "may_run_end_line": "the right to run the end line",
    "roles_after": "who is lead and who is trail",
    "administers": "who gives the ball",
    "attacking_after": "which team it is for",
    "switch": "whether you switch",
    "lines.sidelines": "whose sideline is whose",
    "lead_side_after": "the lead's side",
    "delivery": "how the ball is given",
    "stands": "where he stands to the thrower",
    "count": "the count",
    "clock_starts": "when the clock starts",
    "chop": "who chops",
    "lines": "whose line is whose",
    "watches": "who watches whom",
    "places": "where both stand",
    "waiting": "where both wait",
    "steps": "the steps",
}
GIVES = {"hand": "hands it", "bounce": "bounces it", "toss": "tosses it"}
SHORT_PLACES = {
    "lead_end_line": "behind the {end} end line",
    "trail_28": "by the 28-ft mark",
    "trail_behind_ball": "behind the ball",
    "division_line_holding": "by the division line, against the press",
    "near_basket_trail": "near the {end} end line",
    "free_throw_lead": "off the end line, about 4 ft outside the lane",
    "free_throw_trail": "just behind the free-throw line extended",
    "free_throw_alone": "alone at the free-throw line",
    "by_the_benches": "by the division line, facing the benches",
}


def court_for(situation: Situation) -> Court:
    """Return the court a situation is played on.

    >>> court_for(Situation(edition="us-hs-2025", attacking="left", stopped_by="injury")).kind
    'us-hs'

    Raises:
        BookError: no such edition.
    """
    return court_of(edition_head(situation.edition).court, situation.floor)


def part_words(part: str) -> str:
    """Return the name of a part of an answer in words.

    >>> part_words("roles_after")
    'who is lead and who is trail'
    """
    return PART_WORDS.get(part, part.replace("_", " "))


def long_text(court: Court, micrometres: int) -> str:
    """Return a length in the unit of the court: feet and inches, or metres under FIBA.

    >>> from tenbetween.units import um
    >>> long_text(court_of("us-hs"), um("26 ft")), long_text(court_of("fiba"), um("8.325 m"))
    ('26 ft', '8.33 m')
    """
    if court.kind != "fiba":
        return ft_text(micrometres)
    return f"{round(micrometres / METRE + 1e-9, 2):.2f}".rstrip("0").rstrip(".") + " m"


def from_end(court: Court, x: int) -> int:
    """Return how far a point is from the nearer end line.

    >>> from_end(court_of("us-hs"), 0)
    0
    """
    return min(x, court.length - x)


def end_at(court: Court, x: int) -> Basket:
    """Return the nearer end of a point; the middle counts to the left.

    >>> end_at(court_of("us-hs"), 0)
    'left'
    """
    return "left" if 2 * x <= court.length else "right"


def side_at(court: Court, at: PointUm) -> TableSide:
    """Return the nearer sideline of a point; the middle counts to the table.

    >>> side_at(court_of("us-hs"), (0, 0))
    'table'
    """
    return "table" if at[1] <= court.axis else "opposite"


def end_line_words(court: Court, attacking: Basket | None, end: Basket) -> str:
    """Return which end line, seen by the team throwing in.

    >>> end_line_words(court_of("us-hs"), "left", "right")
    'back-court end line'
    """
    if attacking is None:
        return f"{end} end line"
    return f"{'front' if end == attacking else 'back'}-court end line"


def place_words(court: Court, at: PointUm, attacking: Basket | None) -> str:
    """Return where a spot on a boundary is, as it is said aloud.

    >>> from tenbetween.units import um
    >>> place_words(court_of("us-hs"), (um("58 ft"), 0), "right")
    'at the table sideline, 26 ft from the end line'
    """
    x, y = at
    side = "table" if y == 0 else "opposite"
    if y in (0, court.width):
        if x in court.division_lines:
            return f"at the division line, on the {side} sideline"
        far = from_end(court, x)
        mark = "at the 28-ft mark on" if far == court.mark_28 else "at"
        where = "" if far == court.mark_28 else f", {long_text(court, far)} from the end line"
        return f"{mark} the {side} sideline{where}"
    line = end_line_words(court, attacking, end_at(court, x))
    near = min(y, court.width - y)
    return f"on the {line}, {long_text(court, near)} from the {side_at(court, at)} sideline"


def inside_words(court: Court, at: PointUm) -> str:
    """Return where something happened: on a line as above, inside by two distances.

    >>> from tenbetween.units import um
    >>> inside_words(court_of("us-hs"), (um("10 ft"), um("12 ft")))
    '10 ft from the left end line, 12 ft from the table sideline'
    """
    x, y = at
    side = side_at(court, at)
    if y in (0, court.width):
        return f"{side} sideline, {long_text(court, from_end(court, x))} from the {end_at(court, x)} end line"
    across = f"{long_text(court, min(y, court.width - y))} from the {side} sideline"
    if x in (0, court.length):
        return f"{end_at(court, x)} end line, {across}"
    return f"{long_text(court, from_end(court, x))} from the {end_at(court, x)} end line, {across}"


def old_name(was: Role, now: Role | None) -> str:
    """Return how an official is called who had a role and may have another now.

    >>> old_name("lead", "trail"), old_name("lead", "lead")
    ('old lead', 'lead')
    """
    return was if was == now else f"old {was}"


def post_words(post: Post, court: Court) -> str:
    """Return where a post is, short where we have a short phrase for it.

    >>> post_words(Post("lead_end_line", (88.5, 40.0), ()), court_of("us-hs"))
    'behind the right end line'
    """
    phrase = SHORT_PLACES.get(post.name, PLACE_WORDS.get(post.name, post.name.replace("_", " ")))
    if court.kind == "fiba" and post.name == "trail_28":
        phrase = "along the sideline, level with the throw-in line"
    return phrase.format(end="left" if post.at[0] < feet(court.length) / 2 else "right")


def team_with_ball(ruling: Ruling, teams: Teams = TEAMS) -> str:
    """Return the colour of the team that puts the ball in play.

    >>> had = Situation(edition="e", attacking="left", stopped_by="violation", ball_to="other")
    >>> team_with_ball(Ruling(situation=had, restart="throw_in"))
    'Dark'
    """
    s = ruling.situation
    other = s.ball_to == "other" or (ruling.attacking_after not in (None, s.attacking))
    return teams[1 if other else 0]


def sentence_of(text: str) -> str:
    """Return a phrase as a sentence: capital first, full stop last.

    >>> sentence_of("the lead hands it")
    'The lead hands it.'
    """
    text = text.strip()
    return text if not text else text[0].upper() + text[1:].rstrip(".") + "."


def listed(names: tuple[str, ...] | list[str]) -> str:
    """Return names as a list in words.

    >>> listed(("end line", "table sideline", "division line"))
    'end line, table sideline and division line'
    """
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""
