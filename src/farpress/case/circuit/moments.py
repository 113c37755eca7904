"""Which moments a premises has: at rest, each function pressed, everything on, alarm.

What stays on by itself (a toggle, a latch, a pulse of a minute or more) is taken to be on already when a
button is pressed. That all short pulses meet in the same second is possible, and is a moment of its own.
Outputs that keep each other off, and things that take turns, are never on together.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.circuit.parts import Circuit, Draw
from farpress.case.circuit.states import EVERYTHING, OF_ZONE, REST, Moment
from farpress.case.supply_ends import mirror_of
from farpress.domain.premises import Together

__all__ = ["LASTING_S", "kept_on", "moments_of", "timed_outputs"]

LASTING_S: Final = 60.0
"""A pulse of this length or more may well be running when the next button is pressed [s]; our choice."""


def moments_of(case: Case, circuit: Circuit) -> tuple[Moment, ...]:
    """At rest, panel's outputs, alarm, every function pressed, everything on in each way that differs.

    The first is at rest; the last is everything with its contacts closed and nothing drawn yet.
    """
    outputs = tuple(output for output in case.outputs() if output.path in circuit.outputs)
    chooser = _Chooser(circuit, outputs, case.job.premises[circuit.premises].together)
    made = [Moment(REST, signals=False)]
    others = [part.works for part in circuit.workers if "/" not in part.works]
    if any(not works.endswith((".tamper", OF_ZONE)) for works in others):
        made.append(Moment("panel's outputs on"))
    if any(works.endswith(OF_ZONE) for works in others):
        made.append(Moment("every zone open", signals=False, opened=True))
    if any(draw.is_panels and draw.sounds for draw in circuit.draws):
        made.append(Moment("alarm", alarm=True))
    lasting = [output for output in outputs if _lasts(output)]
    for name, function in case.job.functions.items():
        pressed = [output for output in outputs if output.path in function.paths]
        if pressed and function.switches == "off":
            kept = [output for output in lasting if output not in pressed]
            made.append(chooser.moment(name, kept, function=name))
        elif pressed:
            on = [*chooser.heaviest_first(pressed), *lasting]
            starting = chooser.draws_of(chooser.pulling_in(pressed, on))
            made.append(chooser.moment(name, on, starting=starting, function=name))
    made += chooser.everything()
    made = _with_signals(made, circuit)
    made.append(Moment("contacts closed, nothing drawn yet", made[-1].on, is_open=True))
    return tuple(made)


def _with_signals(moments: list[Moment], circuit: Circuit) -> list[Moment]:
    """A weak cell is shown until the next good press, so it may be shown in any press; the pulses of an
    acknowledgement fall into everything on, and both are a moment of their own.
    """
    signals = {part.works for part in circuit.workers if part.name.startswith("signal ")}
    if not signals:
        return moments
    lasting = frozenset(path for path in signals if path.endswith("/low cell"))

    def with_own(moment: Moment) -> Moment:
        if moment.name.startswith(EVERYTHING):
            return replace(moment, on=moment.on | signals)
        return replace(moment, on=moment.on | lasting) if moment.function else moment

    made = list(map(with_own, moments))
    return [*made[:1], Moment("the receiver's own signals", frozenset(signals)), *made[1:]]


def kept_on(case: Case, circuit: Circuit) -> frozenset[str]:
    """Outputs that stay on by themselves, as far as they draw more on than off and go together."""
    outputs = tuple(output for output in case.outputs() if output.path in circuit.outputs)
    chooser = _Chooser(circuit, outputs, case.job.premises[circuit.premises].together)
    keeping = [
        output for output in outputs if output.output.traits.keeps_state and chooser.extra[output.path] > 0
    ]
    return chooser.moment("kept on", chooser.heaviest_first(keeping)).on


def timed_outputs(case: Case, circuit: Circuit) -> tuple[OutputAt, ...]:
    """Outputs that are on for a time of their own, then off."""
    return tuple(
        output
        for output in case.outputs()
        if output.path in circuit.outputs and output.output.traits.wants_length
    )


def _lasts(output: OutputAt) -> bool:
    kind = output.output.traits
    return kind.keeps_state or (kind.wants_length and (output.output.for_s or 0.0) >= LASTING_S)


@dataclass(frozen=True)
class _Turns:
    """Outputs of things that take turns, how many may be on and pulling in, and outputs that follow them."""

    paths: frozenset[str]
    at_most: int
    pulling_in: int
    followers: tuple[str, ...]


class _Chooser:
    """Which outputs can be on together."""

    def __init__(self, circuit: Circuit, outputs: tuple[OutputAt, ...], together: Iterable[Together]) -> None:
        self.circuit, self.outputs = circuit, outputs
        self.mirror = {output.path: mirror_of(output) for output in outputs}
        workers = {worker.name: worker for worker in circuit.workers}
        self.fed: dict[str, list[Draw]] = {output.path: [] for output in outputs}
        self.closed_at_rest: set[tuple[str, str]] = set()
        for draw in circuit.draws:
            for worker in (workers[name] for name in draw.behind):
                if worker.works in self.fed:
                    self.fed[worker.works].append(draw)
                    if worker.closed_at_rest:
                        self.closed_at_rest.add((worker.works, draw.name))
        self.moving = {
            path: [(draw.end.subjects[0], draw.name) for draw in draws if not draw.end.is_coil]
            for path, draws in self.fed.items()
        }
        self.extra = {output.path: self._extra_a(output) for output in outputs}
        self.turns = tuple(self._turns(turns) for turns in together)

    def moment(
        self,
        name: str,
        wanted: Iterable[OutputAt],
        *,
        starting: frozenset[str] = frozenset(),
        alarm: bool = False,
        directly: bool = False,
        function: str = "",
    ) -> Moment:
        """As many of the wanted outputs as go together, the first ones first; of what takes turns the first
        pull in.
        """
        chosen = self._fit(wanted)
        first = [
            path
            for turns in self.turns
            for path in [path for path in chosen if path in turns.paths][: turns.pulling_in]
        ]
        return Moment(
            name,
            frozenset(chosen),
            alarm=alarm,
            directly=directly,
            starting=starting | self.draws_of(first),
            function=function,
        )

    def pulling_in(self, pressed: Iterable[OutputAt], wanted: Iterable[OutputAt]) -> tuple[str, ...]:
        """Pressed outputs that come on with the press: what follows others is on already where one of those
        is kept on.
        """
        mine = {output.path for output in pressed}
        chosen = self._fit(wanted)
        already = {
            path
            for turns in self.turns
            if any(other in turns.paths and other not in mine for other in chosen)
            for path in turns.followers
        }
        return tuple(path for path in chosen if path in mine and path not in already)

    def draws_of(self, paths: Iterable[str]) -> frozenset[str]:
        """Loads behind outputs."""
        return frozenset(draw.name for path in paths for draw in self.fed[path])

    def heaviest_first(self, outputs: Iterable[OutputAt]) -> list[OutputAt]:
        """In the order of what they draw; equal ones as in the job."""
        return sorted(outputs, key=lambda output: -self.extra[output.path])

    def everything(self) -> list[Moment]:
        """Everything that can be on together; then once more for each load that is left out, has a second way
        to it, or may be the one that pulls in.
        """
        drawing = self.heaviest_first(output for output in self.outputs if self.extra[output.path] >= 0)
        made = [self.moment(EVERYTHING, drawing, alarm=True, directly=True)]
        for output in self.outputs:
            for draw in self.fed[output.path]:
                is_rest = (output.path, draw.name) in self.closed_at_rest
                others = {path for path, draws in self.fed.items() if path != output.path and draw in draws}
                is_fed = (output.path in made[0].on) != is_rest
                must_start = any(output.path in turns.paths and turns.pulling_in for turns in self.turns)
                has_started = not must_start or draw.name in made[0].starting
                if is_fed and not others & made[0].on and has_started:
                    continue
                kept = [other for other in drawing if other.path not in others and other is not output]
                name = f"{EVERYTHING}, with {output.receiver}/{output.number}"
                moment = self.moment(name, kept if is_rest else [output, *kept], alarm=True, directly=True)
                if (moment.on, moment.starting) not in {(known.on, known.starting) for known in made}:
                    made.append(moment)
        return made

    def _extra_a(self, output: OutputAt) -> float:
        """What more is drawn with an output on than off [A]; less than nothing for a break contact's load."""
        receiver = next(
            (
                draw
                for draw in self.circuit.draws
                if draw.end.is_receiver and draw.end.subjects[0].path == output.receiver_path
            ),
            None,
        )
        extra = (receiver.end.relay_a or 0.0) if receiver is not None else 0.0
        for draw in self.fed[output.path]:
            sign = -1.0 if (output.path, draw.name) in self.closed_at_rest else 1.0
            extra += sign * (draw.end.amperes or 0.0)
        for draw in self.circuit.draws:
            if output.path in draw.worked_by:
                extra += (draw.end.amperes or 0.0) - (draw.end.rest_a or 0.0)
        return extra

    def _turns(self, together: Together) -> _Turns:
        def working(devices: Iterable[str]) -> list[str]:
            names = set(devices)
            return [
                output.path
                for output in self.outputs
                if {works.partition(".")[0] for works in output.works} & names
            ]

        return _Turns(
            frozenset(working(together.of)),
            together.at_most,
            together.pulling_in,
            tuple(working(together.with_)),
        )

    def _fit(self, outputs: Iterable[OutputAt]) -> list[str]:
        """One after the other, as far as nothing that was chosen before excludes it."""
        chosen: list[str] = []
        for output in outputs:
            path = output.path
            if path in chosen or any(self._excludes(path, other) for other in chosen):
                continue
            full = any(
                path in turns.paths
                and sum(other in turns.paths for other in chosen) >= turns.at_most + turns.pulling_in
                for turns in self.turns
            )
            if not full:
                chosen.append(path)
        for turns in self.turns:
            if turns.paths & set(chosen):
                chosen += [path for path in turns.followers if path not in chosen]
        return chosen

    def _excludes(self, path: str, other: str) -> bool:
        """Interlocked, or two directions of one device."""
        if self.mirror[path] and self.mirror[path] == self.mirror[other]:
            return True
        return any(
            name != another and thing == same
            for thing, name in self.moving[path]
            for same, another in self.moving[other]
        )
