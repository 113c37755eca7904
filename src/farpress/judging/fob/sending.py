"""The fob: how strongly and how long it may send, what its code is worth, whether the button is there.

Its cell is judged with the upkeep.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, promise_id
from farpress.core.reach.limits import EmissionLimit, duty_share, emission_limits
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.job import Button, Group, Promise
from farpress.domain.parts import FobSheet, Part
from farpress.domain.refs import GroupRef, PromiseRef
from farpress.judging.check import AT_LEAST, AT_MOST, Answer, Check, Estimate, Limit, share_edge
from farpress.reach.radio_budget import FOB_SD_DB
from farpress.reach.radio_receiver import FREQUENCY_HZ
from farpress.sources import Citation, Mark, cited
from farpress.units import write_share

__all__ = ["BUTTON_THERE", "CODE_CHANGES", "ON_AIR", "RADIATED_POWER", "judge"]

RADIATED_POWER: Final = Check(
    "FOB-01",
    Link.FOB,
    "The radiated power of a fob against the limit of the region.",
    unit="dBm",
    bound=AT_MOST,
    stake=Stake.HARM,
    ask="Find the radiated power of the fob, in its data sheet.",
    mends="A fob that is declared for the region.",
)
ON_AIR: Final = Check(
    "FOB-02",
    Link.FOB,
    "How much of an hour a fob is on the air against the limit of the region.",
    unit="%",
    bound=AT_MOST,
    stake=Stake.HARM,
    ask="Find the length of a telegram and the time from one to the next, in the fob's data sheet.",
    mends="Fewer or shorter presses, or an output that need not be held.",
)
CODE_CHANGES: Final = Check(
    "FOB-03",
    Link.FOB,
    "Whether the code changes with each press.",
    stake=Stake.HARM,
    ask="See in the fob's data sheet whether its code changes with each press.",
    mends="Fobs and a receiver with a rolling code.",
)
BUTTON_THERE: Final = Check(
    "FOB-05",
    Link.FOB,
    "Whether a promised function lies on a button that the fob has.",
    unit="buttons",
    bound=AT_LEAST,
    thin=share_edge(0.0, "buttons are counted: as many as wanted are enough"),
    who=Who.INSTALLER,
    mends="Another button, or a fob with more of them.",
)

_PRESS_S: Final = 1.0
_HELD_S: Final = 30.0
"""A held press, where the fob's cut-off is not given; our choice."""

_BUSY_HOUR: Final = 60.0
"""Presses in the busiest hour where nothing is given: one a minute, our choice."""

_ENTRY_KINDS: Final = frozenset({"open", "unset", "set and unset", "unlock"})
_CHOICE: Final = Citation("length of a press, presses in the busiest hour", mark=Mark.CHOICE)
_REPLAY: Final = Citation("a code that never changes can be recorded and sent again", mark=Mark.PRACTICE)
_REGIONS: Final = {"europe": "Europe", "north america": "North America"}


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about the fobs of the groups, and the buttons of the promises."""
    for name, group in case.job.groups.items():
        part = case.equipment.fobs.get(name)
        if part is None:
            yield RADIATED_POWER.judge(
                about=name,
                subjects=(GroupRef(name),),
                says=f"Nothing is known of the fob '{group.fob}' of {name}: give its data sheet.",
                value=Estimate(None),
                asks=(f"Give the data sheet of the fob '{group.fob}' of {name}.",),
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
    asks: list[str | Ask] = []
    if case.job.region is None:
        asks.append(_ASK_REGION)
    if sheet.erp_dbm is None:
        asks.append("Find the radiated power of the fob, in its data sheet.")
    if asks:
        missing = "; ".join(ask.says if isinstance(ask, Ask) else ask for ask in asks)
        return RADIATED_POWER.judge(
            about=name,
            subjects=subjects,
            says=f"Whether the fob of {name} may send like this is not known. {missing}",
            value=Estimate(None),
            asks=asks,
        )
    limits = _limits(case, sheet)
    doubt = sheet.erp_sd_db if sheet.erp_sd_db is not None else FOB_SD_DB
    if not limits:
        return RADIATED_POWER.decide(
            about=name,
            subjects=subjects,
            says=f"No rule kept here allows a fob on {mhz:.2f} MHz in {_region(case)}: ask the national"
            " authority.",
            answer=Answer.NO,
            sources=cited(emission_limits) + part.cite("frequency_hz"),
        )
    limit = limits[0]
    return RADIATED_POWER.judge(
        about=name,
        subjects=subjects,
        says=f"The fob of {name} radiates {sheet.erp_dbm:.1f} dBm e.r.p.; {_region(case)} allows"
        f" {limit.erp_dbm:.1f} dBm on {mhz:.2f} MHz.",
        because=f"{limit.says}. The declaration of the fob decides, not this figure; editions differ from"
        " country to country.",
        value=Estimate(sheet.erp_dbm, doubt, part.cite("erp_dbm", "erp_sd_db")),
        limit=Limit(limit.erp_dbm, (limit.source,)),
        remedies=(
            Remedy(
                f"Use a fob that is declared for {_region(case)}", f"at most {limit.erp_dbm:.1f} dBm e.r.p."
            ),
        ),
    )


_ASK_REGION: Final = Ask(
    "Give the region of the job: the limits of Europe and North America differ by 26.6 dB at 433.92 MHz.",
    Who.INSTALLER,
    1.0,
)


def _region(case: Case) -> str:
    return _REGIONS.get(case.job.region or "", "this region")


def _duty(case: Case, name: str, group: Group, part: Part[FobSheet]) -> Finding:
    """FOB-02: all of a day's presses in one hour, as the worst case."""
    subjects, sheet = (GroupRef(name),), part.sheet
    limits = _limits(case, sheet) if case.job.region is not None else ()

    def unknown(says: str, ask: str | Ask) -> Finding:
        return ON_AIR.judge(
            about=name,
            subjects=subjects,
            says=says,
            value=Estimate(None),
            asks=(ask,),
            sources=tuple(limit.source for limit in limits),
        )

    if case.job.region is None:
        return unknown(
            f"How long the fob of {name} may be on the air is not known: give the region of the job.",
            _ASK_REGION,
        )
    if case.job.region == "north america":
        return unknown(
            f"The fob of {name} has to fall silent within 5 s of letting go: see its data sheet, or watch the"
            " level when letting go.",
            Ask(f"Watch the level of the fob of {name} when letting go: silent within 5 s?", Who.METER, 5.0),
        )
    if (
        sheet.telegram_s is None
        or sheet.repeat_s is None
        or sheet.repeat_s <= 0.0
        or sheet.telegram_s > sheet.repeat_s
    ):
        return unknown(
            f"How long the fob of {name} is on the air is not known: its data sheet has to give the length of"
            " a telegram and, no shorter, the time from one to the next.",
            ON_AIR.ask,
        )
    if not limits:
        return unknown(
            f"No rule is kept here for the frequency of the fob of {name}: ask the national authority.",
            "Ask the national authority what a fob on this frequency may do.",
        )
    return _busiest_hour(case, name, group, part, limits)


def _busiest_hour(
    case: Case, name: str, group: Group, part: Part[FobSheet], limits: tuple[EmissionLimit, ...]
) -> Finding:
    """FOB-02 where everything is known."""
    sheet, power = part.sheet, part.sheet.erp_dbm
    assert sheet.telegram_s is not None
    assert sheet.repeat_s is not None
    fitting = [limit for limit in limits if power is None or power <= limit.erp_dbm]
    free = next(
        (
            limit
            for limit in fitting
            if limit.duty_share is None
            and limit.channel_hz is None
            and power is not None
            and power + (FOB_SD_DB if sheet.erp_sd_db is None else sheet.erp_sd_db) <= limit.erp_dbm
        ),
        None,
    )
    limit = next((limit for limit in (*fitting, *limits) if limit.duty_share is not None), limits[0])
    is_held = any(
        output.output.traits.while_held
        for function in case.job.functions_of(group)
        for output in case.outputs_of(function)
    )
    press_s = (sheet.cut_off_s or _HELD_S) if is_held else _PRESS_S
    presses = group.presses_per_day if group.presses_per_day is not None else _BUSY_HOUR
    share = duty_share(
        presses_per_hour=presses, press_s=press_s, telegram_s=sheet.telegram_s, repeat_s=sheet.repeat_s
    )
    if sheet.life_sign_s:
        share += sheet.telegram_s / sheet.life_sign_s
    allowed = 100.0 * (limit.duty_share or 1.0)
    worst = "" if group.presses_per_day is not None else "; presses per day are not given"
    how = f"{presses:.0f} presses of {press_s:.0f} s, all in one hour (worst case{worst})"
    if sheet.life_sign_s:
        how += f", and a life sign each {sheet.life_sign_s / 60:g} min"
    held_against = allowed
    if free is not None and ON_AIR.word(100.0 * share, Limit(allowed)) is not Verdict.HOLDS:
        held_against = 100.0
        how += f"; but this fob keeps to {free.says}"
    fewest = allowed / 100.0 * 3600.0 / (press_s * sheet.telegram_s / sheet.repeat_s)
    return ON_AIR.judge(
        about=name,
        subjects=(GroupRef(name),),
        says=f"The fob of {name} is on the air {write_share(share, '.1f')} of its busiest hour;"
        f" {held_against:.0f} % are allowed.",
        because=f"{how}; a telegram of {sheet.telegram_s * 1000:.0f} ms each"
        f" {sheet.repeat_s * 1000:.0f} ms. {limit.says}.",
        value=Estimate(100.0 * share, None, part.cite("telegram_s", "repeat_s", "cut_off_s")),
        limit=Limit(
            held_against, (limit.source if held_against == allowed or free is None else free.source,)
        ),
        remedies=(
            Remedy(
                "Fewer or shorter presses, or an output that need not be held",
                f"at most {fewest:.0f} presses an hour",
            ),
        ),
        sources=(_CHOICE,),
    )


def _code(case: Case, name: str, group: Group, part: Part[FobSheet]) -> Finding:
    """FOB-03."""
    code = part.sheet.code
    functions = case.job.functions_of(group)
    entry = [
        function
        for function in functions
        if function in case.job.functions and case.job.functions[function].kind in _ENTRY_KINDS
    ]
    what = f" and works {', '.join(entry)}" if entry else ""
    answers = {None: Answer.UNKNOWN, "rolling": Answer.YES}
    says = {
        None: f"Whether the code of the fob of {name} changes with each press is not known: see its data"
        " sheet.",
        "rolling": f"The fob of {name} sends a rolling code.",
    }
    reasons = {
        None: "",
        "rolling": "A determined person with equipment can still record, jam or copy signals; do not rely on"
        " it alone for valuables.",
    }
    return CODE_CHANGES.decide(
        about=name,
        subjects=(GroupRef(name),),
        says=says.get(
            code, f"The fob of {name} always sends the same code{what}: anyone who records it can use it."
        ),
        because=reasons.get(
            code,
            "A fixed code is no lock. It fails where it opens or unsets something and is thin elsewhere (our"
            " choice).",
        ),
        answer=answers.get(code, Answer.NO if entry else Answer.BARELY),
        remedies=(Remedy("Replace these fobs and the receiver by ones with a rolling code; set a date", ""),),
        sources=(*part.cite("code"), _REPLAY),
    )


def _buttons(case: Case) -> Iterator[Finding]:
    """FOB-05: the button behind each promise."""
    for promise in case.job.promises:
        about = promise_id(promise)
        subjects = (PromiseRef(about),)
        group = case.job.groups.get(promise.to)
        if group is None:
            yield BUTTON_THERE.decide(
                about=about,
                subjects=subjects,
                says=f"There is no group '{promise.to}': say who holds fobs for it.",
                answer=Answer.UNKNOWN,
                asks=(Ask(f"Say who holds fobs for '{promise.to}'.", Who.CUSTOMER, 2.0),),
            )
            continue
        held = [
            (number, button)
            for number, button in group.buttons.items()
            if promise.function in _functions(button)
        ]
        if not held:
            names = ", ".join(case.job.functions_of(group)) or "nothing"
            yield BUTTON_THERE.decide(
                about=about,
                subjects=subjects,
                cause=GroupRef(promise.to),
                says=f"No button of {promise.to} works {promise.function}; their buttons work {names}.",
                answer=Answer.NO,
                remedies=(Remedy(f"Give {promise.function} a button of {promise.to}"),),
            )
            continue
        yield _button(case, promise, *held[0])


def _button(case: Case, promise: Promise, number: str, button: str | tuple[str, ...] | Button) -> Finding:
    about = promise_id(promise)
    part = case.equipment.fobs.get(promise.to)
    most = part.sheet.buttons if part is not None else None
    sources = part.cite("buttons") if part is not None else ()
    how = ""
    if isinstance(button, Button):
        how = ", long press" if promise.function in _functions(button.long) else ", short press"
    there = f"{promise.function} lies on button {number} of {promise.to}{how}."
    if not number.isdigit():
        return BUTTON_THERE.decide(
            about=about,
            subjects=(PromiseRef(about),),
            cause=GroupRef(promise.to),
            says=there,
            answer=Answer.YES,
            sources=sources,
        )
    beyond = f"{promise.function} lies on button {number}, but the fob of {promise.to} has {most} buttons."
    if int(number) < 1:
        return BUTTON_THERE.decide(
            about=about,
            subjects=(PromiseRef(about),),
            cause=GroupRef(promise.to),
            says=beyond,
            answer=Answer.NO,
        )
    return BUTTON_THERE.judge(
        about=about,
        subjects=(PromiseRef(about),),
        cause=GroupRef(promise.to),
        says=lambda verdict: beyond if verdict is Verdict.FAILS else there,
        value=Estimate(None if most is None else float(most), None, sources),
        limit=Limit(float(number)),
        asks=(f"Count the buttons of the fob of {promise.to}.",) if most is None else (),
    )


def _functions(button: str | tuple[str, ...] | Button | None) -> tuple[str, ...]:
    """Names of the functions of a button or of one of its presses."""
    if isinstance(button, Button):
        return button.functions
    return (button,) if isinstance(button, str) else button or ()
