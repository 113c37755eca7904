"""The air: whether each promise is kept between thumb and aerial, and what must not reach too far.

Radio reach is a chance, never a fence and never a safety function.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from farpress.case.case import Case, OutputAt, promise_id
from farpress.core.reach.entry import entry_loss_db
from farpress.core.reach.heard import presses_in_ten
from farpress.core.reach.indoor import indoor_loss
from farpress.core.reach.street import street_level_loss_db
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.job import Promise, Rule
from farpress.domain.premises import Place
from farpress.domain.refs import FunctionRef, PlaceRef, PromiseRef, Ref
from farpress.reach.air_remedies import remedies_for
from farpress.reach.gaps import Gap, gaps_text
from farpress.reach.radio_budget import MODEL_SD_DB, READING_SD_DB, RadioLink
from farpress.reach.radio_link import Radio, radio_of
from farpress.reach.radio_scene import ground_height_m, point_end
from farpress.sources import Citation, Mark, cited

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "AIR-01": (
        "The chance that a promise is kept over the air, with the budget from fob to receiver line by line."
    ),
    "AIR-02": "A level read on site against the prediction for that place.",
    "AIR-03": (
        "A wish that a press must not work from somewhere, or beyond some distance: reach is not a fence."
    ),
    "AIR-04": "A place or an aerial that lies in the line of a wall: which side it is on decides.",
}

NEVER_SHARE: Final = 0.001
"""A press that works less often than this is as good as never heard: our choice."""

_RING: Final = 24
_NOT_A_FENCE: Final = Citation(
    "reach varies by tens of decibels with hand, car and weather", mark=Mark.PRACTICE
)


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about the air."""
    radio = radio_of(case)
    for promise in case.job.promises:
        yield from _promise(case, radio, promise)
    yield from _readings(case, radio)
    for rule in case.job.rules:
        if rule.never in ("works from", "works beyond"):
            yield from _reach_rule(case, radio, rule)


def _promise(case: Case, radio: Radio, promise: Promise) -> Iterator[Finding]:
    """One finding for each receiver that has to hear the promise, and one for each end in a wall."""
    id_ = promise_id(promise)
    outputs = {output.receiver_path: output for output in case.outputs_of(promise.function)}
    placed = {
        path: output for path, output in outputs.items() if _place_of(case, promise.from_, output) is not None
    }
    if not placed:
        what = f"place '{promise.from_}'" if outputs else f"output for '{promise.function}'"
        yield Finding(
            "AIR-01",
            Link.AIR,
            Verdict.UNKNOWN,
            id_,
            f"There is no {what} in this job, so the way cannot be computed: draw it.",
            subjects=(PromiseRef(id_),),
        )
        return
    for path, output in placed.items():
        at = _place_of(case, promise.from_, output)
        assert at is not None
        place = case.job.premises[at[0]].places[at[1]]
        about = id_ if len(placed) == 1 else f"{id_} at {path}"
        if at[0] != output.premises:
            yield Finding(
                "AIR-01",
                Link.AIR,
                Verdict.UNKNOWN,
                about,
                f"{promise.from_} lies at other premises than {path}; their plans do not join, so the way"
                " cannot be computed.",
                subjects=(PromiseRef(id_),),
            )
            continue
        link = radio.link(
            group=promise.to,
            premises=output.premises,
            receiver=output.receiver,
            place=place,
            place_path=f"{at[0]}/{at[1]}",
        )
        yield _kept(radio, promise, output, place, f"{at[0]}/{at[1]}", about, link)
        if link.path is not None and link.path.touches:
            walls = " and ".join(link.path.touches)
            yield Finding(
                "AIR-04",
                Link.AIR,
                Verdict.UNKNOWN,
                about,
                f"{promise.from_} or the aerial of {path} lies in the line of a wall ({walls}); it counts as"
                " crossed.",
                because="Move the point 10 cm to the side it is really on; the wall then counts or does not.",
                subjects=(PromiseRef(id_),),
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
    link: RadioLink,
) -> Finding:
    """AIR-01: the chance against the promised share."""
    presses = int(promise.within_presses)
    share, doubt = link.share(presses), link.doubt(presses)
    within = "one press" if presses == 1 else f"{presses} presses"
    wanted = promise.at_least_share
    head = f"{promise.function} from {promise.from_}"
    shut_in = radio.aerial(output.premises, output.receiver).is_shut_in
    remedies: tuple[Remedy, ...] = ()
    if share is None or doubt is None:
        verdict, says = Verdict.UNKNOWN, f"{head}: not computed yet. Missing: {gaps_text(link.gaps)}."
    else:
        says = (
            f"{head}: heard within {within} in {_short_of(share, wanted)} of cases; {_percent(wanted)}"
            " promised."
        )
        verdict = (
            Verdict.FAILS if share < wanted else Verdict.HOLDS if share - wanted >= doubt else Verdict.THIN
        )
        if verdict is Verdict.HOLDS and wanted == 1.0:
            verdict = Verdict.THIN
        if verdict is not Verdict.FAILS and (link.gaps or shut_in):
            verdict = Verdict.UNKNOWN
            says += (
                f" Still to be known: {gaps_text(link.gaps)}."
                if link.gaps
                else " A closed steel housing cannot be predicted: measure."
            )
        if verdict is not Verdict.HOLDS:
            remedies = remedies_for(radio, promise, output, place, place_path, share)
    sanity, opinions = _sanity(link)
    return Finding(
        "AIR-01",
        Link.AIR,
        verdict,
        about,
        says,
        because=_budget(link, presses) + sanity,
        value=None if share is None else 100.0 * share,
        limit=100.0 * wanted,
        unit="%",
        margin=None if share is None else 100.0 * (share - wanted),
        doubt=None if doubt is None else 100.0 * doubt,
        remedies=remedies,
        sources=link.sources + opinions,
        subjects=(PromiseRef(promise_id(promise)),),
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


def _sanity(link: RadioLink) -> tuple[str, tuple[Citation, ...]]:
    """Second opinions from statistics, where their conditions are met: rooms, getting into a building, a
    street.
    """
    path = link.path
    if path is None or len(path.terms) < 2:
        return "", ()
    if path.ends == "indoors" and 4.0 <= path.distance_m <= 30.0:
        peer = indoor_loss(
            environment="office out of sight", distance_m=path.distance_m, frequency_hz=433.92e6
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
            entry_loss_db(frequency_hz=433.92e6, share=share, building="traditional") for share in (0.5, 0.9)
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
            distance_m=path.distance_m, frequency_hz=433.92e6, share=0.5, surroundings="suburban"
        )
        return (
            (
                f" Beside it: along suburban streets, corners and all, {street:.0f} dB are usual over this"
                f" distance (made for 1.9 m and more, extrapolated); this way {path.loss_db:.0f} dB."
            ),
            cited(street_level_loss_db),
        )
    return "", ()


def _percent(share: float) -> str:
    """Per cent, with a decimal where it matters, never rounded up to certainty."""
    if share > 0.995:
        return f"{int(share * 1000.0 + 1e-9) / 10.0:g} %" if share < 1.0 else "100 %"
    return f"{100.0 * share:.0f} %" if share >= 0.005 else f"{100.0 * share:.1f} %"


def _short_of(share: float, wanted: float) -> str:
    """Per cent; a share just below what is wanted is never written as if it were enough.

    >>> _short_of(0.9496, 0.95), _short_of(0.949996, 0.95), _short_of(0.96, 0.95)
    ('94.9 %', '94.9 %', '96 %')
    """
    if share >= wanted or _percent(share) != _percent(wanted):
        return _percent(share)
    for digits in range(1, 7):
        cut = math.floor(share * 10.0 ** (2 + digits)) / 10.0**digits
        if cut > 0.0 and f"{cut:.{digits}f} %" != f"{100.0 * wanted:.{digits}f} %":
            return f"{cut:.{digits}f} %"
    return f"just under {_percent(wanted)}"


def _readings(case: Case, radio: Radio) -> Iterator[Finding]:
    """AIR-02: each level read on site beside its prediction."""
    for premises, house in case.job.premises.items():
        for receiver in house.receivers:
            for number, one in enumerate(radio.readings(premises, receiver), start=1):
                if one.read_dbm is None:
                    continue
                apart = one.read_dbm - one.predicted_dbm
                sd = float(np.sqrt(one.local_sd_db**2 + MODEL_SD_DB**2 + READING_SD_DB**2))
                verdict = Verdict.HOLDS if abs(apart) <= 2.0 * sd else Verdict.THIN
                yield Finding(
                    "AIR-02",
                    Link.AIR,
                    verdict,
                    f"{premises}/{receiver} from {one.place}, reading {number}",
                    f"At {one.place} the level read is {one.read_dbm:.0f} dBm, {abs(apart):.0f} dB"
                    f" {'above' if apart >= 0 else 'below'} the prediction of {one.predicted_dbm:.0f} dBm.",
                    because=(
                        "Within two standard deviations"
                        if verdict is Verdict.HOLDS
                        else "More than two standard deviations: something on the way is not as drawn"
                    )
                    + f" of {sd:.1f} dB (place {one.local_sd_db:.1f}, model {MODEL_SD_DB:g}, reading"
                    f" {READING_SD_DB:g}). The reading moves every prediction at this receiver.",
                    value=apart,
                    limit=2.0 * sd,
                    unit="dB",
                    margin=2.0 * sd - abs(apart),
                    doubt=None,
                    sources=(
                        Citation("readings of this job", mark=Mark.MEASURED),
                        Citation("spread of model and readings", mark=Mark.CHOICE),
                    ),
                    subjects=_promises_at(case, premises, receiver, one.place) or (PlaceRef(one.place),),
                )


def _promises_at(case: Case, premises: str, receiver: str, place: str) -> tuple[Ref, ...]:
    found: list[Ref] = []
    for promise in case.job.promises:
        at = case.place(promise.from_, premises)
        listed = case.job.functions.get(promise.function)
        if (
            at is not None
            and f"{at[0]}/{at[1]}" == place
            and listed
            and any(path.startswith(f"{premises}/{receiver}/") for path in listed.paths)
        ):
            found.append(PromiseRef(promise_id(promise)))
    return tuple(dict.fromkeys(found))


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
                )
                share = link.share(1)
                gaps += link.gaps
                if share is not None:
                    chances.append((share, name, group, link))
        yield _fence(rule, function, chances, gaps)


def _spots(case: Case, rule: Rule, output: OutputAt) -> list[tuple[str, Place]]:
    """Where it must not work: the named places, or a ring just beyond the distance."""
    house = output.house
    places = [
        at
        for at in (case.place(path, output.premises) for path in rule.from_)
        if at is not None and at[0] == output.premises
    ]
    if rule.never == "works from":
        return [(name, house.places[name]) for _, name in places]
    if rule.distance_m is None:
        return []
    centres: list[tuple[float, ...]] = [house.places[name].at for _, name in places]
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
            at = (x, y, ground_height_m(house, x, y) + 1.2)
            if point_end(house, at, None, default_m=None) is not None:
                spots.append(
                    (f"{rule.distance_m:g} m away at ({x:.0f}, {y:.0f})", Place.model_validate({"at": at}))
                )
    return spots


def _fence(
    rule: Rule, function: str, chances: list[tuple[float, str, str, RadioLink]], gaps: list[Gap]
) -> Finding:
    about = (
        f"{function}: never {rule.never}"
        f" {f'{rule.distance_m:g} m' if rule.distance_m is not None else ', '.join(rule.from_)}".rstrip()
    )
    subjects = (FunctionRef(function),)
    if not chances:
        missing = (
            gaps_text(gaps)
            or "a place or a distance where it must not work, an output and a group that has it on a button"
        )
        return Finding(
            "AIR-03",
            Link.RULE,
            Verdict.UNKNOWN,
            about,
            f"{function}: whether it works where it must not is not computed yet. Missing: {missing}.",
            subjects=subjects,
        )
    share, name, group, link = max(chances, key=lambda one: one[0])
    verdict = Verdict.THIN if share < NEVER_SHARE else Verdict.FAILS
    where = name if rule.never == "works beyond" else f"from {name}"
    says = (
        f"{function} {where}: a press by {group} is heard in {_percent(share)} of cases, and must never be."
    )
    if verdict is Verdict.THIN:
        says = (
            f"{function} {where}: a press by {group} is hardly ever heard ({_percent(share)}), but reach is"
            " not a fence and may grow."
        )
    accepted = ""
    if rule.signed and verdict is Verdict.FAILS:
        verdict, accepted = Verdict.THIN, f"Accepted as it is: {rule.signed}. "
    return Finding(
        "AIR-03",
        Link.RULE,
        verdict,
        about,
        says,
        because=(
            f"{accepted}A greatest distance cannot be promised by radio. Use a second condition: door"
            f" contact, loop, key switch or the panel's status; not a weaker aerial. {_budget(link, 1)}"
        ),
        value=100.0 * share,
        limit=100.0 * NEVER_SHARE,
        unit="%",
        margin=100.0 * (NEVER_SHARE - share),
        doubt=None if link.doubt(1) is None else 100.0 * (link.doubt(1) or 0.0),
        sources=(*link.sources, _NOT_A_FENCE),
        subjects=subjects,
    )
