"""From a rule to what is watched: which outputs, which condition, in which model.

A rule about who holds what, about data or about escape is settled by looking, not by a
search; `settled_elsewhere` says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from farpress.case.areas import state_paths
from farpress.case.behaviour import PULSE_LONGEST_S
from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, alarm, driven_of, moves, seconds
from farpress.case.left_on import left_on_by_pulse
from farpress.case.turned import turned_pair
from farpress.domain.job import Rule
from farpress.rehearsal.panels import (
    acknowledged,
    alarm_despite_unsetting,
    asks_unsetting,
    late_s,
    out_of_step,
    slow_perhaps,
)
from farpress.rehearsal.searched import (
    SearchedCheck,
    both_on,
    closes_on_somebody,
    held_too_long,
    toggles,
    unset_and_open,
    works_after_power,
    works_unseen,
)
from farpress.rehearsal.stated import STATED, stated_checks
from farpress.rehearsal.watched import (
    both_directions,
    is_on,
    leaf_opens,
    longer_than,
    panel_is,
    second_press,
    toggled_out_of_step,
    turned_too_soon,
)

__all__ = ["checks_always", "checks_of", "settled_elsewhere"]

_SEARCHED = frozenset(
    {
        "both on",
        "works after power return",
        "works without sight",
        "on longer than",
        "second press within",
        "state out of step",
        "alarm despite unsetting",
        "toggles",
        "held on a start input",
        "closes while occupied",
        "unset and open by one press",
        *STATED,
    }
)


def settled_elsewhere(rule: Rule) -> bool:
    """Whether a rule is about things that no story of presses changes."""
    return rule.never not in _SEARCHED


def checks_of(case: Case, rule: Rule, named: tuple[OutputAt, ...]) -> Iterator[SearchedCheck]:
    """The checks that one rule of the job asks for; `named` are the outputs it names."""
    limit = rule.for_s or 0.0
    if rule.never == "both on":
        for first, second in combinations(named, 2):
            names = [
                {name for name in rule.of if name in (output.path, *output.functions)}
                for output in (first, second)
            ]
            if not (names[0] == names[1] and len(names[0]) == 1):
                yield both_on(case, first, second, "RULE-01")
    elif rule.never == "works after power return":
        for output in named:
            yield works_after_power(case, output, "RULE-02")
    elif rule.never == "works without sight":
        for output in named:
            yield from (works_unseen(case, output, load) for load in driven_of(case, output) if moves(load))
    elif rule.never == "on longer than":
        for output in named:
            if left_on_by_pulse(case, rule, output) is not None:
                continue  # what stays on is not the contact: the judges of how it is built say it
            yield SearchedCheck(
                output.path,
                f"{output.path} is on for longer than {seconds(limit)}",
                (output,),
                longer_than(output, limit),
                True,
                "RULE-05",
                rule.never,
                just_after=True,
                matters=is_on(output),
            )
    elif rule.never == "second press within":
        for output, load in _uses(case, named):
            if moves(load):
                yield SearchedCheck(
                    f"{output.path}: {load.works}",
                    f"a second press within {seconds(limit)} stops or closes {load.works.partition('.')[0]}",
                    (output,),
                    second_press(output, load, limit),
                    False,
                    "RULE-06",
                    rule.never,
                    matters=leaf_opens(load),
                )
    elif rule.never == "state out of step":
        for path, outputs in _panels(case, named).items():
            yield SearchedCheck(
                path,
                f"after a heard press {path} does not stand as the holder believes",
                outputs,
                out_of_step(case, path),
                _are_long(outputs),
                "RULE-08",
                rule.never,
                matters=panel_is(path, "is set", "st"),
            )
        for output, load in _uses(case, named):
            if load.panel is None and output.output.traits.turns_round:
                yield SearchedCheck(
                    f"{output.path}: {load.works}",
                    f"after a heard press {load.works} does not stand as the holder believes",
                    (output,),
                    toggled_out_of_step(output),
                    False,
                    "RULE-08",
                    rule.never,
                    matters=is_on(output),
                )
    elif rule.never == "alarm despite unsetting":
        for path, outputs in _panels(case, named).items():
            asking = tuple(output for output in outputs if asks_unsetting(case, output, path))
            if asking:
                yield SearchedCheck(
                    path,
                    f"the entry time of {path} ends in an alarm although a press to unset was heard in it",
                    asking,
                    alarm_despite_unsetting(case, path),
                    True,
                    "RULE-18",
                    rule.never,
                    unproved=slow_perhaps(case, asking, path),
                    matters=panel_is(path, "waits for its entry time", "entering"),
                    taken=tuple(
                        f"a press in the last {seconds(late)} of the entry time comes too late, because the"
                        " input takes that long"
                        for late in (late_s(case, asking, path),)
                        if late > 0
                    ),
                )
    elif rule.never == "toggles":
        for output in named:
            yield toggles(case, output, "RULE-09")
    elif rule.never == "held on a start input":
        for output, load in _uses(case, named):
            yield from held_too_long(output, load, "RULE-10")
    elif rule.never == "closes while occupied":
        for path, outputs in _leaves(case, named).items():
            yield closes_on_somebody(path, outputs, "RULE-13")
    elif rule.never == "unset and open by one press":
        yield from unset_and_open(case, {output.path for output in named}, "RULE-07")
    else:
        yield from stated_checks(case, rule)


def checks_always(case: Case) -> Iterator[SearchedCheck]:
    """What must never be whether the job says so or not, as far as a search can tell."""
    every = tuple(case.outputs())
    motors: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output, load in _uses(case, every):
        if load.logic in ("up", "down"):
            motors.setdefault(load.path, []).append((output, load))
    for path, uses in motors.items():
        if all(turned_pair(case, output) is not None for output, _ in uses):
            continue  # with both on its two cores lie on the same potential, and it stands
        outputs = tuple({output.path: output for output, _ in uses}.values())
        if len({load.logic for _, load in uses}) == 2:
            name = path.partition("/")[2]
            about = " and ".join(output.path for output in outputs)
            yield SearchedCheck(
                about,
                f"both directions of {name} are on together",
                outputs,
                both_directions(path),
                True,
                "RULE-16",
                "both on",
            )
            pause = uses[0][1].sheet.reversal_pause_s
            if pause is not None:
                yield SearchedCheck(
                    f"{about}: pause",
                    f"{name} turns round in less than {seconds(pause)}",
                    outputs,
                    turned_too_soon(path, pause),
                    True,
                    "RULE-16",
                    "reversed too soon",
                    unknown=lambda site: " ".join(site.pauses),
                )
    for output in every:
        traits = [load.traits for load in driven_of(case, output)]
        pressed = {case.job.functions[name].kind for name in output.functions}
        if pressed & {"heat", "water", "sound"} or any(kind.starts_unseen for kind in traits):
            yield works_after_power(case, output, "RULE-16")
        if (
            pressed & {"heat", "water", "sound"}
            or any(kind.not_toggled for kind in traits)
            or any(alarm(load) for load in driven_of(case, output))
        ):
            yield toggles(case, output, "RULE-16")
        for load in driven_of(case, output):
            if load.logic in ("start", "open only", "partial open", "close"):
                yield from held_too_long(output, load, "RULE-16")
            longest = load.sheet.longest_run_s
            if longest is not None and not moves(load):  # what moves has end stops
                yield SearchedCheck(
                    output.path,
                    f"{output.path} is on for longer than {seconds(longest)}",
                    (output,),
                    longer_than(output, longest),
                    True,
                    "RULE-16",
                    "on longer than",
                    just_after=True,
                )
    for path, outputs in _leaves(case, every).items():
        if outputs and any(
            load.path == path and (load.sheet.closes_after_s is not None or load.logic in ("start", "close"))
            for _, load in _uses(case, outputs)
        ):
            yield closes_on_somebody(path, outputs, "RULE-16")
    for path, box in (
        (f"{where}/{name}", box)
        for where, house in case.job.premises.items()
        for name, box in house.receivers.items()
    ):
        part = case.equipment.receivers.get(path)
        window = part.sheet.acknowledge_within_s if part is not None else None
        read = {
            terminal.reads.partition(".")[0]
            for terminal in box.inputs.values()
            if terminal.reads.partition(".")[2] == "set"
        }
        for name in sorted(read):
            panel = f"{path.partition('/')[0]}/{name}"
            asking = tuple(
                output
                for output in every
                if output.receiver_path == path
                and any(load.path == panel and load.panel is not None for load in driven_of(case, output))
            )
            paths = dict.fromkeys(
                state
                for output in asking
                for load in driven_of(case, output)
                if load.path == panel
                for state in state_paths(case, load)
            )
            if window is not None:
                yield from _acknowledgements(path, panel, tuple(paths), asking, window)


def _acknowledgements(
    receiver: str, panel: str, states: tuple[str, ...], asking: tuple[OutputAt, ...], window_s: float
) -> Iterator[SearchedCheck]:
    """That each state a fob asks for is acknowledged, and nothing else."""
    for state in states:
        own = state != panel
        name = f" of {state.partition('/')[2]}" if own else ""
        taken = (f"what {receiver} reads tells of {state.partition('/')[2]}, too",) if own else ()
        yield SearchedCheck(
            f"{receiver}: acknowledgement{name}",
            f"a state that a fob asked for is not acknowledged within {seconds(window_s)}",
            asking,
            acknowledged(asking, state, window_s, foreign=False),
            _are_long(asking),
            "RULE-17",
            "acknowledgement",
            taken=taken,
        )
        yield SearchedCheck(
            f"{receiver}: acknowledgement of others{name}",
            "a change at the keypad is acknowledged to whoever pressed a fob last",
            asking,
            acknowledged(asking, state, window_s, foreign=True),
            _are_long(asking),
            "RULE-17",
            "acknowledgement of others",
            taken=taken,
            softens=(
                "A pulse says that the state changed shortly after a press, not that this press did it. Tell"
                " the users."
            ),
        )


def _are_long(outputs: tuple[OutputAt, ...]) -> bool:
    """Whether a pulse lasts so long that somebody may press again while it is on, which does nothing; a
    shorter one is taken for a moment.
    """
    return any((output.output.for_s or 0.0) > PULSE_LONGEST_S for output in outputs)


def _uses(case: Case, outputs: tuple[OutputAt, ...]) -> Iterator[tuple[OutputAt, Driven]]:
    for output in outputs:
        for load in driven_of(case, output):
            yield output, load


def _panels(case: Case, outputs: tuple[OutputAt, ...]) -> dict[str, tuple[OutputAt, ...]]:
    found: dict[str, tuple[OutputAt, ...]] = {}
    for output, load in _uses(case, outputs):
        if load.panel is not None and load.reading.changes_state:
            for path in state_paths(case, load):
                found[path] = (*found.get(path, ()), output)
    return found


def _leaves(case: Case, outputs: tuple[OutputAt, ...]) -> dict[str, tuple[OutputAt, ...]]:
    found: dict[str, tuple[OutputAt, ...]] = {}
    for output, load in _uses(case, outputs):
        if moves(load):
            found[load.path] = (*found.get(load.path, ()), output)
    return found
