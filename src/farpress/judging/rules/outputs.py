"""Rules about what outputs and devices do; see `rules` for the list of codes.

Each function takes the case, the rule and the outputs it names, and yields what it finds.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from farpress.case.case import Case, OutputAt
from farpress.case.citations import EN_13637, MACHINES, PRACTICE, PRESSES, RADIO
from farpress.case.driven import (
    Driven,
    alarm,
    change,
    closes,
    driven_of,
    moves,
    presses_per_second,
    promises_of,
    seconds,
    subjects_of,
)
from farpress.core.rehearsal.barrier import share_another_press
from farpress.core.rehearsal.parity import share_out_of_step
from farpress.domain.cautions import DUTIES, LOCAL_CODES, caution
from farpress.domain.finding import Remedy, Verdict
from farpress.domain.job import Rule
from farpress.domain.refs import OutputRef
from farpress.judging.device.moves import PRESENCE, in_sight
from farpress.judging.output.pairs import keeps_apart
from farpress.judging.output.suits import after_power_return, toggles
from farpress.judging.output.times import longest_hold_s
from farpress.judging.output.use import second_press_counts
from farpress.judging.rules.ruling import LOOK_FURTHER, Ruling

__all__ = [
    "after_power",
    "alarm_despite_unsetting",
    "both_on",
    "closes_while_occupied",
    "held_on_start",
    "needed_to_leave",
    "never_toggles",
    "on_longer",
    "out_of_step",
    "second_press",
    "without_sight",
]


def both_on(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never both on: something must keep each pair apart."""
    if len(outputs) < 2:
        yield Ruling(
            Verdict.UNKNOWN,
            "only one output does all of it.",
            never_matters=True,
            subjects=tuple(OutputRef(at.path) for at in outputs),
        )
        return
    for first, second in combinations(outputs, 2):
        names = [{name for name in rule.of if name in (at.path, *at.functions)} for at in (first, second)]
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
        if apart.says:
            yield Ruling(
                Verdict.HOLDS,
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
            Verdict.FAILS,
            f"Nothing keeps {about} from being on together.",
            because,
            about,
            remedies=remedies,
            sources=(PRACTICE,),
            subjects=subjects,
        )


def after_power(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never works after power return: each output must be off then."""
    for at in outputs:
        state = after_power_return(case, at)
        subjects = subjects_of(at, *driven_of(case, at))
        fix = (
            Remedy(
                "Choose 'off' after power return and prove it", "", (change(at, "after_power_return", "off"),)
            ),
        )
        if state == "off" or (
            at.output.traits.wants_length
            and state == "on"
            and all(one.wants == "pulse" for one in driven_of(case, at))
        ):
            says = f"{at.path} is off after the power returns."
            timed = [
                one
                for one in driven_of(case, at)
                if moves(one)
                and one.sheet.closes_after_s
                and one.logic in ("start", "open only", "partial open")
                and one.sheet.closes_after_power_return is not False
            ]
            if timed:
                known = timed[0].sheet.closes_after_power_return
                goes = "goes on by itself" if known else "goes on by itself is not recorded"
                says = (
                    f"{at.path} is off after the power returns; {'' if known else 'whether '}timed closing of"
                    f" {timed[0].path.partition('/')[2]} {goes}."
                )
                yield Ruling(
                    Verdict.FAILS if known else Verdict.UNKNOWN,
                    says,
                    "Cut the drive's supply while it stands open, and watch it for the closing time."
                    f" {LOOK_FURTHER}",
                    at.path,
                    remedies=(Remedy("Have the drive wait for a command after the power returns"),),
                    sources=(MACHINES, *timed[0].cite("closes_after_s", "closes_after_power_return")),
                    subjects=subjects,
                )
                continue
            yield Ruling(
                Verdict.HOLDS,
                says,
                "Prove it by switching the supply off three times.",
                at.path,
                sources=(MACHINES,),
                subjects=subjects,
            )
        elif state == "unknown":
            yield Ruling(
                Verdict.UNKNOWN,
                f"How {at.path} stands after the power returns is not known.",
                "Ask, or switch the supply off three times while it is on.",
                at.path,
                remedies=fix,
                sources=(MACHINES,),
                subjects=subjects,
            )
        else:
            how = "closed through its normally closed contact" if state == "on" else "as it was before"
            yield Ruling(
                Verdict.FAILS,
                f"{at.path} is {how} after the power returns.",
                "",
                at.path,
                remedies=fix,
                sources=(MACHINES,),
                subjects=subjects,
            )


def without_sight(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never works without sight: radio cannot know what a user sees."""
    for at in outputs:
        for one in driven_of(case, at):
            subjects, about = subjects_of(at, one), f"{at.path}: {one.works}"
            places = [promise.from_ for promise in promises_of(case, at.functions)]
            remedies = (
                Remedy("A fixed control in sight of it"),
                Remedy("Presence detection, so that sight is not needed"),
            )
            if in_sight(case, at, one):
                says = (
                    f"All places from which {one.works} is promised see its whole movement, but the radio"
                    " reaches further."
                )
                yield Ruling(
                    Verdict.THIN,
                    says,
                    f"Nothing stops a press from where it is not seen. {LOCAL_CODES}",
                    about,
                    remedies=remedies,
                    sources=(RADIO,),
                    subjects=subjects,
                )
            elif places:
                says = (
                    f"{one.works} is promised from {', '.join(dict.fromkeys(places))}; not from every one of"
                    " them its whole movement is seen."
                )
                yield Ruling(
                    Verdict.FAILS,
                    says,
                    f"A promise to work out of sight breaks the rule. {caution('gate')}",
                    about,
                    remedies=remedies,
                    sources=(RADIO,),
                    subjects=subjects,
                )
            else:
                says = (
                    f"From where {one.works} is pressed is not promised, and the radio reaches further than"
                    " anybody sees."
                )
                yield Ruling(
                    Verdict.UNKNOWN,
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
    for at in outputs:
        subjects, kind, for_s = subjects_of(at, *driven_of(case, at)), at.output.traits, at.output.for_s
        fix = (
            Remedy(
                f"A pulse of {seconds(limit)}, not retriggerable",
                "",
                (
                    change(at, "kind", "pulse"),
                    change(at, "for", seconds(limit)),
                    change(at, "retrigger", False),
                ),
            ),
        )
        if kind.keeps_state:
            how = (
                "toggles and stays on until the next press"
                if kind.turns_round
                else "latches and stays on until somebody switches it off"
            )
            yield Ruling(
                Verdict.FAILS,
                f"{at.path} {how}.",
                "",
                at.path,
                limit=limit,
                unit="s",
                remedies=fix,
                subjects=subjects,
            )
        elif kind.while_held:
            hold = longest_hold_s(case, at)
            receiver = case.equipment.receivers.get(at.receiver_path)
            if hold is None:
                yield Ruling(
                    Verdict.UNKNOWN,
                    f"How long a fob keeps {at.path} on while it is held is not known.",
                    "Hold a button down and time it.",
                    at.path,
                    limit=limit,
                    unit="s",
                    subjects=subjects,
                )
                continue
            run = hold[0] + ((receiver.sheet.dropout_s or 0.0) if receiver is not None else 0.0)
            yield Ruling(
                Verdict.HOLDS if run <= limit else Verdict.FAILS,
                f"A held press keeps {at.path} on for {run:g} s at most; {seconds(limit)} is allowed.",
                "",
                at.path,
                run,
                limit,
                "s",
                limit - run,
                sources=hold[2],
                subjects=subjects,
            )
        elif for_s is None:
            yield Ruling(
                Verdict.UNKNOWN,
                f"The length of the pulse of {at.path} is not given.",
                "",
                at.path,
                limit=limit,
                unit="s",
                subjects=subjects,
            )
        elif for_s > limit:
            yield Ruling(
                Verdict.FAILS,
                f"The pulse of {at.path} lasts {seconds(for_s)}; {seconds(limit)} is allowed.",
                "",
                at.path,
                for_s,
                limit,
                "s",
                limit - for_s,
                remedies=fix,
                subjects=subjects,
            )
        elif at.output.retrigger:
            presses = int(limit // for_s) + 1
            says = (
                f"Each press of {at.path} starts {seconds(for_s)} anew: {presses} presses, each just before"
                f" the time is over, keep it on for {seconds(presses * for_s)}."
            )
            yield Ruling(
                Verdict.FAILS,
                says,
                "Nothing ends a time that is started anew again and again.",
                at.path,
                presses * for_s,
                limit,
                "s",
                limit - presses * for_s,
                remedies=fix,
                subjects=subjects,
            )
        else:
            says = (
                f"The pulse of {at.path} lasts {seconds(for_s)} and a further press changes nothing;"
                f" {seconds(limit)} is allowed."
            )
            yield Ruling(
                Verdict.HOLDS,
                says,
                "A fresh press after its end starts it again.",
                at.path,
                for_s,
                limit,
                "s",
                limit - for_s,
                subjects=subjects,
            )


def second_press(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never a second press that counts within a time."""
    limit = rule.for_s or 0.0
    for at in outputs:
        for one in driven_of(case, at):
            about, subjects, counts = (
                f"{at.path}: {one.works}",
                subjects_of(at, one),
                second_press_counts(one),
            )
            lockout = one.input.lockout_s if one.input is not None else None
            if counts is False or (lockout is not None and lockout >= limit):
                why = (
                    f"it takes no command for {lockout:g} s after one"
                    if lockout is not None and lockout >= limit
                    else "further presses while it opens change nothing"
                )
                yield Ruling(
                    Verdict.HOLDS,
                    f"A second press of {one.works} within {seconds(limit)} does nothing: {why}.",
                    "",
                    about,
                    sources=one.cite("inputs"),
                    subjects=subjects,
                )
                continue
            rate = presses_per_second(case, at)
            number = (
                f" It happens in {share_another_press(rate_per_s=rate[0], within_s=limit):.0%} of all uses"
                f" ({rate[1]})."
                if rate is not None
                else ""
            )
            fix = (Remedy("Use an open-only input, with timed closing and its safeguards"),)
            if counts:
                yield Ruling(
                    Verdict.FAILS,
                    f"A second press of {one.works} within {seconds(limit)} stops or turns it.{number}",
                    "",
                    about,
                    remedies=fix,
                    sources=(*one.cite("inputs"), PRESSES),
                    subjects=subjects,
                )
            else:
                yield Ruling(
                    Verdict.UNKNOWN,
                    f"Whether a second press of {one.works} stops or turns it is not known.{number}",
                    "Press twice in a row and watch.",
                    about,
                    remedies=fix,
                    subjects=subjects,
                )


def out_of_step(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never a state out of step: no toggling, no level beside a keypad."""
    for at in outputs:
        for one in driven_of(case, at):
            about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
            if one.reads == "level":
                keypad = one.panel.sheet.keypad if one.panel is not None else None
                if keypad is None:
                    yield Ruling(
                        Verdict.UNKNOWN,
                        f"{one.works} follows a level; whether a keypad is used as well is not known.",
                        "Ask whether anybody sets or unsets at a keypad.",
                        about,
                        subjects=subjects,
                    )
                    continue
                if keypad:
                    yield Ruling(
                        Verdict.FAILS,
                        f"{one.works} follows a level and the panel has a keypad too.",
                        "Once the keypad has been used, contact and panel disagree.",
                        about,
                        remedies=(
                            Remedy("Separate set and unset pulse inputs, with the set output read back"),
                        ),
                        sources=one.cite("keypad", "inputs"),
                        subjects=subjects,
                    )
                    continue
            if toggles(at, one):
                wrong = share_out_of_step(presses=20, heard_share=0.95)
                says = (
                    f"{at.path} toggles {one.works}: if 19 of 20 presses are heard, after 20 presses belief"
                    f" and state differ in {wrong:.0%}."
                )
                yield Ruling(
                    Verdict.FAILS,
                    says,
                    "Each unheard press turns it round.",
                    about,
                    wrong,
                    0.0,
                    "",
                    -wrong,
                    remedies=(
                        Remedy(
                            "Separate commands for either state",
                            "two presses, of which 9 in 10 are heard, leave it wrong in 1 %",
                        ),
                    ),
                    sources=(PRESSES,),
                    subjects=subjects,
                )
            else:
                says = f"{at.path} gives {one.works} a command of its own; repeating it does no harm."
                yield Ruling(
                    Verdict.HOLDS,
                    says,
                    (
                        "A press that is not heard at all still leaves it as it was: watch the indication."
                        if alarm(one)
                        else ""
                    ),
                    about,
                    sources=(PRESSES,),
                    subjects=subjects,
                )


def alarm_despite_unsetting(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never an alarm although a press to unset was heard in the entry time: no level beside a keypad, no
    pulse too short.
    """
    for at in outputs:
        for one in driven_of(case, at):
            if one.panel is None or one.reads not in ("toggling pulse", "unset pulse", "level"):
                continue
            about, subjects, sheet = f"{at.path}: {one.works}", subjects_of(at, one), one.panel.sheet
            if sheet.entry_s is None:
                yield Ruling(
                    Verdict.UNKNOWN,
                    f"The entry time of {one.path} is not known.",
                    "Read it from the panel, and write 'entry'.",
                    about,
                    subjects=subjects,
                )
            elif sheet.entry_s <= 0 or sheet.detectors == "no entry route":
                yield Ruling(
                    Verdict.UNKNOWN,
                    f"{one.path} has no entry time: whoever comes in before unsetting raises the alarm.",
                    "Unset before the door is opened, and tell the users so.",
                    about,
                    never_matters=True,
                    subjects=subjects,
                )
            elif one.reads == "level" and sheet.keypad is not False:
                verdict = Verdict.UNKNOWN if sheet.keypad is None else Verdict.FAILS
                yield Ruling(
                    verdict,
                    f"{one.works} follows a level: where the"
                    f" keypad{'' if sheet.keypad else ', if there is one,'} has set the panel, a press to"
                    " unset does nothing and the entry time runs out.",
                    "Once the keypad has been used, contact and panel disagree.",
                    about,
                    remedies=(Remedy("Separate set and unset pulse inputs, with the set output read back"),),
                    sources=one.cite("keypad", "inputs", "entry"),
                    subjects=subjects,
                )
            else:
                yield Ruling(
                    Verdict.HOLDS,
                    f"A press of {at.path} that is heard unsets {one.path} before its entry time of"
                    f" {seconds(sheet.entry_s)} is over.",
                    "A press that is not heard does not: watch the indication.",
                    about,
                    sources=one.cite("inputs", "entry"),
                    subjects=subjects,
                )


def never_toggles(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never toggles: neither the output nor the panel's input."""
    for at in outputs:
        driven = driven_of(case, at)
        by = (
            "the output"
            if at.output.traits.turns_round
            else next((f"the input {one.works}" for one in driven if toggles(at, one)), "")
        )
        step = next((one.works for one in driven if second_press_counts(one)), "")
        subjects = subjects_of(at, *driven)
        if by:
            yield Ruling(
                Verdict.FAILS,
                f"{at.path}: {by} toggles.",
                "",
                at.path,
                remedies=(Remedy("A pulse of fixed length, or a command for either state"),),
                subjects=subjects,
            )
        elif step:
            yield Ruling(
                Verdict.FAILS,
                f"{at.path} gives a pulse, but each press of {step} turns it round: open, stop, close, stop.",
                "",
                at.path,
                remedies=(Remedy("Use an open-only input"),),
                subjects=subjects,
            )
        else:
            yield Ruling(Verdict.HOLDS, f"{at.path} does not toggle.", "", at.path, subjects=subjects)


def held_on_start(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never held on a start input: short pulses only."""
    found = False
    for at in outputs:
        for one in driven_of(case, at):
            if one.wants != "pulse" or one.panel is not None:
                continue
            found = True
            about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
            longest = (one.input.max_pulse_s if one.input is not None else None) or 2.0
            for_s = at.output.for_s
            if not at.output.traits.wants_length or (for_s is not None and for_s > longest):
                held = (
                    f"a pulse of {seconds(for_s)}"
                    if at.output.traits.wants_length and for_s is not None
                    else f"a {at.output.kind} output"
                )
                fix = (
                    Remedy("A pulse of 0.5 s", "", (change(at, "kind", "pulse"), change(at, "for", "0.5 s"))),
                )
                yield Ruling(
                    Verdict.FAILS,
                    f"{at.path} holds {one.works}: {held}.",
                    "",
                    about,
                    for_s if at.output.traits.wants_length else None,
                    longest,
                    "s",
                    remedies=fix,
                    sources=(PRACTICE,),
                    subjects=subjects,
                )
            elif for_s is None:
                yield Ruling(
                    Verdict.UNKNOWN,
                    f"The length of the pulse of {at.path} is not given.",
                    "",
                    about,
                    subjects=subjects,
                )
            else:
                yield Ruling(
                    Verdict.HOLDS,
                    f"{at.path} gives {one.works} a pulse of {seconds(for_s)} only.",
                    "",
                    about,
                    for_s,
                    longest,
                    "s",
                    longest - for_s,
                    sources=one.cite("inputs"),
                    subjects=subjects,
                )
    if not found and rule.of:
        yield Ruling(Verdict.UNKNOWN, "none of it works a start input.", never_matters=True)


def closes_while_occupied(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never closes while occupied: something must notice who is there."""
    seen: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for at in outputs:
        for one in driven_of(case, at):
            if moves(one):
                seen.setdefault(one.path, []).append((at, one))
    if not seen:
        yield Ruling(Verdict.UNKNOWN, "nothing of it closes.", never_matters=True)
    for path, uses in seen.items():
        one, subjects = (
            uses[0][1],
            tuple(dict.fromkeys(name for at, use in uses for name in subjects_of(at, use))),
        )
        has = set(one.sheet.safeguards or ()) & PRESENCE
        text = f"{DUTIES['machine']} {caution('automatic closing')}"
        if one.sheet.safeguards is None:
            yield Ruling(
                Verdict.UNKNOWN,
                f"Whether anything notices somebody under {path} is not recorded.",
                f"Look for beams, a loop or presence detection. {text}",
                path,
                subjects=subjects,
            )
        elif has and one.sheet.safeguards_tested:
            yield Ruling(
                Verdict.HOLDS,
                f"{path} notices who is there by {', '.join(sorted(has))}, recorded as tested.",
                f"The drive, not the radio, keeps this rule. {text}",
                path,
                sources=one.cite("safeguards", "safeguards_tested"),
                subjects=subjects,
            )
        elif has and one.sheet.safeguards_tested is None:
            yield Ruling(
                Verdict.UNKNOWN,
                f"{path} has {', '.join(sorted(has))}; their test is not recorded.",
                f"Have them tested. {text}",
                path,
                sources=one.cite("safeguards"),
                subjects=subjects,
            )
        elif not has and not any(closes(use) for _, use in uses):
            yield Ruling(
                Verdict.HOLDS,
                f"No press of these closes {path}, and it does not close by itself.",
                "",
                path,
                subjects=subjects,
            )
        else:
            what = "are recorded as not tested" if has else "nothing that notices somebody is fitted"
            yield Ruling(
                Verdict.FAILS,
                f"{path}: {', '.join(sorted(has)) + ' ' if has else ''}{what}.",
                text,
                path,
                remedies=(Remedy("A loop for vehicles, beams or presence detection for people, tested"),),
                sources=one.cite("safeguards", "safeguards_tested"),
                subjects=subjects,
            )


def needed_to_leave(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never a fob needed to leave: it must open by hand from inside."""
    for at in outputs:
        for one in driven_of(case, at):
            about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
            sources = (*one.cite("opens_by_hand", "fails", "escape_route"), EN_13637)
            text = f"{caution('escape')} {DUTIES['escape']}"
            if not one.traits.is_way:
                yield Ruling(
                    Verdict.UNKNOWN,
                    f"nobody leaves through {one.works}.",
                    about=about,
                    never_matters=True,
                    subjects=subjects,
                )
            elif one.sheet.opens_by_hand:
                yield Ruling(
                    Verdict.HOLDS,
                    f"{one.works} opens by hand from inside, without fob, key or power.",
                    text,
                    about,
                    sources=sources,
                    subjects=subjects,
                )
            elif one.sheet.opens_by_hand is False:
                yield Ruling(
                    Verdict.FAILS,
                    f"{one.works} does not open by hand from inside.",
                    text,
                    about,
                    remedies=(Remedy("A lever that opens it from inside"),),
                    sources=sources,
                    subjects=subjects,
                )
            elif one.sheet.escape_route and one.traits.is_lock and one.sheet.fails == "locked":
                yield Ruling(
                    Verdict.FAILS,
                    f"{one.works} is on an escape route and stays locked without power; a lever inside is not"
                    " recorded.",
                    text,
                    about,
                    sources=sources,
                    subjects=subjects,
                )
            else:
                yield Ruling(
                    Verdict.UNKNOWN,
                    f"Whether {one.works} opens by hand from inside is not recorded.",
                    f"Try it with the power off, and write it down. {text}",
                    about,
                    sources=sources,
                    subjects=subjects,
                )
