"""Films spoiled in the ways disks, cables and bad intent spoil them; all by one number, so that each can be made again."""

from __future__ import annotations

import random
from collections.abc import Callable

from film.filming import boxes

INSIDE = (b"moov", b"trak", b"mdia", b"minf", b"stbl", b"edts", b"moof", b"traf")


def cut_off(held: bytearray, dice: random.Random) -> bytearray:
    return held[: dice.randrange(1, len(held))]


def flipped(held: bytearray, dice: random.Random) -> bytearray:
    for _ in range(dice.choice((1, 3, 30, 300))):
        held[dice.randrange(len(held))] = dice.randrange(256)
    return held


def noughts(held: bytearray, dice: random.Random) -> bytearray:
    for _ in range(dice.choice((1, 4))):
        at, size = dice.randrange(len(held)), dice.choice((8, 200, 5000))
        held[at : at + size] = bytes(min(size, len(held) - at))
    return held


def taken_out(held: bytearray, dice: random.Random) -> bytearray:
    at = dice.randrange(len(held))
    del held[at : at + dice.choice((1, 7, 188, 4000))]
    return held


def said_twice(held: bytearray, dice: random.Random) -> bytearray:
    at, to = dice.randrange(len(held)), dice.randrange(len(held))
    part = held[at : at + dice.choice((16, 400, 9000))]
    held[to:to] = part
    return held


def places(held: bytes, at: int = 0, end: int | None = None) -> list[tuple[int, int]]:
    """Return where the boxes of an mp4 lie, those inside others too."""
    found: list[tuple[int, int]] = []
    for name, begins, ends in boxes(held[at:end]):
        found.append((at + begins, at + ends))
        if name in INSIDE:
            found += places(held, at + begins + 8, at + ends)
    return found


def boxes_swapped(held: bytearray, dice: random.Random) -> bytearray:
    known = places(bytes(held))
    if len(known) < 2:
        return flipped(held, dice)
    (a, b), (c, d) = sorted(dice.sample(known, 2))
    if b > c:
        return held
    return held[:a] + held[c:d] + held[b:c] + held[a:b] + held[d:]


def box_lies(held: bytearray, dice: random.Random) -> bytearray:
    """Have a box tell a length or a count that is not so."""
    known = places(bytes(held))
    if not known:
        return flipped(held, dice)
    at = dice.choice(known)[0] + dice.choice((0, 0, 12, 16, 20, 24))
    held[at : at + 4] = dice.choice((0, 1, 7, 2**31 - 1, 2**31, 2**32 - 1, dice.randrange(2**32))).to_bytes(
        4, "big"
    )
    return held


WAYS: tuple[Callable[[bytearray, random.Random], bytearray], ...] = (
    cut_off, flipped, noughts, taken_out, said_twice, boxes_swapped, box_lies, box_lies,
)  # fmt: skip


def spoiled(held: bytes, number: int) -> bytes:
    """Return a film spoiled in one to three ways, the same for the same number."""
    dice = random.Random(number)
    made = bytearray(held)
    for _ in range(dice.choice((1, 1, 2, 3))):
        made = dice.choice(WAYS)(made, dice)
        if not made:
            made = bytearray(b"\0")
    return bytes(made)
