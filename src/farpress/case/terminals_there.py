"""The terminals of every thing of a case, its parts filled in."""

from __future__ import annotations

from collections.abc import Iterable

from farpress.case.case import Case
from farpress.domain.terminals import Sheets, Terminal, Terminals, premises_terminals
from farpress.errors import InputError

__all__ = ["found_terminals", "terminals_at"]


def terminals_at(case: Case, premises: str) -> Terminals:
    """Every terminal at one premises, with its parts filled in.

    Raises:
        KeyError: the job has no such premises.
    """
    return case.once(_terminals)[premises]


def _terminals(case: Case) -> dict[str, Terminals]:
    made = {}
    for premises, house in case.job.premises.items():
        equipment = case.equipment
        sheets = Sheets(
            receivers={name: equipment.receivers[f"{premises}/{name}"].sheet for name in house.receivers},
            supplies={name: equipment.supplies[f"{premises}/{name}"].sheet for name in house.supplies},
            devices={name: equipment.devices[f"{premises}/{name}"].sheet for name in house.devices},
            panels={name: equipment.panels[f"{premises}/{name}"].sheet for name in house.panels},
        )
        made[premises] = premises_terminals(house, sheets)
    return made


def found_terminals(
    case: Case, premises: str, texts: Iterable[str]
) -> tuple[tuple[Terminal, ...], tuple[str, ...]]:
    """The terminals that some texts name, and what is wrong with the texts that name none."""
    found, wrong = [], []
    for text in texts:
        try:
            found.append(terminals_at(case, premises).find(text))
        except InputError as error:
            wrong.append(str(error))
    return tuple(found), tuple(wrong)
