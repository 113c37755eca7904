"""What is put into water, or filled with it, and may come back to where people and animals drink."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.case.worked import Worked, devices_beside, worked_devices
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.device_care import FlowsBack
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.told_words import PUT_IN, told
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["FLOWS_BACK", "judge"]

FLOWS_BACK: Final = Check(
    "SAFE-58",
    Link.SAFETY,
    "What is dosed into water or filled with it does not come back to where somebody drinks: an air gap or a"
    " separating device keeps it from there.",
    stake=Stake.HARM,
    halts=True,
    ask="Look for what keeps it from coming back, and which taps hang on the same water.",
    who=Who.INSTALLER,
    minutes=15.0,
    mends="A free fall over the rim, or a separating device with a vented space, by the rules of whoever"
    " supplies the water; or a line of its own.",
)

_EN_1717: Final = Citation(
    "EN 1717",
    place="protection against pollution of drinking water: what harms health, as fertiliser, wants an air gap"
    " or a vented space between two check valves; a check valve alone is for wholesome water",
    mark=Mark.MEMORY,
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-58 of each thing that says what may flow back, worked by a press or beside, and of each worked one
    that doses by its name.
    """
    for beside in devices_beside(case):
        back = beside.driven.sheet.flows_back
        if back is not None:
            yield _judged(beside, back)
    for worked in worked_devices(case):
        sheet = worked.driven.sheet
        if sheet.flows_back is not None:
            yield _judged(worked, sheet.flows_back)
        elif word := _doses(case, worked):
            yield _asked(worked, word)


def _doses(case: Case, worked: Worked) -> str:
    """The word by which people say that it puts something into water; empty where none does."""
    traits = worked.driven.traits
    is_wet = traits.runs_water or traits.feeds_more or traits.is_unsaid or traits.may_pump
    return told(PUT_IN, *worked.texts(case)) if is_wet else ""


def _asked(worked: Worked, word: str) -> Finding:
    return FLOWS_BACK.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=Answer.UNKNOWN,
        says=f"'{word}' is written about {worked.name}; what keeps it out of drinking water is not said.",
        because=f"When the pressure falls it is sucked back and comes out of a tap. {LOCAL_CODES}",
        halts=False,
        asks=(
            Ask(
                f"Look what keeps the water of {worked.name} from coming back, and which taps hang on it"
                " too; write 'flows_back'.",
                Who.INSTALLER,
                15.0,
            ),
        ),
        sources=(*worked.driven.cite("device"), GIVEN, _EN_1717),
    )


def _judged(worked: Worked, back: FlowsBack) -> Finding:
    name = worked.name
    asks: list[Ask] = []
    drunk = listed(back.drunk_at) if back.drunk_at else ""
    if back.drunk_at == ():
        answer, says = Answer.YES, f"{back.what} of {name} is in water of its own, at which nobody drinks."
    elif back.kept_by in ("air gap", "separating device"):
        way = {"air gap": "an air gap", "separating device": "a separating device"}[back.kept_by]
        answer, says = Answer.YES, f"{way[0].upper()}{way[1:]} keeps {back.what} of {name} out of the water."
    elif back.kept_by in ("check valve", "nothing"):
        what = "Nothing" if back.kept_by == "nothing" else "Only a check valve"
        where = f"the water of {drunk}" if drunk else "the water that feeds it"
        answer, says = Answer.NO, f"{what} keeps {back.what} of {name} out of {where}: refused."
        if not drunk:
            answer = Answer.UNKNOWN
            says = f"{what} keeps {back.what} of {name} out of {where}; who drinks of it is not said."
    else:
        answer = Answer.UNKNOWN
        says = (
            f"What keeps {back.what} of {name} out of the water {f'of {drunk} ' if drunk else ''}is not said."
        )
    if answer is Answer.UNKNOWN:
        asks.append(
            Ask(
                f"Look which taps, troughs and showers hang on the water of {name}, and what keeps"
                f" {back.what} from coming back to them.",
                Who.INSTALLER,
                15.0,
            )
        )
    return FLOWS_BACK.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else "When the pressure falls, as when the pump stops or a main bursts, it is sucked back and comes"
        f" out of the tap. Whoever supplies the water decides what is enough. {LOCAL_CODES}",
        asks=tuple(asks),
        remedies=(
            Remedy("A separating device with a vented space, by the rules of whoever supplies the water"),
            Remedy("A tank of its own, filled over an air gap, with a line on which no tap hangs"),
        ),
        sources=(*worked.driven.cite("flows_back"), GIVEN, _EN_1717),
    )
