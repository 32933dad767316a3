"""Formats other programs exchange with us: one file each, read or written whole or not at all."""

from __future__ import annotations
