"""Equal blocks written once: written out when the job is read, and changed one by one."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from farpress.catalogue.store import load_catalogue
from farpress.domain.finding import Change
from farpress.errors import JobFileError
from farpress.jobfile.reader import JobDocument, read_job_text
from farpress.jobfile.schema import job_schema
from farpress.jobfile.writer import with_changes_made

KNOWN = load_catalogue().known_names()

JOB = """\
farpress: 2
job: Units
premises:
  site:
    places:
      outside <each>:
        each: {A: {at: [1, 2]}, B: {at: [5, 2]}, C: {at: [9, 2], pressed: in pocket}}
        says: in front of block <each>
    receivers:
      R<each>:                  # one in each block
        each: [A, B, C]
        part: receiver-2
        at: [0, 0]
        outputs:
          1: {kind: pulse, for: 1 s, works: "panel.<each>-unset"}
      RB: {at: [7, 7]}
    panels:
      panel:
        inputs:
          <each>-unset: {each: [A, B, C], reads: unset pulse}
functions:
  unset <each>: {each: [A, B, C], output: site/R<each>/1, kind: unset}
"""


def read(text: str = JOB) -> JobDocument:
    """The job of a text."""
    return read_job_text(text, known=KNOWN)


def test_a_block_stands_for_several() -> None:
    """In keys, in values and in lists its mark is the name; a table has what is different."""
    job = read().job
    site = job.premises["site"]

    assert list(site.receivers) == ["RA", "RB", "RC"]
    assert site.receivers["RC"].outputs["1"].works == "panel.C-unset"
    assert [place.at for place in site.places.values()] == [(1, 2), (5, 2), (9, 2)]
    assert [place.pressed for place in site.places.values()] == ["in hand", "in hand", "in pocket"]
    assert site.places["outside B"].says == "in front of block B"
    assert {name: function.output for name, function in job.functions.items()} == {
        "unset A": "site/RA/1",
        "unset B": "site/RB/1",
        "unset C": "site/RC/1",
    }


def test_it_is_the_same_job_as_one_written_out() -> None:
    """Every value of it."""
    out = JOB.split("    receivers:")[0] + "    receivers:\n"
    for name, at in (("A", "[0, 0]"), ("B", "[7, 7]"), ("C", "[0, 0]")):
        out += (
            f"      R{name}: {{part: receiver-2, at: {at}, outputs: {{1: {{kind: pulse, for: 1 s, works:"
            f" panel.{name}-unset}}}}}}\n"
        )
    out += "    panels:" + JOB.split("    panels:")[1]

    assert read(out).job == read().job


def test_what_stands_beside_the_block_wins() -> None:
    """Before it and behind it."""
    assert read().job.premises["site"].receivers["RB"].at == (7, 7)
    first = JOB.replace("      RB: {at: [7, 7]}\n", "").replace(
        "    receivers:\n", "    receivers:\n      RB: {at: [7, 7]}\n"
    )
    assert read(first).job.premises["site"].receivers["RB"].at == (7, 7)


def test_lines_are_those_of_the_block() -> None:
    """A finding about one of them leads to where it is written."""
    document = read()

    assert document.line_of(("premises", "site", "receivers", "RC", "outputs", "1")) == 15
    assert document.line_of(("premises", "site", "receivers", "RB", "at")) == 16


@pytest.mark.long
@given(at=st.tuples(st.integers(-99, 99), st.integers(-99, 99)), name=st.sampled_from("ABC"))
def test_a_change_of_one_of_them_is_written_beside_the_block(at: tuple[int, int], name: str) -> None:
    """The others stay as they are, and so does every line of the block."""
    document = read()
    path = ("premises", "site", "receivers", f"R{name}", "at")
    source, _ = with_changes_made(document.source, document.tree, [Change(path, list(at))])
    after = read(source.text)
    before = document.job.premises["site"].receivers

    for other, receiver in after.job.premises["site"].receivers.items():
        assert receiver.at == (at if other == f"R{name}" else before[other].at)
    lines = iter(source.text.split("\n"))
    assert all(line in lines for line in JOB.split("\n") if "RB: {at" not in line)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "R<each>:  ",
            "R:  ",
            "10:7 premises.site.receivers.R: all of these would be called 'R'; put '<each>'",
        ),
        (
            "        each: [A, B, C]\n        part",
            "        part",
            "does not say for which; write 'each: [A, B]'",
        ),
        ("each: [A, B, C]\n", "each: []\n", "'each' wants a list of 1 to 200 names"),
        ("each: [A, B, C]\n", "each: [A, A]\n", "each once"),
        ("each: [A, B, C]\n", "each: A\n", "'each' wants a list of 1 to 200 names"),
        ("1: {kind", "<each>: {each: [1, 2], kind", "stands inside another one"),
        ("functions:", "promises: [{each: [A], to: x}]\nfunctions:", "the entries of a list are written out"),
        ("panel.<each>-unset", "panel.<each>-unst", "'panel' has no input 'A-unst'"),
    ],
)
def test_a_slip_is_refused_with_what_to_do(old: str, new: str, says: str) -> None:
    """With the line where the block stands."""
    assert old in JOB
    with pytest.raises(JobFileError) as caught:
        read(JOB.replace(old, new, 1))

    told = [f"{one.line}:{one.column} {one.path}: {one.says}" for one in caught.value.faults]
    assert any(says in fault for fault in told), told


def test_a_file_of_format_1_is_brought_over_by_such_a_block() -> None:
    """An older program does not know it."""
    old = read("farpress: 1\njob: x\npremises: {site: {}}\n")
    change = Change(("premises", "site", "places"), {"p<each>": {"each": ["A", "B"], "at": [1, 2]}})

    assert with_changes_made(old.source, old.tree, [change])[0].text.startswith("farpress: 2\n")


def test_an_editor_that_knows_the_schema_takes_such_a_block() -> None:
    """Where things stand under names, and nowhere else."""
    schema = job_schema()

    assert {"Receiver", "Place", "Device", "PanelInput", "Function", "Group"} <= {
        name for name, table in schema["$defs"].items() if "each" in table.get("properties", {})
    }
    assert "each" not in schema["$defs"]["Promise"]["properties"]
    assert Draft202012Validator(schema).is_valid(json.loads(json.dumps(read().tree.data)))
