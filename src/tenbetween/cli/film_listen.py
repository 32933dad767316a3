"""``tenbetween film listen``: whistles, horns, lulls and cuts of a film, the likeliest first. Decides nothing."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say

if TYPE_CHECKING:
    from tenbetween.film.listen import Listened

NOTE = (
    "These are proposals: look at each, keep or drop it. The number says how alike it is, not that it is one."
)


@click.command()
@click.argument("film")
@click.option(
    "--sound-only", is_flag=True, help="Leave the pictures out: no lulls, no cuts, and much sooner done."
)
@click.option("--least", default=0.0, metavar="NUMBER", help="Leave out what is less sure than this, 0 to 1.")
@asked.json_option
def listen(film: str, sound_only: bool, least: float, as_json: bool) -> None:
    """Listen to a film: where whistles, horns, lulls in motion and cuts may be.

    Nothing is changed and nothing kept. Times are seconds after the first picture.
    """
    from tenbetween.film.listen import listen as listened

    _checked(least)
    found = listened(film, pictures=not sound_only, told=_silent if as_json else _told())
    page = page_of(film, found, least)
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json(page))
        return
    for line in in_words(page, tuple(str(problem) for problem in found.says)):
        say(line)


def _checked(least: float) -> None:
    from tenbetween.errors import Problem, UsageError

    if not 0 <= least <= 1:
        raise UsageError(Problem("--least", repr(least), "a number from 0 to 1", "write one such as 0.5"))


def page_of(film: str, found: Listened, least: float = 0.0) -> dict[str, Any]:
    """Return what was found as plain values, by the names other programs read."""
    return {
        "film": film,
        "duration_s": round(found.duration_s, 3),
        "sound": found.sound,
        "picture": found.picture,
        "proposals": [
            {
                "t": round(one.t, 3),
                "t_end": round(one.t_end, 3),
                "kind": one.kind,
                "confidence": round(one.confidence, 3),
            }
            for one in found.proposals
            if one.confidence >= least
        ],
        "says": [problem.as_dict() for problem in found.says],
    }


def in_words(page: dict[str, Any], says: tuple[str, ...] = ()) -> Iterator[str]:
    """Tell what was found as lines to read, the likeliest first.

    >>> one = {"t": 61.25, "t_end": 62.0, "kind": "whistle", "confidence": 0.912}
    >>> list(in_words({"film": "a.mp4", "duration_s": 90.0, "proposals": [one]}))[1]
    ' 1:01.2  whistle  0.91   0.8 s'
    """
    proposals = page["proposals"]
    counts = ", ".join(
        f"{sum(one['kind'] == kind for one in proposals)} {kind}s"
        for kind in ("whistle", "horn", "lull", "cut")
    )
    yield f"{page['film']}: {clock(page['duration_s'])}, {counts}"
    for one in proposals:
        lasts = one["t_end"] - one["t"]
        length = f"{lasts:5.1f} s" if lasts else ""
        yield f"{clock(one['t']):>7}  {one['kind']:<7}  {one['confidence']:.2f} {length}".rstrip()
    yield from says
    yield NOTE


def clock(seconds: float) -> str:
    """Return seconds as minutes and seconds, with hours where there are any.

    >>> clock(61.25), clock(5402.0)
    ('1:01.2', '1:30:02.0')
    """
    tenths = int(seconds * 10 + 1e-6)
    minutes, rest = divmod(tenths, 600)
    hours, minutes = divmod(minutes, 60)
    tail = f"{rest // 10:02d}.{rest % 10}"
    return f"{hours}:{minutes:02d}:{tail}" if hours else f"{minutes}:{tail}"


def _silent(done: int, of: int, says: str) -> None:
    """Tell nothing: somebody reads JSON."""


def _told() -> Callable[[int, int, str], None]:
    """Return how progress is shown: on standard error, only to a person at a screen."""
    if not sys.stderr.isatty():
        return _silent

    def told(done: int, of: int, says: str) -> None:
        click.echo(
            f"\r{says} {100 * done // of:3d} %" + ("\r            \r" if done == of else ""),
            err=True,
            nl=False,
        )

    return told
