"""What encoders and cameras write between the pictures, taken out: names, versions, days, clocks, places.

Knows the framing of H.264 and HEVC (ITU-T H.264 7.3.1 and annex B, H.265 7.3.1; the boxes of ISO/IEC 14496-15) and
the messages between pictures (SEI). What a player needs to begin at a picture, and what tells its colours, stays.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tenbetween.film.write import film_parts

KEPT = {"h264": frozenset({6, 47, 137, 144, 147}), "hevc": frozenset({6, 47, 129, 137, 144, 147})}
"""Messages that stay: where decoding may begin, how the picture is turned, which sets are in use, colours."""
START = b"\0\0\1"
LONGEST = 1 << 20


class Cleaner:
    """Takes the signatures out of the packets of one stream.

    ``head`` is what stands before all packets (its extradata); it says how the parts of a packet are framed.
    """

    def __init__(self, codec: str, head: bytes | None) -> None:
        self._codec = codec if codec in KEPT else ""
        self._width = _width(codec, head or b"")

    def packet(self, packet: Any) -> Any:
        """Return the packet, or one like it without signatures."""
        if not self._codec:
            return packet
        held = bytes(packet)
        clean = _joined(self._codec, held, self._width)
        if clean is None or not clean:
            return packet
        made = film_parts().Packet(clean)
        made.pts, made.dts, made.duration = packet.pts, packet.dts, packet.duration
        made.time_base, made.is_keyframe = packet.time_base, packet.is_keyframe
        return made


def clean_head(codec: str, head: bytes | None) -> bytes | None:
    """Return what stands before all packets without signatures, or nothing if there are none in it."""
    if not head or codec not in KEPT:
        return None
    if codec == "hevc" and head[:1] == b"\1":
        return _clean_hvcc(head)
    return _joined(codec, head, 0) if head[:3] == START or head[:4] == b"\0" + START else None


def _width(codec: str, head: bytes) -> int:
    """Return how many bytes tell the length of a part, or 0 when start codes part them."""
    if codec == "h264" and head[:1] == b"\1" and len(head) > 4:
        return (head[4] & 3) + 1
    if codec == "hevc" and head[:1] == b"\1" and len(head) > 21:
        return (head[21] & 3) + 1
    return 0


def _joined(codec: str, held: bytes, width: int) -> bytes | None:
    """Return framed parts without their signatures; ``None`` if there is nothing to take out."""
    parts = list(_by_length(held, width) if width else _by_start(held))
    if not any(_is_sei(codec, part) for part in parts):
        return None
    kept = [one for one in (_clean(codec, part) for part in parts) if one]
    if width:
        return b"".join(len(part).to_bytes(width, "big") + part for part in kept)
    return b"".join(b"\0" + START + part for part in kept)


def _by_length(held: bytes, width: int) -> Iterator[bytes]:
    at = 0
    while at + width <= len(held):
        size = int.from_bytes(held[at : at + width], "big")
        yield held[at + width : at + width + size]
        at += width + size


def _by_start(held: bytes) -> Iterator[bytes]:
    at = held.find(START)
    while at >= 0:
        after = held.find(START, at + 3)
        part = held[at + 3 : after if after >= 0 else len(held)]
        yield part.rstrip(b"\0") if after >= 0 else part
        at = after


def _is_sei(codec: str, part: bytes) -> bool:
    if not part:
        return False
    return part[0] & 31 == 6 if codec == "h264" else part[0] >> 1 & 63 in {39, 40}


def _clean(codec: str, part: bytes) -> bytes:
    """Return a part as it is, or its messages that stay, or nothing."""
    if not _is_sei(codec, part):
        return part
    begins = 1 if codec == "h264" else 2
    plain = part[begins:].replace(b"\0\0\3", b"\0\0")
    kept = b"".join(whole for kind, whole in _messages(plain) if kind in KEPT[codec])
    return part[:begins] + _escaped(kept + b"\x80") if kept else b""


def _messages(plain: bytes) -> Iterator[tuple[int, bytes]]:
    at = 0
    while at + 2 <= len(plain) and plain[at:] != b"\x80":
        begins = at
        numbers = []
        for _ in range(2):
            number = 0
            while at < len(plain) and plain[at] == 255:
                number, at = number + 255, at + 1
            if at >= len(plain):
                return
            numbers.append(number + plain[at])
            at += 1
        kind, size = numbers
        if size > LONGEST or at + size > len(plain):
            return
        yield kind, plain[begins : at + size]
        at += size


def _escaped(plain: bytes) -> bytes:
    """Return bytes in which no start code can be seen."""
    made, noughts = bytearray(), 0
    for one in plain:
        if noughts >= 2 and one <= 3:
            made.append(3)
            noughts = 0
        made.append(one)
        noughts = noughts + 1 if one == 0 else 0
    return bytes(made)


def _clean_hvcc(head: bytes) -> bytes | None:
    """Return the sets of an HEVC stream without the messages among them."""
    if len(head) < 23:
        return None
    at, made, count = 23, bytearray(), 0
    for _ in range(head[22]):
        begins, kind = at, head[at] & 63 if at < len(head) else 0
        units = int.from_bytes(head[at + 1 : at + 3], "big")
        at += 3
        for _ in range(units):
            at += 2 + int.from_bytes(head[at : at + 2], "big")
        if at > len(head):
            return None
        if kind not in {39, 40}:
            made += head[begins:at]
            count += 1
    return bytes(head[:22]) + bytes([count]) + bytes(made) if count != head[22] else None
