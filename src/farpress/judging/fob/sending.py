"""The fob: how strongly and how long it may send, what its code is worth, whether the button is there.

Its cell is judged with the upkeep.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, promise_id
from farpress.core.reach.limits import EmissionLimit, duty_share, emission_limits
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.job import Button, Group
from farpress.domain.parts import FobSheet, Part
from farpress.domain.refs import GroupRef, PromiseRef
from farpress.reach.radio_budget import FOB_SD_DB
from farpress.reach.radio_receiver import FREQUENCY_HZ
from farpress.sources import Citation, Mark, cited

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "FOB-01": "The radiated power of a fob against the limit of the region.",
    "FOB-02": "How much of an hour a fob is on the air against the limit of the region.",
    "FOB-03": "Whether the code changes with each press.",
    "FOB-05": "Whether a promised function lies on a button that the fob has.",
}

_PRESS_S: Final = 1.0
_BUSY_HOUR: Final = 60.0
"""Presses in the busiest hour where nothing is given: one a minute, our choice."""

_ENTRY_KINDS: Final = frozenset({"open", "unset", "set and unset", "unlock"})
_CHOICE: Final = Citation("length of a press, presses in the busiest hour", mark=Mark.CHOICE)
_REPLAY: Final = Citation("a code that never changes can be recorded and sent again", mark=Mark.PRACTICE)


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about the fobs of the groups, and the buttons of the promises."""
    for name, group in case.job.groups.items():
        part = case.equipment.fobs.get(name)
        if part is None:
            yield Finding(
                "FOB-01",
                Link.FOB,
                Verdict.UNKNOWN,
                name,
                f"Nothing is known of the fob '{group.fob}' of {name}: give its data sheet.",
                subjects=(GroupRef(name),),
            )
            continue
        yield _power(case, name, part)
        yield _duty(case, name, group, part)
        yield _code(case, name, group, part)
    yield from _buttons(case)


def _limits(case: Case, sheet: FobSheet) -> tuple[EmissionLimit, ...]:
    return emission_limits(region=case.job.region or "", frequency_hz=sheet.frequency_hz or FREQUENCY_HZ)


def _power(case: Case, name: str, part: Part[FobSheet]) -> Finding:
    """FOB-01."""
    subjects, sheet = (GroupRef(name),), part.sheet
    mhz = (sheet.frequency_hz or FREQUENCY_HZ) / 1e6
    asks = []
    if case.job.region is None:
        asks.append(
            "the region of the job: the limits of Europe and North America differ by 26.6 dB at 433.92 MHz"
        )
    if sheet.erp_dbm is None:
        asks.append("the radiated power of the fob: see its data sheet")
    if sheet.erp_dbm is None or case.job.region is None:
        return Finding(
            "FOB-01",
            Link.FOB,
            Verdict.UNKNOWN,
            name,
            f"Whether the fob of {name} may send like this is not known. Missing: {'; '.join(asks)}.",
            subjects=subjects,
        )
    limits = _limits(case, sheet)
    if not limits:
        return Finding(
            "FOB-01",
            Link.FOB,
            Verdict.FAILS,
            name,
            f"No rule kept here allows a fob on {mhz:.2f} MHz in {_region(case)}: ask the national"
            " authority.",
            sources=cited(emission_limits) + part.cite("frequency_hz"),
            subjects=subjects,
        )
    limit = limits[0]
    margin = limit.erp_dbm - sheet.erp_dbm
    doubt = sheet.erp_sd_db if sheet.erp_sd_db is not None else FOB_SD_DB
    verdict = Verdict.FAILS if margin < 0.0 else Verdict.THIN if margin < doubt else Verdict.HOLDS
    remedies = (
        (
            Remedy(
                f"Use a fob that is declared for {_region(case)}", f"at most {limit.erp_dbm:.1f} dBm e.r.p."
            ),
        )
        if verdict is not Verdict.HOLDS
        else ()
    )
    return Finding(
        "FOB-01",
        Link.FOB,
        verdict,
        name,
        f"The fob of {name} radiates {sheet.erp_dbm:.1f} dBm e.r.p.; {_region(case)} allows"
        f" {limit.erp_dbm:.1f} dBm on {mhz:.2f} MHz.",
        because=(
            f"{limit.says}. The declaration of the fob decides, not this figure; editions differ from country"
            " to country."
        ),
        value=sheet.erp_dbm,
        limit=limit.erp_dbm,
        unit="dBm",
        margin=margin,
        doubt=doubt,
        remedies=remedies,
        sources=(limit.source, *part.cite("erp_dbm", "erp_sd_db")),
        subjects=subjects,
    )


def _region(case: Case) -> str:
    return {"europe": "Europe", "north america": "North America"}.get(case.job.region or "", "this region")


def _duty(case: Case, name: str, group: Group, part: Part[FobSheet]) -> Finding:
    """FOB-02: all of a day's presses in one hour, as the worst case."""
    subjects, sheet = (GroupRef(name),), part.sheet
    if case.job.region is None:
        return Finding(
            "FOB-02",
            Link.FOB,
            Verdict.UNKNOWN,
            name,
            f"How long the fob of {name} may be on the air is not known: give the region of the job.",
            subjects=subjects,
        )
    limits = _limits(case, sheet)
    if case.job.region == "north america":
        return Finding(
            "FOB-02",
            Link.FOB,
            Verdict.UNKNOWN,
            name,
            f"The fob of {name} has to fall silent within 5 s of letting go: see its data sheet, or watch the"
            " level when letting go.",
            sources=tuple(limit.source for limit in limits),
            subjects=subjects,
        )
    if (
        sheet.telegram_s is None
        or sheet.repeat_s is None
        or sheet.repeat_s <= 0.0
        or sheet.telegram_s > sheet.repeat_s
    ):
        return Finding(
            "FOB-02",
            Link.FOB,
            Verdict.UNKNOWN,
            name,
            f"How long the fob of {name} is on the air is not known: its data sheet has to give the length of"
            " a telegram and, no shorter, the time from one to the next.",
            subjects=subjects,
        )
    if not limits:
        return Finding(
            "FOB-02",
            Link.FOB,
            Verdict.UNKNOWN,
            name,
            f"No rule is kept here for the frequency of the fob of {name}: ask the national authority.",
            subjects=subjects,
        )
    power = sheet.erp_dbm
    fitting = [limit for limit in limits if power is None or power <= limit.erp_dbm]
    free = next(
        (
            limit
            for limit in fitting
            if limit.duty_share is None and limit.channel_hz is None and power is not None
        ),
        None,
    )
    limit = next((one for one in (*fitting, *limits) if one.duty_share is not None), limits[0])
    held = any(
        output.output.kind == "follow"
        for function in case.job.functions_of(group)
        for output in case.outputs_of(function)
    )
    press_s = (sheet.cut_off_s or 30.0) if held else _PRESS_S
    presses = group.presses_per_day if group.presses_per_day is not None else _BUSY_HOUR
    share = duty_share(
        presses_per_hour=presses, press_s=press_s, telegram_s=sheet.telegram_s, repeat_s=sheet.repeat_s
    )
    allowed = limit.duty_share or 1.0
    verdict = Verdict.FAILS if share > allowed else Verdict.THIN if share > 0.9 * allowed else Verdict.HOLDS
    how = (
        f"{presses:.0f} presses of {press_s:.0f} s, all in one hour (worst"
        f" case{'' if group.presses_per_day is not None else '; presses per day are not given'})"
    )
    if verdict is not Verdict.HOLDS and free is not None:
        verdict = Verdict.HOLDS
        how += f"; but this fob keeps to {free.says}"
    fewest = allowed * 3600.0 / (press_s * sheet.telegram_s / sheet.repeat_s) if sheet.telegram_s else None
    remedies = (
        ()
        if verdict is Verdict.HOLDS or fewest is None
        else (
            Remedy(
                "Fewer or shorter presses, or an output that need not be held",
                f"at most {fewest:.0f} presses an hour",
            ),
        )
    )
    return Finding(
        "FOB-02",
        Link.FOB,
        verdict,
        name,
        f"The fob of {name} is on the air {100.0 * share:.1f} % of its busiest hour; {100.0 * allowed:.0f} %"
        " are allowed.",
        because=(
            f"{how}; a telegram of {sheet.telegram_s * 1000:.0f} ms each {sheet.repeat_s * 1000:.0f} ms."
            f" {limit.says}. Thin within 10 % of the limit."
        ),
        value=100.0 * share,
        limit=100.0 * allowed,
        unit="%",
        margin=100.0 * (allowed - share),
        remedies=remedies,
        sources=(limit.source, *part.cite("telegram_s", "repeat_s", "cut_off_s"), _CHOICE),
        subjects=subjects,
    )


def _code(case: Case, name: str, group: Group, part: Part[FobSheet]) -> Finding:
    """FOB-03."""
    subjects, code = (GroupRef(name),), part.sheet.code
    if code is None:
        return Finding(
            "FOB-03",
            Link.FOB,
            Verdict.UNKNOWN,
            name,
            f"Whether the code of the fob of {name} changes with each press is not known: see its data"
            " sheet.",
            subjects=subjects,
        )
    if code == "rolling":
        return Finding(
            "FOB-03",
            Link.FOB,
            Verdict.HOLDS,
            name,
            f"The fob of {name} sends a rolling code.",
            because=(
                "A determined person with equipment can still record, jam or copy signals; do not rely on it"
                " alone for valuables."
            ),
            sources=(*part.cite("code"), _REPLAY),
            subjects=subjects,
        )
    functions = case.job.functions_of(group)
    entry = [
        one for one in functions if one in case.job.functions and case.job.functions[one].kind in _ENTRY_KINDS
    ]
    verdict = Verdict.FAILS if entry else Verdict.THIN
    what = f" and works {', '.join(entry)}" if entry else ""
    return Finding(
        "FOB-03",
        Link.FOB,
        verdict,
        name,
        f"The fob of {name} always sends the same code{what}: anyone who records it can use it.",
        because=(
            "A fixed code is no lock. It fails where it opens or unsets something and is thin elsewhere (our"
            " choice)."
        ),
        remedies=(Remedy("Replace these fobs and the receiver by ones with a rolling code; set a date", ""),),
        sources=(*part.cite("code"), _REPLAY),
        subjects=subjects,
    )


def _buttons(case: Case) -> Iterator[Finding]:
    """FOB-05: the button behind each promise."""
    for promise in case.job.promises:
        id_ = promise_id(promise)
        subjects = (PromiseRef(id_),)
        group = case.job.groups.get(promise.to)
        if group is None:
            yield Finding(
                "FOB-05",
                Link.FOB,
                Verdict.UNKNOWN,
                id_,
                f"There is no group '{promise.to}': say who holds fobs for it.",
                subjects=subjects,
            )
            continue
        held = [
            (number, button)
            for number, button in group.buttons.items()
            if promise.function in _functions(button)
        ]
        if not held:
            names = ", ".join(case.job.functions_of(group)) or "nothing"
            yield Finding(
                "FOB-05",
                Link.FOB,
                Verdict.FAILS,
                id_,
                f"No button of {promise.to} works {promise.function}; their buttons work {names}.",
                remedies=(Remedy(f"Give {promise.function} a button of {promise.to}"),),
                subjects=subjects,
            )
            continue
        number, button = held[0]
        part = case.equipment.fobs.get(promise.to)
        most = part.sheet.buttons if part is not None else None
        how = (
            ""
            if not isinstance(button, Button)
            else ", long press"
            if promise.function in _functions(button.long)
            else ", short press"
        )
        if most is not None and number.isdigit() and not 1 <= int(number) <= most:
            yield Finding(
                "FOB-05",
                Link.FOB,
                Verdict.FAILS,
                id_,
                f"{promise.function} lies on button {number}, but the fob of {promise.to} has {most}"
                " buttons.",
                value=float(most),
                limit=float(number),
                unit="buttons",
                margin=float(most - int(number)),
                sources=part.cite("buttons") if part is not None else (),
                subjects=subjects,
            )
        else:
            yield Finding(
                "FOB-05",
                Link.FOB,
                Verdict.HOLDS,
                id_,
                f"{promise.function} lies on button {number} of {promise.to}{how}.",
                sources=part.cite("buttons") if part is not None else (),
                subjects=subjects,
            )


def _functions(button: str | tuple[str, ...] | Button | None) -> tuple[str, ...]:
    """Names of the functions of a button or of one of its presses."""
    if isinstance(button, Button):
        return button.functions
    return (button,) if isinstance(button, str) else button or ()
