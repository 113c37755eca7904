"""What a stranger, a finder or a pocket can do with a fob: learning, guessing, one press too many."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import opens, short_press, single_presses, unsets, unsets_and_opens
from farpress.case.case import Case
from farpress.case.citations import CHOICE, CODE_SPACE, GIVEN, PRACTICE
from farpress.case.driven import alarm, driven_of, groups_of, holders
from farpress.core.keys.guessing import all_codes_s, mean_tries, share_two_alike
from farpress.domain.cautions import CAUTIONS, LOCAL_CODES, caution
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Group
from farpress.domain.premises import Receiver
from farpress.domain.receiver_sheets import FobSheet
from farpress.domain.refs import GroupRef, ReceiverRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.phrases import listed
from farpress.sources import Citation, cited
from farpress.units import write_quantity

__all__ = ["FIXED_CODE", "FIXED_CODES", "LEARN_ACCESS", "ONE_PRESS", "POCKET", "TRY_S", "judge"]

ONE_PRESS: Final = Check(
    "SAFE-04",
    Link.SAFETY,
    "One press that unsets the alarm and opens the premises.",
    stake=Stake.DUTY,
    mends="Two buttons, or a long press for the alarm.",
)
LEARN_ACCESS: Final = Check(
    "SAFE-08",
    Link.SAFETY,
    "Who can teach a receiver new fobs.",
    ask="Look whether its learning button is behind a tamper contact or a code.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="A tamper-protected housing, or a code.",
)
FIXED_CODE: Final = Check(
    "SAFE-09",
    Link.SAFETY,
    "Fixed codes that open or unset something: what guessing costs.",
    unit="s",
    mends="Rolling-code fobs, and the old ones deleted.",
)
TWO_ALIKE: Final = Check(
    "SAFE-15",
    Link.SAFETY,
    "Whether two fobs with a fixed code have the same one, set at random.",
    bound=AT_MOST,
    limit=Limit(0.05, (CHOICE,)),
    advice=True,
    stake=Stake.DUTY,
    mends="The codes read and listed; those that are alike set anew, or all of them withdrawn.",
)
POCKET: Final = Check(
    "SAFE-10",
    Link.FOB,
    "A fob kept in a pocket that opens or unsets something.",
    advice=True,
    ask="Ask where the fobs are carried.",
    who=Who.CUSTOMER,
    minutes=1.0,
    mends="A fob with sunk buttons, a long press, or another place to carry it.",
)

FIXED_CODES: Final = 4096
"""Of a fob with twelve switches, the usual kind; from memory."""

TRY_S: Final = 0.1
"""One blind try of a code, seconds: ten a second; our choice."""

NEVER_BY_ONE_PRESS: Final = "unset and open by one press"
"""The rule whose signature accepts SAFE-04."""


def judge(case: Case) -> Iterator[Finding]:
    """What a press by somebody else, or by nobody, can do."""
    yield from _unset_and_open(case)
    for premises, house in case.job.premises.items():
        for name, box in house.receivers.items():
            yield _learning(premises, name, box)
    yield from _two_alike(case)
    for name, group in case.job.groups.items():
        yield from _fixed_code(case, name, group)
        yield from _pocket(case, name, group)


def _unset_and_open(case: Case) -> Iterator[Finding]:
    signed = next(
        (rule.signed for rule in case.job.rules if rule.never == NEVER_BY_ONE_PRESS and rule.signed), None
    )
    for press in single_presses(case):
        both = unsets_and_opens(case, press.functions)
        if both is None:
            continue
        accepted = f" Accepted: {signed}." if signed else ""
        yield ONE_PRESS.decide(
            about=press.name,
            subjects=press.subjects,
            says=f"One press of {press.name} unsets the alarm ({both[0]}) and opens ({both[1]}).",
            because=(
                "Whoever finds the fob, or sits on it, stands inside with the alarm unset."
                f"{accepted} {caution('alarm')}"
            ),
            answer=Answer.BARELY if signed else Answer.NO,
            remedies=()
            if signed
            else (
                Remedy("Two buttons, or a long press for the alarm"),
                Remedy("Let the customer sign for it, and write who and when in the rule"),
            ),
            sources=(PRACTICE, GIVEN),
        )


_BEHIND: Final = {"tamper-protected housing": "a tamper-protected housing", "code": "a code"}


def _learning(premises: str, name: str, box: Receiver) -> Finding:
    path = f"{premises}/{name}"
    fix = Remedy(
        "Put it behind a tamper-protected housing or a code",
        "",
        (Change(("premises", premises, "receivers", name, "learn_access"), "tamper-protected housing"),),
    )
    sources: tuple[Citation, ...] = (PRACTICE, GIVEN)
    if box.learn_access in _BEHIND:
        says = f"Learning at {name} is behind {_BEHIND[box.learn_access]}."
        because, sources = "No fob is learned while a neighbour's is being pressed.", (GIVEN,)
    elif box.learn_access == "open":
        says = f"Anybody at {name} can learn a new fob."
        because = f"A learned fob stays learned until somebody looks. {LOCAL_CODES}"
    else:
        says = f"Who can learn fobs at {name} is not recorded."
        because, sources = LEARN_ACCESS.ask, (PRACTICE,)
    return LEARN_ACCESS.decide(
        about=path,
        subjects=(ReceiverRef(path),),
        says=says,
        because=because,
        answer=Answer.of(None if box.learn_access is None else box.learn_access in _BEHIND),
        remedies=(fix,),
        sources=sources,
    )


def _fixed_code(case: Case, name: str, group: Group) -> Iterator[Finding]:
    """SAFE-09; whether the code of a fob is known at all is asked where the fob is judged."""
    fob = case.equipment.fobs.get(name)
    uses = [
        (output, driven)
        for output in case.outputs()
        if name in {group_name for group_name, _ in groups_of(case, output)}
        for driven in driven_of(case, output)
    ]
    guarded = [
        driven.works
        for output, driven in uses
        if opens(driven) or unsets(case, output, driven) or alarm(driven)
    ]
    if fob is None or not guarded or fob.sheet.code != "fixed":
        return
    codes, try_s = fob.sheet.codes or FIXED_CODES, _try_s(fob.sheet)
    receivers = dict.fromkeys(output.receiver_path for output, _ in uses)
    number, where = max((min(_learned_fixed(case, path), codes), path) for path in receivers)
    first_s = mean_tries(codes=codes, learned=number) * try_s
    says = f"The fobs of {name} always send the same code, and they work {listed(dict.fromkeys(guarded))}."
    yield FIXED_CODE.decide(
        about=name,
        subjects=(GroupRef(name),),
        says=says,
        because=(
            f"Recorded once, it can be used for ever. {where} knows {number} such fobs: of"
            f" {codes} possible codes,"
            f" tried blindly one after the other, the first fits after {write_quantity(first_s, 'time')} on"
            f" average, and all of them take {write_quantity(all_codes_s(codes=codes, try_s=try_s), 'time')}."
            f" {CAUTIONS['fixed code']}"
        ),
        answer=Answer.NO,
        remedies=(Remedy("Rolling-code fobs, and delete the old ones by a date"),),
        sources=(*fob.cite("code", "codes", "press_telegrams"), CODE_SPACE, PRACTICE),
        value=first_s,
    )


def _learned_fixed(case: Case, receiver: str) -> int:
    """Fobs with a fixed code that a receiver knows, at least one; unknown numbers count as one fob."""
    groups = {
        name: group
        for output in case.outputs()
        if output.receiver_path == receiver
        for name, group in groups_of(case, output)
        if (fob := case.equipment.fobs.get(name)) is not None and fob.sheet.code == "fixed"
    }
    return sum(max((holders(group) or 0) + group.spares, 1) for group in groups.values()) or 1


def _try_s(sheet: FobSheet) -> float:
    """One blind try: as long as a short press sends; where that is not known, our choice [s]."""
    each = sheet.repeat_s or sheet.telegram_s
    if sheet.press_telegrams is None or not each:
        return TRY_S
    return float(sheet.press_telegrams * each)


def _two_alike(case: Case) -> Iterator[Finding]:
    """SAFE-15, of each receiver that knows several fobs with a fixed code."""
    for path in case.equipment.receivers:
        fobs = [
            case.equipment.fobs[name].sheet
            for output in case.outputs()
            if output.receiver_path == path
            for name, _ in groups_of(case, output)
            if name in case.equipment.fobs and case.equipment.fobs[name].sheet.code == "fixed"
        ]
        if not fobs:
            continue
        number, codes = _learned_fixed(case, path), min(sheet.codes or FIXED_CODES for sheet in fobs)
        share = share_two_alike(codes=codes, fobs=number)
        yield TWO_ALIKE.judge(
            about=path,
            subjects=(ReceiverRef(path),),
            value=Estimate(share, None, cited(share_two_alike)),
            says=f"{number} fobs with fixed codes are known at {path}: if they were set at"
            " random, two of them"
            f" have the same one of {codes} codes in {share:.0%} of all cases.",
            because="Deleting one of the two deletes both, and each holder stands for the other.",
            remedies=(Remedy("Read the codes of all of them, and list those that are alike"),),
        )


def _pocket_unsaid(name: str, unsaid: list[str], *, is_said: bool) -> Finding:
    """SAFE-10 of fobs in pockets that work something of which nobody says what it is."""
    what = listed(dict.fromkeys(unsaid))
    return POCKET.decide(
        about=name,
        subjects=(GroupRef(name),),
        says=f"The fobs of {name} are carried {'in a pocket' if is_said else 'nobody says where'}; what"
        f" {what} moves is not said.",
        because=f"{CAUTIONS['general']} {LOCAL_CODES}",
        answer=Answer.UNKNOWN,
        asks=(Ask(f"Say what kind of thing {what} works.", Who.INSTALLER, 1.0),),
        sources=(GIVEN,),
    )


def _pocket(case: Case, name: str, group: Group) -> Iterator[Finding]:
    if group.kept not in (None, "in pocket"):
        return
    # a long press is not made by accident
    short = [function for button in group.buttons.values() for function in short_press(button)]
    uses = [
        (output, driven)
        for function in dict.fromkeys(short)
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
    ]
    alarms = [driven.works for output, driven in uses if unsets(case, output, driven)]
    # what closes again by itself, and a lock released for seconds, stands open for a short time only
    leaves = [driven.works for _, driven in uses if driven.traits.is_leaf and opens(driven)]
    if not alarms and not leaves:
        unsaid = [driven.works for _, driven in uses if driven.device is not None and not driven.sheet.device]
        if unsaid:
            yield _pocket_unsaid(name, unsaid, is_said=group.kept is not None)
        return
    what = f"unset {listed(dict.fromkeys(alarms))}" if alarms else f"move {listed(dict.fromkeys(leaves))}"
    says = f"The fobs of {name} are carried in a pocket and {what}: a press by accident is not noticed."
    if group.kept is None:
        says = f"Where the fobs of {name} are carried is not said; they {what}, in a pocket by accident too."
    yield POCKET.decide(
        about=name,
        subjects=(GroupRef(name),),
        says=says,
        because=f"{CAUTIONS['general']} {LOCAL_CODES}",
        answer=Answer.of(None if group.kept is None else False),
        asks=(f"Ask where {name} carry their fobs.",) if group.kept is None else (),
        remedies=(
            Remedy("A fob with sunk buttons, or two buttons pressed together, or a long press"),
            Remedy("Carry it where nothing presses it"),
        ),
        sources=(PRACTICE, GIVEN),
        stake=Stake.HARM if leaves else None,
    )
