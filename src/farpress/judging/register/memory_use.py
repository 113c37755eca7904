"""What is to be learned at one receiver."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["MemoryUse"]


@dataclass(frozen=True)
class MemoryUse:
    """What is to be learned at one receiver.

    Attributes:
        groups: group → (fobs with spares, buttons of each).
        missing: groups whose number of holders is not known.
        unknown: old records nobody can name; None where nobody says whether there are any.
        counted: records in its memory as read out; None where nobody counted them.
    """

    groups: dict[str, tuple[int, int]]
    missing: tuple[str, ...]
    unknown: int | None
    counted: int | None = None

    @property
    def fobs(self) -> int:
        """Fobs, spares and unknown records included."""
        return sum(fobs for fobs, _ in self.groups.values()) + (self.unknown or 0)

    @property
    def buttons(self) -> int:
        """Buttons of all these fobs, unknown records counted once."""
        return sum(fobs * buttons for fobs, buttons in self.groups.values()) + (self.unknown or 0)
