"""Jobs of which only the wishes stand: a yard with gates and a winch, a church with a door and lights."""

from __future__ import annotations

from pathlib import Path

from farpress.case.case import Case
from farpress.case.door import open_job

__all__ = ["CHURCH", "YARD", "opened"]

_GATE = (
    "supply: potential-free, load: input, stops_after: 0.2 s, closes_after: 40 s, safeguards: [beams, edge],"
    " safeguards_tested: true, escape_route: false, closes_after_power_return: false, inputs: {open: {logic:"
    " open only, wants: pulse, closes_by_second_press: false, min_pulse: 0.2 s, max_pulse: 2 s,"
    " voltage: 24 V, current: 12 mA}}"
)
_WAY = "wants: maintained, voltage: 24 V, current: 12 mA"

YARD = f"""\
farpress: 2
job: Quillmouth Boat Yard
region: europe
premises:
  yard:
    surroundings: rural
    levels:
      shed: {{floor: 0 m, clear: 4 m, outline: [[0, 0], [12, 0], [12, 8], [0, 8]]}}
    walls:
      - {{level: shed, build: brick 240 mm, along: [[0, 0], [12, 0], [12, 8], [0, 8], [0, 0]]}}
    places:
      road: {{at: [30, -18], pressed: in car, sees: [road-gate]}}
      slip: {{at: [6, 34], sees: [slip-gate, winch]}}
      pontoon: {{at: [2, 60], sees: [slip-gate]}}
    devices:
      road-gate: {{device: sliding gate, at: [28, -2, 0.6], travel: 20 s, travel_worst: 24 s, speed: 0.2 m/s, {_GATE}}}
      slip-gate: {{device: swing gate, at: [4, 28, 0.8], travel: 15 s, travel_worst: 18 s, angle: 90 deg, leaf: 3 m, {_GATE}}}
      winch: {{device: winch, at: [6, 20, 1.2], supply: potential-free, load: input, stops_after: 0.1 s, interlocked: true, isolator: lockable, inputs: {{haul: {{logic: up, {_WAY}}}, lower: {{logic: down, {_WAY}}}}}}}
functions:
  road gate: {{works: road-gate.open, kind: open}}
  slip gate: {{works: slip-gate.open, kind: open}}
  haul: {{works: winch.haul, kind: up}}
  lower: {{works: winch.lower, kind: down}}
groups:
  berth holders: {{fob: fob-2, count: 40, spares: 4, presses: 3 per day, kept: in car}}
  yard hands: {{fob: fob-4, count: 3, presses: 20 per day, kept: in hand, trained: true}}
promises:
  - {{to: berth holders, function: road gate, from: road}}
  - {{to: berth holders, function: slip gate, from: pontoon}}
  - {{to: yard hands, function: road gate, from: road}}
  - {{to: yard hands, function: slip gate, from: slip}}
  - {{to: yard hands, function: haul, from: slip}}
  - {{to: yard hands, function: lower, from: slip}}
rules:
  - {{never: both on, of: [haul, lower]}}
  - {{never: works by, of: [haul, lower], by: [berth holders]}}
  - {{never: works after power return, of: [road gate, slip gate, haul, lower]}}
"""  # noqa: E501

CHURCH = """\
farpress: 2
job: Saint Orrin's
region: europe
premises:
  church:
    surroundings: residential
    levels:
      nave: {floor: 0 m, clear: 9 m, outline: [[0, 0], [22, 0], [22, 10], [0, 10]]}
    walls:
      - {level: nave, build: natural stone 500 mm, along: [[0, 0], [22, 0], [22, 10], [0, 10], [0, 0]]}
    places:
      porch: {at: [-2, 5], sees: [door]}
      pulpit: {at: [18, 5], level: nave, sees: [shutters, lights]}
    mounts:
      vestry: {at: [21, 9, 2.0], level: nave, mains: true}
      west wall: {at: [0.4, 7, 2.0], level: nave}
    devices:
      door: {part: strike-12v, at: [0, 5, 1.1], level: nave, escape_route: false, opens_by_hand: true}
      shutters: {part: shutter-motor, at: [11, 9.8, 3.0], level: nave, escape_route: false}
      lights: {part: led-24v, at: [12, 5, 4.0], level: nave}
functions:
  door: {works: door.release, kind: unlock, lasts: 5 s}
  shutters up: {works: shutters.up, kind: up}
  shutters down: {works: shutters.down, kind: down}
  lights: {works: lights.on, kind: light, lasts: 10 min}
groups:
  wardens: {fob: fob-4, count: 4, presses: 6 per day, kept: in pocket}
promises:
  - {to: wardens, function: door, from: porch}
  - {to: wardens, function: shutters up, from: pulpit}
  - {to: wardens, function: shutters down, from: pulpit}
  - {to: wardens, function: lights, from: pulpit}
rules:
  - {never: both on, of: [shutters up, shutters down]}
"""


def opened(folder: Path, text: str) -> Case:
    """The job written into a folder and read."""
    folder.mkdir(parents=True)
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    return open_job(folder)
