"""The radio side of each receiver: its housing, the noise round it, the coax behind its aerial.

Contacts, supply and memory are judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.core.reach.aerial import slot_shielding_db
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Verdict, Who
from farpress.domain.premises import Premises, Receiver
from farpress.domain.refs import ReceiverRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.reach.aerial_edits import aerial_edits
from farpress.reach.gaps import gaps_text, sensitivity_gap
from farpress.reach.radio_link import Radio, radio_of
from farpress.reach.radio_receiver import FREQUENCY_HZ
from farpress.sources import Citation, Mark, cited

__all__ = ["BURSTS", "COAX", "HOUSING", "NOISE", "RADIO_SIDE_KNOWN", "judge"]

_PRACTICE: Final = Citation("closed steel holds back 20 dB to 40 dB", mark=Mark.PRACTICE)
_CHOICE: Final = Citation("limit of this finding", mark=Mark.CHOICE)

HOUSING: Final = Check(
    "RCV-01",
    Link.RECEIVER,
    "A receiver in a steel housing: where its aerial is.",
    unit="dB",
    ask="Read the level at one place with the door of the housing open and closed.",
    who=Who.METER,
    minutes=10.0,
    mends="An aerial outside the housing, on proper coax.",
)
NOISE: Final = Check(
    "RCV-02",
    Link.RECEIVER,
    "The noise where a receiver is mounted against the noise its sensitivity was stated for.",
    unit="dB",
    bound=AT_MOST,
    limit=Limit(
        6.0, (Citation("noise over the receiver's own: half the reach over open ground", mark=Mark.CHOICE),)
    ),
    ask="Find bandwidth and noise figure of the receiver, in its data sheet.",
    mends="The aerial away from the source of noise, or the source out of the house.",
)
RADIO_SIDE_KNOWN: Final = Check(
    "RCV-03",
    Link.RECEIVER,
    "What is not known about a receiver's radio side: surroundings, heights, levels, data sheet values.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="The values it asks for.",
)
COAX: Final = Check(
    "RCV-04",
    Link.RECEIVER,
    "The loss of coax and connectors between aerial and receiver.",
    unit="dB",
    bound=AT_MOST,
    limit=Limit(
        6.0,
        (Citation("loss behind the aerial: beyond it the way up is spent on the cable", mark=Mark.CHOICE),),
    ),
    ask="Say which coax leads to the aerial, and how long it is.",
    who=Who.INSTALLER,
    mends="Coax that loses less, or an aerial nearer by.",
)
BURSTS: Final = Check(
    "RCV-05",
    Link.RECEIVER,
    "How much of the time others are on the channel where a receiver is mounted.",
    unit="%",
    bound=AT_MOST,
    limit=Limit(
        10.0, (Citation("share of time others may take: every tenth press is lost", mark=Mark.CHOICE),)
    ),
    mends="The sender found; never a stronger fob.",
)

READ_NOISE_SD_DB: Final = 2.0
"""Standard uncertainty of a noise floor that was read; our choice."""

USUAL_NOISE_SD_DB: Final = 5.0
"""Standard uncertainty of the noise of usual surroundings; our choice."""

SLOT_SD_DB: Final = 10.0
"""Resonances move what a slot lets through by so much and more; common practice, no source."""


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
    ref = ReceiverRef(f"{premises}/{receiver}")
    if box.antenna is not None and not radio.aerial(premises, receiver).is_shut_in:
        yield HOUSING.decide(
            about=ref.path,
            subjects=(ref,),
            says=f"{receiver} stands in steel, its aerial outside: the housing does not matter.",
            because="Keep the coax tail at the receiver as delivered.",
            answer=Answer.YES,
            sources=(_PRACTICE,),
        )
        return
    pairs = radio.shielding_readings(premises, receiver)
    sources: tuple[Citation, ...] = (_PRACTICE,)
    value: float | None = None
    known = (
        "Closed steel usually costs 20 dB to 40 dB. Read the level at one place with the door open and"
        " closed."
    )
    if pairs:
        value = sum(pairs) / len(pairs)
        known = f"Read on site, the closed housing costs {value:.0f} dB."
        sources = (Citation("readings of this job", mark=Mark.MEASURED),)
    elif box.slot_m:
        value = slot_shielding_db(slot_m=box.slot_m, frequency_hz=FREQUENCY_HZ)
        known = (
            f"Its longest slot of {box.slot_m * 1000:.0f} mm would let it cost about {value:.0f} dB;"
            f" resonances move that by {SLOT_SD_DB:g} dB and more."
        )
        sources = (*cited(slot_shielding_db), _PRACTICE)
    gained = "" if value is None else f"{value:.0f} dB gained, less the coax"
    remedies = tuple(
        Remedy(
            f"Aerial {aerial.part} outside at ({', '.join(f'{number:g}' for number in aerial.at)})",
            gained or "the housing no longer counts",
            aerial_edits(radio.case, premises, receiver, aerial),
        )
        for aerial in box.antenna_places
    ) or (
        Remedy("Mount an aerial outside the housing on proper coax; do not lengthen the wire tail", gained),
    )
    yield HOUSING.decide(
        about=ref.path,
        subjects=(ref,),
        says=f"{receiver} has its aerial inside a steel housing: what it hears with the door closed is"
        " chance.",
        because=known,
        answer=Answer.NO,
        value=value,
        limit=0.0,
        remedies=remedies,
        sources=sources,
    )


def _noise(radio: Radio, premises: str, receiver: str, house: Premises) -> Iterator[Finding]:
    """RCV-02 and RCV-05: steady noise first, then bursts."""
    ref = ReceiverRef(f"{premises}/{receiver}")
    needed = radio.needed(premises, receiver)
    if needed.own_floor_dbm is None:
        if needed.level_dbm is not None and house.noise_floor_dbm is not None:
            yield NOISE.judge(
                about=ref.path,
                subjects=(ref,),
                says=f"The noise floor of {house.noise_floor_dbm:.0f} dBm cannot be held against {receiver}:"
                " its bandwidth and noise figure are not known. See its data sheet.",
                value=Estimate(None),
                sources=needed.sources,
            )
    elif needed.present_floor_dbm is not None and needed.level_dbm is not None:
        over = max(needed.present_floor_dbm - needed.own_floor_dbm, 0.0)
        doubt = READ_NOISE_SD_DB if needed.is_measured else max(needed.usual_sd_db, USUAL_NOISE_SD_DB)
        is_close = not needed.is_measured and NOISE.word(over, doubt=doubt) is not Verdict.HOLDS
        ask = Ask(f"Measure the noise floor at {ref} with the lights and drives on and off.", Who.METER, 15.0)
        yield NOISE.judge(
            about=ref.path,
            subjects=(ref,),
            says=f"The noise at {receiver} lies {over:.0f} dB over its own: it needs"
            f" {needed.level_dbm:.0f} dBm there.",
            because=f"{needed.because}; own noise {needed.own_floor_dbm:.0f} dBm. The doubt is that of"
            f" {'a reading' if needed.is_measured else 'usual surroundings'}.",
            value=Estimate(over, doubt),
            asks=(ask,) if is_close else (),
            failure_stands=False,
            remedies=(
                Remedy(
                    "Switch off lamps, drives and supplies one by one and watch the noise floor; move the"
                    " aerial away from the source",
                    f"up to {over:.0f} dB",
                ),
            ),
            sources=needed.sources,
        )
    own = house.receivers[receiver].noise_bursts_share
    taken = own if own is not None else house.noise_bursts_share
    if taken is not None:
        share = 100.0 * taken
        yield BURSTS.judge(
            about=ref.path,
            subjects=(ref,),
            says=f"Others are on the channel {share:.0f} % of the time at {receiver}.",
            because="A press that falls into a burst is lost. A device of this band has no claim to a free"
            " channel.",
            value=Estimate(share, None, (Citation("share of bursts in this job", mark=Mark.MEASURED),)),
            remedies=(
                Remedy(
                    "Find the sender: note the times and the pause between bursts, then take a bearing with"
                    " the body as shield",
                    "never a stronger fob",
                ),
            ),
        )


def _unknown(radio: Radio, premises: str, receiver: str, house: Premises) -> Iterator[Finding]:
    """RCV-03: one finding with everything to ask."""
    box = house.receivers[receiver]
    asks = [gap.says for gap in radio.aerial(premises, receiver).gaps]
    if radio.needed(premises, receiver).level_dbm is None:
        asks.append(sensitivity_gap(receiver).says)
    if house.surroundings is None and house.noise_floor_dbm is None and box.noise_floor_dbm is None:
        asks.append(
            f"the surroundings of {premises} (city, business, residential, rural), or better its noise floor,"
            " measured"
        )
    asks += [gap.says for gap in radio.plan_gaps(premises)]
    if box.level is not None and box.level not in house.levels:
        asks.append(f"level '{box.level}' of {receiver}: its floor and clear height")
    for name, place in house.places.items():
        if place.level is not None and place.level not in house.levels:
            asks.append(f"level '{place.level}' of {name}: its floor and clear height")
    ref = ReceiverRef(f"{premises}/{receiver}")
    missing = tuple(dict.fromkeys(asks))
    yield RADIO_SIDE_KNOWN.decide(
        about=ref.path,
        subjects=(ref,),
        says=f"Not known yet at {receiver}: {'; '.join(missing)}."
        if missing
        else f"Everything the prediction at {receiver} needs is known.",
        answer=Answer.of(not missing or None),
        asks=tuple(f"Find {ask}." for ask in missing),
    )


def _coax(radio: Radio, premises: str, receiver: str, box: Receiver) -> Iterator[Finding]:
    """RCV-04: only where an aerial hangs away from its receiver."""
    if box.antenna is None:
        return
    ref = ReceiverRef(f"{premises}/{receiver}")
    aerial = radio.aerial(premises, receiver)
    if box.antenna.coax is None and not any(gap.kind.is_coax for gap in aerial.gaps):
        yield COAX.decide(
            about=ref.path,
            subjects=(ref,),
            says=f"The aerial of {receiver} is plugged straight in: nothing is lost on coax.",
            because="It is drawn within 0.5 m of the receiver, without coax.",
            answer=Answer.YES,
            sources=(_CHOICE,),
        )
        return
    gaps = gaps_text(gap for gap in aerial.gaps if gap.kind.is_coax)
    is_known = bool(aerial.lines)
    yield COAX.judge(
        about=ref.path,
        subjects=(ref,),
        says=f"{aerial.lines[0].says} cost {aerial.behind_db:.1f} dB between aerial and {receiver}."
        if is_known
        else f"The loss behind the aerial of {receiver} is not known: {gaps}.",
        because="Every decibel here is one less on the way." if is_known else "",
        value=Estimate(aerial.behind_db if is_known else None, None, tuple(aerial.sources)),
        remedies=lambda _: _better_coax(radio, premises, receiver, box, aerial.behind_db),
    )


def _better_coax(
    radio: Radio, premises: str, receiver: str, box: Receiver, loss_db: float
) -> tuple[Remedy, ...]:
    """Other coaxes of the catalogue, the least loss first."""
    better_ones: list[tuple[float, Remedy]] = []
    if box.antenna is None or box.antenna.coax is None:
        return ()
    for name in radio.case.equipment.coax_parts:
        other = box.antenna.model_copy(update={"coax": box.antenna.coax.model_copy(update={"part": name})})
        loss = radio.aerial_at(premises, receiver, other).behind_db
        if 0.0 < loss < loss_db - 0.5:
            better_ones.append(
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
    return tuple(remedy for _, remedy in sorted(better_ones, key=lambda better: better[0])[:3])
