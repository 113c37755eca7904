"""What driven devices need: run time, overtravel, safeguards, locks, lanes.

Judged from what the job records; whether a machine is safe is for its own assessment, by
somebody licensed or competent for it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, EN_12453_TABLE, EN_13637, GIVEN, OVERTRAVEL, PRACTICE
from farpress.case.driven import Driven, change, closes, driven_of, moves, promises_of, stretch_s, subjects_of
from farpress.core.rehearsal.barrier import lane_capacity_per_s, queue_growth
from farpress.core.rehearsal.held import BUTTON_LAG_S, TRAVEL_FACTOR
from farpress.core.rehearsal.press import overtravel_m, run_on_s
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.refs import DeviceRef, FunctionRef, OutputRef, ReceiverRef, Ref
from farpress.sources import Citation

__all__ = ["CODES", "PRESENCE", "in_sight", "judge", "protection"]

CODES: Final[dict[str, str]] = {
    "DEV-01": "A timed run against the travel of what it moves.",
    "DEV-02": "How far a leaf runs on after the button is let go, against a hand's width.",
    "DEV-03": "Safeguards for closing by itself or out of sight, and their test.",
    "DEV-04": "Locks on escape routes, and how they stand without power.",
    "DEV-05": "Vehicles that a lane can pass against those that come.",
}

OVERTRAVEL_LONGEST_M: Final = 0.1
"""Of a leaf under hold-to-run control; guidance on EN 12453."""

PRESENCE: Final = frozenset({"beams", "presence", "loop"})
"""Notice somebody or something in the way without touching."""

CONTACT: Final = frozenset({"edge", "force limit"})
"""Limit the force once something is touched."""


def judge(case: Case) -> Iterator[Finding]:
    """All findings about driven devices."""
    for at in case.outputs():
        for one in driven_of(case, at):
            if moves(one):
                yield from _timed_run(at, one)
                yield from _overtravel(case, at, one)
    yield from _safeguards(case)
    yield from _locks(case)
    yield from _lanes(case)


def _timed_run(at: OutputAt, one: Driven) -> Iterator[Finding]:
    if (
        not at.output.traits.wants_length
        or at.output.for_s is None
        or one.wants == "pulse"
        or one.logic not in ("up", "down", "open only", "close")
    ):
        return
    if one.wants != "maintained":
        return
    about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
    travel, worst = one.sheet.travel_s, one.sheet.travel_worst_s
    if one.logic in ("down", "close") and one.sheet.travel_back_s is not None:
        back = one.sheet.travel_back_s
        travel, worst = back, (back * worst / travel if worst is not None and travel else None)
    if travel is None and worst is None:
        yield Finding(
            "DEV-01",
            Link.DEVICE,
            Verdict.UNKNOWN,
            about,
            f"{at.path} runs {one.works} for {at.output.for_s:g} s, but its travel time is not known.",
            "Measure the whole travel, on a cold morning if it can be chosen.",
            subjects=subjects,
        )
        return
    needed = worst if worst is not None else TRAVEL_FACTOR * (travel or 0.0)
    margin = at.output.for_s - needed
    verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < BUTTON_LAG_S else Verdict.HOLDS
    basis = "at its worst" if worst is not None else f"{travel:g} s x {TRAVEL_FACTOR:g}"
    says = (
        f"{at.path} runs {one.works} for {at.output.for_s:g} s; the whole travel takes {needed:.1f} s"
        f" ({basis})."
    )
    because = {
        Verdict.FAILS: "It stops short.",
        Verdict.THIN: f"Less than {BUTTON_LAG_S:g} s is left over.",
    }.get(verdict, "The end switch ends the travel.")
    better = f"{math.ceil(needed + BUTTON_LAG_S)} s"
    remedies = (
        (
            Remedy(
                f"Run for {better}", f"{better} against {needed:.1f} s needed", (change(at, "for", better),)
            ),
        )
        if verdict is not Verdict.HOLDS
        else ()
    )
    yield Finding(
        "DEV-01",
        Link.DEVICE,
        verdict,
        about,
        says,
        because,
        at.output.for_s,
        round(needed, 3),
        "s",
        margin,
        remedies=remedies,
        sources=(*one.cite("travel_s", "travel_worst_s"), GIVEN, PRACTICE),
        subjects=subjects,
    )


def _overtravel(case: Case, at: OutputAt, one: Driven) -> Iterator[Finding]:
    if (
        not at.output.traits.while_held
        or one.wants == "pulse"
        or (not one.traits.is_leaf and one.sheet.speed_m_per_s is None)
    ):
        return
    receiver = case.equipment.receivers.get(at.receiver_path)
    dropout = receiver.sheet.dropout_s if receiver is not None else None
    speed, stop = one.sheet.speed_m_per_s, one.sheet.stops_after_s
    about, subjects = f"{at.path}: {one.works}", (*subjects_of(at, one), ReceiverRef(at.receiver_path))
    sources = (
        *one.cite("speed_m_per_s", "stops_after_s"),
        *(receiver.cite("dropout_s") if receiver is not None else ()),
        OVERTRAVEL,
    )
    missing = [
        what
        for what, value in (
            ("the leaf's speed", speed),
            ("the receiver's drop-out time", dropout),
            ("how soon the leaf stands still", stop),
        )
        if value is None
    ]
    way = (
        None
        if speed is None or dropout is None
        else overtravel_m(
            speed_m_per_s=speed,
            run_on_time_s=run_on_s(dropout_s=dropout, relay_s=0.0, stops_after_s=stop or 0.0),
        )
    )
    if way is None or (missing and way <= OVERTRAVEL_LONGEST_M):
        says = (
            f"How far {one.works} runs on after the button is let go cannot be said without"
            f" {' and '.join(missing)}."
        )
        yield Finding(
            "DEV-02",
            Link.DEVICE,
            Verdict.UNKNOWN,
            about,
            says,
            "Measure it: let go at a mark, and measure from the mark to where the leaf stands.",
            way,
            OVERTRAVEL_LONGEST_M,
            "m",
            sources=sources,
            subjects=subjects,
        )
        return
    margin = OVERTRAVEL_LONGEST_M - way
    verdict = (
        Verdict.FAILS
        if margin < -1e-9
        else Verdict.THIN
        if margin < 0.1 * OVERTRAVEL_LONGEST_M - 1e-9
        else Verdict.HOLDS
    )
    least = "at least " if missing else ""
    says = (
        f"After the button is let go {one.works} runs on by {least}{1000 * way:.0f} mm; 100 mm is the most"
        " under hold-to-run control."
    )
    because = f"{speed:g} m/s for {dropout:g} s of drop-out" + (
        f" and {stop:g} s to stop." if stop is not None else ", the stop itself not counted."
    )
    remedies: tuple[Remedy, ...] = ()
    if verdict is not Verdict.HOLDS and speed:
        best = OVERTRAVEL_LONGEST_M / ((dropout or 0.0) + (stop or 0.0))
        remedies = (
            Remedy(
                f"A leaf no faster than {0.9 * best:.2f} m/s, or a receiver that drops out sooner", "90 mm"
            ),
        )
    yield Finding(
        "DEV-02",
        Link.DEVICE,
        verdict,
        about,
        says,
        because,
        round(way, 6),
        OVERTRAVEL_LONGEST_M,
        "m",
        margin,
        remedies=remedies,
        sources=sources,
        subjects=subjects,
    )


def protection(one: Driven) -> str:
    """What its recorded safeguards amount to: `full`, `force only`, `presence only`, `none` or `unknown`.

    Full is presence detection that makes contact impossible, or limited force together
    with beams, a loop or the like.
    """
    if one.sheet.safeguards is None:
        return "unknown"
    has = set(one.sheet.safeguards)
    if "presence" in has or (has & PRESENCE and has & CONTACT):
        return "full"
    return "force only" if has & CONTACT else "presence only" if has else "none"


def in_sight(case: Case, at: OutputAt, one: Driven) -> bool:
    """Whether every promised place of its functions sees the whole movement; False if none is promised."""
    promises = promises_of(case, at.functions)
    name = one.path.split("/")[1]
    for promise in promises:
        where = case.place(promise.from_, at.premises)
        if where is None or not {name, one.path} & set(case.job.premises[where[0]].places[where[1]].sees):
            return False
    return bool(promises)


def _safeguards(case: Case) -> Iterator[Finding]:
    pressed: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for at in case.outputs():
        for one in driven_of(case, at):
            if one.traits.can_crush and closes(one):
                pressed.setdefault(one.path, []).append((at, one))
    for path, uses in pressed.items():
        one = uses[0][1]
        automatic = one.sheet.closes_after_s is not None
        # a held leaf without safeguards is judged as hold-to-run, among the refusals
        open_uses = (
            uses
            if automatic
            else [use for use in uses if not use[0].output.traits.while_held or not in_sight(case, *use)]
        )
        if open_uses:
            yield _safeguard(
                path, one, open_uses, automatic=automatic, seen=all(in_sight(case, *use) for use in open_uses)
            )


def _safeguard(
    path: str, one: Driven, uses: list[tuple[OutputAt, Driven]], *, automatic: bool, seen: bool
) -> Finding:
    subjects = tuple(dict.fromkeys(name for at, use in uses for name in subjects_of(at, use)))
    name = path.split("/")[1]
    kind = protection(one)
    what = (
        f"{name} closes by itself after {one.sheet.closes_after_s:g} s"
        if automatic
        else f"{name} can be closed by radio" + ("" if seen else " from where its whole movement is not seen")
    )
    sources = (*one.cite("safeguards", "closes_after_s"), EN_12453_TABLE)
    text = caution("automatic closing" if automatic else one.traits.closing_caution)
    has = ", ".join(one.sheet.safeguards or ()) or "none"
    # a barrier or bollard for vehicles stands or falls with what notices the vehicle
    enough = (
        kind == "full"
        or (not automatic and kind == "force only")
        or (kind == "presence only" and one.traits.watched_vehicles)
    )
    if kind == "unknown":
        says = f"{what}; its safeguards are not recorded."
        return Finding(
            "DEV-03",
            Link.DEVICE,
            Verdict.UNKNOWN,
            path,
            says,
            "Look for beams, edge, force limit, loop or presence detection, and for the record of their"
            f" test. {text}",
            sources=sources,
            subjects=subjects,
        )
    if not enough:
        says = f"{what}; recorded safeguards: {has}."
        because = (
            "Limited force together with presence detection, or no contact possible, is wanted."
            f" {DUTIES['machine']} {text}"
            if automatic or not seen
            else f"Limited force, or no contact possible, is wanted. {DUTIES['machine']} {text}"
        )
        remedies = (
            Remedy("Fit and test the safeguards that are missing"),
            Remedy("Let the fob only open, and close from a place in sight"),
        )
        return Finding(
            "DEV-03",
            Link.DEVICE,
            Verdict.FAILS,
            path,
            says,
            because,
            remedies=remedies,
            sources=sources,
            subjects=subjects,
        )
    if one.sheet.safeguards_tested is None:
        says = f"{what}; {has} are recorded, but not their test."
        change_ = Change(("premises", path.split("/")[0], "devices", name, "safeguards_tested"), True)
        return Finding(
            "DEV-03",
            Link.DEVICE,
            Verdict.UNKNOWN,
            path,
            says,
            f"Ask for the record of the test, or have it tested. {text}",
            remedies=(Remedy("Have them tested and record it", "", (change_,)),),
            sources=sources,
            subjects=subjects,
        )
    if not one.sheet.safeguards_tested:
        says = f"{what}; {has} are recorded as not tested."
        return Finding(
            "DEV-03",
            Link.DEVICE,
            Verdict.FAILS,
            path,
            says,
            f"An untested safeguard counts for nothing. {text}",
            sources=sources,
            subjects=subjects,
        )
    if kind == "force only" and not seen:
        says = f"{what}; {has} alone is enough only for trained users away from the public."
        return Finding(
            "DEV-03",
            Link.DEVICE,
            Verdict.THIN,
            path,
            says,
            f"Beams, a loop or presence detection would cover everybody. {text}",
            sources=sources,
            subjects=subjects,
        )
    return Finding(
        "DEV-03",
        Link.DEVICE,
        Verdict.HOLDS,
        path,
        f"{what}; {has} recorded and tested.",
        text,
        sources=sources,
        subjects=subjects,
    )


def _locks(case: Case) -> Iterator[Finding]:
    outputs: dict[str, list[OutputAt]] = {}
    for at in case.outputs():
        for one in driven_of(case, at):
            outputs.setdefault(one.path, []).append(at)
    for path, part in case.equipment.devices.items():
        sheet = part.sheet
        is_lock = sheet.traits.shuts_a_way
        if not is_lock and not sheet.escape_route:
            continue
        subjects = (DeviceRef(path), *(OutputRef(at.path) for at in outputs.get(path, ())))
        sources = (*part.cite("fails", "escape_route", "opens_by_hand"), EN_13637)
        name = path.split("/")[1]
        if sheet.escape_route:
            yield _escape_lock(
                path,
                name,
                sheet.fails,
                sheet.opens_by_hand,
                is_lock=is_lock,
                sources=sources,
                subjects=subjects,
            )
        elif (
            sheet.escape_route is None
            and sheet.traits.is_lock
            and sheet.fails != "unlocked"
            and not sheet.opens_by_hand
        ):
            says = (
                f"Whether {name} is on an escape route is not known, and without power it is"
                f" {'locked' if sheet.fails == 'locked' else 'in a state nobody has written down'}."
            )
            yield Finding(
                "DEV-04",
                Link.DEVICE,
                Verdict.UNKNOWN,
                path,
                says,
                "Ask who leaves this way, and try from inside: it should open by hand without fob, key or"
                f" power. {DUTIES['escape']}",
                sources=sources,
                subjects=subjects,
            )


def _escape_lock(
    path: str,
    name: str,
    fails: str | None,
    by_hand: bool | None,
    *,
    is_lock: bool,
    sources: tuple[Citation, ...],
    subjects: tuple[Ref, ...],
) -> Finding:
    text = f"{caution('escape')} {DUTIES['escape']}"
    fix = Remedy(
        "A lock that is unlocked without power, its supply broken by fire alarm and green call point",
        "",
        (Change(("premises", path.split("/")[0], "devices", name, "fails"), "unlocked"),),
    )
    if by_hand is False:
        return Finding(
            "DEV-04",
            Link.DEVICE,
            Verdict.FAILS,
            path,
            f"{name} is on an escape route and does not open by hand from inside.",
            text,
            sources=sources,
            subjects=subjects,
        )
    if fails == "locked" and not by_hand:
        says = f"{name} is on an escape route and stays locked without power."
        because = (
            "A lock that stays locked holds people in unless the door opens by hand from inside, which is"
            f" not recorded. {text}"
        )
        return Finding(
            "DEV-04",
            Link.DEVICE,
            Verdict.FAILS,
            path,
            says,
            because,
            remedies=(fix,),
            sources=sources,
            subjects=subjects,
        )
    if fails is None and not by_hand:
        says = (
            f"{name} is on an escape route; how it stands without power is not known."
            if is_lock
            else f"{name} is on an escape route; how people pass it without power is not known."
        )
        return Finding(
            "DEV-04",
            Link.DEVICE,
            Verdict.UNKNOWN,
            path,
            says,
            f"Switch the power off and try from inside. {text}",
            remedies=(fix,),
            sources=sources,
            subjects=subjects,
        )
    says = f"{name} is on an escape route and " + (
        "opens by hand from inside." if by_hand else "is unlocked without power."
    )
    return Finding("DEV-04", Link.DEVICE, Verdict.HOLDS, path, says, text, sources=sources, subjects=subjects)


def _lanes(case: Case) -> Iterator[Finding]:
    for traffic in case.job.traffic:
        for at in case.outputs():
            one = next((one for one in driven_of(case, at) if one.traits.passes_vehicles), None)
            if traffic.function not in at.functions or one is None or not traffic.arrivals:
                continue
            yield _lane(traffic.function, traffic.arrivals, traffic.passage_s, at, one)


def _lane(
    function: str, arrivals: dict[str, int], passage_s: float | None, at: OutputAt, one: Driven
) -> Finding:
    subjects = (*subjects_of(at, one), FunctionRef(function))
    about = f"{function}: {one.path}"
    travel = one.sheet.travel_s
    back = one.sheet.travel_back_s if one.sheet.travel_back_s is not None else travel
    if travel is None or back is None or passage_s is None:
        missing = "travel time" if travel is None else "time for one vehicle to pass"
        return Finding(
            "DEV-05",
            Link.DEVICE,
            Verdict.UNKNOWN,
            about,
            f"What {one.path.split('/')[1]} can pass cannot be said without its {missing}.",
            f"Give the {missing}; counted arrivals are there.",
            subjects=subjects,
        )
    capacity = lane_capacity_per_s(opening_s=travel, passage_s=passage_s, closing_s=back)
    lengths = {stretch: stretch_s(stretch) for stretch in arrivals}
    grown = {
        stretch: queue_growth(arrivals=number, stretch_s=lengths[stretch], capacity_per_s=capacity)
        for stretch, number in arrivals.items()
        if lengths[stretch] > 0
    }
    if not grown:
        return Finding(
            "DEV-05",
            Link.DEVICE,
            Verdict.UNKNOWN,
            about,
            f"The stretches of time of {function} cannot be read.",
            "Write them as '07:40-07:55'.",
            subjects=subjects,
        )
    worst = max(grown, key=lambda stretch: grown[stretch] / lengths[stretch])
    passed = capacity * lengths[worst]
    margin = passed - arrivals[worst]
    verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < 0.2 * passed else Verdict.HOLDS
    says = (
        f"{worst}: {arrivals[worst]} vehicles come, and {one.path.split('/')[1]} passes {passed:.0f} if it"
        f" closes behind each ({3600 * capacity:.0f} an hour)."
    )
    because = (
        f"The queue grows by {-margin:.0f} vehicles in that time."
        if margin < 0
        else "Close to its capacity queues form at times."
        if verdict is Verdict.THIN
        else ""
    )
    remedies = (
        (
            Remedy(
                "Stay open while vehicles follow each other (open-only input, timed closing with loop), or a"
                " second lane",
                f"{3600 / passage_s:.0f} an hour while it stays open",
            ),
        )
        if verdict is not Verdict.HOLDS
        else ()
    )
    return Finding(
        "DEV-05",
        Link.DEVICE,
        verdict,
        about,
        says,
        because,
        float(arrivals[worst]),
        passed,
        "vehicles",
        margin,
        remedies=remedies,
        sources=(*one.cite("travel_s"), GIVEN, CHOICE),
        subjects=subjects,
    )
