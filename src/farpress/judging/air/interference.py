"""Judges what runs at times and fills the channel: welders, diathermy, drives.

A promise has to be kept then too: heard as surely as promised, over that noise. A level read stands before
one predicted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case, OutputAt, promise_id
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.interference import Interferer
from farpress.domain.job import Promise
from farpress.domain.refs import PlanRef, PromiseRef, ReceiverRef
from farpress.judging.air.advice import WIRED_CALL, is_call
from farpress.judging.air.chance_words import percent, short_of
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit
from farpress.reach.radio_budget import READING_SD_DB, RadioLink
from farpress.reach.radio_link import Radio, bursts_at, radio_of
from farpress.reach.radio_readings import ReadingAt, level_link
from farpress.sources import Citation, Mark

__all__ = ["OVER_NOISE", "judge"]

OVER_NOISE: Final = Check(
    "AIR-09",
    Link.AIR,
    "The chance that a promise is kept while something runs that makes noise at the receiver.",
    unit="%",
    bound=AT_LEAST,
    ask="Measure the noise at the receiver while it runs.",
    who=Who.METER,
    minutes=15.0,
    mends="The source found and silenced, an aerial nearer and away from it, or a wire.",
)

_READ: Final = Citation("levels read on site", mark=Mark.MEASURED)
_GIVEN: Final = Citation("noise measured while it runs", mark=Mark.MEASURED)


def judge(case: Case) -> Iterator[Finding]:
    """AIR-09 of each promise at premises where something runs at times."""
    if not any(house.interference for house in case.job.premises.values()):
        return
    radio = radio_of(case)
    for promise in case.job.promises:
        outputs = {output.receiver_path: output for output in case.outputs_of(promise.function)}
        for output in outputs.values():
            where = case.place(promise.from_, output.premises)
            if where is None or where[0] != output.premises:
                continue
            for name, source in case.job.premises[output.premises].interference.items():
                if not source.at or output.receiver in source.at:
                    knows_noise = source.noise_dbm is not None or source.bursts_share is not None
                    if not knows_noise and source.telegram_s and source.every_s:
                        continue  # its pauses leave room: in the link itself, and see `held_through`
                    yield _judged(case, radio, promise, output, "/".join(where), name, source)


def _judged(
    case: Case,
    radio: Radio,
    promise: Promise,
    output: OutputAt,
    place_path: str,
    name: str,
    source: Interferer,
) -> Finding:
    receiver = ReceiverRef(output.receiver_path)
    over_db = case.equipment.receivers[receiver.path].sheet.over_noise_db
    asks: list[Ask] = []
    if source.sends and source.noise_dbm is None:
        asks.append(Ask(f"Count how long a telegram of {name} is, and how often it comes.", Who.METER, 15.0))
    elif source.noise_dbm is None:
        asks.append(Ask(f"Measure the noise at {receiver.name} while {name} runs.", Who.METER, 15.0))
    if source.hours and source.bursts_share is None:
        says = f"Measure which share of time the channel is taken at {receiver.name} from {source.hours}."
        asks.append(Ask(says, Who.METER, 60.0))
    if over_db is None:
        asks.append(Ask(f"Find how far over the noise {receiver.name} needs a press, in its data sheet."))
    needed = None if source.noise_dbm is None or over_db is None else source.noise_dbm + over_db
    link, heard, sources = _link(radio, promise, output, place_path)
    presses, wanted = int(promise.within_presses), promise.at_least_share
    when = f" ({source.at_what_times})" if source.at_what_times else ""
    head = f"{promise.function} from {promise.from_} while {name} runs{when}:"
    share: float | None = None
    doubt: float | None = None
    if link.level_dbm is None:
        says = f"{head} the level there is not known."
    elif needed is None:
        says = f"{head} {heard}; what is needed then is not known."
    else:
        loud = _taken(_over(link, needed), source.bursts_share, *bursts_at(output.house, output.receiver))
        share, doubt = loud.share(presses), loud.doubt(presses)
        short = link.level_dbm - needed
        apart = f"{abs(short):.0f} dB {'too few' if short < 0 else 'to spare'}"
        within = "one press" if presses == 1 else f"{presses} presses"
        says = (
            f"{head} {heard}, {needed:.0f} dBm are needed, {apart}: heard within {within} in"
            f" {short_of(share or 0.0, wanted)} of cases; {percent(wanted)} promised."
        )
        if source.bursts_share:
            says += f" The channel is taken for {percent(source.bursts_share)} of the time then."
    is_help = is_call(case, output)
    return OVER_NOISE.judge(
        about=f"{promise_id(promise)} at {receiver.path} while {name} runs",
        subjects=(PromiseRef(promise_id(promise)), receiver, PlanRef(f"{output.premises}/{name}")),
        cause=receiver,
        value=Estimate(
            None if share is None else 100.0 * share, None if doubt is None else 100.0 * doubt, sources
        ),
        limit=Limit(100.0 * wanted, (_GIVEN, *case.equipment.receivers[receiver.path].cite("over_noise_db"))),
        says=says,
        because=""
        if needed is None
        else f"Noise {source.noise_dbm:.0f} dBm then, and {over_db:g} dB over it. What is counted or read"
        " while it stands still says nothing of these hours.",
        asks=asks,
        remedies=(
            *((WIRED_CALL,) if is_help else ()),
            Remedy(f"Do not rely on it while {name} runs, and say so on the card"),
            Remedy(f"Have {name} suppressed, or move the aerial away from it, and read the noise again"),
        ),
        stake=Stake.HARM if is_help else None,
    )


def _over(link: RadioLink, needed_dbm: float) -> RadioLink:
    """The same link over a noise that was measured: no doubt of it, and never less needed than in quiet."""
    quiet = link.at_best(quiet_channel=False, quiet_site=True)
    least = needed_dbm if quiet.needed_dbm is None else max(needed_dbm, quiet.needed_dbm)
    return replace(quiet, needed_dbm=least)


def _taken(link: RadioLink, then: float | None, usual: float, is_measured: bool) -> RadioLink:
    """The same link with the share of bursts of then, never less than that of all hours where that was
    measured.
    """
    if then is None or usual >= 1.0:
        return link
    share = max(then, usual) if is_measured else then
    return replace(link, clear_share=link.clear_share / (1.0 - usual) * (1.0 - share))


def _link(
    radio: Radio, promise: Promise, output: OutputAt, place_path: str
) -> tuple[RadioLink, str, tuple[Citation, ...]]:
    """The link with the weakest level read there, else the one predicted; what is said of it; sources."""
    link = radio.link(
        group=promise.to,
        premises=output.premises,
        receiver=output.receiver,
        place=output.house.places[place_path.partition("/")[2]],
        place_path=place_path,
    )
    read = [
        reading
        for reading in radio.readings(output.premises, output.receiver)
        if reading.place == place_path and reading.read_dbm is not None
    ]
    if not read:
        said = "" if link.level_dbm is None else f"{link.level_dbm:.0f} dBm are predicted"
        return link, said, link.sources
    weakest = min(read, key=lambda reading: reading.read_dbm or 0.0)
    assert weakest.read_dbm is not None
    return level_link(link, weakest.read_dbm), _as_read(weakest), (_READ,)


def _as_read(reading: ReadingAt) -> str:
    assert reading.read_dbm is not None
    apart = reading.predicted_dbm - reading.read_dbm
    beside = ""
    if abs(apart) >= READING_SD_DB:
        beside = (
            f" (the prediction alone said {reading.predicted_dbm:.0f} dBm, {abs(apart):.0f} dB"
            f" {'more' if apart > 0 else 'less'}; the reading counts)"
        )
    return f"{reading.read_dbm:.0f} dBm were read{beside}"
