"""Cuts a typed line into what means something: words, lengths, points, dates, seasons, layers, settings.

Knows the shapes only; which words say what is in ``phrases``.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from tenbetween.notation.phrases import OPENED, SMALL_WORDS
from tenbetween.notation.seasons import edition_named

LAYER_ID = r"[a-z0-9]+(?:[.-][a-z0-9]+)*"
SETTING_NAME = r"[a-z][a-z0-9_]*"
SETTING_VALUE = r"[a-z0-9][a-z0-9_]*"
_NUMBER = r"\d+(?:\.\d+)?|\.\d+"


class Token(NamedTuple):
    """One thing on the line: its kind, its text, and the piece it stands in, counted from 1."""

    kind: str
    text: str
    piece: int


_SHAPES: tuple[tuple[str, str], ...] = (
    ("layer", rf"\+\s*(?:{LAYER_ID})(?![a-z0-9_=]|[.-][a-z0-9])"),
    ("layer", rf"(?:with|layers?)\s+(?!bonus|press|no\b|the\b)(?:{LAYER_ID})(?![a-z0-9_=]|[.-][a-z0-9])"),
    ("date", r"\d{4}-\d\d-\d\d(?![\d-])"),
    ("season", r"(?:\d{4}|\d\d)-(?:\d{4}|\d\d)(?![\d-])"),
    ("setting", rf"({SETTING_NAME})\s*=\s*({SETTING_VALUE})"),
    ("size", rf"(?:{_NUMBER})\s*(?:x|by)\s*(?:{_NUMBER})(?![a-z0-9])"),
    ("point", rf"[-+]?(?:{_NUMBER}),[-+]?(?:{_NUMBER})(?![\d.])"),
    ("ordinal", r"\d+(?:st|nd|rd|th)(?![a-z0-9])"),
    ("length", rf"(?:{_NUMBER})\s*(?:ft|feet|foot|')\s*(?:{_NUMBER})\s*(?:inches|inch|in|\")(?![a-z])"),
    ("length", rf"(?:{_NUMBER})\s*(?:m|metres|meters|cm)(?![a-z])"),
    ("number", rf"(?:{_NUMBER})"),
    ("word", r"[a-z][a-z0-9]*(?:[.'_-][a-z0-9]+)*"),
    ("cut", r"[/,;.]+"),
    ("space", r"[\s'\":()!?]+|-+"),
    ("odd", r"."),
)  # fmt: skip
_TOKEN = re.compile(
    "|".join(f"(?P<{kind}_{n}>{shape})" for n, (kind, shape) in enumerate(_SHAPES)), re.DOTALL
)
_SIGNS = str.maketrans(
    {"–": "-", "—": "-", "−": "-", "‑": "-", "’": "'", "′": "'", "″": '"', "×": "x", "\u00a0": " "}
)


def tokens(line: str) -> tuple[Token, ...]:
    """Return the things on a line in order, small words left out.

    >>> [t.text for t in tokens("us-hs-2025 + k-24 / right / out of bounds 58,0")]
    ['us-hs-2025', 'k-24', 'right', 'out', 'of', 'bounds', '58,0']
    """
    found: list[Token] = []
    piece = 1
    for match in _TOKEN.finditer(_mended(line)):
        kind = _shape(match)
        if kind == "cut":
            piece += 1
        elif kind != "space":
            found += _told(kind, match, piece)
    return tuple(found)


def _mended(line: str) -> str:
    """Return the line in small letters and plain signs; a plus an address made a blank is put back."""
    text = line.translate(_SIGNS).lower().strip().replace("u.s.", "us")
    head, slash, rest = text.partition(" /")
    names = re.split(r" {3}", head)
    if slash and len(names) > 1 and edition_named(names[0]):
        head = " + ".join(names)
    return head + slash + rest


def _shape(match: re.Match[str]) -> str:
    return next(name for name, text in match.groupdict().items() if text is not None).rsplit("_", 1)[0]


def _told(kind: str, match: re.Match[str], piece: int) -> list[Token]:
    text = match[0]
    if kind == "layer":
        return [Token("layer", re.split(r"[+\s]+", text)[-1], piece)]
    if kind == "word":
        return _words(text, piece)
    if kind == "ordinal":
        return [Token("word", text, piece)]
    if kind == "setting":
        return [Token("setting", re.sub(r"\s", "", text), piece)]
    return [Token(kind, text, piece)]


def _words(text: str, piece: int) -> list[Token]:
    """Return an edition id whole, any other word opened at its hyphens."""
    if edition_named(text) or text.startswith(("us-hs-", "fiba-")):
        return [Token("edition", text, piece)]
    opened = " ".join(OPENED.get(part, part) for part in re.split(r"[-_]", OPENED.get(text, text)))
    return [Token("word", part, piece) for part in opened.split() if part not in SMALL_WORDS]
