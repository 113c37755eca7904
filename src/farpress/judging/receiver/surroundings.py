"""The radio side of each receiver: its housing, the noise round it, the coax behind its aerial.

Contacts, supply and memory are judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.core.reach.aerial import slot_shielding_db
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.premises import Premises, Receiver
from farpress.domain.refs import ReceiverRef
from farpress.reach.air_remedies import aerial_in_file
from farpress.reach.gaps import gaps_text, sensitivity_gap
from farpress.reach.radio_link import Radio, radio_of
from farpress.sources import Citation, Mark, cited

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "RCV-01": "A receiver in a steel housing: where its aerial is.",
    "RCV-02": (
        "The noise where a receiver is mounted against the noise its sensitivity was stated for, and foreign"
        " bursts."
    ),
    "RCV-03": (
        "What is not known about a receiver's radio side: surroundings, heights, levels, data sheet values."
    ),
    "RCV-04": "The loss of coax and connectors between aerial and receiver.",
}

NOISE_LIMIT_DB: Final = 6.0
"""Noise may lie this far over the receiver's own before it is called a fault of the site: our choice, half
the reach over open ground."""

BURSTS_LIMIT: Final = 0.10
"""Share of time that others may take before every tenth press is lost: our choice."""

COAX_LIMIT_DB: Final = 6.0
"""Loss behind the aerial beyond which the way up has been spent on the cable: our choice."""

_PRACTICE: Final = Citation("closed steel holds back 20 dB to 40 dB", mark=Mark.PRACTICE)
_CHOICE: Final = Citation("limit of this finding", mark=Mark.CHOICE)


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about the radio side of the receivers."""
    radio = radio_of(case)
    for premises, house in case.job.premises.items():
        for receiver, box in house.receivers.items():
            yield from _housing(radio, premises, receiver, box)
            yield from _noise(radio, premises, receiver, house)
            yield from _unknown(radio, premises, receiver, house)
            yield from _coax(radio, premises, receiver, box)


def _housing(radio: Radio, premises: str, receiver: str, box: Receiver) -> Iterator[Finding]:
    """RCV-01: only where the housing is steel."""
    if box.housing != "steel":
        return
    about, subjects = f"{premises}/{receiver}", (ReceiverRef(f"{premises}/{receiver}"),)
    if box.antenna is not None and not radio.aerial(premises, receiver).is_shut_in:
        yield Finding(
            "RCV-01",
            Link.RECEIVER,
            Verdict.HOLDS,
            about,
            f"{receiver} stands in steel, its aerial outside: the housing does not matter.",
            because="Keep the coax tail at the receiver as delivered.",
            sources=(_PRACTICE,),
            subjects=subjects,
        )
        return
    pairs = radio.shielding_readings(premises, receiver)
    sources: tuple[Citation, ...] = (_PRACTICE,)
    if pairs:
        mean = sum(pairs) / len(pairs)
        known = f"Read on site, the closed housing costs {mean:.0f} dB."
        sources = (Citation("readings of this job", mark=Mark.MEASURED),)
        value: float | None = mean
    elif box.slot_m:
        value = slot_shielding_db(slot_m=box.slot_m, frequency_hz=433.92e6)
        known = (
            f"Its longest slot of {box.slot_m * 1000:.0f} mm would let it cost about {value:.0f} dB;"
            " resonances move that by 10 dB and more."
        )
        sources = (*cited(slot_shielding_db), _PRACTICE)
    else:
        value, known = (
            None,
            (
                "Closed steel usually costs 20 dB to 40 dB. Read the level at one place with the door open"
                " and closed."
            ),
        )
    remedies = tuple(
        Remedy(
            f"Aerial {aerial.part} outside at ({', '.join(f'{number:g}' for number in aerial.at)})",
            "the housing no longer counts" if value is None else f"{value:.0f} dB gained, less the coax",
            (Change(("premises", premises, "receivers", receiver, "antenna"), aerial_in_file(aerial)),),
        )
        for aerial in box.antenna_places
    ) or (
        Remedy(
            "Mount an aerial outside the housing on proper coax; do not lengthen the wire tail",
            "" if value is None else f"{value:.0f} dB gained, less the coax",
        ),
    )
    yield Finding(
        "RCV-01",
        Link.RECEIVER,
        Verdict.FAILS,
        about,
        f"{receiver} has its aerial inside a steel housing: what it hears with the door closed is chance.",
        because=known,
        value=value,
        limit=0.0,
        unit="dB",
        margin=None if value is None else -value,
        doubt=None if value is None or pairs else 10.0,
        remedies=remedies,
        sources=sources,
        subjects=subjects,
    )


def _noise(radio: Radio, premises: str, receiver: str, house: Premises) -> Iterator[Finding]:
    """RCV-02: steady noise first, then bursts."""
    about, subjects = f"{premises}/{receiver}", (ReceiverRef(f"{premises}/{receiver}"),)
    needed = radio.needed(premises, receiver)
    if needed.own_floor_dbm is None:
        if needed.level_dbm is not None and house.noise_floor_dbm is not None:
            yield Finding(
                "RCV-02",
                Link.RECEIVER,
                Verdict.UNKNOWN,
                about,
                f"The noise floor of {house.noise_floor_dbm:.0f} dBm cannot be held against {receiver}: its"
                " bandwidth and noise figure are not known. See its data sheet.",
                sources=needed.sources,
                subjects=subjects,
            )
    elif needed.present_floor_dbm is not None and needed.level_dbm is not None:
        over = max(needed.present_floor_dbm - needed.own_floor_dbm, 0.0)
        doubt = 2.0 if needed.is_measured else 5.0
        margin = NOISE_LIMIT_DB - over
        verdict = Verdict.FAILS if margin < 0.0 else Verdict.THIN if margin < doubt else Verdict.HOLDS
        if verdict is Verdict.FAILS and not needed.is_measured:
            verdict = Verdict.THIN
        remedies: tuple[Remedy, ...] = ()
        if verdict is not Verdict.HOLDS:
            source = (
                "Measure the noise floor at the receiver with the lights and drives on and off; "
                if not needed.is_measured
                else "Switch off lamps, drives and supplies one by one and watch the noise floor; "
            )
            remedies = (Remedy(source + "move the aerial away from the source", f"up to {over:.0f} dB"),)
        yield Finding(
            "RCV-02",
            Link.RECEIVER,
            verdict,
            about,
            f"The noise at {receiver} lies {over:.0f} dB over its own: it needs {needed.level_dbm:.0f} dBm"
            " there.",
            because=(
                f"{needed.because}; own noise {needed.own_floor_dbm:.0f} dBm. The doubt is that of"
                f" {'a reading' if needed.is_measured else 'usual surroundings'}."
            ),
            value=over,
            limit=NOISE_LIMIT_DB,
            unit="dB",
            margin=margin,
            doubt=doubt,
            remedies=remedies,
            sources=(*needed.sources, _CHOICE),
            subjects=subjects,
        )
    bursts = house.noise_bursts_share
    if bursts is not None:
        margin = 100.0 * (BURSTS_LIMIT - bursts)
        verdict = Verdict.FAILS if margin < 0.0 else Verdict.THIN if margin < 1.0 else Verdict.HOLDS
        remedies = (
            ()
            if verdict is Verdict.HOLDS
            else (
                Remedy(
                    "Find the sender: note the times and the pause between bursts, then take a bearing with"
                    " the body as shield",
                    "never a stronger fob",
                ),
            )
        )
        yield Finding(
            "RCV-02",
            Link.RECEIVER,
            verdict,
            f"{about}, bursts",
            f"Others are on the channel {100.0 * bursts:.0f} % of the time at {receiver}.",
            because=(
                "A press that falls into a burst is lost. Thin within 10 % of the limit. A device of this"
                " band has no claim to a free channel."
            ),
            value=100.0 * bursts,
            limit=100.0 * BURSTS_LIMIT,
            unit="%",
            margin=margin,
            remedies=remedies,
            sources=(Citation("share of bursts in this job", mark=Mark.MEASURED), _CHOICE),
            subjects=subjects,
        )


def _unknown(radio: Radio, premises: str, receiver: str, house: Premises) -> Iterator[Finding]:
    """RCV-03: one finding with everything to ask."""
    asks = [gap.says for gap in radio.aerial(premises, receiver).gaps]
    if radio.needed(premises, receiver).level_dbm is None:
        asks.append(sensitivity_gap(receiver).says)
    if (
        house.surroundings is None
        and house.noise_floor_dbm is None
        and house.receivers[receiver].noise_floor_dbm is None
    ):
        asks.append(
            f"the surroundings of {premises} (city, business, residential, rural), or better its noise floor,"
            " measured"
        )
    asks += [gap.says for gap in radio.plan(premises).gaps]
    box = house.receivers[receiver]
    if box.level is not None and box.level not in house.levels:
        asks.append(f"level '{box.level}' of {receiver}: its floor and clear height")
    for name, place in house.places.items():
        if place.level is not None and place.level not in house.levels:
            asks.append(f"level '{place.level}' of {name}: its floor and clear height")
    about, subjects = f"{premises}/{receiver}", (ReceiverRef(f"{premises}/{receiver}"),)
    if asks:
        yield Finding(
            "RCV-03",
            Link.RECEIVER,
            Verdict.UNKNOWN,
            about,
            f"Not known yet at {receiver}: {'; '.join(dict.fromkeys(asks))}.",
            subjects=subjects,
        )
    else:
        yield Finding(
            "RCV-03",
            Link.RECEIVER,
            Verdict.HOLDS,
            about,
            f"Everything the prediction at {receiver} needs is known.",
            subjects=subjects,
        )


def _coax(radio: Radio, premises: str, receiver: str, box: Receiver) -> Iterator[Finding]:
    """RCV-04: only where an aerial hangs away from its receiver."""
    if box.antenna is None:
        return
    about, subjects = f"{premises}/{receiver}", (ReceiverRef(f"{premises}/{receiver}"),)
    aerial = radio.aerial(premises, receiver)
    if box.antenna.coax is None and not any(gap.kind.is_coax for gap in aerial.gaps):
        yield Finding(
            "RCV-04",
            Link.RECEIVER,
            Verdict.HOLDS,
            about,
            f"The aerial of {receiver} is plugged straight in: nothing is lost on coax.",
            because="It is drawn within 0.5 m of the receiver, without coax.",
            sources=(_CHOICE,),
            subjects=subjects,
        )
        return
    if not aerial.lines:
        gaps = gaps_text(gap for gap in aerial.gaps if gap.kind.is_coax)
        yield Finding(
            "RCV-04",
            Link.RECEIVER,
            Verdict.UNKNOWN,
            about,
            f"The loss behind the aerial of {receiver} is not known: {gaps}.",
            subjects=subjects,
        )
        return
    margin = COAX_LIMIT_DB - aerial.behind_db
    verdict = (
        Verdict.FAILS if margin < 0.0 else Verdict.THIN if margin < 0.1 * COAX_LIMIT_DB else Verdict.HOLDS
    )
    remedies = (
        () if verdict is Verdict.HOLDS else _better_coax(radio, premises, receiver, box, aerial.behind_db)
    )
    yield Finding(
        "RCV-04",
        Link.RECEIVER,
        verdict,
        about,
        f"{aerial.lines[0].says} cost {aerial.behind_db:.1f} dB between aerial and {receiver}.",
        because="Thin within 10 % of the limit. Every decibel here is one less on the way.",
        value=aerial.behind_db,
        limit=COAX_LIMIT_DB,
        unit="dB",
        margin=margin,
        remedies=remedies,
        sources=(*aerial.sources, _CHOICE),
        subjects=subjects,
    )


def _better_coax(
    radio: Radio, premises: str, receiver: str, box: Receiver, loss_db: float
) -> tuple[Remedy, ...]:
    """Other coaxes of the catalogue, the least loss first."""
    found: list[tuple[float, Remedy]] = []
    if box.antenna is None or box.antenna.coax is None:
        return ()
    for name in radio.case.equipment.coax_parts:
        other = box.antenna.model_copy(update={"coax": box.antenna.coax.model_copy(update={"part": name})})
        loss = radio.aerial_at(premises, receiver, other).behind_db
        if 0.0 < loss < loss_db - 0.5:
            found.append(
                (
                    loss,
                    Remedy(
                        f"{name} instead",
                        f"{loss:.1f} dB instead of {loss_db:.1f} dB",
                        (
                            Change(
                                ("premises", premises, "receivers", receiver, "antenna", "coax", "part"), name
                            ),
                        ),
                    ),
                )
            )
    return tuple(remedy for _, remedy in sorted(found, key=lambda one: one[0])[:3])
