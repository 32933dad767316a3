"""Tracks come in from JSON Lines and tables however they are written; what is left out is told; written they come back."""

from __future__ import annotations

import json
import tracemalloc
from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite, isnan
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tenbetween.errors import FormatError, TenbetweenError
from tenbetween.formats.track_lines import KINDS
from tenbetween.formats.tracks import (
    Tracks,
    has_crew,
    read_frames,
    read_tracks,
    thin,
    tracks_as_json_lines,
)
from tenbetween.scene import ACTS, Scene

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "docs" / "examples" / "tracks.jsonl"
HEADER = {"version": 1, "units": "ft", "court": {"length": 84, "width": 50}, "origin": "corner"}


def ten(dx: float = 0.0) -> list[dict[str, Any]]:
    return [
        {"id": f"{team}{n}", "team": team, "x": 10 + 5 * n + dx, "y": 10 + 6 * n + (3 if team == "b" else 0)}
        for team in "ab"
        for n in range(1, 6)
    ]


def frame(t: float, **more: Any) -> dict[str, Any]:
    crew = [{"role": "lead", "x": -3, "y": 34, "facing": 350}, {"role": "trail", "x": 30, "y": 12}]
    whole = {
        "t": t,
        "ball": [15, 16],
        "players": ten(t),
        "officials": crew,
        "matchups": [["a1", "b1", "ball"], ["a2", "b2"]],
    }
    return {**whole, **more}


def lines(*values: Any) -> str:
    return "\n".join(one if isinstance(one, str) else json.dumps(one) for one in values)


def plain(scene: Scene) -> str:
    """A scene as text, so that two places that are not known are alike."""
    return repr(scene)


def same(one: Tracks, other: Tracks) -> bool:
    return one.court == other.court and [(t, plain(s)) for t, s in one.frames] == [
        (t, plain(s)) for t, s in other.frames
    ]


# -- JSON Lines ----------


def test_the_example_is_read_whole_with_nothing_left_out() -> None:
    found = read_tracks(EXAMPLE)
    assert len(found.frames) == found.report.frames == 12
    assert found.report.counts == {}
    assert all(scene.complete and has_crew(scene) and len(scene.matchups) == 5 for _, scene in found.frames)
    assert found.court.length == 84 * 304_800


def test_a_frame_becomes_a_scene() -> None:
    ((t, scene),) = read_tracks(lines(HEADER, frame(0.4))).frames
    assert t == 0.4
    assert scene.player("a1").at == (15.4, 16.0)
    assert scene.ball == (15.0, 16.0)
    assert (scene.crew.lead.at, scene.crew.lead.facing, scene.crew.trail.facing) == (
        (-3.0, 34.0),
        350.0,
        None,
    )
    assert [(m.attacker, m.defender, m.act) for m in scene.matchups] == [
        ("a1", "b1", "ball"),
        ("a2", "b2", "off_ball"),
    ]


@pytest.mark.parametrize("how", ["path", "bytes", "text", "lines", "byte lines", "windows", "mark"])
def test_a_file_its_text_and_its_lines_are_the_same(how: str, tmp_path: Path) -> None:
    text = EXAMPLE.read_text("utf-8")
    file = tmp_path / "tracks.jsonl"
    file.write_bytes(EXAMPLE.read_bytes())
    sources = {
        "path": file,
        "bytes": text.encode(),
        "text": text,
        "lines": text.splitlines(),
        "byte lines": text.encode().splitlines(keepends=True),
        "windows": text.replace("\n", "\r\n").encode(),
        "mark": b"\xef\xbb\xbf" + text.encode(),
    }
    assert same(read_tracks(sources[how]), read_tracks(EXAMPLE))


def test_metres_from_the_middle_are_feet_from_the_corner() -> None:
    head = {"version": 1, "units": "m", "court": {"length": 28, "width": 15}, "origin": "centre"}
    place = {"id": "a1", "team": "a", "x": -14, "y": 7.5}
    found = read_tracks(lines(head, {"t": 0, "ball": [0, 0], "players": [place]}))
    scene = found.frames[0][1]
    assert found.court.kind == "fiba"
    assert scene.players[0].at == pytest.approx((0.0, 49.2126), abs=1e-4)
    assert scene.ball == pytest.approx((91.8635 / 2, 49.2126 / 2), abs=1e-4)
    assert (found.report.units, found.report.origin) == ("m", "centre")


def test_what_the_file_does_not_say_may_be_asked_for_and_a_contradiction_is_refused() -> None:
    bare = lines(frame(0, players=[{"id": 1, "team": "a", "x": 1, "y": 1}]))
    found = read_tracks(bare, units="m", origin="centre", court="fiba")
    assert found.frames[0][1].players[0].at == pytest.approx((49.2126, 27.8871), abs=1e-3)
    assert found.report.counts["no_header"] == 1
    with pytest.raises(FormatError) as fault:
        read_tracks(lines(HEADER, frame(0)), units="m")
    assert fault.value.problems[0].where == "units"


@pytest.mark.parametrize(
    ("head", "where"),
    [
        ({"units": "yards"}, "line 1.units"),
        ({"units": ["ft"]}, "line 1.units"),
        ({"origin": "basket"}, "line 1.origin"),
        ({"version": 2}, "line 1.version"),
        ({"version": True}, "line 1.version"),
        ({"court": "us-sh"}, "line 1.court"),
        ({"court": {"length": 84}}, "line 1.court.width"),
        ({"court": {"length": 84, "width": -1}}, "line 1.court.width"),
    ],
)
def test_a_header_that_cannot_be_is_refused(head: dict[str, Any], where: str) -> None:
    with pytest.raises(FormatError) as fault:
        read_tracks(lines({**HEADER, **head}, frame(0)))
    assert where in [one.where for one in fault.value.problems]


LEFT_OUT: list[tuple[Any, str, str]] = [
    ("{not json", "line", "line 3"),
    ("7", "line", "line 3"),
    ("[" * 100_000, "line", "line 3"),
    ({"players": ten()}, "line", "line 3"),
    ({"t": 1, "players": {"a1": 1}}, "line", "line 3, players"),
    (frame(0.0), "time_twice", "line 3"),
    (frame(-1.0), "time_back", "line 3"),
    ({**frame(1), "t": None}, "time", "line 3"),
    ({**frame(1), "t": "1"}, "time", "line 3"),
    ('{"t": NaN, "players": []}', "time", "line 3"),
    (frame(1, players=[]), "no_player", "line 3"),
    (frame(1, players=[*ten()[:9], {**ten()[9], "x": None}]), "place_unknown", "line 3, players[9]"),
    (lines(frame(1)).replace('"x": 16,', '"x": NaN,'), "place_unknown", "line 3, players[0]"),
    (frame(1, players=[{**ten()[0], "x": 94.5}, *ten()[1:]]), "off_floor", "line 3, players[0]"),
    (frame(1, players=[*ten()[:9], ten()[0]]), "player_twice", "line 3, players[9]"),
    (frame(1, players=[*ten(), {"id": "a6", "team": "a", "x": 9, "y": 9}]), "sixth_player", "line 3, players[10]"),
    (frame(1, players=[*ten()[:9], {**ten()[9], "team": "c"}]), "player", "line 3, players[9]"),
    (frame(1, players=[*ten()[:9], {**ten()[9], "id": " "}]), "player", "line 3, players[9]"),
    (frame(1, players=[*ten()[:9], 7]), "player", "line 3, players[9]"),
    (frame(1, players=ten()[:9]), "fewer_than_ten", "line 3"),
    (frame(1, ball=None), "ball", "line 3, ball"),
    (frame(1, ball=[200, 3]), "ball", "line 3, ball"),
    (frame(1, officials=[{"role": "third", "x": 1, "y": 1}]), "official", "line 3, officials[0]"),
    (frame(1, officials=[{"role": "lead", "x": 1, "y": 1}]), "no_crew", "line 3"),
    (frame(1, officials=[{"role": "lead", "x": 1, "y": 1, "facing": "north"}]), "facing", "line 3, officials[0]"),
    (frame(1, matchups=[["a1", "b9"]]), "matchup", "line 3, matchups[0]"),
    (frame(1, matchups=[["a1", "a2"]]), "matchup", "line 3, matchups[0]"),
    (frame(1, matchups=[["a1", "b1"], ["b1", "a1"]]), "matchup", "line 3, matchups[1]"),
    (frame(1, matchups=[["a1", "b1", "bal"]]), "matchup", "line 3, matchups[0]"),
    (frame(1, matchups=[[["a1"], {}]]), "matchup", "line 3, matchups[0]"),
    (frame(1, speed=3), "name", "line 3"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("bad", "kind", "where"), LEFT_OUT, ids=[f"{n}-{kind}" for n, (_, kind, _) in enumerate(LEFT_OUT)]
)
def test_what_is_left_out_is_told_with_its_place_and_the_rest_stands(bad: Any, kind: str, where: str) -> None:
    found = read_tracks(lines(HEADER, frame(0.0), bad, frame(2.0)))
    times = [t for t, _ in found.frames]
    assert times[0] == 0.0
    assert times[-1] == 2.0
    assert found.report.counts[kind] >= 1
    assert where in [one.where for one in found.report.first]
    assert all(one.found and one.expected and one.do for one in found.report.first)
    assert all(isfinite(n) for _, scene in found.frames for player in scene.players for n in player.at)


def test_every_kind_that_can_be_told_is_told_by_a_case() -> None:
    assert {kind for _, kind, _ in LEFT_OUT} | {"no_header"} == set(KINDS)


def test_teams_with_names_of_their_own_take_the_letters_in_the_order_they_come() -> None:
    players = [{**one, "team": {"a": "White", "b": "Dark"}[one["team"]]} for one in ten()]
    found = read_tracks(lines(HEADER, frame(0, players=players), frame(1, players=players[::-1])))
    assert found.report.teams == {"white": "a", "dark": "b"}
    assert {p.id: p.team for p in found.frames[1][1].players} == {one["id"]: one["team"] for one in ten()}


def test_nothing_usable_is_refused_with_every_reason() -> None:
    for text in ("", "\n\n", lines(HEADER), lines(HEADER, "{", {"t": 1, "players": []})):
        with pytest.raises(FormatError) as fault:
            read_tracks(text)
        assert fault.value.problems[-1].where == "tracks"
    assert len(fault.value.problems) >= 3
    with pytest.raises(FormatError, match="no such file"):
        read_tracks(ROOT / "nowhere.jsonl")
    with pytest.raises(FormatError, match="UTF-16"):
        read_tracks("t,id".encode("utf-16"))


def test_all_are_counted_but_only_the_first_are_told_one_by_one() -> None:
    found = read_tracks(lines(HEADER, *(["{"] * 500), frame(0)))
    assert found.report.counts["line"] == 500
    assert len(found.report.first) == 50


def test_an_official_who_is_not_there_has_no_place() -> None:
    ((_, scene),) = read_tracks(lines(HEADER, frame(0, officials=[], ball=None))).frames
    assert not has_crew(scene)
    assert isnan(scene.crew.lead.at[0])
    assert isnan(scene.ball[0])


# -- tables ----------

ROWS = [(t, one["id"], one["team"], one["x"], one["y"]) for t in (0.0, 0.5) for one in ten(t)]


def table(
    separator: str = ",", comma: bool = False, names: tuple[str, ...] = ("t", "id", "team", "x", "y")
) -> str:
    rows = [*ROWS]
    out = [separator.join(names)]
    for t in (0.0, 0.5):
        body = [row for row in rows if row[0] == t]
        body += [(t, "", "lead", -3.0, 34.0), (t, "", "trail", 30.0, 12.5), (t, "", "ball", 15.0, 16.0)]
        for row in body:
            cells = [str(cell) for cell in row]
            out.append(separator.join(cell.replace(".", ",") if comma else cell for cell in cells))
    return "\n".join(out)


@pytest.mark.parametrize(
    "text",
    [
        table(),
        table(";"),
        table("\t"),
        table(";", comma=True),
        table("\t", comma=True),
        "\ufeff" + table(),
        table().replace("\n", "\r\n"),
        table(names=("Time", "Player", "TEAM", "x (ft)", "Y_ft")),
        table(names=("seconds", "number", "side", "X", "Y")),
        table(names=("t", "id", "role", "x", "y")),
        "units: ft\ncourt: us-hs\norigin: corner\n\n" + table(),
        "an invented evening\nunits;ft;;;\n" + table(";"),
    ],
)
def test_a_table_is_read_however_it_is_written(text: str) -> None:
    found = read_tracks(text)
    assert [t for t, _ in found.frames] == [0.0, 0.5]
    scene = found.frames[1][1]
    assert scene.complete
    assert scene.player("a1").at == (15.5, 16.0)
    assert (scene.crew.lead.at, scene.crew.trail.at, scene.ball) == ((-3.0, 34.0), (30.0, 12.5), (15.0, 16.0))
    assert found.report.counts == {}


def test_columns_may_stand_in_any_order_with_a_facing_and_metres() -> None:
    text = "y (m),x (m),facing,role,id,t\n7.62,6.096,,white,7,0\n10,1,90,lead,,0\n3,9,180,trail,,0"
    found = read_tracks(text)
    scene = found.frames[0][1]
    assert scene.players[0].at == pytest.approx((20.0, 25.0))
    assert (scene.crew.lead.facing, scene.crew.trail.facing) == (90.0, 180.0)
    assert found.report.units == "m"


def test_rows_that_cannot_be_used_are_told_with_their_line() -> None:
    text = "t,id,team,x,y,speed\n0,a1,a,10,10,\n0,b1,b,x,10,\n0,a2,a,1,2,3,4\nsoon,a3,a,1,1,\n1,a1,a,200,3,\n1,b1,b,9,9,"
    found = read_tracks(text)
    told = {one.where: one for one in found.report.first}
    assert {"line 1", "line 3", "line 4", "line 5", "line 6"} <= set(told)
    assert {"name", "place_unknown", "line", "time", "off_floor"} <= set(found.report.counts)
    assert [[p.id for p in scene.players] for _, scene in found.frames] == [["a1"], ["b1"]]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("who knows\nwhat", "who knows"),
        ("t,x,y\n0,1,1", "no column 'id'"),
        ("t,x,y\n0,1,1", "no column 'team'"),
        ("t,id,team,x,x,y\n0,a,a,1,1,1", "two columns 'x'"),
        ("t,id,team,x (m),y (ft)\n0,a,a,1,1", "ft and m"),
        ("units: m\nt,id,team,x (ft),y\n0,a,a,1,1", "ft and m"),
    ],
)
def test_a_table_without_its_columns_is_refused(text: str, found: str) -> None:
    with pytest.raises(FormatError) as fault:
        read_tracks(text)
    assert found in " ".join(one.found for one in fault.value.problems)


def test_a_table_and_json_lines_of_the_same_are_the_same() -> None:
    from_table = read_tracks("court: us-hs\n" + table(";", comma=True))
    again = read_tracks("\n".join(tracks_as_json_lines(from_table)))
    assert same(from_table, again)


# -- out and in again ----------

numbers = st.floats(-9.9, 59.9, allow_nan=False)
maybe = st.one_of(st.none(), numbers, st.just(float("nan")), st.floats())
names = st.one_of(
    st.sampled_from([f"{team}{n}" for team in "ab" for n in range(6)]), st.text(max_size=3), st.integers()
)


@st.composite
def frames(draw: Any) -> list[dict[str, Any]]:
    player = st.fixed_dictionaries(
        {"id": names, "team": st.sampled_from(["a", "b", "c", 7]), "x": maybe, "y": maybe}
    )
    official = st.fixed_dictionaries(
        {"role": st.sampled_from(["lead", "trail", "?"]), "x": maybe, "y": maybe}, optional={"facing": maybe}
    )
    matchup = st.one_of(st.tuples(names, names), st.tuples(names, names, st.sampled_from([*ACTS, "x"])))
    one = st.fixed_dictionaries(
        {"t": st.floats(-5, 5), "players": st.lists(player, max_size=12)},
        optional={
            "ball": st.one_of(st.none(), st.lists(maybe, max_size=3)),
            "officials": st.lists(official, max_size=3),
            "matchups": st.lists(matchup, max_size=6),
        },
    )
    return draw(st.lists(one, max_size=6))  # type: ignore[no-any-return]


heads = st.fixed_dictionaries(
    {},
    optional={
        "version": st.just(1),
        "units": st.sampled_from(["ft", "m"]),
        "court": st.sampled_from(
            ["us-hs", "fiba", "us-hs-2025", {"length": 91, "width": 48.5}, {"length": 27, "width": 14.5}]
        ),
        "origin": st.sampled_from(["corner", "centre"]),
    },
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(heads, frames())
def test_written_tracks_come_back_the_same(head: dict[str, Any], values: list[dict[str, Any]]) -> None:
    text = lines({**HEADER, **head} if "court" not in head else {"version": 1, **head}, *values)
    found = usable(text)
    if found is None:
        return
    again = read_tracks("\n".join(tracks_as_json_lines(found)))
    assert same(found, again)
    assert list(tracks_as_json_lines(again)) == list(tracks_as_json_lines(found))
    assert not set(again.report.counts) - {"fewer_than_ten", "ball", "no_crew"}
    times = [t for t, _ in found.frames]
    assert times == sorted(set(times))


# -- anything at all ----------


def usable(source: Any) -> Tracks | None:
    """Tracks, or None where directions were given; anything else is a fault."""
    try:
        return read_tracks(source)
    except TenbetweenError as fault:
        told = fault.problems
    assert told
    assert all(one.where and one.found and one.expected and one.do for one in told)
    return None


def ends_well(source: Any) -> None:
    found = usable(source)
    assert found is None or (found.frames and found.report.frames == len(found.frames))


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_end_in_tracks_or_directions(raw: bytes) -> None:
    ends_well(raw)
    ends_well(b'{"version": 1}\n' + raw)
    ends_well(b"t,id,team,x,y\n" + raw)


WILD = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=5)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(st.sampled_from(["t", "id", "x", "court", "units"]), inner, max_size=4),
    ),
    max_leaves=8,
)
FIELDS = st.dictionaries(
    st.sampled_from(["t", "ball", "players", "officials", "matchups", "version", "units", "court", "origin"]),
    WILD,
    max_size=6,
)


@settings(max_examples=200, deadline=None)
@given(st.lists(FIELDS, min_size=1, max_size=4))
def test_any_values_in_the_right_places_end_well(values: list[dict[str, Any]]) -> None:
    ends_well(lines(*values))


@settings(max_examples=120, deadline=None)
@given(st.data())
def test_the_example_with_bytes_changed_ends_well(data: Any) -> None:
    raw = bytearray(EXAMPLE.read_bytes()[:3000])
    for _ in range(data.draw(st.integers(1, 8))):
        raw[data.draw(st.integers(0, len(raw) - 1))] = data.draw(st.integers(0, 255))
    ends_well(bytes(raw))


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet="tidxyeam0123456789.,;\t\"'-\n nalbor", max_size=200))
def test_any_table_like_text_ends_well(text: str) -> None:
    ends_well(text)
    ends_well("t;id;team;x;y\n0;1;a;2;2\n" + text)


# -- much, and less ----------


@dataclass
class Count:
    """Counts what was asked for."""

    taken: int = 0


def endless(count: Count) -> Iterator[str]:
    yield json.dumps(HEADER)
    while True:
        count.taken += 1
        yield json.dumps(frame(count.taken / 25))


def test_frames_are_read_one_by_one() -> None:
    count = Count()
    frames_ = read_frames(endless(count))
    for _ in range(3):
        next(frames_)
    assert count.taken <= 5


def test_memory_does_not_grow_with_the_file() -> None:
    text = json.dumps(frame(0))[9:]

    def many(n: int) -> Iterator[str]:
        yield json.dumps(HEADER)
        for number in range(n):
            yield f'{{"t": {number / 25}, ' + text.lstrip(", ")

    peaks = []
    for n in (300, 3000):
        tracemalloc.start()
        assert sum(1 for _ in read_frames(many(n))) == n
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    tracemalloc.start()
    kept = read_tracks(many(3000))
    whole = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(kept.frames) == 3000
    assert max(peaks) < whole / 20, peaks


@given(st.lists(st.floats(0.001, 3), min_size=1, max_size=60), st.floats(0.2, 30))
@settings(max_examples=60, deadline=None)
def test_thinning_takes_the_first_at_or_after_each_tick(steps: list[float], hz: float) -> None:
    times, t = [], 0.0
    for step in steps:
        t += step
        times.append(t)
    one = {"id": 1, "team": "a", "x": 9, "y": 9}
    found = read_tracks(lines(*({"t": t, "players": [one]} for t in times)))
    kept = [t for t, _ in thin(found, hz).frames]
    expected = []
    ticks = set()
    for t in times:
        tick = int((t - times[0]) * hz + 1e-6)
        if tick not in ticks:
            expected.append(t)
        ticks.add(tick)
    assert kept == expected
    assert thin(found, hz).report == found.report


@pytest.mark.parametrize("hz", [0, -1, float("nan"), float("inf")])
def test_no_such_rate(hz: float) -> None:
    with pytest.raises(FormatError):
        thin(read_tracks(EXAMPLE), hz)
