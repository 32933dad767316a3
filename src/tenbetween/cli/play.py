"""``tenbetween play``: a situation in, the answer as a play of ten players, ball and crew out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.errors import Problem, UsageError

if TYPE_CHECKING:
    from tenbetween.scene import Play, PlayStep, Scene
    from tenbetween.situation import Situation


@click.command()
@click.argument("situation", nargs=-1)
@asked.book_options
@asked.setting_options
@click.option("--formation", metavar="NAME", help="Stage it with this formation; see --formations.")
@click.option(
    "--formations", "as_list", is_flag=True, help="List the formations: all, or those that fit the situation."
)
@click.option("--step", "number", metavar="N", type=int, help="Only this step, counted from 1.")
@asked.json_option
@click.option("--scene", "as_scene", is_flag=True, help="One scene as JSON, for `tenbetween sight -`.")
@click.option("--line", "as_line", is_flag=True, help="One scene as one line of text.")
def play(
    situation: tuple[str, ...],
    edition: str | None,
    layers: tuple[str, ...],
    workbench: str | None,
    settings: tuple[str, ...],
    date: str | None,
    formation: str | None,
    as_list: bool,
    number: int | None,
    as_json: bool,
    as_scene: bool,
    as_line: bool,
) -> None:
    """Stage an answer as a play: a line, a JSON file, or - for standard input.

    \b
    tenbetween play "made goal, right, lead table" --formation back-end-line-press-man
    tenbetween play situation.json --scene | tenbetween sight -

    Step by step where everybody stands, from the whistle until play is live. Without --step, --scene and --line take
    the moment the ball is at the thrower's disposal.
    """  # noqa: D301 - the backspace keeps the lines below it apart
    if as_json + as_scene + as_line > 1:
        raise click.UsageError("take one of --json, --scene and --line")
    by, shelf = asked.by_which(edition, layers, workbench, settings, date)
    if not situation:
        _nothing_asked(as_list, as_json)
        return
    one, named = _asked(situation, by)
    if as_list:
        _list_fitting(shelf, one, as_json)
        return
    from tenbetween.desk.plays import play_of_answer, scene_of

    form = formation or named
    told = play_of_answer(shelf, one, form)
    if as_scene or as_line:
        scene = _step(told, number).scene if number is not None else scene_of(shelf, one, form).scene
        _say_scene(scene, as_line=as_line)
    else:
        _say_play(told, number, as_json=as_json)


def _asked(words: tuple[str, ...], by: asked.ByWhich) -> tuple[Situation, str | None]:
    """Return the one situation asked, and the formation its line names after two strokes."""
    before, strokes, after = " ".join(words).partition("//")
    given = (before,) if strokes else words
    found, is_list = asked.situations(given, by)
    if is_list:
        do = "ask them one after the other"
        raise UsageError(Problem("situation", f"a list of {len(found)}", "one situation", do))
    return found[0], after.strip() or None


def _nothing_asked(as_list: bool, as_json: bool) -> None:
    if not as_list:
        raise click.UsageError(
            'say a situation, such as "made goal, right, lead table", or - for standard input'
        )
    from tenbetween.scene import FORMATIONS

    _say_formations(tuple(FORMATIONS.values()), as_json)


def _list_fitting(shelf: Any, one: Situation, as_json: bool) -> None:
    from tenbetween.desk.answers import answer
    from tenbetween.scene import formations_for

    _say_formations(formations_for(answer(shelf, one)), as_json)


def _say_formations(found: tuple[Any, ...], as_json: bool) -> None:
    if as_json:
        from tenbetween.formats.json_text import write_json

        pages = [
            {"id": one.id, "title": one.title, "words": one.words, "fits": sorted(one.fits)} for one in found
        ]
        say(write_json(pages))
        return
    wide = max(len(one.id) for one in found)
    for one in found:
        say(f"{one.id:<{wide}}  {one.title}")


def _say_scene(scene: Scene, *, as_line: bool) -> None:
    if as_line:
        from tenbetween.formats.scene_line import scene_line

        say(scene_line(scene))
        return
    from tenbetween.formats.json_text import write_json
    from tenbetween.formats.scene_json import scene_as_dict

    say(write_json(scene_as_dict(scene)))


def _say_play(told: Play, number: int | None, *, as_json: bool) -> None:
    if as_json:
        from msgspec.structs import replace

        from tenbetween.formats.json_text import write_json
        from tenbetween.formats.play_json import play_as_dict

        only = told if number is None else replace(told, steps=(_step(told, number),))
        say(write_json(play_as_dict(only)))
        return
    say("\n".join(_in_words(told, number)))


def _step(told: Play, number: int) -> PlayStep:
    """Return a step by its number, counted from 1.

    Raises:
        UsageError: there is none of that number.
    """
    if 1 <= number <= len(told.steps):
        return told.steps[number - 1]
    expected = f"a step from 1 to {len(told.steps)}"
    raise UsageError(Problem("--step", str(number), expected, "leave it out to see them all"))


# -- in words --------------------------------------------------------------------------------------------------


def _in_words(told: Play, number: int | None) -> Iterator[str]:
    from tenbetween.formats.scene_line import THEN

    yield told.title
    chosen = range(1, len(told.steps) + 1) if number is None else (number,)
    for one in chosen:
        yield from _step_in_words(_step(told, one), one)
    if told.note:
        yield told.note
    yield f"{told.line} {THEN} {told.formation}"


def _step_in_words(step: PlayStep, number: int) -> Iterator[str]:
    from tenbetween.scene import ROLES, person_in

    after = f" ({step.seconds:.1f} s)" if step.seconds else ""
    yield f"{number:>2}. {step.says}{after}"
    crew = [
        f"{role} ({person_in(step, role).capitalize()}) {_place(step.scene.crew.of(role).at)}"
        for role in ROLES
    ]
    yield f"    {', '.join(crew)}, ball {_place(step.scene.ball)}"
    if step.provisions:
        yield f"    {', '.join(step.provisions)}"


def _place(at: tuple[float, float]) -> str:
    return f"{at[0]:g},{at[1]:g}"
