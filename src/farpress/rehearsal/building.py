"""From a job to a model: what the outputs, the devices, the panel and the people of some outputs become."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from farpress.case.behaviour import after_power_return, longest_hold_s
from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of, switching
from farpress.case.reads import Memo
from farpress.core.rehearsal import outputs as outs
from farpress.core.rehearsal.model import StateModel, join
from farpress.core.rehearsal.supplies import supplies
from farpress.errors import InputError
from farpress.phrases import listed
from farpress.rehearsal.feeds import feeds_of
from farpress.rehearsal.presses import Presser, pressers
from farpress.rehearsal.site import Site, halves_of_a_pair, milliseconds, output_id
from farpress.rehearsal.things import EDGES, Leaves, things_of

__all__ = ["build_site"]


def build_site(
    case: Case,
    outputs: tuple[OutputAt, ...],
    *,
    lengths: bool,
    exact: bool,
    resumes: bool | None = None,
    leaves: Leaves = "positions",
    apart: bool = False,
) -> Site:
    """The model of some outputs of one premises and all they work.

    Args:
        case: the job.
        outputs: closed under `neighbours`.
        lengths: keep the length of pulses whose inputs only look at the closing; without,
            such an input may be worked at any instant, which leaves more stories, never fewer.
        exact: the fob's cut-off too, and pulses as they are.
        resumes: whether timed closing goes on after the power returns, where the sheet is silent.
        leaves: how they are modelled; other than with their positions leaves more stories, never fewer.
        apart: supplies may fail one by one too, and return in any order.
    """
    site = Site(outputs, lengths=lengths, resumes=resumes, feeds=feeds_of(case, outputs) if apart else None)
    site.pressers = case.once(_made_pressers).once(
        tuple(output.path for output in outputs), lambda: pressers(case, outputs)
    )
    ids = {output.path: output_id(output) for output in outputs}
    relays: list[StateModel] = []
    made: dict[str, str] = {}
    forgetful: list[str] = []
    lapses: dict[str, tuple[str, ...]] = {}
    for output in outputs:
        try:
            model, momentary = _output(case, output, site, lengths=lengths or exact)
        except InputError as error:
            site.asks.append(f"{output.path}: {error}")
            continue
        if model is None:
            continue
        relays.append(site.hung(output.path, model))
        made[output.path] = "momentary" if momentary else output.output.kind
        if output.output.traits.keeps_state and after_power_return(case, output) == "unknown":
            forgetful.append(f"{ids[output.path]}_s")
            if site.feeds is not None:
                k = site.feeds.outputs[output.path]
                lapses[k] = (*lapses.get(k, ()), f"{ids[output.path]}_s")
    presses, thumbs = _people(case, site, made, ids, exact=exact)
    ends = [
        site.hung(
            output.path,
            outs.ends_the_other(
                ids[output.path], f"{ids[other.path]}_{'t' if other.output.traits.wants_length else 's'}"
            ),
        )
        for output in outputs
        for other in outputs
        if output.path in made
        and made.get(other.path) in ("pulse", "toggle", "latch")
        and _mutual(output, other)
    ]
    links = list(_relays(case, [output for output in outputs if output.path in made], ids, site))
    things = list(
        things_of(
            case,
            [output for output in outputs if output.path in made],
            made,
            ids,
            site,
            lengths=lengths or exact,
            resumes=resumes,
            leaves=leaves,
        )
    )
    # thumbs say whether they send before outputs look; relays before what they work
    powers = [outs.power(forgetful=forgetful)]
    if site.feeds is not None:
        powers.append(supplies(site.feeds.every, site.feeds.cuts, forgetful=lapses))
        presses = [_heard_by_each(model) for model in presses]
    site.model = join([*powers, *thumbs, *presses, *ends, *relays, *links, *things])
    site.starts = tuple(
        f"{ids[path]}_{signal}"
        for path, kind in made.items()
        for signal in (("start", "reset") if kind == "latch" else ("start",))
    )
    return site


def _made_pressers(case: Case) -> Memo[tuple[Presser, ...]]:
    """Paths of outputs → who presses them, for each model of them."""
    del case
    return Memo()


def _heard_by_each(model: StateModel) -> StateModel:
    """A press that each receiver hears which has current; the outputs look at that themselves."""
    return replace(model, events=tuple(replace(event, when="1") for event in model.events))


def _momentary(case: Case, output: OutputAt) -> bool:
    uses = driven_of(case, output)
    return (
        output.output.traits.wants_length
        and not output.output.interlock
        and not output.output.delay_s
        and bool(uses)
        and all((use.panel is None and use.logic in EDGES) or use.reading.is_pulse for use in uses)
    )


def _output(case: Case, wired: OutputAt, site: Site, *, lengths: bool) -> tuple[StateModel | None, bool]:
    o, output = output_id(wired), wired.output
    if output.traits.wants_length:
        if output.for_s is None:
            site.asks.append(
                f"How long the pulse of {wired.path} lasts is not given; write it, as 'for: 0.5 s'."
            )
            return None, False
        if output.for_s <= 0:
            site.asks.append(
                f"The pulse of {wired.path} lasts 0 s, which is none; write how long it lasts,"
                " as 'for: 0.5 s'."
            )
            return None, False
        if not lengths and _momentary(case, wired):
            return outs.momentary_output(o), True
        if output.delay_s:
            return (
                outs.late_pulse_output(
                    o,
                    delay_ms=milliseconds(output.delay_s),
                    for_ms=milliseconds(output.for_s),
                    retrigger=output.retrigger,
                    resumes=after_power_return(case, wired) in ("as before", "unknown"),
                ),
                False,
            )
        return (
            outs.pulse_output(
                o,
                for_ms=milliseconds(output.for_s),
                retrigger=output.retrigger,
                resumes=after_power_return(case, wired) in ("as before", "unknown"),
            ),
            False,
        )
    if output.traits.turns_round:
        return _in_time(wired, outs.toggle_output(o, keeps=after_power_return(case, wired) != "off")), False
    if output.traits.has_two_buttons:
        site.asks += [
            f"Whether {name} switches {wired.path} on or off is not said; write 'switches: on' or 'switches:"
            " off' with it."
            for name in switching(case, wired, None)
        ]
        return _in_time(wired, outs.latch_output(o, keeps=after_power_return(case, wired) != "off")), False
    part = case.equipment.receivers.get(wired.receiver_path)
    dropout = part.sheet.dropout_s if part is not None else None
    if dropout is None:
        site.asks.append(
            f"After how long without a telegram {wired.receiver_path} ends a press is not known; read"
            " 'dropout' from its data sheet, or time it with a meter."
        )
        return None, False
    if dropout <= 0:
        ask = (
            f"{wired.receiver_path} is said to end a press after 0 s without a telegram, so it sees none;"
            " read 'dropout' from its data sheet, or time it with a meter."
        )
        site.asks += [ask] if ask not in site.asks else []
        return None, False
    keys = [presser.key for presser in site.pressers if wired.path in presser.paths]
    if not keys:
        site.asks.append(f"Nobody presses {wired.path}: give it a function.")
        return None, False
    return _in_time(wired, outs.follow_output(o, keys, dropout_ms=milliseconds(dropout))), False


def _in_time(wired: OutputAt, model: StateModel) -> StateModel:
    """The output, and what lets it come on or go off later."""
    on_s, off_s = wired.output.delay_s, wired.output.stays_s
    if not on_s and not off_s:
        return model
    later = outs.delayed(output_id(wired), on_ms=milliseconds(on_s or 0.0), off_ms=milliseconds(off_s or 0.0))
    return join([model, later])


def _people(
    case: Case, site: Site, made: dict[str, str], ids: dict[str, str], *, exact: bool
) -> tuple[list[StateModel], list[StateModel]]:
    presses: list[StateModel] = []
    thumbs: list[StateModel] = []
    held: list[str] = []
    for presser in site.pressers:
        paths = [path for path in presser.paths if path in made]
        moments = [ids[path] for path in paths if made[path] != "follow" and path not in presser.resets]
        also = "\n".join(f"{ids[path]}_reset = 1" for path in paths if path in presser.resets)
        if any(made[path] == "follow" for path in paths):
            output = next(
                output for output in site.outputs if output.path in paths and made[output.path] == "follow"
            )
            longest = longest_hold_s(case, output) if exact else None
            if longest is not None and longest[0] <= 0:
                site.taken.append(f"no cut-off of the fob of {longest[1]}, because 0 s is given")
                longest = None
            also = "\n".join([*(f"{o}_start = 1" for o in moments), also])
            thumbs.append(
                outs.thumb(
                    presser.key,
                    says_press=f"{presser.says}, and held",
                    says_release=f"{listed(presser.functions)} let go",
                    cut_off_ms=milliseconds(longest[0]) if longest else None,
                    also=also,
                    acts=(presser.act(is_held=True), presser.act("release")),
                )
            )
            held.append(presser.key)
        elif paths:
            presses.append(
                outs.press(f"{presser.key}_press", moments, says=presser.says, also=also, act=presser.act())
            )
    for output in site.outputs:
        if output.path in made and not any(output.path in presser.paths for presser in site.pressers):
            presses.append(
                outs.press(
                    f"{ids[output.path]}_by_itself",
                    [ids[output.path]],
                    says=f"the receiver works {output.path} by itself",
                )
            )
    site.held = tuple(held)
    return presses, thumbs


def _mutual(output: OutputAt, other: OutputAt) -> bool:
    return (
        output.path != other.path
        and output.receiver_path == other.receiver_path
        and output.output.interlock == other.number
        and other.output.interlock == output.number
    )


def _relays(case: Case, outputs: list[OutputAt], ids: dict[str, str], site: Site) -> Iterator[StateModel]:
    paths = {output.path: output for output in outputs}
    done: set[str] = set()
    for output in outputs:
        other = (
            paths.get(f"{output.receiver_path}/{output.output.interlock}")
            if output.output.interlock
            else None
        )
        if output.path in done:
            continue
        wired = next(
            (half for half in outputs if half.path not in done and halves_of_a_pair(case, output, half)), None
        )
        if wired is not None:
            done.add(wired.path)
            yield outs.wired_interlock(ids[output.path], ids[wired.path])
            continue
        if other is None or not _mutual(output, other):
            if other is not None:
                named = other.output.interlock
                site.taken.append(
                    f"no interlock of {output.path} with {other.path}, because output {other.number} names"
                    f" {f'output {named}' if named else 'none'}"
                )
            yield outs.relay(ids[output.path])
            continue
        done.add(other.path)
        pauses = [member.output.interlock_pause_s for member in (output, other)]
        known = [pause for pause in pauses if pause is not None]
        if len(known) < 2:
            site.taken.append(f"no pause between {output.path} and {other.path}, because none is given")
            site.pauses.append(
                f"How long both {output.path} and {other.path} stay off in between is not given; measure it"
                " with a meter on both outputs, and write 'interlock_pause'."
            )
        yield outs.interlock(
            ids[output.path], ids[other.path], pause_ms=milliseconds(min(known)) if len(known) == 2 else 0
        )
