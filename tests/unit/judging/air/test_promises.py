"""Promises by radio of an invented house, and reach that must not be."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.core.reach.ways import many_ways_path
from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import PromiseRef
from farpress.judging.air import promises as air
from farpress.judging.fob import sending as fob
from farpress.judging.receiver import surroundings as receiver
from farpress.judging.registry import all_checks
from farpress.reach import radio_link
from farpress.reach.aerial_edits import aerial_in_file
from farpress.reach.radio_scene import ground_height_m
from helpers.findings import finding_of
from helpers.radio_case import larkfen


def judged(case: Case) -> list[Finding]:
    """Everything said about the radio side."""
    return [*air.judge(case), *fob.judge(case), *receiver.judge(case)]


def radio_finding(case: Case, code: str, about: str = "") -> Finding:
    """The only finding of a code about something, of the radio side."""
    return finding_of(judged(case), code, about)


STREET = [{"to": "family", "function": "open gate", "from": "street"}]


STEEL = {"housing": "steel", "slot": "100 mm"}


def test_every_promise_has_one_finding_with_its_budget() -> None:
    """Four places, four chances; the lines add up to the level that is said."""
    findings = [finding for finding in air.judge(larkfen()) if finding.code == "AIR-01"]

    assert [finding.subjects for finding in findings] == [
        (PromiseRef(f"family: open gate from {place}"),)
        for place in ("street", "wicket", "kitchen", "bathroom")
    ]
    assert findings[0].verdict is Verdict.FAILS
    assert findings[1].verdict is Verdict.HOLDS
    assert "brick 365 mm" in findings[0].because
    assert "extrapolated below its table" in findings[0].because
    assert any("P.2040" in str(source) and "extrapolated" in str(source) for source in findings[0].sources)
    assert "dBm e.r.p." in findings[0].because
    assert "pressed in car -6.0 dB" in findings[0].because


@pytest.mark.long
def test_no_finding_holds_a_number_that_is_none() -> None:
    """Nothing is NaN or endless, whatever the job lacks."""
    for case in awkward_cases():
        for finding in judged(case):
            for number in (finding.value, finding.limit, finding.margin, finding.doubt):
                assert number is None or math.isfinite(number), finding
            assert finding.code in all_checks()
            assert finding.says.endswith(".")
            assert "nan" not in finding.says.lower().split()
        keys = [finding.key for finding in judged(case)]
        assert len(keys) == len(set(keys))


def awkward_cases() -> Iterator[Case]:
    """Jobs with something missing or odd."""
    yield larkfen()
    yield larkfen(region=None)
    yield larkfen(region="north america")
    yield larkfen(box={"at": [17.5, 23.0]})
    yield larkfen(box={"at": [17.5, 22.0, 2.6]})
    yield larkfen(box={"level": "attic"})
    yield larkfen(box={"at": [14.0, -25.0, 1.0]})
    yield larkfen(premises={"walls": [], "levels": {}})
    yield larkfen(
        premises={"walls": [{"level": "ground", "build": "brick 365 mm", "along": [[8, 22], [8, 22]]}]}
    )
    yield larkfen(premises={"walls": [{"build": "unheard of", "along": [[0, 10], [30, 10]]}]})
    yield larkfen(premises={"surroundings": None})
    yield larkfen(
        premises={
            "steel": [
                {
                    "says": "van",
                    "outline": [[13, -26], [15, -26], [15, -24], [13, -24]],
                    "base": "0 m",
                    "top": "2 m",
                }
            ]
        }
    )
    yield larkfen(fob={"erp_dbm": None})
    yield larkfen(fob={"car_loss_db": None, "code": "fixed", "telegram_s": None})
    yield larkfen(fob={"erp_sd_db": 0.0, "repeat_s": 0.0, "code": None})
    yield larkfen(receiver={"sensitivity_dbm": None, "noise_figure_db": None})
    yield larkfen(receiver={"aerial": "connector"})
    yield larkfen(box=STEEL)
    yield larkfen(box={"housing": "steel"})
    yield larkfen(box={"antenna": {"part": "whip", "at": [10.5, 21.8, 3.4], "tilt": "0 deg"}})
    yield larkfen(
        box={"antenna": {"part": "unheard of", "at": [10.5, 21.8], "coax": {"part": "rg58", "length": "9 m"}}}
    )
    yield larkfen(
        promises=[
            {"to": "strangers", "function": "close gate", "from": "moon"},
            {"to": "family", "function": "open gate", "from": "moon"},
        ]
    )
    yield larkfen(
        promises=[
            {
                "to": "family",
                "function": "open gate",
                "from": "kitchen",
                "at_least": "100 %",
                "within": "20 presses",
            }
        ]
    )
    yield larkfen(
        rules=[
            {"never": "works beyond", "of": ["open gate"]},
            {"never": "works from", "of": ["open gate"], "from": ["moon"]},
            {"never": "works beyond", "of": ["close gate"], "distance": "6 m"},
        ]
    )


def test_an_aerial_under_the_eaves_is_offered_with_its_chance_and_its_edit() -> None:
    """The remedy's edit, made in the job, gives the chance that was told."""
    found = radio_finding(larkfen(promises=STREET), "AIR-01")
    offered = next(remedy for remedy in found.remedies if "9 m of rg58" in remedy.does)
    change = offered.changes[0]
    mended = radio_finding(larkfen(promises=STREET, box={"antenna": change.value}), "AIR-01")

    assert change.path == ("premises", "larkfen", "receivers", "R1", "antenna")
    assert mended.value is not None
    assert found.value is not None
    assert mended.value > found.value
    assert offered.effect == f"{mended.value:.0f} % instead of {found.value:.0f} %"


@pytest.mark.parametrize(
    ("box", "place", "spot"),
    [
        ({"antenna_places": []}, "street", (17.5, 21.7, 2.6)),
        ({"antenna_places": [], "at": [10.0, 30.4, 2.6]}, "north", (10.0, 31.7, 2.6)),
        ({"antenna_places": [], "at": [13.0, 26.0, 2.6]}, "street", (13.0, 21.7, 2.6)),
        ({"antenna_places": [], "level": None}, "street", None),
        ({}, "street", None),
    ],
)
def test_from_indoors_an_aerial_on_the_outer_face_of_the_wall_is_offered(
    box: dict[str, Any], place: str, spot: tuple[float, ...] | None
) -> None:
    """In a house clad with steel, the shortest way through the wall on the side of whoever presses; not where
    another place for an aerial is drawn, nor out of doors.
    """
    steel = {"level": "ground", "build": "steel sheet"}
    walls = [{**steel, "along": [[8, 22], [19.5, 22], [19.5, 31.4], [8, 31.4], [8, 22]]}]
    places = {"street": {"at": [14, -25]}, "north": {"at": [14, 55]}}
    wished = [STREET[0] | {"from": place}]
    case = larkfen(promises=wished, box=box, premises={"walls": walls, "places": places})
    offered = [
        remedy.changes[0].value
        for remedy in radio_finding(case, "AIR-01").remedies
        if "outside, on the wall" in remedy.does
    ]

    assert [tuple(aerial["at"]) for aerial in offered] == ([] if spot is None else [spot])


def test_the_best_remedy_comes_first_and_none_where_it_holds() -> None:
    """Sorted by chance; a promise that holds needs none."""
    effects = [
        float(remedy.effect.split(" ")[0])
        for remedy in radio_finding(larkfen(promises=STREET), "AIR-01").remedies
    ]

    assert effects == sorted(effects, reverse=True)
    assert len(effects) >= 2
    assert radio_finding(larkfen(), "AIR-01", "kitchen").remedies == ()


def test_a_higher_demand_turns_the_same_chance_thin_and_then_broken() -> None:
    """A good 99 % in the bathroom: 95 % holds, 98.8 % is within the doubt, 99.9 % fails."""
    verdicts = [
        radio_finding(
            larkfen(
                promises=[{"to": "family", "function": "open gate", "from": "bathroom", "at_least": share}]
            ),
            "AIR-01",
        ).verdict
        for share in ("95 %", "98.8 %", "99.9 %")
    ]

    assert verdicts == [Verdict.HOLDS, Verdict.THIN, Verdict.FAILS]


def test_more_presses_help_and_bursts_hurt() -> None:
    """One, two, three presses; then a channel that is taken a third of the time."""
    values = [
        radio_finding(larkfen(promises=[STREET[0] | {"within": f"{n} presses"}]), "AIR-01").value or 0.0
        for n in (1, 2, 3)
    ]
    busy = radio_finding(larkfen(promises=STREET, premises={"noise_bursts": "33 %"}), "AIR-01").value or 0.0

    assert values == sorted(values)
    assert values[0] < values[2]
    assert busy < values[1]


def test_readings_move_the_prediction_there_and_elsewhere() -> None:
    """A kitchen read 10 dB worse than predicted lowers the kitchen most and the street too, and leaves less
    doubt.
    """
    before, kitchen = larkfen(), "kitchen"
    after = larkfen(readings=[{"receiver": "R1", "place": "kitchen", "level": "-73 dBm"}])
    street = [radio_finding(case, "AIR-01", "street") for case in (before, after)]

    assert (street[1].value or 0.0) < (street[0].value or 0.0)
    assert "correction from 1 reading at R1 -" in street[1].because
    spreads = [float(finding.because.split("spread ")[1].split(" dB")[0]) for finding in street]
    assert spreads[1] < spreads[0]
    reading = radio_finding(after, "AIR-02", kitchen)
    assert reading.verdict is Verdict.HOLDS
    assert reading.touches(PromiseRef("family: open gate from kitchen"))


def test_a_reading_far_from_the_prediction_is_thin() -> None:
    """40 dB apart: something on the way is not as drawn."""
    assert (
        radio_finding(
            larkfen(readings=[{"receiver": "larkfen/R1", "place": "kitchen", "level": "-103 dBm"}]), "AIR-02"
        ).verdict
        is Verdict.THIN
    )


def test_the_attenuating_pad_counts_back() -> None:
    """A reading through a 10 dB pad equals one 10 dB stronger without."""
    values = [
        radio_finding(larkfen(readings=[{"receiver": "R1", "place": "kitchen"} | how]), "AIR-02").value
        for how in ({"level": "-73 dBm", "pad": "10 dB"}, {"level": "-63 dBm"})
    ]

    assert values[0] == pytest.approx(values[1])


def test_a_reading_with_another_aerial_speaks_for_that_aerial() -> None:
    """Read at the eaves: the offer of the eaves gains certainty; a spot that is no aerial's is not used."""
    wished = [STREET[0] | {"at_least": "80 %"}]
    at_eaves, nowhere = (
        larkfen(
            promises=wished,
            readings=[{"receiver": "R1", "place": "street", "level": "-100 dBm", "aerial_at": at}],
        )
        for at in ([10.5, 21.8, 3.4], [0, 0, 9])
    )
    offered = [
        next(remedy.effect for remedy in radio_finding(case, "AIR-01").remedies if "rg58" in remedy.does)
        for case in (larkfen(promises=wished), at_eaves)
    ]

    assert "correction from 1 reading" in radio_finding(at_eaves, "AIR-01").because
    assert float(offered[1].split(" ")[0]) < float(offered[0].split(" ")[0])
    assert "correction" not in radio_finding(nowhere, "AIR-01").because


def test_an_aerial_plugged_in_shares_its_housing() -> None:
    """A whip on the receiver itself needs no coax; in a steel housing it is shut in."""
    plugged = {"antenna": {"part": "whip", "at": [17.5, 23.0, 2.6], "tilt": "0 deg"}}

    assert radio_finding(larkfen(box=plugged), "RCV-04").verdict is Verdict.HOLDS
    assert radio_finding(larkfen(box=plugged), "AIR-01", "kitchen").verdict is Verdict.HOLDS
    assert radio_finding(larkfen(box=plugged | STEEL), "RCV-01").verdict is Verdict.FAILS
    assert radio_finding(larkfen(box=plugged | STEEL), "AIR-01", "kitchen").verdict is Verdict.UNKNOWN


def test_no_remedy_goes_through_the_ceiling() -> None:
    """The receiver stands at 2.6 m under a floor at 3.6 m: a metre more would be in the slab."""
    assert not any(
        "1 m higher" in remedy.does for finding in air.judge(larkfen()) for remedy in finding.remedies
    )
    box = {"at": [17.5, 23.0, 1.4]}
    read = {"noise_floor": "-110 dBm", "noise_bursts": "2 %"}
    value = radio_finding(larkfen(promises=STREET, box=box, premises=read), "AIR-01").value
    assert value is not None
    wished = [STREET[0] | {"at_least": f"{value + 1.0:.1f} %"}]
    low = radio_finding(larkfen(promises=wished, box=box, premises=read), "AIR-01")
    assert any("1 m higher" in remedy.does for remedy in low.remedies)


def test_reach_is_not_a_fence() -> None:
    """'Only within 6 m' fails with the chance beyond; even out of reach it never simply holds."""
    near = radio_finding(
        larkfen(
            rules=[{"never": "works beyond", "of": ["open gate"], "from": ["wicket"], "distance": "6 m"}]
        ),
        "AIR-03",
    )
    far = radio_finding(
        larkfen(
            rules=[{"never": "works beyond", "of": ["open gate"], "from": ["wicket"], "distance": "5000 m"}]
        ),
        "AIR-03",
    )

    assert near.verdict is Verdict.FAILS
    assert (near.value or 0.0) > 90.0
    assert "cannot be promised" in near.because
    assert far.verdict is Verdict.THIN


def test_a_rule_that_somebody_signed_away_is_thin_and_names_them() -> None:
    """The chance stays; the decision is the customer's."""
    signed = radio_finding(
        larkfen(
            rules=[
                {
                    "never": "works from",
                    "of": ["open gate"],
                    "from": ["kitchen"],
                    "signed": "M. Ostrovane, 2026-11-02",
                }
            ]
        ),
        "AIR-03",
    )

    assert signed.verdict is Verdict.THIN
    assert "M. Ostrovane, 2026-11-02" in signed.because


def test_a_house_without_walls_is_open_but_not_silent() -> None:
    """Nobody drew the walls: buildings in general are taken, and the walls asked for."""
    found = radio_finding(larkfen(premises={"walls": []}, promises=STREET), "AIR-01")

    assert found.verdict in (Verdict.UNKNOWN, Verdict.FAILS)
    assert "unknown walls" in found.because
    assert any("P.2109" in str(source) for source in found.sources)


def test_an_end_in_a_wall_is_open() -> None:
    """A receiver drawn on the line of a wall: which side is asked."""
    found = [
        finding for finding in air.judge(larkfen(box={"at": [17.5, 22.0, 2.6]})) if finding.code == "AIR-04"
    ]

    assert found
    assert all(finding.verdict is Verdict.UNKNOWN for finding in found)


def test_the_ground_is_a_plane_through_its_points() -> None:
    """2 m up over 62 m to the north, level to the east."""
    house = larkfen().job.premises["larkfen"]

    assert ground_height_m(house, 14.0, 31.0) == pytest.approx(1.0)
    assert ground_height_m(house, -40.0, 62.0) == pytest.approx(2.0)


def test_an_aerial_is_written_as_it_stands_in_a_job_file() -> None:
    """Written and read back it is the same aerial."""
    place = larkfen().job.premises["larkfen"].receivers["R1"].antenna_places[0]

    assert type(place).model_validate(aerial_in_file(place)) == place


@pytest.mark.parametrize(("sill", "passes"), [("0.5 m", "double glazing"), ("1.9 m", "brick")])
def test_a_window_takes_the_wall_s_place_only_between_sill_and_head(sill: str, passes: str) -> None:
    """On the way to the street the ray crosses the south wall 1.8 m over the floor: through a low window,
    under a high one.
    """
    walls = [
        {
            "level": "ground",
            "build": "brick 365 mm",
            "along": [[8, 22], [19.5, 22]],
            "openings": [
                {"from": "7 m", "width": "4.4 m", "sill": sill, "head": "2.5 m", "build": "double glazing"}
            ],
        }
    ]
    found = radio_finding(larkfen(premises={"walls": walls}, promises=STREET), "AIR-01")

    assert [name for name in ("double glazing", "brick") if name in found.because] == [passes]


def test_the_same_job_gives_the_same_findings() -> None:
    """To the last digit."""
    assert judged(larkfen()) == judged(larkfen())


def test_six_hundred_holders_share_one_computation(monkeypatch: pytest.MonkeyPatch) -> None:
    """40 groups of 15, four places: 160 promises, and each way is computed once, not once per promise."""
    groups = {f"tenant {n}": {"fob": "fob-4", "buttons": {"1": "open gate"}, "count": 15} for n in range(40)}
    promises = [
        {"to": name, "function": "open gate", "from": place}
        for name in groups
        for place in ("street", "wicket", "kitchen", "bathroom")
    ]
    ways: list[object] = []

    def counted(**arguments: Any) -> Any:
        ways.append((arguments["fob"], arguments["aerial"]))
        return many_ways_path(**arguments)

    monkeypatch.setattr(radio_link, "many_ways_path", counted)
    findings = list(air.judge(larkfen(groups=groups, promises=promises)))

    assert sum(finding.code == "AIR-01" for finding in findings) == 160
    assert len(ways) == len(set(ways))


def test_a_promise_without_an_output_says_who_would_hear_it() -> None:
    """Nothing is decided by it: the output is still to be drawn."""
    functions = {"help": {"kind": "call", "answered_by": "the porter"}}
    promises = [{"to": "family", "function": "help", "from": "street"}]
    finding = radio_finding(larkfen(functions=functions, promises=promises), "AIR-01")

    assert finding.verdict is Verdict.UNKNOWN
    assert "R1 would hear it best: within 2 presses in" in finding.says
    assert "That is too seldom" in finding.says
    assert finding.value is not None
    assert (finding.limit, finding.value < 95.0) == (95.0, True)
