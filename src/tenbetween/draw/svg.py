"""Writes SVG as text: numbers of at most three decimals, attributes in order, words made safe.

Knows nothing of courts. One thing in gives one text out, so pictures can be compared letter by letter.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

Point = tuple[float, float]


def number(value: float) -> str:
    """Return a number as short as it can be written with three decimals.

    >>> number(2.0), number(-0.0001), number(1 / 3)
    ('2', '0', '0.333')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def tag(name: str, *inside: str, **attributes: str | float | None) -> str:
    """Return one element; ``stroke_width`` becomes ``stroke-width``, ``class_`` ``class``; None is left out.

    >>> tag("line", x1=0, x2=1.5, stroke_width=2, class_="post")
    '<line class="post" stroke-width="2" x1="0" x2="1.5"/>'
    """
    named = {key.rstrip("_").replace("_", "-"): value for key, value in attributes.items()}
    written = "".join(
        f' {key}="{_value(value)}"' for key, value in sorted(named.items()) if value is not None
    )
    body = "".join(inside)
    return f"<{name}{written}>{body}</{name}>" if body else f"<{name}{written}/>"


def _value(value: str | float | None) -> str:
    return escape(value, quote=True) if isinstance(value, str) else number(value or 0.0)


def words(text: str) -> str:
    """Return text that may stand between two tags.

    >>> words("<1 ft & more")
    '&lt;1 ft &amp; more'
    """
    return escape(text, quote=False)


def path(points: Iterable[Point], *, closed: bool = False) -> str:
    """Return the path data of a chain of points.

    >>> path([(0, 0), (1, 2)], closed=True)
    'M0 0L1 2Z'
    """
    chain = "L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{chain}{'Z' if closed else ''}"


def curve(start: Point, first: Point, second: Point, end: Point) -> str:
    """Return the path data of one bend with two handles.

    >>> curve((0, 0), (1, 0), (2, 1), (2, 2))
    'M0 0C1 0 2 1 2 2'
    """
    rest = " ".join(f"{number(x)} {number(y)}" for x, y in (first, second, end))
    return f"M{number(start[0])} {number(start[1])}C{rest}"


def picture(width: float, height: float, title: str, description: str, *inside: str, **more: str) -> str:
    """Return a whole picture with its name and its description for those who do not see it.

    >>> picture(10, 5, "A court", "Empty.").startswith('<svg aria-label="A court. Empty."')
    True
    """
    label = f"{title}. {description}" if description else title
    return tag(
        "svg",
        tag("title", words(title)),
        tag("desc", words(description)),
        *inside,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        width=width,
        height=height,
        role="img",
        aria_label=label,
        **more,
    )
