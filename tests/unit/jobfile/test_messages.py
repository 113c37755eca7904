"""What a wrong job file is told: place, what was given, what is allowed, what was probably meant."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from farpress.errors import Fault, JobFileError
from farpress.jobfile.faults import faults_text

Faults = Callable[[str | bytes], list[str]]

FORM = [
    ("for: 0.5 s", "for: 0.5", "outputs.1.for", "'0.5' has no unit"),
    ("length: 31 m", "length: 31 M", "cable.length", "did you mean 'm'"),
    ("length: 31 m", "length: 31 mm2", "cable.length", "core's section"),
    ("legs: {R1: 1.1 ohm", "legs: {R1: '1,1 ohm'", "legs.R1", "use a point, not a comma: '1.1 ohm'"),
    ("length: 31 m", "length: 3,1 m", "cable.1 m", "Use a point, not a comma: 'length: 3.1 m'"),
    ("length: 31 m", "length: -20 km", "cable.length", "more than 0 m"),
    ("length: 31 m", "length: 0 m", "cable.length", "bends and risers too"),
    ("travel: 24 s", "travl: 24 s", "gate.travl", "Did you mean 'travel'?"),
    ("travel: 24 s", "travel_s: 24 s", "gate.travel_s", "Did you mean 'travel'?"),
    ("at: [17.5, 23.0, 1.8]\n", "position: [17.5, 23.0, 1.8]\n", "R1.position", "Did you mean 'at'?"),
    (
        "at: [17.5, 23.0, 1.8]\n",
        "at: [17.5, 23.0, 1.8]\n        signals: {low_cell: {works: gate.open}}\n",
        "R1.signals.low_cell",
        "The name 'low_cell' is not known here. Did you mean 'low cell'?",
    ),
    ("frequency: 433.92 MHz", "frequency: 433.92 Hz", "pocket-fob.frequency", "Was that MHz?"),
    ("erp: -14 dBm", "erp: -14 dB", "pocket-fob.erp", "'dB' is a ratio"),
    ("current_idle: 22 mA", "current_idle: 22 MA", "RX-own.current_idle", "the unit is written 'mA'"),
    ("current_idle: 22 mA", "current_idle: 22 A", "RX-own.current_idle", "Was that mA?"),
    ("current_idle: 22 mA", "current_idle: 22 Ah", "RX-own.current_idle", "'Ah' is a battery's charge"),
    ("min_pulse: 200 ms}}}", "min_pulse: 200 m}}}", "min_pulse", "'m' is metres; minutes are written 'min'"),
    ("at_least: 95 %", "at_least: 0.95", "at_least", "per cent"),
    ("within: 2 presses", "within: 2", "within", "2 presses"),
    ("within: 2 presses", "within: [2]", "within", "a list or table stands here"),
    ("pressed: in car", "pressed: in the car", "street.pressed", "Did you mean 'in car'?"),
    (
        "kind: toggle",
        "kind: togle",
        "outputs.3.kind",
        "Did you mean 'toggle'? Allowed: pulse, toggle, follow",
    ),
    ("kind: fob, buttons", "kind: fobb, buttons", "pocket-fob.kind", "Did you mean 'fob'?"),
    ("{kind: fob, buttons", "{buttons", "parts.pocket-fob", "'kind' is missing"),
    ("floor: 0 m, ", "", "levels.ground", "'floor' is missing here; write 'floor: 4.2 m'"),
    ("at: [14, -25]", "at: [14 m, -25]", "street.at", "plain numbers in metres"),
    ("at: [14, -25]", "at: [14]", "street.at", "[x, y]"),
    ("at: [14, -25]", "at: [14, -25000]", "street.at", "more than 10 km"),
    (
        "along: [[12, 31.4], [17.4, 31.4]]",
        "along: [[12, 31.4]]",
        "walls[1].along",
        "1 entries, but at least 2",
    ),
    ("grade: 2\n", "grade: 7\n", "grade", "a whole number from 1 to 4"),
    ("grade: 2\n", "grade: two\n", "grade", "a whole number from 1 to 4"),
    ("job: Quarry Cottage", "job: true", "job", "put it in quotes"),
    ("job: Quarry Cottage", "job:", "job", "nothing stands here"),
    ("people: [wren, tavi]", "people: wren", "family.people", "a list of entries"),
    ("{short: garage, long: alarm}", "[garage, 3, {x: 1}]", "family.buttons.2", "stands here, but wanted is"),
    (
        "{short: garage, long: alarm}",
        "{short: garage, lang: alarm}",
        "family.buttons.2.lang",
        "Did you mean 'long'?",
    ),
    ("between: [cottage, yard]", "between: [cottage]", "roads[1].between", "2 are wanted"),
]
NAMES = [
    ("part: sliding-drive", "part: slidng-drive", "gate.part", "Did you mean 'sliding-drive'?"),
    ("part: sliding-drive", "part: rg58", "gate.part", "a part of another kind: coax"),
    ("part: RX-own", "part: RX-ownn", "R1.part", "Did you mean 'RX-own'?"),
    ("like: receiver-4", "like: receiver-44", "RX-own.like", "Did you mean 'receiver-4'?"),
    ("cell: CR2032", "cell: CR2302", "pocket-fob.cell", "Did you mean 'CR2032'?"),
    ("build: coated glazing", "build: coated glasing", "openings[0].build", "Did you mean 'coated glazing'?"),
    ("slab: concrete 200 mm", "slab: concrete 20 mm", "upper.slab", "Did you mean 'concrete 200 mm'?"),
    ("level: ground}", "level: grund}", "kitchen.level", "Did you mean 'ground'?"),
    ("sees: [gate]", "sees: [gait]", "street.sees[0]", "There is: gate, garage, lamps"),
    ("fed: {from: main, cable", "fed: {from: mains, cable", "R1.fed.from", "Did you mean 'main'?"),
    ("load_from: main", "load_from: aux", "outputs.2.load_from", "There is: main"),
    ("via: relay-12v", "via: relay-21v", "outputs.2.via", "Did you mean 'relay-12v'?"),
    ("interlock: 3", "interlock: 4", "outputs.2.interlock", "There is: 1, 2, 3"),
    ("interlock: 3", "interlock: 2", "outputs.2.interlock", "with itself"),
    ("works: gate.open", "works: gait.open", "outputs.1.works", "Did you mean 'gate'?"),
    ("works: garage.start", "works: garage.strat", "outputs.2.works", "Did you mean 'start'?"),
    ("works: panel.set", "works: panel.unset", "outputs.3.works", "'panel' has no input 'unset'"),
    ("with: [lamps]", "with: [lamp]", "outputs.3.with[0]", "Did you mean 'lamps'?"),
    ("reads: panel.status", "reads: panel.state", "inputs.1.reads", "'panel' has no output 'state'"),
    ("part: whip, at: [10.5", "part: wip, at: [10.5", "antenna.part", "Did you mean 'whip'?"),
    ("part: rg58", "part: rg85", "coax.part", "Did you mean 'rg58'?"),
    ("loop: {panel: panel", "loop: {panel: pannel", "tamper_loops.loop.panel", "Did you mean 'panel'?"),
    (
        "output: cottage/R1/1",
        "output: cottage/R1/7",
        "open gate.output",
        "'7' is not an output of cottage/R1. There is: 1, 2, 3",
    ),
    ("output: cottage/R1/1", "output: R1/1", "open gate.output", "Did you mean 'cottage/R1/1'?"),
    ("output: cottage/R1/1", "output: cotage/R1/1", "open gate.output", "Did you mean 'cottage'?"),
    ("fob: pocket-fob", "fob: fob-5", "family.fob", "Did you mean"),
    ("buttons: {1: open gate", "buttons: {1: gate open", "family.buttons.1", "Did you mean 'open gate'?"),
    ("long: alarm", "long: alarn", "family.buttons.2.long", "Did you mean 'alarm'?"),
    ("people: [wren, tavi]", "people: [wren, tavy]", "family.people[1]", "Did you mean 'tavi'?"),
    ("visits: {yard", "visits: {yart", "family.visits", "Did you mean 'yard'?"),
    (
        "to: family, function: open gate",
        "to: wren, function: open gate",
        "promises[0].to",
        "'wren' is a person; a promise is made to a group, here 'family'",
    ),
    ("function: garage, from", "function: garages, from", "promises[1].function", "Did you mean 'garage'?"),
    (
        "from: street, within",
        "from: door, within",
        "promises[0].from",
        "At other premises it is written 'yard/door'",
    ),
    ("from: cottage/kitchen", "from: cottage/kitchn", "promises[1].from", "Did you mean 'kitchen'?"),
    ("of: [open gate]}", "of: [open gat]}", "rules[0].of[0]", "Did you mean 'open gate'?"),
    (
        "receiver: cottage/R1, place: street",
        "receiver: R1, place: street",
        "readings[0].receiver",
        "Did you mean 'cottage/R1'?",
    ),
    ("heard: 9, of: 10", "heard: 11, of: 10", "readings[1].heard", "11 of 10"),
    ("between: [cottage, yard]", "between: [cottage, yrad]", "roads[1].between[1]", "Did you mean 'yard'?"),
    ("starts: [workshop]", "starts: [workshop, depot]", "starts[1]", "No road leads to 'depot'"),
    ("starts: [workshop]", "starts: [workshop, yard]", "starts[1]", "is a premises of the job"),
    ("starts: [workshop]\n", "", "roads[0].between[0]", "stands under 'starts'"),
    ("time_zone: Europe/London", "time_zone: Europe/Londen", "time_zone", "Did you mean 'Europe/London'?"),
    ("time_zone: Europe/London", "time_zone: ../../London", "time_zone", "is not a time zone"),
    ("07:40-07:55: 12", "07:55-07:40: 12", "traffic[0].arrivals", "the earlier time first"),
    (
        "shares_return_with: 1}",
        "shares_return_with: 9}",
        "cable.shares_return_with",
        "is not an output, device or panel",
    ),
]


@pytest.mark.parametrize(("old", "new", "path", "says"), FORM + NAMES)
def test_one_slip_gives_one_fault_at_its_place(
    old: str, new: str, path: str, says: str, sample: str, faults: Faults
) -> None:
    """The line is right, the path ends where the slip is, and the sentence tells what was meant."""
    assert sample.count(old) >= 1, old
    found = faults(sample.replace(old, new, 1))
    mine = [one for one in found if path in one.split(": ", 1)[0]]
    assert len(mine) == 1, found
    assert says in mine[0]
    line = sample[: sample.index(old)].count("\n") + 1
    assert abs(int(mine[0].split(":")[0]) - line) <= 1
    allowed = (
        2
        if "not a comma: 'length" in says
        or path in ("parts.pocket-fob", "pocket-fob.kind")
        or "missing" in says
        or "Did you mean 'at'" in says
        else 1
    )
    assert len(found) <= allowed, found


def test_all_slips_are_told_at_once(sample: str, faults: Faults) -> None:
    """Units, keys, words and names in one file: none hides another."""
    text, paths = sample, []
    for old, new, path, _ in [
        FORM[0],
        FORM[5],
        FORM[16],
        NAMES[6],
        NAMES[9],
        NAMES[31],
        NAMES[34],
        NAMES[37],
    ]:
        assert text.count(old) >= 1
        text = text.replace(old, new, 1)
        paths.append(path)
    found = faults(text)
    assert all(any(path in one for one in found) for path in paths), found
    assert len(found) == len(paths)


def test_a_faulty_entry_of_a_list_does_not_shift_the_others(sample: str, faults: Faults) -> None:
    """The first promise has a wrong unit, the second a wrong name: both places are right."""
    found = faults(
        sample.replace("within: 2 presses", "within: 2 m").replace("cottage/kitchen", "cottage/kitchn")
    )
    assert len(found) == 2
    assert "promises[0].within" in found[0]
    assert "promises[1].from" in found[1]


def test_a_device_with_a_fault_of_its_own_is_still_known_by_name(sample: str, faults: Faults) -> None:
    """No fault is told twice: what works the gate is not called unknown because the gate's travel has no
    unit.
    """
    found = faults(sample.replace("travel: 24 s", "travel: 24"))
    assert len(found) == 1


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ("says: the gate, left side", "quotes: 'says: \"the gate, left side\"'"),
        ("says: gate: left side", "put text with a colon in quotes"),
        ("contact: false", "'false' means yes or no, but a word is wanted. Allowed: normally open"),
        ("after_power_return: true", "'true' means yes or no, but a word is wanted. Allowed: off, as before"),
        ("contact: true", "Allowed: normally open, normally closed"),
    ],
)
def test_words_that_yaml_takes_otherwise_are_told_with_the_remedy(
    more: str, says: str, sample: str, faults: Faults
) -> None:
    """A comma or colon in a remark, and yes or no where a word is wanted: what to write is said."""
    told = faults(sample.replace("works: gate.open,", f"works: gate.open, {more},", 1))

    assert len(told) == 1
    assert says in told[0]


@pytest.mark.long
def test_hundreds_of_faults_end_in_a_sentence(faults: Faults) -> None:
    """Nobody mends more than a hundred in one go."""
    found = faults(
        "farpress: 1\njob: x\npremises:\n" + "".join(f"  p{n}: {{wrong: 1}}\n" for n in range(3000))
    )
    assert 100 < len(found) < 110
    assert "3000 places" in found[-1]


def test_the_text_for_a_terminal_shows_line_and_caret_in_80_columns() -> None:
    """A long source line is cut around the column; the caret stands below the sign."""
    line = (
        "      - {level: ground, build: brick 365 mm, along: [[8, 22], [19.5, 22], [19.5, 31.4]], loss: 9"
        " dBm, loss_sd: 2 dB}"
    )
    fault = Fault(
        "job.yaml",
        9,
        line.index("9 dBm") + 1,
        "premises.house.walls[0].loss",
        "'9 dBm': a loss is written in 'dB'",
        line,
    )
    text = faults_text(JobFileError([fault, Fault("job.yaml", 0, 0, "", "a sentence " * 30)]))
    lines = text.split("\n")
    assert lines[0] == "job.yaml cannot be used: 2 faults. Nothing was calculated."
    assert all(len(one) <= 80 for one in lines)
    assert (
        faults_text(JobFileError([Fault("job.yaml", 0, 0, "", "there is no such folder")]))
        == "job.yaml\n  There is no such folder."
    )
    source = next(number for number, one in enumerate(lines) if one.startswith("   9 | "))
    assert lines[source][lines[source + 1].index("^") :].startswith("9 dBm")
