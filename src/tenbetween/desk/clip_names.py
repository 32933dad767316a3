"""What looks like somebody's name or a player's number in words that are to leave: found by how it is written.

Finds no name for certain and misses some: whoever hands a clip on looks himself. Knows no list of first names.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

WORD = re.compile(r"[^\W\d_]+(?:['’‘\-][^\W\d_]+)*")
NUMBER = re.compile(
    r"(?:#\s?|\b(?:no\.?|nr\.?|number|player|jersey|shirt|kid|boy|girl|guard|forward)\s?#?)\d{1,2}\b",
    re.IGNORECASE,
)
OF_TEAM = re.compile(
    r"\b(?:white|dark)\s#?\d{1,2}\b(?!\s?(?:s|sec|second|seconds|point|points|ft|feet|shot|shots|free|times)\b)",
    re.IGNORECASE,
)
_USUAL = """
    a about across after again all also alternating an and are arrow as at away back backcourt ball ball-side
    basket be before behind bench between beyond black blue board bonus both bounce break by call called calls came card
    change chop clear clip clock close closed coach colour corner count court crew cross dark dead delay direction
    disposal division do does don't drop each eight end event every exact eyes fast first five flow foul four free
    free-throw from front frontcourt full game give gives goal good half hand handed hands he held help her here high
    hold holds how i if in inside into is it its jump just keep lane last late lead lead's left let line
    live long look looks low mark marks match moment more move moves next no not note now number of off
    official officials on one open opposite other out out-of-bounds over partner pass period place places play played
    plays point pointers praise press pressure primary put quarter reads rebound reel referee release restart
    returns right role same score second see seen she shot show shows side sideline signal signals six slow someone
    spot stand stands start stays step steps stop stopped stops switch table take taken takes talk team ten the their
    then there they third this three throw throw-in time timeout to touch trail trail's trailing transition try turn
    turns twelve two umpire under up violation visible wait waits walks was watch we well were what when where which
    whistle white who why wide with without work works wrong yes you your
"""
USUAL = frozenset(_USUAL.split())
"""Words of the trade and everyday ones: a capital at the beginning of a sentence makes no name of them."""


def names_found(text: str, known: Sequence[str]) -> list[str]:
    """Return what looks like a name or a player's number in a text, each once.

    >>> names_found("Dara at the end line; number 23 and Mo Quill wait", ["Dara Whitlock", "Dara"])
    ['Dara', 'number 23', 'Mo Quill']
    >>> names_found("Zoë Müller to MARCUS HILL, then O’Neil; player 5", [])
    ['Zoë Müller', 'MARCUS HILL', 'O’Neil', 'player 5']
    >>> names_found("Disposal by hand. Throw-in at the end line", [])
    []
    """
    found = [name for name in known if name and _is_in(name, text)]
    found += [one.group() for form in (NUMBER, OF_TEAM) for one in form.finditer(text)]
    found += _capitals(text)
    folded = [one.casefold() for one in found]
    kept = [
        one
        for one in found
        if not any(one.casefold() != other and one.casefold() in other for other in folded)
    ]
    once = list({one.casefold(): one for one in reversed(kept)}.values())
    return sorted(once, key=lambda one: text.casefold().find(one.casefold()))


def _is_in(name: str, text: str) -> bool:
    """Return whether a name stands in a text as it is written or all in capitals: "will" is not Will."""
    either = f"{re.escape(name)}|{re.escape(name.upper())}"
    return re.search(rf"(?<!\w)(?:{either})(?!\w)", text) is not None


def _capitals(text: str) -> Iterator[str]:
    """Yield words in a row that begin with a capital and are no usual ones."""
    row: list[re.Match[str]] = []
    for one in WORD.finditer(text):
        if (row and text[row[-1].end() : one.start()] not in (" ", ". ")) or not _may_be_a_name(one.group()):
            yield from _together(text, row)
            row = []
        if _may_be_a_name(one.group()):
            row.append(one)
    yield from _together(text, row)


def _may_be_a_name(word: str) -> bool:
    return word[0].isupper() and word.casefold().replace("’", "'") not in USUAL


def _together(text: str, row: Sequence[re.Match[str]]) -> Iterator[str]:
    if row:
        yield text[row[0].start() : row[-1].end()]
