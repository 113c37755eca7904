"""Parts that could be used, with everything known about them: each stands once in a copy of the job.

A part of the job's own comes before those of the catalogue: it is what the firm buys. The copy is never
judged.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.catalogue.store import load_catalogue
from farpress.design.sites import BoxSite
from farpress.domain.finding import Change
from farpress.domain.parts import BatterySheet, ReceiverSheet, SupplySheet

__all__ = ["AERIAL", "Makes", "entry_at", "makes_of", "parts_named", "probe_name", "with_probes"]

AERIAL: Final = "whip"
"""Plugged into a receiver that has a connector: our choice, the plainest."""

_PROBE: Final = "thought of: "


@dataclass(frozen=True)
class Makes:
    """Parts by name, the job's own first.

    Attributes:
        receivers, supplies, batteries: name → sheet.
        own: names that the job describes itself.
    """

    receivers: dict[str, ReceiverSheet]
    supplies: dict[str, SupplySheet]
    batteries: dict[str, BatterySheet]
    own: frozenset[str]


def parts_named(case: Case, kind: str) -> tuple[str, ...]:
    """Names of the parts of a kind, those of the job first."""
    own = [name for name, part in case.job.parts.items() if part.kind == kind]
    return tuple(dict.fromkeys((*own, *load_catalogue().parts[kind])))


def makes_of(case: Case, premises: str, point: tuple[float, float, float]) -> Makes:
    """Every receiver, supply and battery that could be bought, filled in.

    Args:
        case: a job that was read from a file.
        premises, point: where they are thought to hang.
    """
    changes = [
        *(
            Change(("premises", premises, "receivers", _PROBE + name), {"part": name, "at": list(point)})
            for name in parts_named(case, "receiver")
        ),
        *(
            Change(("premises", premises, "supplies", _PROBE + name), {"part": name})
            for name in parts_named(case, "supply")
        ),
        *(
            Change(("premises", premises, "supplies", f"{_PROBE}with {name}"), {"battery": {"part": name}})
            for name in parts_named(case, "battery")
        ),
    ]
    known = tried_with(case, changes).equipment
    path = f"{premises}/{_PROBE}"
    return Makes(
        {name: known.receivers[path + name].sheet for name in parts_named(case, "receiver")},
        {name: known.supplies[path + name].sheet for name in parts_named(case, "supply")},
        {name: known.batteries[f"{path}with {name}"].sheet for name in parts_named(case, "battery")},
        frozenset(case.job.parts),
    )


def with_probes(case: Case, premises: str, parts: Iterable[str], makes: Makes, site: BoxSite) -> Case:
    """The job with one receiver of each part at a place, named as the part."""
    changes = [
        Change(
            ("premises", premises, "receivers", _PROBE + part),
            dict(entry_at(part, makes.receivers[part], site)),
        )
        for part in parts
    ]
    return tried_with(case, changes)


def probe_name(part: str) -> str:
    """Name of the receiver of a part in a copy by `with_probes`."""
    return _PROBE + part


def entry_at(part: str, sheet: ReceiverSheet, site: BoxSite) -> Iterator[tuple[str, Any]]:
    """Keys of a receiver at a place in a job file: part, place, housing, aerial."""
    yield "part", part
    yield "at", list(site.at)
    if site.level is not None:
        yield "level", site.level
    yield "housing", "plastic"
    if sheet.aerial == "connector":
        antenna: dict[str, Any] = {"part": AERIAL, "at": list(site.at)}
        yield "antenna", antenna | ({"level": site.level} if site.level is not None else {})
