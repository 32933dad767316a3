"""The floors every court test runs on."""

from __future__ import annotations

from tenbetween.court import Court, court_of
from tenbetween.situation import Floor
from tenbetween.units import FOOT

FLOORS: dict[str, Court] = {
    "84 ft": court_of("us-hs"),
    "94 ft": court_of("us-hs", Floor(94 * FOOT, 50 * FOOT)),
    "70 ft, two division lines": court_of("us-hs", Floor(70 * FOOT, 50 * FOOT)),
    "60 by 42 ft": court_of("us-hs", Floor(60 * FOOT, 42 * FOOT)),
    "80 ft 7 in by 47 ft 5 in": court_of("us-hs", Floor(967 * FOOT // 12, 569 * FOOT // 12)),
    "fiba": court_of("fiba"),
    "fiba, 26 by 14 m": court_of("fiba", Floor(26_000_000, 14_000_000)),
}
ENDS = ("left", "right")
SIDES = ("table", "opposite")
TURNS = ((True, False), (False, True), (True, True))
"""Exchange of ends, of sides, of both."""
