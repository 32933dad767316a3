"""Pictures and words of an answer: court diagram, printed sheet, signals, and what is sent to a phone."""

from __future__ import annotations
