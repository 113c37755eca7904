"""One fob for several people, and one that unsets for several firms."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.register import rights
from helpers.findings import finding_of
from helpers.logic_case import a_case

OUTPUTS: dict[str, dict[str, Any]] = {
    "1": {"kind": "pulse", "works": "panel.unset"},
    "2": {"kind": "pulse", "works": "panel.flip"},
}


def _firms(buttons: dict[str, Any], owners: tuple[str | None, str | None], **function: Any) -> list[Finding]:
    areas = {
        "one": {"inputs": ("unset",), "organisation": owners[0]},
        "two": {"inputs": ("flip",), "organisation": owners[1]},
    }
    functions = {f"f{number}": {"output": f"house/R1/{number}", **function} for number in OUTPUTS}
    groups = {"agent": {"count": 1, "buttons": buttons}}
    return list(
        rights.judge(a_case(OUTPUTS, functions=functions, groups=groups, mounted_panel={"areas": areas}))
    )


@pytest.mark.parametrize(
    ("buttons", "function", "verdict"),
    [
        ({"1": ("f1", "f2")}, {}, Verdict.FAILS),
        ({"1": {"short": "f1", "long": ("f1", "f2")}}, {}, Verdict.FAILS),
        ({"1": "f1", "2": "f2"}, {}, Verdict.THIN),
        ({"1": "f1", "2": "f2"}, {"hours": "17:00-20:00", "hours_by": "panel"}, Verdict.HOLDS),
        ({"1": "f1", "2": "f2"}, {"hours": "17:00-20:00", "hours_by": "people"}, Verdict.THIN),
    ],
)
def test_reg_31_one_fob_for_several_firms(
    buttons: dict[str, Any], function: dict[str, Any], verdict: Verdict
) -> None:
    """By one press never; at any hour it is a risk; hours that the panel keeps are well."""
    finding = finding_of(_firms(buttons, ("baker", "nails"), **function), "REG-31")

    assert finding.verdict is verdict
    assert "baker and nails" in finding.says


@pytest.mark.parametrize("owners", [("baker", "baker"), ("baker", None), (None, None)])
def test_reg_31_areas_of_one_firm_are_its_own(owners: tuple[str | None, str | None]) -> None:
    """Or of nobody who is named."""
    assert not _firms({"1": ("f1", "f2")}, owners)


@pytest.mark.parametrize(("people", "verdicts"), [(1, []), (2, [Verdict.THIN])])
def test_reg_30_a_shared_fob_is_nobodys(people: int, verdicts: list[Verdict]) -> None:
    """Two people on one job."""
    case = a_case({}, groups={"share": {"count": 1, "shared_by": people}})

    assert [finding.verdict for finding in rights.judge(case) if finding.code == "REG-30"] == verdicts
