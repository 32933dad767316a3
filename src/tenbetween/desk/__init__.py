"""Use cases, one file per part of the job: plain functions that take values and hand back frozen results.

Holds no rule of its own; commands and pages call these and print what comes back.
"""

from __future__ import annotations
