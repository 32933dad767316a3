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
from tenbetween.film.calibrate import Solved, solve, somewhere
from tenbetween.film.camera import Camera
from tenbetween.film.clicks import CLICK_SD, Click, Clicks, measured, places_of
from tenbetween.film.error_ellipse import Ellipse, Foothold, footholds

Json = dict[str, Any]
Floats = NDArray[np.float64]
LEAST_NUMBERS = 5
"""So many measured numbers (two a place, one a dot on a line) before a camera is worth drawing."""
ENOUGH = 8
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


def camera_of(clicks: Clicks) -> tuple[Found, Solved] | None:
    """Return the camera that explains clicks, or None while too little is clicked."""
    seen = measured(clicks)
    if seen.count < LEAST_NUMBERS:
        return None
    solved = solve(clicks.picture, seen, clicks.sd, somewhere(clicks.court))
    if solved is None or not np.isfinite(solved.covariance).all():
        return None
    widened = max(1.0, solved.chi2 / solved.freedom) if solved.freedom > 4 else 1.0
    count = len(clicks.landmarks) + len(clicks.lines)
    how = f"{count} click{'s' if count != 1 else ''}"
    return Found(solved.camera, solved.covariance * widened, how), solved


def snapped(found: Found, picture: NDArray[np.uint8], court: Court) -> Found:
    """Return the camera moved onto the painted lines of its picture, and how much of the paint fits then."""
    from tenbetween.film.follow import grey_of
    from tenbetween.film.refine import Lines, refine

    grey, lines = grey_of(picture), Lines.of(court)
    lines.learn(grey, found.camera)
    sd = np.maximum(np.sqrt(np.diag(found.covariance))[[3, 4, 5, 6]], 1e-4)
    told = refine(grey, found.camera, lines, sd, (10.0, 5.0, 3.0))
    by_lines: Floats = np.asarray(np.linalg.inv(told.spread) - np.diag(1 / sd**2), float)
    return Found(
        told.camera,
        _both(found.covariance, by_lines),
        f"{found.how} and the painted lines",
        float(told.share),
    )


def _both(covariance: Floats, by_lines: Floats) -> Floats:
    """Return how sure a camera is that clicks told, and lines its pan, tilt, roll and zoom."""
    known = np.linalg.inv(covariance)
    known[3:7, 3:7] += by_lines
    together = np.linalg.inv(known)
    sound: Floats = (together + together.T) / 2
    return sound


def state_of(share: float | None) -> str:
    """Return green, amber or red for a share of paint that fits; nothing while nobody looked."""
    if share is None:
        return ""
    from tenbetween.film.follow import state_of as colour_of

    return colour_of(share)


# ---- what a page shows ----


def located(clicks: Clicks, picture: NDArray[np.uint8] | None = None, kept: Found | None = None) -> Json:
    """Return what clicks give: camera, lines over the picture, each click's residual, the next mark, feet.

    With a picture the camera is moved onto its painted lines. ``kept`` is a camera known already, used while
    nothing is clicked.
    """
    solved = camera_of(clicks)
    found = solved[0] if solved else (kept if not (clicks.landmarks or clicks.lines) else None)
    if found is not None and picture is not None and solved:
        found = snapped(found, picture, clicks.court)
    rows = _rows(clicks, solved[1] if solved else None)
    wrong = misnamed(clicks, solved[1]) if solved else None
    return {
        "ok": found is not None and wrong is None,
        "why": _why(clicks, found, wrong),
        "clicks": rows,
        "residual_px": _rms(rows),
        "wrong": None if wrong is None else {"name": wrong, "words": words_of(wrong)},
        "next": _next(clicks, found),
        "paint": [] if found is None else paint_in(found.camera, clicks.court),
        "state": state_of(found.share) if found else "",
        "state_words": state_words(found),
        "feet": [] if found is None else feet_in(found, clicks),
        "camera": None if found is None else found.kept(),
    }


def state_words(found: Found | None) -> str:
    """Return in words how well a camera is known."""
    if found is None:
        return "Not known yet."
    if found.share is None:
        return CAREFUL
    return STATES[state_of(found.share)].format(share=round(100 * found.share))


def _rows(clicks: Clicks, solved: Solved | None) -> list[Json]:
    names = (*clicks.landmarks, *clicks.lines)
    off = [None] * len(names) if solved is None else _off_by_click(clicks, solved)
    return [
        {"name": one.name, "words": words_of(one.name), "px": list(one.dot),
         "off_px": None if far is None else round(far, 2), "says": "" if far is None else f"{far:.1f} dots off"}
        for one, far in zip(names, off, strict=True)
    ]  # fmt: skip


def _off_by_click(clicks: Clicks, solved: Solved) -> list[float | None]:
    """Return how far each click is off, in dots, in the order of landmarks and lines."""
    seen = measured(clicks)
    places = len(seen.places)
    off = [float(np.hypot(*solved.off[2 * one : 2 * one + 2])) for one in range(places)]
    off += [abs(float(one)) for one in solved.off[2 * places : seen.count]]
    found: list[float | None] = [None] * len(off)
    for number, which in enumerate(seen.which):
        found[which] = off[number]
    return found


def _rms(rows: Sequence[Json]) -> float | None:
    known = [one["off_px"] for one in rows if one["off_px"] is not None]
    return round(float(np.sqrt(np.mean(np.square(known)))), 2) if known else None


def misnamed(clicks: Clicks, solved: Solved) -> str | None:
    """Return the name of the click that is on another mark than it says, or None when all agree."""
    from scipy.stats import chi2

    freedom = solved.freedom
    if freedom < 2 or solved.chi2 <= chi2.ppf(0.995, freedom):
        return None
    names = (*clicks.landmarks, *clicks.lines)
    rest = []
    for number in range(len(names)):
        seen = measured(clicks, without=number)
        again = solve(clicks.picture, seen, clicks.sd, somewhere(clicks.court), near=solved.camera)
        rest.append(float("inf") if again is None else again.chi2)
    return names[int(np.argmin(rest))].name


def _why(clicks: Clicks, found: Found | None, wrong: str | None) -> str:
    if wrong is not None:
        return f"One click does not fit: is this really the {words_of(wrong)}? Without it the others agree."
    if found is not None:
        return ""
    count = len(clicks.landmarks)
    return (
        f"{count} of 6 marks clicked: choose marks far apart." if count < 6 else "These clicks fit no camera."
    )


def _next(clicks: Clicks, found: Found | None) -> Json | None:
    """Return the landmark that would tell most: where in the picture the camera is least sure."""
    done = {one.name for one in (*clicks.landmarks, *clicks.lines)}
    if found is None:
        end = "left" if any(one.startswith("left") for one in done) else "right"
        names = [name for name in first_names(clicks.court, end) if name not in done]
        return None if not names else {"name": names[0], "words": words_of(names[0])}
    places = {
        name: at
        for name, at in places_of(clicks.court).items()
        if name in clickable(clicks.court) and name not in done
    }
    if not places:
        return None
    names, at = list(places), np.array(list(places.values()))
    dots, unsure = found.camera.dots(at), _unsure(found, at)
    wide, high = clicks.picture
    inside = np.isfinite(dots).all(1) & (dots > 4).all(1) & (dots[:, 0] < wide - 4) & (dots[:, 1] < high - 4)
    if not inside.any():
        return None
    best = names[int(np.argmax(np.where(inside, unsure, -1.0)))]
    return {"name": best, "words": words_of(best)}


def _unsure(found: Found, at: Floats) -> Floats:
    """Return how unsure the dots of places are (square dots), by the camera's covariance."""
    numbers, step = found.camera.numbers(), 1e-5
    base = found.camera.dots(at)
    slopes = np.stack(
        [(found.camera.with_numbers(numbers + step * one).dots(at) - base) / step for one in np.eye(8)], -1
    )
    spread = slopes @ found.covariance @ slopes.swapaxes(1, 2)
    found_at: Floats = np.nan_to_num(np.trace(spread, axis1=1, axis2=2), nan=-1.0)
    return found_at


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
