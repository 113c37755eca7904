"""Which fuse lies before what hangs on a supply: that of its branch, or the supply's own."""

from __future__ import annotations

from farpress.case.cabling import End
from farpress.case.case import Case
from farpress.domain.refs import SupplyRef

__all__ = ["fuse_before", "fuse_place", "fused_branches"]


def fuse_before(case: Case, path: str, branch: str) -> float | None:
    """Rating of the fuse of a branch, or of the supply itself [A]; None where it is not known.

    Args:
        case: the job.
        path: of the supply, "larkfen/main".
        branch: its name; empty for the supply's own terminals.
    """
    supply = SupplyRef(path)
    if branch:
        known = case.job.premises[supply.premises.path].supplies[supply.name].branches.get(branch)
        return known.fuse_a if known is not None else None
    fuse: float | None = case.equipment.supplies[path].sheet.fuse_a
    return fuse


def fuse_place(path: str, branch: str) -> str:
    """The supply, or its branch, as findings name it."""
    return f"{path}, branch {branch}" if branch else path


def fused_branches(ends: tuple[End, ...]) -> tuple[str, ...]:
    """Branches of a supply that something hangs on, in the order of the job; empty for its own terminals."""
    return tuple(dict.fromkeys(end.branch for end in ends))
