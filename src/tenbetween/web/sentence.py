"""The sentence with blanks: what it reads, which parts can be set, and the address each choice leads to.

Every choice is a plain link, so the screen works without scripts; keys and taps only follow these links.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any
from urllib.parse import parse_qsl

from msgspec import Struct
from msgspec.structs import replace

from tenbetween.web.causes import TILES, WORDS, CauseWords
from tenbetween.web.draft import TEAMS, Draft, emptied, other_team, to_query
from tenbetween.web.places import LINES, Floor, from_line, line_of, place_words
from tenbetween.web.workbench import EditionChoice, LayerChoice, Start

BLANK = {"at": "where?", "cause": "what stopped play?", "ball": "whose ball?"}


class Choice(Struct, frozen=True):
    """One thing a part can be set to, and the address that sets it."""

    label: str
    href: str
    key: str = ""
    small: str = ""
    current: bool = False
    group: str = ""


class Part(Struct, frozen=True):
    """A piece of the sentence: plain text, or (with a name) something that can be set."""

    text: str
    name: str = ""
    state: str = ""
    """``filled``, ``open``, or ``now`` for the blank that is asked first."""
    choices: tuple[Choice, ...] = ()
    kind: str = "list"
    """``list``, ``tiles`` for the causes, ``place`` for the form of a place, ``many`` for layers."""
    title: str = ""


class PlaceForm(Struct, frozen=True):
    """The place as a form: a line with feet, or two distances inside; works without scripts."""

    lines: tuple[str, ...]
    line: str
    ft: str
    x: str
    y: str
    keep: tuple[tuple[str, str], ...]


def situation_parts(draft: Draft, floor: Floor) -> tuple[Part, ...]:
    """Return the sentence of a draft in order.

    >>> "".join(part.text for part in situation_parts(Draft(cause="held_ball", at=(70, 12)), Floor()))[:38]
    'White attacks right. Held ball 14 ft f'
    """
    return tuple(_parts(draft, floor))


def as_text(parts: Sequence[Part]) -> str:
    """Return the sentence as plain text, to be spoken or put in a title."""
    return "".join(part.text for part in parts)


def _parts(draft: Draft, floor: Floor) -> Iterator[Part]:
    words = draft.words
    now = next(iter(draft.open_blanks()), "")
    yield _team_part(draft)
    yield Part(" attacks ")
    yield _attacks_part(draft)
    yield Part(". ")
    yield _cause_part(draft, floor, now)
    if words is None or words.at != "no":
        yield Part(" at " if draft.at is None or line_of(draft.at, floor) else " ")
        yield _place_part(draft, floor, now)
    yield from _follow_parts(draft, floor)
    if words is None or words.ball != "no":
        yield Part(". ")
        yield _ball_part(draft, now)
    yield from _crew_parts(draft)


def _crew_parts(draft: Draft) -> Iterator[Part]:
    yield Part(". Lead was on the ")
    yield _pick(
        draft,
        "lead",
        {"table": "table side", "opposite": "opposite side"},
        draft.lead,
        "Where the lead was",
        keys={_other(("table", "opposite"), draft.lead): "s"},
    )
    yield Part(", the ")
    yield _pick(
        draft,
        "lead_is",
        {"referee": "Referee", "umpire": "Umpire"},
        draft.lead_is,
        "Who was lead",
        keys={_other(("referee", "umpire"), draft.lead_is): "u"},
    )
    yield Part(".")


def _other(pair: tuple[str, str], one: str) -> str:
    return pair[1] if one == pair[0] else pair[0]


def _pick(
    draft: Draft,
    field: str,
    labels: dict[str, str],
    current: str,
    title: str,
    keys: dict[str, str] | None = None,
    empty: str = "",
) -> Part:
    """Return a part that is one of a few words."""
    choices = tuple(
        Choice(label, to_query(draft, **{field: value}), (keys or {}).get(value, ""), "", value == current)
        for value, label in labels.items()
    )
    return Part(labels.get(current, empty), field, "filled", choices, title=title)


def _team_part(draft: Draft) -> Part:
    """Return the colour of the attacking team; whose ball it is stays with the same colour."""
    flipped = {"same": "other", "other": "same", "": ""}[draft.ball]
    choices = tuple(
        Choice(team, to_query(draft, team=team, ball=draft.ball if team == draft.team else flipped), "", "",
               team == draft.team)
        for team in TEAMS
    )  # fmt: skip
    return Part(draft.team, "team", "filled", choices, title="Which team attacked")


def _attacks_part(draft: Draft) -> Part:
    keys = {"left": "[", "right": "]"}
    return _pick(draft, "attacks", {"left": "left", "right": "right"}, draft.attacks, "Which basket", keys)


def cause_text(draft: Draft) -> str:
    """Return what stopped play, with the team the ball came off once it is known.

    >>> cause_text(Draft(cause="out_of_bounds", ball="same"))
    'Ball out of bounds off Dark'
    """
    words = draft.words
    if words is None:
        return BLANK["cause"]
    off = f" off {other_team(draft.to_team)}" if draft.to_team else ""
    return words.says.format(off=off)


def cause_choices(draft: Draft, floor: Floor, *, tiles_only: bool = False) -> tuple[Choice, ...]:
    """Return every cause, or only those with a tile."""
    return tuple(_cause_choice(draft, floor, words) for words in (TILES if tiles_only else WORDS))


def _cause_choice(draft: Draft, floor: Floor, words: CauseWords) -> Choice:
    changed = to_query(draft, cause=words.cause, ball=_ball_for(draft, words))
    return Choice(words.tile, changed, words.key, words.hint, words.cause == draft.cause, words.group)


def _ball_for(draft: Draft, words: CauseWords) -> str:
    """Keep the team he chose, unless the old cause had filled it in by itself."""
    was = draft.words
    filled_in = was is not None and draft.ball == was.usual_ball
    return "" if filled_in else draft.ball


def _cause_part(draft: Draft, floor: Floor, now: str) -> Part:
    state = "filled" if draft.cause else ("now" if now == "cause" else "open")
    choices = cause_choices(draft, floor)
    return Part(cause_text(draft), "cause", state, choices, "tiles", "What stopped play")


def _place_part(draft: Draft, floor: Floor, now: str) -> Part:
    optional = draft.words is not None and draft.words.at == "may"
    if draft.at is not None:
        return Part(place_words(draft.at, floor), "at", "filled", (), "place", "Where")
    text = "place not needed" if optional else BLANK["at"]
    return Part(text, "at", "now" if now == "at" else "open", (), "place", "Where")


def ball_text(draft: Draft) -> str:
    """Return whose ball it is, said from the attacking team.

    >>> ball_text(Draft(cause="violation", ball="other"))
    'Dark gets it'
    """
    if not draft.ball:
        return BLANK["ball"]
    return f"{draft.to_team} {'keeps it' if draft.ball == 'same' else 'gets it'}"


def _ball_part(draft: Draft, now: str) -> Part:
    state = "filled" if draft.ball else ("now" if now == "ball" else "open")
    return Part(ball_text(draft), "ball", state, ball_choices(draft), title="Whose ball")


def ball_choices(draft: Draft) -> tuple[Choice, ...]:
    """Return White's ball and Dark's ball, in that order, by the keys W and D."""
    sides = {team: "same" if team == draft.team else "other" for team in TEAMS}
    return tuple(
        Choice(
            f"{team} {'keeps it' if side == 'same' else 'gets it'}",
            to_query(draft, ball=side),
            team[0].lower(),
            "",
            side == draft.ball,
        )
        for team, side in sides.items()
    )


def _follow_parts(draft: Draft, floor: Floor) -> Iterator[Part]:
    words = draft.words
    for name in words.follow if words else ():
        if name != "pressure" or draft.pressure or in_back_court(draft, floor):
            yield from _FOLLOW[name](draft)


def in_back_court(draft: Draft, floor: Floor) -> bool:
    """Return whether the ball comes in far from the basket its team attacks; after a goal it always does.

    >>> in_back_court(Draft(cause="out_of_bounds", at=(58, 0), ball="other"), Floor())
    True
    """
    if draft.at is None:
        return draft.words is not None and draft.words.at == "no"
    goes_right = (draft.attacks == "right") == (draft.ball != "other")
    return (draft.at[0] < floor.length / 2) == goes_right


def _called_by(draft: Draft) -> Iterator[Part]:
    yield Part(", called by the ")
    labels = {"": "lead or trail", "lead": "lead", "trail": "trail"}
    yield _pick(draft, "called", labels, draft.called, "Who called it")


def _bonus(draft: Draft) -> Iterator[Part]:
    yield Part(", ")
    yield _yes_no(draft, "bonus", "before the bonus", "in the bonus", "Team fouls")


def _pending(draft: Draft) -> Iterator[Part]:
    yield Part(", ")
    labels = {
        "": "no throw-in pending",
        "spot": "a spot throw-in pending",
        "run_end_line": "a throw-in that may run pending",
    }
    yield _pick(draft, "pending", labels, draft.pending, "Was a throw-in due or under way")


def _pressure(draft: Draft) -> Iterator[Part]:
    yield Part(", ")
    yield _yes_no(
        draft, "pressure", "no pressure", "under pressure", "Defenders on the throw-in in the back court"
    )


def _yes_no(draft: Draft, field: str, no: str, yes: str, title: str) -> Part:
    value = bool(getattr(draft, field))
    choices = tuple(
        Choice(label, to_query(draft, **{field: flag}), "", "", flag == value)
        for label, flag in ((no, False), (yes, True))
    )
    return Part(yes if value else no, field, "filled", choices, title=title)


_FOLLOW = {"called_by": _called_by, "bonus": _bonus, "pending": _pending, "pressure": _pressure}


# -- place, edition and layers -----------------------------------------------------------------------


def place_form(draft: Draft, floor: Floor) -> PlaceForm:
    """Return the form that names a place, filled with the place as it is."""
    at = draft.at
    line = line_of(at, floor) if at else "table sideline"
    along = at and (at[0] if line in LINES[:2] else at[1])
    return PlaceForm(
        lines=(*LINES, "inside"),
        line=line or "inside",
        ft=f"{along:g}" if at and line else "",
        x=f"{at[0]:g}" if at else "",
        y=f"{at[1]:g}" if at else "",
        keep=query_pairs(draft, at=None),
    )


def query_pairs(draft: Draft, **changes: Any) -> tuple[tuple[str, str], ...]:
    """Return the address of a draft as names and values, for the hidden fields of a form."""
    return tuple(parse_qsl(to_query(draft, **changes)[1:]))


def place_from_form(form: dict[str, str], floor: Floor) -> str:
    """Return the ``at`` of a filled place form, empty when its numbers are none.

    >>> place_from_form({"side": "table sideline", "ft": "58"}, Floor())
    '58,0'
    """
    try:
        if form.get("side") in LINES:
            x, y = from_line(form["side"], float(form.get("ft", "")), floor)
        else:
            x, y = float(form.get("x", "")), float(form.get("y", ""))
    except ValueError:
        return ""
    return f"{x:g},{y:g}"


def basis_parts(draft: Draft, start: Start) -> tuple[Part, ...]:
    """Return "By [edition] with [layers]", both of which can be set."""
    shown = resolved(draft, start)
    chosen = next((one for one in start["editions"] if one["id"] == shown.edition), None)
    edition = Part(
        chosen["title"] if chosen else shown.edition or "no edition",
        "edition",
        "filled",
        tuple(_edition_choice(shown, one) for one in start["editions"]),
        title="Which edition",
    )
    return (Part("By "), edition, Part(" with "), _layers_part(shown, start))


def resolved(draft: Draft, start: Start) -> Draft:
    """Return the draft with the edition in force and the layers always used, where he named none."""
    layers = tuple(start["layers"]) if draft.layers is None else draft.layers
    return replace(draft, edition=draft.edition or start["edition"], layers=layers)


def _edition_choice(draft: Draft, edition: EditionChoice) -> Choice:
    href = to_query(draft, edition=edition["id"])
    return Choice(edition["title"], href, "", "", edition["id"] == draft.edition)


def _layers_part(draft: Draft, start: Start) -> Part:
    titles = {one["id"]: one["title"] for one in start["layer_choices"]}
    chosen = draft.layers or ()
    used = [titles.get(layer, layer) for layer in chosen]
    choices = tuple(_layer_choice(draft, one) for one in start["layer_choices"])
    text = " and ".join(used) if used else "no state changes yet" if not choices else "no changes"
    return Part(
        text, "layers", "filled" if used else "open", choices, "many", "State, association and own changes"
    )


def _layer_choice(draft: Draft, layer: LayerChoice) -> Choice:
    chosen = draft.layers or ()
    used = layer["id"] in chosen
    others = tuple(one for one in chosen if one != layer["id"])
    layers = others if used else (*chosen, layer["id"])
    small = f"{layer['authority']}, entered {layer['entered']}" if layer["entered"] else layer["authority"]
    return Choice(layer["title"], to_query(draft, layers=layers), "", small, used)


def tap_addresses(draft: Draft, floor: Floor) -> dict[str, str]:
    """Return the addresses a tap completes: ``at`` goes last, so that a script only appends the place."""
    out = to_query(draft, at=None, cause=draft.cause or "out_of_bounds")
    plain = to_query(draft, at=None)
    return {"tap": _with_at(plain), "out": _with_at(out), "empty": to_query(emptied(draft))}


def _with_at(query: str) -> str:
    return f"{query}&at=" if len(query) > 1 else "?at="
