"""From a job to a model: the outputs, devices, panel and people that touch each other.

What is not known is listed, never guessed: `Site.asks` says what to ask, and the thing is
left out. Nothing here searches.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of, switching
from farpress.core.rehearsal import driven as parts
from farpress.core.rehearsal import outputs as outs
from farpress.core.rehearsal import panels
from farpress.core.rehearsal.model import EventAct, ModelEvent, StateModel, join
from farpress.domain.parts import DeviceSheet
from farpress.errors import InputError
from farpress.judging.device.moves import PRESENCE
from farpress.judging.output.pairs import keeps_apart
from farpress.judging.output.suits import after_power_return
from farpress.judging.output.times import longest_hold_s
from farpress.phrases import listed
from farpress.rehearsal.presses import Presser, pressers, word

__all__ = [
    "ModelledThing",
    "Site",
    "build_site",
    "input_id",
    "neighbours",
    "output_id",
    "receiver_number",
    "signals_of",
    "thing_id",
    "unseen_event",
]

_EDGE = frozenset({"start", "open only", "partial open", "close", "stop"})
_ASKED = frozenset({"toggling pulse", "set pulse", "unset pulse", "level"})


@dataclass(frozen=True)
class ModelledThing:
    """One device or panel as it stands in the model.

    Attributes:
        path: "premises/name".
        kind: "leaf", "motor", "load" or "panel".
        active: expression: it moves, it is fed, it is set.
        rises: signals of its inputs that have just closed.
        one: a use of it.
    """

    path: str
    kind: str
    active: str
    rises: tuple[str, ...]
    one: Driven


@dataclass
class Site:
    """A model of a few outputs and all they touch.

    Attributes:
        outputs: in the order of the job.
        lengths: whether pulses have their length.
        things: path → device or panel.
        pressers: who presses what.
        model: the parts, joined.
        starts: signals of a new press seen: `o_start` for each output, `o_reset` too for a latch.
        held: thumbs.
        resumes: whether timed closing was taken to go on after the power returns.
        by: input of a panel → number of the receiver that asks through it.
        pauses: pauses of interlocks that are not given, as sentences.
        asks: what is missing, as sentences; the thing is left out.
        taken: what was taken where the sheet is silent.
    """

    outputs: tuple[OutputAt, ...]
    lengths: bool = True
    things: dict[str, ModelledThing] = field(default_factory=dict)
    pressers: tuple[Presser, ...] = ()
    model: StateModel = field(default_factory=StateModel)
    starts: tuple[str, ...] = ()
    held: tuple[str, ...] = ()
    resumes: bool | None = None
    by: dict[str, int] = field(default_factory=dict)
    pauses: list[str] = field(default_factory=list)
    asks: list[str] = field(default_factory=list)
    taken: list[str] = field(default_factory=list)

    def thing_of(self, at: OutputAt) -> tuple[ModelledThing, ...]:
        """What an output works, as far as it is in the model."""
        return tuple(
            thing
            for works in at.works
            if (thing := self.things.get(f"{at.premises}/{works.partition('.')[0]}")) is not None
        )


def output_id(at: OutputAt) -> str:
    """Identifier of an output in a model."""
    return f"o_{word(at.path)}"


def thing_id(path: str) -> str:
    """Identifier of a device or panel in a model."""
    return f"d_{word(path)}"


def receiver_number(at: OutputAt) -> int:
    """Number of a receiver among those of its premises, from 3 on; 1 and 2 mean a fob and the keypad."""
    return 3 + list(at.house.receivers).index(at.receiver)


def signals_of(site: Site, outputs: Iterable[OutputAt]) -> tuple[str, ...]:
    """Signals of a press seen of these outputs, as far as they are in the model."""
    own = tuple(f"{output_id(at)}_" for at in outputs)
    return tuple(one for one in site.starts if one.rpartition("_")[0] + "_" in own)


def input_id(premises: str, works: str) -> str:
    """Identifier of an input in a model."""
    return f"i_{word(premises)}_{word(works)}"


def neighbours(case: Case, seeds: Iterable[OutputAt]) -> tuple[OutputAt, ...]:
    """The outputs that share a device, a panel or an interlock with the given ones, themselves included."""
    every = tuple(case.outputs())
    inside = {at.path for at in seeds}
    while True:
        works = {
            f"{at.premises}/{name.partition('.')[0]}"
            for at in every
            if at.path in inside
            for name in at.works
        }
        more = {
            at.path
            for at in every
            if at.path in inside
            or any(f"{at.premises}/{name.partition('.')[0]}" in works for name in at.works)
            or (at.output.interlock and f"{at.receiver_path}/{at.output.interlock}" in inside)
            or any(_wired(case, at, other) for other in every if other.path in inside)
        }
        if more == inside:
            return tuple(at for at in every if at.path in inside)
        inside = more


def build_site(
    case: Case,
    outputs: tuple[OutputAt, ...],
    *,
    lengths: bool,
    exact: bool,
    resumes: bool | None = None,
    timeless: bool = False,
) -> Site:
    """The model of some outputs of one premises and all they work.

    Args:
        case: the job.
        outputs: closed under `neighbours`.
        lengths: keep the length of pulses whose inputs only look at the closing; without,
            such an input may be worked at any instant, which leaves more stories, never fewer.
        exact: the fob's cut-off too, and pulses as they are.
        resumes: whether timed closing goes on after the power returns, where the sheet is silent.
        timeless: leaves may take any time, which again leaves more stories, never fewer.
    """
    site = Site(outputs, lengths=lengths, resumes=resumes)
    site.pressers = pressers(case, outputs)
    ids = {at.path: output_id(at) for at in outputs}
    relays: list[StateModel] = []
    made: dict[str, str] = {}
    forgetful = []
    for at in outputs:
        try:
            model, momentary = _output(case, at, site, lengths=lengths or exact)
        except InputError as error:
            site.asks.append(f"{at.path}: {error}")
            continue
        if model is None:
            continue
        relays.append(model)
        made[at.path] = "momentary" if momentary else at.output.kind
        if at.output.traits.keeps_state and after_power_return(case, at) == "unknown":
            forgetful.append(f"{ids[at.path]}_s")
    presses, thumbs = _people(case, site, made, ids, exact=exact)
    ends = [
        outs.ends_the_other(
            ids[at.path], f"{ids[other.path]}_{'t' if other.output.traits.wants_length else 's'}"
        )
        for at in outputs
        for other in outputs
        if at.path in made and made.get(other.path) in ("pulse", "toggle", "latch") and _mutual(at, other)
    ]
    links = list(_relays(case, [at for at in outputs if at.path in made], ids, site))
    things = list(
        _things(
            case,
            [at for at in outputs if at.path in made],
            made,
            ids,
            site,
            lengths=lengths or exact,
            resumes=resumes,
            timeless=timeless,
        )
    )
    # thumbs say whether they send before outputs look; relays before what they work
    site.model = join([outs.power(forgetful=forgetful), *thumbs, *presses, *ends, *relays, *links, *things])
    site.starts = tuple(
        f"{ids[path]}_{signal}"
        for path, kind in made.items()
        for signal in (("start", "reset") if kind == "latch" else ("start",))
    )
    return site


def _momentary(case: Case, at: OutputAt) -> bool:
    uses = driven_of(case, at)
    return (
        at.output.traits.wants_length
        and not at.output.interlock
        and bool(uses)
        and all(
            (one.panel is None and one.logic in _EDGE)
            or one.reads in ("toggling pulse", "set pulse", "unset pulse")
            for one in uses
        )
    )


def _output(case: Case, at: OutputAt, site: Site, *, lengths: bool) -> tuple[StateModel | None, bool]:
    o, output = output_id(at), at.output
    if output.traits.wants_length:
        if output.for_s is None:
            site.asks.append(
                f"How long the pulse of {at.path} lasts is not given; write it, as 'for: 0.5 s'."
            )
            return None, False
        if output.for_s <= 0:
            site.asks.append(
                f"The pulse of {at.path} lasts 0 s, which is none; write how long it lasts, as 'for: 0.5 s'."
            )
            return None, False
        if not lengths and _momentary(case, at):
            return outs.momentary_output(o), True
        return (
            outs.pulse_output(
                o,
                for_ms=_ms(output.for_s),
                retrigger=output.retrigger,
                resumes=after_power_return(case, at) in ("as before", "unknown"),
            ),
            False,
        )
    if output.traits.turns_round:
        return outs.toggle_output(o, keeps=after_power_return(case, at) != "off"), False
    if output.traits.has_two_buttons:
        site.asks += [
            f"Whether {name} switches {at.path} on or off is not said; write 'switches: on' or 'switches:"
            " off' with it."
            for name in switching(case, at, None)
        ]
        return outs.latch_output(o, keeps=after_power_return(case, at) != "off"), False
    part = case.equipment.receivers.get(at.receiver_path)
    dropout = part.sheet.dropout_s if part is not None else None
    if dropout is None:
        site.asks.append(
            f"After how long without a telegram {at.receiver_path} ends a press is not known; read 'dropout'"
            " from its data sheet, or time it with a meter."
        )
        return None, False
    if dropout <= 0:
        ask = (
            f"{at.receiver_path} is said to end a press after 0 s without a telegram, so it sees none; read"
            " 'dropout' from its data sheet, or time it with a meter."
        )
        site.asks += [ask] if ask not in site.asks else []
        return None, False
    keys = [one.key for one in site.pressers if at.path in one.paths]
    if not keys:
        site.asks.append(f"Nobody presses {at.path}: give it a function.")
        return None, False
    return outs.follow_output(o, keys, dropout_ms=_ms(dropout)), False


def _people(
    case: Case, site: Site, made: dict[str, str], ids: dict[str, str], *, exact: bool
) -> tuple[list[StateModel], list[StateModel]]:
    presses: list[StateModel] = []
    thumbs: list[StateModel] = []
    held: list[str] = []
    for one in site.pressers:
        paths = [path for path in one.paths if path in made]
        moments = [ids[path] for path in paths if made[path] != "follow" and path not in one.resets]
        also = "\n".join(f"{ids[path]}_reset = 1" for path in paths if path in one.resets)
        if any(made[path] == "follow" for path in paths):
            at = next(at for at in site.outputs if at.path in paths and made[at.path] == "follow")
            longest = longest_hold_s(case, at) if exact else None
            if longest is not None and longest[0] <= 0:
                site.taken.append(f"no cut-off of the fob of {longest[1]}, because 0 s is given")
                longest = None
            also = "\n".join([*(f"{o}_start = 1" for o in moments), also])
            thumbs.append(
                outs.thumb(
                    one.key,
                    says_press=f"{one.says}, and held",
                    says_release=f"{listed(one.functions)} let go",
                    cut_off_ms=_ms(longest[0]) if longest else None,
                    also=also,
                    acts=(one.act(is_held=True), one.act("release")),
                )
            )
            held.append(one.key)
        elif paths:
            presses.append(outs.press(f"{one.key}_press", moments, says=one.says, also=also, act=one.act()))
    for at in site.outputs:
        if at.path in made and not any(at.path in one.paths for one in site.pressers):
            presses.append(
                outs.press(
                    f"{ids[at.path]}_by_itself",
                    [ids[at.path]],
                    says=f"the receiver works {at.path} by itself",
                )
            )
    site.held = tuple(held)
    return presses, thumbs


def _mutual(at: OutputAt, other: OutputAt) -> bool:
    return (
        at.path != other.path
        and at.receiver_path == other.receiver_path
        and at.output.interlock == other.number
        and other.output.interlock == at.number
    )


def _wired(case: Case, at: OutputAt, other: OutputAt) -> bool:
    """Whether both work through the two halves of one pair of relays interlocked by wiring."""
    if (
        at.path == other.path
        or not at.output.via
        or at.output.via != other.output.via
        or at.premises != other.premises
    ):
        return False
    part = case.equipment.relays.get(at.output.via)
    return part is not None and part.sheet.interlocked is True and keeps_apart(case, at, other).says != ""


def _relays(case: Case, outputs: list[OutputAt], ids: dict[str, str], site: Site) -> Iterator[StateModel]:
    paths = {at.path: at for at in outputs}
    done: set[str] = set()
    for at in outputs:
        other = paths.get(f"{at.receiver_path}/{at.output.interlock}") if at.output.interlock else None
        if at.path in done:
            continue
        wired = next((one for one in outputs if one.path not in done and _wired(case, at, one)), None)
        if wired is not None:
            done.add(wired.path)
            yield outs.wired_interlock(ids[at.path], ids[wired.path])
            continue
        if other is None or not _mutual(at, other):
            yield outs.relay(ids[at.path])
            continue
        done.add(other.path)
        pauses = [one.output.interlock_pause_s for one in (at, other)]
        known = [pause for pause in pauses if pause is not None]
        if len(known) < 2:
            site.taken.append(f"no pause between {at.path} and {other.path}, because none is given")
            site.pauses.append(
                f"How long both {at.path} and {other.path} stay off in between is not given; measure it with"
                " a meter on both outputs, and write 'interlock_pause'."
            )
        yield outs.interlock(
            ids[at.path], ids[other.path], pause_ms=_ms(min(known)) if len(known) == 2 else 0
        )


def _things(
    case: Case,
    outputs: list[OutputAt],
    made: dict[str, str],
    ids: dict[str, str],
    site: Site,
    *,
    lengths: bool,
    resumes: bool | None,
    timeless: bool,
) -> Iterator[StateModel]:
    uses: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for at in outputs:
        for one in driven_of(case, at):
            uses.setdefault(one.path, []).append((at, one))
    for path, worked in uses.items():
        one = worked[0][1]
        inputs: dict[str, tuple[str, Driven]] = {}
        for at, use in worked:
            i = input_id(at.premises, use.works)
            on = f"{ids[at.path]}_on"
            closed = (
                (f"not {on} and power" if _shares_supply(at) else f"not {on}")
                if at.output.contact == "normally closed" and use.panel is None
                else on
            )
            if use.panel is not None:
                site.by.setdefault(i, receiver_number(at))
            inputs[i] = (f"{inputs[i][0]} or {closed}" if i in inputs else closed, use)
        momentary = {
            i
            for i, (closed, use) in inputs.items()
            if all(made[at.path] == "momentary" for at, other in worked if other.works == use.works)
        }
        short = [at.path for at, use in worked if _too_short(at, use)]
        if short:
            site.taken.append(f"{listed(short)} is too short for its input and does nothing there")
        try:
            yield from _thing(
                case,
                path,
                one,
                {
                    i: pair
                    for i, pair in inputs.items()
                    if not all(_too_short(at, use) for at, use in worked if use.works == pair[1].works)
                },
                momentary,
                site,
                resumes,
                timeless,
            )
        except InputError as error:
            site.asks.append(f"{path}: {error}")


def _shares_supply(at: OutputAt) -> bool:
    """Whether what an output feeds through its contact loses its current with the receiver."""
    return (
        at.output.load_from is not None and at.box.fed is not None and at.output.load_from == at.box.fed.from_
    )


def _too_short(at: OutputAt, one: Driven) -> bool:
    least = (
        max(one.input.min_pulse_s or 0.0, getattr(one.input, "response_s", None) or 0.0)
        if one.input is not None
        else 0.0
    )
    return at.output.traits.wants_length and at.output.for_s is not None and at.output.for_s < least


def _thing(
    case: Case,
    path: str,
    one: Driven,
    inputs: dict[str, tuple[str, Driven]],
    momentary: set[str],
    site: Site,
    resumes: bool | None,
    timeless: bool,
) -> Iterator[StateModel]:
    d, sheet, name = thing_id(path), one.sheet, path.partition("/")[2]
    contacts = [
        (
            parts.edge(i, closed, lockout_ms=_lockout_ms(use))
            if i in momentary
            else parts.contact(i, closed, at_rest="not " in closed, lockout_ms=_lockout_ms(use))
        )
        for i, (closed, use) in inputs.items()
    ]
    rises = tuple(f"{i}_rise" for i in inputs)
    if one.panel is not None:
        reads = {i: use.reads for i, (_, use) in inputs.items() if use.reads in _ASKED}
        if not reads:
            return
        panel_sheet = one.panel.sheet
        if panel_sheet.exit_s is None:
            site.asks.append(f"The exit time of {path} is not known; read it from the panel.")
        if panel_sheet.keypad is None:
            site.taken.append(f"a keypad at {name}, because the sheet does not say")
        exit_ms = _ms(panel_sheet.exit_s or 0.0)
        yield from contacts
        entry_ms = (
            None
            if panel_sheet.entry_s is None
            else 0
            if panel_sheet.detectors == "no entry route"
            else _ms(panel_sheet.entry_s)
        )
        yield panels.panel(
            d,
            {i: str(kind) for i, kind in reads.items()},
            by=site.by,
            exit_ms=exit_ms,
            keypad=panel_sheet.keypad is not False,
            entry_ms=entry_ms,
            others=panel_sheet.detectors != "entry route only" or entry_ms == 0,
            says=name,
        )
        site.things[path] = ModelledThing(path, "panel", f"{d}_st", rises, one)
        return
    logics = {i: use.logic for i, (_, use) in inputs.items()}
    directions = {logic for logic in logics.values() if logic in ("up", "down")}
    edges = {i: str(logic) for i, logic in logics.items() if logic in _EDGE}
    if directions:
        yield from contacts
        up, down = (
            " or ".join(f"{i}_c" for i, logic in logics.items() if logic == way) or "0"
            for way in ("up", "down")
        )
        yield parts.motor(
            d, up, down, own_pause_ms=_ms(sheet.reversal_pause_s or 0.0) if sheet.interlocked else None
        )
        site.things[path] = ModelledThing(path, "motor", f"{d}_m", rises, one)
    elif edges:
        if sheet.travel_s is None:
            site.asks.append(f"How long {name} travels is not known; time one opening with a watch.")
            return
        if "start" in edges.values():
            silent = [
                use.works
                for _, use in inputs.values()
                if use.logic == "start" and (use.input is None or use.input.closes_by_second_press is None)
            ]
            site.taken += [
                f"{works} goes open, stop, close, stop, because the sheet does not say" for works in silent
            ]
        presence = bool(set(sheet.safeguards or ()) & PRESENCE) and sheet.safeguards_tested is not False
        waits = not (
            sheet.closes_after_power_return if sheet.closes_after_power_return is not None else bool(resumes)
        )
        if sheet.closes_after_s and sheet.closes_after_power_return is None:
            site.taken.append(
                f"{name} {'waits for a command' if waits else 'goes on with timed closing'} once the power is"
                " back"
            )
        yield from contacts
        if (
            "partial open" in edges.values()
            and sheet.partial_opening_share is None
            and sheet.partial_travel_s is None
        ):
            site.taken.append(
                f"half of the travel for the partial opening of {name}, because the sheet does not say"
            )
        if timeless:
            yield parts.leaf_without_times(
                d,
                edges,
                timed_closing=bool(sheet.closes_after_s),
                presence=presence,
                waits_after_power=waits,
                says=name,
            )
        else:
            yield parts.leaf(
                d,
                edges,
                opening_ms=_ms(sheet.travel_s),
                closing_ms=_ms(sheet.travel_back_s or sheet.travel_s),
                presence=presence,
                closes_after_ms=_ms(sheet.closes_after_s) if sheet.closes_after_s is not None else None,
                partial_ms=_partial_ms(sheet) if "partial open" in edges.values() else None,
                waits_after_power=waits,
                says=name,
            )
        site.things[path] = ModelledThing(path, "leaf", f"{d}_mode == 1 or {d}_mode == 3", rises, one)
    elif one.traits.is_load or any(logic in ("on", "release") for logic in logics.values()):
        yield from contacts
        site.things[path] = ModelledThing(path, "load", " or ".join(f"{i}_c" for i in inputs), rises, one)
    elif one.traits.is_leaf or one.kind is None:
        site.asks.append(
            f"What {name} does when {listed(use.works for _, use in inputs.values())} closes is not known;"
            " read the description of its inputs."
        )


def _partial_ms(sheet: DeviceSheet) -> int | None:
    """Time of a partial opening from closed; None: half of the travel; a share to a tenth of a second, so
    that the tick stays long.
    """
    share, travel_s = sheet.partial_opening_share, sheet.travel_s or 0.0
    if share is not None and sheet.partial_travel_s is not None:
        raise InputError(
            f"its partial opening is given as {share:.0%} of the travel and as {sheet.partial_travel_s:g} s;"
            " keep the one that was measured, 'partial_opening' or 'partial_travel'."
        )
    if sheet.partial_travel_s is not None:
        return _ms(sheet.partial_travel_s)
    if share is None:
        return None
    return (
        _ms(share * travel_s)
        if share in (0.0, 1.0) or travel_s < 1.0
        else min(max(round(share * travel_s * 10.0), 1) * 100, _ms(travel_s))
    )


def _lockout_ms(one: Driven) -> int:
    return _ms(one.input.lockout_s or 0.0) if one.input is not None else 0


def _ms(seconds: float) -> int:
    return round(seconds * 1000.0)


def unseen_event(name: str, starts: Iterable[str], says: str, act: EventAct | None = None) -> ModelEvent:
    """A press from where nothing is seen."""
    does = "\n".join([*(f"{start} = 1" for start in starts), "unseen = 1"])
    return ModelEvent(name, does, "power", says, act)
