"""Fobs that the survey knows to be lost, or of people who left, and that every receiver still obeys."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import opens, unsets
from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import driven_of
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Person
from farpress.domain.refs import GroupRef, ReceiverRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["DELETE_TODAY", "judge_still_obeyed"]

DELETE_TODAY: Final = Check(
    "REG-19",
    Link.REGISTER,
    "Fobs that are known to be lost, or of people who left, and are not deleted.",
    stake=Stake.HARM,
    ask="Ask which fob that person holds, and where it is learned.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="Deleted at each receiver the same day, and whoever else knows the fob told.",
)


def judge_still_obeyed(case: Case) -> Iterator[Finding]:
    """REG-19 of each person who lost a fob or left."""
    for name, person in case.job.people.items():
        if person.fob_lost or person.left:
            yield _judged(case, name, person)


def _judged(case: Case, name: str, person: Person) -> Finding:
    groups = {group: entry for group, entry in case.job.groups.items() if name in entry.people}
    uses = [
        (output, driven)
        for entry in groups.values()
        for function in case.job.functions_of(entry)
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
    ]
    receivers = list(dict.fromkeys(output.receiver_path for output, _ in uses))
    known = {path.split("/")[0] for path in receivers}
    strangers = list(
        dict.fromkeys(
            where for entry in groups.values() for where in entry.premises_visits if where not in known
        )
    )
    opened = list(dict.fromkeys(driven.works for _, driven in uses if opens(driven)))
    unset = list(dict.fromkeys(driven.works for output, driven in uses if unsets(case, output, driven)))
    what = f"{name} lost a fob on {person.fob_lost}" if person.fob_lost else f"{name} left on {person.left}"
    rights = [f"opens {listed(opened)}"] if opened else []
    rights += [f"unsets {listed(unset)}"] if unset else []
    says = f"{what}; it still works"
    says += f" at {listed(receivers)}" if receivers else ""
    says += f" and {listed(rights)}" if rights else ""
    says += f"; {listed(strangers)} knows it too" if strangers else ""
    deleted = f"Delete it today at {listed(receivers)}, and take {name} out of the group"
    remedies = [Remedy(deleted if receivers else f"Delete the fob of {name} today, wherever it is learned")]
    if strangers:
        remedies.append(Remedy(f"Tell whoever keeps the fobs of {listed(strangers)} the same day"))
    asks: tuple[Ask, ...] = ()
    if not groups:
        asks = (
            Ask(f"Say to which group the fob of {name} belongs: where it is learned.", Who.CUSTOMER, 2.0),
        )
    return DELETE_TODAY.decide(
        about=name,
        subjects=(*(GroupRef(group) for group in groups), *(ReceiverRef(path) for path in receivers)),
        answer=Answer.NO,
        says=f"{says}.",
        because=(
            "Whoever finds it comes in. Where no slot is written down beside a name, all fobs have to be"
            f" erased and learned again. {CAUTIONS['lost fob']} {DUTIES['register']}"
        ),
        asks=asks,
        remedies=remedies,
        sources=(GIVEN, CHOICE),
    )
