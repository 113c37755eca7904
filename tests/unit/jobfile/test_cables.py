"""Cables drawn core by core, junctions, links, ways and branches: read, or refused with what to do."""

from __future__ import annotations

import pytest

from farpress.catalogue.store import load_catalogue
from farpress.domain.cables import LaidCore
from farpress.errors import JobFileError
from farpress.jobfile.reader import JobDocument, read_job_text

KNOWN = load_catalogue().known_names()

JOB = """\
farpress: 2
job: x
premises:
  house:
    supplies:
      main: {part: supply-12v-1a5, branches: {1: {fuse: 1 A}, 2: {fuse: 500 mA}}}
    receivers:
      R2: {part: receiver-2, at: [0, 0], fed: {from: main.branch 1, cable: {part: alarm-6x0.22, length: 3 m}}}
    devices:
      lock: {part: strike-12v, at: [1, 1]}
    panels:
      alarm: {part: panel-single-eol}
    junctions: {J4: {at: [23.6, 7.2, 2.4]}}
    ways: {duct: {divided: true}}
    links:
      - [J4.1, R2.+, R2.1.common]
    cables:
      W7:
        part: alarm-8x0.22
        from: cupboard
        to: side door
        length: 41 m
        way: duct
        cores:
          red: [main.branch 2.+, J4.1]
          black: [main.branch 2.0, J4.2, R2.0]
          white: [R2.1.break, lock.+]
          grey: {ends: [R2.2.common, J4.3], found: 12 ohm, metal: copper-clad aluminium}
          pink: []
"""


def read(text: str = JOB) -> JobDocument:
    """The job of a text."""
    return read_job_text(text, known=KNOWN)


def faults(text: str) -> list[str]:
    """Its faults, each as "line:column path: sentence"."""
    with pytest.raises(JobFileError) as caught:
        read(text)
    return [f"{one.line}:{one.column} {one.path}: {one.says}" for one in caught.value.faults]


def test_a_cable_is_read_core_by_core() -> None:
    """Short and long form of a core say the same; cores that are not named are spare."""
    cable = read().job.premises["house"].cables["W7"]

    assert (cable.part, cable.length_m, cable.from_, cable.to, cable.way) == (
        "alarm-8x0.22",
        41.0,
        "cupboard",
        "side door",
        "duct",
    )
    assert cable.core("black") == LaidCore(ends=("main.branch 2.0", "J4.2", "R2.0"))
    assert cable.core("grey").found_ohm == 12.0
    assert cable.core("pink").ends == ()


def test_a_feed_from_a_branch_knows_its_supply() -> None:
    """`from: main.branch 1` and `from: main, branch: 1` are one."""
    fed = read().job.premises["house"].receivers["R2"].fed
    other = read(JOB.replace("from: main.branch 1", "from: main, branch: 1")).job.premises["house"]

    assert fed is not None
    assert (fed.from_, fed.branch) == ("main", "1")
    assert other.receivers["R2"].fed == fed


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("lock.+]", "lok.+]", "27:31 premises.house.cables.W7.cores.white[1]: 'lok.+': nothing of these"),
        ("R2.1.break", "R2.9.break", "27:19 premises.house.cables.W7.cores.white[0]: there is no output"),
        ("R2.1.break", "R2.1.brake", "has no terminal '1.brake'; closest: '1.break'"),
        ("R2.1.break", "other/R2.1.break", "A cable stays at its premises"),
        ("R2.1.break", "R2", "names a thing and no terminal of it"),
        ("J4.2, R2.0]", "J4.2, J4.2]", "core black of W7 has J4.2 at two ends"),
        ("[J4.1, R2.+, ", "[J4.1, R2.+, J4.1, ", "this link has J4.1 twice"),
        ("[J4.1, R2.+, R2.1.common]", "[J4.1]", "this list has 1 entries, but at least 2 are wanted"),
        ("way: duct", "way: dct", "'dct' is not a way of house. Did you mean 'duct'?"),
        ("length: 3 m", "length: 3 m, way: dct", "'dct' is not a way. Did you mean 'duct'?"),
        ("part: alarm-8x0.22", "part: alarm-9x0.22", "is not a cable. Did you mean"),
        ("main.branch 1,", "main.branch 3,", "'3' is not a branch of main. There is: 1, 2."),
        ("main.branch 2.+", "main.branch 3.+", "has no terminal 'branch 3.+'"),
        ("junctions: {J4", "junctions: {lock: {}, J4", "'lock' stands under 'devices' already"),
        ("junctions: {J4", "junctions: {J.5: {}, J4", "the name 'J.5' has '.'"),
        ("      W7:", "      W/7:", "the name 'W/7' has '/'"),
        ("length: 3 m", "length: 3 m, label: W7", "the cable 'W7' is alarm-8x0.22 of 41 m elsewhere"),
        ("found: 12 ohm", "fund: 12 ohm", "the key 'fund' is not known in cores.grey. Did you mean 'found'?"),
        ("found: 12 ohm", "found: 12", "ohm"),
        ("pink: []", "pink: R2.+", "each text or a table with keys such as ends, found, broken"),
    ],
)
def test_a_slip_is_refused_with_what_there_is(old: str, new: str, fault: str) -> None:
    """Each with the line, what was given, what there is, what to do."""
    text = JOB.replace(old, new, 1)
    assert text != JOB

    assert [found for found in faults(text) if fault in found]


def test_all_slips_are_told_at_once() -> None:
    """A core of a wrong form does not hide the wrong terminals of the others."""
    text = JOB.replace("pink: []", "pink: R2.+").replace("lock.+", "lok.+").replace("way: duct", "way: dct")

    assert len(faults(text)) == 3


def test_nothing_is_said_of_terminals_of_a_thing_that_cannot_be_read() -> None:
    """Its own fault is told, and no second one."""
    assert len(faults(JOB.replace("lock: {part: strike-12v, at: [1, 1]}", "lock: {prt: strike-12v}"))) == 1


def test_two_names_for_one_thing_of_a_terminal_are_asked_about() -> None:
    """A supply and a device of one name stand side by side until a core ends at one of them."""
    both = JOB.replace("lock: {part", "main: {part: lamp-12v}\n      lock: {part")

    assert any("'main' is a supply and a device of these premises" in found for found in faults(both))


def test_a_file_of_format_1_with_a_cable_is_read_and_told() -> None:
    """Nothing is refused that can be understood."""
    remarks = read(JOB.replace("farpress: 2", "farpress: 1")).remarks

    assert [remark.line for remark in remarks] == [6]
    assert remarks[0].path == "premises.house.supplies.main.branches"
    assert "this came with format 2, like 4 other places" in remarks[0].says
    assert read().remarks == ()


DIODES = JOB.replace(
    "    cables:\n", "    diodes:\n      D1: {from: main.+, to: J4.1, left: 0.45 V}\n    cables:\n", 1
)


def test_a_diode_is_read() -> None:
    """From its anode to its cathode."""
    diode = read(DIODES).job.premises["house"].diodes["D1"]

    assert (diode.from_, diode.to, diode.left_v) == ("main.+", "J4.1", 0.45)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("to: J4.1, left", "to: main.+, left", "both ends of the diode are at main.+"),
        ("to: J4.1, left", "to: J5.1, left", "nothing of these premises is called 'J5'"),
        ("left: 0.45 V", "left: 5 V", "2"),
    ],
)
def test_a_diode_that_cannot_be_is_refused(old: str, new: str, fault: str) -> None:
    """Two terminals, both there, and volts that diodes leave."""
    assert any(fault in told for told in faults(DIODES.replace(old, new)))


VOLTS_READ = JOB.replace(
    "    cables:\n",
    "    volts_read:\n      - {between: [main.+, main.0], volts: -0.4 V, mains_off: true}\n    cables:\n",
    1,
)


def test_volts_that_were_read_are_kept_with_their_sign() -> None:
    """The red lead first; at rest, where nothing else is said."""
    read_volts = read(VOLTS_READ).job.premises["house"].volts_read[0]

    assert (read_volts.between, read_volts.volts_v) == (("main.+", "main.0"), -0.4)
    assert (read_volts.during, read_volts.mains_off) == ("at rest", True)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("[main.+, main.0]", "[main.+, main.+]", "both leads are at main.+"),
        ("[main.+, main.0]", "[main.+, J5.1]", "nothing of these premises is called 'J5'"),
        (
            "mains_off: true",
            "during: at ease",
            "'at ease' is not a state of a circuit. Did you mean 'at rest'",
        ),
        ("volts: -0.4 V, ", "", "'volts' is missing"),
    ],
)
def test_volts_that_cannot_have_been_read_are_refused(old: str, new: str, fault: str) -> None:
    """Two terminals, both there, and a state that there is."""
    told = faults(VOLTS_READ.replace(old, new))
    assert any(fault in says for says in told), told
