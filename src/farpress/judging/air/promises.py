"""The air: whether each promise is kept between thumb and aerial, and what must not reach too far.

Radio reach is a chance, never a fence and never a safety function.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Final

import numpy as np

from farpress.case.case import Case, OutputAt, promise_id
from farpress.core.reach.entry import entry_loss_db
from farpress.core.reach.heard import presses_in_ten
from farpress.core.reach.indoor import indoor_loss
from farpress.core.reach.street import street_level_loss_db
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.job import Promise, Rule
from farpress.domain.premises import Place
from farpress.domain.refs import FunctionRef, OutputRef, PlaceRef, PlanRef, PromiseRef, ReceiverRef, Ref
from farpress.judging.air.advice import air_remedies, is_call
from farpress.judging.air.chance_words import percent, short_of
from farpress.judging.air.either import either_enough
from farpress.judging.check import AT_LEAST, AT_MOST, Answer, Check, Estimate, Limit
from farpress.phrases import listed
from farpress.reach.gaps import Gap, gaps_text
from farpress.reach.low_water import at_low_water
from farpress.reach.radio_budget import MODEL_SD_DB, READING_SD_DB, RadioLink
from farpress.reach.radio_link import Radio, radio_of
from farpress.reach.radio_readings import ReadingAt
from farpress.reach.radio_receiver import FREQUENCY_HZ
from farpress.reach.radio_scene import ground_height_m, point_end
from farpress.sources import Citation, Mark, cited

__all__ = ["KEPT", "NO_FENCE", "READING_FITS", "SIDE_OF_WALL", "judge"]

KEPT: Final = Check(
    "AIR-01",
    Link.AIR,
    "The chance that a promise is kept over the air, with the budget from fob to receiver line by line.",
    unit="%",
    bound=AT_LEAST,
    ask="Draw the place and what the function presses.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="An aerial outside, nearer or higher; a receiver nearer by; one press more promised.",
)
READING_FITS: Final = Check(
    "AIR-02",
    Link.AIR,
    "A level read on site against the prediction for that place.",
    unit="dB",
    bound=AT_MOST,
    advice=True,
    stake=Stake.DUTY,
    mends="The plan corrected: something on the way is not as drawn. The reading itself counts already.",
)
NO_FENCE: Final = Check(
    "AIR-03",
    Link.RULE,
    "A wish that a press must not work from somewhere, or beyond some distance: reach is not a fence.",
    unit="%",
    bound=AT_MOST,
    stake=Stake.HARM,
    who=Who.INSTALLER,
    mends="A second condition: door contact, loop, key switch or the panel's status; not a weaker aerial.",
)
SIDE_OF_WALL: Final = Check(
    "AIR-04",
    Link.AIR,
    "A place or an aerial that lies in the line of a wall: which side it is on decides.",
    who=Who.INSTALLER,
    minutes=2.0,
    mends="The point moved 10 cm to the side it is really on.",
)

FIT_SDS: Final = 2.0
"""Standard deviations that a reading may lie off its prediction; common practice, no source."""

_CHANNEL: Final = "how often others are on the channel"
_NOISE: Final = "the noise there"
_MEASURED_BY: Final = {
    _CHANNEL: "Measure how often others are on the channel at {receiver} (farpress listen reads a"
    " recording), or promise two presses.",
    _NOISE: "Measure the noise floor at {receiver}, in its bandwidth (farpress listen reads a recording).",
}
"""What nobody measured and may decide, and the measurement that settles it."""

NEVER_CERTAIN: Final = 1e-6
"""Least doubt of a chance held against certainty: no chance is certain."""

NEVER_SHARE: Final = 0.001
"""A press that works less often than this is as good as never heard: our choice."""

FAR_M: Final = 50.0
"""From here on open ground has a second opinion too: what stands on the way is seldom all drawn; ours."""

_RING: Final = 24
_NOT_A_FENCE: Final = Citation(
    "reach varies by tens of decibels with hand, car and weather", mark=Mark.PRACTICE
)


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about the air."""
    for number in range(len(case.job.promises)):
        yield from case.kept(("air", "promise", number), partial(_promised, case, number))
    yield from case.kept(("air", "readings"), lambda: tuple(_readings(case, radio_of(case))))
    for number, rule in enumerate(case.job.rules):
        if rule.never in ("works from", "works beyond"):
            yield from case.kept(("air", "rule", number), partial(_ruled, case, number))


def _promised(case: Case, number: int) -> tuple[Finding, ...]:
    """Of what floats at its highest and at its lowest: whichever is heard worse."""
    promise = case.job.promises[number]
    found = tuple(_promise(case, radio_of(case), promise))
    if not any(
        place.lowest_m is not None
        for house in case.job.premises.values()
        for name, place in house.places.items()
        if name == promise.from_.rsplit("/", 1)[-1]
    ):
        return found
    low = at_low_water(case)
    lowest = {
        finding.about: finding
        for finding in _promise(low, radio_of(low), promise, " at its lowest")
        if finding.code == KEPT.code
    }
    return tuple(_worse(finding, lowest.get(finding.about)) for finding in found)


def _worse(high: Finding, low: Finding | None) -> Finding:
    """What a promise is judged by; one that is not known is no better than one that is."""
    if low is None or high.code != low.code or high.value is None:
        return high
    return low if low.value is None or low.value < high.value else high


def _ruled(case: Case, number: int) -> tuple[Finding, ...]:
    return tuple(_reach_rule(case, radio_of(case), case.job.rules[number]))


def _promise(case: Case, radio: Radio, promise: Promise, stands: str = "") -> Iterator[Finding]:
    """One finding for each receiver that has to hear the promise, and one for each end in a wall; of
    receivers that do the same by a pulse the one that hears best is enough.

    Args:
        case, radio, promise: what is judged.
        stands: how high the place is meanwhile, in words after its name.
    """
    name = promise_id(promise)
    subjects = (PromiseRef(name),)
    outputs = {output.receiver_path: output for output in case.outputs_of(promise.function)}
    placed = {
        path: output for path, output in outputs.items() if _place_of(case, promise.from_, output) is not None
    }
    if not placed:
        what = f"place '{promise.from_}'" if outputs else f"output for '{promise.function}'"
        best, told = (None, "") if outputs else _as_if_drawn(radio, promise)
        told += f" So it is{stands}." if stands and told else ""
        yield KEPT.judge(
            about=name,
            subjects=subjects,
            says=f"There is no {what} in this job, so the way cannot be computed: draw it.{told}",
            value=Estimate(best),
            limit=Limit(100.0 * promise.at_least_share),
            asks=(f"Draw the {what} of the promise '{name}'.",),
            failure_stands=False,  # a receiver nearer to it may still be drawn
        )
        return
    placed, beside = either_enough(case, radio, promise, placed)
    for path, output in placed.items():
        location = _place_of(case, promise.from_, output)
        assert location is not None
        place = case.job.premises[location[0]].places[location[1]]
        about = name if len(placed) == 1 else f"{name} at {path}"
        touched = (*subjects, *((ReceiverRef(path),) if len(placed) > 1 else ()))
        if location[0] != output.premises:
            yield KEPT.judge(
                about=about,
                subjects=touched,
                says=f"{promise.from_} lies at other premises than {path}; their plans do not join, so the"
                " way cannot be computed.",
                value=Estimate(None),
                asks=(f"Promise '{name}' from a place at {output.premises}, or draw both on one plan.",),
            )
            continue
        place_path = "/".join(location)
        link = radio.link(
            group=promise.to,
            premises=output.premises,
            receiver=output.receiver,
            place=place,
            place_path=place_path,
        )
        found = _kept(radio, promise, output, place, place_path, about, touched, link, stands)
        yield replace(found, because=f"{found.because} {beside[path]}") if path in beside else found
        if link.path is not None and link.path.touches:
            walls = " and ".join(link.path.touches)
            side = "Move the point 10 cm to the side it is really on; the wall then counts or does not."
            yield SIDE_OF_WALL.decide(
                about=about,
                subjects=touched,
                says=f"{promise.from_} or the aerial of {path} lies in the line of a wall ({walls}); it"
                " counts as crossed.",
                because=side,
                answer=Answer.UNKNOWN,
                asks=(side,),
            )


def _as_if_drawn(radio: Radio, promise: Promise) -> tuple[float | None, str]:
    """How surely the receiver that hears it best would, were it drawn there [%], and in words.

    None and no words where it is not known of every receiver there.
    """
    case, found, settled = radio.case, [], True
    for premises, house in case.job.premises.items():
        location = case.place(promise.from_, premises)
        if location is None or location[0] != premises:
            continue
        for receiver in house.receivers:
            link = radio.link(
                group=promise.to,
                premises=premises,
                receiver=receiver,
                place=house.places[location[1]],
                place_path="/".join(location),
            )
            share = link.share(int(promise.within_presses))
            settled = (
                settled
                and share is not None
                and not _settling(link, int(promise.within_presses), promise.at_least_share)
            )
            if share is not None:
                found.append((share, receiver, link.share(1) or 0.0))
    if not found:
        return None, ""
    best = max(found)
    nearer = (
        " That is too seldom: draw a receiver nearer to it, or promise nothing from there."
        if best[0] < promise.at_least_share
        else ""
    )
    return (100.0 * best[0] if settled else None), (
        f" {best[1]} would hear it best: within {int(promise.within_presses)} presses in {percent(best[0])}"
        f" of cases, the first in {percent(best[2])}.{nearer}"
    )


def _place_of(case: Case, path: str, output: OutputAt) -> tuple[str, str] | None:
    return case.place(path, output.premises)


def _kept(
    radio: Radio,
    promise: Promise,
    output: OutputAt,
    place: Place,
    place_path: str,
    about: str,
    subjects: tuple[Ref, ...],
    link: RadioLink,
    stands: str,
) -> Finding:
    """AIR-01: the chance against the promised share."""
    presses = int(promise.within_presses)
    share, doubt = link.share(presses), link.doubt(presses)
    within = "one press" if presses == 1 else f"{presses} presses"
    wanted = promise.at_least_share
    head = f"{promise.function} from {promise.from_}{stands}"
    shut_in = radio.aerial(output.premises, output.receiver).is_shut_in
    is_known = share is not None and doubt is not None
    asks = [f"Find {gap.says}." for gap in link.gaps]
    if is_known and shut_in and not asks:
        asks = ["Measure the level with the housing closed: a closed steel housing cannot be predicted."]

    settling = _settling(link, presses, wanted)
    asks += [_MEASURED_BY[word].format(receiver=output.receiver) for word in settling]

    def says(verdict: Verdict) -> str:
        if share is None or doubt is None:
            return f"{head}: not computed yet. Missing: {gaps_text(link.gaps)}."
        chance = short_of(share, wanted)
        text = f"{head}: heard within {within} in {chance} of cases; {percent(wanted)} promised."
        if verdict is not Verdict.UNKNOWN:
            return text
        if link.gaps:
            return f"{text} Still to be known: {gaps_text(link.gaps)}."
        if settling:
            return f"{text} It hangs on {listed(settling)}, which nobody measured."
        return f"{text} A closed steel housing cannot be predicted: measure."

    if doubt is not None and wanted == 1.0:
        doubt = max(doubt, NEVER_CERTAIN)
    sanity, opinions = _sanity(link)
    taken = _taken(link, presses, wanted)
    return KEPT.judge(
        about=about,
        subjects=subjects,
        cause=ReceiverRef(output.receiver_path),
        says=says,
        because=_budget(link, presses) + taken + sanity,
        value=Estimate(
            100.0 * share if share is not None and is_known else None,
            None if doubt is None else 100.0 * doubt,
        ),
        limit=Limit(100.0 * wanted),
        asks=tuple(dict.fromkeys(asks)),
        failure_stands=not settling,
        remedies=lambda _: air_remedies(radio, promise, output, place, place_path, share or 0.0),
        stake=Stake.HARM if is_call(radio.case, output) else None,
        sources=link.sources + opinions,
    )


def _budget(link: RadioLink, presses: int) -> str:
    """The budget in lines of an installer: what is lost where, what is left, how sure."""
    lines = "; ".join(
        f"{line.says} {line.adds_db:+.1f}"
        f" {'dB' if number else 'dBm'}{f' (± {line.sd_db:.0f})' if line.sd_db else ''}"
        for number, line in enumerate(link.lines)
    )
    if link.level_dbm is None or link.needed_dbm is None or link.margin_db is None:
        return lines
    first = link.share(1)
    says = (
        f"{lines}. Level {link.level_dbm:.0f} dBm, needed {link.needed_dbm:.0f} dBm ({link.needed_because}):"
        f" margin {link.margin_db:.1f} dB, spread {link.spread_db:.1f} dB."
    )
    if first is not None and presses > 1:
        says += f" One press alone: {presses_in_ten(first)}."
    people = link.people()
    if people is not None:
        says += f" {int(10.0 * people + 1e-9)} of 10 people find 9 of 10 single presses heard."
    if link.notes:
        says += f" Note: {'; '.join(link.notes)}."
    return says


def _settling(link: RadioLink, presses: int, wanted: float) -> tuple[str, ...]:
    """Which measurements on site could still keep a promise that fails by values nobody measured; the
    first that could alone, else both together.
    """
    share, chosen = link.share(presses), link.chosen
    if share is None or share >= wanted:
        return ()
    open_still = [word for word, taken in zip(_MEASURED_BY, (chosen.bursts_share, chosen.noise_db)) if taken]
    for words in (*((word,) for word in open_still), tuple(open_still)):
        best = link.at_best(quiet_channel=_CHANNEL in words, quiet_site=_NOISE in words).share(presses)
        if words and best is not None and best >= wanted:
            return words
    return ()


def _taken(link: RadioLink, presses: int, wanted: float) -> str:
    """Why one press is not surer, where the channel and not the level is the reason; else how much of the
    time others may take where nobody measured it.
    """
    best, bursts = link.clear_share, link.chosen.bursts_share
    if link.margin_db is None or presses > 1:
        return ""
    if best < wanted:
        return (
            f" Others are on the channel {percent(1.0 - best)} of the time"
            f"{' (taken, none was measured)' if bursts else ''}: no single press is surer than"
            f" {percent(best)}, from however near; promise two presses."
        )
    share = link.share(1)
    if not bursts or share is None or share < wanted:
        return ""
    most = 1.0 - (1.0 - bursts) * wanted / share
    return (
        f" Others are taken to be on the channel {percent(bursts)} of the time, none was measured; up to"
        f" {percent(most)} would do."
    )


def _sanity(link: RadioLink) -> tuple[str, tuple[Citation, ...]]:
    """Second opinions from statistics, where their conditions are met: rooms, getting into a building, a
    street.
    """
    path = link.path
    if path is None or (len(path.terms) < 2 and path.distance_m < FAR_M):
        return "", ()
    if path.ends == "indoors" and 4.0 <= path.distance_m <= 30.0:
        peer = indoor_loss(
            environment="office out of sight", distance_m=path.distance_m, frequency_hz=FREQUENCY_HZ
        )
        return (
            (
                f" Beside it: offices without sight usually lose {peer.loss_db:.0f} dB ± {peer.sigma_db:.0f}"
                f" dB over this distance; this way {path.loss_db:.0f} dB."
            ),
            cited(indoor_loss),
        )
    extra = path.loss_db - path.terms[0].loss_db
    if path.ends == "into a building":
        half, most = (
            entry_loss_db(frequency_hz=FREQUENCY_HZ, share=share, building="traditional")
            for share in (0.5, 0.9)
        )
        return (
            (
                f" Beside it: getting into an older building usually costs {half:.0f} dB, in 9 of 10 places"
                f" less than {most:.0f} dB; here {extra:.0f} dB."
            ),
            cited(entry_loss_db),
        )
    if 5.0 <= path.distance_m <= 1000.0:
        street = street_level_loss_db(
            distance_m=path.distance_m, frequency_hz=FREQUENCY_HZ, share=0.5, surroundings="suburban"
        )
        return (
            (
                f" Beside it: along suburban streets, corners and all, {street:.0f} dB are usual over this"
                f" distance (made for 1.9 m and more, extrapolated); this way {path.loss_db:.0f} dB."
            ),
            cited(street_level_loss_db),
        )
    return "", ()


def _readings(case: Case, radio: Radio) -> Iterator[Finding]:
    """AIR-02: each level read on site beside its prediction."""
    for premises, house in case.job.premises.items():
        for receiver in house.receivers:
            for number, reading in enumerate(radio.readings(premises, receiver), start=1):
                if reading.read_dbm is not None:
                    yield _reading(case, ReceiverRef(f"{premises}/{receiver}"), number, reading)
            compared = {reading.place for reading in radio.readings(premises, receiver)}
            for place in _read_at(case, premises, receiver):
                if place not in compared:
                    yield _not_compared(case, ReceiverRef(f"{premises}/{receiver}"), place)


def _read_at(case: Case, premises: str, receiver: str) -> dict[str, None]:
    """Places from which a level was read at a receiver, at its aerial as it is."""
    places = [
        case.place(reading.place, premises)
        for reading in case.job.readings
        if reading.receiver == f"{premises}/{receiver}"
        and reading.level_dbm is not None
        and reading.aerial_at is None
    ]
    return {"/".join(place): None for place in places if place is not None}


def _not_compared(case: Case, receiver: ReceiverRef, place: str) -> Finding:
    """AIR-02 of a level beside which nothing can be predicted: whether it fits is not known."""
    promises = _promises_at(case, receiver, place)
    return READING_FITS.judge(
        about=f"{receiver} from {place}, not compared",
        subjects=(PlanRef(f"{receiver}/reading at {place}"), *(promises or (PlaceRef(place),))),
        cause=PlaceRef(place),
        says=f"At {place} a level was read; what it should be is not known.",
        because="Too little is known of the fob, the way or the receiver to predict it.",
        value=Estimate(None),
        limit=Limit(None),
        asks=(
            Ask(f"Say which part {receiver} is, and draw what stands between it and {place}.", Who.INSTALLER),
        ),
    )


def _reading(case: Case, receiver: ReceiverRef, number: int, reading: ReadingAt) -> Finding:
    apart = (reading.read_dbm or 0.0) - reading.predicted_dbm
    sd = math.sqrt(reading.local_sd_db**2 + MODEL_SD_DB**2 + READING_SD_DB**2)
    allowed = FIT_SDS * sd
    spread = (
        f"of {sd:.1f} dB (place {reading.local_sd_db:.1f}, model {MODEL_SD_DB:g}, reading {READING_SD_DB:g})"
    )
    is_within = abs(apart) <= allowed
    promises = _promises_at(case, receiver, reading.place)
    return READING_FITS.judge(
        about=f"{receiver} from {reading.place}, reading {number}",
        subjects=(PlanRef(f"{receiver}/reading {number}"), *(promises or (PlaceRef(reading.place),))),
        cause=PlaceRef(reading.place),
        says=f"At {reading.place} the level read is {reading.read_dbm:.0f} dBm, {abs(apart):.0f} dB"
        f" {'above' if apart >= 0 else 'below'} the prediction of {reading.predicted_dbm:.0f} dBm.",
        because=f"{'Within' if is_within else 'More than'} {FIT_SDS:g} standard deviations {spread}"
        f"{'' if is_within else ': something on the way is not as drawn'}. The reading moves every prediction"
        " at this receiver.",
        value=Estimate(abs(apart), None, (Citation("readings of this job", mark=Mark.MEASURED),)),
        limit=Limit(allowed, (Citation("spread of model and readings", mark=Mark.CHOICE),)),
    )


def _promises_at(case: Case, receiver: ReceiverRef, place: str) -> tuple[PromiseRef, ...]:
    refs: list[PromiseRef] = []
    for promise in case.job.promises:
        location = case.place(promise.from_, str(receiver.premises))
        function = case.job.functions.get(promise.function)
        if (
            location is not None
            and "/".join(location) == place
            and function
            and any(OutputRef(path).receiver == receiver for path in function.paths)
        ):
            refs.append(PromiseRef(promise_id(promise)))
    return tuple(dict.fromkeys(refs))


def _reach_rule(case: Case, radio: Radio, rule: Rule) -> Iterator[Finding]:
    """AIR-03: the best chance among groups, outputs and points where it must not work."""
    for function in rule.of:
        outputs = case.outputs_of(function)
        groups = [name for name, _ in case.groups_with(function)]
        spots = [(output, *spot) for output in outputs for spot in _spots(case, rule, output)]
        # `spots`: output, point's name, place
        chances: list[tuple[float, str, str, RadioLink]] = []
        gaps: list[Gap] = []
        for output, name, place in spots:
            for group in groups:
                link = radio.link(
                    group=group,
                    premises=output.premises,
                    receiver=output.receiver,
                    place=place,
                    place_path=f"{output.premises}/{name}",
                    pressed="in hand",
                    there=(),
                )
                share = link.share(1)
                gaps += link.gaps
                if share is not None:
                    chances.append((share, name, group, link))
        lacks = _lacks(
            case, function, has_outputs=bool(outputs), has_groups=bool(groups), has_spots=bool(spots)
        )
        yield _fence(rule, function, chances, gaps, "" if not rule.from_ and not spots else lacks)


def _spots(case: Case, rule: Rule, output: OutputAt) -> list[tuple[str, Place]]:
    """Where it must not work: the named places, or a ring just beyond the distance."""
    house = output.house
    places = [place for path in rule.from_ for place in case.places_on_plan(path, output.premises)]
    if rule.never == "works from":
        return [(name, case.job.premises[where].places[name]) for where, name in places]
    if rule.distance_m is None:
        return []
    centres: list[tuple[float, ...]] = [case.job.premises[where].places[name].at for where, name in places]
    if not centres:
        works = case.driven(output.premises, output.works[0]) if output.works else None
        centres = [works.at] if works is not None and works.at is not None else [output.box.at]
    spots = []
    for centre in centres:
        for step in range(_RING):
            angle = 2.0 * np.pi * step / _RING
            x, y = (
                centre[0] + rule.distance_m * float(np.sin(angle)),
                centre[1] + rule.distance_m * float(np.cos(angle)),
            )
            point = (x, y, ground_height_m(house, x, y) + 1.2)
            if point_end(house, point, None, default_m=None) is not None:
                spots.append(
                    (f"{rule.distance_m:g} m away at ({x:.0f}, {y:.0f})", Place.model_validate({"at": point}))
                )
    return spots


_SECOND_CONDITION: Final = (
    Remedy("A second condition beside the press: a loop, door contact or key switch"),
    Remedy("An input that only opens, with tested safeguards, so that a press from afar does no harm"),
)


def _lacks(case: Case, function: str, *, has_outputs: bool, has_groups: bool, has_spots: bool) -> str:
    """What a rule about reach is not told, as "an output for 'gate'"."""
    if not has_outputs:
        return f"an output for '{function}'" if function in case.job.functions else "what works it"
    if not has_groups:
        return f"a group that has '{function}' on a button"
    return "" if has_spots else "a plan that shows its places and the receiver together ('on_plan_of')"


def _fence(
    rule: Rule,
    function: str,
    chances: list[tuple[float, str, str, RadioLink]],
    gaps: list[Gap],
    lacks: str = "",
) -> Finding:
    where = f"{rule.distance_m:g} m" if rule.distance_m is not None else ", ".join(rule.from_)
    about = f"{function}: never {rule.never} {where}".rstrip()
    subjects = (FunctionRef(function), *(PlaceRef(place) for place in rule.from_))
    if not chances:
        missing = gaps_text(gaps) or lacks or "a place or a distance where it must not work"
        return NO_FENCE.judge(
            about=about,
            subjects=subjects,
            says=f"{function}: whether it works where it must not is not computed yet. Missing: {missing}.",
            value=Estimate(None),
            limit=Limit(100.0 * NEVER_SHARE, (_NOT_A_FENCE,)),
            asks=(f"Find {missing}.",),
        )
    share, name, group, link = max(chances, key=lambda chance: chance[0])
    doubt = link.doubt(1)
    spot = name if rule.never == "works beyond" else f"from {name}"
    words = {
        True: f"{function} {spot}: a press by {group} is hardly ever heard ({percent(share)}), but reach is"
        " not a fence and may grow.",
        False: f"{function} {spot}: a press by {group} is heard in {percent(share)} of cases, and must"
        " never be.",
    }
    is_hardly_heard = share < NEVER_SHARE
    signed = f"Accepted as it is: {rule.signed}. " if rule.signed and not is_hardly_heard else ""
    check = replace(NO_FENCE, advice=True) if signed else NO_FENCE
    return check.judge(
        about=about,
        subjects=subjects,
        says=words[is_hardly_heard],
        because=f"{signed}A greatest distance cannot be promised by radio, nor by a weaker aerial."
        f" {_budget(link, 1)}",
        remedies=_SECOND_CONDITION,
        value=Estimate(100.0 * share, max(100.0 * (doubt or 0.0), 100.0 * NEVER_SHARE)),
        limit=Limit(100.0 * NEVER_SHARE, (_NOT_A_FENCE,)),
        sources=link.sources,
    )
