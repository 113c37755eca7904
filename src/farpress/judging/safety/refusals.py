"""What a radio fob may not do, whatever else is right: refusals, with the caution in plain words.

No claim of safety is made here. Where this says no, local codes and licensed practice
decide what to do instead; where it says nothing, they decide as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import one_press, opens, short_press, unsets, unsets_and_opens
from farpress.case.case import Case, OutputAt
from farpress.case.citations import (
    CODE_SPACE,
    EN_12453_TABLE,
    EN_13637,
    EN_50134,
    GIVEN,
    MAINS,
    PRACTICE,
    RADIO,
)
from farpress.case.driven import Driven, alarm, driven_of, function_kinds, groups_of, holders, subjects_of
from farpress.core.keys.guessing import all_codes_s, share_guess_opens
from farpress.domain.cautions import CAUTIONS, DUTIES, LOCAL_CODES, caution
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.refs import FunctionRef, GroupRef, ReceiverRef
from farpress.judging.device.moves import in_sight
from farpress.phrases import listed

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "SAFE-01": "Radio on a safety input: refused.",
    "SAFE-02": "Stop by radio: a convenience, never an emergency stop.",
    "SAFE-03": "A held fob as the only safeguard of a moving leaf: refused.",
    "SAFE-04": "One press that unsets the alarm and opens the premises.",
    "SAFE-05": "A call for help by radio: what it is not.",
    "SAFE-06": "Doors on escape routes: the fob is never the way out.",
    "SAFE-07": "Mains voltage: by a licensed electrician.",
    "SAFE-08": "Who can teach a receiver new fobs.",
    "SAFE-10": "A fob kept in a pocket that opens or unsets something.",
    "SAFE-09": "Fixed codes that open or unset something: what guessing costs.",
}

FIXED_CODES: Final = 4096
"""Of a fob with twelve switches, the usual kind; from memory."""


def judge(case: Case) -> Iterator[Finding]:
    """All refusals and cautions."""
    for at in case.outputs():
        yield from _call(case, at)
        for one in driven_of(case, at):
            yield from _safety_input(at, one)
            yield from _hold_to_run(case, at, one)
            yield from _escape(at, one)
            yield from _mains(at, one)
    yield from _unset_and_open(case)
    yield from _learning(case)
    yield from _fixed_code(case)
    yield from _pocket(case)


def _safety_input(at: OutputAt, one: Driven) -> Iterator[Finding]:
    about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
    if one.logic == "safety":
        says = f"{at.path} works {one.works}, which is a safety input: refused."
        yield Finding(
            "SAFE-01",
            Link.SAFETY,
            Verdict.FAILS,
            about,
            says,
            caution("safety input"),
            remedies=(Remedy("Take the output off the safety input"),),
            sources=(*one.cite("inputs"), RADIO),
            subjects=subjects,
        )
    elif one.logic == "stop":
        says = f"{at.path} works the stop input {one.works}: it may stop, it is no emergency stop."
        yield Finding(
            "SAFE-02",
            Link.SAFETY,
            Verdict.HOLDS,
            about,
            says,
            caution("safety input"),
            sources=(*one.cite("inputs"), RADIO),
            subjects=subjects,
        )


def _hold_to_run(case: Case, at: OutputAt, one: Driven) -> Iterator[Finding]:
    if (
        not at.output.traits.while_held
        or not one.traits.is_leaf
        or one.wants == "pulse"
        or one.logic in ("stop", "safety")
    ):
        return
    about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
    sources = (*one.cite("safeguards"), EN_12453_TABLE)
    if one.sheet.safeguards is None:
        says = (
            f"{one.works} moves while a fob's button is held; whether anything else guards it is not"
            " recorded."
        )
        yield Finding(
            "SAFE-03",
            Link.SAFETY,
            Verdict.UNKNOWN,
            about,
            says,
            f"Look for edge, force limit, beams or presence detection. {caution('hold-to-run')}",
            sources=sources,
            subjects=subjects,
        )
    elif not one.sheet.safeguards:
        says = f"{one.works} has no safeguard but the held button: refused for a fob."
        because = (
            "A pocket transmitter neither assures that its user sees the leaf nor that the leaf stops when a"
            f" signal is lost in time. {DUTIES['machine']} {caution('hold-to-run')}"
        )
        remedies = (
            Remedy("A fixed push-and-hold control in sight of the leaf"),
            Remedy("Safeguards that guard it without the button"),
        )
        yield Finding(
            "SAFE-03",
            Link.SAFETY,
            Verdict.FAILS,
            about,
            says,
            because,
            remedies=remedies,
            sources=sources,
            subjects=subjects,
        )
    else:
        seen = "" if in_sight(case, at, one) else " Not every promised place sees the whole movement."
        says = (
            f"{one.works} moves while a fob's button is held and is guarded besides:"
            f" {', '.join(one.sheet.safeguards)}."
        )
        yield Finding(
            "SAFE-03",
            Link.SAFETY,
            Verdict.HOLDS,
            about,
            says,
            f"{caution('hold-to-run')}{seen}",
            sources=sources,
            subjects=subjects,
        )


def _call(case: Case, at: OutputAt) -> Iterator[Finding]:
    driven = driven_of(case, at)
    if "call" not in function_kinds(case, at) and all(not one.traits.calls_help for one in driven):
        return
    says = (
        f"'{', '.join(at.functions) or at.path}' calls for help by radio: a household call, no certified"
        " emergency call."
    )
    because = (
        f"{CAUTIONS['call for help']} Before it is handed over: tried places, tried time to an answer, a"
        " named person who answers, a weekly test, and this warning signed."
    )
    yield Finding(
        "SAFE-05",
        Link.SAFETY,
        Verdict.THIN,
        at.path,
        says,
        because,
        sources=(EN_50134, PRACTICE),
        subjects=(*subjects_of(at, *driven), *(FunctionRef(name) for name in at.functions)),
    )


def _escape(at: OutputAt, one: Driven) -> Iterator[Finding]:
    if not one.sheet.escape_route:
        return
    about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
    sources = (*one.cite("escape_route", "fails"), EN_13637)
    if at.output.contact == "normally open" and one.traits.is_magnet:
        says = (
            f"{at.path} feeds the magnetic lock {one.works} while it is on: it locks an escape door by radio."
            " Refused."
        )
        yield Finding(
            "SAFE-06",
            Link.SAFETY,
            Verdict.FAILS,
            about,
            says,
            f"{caution('escape')} {DUTIES['escape']}",
            remedies=(
                Remedy("Break the lock's supply with the normally closed contact, so that a press unlocks"),
            ),
            sources=sources,
            subjects=subjects,
        )
        return
    says = f"{one.works} is on an escape route: the fob is for coming in, never for getting out."
    yield Finding(
        "SAFE-06",
        Link.SAFETY,
        Verdict.HOLDS,
        about,
        says,
        f"{caution('escape')} {DUTIES['escape']}",
        sources=sources,
        subjects=subjects,
    )


def _mains(at: OutputAt, one: Driven) -> Iterator[Finding]:
    voltage = one.sheet.voltage_v or 0.0
    over = voltage > (120.0 if one.sheet.supply == "dc" else 50.0)
    if one.sheet.supply != "mains" and not over:
        return
    if one.wants == "pulse" and not over:  # a potential-free command; the mains side belongs to the drive
        return
    says = (
        f"{one.works} is worked at mains voltage ({voltage:g} V)."
        if voltage
        else f"{one.works} is worked at mains voltage."
    )
    yield Finding(
        "SAFE-07",
        Link.SAFETY,
        Verdict.HOLDS,
        f"{at.path}: {one.works}",
        says,
        caution("mains"),
        sources=(*one.cite("supply", "voltage_v"), MAINS),
        subjects=subjects_of(at, one),
    )


def _unset_and_open(case: Case) -> Iterator[Finding]:
    signed = next(
        (
            rule.signed
            for rule in case.job.rules
            if rule.never == "unset and open by one press" and rule.signed
        ),
        None,
    )
    for name, functions in one_press(case):
        both = unsets_and_opens(case, functions)
        if both is None:
            continue
        subjects = tuple(FunctionRef(function) for function in functions)
        says = f"One press of {name} unsets the alarm ({both[0]}) and opens ({both[1]})."
        because = "Whoever finds the fob, or sits on it, stands inside with the alarm unset."
        if signed:
            yield Finding(
                "SAFE-04",
                Link.SAFETY,
                Verdict.THIN,
                name,
                says,
                f"{because} Accepted: {signed}. {caution('alarm')}",
                sources=(PRACTICE, GIVEN),
                subjects=subjects,
            )
        else:
            remedies = (
                Remedy("Two buttons, or a long press for the alarm"),
                Remedy("Let the customer sign for it, and write who and when in the rule"),
            )
            yield Finding(
                "SAFE-04",
                Link.SAFETY,
                Verdict.FAILS,
                name,
                says,
                f"{because} {caution('alarm')}",
                remedies=remedies,
                sources=(PRACTICE, GIVEN),
                subjects=subjects,
            )


def _learning(case: Case) -> Iterator[Finding]:
    for premises, house in case.job.premises.items():
        for name, box in house.receivers.items():
            path = f"{premises}/{name}"
            subjects = (ReceiverRef(path),)
            if box.learn_access in ("tamper-protected housing", "code"):
                where = "a tamper-protected housing" if box.learn_access != "code" else "a code"
                yield Finding(
                    "SAFE-08",
                    Link.SAFETY,
                    Verdict.HOLDS,
                    path,
                    f"Learning at {name} is behind {where}.",
                    "No fob is learned while a neighbour's is being pressed.",
                    sources=(GIVEN,),
                    subjects=subjects,
                )
                continue
            fix = Remedy(
                "Put it behind a tamper-protected housing or a code",
                "",
                (
                    Change(
                        ("premises", premises, "receivers", name, "learn_access"), "tamper-protected housing"
                    ),
                ),
            )
            if box.learn_access == "open":
                yield Finding(
                    "SAFE-08",
                    Link.SAFETY,
                    Verdict.FAILS,
                    path,
                    f"Anybody at {name} can learn a new fob.",
                    f"A learned fob stays learned until somebody looks. {LOCAL_CODES}",
                    remedies=(fix,),
                    sources=(PRACTICE, GIVEN),
                    subjects=subjects,
                )
            else:
                yield Finding(
                    "SAFE-08",
                    Link.SAFETY,
                    Verdict.UNKNOWN,
                    path,
                    f"Who can learn fobs at {name} is not recorded.",
                    "Look whether its learning button is behind a tamper contact or a code.",
                    remedies=(fix,),
                    sources=(PRACTICE,),
                    subjects=subjects,
                )


def _fixed_code(case: Case) -> Iterator[Finding]:
    for name, group in case.job.groups.items():
        fob = case.equipment.fobs.get(name)
        uses = [
            (at, one)
            for at in case.outputs()
            if name in {group_name for group_name, _ in groups_of(case, at)}
            for one in driven_of(case, at)
        ]
        guarded = [one.works for at, one in uses if opens(one) or unsets(case, at, one) or alarm(one)]
        if fob is None or not guarded:
            continue
        subjects = (GroupRef(name),)
        what = listed(dict.fromkeys(guarded))
        if fob.sheet.code == "fixed":
            number = max((holders(group) or 0) + group.spares, 1)
            chance = share_guess_opens(codes=FIXED_CODES, learned=min(number, FIXED_CODES))
            says = f"The fobs of {name} always send the same code, and they work {what}."
            because = (
                "Recorded once, it can be used for ever. With 4 096 possible codes one blind try fits one of"
                f" {number} in {chance:.2%}, and all codes take"
                f" {all_codes_s(codes=FIXED_CODES, try_s=0.1) / 60:.0f} min at ten a second."
                f" {CAUTIONS['fixed code']}"
            )
            yield Finding(
                "SAFE-09",
                Link.SAFETY,
                Verdict.FAILS,
                name,
                says,
                because,
                remedies=(Remedy("Rolling-code fobs, and delete the old ones"),),
                sources=(*fob.cite("code"), CODE_SPACE, PRACTICE),
                subjects=subjects,
            )


def _pocket(case: Case) -> Iterator[Finding]:
    for name, group in case.job.groups.items():
        if group.kept != "in pocket":
            continue
        # a long press is not made by accident
        short = [name for button in group.buttons.values() for name in short_press(button)]
        uses = [
            (at, one)
            for function in dict.fromkeys(short)
            for at in case.outputs_of(function)
            for one in driven_of(case, at)
        ]
        alarms = [one.works for at, one in uses if unsets(case, at, one)]
        # what closes again by itself, and a lock released for seconds, stands open for a short time only
        doors = [one.works for _, one in uses if one.traits.is_leaf and opens(one)]
        if not alarms and not doors:
            continue
        what = f"unset {listed(dict.fromkeys(alarms))}" if alarms else f"move {listed(dict.fromkeys(doors))}"
        says = f"The fobs of {name} are carried in a pocket and {what}: a press by accident is not noticed."
        remedies = (
            Remedy("A fob with sunk buttons, or two buttons pressed together, or a long press"),
            Remedy("Carry it where nothing presses it"),
        )
        yield Finding(
            "SAFE-10",
            Link.FOB,
            Verdict.THIN,
            name,
            says,
            f"{CAUTIONS['general']} {LOCAL_CODES}",
            remedies=remedies,
            sources=(PRACTICE, GIVEN),
            subjects=(GroupRef(name),),
        )
