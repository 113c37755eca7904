"""Cables of a premises: runs in the short form, cables drawn core by core, junctions, ways they lie in."""

from __future__ import annotations

import re
from typing import Annotated, Any, Final, Literal

from pydantic import Field, model_validator

from farpress.domain.quantity import Amperes, Length, Metres, Model, Ohms, Point, Temperature, Volts

__all__ = [
    "Branch",
    "Cable",
    "CableRun",
    "Fed",
    "FittedDiode",
    "Junction",
    "LaidCore",
    "Way",
    "drawn_terminals",
    "with_branch",
]

_BRANCH: Final = re.compile(r"(?P<supply>.+)\.branch (?P<branch>[^.]+)\Z")


class CableRun(Model):
    """A cable of the catalogue, of some length."""

    part: str = Field(description="cable of the catalogue or of this job")
    length_m: Length = Field(description="way of the cable, bends and risers too")
    label: str | None = Field(
        None, description="on the sheath; runs with one label lie in one cable, each on cores of its own"
    )
    cores: str | None = Field(None, description="which cores, by colour or number")
    along: tuple[Point, ...] = Field(
        (), description="points of the plan that the cable runs along; drawn, and its length measured on them"
    )
    way: str | None = Field(None, description="duct or tray that it lies in, out of 'ways'")
    existing: bool | None = Field(None, description="it lay there already; what metal it is gets asked")
    shares_return_with: str | None = Field(
        None, description="output, receiver, device or panel whose current comes back on the same core"
    )
    shared_m: Metres | None = Field(
        None,
        description=(
            "how far from the supply the return core is shared; absent: all the way of the shorter run"
        ),
    )
    warmest_degc: Temperature | None = Field(
        None, description="of the air around it at its warmest place; absent: 40 degC is taken"
    )
    first_after_m: Length | None = Field(
        None,
        description="of several pieces alike that sit evenly along it: the first after this length, the last"
        " at its end; absent: all at its end",
    )


class Fed(Model):
    """What feeds it, through which cable."""

    from_: str = Field(
        alias="from",
        description=(
            "supply of the same premises, or a branch of it, as main.branch 2; of a device an output of a"
            " panel too, as alarm.aux"
        ),
    )
    branch: str | None = Field(None, description="which branch of the supply; absent: its own terminals")
    cable: CableRun | None = Field(None, description="from the supply to here")
    only: Literal["in alarm", "while set", "while unset"] | None = Field(
        None, description="when an alarm panel lets it have current; absent: at any time"
    )

    @model_validator(mode="before")
    @classmethod
    def _branch_apart(cls, values: Any) -> Any:
        """`from: main.branch 2` is the supply main and its branch 2."""
        key = "from" if isinstance(values, dict) and "from" in values else "from_"
        return with_branch(values, key, "branch")


def with_branch(values: Any, key: str, branch: str) -> Any:
    """Raw values in which a supply with its branch, "main.branch 2", is taken apart.

    Args:
        values: of a table of the job file; anything else is given back.
        key: under which the supply stands.
        branch: under which its branch goes, where none is given.
    """
    found = _BRANCH.match(str(values.get(key, ""))) if isinstance(values, dict) else None
    if found is None or values.get(branch) is not None:
        return values
    return {**values, key: found["supply"], branch: found["branch"]}


class LaidCore(Model):
    """One core of a cable, with what was found on it."""

    ends: tuple[str, ...] = Field(
        (), description="terminal at its near end, then those it feeds at the far end; none: a spare core"
    )
    found_ohm: Ohms | None = Field(None, description="measured from end to end, at the premises")
    broken: bool | None = Field(None, description="no current comes through: a break on the way")
    metal: Literal["copper", "copper-clad aluminium"] | None = Field(
        None, description="what it was found to be made of, where that is not what the part says"
    )
    says: str = Field("", description="remark")


class Cable(Model):
    """A cable as a body: a label, a way, and cores that each join terminals."""

    part: str = Field(description="cable of the catalogue or of this job")
    length_m: Length = Field(description="way of the cable, bends and risers too")
    from_: str | None = Field(None, alias="from", description="where its near end is, in words")
    to: str | None = Field(None, description="where its far end is, in words")
    cores: dict[str, tuple[str, ...] | LaidCore] = Field(
        default_factory=dict,
        description=(
            "colour or number → the terminal at the near end, then those it feeds at the far end, each as"
            " 'R1.1.common'; cores that are not named are spare"
        ),
    )
    along: tuple[Point, ...] = Field((), description="points of the plan that it runs along; drawn")
    way: str | None = Field(None, description="duct or tray that it lies in, out of 'ways'")
    existing: bool | None = Field(None, description="it lay there already; what metal it is gets asked")
    warmest_degc: Temperature | None = Field(
        None, description="of the air around it at its warmest place; absent: 40 degC is taken"
    )
    says: str = Field("", description="remark")

    def core(self, name: str) -> LaidCore:
        """One of its cores, in its long form.

        Raises:
            KeyError: it has none of this name.
        """
        written = self.cores[name]
        return written if isinstance(written, LaidCore) else LaidCore(ends=written)


class Junction(Model):
    """A junction box: terminals J4.1, J4.2 … that cores end at, joined by links."""

    at: Point | None = Field(None, description="where it is: x, y and, if known, height over the plan's zero")
    level: str | None = Field(None, description="storey it is on; absent: out of doors")
    says: str = Field("", description="remark")


class FittedDiode(Model):
    """A diode between two terminals in a housing: lets current through one way alone."""

    from_: str = Field(
        alias="from", description="terminal at its anode, where the current goes in, as main.+"
    )
    to: str = Field(description="terminal at its cathode, the end with the ring")
    left_v: Annotated[Volts, Field(ge=0.1, le=2.0)] | None = Field(
        None, description="volts left across it at 1 A; absent: those of a silicon rectifier, 0.85 V"
    )
    says: str = Field("", description="remark")


class Way(Model):
    """A duct, tray or trunking that several cables share."""

    mains: bool | None = Field(None, description="mains cables that are not drawn here lie in it too")
    divided: bool | None = Field(
        None, description="a partition keeps mains apart from extra-low voltage all along it"
    )
    warmest_degc: Temperature | None = Field(
        None, description="of the air in it at its warmest place, for the cables that do not say"
    )
    says: str = Field("", description="remark")


class Branch(Model):
    """A fused way out of a supply, with terminals of its own: main.branch 2.+ and main.branch 2.0."""

    fuse_a: Amperes | None = Field(None, description="of its own fuse")
    says: str = Field("", description="what hangs on it, in words")


def drawn_terminals(premises: Any) -> set[str]:
    """Every terminal that the raw entries of a premises name in drawn cables and links."""
    found: set[str] = set()
    cables = premises.get("cables") if isinstance(premises, dict) else None
    for cable in cables.values() if isinstance(cables, dict) else ():
        cores = cable.get("cores") if isinstance(cable, dict) else None
        for core in cores.values() if isinstance(cores, dict) else ():
            ends = core.get("ends") if isinstance(core, dict) else core
            found |= {str(end) for end in ends} if isinstance(ends, list | tuple) else set()
    diodes = premises.get("diodes") if isinstance(premises, dict) else None
    for diode in diodes.values() if isinstance(diodes, dict) else ():
        found |= (
            {str(diode[end]) for end in ("from", "from_", "to") if end in diode}
            if isinstance(diode, dict)
            else set()
        )
    links = premises.get("links") if isinstance(premises, dict) else None
    for link in links if isinstance(links, list | tuple) else ():
        found |= {str(end) for end in link} if isinstance(link, list | tuple) else set()
    return found
