"""What two officials see of ten players, exact for flat discs on the floor plan.

Visible shares, the look at each matchup with its parts and its reason, what the crew holds together, boxing in,
load, what a step would change. It tells what stands in the way; it says nothing of how well anybody judges, and
the taught places do not come out as the highest numbers. Needs numpy, which nothing below or beside it does.
"""

from __future__ import annotations

from tenbetween.sight.boxing import BoxedIn, boxed_in
from tenbetween.sight.crew_sight import (
    Load,
    Share,
    crew_coverage,
    double_coverage,
    hidden_floor,
    primary_areas,
)
from tenbetween.sight.looks import Looks, looks_from
from tenbetween.sight.settings import CONTACT, SIGHT, Settings, Weights
from tenbetween.sight.steps import BestPair, Step, best_pair, best_step, coverage_of
from tenbetween.sight.view import FLAT, Facing, Look, Sight, see, visible

__all__ = [
    "CONTACT",
    "FLAT",
    "SIGHT",
    "BestPair",
    "BoxedIn",
    "Facing",
    "Load",
    "Look",
    "Looks",
    "Settings",
    "Share",
    "Sight",
    "Step",
    "Weights",
    "best_pair",
    "best_step",
    "boxed_in",
    "coverage_of",
    "crew_coverage",
    "double_coverage",
    "hidden_floor",
    "looks_from",
    "primary_areas",
    "see",
    "visible",
]
