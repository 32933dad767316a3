"""The store: one folder is one workbench, and every change of it is one entry in one journal.

``open_workbench`` opens it and ``Store`` has the verbs; the values that can be saved stand in ``values``.
Knows no rule of the game and no screen. Loading it loads SQLAlchemy: import it only where something is
kept.
"""

from __future__ import annotations

from tenbetween.store.exchange import Imported
from tenbetween.store.forms import Json
from tenbetween.store.ids import IdMaker, is_id
from tenbetween.store.job_rows import Job, JobRows
from tenbetween.store.journal import Entry, Saved, State, replay
from tenbetween.store.layer_files import LayerFile
from tenbetween.store.store import Store
from tenbetween.store.together import Together
from tenbetween.store.values import (
    KINDS,
    Advice,
    Answer,
    Basis,
    Crew,
    Frozen,
    Game,
    Layer,
    Official,
    Play,
    ProvisionMark,
    Setting,
    Stamp,
)
from tenbetween.store.workbench import open_workbench

__all__ = [
    "KINDS",
    "Advice",
    "Answer",
    "Basis",
    "Crew",
    "Entry",
    "Frozen",
    "Game",
    "IdMaker",
    "Imported",
    "Job",
    "JobRows",
    "Json",
    "Layer",
    "LayerFile",
    "Official",
    "Play",
    "ProvisionMark",
    "Saved",
    "Setting",
    "Stamp",
    "State",
    "Store",
    "Together",
    "is_id",
    "open_workbench",
    "replay",
]
