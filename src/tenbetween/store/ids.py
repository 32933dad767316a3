"""Collision-free, time-ordered ids: 48 bits of milliseconds, then 80 bits of chance, as 26 letters and
digits.

Sorting the text sorts by time; inside one millisecond, or when the clock steps back, the next id is still the
greater one. Knows no clock and no dice: both are handed in.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from datetime import UTC, datetime

from tenbetween.errors import Problem, StoreError

Now = Callable[[], datetime]
"""Hands in the time; it must know its time zone."""
Entropy = Callable[[int], bytes]
"""Hands in so many bytes of chance."""

ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"
"""No i, l, o or u: they are misread aloud and on paper."""
LENGTH = 26
PATTERN = rf"^[0-7][{ALPHABET}]{{{LENGTH - 1}}}$"

_ID = re.compile(PATTERN)
_CHANCE_BITS = 80
_LARGEST_MS = (1 << 48) - 1


def is_id(text: str) -> bool:
    """Return whether the text has the form of an id.

    >>> is_id("0" * 26), is_id("o" * 26)
    (True, False)
    """
    return _ID.match(text) is not None and "\n" not in text


def id_text(milliseconds: int, chance: int) -> str:
    """Return the id of a moment (milliseconds since 1970) and a chance number under 2 to the 80.

    >>> id_text(1, 0)
    '00000000010000000000000000'
    """
    number = (milliseconds << _CHANCE_BITS) | chance
    return "".join(ALPHABET[(number >> shift) & 31] for shift in range(5 * (LENGTH - 1), -1, -5))


def id_parts(text: str) -> tuple[int, int]:
    """Return the milliseconds and the chance number of an id.

    >>> id_parts(id_text(1_700_000_000_000, 7))
    (1700000000000, 7)

    Raises:
        StoreError: the text is not an id.
    """
    if not is_id(text):
        raise StoreError(Problem("id", repr(text[:60]), f"{LENGTH} letters and digits", "copy the whole id"))
    number = 0
    for sign in text:
        number = number << 5 | ALPHABET.index(sign)
    return number >> _CHANCE_BITS, number & ((1 << _CHANCE_BITS) - 1)


def aware(moment: datetime) -> datetime:
    """Return the moment in universal time.

    >>> aware(datetime(2025, 1, 1, tzinfo=UTC)).year
    2025

    Raises:
        StoreError: the clock that was handed in names no time zone.
    """
    if moment.tzinfo is None:
        raise StoreError(
            Problem(
                "now", moment.isoformat(), "a time with its zone", "hand in a clock such as datetime.now(UTC)"
            )
        )
    return moment.astimezone(UTC)


def time_text(moment: datetime) -> str:
    """Return a moment as the store writes it: universal time to the millisecond.

    >>> time_text(datetime(2025, 1, 31, 22, 4, tzinfo=UTC))
    '2025-01-31T22:04:00.000Z'
    """
    return aware(moment).replace(tzinfo=None).isoformat(timespec="milliseconds") + "Z"


class IdMaker:
    """Makes one id after the other, each greater than the last one it made.

    >>> make = IdMaker(lambda: datetime(2025, 1, 1, tzinfo=UTC), lambda n: bytes(n))
    >>> make() < make() < make()
    True
    """

    def __init__(self, now: Now, entropy: Entropy) -> None:
        self._now, self._entropy = now, entropy
        self._last = (0, 0)
        self._turn = threading.Lock()

    def __call__(self) -> str:
        """Return the next id.

        Raises:
            StoreError: the clock has no time zone or stands before 1970.
        """
        moment = _milliseconds(aware(self._now()))
        with self._turn:
            self._last = self._after(moment)
            return id_text(*self._last)

    def _after(self, moment: int) -> tuple[int, int]:
        if moment > self._last[0]:
            return moment, int.from_bytes(self._entropy(_CHANCE_BITS // 8), "big")
        if self._last[1] + 1 < 1 << _CHANCE_BITS:
            return self._last[0], self._last[1] + 1
        return self._last[0] + 1, 0


def _milliseconds(moment: datetime) -> int:
    number = int(moment.timestamp() * 1000)
    if not 0 <= number <= _LARGEST_MS:
        raise StoreError(
            Problem("now", moment.isoformat(), "a time after 1970", "set the clock of this machine")
        )
    return number
