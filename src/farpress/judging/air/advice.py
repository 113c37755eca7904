"""What to do where a promise is not heard surely enough: reach further, or not want to."""

from __future__ import annotations

from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, closes, driven_of, function_kinds
from farpress.domain.finding import Remedy
from farpress.domain.job import Promise
from farpress.domain.premises import Place
from farpress.judging.device.safeguards import is_guarded
from farpress.judging.hurting import surely_hurts
from farpress.phrases import listed
from farpress.reach.air_remedies import remedies_for
from farpress.reach.radio_link import Radio

__all__ = ["WIRED_CALL", "air_remedies", "is_call"]

WIRED_CALL: Final = Remedy(
    "A wired call unit there, or a certified call system; the fob at most for comfort beside it"
)


def is_call(case: Case, output: OutputAt) -> bool:
    """Whether an output calls for help: whoever presses may press once, and cannot come nearer.

    What is called and comes, as a lift, is a machine and no help.
    """
    worked = driven_of(case, output)
    comes = bool(worked) and all(driven.traits.moves for driven in worked)
    return ("call" in function_kinds(case, output) and not comes) or any(
        driven.traits.calls_help for driven in worked
    )


def air_remedies(
    radio: Radio, promise: Promise, output: OutputAt, place: Place, place_path: str, share: float
) -> tuple[Remedy, ...]:
    """Remedies of a promise that is too weak.

    A place from which it must not be worked at all is not reached better; a call for help is not mended by
    how the fob is held.
    """
    refused = _not_from_here(radio.case, output, place)
    if refused:
        return (
            Remedy(
                f"Do not reach further: {listed(refused)} must not be worked from where the whole of it is"
                " not seen"
            ),
            Remedy(f"A receiver and a control of its own near {listed(refused)}, in sight of it"),
        )
    found = remedies_for(radio, promise, output, place, place_path, share)
    if not is_call(radio.case, output):
        return found
    others = [remedy for remedy in found if not remedy.does.startswith("Pressed in")]
    cures = [remedy for remedy in others if remedy.changes]
    return (*cures, WIRED_CALL, *(remedy for remedy in others if remedy not in cures))


def _not_from_here(case: Case, output: OutputAt, place: Place) -> tuple[str, ...]:
    """What the output works that could hurt somebody, or that a rule wants seen, and whose whole movement is
    not seen from a place.
    """
    return tuple(
        dict.fromkeys(
            name
            for driven in driven_of(case, output)
            if (_wants_sight(driven) or _is_ruled(case, output, driven))
            and not {name := driven.path.split("/")[1], driven.path} & set(place.sees)
        )
    )


def _is_ruled(case: Case, output: OutputAt, driven: Driven) -> bool:
    """Whether the customer wants that it never works without sight."""
    names = {*output.functions, output.path, driven.path, driven.path.split("/")[1], driven.works}
    return any(rule.never == "works without sight" and names & set(rule.of) for rule in case.job.rules)


def _wants_sight(driven: Driven) -> bool:
    crushes = driven.traits.can_crush and closes(driven)
    return surely_hurts(driven) or (crushes and not is_guarded(driven))
