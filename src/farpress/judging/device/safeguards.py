"""Safeguards of what closes by itself or out of sight, and whether they were tested."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from farpress.case.behaviour import PRESENCE
from farpress.case.case import Case, OutputAt
from farpress.case.citations import EN_12453_TABLE
from farpress.case.driven import Driven, closes, driven_of, promises_of, subjects_of
from farpress.case.found_on_site import working_safeguards
from farpress.case.leaf import OVERTRAVEL_LONGEST_M, run_on
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef
from farpress.judging.check import Answer, Check
from farpress.judging.hurting import ask_safeguards, ask_tested
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["ask_what_it_does", "blind_places", "in_sight", "is_guarded", "judge_safeguards", "protection"]

SAFEGUARDED: Final = Check(
    "DEV-03",
    Link.DEVICE,
    "Safeguards for closing by itself or out of sight, and their test.",
    stake=Stake.HARM,
    ask="Look for beams, edge, force limit, loop or presence detection, and for the record of their test.",
    who=Who.INSTALLER,
    minutes=15.0,
    mends="Safeguards that are fitted and tested, or a fob that only opens.",
)

REACH_LOW_M: Final = 2.5
"""An edge this high is out of reach where the danger is small; EN ISO 13857, from memory."""

REACH_HIGH_M: Final = 2.7
"""And where somebody can lose a hand; EN ISO 13857, from memory."""

REACH: Final = Citation(
    "EN ISO 13857", place="reaching upwards: 2.5 m, 2.7 m where the danger is great", mark=Mark.MEMORY
)

CONTACT: Final = frozenset({"edge", "force limit"})
"""Limit the force once something is touched."""


def protection(driven: Driven) -> str:
    """What its recorded safeguards amount to: `full`, `force only`, `presence only`, `none` or `unknown`.

    Full is presence detection that makes contact impossible, or limited force together
    with beams, a loop or the like.
    """
    working = working_safeguards(driven.sheet)
    if working is None:
        return "unknown"
    has = set(working)
    if "presence" in has or (has & PRESENCE and has & CONTACT):
        return "full"
    if has & CONTACT:
        return "force only"
    return "presence only" if has else "none"


def is_guarded(driven: Driven) -> bool:
    """Whether its recorded safeguards are enough for closing as it does: by itself, or by a press."""
    kind = protection(driven)
    is_automatic = driven.sheet.closes_after_s is not None
    # a barrier or bollard for vehicles stands or falls with what notices the vehicle
    return (
        kind == "full"
        or (not is_automatic and kind == "force only")
        or (kind == "presence only" and driven.traits.watched_vehicles and not _is_unseen_by_loop(driven))
    )


def _has_loop_alone(driven: Driven) -> bool:
    return set(working_safeguards(driven.sheet) or ()) == {"loop"}


def _is_unseen_by_loop(driven: Driven) -> bool:
    """Whether others than vehicles come under it, of which a loop tells nothing."""
    return _has_loop_alone(driven) and bool(driven.sheet.people_pass)


def in_sight(case: Case, output: OutputAt, driven: Driven) -> bool:
    """Whether every promised place of its functions sees the whole movement; False if none is promised."""
    return bool(promises_of(case, output.functions)) and not blind_places(case, output, driven)


def blind_places(case: Case, output: OutputAt, driven: Driven) -> tuple[str, ...]:
    """Promised places of its functions from which the whole movement is not seen."""
    blind = []
    for promise in promises_of(case, output.functions):
        where = case.place(promise.from_, output.premises)
        seen = case.job.premises[where[0]].places[where[1]].sees if where is not None else ()
        if not {driven.path.split("/")[1], driven.path} & set(seen):
            blind.append(promise.from_)
    return tuple(dict.fromkeys(blind))


def judge_safeguards(case: Case) -> Iterator[Finding]:
    """DEV-03, of everything that can crush and that a press can close."""
    pressed: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.traits.can_crush and (closes(driven) or driven.logic is None):
                pressed.setdefault(driven.path, []).append((output, driven))
    for uses in pressed.values():
        if uses[0][1].sheet.closes_after_s is None:
            # a held leaf without safeguards is judged as hold-to-run, among the refusals
            uses = [
                (output, driven)
                for output, driven in uses
                if not output.output.traits.while_held or not in_sight(case, output, driven)
            ]
        if uses:
            yield _safeguard(case, uses)


def ask_what_it_does(inputs: str) -> Ask:
    """The question about inputs of which nobody says what they do."""
    return Ask(f"Say what {inputs} does: start, open only, close, stop ...", Who.LABEL, 3.0)


def _safeguard(case: Case, uses: Sequence[tuple[OutputAt, Driven]]) -> Finding:
    driven = uses[0][1]
    height = driven.sheet.edge_height_m
    if height is not None and height >= REACH_LOW_M:
        return _out_of_reach(uses, height)
    is_seen = all(in_sight(case, output, driven) for output, driven in uses)
    sheet, kind = driven.sheet, protection(driven)
    is_automatic = sheet.closes_after_s is not None
    premises, name = driven.path.split("/")
    what = f"{name} can be closed by radio"
    if sheet.closes_after_s is not None:
        what = f"{name} closes by itself after {sheet.closes_after_s:g} s"
    elif not is_seen:
        what += " from where its whole movement is not seen"
    blind = dict.fromkeys(place for output, use in uses for place in blind_places(case, output, use))
    if is_automatic and blind:
        what += f", and is worked from {listed(blind)}, where its whole movement is not seen"
    has = ", ".join(working_safeguards(sheet) or ()) or "none"
    works = working_safeguards(sheet) or ()
    lost = [guard for guard in sheet.safeguards or () if guard not in works]
    has += f" ({listed(lost)} read and found not to work)" if lost else ""
    is_enough = is_guarded(driven)
    answer, because = Answer.YES, ""
    asks: tuple[Ask, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    offers: tuple[Remedy, ...] = ()
    if kind == "unknown":
        answer = Answer.UNKNOWN
        says = f"{what}; its safeguards are not recorded."
        asks = (ask_safeguards(name),)
        because = _held_instead(case, uses)
    elif not is_enough:
        answer = Answer.NO
        says = f"{what}; recorded safeguards: {has}."
        because = f"Limited force, or no contact possible, is wanted. {DUTIES['machine']} "
        if is_automatic or not is_seen:
            because = (
                "Limited force together with presence detection, or no contact possible, is wanted."
                f" {DUTIES['machine']} "
            )
        because += _held_instead(case, uses)
        remedies = (
            Remedy("Fit and test the safeguards that are missing"),
            Remedy("Let the fob only open, and close from a place in sight"),
        )
    elif sheet.safeguards_tested is False:
        answer = Answer.NO
        says = f"{what}; {has}: recorded as not working, or not tested."
        because = "An untested safeguard counts for nothing. "
        remedies = (Remedy("Have them mended and tested by a competent person, and record it"),)
    elif _has_loop_alone(driven) and sheet.people_pass is None:
        answer = Answer.UNKNOWN
        says = f"{what}; a loop notices vehicles, and whether others come under it is not said."
        asks = (
            Ask(
                f"Ask whether people on foot, bicycles, masts or tow bars come under {name}: a loop does not"
                " notice them.",
                Who.CUSTOMER,
                5.0,
            ),
            *((ask_tested(name),) if sheet.safeguards_tested is None else ()),
        )
    elif sheet.safeguards_tested is None:
        answer = Answer.UNKNOWN
        says = f"{what}; {has} are recorded, but not their test."
        asks = (ask_tested(name),)
        tested = Change(("premises", premises, "devices", name, "safeguards_tested"), True)
        offers = (Remedy("Have them tested and record it", "", (tested,)),)
    elif kind == "force only" and not is_seen:
        answer = Answer.BARELY
        says = f"{what}; {has} alone is enough only for trained users away from the public."
        because = "Beams, a loop or presence detection would cover everybody. "
    else:
        says = f"{what}; {has} recorded and tested."
    if answer is Answer.NO and not any(closes(use) for _, use in uses):
        inputs = listed(list(dict.fromkeys(use.works for _, use in uses)))
        answer, asks = Answer.UNKNOWN, (ask_what_it_does(inputs),)
        says = f"Whether a press closes {name} is not known; {says}"
    about_closing = "automatic closing" if is_automatic else driven.traits.closing_caution
    return SAFEGUARDED.decide(
        about=driven.path,
        subjects=tuple(subject for output, use in uses for subject in subjects_of(output, use)),
        cause=DeviceRef(driven.path),
        answer=answer,
        says=says,
        because=f"{because}{caution(about_closing)}",
        asks=asks,
        remedies=remedies,
        offers=offers,
        sources=(*driven.cite("safeguards", "closes_after_s"), EN_12453_TABLE),
        bars=kind == "none" and (is_automatic or not is_seen),
        halts=is_automatic or not is_seen,
    )


def _out_of_reach(uses: Sequence[tuple[OutputAt, Driven]], height_m: float) -> Finding:
    """DEV-03 of an edge that nobody reaches from where people stand."""
    driven = uses[0][1]
    name = driven.path.split("/")[1]
    return SAFEGUARDED.decide(
        about=driven.path,
        subjects=tuple(subject for output, use in uses for subject in subjects_of(output, use)),
        cause=DeviceRef(driven.path),
        answer=Answer.YES if height_m >= REACH_HIGH_M else Answer.BARELY,
        says=f"{name} closes at {height_m:g} m above where people stand: out of their reach.",
        because="Ladders, benches and galleries bring it within reach; so does whoever cleans it.",
        value=height_m,
        limit=REACH_HIGH_M,
        sources=(*driven.cite("edge_height_m"), REACH),
    )


def _held_instead(case: Case, uses: Sequence[tuple[OutputAt, Driven]]) -> str:
    """That holding the button is no way round, where the leaf would run on too far."""
    output, driven = uses[0]
    ran = run_on(case, output, driven)
    if output.output.traits.while_held or ran.way_m is None or ran.way_m <= OVERTRAVEL_LONGEST_M:
        return ""
    return (
        f"Held to run from a fob instead, its edge at {ran.speed_m_per_s:.3g} m/s would run on by"
        f" {1000 * ran.way_m:.0f} mm after the button is let go, more than"
        f" {1000 * OVERTRAVEL_LONGEST_M:g} mm:"
        " that is no way round. "
    )
