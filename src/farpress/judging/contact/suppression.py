"""Judges what catches a coil's energy when its contact opens, and sizes what is missing.

Release times are those of a linear coil: an order of magnitude, as a real one changes while its
armature moves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

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
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.refs import OutputRef, Ref
from farpress.errors import InputError
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["judge_breaking"]

_RELEASE_SHARE: Final = 0.2
"""A coil lets go at about this share of its current; from memory."""

_SLOW_S: Final = 0.05
"""A lock magnet or strike that lets go later than this is noticed: the door is tried before it is free; our
choice."""

_HELD_SHARE: Final = 0.1
"""An AC coil, or an LED driver beside it, may stay on with this share of its current leaking through an RC
element; our choice, the low end of release currents."""

_SIZES: Final = Citation(
    "varistor of at least 1.25 times the effective voltage; diode of 10 times the voltage",
    place="relay application notes",
    mark=Mark.COPY,
)


def judge_breaking(one: Switched) -> Iterator[Finding]:
    """CON-03, of every coil that a contact switches."""
    for load in one.loads:
        if load.is_signal or load.kind not in ("inductive dc", "coil ac"):
            continue
        about, fitted = f"{one.about}: {load.name}", one.suppression
        name = load.name if load.name.startswith("coil of ") else f"the coil of {load.name}"
        subjects = (OutputRef(one.at.path), *load.subjects)
        sources: tuple[Citation, ...] = (*load.sources, *cited(dc13_coil), *cited(release_time_s), _SIZES)
        remedies, effect = _suppressors(one, load)

        def finding(
            verdict: Verdict,
            says: str,
            because: str = "",
            remedies: tuple[Remedy, ...] = (),
            sources: tuple[Citation, ...] = sources,
            key: tuple[str, tuple[Ref, ...]] = (about, subjects),
        ) -> Finding:
            return Finding(
                "CON-03",
                Link.CONTACT,
                verdict,
                key[0],
                says,
                because,
                remedies=remedies,
                sources=sources,
                subjects=key[1],
            )

        if fitted is None:
            yield finding(
                Verdict.UNKNOWN,
                f"What catches {name} when the contact opens is not known.",
                effect,
                (Remedy(f"Look whether a diode or RC element sits at {load.name}."), *remedies),
            )
        elif fitted == "none":
            yield finding(
                Verdict.FAILS,
                f"Nothing catches {name}: its energy burns the contact and disturbs the receiver.",
                effect,
                remedies,
            )
        elif load.alternating and fitted in ("diode", "zener"):
            yield finding(
                Verdict.FAILS,
                f"A {fitted} across {name} shorts every other half wave of its alternating current.",
                remedies=remedies,
            )
        else:
            verdict, more, better = _side_effects(load, fitted)
            says = (
                f"{name[0].upper()}{name[1:]} is caught by its"
                f" {fitted if fitted != 'rc' else 'RC element'}{more}."
            )
            yield finding(verdict, says, effect, better if verdict is not Verdict.HOLDS else ())


def _side_effects(load: Load, fitted: str) -> tuple[Verdict, str, tuple[Remedy, ...]]:
    """What the suppressor costs: a late release, or a current that leaks through the open contact."""
    if load.volts is None or not load.amperes:
        return Verdict.HOLDS, "", ()
    if not load.alternating and fitted == "diode" and load.is_lock_magnet:
        late = _release_s(load, 0.7)
        if late > _SLOW_S:
            zener = Remedy(
                f"Fit a diode with a zener of {load.volts:g} V instead.",
                f"lets go after about {1e3 * _release_s(load, load.volts + 0.7):.0f} ms",
            )
            return Verdict.THIN, f", which lets the lock go only after about {1e3 * late:.0f} ms", (zener,)
    if load.alternating and fitted == "rc":
        _, farad = _rc(load)
        leak = snubber_leakage_a(capacitance_f=farad, voltage_v=load.volts, frequency_hz=50.0)
        if leak > _HELD_SHARE * load.amperes:
            varistor = Remedy(
                f"Fit a varistor of at least {1.25 * load.volts:.0f} V AC instead: nothing leaks through it."
            )
            return (
                Verdict.THIN,
                (
                    f"; {write_quantity(leak, 'current')} of its {write_quantity(load.amperes, 'current')}"
                    " may leak through the open contact and hold it"
                ),
                (varistor,),
            )
    return Verdict.HOLDS, "", ()


def _suppressors(one: Switched, load: Load) -> tuple[tuple[Remedy, ...], str]:
    """What to fit, sized, and what is known of the coil's energy and release."""
    if load.volts is None or not load.amperes:
        return (Remedy(f"Fit a suppressor at {load.name}."),), ""
    path = (
        "premises",
        one.at.premises,
        "receivers",
        one.at.receiver,
        "outputs",
        one.at.number,
        "suppression",
    )
    ohm, farad = _rc(load)
    bates = snubber_bates(voltage_v=max(load.volts, 1.0), current_a=max(load.amperes, 1e-4))
    if load.alternating:
        leak = snubber_leakage_a(capacitance_f=farad, voltage_v=load.volts, frequency_hz=50.0)
        kind = "class X2" if load.is_mains else "non-polar"
        varistor = Remedy(
            f"Fit a varistor of at least {1.25 * load.volts:.0f} V AC across {load.name}.",
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
    diode_ms, zener_ms = 1e3 * _release_s(load, 0.7), 1e3 * _release_s(load, load.volts + 0.7)
    energy = f"Its coil stores about {1e3 * coil.henry * load.amperes**2 / 2:.3g} mJ (from {how})."
    effect = (
        f"{energy} It lets go about {diode_ms:.1f} ms later with a diode, {zener_ms:.1f} ms with diode and"
        f" zener.{_rc_peak(load, coil, ohm, farad)}"
    )
    diode = Remedy(
        f"Fit a diode across {load.name}, at the coil: at least {10 * load.volts:g} V and"
        f" {write_quantity(load.amperes, 'current')}.",
        f"lets go after about {diode_ms:.1f} ms",
        (Change(path, "diode"),),
    )
    zener = Remedy(
        f"Fit a diode with a zener of {load.volts:g} V where it must let go quickly.",
        f"lets go after about {zener_ms:.1f} ms; {2 * load.volts + 0.7:.0f} V at the contact",
        (Change(path, "zener"),),
    )
    return ((zener, diode) if load.is_lock_magnet else (diode, zener)), effect


def _rc(load: Load) -> tuple[float, float]:
    """Standard values of an RC element by the 1 uF per ampere rule: ohm, farad."""
    wanted = snubber_per_ampere(
        voltage_v=max(load.volts or 1.0, 1.0), current_a=max(load.amperes or 0.0, 1e-4)
    )
    return nearest_value(wanted.ohm), nearest_value(wanted.farad * 1e6, series="E12") * 1e-6


def _rc_peak(load: Load, coil: Coil, ohm: float, farad: float) -> str:
    try:
        peak = snubber_peak(
            voltage_v=load.volts or 1.0,
            coil_ohm=coil.ohm,
            coil_h=coil.henry,
            capacitance_f=farad,
            resistance_ohm=ohm,
        )
    except InputError:
        return ""
    return (
        f" With an RC element of {1e6 * farad:.2g} uF and {ohm:g} ohm instead, {peak.volts:.0f} V would stand"
        " at the contact."
        if math.isfinite(peak.volts)
        else ""
    )


def _coil(load: Load) -> Coil:
    guessed = dc13_coil(voltage_v=load.volts or 1.0, power_w=(load.volts or 1.0) * (load.amperes or 1e-3))
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
