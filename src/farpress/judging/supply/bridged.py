"""Judges contacts with a wire across them: what they switch is worked for ever, whatever is pressed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN
from farpress.case.driven import driven_of
from farpress.case.wire_nets import nets_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import DeviceRef, OutputRef
from farpress.domain.terminals import Terminal
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["CONTACT_FREE", "judge"]

CONTACT_FREE: Final = Check(
    "SUP-18",
    Link.SUPPLY,
    "The contact of an output: no wire that is drawn lies across it.",
    stake=Stake.PROMISE,
    ask="Trace the wires at both sides of the contact.",
    mends="The wire across the contact taken off, or drawn as it really lies.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SUP-18 of each output of which both sides of a contact are wired."""
    for output in case.outputs():
        house = case.job.premises[output.premises]
        if not house.links and not house.cables:
            continue
        nets = nets_of(case, output.premises)
        side = "break" if output.output.contact == "normally closed" else "make"
        ends = [Terminal(output.receiver, f"{output.number}.{name}") for name in ("common", side)]
        if all(end in nets.terminals for end in ends):
            yield _judged(case, output, side, is_bridged=ends[1] in nets.joined(ends[0]))


def _judged(case: Case, output: OutputAt, side: str, *, is_bridged: bool) -> Finding:
    works = listed(output.works) or "what hangs on it"
    says = f"No wire lies across the contact of output {output.number} of {output.receiver}."
    because = ""
    if is_bridged:
        says = (
            f"A wire joins both sides of the {side} contact of output {output.number} of {output.receiver}:"
            f" {works} is worked for ever, whatever is pressed."
        )
        because = (
            "A gate that is told to open for ever never shuts; a lock that is let go for ever never locks."
        )
    can_hurt = any(driven.traits.is_lock or driven.traits.starts_unseen for driven in driven_of(case, output))
    return CONTACT_FREE.decide(
        about=f"contact of {output.path}",
        subjects=(
            OutputRef(output.path),
            *(DeviceRef(driven.path) for driven in driven_of(case, output) if driven.device is not None),
        ),
        cause=OutputRef(output.path),
        answer=Answer.of(not is_bridged),
        says=says,
        because=because,
        remedies=(Remedy("Take the wire off, or draw it as it really lies"),),
        stake=Stake.HARM if can_hurt else None,
        sources=(GIVEN,),
    )
