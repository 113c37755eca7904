"""Names of a job that a field of a form suggests."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from farpress.desk.form_schema import Path
from farpress.domain.job import Job

__all__ = ["names_for"]


def names_for(path: Path, key: str, job: Job, known: Mapping[str, Collection[str]]) -> tuple[str, ...]:
    """Names that make sense in a field: places, outputs, parts, inputs, as far as the job has them."""
    house = job.premises.get(str(path[1])) if len(path) > 1 and path[0] == "premises" else None
    top = str(path[0]) if path else ""
    if key == "part" or (key == "fob" and top == "groups") or (key in ("via", "like", "cell")):
        return tuple(sorted(_parts(path, key, job, known)))
    if key in ("build", "slab"):
        return tuple(sorted(known.get("build", ())))
    if key == "level" and house is not None:
        return tuple(house.levels)
    if key in ("works", "with", "reads", "tamper") and house is not None:
        things = [(name, thing) for table in (house.devices, house.panels) for name, thing in table.items()]
        inputs = []
        for name, thing in things:
            own = (job.parts.get(thing.part or "") if thing.part else None) or thing
            found = getattr(own, "outputs" if key == "reads" else "inputs", None) or {}
            inputs += [f"{name}.{terminal}" for terminal in found] or [name]
        return tuple(inputs)
    if key in ("from", "load_from") and house is not None:
        return tuple(house.supplies)
    if key in ("output", "outputs"):
        return tuple(
            f"{name}/{box}/{number}"
            for name, house in job.premises.items()
            for box, receiver in house.receivers.items()
            for number in receiver.outputs
        )
    if key == "receiver":
        return tuple(f"{name}/{box}" for name, house in job.premises.items() for box in house.receivers)
    if key == "to" or (key == "by" and top == "rules"):
        return tuple(job.groups)
    if key in ("function", "of"):
        return tuple(job.functions)
    if key in ("from", "place"):
        several = len(job.premises) > 1
        return tuple(
            f"{name}/{place}" if several else place
            for name, house in job.premises.items()
            for place in house.places
        )
    if key == "sees" and house is not None:
        return tuple(house.devices)
    if key == "people":
        return tuple(job.people)
    return ()


def _parts(path: Path, key: str, job: Job, known: Mapping[str, Collection[str]]) -> set[str]:
    words = [str(step) for step in path] + [key]
    for word, kind in (
        ("coax", "coax"),
        ("cable", "cable"),
        ("antenna", "aerial"),
        ("antenna_places", "aerial"),
        ("battery", "battery"),
        ("via", "relay"),
        ("fob", "fob"),
        ("cell", "cell"),
        ("receivers", "receiver"),
        ("devices", "device"),
        ("panels", "panel"),
        ("supplies", "supply"),
    ):
        if word in words:
            own = {name for name, part in job.parts.items() if part.kind == kind}
            return own | set(known.get(kind, ()))
    return set(job.parts) | set().union(*(names for kind, names in known.items() if kind != "build"))
