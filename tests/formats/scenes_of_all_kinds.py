"""Scenes and plays of every kind for the pairs of formats: any names, any places, any floor."""

from __future__ import annotations

from hypothesis import strategies as st

from tenbetween.court import Court, court_of
from tenbetween.scene import ACTS, SQUADS, Crew, Matchup, Official, Play, Player, PlayStep, Scene
from tenbetween.situation import Floor
from tenbetween.units import FOOT, INCH

NAMES = st.one_of(
    st.sampled_from(
        ["a1", "b2", "ball", "lead", "A", 'Dara "D"', "x|y", "a-b", "a, b", "a:b", "-", "\\", "Zoë", "//"]
    ),
    st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=40),
)
COURTS = st.one_of(
    st.sampled_from([court_of("us-hs"), court_of("fiba")]),
    st.builds(
        lambda kind, length, width: court_of(kind, Floor(length * INCH, width * INCH)),
        st.sampled_from(["us-hs", "fiba"]),
        st.integers(80 * 12, 94 * 12),
        st.integers(47 * 12, 50 * 12),
    ),
)


def places(court: Court) -> st.SearchStrategy[tuple[float, float]]:
    """Any place a scene may have: millionths of a foot, whole feet, and any float there is."""

    def along(most: float) -> st.SearchStrategy[float]:
        millionths = st.integers(-10_000_000, int((most + 10) * 1_000_000)).map(lambda n: n / 1_000_000)
        return st.one_of(millionths, st.integers(-10, int(most) + 10).map(float), st.floats(-10, most + 10))

    return st.tuples(along(court.length / FOOT), along(court.width / FOOT))


@st.composite
def scenes(draw: st.DrawFn, court: Court | None = None) -> Scene:
    floor = court or draw(COURTS)
    at = places(floor)
    names = draw(st.lists(NAMES, unique=True, max_size=10))
    teams = {name: SQUADS[number % 2] for number, name in enumerate(names)}
    players = tuple(Player(name, teams[name], draw(at)) for name in draw(st.permutations(names)))
    pairs = [(a, b) for a in names for b in names if teams[a] != teams[b]]
    chosen = draw(st.lists(st.sampled_from(pairs), max_size=6, unique_by=frozenset)) if pairs else []
    matchups = tuple(Matchup(a, b, draw(st.sampled_from(ACTS))) for a, b in chosen)
    facing = st.one_of(st.none(), st.floats(-360, 360))
    crew = Crew(*(Official(draw(at), draw(facing)) for _ in range(2)))
    return Scene(players, matchups, draw(at), crew, floor)


TEXT = st.text(st.characters(exclude_categories=("C", "Zl", "Zp", "Zs")), max_size=60)


@st.composite
def steps(draw: st.DrawFn, court: Court) -> PlayStep:
    scene = draw(scenes(court))
    movers = ["ball", "referee", "umpire", *(player.id for player in scene.players)]
    who = draw(st.lists(st.sampled_from(movers), unique=True, max_size=3))
    return PlayStep(
        says=draw(TEXT),
        scene=scene,
        seconds=draw(st.floats(0, 600)),
        hold=draw(st.floats(0, 600)),
        lead=draw(st.sampled_from(["referee", "umpire"])),
        via=tuple((name, tuple(draw(st.lists(places(court), max_size=3)))) for name in who),
        provisions=tuple(
            draw(st.lists(st.sampled_from(["who.goal", "count.five", "steps.move"]), max_size=3))
        ),
    )


@st.composite
def plays(draw: st.DrawFn) -> Play:
    court = draw(COURTS)
    return Play(
        title=draw(TEXT.filter(bool)),
        steps=tuple(draw(st.lists(steps(court), min_size=1, max_size=3))),
        line=draw(TEXT),
        formation=draw(st.sampled_from(["", "play-zone", "of-my-own"])),
        note=draw(TEXT),
    )
