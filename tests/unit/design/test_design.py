"""A boat yard and a church drawn up from bare wishes: whole, kept, written and read again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.design.choosing import Variant
from farpress.design.design import design
from farpress.design.figures import figures_of
from farpress.design.fixes import fixes_from
from farpress.design.norms import norms_with
from farpress.design.result import Design, Designs
from farpress.design.writing import write_design
from farpress.domain.finding import Verdict
from farpress.errors import InputError
from farpress.judging.assess import assess
from farpress.quoting.norms import Norms
from farpress.quoting.quotation import FirmLists
from helpers.wished_jobs import CHURCH, YARD, opened

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """The yard as the customer wishes it."""
    return opened(tmp_path_factory.mktemp("wished") / "yard", YARD)


@pytest.fixture(scope="module")
def drawn(yard: Case) -> Design:
    """It drawn up for the least work."""
    return only(design(yard, variants=(Variant.CHEAPEST,)))


def only(designs: Designs) -> Design:
    """The single variant that was asked for."""
    (found,) = designs.variants
    return found


def failing(found: Design) -> list[str]:
    """Promises that fail."""
    return [chain.id for chain in found.after.promises if chain.verdict is Verdict.FAILS]


def test_every_promise_of_the_yard_is_kept(drawn: Design) -> None:
    """Nothing fails, and each of the four functions has an output that works what was wished."""
    job = drawn.case.job
    worked = {
        name: [works for output in drawn.case.outputs_of(name) for works in output.works]
        for name in job.functions
    }

    assert failing(drawn) == []
    assert drawn.left == ()
    assert worked == {
        "road gate": ["road-gate.open"],
        "slip gate": ["slip-gate.open"],
        "haul": ["winch.haul"],
        "lower": ["winch.lower"],
    }


def test_a_winch_runs_only_while_the_button_is_held(drawn: Design) -> None:
    """Both directions follow the button, in one box, each kept off by the other."""
    (haul,), (lower,) = drawn.case.outputs_of("haul"), drawn.case.outputs_of("lower")

    assert haul.output.kind == lower.output.kind == "follow"
    assert haul.receiver_path == lower.receiver_path
    assert (haul.output.interlock, lower.output.interlock) == (lower.number, haul.number)


def test_each_group_has_what_it_is_promised_on_its_fob(drawn: Design) -> None:
    """No more and no less than was promised to it."""
    job = drawn.case.job
    for name, group in job.groups.items():
        promised = {promise.function for promise in job.promises if promise.to == name}

        assert set(job.functions_of(group)) == promised, name


def test_what_is_written_reads_back_the_same(yard: Case, drawn: Design, tmp_path: Path) -> None:
    """The new version judged from its folder gives the design's assessment, finding by finding."""
    write_design(yard, drawn, tmp_path / "new")
    again = assess(open_job(tmp_path / "new"))
    lines = (tmp_path / "new" / "job.yaml").read_text(encoding="utf-8").splitlines()

    assert [(f.code, f.about, f.verdict, f.value) for f in again.findings] == [
        (f.code, f.about, f.verdict, f.value) for f in drawn.after.findings
    ]
    assert lines[0].startswith("# Drawn up, variant cheapest")
    assert sum(line.startswith("# ") for line in lines) > len(drawn.decisions) + len(drawn.steps)


def test_the_surest_is_no_less_sure_and_the_fewest_has_no_more_boxes(yard: Case, drawn: Design) -> None:
    """Beside the cheapest: a worst chance at least as good, and at most as many boxes."""
    surest, fewest = design(yard, variants=(Variant.SUREST, Variant.FEWEST)).variants

    assert drawn.figures.worst is not None
    assert surest.figures.worst is not None
    assert surest.figures.worst[1] > drawn.figures.worst[1]
    assert fewest.figures.boxes <= min(drawn.figures.boxes, surest.figures.boxes)
    assert failing(surest) == failing(fewest) == []


def test_a_choice_that_is_fixed_stays(yard: Case) -> None:
    """The receiver hangs at the winch and the pulse lasts a second, as it was decided."""
    fixes = fixes_from(yard, ["road gate.for=1 s", "haul.at=winch", "haul.receiver=receiver-4-socket"])
    found = only(design(yard, variants=(Variant.CHEAPEST,), fixes=fixes))
    (gate,), (haul,) = found.case.outputs_of("road gate"), found.case.outputs_of("haul")

    assert gate.output.for_s == 1.0
    assert haul.box.at[:2] == (6.0, 20.0)
    assert haul.box.part == "receiver-4-socket"
    assert failing(found) == []


def test_what_stands_is_kept(drawn: Design, tmp_path: Path, yard: Case) -> None:
    """A third gate wished later gets an output beside what stands, and nothing that stands is changed."""
    file = write_design(yard, drawn, tmp_path / "first")
    text = file.read_text(encoding="utf-8")
    text = text.replace(
        "functions:\n", "functions:\n  yard lights: {works: lights.on, kind: light, lasts: 5 min}\n"
    )
    text = text.replace("    devices:\n", "    devices:\n      lights: {part: led-12v, at: [10, 4, 3.0]}\n")
    text = text.replace("promises:\n", "promises:\n  - {to: yard hands, function: yard lights, from: slip}\n")
    standing = opened(tmp_path / "second", text)
    found = only(design(standing, variants=(Variant.FEWEST,)))
    before, after = standing.job.premises["yard"], found.case.job.premises["yard"]

    assert {name: after.receivers[name] for name in before.receivers} == before.receivers
    assert {name: after.supplies[name] for name in before.supplies} == before.supplies
    assert [output.works for output in found.case.outputs_of("yard lights")] == [("lights.on",)]
    assert found.figures.boxes == len(after.receivers) - len(before.receivers)
    assert found.figures.supplies == len(after.supplies) - len(before.supplies)


def test_a_church_is_fed_by_the_volts_its_devices_need(tmp_path: Path) -> None:
    """A strike on 12 V and lamps on 24 V, each from a supply of its volts where mains is; shutters on mains
    through a relay that is rated for it.
    """
    found = only(design(opened(tmp_path / "church", CHURCH), variants=(Variant.CHEAPEST,)))
    (door,), (lights,), (shutters,) = (
        found.case.outputs_of(name) for name in ("door", "lights", "shutters up")
    )
    supplies = found.case.equipment.supplies
    volts = {
        name: supplies[f"church/{output.output.load_from}"].sheet.voltage_v
        for name, output in (("door", door), ("lights", lights))
    }

    assert failing(found) == []
    assert 10.8 <= (volts["door"] or 0.0) <= 13.8
    assert volts["lights"] == 24.0
    assert {supply.at for supply in found.case.job.premises["church"].supplies.values()} == {(21.0, 9.0, 2.0)}
    assert shutters.output.via is not None
    assert found.case.equipment.relays[shutters.output.via].sheet.mains_rated
    assert {box.at[:2] for box in found.case.job.premises["church"].receivers.values()} <= {
        (21.0, 9.0),
        (0.4, 7.0),
    }


def test_a_rule_that_forbids_a_promise_is_named_with_it(tmp_path: Path) -> None:
    """Both stand in one sentence, each with the line it has in the customer's file."""
    text = YARD.replace(
        "rules:\n",
        "rules:\n  - {never: works from, of: [slip gate], from: [pontoon], says: not from there}\n",
    )
    found = only(design(opened(tmp_path / "job", text), variants=(Variant.FEWEST,)))
    lines = text.splitlines()
    rule = next(n for n, line in enumerate(lines, start=1) if "not from there" in line)
    promise = next(n for n, line in enumerate(lines, start=1) if "from: pontoon}" in line)
    (sentence,) = found.contradictions

    assert sentence.startswith(
        f"Not both: rule 1 (not from there; line {rule}) and"
        f" 'berth holders: slip gate from pontoon' (line {promise})."
    )


def test_what_nothing_can_reach_is_said_with_the_best_there_is(tmp_path: Path) -> None:
    """A promise from three kilometres: heard nowhere, with the best chance of all places, and where."""
    text = YARD.replace("pontoon: {at: [2, 60]", "pontoon: {at: [2, 3060]")
    designs = design(opened(tmp_path / "job", text), variants=(Variant.SUREST,))
    ((promise, share, where),) = designs.unheard

    assert promise == "berth holders: slip gate from pontoon"
    assert share < 0.5
    assert where
    assert failing(only(designs)) == ["berth holders: slip gate from pontoon"]


def test_nowhere_to_mount_anything_is_refused(tmp_path: Path) -> None:
    """No wall, and no place of a device: the address is named, and what to write."""
    text = "\n".join(line for line in YARD.splitlines() if "walls:" not in line and "brick" not in line)
    for place in ("[28, -2, 0.6]", "[4, 28, 0.8]", "[6, 20, 1.2]"):
        text = text.replace(f"at: {place}, ", "")
    case = opened(tmp_path / "job", text + "\n")

    with pytest.raises(InputError, match=r"Nothing to mount a receiver on is known at yard.*'mounts'"):
        design(case)


def test_nothing_left_to_draw_is_said(drawn: Design, yard: Case, tmp_path: Path) -> None:
    """A design of a job that is drawn already says so, and what one could do."""
    write_design(yard, drawn, tmp_path / "new")

    with pytest.raises(InputError, match=r"nothing left to draw.*'works'.*--anew"):
        design(open_job(tmp_path / "new"))


def test_stopping_keeps_the_variants_that_are_whole(yard: Case) -> None:
    """Cancelled at the second variant: the first is there, and it is said that it was cut short."""

    def stop(what: str, done: int, of: int) -> None:
        if what.startswith("surest"):
            raise KeyboardInterrupt

    designs = design(yard, variants=(Variant.CHEAPEST, Variant.SUREST), progress=stop)

    assert designs.is_cut_short
    assert [found.variant for found in designs.variants] == [Variant.CHEAPEST]


@pytest.mark.parametrize("fact", ["safeguards_tested: true,", "wants: pulse, "])
def test_a_fact_left_out_makes_no_promise_better(fact: str, drawn: Design, tmp_path: Path) -> None:
    """Whatever is not said of the gates, each promise stands as it did or worse, as everywhere."""
    found = only(design(opened(tmp_path / "job", YARD.replace(fact, "")), variants=(Variant.CHEAPEST,)))
    before = {chain.id: chain.verdict.rank for chain in drawn.after.promises}

    assert YARD.count(fact) >= 2
    assert {chain.id for chain in found.after.promises if chain.verdict.rank < before[chain.id]} == set()


def test_a_lock_without_volts_is_asked_and_not_fed(tmp_path: Path) -> None:
    """Nobody says what the strike runs on: its contact is drawn, no supply is guessed for it, it is asked."""
    strike = "{device: strike, supply: dc, load: inductive dc, current: 0.4 A, at: [0, 5, 1.1], level: nave,"
    strike += " inputs: {release: {logic: release, wants: maintained}}}"
    text = CHURCH.replace(
        "{part: strike-12v, at: [0, 5, 1.1], level: nave, escape_route: false, opens_by_hand: true}", strike
    )
    designs = design(opened(tmp_path / "job", text), variants=(Variant.CHEAPEST,))
    (door,) = only(designs).case.outputs_of("door")

    assert door.output.load_from is None
    assert any("volts of church/door" in ask for _, ask in designs.asks)
    assert "wardens: door from porch" not in {
        chain.id for chain in only(designs).after.promises if chain.verdict in (Verdict.HOLDS, Verdict.THIN)
    }


def test_minutes_are_the_firms_own(yard: Case, drawn: Design) -> None:
    """Ten minutes more for each metre of cable: the work grows by ten times the metres laid, and by nothing
    else.
    """
    usual = norms_with(None)
    lay = usual.by_task["lay cable"]
    slow = Norms({"lay cable": replace(lay, minutes=lay.minutes + 10)})
    mine = figures_of(yard, drawn.case, drawn.after, FirmLists(norms=norms_with(slow)))

    assert drawn.figures == figures_of(yard, drawn.case, drawn.after, FirmLists(norms=usual))
    assert mine.minutes - drawn.figures.minutes == pytest.approx(10 * drawn.figures.metres, abs=1.0)
    assert drawn.figures.metres == sum(
        run.length_m
        for box in drawn.case.job.premises["yard"].receivers.values()
        for run in (box.fed.cable if box.fed else None, *(output.cable for output in box.outputs.values()))
        if run is not None and not (run.label and run.cores != "1 and 2")
    )


def test_a_device_without_a_place_gets_no_cable_and_is_asked(tmp_path: Path) -> None:
    """Nobody says where the winch is: its contacts are drawn, without a cable, and the question is put."""
    text = YARD.replace("at: [6, 20, 1.2], ", "")
    designs = design(opened(tmp_path / "job", text), variants=(Variant.FEWEST,))
    (haul,) = only(designs).case.outputs_of("haul")

    assert haul.output.cable is None
    assert any("where yard/winch is" in ask for _, ask in designs.asks)


def test_parts_of_the_job_come_first_and_the_catalogue_helps_out(tmp_path: Path) -> None:
    """A receiver of the job's own with one output works the gates; the winch needs two in one box, which only
    the catalogue has.
    """
    own = "parts:\n  box: {kind: receiver, like: receiver-1, relays: 1, pulse_max: 30 s}\npremises:\n"
    found = only(
        design(opened(tmp_path / "job", YARD.replace("premises:\n", own, 1)), variants=(Variant.CHEAPEST,))
    )
    (haul,) = found.case.outputs_of("haul")

    assert haul.box.part != "box"
    assert failing(found) == []
