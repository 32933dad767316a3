"""Names of the floor's marks as a trainer says them, and in which order they are worth clicking.

Knows the names of ``court`` and no picture.
"""

from __future__ import annotations

from tenbetween.court import Court, not_painted
from tenbetween.film.clicks import lines_of, places_of, rounds_of

PARTS = {
    "28_ft_spot": "28-ft mark", "arc_corner": "three-point line at the end line", "arc_joint": "start of the arc",
    "arc_top": "top of the arc", "arc_straight": "straight part of the three-point line", "corner": "corner",
    "elbow": "elbow", "lane_corner": "lane corner at the end line", "lane_line": "lane line", "basket": "basket (ring)",
    "free_throw_line_middle": "middle of the free-throw line", "free_throw_semicircle_top": "top of the free-throw circle",
    "free_throw_semicircle": "free-throw circle", "free_throw_line": "free-throw line", "end_line": "end line",
    "arc": "three-point arc", "28_ft_mark": "28-ft mark",
}  # fmt: skip
WHOLE = {
    "centre_circle": "centre circle", "division_line": "division line", "table_sideline": "table sideline",
    "opposite_sideline": "opposite sideline", "division_line_table": "division line at the table sideline",
    "division_line_opposite": "division line at the opposite sideline",
    "centre_circle_left": "centre circle, left edge", "centre_circle_right": "centre circle, right edge",
    "centre_circle_table": "centre circle, table edge", "centre_circle_opposite": "centre circle, opposite edge",
}  # fmt: skip
FIRST = (
    "division_line_table", "{end}_table_corner", "{end}_opposite_corner", "division_line_opposite", "{end}_table_elbow",
    "{end}_opposite_elbow", "{end}_table_lane_corner", "{end}_opposite_lane_corner", "{end}_arc_top",
)  # fmt: skip
"""Wide apart first: with these a camera is known soonest when they are in the picture."""


def words_of(name: str) -> str:
    """Return a mark's name in words.

    >>> words_of("right_opposite_elbow"), words_of("division_line")
    ('elbow, right end, opposite side', 'division line')
    """
    if name in WHOLE:
        return WHOLE[name]
    end, _, rest = name.partition("_")
    side, _, part = rest.partition("_")
    if side in ("table", "opposite"):
        return f"{PARTS.get(part, part.replace('_', ' '))}, {end} end, {side} side"
    return f"{PARTS.get(rest, rest.replace('_', ' '))}, {end} end"


def clickable(court: Court) -> dict[str, str]:
    """Return every mark that can be clicked, by name: ``landmark`` or ``line``; nothing that nobody can see.

    >>> from tenbetween.court import court_of
    >>> found = clickable(court_of("us-hs"))
    >>> found["right_basket"], found["table_sideline"], "centre" in found
    ('landmark', 'line', False)
    """
    hidden = {name for name in not_painted(court) if not name.endswith("_basket")}
    found = {
        name: "landmark" for name in places_of(court) if name not in hidden and "end_line_spot" not in name
    }
    straight = {name: "line" for name in lines_of(court) if not name.endswith(("_mark", "_edge", "_box"))}
    return found | straight | dict.fromkeys(rounds_of(court), "line")


def groups(court: Court) -> list[dict[str, object]]:
    """Return what can be clicked for a list: groups by end, places before lines, each with its words."""
    all_of = clickable(court)
    found: list[dict[str, object]] = []
    for end, title in (("right", "Right end"), ("left", "Left end"), ("", "Middle and sidelines")):
        names = [name for name in all_of if _end(name) == end]
        names.sort(key=lambda name: (all_of[name] == "line", words_of(name)))
        rows = [{"name": name, "words": words_of(name), "kind": all_of[name]} for name in names]
        found.append({"title": title, "rows": rows})
    return found


def _end(name: str) -> str:
    head = name.split("_", maxsplit=1)[0]
    return head if head in ("left", "right") else ""


def first_names(court: Court, end: str) -> tuple[str, ...]:
    """Return the landmarks to ask for while no camera is known yet, for the end the picture shows."""
    all_of = clickable(court)
    return tuple(name for one in FIRST if (name := one.format(end=end)) in all_of)
