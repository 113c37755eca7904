"""Each device that presses work or shall work, with everything that works it, drawn or only wished."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_at, driven_of
from farpress.case.wished import undrawn
from farpress.domain.refs import DeviceRef, FunctionRef, OutputRef, Ref

__all__ = ["Worked", "devices_beside", "worked_devices"]


@dataclass(frozen=True)
class Worked:
    """A device and what works it.

    Attributes:
        path: "premises/device".
        uses: outputs that work it, with the input each of them works.
        wishes: functions that shall work it and have no output for that yet, with the input.
        stands: the device itself, where no press works it or shall.
    """

    path: str
    uses: tuple[tuple[OutputAt, Driven], ...]
    wishes: tuple[tuple[str, Driven], ...]
    stands: Driven | None = None

    @property
    def name(self) -> str:
        """The device alone."""
        return self.path.split("/")[1]

    @property
    def premises(self) -> str:
        """Where it is."""
        return self.path.split("/")[0]

    @property
    def inputs(self) -> tuple[Driven, ...]:
        """Its inputs that are worked or shall be."""
        return tuple(driven for _, driven in (*self.uses, *self.wishes))

    @property
    def driven(self) -> Driven:
        """The first of them; kind and sheet are the same in all."""
        return self.inputs[0] if self.stands is None else self.stands

    @property
    def functions(self) -> tuple[str, ...]:
        """Functions that work it or shall work it."""
        drawn = [name for output, _ in self.uses for name in output.functions]
        return tuple(dict.fromkeys((*drawn, *(name for name, _ in self.wishes))))

    @property
    def refs(self) -> tuple[Ref, ...]:
        """What a finding about it touches: itself, its outputs, and the functions without one."""
        outputs = (OutputRef(output.path) for output, _ in self.uses)
        return tuple(
            dict.fromkeys((DeviceRef(self.path), *outputs, *(FunctionRef(name) for name, _ in self.wishes)))
        )

    def texts(self, case: Case) -> tuple[str | None, ...]:
        """Its name, and what is written about it and about its functions."""
        device = self.driven.device
        house = case.job.premises[self.premises].devices.get(self.name)
        known = [case.job.functions[name] for name in self.functions if name in case.job.functions]
        return (
            self.name,
            device.says if device is not None else None,
            house.says if house is not None else None,
            *self.functions,
            *(function.says for function in known),
        )


def worked_devices(case: Case) -> Iterator[Worked]:
    """Every device that an output works or a function shall work, in the order of outputs, then of wishes."""
    uses: dict[str, list[tuple[OutputAt, Driven]]] = {}
    wishes: dict[str, list[tuple[str, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.device is not None:
                uses.setdefault(driven.path, []).append((output, driven))
    for name in case.job.functions:
        for premises, works in undrawn(case, name):
            driven = driven_at(case, premises, works)
            if driven.device is not None:
                wishes.setdefault(driven.path, []).append((name, driven))
    for path in dict.fromkeys((*uses, *wishes)):
        yield Worked(path, tuple(uses.get(path, ())), tuple(wishes.get(path, ())))


def devices_beside(case: Case) -> Iterator[Worked]:
    """Every device that no press works or shall work: it is written down for what was found at it."""
    worked = {it.path for it in worked_devices(case)}
    for path in case.equipment.devices:
        if path not in worked:
            premises, name = path.split("/")
            yield Worked(path, (), (), driven_at(case, premises, name))
