"""Times off the film against a second reckoning: exact fractions, ``statistics``, and the frames as they really are."""

from __future__ import annotations

import random
import statistics
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from tests.desk.film_world import Json, World, at, even, world, write_film

KINDS: dict[str, Json] = {
    "throw-in, front-court sideline": {"stopped_by": "out_of_bounds", "at": [58, 50], "ball_to": "same"},
    "throw-in after a goal": {"stopped_by": "made_goal"},
    "throw-in, front-court end line": {"stopped_by": "violation", "at": [79, 36], "ball_to": "same"},
}


@pytest.fixture
def there(tmp_path: Path) -> Iterator[World]:
    with world(tmp_path) as made:
        yield made


def uneven(dealt: random.Random, frames: int) -> list[int]:
    """Return the time stamps of a phone's film: 24 to 30 frames a second in 90,000ths, and a gap now and then."""
    pts, now = [], dealt.randrange(0, 5000)
    for _ in range(frames):
        pts.append(now)
        now += dealt.choice([3000, 3003, 3600, 3750, 3003, 12_000])
    return pts


def put(there: World, film: Json, events: dict[str, Json], situation: Json, strokes: list[Json]) -> None:
    """Keep a mark with its events in one go."""
    value = {"film": film["id"], "at": next(iter(events.values())), "events": events, "situation": situation}
    said = {"crew": {"lead": "umpire", "lead_side": "table", "attacking": "right", "corrected": True}}
    basis = {"edition": "us-hs-2025", "book_digest": "x"}
    there.store.save("mark", {**value, **said, "strokes": strokes}, basis=basis)


def test_every_time_is_exact_and_off_by_no_more_than_a_frame_of_a_rate_that_varies(there: World) -> None:
    dealt = random.Random(5)
    parts = [uneven(dealt, 4000), uneven(dealt, 4000)]
    for n, pts in enumerate(parts):
        write_film(there.films / f"part-{n}.mp4", pts, (1, 90_000))
    film = there.add("part-0.mp4", "part-1.mp4")
    starts = [part["offset_us"] for part in film["parts"]]

    def moment(part: int, frame: int) -> tuple[Json, Fraction, Fraction]:
        """A frame time, its exact second on the line, and the longer frame beside it."""
        pts = parts[part]
        given = {"part": film["parts"][part]["fingerprint"], "pts": pts[frame], "base": [1, 90_000]}
        second = Fraction(starts[part], 1_000_000) + Fraction(pts[frame] - pts[0], 90_000)
        gaps = [pts[frame] - pts[frame - 1], pts[frame + 1] - pts[frame]]
        return given, second, Fraction(max(gaps), 90_000)

    expected: list[dict[str, tuple[Fraction, Fraction] | str | None]] = []
    for n in range(60):
        first, frame = (0, 10 + 40 * n) if n < 59 else (0, 3990)
        frames = [frame + dealt.randrange(1, 8) * step for step in (0, 1, 2, 3, 4)]
        named = dict(zip(("e0", "e6", "e8", "e9", "e10"), frames, strict=True))
        found = {e: moment(1, f - 3990) if f > 3998 else moment(first, f) for e, f in named.items()}
        missing = dealt.choice(["", "", "e8", "e10"])
        events: Json = {e: given for e, (given, _, _) in found.items()}
        if missing:
            events[missing] = "not seen"
        put(there, film, events, KINDS["throw-in, front-court sideline"], [])
        expected.append({
            what: "not seen" if missing in ends
            else "look again" if found[ends[1]][1] < found[ends[0]][1]
            else (found[ends[1]][1] - found[ends[0]][1], max(found[ends[0]][2], found[ends[1]][2]))
            for what, ends in {"restart": ("e0", "e6"), "count": ("e6", "e8"), "chop": ("e9", "e10")}.items()
        })  # fmt: skip
    told = there.room.measure(film["id"])
    names = {"restart": "whistle or dead ball to the ball given", "count": "ball given to the release",
             "chop": "touch to chop"}  # fmt: skip
    for row, wanted in zip(told["restarts"], expected, strict=True):
        shown = {one["what"]: one for one in row["measures"]}
        for what, name in names.items():
            value = wanted[what]
            if isinstance(value, str):
                assert shown[name]["seconds"] is None
                assert shown[name]["note"].endswith(value)
            else:
                assert isinstance(value, tuple)
                assert shown[name]["seconds"] == pytest.approx(float(value[0]), abs=6e-5)
                assert shown[name]["plus_minus"] == pytest.approx(float(value[1]), abs=6e-5)
    for median in told["medians"]:
        values = [one[median["name"]] for one in expected]
        seen = [one for one in values if isinstance(one, tuple)]
        assert median["seconds"] == pytest.approx(float(statistics.median(s for s, _ in seen)), abs=6e-5)
        assert median["plus_minus"] == pytest.approx(float(max(off for _, off in seen)), abs=6e-5)
        assert (median["count"], median["not_seen"]) == (len(seen), values.count("not seen"))
        assert median["backwards"] == values.count("look again")


def test_the_truth_lies_within_a_frame_of_what_is_told(there: World) -> None:
    """Something that happens between two frames is seen on one of them: the time told is off by less than it says."""
    dealt = random.Random(8)
    pts = uneven(dealt, 3000)
    write_film(there.films / "phone.mp4", pts, (1, 90_000))
    film = there.add("phone.mp4")
    print_ = film["parts"][0]["fingerprint"]
    truths = []
    for n in range(40):
        begins = Fraction(dealt.randrange(pts[50 * n + 5], pts[50 * n + 20]))
        ends = begins + dealt.randrange(3000, 200_000)
        seen = [
            next(p for p in pts if p >= moment) for moment in (begins, ends)
        ]  # the first frame that shows it
        events = {
            e: {"part": print_, "pts": p, "base": [1, 90_000]}
            for e, p in zip(("e0", "e6"), seen, strict=True)
        }
        put(there, film, events, KINDS["throw-in after a goal"], [])
        truths.append((seen[0], (ends - begins) / 90_000))
    truths.sort()
    rows = [row["measures"][0] for row in there.room.measure(film["id"])["restarts"]]
    assert len(rows) == len(truths)
    for row, (_, truth) in zip(rows, truths, strict=True):
        assert abs(row["seconds"] - float(truth)) <= row["plus_minus"] + 1e-4


def test_the_count_is_laid_beside_true_seconds(there: World) -> None:
    write_film(there.films / "game.mp4", even(300))
    film = there.add("game.mp4")
    events = {"e0": at(film, 10), "e6": at(film, 20), "e8": at(film, 24.4)}
    put(
        there,
        film,
        events,
        KINDS["throw-in, front-court sideline"],
        [at(film, 20.4 + 1.2 * n) for n in range(4)],
    )
    shown = {
        one["what"]: one
        for one in there.room.marks(film["id"]) and there.room.measure(film["id"])["restarts"][0]["measures"]
    }
    assert shown["ball given to the release"]["seconds"] == 4.4
    assert shown["first stroke after the ball was given"]["seconds"] == 0.4
    drift = shown["4 strokes against true seconds"]
    assert drift["seconds"] == 0.6
    assert drift["note"] == "3 s counted in 3.60 s, slower than true"


def test_five_seconds_are_counted_from_the_ball_given_and_not_from_the_whistle(there: World) -> None:
    write_film(there.films / "game.mp4", even(300))
    film = there.add("game.mp4")
    mark = there.room.start_mark(film["id"], at(film, 10))
    there.room.set_event(mark["id"], "e6", at(film, 25))
    told = there.room.set_event(mark["id"], "e8", at(film, 29))["measures"]
    assert [(one["what"], one["seconds"]) for one in told] == [
        ("whistle or dead ball to the ball given", 15.0),
        ("ball given to the release", 4.0),
    ]


def test_like_is_laid_beside_like_with_how_many(there: World) -> None:
    write_film(there.films / "game.mp4", even(600))
    film = there.add("game.mp4")
    seconds = {"throw-in after a goal": [5, 6, 9], "throw-in, front-court end line": [12, 14]}
    n = 0
    for kind, values in seconds.items():
        for value in values:
            n += 1
            put(there, film, {"e0": at(film, 20 * n), "e6": at(film, 20 * n + value)}, KINDS[kind], [])
    put(there, film, {"e0": at(film, 20 * n + 15), "e6": "not seen"}, KINDS["throw-in after a goal"], [])
    told = there.room.measure(film["id"])["medians"]
    assert [(m["kind"], m["seconds"], m["count"], m["not_seen"]) for m in told if m["name"] == "restart"] == [
        ("throw-in after a goal", 6.0, 3, 1),
        ("throw-in, front-court end line", 13.0, 2, 0),
    ]


def test_all_films_together_and_one_alone(there: World) -> None:
    for n in range(2):
        write_film(there.films / f"game-{n}.mp4", even(60, first=n))
        film = there.add(f"game-{n}.mp4", title=f"Game {n}")
        put(there, film, {"e0": at(film, 1), "e6": at(film, 3 + n)}, KINDS["throw-in after a goal"], [])
    assert there.room.measure()["medians"][0]["seconds"] == 2.5
    assert there.room.measure(film["id"])["medians"][0]["seconds"] == 3.0


def test_nobody_is_timed_and_nothing_is_a_race(there: World) -> None:
    write_film(there.films / "game.mp4", even(300))
    film = there.add("game.mp4")
    put(there, film, {"e0": at(film, 1), "e6": at(film, 9)}, KINDS["throw-in after a goal"], [])
    told = str(there.room.measure(film["id"])).lower()
    assert not [word for word in ("referee", "umpire", "best", "fastest", "rank", "score") if word in told]


def test_without_its_film_a_mark_is_measured_by_frames_on_the_whole(there: World) -> None:
    write_film(there.films / "phone.mp4", [0, 3000, 9000, 12_000, 15_000], (1, 90_000))
    film = there.add("phone.mp4")
    part = film["parts"][0]["fingerprint"]
    events = {e: {"part": part, "pts": pts, "base": [1, 90_000]} for e, pts in (("e0", 3000), ("e6", 12_000))}
    put(there, film, events, KINDS["throw-in after a goal"], [])
    assert there.room.measure(film["id"])["restarts"][0]["measures"][0]["plus_minus"] == pytest.approx(
        6000 / 90_000, abs=6e-5
    )
    (there.films / "phone.mp4").unlink()
    away = there.again().measure(film["id"])["restarts"][0]["measures"][0]
    assert away["seconds"] == 0.1
    assert away["plus_minus"] == pytest.approx(15_000 / 4 / 90_000, abs=6e-5)


def shown_on(told: Json) -> dict[str, Json]:
    """Return the lines of one restart by what they measure."""
    return {one["what"]: one for one in told["measures"]}


SLIPS = {
    "whistle or dead ball to the ball given": (
        {"e0": 10, "e6": 7},
        "the ball given stands before the whistle or dead ball: look again",
    ),
    "ball given to the release": ({"e6": 10, "e8": 7}, "release stands before disposal: look again"),
    "touch to chop": ({"e9": 10, "e10": 9.5}, "chop stands before the touch: look again"),
}


@pytest.mark.parametrize("what", SLIPS)
def test_an_end_marked_before_its_beginning_is_said_and_is_no_time(there: World, what: str) -> None:
    """Three throw-ins; in the last one two moments were marked the wrong way round."""
    seconds, said = SLIPS[what]
    (begins, first), (ends, _) = seconds.items()
    write_film(there.films / "game.mp4", even(300))
    film = there.add("game.mp4")
    for start, took in ((40, 4), (60, 6)):
        events = {begins: at(film, start), ends: at(film, start + took)}
        put(there, film, events, KINDS["throw-in after a goal"], [])
    slip = {name: at(film, second) for name, second in seconds.items()}
    put(there, film, slip, KINDS["throw-in after a goal"], [])
    told = there.room.measure(film["id"])
    row = next(one for one in told["restarts"] if one["t"] == first)
    line = shown_on(row)[what]
    assert (line["seconds"], line["plus_minus"], line["note"]) == (None, None, said)
    median = next(one for one in told["medians"] if one["what"] == what)
    assert (median["seconds"], median["count"], median["backwards"]) == (5.0, 2, 1)
    assert median["not_seen"] == 0


def test_a_stroke_marked_before_disposal_is_said_and_no_pace_is_taken_from_it(there: World) -> None:
    write_film(there.films / "game.mp4", even(300))
    film = there.add("game.mp4")
    strokes = [at(film, 18), at(film, 21), at(film, 22)]
    put(there, film, {"e6": at(film, 20), "e8": at(film, 24)}, KINDS["throw-in after a goal"], strokes)
    lines = shown_on(there.room.measure(film["id"])["restarts"][0])
    assert (
        lines["first stroke after the ball was given"]["note"]
        == "a stroke stands before disposal: look again"
    )
    assert lines["ball given to the release"]["seconds"] == 4.0
    assert not [what for what in lines if "against true seconds" in what]


def test_eye_contact_after_the_official_is_at_the_spot_is_no_slip(there: World) -> None:
    write_film(there.films / "game.mp4", even(300))
    film = there.add("game.mp4")
    moments = {"e0": 10, "e5": 12, "e4": 14, "e6": 15, "e8": 18}
    events = {name: at(film, second) for name, second in moments.items()}
    put(there, film, events, KINDS["throw-in after a goal"], [])
    told = there.room.measure(film["id"])
    assert [one["seconds"] for one in told["restarts"][0]["measures"]] == [5.0, 3.0]
    assert {one["backwards"] for one in told["medians"]} == {0}
