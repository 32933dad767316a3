"""Pages a person reads: one module for one part of the job, each with its list of routes."""

from __future__ import annotations
