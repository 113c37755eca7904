"""Supplies that are fed from supplies: what each asks of the one before it, and what a rectifier gives.

Each side is solved on its own; what passes between them is passed on until it settles.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from farpress.case.circuit.nets import Changes, Net, SupplyAsk
from farpress.case.circuit.parts import Circuit, Draw, SourceVolts, SupplySource
from farpress.case.circuit.solved_nets import SolvedNet
from farpress.case.circuit.states import CircuitState
from farpress.core.wiring.rectifier import rectified, smoothing_f
from farpress.core.wiring.supply_load import BRIDGE_DROP_V

__all__ = ["MOST_PASSES", "Passed", "SupplyChain"]

MOST_PASSES: Final = 30
"""How often what supplies ask of each other is passed on, at most."""

_NEAR: Final = 1e-7
_TRIED_A: Final = 0.1
_LEAST_A: Final = 1e-3
_LEAST_OHM: Final = 0.01
"""A rectifier is tried with 0.1 A for the resistance before it, with 1 mA as its least load, and with no less
than 0.01 ohm; our choice."""


@dataclass(frozen=True)
class Passed:
    """What passes between supplies in a state.

    Attributes:
        asked: load → what the supply that it is asks for.
        given: supply → its volts and resistance, of a rectifier.
        tried: supply → amperes and mean volts behind its rectifier, of the pass before.
    """

    asked: Mapping[str, SupplyAsk] = field(default_factory=dict)
    given: Mapping[str, SourceVolts] = field(default_factory=dict)
    tried: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    def of(self, net: Net) -> tuple[dict[str, SupplyAsk], dict[str, SourceVolts]]:
        """What of it concerns one net."""
        names = {piece.name for piece, _, _ in net.pieces if isinstance(piece, Draw | SupplySource)}
        return (
            {name: asked for name, asked in self.asked.items() if name in names},
            {name: given for name, given in self.given.items() if name in names},
        )

    def is_near(self, other: Passed) -> bool:
        """Whether nothing moves any more."""
        return all(
            mine.keys() == theirs.keys()
            and all(abs(mine[name] - theirs[name]) <= _NEAR * max(1.0, abs(mine[name])) for name in mine)
            for mine, theirs in zip(self._figures(), other._figures(), strict=True)
        )

    def _figures(self) -> tuple[dict[str, float], dict[str, float]]:
        asked = {name: a.amperes if a.watts is None else a.watts for name, a in self.asked.items()}
        return asked, {name: volts for name, (_, volts) in self.tried.items()}


@dataclass(frozen=True)
class _Link:
    draw: Draw
    source: SupplySource
    before: int
    behind: int


class SupplyChain:
    """Every supply of a circuit that is fed from another."""

    def __init__(
        self,
        circuit: Circuit,
        nets: Sequence[Net],
        solve_net: Callable[[Net, CircuitState, Changes], SolvedNet | None],
    ) -> None:
        """Find them, each with the net it hangs on and the net it feeds."""
        self.circuit, self.nets, self.solve_net = circuit, nets, solve_net
        net_of = {
            piece.name: number
            for number, net in enumerate(nets)
            for piece, _, _ in net.pieces
            if isinstance(piece, Draw | SupplySource)
        }
        self.links = tuple(
            _Link(draw, circuit.source(draw.end.gives), net_of[draw.name], net_of[draw.end.gives])
            for draw in circuit.draws
            if draw.end.gives
        )

    def passed_on(self, found: Sequence[SolvedNet | None], state: CircuitState, before: Passed) -> Passed:
        """What each supply asks for, and each rectifier gives, with what flows behind it now."""
        asked = dict(before.asked)
        given, tried = dict(before.given), dict(before.tried)
        for link in self.links:
            behind = found[link.behind]
            if behind is None or link.source.name in state.moment.off:
                asked[link.draw.name] = SupplyAsk()
                continue
            amperes = float(behind.amperes[f"supply {link.source.name}"].real) + link.source.beside_a
            if link.source.rectifier is not None:
                volts = self._across(link, behind) or self._rated(link)
                self._rectify(link, state, volts, max(amperes, _LEAST_A), asked, given, tried)
            else:
                asked[link.draw.name] = self._converted(link, behind, state, amperes)
        return Passed(asked, given, tried)

    def _converted(self, link: _Link, behind: SolvedNet, state: CircuitState, amperes: float) -> SupplyAsk:
        volts = self._rated(link) if state.level.is_bare_label else self._across(link, behind)
        watts = max(amperes, 0.0) * volts / link.source.efficiency
        rated = next((source.rated.volts for source in self.nets[link.before].sources if source.rated), None)
        if state.level.is_bare_label and rated:
            return SupplyAsk(watts / rated)
        return SupplyAsk(watts=watts)

    def _across(self, link: _Link, behind: SolvedNet) -> float:
        node = self.circuit.node_of
        return float((behind.volts[node[link.source.plus]] - behind.volts[node[link.source.zero]]).real)

    def _rated(self, link: _Link) -> float:
        return link.source.rated.volts if link.source.rated is not None else 0.0

    def _rectify(
        self,
        link: _Link,
        state: CircuitState,
        volts: float,
        amperes: float,
        asked: dict[str, SupplyAsk],
        given: dict[str, SourceVolts],
        tried: dict[str, tuple[float, float]],
    ) -> None:
        """Mean volts at the capacitor with this current, as a line through this point and the one before."""
        name, draw = link.source.name, link.draw.name
        before = self._before(link, state, asked)
        if before is None:
            asked[draw] = SupplyAsk()
            return
        open_v, ohm = before
        made = rectified(
            rms_v=open_v,
            frequency_hz=self.circuit.frequency_hz,
            source_ohm=ohm,
            capacitance_f=link.source.smoothing_f or smoothing_f(link.source.rated_a or amperes),
            load_ohm=float(f"{volts / amperes:.9g}"),
            bridge=link.source.rectifier == "bridge",
        )
        asked[draw] = SupplyAsk(made.ratio * amperes)
        was_a, was_v = tried.get(name, (0.0, math.sqrt(2) * open_v - BRIDGE_DROP_V))
        tried[name] = (made.load_a, made.mean_v)
        if state.level.volts != "rated" or state.level.is_bare_label:
            return
        moved_a = made.load_a - was_a
        slope = (was_v - made.mean_v) / moved_a if abs(moved_a) > _NEAR else _slope_of(given, name)
        given[name] = SourceVolts(made.mean_v + slope * made.load_a, slope)

    def _before(
        self, link: _Link, state: CircuitState, asked: Mapping[str, SupplyAsk]
    ) -> tuple[float, float] | None:
        """Volts at a rectifier that takes nothing, and the resistance they stand behind; None if unknown."""
        net, node, draw = self.nets[link.before], self.circuit.node_of, link.draw
        state = replace(state, level=replace(state.level, is_bare_label=False))
        across = []
        for amperes in (0.0, _TRIED_A):
            mine = {**asked, draw.name: SupplyAsk(amperes)}
            found = self.solve_net(net, state, Changes(asked=mine))
            if found is None or node[draw.a] not in found.volts:
                return None
            across.append(abs(found.volts[node[draw.a]] - found.volts[node[draw.b]]))
        ohm = max((across[0] - across[1]) / _TRIED_A, _LEAST_OHM)
        return (float(f"{across[0]:.9g}"), float(f"{ohm:.9g}")) if across[0] > 1.0 else None


def _slope_of(given: Mapping[str, SourceVolts], name: str) -> float:
    return given[name].ohm if name in given else 0.0
