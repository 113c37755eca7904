"""Judges what catches a coil's energy when its contact opens, and sizes what is missing.

Release times are those of a linear coil: an order of magnitude, as a real one changes while its
armature moves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.case.driven import Driven, driven_of, moves
from farpress.case.supply_volts import mains_hz
from farpress.case.switched import Load, Switched
from farpress.core.wiring.coils import (
    Coil,
    dc13_coil,
    release_time_s,
    snubber_bates,
    snubber_leakage_a,
    snubber_peak,
    snubber_per_ampere,
)
from farpress.core.wiring.eseries import nearest_value
from farpress.domain.finding import Change, Finding, Link, Remedy, Stake
from farpress.domain.refs import OutputRef
from farpress.errors import InputError
from farpress.judging.check import Answer, Check
from farpress.sources import Citation, Mark, cited
from farpress.units import rounded_up, write_at_least, write_quantity

__all__ = ["SUPPRESSION", "judge_breaking"]

SUPPRESSION: Final = Check(
    "CON-03",
    Link.CONTACT,
    "What catches the energy of a coil when the contact opens.",
    stake=Stake.WEAR,
    ask="Look what sits across the coil.",
    mends="A diode, zener, RC element or varistor at the coil, sized for it.",
)

_COILS: Final = ("inductive dc", "coil ac")
"""Kinds of load whose energy must go somewhere when the contact opens; motors are caught by their drives."""

_ONE_WAY: Final = ("diode", "zener")
"""What conducts in one direction only, and so shorts an alternating current."""

_RELEASE_SHARE: Final = 0.2
"""A coil lets go at about this share of its current; from memory."""

_SLOW_S: Final = 0.05
"""A lock magnet or strike that lets go later than this is noticed: the door is tried before it is free; our
choice."""

_HELD_SHARE: Final = 0.1
"""An AC coil, or an LED driver beside it, may stay on with this share of its current leaking through an RC
element; our choice, the low end of release currents."""

_DIODE_V: Final = 0.7
"""Forward voltage of a silicon diode; textbook."""

_DIODE_MULTIPLE: Final = 10.0
"""Volts a diode is to bear, as a multiple of the circuit's; see `_SIZES`."""

_VARISTOR_MULTIPLE: Final = 1.25
"""Effective volts of a varistor, as a multiple of the circuit's; see `_SIZES`."""

_SMALL_WINDING: Final = 1.1 * 1.2
"""Effective volts of a small transformer over its rated ones, where nobody says how high they rise: high
mains (EN 50160, from memory) and no load (1.1 to 1.2, common practice)."""

_VARISTOR_CLAMPS: Final = 2.5
"""Volts at which a varistor holds, as a multiple of its effective volts; see `_SIZES`."""

_HIGHER_HZ: Final = 60.0
"""Mains frequency where no region is given: the one at which more leaks."""

_SIZES: Final = Citation(
    "varistor of at least 1.25 times the effective voltage; diode of 10 times the voltage",
    place="relay application notes",
    mark=Mark.COPY,
)

_FITTED_WORDS: Final = {"rc": "RC element"}
"""Word of the job file → how a sentence calls it, where the two differ."""


@dataclass(frozen=True)
class _SideEffect:
    """What a suppressor costs, and what would cost less.

    Attributes:
        answer: yes where it costs nothing that matters.
        says: continues the sentence about the suppressor.
        remedies: another suppressor.
        asks: what is missing to tell.
    """

    answer: Answer = Answer.YES
    says: str = ""
    remedies: tuple[Remedy, ...] = ()
    asks: tuple[str, ...] = ()


def judge_breaking(case: Case, circuit: Switched) -> Iterator[Finding]:
    """CON-03, of every coil that a contact switches."""
    for load in circuit.loads:
        if load.reverses == "polarity" and circuit.suppression in _ONE_WAY:
            yield _shorted(circuit, load)
        elif not load.is_signal and load.kind in _COILS:
            hz = mains_hz(case) if case.job.region else _HIGHER_HZ
            yield _caught(circuit, load, hz, _pushing(case, circuit) if load.is_lock_magnet else None)


def _shorted(circuit: Switched, load: Load) -> Finding:
    """CON-03 of a motor that turns round with its volts: what lets current one way shorts one direction."""
    return SUPPRESSION.decide(
        about=f"{circuit.about}: {load.name}",
        subjects=(OutputRef(circuit.at.path), *load.subjects),
        answer=Answer.NO,
        says=f"{load.name} turns round with its volts: a {circuit.suppression} across it is a short in one of"
        " its two directions.",
        because="As long as that direction is on the supply sees a short, and its volts fall on the cable.",
        remedies=(
            Remedy(
                f"Take the {circuit.suppression} off {load.name}; fit a varistor instead.",
                "clamps in both directions",
                (Change(_path(circuit), "varistor"),),
            ),
        ),
        stake=Stake.PROMISE,
        sources=(*load.sources, *cited(release_time_s)),
    )


def _pushing(case: Case, circuit: Switched) -> Driven | None:
    """A drive that the same press sets going: it pushes against the lock until that lets go."""
    return next(
        (driven for driven in driven_of(case, circuit.at) if moves(driven) and driven.device is not None),
        None,
    )


def _caught(circuit: Switched, load: Load, frequency_hz: float, pushing: Driven | None) -> Finding:
    fitted = circuit.suppression
    name = load.name if load.name.startswith("coil of ") else f"the coil of {load.name}"
    sized, effect = _suppressors(circuit, load, frequency_hz)
    remedies: tuple[Remedy, ...] = sized
    asks: tuple[str, ...] = ()
    if fitted is None:
        answer, says = Answer.UNKNOWN, f"What catches {name} when the contact opens is not known."
        asks = (f"Look whether a diode or RC element sits at {load.name}.",)
    elif fitted == "none":
        answer = Answer.NO
        says = f"Nothing catches {name}: its energy burns the contact and disturbs the receiver."
    elif load.alternating and fitted in _ONE_WAY:
        answer, effect = Answer.NO, ""
        says = f"A {fitted} across {name} shorts every other half wave of its alternating current."
    else:
        cost = _side_effect(circuit, load, fitted, frequency_hz, pushing)
        answer, remedies, asks = cost.answer, cost.remedies, cost.asks
        says = f"{name[0].upper()}{name[1:]} is caught by its {_FITTED_WORDS.get(fitted, fitted)}{cost.says}."
    return SUPPRESSION.decide(
        about=f"{circuit.about}: {load.name}",
        subjects=(OutputRef(circuit.at.path), *load.subjects),
        answer=answer,
        says=says,
        because=effect,
        asks=asks,
        remedies=remedies,
        offers=remedies,
        sources=(*load.sources, *cited(dc13_coil), *cited(release_time_s), _SIZES),
    )


def _side_effect(
    circuit: Switched, load: Load, fitted: str, frequency_hz: float, pushing: Driven | None
) -> _SideEffect:
    """A late release, a leak through the open contact, or more volts there than it may switch."""
    if load.alternating is None and fitted in _ONE_WAY:
        return _SideEffect(asks=(f"Read off the label whether {load.name} works on DC or AC.",))
    may_be_late = not load.alternating and fitted == "diode" and load.is_lock_magnet
    may_hold = bool(load.alternating) and fitted == "rc"
    if not may_be_late and not may_hold:
        return _SideEffect() if load.alternating else _kick(circuit, load, fitted)
    if load.volts is None or not load.amperes:
        return _SideEffect(asks=(f"Read voltage and steady current of {load.name} off its label.",))
    return (
        _late(circuit, load, load.volts, pushing)
        if may_be_late
        else _leaking(load, load.volts, load.amperes, frequency_hz)
    )


def _late(circuit: Switched, load: Load, volts: float, pushing: Driven | None) -> _SideEffect:
    late_s = _release_s(load, _DIODE_V)
    waits_s = _SLOW_S
    if pushing is not None and pushing.device is not None:
        drive, given_s = pushing.path.split("/")[1], pushing.device.sheet.pushes_after_s
        says = f", which lets go after about {1e3 * late_s:.0f} ms; {drive} is set going by the same press"
        if given_s is None:
            ask = f"Find after how long {drive} begins to push, from its command."
            return _SideEffect(says=f"{says}, and when it begins to push is not known", asks=(ask,))
        waits_s = given_s
    if late_s <= waits_s:
        return _SideEffect()
    zener = Remedy(
        f"Fit a diode with a zener of {volts:g} V instead.",
        f"lets go after about {1e3 * _release_s(load, volts + _DIODE_V):.0f} ms",
        (Change(_path(circuit), "zener"),),
    )
    if pushing is not None:
        says = f"{says} and pushes against it after {1e3 * waits_s:.0f} ms"
        delay = Remedy(f"Let {drive} begin later than the lock lets go.")
        fitting = () if _is_too_much(circuit, load, "zener") else (zener,)
        return _SideEffect(Answer.NO, says, (*fitting, delay))
    says = f", which lets the lock go only after about {1e3 * late_s:.0f} ms"
    return _SideEffect(Answer.BARELY, says, () if _is_too_much(circuit, load, "zener") else (zener,))


def _kick(circuit: Switched, load: Load, fitted: str) -> _SideEffect:
    """On direct current: what stands across the contact as it opens, against what it may switch."""
    kick_v, rated = _kick_v(load, fitted), circuit.contact.rated_v
    if kick_v is None or rated is None or kick_v <= rated:
        return _SideEffect()
    diode = Remedy("Fit a diode instead, where the coil may let go late.", f"{rated:g} V are kept to")
    says = (
        f"; as it opens about {kick_v:.0f} V stand across {circuit.contact.name}, which may switch"
        f" {rated:g} V"
    )
    return _SideEffect(Answer.BARELY, says, (diode,))


def _is_too_much(circuit: Switched, load: Load, fitted: str) -> bool:
    """Whether a suppressor lets more volts stand at the opening contact than it may switch."""
    kick_v, rated = _kick_v(load, fitted), circuit.contact.rated_v
    return kick_v is not None and rated is not None and kick_v > rated


def _kick_v(load: Load, fitted: str) -> float | None:
    """Volts across an opening contact on direct current; None where nothing is said or it is the supply's."""
    volts = load.volts
    if volts is None:
        return None
    if fitted == "zener":
        return 2 * volts + _DIODE_V
    if fitted == "varistor":
        return volts + _VARISTOR_CLAMPS * _varistor_v(load, volts)
    return _rc_peak_v(load, _coil(load), *_rc(load)) if fitted == "rc" and load.amperes else None


def _varistor_v(load: Load, volts: float) -> float:
    """Least effective volts of a varistor, above all to which its supply can rise [V]."""
    highest = load.highest_v
    if highest is None:
        highest = volts if load.is_mains or not load.alternating else _SMALL_WINDING * volts
    return max(_VARISTOR_MULTIPLE * volts, highest)


def _leaking(load: Load, volts: float, amperes: float, frequency_hz: float) -> _SideEffect:
    _, farad = _rc(load)
    leak_a = snubber_leakage_a(capacitance_f=farad, voltage_v=volts, frequency_hz=frequency_hz)
    if leak_a <= _HELD_SHARE * amperes:
        return _SideEffect()
    least_v = rounded_up(_varistor_v(load, volts), 0)
    varistor = Remedy(f"Fit a varistor of at least {least_v:.0f} V AC instead: nothing leaks through it.")
    says = (
        f"; {write_quantity(leak_a, 'current')} of its {write_quantity(amperes, 'current')}"
        " may leak through the open contact and hold it"
    )
    return _SideEffect(Answer.BARELY, says, (varistor,))


def _path(circuit: Switched) -> tuple[str, ...]:
    """Where the job file says what catches the coil."""
    output = circuit.at
    return (
        "premises",
        output.premises,
        "receivers",
        output.receiver,
        "outputs",
        output.number,
        "suppression",
    )


def _suppressors(circuit: Switched, load: Load, frequency_hz: float) -> tuple[tuple[Remedy, ...], str]:
    """What to fit, sized, and what is known of the coil's energy and release."""
    if load.volts is None or not load.amperes:
        return (Remedy(f"Fit a suppressor at {load.name}."),), ""
    path = _path(circuit)
    ohm, farad = _rc(load)
    bates = snubber_bates(voltage_v=max(load.volts, 1.0), current_a=max(load.amperes, 1e-4))
    if load.alternating:
        leak = snubber_leakage_a(capacitance_f=farad, voltage_v=load.volts, frequency_hz=frequency_hz)
        least_v = rounded_up(_varistor_v(load, load.volts), 0)
        kind = "class X2" if load.is_mains else "non-polar"
        varistor = Remedy(
            f"Fit a varistor of at least {least_v:.0f} V AC across {load.name}.",
            "clamps at two to two and a half times the voltage, leaks nothing",
            (Change(path, "varistor"),),
        )
        rc = Remedy(
            f"Fit an RC element of {1e6 * farad:.2g} uF ({kind}) and {ohm:g} ohm.",
            f"{write_quantity(leak, 'current')} leak through it while the contact is open",
            (Change(path, "rc"),),
        )
        says = (
            f"By one rule {1e6 * farad:.2g} uF, by another (Bates) {1e6 * bates.farad:.2g} uF and"
            f" {bates.ohm:.2g} ohm."
        )
        return ((rc, varistor) if leak <= _HELD_SHARE * load.amperes else (varistor, rc)), says
    coil = _coil(load)
    how = "its inductance" if load.coil_h is not None else "6 ms per watt, a rule of thumb"
    diode_ms, zener_ms = 1e3 * _release_s(load, _DIODE_V), 1e3 * _release_s(load, load.volts + _DIODE_V)
    energy = f"Its coil stores about {1e3 * coil.henry * load.amperes**2 / 2:.3g} mJ (from {how})."
    effect = (
        f"{energy} It lets go about {diode_ms:.1f} ms later with a diode, {zener_ms:.1f} ms with diode and"
        f" zener.{_rc_peak(load, coil, ohm, farad)}"
    )
    diode = Remedy(
        f"Fit a diode across {load.name}, at the coil: at least {_DIODE_MULTIPLE * load.volts:g} V and"
        f" {write_at_least(load.amperes, 'current')}.",
        f"lets go after about {diode_ms:.1f} ms",
        (Change(path, "diode"),),
    )
    zener = Remedy(
        f"Fit a diode with a zener of {load.volts:g} V where it must let go quickly.",
        f"lets go after about {zener_ms:.1f} ms; {2 * load.volts + _DIODE_V:.0f} V at the contact",
        (Change(path, "zener"),),
    )
    if _is_too_much(circuit, load, "zener"):
        return (diode,), effect
    return ((zener, diode) if load.is_lock_magnet else (diode, zener)), effect


def _rc(load: Load) -> tuple[float, float]:
    """Standard values of an RC element by the 1 uF per ampere rule: ohm, farad."""
    wanted = snubber_per_ampere(
        voltage_v=max(load.volts or 1.0, 1.0), current_a=max(load.amperes or 0.0, 1e-4)
    )
    return nearest_value(wanted.ohm), nearest_value(wanted.farad * 1e6, series="E12") * 1e-6


def _rc_peak(load: Load, coil: Coil, ohm: float, farad: float) -> str:
    peak_v = _rc_peak_v(load, coil, ohm, farad)
    if peak_v is None:
        return ""
    return (
        f" With an RC element of {1e6 * farad:.2g} uF and {ohm:g} ohm instead, {peak_v:.0f} V would stand"
        " at the contact."
    )


def _rc_peak_v(load: Load, coil: Coil, ohm: float, farad: float) -> float | None:
    """Highest volts at the contact with an RC element at the coil; None where none can be told."""
    try:
        peak = snubber_peak(
            voltage_v=load.volts or 1.0,
            coil_ohm=coil.ohm,
            coil_h=coil.henry,
            capacitance_f=farad,
            resistance_ohm=ohm,
        )
    except InputError:
        return None
    return peak.volts if math.isfinite(peak.volts) else None


def _coil(load: Load) -> Coil:
    guessed = dc13_coil(voltage_v=load.volts or 1.0, power_w=(load.volts or 1.0) * (load.amperes or 1e-3))
    if load.coil_ohm:
        guessed = guessed._replace(ohm=load.coil_ohm)
    return guessed if load.coil_h is None else guessed._replace(henry=load.coil_h)


def _release_s(load: Load, clamp_v: float) -> float:
    coil = _coil(load)
    return release_time_s(
        coil_ohm=coil.ohm,
        coil_h=coil.henry,
        current_a=load.amperes or 1e-9,
        release_share=_RELEASE_SHARE,
        clamp_v=clamp_v,
    )
