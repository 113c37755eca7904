"""Receivers that do the same at a press: one that hears is enough, as where two cover a wide site."""

from __future__ import annotations

from farpress.case.case import Case, OutputAt
from farpress.domain.job import Promise
from farpress.reach.radio_link import Radio
from farpress.units import write_share

__all__ = ["either_enough"]


def either_enough(
    case: Case, radio: Radio, promise: Promise, placed: dict[str, OutputAt]
) -> tuple[dict[str, OutputAt], dict[str, str]]:
    """Of the receivers of a promise those that have to hear it, and what is to be said of the others.

    Outputs that work the very same inputs by a pulse, or as long as the button is held, do it whichever of
    them hears; what keeps a state falls out of step instead, so that each has to hear.
    """
    alike: dict[tuple[str, ...], list[str]] = {}
    for path, output in placed.items():
        works = tuple(sorted(f"{output.premises}/{name}" for name in output.works))
        if works and not output.output.traits.keeps_state:
            alike.setdefault(works, []).append(path)
    kept, beside = dict(placed), dict[str, str]()
    for paths in alike.values():
        found = {path: _share(case, radio, promise, placed[path]) for path in paths}
        shares = {path: share for path, share in found.items() if share is not None}
        if len(paths) < 2 or not shares:
            continue
        best = max(shares, key=lambda path: shares[path])
        others = [path for path in shares if path != best]  # of which nothing is known may not be left out
        beside[best] = " ".join(
            f"{other} works the same and hears it in {write_share(shares[other], '.0f')}: either is enough."
            for other in others
        )
        for other in others:
            del kept[other]
    return kept, {path: says for path, says in beside.items() if says}


def _share(case: Case, radio: Radio, promise: Promise, output: OutputAt) -> float | None:
    """How surely a receiver hears the promise; None where that is not known."""
    location = case.place(promise.from_, output.premises)
    if location is None or location[0] != output.premises:
        return None
    link = radio.link(
        group=promise.to,
        premises=output.premises,
        receiver=output.receiver,
        place=case.job.premises[location[0]].places[location[1]],
        place_path="/".join(location),
    )
    return link.share(int(promise.within_presses))
