"""The quick box round a dividing line never hides a line that is near: the margin itself is the second opinion."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st

from tenbetween.book.near import NEAR_FT, _may_be_near
from tenbetween.court import DIVIDING_LINES, court_of, margin_ft
from tenbetween.situation import Floor
from tenbetween.units import FOOT

FLOORS = ((84, 50), (94, 50), (70, 50), (84, 46))


@given(
    st.sampled_from(FLOORS),
    st.floats(0, 1),
    st.floats(0, 1),
    st.sampled_from(DIVIDING_LINES),
    st.sampled_from(["left", "right"]),
)
@example((84, 50), 25 / 84, 0.5, "arc", "left")
@example((84, 50), 0.0, 7.25 / 50, "arc", "left")
@example((84, 50), 21 / 84, 17 / 50, "corner_to_elbow_over_circle", "left")
def test_a_line_within_two_feet_is_always_looked_at(
    floor: tuple[int, int], along: float, across: float, line: str, end: str
) -> None:
    court = court_of("us-hs", Floor(floor[0] * FOOT, floor[1] * FOOT))
    at = (round(along * court.length), round(across * court.width))
    if margin_ft(court, at, end, line) <= NEAR_FT:  # type: ignore[arg-type]
        assert _may_be_near(court, at, end, line)  # type: ignore[arg-type]
