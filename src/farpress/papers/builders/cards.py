"""User cards: for each holder only their buttons, in the language asked for.

What moves, where to stand, how it tells that it worked, which cautions apply: all from
the job and its judgements. A place that is not reliable on paper says so on the card.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from farpress.case.case import promise_id
from farpress.case.driven import driven_of, moves
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Finding, Verdict
from farpress.domain.parts import Part
from farpress.domain.receiver_sheets import CellSheet
from farpress.domain.refs import GroupRef, PromiseRef, ReceiverRef, refs_of
from farpress.judging.device.safeguards import blind_places
from farpress.judging.fob.cell_plan import cell_plan
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.card_words import FunctionWords
from farpress.papers.builders.cell_months import change_by, put_in
from farpress.papers.builders.holders import HeldFob, Holder, Press, holders_of
from farpress.papers.builders.own_words import called
from farpress.papers.builders.risks import cautions_of
from farpress.papers.typesetting.cards import Card, CardFob, CardPress, Label
from farpress.upkeep.cells import change_months

__all__ = ["CardMaker", "labels_of"]


class CardMaker:
    """Makes the cards of one basis; what two holders of one group share is worked out once."""

    def __init__(self, basis: Basis) -> None:
        """Keep the basis."""
        self.basis = basis
        self._texts = basis.texts
        self._words = FunctionWords(basis)
        self._heard = {
            subject: finding
            for finding in basis.of_code("AIR-01")
            for subject in refs_of(PromiseRef, finding.subjects)
        }
        self._presses = lru_cache(maxsize=4096)(self._card_presses)
        self._used_up = lru_cache(maxsize=None)(
            lambda group: cell_plan(basis.case, group) if group in basis.case.job.groups else None
        )

    def batches(self) -> Iterator[tuple[str, tuple[Card, ...]]]:
        """Cards in heaps to be handed over together: (name of the heap, cards); named holders first, then
        group by group.
        """
        named: list[Card] = []
        heaps: dict[str, list[Card]] = {}
        for holder in holders_of(self.basis):
            card = self.card(holder)
            if holder.name or not holder.place:
                named.append(card)
            else:
                heaps.setdefault(holder.fobs[0].group, []).append(card)
        if named:
            yield "", tuple(named)
        for name, cards in heaps.items():
            yield name, tuple(cards)

    def card(self, holder: Holder) -> Card:
        """The card of one holder."""
        say, basis = self._texts.say, self.basis
        functions = tuple(
            dict.fromkeys(
                function for fob in holder.fobs for press in fob.presses for function in press.functions
            )
        )
        below = " · ".join(
            address
            for address in (
                holder.organisation,
                say("pool fob, for nobody in particular") if holder.is_pool else "",
                self._place(holder),
                basis.case.job.job,
            )
            if address
        )
        phone = (basis.case.job.details.telephone or "").replace(" ", "\u00a0")  # a number stays on one line
        missing = [] if phone else [say("Whom to ring about a lost fob: no telephone is given in the job.")]
        if any(fob.entry is None or put_in(fob.entry.cell_date) is None for fob in holder.fobs):
            missing.append(
                say("Month in which the cell was put in: write it down when the fob is handed over.")
            )
        return Card(
            name=holder.name,
            below=below,
            fobs=tuple(self._fob(fob) for fob in holder.fobs),
            cautions=tuple(say(CAUTIONS[name]) for name in cautions_of(basis, functions)),
            after_power=self._words.after_power(tuple(name for name in functions if self._is_in_use(name))),
            lost=(
                f"{say('Report it the same day with its label number; a lost fob is a lost key.')}"
                f" {say('Ring {phone}.', phone=phone) if phone else ''}".strip()
            ),
            cell=self._cell(holder),
            nothing=(
                f"{say('Go nearer and press once more.')}"
                f" {say('Still nothing: ring {phone}.', phone=phone) if phone else ''}".strip()
            ),
            missing=tuple(missing),
        )

    def _place(self, holder: Holder) -> str:
        number, _, count = holder.place.partition(" of ")
        return (
            self._texts.say("holder {number} of {count}", number=number, count=count) if holder.place else ""
        )

    def _fob(self, fob: HeldFob) -> CardFob:
        part = self.basis.case.equipment.fobs.get(fob.group)
        note = self._texts.say("planned label") if fob.is_planned else ""
        presses = self._presses(fob.group, fob.presses)
        return CardFob(
            fob.label,
            note,
            (part.sheet.buttons if part is not None else None)
            or max((_number(press.button) for press in fob.presses), default=1),
            presses,
            self._advice(fob.group, fob.presses),
        )

    def _card_presses(self, group: str, presses: tuple[Press, ...]) -> tuple[CardPress, ...]:
        say = self._texts.say
        lengths: dict[str, set[bool]] = {}
        for press in presses:
            lengths.setdefault(press.button, set()).add(press.is_long)
        found = []
        for press in presses:
            how = ""
            if press.is_long:
                how = say("hold for two seconds")
            elif len(lengths[press.button]) > 1:
                how = say("press briefly")
            found += [self._card_press(group, press.button, how, function) for function in press.functions]
        return tuple(found)

    def _card_press(self, group: str, button: str, how: str, function: str) -> CardPress:
        """What one button does; of what is barred only that it does nothing, of what waits that it waits."""
        say, paths = self._texts.say, [output.path for output in self.basis.case.outputs_of(function)]
        named = self._texts.own(function)
        if not self._is_in_use(function):
            nothing = say(
                "It is barred: somebody could be hurt. The button stays without use until it is changed."
            )
            return CardPress(button, say("not in use"), named, nothing, (), "")
        what = self._words.what(function)
        if any(not self.basis.standings[path].may_be_used for path in paths):
            what = f"{say('Not before the installer tells you: something is not settled yet.')} {what}"
        return CardPress(button, how, named, what, self._where(group, function), self._words.tells(function))

    def _is_in_use(self, function: str) -> bool:
        """Whether nothing bars what a function works."""
        outputs = self.basis.case.outputs_of(function)
        return not any(output.path in self.basis.barred for output in outputs)

    def _where(self, group: str, function: str) -> tuple[str, ...]:
        say, found, unseen = self._texts.say, list[str](), self._unseen(function)
        for promise in self.basis.case.job.promises:
            if promise.to != group or promise.function != function:
                continue
            if promise.from_ in unseen:
                found.append(
                    say(
                        "not from {place}: {device} is not seen from there",
                        place=self._texts.own(promise.from_),
                        device=unseen[promise.from_],
                    )
                )
                continue
            found.append(
                self._stand(
                    promise.from_,
                    function,
                    self._heard.get(PromiseRef(promise_id(promise))),
                    promise.within_presses,
                )
            )
        outputs = self.basis.case.outputs_of(function)
        moved = [
            called(self.basis, load)
            for output in outputs
            for load in driven_of(self.basis.case, output)
            if moves(load)
        ]
        if moved:
            found.append(
                say(
                    "only where you see the whole of {device}, and nobody is in it",
                    device=", ".join(dict.fromkeys(moved)),
                )
            )
        return tuple(found) or (say("no place is promised: try it first"),)

    def _unseen(self, function: str) -> dict[str, str]:
        """Places from which something that this function moves is not seen whole → what."""
        found: dict[str, str] = {}
        for output in self.basis.case.outputs_of(function):
            for load in driven_of(self.basis.case, output):
                if moves(load) or load.traits.hurts:
                    for place in blind_places(self.basis.case, output, load):
                        found.setdefault(place, called(self.basis, load))
        return found

    def _stand(self, place: str, function: str, heard: Finding | None, presses: float) -> str:
        say, shown = self._texts.say, self._texts.own(place)
        for output in self.basis.case.outputs_of(function):
            key = self.basis.case.place(place, output.premises)
            if key is not None:
                described = self.basis.case.job.premises[key[0]].places[key[1]]
                pressed = {"in car": say("in the car"), "in pocket": say("in the pocket"), "in hand": ""}[
                    described.pressed
                ]
                says = self._texts.own(described.says)
                named = "" if shown in says else shown
                shown = ", ".join(
                    part for part in (named, pressed if "car" not in described.says else "", says) if part
                )
                break
        if heard is not None and heard.verdict is Verdict.FAILS and heard.value is not None:
            return say(
                "{place}: not reliable yet, about {share} of 100 tries work within {presses} presses",
                place=shown,
                share=f"{heard.value:.0f}",
                presses=f"{presses:g}",
            )
        return shown

    def _advice(self, group: str, presses: tuple[Press, ...]) -> str:
        """Premises at which the first press may be swallowed, because the fob is used elsewhere."""
        paths = {
            ReceiverRef(output.receiver_path)
            for press in presses
            for function in press.functions
            for output in self.basis.case.outputs_of(function)
        }
        late = [
            finding
            for finding in self.basis.of_code("REG-03")
            if GroupRef(group) in finding.subjects and finding.verdict in (Verdict.FAILS, Verdict.THIN)
        ]
        houses = sorted(
            {
                str(subject.premises)
                for finding in late
                for subject in refs_of(ReceiverRef, finding.subjects)
                if subject in paths
            }
        )
        if not houses:
            return ""
        return self._texts.say(
            "At {premises} press twice if nothing happens: after days elsewhere the first press may not"
            " count.",
            premises=", ".join(map(self._texts.own, houses)),
        )

    def _cell(self, holder: Holder) -> str:
        """Kind of cell, when it was put in and when to change it; named by label where the fobs of one holder
        differ.
        """
        found: dict[str, list[str]] = {}
        for fob in holder.fobs:
            found.setdefault(self._cell_of(fob), []).append(fob.label)
        return " ".join(
            f"{', '.join(labels)}: {says}" if len(found) > 1 else says for says, labels in found.items()
        )

    def _cell_named(self, part: Part[CellSheet]) -> str:
        """As a shop knows it: "CR2032, lithium cell 20 x 3.2 mm"; an own one as the job has it."""
        if part.name in self.basis.case.job.parts:
            return self._texts.own(part.says) or part.name
        return ", ".join(filter(None, (part.name, self._texts.say(part.says))))

    def _cell_of(self, fob: HeldFob) -> str:
        say, part, used = (
            self._texts.say,
            self.basis.case.equipment.cells.get(fob.group),
            self._used_up(fob.group),
        )
        since = put_in(fob.entry.cell_date) if fob.entry is not None else None
        cell = self._cell_named(part) if part is not None else ""
        if not cell:
            sentences = [say("Kind of cell not known: ask before you buy one.")]
        elif used is None or since is not None:
            sentences = [say("{cell}.", cell=cell)]
        else:
            sentences = [
                say("{cell}; change it every {months} months.", cell=cell, months=change_months(used))
            ]
        if since is None:
            return " ".join((*sentences, say("Put in: month not known.")))
        sentences.append(say("Put in {month}.", month=self._texts.month(since)))
        if fob.entry is not None and fob.entry.low_cell_at:
            sentences.append(say("It has been reported as low: change it now."))
        elif used is not None:
            sentences.append(say("Change it by {month}.", month=self._texts.month(change_by(since, used))))
        return " ".join(sentences)


def labels_of(basis: Basis) -> tuple[Label, ...]:
    """A label for every fob held or planned, and for every spare of the record."""
    phone = basis.case.job.details.telephone
    below = tuple(
        line for line in (basis.texts.say("Found? Please ring") if phone else "", phone or "") if line
    )
    held = [fob.label for holder in holders_of(basis) for fob in holder.fobs]
    others = [label for label in sorted(basis.register.fobs) if label not in held]
    return tuple(Label(label, below) for label in (*held, *others))


def _number(button: str) -> int:
    return int(button) if button.isdigit() and len(button) < 3 else 1
