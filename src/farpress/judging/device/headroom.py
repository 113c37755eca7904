"""Room for heads under what is let out over a way."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.driven import Driven, driven_of
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit
from farpress.sources import Citation, Mark

__all__ = ["HEADROOM", "judge_headroom"]

HEADROOM: Final = Check(
    "DEV-20",
    Link.DEVICE,
    "Height under an awning that is out, where people pass.",
    unit="m",
    bound=AT_LEAST,
    limit=Limit(
        2.5, (Citation("awnings over footways, 2.4 to 2.6 m by the highway authority", mark=Mark.MEMORY),)
    ),
    stake=Stake.HARM,
    ask="Measure from the way to its front rail while it is out.",
    who=Who.METER,
    minutes=5.0,
    mends="An end stop nearer in, or a higher fixing; and the leave of the highway authority.",
)


def judge_headroom(case: Case) -> Iterator[Finding]:
    """DEV-20 of each thing that the wind has to be feared for and that people pass under."""
    seen: dict[str, Driven] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.traits.fears_wind:
                seen.setdefault(driven.path, driven)
    for driven in seen.values():
        if driven.sheet.people_pass is not False:
            yield _headroom(driven)


def _headroom(driven: Driven) -> Finding:
    name, height = driven.path.split("/")[1], driven.sheet.edge_height_m
    if driven.sheet.people_pass is None:
        return HEADROOM.decide(
            about=driven.path,
            subjects=(DeviceRef(driven.path),),
            answer=Answer.UNKNOWN,
            says=f"Whether people pass under {name} is not said.",
            asks=(Ask(f"Ask whether {name} hangs over a way, and write 'people_pass'.", Who.CUSTOMER, 2.0),),
            value=height,
            sources=driven.cite("people_pass"),
        )
    says = f"How high {name} hangs over the way while it is out is not known."
    if height is not None:
        says = f"{name} hangs at {height:g} m over the way while it is out."
    return HEADROOM.judge(
        about=driven.path,
        subjects=(DeviceRef(driven.path),),
        value=Estimate(height, None, driven.cite("edge_height_m")),
        says=says,
        because=f"People walk under it, and look at the window. {LOCAL_CODES}",
        remedies=(
            Remedy("An end stop that leaves it higher, or nearer in"),
            Remedy("Ask the highway authority for its leave, and how far from the kerb it must stay"),
        ),
    )
