"""An assessment as JSON follows its published schema and is the same every time."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import jsonschema
import pytest

from farpress.domain.finding import Change, Remedy, Verdict
from farpress.judging.as_json import assessment_json
from helpers.assessments import small_assessment
from survey import ROOT

SCHEMA = json.loads((ROOT / "docs" / "reference" / "assessment.schema.json").read_text(encoding="utf-8"))


def test_it_follows_the_schema() -> None:
    """The schema is sound, and the text is valid under it."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)

    jsonschema.validate(
        json.loads(assessment_json(small_assessment())), SCHEMA, cls=jsonschema.Draft202012Validator
    )


@pytest.mark.parametrize("spoilt", [{"verdict": "perhaps"}, {"findings": [{"code": "AIR-1"}]}, {"more": 1}])
def test_the_schema_refuses_another_shape(spoilt: dict[str, object]) -> None:
    """The schema can fail: an unknown verdict, a finding without its fields, a field too many."""
    data = json.loads(assessment_json(small_assessment())) | spoilt

    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, SCHEMA, cls=jsonschema.Draft202012Validator)


def test_the_order_of_findings_does_not_matter() -> None:
    """The same findings in another order give the same text."""
    one = small_assessment()

    assert assessment_json(one) == assessment_json(replace(one, findings=one.findings[::-1]))


def test_numbers_keep_six_digits_and_odd_ones_are_null() -> None:
    """0.1 + 0.2 is 0.3; infinity, which JSON does not know, is null; minus nothing is nothing."""
    one = small_assessment()
    changed = replace(one.findings[0], value=0.1 + 0.2, limit=math.inf, margin=-0.0)
    found = next(
        item
        for item in json.loads(assessment_json(replace(one, findings=(changed,))))["findings"]
        if item["code"] == changed.code
    )

    assert (found["value"], found["limit"], str(found["margin"])) == (0.3, None, "0.0")


def test_the_change_of_a_remedy_can_be_written_down() -> None:
    """Whatever a change would write to the job file, JSON can hold it."""
    one = small_assessment()
    change = Change(("a", 1), {"kind": "pulse", "for": ("0.5 s", 1 / 3), "off": None})
    changed = replace(one.findings[0], remedies=(Remedy("do it", "", (change,)),))
    found = json.loads(assessment_json(replace(one, findings=(changed,))))["findings"][0]

    assert found["remedies"][0]["changes"] == [
        {"path": ["a", 1], "value": {"kind": "pulse", "for": ["0.5 s", 0.333333], "off": None}}
    ]


def test_the_weakest_link_is_named_by_its_finding() -> None:
    """A promise points to one of the findings by code and what it is about."""
    data = json.loads(assessment_json(small_assessment()))
    keys = {f"{one['code']} {one['about']}" for one in data["findings"]}

    assert data["promises"][0]["weakest"] == "SUP-02 cable to larkfen/strike"
    assert all(
        key in keys for promise in data["promises"] for link in promise["links"] for key in link["findings"]
    )


def test_version_one_is_still_written() -> None:
    """Whoever reads the old shape gets it: "open" for "unknown", nothing that came later."""
    old = json.loads((ROOT / "docs" / "reference" / "assessment-1.schema.json").read_text(encoding="utf-8"))
    small = small_assessment()
    unknown = replace(small, findings=(replace(small.findings[0], verdict=Verdict.UNKNOWN),))
    written = json.loads(assessment_json(unknown, version=1))

    jsonschema.validate(written, old, cls=jsonschema.Draft202012Validator)
    assert [finding["verdict"] for finding in written["findings"]] == ["open"]
    assert json.loads(assessment_json(unknown))["findings"][0]["verdict"] == "unknown"
