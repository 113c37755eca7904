"""What a rolling code does not keep out: recording, jamming, rolling back.

One note for the whole job, without a figure: no number of codes or years says how long
somebody with equipment needs. Fixed codes and learning access are judged in `safety`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import opens, unsets
from farpress.case.case import Case
from farpress.case.driven import driven_of
from farpress.domain.cautions import CAUTIONS, LOCAL_CODES
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {"REG-08": "Replay and jamming: what a rolling code does not keep out."}

ROLL_BACK: Final = Citation(
    "RollBack: a replay attack on rolling codes that needs no timing",
    "2022",
    "arXiv 2210.11923, abstract",
    Mark.COPY,
)


def judge(case: Case) -> Iterator[Finding]:
    """One note if anything is opened or unset by rolling code."""
    rolling = [
        name
        for name, fob in case.equipment.fobs.items()
        if fob.sheet.code == "rolling" and name in case.job.groups
    ]
    uses = [
        (at, one)
        for name in rolling
        for function in case.job.functions_of(case.job.groups[name])
        for at in case.outputs_of(function)
        for one in driven_of(case, at)
    ]
    alarms = list(dict.fromkeys(one.works for at, one in uses if unsets(case, at, one)))
    entry = list(dict.fromkeys(one.works for _, one in uses if opens(one)))
    if not alarms and not entry:
        return
    what = " and ".join([f"unset {listed(alarms)}"] * bool(alarms) + [f"open {listed(entry)}"] * bool(entry))
    says = (
        f"Rolling codes {what}; a press that was jammed and recorded can be sent later, and counters can be"
        " rolled back where two presses in a row bring a fob into step again."
    )
    because = (
        f"{CAUTIONS['security']} Whether a receiver can be rolled back is known only from its maker or a"
        f" trial. {LOCAL_CODES}"
    )
    remedies = (
        (
            Remedy(
                "Let the panel ask for a second thing before it unsets: a code at the keypad, or a reader"
                " inside the entry route"
            ),
        )
        if alarms
        else ()
    )
    yield Finding(
        "REG-08",
        Link.REGISTER,
        Verdict.THIN if alarms else Verdict.HOLDS,
        "codes",
        says,
        because,
        remedies=remedies,
        sources=(ROLL_BACK,),
    )
