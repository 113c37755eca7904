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
from farpress.domain.finding import Finding, Link, Remedy
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["REPLAY", "judge"]

REPLAY: Final = Check(
    "REG-08",
    Link.REGISTER,
    "Replay and jamming: what a rolling code does not keep out.",
    mends="A second thing that the panel asks for before it unsets.",
)

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
        (output, driven)
        for name in rolling
        for function in case.job.functions_of(case.job.groups[name])
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
    ]
    alarms = list(dict.fromkeys(driven.works for output, driven in uses if unsets(case, output, driven)))
    entry = list(dict.fromkeys(driven.works for _, driven in uses if opens(driven)))
    if not alarms and not entry:
        return
    what = " and ".join([f"unset {listed(alarms)}"] * bool(alarms) + [f"open {listed(entry)}"] * bool(entry))
    yield REPLAY.decide(
        about="codes",
        subjects=(),
        says=(
            f"Rolling codes {what}; a press that was jammed and recorded can be sent later, and counters can"
            " be rolled back where two presses in a row bring a fob into step again."
        ),
        because=(
            f"{CAUTIONS['security']} Whether a receiver can be rolled back is known only from its maker or a"
            f" trial. {LOCAL_CODES}"
        ),
        answer=Answer.BARELY if alarms else Answer.YES,
        remedies=(
            Remedy(
                "Let the panel ask for a second thing before it unsets: a code at the keypad, or a reader"
                " inside the entry route"
            ),
        ),
        sources=(ROLL_BACK,),
    )
