"""More jobs of which only the wishes stand: a kennel, a swimming pool, a theatre, flats over a car park."""

from __future__ import annotations

__all__ = ["FLATS", "KENNEL", "POOL", "THEATRE"]

KENNEL = """\
farpress: 2
job: Hazelrigg Kennels
region: europe
premises:
  kennel:
    surroundings: rural
    levels:
      house: {floor: 0 m, clear: 2.6 m, outline: [[0, 0], [9, 0], [9, 7], [0, 7]]}
      runs: {floor: 0 m, clear: 2.4 m, outline: [[14, 0], [44, 0], [44, 6], [14, 6]]}
    walls:
      - {level: house, build: brick 240 mm, along: [[0, 0], [9, 0], [9, 7], [0, 7], [0, 0]]}
      - {level: runs, build: brick 115 mm, along: [[14, 0], [44, 0], [44, 6], [14, 6], [14, 0]]}
    places:
      lane: {at: [-12, -20], pressed: in car, sees: [yard-gate]}
      kitchen: {at: [4, 4], level: house}
      first runs: {at: [18, -2], sees: [inner-door, outer-door]}
      last runs: {at: [42, -2], sees: [inner-door, outer-door]}
      field: {at: [60, 45]}
    mounts:
      kitchen wall: {at: [8.8, 3, 2.0], level: house, mains: true}
      runs wall: {at: [14.2, 3, 2.0], level: runs, mains: true}
    devices:
      yard-gate: {part: sliding-drive, at: [-6, -9, 0.6], travel: 16 s, travel_worst: 19 s, speed: 0.2 m/s, closes_after: 40 s, safeguards: [beams, edge], safeguards_tested: true, escape_route: false, closes_after_power_return: false}
      inner-door: {part: strike-12v, at: [20, 0, 1.1], level: runs, escape_route: false, opens_by_hand: true}
      outer-door: {part: strike-12v, at: [23, 0, 1.1], level: runs, escape_route: false, opens_by_hand: true}
      yard-lights: {part: led-230v, at: [12, -4, 4.0]}
      wash: {part: valve-24vac, voltage_max: 32 V, at: [30, 3, 1.0], level: runs}
functions:
  gate: {works: yard-gate.start, kind: open}
  inner door: {works: inner-door.release, kind: unlock, lasts: 5 s}
  outer door: {works: outer-door.release, kind: unlock, lasts: 5 s}
  yard lights: {works: yard-lights.on, kind: light, lasts: 10 min}
  wash: {works: wash.on, kind: water, lasts: 3 min}
groups:
  keepers: {fob: fob-4, count: 5, spares: 1, presses: 30 per day, kept: in pocket, trained: true}
  night keeper: {fob: fob-2, count: 1, presses: 4 per day, kept: in pocket}
  owners: {fob: fob-1, count: 45, spares: 5, presses: 1 per week, kept: in car}
promises:
  - {to: owners, function: gate, from: lane}
  - {to: keepers, function: inner door, from: first runs}
  - {to: keepers, function: outer door, from: last runs}
  - {to: keepers, function: wash, from: last runs}
  - {to: keepers, function: yard lights, from: field, importance: should}
  - {to: night keeper, function: yard lights, from: kitchen}
rules:
  - {never: both on, of: [inner door, outer door], says: a dog must not slip through both}
  - {never: on longer than, for: 5 min, of: [wash]}
"""  # noqa: E501

POOL = """\
farpress: 2
job: Marrow Lane Pool
region: europe
premises:
  pool:
    surroundings: residential
    levels:
      hall: {floor: 0 m, clear: 5 m, outline: [[0, 0], [28, 0], [28, 16], [0, 16]]}
    walls:
      - {level: hall, build: brick 240 mm, along: [[0, 0], [28, 0], [28, 16], [0, 16], [0, 0]]}
      - {level: hall, build: brick 115 mm, along: [[6, 0], [6, 16]]}
    places:
      edge: {at: [16, 3], level: hall, sees: [cover, pool-lights]}
      changing room: {at: [3, 8], level: hall}
      street: {at: [-8, 8], sees: [door]}
    mounts:
      plant room: {at: [1, 15, 2.0], level: hall, mains: true}
    devices:
      door: {part: magnetic-lock-12v, at: [0, 8, 2.2], level: hall, escape_route: true, opens_by_hand: true}
      cover: {part: shutter-motor, at: [27, 8, 0.4], level: hall, escape_route: false}
      pool-lights: {part: led-24v, at: [16, 8, 0.5], level: hall}
      jets: {device: pump, at: [2, 14, 0.5], level: hall, supply: mains, voltage: 230 V, current: 4 A, load: motor, inputs: {"on": {logic: "on", wants: maintained}}}
functions:
  door: {works: door.release, kind: unlock, lasts: 5 s}
  cover opens: {works: cover.up, kind: up}
  cover shuts: {works: cover.down, kind: down}
  pool lights: {works: pool-lights.on, kind: light, lasts: 30 min}
  jets: {works: jets.on}
groups:
  attendants: {fob: fob-4, count: 4, spares: 1, presses: 10 per day, kept: in pocket, trained: true}
  members: {fob: fob-2, count: 80, spares: 8, presses: 1 per day, kept: in pocket}
promises:
  - {to: members, function: door, from: street}
  - {to: attendants, function: cover opens, from: edge}
  - {to: attendants, function: cover shuts, from: edge}
  - {to: attendants, function: cover shuts, from: changing room}
  - {to: attendants, function: pool lights, from: edge}
  - {to: attendants, function: jets, from: edge}
rules:
  - {never: both on, of: [cover opens, cover shuts]}
  - {never: works from, of: [cover shuts], from: [changing room], says: nobody shuts the cover unseen}
"""  # noqa: E501

THEATRE = """\
farpress: 2
job: The Lantern Rooms
region: europe
premises:
  theatre:
    surroundings: city
    levels:
      stage: {floor: 0 m, clear: 7 m, outline: [[0, 0], [24, 0], [24, 14], [0, 14]]}
    walls:
      - {level: stage, build: brick 240 mm, along: [[0, 0], [24, 0], [24, 14], [0, 14], [0, 0]]}
      - {level: stage, build: brick 115 mm, along: [[16, 0], [16, 14]]}
    places:
      prompt corner: {at: [17, 2], level: stage, sees: [curtain, screen]}
      stalls: {at: [8, 7], level: stage, sees: [curtain, screen]}
      dressing room: {at: [22, 12], level: stage}
      alley: {at: [26, 5], sees: [stage-door]}
    mounts:
      dimmer room: {at: [23.5, 1, 2.0], level: stage, mains: true}
      fly floor: {at: [16.5, 13, 5.0], level: stage}
    devices:
      stage-door: {part: strike-24v, at: [24, 5, 1.1], level: stage, escape_route: false, opens_by_hand: true}
      curtain: {part: curtain-motor, at: [16, 7, 6.0], level: stage, escape_route: false}
      screen: {part: screen-motor, at: [15, 7, 6.0], level: stage, escape_route: false}
      house-lights: {part: led-230v, at: [8, 7, 6.0], level: stage}
      help: {part: call-12v, at: [17, 1, 2.2], level: stage}
functions:
  stage door: {works: stage-door.release, kind: unlock, lasts: 6 s}
  curtain opens: {works: curtain.up, kind: up}
  curtain closes: {works: curtain.down, kind: down}
  screen up: {works: screen.up, kind: up}
  screen down: {works: screen.down, kind: down}
  house lights on: {works: house-lights.on, kind: light, switches: "on"}
  house lights off: {works: house-lights.on, kind: light, switches: "off"}
  help: {works: help.on, kind: call, lasts: 60 s}
groups:
  crew: {fob: fob-4, count: 3, presses: 20 per day, kept: in pocket, trained: true}
  crew two: {fob: fob-4, count: 3, presses: 20 per day, kept: in pocket, trained: true}
  players: {fob: fob-1, count: 14, spares: 2, presses: 2 per day, kept: in pocket}
promises:
  - {to: crew, function: curtain opens, from: prompt corner}
  - {to: crew, function: curtain closes, from: prompt corner}
  - {to: crew, function: screen up, from: stalls}
  - {to: crew, function: screen down, from: stalls}
  - {to: crew two, function: house lights on, from: stalls}
  - {to: crew two, function: house lights off, from: stalls}
  - {to: crew two, function: help, from: dressing room, at_least: 99 %}
  - {to: players, function: stage door, from: alley}
rules:
  - {never: both on, of: [curtain opens, curtain closes]}
  - {never: both on, of: [screen up, screen down]}
  - {never: works after power return, of: [screen up, screen down]}
"""

FLATS = """\
farpress: 2
job: Copperbeech Flats
region: europe
premises:
  flats:
    surroundings: city
    levels:
      garage: {floor: -3 m, clear: 2.4 m, outline: [[0, 0], [40, 0], [40, 18], [0, 18]]}
      ground: {floor: 0 m, slab: reinforced concrete 280 mm, clear: 2.7 m, outline: [[0, 0], [40, 0], [40, 18], [0, 18]]}
    walls:
      - {level: garage, build: reinforced concrete 280 mm, along: [[0, 0], [40, 0], [40, 18], [0, 18], [0, 0]]}
      - {level: ground, build: brick 240 mm, along: [[0, 0], [40, 0], [40, 18], [0, 18], [0, 0]]}
    places:
      ramp top: {at: [-14, 9], pressed: in car, sees: [barrier]}
      grille outside: {at: [-4, 9], pressed: in car, sees: [grille]}
      bays: {at: [30, 9], level: garage, pressed: in car, sees: [grille]}
      path: {at: [20, -4], sees: [front-door]}
      hill: {at: [900, 700]}
    mounts:
      meter room: {at: [38, 16, -1.2], level: garage, mains: true}
      ramp wall: {at: [0.3, 6, -1.0], level: garage, mains: true}
      porch: {at: [20, 0.3, 2.2], level: ground}
    devices:
      barrier: {part: barrier, at: [-10, 9, 0.9], travel: 4 s, travel_worst: 6 s, closes_after: 15 s, safeguards: [beams, loop], safeguards_tested: true, escape_route: false, closes_after_power_return: false}
      grille: {part: roller-grille, at: [0, 9, -1.5], level: garage, travel: 12 s, travel_worst: 15 s, closes_after: 30 s, safeguards: [beams, edge], safeguards_tested: true, escape_route: false, closes_after_power_return: false}
      front-door: {part: strike-12v, at: [20, 0, 1.1], level: ground, escape_route: false, opens_by_hand: true}
      bay-lights: {part: led-230v, at: [20, 9, -0.8], level: garage}
functions:
  barrier: {works: barrier.open, kind: open}
  grille: {works: grille.open, kind: open}
  front door: {works: front-door.release, kind: unlock, lasts: 5 s}
  bay lights: {works: bay-lights.on, kind: light, lasts: 5 min}
groups:
  residents: {fob: fob-4, count: 120, spares: 12, presses: 4 per day, kept: in car}
  caretaker: {fob: fob-4, count: 1, presses: 15 per day, kept: in pocket, trained: true}
promises:
  - {to: residents, function: barrier, from: ramp top}
  - {to: residents, function: grille, from: grille outside}
  - {to: residents, function: grille, from: bays}
  - {to: residents, function: front door, from: path}
  - {to: residents, function: bay lights, from: bays}
  - {to: caretaker, function: barrier, from: hill, importance: should}
rules:
  - {never: works after power return, of: [barrier, grille]}
"""  # noqa: E501
