"""A case: a job with its equipment filled in, and the look-ups every step needs."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar, cast

from farpress.case.reads import Found, Memo
from farpress.domain.equipment import Equipment
from farpress.domain.job import Group, Job, Promise
from farpress.domain.premises import Device, Output, Panel, Premises, Receiver

if TYPE_CHECKING:
    from farpress.case.doubted import Doubted
    from farpress.jobfile.reader import JobDocument

__all__ = ["Case", "OutputAt", "promise_id"]

Made = TypeVar("Made")


@dataclass(frozen=True)
class OutputAt:
    """One output of one receiver, with its surroundings.

    Attributes:
        path: "premises/receiver/number".
        premises, receiver, number: the names in it.
        house: the premises.
        box: the receiver.
        output: the output.
        functions: names of the functions that press it.
    """

    path: str
    premises: str
    receiver: str
    number: str
    house: Premises
    box: Receiver
    output: Output
    functions: tuple[str, ...]

    @property
    def receiver_path(self) -> str:
        """The receiver as "premises/receiver"."""
        return f"{self.premises}/{self.receiver}"

    @property
    def works(self) -> tuple[str, ...]:
        """Everything its contact works, as "device.input"."""
        return ((self.output.works,) if self.output.works else ()) + self.output.with_


@dataclass(frozen=True)
class Case:
    """A job ready to be judged.

    Attributes:
        job: as it stands in the file.
        equipment: every part filled in.
        fingerprint: of the job file's content.
        folder: where the job lies; None for a job made by a program.
        document: the file itself with its lines; None likewise.
        job_without_evidence: the job before presses and levels of the record were joined to its readings;
            None where there were none.
        doubted: values that are not believed; they are not in the equipment.
    """

    job: Job
    equipment: Equipment
    fingerprint: str = ""
    folder: Path | None = None
    document: JobDocument | None = field(default=None, repr=False)
    job_without_evidence: Job | None = field(default=None, repr=False)
    doubted: tuple[Doubted, ...] = ()

    _made: Memo[object] = field(default_factory=Memo, init=False, repr=False, compare=False)

    def with_job(self, job: Job) -> Case:
        """The same with another job, as a change of a few values makes it."""
        return replace(self, job=job)

    def without_evidence(self) -> Case:
        """The job as its file says it, without the record: for a plan of trials, which must not know them."""
        if self.job_without_evidence is None:
            return self
        return replace(self, job=self.job_without_evidence, job_without_evidence=None)

    def once(self, make: Callable[[Case], Made]) -> Made:
        """What a step makes of this job, made at the first call and kept with the job for whoever asks next.

        Args:
            make: a function or class that takes a case; it is also the key under which the result is kept.
        """
        return cast("Made", self._made.once(make, lambda: make(self)))

    def once_at(self, make: Callable[[Case, str], Made], name: str) -> Made:
        """What a step makes of one thing of this job, as of one premises; kept likewise.

        Args:
            make: a function that takes a case and a name.
            name: of the thing.
        """
        return cast("Made", self._made.once((make, name), lambda: make(self, name)))

    def kept(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """What a step makes of this job; taken over from the job as it was before a change that touches
        nothing of what it was made from, where the case is one that knows (`CaseAfter`).

        Args:
            key: tells it from all else that is kept, by words and numbers.
            make: makes it, of this case and the key alone. It holds nothing of the job itself, only what was
                found: text, numbers, findings.
        """
        return cast("Made", self._made.once(key, make))

    def found(self, make: Callable[..., Made], *names: Hashable) -> Made:
        """A plain value that is asked for in many places; after a change that leaves it as it is, whoever
        asked for it need not ask again.

        Args:
            make: a function that takes a case and these names.
            names: words and numbers.
        """
        return cast("Made", self._made.once((make, *names), lambda: make(self, *names), Found(make, names)))

    def outputs(self) -> Iterator[OutputAt]:
        """Every output of the job, in the order of the file."""
        return iter(self.once(_outputs_by_path).values())

    def output(self, path: str) -> OutputAt | None:
        """The output at a path, or None."""
        return self.once(_outputs_by_path).get(path)

    def outputs_of(self, function: str) -> tuple[OutputAt, ...]:
        """The outputs that a function presses."""
        paths = self.job.functions[function].paths if function in self.job.functions else ()
        return tuple(output for output in self.outputs() if output.path in paths)

    def driven(self, premises: str, works: str) -> Device | Panel | None:
        """The device or panel that "name.input" belongs to, at one premises."""
        name = works.split(".")[0]
        house = self.job.premises[premises]
        return house.devices.get(name) or house.panels.get(name)

    def groups_with(self, function: str) -> tuple[tuple[str, Group], ...]:
        """The groups that have a function on a button."""
        return tuple(
            (name, group)
            for name, group in self.job.groups.items()
            if function in self.job.functions_of(group)
        )

    def place(self, path: str, premises: str) -> tuple[str, str] | None:
        """Premises and place that "place" or "premises/place" means, seen from a premises."""
        keys = path.split("/")
        where, name = (premises, keys[0]) if len(keys) == 1 else (keys[0], keys[1])
        house = self.job.premises.get(where)
        return (where, name) if house is not None and name in house.places else None

    def is_one_plan(self, first: str, second: str) -> bool:
        """Whether two premises are drawn on one plan, so that ways between them can be computed."""
        plans = {self.job.premises[name].on_plan_of or name for name in (first, second)}
        return len(plans) == 1

    def places_on_plan(self, path: str, premises: str) -> tuple[tuple[str, str], ...]:
        """What `place` finds, at these premises or else at those drawn on one plan with them."""
        own = self.place(path, premises)
        others = [self.place(path, other) for other in self.job.premises if self.is_one_plan(premises, other)]
        found = [own] if own is not None else [place for place in others if place is not None]
        return tuple(place for place in dict.fromkeys(found) if self.is_one_plan(premises, place[0]))


def _outputs_by_path(case: Case) -> dict[str, OutputAt]:
    pressed: dict[str, list[str]] = {}
    for name, function in case.job.functions.items():
        for path in function.paths:
            pressed.setdefault(path, []).append(name)
    outputs = (
        OutputAt(f"{premises}/{receiver}/{number}", premises, receiver, number, house, box, output, ())
        for premises, house in case.job.premises.items()
        for receiver, box in house.receivers.items()
        for number, output in box.outputs.items()
    )
    return {output.path: replace(output, functions=tuple(pressed.get(output.path, ()))) for output in outputs}


def promise_id(promise: Promise) -> str:
    """The stable name of a promise: "family: open gate from street"."""
    return f"{promise.to}: {promise.function} from {promise.from_}"
