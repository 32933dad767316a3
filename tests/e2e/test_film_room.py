"""The film room in a real browser: the frame that is named is the frame that is painted, and marking by keys alone."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import expect
from tests.e2e.test_every_page import UNFOLD, faults

from tenbetween.dev.barcoded import READ_IN_PAGE

pytestmark = pytest.mark.browser
FIRST, SECOND = "fp-first-half", "fp-second-half"
SEEK = """
async ([part, indices]) => {
  const { player } = window.film;
  const read = READ;
  const found = [];
  await player.open(player.parts.find((one) => one.fingerprint === part));
  for (const index of indices) {
    const shown = await player.seekTo(index);
    found.push([shown.index, read()]);
  }
  return found;
}
"""
STEP = """
async ([part, from, count, by]) => {
  const { player } = window.film;
  const read = READ;
  const found = [];
  await player.open(player.parts.find((one) => one.fingerprint === part));
  await player.seekTo(from);
  for (let n = 0; n < count; n++) {
    const shown = await player.step(by);
    found.push([shown.index, read()]);
  }
  return found;
}
"""


def ready(page: Any) -> Any:
    expect(page.locator("#main")).to_have_attribute("data-ready", "yes", timeout=15_000)
    return page


def script(text: str) -> str:
    return text.replace("READ", READ_IN_PAGE.strip())


@pytest.mark.parametrize(("part", "begins"), [(FIRST, 0), (SECOND, 1000)])
def test_the_frame_sought_is_the_frame_painted(open_page: Callable[..., Any], part: str, begins: int) -> None:
    page = ready(open_page("/films/f1"))
    dice = random.Random(5)
    wanted = [dice.randrange(240) for _ in range(60)]
    found = page.evaluate(script(SEEK), [part, wanted])
    assert found == [[n, begins + n] for n in wanted]


@pytest.mark.parametrize(("part", "begins"), [(FIRST, 0), (SECOND, 1000)])
def test_a_step_is_one_frame_on_or_back(open_page: Callable[..., Any], part: str, begins: int) -> None:
    page = ready(open_page("/films/f1"))
    on = page.evaluate(script(STEP), [part, 40, 30, 1])
    back = page.evaluate(script(STEP), [part, 200, 30, -1])
    assert on == [[41 + n, begins + 41 + n] for n in range(30)]
    assert back == [[199 - n, begins + 199 - n] for n in range(30)]


def test_seeking_the_beginning_of_a_frame_or_by_its_number_over_the_rate_is_not_enough(
    open_page: Callable[..., Any],
) -> None:
    """The plain ways miss on the uneven film; were they right, the test above would prove nothing."""
    page = ready(open_page("/films/f1"))
    plain = """
    async ([part, indices]) => {
      const { player } = window.film;
      const read = READ;
      await player.open(player.parts.find((one) => one.fingerprint === part));
      const even = player.part.duration_s / player.times.length;
      let right = 0;
      for (const index of indices) {
        const seen = player.painted();
        player.video.currentTime = (index + 0.5) * even;
        await seen;
        right += read() === 1000 + index;
      }
      return right;
    }
    """
    assert page.evaluate(script(plain), [SECOND, list(range(20, 220, 5))]) < 20


def test_stopped_while_playing_the_painted_frame_is_named(open_page: Callable[..., Any]) -> None:
    page = ready(open_page("/films/f1"))
    for speed in (1, 2, 3):
        found = page.evaluate(
            script("""
            async (speed) => {
              const { player } = window.film;
              const read = READ;
              await player.open(player.parts[0]);
              await player.seekTo(0);
              player.play(speed);
              await new Promise((done) => setTimeout(done, 900));
              await player.pause();
              return [player.shown.index, read()];
            }
            """),
            speed,
        )
        assert found[0] == found[1]
        assert found[0] > 10


def test_play_runs_on_into_the_next_part(open_page: Callable[..., Any]) -> None:
    page = ready(open_page("/films/f1"))
    page.evaluate("async () => { await film.player.seekTo(225); film.player.play(1); }")
    expect(page.locator("#film-frame")).to_contain_text("second half.mp4", timeout=6000)
    page.keyboard.press("Space")
    expect(page.locator("#do-play")).to_have_attribute("aria-pressed", "false")
    page.keyboard.press("PageUp")
    expect(page.locator("#film-frame")).to_contain_text("first half.mp4")


def test_a_moment_is_right_for_everybody(browser: Any, home: str, state: Any, axe_source: str) -> None:
    """axe in light and dark with every fold open, and nothing cut at 320 px."""
    wrong: dict[str, Any] = {}
    for scheme, width in (("light", 1280), ("dark", 1280), ("light", 320)):
        context = browser.new_context(
            viewport={"width": width, "height": 800}, storage_state=state, color_scheme=scheme
        )
        page = context.new_page()
        page.goto(home + "/films/f1")
        ready(page)
        page.keyboard.press("m")
        expect(page.locator("#mark-clock h2")).to_be_visible()
        page.locator('[data-value="out_of_bounds"]').click()
        expect(page.locator(".duty").first).to_be_visible()
        page.evaluate(UNFOLD)
        if found := faults(page, axe_source):
            wrong[f"{scheme} {width}"] = found
        if (wide := page.evaluate("document.documentElement.scrollWidth")) > width:
            wrong[f"{width}"] = wide
        context.close()
    assert wrong == {}


def test_on_a_phone_what_is_tapped_is_large_enough(open_page: Callable[..., Any]) -> None:
    page = ready(open_page("/films/f1", width=390, height=844, has_touch=True, is_mobile=True))
    page.locator("#do-new").tap()
    expect(page.locator("#mark-clock h2")).to_be_visible()
    small = page.evaluate("""() => [...document.querySelectorAll('main button, main input, main a.film-when')]
      .filter((one) => one.offsetParent && !one.closest('details:not([open])'))
      .map((one) => [one.id || one.className, one.getBoundingClientRect().width, one.getBoundingClientRect().height])
      .filter(([, width, height]) => height < 43.5 || width < 43.5)""")
    assert small == []
