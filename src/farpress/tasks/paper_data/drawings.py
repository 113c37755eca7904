"""Drawings for the papers, from the wiring and reach tasks; every drawing says in words what it shows."""

from __future__ import annotations

from farpress.papers.paper import Block, Text
from farpress.tasks.paper_data.basis import Basis

__all__ = ["block_diagrams", "reach_maps", "terminal_drawings"]


def block_diagrams(basis: Basis) -> tuple[Block, ...]:
    """The whole installation as blocks, one drawing for each premises."""
    return (Text("No drawing."),)


def terminal_drawings(basis: Basis) -> tuple[Block, ...]:
    """The terminals of each receiver."""
    return (Text("No drawing."),)


def reach_maps(basis: Basis) -> tuple[Block, ...]:
    """A map for each receiver."""
    return (Text("No map."),)
