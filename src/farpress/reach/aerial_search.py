"""Where the aerial goes: every allowed place, height, kind and coax tried against every promise of a
receiver.

The best is the one whose worst promise is kept best. A second receiver at the same places is
an option of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from farpress.case.case import Case, promise_id
from farpress.domain.finding import Change
from farpress.domain.job import Promise
from farpress.domain.premises import Aerial, CoaxRun
from farpress.errors import InputError
from farpress.reach.aerial_places import SPARE_M, Mounting, best_places
from farpress.reach.air_remedies import aerial_in_file
from farpress.reach.gaps import gaps_text
from farpress.reach.radio_budget import RadioLink
from farpress.reach.radio_link import Radio, radio_of
from farpress.reach.radio_receiver import AerialAt, aerial_inside
from farpress.reach.radio_scene import place_end, point_end

__all__ = ["Kept", "Ranking", "Trial", "try_aerials"]

HEIGHTS_M: Final = (-1.0, -0.5, 0.0, 0.5, 1.0)
"""Steps up and down from a drawn place: our choice, what a ladder and a mast allow."""


BESIDE_M: Final = 1.0
POST_M: Final = 2.0
"""A second receiver by a place stands so far aside and so high: our choice, a post or the leaf's pillar."""


@dataclass(frozen=True)
class Kept:
    """One promise with one aerial: its chance, what was promised, and the mean level over the needed one
    [dB].
    """

    promise: str
    share: float
    wanted: float
    margin_db: float


@dataclass(frozen=True)
class Trial:
    """One aerial tried.

    Attributes:
        does: what is done, in words.
        kept: every promise of this receiver.
        worst: the promise with the least chance over what was promised.
        spread_db: spread of the worst promise [dB].
        changes: edits of the job file; none for today's aerial.
        is_second: whether it stands for a second receiver beside today's.
    """

    does: str
    kept: tuple[Kept, ...]
    worst: Kept
    spread_db: float
    changes: tuple[Change, ...] = ()
    is_second: bool = False

    @property
    def keeps_all(self) -> bool:
        """Whether every promise has at least its chance."""
        return all(one.share >= one.wanted for one in self.kept)


@dataclass(frozen=True)
class Ranking:
    """The search of one receiver.

    Attributes:
        trials: the best worst promise first; today's aerial is among them.
        looked_at: pairs of a place and a kind with its coax that were looked at roughly beside these; the
            best of them are among the trials.
        note: what else has to change for most of these.
    """

    trials: tuple[Trial, ...]
    looked_at: int = 0
    note: str = ""


def try_aerials(
    case: Case,
    premises: str,
    receiver: str,
    *,
    second_receiver: bool = False,
    radio: Radio | None = None,
    progress: Callable[[int, int], bool] | None = None,
    mounting: Mounting | None = None,
) -> Ranking:
    """Every allowed aerial of a receiver, the best worst promise first; today's is among them.

    At each place every kind of the parts list is tried on the coax drawn there (or the best), and the
    strongest kind on every other coax: gain and
    coax add up, so no other pair can be better than both.

    Args:
        case: the job.
        premises, receiver: which.
        second_receiver: try a second receiver of the same kind at these places too, and right by each
            place from which something is promised.
        radio: of the same case, to keep what it has computed.
        progress: told how many of how many are done; returns False to stop, and what is done so far is
            ranked.
        mounting: try every place on a wall within this too; without it only places that are drawn.

    Raises:
        InputError: nothing is promised there, or no link of it can be computed.
    """
    radio = radio or radio_of(case)
    if premises not in case.job.premises or receiver not in case.job.premises[premises].receivers:
        raise InputError(f"There is no receiver '{premises}/{receiver}' in this job.")
    asked = _promises(case, premises, receiver)
    if not asked:
        raise InputError(
            f"Nothing is promised at {premises}/{receiver}, so no place of its aerial is better than another:"
            " write a promise."
        )
    ideas, looked_at = list(_ideas(case, radio, premises, receiver)), 0
    if mounting is not None:
        on_walls = best_places(
            case,
            radio,
            premises,
            receiver,
            asked,
            mounting,
            (lambda done, of: progress(done, of + len(ideas))) if progress is not None else None,
        )
        looked_at = on_walls.tried
        ideas += [
            one
            for aerial in on_walls.aerials
            for one in _with_coaxes(case, radio, premises, receiver, aerial, aerial.at, "on the wall")
        ]
        ideas += [
            one
            for at, level in on_walls.boxes
            for one in _box_moved(case, radio, premises, receiver, at, level)
        ]
        ideas += _swapped(case, radio, premises, receiver)
        ideas = list({idea[0]: idea for idea in ideas}.values())
    found: list[Trial] = []
    by_places = _by_places(case, radio, premises, receiver, asked) if second_receiver else []
    for number, (does, aerial, changes) in enumerate(ideas):
        links = [
            radio.link(
                group=one.to,
                premises=premises,
                receiver=receiver,
                place=case.job.premises[at[0]].places[at[1]],
                place_path="/".join(at),
                aerial=aerial,
            )
            for one, at in asked
        ]
        trial = _judged(does, asked, links, changes)
        if trial is not None:
            found.append(trial)
        if second_receiver and number:
            trial = _with_a_second(
                radio,
                premises,
                receiver,
                asked,
                links,
                f"A second receiver, its aerial: {does[0].lower()}{does[1:]}",
            )
            if trial is not None:
                found.append(trial)
        if progress is not None and not progress(number + 1, len(ideas) + len(by_places)):
            by_places = []
            break
    for number, (does, aerial) in enumerate(by_places, start=len(ideas) + 1):
        links = [
            radio.link(
                group=one.to,
                premises=premises,
                receiver=receiver,
                place=case.job.premises[at[0]].places[at[1]],
                place_path="/".join(at),
                aerial=aerial,
            )
            for one, at in asked
        ]
        trial = _with_a_second(radio, premises, receiver, asked, links, does)
        if trial is not None:
            found.append(trial)
        if progress is not None and not progress(number, len(ideas) + len(by_places)):
            break
    if not found:
        gaps = gaps_text(
            gap
            for one, at in asked
            for gap in radio.link(
                group=one.to,
                premises=premises,
                receiver=receiver,
                place=case.job.premises[at[0]].places[at[1]],
                place_path="/".join(at),
            ).gaps
        )
        raise InputError(f"No aerial of {premises}/{receiver} can be computed yet. Missing: {gaps}.")
    return Ranking(
        tuple(
            sorted(
                found, key=lambda one: (-round(one.worst.share - one.worst.wanted, 4), -one.worst.margin_db)
            )
        ),
        looked_at,
        _note(case, premises, receiver),
    )


def _judged(
    does: str,
    asked: list[tuple[Promise, tuple[str, str]]],
    links: list[RadioLink],
    changes: tuple[Change, ...],
    is_second: bool = False,
) -> Trial | None:
    kept = []
    for (promise, _), link in zip(asked, links):
        share, margin = link.share(int(promise.within_presses)), link.margin_db
        if share is None or margin is None:
            return None
        kept.append((Kept(promise_id(promise), share, promise.at_least_share, margin), link.spread_db))
    worst, spread = min(kept, key=lambda one: (one[0].share - one[0].wanted, one[0].margin_db))
    return Trial(does, tuple(one for one, _ in kept), worst, spread, changes, is_second)


def _note(case: Case, premises: str, receiver: str) -> str:
    sheet = case.equipment.receivers.get(f"{premises}/{receiver}")
    if (
        sheet is None
        or sheet.sheet.aerial != "inside"
        or case.job.premises[premises].receivers[receiver].antenna is not None
    ):
        return ""
    return f"{receiver} has its aerial inside: for any other it has to be changed for one with a socket."


def _with_a_second(
    radio: Radio,
    premises: str,
    receiver: str,
    asked: list[tuple[Promise, tuple[str, str]]],
    links: list[RadioLink],
    does: str,
) -> Trial | None:
    """Today's aerial and another beside it: each promise by whichever hears it better."""
    places = radio.case.job.premises
    today = [
        radio.link(
            group=one.to,
            premises=premises,
            receiver=receiver,
            place=places[at[0]].places[at[1]],
            place_path="/".join(at),
        )
        for one, at in asked
    ]
    both = [
        max((a, b), key=lambda one: one.margin_db if one.margin_db is not None else -999.0)
        for a, b in zip(today, links)
    ]
    return _judged(does, asked, both, (), is_second=True)


def _by_places(
    case: Case, radio: Radio, premises: str, receiver: str, asked: list[tuple[Promise, tuple[str, str]]]
) -> list[tuple[str, AerialAt]]:
    """A second receiver right by each place from which something is promised: it needs no coax from the
    first.
    """
    house = case.job.premises[premises]
    gains = {
        part: one.sheet.gain_dbi
        for part, one in case.equipment.aerial_parts.items()
        if one.sheet.gain_dbi is not None
    }
    if not gains:
        return []
    part = "whip" if "whip" in gains else next(iter(gains))
    found = []
    for name in dict.fromkeys(at[1] for _, at in asked):
        end = place_end(house, house.places[name])
        at = (end.at_m[0] + BESIDE_M, end.at_m[1], end.at_m[2] - end.over_ground_m + POST_M)
        here = AerialAt(
            point_end(house, at, house.places[name].level, default_m=None),
            gains[part],
            0.0,
            f"aerial {part}",
            sources=case.equipment.aerial_parts[part].cite("gain_dbi"),
        )
        found.append((f"A second receiver by {name}, aerial {part} {POST_M:g} m up", here))
    return found


def _promises(case: Case, premises: str, receiver: str) -> list[tuple[Promise, tuple[str, str]]]:
    """The promises that this receiver has to hear, with their places at the same premises."""
    found = []
    for promise in case.job.promises:
        at = case.place(promise.from_, premises)
        if (
            at is not None
            and at[0] == premises
            and any(
                output.receiver_path == f"{premises}/{receiver}"
                for output in case.outputs_of(promise.function)
            )
        ):
            found.append((promise, at))
    return found


Idea = tuple[str, AerialAt, tuple[Change, ...]]


def _ideas(case: Case, radio: Radio, premises: str, receiver: str) -> Iterator[Idea]:
    """Today's aerial first; then each allowed place at each height with each coax."""
    box = case.job.premises[premises].receivers[receiver]
    today = radio.aerial(premises, receiver)
    yield "As today", today, ()
    drawn = [*box.antenna_places, *((box.antenna,) if box.antenna is not None else ())]
    if not drawn and today.end is not None:
        for up in HEIGHTS_M:
            if up and today.end.over_ground_m + up >= 0.3:
                x, y, z = today.end.at_m
                moved = replace(
                    today,
                    end=today.end._replace(at_m=(x, y, z + up), over_ground_m=today.end.over_ground_m + up),
                )
                yield (
                    f"Receiver {abs(up):g} m {'higher' if up > 0 else 'lower'}",
                    moved,
                    (Change(("premises", premises, "receivers", receiver, "at"), [x, y, z + up]),),
                )
    for aerial in drawn:
        if len(aerial.at) != 3:
            continue
        for up in HEIGHTS_M:
            height = aerial.at[2] + up
            if (aerial is box.antenna and up == 0.0) or height < 0.3:
                continue
            at = (aerial.at[0], aerial.at[1], height)
            yield from _with_coaxes(case, radio, premises, receiver, aerial, at, "")


def _with_coaxes(
    case: Case, radio: Radio, premises: str, receiver: str, aerial: Aerial, at: tuple[float, ...], where: str
) -> Iterator[Idea]:
    """One place with each kind of aerial on its coax, and the strongest kind on each other coax that is
    known.
    """
    gains = {
        part: one.sheet.gain_dbi
        for part, one in case.equipment.aerial_parts.items()
        if one.sheet.gain_dbi is not None
    }
    kinds = list(dict.fromkeys([aerial.part, *sorted(gains, key=lambda one: -gains[one])]))
    strongest = max(gains, key=lambda one: gains[one], default=aerial.part)
    coaxes = list(_coaxes(case, aerial, case.job.premises[premises].receivers[receiver].at, at))
    pairs = [(part, coaxes[0]) for part in kinds] + [
        (part, coax) for coax in coaxes[1:] for part in dict.fromkeys((aerial.part, strongest))
    ]
    for part, coax in pairs:
        tried = aerial.model_copy(update={"part": part, "at": at, "coax": coax})
        cable = f" on {coax.length_m:.1f} m of {coax.part}" if coax is not None else ""
        face = ""
        if where:
            face = ", inside" if aerial.level else ", outside"
        yield (
            f"Aerial {part} at ({at[0]:g}, {at[1]:g}), {at[2]:g} m up{face}{cable}",
            radio.aerial_at(premises, receiver, tried),
            (Change(("premises", premises, "receivers", receiver, "antenna"), aerial_in_file(tried)),),
        )


def _box_moved(
    case: Case, radio: Radio, premises: str, receiver: str, at: tuple[float, float, float], level: str | None
) -> Iterator[Idea]:
    """The receiver itself at another place, listening with the aerial in its own housing; its cables go with
    it.
    """
    box, root = case.job.premises[premises].receivers[receiver], ("premises", premises, "receivers", receiver)
    inside = aerial_inside(case, premises, receiver, radio.shielding_readings(premises, receiver))
    end = point_end(case.job.premises[premises], at, level, default_m=None)
    changes = [Change((*root, "at"), list(at))]
    if level != box.level:
        changes.append(Change((*root, "level"), level))
    if box.antenna is not None:
        changes.append(Change((*root, "antenna"), None))
    yield (
        (
            f"Receiver itself moved to ({at[0]:g}, {at[1]:g}), {at[2]:g} m up, its aerial inside; its cables"
            " go with it"
        ),
        inside.hung_at(end),
        tuple(changes),
    )


def _swapped(case: Case, radio: Radio, premises: str, receiver: str) -> Iterator[Idea]:
    """The aerial where it is, but of each other kind; and the one inside the housing, where the receiver has
    one.
    """
    box = case.job.premises[premises].receivers[receiver]
    sheet = case.equipment.receivers.get(f"{premises}/{receiver}")
    root = ("premises", premises, "receivers", receiver, "antenna")
    for part in case.equipment.aerial_parts:
        if box.antenna is not None and part != box.antenna.part:
            tried = box.antenna.model_copy(update={"part": part})
            yield (
                f"Aerial {part} in place of {box.antenna.part}",
                radio.aerial_at(premises, receiver, tried),
                (Change(root, aerial_in_file(tried)),),
            )
        elif box.antenna is None and len(box.at) == 3:
            tried = Aerial(part=part, at=box.at, level=box.level)
            yield (
                f"Aerial {part} plugged into the receiver",
                radio.aerial_at(premises, receiver, tried),
                (Change(root, aerial_in_file(tried)),),
            )
    if (
        box.antenna is not None
        and sheet is not None
        and sheet.sheet.gain_dbi is not None
        and sheet.sheet.aerial != "connector"
    ):
        yield (
            "The aerial inside the receiver alone",
            aerial_inside(case, premises, receiver, radio.shielding_readings(premises, receiver)),
            (Change(root, None),),
        )


def _coaxes(
    case: Case, aerial: Aerial, box: tuple[float, ...], at: tuple[float, ...]
) -> Iterator[CoaxRun | None]:
    """The drawn coax, then each other kind that is known, as long as the way along the walls asks."""
    if aerial.coax is None:
        yield None
        return
    way = sum(abs(a - b) for a, b in zip(box, at)) + SPARE_M
    length = max(aerial.coax.length_m, math.ceil(way) if len(box) == 3 else 0.0)
    yield aerial.coax.model_copy(update={"length_m": length})
    for part in case.equipment.coax_parts:
        if part != aerial.coax.part:
            yield aerial.coax.model_copy(update={"part": part, "length_m": length})
