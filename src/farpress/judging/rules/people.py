"""Rules about people, fobs and the register; see `kinds` for their checks.

Each function takes the case, the rule and the outputs it names, and yields rulings.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

from farpress.case.access import single_presses, unsets_and_opens
from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN, PRACTICE
from farpress.case.driven import groups_of, seconds
from farpress.case.rules import groups_of_whom
from farpress.dates import day_of
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.domain.finding import Ask, Change, Remedy, Who
from farpress.domain.job import Group, Rule
from farpress.domain.refs import FunctionRef, GroupRef, ReceiverRef
from farpress.judging.check import Answer
from farpress.judging.rules.ruling import Ruling
from farpress.keys.lost import deletion_s
from farpress.phrases import listed, plural

__all__ = ["kept_after_leaving", "lost_fob", "unset_and_open", "works_by"]


def works_by(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never works by somebody: none of their buttons may press it, under whatever name."""
    wanted = set(rule.of)
    reached = wanted | {name for output in outputs for name in output.functions}
    for who in rule.by:
        own = {name: case.job.groups[name] for name in groups_of_whom(case.job, who)}
        subjects = tuple(GroupRef(name) for name in own)
        if not own:
            yield Ruling(Answer.YES, f"{who} holds no fob.", about=who)
            continue
        wrong = [
            (name, number, functions)
            for name, group in own.items()
            for number, functions in _buttons(group)
            if set(functions) & reached
        ]
        if not wrong:
            yield Ruling(
                Answer.YES,
                f"No button of {who} presses {listed(rule.of)}.",
                "So long as it is not learned by mistake: press-listen-press at the receiver shows it.",
                who,
                subjects=subjects,
            )
            continue
        texts = [
            f"button {number} of {name} ({listed(sorted(set(functions) & reached))})"
            for name, number, functions in wrong
        ]
        remedies = tuple(
            Remedy(
                f"Take it off button {number} of {name}",
                "",
                (Change(("groups", name, "buttons", number), None),),
            )
            for name, number, _ in wrong
        )
        yield Ruling(
            Answer.NO, f"{who} can press it: {listed(texts)}.", "", who, remedies=remedies, subjects=subjects
        )


def _buttons(group: Group) -> Iterator[tuple[str, tuple[str, ...]]]:
    for number, button in group.buttons.items():
        if isinstance(button, str):
            yield number, (button,)
        elif isinstance(button, tuple):
            yield number, button
        else:
            yield number, button.functions


def unset_and_open(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never unset and open by one press: of the named functions, or of any."""
    named = {name for output in outputs for name in output.functions} | set(rule.of)
    is_broken = False
    for press in single_presses(case):
        both = unsets_and_opens(case, press.functions) if set(press.functions) & named else None
        if both is not None:
            is_broken = True
            yield Ruling(
                Answer.NO,
                f"One press of {press.name} unsets ({both[0]}) and opens ({both[1]}).",
                CAUTIONS["alarm"],
                press.name,
                is_said=True,
                remedies=(Remedy("Two buttons, or a long press for the alarm"),),
                sources=(PRACTICE,),
                subjects=press.subjects,
            )
    if not is_broken:
        yield Ruling(
            Answer.YES,
            "No single press both unsets the alarm and opens something.",
            "One function, and one button, does only one of the two.",
            sources=(PRACTICE,),
            subjects=tuple(FunctionRef(name) for name in rule.of if name in case.job.functions),
        )


_NOT_SO_FAST: Final = (
    Remedy("Agree on a day instead of minutes: who goes, with the list of slots", "until then the fob works"),
    Remedy("Somebody at the gate, or an access system that is connected, where it must be at once"),
)


def lost_fob(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never a lost fob known for longer: every receiver must allow deletion, and somebody must go there."""
    limit, promised = rule.for_s or 0.0, case.job.register_.delete_within_s
    receivers: dict[str, set[str]] = {}
    for output in outputs:
        for name, _ in groups_of(case, output):
            receivers.setdefault(output.receiver_path, set()).add(name)
    impossible = [
        path
        for path in receivers
        if (part := case.equipment.receivers.get(path)) is not None and part.sheet.deletes_by == "fob in hand"
    ]
    unknown = [
        path
        for path in receivers
        if (part := case.equipment.receivers.get(path)) is not None and part.sheet.deletes_by is None
    ]
    work = deletion_s(case) * max(
        (sum(name in groups for groups in receivers.values()) for name in case.job.groups), default=0
    )
    subjects = tuple(ReceiverRef(path) for path in receivers)
    sources = (CHOICE,) if case.job.register_.delete_takes_s is None else (GIVEN,)
    agree = Remedy(f"Agree on {seconds(limit)}", "", (Change(("register", "delete_within"), seconds(limit)),))
    if impossible:
        yield Ruling(
            Answer.NO,
            f"{listed(impossible)} {'deletes' if len(impossible) == 1 else 'delete'} a fob only with that fob"
            " in hand: a lost one stays until all are erased and learned again.",
            CAUTIONS["lost fob"],
            limit=limit,
            remedies=(Remedy("A receiver that deletes by slot"),),
            subjects=subjects,
        )
    elif work > limit:
        yield Ruling(
            None,
            f"Deleting one fob everywhere takes up to {seconds(work)} of work, the way there not counted;"
            f" the rule allows {seconds(limit)}.",
            "A receiver is connected to nothing: somebody must go there for each fob. Not possible as"
            f" planned. {CAUTIONS['lost fob']}",
            value=work,
            limit=limit,
            remedies=_NOT_SO_FAST,
            sources=sources,
            subjects=subjects,
        )
    elif promised is None:
        yield Ruling(
            None,
            "Within what time lost fobs are deleted is not agreed; the work alone takes up to"
            f" {seconds(work)} at all receivers, without the roads.",
            f"Agree who goes, and within what time. {DUTIES['register']}",
            value=work,
            limit=limit,
            asks=(Ask("Agree within what time a lost fob is deleted, and who goes.", Who.CUSTOMER, 5.0),),
            sources=sources,
            subjects=subjects,
        )
    elif promised > limit:
        yield Ruling(
            None,
            f"Deletion is agreed within {seconds(promised)}; the rule allows {seconds(limit)}.",
            CAUTIONS["lost fob"],
            value=promised,
            limit=limit,
            remedies=(agree,),
            subjects=subjects,
        )
    else:
        yield Ruling(
            None,
            f"Deletion is agreed within {seconds(promised)}; the work takes up to {seconds(work)} at all"
            " receivers, without the roads.",
            f"Kept only with evidence of each deletion in the record. {CAUTIONS['lost fob']}",
            value=promised,
            limit=limit,
            asks=tuple(
                Ask(f"Ask how one fob is deleted at {path}, or try it with a spare.", Who.INSTALLER, 10.0)
                for path in unknown
            ),
            sources=sources,
            subjects=subjects,
        )


def kept_after_leaving(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never data kept for longer after leaving: leavers must be deleted, and somebody must answer for it."""
    deleted, details = case.job.register_.leavers_deleted, case.job.details
    limit = rule.for_s or 0.0
    if not any(group.people for group in case.job.groups.values()) and not case.job.people:
        yield Ruling(Answer.UNKNOWN, "the job names nobody.", never_matters=True)
    elif deleted is False:
        yield Ruling(
            Answer.NO,
            f"Leavers are not deleted; the rule allows {seconds(limit)}.",
            CAUTIONS["data"],
            remedies=(
                Remedy(
                    "Delete leavers' fobs and names", "", (Change(("register", "leavers_deleted"), True),)
                ),
                Remedy(
                    "Somebody who keeps the register and deletes fob and name of whoever leaves, that day"
                ),
            ),
        )
    elif deleted is None or details.data_kept_by is None:
        missing = "whether leavers are deleted" if deleted is None else "who keeps the register"
        yield Ruling(
            Answer.UNKNOWN,
            f"It is not recorded {missing}.",
            f"{CAUTIONS['data']} {DUTIES['register']}",
            asks=(Ask(f"Ask the customer {missing}.", Who.CUSTOMER, 2.0),),
        )
    else:
        yield from _named_leavers(case, limit)
        if any(person.left for person in case.job.people.values()):
            return
        yield Ruling(
            Answer.YES,
            f"Leavers are deleted; {details.data_kept_by} answers for {seconds(limit)} at the latest.",
            f"Kept only if the record shows each deletion. {CAUTIONS['data']}",
        )


_LONGEST_S: Final = 100 * 365.25 * 86_400
"""Longer than anybody keeps a name; a day so far off can still be written."""


def _named_leavers(case: Case, limit_s: float) -> Iterator[Ruling]:
    """Each who left and still stands in the job by name: until when the name may be kept, as of its date."""
    today, keeper = day_of(case.job.details.date), case.job.details.data_kept_by
    for name, person in case.job.people.items():
        if person.left is None:
            continue
        left = day_of(person.left)
        if left is None or today is None:
            missing = f"on which day {name} left" if left is None else "of which day this job is"
            yield Ruling(
                Answer.UNKNOWN,
                f"It is not recorded {missing}, as 2026-04-30; the rule allows {seconds(limit_s)}.",
                CAUTIONS["data"],
                name,
                asks=(Ask(f"Ask {missing}, and write it as 2026-04-30.", Who.CUSTOMER, 2.0),),
            )
            continue
        gone, ends = (today - left).days, left + timedelta(seconds=min(limit_s, _LONGEST_S))
        is_over = today > ends
        late = f": {plural((today - ends).days, 'day')} too long" if is_over else ""
        yield Ruling(
            Answer.of(not is_over),
            f"{name} left on {left.isoformat()}, {plural(gone, 'day')} ago; the name may be kept until"
            f" {ends.isoformat()}{late}.",
            f"{keeper} answers for it. {CAUTIONS['data']}",
            name,
            remedies=(Remedy(f"Take {name} out of every list today; what happened stays, without the name"),),
            sources=(GIVEN,),
        )
