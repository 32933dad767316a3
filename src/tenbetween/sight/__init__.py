"""What two officials see of ten players, exact for flat discs on the floor plan.

Visible shares, the look at each matchup with its parts and its reason, what the crew holds together, boxing in,
load, what a step would change. It tells what stands in the way; it says nothing of how well anybody judges, and
the taught places do not come out as the highest numbers. Needs numpy, which nothing below or beside it does.
"""

from __future__ import annotations

from tenbetween.sight.boxing import BoxedIn, boxed_in
from tenbetween.sight.compare import Compared, compare, sensitivity
from tenbetween.sight.crew_sight import (
    Load,
    Share,
    crew_coverage,
    double_coverage,
    hidden_floor,
    primary_areas,
)
from tenbetween.sight.looks import Looks, looks_from
from tenbetween.sight.maps import LookMap, look_map, partner_looks, seen_most
from tenbetween.sight.pairs import BestPair, BestSplit, best_pair, best_split
from tenbetween.sight.settings import CONTACT, MILD, SIGHT, Settings, Weights, Zones
from tenbetween.sight.shading import Shading, floor_shading
from tenbetween.sight.spread import Spread, spread, zone_places
from tenbetween.sight.steps import Step, best_step, coverage_of
from tenbetween.sight.view import FLAT, Facing, Look, Sight, see, visible

__all__ = [
    "CONTACT",
    "FLAT",
    "MILD",
    "SIGHT",
    "BestPair",
    "BestSplit",
    "BoxedIn",
    "Compared",
    "Facing",
    "Load",
    "Look",
    "LookMap",
    "Looks",
    "Settings",
    "Shading",
    "Share",
    "Sight",
    "Spread",
    "Step",
    "Weights",
    "Zones",
    "best_pair",
    "best_split",
    "best_step",
    "boxed_in",
    "compare",
    "coverage_of",
    "crew_coverage",
    "double_coverage",
    "floor_shading",
    "hidden_floor",
    "look_map",
    "looks_from",
    "partner_looks",
    "primary_areas",
    "see",
    "seen_most",
    "sensitivity",
    "spread",
    "visible",
    "zone_places",
]
