"""The button plan of a job: what lies where today, what would be best, why something cannot be.

Kinds of functions are those of the job file; several of one kind at one premises are
counted ("up 2"). What is learned on one press together stays together.
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from farpress.case.driven import holders
from farpress.core.keys.conflicts import Conflict, Demand, conflicts
from farpress.core.keys.layout import best_layout
from farpress.core.keys.layout_problem import USUAL, Costs, Holders, Layout, Rules, Wanted
from farpress.core.keys.memory import overfull, records_needed
from farpress.domain.job import Group, Job
from farpress.keys.rights import buttons_of, right_weight
from farpress.keys.second_fobs import on_several_fobs
from farpress.phrases import listed

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["CHILD_AGE", "LayoutPlan", "layout_problem", "plan_layout"]

CHILD_AGE: Final = 14
"""Under this age nobody has a button that moves a gate or sets or unsets an alarm; our choice, the parents
decide."""

MOVING: Final = frozenset(("open", "close", "stop", "up", "down", "call"))
LONG: Final = frozenset(("unset", "set and unset"))
ENTRY: Final = ("open", "unlock")


@dataclass(frozen=True)
class LayoutPlan:
    """The answer.

    Attributes:
        layout: the plan; None if the demands contradict.
        functions: (group, premises, kind) → names of the functions that lie there.
        why_not: sentences: the smallest contradictions, and what to give up.
        moved: group → fobs that must be learned again at least once, the same fobs.
        notes: what was taken for granted.
        exchanged: group → fobs to be replaced by another type, and learned.
        too_small: receivers whose memory holds no plan at all, with the rights that are too many and what
            to do.
        further: name of a further fob → the group whose people carry it beside the one they have.
        learnings: fobs times receivers at which something is learned anew, or learned on a further fob.
    """

    layout: Layout | None
    functions: Mapping[tuple[str, str, str], tuple[str, ...]]
    why_not: tuple[str, ...]
    moved: Mapping[str, int]
    notes: tuple[str, ...]
    exchanged: Mapping[str, int] = field(default_factory=dict)
    too_small: tuple[str, ...] = ()
    further: Mapping[str, str] = field(default_factory=dict)
    learnings: int = 0

    def rows(self) -> list[tuple[str, str, str]]:
        """Group, button, and the functions on it, in the order of the groups."""
        if self.layout is None:
            return []
        found: dict[tuple[str, int, bool], list[str]] = {}
        for placed in self.layout.placed:
            found.setdefault((placed.group, placed.button, placed.long), []).extend(
                self.functions[placed.group, placed.site, placed.kind]
            )
        order = {
            name: number
            for number, name in enumerate(dict.fromkeys(placed.group for placed in self.layout.placed))
        }
        return [
            (group, f"{button}{' long' if long else ''}", ", ".join(names))
            for (group, button, long), names in sorted(
                found.items(), key=lambda item: (order[item[0][0]], item[0][1:])
            )
        ]


def plan_layout(
    case: Case,
    *,
    costs: Costs = USUAL,
    limit_s: float = 60.0,
    besides: Container[str] = (),
    own_fobs: Container[str] = (),
) -> LayoutPlan:
    """The best button plan for all groups of a job, or why there is none.

    Nobody has judged it yet: see `mending.buttons.tried_layout`.

    Args:
        case: the job.
        costs: weights, where ours do not fit.
        limit_s: time for the search [s].
        besides: groups that keep their buttons; they are no part of the plan.
        own_fobs: groups that have no other kind of fob than the job says.
    """
    groups, rules, functions, notes = layout_problem(case)
    groups = [
        group._replace(types=(group.type_today,)) if group.name in own_fobs and group.type_today else group
        for group in groups
    ]
    groups = [group for group in groups if group.name not in besides]
    too_small = tuple(_memories(case, groups, functions))
    groups, further = _on_their_fobs(case, groups, rules, functions)
    layout = best_layout(groups=groups, rules=rules, costs=costs, limit_s=limit_s)
    if layout is None:
        found = conflicts(groups=groups, rules=rules)
        why = tuple(sentence for layout in found for sentence in _why(layout, functions)) or (
            f"No plan was found in {limit_s:.0f} s; give it more time.",
        )
        return LayoutPlan(None, functions, why, {}, tuple(notes), too_small=too_small)
    places = {
        (placed.group, placed.site, placed.kind): (placed.button, placed.long) for placed in layout.placed
    }
    exchanged = {
        group.name: group.fobs for group in groups if group.type_today not in ("", layout.types[group.name])
    }
    moved = {
        group.name: group.fobs
        for group in groups
        if group.name not in exchanged
        and any(
            want.today is not None and want.today != places[group.name, want.site, want.kind]
            for want in group.wanted
        )
    }
    learnings = sum(
        group.fobs * want.receivers
        for group in groups
        for want in group.wanted
        if group.name in exchanged
        or group.name in further
        or (want.today is not None and want.today != places[group.name, want.site, want.kind])
    )
    return LayoutPlan(layout, functions, (), moved, tuple(notes), exchanged, too_small, further, learnings)


def _on_their_fobs(
    case: Case, groups: list[Holders], rules: Rules, functions: dict[tuple[str, str, str], tuple[str, ...]]
) -> tuple[list[Holders], dict[str, str]]:
    """The groups with a further fob where one does not hold all; those whom none helps as they are."""
    found: list[Holders] = []
    further: dict[str, str] = {}
    for group in groups:
        fobs = on_several_fobs(group, rules, case.job.groups) or (group,)
        found += fobs
        for fob in fobs[1:]:
            further[fob.name] = group.name
            for want in fob.wanted:
                key = group.name, want.site, want.kind
                functions[fob.name, want.site, want.kind] = functions[key]
    return found, further


def layout_problem(
    case: Case,
) -> tuple[list[Holders], Rules, dict[tuple[str, str, str], tuple[str, ...]], list[str]]:
    """A job as a problem of the button plan: groups, rules, what stands behind each kind, and notes."""
    job = case.job
    kinds = _kinds(job)
    notes: list[str] = []
    functions: dict[tuple[str, str, str], tuple[str, ...]] = {}
    groups = []
    for name, group in job.groups.items():
        barred = _barred(case, group)
        wanted, behind = _wanted(case, name, group, kinds, notes)
        functions.update(behind)
        count = holders(group)
        if count is None:
            notes.append(f"How many fobs {name} have is not given; counted as one.")
        if wanted:
            groups.append(
                Holders(
                    name,
                    (count or 1) + group.spares,
                    tuple(wanted),
                    _types(case, name),
                    frozenset(kind for kind in {want.kind for want in wanted} if _base(kind) in barred),
                    group.fob,
                )
            )
    types = {
        group.fob: part.sheet.buttons
        for name, group in job.groups.items()
        if (part := case.equipment.fobs.get(name)) is not None
        and part.sheet.buttons
        and part.sheet.code != "fixed"
    }
    if not types:
        types = {"fob with 4 buttons": 4}
        notes.append("No fob of the job says how many buttons it has; 4 were taken.")
    groups = [
        group._replace(types=tuple(fob_type for fob_type in group.types if fob_type in types))
        for group in groups
    ]
    every = {want.kind for group in groups for want in group.wanted}
    short = _never_told_apart(case, kinds, notes)
    held = {
        kinds[name]
        for name, function in job.functions.items()
        if any(
            (output := job.output_of(path)) is not None and output.traits.while_held
            for path in function.paths
        )
    }
    apart = tuple(
        (a, c) for a in sorted(every) if _base(a) in LONG for c in sorted(every) if _base(c) in ENTRY
    )
    rules = Rules(
        types,
        frozenset(
            kind
            for kind in every
            if kind in short or ((_base(kind) in MOVING or kind in held) and _base(kind) not in LONG)
        ),
        frozenset(kind for kind in every if _base(kind) in LONG and kind not in short),
        apart,
        frozenset(kind for kind in every if _base(kind) == "call"),
    )
    return groups, rules, functions, notes


def _never_told_apart(case: Case, kinds: Mapping[str, str], notes: list[str]) -> set[str]:
    """Kinds of functions at a receiver of which nobody says that it tells a long press from a short one."""
    told, silent = set[str](), dict[str, None]()
    for name, kind in kinds.items():
        for output in case.outputs_of(name):
            part = case.equipment.receivers.get(output.receiver_path)
            if part is None or not part.sheet.tells_long:
                told.add(kind)
                silent[output.receiver_path] = None
    if silent:
        notes.append(
            f"No long press is planned at {listed(list(silent))}: nobody says that"
            f" {'it tells' if len(silent) == 1 else 'they tell'} one from a short press."
        )
    return told


def _base(kind: str) -> str:
    return kind.rstrip("0123456789").rstrip()


def _kinds(job: Job) -> dict[str, str]:
    """Function → kind; the second of a kind at one premises is "open 2"."""
    count: dict[tuple[str, str], int] = {}
    found = {}
    for name, function in job.functions.items():
        kind = function.kind or "other"
        kind = "unset" if kind == "set and unset" else kind
        premises = function.paths[0].split("/")[0] if function.paths else ""
        number = count[premises, kind] = count.get((premises, kind), 0) + 1
        found[name] = kind if number == 1 else f"{kind} {number}"
    return found


def _wanted(
    case: Case, name: str, group: Group, kinds: Mapping[str, str], notes: list[str]
) -> tuple[list[Wanted], dict[tuple[str, str, str], tuple[str, ...]]]:
    """One wish for each press of today's plan at each premises; what works several things keeps the gravest
    kind.
    """
    wanted: dict[tuple[str, str], Wanted] = {}
    behind: dict[tuple[str, str, str], tuple[str, ...]] = {}
    for button, learned in buttons_of(group).items():
        number, _, long = button.partition(" ")
        by_site: dict[str, list[str]] = {}
        for function in learned:
            for path in case.job.functions[function].paths if function in case.job.functions else ():
                names = by_site.setdefault(path.split("/")[0], [])
                if function not in names:
                    names.append(function)
        for site, names in by_site.items():
            gravest = max(names, key=lambda name: (right_weight(case, name), -names.index(name)))
            kind = kinds[gravest]
            if (site, kind) in wanted:
                continue
            if not number.isdigit():
                notes.append(
                    f"Button '{number}' of {name} is no number; today's place of {gravest} is not held"
                    " against a new one."
                )
            today = (int(number), bool(long)) if number.isdigit() else None
            boxes = {
                path.rsplit("/", 1)[0]
                for function in names
                for path in case.job.functions[function].paths
                if path.split("/")[0] == site
            }
            wanted[site, kind] = Wanted(site, kind, 1.0, today, len(boxes))
            behind[name, site, kind] = tuple(names)
    uses = _uses(group, [site for site, _ in wanted])
    return [want._replace(use=uses[want.site]) for want in wanted.values()], behind


def _uses(group: Group, sites: list[str]) -> dict[str, float]:
    """Presses of one function at each premises, a day; 1 where nothing is known."""
    total = sum(group.premises_visits.values())
    if group.presses_per_day is None:
        return dict.fromkeys(sites, 1.0)
    share = {
        site: group.visits_per_day.get(site, 0.0) / total if total > 0 else 1.0 / len(set(sites))
        for site in sites
    }
    return {
        site: round(max(group.presses_per_day * share[site] / sites.count(site), 0.01), 2) for site in sites
    }


def _barred(case: Case, group: Group) -> frozenset[str]:
    """Kinds that children, and fobs without a person, may not have."""
    ages = [case.job.people[person].age for person in group.people if person in case.job.people]
    if ages and any(age is not None and age < CHILD_AGE for age in ages):
        return frozenset(("open", "close", "up", "down", "set", "unset"))
    return frozenset(("unset",)) if group.pool else frozenset()


def _types(case: Case, name: str) -> tuple[str, ...]:
    part = case.equipment.fobs.get(name)
    if part is not None and part.sheet.code == "fixed":
        return (case.job.groups[name].fob,)
    return ()


def _memories(
    case: Case, groups: list[Holders], functions: Mapping[tuple[str, str, str], tuple[str, ...]]
) -> list[str]:
    """Receivers that can hold no plan: which rights are too many together, and what to give up."""
    reaches = {
        (group, site, kind): [
            path.rsplit("/", 1)[0]
            for name in names
            for path in case.job.functions[name].paths
            if path.split("/")[0] == site
        ]
        for (group, site, kind), names in functions.items()
    }
    fobs, buttons = (
        records_needed(groups=groups, reaches=reaches, counts_buttons=each) for each in (False, True)
    )
    found = []
    for receiver, part in case.equipment.receivers.items():
        capacity, counts = part.sheet.capacity, part.sheet.capacity_counts
        needs = (buttons if counts == "buttons" else fobs).get(receiver, {})
        too_many = None if capacity is None else overfull(needs=needs, room=capacity)
        if capacity is None or too_many is None:
            continue
        smallest = too_many.smallest
        these = (
            f"{listed(smallest)} alone {'needs' if len(smallest) == 1 else 'need'}"
            f" {sum(needs[group] for group in smallest)}"
        )
        says = (
            f"{receiver} holds {capacity} {counts or 'records'}; every plan needs {too_many.need}"
            + (f", {these}" if len(smallest) < len(needs) else f", of {listed(smallest)}")
            + "."
        )
        all_fobs = sum(fobs[receiver].values())
        remedies = [
            (
                f"Take one that counts fobs ({all_fobs} would fit)"
                if counts == "buttons" and all_fobs <= capacity
                else "Take one that holds more"
            ),
            f"share {listed(list(needs))} out over two ('keys split')",
        ]
        remedies += [
            f"give up the rights of {listed(way)} there ({sum(needs[group] for group in way)} records)"
            for way in too_many.ways
            if len(way) < len(needs)
        ]
        found.append(f"{says} {remedies[0]}, or {'; or '.join(remedies[1:])}.")
    return found


def _why(conflict: Conflict, functions: Mapping[tuple[str, str, str], tuple[str, ...]]) -> list[str]:
    def says(demand: Demand) -> str:
        about = demand.about
        match demand.what:
            case "has":
                return f"{listed(functions.get((conflict.group, *about), about))} on the fob"  # type: ignore[arg-type]
            case "short":
                return f"'{about[0]}' only pressed short"
            case "long":
                return f"'{about[0]}' only pressed long"
            case "apart":
                return f"'{about[0]}' and '{about[1]}' not on one button"
            case "alone":
                return f"'{about[0]}' with a button of its own"
            case "barred":
                return f"no '{about[0]}' for this group"
        return f"no more than {about[0]} buttons"

    def gives(demand: Demand) -> str:
        about = demand.about
        match demand.what:
            case "has":
                return f"leave {listed(functions.get((conflict.group, *about), about))} out"  # type: ignore[arg-type]
            case "buttons":
                return f"take a fob with more than {about[0]} buttons, or a second fob"
            case "barred":
                return f"allow '{about[0]}' after all, signed for"
            case "short" | "long":
                return f"allow '{about[0]}' pressed {'long' if demand.what == 'short' else 'short'}"
        return f"allow {' and '.join(repr(name) for name in about)} on a shared button"

    first = (
        f"{conflict.group}: these cannot all be: {'; '.join(says(demand) for demand in conflict.demands)}."
    )
    ways = "; or ".join(" and ".join(gives(demand) for demand in way) for way in conflict.ways)
    return [
        first,
        f"{conflict.group}: it works if you {ways}." if ways else f"{conflict.group}: nothing single helps.",
    ]
