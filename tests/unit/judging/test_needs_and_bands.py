"""A thing of which something must be known is asked about once; an absurd value is not computed with."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from farpress.case.door import case_of
from farpress.case.doubted import without_unbelievable
from farpress.catalogue.store import load_catalogue
from farpress.domain.believable import BANDS, Believable
from farpress.domain.equipment import Equipment
from farpress.domain.finding import Assessment, Link, Verdict, Who
from farpress.domain.refs import DeviceRef, SupplyRef
from farpress.errors import JobFileError
from farpress.jobfile.reader import read_job_text
from farpress.judging.assess import assess
from farpress.judging.believable import judge
from farpress.judging.needs import NEEDS
from farpress.quantity_kinds import KINDS
from survey import ROOT

HOUSE = (ROOT / "examples" / "larkfen-house" / "job.yaml").read_text(encoding="utf-8")


def _judged(*changes: tuple[str, str]) -> Assessment:
    text = HOUSE
    for was, now in changes:
        assert was in text
        text = text.replace(was, now)
    catalogue = load_catalogue()
    document = read_job_text(text, known=catalogue.known_names())
    return assess(case_of(document, catalogue, events=(), folder=Path("house")))


def _word(assessment: Assessment, promise: str, link: Link) -> Verdict:
    chain = next(chain for chain in assessment.promises if chain.id == promise)
    return next(entry.verdict for entry in chain.links if entry.link is link)


def test_a_receiver_without_its_supply_is_asked_about_on_its_chain() -> None:
    """Leaving the supply out makes the link unknown, never better or absent."""
    feed = next(line for line in HOUSE.splitlines(keepends=True) if "fed: {from: main" in line)
    judged = _judged((feed, ""))
    asked = [finding for finding in judged.findings if finding.code == "KNOW-04" and finding.asks]

    assert len(asked) == 1
    assert "supply feeds larkfen/R" in asked[0].asks[0].says
    assert asked[0].asks[0].who is Who.INSTALLER
    assert any(
        link.verdict in (Verdict.UNKNOWN, Verdict.FAILS) and asked[0] in link.findings
        for chain in judged.promises
        for link in chain.links
        if link.link is Link.SUPPLY
    )


def test_a_value_that_cannot_be_is_asked_about_with_what_was_meant() -> None:
    """400 A at a small supply: 400 mA was meant; nothing is computed with 400 A."""
    catalogue = load_catalogue()
    document = read_job_text(HOUSE, known=catalogue.known_names())
    sound = case_of(document, catalogue, events=(), folder=None)
    name, part = next(iter(sound.equipment.supplies.items()))
    spoilt = part.sheet.model_copy(update={"rated_a": 400.0})
    equipment = replace(
        sound.equipment, supplies={**sound.equipment.supplies, name: replace(part, sheet=spoilt)}
    )
    cleaned, doubted = without_unbelievable(equipment)

    assert cleaned.supplies[name].sheet.rated_a is None
    assert [value.value for value in doubted] == [400.0]
    judged = assess(replace(sound, equipment=cleaned, doubted=doubted))
    finding = next(finding for finding in judged.findings if finding.code == "KNOW-08")
    assert finding.verdict is Verdict.UNKNOWN
    assert finding.subjects == (SupplyRef(name),)
    assert "was 400 mA meant?" in finding.asks[0].says


@pytest.mark.parametrize(
    ("band", "value", "likely"),
    [
        (Believable(0.001, 100.0, "current"), 400.0, 0.4),
        (Believable(-130.0, -60.0, "level", (-1.0,)), 100.0, -100.0),
        (Believable(1.0, 2.0, "voltage", ()), 5.0, None),
        (BANDS["fobs"]["frequency_hz"], 433_920.0, 433.92e6),
    ],
)
def test_the_likely_meaning_is_a_usual_slip(band: Believable, value: float, likely: float | None) -> None:
    """A prefix or a sign was lost; where no slip leads into the band, nothing is offered."""
    assert not band.holds(value)
    assert band.likely(value) == pytest.approx(likely) if likely is not None else band.likely(value) is None


@pytest.mark.parametrize("edge", ["low", "high"])
def test_the_ends_of_a_band_are_believed(edge: str) -> None:
    """A band holds its ends and nothing beyond."""
    for fields in BANDS.values():
        for band in fields.values():
            end = getattr(band, edge)
            beyond = end - 1e-9 - abs(end) * 1e-9 if edge == "low" else end + 1e-9 + abs(end) * 1e-9
            assert band.holds(end)
            assert not band.holds(beyond)


def test_every_band_is_of_a_field_and_a_kind_that_exist() -> None:
    """Bands are read by somebody: tables of the equipment, or parts of one."""
    tables = set(Equipment.__dataclass_fields__) | {"inputs", "loops"}

    assert set(BANDS) <= tables
    assert {band.kind for fields in BANDS.values() for band in fields.values()} <= set(KINDS)


def test_needs_say_who_and_how_long() -> None:
    """Each need can be put on one list of questions."""
    assert all(need.minutes > 0 and "{name}" in need.ask for needs in NEEDS.values() for need in needs)
    assert DeviceRef in NEEDS


@pytest.mark.parametrize(
    ("was", "now", "asked"),
    [
        ("standby: 24 h", "standby: 2400 h", "100 d for standby of larkfen/main"),
        ("other_load: 46 mA", "other_load: 46 A", "was 46 mA meant?"),
        ("closes_after: 45 s", "closes_after: 45 ms", "was 45 s meant?"),
        ("presses: 10 per day", "presses: 10000 per day", "was 10 per day meant?"),
        ("presses: 10 per day", "walks: 40 m/s, presses: 10 per day", "was 0.4 m/s meant?"),
        ("presses: 10 per day", "longest_away: 10 s, presses: 10 per day", "was 10 min meant?"),
        ("operations: 10 per day", "daily: 30 h, operations: 10 per day", "was 30 min meant?"),
        (
            "    noise_bursts: 1 %",
            "    interference: {probes: {telegram: 40 s, every: 5 s}}\n    noise_bursts: 1 %",
            "was 40 ms meant?",
        ),
    ],
)
def test_an_absurd_value_of_the_job_itself_is_asked_about(was: str, now: str, asked: str) -> None:
    """A unit slipped in what stands in no part; a timed closing stays, as without it the gate stays open."""
    catalogue = load_catalogue()
    text = HOUSE.replace(was, now, 1)
    assert text != HOUSE
    case = case_of(read_job_text(text, known=catalogue.known_names()), catalogue, events=())
    findings = list(judge(case))

    assert [finding.verdict for finding in findings] == [Verdict.UNKNOWN]
    assert asked in findings[0].asks[0].says
    assert ("counts as given" in findings[0].says) is was.startswith("closes")
    assert "line" in findings[0].sources[0].place


@pytest.mark.parametrize(
    ("was", "now", "meant"),
    [("length: 31 m", "length: 31000 m", "31 m"), ("length: 31 m", "length: -31 m", "31 m")],
)
def test_a_length_out_of_range_is_refused_with_what_was_meant(was: str, now: str, meant: str) -> None:
    """The file is not read, nothing is taken silently."""
    with pytest.raises(JobFileError, match=f"Was {meant} meant"):
        read_job_text(HOUSE.replace(was, now, 1), known=load_catalogue().known_names())
