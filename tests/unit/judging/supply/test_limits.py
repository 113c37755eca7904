"""Every check of the supply at its limit, beside it and at its thin edge, through the judge on a small job.

The limits themselves are worked out by hand beside each case; no figure of the program's own stands here.
"""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any, Final

import pytest

from farpress.core.wiring.rectifier import rms_ratio
from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import DeviceRef, OutputRef, PanelRef, SupplyRef
from farpress.judging.supply import chain
from farpress.judging.supply.volts import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS

SUPPLY: Final[dict[str, Any]] = {
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 12.0,
    "voltage_max_v": 13.8,
    "rated_a": 2.0,
    "source_ohm": 0.5,
    "fuse_a": 1.0,
}
WORN: Final = 1.5 * 1.225
"""A worn battery has half more resistance than a new one (IEEE 1188, from memory), at 10 degC 22.5 % more."""

BATTERY: Final[dict[str, Any]] = {
    "capacity_ah": 10.0,
    "voltage_v": 12.0,
    "end_v": 10.5,
    "usable_share": 0.5,
    "chemistry": "lead",
    "inner_ohm": 0.1 / WORN,
}
RUN: Final[dict[str, Any]] = {"part": "metre", "length_m": 1.0}
RECEIVER: Final[dict[str, Any]] = {
    "at": [0, 0],
    "supply": "dc",
    "voltage_min_v": 9.0,
    "voltage_max_v": 20.0,
    "current_idle_a": 0.0,
    "current_per_relay_a": 0.0,
    "fed": {"from": "main", "cable": RUN},
}
LAMP: Final[dict[str, Any]] = {
    "device": "lamp",
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 9.0,
    "voltage_max_v": 20.0,
    "current_a": 0.5,
    "load": "resistive",
}
CABLES: Final[dict[str, dict[str, Any]]] = {
    "metre": {"resistance_ohm_per_km": 1e-3, "cores": 2, "rated_a": 100.0},
    "ohm": {"resistance_ohm_per_km": 1000 / 2.2358, "cores": 2, "rated_a": 1.0},
    "five": {"resistance_ohm_per_km": 1e-3, "cores": 5, "rated_a": 10.0},
}
"""`ohm` has 1 ohm there and back over 1 m at 50 °C, by 1 + 0.00393 x 30 = 1.1179."""


def judged(
    *,
    supply: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
    lamp: dict[str, Any] | None = None,
    run: dict[str, Any] | None = None,
    panel: dict[str, Any] | None = None,
    output: dict[str, Any] | None = None,
    cables: dict[str, dict[str, Any]] | None = None,
    region: str | None = None,
) -> list[Finding]:
    """One supply, one receiver, one lamp on its first output."""
    first = {
        "kind": "pulse",
        "for_s": 4.0,
        "works": "lamp.on",
        "load_from": "main",
        "cable": RUN | (run or {}),
    }
    premises: dict[str, Any] = {
        "supplies": {"main": SUPPLY | (supply or {})},
        "receivers": {"R1": RECEIVER | (receiver or {}) | {"outputs": {"1": first | (output or {})}}},
        "devices": {"lamp": LAMP | (lamp or {})},
        "panels": {"panel": panel} if panel else {},
    }
    return list(judge(wired_case(premises, cables=CABLES if cables is None else cables, region=region)))


Made = Callable[[float], list[Finding]]


def least_volts(value: float) -> list[Finding]:
    """0.5 A through 1 ohm: 11.5 V arrive, doubt a tenth of 0.5 V."""
    return judged(run={"part": "ohm"}, lamp={"voltage_min_v": value})


def highest_volts(value: float) -> list[Finding]:
    """13.8 V of the supply, held to 2 %: 0.276 V."""
    return judged(lamp={"voltage_max_v": value})


def highest_ac_volts(value: float) -> list[Finding]:
    """20 V of a transformer, nobody knows how well: thin from a tenth of what the lamp stands."""
    return judged(supply={"supply": "ac", "voltage_max_v": 20.0}, lamp={"voltage_max_v": value})


def load(value: float) -> list[Finding]:
    """0.5 A; thin from 80 % of the rating."""
    return judged(supply={"rated_a": value})


def hours(value: float) -> list[Finding]:
    """10 Ah, half of it usable, 0.5 A beside: 10 h."""
    return judged(supply={"battery": BATTERY, "other_load_a": 0.5, "standby_s": value * 3600})


def short(value: float) -> list[Finding]:
    """12 V over 0.5 + 1 ohm: 8 A; a fuse needs 2.1 times its rating, 4 times to be quick."""
    return judged(run={"part": "ohm"}, supply={"fuse_a": value, "limit_a": 20.0})


def cores(value: float) -> list[Finding]:
    """10 A at 30 °C, five loaded cores: 7.5 A."""
    return judged(run={"part": "five", "warmest_degc": 30.0}, lamp={"current_a": value})


def warm_cores(value: float) -> list[Finding]:
    """0.8 A in cores for 1 A: 0.87 left at 40 °C, 0.71 at 50, between them by a straight line."""
    return judged(run={"part": "ohm", "warmest_degc": value}, lamp={"current_a": 0.8})


def charging(value: float) -> list[Finding]:
    """0.8 x 10 Ah x 1.2 in 72 h: 133.3 mA."""
    return judged(supply={"battery": BATTERY, "standby_s": 3600.0, "charge_a": value})


def crest(value: float) -> list[Finding]:
    """20 V of effective value at most: 28.284 V of crest."""
    both = {"supply": "dc or ac", "rectifies": "bridge"}
    return judged(
        supply={"supply": "ac", "voltage_max_v": 20.0},
        receiver={"supply": "ac"},
        lamp=both | {"peak_max_v": value},
    )


def start(value: float) -> list[Finding]:
    """5 A behind 0.1 ohm of battery: 10.5 - 0.5 = 10.0 V, doubt a tenth of 0.5 V."""
    return judged(
        supply={"battery": BATTERY, "standby_s": 3600.0},
        receiver={"voltage_min_v": value},
        lamp={"peak_a": 5.0, "peak_s": 0.3},
    )


def starting_current(value: float) -> list[Finding]:
    """5 A and nothing else at rest, from a supply without a battery."""
    return judged(supply={"rated_a": value}, lamp={"peak_a": 5.0, "peak_s": 0.3})


def fuse_load(value: float) -> list[Finding]:
    """0.5 A through the fuse; thin from 80 % of its rating."""
    return judged(supply={"fuse_a": value})


def fuse_cores(value: float) -> list[Finding]:
    """Cores for 1 A: a fuse as large is right, a larger one is no good habit."""
    return judged(run={"part": "ohm"}, supply={"fuse_a": value})


CASES: Final[tuple[tuple[str, str, Made, tuple[tuple[float, Verdict], ...]], ...]] = (
    ("SUP-01", "lamp", least_volts, ((11.51, FAILS), (11.49, THIN), (11.451, THIN), (11.449, HOLDS))),
    ("SUP-02", "lamp", highest_volts, ((13.79, FAILS), (13.8, THIN), (14.07, THIN), (14.08, HOLDS))),
    ("SUP-02", "lamp", highest_ac_volts, ((19.9, FAILS), (20.0, THIN), (22.2, THIN), (22.3, HOLDS))),
    ("SUP-03", "", load, ((0.499, FAILS), (0.5, THIN), (0.624, THIN), (0.626, HOLDS))),
    ("SUP-04", "", hours, ((10.1, FAILS), (10.0, THIN), (9.1, THIN), (9.09, HOLDS))),
    ("SUP-05", "lamp", short, ((3.82, FAILS), (3.80, THIN), (2.01, THIN), (1.99, HOLDS))),
    ("SUP-07", "to lamp", cores, ((7.51, FAILS), (7.5, THIN), (6.76, THIN), (6.74, HOLDS))),
    ("SUP-07", "to lamp", warm_cores, ((61.0, FAILS), (44.4, FAILS), (44.3, THIN), (30.0, HOLDS))),
    ("SUP-08", "", charging, ((0.133, FAILS), (0.1334, THIN), (0.1466, THIN), (0.1467, HOLDS))),
    ("SUP-09", "lamp", crest, ((28.28, FAILS), (28.29, THIN), (31.42, THIN), (31.43, HOLDS))),
    ("SUP-10", "lamp", start, ((10.01, FAILS), (9.99, THIN), (9.951, THIN), (9.949, HOLDS))),
    ("SUP-11", "", fuse_load, ((0.499, FAILS), (0.5, THIN), (0.624, THIN), (0.626, HOLDS))),
    ("SUP-13", "to lamp", fuse_cores, ((1.01, THIN), (1.0, HOLDS))),
    ("SUP-14", "lamp", starting_current, ((4.99, FAILS), (5.0, THIN), (5.55, THIN), (5.56, HOLDS))),
)


@pytest.mark.parametrize(
    ("code", "about", "made", "value", "verdict"),
    [(code, about, made, value, verdict) for code, about, made, rows in CASES for value, verdict in rows],
    ids=lambda part: part.__name__ if callable(part) else str(part),
)
def test_the_word_turns_where_the_limit_is(
    code: str, about: str, made: Made, value: float, verdict: Verdict
) -> None:
    """Over the limit, on it, at the thin edge and beyond it."""
    finding = finding_of(made(value), code, about)

    assert finding.verdict is verdict
    if finding.margin is not None:
        assert (finding.margin < 0) == (verdict is FAILS or (finding.advice and verdict is THIN))


@pytest.mark.parametrize(
    ("supply", "lamp", "verdict"),
    [
        ("dc", "dc", HOLDS),
        ("ac", "dc", FAILS),
        ("dc", "ac", FAILS),
        ("dc", "mains", FAILS),
        (None, "dc", UNKNOWN),
        ("dc", None, UNKNOWN),
        (None, None, UNKNOWN),
    ],
)
def test_the_kind_of_current_suits_or_not(supply: str | None, lamp: str | None, verdict: Verdict) -> None:
    """What nobody says is asked, on either side and on both."""
    finding = finding_of(judged(supply={"supply": supply}, lamp={"supply": lamp}), "SUP-06", "lamp")

    assert finding.verdict is verdict
    assert len(finding.asks) == (supply is None) + (lamp is None)


@pytest.mark.parametrize(("volts", "verdict"), [(99.0, FAILS), (100.0, HOLDS), (None, UNKNOWN)])
def test_mains_begins_at_a_hundred_volts(volts: float | None, verdict: Verdict) -> None:
    """The lowest mains in use; a supply whose volts nobody says is asked about."""
    finding = finding_of(
        judged(supply={"supply": "ac", "voltage_v": volts}, lamp={"supply": "mains"}), "SUP-06", "lamp"
    )

    assert finding.verdict is verdict


@pytest.mark.parametrize(
    ("current_a", "verdict"), [(0.85, THIN), (0.90, UNKNOWN), (1.0, UNKNOWN), (1.01, FAILS)]
)
def test_cores_in_air_nobody_measured_are_asked_about_between_two_ratings(
    current_a: float, verdict: Verdict
) -> None:
    """0.87 A at the 40 °C that are taken, 1 A at 30 °C: in between the air decides."""
    findings = judged(run={"part": "ohm"}, lamp={"current_a": current_a})

    assert finding_of(findings, "SUP-07", "to lamp").verdict is verdict


@pytest.mark.parametrize(
    ("region", "fuse_a", "verdict"),
    [
        ("europe", 0.56, HOLDS),
        ("europe", 0.55, THIN),
        ("north america", 0.56, THIN),
        ("north america", 0.626, HOLDS),
        (None, 0.56, THIN),
    ],
)
def test_sup_11_a_fuse_to_iec_60127_carries_its_rating(
    region: str | None, fuse_a: float, verdict: Verdict
) -> None:
    """0.5 A; one to UL 248-14 carries 80 % for good (common practice), and so does one of unknown kind."""
    found = judged(supply={"fuse_a": fuse_a}, region=region)

    assert finding_of(found, "SUP-11").verdict is verdict


@pytest.mark.parametrize(
    ("supply", "cores_a", "verdict"),
    [
        ({"fuse_a": 1.4}, 1.0, HOLDS),  # 3 A are limited at most, 2.94 A the fuse needs
        ({"fuse_a": 1.5}, 3.0, HOLDS),  # 3.15 A it never sees; the cores bear 3 A
        ({"fuse_a": 1.5}, 2.9, UNKNOWN),  # whether it limits lower has to be asked
        ({"fuse_a": 1.5, "limit_a": 3.0}, 2.9, FAILS),
        ({"fuse_a": 1.5, "limit_a": 2.9}, 2.9, HOLDS),
        ({"fuse_a": 1.8, "battery": BATTERY}, 2.9, THIN),  # a battery gives 10.5 V / 1.5 ohm
    ],
)
def test_sup_05_what_the_electronics_hold_the_fuse_never_sees(
    supply: dict[str, Any], cores_a: float, verdict: Verdict
) -> None:
    """A supply of 2 A without a battery gives 1.5 times that into a short at most, whatever the copper:
    common practice, no source. 12 V over 1.5 ohm would be 8 A.
    """
    cables = CABLES | {"ohm": CABLES["ohm"] | {"rated_a": cores_a}}
    found = judged(run={"part": "ohm"}, supply=supply, cables=cables)

    assert finding_of(found, "SUP-05", "lamp").verdict is verdict


@pytest.mark.parametrize(
    ("fuse_a", "verdict"),
    [(3.82, FAILS), (3.80, UNKNOWN), (3.53, UNKNOWN), (3.52, THIN), (1.86, THIN), (1.85, HOLDS)],
)
def test_a_source_nobody_measured_leaves_a_short_open_between_none_and_a_soft_one(
    fuse_a: float, verdict: Verdict
) -> None:
    """Without source resistance 12 V / 1.5 ohm = 8 A; with a tenth of 12 V at 10 A (0.12 ohm) 7.407 A."""
    run = {"part": "ohm", "length_m": 1.5}
    findings = judged(run=run, supply={"source_ohm": None, "rated_a": 10.0, "fuse_a": fuse_a})

    assert finding_of(findings, "SUP-05", "lamp").verdict is verdict


@pytest.mark.parametrize(
    ("minimum_v", "verdict"), [(9.45, HOLDS), (9.6, UNKNOWN), (9.99, UNKNOWN), (10.01, FAILS)]
)
def test_a_usual_range_of_starts_is_open_between_its_ends(minimum_v: float, verdict: Verdict) -> None:
    """A motor of 1 A takes 5 to 10 A: 10.0 or 9.5 V behind 0.1 ohm, with a doubt of 0.1 V."""
    findings = judged(
        supply={"battery": BATTERY, "standby_s": 3600.0},
        receiver={"voltage_min_v": minimum_v - (0.06 if verdict is HOLDS else 0.0)},
        lamp={"load": "motor", "current_a": 1.0},
    )

    assert finding_of(findings, "SUP-10", "lamp").verdict is verdict


@pytest.mark.parametrize(
    ("rated_a", "verdict"), [(4.9, FAILS), (5.1, UNKNOWN), (9.9, UNKNOWN), (11.2, HOLDS)]
)
def test_a_usual_range_from_a_supply_without_battery_likewise(rated_a: float, verdict: Verdict) -> None:
    """5 to 10 A."""
    findings = judged(supply={"rated_a": rated_a}, lamp={"load": "motor", "current_a": 1.0})

    assert finding_of(findings, "SUP-14", "lamp").verdict is verdict


MISSING: Final[tuple[tuple[str, str, dict[str, Any]], ...]] = (
    ("SUP-01", "lamp", {"lamp": {"voltage_min_v": None}}),
    ("SUP-01", "lamp", {"lamp": {"current_a": None}}),
    ("SUP-01", "lamp", {"supply": {"voltage_v": None, "voltage_min_v": None}}),
    ("SUP-01", "lamp", {"supply": {"voltage_min_v": None}}),
    ("SUP-01", "lamp", {"output": {"cable": None}}),
    ("SUP-02", "lamp", {"lamp": {"voltage_max_v": None}}),
    ("SUP-02", "lamp", {"supply": {"voltage_max_v": None}}),
    (
        "SUP-02",
        "lamp",
        {"supply": {"voltage_max_v": None}, "lamp": {"voltage_max_v": None, "voltage_v": None}},
    ),
    ("SUP-03", "", {"supply": {"rated_a": None}}),
    ("SUP-03", "", {"lamp": {"current_a": None}}),
    ("SUP-04", "", {"supply": {"battery": BATTERY | {"capacity_ah": None}, "standby_s": 3600.0}}),
    ("SUP-04", "", {"supply": {"battery": BATTERY}}),
    ("SUP-04", "", {"panel": {"fed": {"from": "main", "cable": RUN}, "current_a": 0.1}}),
    ("SUP-05", "lamp", {"supply": {"fuse_a": None}}),
    ("SUP-05", "lamp", {"output": {"cable": None}}),
    ("SUP-05", "lamp", {"supply": {"voltage_v": None, "voltage_min_v": None}}),
    ("SUP-07", "to lamp", {"lamp": {"current_a": None}}),
    ("SUP-07", "to lamp", {"output": {"cable": None}}),
    ("SUP-08", "", {"supply": {"battery": BATTERY, "charge_a": None}}),
    (
        "SUP-08",
        "",
        {
            "supply": {"battery": BATTERY, "charge_a": 1.0},
            "panel": {"fed": {"from": "main", "cable": RUN}, "current_a": 0.1},
        },
    ),
    ("SUP-10", "lamp", {"supply": {"battery": BATTERY}, "lamp": {"load": None}}),
    ("SUP-10", "lamp", {"supply": {"battery": BATTERY}, "lamp": {"load": "motor", "current_a": None}}),
    (
        "SUP-10",
        "lamp",
        {"supply": {"battery": BATTERY | {"inner_ohm": None}}, "lamp": {"peak_a": 5.0, "peak_s": 0.3}},
    ),
    ("SUP-11", "", {"supply": {"fuse_a": None}}),
    ("SUP-11", "", {"lamp": {"current_a": None}}),
    ("SUP-13", "to lamp", {"supply": {"fuse_a": None}}),
    ("SUP-14", "lamp", {"lamp": {"load": "motor", "current_a": None}}),
)


@pytest.mark.parametrize(("code", "about", "missing"), MISSING, ids=lambda part: str(part)[:40])
def test_a_fact_that_is_left_out_is_asked_for(code: str, about: str, missing: dict[str, Any]) -> None:
    """Missing is never better: no finding goes away and none holds."""
    finding = finding_of(judged(**missing), code, about)

    assert finding.verdict is UNKNOWN
    assert finding.asks
    assert finding.remedies


@pytest.mark.parametrize(
    ("missing", "subjects"),
    [
        ({"output": {"load_from": None}}, {DeviceRef("larkfen/lamp"), OutputRef("larkfen/R1/1")}),
        ({"output": {"works": None}}, {DeviceRef("larkfen/lamp")}),
        ({"panel": {"current_a": 0.1}}, {PanelRef("larkfen/panel")}),
    ],
)
def test_what_nobody_says_the_supply_of_is_asked_about(missing: dict[str, Any], subjects: set[Any]) -> None:
    """With the refs by which it lands on the chain of a promise: no supply among them, as none is known."""
    findings = [finding for finding in judged(**missing) if finding.code == "SUP-12"]

    assert set(findings[0].subjects) == subjects
    assert findings[0].verdict is UNKNOWN


@pytest.mark.parametrize(
    ("current", "is_asked"), [("dc", True), ("dc or ac", True), (None, True), ("ac", False)]
)
def test_a_load_that_is_fed_from_nowhere_may_hang_on_any_supply_of_its_current(
    current: str | None, is_asked: bool
) -> None:
    """A siren taken off its supply would make that supply better; here it becomes unknown as a whole."""
    found = judged(output={"load_from": None}, lamp={"supply": current})
    supplies = [finding for finding in found if finding.code == "SUP-12" and finding.about == "larkfen/main"]

    assert [finding.verdict for finding in supplies] == [UNKNOWN] * is_asked
    assert all(finding.subjects == (SupplyRef("larkfen/main"),) for finding in supplies)


@pytest.mark.parametrize(
    "known",
    [
        {},
        {"output": {"load_from": None}, "lamp": {"supply": "mains"}},
        {"output": {"load_from": None}, "lamp": {"supply": "potential-free"}},
        {"output": {"load_from": None}, "lamp": {"load": "input"}},
        {"output": {"load_from": None}, "lamp": {"fed": {"from": "main", "cable": RUN}}},
        {"panel": {"fed": {"from": "main", "cable": RUN}}},
    ],
)
def test_what_is_fed_or_brings_its_own_is_not_asked_about(known: dict[str, Any]) -> None:
    """Mains, dry contacts and control inputs need no supply of the job."""
    assert [finding for finding in judged(**known) if finding.code == "SUP-12"] == []


def test_what_is_judged_of_a_supply_as_a_whole_concerns_whoever_it_feeds() -> None:
    """Its only subject is the supply: a panel beside the lamp does not hide it from the lamp's chain."""
    findings = judged(
        supply={"battery": BATTERY, "standby_s": 3600.0, "charge_a": 1.0},
        panel={"fed": {"from": "main", "cable": RUN}, "current_a": 0.1, "grade": 2},
    )

    for code in ("SUP-03", "SUP-04", "SUP-08", "SUP-11"):
        assert finding_of(findings, code).subjects == (SupplyRef("larkfen/main"),)


def test_no_two_findings_are_one() -> None:
    """Code and subjects name a finding."""
    findings = judged(supply={"battery": BATTERY, "standby_s": 3600.0}, lamp={"peak_a": 5.0, "peak_s": 0.3})

    assert len({finding.identity for finding in findings}) == len(findings)


def test_a_start_counts_what_rests_beside_it() -> None:
    """5 A and 0.5 A of the receiver: 5.5 A."""
    lamp, receiver = {"peak_a": 5.0, "peak_s": 0.3}, {"current_idle_a": 0.5}

    short = judged(supply={"rated_a": 5.49}, receiver=receiver, lamp=lamp)
    enough = judged(supply={"rated_a": 5.51}, receiver=receiver, lamp=lamp)

    assert finding_of(short, "SUP-14").verdict is FAILS
    assert finding_of(enough, "SUP-14").verdict is THIN


def test_a_battery_of_which_nobody_says_the_cold_stands_at_ten_degrees() -> None:
    """10 Ah / (1.25 for wear x 1.19 for 10 °C, IEEE 485) over 0.5 A; slower than 12 h, no third factor."""
    battery = BATTERY | {"usable_share": None}
    findings = judged(supply={"battery": battery, "other_load_a": 0.5, "standby_s": 24 * 3600.0})

    assert finding_of(findings, "SUP-04").value == pytest.approx(10 / (1.25 * 1.19) / 0.5)


def test_a_transformer_of_which_only_the_rating_is_known_is_taken_with_high_mains_and_no_load() -> None:
    """20 V x 1.414 x 1.1 x 1.2 = 37.3 V; for 30 V of crest 20 V x 30 / 37.3 / 1.1 = 14.6 V."""
    both = {"supply": "dc or ac", "rectifies": "bridge", "peak_max_v": 30.0}
    supply = {"supply": "ac", "voltage_v": 20.0, "voltage_max_v": None}
    finding = finding_of(judged(supply=supply, lamp=both), "SUP-09", "lamp")

    assert finding.value == pytest.approx(20 * 2**0.5 * 1.1 * 1.2)
    assert finding.verdict is FAILS
    assert "transformer of 14 V or less" in finding.remedies[0].does


def test_a_rectified_load_draws_two_and_a_half_times_its_current_where_the_winding_is_not_known() -> None:
    """0.5 A behind a bridge; with 4.3 ohm of winding by its share of 24 V x 1.3 / 0.5 A = 62.4 ohm."""
    both = {"supply": "dc or ac", "rectifies": "bridge"}
    supply = {"supply": "ac", "voltage_v": 24.0}
    unknown = judged(supply=supply | {"source_ohm": None}, lamp=both)
    known = judged(supply=supply | {"source_ohm": 4.3}, lamp=both)

    assert finding_of(unknown, "SUP-03").value == pytest.approx(1.25)
    assert finding_of(known, "SUP-03").value == pytest.approx(0.5 * rms_ratio(source_share=4.3 / 62.4))


def test_sup_02_a_lead_battery_is_charged_at_more_than_its_voltage() -> None:
    """Six cells of 2 V at 2.3 V each: 13.8 V, from memory."""
    finding = next(
        finding
        for finding in judged(supply={"voltage_max_v": None, "battery": BATTERY})
        if finding.code == "SUP-02"
    )

    assert "A lead battery of 12 V is charged at about 13.8 V" in finding.because


def test_a_battery_of_which_nobody_says_more_gives_three_fifths() -> None:
    """Worn 1.25, discharged in 12 h 1.1, at 10 degC 1.19 (IEEE 485, from memory): 1 / 1.636 = 61 %."""
    battery = {key: value for key, value in BATTERY.items() if key != "usable_share"}
    found = judged(supply={"battery": battery, "other_load_a": 0.5})

    assert "Usable: 61 %" in " ".join(finding.because for finding in found)


def test_sup_03_the_heaviest_press_comes_on_top_of_what_always_flows() -> None:
    """0.5 A of the lamp, 0.3 A beside it and 0.1 A of a charger: 0.9 A."""
    found = judged(supply={"other_load_a": 0.3, "charge_a": 0.1, "rated_a": 0.85})
    finding = next(finding for finding in found if finding.code == "SUP-03")

    assert finding.value == pytest.approx(0.9)
    assert finding.says.endswith("it is rated 0.85 A.")
    assert "several presses" not in finding.says


@pytest.mark.parametrize(
    ("rated_a", "cores", "value", "verdict"),
    [
        (1.0, 5, 0.9, THIN),  # thin alarm cores: all of them loaded already in the rating (common practice)
        (1.2, 5, 0.89, THIN),  # five loaded: 0.75 x 1.2 A = 0.9 A
        (1.2, 5, 0.91, FAILS),
        (10.0, 24, 3.9, THIN),  # 24 loaded: 0.40 x 10 A
        (10.0, 24, 4.1, FAILS),
        (10.0, 30, 3.9, UNKNOWN),  # the table ends at 24: less is left, nobody knows how much
        (10.0, 30, 4.1, FAILS),
        (1.0, 30, 0.9, THIN),
    ],
)
def test_sup_07_the_number_of_loaded_cores_counts_above_an_ampere(
    rated_a: float, cores: int, value: float, verdict: Verdict
) -> None:
    """0.75 for five loaded cores and 0.40 for 24: DIN VDE 0298-4, table 26."""
    cable = {"five": {"resistance_ohm_per_km": 1e-3, "cores": cores, "rated_a": rated_a}}
    found = judged(
        run={"part": "five", "warmest_degc": 30.0}, lamp={"current_a": value}, cables=CABLES | cable
    )

    assert finding_of(found, "SUP-07", "to lamp").verdict is verdict


@pytest.mark.parametrize(("peak_s", "lasts"), [(0.009, False), (0.01, False), (0.0101, True), (0.012, True)])
def test_a_peak_of_ten_milliseconds_is_bridged(peak_s: float, lasts: bool) -> None:
    """By a receiver's own capacitor; common practice, no source."""
    found = judged(lamp={"peak_a": 5.0, "peak_s": peak_s})

    assert ("SUP-14" in {finding.code for finding in found}) is lasts


@pytest.mark.parametrize(("least_v", "name"), [(10.95, "quarter"), (10.85, "half")])
def test_sup_01_the_next_cable_leaves_a_margin_over_the_doubt(least_v: float, name: str) -> None:
    """2 A: 12 - 2 = 10 V over 1 ohm, 11 V over a half, 11.5 V over a quarter; doubt a tenth of what is lost,
    0.1 V over the half.
    """
    ohm = CABLES["ohm"]["resistance_ohm_per_km"]
    cables = CABLES | {
        "half": {"resistance_ohm_per_km": ohm / 2, "cores": 2, "rated_a": 10.0},
        "quarter": {"resistance_ohm_per_km": ohm / 4, "cores": 2, "rated_a": 10.0},
    }
    found = judged(run={"part": "ohm"}, lamp={"current_a": 2.0, "voltage_min_v": least_v}, cables=cables)

    assert finding_of(found, "SUP-01", "lamp").remedies[0].does.startswith(f"Use {name} ")


@pytest.mark.parametrize(("share", "is_shared"), [(0.24, False), (0.26, True), (0.3, True), (0.5, True)])
def test_sup_15_a_core_with_a_quarter_of_the_load_is_shared(share: float, is_shared: bool) -> None:
    """Of 2 A of a load; the receiver itself takes 0.1 A more with its relay drawn."""
    moments = {
        name: SimpleNamespace(
            through=lambda _, amperes=flows: amperes, at=lambda *_, amperes=own: (12.0, amperes)
        )
        for name, flows, own in (("on", 0.2 + 2.0 * share, 0.2), ("off", 0.1, 0.1))
    }
    electrics: Any = SimpleNamespace(
        in_moment=lambda moment, _: moments[moment],
        circuit=SimpleNamespace(conductors=[SimpleNamespace(run_path=("R1",), name="a core")]),
    )
    asked: Any = SimpleNamespace(
        on="on",
        off="off",
        path="larkfen/main",
        load=SimpleNamespace(amperes=2.0),
        receiver=SimpleNamespace(run_path=("R1",), name="R1"),
    )

    assert chain._shares_cores(electrics, asked) is is_shared


@pytest.mark.parametrize(
    ("kind", "highest_v", "verdict"),
    [("dc", 15.7, FAILS), ("dc", 15.5, UNKNOWN), ("ac", 16.9, FAILS), ("ac", 16.7, UNKNOWN)],
)
def test_sup_02_beyond_its_class_a_thing_of_rated_volts_fails_and_below_it_is_asked_about(
    kind: str, highest_v: float, verdict: Verdict
) -> None:
    """1.3 x 12 V = 15.6 V on direct current, 1.4 x 12 V = 16.8 V on a transformer; common practice."""
    supply = {"supply": kind, "voltage_max_v": highest_v}
    found = judged(supply=supply, lamp={"supply": kind, "voltage_max_v": None})

    assert finding_of(found, "SUP-02", "lamp").verdict is verdict


@pytest.mark.parametrize(("source_ohm", "share"), [(0.01, 0.002), (30.0, 0.2)])
def test_sup_03_a_winding_is_taken_between_a_five_hundredth_and_a_fifth_of_its_load(
    source_ohm: float, share: float
) -> None:
    """24 V x 1.3 / 0.5 A = 62.4 ohm of load: 0.01 ohm are less than 0.2 % of it, 30 ohm more than 20 %."""
    both = {"supply": "dc or ac", "rectifies": "bridge"}
    found = judged(supply={"supply": "ac", "voltage_v": 24.0, "source_ohm": source_ohm}, lamp=both)

    assert finding_of(found, "SUP-03").value == pytest.approx(0.5 * rms_ratio(source_share=share))


@pytest.mark.parametrize("coldest_degc", [25.0, 30.0])
def test_sup_04_warmth_adds_no_charge(coldest_degc: float) -> None:
    """10 Ah / 1.25 for wear over 0.5 A: 16 h; no more than at 25 °C, the base of IEEE 485 (from memory)."""
    battery = BATTERY | {"usable_share": None, "coldest_degc": coldest_degc}
    supply = {"battery": battery, "other_load_a": 0.5, "standby_s": 24 * 3600.0}

    assert finding_of(judged(supply=supply), "SUP-04").value == pytest.approx(16.0)


def test_sup_05_a_limit_that_is_given_settles_it_without_the_source_resistance() -> None:
    """Between what a soft source and a stiff one drive through a cable of 1 ohm lies what the fuse needs; the
    supply gives 6 A, as its sheet says, and the fuse never operates.
    """
    for limit_a, verdict, amperes in ((6.0, FAILS, 6.0), (60.0, UNKNOWN, None)):
        found = judged(run={"part": "ohm"}, supply={"fuse_a": 5.0, "source_ohm": None, "limit_a": limit_a})
        finding = finding_of(found, "SUP-05", "lamp")
        assert finding.verdict is verdict
        assert amperes is None or finding.value == pytest.approx(amperes)
