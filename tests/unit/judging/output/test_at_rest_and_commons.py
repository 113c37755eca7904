"""What is lit while a relay is off, and contacts that share one terminal."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.cables import Cable
from farpress.domain.finding import Finding, Verdict
from farpress.judging.output import at_rest, commons
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def _light(shows: str | None, device: str = "traffic light") -> dict[str, Any]:
    sheet = {"device": device, "inputs": {"in": {"logic": "on"}}}
    return {"light": {**sheet, "shows": shows}}


@pytest.mark.parametrize(("shows", "verdict"), [(None, UNKNOWN), ("go", FAILS), ("stop", HOLDS)])
def test_out_32_what_is_lit_at_rest_never_says_go(shows: str | None, verdict: Verdict) -> None:
    """A light on the break contact is lit without power at the receiver."""
    output = {"kind": "toggle", "works": "light.in", "contact": "normally closed"}
    finding = finding_of(at_rest.judge_at_rest(a_case({"1": output}, devices=_light(shows))), "OUT-32")

    assert (finding.verdict, finding.bars) == (verdict, verdict is FAILS)


@pytest.mark.parametrize(("side", "codes"), [("break", {"OUT-32"}), ("make", set())])
def test_out_32_a_light_on_drawn_cores_is_seen(side: str, codes: set[str]) -> None:
    """The output names what hangs on its make side; a core leads from the other side to the green one."""
    cable = Cable.model_validate(
        {
            "part": "any",
            "length": 8.0,
            "cores": {"1": (f"R1.1.{side}", "light.+"), "2": ("lamp.0", "light.0")},
        }
    )
    case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}}, devices=_light("go"), house={"cables": {"W1": cable}}
    )

    assert {finding.code for finding in at_rest.judge_at_rest(case)} == codes


@pytest.mark.parametrize("output", [{"contact": "normally open"}, {"contact": "normally closed"}])
def test_out_32_only_lights_for_drivers_on_the_break_side(output: dict[str, Any]) -> None:
    """A lamp may be lit at rest, and a green light on the make side is dark."""
    device = "lamp" if output["contact"] == "normally closed" else "traffic light"
    case = a_case({"1": {"kind": "toggle", "works": "light.in", **output}}, devices=_light(None, device))

    assert not list(at_rest.judge_at_rest(case))


def _boxes(**receiver: Any) -> list[Finding]:
    devices = {
        "sign": {"device": "lamp", "supply": "mains", "inputs": {"in": {"logic": "on"}}},
        "blind": {"device": "shutter", "supply": "potential-free", "inputs": {"up": {"logic": "up"}}},
    }
    outputs = {"1": {"kind": "toggle", "works": "sign.in"}, "2": {"kind": "follow", "works": "blind.up"}}
    return list(commons.judge_commons(a_case(outputs, devices=devices, receiver=receiver)))


@pytest.mark.parametrize(
    ("receiver", "verdicts"),
    [
        ({"commons": "one for all"}, [FAILS]),
        ({"commons": "each its own"}, [HOLDS]),
        ({"contact_form": "normally open"}, [UNKNOWN]),
        ({"contact_form": "changeover"}, []),
        ({"contact_form": "changeover", "commons": "one for all"}, [FAILS]),
    ],
)
def test_out_34_one_common_joins_what_hangs_on_it(receiver: dict[str, Any], verdicts: list[Verdict]) -> None:
    """Mains and the inputs of a drive; a changeover contact has a common of its own, common practice."""
    findings = _boxes(**receiver)

    assert [finding.verdict for finding in findings] == verdicts
    assert all("mains" in finding.says for finding in findings)


def test_out_34_one_circuit_may_share_it() -> None:
    """Up and down of one drive."""
    outputs = {
        "1": {"kind": "follow", "works": "shutter.up"},
        "2": {"kind": "follow", "works": "shutter.down"},
    }

    assert not list(commons.judge_commons(a_case(outputs, receiver={"commons": "one for all"})))
