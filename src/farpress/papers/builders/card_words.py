"""What a user card says of a function: what a press does, how it tells, what a power cut leaves."""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.behaviour import after_power_return
from farpress.case.case import OutputAt
from farpress.case.driven import Driven, alarm, closes, driven_of, moves
from farpress.domain.finding import Verdict
from farpress.domain.refs import OutputRef
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.own_words import called
from farpress.units import write_quantity

__all__ = ["FunctionWords"]


class FunctionWords:
    """Sentences about the functions of one job, in the language of its cards."""

    def __init__(self, basis: Basis) -> None:
        """Keep the basis."""
        self.basis = basis
        self._texts = basis.texts

    def what(self, function: str) -> str:
        """What a press of a function does."""
        driven = [
            (output, load)
            for output in self.basis.case.outputs_of(function)
            for load in driven_of(self.basis.case, output)
        ]
        if (
            self.basis.case.job.functions[function].kind == "call"
            and driven
            and all(load.panel is None and not moves(load) for _, load in driven)
        ):
            together = ", ".join(dict.fromkeys(called(self.basis, load) for _, load in driven))
            sentences = list(self._does(function, *driven[0], together))
        else:
            sentences = [
                sentence
                for output, load in driven
                for sentence in self._does(function, output, load, called(self.basis, load))
            ]
        return " ".join(dict.fromkeys(sentences)) or self._texts.say("Works nothing yet.")

    def _does(self, function: str, output: OutputAt, load: Driven, name: str) -> Iterator[str]:
        say = self._texts.say
        time = (
            self._texts.quantity(write_quantity(output.output.for_s, "time"))
            if output.output.for_s is not None
            else say("a fixed time")
        )
        kind = self.basis.case.job.functions[function].kind
        if load.panel is not None:
            yield {
                "set": say("Sets the alarm."),
                "unset": say("Unsets the alarm."),
                "part set": say("Sets a part of the alarm, with people inside."),
                "clear alarm": say("Ends an alarm that was raised."),
                "start entry": say("Begins the entry time: unset before it is over."),
                "set and unset": say("Sets or unsets the alarm, in turn."),
            }.get(kind or "", say("Gives a signal to {panel}.", panel=name))
        elif moves(load) and output.output.traits.while_held:
            way = {
                "up": say("Moves {device} up while you hold the button."),
                "down": say("Moves {device} down while you hold the button."),
            }
            yield way.get(load.logic or "", say("Moves {device} while you hold the button.")).format(
                device=name
            )
            if not output.output.stays_s:
                yield say("It stops when you let go.")
        elif output.output.traits.has_two_buttons:
            switched = self.basis.case.job.functions[function].switches
            yield (
                {
                    "on": say("Switches {device} on; another button switches it off."),
                    "off": say("Switches {device} off."),
                }.get(switched or "", say("Gives a signal to {device}.")).format(device=name)
            )
        elif moves(load):
            way = {
                "open only": say("Opens {device}."),
                "partial open": say("Opens {device} as far as a person needs."),
                "close": say("Closes {device}."),
                "start": say("Starts {device}: a further press stops it or turns it round."),
                "stop": say("Stops {device}; it is no emergency stop."),
            }
            yield way.get(load.logic or "", say("Starts {device}.")).format(device=name)
            if load.sheet.closes_after_s is not None and closes(load):
                yield say(
                    "It closes by itself after {time}.",
                    time=self._texts.quantity(write_quantity(load.sheet.closes_after_s, "time")),
                )
        elif load.traits.is_lock or load.logic == "release":
            yield say("Unlocks {device} for {time}.", device=name, time=time)
        elif kind == "call":
            yield say("Calls for help: {device} for {time}.", device=name, time=time)
            who = self.basis.case.job.functions[function].answered_by
            yield (
                say("Whoever answers: {who}.", who=self._texts.own(who))
                if who
                else say("Nobody is named yet who answers: ask before you rely on it.")
            )
        elif output.output.traits.turns_round:
            yield say("Switches {device} on or off, in turn.", device=name)
        elif output.output.traits.while_held:
            yield say("{device} is on while you hold the button.", device=name)
        else:
            yield say("Switches {device} on for {time}.", device=name, time=time)
            if output.output.retrigger:
                yield say("A further press starts the time anew.")
        if output.output.delay_s:
            yield say(
                "It begins {time} after the press.",
                time=self._texts.quantity(write_quantity(output.output.delay_s, "time")),
            )

    def tells(self, function: str) -> str:
        """How one sees or hears that it worked."""
        say, found = self._texts.say, []
        for output in self.basis.case.outputs_of(function):
            for load in driven_of(self.basis.case, output):
                name = called(self.basis, load)
                if alarm(load):
                    told = [
                        finding
                        for finding in self.basis.of_code("PAN-06")
                        if finding.touches(OutputRef(output.path))
                    ]
                    holds = bool(told) and all(finding.verdict is Verdict.HOLDS for finding in told)
                    found.append(
                        say("lamp or sounder tells you so, not before; else look at the panel")
                        if holds
                        else say("the panel shows it: nothing else tells you, so look each time")
                    )
                elif moves(load):
                    found.append(say("{device} has moved: watch until it has stopped", device=name))
                elif load.traits.is_lock or load.logic == "release":
                    found.append(say("you hear the lock: push at once"))
                elif load.traits.makes_sound or load.traits.calls_help:
                    found.append(say("you hear {device}; then wait for somebody to come", device=name))
                elif load.traits.gives_light:
                    found.append(say("you see {device}", device=name))
                else:
                    found.append(say("you have looked at {device}: nothing is told back", device=name))
        return "; ".join(dict.fromkeys(found)) or say("you have looked: nothing tells you")

    def after_power(self, functions: tuple[str, ...]) -> str:
        """How things stand after a power cut."""
        say = self._texts.say
        states: dict[str, list[str]] = {}
        for function in functions:
            for output in self.basis.case.outputs_of(function):
                state = after_power_return(self.basis.case, output)
                if state == "on":
                    # a break contact at rest: a magnetic lock is locked again, anything else is looked at
                    state = (
                        "off"
                        if all(load.traits.is_magnet for load in driven_of(self.basis.case, output))
                        else "unknown"
                    )
                states.setdefault(state, []).append(self._texts.own(function))
        said = [say("During a power cut the radio does nothing.")]
        if "off" in states:
            said.append(
                say("Afterwards everything is off: press again.")
                if len(states) == 1
                else say("Off afterwards: {functions}.", functions=_joined(states["off"]))
            )
        if "as before" in states:
            said.append(say("As before the cut: {functions}.", functions=_joined(states["as before"])))
        if "unknown" in states:
            said.append(say("Not known, look: {functions}.", functions=_joined(states["unknown"])))
        return " ".join(said)


def _joined(names: list[str]) -> str:
    return ", ".join(dict.fromkeys(names))
