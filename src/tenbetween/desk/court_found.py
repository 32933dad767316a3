"""The court found on a frame: clicks by name become a camera, its lines over the picture, feet with their ellipses.

Joins the solver of the film room with the names of the floor and says in words how good it is. Keeps nothing and
opens no film: a picture is handed in where the painted lines are to be looked at.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeGuard

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court, court_of
from tenbetween.desk.court_words import clickable, first_names, words_of
from tenbetween.errors import FormatError, Problem
from tenbetween.film.camera import Camera
from tenbetween.film.clicks import CLICK_SD, Click, Clicks
from tenbetween.film.error_ellipse import Ellipse, Foothold, footholds
from tenbetween.film.locate import Located, locate

Json = dict[str, Any]
Floats = NDArray[np.float64]
CAREFUL = "From the marks you clicked: check that the lines lie on the floor."
STATES = {
    "green": "Known: {share} % of the paint in view lies where it should.",
    "amber": "Doubtful: only {share} % of the paint in view lies where it should. Look before you trust it.",
    "red": "Lost: {share} % of the paint in view fits. Click two points again.",
}
MOST_CLICKS, MOST_FEET = 60, 30


@dataclass(frozen=True, slots=True)
class Found:
    """A camera with how sure it is, as a frame keeps it."""

    camera: Camera
    covariance: Floats
    how: str
    share: float | None = None

    def kept(self) -> Json:
        """Return it as an anchor keeps it."""
        return {
            "numbers": self.camera.numbers().tolist(),
            "covariance": self.covariance.tolist(),
            "picture": list(self.camera.picture),
            "share": self.share,
            "how": self.how,
        }


def found_of(kept: Mapping[str, Any]) -> Found:
    """Return a camera from what an anchor keeps."""
    picture = (int(kept["picture"][0]), int(kept["picture"][1]))
    camera = Camera(0, 0, 1, 0, 0, 0, 1, 0, picture).with_numbers(kept["numbers"])
    return Found(camera, np.asarray(kept["covariance"], float), str(kept.get("how", "")), kept.get("share"))


# ---- reading what was clicked ----


def read_clicks(given: Mapping[str, Any], picture: Sequence[int], court: Court) -> Clicks:
    """Return the clicks of a page.

    Raises:
        FormatError: every name that is not on this floor, every dot that is none.
    """
    kinds, problems = clickable(court), []
    rows: dict[str, list[Click]] = {"landmark": [], "line": [], "feet": []}
    for where, most in (("landmarks", MOST_CLICKS), ("lines", MOST_CLICKS), ("feet", MOST_FEET)):
        listed = given.get(where) or []
        if not isinstance(listed, list) or len(listed) > most:
            problems.append(Problem(where, "no list, or too long", f"at most {most} clicks", "send fewer"))
            continue
        for number, one in enumerate(listed):
            found = _click(one, f"{where}[{number}]", "id" if where == "feet" else "name", kinds, problems)
            if found is not None:
                rows["feet" if where == "feet" else kinds[found.name]].append(found)
    if problems:
        raise FormatError(problems)
    size = (int(picture[0]), int(picture[1]))
    sd = max(1.0, CLICK_SD * size[1] / 720)
    return Clicks(size, court, tuple(rows["landmark"]), tuple(rows["line"]), tuple(rows["feet"]), sd)


def _click(
    given: Any, where: str, key: str, kinds: Mapping[str, str], problems: list[Problem]
) -> Click | None:
    name = given.get(key) if isinstance(given, dict) else None
    px = given.get("px") if isinstance(given, dict) else None
    if not isinstance(name, str) or (key == "name" and name not in kinds):
        problems.append(
            Problem(f"{where}.{key}", repr(name)[:60], "a mark of this floor", "choose it from the list")
        )
        return None
    if not _is_dot(px):
        problems.append(
            Problem(f"{where}.px", repr(px)[:60], "two numbers: dots across and down", "click again")
        )
        return None
    return Click(name, (float(px[0]), float(px[1])))


def _is_dot(px: Any) -> TypeGuard[list[float]]:
    return (
        isinstance(px, list)
        and len(px) == 2
        and all(isinstance(one, int | float) and abs(one) < 1e6 for one in px)
    )


# ---- the camera ----


def state_of(share: float | None) -> str:
    """Return green, amber or red for a share of paint that fits; nothing while nobody looked."""
    if share is None:
        return ""
    from tenbetween.film.follow import state_of as colour_of

    return colour_of(share)


def found_again(camera: Camera, anchor: Found, picture: NDArray[np.uint8], court: Court, where: str) -> Found:
    """Return a camera offered from another frame's picture, put right by the lines of this one, with how sure it is."""
    from tenbetween.film.snap import snap

    loose = anchor.covariance + np.diag([0.0, 0.0, 0.0, 1e-5, 1e-5, 1e-6, 1e-5, 0.0])
    told = snap(camera, loose, court, picture)
    if not told.taken:
        return Found(camera, loose, f"found again from {where}", told.share)
    return Found(told.camera, told.covariance, f"found again from {where}", told.share)


# ---- what a page shows ----


def located(
    clicks: Clicks,
    picture: NDArray[np.uint8] | None = None,
    kept: Found | None = None,
    prior: Found | None = None,
) -> Json:
    """Return what clicks give: camera, lines over the picture, each click's residual, the next mark, feet.

    With a picture the camera is moved onto its painted lines. ``kept`` is a camera known already, used while
    nothing is clicked; ``prior`` one found before from the same place: two marks are then enough.
    """
    clicked = bool(clicks.landmarks or clicks.lines)
    before = None if prior is None else (prior.camera, prior.covariance)
    answer = locate(clicks, picture, prior=before, next_marks=True) if clicked else None
    found = kept if answer is None else _found(answer, clicks)
    odd = () if answer is None else answer.suspects
    return {
        "ok": found is not None and (answer is None or answer.ok),
        "why": _why(answer, odd),
        "clicks": _rows(clicks, answer),
        "residual_px": None if answer is None or answer.residual is None else round(answer.residual, 2),
        "wrong": {"name": odd[0], "words": words_of(odd[0])} if odd else None,
        "odd": list(odd),
        "next": _next(clicks, answer, found),
        "paint": [] if found is None else paint_in(found.camera, clicks.court),
        "state": state_of(found.share) if found else "",
        "state_words": state_words(found),
        "depth": "" if answer is None else answer.depth,
        "feet": [] if found is None else feet_in(found, clicks),
        "camera": None if found is None else found.kept(),
    }


def as_kept(shown: Json, kept: Found, clicks: Clicks) -> Json:
    """Return what clicks give with the camera that was kept of them in its place."""
    return {
        **shown,
        "ok": True,
        "paint": paint_in(kept.camera, clicks.court),
        "state": state_of(kept.share),
        "state_words": state_words(kept),
        "feet": feet_in(kept, clicks),
        "camera": kept.kept(),
    }


def _found(answer: Located, clicks: Clicks) -> Found | None:
    if answer.camera is None or answer.covariance is None:
        return None
    count = len(clicks.landmarks) + len(clicks.lines)
    how = f"{count} click{'s' if count != 1 else ''}"
    snapped = "" if answer.share is None else " and the painted lines"
    return Found(answer.camera, answer.covariance, how + snapped, answer.share)


def state_words(found: Found | None) -> str:
    """Return in words how well a camera is known."""
    if found is None:
        return "Not known yet."
    if found.share is None:
        return CAREFUL
    return STATES[state_of(found.share)].format(share=round(100 * found.share))


def _rows(clicks: Clicks, answer: Located | None) -> list[Json]:
    names = (*clicks.landmarks, *clicks.lines)
    off: Sequence[float | None] = [None] * len(names)
    if answer is not None and answer.marks:
        off = [round(one.off, 2) for one in answer.marks]
    return [
        {"name": one.name, "words": words_of(one.name), "px": list(one.dot), "off_px": far,
         "says": "" if far is None else f"{far:.1f} dots off"}
        for one, far in zip(names, off, strict=True)
    ]  # fmt: skip


def _why(answer: Located | None, odd: Sequence[str]) -> str:
    if answer is None:
        return ""
    if len(odd) == 1:
        return f"One click does not fit: is this really the {words_of(odd[0])}? Without it the others agree."
    if odd:
        return f"One of these does not fit the others: {'; '.join(words_of(one) for one in odd)}."
    return f"{answer.why[:1].upper()}{answer.why[1:]}{'.' if answer.why else ''}"


def _next(clicks: Clicks, answer: Located | None, found: Found | None) -> Json | None:
    """Return the landmark whose click would tell most; while nothing is known, the next of those far apart."""
    can = clickable(clicks.court)
    done = {one.name for one in (*clicks.landmarks, *clicks.lines)}
    told = () if answer is None else answer.next_marks
    names = [one.name for one in told if one.name in can and one.name not in done]
    if not names:
        end = "left" if any(one.startswith("left") for one in done) else "right"
        names = [name for name in first_names(clicks.court, end) if name not in done]
    return {"name": names[0], "words": words_of(names[0])} if names else None


def paint_in(camera: Camera, court: Court, step: float = 2.0) -> list[list[list[float]]]:
    """Return the painted lines of a court as lines of dots, cut where they leave the picture."""
    from tenbetween.film.painted import paint_of

    paint = paint_of(court, step=step)
    found: list[list[list[float]]] = []
    for line in range(len(paint.names)):
        found.extend(_cut(camera.dots(paint.places[paint.line == line]), camera.picture))
    return found


def _cut(dots: Floats, picture: tuple[int, int]) -> list[list[list[float]]]:
    wide, high = picture
    margin = 0.15 * wide
    inside = np.isfinite(dots).all(1) & (dots[:, 0] > -margin) & (dots[:, 0] < wide + margin)
    inside &= (dots[:, 1] > -margin) & (dots[:, 1] < high + margin)
    runs: list[list[list[float]]] = []
    run: list[list[float]] = []
    for dot, there in zip(dots, inside, strict=True):
        if there:
            run.append([round(float(dot[0]), 1), round(float(dot[1]), 1)])
        elif run:
            runs.append(run)
            run = []
    return [one for one in [*runs, run] if len(one) > 1]


# ---- feet ----


def feet_in(found: Found, clicks: Clicks) -> list[Json]:
    """Return where clicked feet stand: the place, its 95 % ellipse on the floor and in the picture, in words."""
    dots = np.array([one.dot for one in clicks.feet], float).reshape(-1, 2)
    held = footholds(found.camera, found.covariance, dots, clicks.sd)
    return [_foot(one, place, found.camera) for one, place in zip(clicks.feet, held, strict=True)]


def _foot(click: Click, held: Foothold | None, camera: Camera) -> Json:
    if held is None:
        return {
            "id": click.name,
            "px": list(click.dot),
            "at": None,
            "says": "Above the floor: click where he stands.",
        }
    ellipse = held.ellipse
    around = camera.dots(around_of(held.at, ellipse))
    return {
        "id": click.name,
        "px": list(click.dot),
        "at": [round(held.at[0], 2), round(held.at[1], 2)],
        "spread": held.spread.tolist(),
        "ellipse": {"major": round(ellipse.major, 3), "minor": round(ellipse.minor, 3), "angle_deg": round(ellipse.angle_deg, 1)},
        "picture": np.round(np.nan_to_num(around), 1).tolist(),
        "says": f"±{max(0.1, ellipse.major):.1f} ft from the marks you clicked",
    }  # fmt: skip


def around_of(at: Sequence[float], ellipse: Ellipse, count: int = 32) -> Floats:
    """Return points of an ellipse on the floor (count, 2, feet).

    >>> around_of((10.0, 5.0), Ellipse(2.0, 1.0, 0.0), 4).round(6).tolist()
    [[12.0, 5.0], [10.0, 6.0], [8.0, 5.0], [10.0, 4.0]]
    """
    turn, lies = np.linspace(0, 2 * np.pi, count, endpoint=False), np.radians(ellipse.angle_deg)
    long, short = ellipse.major * np.cos(turn), ellipse.minor * np.sin(turn)
    across = np.column_stack(
        [long * np.cos(lies) - short * np.sin(lies), long * np.sin(lies) + short * np.cos(lies)]
    )
    found: Floats = np.asarray(at, float) + across
    return found


def floor_of(edition: str) -> Court:
    """Return the floor of an edition."""
    return court_of("fiba" if edition.startswith("fiba") else "us-hs")
