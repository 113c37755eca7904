"""Differences between two states of a job file, and the merge of two people's changes.

Works on plain values (tables, lists, text, numbers), never on the text: where both sides
changed the same value the merge is refused, and each such value is named with both versions.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from farpress.domain.finding import Change
from farpress.errors import FarpressError

__all__ = ["Clash", "MergeRefused", "differences", "merge_values", "with_changes"]

Path = tuple[str | int, ...]

_ABSENT: Final = object()


@dataclass(frozen=True)
class Clash:
    """One value that both sides changed; None stands for "not there"."""

    path: Path
    before: object
    mine: object
    theirs: object


class MergeRefused(FarpressError):
    """Two people changed the same values; nothing was written. `clashes` holds both versions."""

    def __init__(self, clashes: Sequence[Clash]) -> None:
        """Say where the two differ."""
        self.clashes = tuple(clashes)
        places = ", ".join(".".join(map(str, clash.path)) for clash in self.clashes[:3])
        more = f" and {len(self.clashes) - 3} more" if len(self.clashes) > 3 else ""
        super().__init__(
            f"Somebody else changed the same place meanwhile: {places}{more}. Nothing was written. Look at"
            " both versions and choose one."
        )


def merge_values(before: Any, mine: Any, theirs: Any) -> Any:
    """The state that holds both sides' changes.

    Entries added to the end of one list by both sides are all kept, theirs first.

    Args:
        before: what both sides started from.
        mine, theirs: the two states.

    Raises:
        MergeRefused: both changed the same value in different ways.
    """
    clashes: list[Clash] = []
    merged = _merged((), before, mine, theirs, clashes)
    if clashes:
        raise MergeRefused(clashes)
    return merged


def differences(before: Any, after: Any) -> list[Change]:
    """Changes that make one state into the other, as small as they can be.

    Applied in this order they lead from `before` to `after`; see `with_changes`.
    """
    changes: list[Change] = []
    _differ((), before, after, changes)
    return changes


def with_changes(state: Any, changes: Sequence[Change]) -> Any:
    """A state with changes made in it; the given one stays as it is.

    Raises:
        FarpressError: a path leads nowhere.
    """
    made = json.loads(json.dumps(state))
    for change in changes:
        place: Any = made
        for key in change.path[:-1]:
            if isinstance(place, dict):
                place = place.setdefault(str(key), {})
            elif isinstance(place, list) and isinstance(key, int) and 0 <= key < len(place):
                place = place[key]
            else:
                raise FarpressError(
                    f"There is no {'.'.join(map(str, change.path))} in the job any more; somebody may have"
                    " removed it."
                )
        last = change.path[-1]
        if isinstance(place, dict):
            if change.value is None:
                place.pop(str(last), None)
            else:
                place[str(last)] = change.value
        elif isinstance(place, list) and isinstance(last, int) and 0 <= last <= len(place):
            if change.value is None:
                del place[last : last + 1]
            else:
                place[last : last + 1] = [change.value]
        else:
            raise FarpressError(
                f"There is no {'.'.join(map(str, change.path))} in the job any more; somebody may have"
                " removed it."
            )
    return made


def _merged(path: Path, before: Any, mine: Any, theirs: Any, clashes: list[Clash]) -> Any:
    if _same(mine, theirs) or _same(theirs, before):
        return mine
    if _same(mine, before):
        return theirs
    if isinstance(mine, dict) and isinstance(theirs, dict):
        base = before if isinstance(before, dict) else {}
        merged = {}
        for key in [*theirs, *(key for key in mine if key not in theirs)]:
            value = _merged(
                (*path, key),
                base.get(key, _ABSENT),
                mine.get(key, _ABSENT),
                theirs.get(key, _ABSENT),
                clashes,
            )
            if value is not _ABSENT:
                merged[key] = value
        return merged
    if isinstance(before, list) and isinstance(mine, list) and isinstance(theirs, list):
        together = _merged_list(path, before, mine, theirs, clashes)
        if together is not None:
            return together
    clashes.append(Clash(path, *(None if side is _ABSENT else side for side in (before, mine, theirs))))
    return theirs


def _merged_list(
    path: Path, before: list[Any], mine: list[Any], theirs: list[Any], clashes: list[Clash]
) -> list[Any] | None:
    count = len(before)
    if len(mine) >= count and len(theirs) >= count and not (path and path[-1] == "at"):
        kept = [
            _merged((*path, index), before[index], mine[index], theirs[index], clashes)
            for index in range(count)
        ]
        return kept + theirs[count:] + [entry for entry in mine[count:] if entry not in theirs[count:]]
    for shorter, other in ((mine, theirs), (theirs, mine)):
        gone = _left_out(before, shorter)
        if (
            gone is not None
            and len(other) >= count
            and all(_same(other[index], before[index]) for index in gone)
        ):
            return [entry for index, entry in enumerate(other) if index not in gone]
    first, second = _left_out(before, mine), _left_out(before, theirs)
    if first is not None and second is not None:
        return [entry for index, entry in enumerate(before) if index not in first | second]
    return None


def _left_out(before: list[Any], after: list[Any]) -> set[int] | None:
    """Which entries went, where nothing else changed; else None."""
    gone: set[int] = set()
    position = 0
    for index, entry in enumerate(before):
        if position < len(after) and _same(entry, after[position]):
            position += 1
        else:
            gone.add(index)
    return gone if position == len(after) else None


def _differ(path: Path, before: Any, after: Any, changes: list[Change]) -> None:
    if _same(before, after):
        return
    if isinstance(before, dict) and isinstance(after, dict):
        for key in before:
            if key not in after:
                changes.append(Change((*path, key), None))
        for key, value in after.items():
            if key in before:
                _differ((*path, key), before[key], value, changes)
            else:
                changes.append(Change((*path, key), value))
        return
    if isinstance(before, list) and isinstance(after, list):
        if len(before) <= len(after):
            for index, value in enumerate(after):
                if index < len(before):
                    _differ((*path, index), before[index], value, changes)
                else:
                    changes.append(Change((*path, index), value))
            return
        gone = _left_out(before, after)
        if gone is not None and after:
            changes.extend(Change((*path, index), None) for index in sorted(gone, reverse=True))
            return
    changes.append(Change(path, after))


def _same(value: Any, other: Any) -> bool:
    """Equal, and of one kind: 1 and true are not the same."""
    if value is _ABSENT or other is _ABSENT:
        return value is other
    if isinstance(value, dict) and isinstance(other, dict):
        return value.keys() == other.keys() and all(_same(inner, other[key]) for key, inner in value.items())
    if isinstance(value, list) and isinstance(other, list):
        return len(value) == len(other) and all(map(_same, value, other))
    return bool(value == other) and isinstance(value, bool) == isinstance(other, bool)
