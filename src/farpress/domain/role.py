"""What a member of the firm may do: four roles, each with all that the one before may."""

from __future__ import annotations

from enum import StrEnum
from typing import Final

__all__ = ["NEEDED", "Role"]


class Role(StrEnum):
    """A role; the later may do what the earlier may."""

    READER = "reader"
    KEEPER = "keeper"
    INSTALLER = "installer"
    MANAGER = "manager"

    def may(self, least: Role) -> bool:
        """Whether this role is enough where `least` is wanted."""
        order = list(Role)
        return order.index(self) >= order.index(least)


NEEDED: Final[dict[str, tuple[Role, str]]] = {
    "look": (Role.READER, "find jobs, look at them, assess them, read what is due"),
    "record": (Role.KEEPER, "bring back a copy in which only the record changed"),
    "check out": (Role.KEEPER, "take a copy of a job to a laptop"),
    "design": (Role.INSTALLER, "add a job, change a job file, doubt a part's values, keep the driving times"),
    "put away": (Role.INSTALLER, "archive a job and open it again"),
    "see the audit": (Role.MANAGER, "read who did what"),
    "lead": (Role.MANAGER, "add members, change what they may do, make keys"),
    "personal data": (Role.MANAGER, "give out or delete all that is kept about a person"),
    "keep safe": (Role.MANAGER, "back up, check and restore"),
}
"""What is done → the least role for it, and the same in words."""
