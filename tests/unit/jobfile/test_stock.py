"""An output that a receiver does not have is refused when the job is read."""

from __future__ import annotations

import pytest

from farpress.catalogue.store import load_catalogue
from farpress.errors import JobFileError
from farpress.jobfile.reader import read_job_text

KNOWN = load_catalogue().known_names()

JOB = """\
farpress: 1
job: x
parts:
  own: {{kind: receiver, {own}}}
premises:
  house:
    receivers:
      R1:
        {part}
        at: [1, 2]
        outputs:
          {number}: {{kind: pulse}}
"""


def faults(number: str, *, part: str, own: str = "relays: 3") -> list[str]:
    """The faults of a job with one output of this number."""
    try:
        read_job_text(JOB.format(number=number, part=part, own=own), known=KNOWN)
    except JobFileError as error:
        return [f"{fault.line}:{fault.column} {fault.path} {fault.says}" for fault in error.faults]
    return []


@pytest.mark.parametrize(
    ("part", "own", "most", "who"),
    [
        ("part: receiver-2", "relays: 3", 2, "by the catalogue 'receiver-2' says it has 2 outputs, 1 to 2"),
        ("part: receiver-1", "relays: 3", 1, "it has one output, 1"),
        ("part: own", "relays: 3", 3, "'own' under 'parts' says it has 3 outputs, 1 to 3"),
        ("part: own", "like: receiver-2", 2, "by the catalogue 'receiver-2' says it has 2 outputs"),
        ("part: own\n        relays: 5", "relays: 3", 5, "'relays' says it has 5 outputs, 1 to 5"),
    ],
)
def test_the_last_output_is_read_and_the_next_is_refused(part: str, own: str, most: int, who: str) -> None:
    """The part in the catalogue, the job's own part, and a value at the receiver: the nearest counts."""
    assert faults(str(most), part=part, own=own) == []

    refused = faults(str(most + 1), part=part, own=own)

    assert len(refused) == 1
    line = 12 + part.count("\n")
    assert refused[0].startswith(
        f"{line}:11 premises.house.receivers.R1.outputs.{most + 1} there is no output"
    )
    assert who in refused[0]


def test_a_number_that_is_none_is_refused_too() -> None:
    """An output is called by its number on the part."""
    assert "there is no output 'gate'" in faults("gate", part="part: receiver-4")[0]
    assert "there is no output '0'" in faults("0", part="part: receiver-4")[0]


def test_a_receiver_of_which_nobody_knows_the_outputs_is_read() -> None:
    """What is not known is asked elsewhere, not refused."""
    assert faults("7", part="housing: plastic", own="says: x") == []
    assert faults("7", part="part: own", own="says: x") == []


def test_a_status_input_works_an_output_that_is_there_or_nothing() -> None:
    """'nothing' is a word of its own; any other name is held against the outputs of its receiver."""
    read = JOB.format(number="1", part="part: own", own="relays: 3")
    given = (
        "        inputs: {{1: {{reads: gate.closed, works: {works}}}}}\n"
        "    devices: {{gate: {{part: sliding-drive}}}}\n"
    )

    read_job_text(read + given.format(works="nothing"), known=KNOWN)
    read_job_text(read + given.format(works="1"), known=KNOWN)
    with pytest.raises(JobFileError) as raised:
        read_job_text(read + given.format(works="2"), known=KNOWN)
    assert "'2' is not an output of R1" in raised.value.faults[0].says
