"""Where the aerial goes: every allowed place, height, kind and coax tried against every promise of a
receiver.

The best is the one whose worst promise is kept best. A second receiver at the same places is
an option of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from farpress.case.case import Case, promise_id
from farpress.domain.finding import Change
from farpress.domain.job import Promise
from farpress.errors import InputError
from farpress.reach.aerial_ideas import box_moved, by_places, drawn_ideas, swapped, with_coaxes
from farpress.reach.aerial_places import Mounting, best_places
from farpress.reach.gaps import gaps_text
from farpress.reach.radio_budget import RadioLink
from farpress.reach.radio_link import Radio, radio_of
from farpress.reach.radio_receiver import AerialAt

__all__ = ["Kept", "Ranking", "Trial", "try_aerials"]


Asking = tuple[Promise, tuple[str, str]]
"""A promise with its premises and place."""


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
        return all(promise.share >= promise.wanted for promise in self.kept)


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
    ideas, looked_at = list(drawn_ideas(case, radio, premises, receiver)), 0
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
            idea
            for aerial in on_walls.aerials
            for idea in with_coaxes(case, radio, premises, receiver, aerial, aerial.at, "on the wall")
        ]
        ideas += [
            idea
            for point, level in on_walls.boxes
            for idea in box_moved(case, radio, premises, receiver, point, level)
        ]
        ideas += swapped(case, radio, premises, receiver)
        ideas = list({idea[0]: idea for idea in ideas}.values())
    found: list[Trial] = []
    beside: list[tuple[str, AerialAt]] = []
    if second_receiver:
        beside = by_places(case, radio, premises, receiver, [location[1] for _, location in asked])
    for number, (does, aerial, changes) in enumerate(ideas):
        links = _links(radio, premises, receiver, asked, aerial)
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
        if progress is not None and not progress(number + 1, len(ideas) + len(beside)):
            beside = []
            break
    for number, (does, aerial) in enumerate(beside, start=len(ideas) + 1):
        links = _links(radio, premises, receiver, asked, aerial)
        trial = _with_a_second(radio, premises, receiver, asked, links, does)
        if trial is not None:
            found.append(trial)
        if progress is not None and not progress(number, len(ideas) + len(beside)):
            break
    if not found:
        today = _links(radio, premises, receiver, asked)
        gaps = gaps_text(gap for link in today for gap in link.gaps)
        raise InputError(f"No aerial of {premises}/{receiver} can be computed yet. Missing: {gaps}.")
    return Ranking(
        tuple(
            sorted(
                found,
                key=lambda trial: (-round(trial.worst.share - trial.worst.wanted, 4), -trial.worst.margin_db),
            )
        ),
        looked_at,
        _note(case, premises, receiver),
    )


def _order(trial: Trial) -> tuple[float, float]:
    """The best worst promise first; where that is equal, the larger margin."""
    return -round(trial.worst.share - trial.worst.wanted, 4), -trial.worst.margin_db


def _links(
    radio: Radio, premises: str, receiver: str, asked: Sequence[Asking], aerial: AerialAt | None = None
) -> list[RadioLink]:
    """The link of each promise, with an aerial or with today's."""
    return [
        radio.link(
            group=promise.to,
            premises=premises,
            receiver=receiver,
            place=radio.case.job.premises[location[0]].places[location[1]],
            place_path="/".join(location),
            aerial=aerial,
        )
        for promise, location in asked
    ]


def _judged(
    does: str,
    asked: list[Asking],
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
    worst, spread = min(kept, key=lambda pair: (pair[0].share - pair[0].wanted, pair[0].margin_db))
    return Trial(does, tuple(promise for promise, _ in kept), worst, spread, changes, is_second)


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
    radio: Radio, premises: str, receiver: str, asked: list[Asking], links: list[RadioLink], does: str
) -> Trial | None:
    """Today's aerial and another beside it: each promise by whichever hears it better."""
    today = _links(radio, premises, receiver, asked)
    both = [
        max((a, b), key=lambda link: link.margin_db if link.margin_db is not None else -999.0)
        for a, b in zip(today, links)
    ]
    return _judged(does, asked, both, (), is_second=True)


def _promises(case: Case, premises: str, receiver: str) -> list[Asking]:
    """The promises that this receiver has to hear, with their places at the same premises."""
    found = []
    for promise in case.job.promises:
        location = case.place(promise.from_, premises)
        if (
            location is not None
            and location[0] == premises
            and any(
                output.receiver_path == f"{premises}/{receiver}"
                for output in case.outputs_of(promise.function)
            )
        ):
            found.append((promise, location))
    return found
