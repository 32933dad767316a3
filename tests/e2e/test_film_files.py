"""What we write and what we warn of, in a real browser: the middle of each frame shows that frame, or a copy is asked for.

The rule of the browser is ours to keep: a film is called playable only if each of its frames can be reached.
"""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import closing
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from starlette.applications import Starlette
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles
from tests.e2e.conftest import Quiet

from film.filming import film, number_of, steady, uneven
from tenbetween.film.browser_copy import browser_copy
from tenbetween.film.cut import exact_cut, fast_cut
from tenbetween.film.frame_index import index
from tenbetween.film.frames_in import frames
from tenbetween.film.join import join
from tenbetween.film.probe import probe

pytestmark = pytest.mark.browser
F = Fraction
PAGE = "<!doctype html><link rel=icon href=data:,><video muted preload=auto></video><canvas></canvas>"
SHOWN = """async ([src, second]) => {
  const video = document.querySelector('video'), canvas = document.querySelector('canvas');
  if (!video.src.endsWith(src)) {
    video.src = src;
    await new Promise((done, no) => { video.onloadeddata = done; video.onerror = () => no('no film'); });
  }
  const painted = new Promise((done) => { video.requestVideoFrameCallback(done); setTimeout(done, 600); });
  await new Promise((done) => { video.onseeked = done; video.currentTime = second; });
  await painted;
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  canvas.width = video.videoWidth; canvas.height = video.videoHeight;
  const ink = canvas.getContext('2d'); ink.drawImage(video, 0, 0);
  const bits = [];
  for (let row = 0; row < 4; row++) for (let column = 0; column < 4; column++) {
    const x = (column + 0.5) * canvas.width / 4, y = (row + 0.5) * canvas.height / 4;
    const dots = ink.getImageData(x - 4, y - 4, 8, 8).data;
    let sum = 0; for (let at = 0; at < dots.length; at += 4) sum += dots[at];
    bits.push(sum / (dots.length / 4) > 125 ? 1 : 0);
  }
  return { bits, wide: video.videoWidth, high: video.videoHeight };
}"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("films")
    (place / "page.html").write_text(PAGE, encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def page(browser: Any, folder: Path) -> Iterator[Any]:
    with closing(socket.socket()) as listening:
        listening.bind(("127.0.0.1", 0))
        app = Starlette(routes=[Mount("/", StaticFiles(directory=folder))])
        server = Quiet(uvicorn.Config(app, log_level="error", lifespan="off", ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        with closing(browser.new_context()) as context:
            opened = context.new_page()
            opened.goto(f"http://127.0.0.1:{listening.getsockname()[1]}/page.html")
            yield opened
        server.should_exit = True
        thread.join(5)


def wrong(page: Any, path: Path) -> tuple[int, int]:
    """Return how many frames show another at their middle, and how many were asked for: those before key frames."""
    times = index(path)
    numbers = [number_of(picture) for _, picture in frames(path)]
    keys = [number for number in range(1, len(times)) if times.key[number]]
    asked = sorted(
        {0, len(times) - 1, *(key - back for key in keys[:5] for back in (0, 1, 2, 3) if key >= back)}
    )
    bad = 0
    for number in asked:
        page.evaluate(SHOWN, [path.name, times.middle_s((number + 17) % len(times))])
        shown = page.evaluate(SHOWN, [path.name, times.middle_s(number)])
        assert (shown["wide"], shown["high"]) == probe(path).picture
        bad += sum(bit << place for place, bit in enumerate(shown["bits"][1:15])) != numbers[number]
    return bad, len(asked)


def ours(folder: Path, name: str) -> Path:
    out = folder / f"{name}.mp4"
    changing = folder / "changing.mp4"
    if not changing.exists():
        film(changing, uneven(90), F(1, 90000), sound=True)
    at = [int(pts) for pts in index(changing).pts]
    if name == "fast":
        fast_cut(changing, out, at[25], at[80], sound=True)
    elif name == "exact":
        exact_cut(changing, out, at[25], at[80], holds=[(at[40], 0.5)], sound=True)
    elif name == "joined":
        join([changing, changing], out)
    elif name == "stream":
        browser_copy(film(folder / "s.ts", uneven(90, 5), F(1, 90000), b_frames=4, sound=True), out)
    elif name == "sideways":
        browser_copy(film(folder / "h.mov", steady(90), F(1, 30), codec="libx265", rotation=90), out)
    return out


@pytest.mark.parametrize("name", ["fast", "exact", "joined", "stream", "sideways"])
def test_each_frame_of_what_we_write_is_shown_at_its_middle(page: Any, folder: Path, name: str) -> None:
    path = ours(folder, name)
    assert not probe(path).needs_copy
    bad, asked = wrong(page, path)
    assert bad == 0, f"{bad} of {asked}"
    assert asked >= 5


PLAIN: dict[str, dict[str, Any]] = {
    "steady": {"times": steady(90), "base": F(1, 30), "b_frames": 3},
    "wide": {"times": steady(90), "base": F(1, 30), "pixel": F(4, 3)},
    "turned": {"times": steady(90), "base": F(1, 30), "rotation": -90},
    "uneven": {"times": uneven(90), "base": F(1, 90000), "b_frames": 0},
}
MISTAKEN: dict[str, dict[str, Any]] = {
    "pieces": {"times": steady(90), "base": F(1, 30), "box": {"movflags": "frag_keyframe+empty_moov"}},
    "unlisted": {"times": steady(90), "base": F(1, 30), "box": {"use_editlist": "0"}},
}


@pytest.mark.parametrize("name", list(PLAIN))
def test_films_called_playable_show_each_frame(page: Any, folder: Path, name: str) -> None:
    path = film(folder / f"{name}.mp4", **PLAIN[name])
    assert not probe(path).needs_copy
    assert wrong(page, path)[0] == 0


@pytest.mark.parametrize("name", list(MISTAKEN))
def test_films_the_browser_mistakes_are_told_and_their_copy_is_right(
    page: Any, folder: Path, name: str
) -> None:
    path = film(folder / f"{name}.mp4", **MISTAKEN[name])
    told = probe(path)
    assert told.needs_copy
    assert "neighbour" in told.why_copy
    assert wrong(page, path)[0] >= 5, "the browser shows them rightly now: the warning is not needed any more"
    browser_copy(path, folder / f"{name}-copy.mp4")
    assert wrong(page, folder / f"{name}-copy.mp4")[0] == 0
