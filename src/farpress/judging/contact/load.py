"""Judges every relay contact: what it carries, makes, breaks, wets, and whether it may touch it at all.

Life and the pairing of motors are judged in `contact_use`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.switched import Load, Switched, switched
from farpress.core.wiring.contacts import (
    PEAK_MULTIPLES,
    USUAL_MAKE_MULTIPLE,
    allowed_share,
    making_peak_a,
    pieces_per_contact,
    wetting_resistor_ohm,
)
from farpress.core.wiring.eseries import value_at_most
from farpress.core.wiring.supply_load import ac_peak_v
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.refs import OutputRef
from farpress.judging.contact.relay_choice import relay_remedy
from farpress.judging.contact.suppression import judge_breaking
from farpress.judging.contact.use import USE_CODES, judge_use
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "CON-01": "Steady current of a load, by its kind, against the rating of the contact.",
    "CON-02": "Peak at switching on, against what the contact may make.",
    "CON-03": "What catches the energy of a coil when the contact opens.",
    "CON-04": "Current of a command input, against the least that keeps the contact clean.",
    "CON-05": "Voltage of a circuit, mains above all, against what the contact may switch.",
    **USE_CODES,
}

_PEAK_RANGE: Final = Citation(
    "usual peaks by kind of load: instrument-module manual; Lighting Research Center note 2011-03-02",
    mark=Mark.COPY,
)
_TEN_TIMES: Final = Citation(
    "relays are often rated to make 10 times their current",
    place="Lighting Research Center note 2011-03-02",
    mark=Mark.COPY,
)
_WETTING_HEADROOM: Final = 1.2
"""How far above the contact's minimum a resistor is to bring the current; our choice."""


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about contacts, in the order of the job."""
    contacts = tuple(switched(case))
    for one in contacts:
        for judged in (_voltage(case, one), _steady(case, one), _making(case, one)):
            if judged is not None:
                yield judged
        yield from judge_breaking(one)
        yield from _wetting(case, one)
    yield from judge_use(case, contacts)


def _steady(case: Case, one: Switched) -> Finding | None:
    """CON-01: currents divided by their allowed share add up to an equal resistive current."""
    powers = [load for load in one.loads if not load.is_signal]
    if not powers:
        return None
    ask = [f"{what} of {load.name}" for load in powers for what in _missing(load)]
    if one.contact.rated_a is None:
        ask.append(f"rated current of {one.contact.name}")
    sources = (
        *one.contact.sources,
        *(source for load in powers for source in load.sources),
        *cited(allowed_share),
    )
    if ask:
        return _open(
            "CON-01", one, f"Whether {one.contact.name} carries {_names(powers)} is not known.", ask, sources
        )
    equal, parts = 0.0, []
    for load in powers:
        share = _share(one, load)
        if share == 0:
            says = (
                f"{one.contact.name} is not rated for the coil of {load.name} at {load.volts:g} V direct"
                " current."
            )
            because = "Above 30 V direct current an arc over a coil does not go out by itself."
            return Finding(
                "CON-01",
                Link.CONTACT,
                Verdict.FAILS,
                one.about,
                says,
                because,
                remedies=_stronger(case, one, powers),
                sources=sources,
                subjects=one.subjects,
            )
        equal += (load.amperes or 0.0) / share
        parts.append(
            f"{write_quantity(load.amperes or 0.0, 'current')} {load.name} ({_kind(load)}: {100 * share:.0f}"
            " % of the rating allowed)"
        )
    rated = one.contact.rated_a or 0.0
    says = f"{one.contact.name}, rated {rated:g} A, switches {' and '.join(parts)}."
    because = (
        f"As a plain resistive load this wears the contact like {equal:.2g} A. Thin means above three"
        " quarters of the rating."
    )
    verdict = (
        Verdict.FAILS
        if equal > rated * (1 + 1e-9)
        else Verdict.THIN
        if equal > 0.75 * rated
        else Verdict.HOLDS
    )
    remedies = () if verdict is Verdict.HOLDS else _stronger(case, one, powers)
    return Finding(
        "CON-01",
        Link.CONTACT,
        verdict,
        one.about,
        says,
        because,
        equal,
        rated,
        "A",
        rated - equal,
        None,
        remedies,
        sources,
        one.subjects,
    )


def _making(case: Case, one: Switched) -> Finding | None:
    """CON-02: known peaks added; unknown ones bounded by what is usual for the kind of load."""
    powers = [load for load in one.loads if not load.is_signal]
    if not powers:
        return None
    least = greatest = 0.0
    unknown: list[Load] = []
    sources: tuple[Citation, ...] = (
        *one.contact.sources,
        *(source for load in powers for source in load.sources),
        *cited(making_peak_a),
    )
    for load in powers:
        if load.piece_peak_a is not None:
            peak = making_peak_a(
                piece_peak_a=load.piece_peak_a,
                pieces=load.pieces,
                voltage_v=_crest_v(load),
                loop_ohm=load.loop_ohm,
            )
            least, greatest = least + peak, greatest + peak
        elif load.amperes is not None and load.kind is not None:
            low, high = PEAK_MULTIPLES[load.kind]
            least, greatest = least + low * load.amperes, greatest + high * load.amperes
            if low != high:
                unknown.append(load)
                sources = (*sources, _PEAK_RANGE)
        else:
            return _open(
                "CON-02",
                one,
                f"The peak of {load.name} at switching on is not known.",
                [f"{what} of {load.name}" for what in ("peak current", *_missing(load))],
                sources,
            )
    pieces = " and ".join(
        (
            f"{load.pieces} x {load.piece_peak_a:g} A of {load.name}"
            if load.pieces > 1 and load.piece_peak_a
            else load.name
        )
        for load in powers
    )
    peak_text = (
        write_quantity(greatest, "current")
        if not unknown
        else f"{write_quantity(least, 'current')} to {write_quantity(greatest, 'current')} (usual range)"
    )
    says = f"Switching on makes a peak of {peak_text}: {pieces}"
    make, rated = one.contact.make_a, one.contact.rated_a
    because = ""
    if make is None:
        if rated is None:
            return _open(
                "CON-02",
                one,
                f"{says}; what {one.contact.name} may make is not known.",
                [f"rated and making current of {one.contact.name}"],
                sources,
            )
        sources = (*sources, _TEN_TIMES)
        if greatest <= rated:
            limit, verdict, because = rated, Verdict.HOLDS, "The peak lies below the continuous rating."
        elif least > USUAL_MAKE_MULTIPLE * rated:
            limit, verdict = USUAL_MAKE_MULTIPLE * rated, Verdict.FAILS
            because = (
                f"The making current of {one.contact.name} is not given; even ten times its {rated:g} A,"
                " which many relays make, is not enough. It would weld."
            )
        else:
            held = (
                f"{says}; what {one.contact.name} may make is not known. Many relays make ten times their"
                f" rating, here {USUAL_MAKE_MULTIPLE * rated:g} A."
            )
            return _open(
                "CON-02", one, held, [f"making current of {one.contact.name}"], sources, value=greatest
            )
    else:
        limit = make
        if unknown and least <= make < greatest:
            return _open(
                "CON-02",
                one,
                f"{says}; {one.contact.name} may make {make:g} A.",
                [f"peak current of {load.name}" for load in unknown],
                sources,
                value=greatest,
            )
        verdict = (
            Verdict.FAILS
            if least > make * (1 + 1e-9)
            else Verdict.THIN
            if greatest > 0.9 * make
            else Verdict.HOLDS
        )
    value = least if verdict is Verdict.FAILS else greatest
    if verdict is Verdict.FAILS and one.at.output.limits_inrush:
        held = f"{says} without the inrush limiter that is fitted; what is left with it is not known."
        return _open("CON-02", one, held, ["peak that the inrush limiter lets through"], sources, value=value)
    says = f"{says}; {one.contact.name} may make {limit:g} A."
    remedies = _against_peak(case, one, powers, value, limit) if verdict is not Verdict.HOLDS else ()
    return Finding(
        "CON-02",
        Link.CONTACT,
        verdict,
        one.about,
        says,
        because,
        value,
        limit,
        "A",
        limit - value,
        None,
        remedies,
        sources,
        one.subjects,
    )


def _wetting(case: Case, one: Switched) -> Iterator[Finding]:
    """CON-04."""
    for load in one.loads:
        if not load.is_signal:
            continue
        about = f"{one.about}: {load.name}"
        subjects = (OutputRef(one.at.path), *load.subjects)
        sources = (*one.contact.sources, *load.sources)
        minimum = one.contact.min_a
        if load.amperes is None or minimum is None:
            ask = [f"current of the input {load.name}"] * (load.amperes is None) + [
                f"least current of {one.contact.name}"
            ] * (minimum is None)
            yield Finding(
                "CON-04",
                Link.CONTACT,
                Verdict.UNKNOWN,
                about,
                f"Whether the current of {load.name} keeps {one.contact.name} clean is not known.",
                value=load.amperes,
                limit=minimum,
                unit="A",
                remedies=(Remedy(f"Find the {' and the '.join(ask)}."),),
                sources=sources,
                subjects=subjects,
            )
            continue
        margin = load.amperes - minimum
        verdict = (
            Verdict.FAILS if margin < -1e-12 else Verdict.THIN if margin < 0.1 * minimum else Verdict.HOLDS
        )
        says = (
            f"{load.name} lets {write_quantity(load.amperes, 'current')} flow; {one.contact.name} needs"
            f" {write_quantity(minimum, 'current')}"
        )
        because = (
            "Too small a current does not burn off the film that grows on a contact: after a year or two"
            " presses are ignored."
        )
        if load.volts is not None and one.contact.min_v is not None and load.volts < one.contact.min_v:
            verdict = Verdict.FAILS
            says += f", at {one.contact.min_v:g} V or more instead of {load.volts:g} V"
        remedies = () if verdict is Verdict.HOLDS else tuple(_wet(case, one, load, minimum))
        yield Finding(
            "CON-04",
            Link.CONTACT,
            verdict,
            about,
            f"{says}.",
            because,
            load.amperes,
            minimum,
            "A",
            margin,
            None,
            remedies,
            sources,
            subjects,
        )


def _wet(case: Case, one: Switched, load: Load, minimum: float) -> Iterator[Remedy]:
    remedy = relay_remedy(
        case,
        one.at,
        does="Let {relay} switch the input.",
        fits=lambda sheet: (
            sheet.contact_min_a is not None
            and load.amperes is not None
            and sheet.contact_min_a <= load.amperes
        ),
        effect=lambda sheet: (
            f"its contact needs only {write_quantity(sheet.contact_min_a or 0.0, 'current')}"
        ),
    )
    yield remedy or Remedy(
        "Put a small relay with gold contacts between; its coil wets the receiver's contact."
    )
    wanted = _WETTING_HEADROOM * minimum
    if load.volts and load.amperes is not None and not load.is_panel and wanted > load.amperes:
        ohm = value_at_most(
            wetting_resistor_ohm(voltage_v=load.volts, current_a=load.amperes, wanted_a=wanted)
        )
        watts = load.volts**2 / ohm
        total = load.amperes + load.volts / ohm
        yield Remedy(
            f"Put {write_quantity(ohm, 'resistance')} from the switched wire of {load.name} to the return of"
            f" its own supply: {watts:.2g} W, take a part of twice that.",
            f"{write_quantity(total, 'current')} through the contact; ask the maker of the drive whether its"
            " terminals give that much",
        )


def _voltage(case: Case, one: Switched) -> Finding | None:
    """CON-05."""
    mains = [load for load in one.loads if load.is_mains]
    volts = max((load.volts for load in one.loads if load.volts is not None), default=None)
    rated = one.contact.rated_v
    sources = (*one.contact.sources, *(source for load in one.loads for source in load.sources))
    deference = "Mains side only by a licensed electrician; national wiring rules come first."
    if mains:
        names = _names(mains)
        if one.contact.mains_rated is None:
            return _open(
                "CON-05",
                one,
                f"{names} is mains; whether {one.contact.name} may switch mains is not known. Until then it"
                " may not.",
                [f"whether {one.contact.name} is rated for mains"],
                sources,
            )
        if not one.contact.mains_rated:
            says = f"{names} is mains, and {one.contact.name} is not rated for mains."
            return Finding(
                "CON-05",
                Link.CONTACT,
                Verdict.FAILS,
                one.about,
                says,
                deference,
                volts,
                rated,
                "V",
                remedies=_stronger(case, one, mains),
                sources=sources,
                subjects=one.subjects,
            )
    if volts is None or (rated is None and not mains):
        return None
    if rated is not None and volts > rated * 1.0001 and not (mains and one.contact.mains_rated):
        says = f"{volts:g} V stand across {one.contact.name}, which is rated for {rated:g} V."
        return Finding(
            "CON-05",
            Link.CONTACT,
            Verdict.FAILS,
            one.about,
            says,
            deference if volts > 50 else "",
            volts,
            rated,
            "V",
            rated - volts,
            None,
            _stronger(case, one, list(one.loads)),
            sources,
            one.subjects,
        )
    says = f"{one.contact.name} is rated for {'mains' if mains else f'{rated:g} V'}; it switches {volts:g} V."
    return Finding(
        "CON-05",
        Link.CONTACT,
        Verdict.HOLDS,
        one.about,
        says,
        deference if mains else "",
        volts,
        rated,
        "V",
        rated - volts if rated and not mains else None,
        None,
        (),
        sources,
        one.subjects,
    )


def _against_peak(
    case: Case, one: Switched, powers: list[Load], peak: float, limit: float
) -> tuple[Remedy, ...]:
    remedies = list(_stronger(case, one, powers))
    if len(powers) == 1 and powers[0].piece_peak_a and powers[0].pieces > 1:
        fit = pieces_per_contact(piece_peak_a=powers[0].piece_peak_a, make_a=limit)
        if fit:
            remedies.append(
                Remedy(
                    f"Split it: at most {fit} of {powers[0].pieces} pieces on one contact,"
                    f" {math.ceil(powers[0].pieces / fit)} contacts."
                )
            )
        else:
            remedies.append(
                Remedy(f"Splitting does not help: one piece alone makes {powers[0].piece_peak_a:g} A.")
            )
    remedies.append(
        Remedy(
            "Fit an inrush limiter or a contact that closes at the zero of the wave, so that no more than"
            f" {write_quantity(limit, 'current')} are left."
        )
    )
    return tuple(remedies)


def _stronger(case: Case, one: Switched, loads: list[Load]) -> tuple[Remedy, ...]:
    """A relay or contactor of the job or catalogue that does it, or what one must be rated for."""
    steady = sum((load.amperes or 0.0) / (_share(one, load) or 0.1) for load in loads if load.kind)
    peak = sum(
        (
            load.piece_peak_a * load.pieces
            if load.piece_peak_a
            else (load.amperes or 0.0) * PEAK_MULTIPLES[load.kind][1]
        )
        for load in loads
        if load.kind
    )
    mains = any(load.is_mains for load in loads)
    volts = max((load.volts or 0.0 for load in loads), default=0.0)
    # a coil that is too much for the receiver's contact is not helped by taking its relay away
    remedy = (
        None
        if one.at.output.via and not one.contact.is_relay
        else relay_remedy(
            case,
            one.at,
            does="Let {relay} switch it.",
            fits=lambda sheet: (
                (sheet.contact_rated_a or 0.0) >= steady
                and (sheet.contact_make_a or 0.0) >= peak
                and (sheet.contact_rated_v or 0.0) >= volts
                and bool(sheet.mains_rated or not mains)
            ),
            effect=lambda sheet: (
                f"it carries {sheet.contact_rated_a:g} A and makes {sheet.contact_make_a:g} A"
            ),
        )
    )
    if remedy is not None:
        return (remedy,)
    place = " for mains" if mains else f" at {volts:g} V" if volts else ""
    return (
        Remedy(
            f"Put a relay or contactor between, rated{place} for at least {write_quantity(steady, 'current')}"
            f" resistive and {write_quantity(peak, 'current')} making."
        ),
    )


def _share(one: Switched, load: Load) -> float:
    if load.kind is None or load.volts is None or load.alternating is None:
        return 1.0
    suppressed = one.suppression not in (None, "none")
    return allowed_share(
        kind=load.kind, voltage_v=load.volts, alternating=load.alternating, suppressed=suppressed
    )


def _crest_v(load: Load) -> float | None:
    if load.volts is None:
        return None
    return ac_peak_v(rms_v=load.volts) if load.alternating is not False else load.volts


def _missing(load: Load) -> list[str]:
    named = (
        ("steady current", load.amperes),
        ("kind of load", load.kind),
        ("voltage", load.volts),
        ("kind of current (DC or AC)", load.alternating),
    )
    return [what for what, value in named if value is None]


def _open(
    code: str,
    one: Switched,
    says: str,
    ask: list[str],
    sources: tuple[Citation, ...],
    value: float | None = None,
) -> Finding:
    remedy = Remedy(f"Find out: {', '.join(dict.fromkeys(ask))}.")
    return Finding(
        code,
        Link.CONTACT,
        Verdict.UNKNOWN,
        one.about,
        says,
        value=value,
        unit="A" if value is not None else "",
        remedies=(remedy,),
        sources=sources,
        subjects=one.subjects,
    )


def _names(loads: list[Load]) -> str:
    return " and ".join(load.name for load in loads)


def _kind(load: Load) -> str:
    return {"inductive dc": "DC coil", "coil ac": "AC coil", "led": "LED driver"}.get(
        load.kind or "", load.kind or "load"
    )
