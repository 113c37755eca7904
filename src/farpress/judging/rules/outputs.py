"""Rules about what an output is: together with another, after the power returns, out of sight, for how long.

Each function takes the case, the rule and the outputs it names, and yields rulings; `built` makes findings
of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Final

from farpress.case.behaviour import after_power_return, keeps_apart, leaves_worked, longest_hold_s
from farpress.case.case import Case, OutputAt
from farpress.case.citations import MACHINES, PRACTICE, RADIO
from farpress.case.driven import (
    Driven,
    begins_opening,
    change,
    driven_of,
    moves,
    promises_of,
    seconds,
    subjects_of,
)
from farpress.domain.cautions import LOCAL_CODES, caution
from farpress.domain.finding import Ask, Remedy, Who
from farpress.domain.job import Rule
from farpress.domain.refs import DeviceRef, OutputRef, Ref
from farpress.judging.check import Answer
from farpress.judging.device.moves import in_sight
from farpress.judging.device.waits import END_CONTACTS
from farpress.judging.output.power_return import WAITS_FOR_COMMAND
from farpress.judging.output.times import limited_run
from farpress.judging.rules.ruling import Ruling
from farpress.judging.rules.stays_on import stays_on
from farpress.phrases import listed

__all__ = ["after_power", "both_on", "on_longer", "without_sight"]


def both_on(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never both on: something must keep each pair apart."""
    joined = [ruling for output in outputs for ruling in _on_one_contact(case, rule, output)]
    yield from joined
    if len(outputs) < 2 and not joined:
        yield Ruling(
            Answer.UNKNOWN,
            "only one output does all of it.",
            never_matters=True,
            subjects=tuple(OutputRef(output.path) for output in outputs),
        )
    for first, second in combinations(outputs, 2):
        names = [
            {name for name in rule.of if name in (output.path, *output.functions)}
            for output in (first, second)
        ]
        if names[0] == names[1] and len(names[0]) == 1:
            continue  # two outputs of one and the same function
        subjects = tuple(
            dict.fromkeys(
                (*subjects_of(first, *driven_of(case, first)), *subjects_of(second, *driven_of(case, second)))
            )
        )
        about = f"{first.path} and {second.path}"
        together = set(first.functions) & set(second.functions)
        apart = keeps_apart(case, first, second)
        leaves = leaves_worked(case, first, second)
        if leaves:
            yield _leaves_apart(case, leaves, first, second, about, subjects)
            continue
        if apart.says:
            yield Ruling(
                Answer.YES,
                f"{apart.says[0].upper()}{apart.says[1:]} keeps {about} apart.",
                about=about,
                sources=(PRACTICE,),
                subjects=subjects,
            )
            continue
        because = (
            f"{', '.join(sorted(together))} presses both."
            if together
            else "One press on each, from one fob or two, and both are on."
        )
        same = first.receiver_path == second.receiver_path
        remedies = (
            (
                Remedy(
                    "Interlock the two outputs",
                    "the second press switches the first off",
                    (change(first, "interlock", second.number), change(second, "interlock", first.number)),
                ),
            )
            if same
            else (Remedy("Interlock by wiring: each relay's normally closed contact in the other's line"),)
        )
        yield Ruling(
            Answer.NO,
            f"Nothing keeps {about} from being on together.",
            because,
            about,
            remedies=remedies,
            sources=(PRACTICE,),
            subjects=subjects,
        )


def _on_one_contact(case: Case, rule: Rule, output: OutputAt) -> Iterator[Ruling]:
    """Two things that the rule names and that one contact works are on together at every press."""
    worked = driven_of(case, output)
    named = {
        driven.path: driven
        for driven in worked
        if {driven.path, driven.path.split("/")[1]} & set(rule.of) and driven.logic not in ("stop", "safety")
    }
    if len(named) < 2:
        return
    names = listed([path.split("/")[1] for path in named])
    yield Ruling(
        Answer.NO,
        f"{output.path} works {names} by one contact: whenever one is on, so is the other.",
        "",
        f"{output.path}: {names}",
        remedies=(Remedy("An output of its own for each, and the two kept apart"),),
        sources=(PRACTICE,),
        subjects=subjects_of(output, *named.values()),
    )


def _leaves_apart(
    case: Case,
    leaves: tuple[str, str],
    first: OutputAt,
    second: OutputAt,
    about: str,
    subjects: tuple[Ref, ...],
) -> Ruling:
    """Leaves are kept apart by their own drives: the pulse is over while the leaf still stands open."""
    names = [path.split("/")[1] for path in leaves]
    devices = [
        case.job.premises[path.split("/")[0]].devices.get(name)
        for path, name in zip(leaves, names, strict=True)
    ]
    kept = all(
        device is not None and other in device.waits_for and device.waits_by in ("end contacts", "drives")
        for device, other in zip(devices, reversed(names), strict=True)
    )
    if kept:
        says = f"{names[0]} opens only while {names[1]} stands closed, and the other way round."
        return Ruling(Answer.YES, says, about=about, sources=(PRACTICE,), subjects=subjects)
    together = set(first.functions) & set(second.functions)
    pressed = f"{', '.join(sorted(together))} presses both." if together else "One press on each opens both."
    waiting = next(
        (
            path
            for path, device, other in zip(leaves, devices, reversed(names), strict=True)
            if device is not None and other in device.waits_for
        ),
        leaves[1],
    )
    return Ruling(
        Answer.NO,
        f"Nothing keeps {names[0]} and {names[1]} from standing open together.",
        f"{pressed} An interlock of the receiver's outputs is no cure: a pulse is over long before the leaf"
        " is closed.",
        about,
        remedies=(END_CONTACTS,),
        sources=(PRACTICE,),
        subjects=tuple(dict.fromkeys((DeviceRef(waiting), *subjects))),
    )


def after_power(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never works after power return: each output must be off then."""
    for output in outputs:
        state = after_power_return(case, output)
        subjects = subjects_of(output, *driven_of(case, output))
        fix = (
            Remedy(
                "Choose 'off' after power return and prove it",
                "",
                (change(output, "after_power_return", "off"),),
            ),
        )
        if state == "off" and _is_side_open(case, output):
            yield Ruling(
                Answer.UNKNOWN,
                f"Which side of the contact of {output.path} is wired is not said; it feeds a magnet, which"
                " is let go without power and holds again after it.",
                "Look whether the magnet hangs on the make or the break side, and write 'contact'.",
                output.path,
                is_said=True,
                sources=(MACHINES,),
                subjects=subjects,
            )
            continue
        if state == "off" or (
            output.output.traits.wants_length
            and state == "on"
            and all(driven.wants == "pulse" for driven in driven_of(case, output))
        ):
            says = f"{output.path} is off after the power returns."
            timed = [
                driven
                for driven in driven_of(case, output)
                if (moves(driven) or driven.traits.is_unsaid)
                and (driven.sheet.closes_after_s or driven.wants != "maintained")
                and (begins_opening(driven) or driven.logic in ("start", None))
                and driven.sheet.closes_after_power_return is not False
            ]
            if timed:
                known = timed[0].sheet.closes_after_power_return
                goes = "goes on by itself" if known else "goes on by itself is not recorded"
                says = (
                    f"{output.path} is off after the power returns;"
                    f" {'' if known else 'whether '}{_own_way(timed[0])} {goes}."
                )
                yield Ruling(
                    Answer.of(False if known else None),
                    says,
                    ""
                    if known
                    else "Cut the drive's supply while it stands open, and watch it for the closing time.",
                    output.path,
                    is_told_elsewhere=True,
                    is_said=True,
                    remedies=(WAITS_FOR_COMMAND,),
                    sources=(MACHINES, *timed[0].cite("closes_after_s", "closes_after_power_return")),
                    subjects=subjects,
                )
                continue
            yield Ruling(
                Answer.YES,
                says,
                "Prove it by switching the supply off three times.",
                output.path,
                sources=(MACHINES,),
                subjects=subjects,
            )
        elif state == "unknown":
            yield Ruling(
                Answer.UNKNOWN,
                f"How {output.path} stands after the power returns is not known.",
                "Ask, or switch the supply off three times while it is on.",
                output.path,
                remedies=fix,
                sources=(MACHINES,),
                subjects=subjects,
            )
        else:
            by_contact = state == "on" and output.output.contact == "normally closed"
            how = "closed through its normally closed contact" if by_contact else "as it was before"
            yield Ruling(
                Answer.NO,
                f"{output.path} is {how} after the power returns{_locks_itself(case, output)}.",
                "",
                output.path,
                remedies=_DECIDED_THERE if by_contact else fix,
                sources=(MACHINES,),
                subjects=subjects,
            )


_DECIDED_THERE: Final = (
    Remedy("Let the control of the door itself decide how it stands after a power cut, not the receiver"),
)
"""A break contact is closed with the relay off: no setting of the receiver changes that."""


def _is_side_open(case: Case, output: OutputAt) -> bool:
    """Whether nobody says at which side of its contact a magnet hangs: that decides how it stands."""
    is_said = "contact" in output.output.model_fields_set
    return not is_said and any(driven.traits.is_magnet for driven in driven_of(case, output))


def _own_way(driven: Driven) -> str:
    """What a drive may do by itself; one of which no timed closing is said may close once all the same."""
    name = driven.path.partition("/")[2]
    return f"timed closing of {name}" if driven.sheet.closes_after_s else f"any closing of {name}"


def _locks_itself(case: Case, output: OutputAt) -> str:
    """What that means at a magnet fed over a break contact."""
    magnets = [driven for driven in driven_of(case, output) if driven.traits.is_magnet]
    if not magnets or output.output.contact != "normally closed":
        return ""
    name = magnets[0].path.partition("/")[2]
    return f": {name}, left unlocked, locks by itself, and nobody sees it"


def without_sight(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never works without sight: radio cannot know what a user sees."""
    for output in outputs:
        for driven in driven_of(case, output):
            subjects, about = subjects_of(output, driven), f"{output.path}: {driven.works}"
            places = [promise.from_ for promise in promises_of(case, output.functions)]
            remedies = (
                Remedy("A fixed control in sight of it"),
                Remedy("Presence detection, so that sight is not needed"),
            )
            if in_sight(case, output, driven):
                says = (
                    f"All places from which {driven.works} is promised see its whole movement, but the radio"
                    " reaches further."
                )
                yield Ruling(
                    Answer.BARELY,
                    says,
                    f"Nothing stops a press from where it is not seen. {LOCAL_CODES}",
                    about,
                    remedies=remedies,
                    sources=(RADIO,),
                    subjects=subjects,
                )
            elif places:
                says = (
                    f"{driven.works} is promised from {', '.join(dict.fromkeys(places))}; not from"
                    " every one of"
                    " them its whole movement is seen."
                )
                yield Ruling(
                    Answer.NO,
                    says,
                    f"A promise to work out of sight breaks the rule. {caution('gate')}",
                    about,
                    remedies=remedies,
                    sources=(RADIO,),
                    subjects=subjects,
                )
            else:
                says = (
                    f"From where {driven.works} is pressed is not promised, and the radio reaches"
                    " further than"
                    " anybody sees."
                )
                yield Ruling(
                    Answer.UNKNOWN,
                    says,
                    "Write the places and what is seen from them.",
                    about,
                    remedies=remedies,
                    sources=(RADIO,),
                    subjects=subjects,
                )


def on_longer(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never on longer than a time: pulses by their length, held ones by the fob's cut-off."""
    limit = rule.for_s or 0.0
    for output in outputs:
        subjects, kind, for_s = (
            subjects_of(output, *driven_of(case, output)),
            output.output.traits,
            output.output.for_s,
        )
        fix = (limited_run(case, output, limit),)
        left_on = stays_on(case, rule, output, limit, subjects)
        if left_on is not None:
            yield left_on
        elif kind.keeps_state:
            how = (
                "toggles and stays on until the next press"
                if kind.turns_round
                else "latches and stays on until somebody switches it off"
            )
            yield Ruling(
                Answer.NO,
                f"{output.path} {how}.",
                "",
                output.path,
                limit=limit,
                remedies=fix,
                subjects=subjects,
            )
        elif kind.while_held:
            yield _held_on(case, output, limit, subjects)
        elif for_s is None:
            yield Ruling(
                None,
                f"The length of the pulse of {output.path} is not given.",
                "",
                output.path,
                limit=limit,
                asks=(f"Say how long the pulse of {output.path} is.",),
                subjects=subjects,
            )
        elif for_s > limit:
            yield Ruling(
                None,
                f"The pulse of {output.path} lasts {seconds(for_s)}; {seconds(limit)} is allowed.",
                "",
                output.path,
                value=for_s,
                limit=limit,
                remedies=fix,
                subjects=subjects,
            )
        elif output.output.retrigger:
            presses = int(limit // for_s) + 1
            says = (
                f"Each press of {output.path} starts {seconds(for_s)} anew: {presses} presses, each"
                " just before"
                f" the time is over, keep it on for {seconds(presses * for_s)}."
            )
            yield Ruling(
                None,
                says,
                "Nothing ends a time that is started anew again and again.",
                output.path,
                value=presses * for_s,
                limit=limit,
                remedies=fix,
                subjects=subjects,
            )
        else:
            says = (
                f"The pulse of {output.path} lasts {seconds(for_s)} and a further press changes nothing;"
                f" {seconds(limit)} is allowed."
            )
            yield Ruling(
                None,
                says,
                "A fresh press after its end starts it again.",
                output.path,
                value=for_s,
                limit=limit,
                subjects=subjects,
            )


def _held_on(case: Case, output: OutputAt, limit: float, subjects: tuple[Ref, ...]) -> Ruling:
    """A held output stays on until the fob gives up and the receiver has noticed."""
    hold = longest_hold_s(case, output)
    receiver = case.equipment.receivers.get(output.receiver_path)
    dropout = receiver.sheet.dropout_s if receiver is not None else None
    if hold is None:
        return Ruling(
            None,
            f"How long a fob keeps {output.path} on while it is held is not known.",
            "Hold a button down and time it.",
            output.path,
            limit=limit,
            asks=(Ask("Hold a button of each fob down and time it.", Who.INSTALLER, 2.0),),
            subjects=subjects,
        )
    asks: tuple[Ask, ...] = ()
    if dropout is None:
        asks = (Ask(f"Time how long {output.path} stays on after a button is let go.", Who.INSTALLER, 2.0),)
    run = hold[0] + (dropout or 0.0)
    return Ruling(
        None,
        f"A held press keeps {output.path} on for {run:g} s at most; {seconds(limit)} is allowed.",
        "",
        output.path,
        value=run,
        limit=limit,
        asks=asks,
        sources=hold[2],
        subjects=subjects,
    )
