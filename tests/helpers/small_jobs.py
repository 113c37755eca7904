"""Jobs that are judged in a moment and have something to mend: a gate with a siren, a hall with an alarm."""

from __future__ import annotations

from farpress.jobfile.starter import starter_text

__all__ = ["HALL", "LOADS", "PULSES", "SIRENS", "gate_text"]

PULSES = ("0.5 s", "50 ms", "3 h")
SIRENS = ("", "30 m", "60 m")
LOADS = ("0.05 A", "0.1 A", "0.3 A")


def gate_text(pulse: str, siren: str, load: str) -> str:
    """A gate, with a pulse, a siren on thin cores so far away, and a rest current of other things."""
    text = starter_text("Alder").replace("for: 0.5 s", f"for: {pulse}")
    text = text.replace("pressed: in car", "pressed: in hand")
    if siren:
        cable = "cable: {part: alarm-6x0.22, length: " + siren + "}"
        text = text.replace(
            "    devices:\n",
            "    devices:\n      siren: {part: siren-12v, at: [30, 2], fed: {from: main, " + cable + "}}\n",
        )
    return text.replace("{part: lead-7ah}}", "{part: lead-7ah}, standby: 24 h, other_load: " + load + "}")


HALL = """\
farpress: 2
job: Fernhythe Hall
region: europe
premises:
  hall:
    surroundings: residential
    places: {steps: {at: [-3, 2], sees: [door]}}
    supplies: {main: {part: supply-12v-1a5, battery: {part: lead-7ah}, at: [1, 1, 2]}}
    receivers:
      R1:
        part: receiver-4
        at: [1, 1.5, 2]
        fed: {from: main, cable: {part: flex-2x0.5, length: 2 m}}
        outputs:
          1: {kind: pulse, for: 4 s, works: door.release, load_from: main, suppression: diode, cable: {part: flex-2x1.5, length: 6 m}}
          2: {kind: toggle, works: alarm.set, cable: {part: alarm-4x0.22, length: 4 m}}
    devices:
      door: {part: strike-12v, at: [0, 2, 1.1], escape_route: false, opens_by_hand: true}
    panels:
      alarm: {at: [2, 1, 1.8], inputs: {set: {reads: level, wants: maintained, voltage: 12 V, current: 2 mA}}, outputs: {set: {}}}
functions:
  door: {output: hall/R1/1, kind: unlock}
  alarm: {output: hall/R1/2, kind: set and unset}
groups:
  keepers: {fob: fob-4, count: 3, presses: 40 per day, kept: in pocket, buttons: {1: door, 2: alarm}}
promises:
  - {to: keepers, function: door, from: steps}
  - {to: keepers, function: alarm, from: steps}
"""  # noqa: E501
