"""What a job file says a little otherwise than it should, and is understood or told how to write."""

from __future__ import annotations

import pytest

from farpress.catalogue.equip import equip
from farpress.catalogue.store import load_catalogue
from farpress.errors import JobFileError
from farpress.jobfile.reader import JobDocument, read_job_text
from farpress.units import read_quantity

CATALOGUE = load_catalogue()
KNOWN = CATALOGUE.known_names()

JOB = """\
farpress: 2
job: x
parts:
  Q4: {{kind: receiver, like: receiver-4, sensitivity: -104 dBm, relays: 4}}
  Q2: {{kind: receiver, like: {like}, relays: 2}}
premises:
  house:
    places:
      a: {{at: [1, 2], {says}}}
    receivers:
      R1:
        part: Q2
        at: [1, 2]
        outputs:
          1: {{kind: pulse, {key}}}
groups: {{staff: {{fob: fob-4, count: 1, presses: {rate}}}}}
"""


def read(
    *, like: str = "Q4", says: str = "says: x", key: str = "for: 1 s", rate: str = "4 per day"
) -> JobDocument:
    """The job with one of its places written in another way."""
    return read_job_text(JOB.format(like=like, says=says, key=key, rate=rate), known=KNOWN)


@pytest.mark.parametrize(
    ("key", "word"), [("after_power_return: false", "off"), ("suppression: false", "none")]
)
def test_false_is_the_one_word_it_can_mean(key: str, word: str) -> None:
    """It is read as that word, and said."""
    document = read(key=key)
    output = document.job.premises["house"].receivers["R1"].outputs["1"]

    assert word in (output.after_power_return, output.suppression)
    assert [remark.line for remark in document.remarks] == [15]
    assert f"it is read as '{word}' here, the only word that can be meant" in document.remarks[0].says
    assert (
        document.tree.data["premises"]["house"]["receivers"]["R1"]["outputs"]["1"][key.split(":")[0]] is False
    )


def test_false_beside_other_slips_is_no_slip() -> None:
    """Only the other is told."""
    with pytest.raises(JobFileError) as caught:
        read(key="after_power_return: false, fro: 1 s")

    assert [fault.path for fault in caught.value.faults] == ["premises.house.receivers.R1.outputs.1.fro"]


@pytest.mark.parametrize(
    ("says", "quoted"),
    [
        ("says: in the car inside, leaving", '"in the car inside, leaving"'),
        ("says: in the car inside, leaving: now", '"in the car inside, leaving: now"'),
    ],
)
def test_a_text_that_a_comma_cut_is_told_with_its_quotes(says: str, quoted: str) -> None:
    """Between braces a comma ends the text; the message shows the text in quotes."""
    with pytest.raises(JobFileError) as caught:
        read(says=says)

    assert any(f"says: {quoted}" in fault.says for fault in caught.value.faults)


@pytest.mark.parametrize("says", ["says: a: b", "says: one, two: three: four"])
def test_a_text_with_a_colon_is_told_to_be_quoted(says: str) -> None:
    """YAML would read a key there."""
    with pytest.raises(JobFileError) as caught:
        read(says=says)

    assert any("in quotes" in fault.says for fault in caught.value.faults)


def test_a_decimal_comma_is_told_in_a_table_of_an_own_part_too() -> None:
    """However deep it stands in the part."""
    part = "{kind: device, inputs: {start: {logic: start, min_pulse: 0,3 s}}}"
    with pytest.raises(JobFileError) as caught:
        read_job_text(f"farpress: 2\njob: x\nparts: {{drive: {part}}}\npremises: {{}}\n", known=KNOWN)

    assert any("Use a point, not a comma: 'min_pulse: 0.3 s'" in fault.says for fault in caught.value.faults)


@pytest.mark.parametrize(("word", "kind"), [("bell", "sounder"), ("boom", "barrier"), ("hoist", "winch")])
def test_another_word_for_a_device_is_told_with_its_kind(word: str, kind: str) -> None:
    """As people call it; a word of several kinds is left to them."""
    with pytest.raises(JobFileError) as caught:
        read_job_text(
            f"farpress: 2\njob: x\nparts: {{d: {{kind: device, device: {word}}}}}\npremises: {{}}\n",
            known=KNOWN,
        )

    assert any(f"Did you mean '{kind}'?" in fault.says for fault in caught.value.faults)


def test_an_own_part_may_be_like_another_one() -> None:
    """It takes that part's values, and through it those of the catalogue; its own win."""
    document = read()
    sheet = equip(document.job, CATALOGUE).receivers["house/R1"].sheet

    assert (sheet.relays, sheet.sensitivity_dbm) == (2, -104.0)
    assert sheet.contact_form == CATALOGUE.part("receiver", "receiver-4").sheet.contact_form


def test_a_part_without_its_kind_is_told_once() -> None:
    """At the part, and not again at the receiver that is of it; a name that is nowhere is told there."""
    text = JOB.format(like="Q4", says="says: x", key="for: 1 s", rate="4 per day")
    with pytest.raises(JobFileError) as caught:
        read_job_text(text.replace("Q2: {kind: receiver, ", "Q2: {"), known=KNOWN)
    with pytest.raises(JobFileError) as nowhere:
        read_job_text(text.replace("part: Q2", "part: Q7"), known=KNOWN)

    assert [fault.path for fault in caught.value.faults] == ["parts.Q2"]
    assert [fault.path for fault in nowhere.value.faults] == ["premises.house.receivers.R1.part"]


def test_an_own_part_is_not_like_itself_by_a_way_round() -> None:
    """Refused when it is read, with the way."""
    with pytest.raises(JobFileError) as caught:
        read_job_text(
            JOB.format(like="Q4", says="says: x", key="for: 1 s", rate="1 per day").replace(
                "like: receiver-4", "like: Q2"
            ),
            known=KNOWN,
        )

    assert any("'Q4' is like itself by way of 'Q2'" in fault.says for fault in caught.value.faults)


def test_the_outputs_of_a_part_that_is_like_another_are_those_of_the_chain() -> None:
    """Q3 says nothing of its outputs; Q4, which it is like, has four."""
    text = JOB.format(like="Q4", says="says: x", key="for: 1 s", rate="1 per day").replace(", relays: 2", "")
    assert read_job_text(text, known=KNOWN)
    with pytest.raises(JobFileError, match="'Q4' under 'parts' says it has 4 outputs"):
        read_job_text(text.replace("          1: {kind", "          5: {kind"), known=KNOWN)


def test_a_rate_may_be_told_by_the_month() -> None:
    """Twelve months are a year, and a year has 365.2422 days (the tropical year, from memory)."""
    assert read_quantity("1 per month", "rate") == pytest.approx(12 / 365.2422, rel=1e-8)
    assert read_quantity("12 per month", "rate") == pytest.approx(
        12 * read_quantity("12 per year", "rate"), rel=1e-8
    )
    group = read(rate="22 per month").job.groups["staff"]
    assert group.presses_per_day == pytest.approx(22 * 12 / 365.2422, rel=1e-8)
