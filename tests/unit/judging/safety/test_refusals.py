"""Refusals: each has its caution, and sound things are left alone."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.cautions import CAUTIONS, caution
from farpress.domain.finding import Finding, Verdict
from farpress.judging.registry import all_checks
from farpress.judging.safety import refusals as safety
from helpers.findings import codes_of, finding_of
from helpers.logic_case import GARAGE, STRIKE, a_case

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5}


def _found(case: Case) -> list[Finding]:
    findings = list(safety.judge(case))
    assert {finding.code for finding in findings} <= set(all_checks())
    return findings


def test_radio_on_a_safety_input_is_refused_with_its_caution() -> None:
    """A stop is allowed, and no emergency stop."""
    found = _found(a_case({"1": {**PULSE, "works": "gate.edge"}, "2": {**PULSE, "works": "gate.stop"}}))

    assert finding_of(found, "SAFE-01").verdict is Verdict.FAILS
    assert finding_of(found, "SAFE-01").because == caution("safety input")
    assert finding_of(found, "SAFE-02").verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("safeguards", "verdict"),
    [((), Verdict.FAILS), (None, Verdict.UNKNOWN), (("edge", "beams"), Verdict.HOLDS)],
)
def test_a_held_fob_is_never_the_only_safeguard(safeguards: tuple[str, ...] | None, verdict: Verdict) -> None:
    """Nothing fitted is refused, nothing recorded is asked, comfort on a guarded leaf holds."""
    leaf = {
        "grille": {
            "device": "grille",
            "safeguards": safeguards,
            "inputs": {"down": {"logic": "down", "wants": "maintained"}},
        }
    }

    assert (
        finding_of(
            _found(a_case({"1": {"kind": "follow", "works": "grille.down"}}, devices=leaf)), "SAFE-03"
        ).verdict
        is verdict
    )


BOTH: dict[str, Any] = {"outputs": ("house/R1/1", "house/R1/2")}


def test_one_press_that_unsets_and_opens_is_refused_unless_signed() -> None:
    """As one function, or as one button learned for two; a rule that is signed makes it thin."""
    outputs = {"1": {**PULSE, "works": "panel.unset"}, "2": {**PULSE, "works": "gate.open"}}
    signed = ({"never": "unset and open by one press", "signed": "M. Ostrovane, 2026-11-02"},)
    two: dict[str, dict[str, Any]] = {"pair": {"people": ("Ana",), "buttons": {"1": ("f1", "f2")}}}

    assert finding_of(_found(a_case(outputs, functions={"both": BOTH})), "SAFE-04").verdict is Verdict.FAILS
    assert finding_of(_found(a_case(outputs, groups=two)), "SAFE-04").verdict is Verdict.FAILS
    assert (
        finding_of(_found(a_case(outputs, functions={"both": BOTH}, rules=signed)), "SAFE-04").verdict
        is Verdict.THIN
    )
    assert "SAFE-04" not in {one.code for one in _found(a_case(outputs))}


def test_a_call_for_help_always_carries_its_warning() -> None:
    """Thin, however good the reach."""
    finding = finding_of(
        _found(
            a_case(
                {"1": {"kind": "pulse", "for_s": 60.0, "works": "siren.on"}},
                functions={
                    "help": {
                        "output": "house/R1/1",
                        "kind": "call",
                        "answered_by": "Ana",
                        "tested_per_day": 1 / 7,
                    }
                },
            )
        ),
        "SAFE-05",
    )

    assert finding.verdict is Verdict.THIN
    assert CAUTIONS["call for help"] in finding.because


def test_an_escape_door_is_not_locked_by_radio() -> None:
    """Feeding a magnetic lock while the output is on; breaking its supply is only a way in."""
    lock = {"strike": {**STRIKE, "device": "magnetic lock", "escape_route": True, "fails": "unlocked"}}
    locks, frees = (
        finding_of(
            _found(
                a_case({"1": {"kind": "toggle", "works": "strike.release", "contact": contact}}, devices=lock)
            ),
            "SAFE-06",
        ).verdict
        for contact in ("normally open", "normally closed")
    )

    assert (locks, frees) == (Verdict.FAILS, Verdict.HOLDS)


def test_mains_is_for_a_licensed_electrician() -> None:
    """Said at every load at mains voltage, not at a potential-free command."""
    mains = {
        "lamp": {"device": "lamp", "supply": "mains", "voltage_v": 230.0},
        "garage": {**GARAGE, "supply": "mains"},
    }
    found = _found(
        a_case(
            {"1": {"kind": "toggle", "works": "lamp.on"}, "2": {**PULSE, "works": "garage.start"}},
            devices=mains,
        )
    )

    assert "licensed electrician" in finding_of(found, "SAFE-07").because
    assert finding_of(found, "SAFE-07").about == "house/R1/1: lamp.on"


@pytest.mark.parametrize(
    ("access", "verdict"),
    [
        ("open", Verdict.FAILS),
        (None, Verdict.UNKNOWN),
        ("code", Verdict.HOLDS),
        ("tamper-protected housing", Verdict.HOLDS),
    ],
)
def test_learning_is_not_open_to_everybody(access: str | None, verdict: Verdict) -> None:
    """A housing with a tamper contact, or a code."""
    case = a_case({"1": {**PULSE, "works": "gate.open"}})
    box = case.job.premises["house"].receivers["R1"].model_copy(update={"learn_access": access})
    case.job.premises["house"].receivers["R1"] = box

    assert finding_of(_found(case), "SAFE-08").verdict is verdict


def test_a_fixed_code_that_opens_tells_what_guessing_costs() -> None:
    """Rolling codes, and fixed ones that switch a light, are no matter for a refusal."""
    fixed = {"code": "fixed"}

    assert (
        "of 4096 possible codes"
        in finding_of(_found(a_case({"1": {**PULSE, "works": "gate.open"}}, fob=fixed)), "SAFE-09").because
    )
    assert "SAFE-09" not in {
        one.code for one in _found(a_case({"1": {"kind": "toggle", "works": "lamp.on"}}, fob=fixed))
    }
    assert "SAFE-09" not in {one.code for one in _found(a_case({"1": {**PULSE, "works": "gate.open"}}))}


def test_every_refusal_ends_with_who_decides() -> None:
    """All findings that fail here name who decides, by local codes."""
    leaf = {
        "grille": {
            "device": "grille",
            "safeguards": (),
            "inputs": {"down": {"logic": "down", "wants": "maintained"}},
        }
    }
    found = _found(
        a_case(
            {"1": {**PULSE, "works": "gate.edge"}, "2": {"kind": "follow", "works": "grille.down"}},
            devices=leaf,
            functions={"both": BOTH},
        )
    )

    refused = [one for one in found if one.verdict is Verdict.FAILS]
    assert {one.code for one in refused} >= {"SAFE-01", "SAFE-03"}
    decides = {caution(about).removeprefix(CAUTIONS[about]) for about in CAUTIONS}
    assert all(any(words in one.because for words in decides) for one in refused)
    assert caution("mains").endswith("The licensed electrician decides, by local codes.")


def test_a_sound_house_is_not_flagged() -> None:
    """Gate, wicket, alarm; fobs that no pocket presses."""
    found = _found(
        a_case(
            {
                "1": {**PULSE, "works": "gate.open"},
                "2": {"kind": "pulse", "for_s": 4.0, "works": "strike.release"},
                "3": {**PULSE, "works": "panel.unset"},
            },
            groups={
                "some": {"people": ("Ana",), "buttons": {"1": "f1", "2": "f2", "3": "f3"}, "kept": "in hand"}
            },
        )
    )

    assert codes_of(found, "fails", "thin", "unknown") == set()


def test_a_pocket_presses_by_accident() -> None:
    """Thin where a leaf moves or the alarm is unset; nothing for a light, a long press, or in the hand."""

    def verdict(works: str, kept: str, button: Any = "f1") -> set[Verdict]:
        group: dict[str, Any] = {"some": {"people": ("Ana",), "buttons": {"1": button}, "kept": kept}}
        return {
            one.verdict
            for one in _found(a_case({"1": {**PULSE, "works": works}}, groups=group))
            if one.code == "SAFE-10"
        }

    assert verdict("gate.open", "in pocket") == {Verdict.THIN}
    assert verdict("panel.unset", "in pocket") == {Verdict.THIN}
    assert (
        verdict("lamp.on", "in pocket")
        == verdict("gate.open", "in hand")
        == verdict("panel.unset", "in pocket", {"long": "f1"})
        == set()
    )
