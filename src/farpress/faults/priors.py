"""How likely each cause is on this job, before anything was asked: from its judgements and its record.

Where the job says nothing, the chance of the book of faults stands. A cause never becomes
certain or impossible by a judgement alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.feeding import supply_behind
from farpress.core.reach.heard import presses_in_ten
from farpress.core.upkeep.survival import empty_share
from farpress.core.upkeep.weibull import failed_share
from farpress.dates import day_of
from farpress.domain.fault import Cause
from farpress.domain.finding import Finding, Verdict
from farpress.domain.register import FobRegister
from farpress.faults.noise_diary import Diary
from farpress.judging.fob.cell_plan import cell_plan
from farpress.judging.fob.cells import USE_SPREAD
from farpress.reach.radio_link import radio_of

__all__ = ["BATTERY_SHAPE", "BATTERY_YEARS", "About", "Prior", "concerned", "outputs_about", "priors_of"]

LEAST: Final = 0.002
MOST: Final = 0.9
"""A chance beforehand stays within these; our choice, nothing is certain before it was looked at."""

BATTERY_YEARS: Final = 5.0
"""Mean life of a standby battery; common practice, in a warm room."""

BATTERY_SHAPE: Final = 4.0
"""Of its wear-out: most fail between three and seven years; our choice."""

DIARY_SHOWS: Final = 0.6
"""Chance of a foreign transmitter where failures keep to certain hours or bursts to a beat; our choice."""

_RANK: Final = {Verdict.HOLDS: 0, Verdict.THIN: 1, Verdict.UNKNOWN: 2, Verdict.FAILS: 3}


@dataclass(frozen=True)
class About:
    """What a complaint is about, as far as it is known; empty strings where it is not.

    Attributes:
        function: name of a function.
        group: whose fob.
        place: "place" or "premises/place" from where.
        premises: which one.
        fob: label of the fob, as in the register.
    """

    function: str = ""
    group: str = ""
    place: str = ""
    premises: str = ""
    fob: str = ""

    @property
    def is_known(self) -> bool:
        """Whether anything narrows it down."""
        return bool(self.function or self.group or self.place or self.premises or self.fob)

    def __str__(self) -> str:
        """As it stands in the record: "function:open gate; place:larkfen/street"."""
        named = ((own.name, getattr(self, own.name)) for own in fields(self))
        return "; ".join(f"{name}:{value}" for name, value in named if value)

    @classmethod
    def from_text(cls, text: str) -> About:
        """What stands in the record; what this version does not know is passed over."""
        known = {own.name for own in fields(cls)}
        pairs = (part.partition(":") for part in text.split("; "))
        return cls(**{name: value for name, _, value in pairs if name in known})


NOTHING_KNOWN: Final = About()
"""A complaint that is about anything."""


@dataclass(frozen=True)
class Prior:
    """Chance of one cause on this job, and what it rests on.

    Attributes:
        cause: the cause.
        chance: beforehand.
        because: findings and numbers that made it so; empty where only the book speaks.
        finding: the finding that weighs most; None for none.
    """

    cause: Cause
    chance: float
    because: tuple[str, ...] = ()
    finding: Finding | None = field(default=None, repr=False)


def priors_of(
    case: Case,
    causes: Iterable[Cause],
    findings: Sequence[Finding],
    about: About,
    *,
    register: FobRegister | None = None,
    today: date | None = None,
    diary: Diary | None = None,
) -> dict[str, Prior]:
    """Chance of each cause beforehand: name → prior.

    Args:
        case: the job.
        causes: those of one complaint.
        findings: of the job's assessment.
        about: what the complaint is about.
        register: who holds which fob, with the age of its cell; None for none.
        today: for ages; None leaves them out.
        diary: what the noise diary of the record shows; None for none.
    """
    near = concerned(case, findings, about)
    by_code: dict[str, list[Finding]] = {}
    for finding in near:
        by_code.setdefault(finding.code, []).append(finding)
    numbers: Mapping[str, Callable[[], tuple[float, str] | None]] = {
        "margin": lambda: _always("place", about.place, diary, _margin(case, about)),
        "counter": lambda: _counter(by_code.get("REG-03", []), about),
        "cell": lambda: _always("fob", about.fob, diary, _cell(case, about, register, today)),
        "noise": lambda: _noise(case, about, diary),
        "pocket": lambda: _pocket(case, about),
        "battery": lambda: _battery(case, about, today),
    }
    found = {}
    for cause in causes:
        chance, because, weighs = cause.prior, [], None
        judged = [
            (chances[_RANK[finding.verdict]], finding)
            for code, chances in cause.judged.items()
            for finding in by_code.get(code, [])
        ]
        if judged:
            top, weighs = max(judged, key=lambda pair: (pair[0], pair[1].key))
            # with nothing to narrow it down, one bad output among many does not stand for all
            chance = top if about.is_known else sum(finding for finding, _ in judged) / len(judged)
            if weighs.verdict is not Verdict.HOLDS:
                because.append(f"{weighs.code}: {weighs.says}")
        number = numbers[cause.source]() if cause.source else None
        if number is not None:
            chance = number[0]
            because.insert(0, number[1])
        found[cause.name] = Prior(cause, min(max(chance, LEAST), MOST), tuple(because), weighs)
    return found


def concerned(case: Case, findings: Iterable[Finding], about: About) -> list[Finding]:
    """The findings that touch what a complaint is about; all of them where nothing is known."""
    if not about.is_known:
        return list(findings)
    names = _names(case, about)
    kept = []
    for finding in findings:
        own: dict[str, set[str]] = {}
        for subject in finding.subjects:
            own.setdefault(subject.kind, set()).add(subject.path)
        if own and all(some & names[kind] for kind, some in own.items() if kind in names):
            kept.append(finding)
    return kept


def outputs_about(case: Case, about: About) -> list[OutputAt]:
    """Outputs that a complaint may be about."""
    functions = set(case.job.functions)
    if about.function:
        functions = {about.function}
    elif about.group in case.job.groups:
        functions = set(case.job.functions_of(case.job.groups[about.group]))
    premises = about.premises or about.place.partition("/")[0] if "/" in about.place else about.premises
    return [
        output
        for output in case.outputs()
        if set(output.functions) & functions and (not premises or output.premises == premises)
    ]


def _names(case: Case, about: About) -> dict[str, set[str]]:
    """Kind of subject → names that a finding may name; kinds that are not narrowed are left out."""
    outputs = outputs_about(case, about)
    names: dict[str, set[str]] = {
        "output": {output.path for output in outputs},
        "receiver": {output.receiver_path for output in outputs},
        "device": set(),
        "panel": set(),
        "supply": set(),
    }
    for output in outputs:
        for works in output.works:
            name = works.split(".")[0]
            names["panel" if name in output.house.panels else "device"].add(f"{output.premises}/{name}")
            thing = case.driven(output.premises, works)
            behind = supply_behind(output.house, thing.fed) if thing is not None else None
            if behind is not None:
                names["supply"].add(f"{output.premises}/{behind}")
        if output.box.fed is not None:
            names["supply"].add(f"{output.premises}/{output.box.fed.from_}")
        if output.output.load_from:
            names["supply"].add(f"{output.premises}/{output.output.load_from}")
    if about.function:
        names["function"] = {about.function}
    if about.group:
        names["group"] = {about.group}
    elif about.function:
        names["group"] = {name for name, _ in case.groups_with(about.function)}
    functions = {name for output in outputs for name in output.functions}
    promises = set()
    for promise in case.job.promises:
        fits = (
            promise.function in functions,
            not about.group or promise.to == about.group,
            not about.place or promise.from_.split("/")[-1] == about.place.split("/")[-1],
        )
        if all(fits):
            promises.add(f"{promise.to}: {promise.function} from {promise.from_}")
    names["promise"] = promises
    if about.place:
        names["place"] = {f"{output.premises}/{about.place.split('/')[-1]}" for output in outputs} | {
            about.place
        }
    return names


def _margin(case: Case, about: About) -> tuple[float, str] | None:
    """Presses lost from that place, by the design."""
    if not about.place or not about.function or about.function not in case.job.functions:
        return None
    group = about.group or next((name for name, _ in case.groups_with(about.function)), "")
    radio, worst = radio_of(case), None
    for output in case.outputs_of(about.function):
        spot = case.place(about.place, output.premises)
        if spot is None or spot[0] != output.premises or not group:
            continue
        place = case.job.premises[spot[0]].places[spot[1]]
        link = radio.link(
            group=group,
            premises=output.premises,
            receiver=output.receiver,
            place=place,
            place_path="/".join(spot),
        )
        share = link.share(1)
        if share is not None and (worst is None or share < worst[0]):
            worst = (
                share,
                (
                    f"From {spot[1]} the margin at {output.receiver} is {link.margin_db or 0.0:.0f} dB:"
                    f" {presses_in_ten(share)} are heard."
                ),
            )
    return None if worst is None else (1.0 - worst[0], worst[1])


def _counter(findings: Sequence[Finding], about: About) -> tuple[float, str] | None:
    values = [(finding.value, finding) for finding in findings if finding.value is not None]
    if not values or not (about.group or about.function):
        return None
    worst, finding = max(values, key=lambda pair: (pair[0], pair[1].key))
    return worst, f"REG-03: {finding.says}"


def _cell(
    case: Case, about: About, register: FobRegister | None, today: date | None
) -> tuple[float, str] | None:
    """From the age of this fob's cell, and a low-cell signal."""
    fob = register.fobs.get(about.fob) if register is not None and about.fob else None
    if fob is None:
        return None
    if fob.low_cell_at:
        return MOST, f"Its low-cell signal came on {fob.low_cell_at[:10]}."
    group = fob.group or about.group
    changed = day_of(fob.cell_date)
    plan = cell_plan(case, group) if group in case.job.groups else None
    if changed is None or today is None or plan is None:
        return None
    age = max((today - changed).days / 365.25, 0.0)
    share = float(
        empty_share(
            age_years=age,
            life_years=plan.by_charge_years,
            use_spread=USE_SPREAD,
            shelf_years=plan.shelf_years,
        )
    )
    return share, f"Its cell is {age:.1f} years old; by then {share:.0%} of such cells are empty."


def _always(
    kind: str, name: str, diary: Diary | None, known: tuple[float, str] | None
) -> tuple[float, str] | None:
    """What is known, or more where the diary shows that this place or fob fails at every hour."""
    found = diary.of(kind, name) if diary is not None and name else None
    if found is None or (known is not None and known[0] >= DIARY_SHOWS):
        return known
    return DIARY_SHOWS, f"{found.says} {known[1]}" if known is not None else found.says


def _noise(case: Case, about: About, diary: Diary | None) -> tuple[float, str] | None:
    """From the noise diary where it shows an hour or a beat, else from the channel as measured.

    A place or fob that fails at every hour has a cause of its own; the hours say nothing about it.
    """
    apart = diary is not None and (diary.of("place", about.place) or diary.of("fob", about.fob))
    if diary is not None and (diary.worst or diary.has_beat) and not apart:
        shown = [diary.presses_say] if diary.worst else []
        return DIARY_SHOWS, " ".join([*shown, diary.bursts_say]).strip()
    shares = [
        (house.noise_bursts_share, name)
        for name, house in case.job.premises.items()
        if house.noise_bursts_share is not None and (not about.premises or name == about.premises)
    ]
    if not shares:
        return None
    worst, name = max(shares)
    return 0.03 + 2.0 * worst, f"At {name} others are on the channel for {worst:.1%} of the time."


def _pocket(case: Case, about: About) -> tuple[float, str] | None:
    groups: list[str] = []
    if about.group in case.job.groups:
        groups = [about.group]
    elif about.function:
        groups = [name for name, _ in case.groups_with(about.function)]
    kept = [name for name in groups if case.job.groups[name].kept == "in pocket"]
    return (0.2, f"The fobs of {', '.join(kept)} are carried in pockets.") if kept else None


def _battery(case: Case, about: About, today: date | None) -> tuple[float, str] | None:
    """From the age of the oldest battery behind these outputs."""
    if today is None:
        return None
    supplies = (
        _names(case, about)["supply"]
        if about.is_known
        else {
            f"{premises}/{name}" for premises, house in case.job.premises.items() for name in house.supplies
        }
    )
    ages = []
    for path in supplies:
        premises, name = path.split("/")
        supply = case.job.premises[premises].supplies.get(name)
        changed = (
            day_of(supply.battery.changed) if supply is not None and supply.battery is not None else None
        )
        if changed is not None:
            ages.append((max((today - changed).days / 365.25, 0.0), path))
    if not ages:
        return None
    age, path = max(ages)
    share = failed_share(age_years=age, mean_years=BATTERY_YEARS, shape=BATTERY_SHAPE)
    return 0.02 + 0.9 * share, f"The battery of {path} is {age:.1f} years old."
