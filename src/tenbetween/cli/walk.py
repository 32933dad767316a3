"""``tenbetween walk``: a game's stoppages in, who was where through every restart out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say

if TYPE_CHECKING:
    from tenbetween.crew import Opening
    from tenbetween.movement import Legwork, Runs


@click.command()
@click.argument("game")
@asked.book_options
@asked.json_option
@click.option(
    "--legs", default="jogger", show_default=True, metavar="PROFILE", help="brisk adult, jogger or sprinter."
)
@click.option("--csv", "as_csv", is_flag=True, help="A table, one line for each time the ball is given.")
def walk(
    game: str,
    edition: str | None,
    layers: tuple[str, ...],
    workbench: str | None,
    as_json: bool,
    legs: str,
    as_csv: bool,
) -> None:
    """Walk a game: a CSV file or a typed list of stoppages, or - for standard input.

    For each stoppage: the answer, both officials, who switched, how far each ran at least and how long a
    profile needs for it, and what stays open.
    """
    from tenbetween.desk.games import walk_csv, walk_json, walk_report, walk_text
    from tenbetween.desk.runs import NOTE, runs_of
    from tenbetween.movement import legs_of

    profile = legs_of(legs)
    by, shelf = asked.by_which(edition, layers, workbench)
    raw = asked.read_input() if game == "-" else asked.read_file(game)
    walked = walk_text(shelf, raw, today=asked.today(), edition=by.edition, layers=by.layers)
    if as_json:
        from tenbetween.formats.game_walked import runs_as_dict
        from tenbetween.formats.json_text import write_json

        runs = {**runs_as_dict(runs_of(walked, profile), walked.opening), "note": NOTE}
        say(write_json({**walk_json(walked), "runs": runs}))
    elif as_csv:
        say(walk_csv(walked).rstrip("\n"))
    else:
        say(in_words(walk_report(walked)))
        say("\n".join(["", *runs_in_words(runs_of(walked, profile), walked.opening), NOTE]))


def in_words(page: dict[str, Any]) -> str:
    """Return a walked game as a list to read."""
    lines = [f"By {page['book']}", ""]
    for row in page["rows"]:
        lines += _row(row)
    lines += ["", *(f"{one['label']}: {one['value']}" for one in page["totals"])]
    if page["questions"]:
        lines += [
            "",
            "To ask:",
            *(f"  rows {_rows(one['rows'])}: {one['about']}: {one['why']}" for one in page["questions"]),
        ]
    return "\n".join(lines)


def _row(row: dict[str, Any]) -> list[str]:
    switch = {"yes": "switch", "no": "no switch"}.get(row["switch"], "")
    after = "; ".join(
        part for part in (switch, f"lead: {row['lead']}" if row["lead"] else "", row["ran"]) if part
    )
    lines = [f"{row['number']:>4}  {row['when']:<9} {row['what']}", f"      {row['sentence']}"]
    lines += [f"      {after}"] if after else []
    return lines + ([f"      open: {row['open']}"] if row["open"] else [])


def _rows(numbers: list[int]) -> str:
    shown = ", ".join(str(number) for number in numbers[:8])
    return shown if len(numbers) <= 8 else f"{shown} and {len(numbers) - 8} more"


def runs_in_words(runs: Runs, opening: Opening) -> list[str]:
    """Return what the runs of each official add up to, as lines to read."""
    lines = [f"Runs, timed as a {runs.legs.name} ({runs.legs.speed:g} ft/s):"]
    for one in runs.by_official:
        lines += _legwork(one, opening.name_of(one.person))
    if runs.not_known:
        lines.append(f"  {runs.not_known} times a place before or after is not known; those are in no number")
    return lines


def _legwork(one: Legwork, name: str) -> list[str]:
    lines = [f"  {name}: {one.runs} runs, {one.feet:,.0f} ft, {one.seconds:,.0f} s running"]
    if one.longest is not None:
        lines[0] += (
            f"; longest {one.longest.feet:.0f} ft, {one.longest.seconds:.1f} s (row {one.longest.row})"
        )
    return lines + [
        f"    {kind.kind}: {kind.runs}, median {kind.feet_median:.0f} ft, {kind.seconds_median:.1f} s"
        for kind in one.kinds
    ]
