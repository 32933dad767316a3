"""A play out of the program: moving picture, film, step sheet, still, or open JSON, as bytes for whoever asked.

Asks what the crew sees, has it drawn, and hands painted parts to the film room; writes no file itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from tenbetween.errors import Problem, UsageError, one_of
from tenbetween.scene import Play, Scene, known_part, scene_at
from tenbetween.situation import Basket

if TYPE_CHECKING:
    from tenbetween.draw.play_frames import Staging
    from tenbetween.draw.scene_shade import Field
    from tenbetween.film.write import Picture
    from tenbetween.sight import Sight

KINDS = ("svg", "mp4", "gif", "pdf", "png", "json")
FPS: dict[str, int] = {"mp4": 30, "gif": 15}
HEIGHT: dict[str, int] = {"mp4": 720, "gif": 480}
SEEN_A_SECOND = 15
"""How often looks and shading are painted anew while somebody moves: the dear part of a film."""
MOST_FPS, LEAST_HEIGHT, MOST_HEIGHT, LONGEST = 60, 240, 2160, 600.0
"""What a film may be: frames a second, dots high, seconds long."""


class Wish(NamedTuple):
    """How a play is wanted."""

    shade: bool = False
    looks: bool = False
    step: int | None = None
    """One step only, counted from 1."""
    half: Basket | bool | None = None
    turned: bool = False
    theme: str = "light"
    fps: int | None = None
    height: int | None = None
    loop: bool = True
    per_page: int = 2
    paper: str = "us-letter"


def export_play(
    play: Play,
    kind: str,
    *,
    progress: Callable[[int, int], object] | None = None,
    cancel: Callable[[], bool] | None = None,
    **wish: Any,
) -> bytes:
    """Return a play as ``svg`` (moving; a still with ``step``), ``mp4``, ``gif``, ``pdf`` (sheet), ``png`` or ``json``.

    ``looks`` draws what each official sees of each matchup, ``shade`` the floor by who sees it; the other names are
    those of ``Wish``. ``progress`` is told frames done and of how many, ``cancel`` asked before each frame.

    >>> from tenbetween.draw.golden_scenes import golden_play
    >>> export_play(golden_play(), "png", step=1)[1:4]
    b'PNG'

    Raises:
        UsageError: another kind, no such step, a film too long or too large, or the extra ``film`` is missing.
        StoppedError: ``cancel`` said so; nothing is left.
    """
    wanted = Wish(**wish)
    _check(play, kind, wanted)
    if kind in FPS:
        return _film(play, kind, wanted, progress, cancel)
    return {"json": _json, "pdf": _pdf, "svg": _svg, "png": _png}[kind](play, wanted)


def _check(play: Play, kind: str, wish: Wish) -> None:
    if kind not in KINDS:
        raise UsageError(one_of("kind", kind, KINDS))
    problems = list(_faults(play, kind, wish))
    if problems:
        raise UsageError(problems)


def _faults(play: Play, kind: str, wish: Wish) -> Iterator[Problem]:
    count = len(play.steps)
    if not count:
        yield Problem("play", "no step", "at least one", "add a step")
    if wish.step is not None and not 1 <= wish.step <= count:
        yield Problem("step", str(wish.step), f"a step from 1 to {count}", "name one of them")
    if kind == "png" and wish.step is None and count > 1:
        yield Problem("step", "none", f"which of {count} steps the still shows", "write --step 1")
    if kind in FPS and wish.step is not None:
        yield Problem(
            "step", str(wish.step), f"a whole play for {kind}", "leave it out, or ask for svg or png"
        )
    if kind in FPS and play.duration > LONGEST:
        yield Problem("play", f"{play.duration:.0f} s", f"{LONGEST:.0f} s at most", "cut it into two plays")
    if wish.fps is not None and not 1 <= wish.fps <= MOST_FPS:
        yield Problem("fps", str(wish.fps), f"1 to {MOST_FPS} frames a second", "write 30")
    if wish.height is not None and not LEAST_HEIGHT <= wish.height <= MOST_HEIGHT:
        yield Problem("height", str(wish.height), f"{LEAST_HEIGHT} to {MOST_HEIGHT} dots", "write 720")


# ---- what is seen ----


def _sight(scene: Scene, wanted: bool) -> Sight | None:
    if not wanted:
        return None
    from tenbetween.sight import see

    return see(scene)


def _field(scene: Scene, wanted: bool) -> Field | None:
    if not wanted:
        return None
    from tenbetween.sight.shade import shade

    return shade(scene).data


def _seen(play: Play, wish: Wish) -> tuple[list[Sight | None], list[Field | None]]:
    scenes = [known_part(step.scene) for step in play.steps]
    sights = [_sight(scene, wish.looks) for scene in scenes]
    return sights, [_field(scene, True) for scene in scenes] if wish.shade else []


# ---- still and moving pictures ----


def _json(play: Play, wish: Wish) -> bytes:
    from tenbetween.formats.json_text import write_json
    from tenbetween.formats.play_json import play_as_dict

    return f"{write_json(play_as_dict(play))}\n".encode()


def _pdf(play: Play, wish: Wish) -> bytes:
    from tenbetween.draw.play_sheet import play_sheet_pdf

    sights, shades = _seen(play, wish)
    only = None if wish.step is None else wish.step - 1
    return play_sheet_pdf(
        play,
        per_page=wish.per_page if only is None else 1,
        paper=wish.paper,
        half=wish.half,
        turned=wish.turned,
        sights=sights,
        shades=shades,
        only=only,
    )


def _svg(play: Play, wish: Wish) -> bytes:
    from tenbetween.draw.diagram import fitted

    if wish.step is not None or len(play.steps) == 1:
        return fitted(_still(play, wish)).encode()
    from tenbetween.draw.play_svg import play_svg

    sights, shades = _seen(play, wish)
    moving = play_svg(
        play,
        half=wish.half,
        turned=wish.turned,
        theme=wish.theme,
        loop=wish.loop,
        sights=sights,
        shades=shades,
    )
    return fitted(moving).encode()


def _png(play: Play, wish: Wish) -> bytes:
    from tenbetween.draw.sheet import diagram_png

    return diagram_png(_still(play, wish), zoom=2.0)


def _still(play: Play, wish: Wish) -> str:
    from tenbetween.draw.play_steps import step_svg
    from tenbetween.draw.play_svg import view_of

    number = (wish.step or 1) - 1
    scene = known_part(play.steps[number].scene)
    view = view_of(play, wish.half, wish.turned, wish.theme, 8.0)
    sight, field = _sight(scene, wish.looks), _field(scene, wish.shade)
    return step_svg(play, number, view, sight=sight, shade=field, key=True)


# ---- film ----


def _film(
    play: Play,
    kind: str,
    wish: Wish,
    progress: Callable[[int, int], object] | None,
    cancel: Callable[[], bool] | None,
) -> bytes:
    from tenbetween.film import write

    write.film_parts()
    from tenbetween.draw.play_frames import staging, times

    height, fps = wish.height or HEIGHT[kind], wish.fps or FPS[kind]
    staged = staging(
        play,
        half=wish.half,
        turned=wish.turned,
        theme=wish.theme,
        height=height,
        looks=wish.looks,
        shade=wish.shade,
    )
    at = times(play, fps)
    frames = film_frames(play, staged, at, wish)
    if kind == "mp4":
        return write.mp4(frames, len(at), fps, progress=progress, cancel=cancel)
    return write.gif(frames, len(at), fps, loop=wish.loop, progress=progress, cancel=cancel)


def film_frames(play: Play, staged: Staging, at: tuple[float, ...], wish: Wish) -> Iterator[Picture]:
    """Yield the picture of a play at each of some seconds; what stands still is painted once."""
    from tenbetween.draw.sheet import diagram_png
    from tenbetween.film.frames import Marks, dots_of

    marks = Marks(dots_of(diagram_png(staged.sheet(), zoom=1.0)), staged.box)
    known: tuple[int, Scene | None] | None = None
    ground: Any = None
    for t in at:
        seen_at = (int(t * SEEN_A_SECOND) + 0.5) / SEEN_A_SECOND if wish.looks or wish.shade else t
        number = staged.step(seen_at)
        scene = known_part(scene_at(play, seen_at)) if wish.looks or wish.shade else None
        if known is None or known != (number, scene):
            known = (number, scene)
            below = _ground(staged, number, scene, wish)
            ground = dots_of(diagram_png(below, zoom=1.0))[..., :3]
        yield marks.lay(ground, staged.marks(t))


def _ground(staged: Staging, number: int, scene: Scene | None, wish: Wish) -> str:
    if scene is None:
        return staged.ground(number)
    return staged.ground(number, scene, _sight(scene, wish.looks), _field(scene, wish.shade))
