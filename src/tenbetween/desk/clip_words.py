"""What is said before a clip leaves, and the one page about filming: in our own words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence


def leaving_words(blurred: int, sound: bool, names: Sequence[str], way: str, since: int = 0) -> str:
    """Return the caution of a clip that is to leave the class; ``since`` regions were marked after it was made.

    >>> leaving_words(0, False, [], "exact")
    'This leaves the class. Faces are not blurred, sound is off, no name was recognised in the words: look yourself.'
    """
    regions = f"{blurred} marked region{'s' if blurred != 1 else ''}"
    faces = f"blurred in {regions}, and nowhere else" if blurred else "not blurred"
    found = (
        f"names are to be checked: {', '.join(names)}"
        if names
        else "no name was recognised in the words: look yourself"
    )
    said = f"This leaves the class. Faces are {faces}, sound is {'on' if sound else 'off'}, {found}."
    if since:
        said += f" {since} more region{'s' if since != 1 else ''} on this stretch: make it anew to blur them."
    return said + (
        " A fast copy begins at the picture before and shows everything in it." if way == "fast" else ""
    )


def left_out_words(why: Sequence[str]) -> str:
    """Return which clips a list leaves out, each reason with its count.

    >>> left_out_words(["not confirmed", "withdrawn", "not confirmed"])
    'Left out: 2 not confirmed, 1 withdrawn.'
    >>> left_out_words([])
    ''
    """
    counted = ", ".join(f"{count} {reason}" for reason, count in Counter(why).items())
    return f"Left out: {counted}." if counted else ""


GUIDE: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Before",
        (
            "Ask the school in writing. Say who will see the film, what for, and the day it is deleted.",
            "Charge the camera, empty its card, clean the lens. Take a tripod and something soft to stand it on.",
            "Never film in or near a locker room, sound included.",
        ),
    ),
    (
        "Where",
        (
            "At the middle of the court, opposite the scorer's table if you can, twelve feet up or higher.",
            "So far back that both officials fit into the picture; the lead at his end is lost first.",
            "Level the tripod. Do not move it afterwards: what was found once then holds for the whole game.",
        ),
    ),
    (
        "How",
        (
            "Wide and steady. Turn slowly with the ball and leave the zoom alone; begin with ten seconds that stand still.",
            "Keep both officials in the picture while the ball is dead: that is when you will want to see them.",
            "Do not stop the camera at whistles. What happens between the whistle and the live ball is the lesson.",
            "Sound on: whistles are found by ear. It is left out of clips unless you ask for it.",
        ),
    ),
    (
        "The camera",
        (
            "720 or 1080 lines, 30 or 60 frames a second, the same all evening. Steadying by the camera itself off.",
            "If it splits long films into parts, keep all parts and their names.",
            "No date, score or name burnt into the picture.",
        ),
    ),
    (
        "Afterwards",
        (
            "Copy the files to your disk; nothing here uploads or moves them.",
            "Write down how to tell the two officials apart: grey hair, long sleeves, a belt.",
            "Write who allowed it and until when. On that day withdraw the film: every clip goes with it.",
        ),
    ),
)
"""One page to take along: headings, each with a few sentences."""
