"""The workbench's screens: pages, their JSON, and the walls around them.

Parses a request, calls one desk function, renders its result. Holds no rule of the game and no SQL.
"""

from __future__ import annotations
