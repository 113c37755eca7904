"""Draw up an installation from what is wished: choose, draw, mend, judge; each variant whole.

The reach model and the solver choose where receivers hang and what each works; the wish, the rules and the
data sheets decide the kinds of outputs; cables and supplies begin as a first sum. The draft is judged: a
promise not heard goes back to the choice as a constraint. Then it is mended like any other job, until
nothing more can be mended, and what is shown is what was judged.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from typing import Final

from farpress.case.case import Case, promise_id
from farpress.case.changed import with_changes
from farpress.design.buttons import button_decisions
from farpress.design.cables import contact_cable
from farpress.design.choosing import ChosenBox, Field, Refuted, Variant, field_of
from farpress.design.completing import completed
from farpress.design.contradictions import contradictions
from farpress.design.drawing import Decision, drawn, supply_decisions
from farpress.design.figures import figures_of
from farpress.design.fixes import NOTHING_FIXED, Fixes
from farpress.design.makes import makes_of
from farpress.design.norms import norms_with, weights_of
from farpress.design.power import feeds_of
from farpress.design.result import Design, Designs
from farpress.design.signals import TakenSignal, signal_decisions
from farpress.design.sites import BoxSite, nearest_named, site_called, sites_of
from farpress.design.wishes import WishedContact, Wishes, wishes_of
from farpress.domain.finding import Assessment, Change, Verdict
from farpress.domain.refs import PromiseRef, refs_of
from farpress.errors import InputError
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from farpress.mending.plan import mend
from farpress.phrases import listed
from farpress.quoting.quotation import FirmLists, quotation_of
from farpress.reach.radio_link import radio_of

__all__ = ["design", "first_at_its_name"]

_ROUNDS: Final = 3
"""So often the judge's refutation goes back to the choice; our choice."""

Progress = Callable[[str, int, int], None]


def design(
    case: Case,
    *,
    variants: Sequence[Variant] = tuple(Variant),
    fixes: Fixes = NOTHING_FIXED,
    keep: Collection[str] = (),
    forbid: Collection[str] = (),
    lists: FirmLists | None = None,
    signals: Sequence[TakenSignal] = (),
    progress: Progress | None = None,
) -> Designs:
    """Draw up what is wished and not there yet; what stands already stays as it is.

    Args:
        case: a job that was read from a file.
        variants: which.
        fixes: choices that are taken as they are.
        keep: further things, as a device or a group, that mending must not touch.
        forbid: words of parts that must not be used.
        lists: of the firm: minutes that it has none of count as in the invented pattern; without prices no
            money is weighed or told.
        signals: of receivers that were taken away, led to the same places from new ones.
        progress: told what is done, how many of how many; may raise KeyboardInterrupt to stop with what is
            whole.

    Raises:
        InputError: the job was made by a program; there is nothing to draw; there is nowhere to mount
            anything.
    """
    tell = progress or (lambda what, done, of: None)
    if case.document is None:
        raise InputError("This job was made by a program and has no file to draw in; save it first.")
    wishes = wishes_of(case, fixes)
    if not wishes.loads and not wishes.asks:
        raise InputError(
            "There is nothing left to draw: each function has an output for what it shall work. Write"
            " 'works' at a function, or have what stands drawn anew with --anew."
        )
    given = lists or FirmLists()
    drawer = _Drawer(case, wishes, fixes, (tuple(keep), tuple(forbid)), given, tell)
    drawer.signals = tuple(signals)
    found: list[Design] = []
    is_cut_short = False
    try:
        drawer.prepare()
        for variant in variants if wishes.loads else ():
            found.append(drawer.variant(variant))
            if found[-1].plan.is_cut_short:
                raise KeyboardInterrupt
    except KeyboardInterrupt:
        is_cut_short = True
    asks = [*wishes.asks.items(), *drawer.asks]
    return Designs(
        case,
        tuple(first_at_its_name(own, found) for own in found),
        tuple(dict.fromkeys(asks)),
        drawer.places(),
        drawer.unheard(),
        is_cut_short,
        bool(given.norms.by_task),
        bool(given.prices.prices),
    )


def first_at_its_name(own: Design, found: Sequence[Design]) -> Design:
    """A variant, or another that is more of what this one is called after and keeps as much: mending may
    bring a draft more than its choice spared.

    Args:
        own: the variant.
        found: all that were drawn.
    """
    measures: dict[Variant, Callable[[Design], float]] = {
        Variant.CHEAPEST: _dearness(found),
        Variant.FEWEST: lambda design: design.figures.boxes,
    }
    measure = measures.get(own.variant)
    if measure is None:
        return own
    as_good = [
        other
        for other in found
        if other.figures.kept >= own.figures.kept and other.figures.fails <= own.figures.fails
    ]
    best = min(as_good, key=measure)
    if measure(best) >= measure(own):
        return own
    return replace(best, variant=own.variant, instead_of=own.figures, drawn_as=best.variant)


def _dearness(found: Sequence[Design]) -> Callable[[Design], float]:
    """Money where each variant's is known and lacks the same prices, else minutes of work."""
    priced = [design.figures for design in found]
    if (
        all(figures.money is not None for figures in priced)
        and len({frozenset(figures.unpriced) for figures in priced}) == 1
    ):
        return lambda design: float(design.figures.money or 0)
    return lambda design: design.figures.minutes


class _Drawer:
    def __init__(
        self,
        case: Case,
        wishes: Wishes,
        fixes: Fixes,
        limits: tuple[tuple[str, ...], tuple[str, ...]],
        lists: FirmLists,
        tell: Progress,
    ) -> None:
        self.case, self.wishes, self.fixes = case, wishes, fixes
        self.lists, self.tell = replace(lists, norms=norms_with(lists.norms)), tell
        self.stands = quotation_of(case, assess(case), self.lists) if lists.prices.prices else None
        keep, self.forbid = limits
        self.keep = (*_standing(case), *keep)
        self.premises = tuple(dict.fromkeys(contact.premises for contact in wishes.contacts))
        self.fields: dict[str, Field] = {}
        self.asks: list[tuple[str, str]] = []
        self.signals: tuple[TakenSignal, ...] = ()

    def prepare(self) -> None:
        """Look at every place of every premises."""
        for number, name in enumerate(self.premises):
            self.tell("places for receivers", number, len(self.premises))
            sites = sites_of(radio_of(self.case), name)
            source = self._source(name, sites) if sites else BoxSite("", (0.0, 0.0, 0.0), None)
            makes = makes_of(self.case, name, source.at)
            weights = weights_of(
                self.lists.norms, self.lists.prices, receivers=makes.receivers, cable=contact_cable(self.case)
            )
            self.fields[name] = field_of(
                self.case, name, self.wishes.loads, sites, makes, source, self.fixes, weights
            )

    def places(self) -> int:
        """Places that were looked at."""
        return sum(field.looked_at() for field in self.fields.values())

    def unheard(self) -> tuple[tuple[str, float, str], ...]:
        """Promises that no place hears as surely as promised."""
        found: dict[tuple[str, float, str], list[str]] = {}
        for field in self.fields.values():
            for promise in dict.fromkeys(promise for asked in field.asked for promise, _ in asked):
                best = field.best_share(promise_id(promise))
                if best is not None and best[0] < promise.at_least_share:
                    wish = (f"{promise.function} from {promise.from_}", best[0], best[1].name)
                    found.setdefault(wish, []).append(promise.to)
        return tuple((f"{listed(groups)}: {wish[0]}", *wish[1:]) for wish, groups in found.items())

    def variant(self, variant: Variant) -> Design:
        """One variant, drawn, mended and judged."""
        refuted: Refuted = frozenset()
        tried: dict[object, tuple[tuple[Decision, ...], Case]] = {}
        key: object = None
        for number in range(_ROUNDS):
            self.tell(f"{variant}: choice and draft", number, _ROUNDS)
            boxes = {name: self._chosen(name, variant, refuted) for name in self.premises}
            key = tuple(box.key for chosen in boxes.values() for box in chosen)
            if key in tried:
                break
            decisions, drafted = tried[key] = self._drafted(boxes)
            with without_remedies():
                judged = assess(drafted)
            more = refuted | _not_heard(self.case, judged, boxes, decisions)
            if more == refuted:
                break
            refuted = more
        decisions, drafted = tried[key]
        self.tell(f"{variant}: mending", 0, 1)
        keep = (*self.keep, *self._fixed_keys(decisions))
        done = completed(drafted, keep=keep, forbid=self.forbid)
        plan = mend(
            done.case,
            keep=keep,
            forbid=self.forbid,
            progress=lambda what, done, of: self.tell(f"{variant}: {what}", done, of),
        )
        draft = tuple(change for decision in decisions for change in decision.changes)
        mended = tuple(change for step in plan.steps for change in step.candidate.changes)
        whole = with_changes(done.case, mended) if mended else done.case
        figures = figures_of(self.case, whole, plan.after, self.lists, self.stands)
        against = contradictions(self.case, whole, plan)
        stages = tuple(stage for stage in (draft, *done.stages, mended) if stage)
        return Design(variant, decisions, (*done.steps, *plan.steps), plan, whole, figures, stages, against)

    def _source(self, premises: str, sites: Sequence[BoxSite]) -> BoxSite:
        """Where new supplies hang: where mains is said to be, else at the panel, else in the middle,
        indoors.
        """
        house = self.case.job.premises[premises]
        fixed = self.fixes.of(premises).get("supply at")
        if fixed is not None:
            return site_called(sites, fixed, house)
        with_mains = [site for site in sites if site.mains]
        at_panels = [site for site in sites if site.name.removeprefix("at ") in house.panels]
        ends = [device.at for device in house.devices.values() if device.at is not None]
        chosen = nearest_named(with_mains or at_panels or sites, ends)
        if not chosen.mains:
            self.asks.append(
                (
                    premises,
                    f"See whether mains is there for a supply {chosen.name} ({premises}); name a mount with"
                    " 'mains: true' where it is.",
                )
            )
        return chosen

    def _chosen(self, premises: str, variant: Variant, refuted: Refuted) -> tuple[ChosenBox, ...]:
        boxes = self.fields[premises].choose(variant, refuted)
        if boxes is None:
            raise InputError(
                f"No choice of receivers at {premises} fits: none in the list, or none that a --fix allows,"
                " has outputs enough, can be set to the pulse, and holds all fobs. Give up one --fix, or"
                " describe a larger receiver under 'parts'."
            )
        return boxes

    def _drafted(self, boxes: dict[str, tuple[ChosenBox, ...]]) -> tuple[tuple[Decision, ...], Case]:
        """The decisions of a choice, and the job with them."""
        decisions: list[Decision] = []
        for name, chosen in boxes.items():
            field = self.fields[name]
            contacts = [contact for contact in self.wishes.contacts if contact.premises == name]
            bought = [field.makes.receivers[box.part] for box in chosen if box.part]
            feeds, asks = feeds_of(self.case, name, contacts, field.makes, bought, self.fixes.of(name))
            self.asks += [(name, ask) for ask in asks]
            self.asks += [(name, ask) for ask in _placeless(self.case, contacts)]
            decisions += supply_decisions(name, feeds, field.source)
            decisions += drawn(self.case, name, chosen, feeds, field.source, field.makes, self.fixes)
        decisions += _pressed(self.case, decisions)
        made = with_changes(self.case, [change for decision in decisions for change in decision.changes])
        led, unled = signal_decisions(made, self.case, self.signals)
        self.asks += unled
        more = (*led, *button_decisions(made))
        if more:
            decisions += more
            made = with_changes(self.case, [change for decision in decisions for change in decision.changes])
        return tuple(decisions), made

    def _fixed_keys(self, decisions: Sequence[Decision]) -> Sequence[str]:
        """Keys of drawn outputs that the user fixed, as mending keeps them."""
        found = []
        for decision in decisions:
            for function, path in decision.paths:
                fixed = self.fixes.of(function)
                found += [
                    f"{path}/{key}" for key in fixed if key in ("kind", "for", "via", "suppression", "cable")
                ]
                if "at" in fixed:
                    found.append(path.rsplit("/", 1)[0] + "/at")
        return list(dict.fromkeys(found))


def _placeless(case: Case, contacts: Sequence[WishedContact]) -> list[str]:
    """Questions for devices and panels of which nobody says where they are: no cable is drawn to them."""
    found = []
    for contact in contacts:
        thing = case.driven(contact.premises, contact.works[0])
        if thing is not None and thing.at is None:
            path = f"{contact.premises}/{contact.device}"
            found.append(f"Say where {path} is ('at'): no cable is drawn to it before.")
    return found


def _standing(case: Case) -> tuple[str, ...]:
    """Receivers and supplies that are there, as mending names them."""
    return tuple(
        f"{premises}/{name}"
        for premises, house in case.job.premises.items()
        for name in (*house.receivers, *house.supplies)
    )


def _pressed(case: Case, decisions: Sequence[Decision]) -> list[Decision]:
    """Every function with the outputs drawn for it, behind those it has."""
    paths: dict[str, list[str]] = {}
    for decision in decisions:
        for function, path in decision.paths:
            paths.setdefault(function, []).append(path)
    changes = []
    for name, new in paths.items():
        written = case.job.functions[name]
        every = [*written.paths, *new]
        if len(every) == 1:
            changes.append(Change(("functions", name, "output"), every[0]))
            continue
        if written.output is not None:
            changes.append(Change(("functions", name, "output"), None))
        changes.append(Change(("functions", name, "outputs"), every))
    return (
        [Decision("Each function with its outputs", "so that a press reaches them", tuple(changes))]
        if changes
        else []
    )


def _not_heard(
    case: Case, judged: Assessment, boxes: dict[str, tuple[ChosenBox, ...]], decisions: Sequence[Decision]
) -> Refuted:
    """Promises that the judge finds not heard, with the place and part of the receiver that does not hear
    them.
    """
    hung = {}
    for name, chosen in boxes.items():
        drawn_here = [
            decision for decision in decisions if decision.paths and decision.at.startswith(f"{name}/")
        ]
        for box, decision in zip(chosen, drawn_here, strict=True):
            hung[decision.at] = (box.site.name, box.part)
    receivers: dict[str, set[str]] = {}
    for decision in decisions:
        for function, path in decision.paths:
            receivers.setdefault(function, set()).add(path.rsplit("/", 1)[0])
    functions = {promise_id(promise): promise.function for promise in case.job.promises}
    found = set()
    for finding in judged.findings:
        if finding.code != "AIR-01" or finding.verdict is not Verdict.FAILS:
            continue
        for promise in refs_of(PromiseRef, finding.subjects):
            for receiver in receivers.get(functions.get(promise.path, ""), ()):
                if receiver in hung:
                    found.add((promise.path, *hung[receiver]))
    return frozenset(found)
