"""Tenbetween: a workbench for a person who trains new basketball officials for games worked by crews of two.

The name is the crew's first duty: two officials, ten players kept between them.
Knows its own version and nothing else; the rooms below it are described in ARCHITECTURE.md.
"""

from __future__ import annotations

__version__ = "0.1.0"
