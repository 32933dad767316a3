"""Nothing we ship says that the taught places are the best there are, or how often anybody judges rightly from a spot.

Words are looked for in the papers, the templates, the page scripts and every text of the program; what the honesty
page says is held against what is measured again here on a few of the formations.
"""

from __future__ import annotations

import ast
import re
import statistics
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from msgspec import structs

from tenbetween.desk.scenes import seen_page
from tenbetween.dev.honesty import PAIRS, beaten, place
from tenbetween.dev.scenes_measured import front_scenes
from tenbetween.scene import common_errors
from tenbetween.sight import CONTACT, SIGHT, see

ROOT = Path(__file__).parents[1]
SPOT = r"(?:place|spot|position)s?"
PLACE = rf"(?:taught|textbook|manual'?s?|book'?s?)\s+{SPOT}|{SPOT}\s+(?:taught|of the book|of the manual)"
PRAISE = r"optim(?:al|um|ised|ized)|the best|highest|unbeaten|prove[sdn]?|proof|correct"
DENIED = re.compile(
    r"\b(?:not|never|no|nor|neither|nobody|without|cannot|does not|nothing|least)\b", re.IGNORECASE
)
CLAIMS = (
    re.compile(rf"(?:{PLACE})\b[^.;:|]{{0,80}}\b(?:{PRAISE})\b", re.IGNORECASE),
    re.compile(rf"\b(?:{PRAISE})\b[^.;:|]{{0,60}}\b(?:{PLACE})\b", re.IGNORECASE),
    re.compile(r"\b(?:optimal|perfect)\s+(?:place|spot|position|crew|pair)", re.IGNORECASE),
)
SHARE = r"\d+(?:\.\d+)?\s*(?:%|per ?cent)"
RIGHT = r"\b(?:(?:accuracy|accurate)|(?:right|correct)\s+(?:call|decision)s?)\b"
ACCURACY = (
    re.compile(rf"\b(?:accuracy|accurate)\b[^.\n]{{0,40}}{SHARE}", re.IGNORECASE),
    re.compile(rf"{SHARE}[^.\n]{{0,40}}{RIGHT}", re.IGNORECASE),
    re.compile(
        rf"\b(?:accuracy|hit rate|error rate)\s+(?:of|from|for)\s+(?:a|the|this|each)\s+{SPOT}", re.IGNORECASE
    ),
)


def claims(text: str) -> list[str]:
    """Return every sentence that claims what nobody knows."""
    found = []
    for sentence in re.split(r"(?<=[.;!?|])\s+|\n\s*\n", text):
        said = " ".join(sentence.split())
        praised = any(one.search(said) for one in CLAIMS) and not DENIED.search(said)
        if praised or any(one.search(said) for one in ACCURACY):
            found.append(said)
    return found


def papers() -> Iterator[tuple[str, str]]:
    for path in [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]:
        yield str(path.relative_to(ROOT)), path.read_text("utf-8")
    for kind in ("html", "js", "typ"):
        for path in (ROOT / "src").rglob(f"*.{kind}"):
            yield str(path.relative_to(ROOT)), path.read_text("utf-8")


def program_texts() -> Iterator[tuple[str, str]]:
    for path in (ROOT / "src").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value:
                yield f"{path.relative_to(ROOT)}:{node.lineno}", node.value


def test_no_paper_and_no_screen_claims_it() -> None:
    wrong = {name: found for name, text in papers() if (found := claims(text))}
    assert wrong == {}


def test_no_text_of_the_program_claims_it() -> None:
    wrong = {where: found for where, text in program_texts() if (found := claims(text))}
    assert wrong == {}


@pytest.mark.parametrize(
    "planted",
    [
        "The taught places are optimal.",
        "These numbers prove the textbook position.",
        "The highest coverage belongs to the taught places.",
        "From here he is right: accuracy 83 %.",
        "92 % correct decisions from this spot.",
        "Stand in the optimal spot.",
        "The accuracy of this position grows.",
    ],
)
def test_a_planted_claim_is_found(planted: str) -> None:
    assert claims(f"A sentence before. {planted} A sentence after.") == [planted]


@pytest.mark.parametrize(
    "said",
    [
        "On sight alone the taught places are not the places with the highest numbers.",
        "Sight does not prove a taught place right.",
        "The lead has the best look at a1 and b1.",
    ],
)
def test_an_honest_sentence_is_left_alone(said: str) -> None:
    assert claims(said) == []


# -- the page of figures ----------


def table_rows(heading: str) -> list[list[str]]:
    text = (ROOT / "docs" / "honesty.md").read_text("utf-8")
    part = text.split(heading, 1)[1].split("\n## ", 1)[0]
    rows = [line.strip("| \n").split(" | ") for line in part.splitlines() if line.startswith("|")]
    return rows[2:]


def test_the_page_stands_for_every_formation_of_the_front_court() -> None:
    assert [row[0] for row in table_rows("## Formation by formation")] == [one.name for one in front_scenes()]


def test_the_page_says_what_is_measured_now() -> None:
    rows = {row[0]: row for row in table_rows("## Formation by formation")}
    for one in front_scenes()[::7]:
        found = place(one, CONTACT, futures=24)
        assert rows[one.name][1:4] == [f"{found.taught:.2f}", f"{found.middle:.2f}", f"{found.most:.2f}"]
        assert rows[one.name][4] == f"{found.percentile:.0f}"


def test_on_plain_sight_the_taught_pair_is_no_outlier_among_random_pairs() -> None:
    """If this ever fails, look twice: it is the finding the whole room is honest about."""
    found = [place(one, SIGHT, futures=1) for one in front_scenes()]
    assert 20 < statistics.median(one.percentile for one in found) < 80
    assert all(one.most >= one.taught - 1e-9 or one.percentile > 99 for one in found)


def test_common_errors_are_held_against_the_same_scene() -> None:
    scenes = front_scenes()
    rows = beaten(scenes, CONTACT)
    assert [row[0] for row in rows] == [one.name for one in common_errors(scenes[0].scene)]
    assert {row[0]: f"{row[1]:.0f} %" for row in rows} == {
        row[0]: row[1] for row in table_rows("## Taught places beside common errors")
    }


# -- the screen ----------


def test_coverage_never_stands_alone_on_the_screen() -> None:
    for one in front_scenes()[::5]:
        page = seen_page(one.scene, dice=Random(1))
        assert len(page["bars"]) == 4
        assert "random pairs" in page["spread"]
        assert "With one setting changed" in page["bars"][0]["says"]
        assert "does not say how well anybody judges" in page["note"]
        assert not {"score", "total", "overall"} & set(page)


def test_a_number_of_the_screen_moves_with_the_setting_it_rests_on() -> None:
    one = front_scenes()[6].scene
    wide = see(one, structs.replace(SIGHT, radius=1.2)).coverage
    assert wide != see(one).coverage
    assert PAIRS >= 200
