"""A play out of the program: read back with other libraries, seen moving in a browser, whole or not at all."""

from __future__ import annotations

import io
import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import av
import numpy as np
import pytest
from msgspec.structs import replace
from PIL import Image
from pypdf import PdfReader

from tenbetween import cli
from tenbetween.desk.export import export_play
from tenbetween.draw.golden_scenes import golden_play
from tenbetween.errors import TenbetweenError, UsageError
from tenbetween.film.write import StoppedError, gif, mp4
from tenbetween.formats.play_json import play_as_dict, read_play
from tenbetween.scene import Play

PLAY = golden_play()
SHORT = replace(
    PLAY, steps=tuple(replace(one, seconds=min(one.seconds, 0.4), hold=0.2) for one in PLAY.steps)
)


def decoded(content: bytes) -> list[Any]:
    with av.open(io.BytesIO(content)) as film:
        return [frame.to_ndarray(format="rgb24") for frame in film.decode(video=0)]


# -- film ----------


def test_a_film_has_a_frame_for_each_moment_and_no_sound() -> None:
    content = export_play(SHORT, "mp4", height=240, fps=20)
    with av.open(io.BytesIO(content)) as film:
        assert [stream.type for stream in film.streams] == ["video"]
        picture = film.streams.video[0]
        assert (picture.height, picture.average_rate) == (240, 20)
        assert picture.codec_context.pix_fmt == "yuv420p"
        said = {**film.metadata, **picture.metadata}
        assert not {"creation_time", "title", "artist", "comment", "encoder"} & set(said), said
    frames = decoded(content)
    assert len(frames) == pytest.approx(SHORT.duration * 20, abs=1)


def test_what_a_film_shows_is_what_was_painted() -> None:
    """Written and read back by the other library: the picture is the same but for what compression takes."""
    dice = np.random.default_rng(5)
    big = np.ones((20, 20, 1), dtype=np.uint8)
    painted = [np.kron(dice.integers(0, 255, (12, 16, 3), dtype=np.uint8), big) for _ in range(4)]
    for shown, ours in zip(decoded(mp4(painted, 4)), painted, strict=True):
        assert np.abs(shown.astype(int) - ours).mean() < 12
    other = painted[1]
    assert np.abs(decoded(mp4(painted, 4))[0].astype(int) - other).mean() > 40


def test_people_move_through_a_film() -> None:
    frames = decoded(export_play(SHORT, "mp4", height=240, fps=20))
    changes = [float(np.abs(a.astype(int) - b).mean()) for a, b in pairwise(frames)]
    assert max(changes) > 0.2
    assert min(changes) < 0.05  # and stand still while a step holds


def test_a_gif_lasts_as_long_as_the_play_and_loops() -> None:
    content = export_play(SHORT, "gif", height=240)
    with Image.open(io.BytesIO(content)) as picture:
        lasts = 0
        for number in range(picture.n_frames):
            picture.seek(number)
            lasts += picture.info["duration"]
        assert lasts / 1000 == pytest.approx(SHORT.duration, abs=0.3)
        assert picture.info["loop"] == 0
    once = export_play(SHORT, "gif", height=240, loop=False)
    with Image.open(io.BytesIO(once)) as picture:
        assert picture.info.get("loop") != 0


def test_progress_is_told_and_stopping_leaves_nothing() -> None:
    told: list[tuple[int, int]] = []
    export_play(SHORT, "mp4", height=240, fps=10, progress=lambda done, of: told.append((done, of)))
    assert [done for done, _ in told] == list(range(1, told[-1][1] + 1))
    with pytest.raises(StoppedError):
        export_play(SHORT, "mp4", height=240, fps=10, cancel=lambda: len(told) > 0)
    with pytest.raises(StoppedError):
        gif([np.zeros((240, 320, 3), dtype=np.uint8)] * 9, 9, cancel=lambda: True)


def test_without_the_extra_it_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "av", None)
    with pytest.raises(UsageError) as fault:
        export_play(SHORT, "mp4")
    assert "film" in str(fault.value)
    assert export_play(SHORT, "svg")


@pytest.mark.parametrize(
    ("wish", "where"),
    [({"step": 99}, "step"), ({"fps": 0}, "fps"), ({"height": 3}, "height"), ({"step": 1}, "step")],
)
def test_a_wish_that_cannot_be_gets_directions(wish: dict[str, int], where: str) -> None:
    with pytest.raises(UsageError) as fault:
        export_play(SHORT, "mp4", **wish)
    assert where in [problem.where for problem in fault.value.problems]


# -- moving picture ----------


def test_the_moving_picture_is_one_svg_without_script_or_anything_from_outside() -> None:
    text = export_play(PLAY, "svg", looks=True, shade=True).decode()
    root = ElementTree.fromstring(text)
    assert root.tag.endswith("svg")
    assert "<script" not in text
    assert not re.search(r'(?:href|src)="(?!#)', text)
    assert not re.search(r"url\((?!#)", text)
    for step in PLAY.steps:
        assert all(word in text for word in step.says.split()[:4])


@pytest.mark.browser
def test_it_moves_in_a_browser_and_stands_still_where_less_motion_is_asked(browser: Any) -> None:
    text = export_play(SHORT, "svg").decode()
    where = """() => [...document.querySelectorAll('.token')].map(t => { const b = t.getBoundingClientRect();
      return [Math.round(b.x), Math.round(b.y), getComputedStyle(t).display]; })"""
    seen = {}
    for motion in ("no-preference", "reduce"):
        page = browser.new_page(reduced_motion=motion)
        page.set_content(text)
        places = []
        for _ in range(6):
            places.append(json.dumps(page.evaluate(where)))
            page.wait_for_timeout(150)
        seen[motion] = len(set(places))
        page.close()
    assert seen["no-preference"] > 1
    assert seen["reduce"] == 1


# -- paper and stills ----------


@pytest.mark.parametrize("per_page", [1, 2, 4])
def test_the_step_sheet_has_every_step_with_its_words(per_page: int) -> None:
    content = export_play(PLAY, "pdf", per_page=per_page)
    reader = PdfReader(io.BytesIO(content))
    assert len(reader.pages) == -(-len(PLAY.steps) // per_page)
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    for step in PLAY.steps:
        assert step.says.split(".")[0] in text
    assert "Your state association and interpreter decide." in text
    fonts = {
        str(font.get_object().get("/BaseFont"))
        for page in reader.pages
        for font in page["/Resources"].get("/Font", {}).values()
    }
    assert fonts
    assert all("+" in name for name in fonts), "every font is embedded"
    assert reader.trailer["/Root"].get("/MarkInfo", {}).get("/Marked"), "tagged, for who listens to it"


def test_a_sheet_that_shows_what_is_seen_says_that_bodies_are_flat() -> None:
    reader = PdfReader(io.BytesIO(export_play(PLAY, "pdf", looks=True)))
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert "heads, arms and height are not modelled" in text


def test_a_still_shows_looks_and_shading() -> None:
    plain = export_play(PLAY, "png", step=2)
    seen = export_play(PLAY, "png", step=2, looks=True, shade=True)
    with Image.open(io.BytesIO(plain)) as one, Image.open(io.BytesIO(seen)) as two:
        assert one.size[0] == two.size[0] >= 600
        ours = np.asarray(one.convert("L"))
        theirs = np.asarray(two.convert("L"))[: ours.shape[0]]
    assert (np.abs(ours[: theirs.shape[0]].astype(int) - theirs) > 20).mean() > 0.01


def test_the_open_json_reads_back_as_the_play() -> None:
    assert read_play(export_play(PLAY, "json")) == PLAY


# -- the command ----------


def run(*words: str) -> int:
    return cli.main([*words])


def written(tmp_path: Path, play: Play = SHORT) -> Path:
    file = tmp_path / "play.json"
    file.write_text(json.dumps(play_as_dict(play)), "utf-8")
    return file


def test_the_command_writes_a_film_and_never_over_another_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    play, film = written(tmp_path), tmp_path / "out.mp4"
    assert run("show", str(play), "--out", str(film), "--height", "240", "--fps", "10") == 0
    first = film.read_bytes()
    assert decoded(first)
    assert run("show", str(play), "--out", str(film)) != 0
    assert film.read_bytes() == first
    assert "--force" in capsys.readouterr().err
    assert run("show", str(play), "--out", str(film), "--height", "240", "--fps", "10", "--force") == 0
    assert sorted(one.name for one in tmp_path.iterdir()) == ["out.mp4", "play.json"]


@pytest.mark.parametrize(("name", "said"), [("out.avi", "mp4"), ("nowhere/out.svg", "nowhere")])
def test_a_file_it_cannot_write_gets_directions(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, said: str
) -> None:
    assert run("show", str(written(tmp_path)), "--out", str(tmp_path / name)) != 0
    told = capsys.readouterr().err
    assert said in told
    assert "Traceback" not in told


def test_a_play_that_cannot_be_read_is_refused_whole(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "play.json"
    file.write_text('{"format": "tenbetween play", "steps": [{}]}', "utf-8")
    assert run("show", str(file), "--out", str(tmp_path / "out.svg")) == 1
    assert not (tmp_path / "out.svg").exists()
    assert "steps[0]" in capsys.readouterr().err


def test_errors_are_ours() -> None:
    with pytest.raises(TenbetweenError):
        export_play(replace(PLAY, steps=()), "svg")
