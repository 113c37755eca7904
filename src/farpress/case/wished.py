"""What a function shall work, as wished, whether an output is drawn for it or not."""

from __future__ import annotations

from farpress.case.case import Case

__all__ = ["undrawn", "wished_inputs"]


def wished_inputs(case: Case, function: str) -> tuple[tuple[str, str], ...]:
    """Premises and "device.input" of everything a function is wished to work, in the order of the file.

    A wish that names no premises means the one that has such a device or panel.
    """
    found = []
    for written in case.job.functions[function].wished:
        premises, _, works = written.rpartition("/")
        if not premises:
            name = works.partition(".")[0]
            there = [
                key
                for key, house in case.job.premises.items()
                if name in house.devices or name in house.panels
            ]
            premises = there[0] if there else next(iter(case.job.premises))
        found.append((premises, works))
    return tuple(dict.fromkeys(found))


def undrawn(case: Case, function: str) -> tuple[tuple[str, str], ...]:
    """What is wished of a function and worked by none of its outputs.

    Another input of the same device, one for one, counts as drawn: whoever drew it chose the better one.
    """
    drawn = [(output.premises, works) for output in case.outputs_of(function) for works in output.works]
    left = []
    for wish in wished_inputs(case, function):
        if wish in drawn:
            drawn.remove(wish)
        else:
            left.append(wish)
    found = []
    for premises, works in left:
        instead = next((other for other in drawn if _device(other) == _device((premises, works))), None)
        if instead is None:
            found.append((premises, works))
        else:
            drawn.remove(instead)
    return tuple(found)


def _device(wish: tuple[str, str]) -> tuple[str, str]:
    return wish[0], wish[1].partition(".")[0]
