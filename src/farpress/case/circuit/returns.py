"""Which ends of a supply lie on one cable, and whose return cores are one core."""

from __future__ import annotations

from farpress.case.supply_ends import End

__all__ = ["cable_names", "on_same_cable", "return_groups", "return_partner", "shares_return"]


def return_partner(ends: tuple[End, ...], end: End) -> End | None:
    """The end whose return core another one uses; a bare number means an output of the same receiver."""
    text = end.run.shares_return_with if end.run else None
    if text is None:
        return None
    texts = (text, f"{end.at.receiver}/{text}") if end.at else (text,)
    return next(
        (
            other
            for wanted in texts
            for other in ends
            if other is not end and wanted in (other.name, *other.aliases)
        ),
        None,
    )


def on_same_cable(ends: tuple[End, ...], end: End) -> tuple[End, ...]:
    """Ends that hang on the cable of an end, itself among them: one contact may feed several devices."""
    cables = cable_names(ends)
    return tuple(other for other in ends if cables[other.name] == cables[end.name])


def shares_return(ends: tuple[End, ...], end: End) -> set[str]:
    """Names of the ends on the same return core as an end, itself among them."""
    return next(
        {member.name for member in group}
        for group in return_groups(ends)
        if end.name in {member.name for member in group}
    )


def cable_names(ends: tuple[End, ...]) -> dict[str, str]:
    """Name of an end → name of the first end on the same cable."""
    first: dict[tuple[str | int, ...], str] = {}
    return {
        end.name: first.setdefault(end.run_path, end.name) if end.run is not None else end.name
        for end in ends
    }


def return_groups(ends: tuple[End, ...]) -> list[list[End]]:
    """Ends whose return cores are one, in the order of the job."""
    group_of = cable_names(ends)
    for end in ends:
        shared = return_partner(ends, end)
        if shared is not None:
            old, new = group_of[end.name], group_of[shared.name]
            group_of = {name: new if group == old else group for name, group in group_of.items()}
    return [
        [end for end in ends if group_of[end.name] == group] for group in dict.fromkeys(group_of.values())
    ]
