"""The demo's state memo and association custom: over every high-school edition they do what they say."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.book.test_words import banned_in, every_word

import tenbetween
from tenbetween.book import Book, LayerText, decide, layer_head, load_book
from tenbetween.book.check import check
from tenbetween.situation import Ruling, Situation
from tenbetween.units import FOOT

LAYERS = Path(tenbetween.__file__).parent / "demo" / "layers"
EDITIONS = ("us-hs-2022", "us-hs-2023", "us-hs-2025")
STATE, ASSOCIATION = "k-24", "quillan-ridge"
OPEN_PARTS = {"roles_after", "administers", "lead_side_after", "stands", "places"}


def layer(id_: str) -> LayerText:
    """Read one layer of the demo."""
    return LayerText(id_, (LAYERS / f"{id_}.toml").read_text("utf-8"), f"layers/{id_}.toml")


def book(edition: str, *ids: str) -> Book:
    """Load an edition under some of the demo's layers."""
    return load_book(edition, [layer(id_) for id_ in ids])


def ruling(
    edition: str, *ids: str, at: tuple[int, int], cause: str = "out_of_bounds", **more: object
) -> Ruling:
    """Answer a stoppage attacking right, lead on the table side, at a place in whole feet."""
    place = (at[0] * FOOT, at[1] * FOOT)
    said = {"ball_to": "same", "lead_side": "table", **more}
    return decide(
        book(edition, *ids),
        Situation(edition=edition, attacking="right", stopped_by=cause, at=place, **said),  # type: ignore[arg-type]
    )


def open_parts(answer: Ruling) -> dict[str, str]:
    """Return what an answer leaves open, and why."""
    return {one.part: one.why for one in answer.not_covered}


def test_the_folder_holds_one_state_and_one_association() -> None:
    found = {p.stem: layer_head(layer(p.stem)).authority for p in LAYERS.glob("*.toml")}
    assert found == {STATE: "state", ASSOCIATION: "association"}


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_title_names_both_and_the_order_asked_in_does_not_matter(edition: str) -> None:
    one, other = book(edition, STATE, ASSOCIATION), book(edition, ASSOCIATION, STATE)
    assert one.title.endswith("with Kellmere memo K-24 and Quillan Ridge circle")
    assert one.digest == other.digest != load_book(edition).digest


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("ids", [(STATE,), (ASSOCIATION,), (STATE, ASSOCIATION)], ids="+".join)
def test_the_book_stays_whole_under_them(edition: str, ids: tuple[str, ...]) -> None:
    report = check(book(edition, *ids))
    assert report.findings == (), report.findings


@pytest.mark.parametrize("edition", EDITIONS)
def test_each_sets_one_setting_and_says_so(edition: str) -> None:
    plain, laid = load_book(edition).settings, book(edition, STATE, ASSOCIATION).settings
    moved = {name: (s.value, s.set_by) for name, s in laid.items() if s.value != plain[name].value}
    assert moved == {"chop": ("administering_only", STATE), "time_out_place": ("circle", ASSOCIATION)}
    assert all(laid[name].because for name in moved)


@pytest.mark.parametrize("edition", EDITIONS)
def test_under_the_memo_nobody_mirrors_the_chop_on_the_front_end_line(edition: str) -> None:
    assert ruling(edition, at=(84, 30)).chop == ("lead", "trail")
    alone = ruling(edition, STATE, at=(84, 30))
    assert alone.chop == ("lead",)
    assert f"chop=administering_only ({STATE})" in next(
        r.setting for r in alone.reasons if r.decides == "chop"
    )


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_memo_leaves_the_trails_low_sideline_open_and_the_rest_stands(edition: str) -> None:
    assert open_parts(ruling(edition, at=(76, 50))) == {}
    answer = ruling(edition, STATE, at=(76, 50))
    why = open_parts(answer)
    assert set(why) >= OPEN_PARTS
    assert all(
        "Kellmere memo K-24" in why[part] for part in ("roles_after", "administers", "stands", "places")
    )
    assert answer.administers is answer.roles_after is answer.switch is answer.places is None
    assert answer.spot == (76 * FOOT, 50 * FOOT)
    assert (answer.delivery, answer.clock_starts) == ("bounce", "legally_touched_inbounds")
    assert answer.count is not None
    assert answer.count.seconds == 5


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(
    ("at", "more"),
    [
        ((64, 50), {}),  # a foot above the free-throw line extended
        ((76, 0), {}),  # the lead's low sideline
        ((84, 40), {}),  # the end line
        ((30, 50), {}),  # the back court
        ((76, 50), {"cause": "time_out", "pending": "spot"}),
        ((76, 50), {"ball_to": "other"}),
    ],
)
def test_nothing_beside_that_place_is_open(edition: str, at: tuple[int, int], more: dict[str, str]) -> None:
    assert open_parts(ruling(edition, STATE, at=at, **more)) == {}  # type: ignore[arg-type]


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("value", ["goes_down_as_lead", "trail_administers_stays_trail"])
def test_neither_reading_of_that_line_gets_past_the_memo(edition: str, value: str) -> None:
    answer = ruling(edition, STATE, at=(76, 50), settings=(("trail_line_low", value),))
    assert set(open_parts(answer)) >= OPEN_PARTS


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_partner_waits_at_the_circle_where_the_association_says_so(edition: str) -> None:
    plain = ruling(edition, at=(60, 0), cause="time_out", pending="spot")
    answer = ruling(edition, ASSOCIATION, at=(60, 0), cause="time_out", pending="spot")
    assert plain.waiting is not None
    assert answer.waiting is not None
    assert plain.waiting["partner_60"].name == "time_out_opposite_halfway"
    assert answer.waiting["partner_60"].at == (42.0, 31.0)
    assert answer.waiting["partner_30"].at == (42.0, 19.0)


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_association_adds_a_duty_of_its_own(edition: str) -> None:
    due = ruling(edition, ASSOCIATION, at=(60, 0), cause="time_out", pending="spot")
    assert "ready.five-and-five" in due.duties
    assert "ready.five-and-five" not in ruling(edition, ASSOCIATION, at=(60, 0)).duties
    assert "ready.five-and-five" not in ruling(edition, at=(60, 0), cause="time_out", pending="spot").duties


@pytest.mark.parametrize("id_", [STATE, ASSOCIATION])
def test_their_words_are_ours_and_whole(id_: str) -> None:
    own = [p for p in book("us-hs-2025", id_).provisions.values() if p.layer == id_]
    assert own
    assert all(p.sentence and p.why and p.wrong and "invented for the demo" in p.source for p in own)
    assert [word for p in own for _, text in every_word(p) for word in banned_in(text)] == []


def test_they_keep_away_from_an_edition_they_are_not_meant_for() -> None:
    assert book("fiba-2po", STATE, ASSOCIATION).digest == load_book("fiba-2po").digest
