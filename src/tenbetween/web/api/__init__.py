"""JSON and bytes for the screen's own scripts and for other programs on this machine."""

from __future__ import annotations
