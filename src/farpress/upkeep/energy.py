"""What the circuit says of batteries and of the sun, for upkeep: the same answer as judging's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.supply import volts as supply
from farpress.judging.supply.solar import SUN
from farpress.judging.supply.standby import HOURS_OF_BATTERY

__all__ = ["SupplyEnergy", "energies_of"]


@dataclass(frozen=True)
class SupplyEnergy:
    """A supply with a battery, and what its circuit asks of it.

    Attributes:
        supply: its path.
        is_cycled: the sun charges the battery, so it is emptied and charged every day.
        hours: how long it carries what hangs on it, judged; None where nothing is said.
        sun: what the sun brings in the darkest month against what is used, judged; None without a panel.
    """

    supply: str
    is_cycled: bool
    hours: Finding | None
    sun: Finding | None

    @property
    def lacks(self) -> tuple[Finding, ...]:
        """What fails: another battery of the same kind mends neither."""
        return tuple(f for f in (self.hours, self.sun) if f is not None and f.verdict is Verdict.FAILS)

    @property
    def says(self) -> str:
        """Both in sentences, with what is not known yet; empty for neither."""
        told = []
        for finding in (self.hours, self.sun):
            if finding is not None:
                asks = [ask.says for ask in finding.asks] if finding.verdict is Verdict.UNKNOWN else []
                told += [finding.says, *asks]
        return " ".join(told)


def energies_of(case: Case) -> dict[str, SupplyEnergy]:
    """Path of each supply with a battery → what its circuit says."""
    return {found.supply: found for found in _energies(case)}


def _energies(case: Case) -> Iterator[SupplyEnergy]:
    codes = (HOURS_OF_BATTERY.code, SUN.code)
    judged = {(f.code, f.about): f for f in supply.judge(case) if f.code in codes}
    for premises, house in case.job.premises.items():
        for name, given in house.supplies.items():
            path = f"{premises}/{name}"
            if given.battery is not None:
                yield SupplyEnergy(
                    path,
                    given.solar is not None,
                    judged.get((HOURS_OF_BATTERY.code, path)),
                    judged.get((SUN.code, path)),
                )
