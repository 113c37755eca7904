"""Numbers about promises over the air, worked out by hand or from the recommendation that is named."""

from __future__ import annotations

import math
import re
from types import SimpleNamespace
from typing import Any

import pytest

from farpress.core.reach.entry import entry_loss_db
from farpress.core.reach.indoor import indoor_loss
from farpress.core.reach.street import street_level_loss_db
from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Rule
from farpress.judging.air import promises as air
from farpress.judging.air.chance_words import percent
from helpers.findings import finding_of
from helpers.radio_case import larkfen


def _promise(place: str = "kitchen", *, premises: dict[str, Any] | None = None, **more: Any) -> Finding:
    box = more.pop("box", None)
    promise = {"to": "family", "function": "open gate", "from": place, **more}
    return finding_of(list(air.judge(larkfen(promises=[promise], premises=premises, box=box))), "AIR-01")


@pytest.mark.parametrize(
    ("share", "says"),
    [
        (0.9949, "99 %"),
        (0.9951, "99.5 %"),
        (0.996, "99.6 %"),
        (0.99999, "99.9 %"),
        (1.0, "100 %"),
        (0.502, "50 %"),
        (0.006, "1 %"),
        (0.0049, "0.5 %"),
    ],
)
def test_a_chance_is_never_rounded_up_to_certainty(share: float, says: str) -> None:
    """Above 99.5 % a decimal that is cut off, below half a per cent one that is rounded."""
    assert percent(share) == says


def test_the_ring_has_a_spot_every_fifteen_degrees() -> None:
    """24 x 15 = 360 degrees, 6 m round the wicket at (17.5, -1), the first in the north, 1.2 m over the
    ground.
    """
    rule = Rule(never="works beyond", of=("open gate",), from_=("wicket",), distance_m=6.0)
    case = larkfen()
    (output,) = case.outputs_of("open gate")
    spots = [place.at for _, place in air._spots(case, rule, output)]

    assert len(spots) == 24
    for step, (x, y, z) in enumerate(spots):
        assert math.degrees(math.atan2(x - 17.5, y + 1.0)) % 360.0 == pytest.approx(15.0 * step, abs=1e-6)
        assert math.hypot(x - 17.5, y + 1.0) == pytest.approx(6.0)
        assert z == pytest.approx(2.0 * y / 62.0 + 1.2)


def _reading(level: str) -> Finding:
    case = larkfen(readings=[{"receiver": "R1", "place": "kitchen", "level": level}])
    return finding_of(list(air.judge(case)), "AIR-02")


def test_readings_on_either_side_of_the_prediction_lie_their_difference_apart() -> None:
    """-73 dBm below it and -40 dBm above: what the two lie off it adds up to 33 dB."""
    below, above = _reading("-73 dBm"), _reading("-40 dBm")

    assert (below.value or 0.0) + (above.value or 0.0) == pytest.approx(33.0)
    assert "below the prediction of -61 dBm" in below.says
    assert "above the prediction of -61 dBm" in above.says


def test_a_reading_may_lie_two_standard_deviations_off() -> None:
    """Place, model and reading each have one; they are independent, so their squares add up."""
    for finding, word in ((_reading("-73 dBm"), "Within"), (_reading("-40 dBm"), "More than")):
        parts = re.search(r"place ([\d.]+), model ([\d.]+), reading ([\d.]+)", finding.because)
        assert parts is not None
        sd_db = math.sqrt(sum(float(part) ** 2 for part in parts.groups()))

        assert finding.limit == pytest.approx(2.0 * sd_db, abs=0.1)
        assert f"{word} 2 standard deviations of {sd_db:.1f} dB" in finding.because


@pytest.mark.parametrize(("presses", "is_told"), [(1, False), (2, True), (3, True)])
def test_the_chance_of_one_press_is_told_beside_that_of_several(presses: int, is_told: bool) -> None:
    """A promise of one press says it already."""
    within = "1 press" if presses == 1 else f"{presses} presses"

    assert ("One press alone: 9 of 10 presses" in _promise(within=within).because) is is_told


def test_certainty_is_never_without_doubt() -> None:
    """A metre from the aerial, twenty presses: a millionth is left, so the promise of all presses is thin."""
    near = {"kitchen": {"at": [17.0, 23.5, 2.0], "level": "ground"}}
    finding = _promise(premises={"places": near}, at_least="100 %", within="20 presses")

    assert finding.limit == pytest.approx(100.0)
    assert finding.doubt == pytest.approx(1e-4)
    assert finding.verdict is not Verdict.HOLDS


def _fence(distance: str) -> Finding:
    rule = {"never": "works beyond", "of": ["open gate"], "from": ["wicket"], "distance": distance}
    return finding_of(list(air.judge(larkfen(rules=[rule]))), "AIR-03")


def test_never_is_less_than_one_press_in_a_thousand_and_never_sure() -> None:
    """A tenth of a per cent is the limit, and the least doubt."""
    near, far = _fence("6 m"), _fence("5000 m")

    assert near.limit == far.limit == pytest.approx(0.1)
    assert far.doubt == pytest.approx(0.1)
    assert f"heard in {near.value:.0f} % of cases" in near.says
    assert far.verdict is Verdict.THIN


def _office_db(distance_m: float) -> float:
    """Rec. ITU-R P.1238-10, Table 2, office out of sight, 0.3 to 83.5 GHz (from memory): 10 x 2.46 log10 d +
    29.53 + 10 x 2.38 log10 f.
    """
    return 24.6 * math.log10(distance_m) + 29.53 + 23.8 * math.log10(0.43392)


LONG = {
    "walls": [
        {
            "level": level,
            "build": "brick 365 mm",
            "along": [[8, 22], [60, 22], [60, 31.4], [8, 31.4], [8, 22]],
        }
        for level in ("ground", "upper")
    ]
}


@pytest.mark.parametrize(
    ("east_m", "is_told"), [(13.1, True), (14.1, False), (10.0, True), (46.5, True), (48.5, False)]
)
def test_offices_are_a_second_opinion_from_four_to_thirty_metres(east_m: float, is_told: bool) -> None:
    """In line with the receiver at 17.5 m east and 2.6 m up, held at 1.9 m: 4.46, 3.47, 7.53, 29.01, 31.01
    m.
    """
    places = {"kitchen": {"at": [east_m, 23.0, 1.9], "level": "ground"}}
    finding = _promise(premises=LONG | {"places": places})
    usual = f"offices without sight usually lose {_office_db(math.hypot(east_m - 17.5, 0.7)):.0f} dB ± 5 dB"

    assert (usual in finding.because) is is_told
    assert ("offices" in finding.because) is is_told


def test_getting_into_a_building_is_a_second_opinion() -> None:
    """Rec. ITU-R P.2109-1, traditional building at 0.434 GHz, by hand: the median of its two parts is 11.4
    and 10.2 dB, with a third of -3 dB together 13.9 dB; 90 % of places 22.8 and 16.9 dB, together 23.8 dB.
    The wall of the house alone costs 9 dB.
    """
    because = _promise("street").because

    assert "usually costs 14 dB, in 9 of 10 places less than 24 dB; here 9 dB" in because


EAVES = {
    "antenna": {
        "part": "whip",
        "at": [10.5, 21.8, 3.4],
        "tilt": "0 deg",
        "coax": {"part": "rg58", "length": "9 m"},
    }
}


@pytest.mark.parametrize(("south_m", "is_told"), [(80.0, True), (970.0, True), (990.0, False)])
def test_streets_are_a_second_opinion_up_to_a_kilometre(south_m: float, is_told: bool) -> None:
    """Rec. ITU-R P.1411-12, 4.3.1, half of the places, out of sight, suburban: 9.5 + 45 log10 MHz + 40 log10
    km (from memory); to an aerial under the eaves, 21.8 m north of the origin.
    """
    places = {"far": {"at": [14.0, -south_m, 1.2]}}
    because = _promise("far", premises={"places": places, "slope": ()}, box=EAVES).because
    distance_km = math.hypot(3.5, south_m + 21.8) / 1000.0
    usual_db = 9.5 + 45.0 * math.log10(433.92) + 40.0 * math.log10(distance_km)

    assert (f"along suburban streets, corners and all, {usual_db:.0f} dB are usual" in because) is is_told


def _verdict_of_one_press(bursts: str | None) -> Verdict:
    given = {} if bursts is None else {"noise_bursts": bursts}
    return _promise("kitchen", premises=given, within="1 press", at_least="99 %").verdict


def test_an_assumed_channel_asks_and_a_measured_one_decides() -> None:
    """99 % within one press: 2 % taken for want of a reading ask, 2 % measured fail, as does every more."""
    assert _verdict_of_one_press(None) is Verdict.UNKNOWN
    assert _verdict_of_one_press("2 %") is Verdict.FAILS
    assert _verdict_of_one_press("0 %") is not Verdict.FAILS


def test_usual_noise_asks_and_measured_noise_decides() -> None:
    """From the street in a city: short of what was promised by the usual noise alone, it asks for the
    noise; with as much noise measured it fails; with no more than its own it is kept.
    """
    city = {"surroundings": "city", "noise_bursts": "0 %"}
    usual = _promise("street", premises=city, within="2 presses", at_least="50 %")
    wished = f"{(usual.value or 0.0) + 1.0:.1f} %"
    settled = {
        noise: _promise("street", premises=city | given, within="2 presses", at_least=wished)
        for noise, given in (
            ("usual", {}),
            ("loud", {"noise_floor": "-99 dBm"}),
            ("quiet", {"noise_floor": "-116 dBm"}),
        )
    }

    assert settled["usual"].verdict is Verdict.UNKNOWN
    assert "the noise there, which nobody measured" in settled["usual"].says
    assert any("noise floor" in ask.says for ask in settled["usual"].asks)
    assert settled["loud"].verdict is Verdict.FAILS
    assert settled["quiet"].verdict is not Verdict.FAILS


def test_no_surroundings_are_no_quiet_ones() -> None:
    """From the street: a job that leaves them out stands no better than with any that it could give, asks for
    the noise where that decides, and says what was taken.
    """
    quiet = {"noise_bursts": "0 %"}
    kinds = ("city", "business", "residential", "rural")
    given = {
        kind: _promise("street", premises=quiet | {"surroundings": kind}, within="2 presses", at_least="50 %")
        for kind in kinds
    }
    chances = {kind: finding.value or 0.0 for kind, finding in given.items()}
    wished = f"{(chances['city'] + chances['rural']) / 2.0:.1f} %"
    left_out = _promise(
        "street", premises=quiet | {"surroundings": None}, within="2 presses", at_least=wished
    )

    assert chances["rural"] > chances["city"] + 1.0
    assert left_out.value == pytest.approx(min(chances.values()))
    assert left_out.verdict is Verdict.UNKNOWN
    assert "as no surroundings are given" in left_out.because
    assert any("noise floor" in ask.says for ask in left_out.asks)


def test_how_much_of_the_time_others_may_take_is_said_where_nobody_measured() -> None:
    """95 % within one press beside the receiver: with just that share measured it holds, with a little
    more not.
    """
    free = _promise("kitchen", within="1 press", at_least="95 %")
    most = float(free.because.split("; up to ")[1].split(" %")[0])
    verdicts = [
        _promise(
            "kitchen", premises={"noise_bursts": f"{share:g} %"}, within="1 press", at_least="95 %"
        ).verdict
        for share in (most - 1.0, most + 1.0)
    ]

    assert verdicts[0] is not Verdict.FAILS
    assert verdicts[1] is Verdict.FAILS


@pytest.mark.parametrize(
    ("within", "wanted", "bursts", "says"),
    [
        (
            "1 press",
            "99 %",
            None,
            "2 % of the time (taken, none was measured): no single press is surer than 98 %",
        ),
        ("1 press", "99 %", "5 %", "5 % of the time: no single press is surer than 95 %"),
        ("2 presses", "99 %", None, ""),
        ("1 press", "97 %", None, ""),
    ],
)
def test_where_the_channel_and_not_the_level_is_the_reason_it_is_said(
    within: str, wanted: str, bursts: str | None, says: str
) -> None:
    """Beside the receiver: 1 less the share that others take, our 2 % where none is given."""
    given = {} if bursts is None else {"noise_bursts": bursts}
    finding = _promise("kitchen", premises=given, within=within, at_least=wanted)

    assert says in finding.because
    assert ("surer than" in finding.because) == bool(says)


def _beside(ends: str, distance_m: float) -> str:
    """The second opinion on a way of 70 dB, 48 dB of it in the open."""
    path = SimpleNamespace(
        ends=ends,
        distance_m=distance_m,
        loss_db=70.0,
        terms=(SimpleNamespace(loss_db=48.0), SimpleNamespace(loss_db=22.0)),
    )
    link: Any = SimpleNamespace(path=path)
    return air._sanity(link)[0]


@pytest.mark.parametrize(("distance_m", "is_told"), [(3.9, False), (4.0, True), (30.0, True), (30.1, False)])
def test_offices_stand_beside_a_way_of_four_to_thirty_metres(distance_m: float, is_told: bool) -> None:
    """Which ITU-R P.1238 gives for offices without sight, at 433.92 MHz."""
    says = _beside("indoors", distance_m)

    assert ("offices without sight" in says) is is_told
    if is_told:
        peer = indoor_loss(environment="office out of sight", distance_m=distance_m, frequency_hz=433.92e6)
        assert f"lose {peer.loss_db:.0f} dB ± {peer.sigma_db:.0f} dB" in says
        assert says.endswith("this way 70 dB.")


def test_older_buildings_stand_beside_a_way_into_one() -> None:
    """The middle and nine in ten of ITU-R P.2109, at 433.92 MHz; 70 - 48 = 22 dB are its own."""
    half, most = (
        entry_loss_db(frequency_hz=433.92e6, share=share, building="traditional") for share in (0.5, 0.9)
    )

    assert f"costs {half:.0f} dB, in 9 of 10 places less than {most:.0f} dB; here 22 dB." in _beside(
        "into a building", 20.0
    )


@pytest.mark.parametrize(
    ("distance_m", "is_told"), [(4.9, False), (5.0, True), (1000.0, True), (1001.0, False)]
)
def test_streets_stand_beside_a_way_of_five_to_a_thousand_metres(distance_m: float, is_told: bool) -> None:
    """The middle of ITU-R P.1411 for suburbs, at 433.92 MHz."""
    says = _beside("outdoors", distance_m)

    assert ("suburban streets" in says) is is_told
    if is_told:
        street = street_level_loss_db(
            distance_m=distance_m, frequency_hz=433.92e6, share=0.5, surroundings="suburban"
        )
        assert f"{street:.0f} dB are usual" in says


@pytest.mark.parametrize(("people", "told"), [(0.8 - 1e-12, "8"), (0.79, "7"), (1.0, "10"), (None, "")])
def test_people_are_counted_down_but_not_by_what_a_float_leaves(people: float | None, told: str) -> None:
    """Eight of ten, whatever the last digit; seven and nine tenths are seven."""
    link: Any = SimpleNamespace(
        lines=(),
        level_dbm=-70.0,
        needed_dbm=-100.0,
        needed_because="given",
        margin_db=30.0,
        spread_db=8.0,
        notes=(),
        share=lambda presses: 0.9,
        people=lambda: people,
    )
    says = air._budget(link, 1)

    assert (f" {told} of 10 people find 9 of 10 single presses heard." in says) is (people is not None)
    assert ("people" in says) is (people is not None)


def test_a_fence_that_is_not_computed_keeps_its_limit() -> None:
    """A press in a thousand, 0.1 %; what is missing is asked for."""
    rule = Rule(never="works beyond", of=("open gate",), from_=("wicket",), distance_m=6.0)
    finding = air._fence(rule, "open gate", [], [])

    assert (finding.verdict, finding.limit) == (Verdict.UNKNOWN, pytest.approx(0.1))
