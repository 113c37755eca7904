"""Random circuits, solved by us and by ngspice, node by node.

ngspice-39 (Debian package 39.3+ds-1), https://ngspice.sourceforge.io, run by the tests
themselves on netlists made from the very objects that we solve. 256 circuits: loops in their
states, shared returns, converters, diodes, transformers with coils, coils with suppression and
rectifiers. Linear ones agree to 1e-4 of a circuit's voltage (in truth 1e-9), bent ones to 1e-3.
The time steps of its transients are 1/5000 of what is measured.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import pytest

from farpress.core.wiring.coils import release_time_s, snubber_peak
from farpress.core.wiring.elements import CurrentLoad, Element, Inductor, PowerLoad, Resistor, VoltageSource
from farpress.core.wiring.network import solve
from farpress.core.wiring.phasors import solve_ac
from farpress.core.wiring.rectifier import Rectified, rectified, rectifier_loss_v
from helpers import random_circuits
from helpers.ngspice import ac_volts, operating_points, run_ngspice

LINEAR, BENT = 1e-4, 1e-3


def compare(circuits: list[list[Element]], within: float) -> int:
    """Every node of every circuit; gives the number of voltages compared."""
    count = 0
    for circuit, theirs in zip(circuits, operating_points(circuits), strict=True):
        ours = solve(circuit).volts
        scale = max(abs(volts) for volts in theirs.values())
        assert scale > 1
        for node, volts in theirs.items():
            assert ours[node] == pytest.approx(volts, abs=within * scale), (node, circuit)
            count += 1
    return count


def test_sixty_supplies_with_shared_returns_have_the_same_volts_everywhere() -> None:
    """Branches come back over one another's cores, up to nine deep."""
    dice = random.Random(1)

    assert compare([random_circuits.shared_returns(dice) for _ in range(60)], LINEAR) > 500


def test_sixty_loops_in_all_states_show_the_panel_the_same_volts() -> None:
    """Normal, alarm, cut, short and masked, with leaks and bad joints."""
    dice = random.Random(2)

    assert compare([random_circuits.loop(dice) for _ in range(60)], LINEAR) > 400


def test_forty_trees_of_converters_settle_at_the_same_volts() -> None:
    """Loads of constant power: ngspice has them as sources that depend on their voltage."""
    dice = random.Random(3)

    assert compare([random_circuits.power_tree(dice) for _ in range(40)], BENT) > 200


def test_thirty_feeds_over_diodes_settle_at_the_same_volts() -> None:
    """Two supplies joined by diodes, reversed suppressors, a converter behind them."""
    dice = random.Random(4)

    assert compare([random_circuits.diode_feed(dice) for _ in range(30)], BENT) > 200


@pytest.mark.parametrize("family", [random_circuits.diode_or, random_circuits.bridge_feed])
def test_converters_that_hang_on_diodes_alone_settle_at_the_same_volts(
    family: Callable[[random.Random], list[Element]],
) -> None:
    """Thirty of a kind: nothing but the converter draws current through its diode. To ngspice each converter
    is the resistor that it amounts to, so that both come to the branch of a supply that is switched on.
    """
    dice = random.Random(8)
    circuits = [family(dice) for _ in range(30)]
    ours = [solve(circuit).volts for circuit in circuits]
    same = [
        [
            Resistor(part.name, part.a, part.b, (volts[part.a] - volts[part.b]) ** 2 / part.watts)
            if isinstance(part, PowerLoad)
            else part
            for part in circuit
        ]
        for circuit, volts in zip(circuits, ours)
    ]
    for volts, theirs in zip(ours, operating_points(same), strict=True):
        scale = max(abs(value) for value in theirs.values())
        for node, value in theirs.items():
            assert volts[node] == pytest.approx(value, abs=LINEAR * scale), node


@pytest.mark.parametrize("frequency_hz", [50.0, 60.0])
def test_twenty_transformers_with_coils_have_the_same_phasors(frequency_hz: float) -> None:
    """Real and imaginary part of each node."""
    dice = random.Random(int(frequency_hz))
    circuits = [random_circuits.ac_tree(dice) for _ in range(20)]

    for circuit, theirs in zip(circuits, ac_volts(circuits, frequency_hz=frequency_hz), strict=True):
        ours = solve_ac(circuit, frequency_hz=frequency_hz).volts
        scale = max(abs(volts) for volts in theirs.values())
        for node, volts in theirs.items():
            assert abs(ours[node] - volts) <= LINEAR * scale


def test_converters_and_regulated_loads_on_a_transformer_fit_the_same_circuit() -> None:
    """Each is put into ngspice as the resistance and inductance that it amounts to: the volts must come
    back.
    """
    dice = random.Random(6)
    circuits, equals = [], []
    for _ in range(20):
        circuit = random_circuits.ac_tree(dice)
        loads: list[Element] = [
            PowerLoad("converter", "p0", "0", dice.uniform(0.2, 2), dice.uniform(0.5, 1)),
            CurrentLoad("regulated", "p1", "0", dice.uniform(0.01, 0.1), dice.uniform(0.5, 1)),
        ]
        solved = solve_ac([*circuit, *loads], frequency_hz=50.0)
        same: list[Element] = []
        for load in loads:
            assert isinstance(load, PowerLoad | CurrentLoad)
            volts, amperes = solved.volts[load.a], solved.amperes[load.name]
            if isinstance(load, PowerLoad):
                assert (volts * amperes.conjugate()).real == pytest.approx(load.watts)
            else:
                assert abs(amperes) == pytest.approx(load.amperes)
            impedance = volts / amperes
            assert math.atan2(impedance.imag, impedance.real) == pytest.approx(
                math.acos(load.power_factor)
            )  # the current lags
            same.append(Inductor(load.name, load.a, "0", impedance.imag / (2 * math.pi * 50), impedance.real))
        circuits.append(solved.volts)
        equals.append([*circuit, *same])

    for ours, theirs in zip(circuits, ac_volts(equals, frequency_hz=50.0), strict=True):
        for node, volts in theirs.items():
            assert abs(ours[node] - volts) <= LINEAR * abs(ours["s"])


def test_sixteen_coils_let_go_after_the_same_time() -> None:
    """Coils on diodes, zeners and resistors, ideal as the closed form has them: a source and a resistance."""
    dice = random.Random(7)
    lines, control, ours = [".options reltol=1e-6 abstol=1e-12 method=trap"], ["tran 1u 60m 0 2u uic"], []
    for number in range(16):
        ohm, henry, share = dice.uniform(60, 800), dice.uniform(0.05, 1.5), dice.uniform(0.1, 0.4)
        start, clamp, extra = (
            dice.uniform(0.02, 0.2),
            dice.choice([0.7, 12.7, 24.7]),
            dice.choice([1e-3, dice.uniform(50, 500)]),
        )
        lines += [
            f"L{number} a{number} b{number} {henry} ic={start}",
            f"R{number} b{number} 0 {ohm}",
            f"V{number} a{number} d{number} dc {-clamp}",
            f"S{number} d{number} 0 0 0 sm",
            f"Rd{number} d{number} 0 {extra}",
        ]
        control.append(f"meas tran t{number} when i(L{number})={start * share} fall=1")
        ours.append(
            release_time_s(
                coil_ohm=ohm,
                coil_h=henry,
                current_a=start,
                release_share=share,
                clamp_v=clamp,
                clamp_ohm=extra,
            )
        )
    found = run_ngspice([line for line in lines if not line.startswith("S")], control)

    for number, ours_s in enumerate(ours):
        assert ours_s == pytest.approx(found[f"t{number}"], rel=BENT)


def test_ten_rc_elements_hold_an_opening_contact_to_the_same_peak() -> None:
    """Ideal contact, ringing or not."""
    dice = random.Random(8)
    lines, control, ours = [".options reltol=1e-6"], ["tran 1u 12m 0 1u uic"], []
    for number in range(10):
        volts, ohm, henry = dice.choice([12.0, 24.0]), dice.uniform(40, 300), dice.uniform(0.05, 0.5)
        farad, series = 10 ** dice.uniform(-6.6, -5.3), dice.uniform(10, 120)
        lines += [
            f"V{number} v{number} 0 {volts}",
            f"L{number} v{number} a{number} {henry} ic={volts / ohm}",
            f"R{number} a{number} c{number} {ohm}",
            f"Rs{number} c{number} s{number} {series}",
            f"C{number} s{number} 0 {farad} ic=0",
        ]
        control.append(f"meas tran p{number} max v(c{number})")
        ours.append(
            snubber_peak(
                voltage_v=volts, coil_ohm=ohm, coil_h=henry, capacitance_f=farad, resistance_ohm=series
            ).volts
        )
    found = run_ngspice(lines, control)

    for number, peak_v in enumerate(ours):
        assert peak_v == pytest.approx(found[f"p{number}"], rel=BENT)


def rectifiers() -> list[tuple[dict[str, float], bool]]:
    """Eight bridges and half waves."""
    dice = random.Random(9)
    made = []
    for number in range(8):
        load = dice.uniform(40, 400)
        made.append(
            (
                {
                    "rms_v": dice.choice([12.0, 24.0]),
                    "frequency_hz": dice.choice([50.0, 60.0]),
                    "source_ohm": dice.uniform(0.4, 5),
                    "capacitance_f": dice.uniform(0.02, 0.08) / load,
                    "load_ohm": load,
                },
                number % 4 != 3,
            )
        )
    return made


def test_eight_rectifiers_make_the_same_volts_and_ask_for_the_same_current() -> None:
    """Mean, highest, lowest and the transformer's effective current over the last ten periods of half a
    second.
    """
    lines, control = (
        [".model dm d(is=1e-9 n=1.5 rs=0.05 cjo=20p)", ".options reltol=1e-4"],
        ["tran 10u 500m 0 10u"],
    )
    ours: list[Rectified] = []
    for number, (values, bridge) in enumerate(rectifiers()):
        ours.append(rectified(**values, bridge=bridge))
        span = f"from={0.5 - 10 / values['frequency_hz']} to=500m"
        back = f"b{number}" if bridge else "0"
        lines += [
            f"V{number} a{number} {back} sin(0 {values['rms_v'] * math.sqrt(2)} {values['frequency_hz']})",
            f"Rs{number} a{number} x{number} {values['source_ohm']}",
            f"D1{number} x{number} p{number} dm",
        ]
        lines += (
            [
                f"D2{number} b{number} p{number} dm",
                f"D3{number} 0 x{number} dm",
                f"D4{number} 0 b{number} dm",
                f"Rg{number} b{number} 0 1e7",
            ]
            if bridge
            else []
        )
        lines += [
            f"C{number} p{number} 0 {values['capacitance_f']}",
            f"RL{number} p{number} 0 {values['load_ohm']}",
        ]
        control += [
            f"meas tran {what}{number} {how} {span}"
            for what, how in (
                ("mean", f"avg v(p{number})"),
                ("high", f"max v(p{number})"),
                ("low", f"min v(p{number})"),
                ("rms", f"rms i(V{number})"),
            )
        ]
    found = run_ngspice(lines, control)

    for number, one in enumerate(ours):
        assert one.mean_v == pytest.approx(found[f"mean{number}"], rel=BENT)
        assert one.highest_v == pytest.approx(found[f"high{number}"], rel=BENT)
        assert one.lowest_v == pytest.approx(found[f"low{number}"], rel=BENT)
        assert one.rms_a == pytest.approx(
            found[f"rms{number}"], rel=2e-3
        )  # of pulses that its time steps cut into 200 pieces


def test_a_feeder_of_twelve_hundred_nodes_has_the_same_volts() -> None:
    """The sparse way of solving, against ngspice."""
    circuit = random_circuits.feeder(600)

    assert compare([circuit], LINEAR) > 1200


def test_the_two_ways_of_solving_give_the_same_volts() -> None:
    """Dense below 250 unknowns, sparse above: many small circuits side by side are one large one."""
    dice = random.Random(10)
    small = [random_circuits.power_tree(dice) for _ in range(40)]
    together: list[Element] = []
    for number, circuit in enumerate(small):
        for part in circuit:
            moved = {
                key: f"{number}/{value}" if isinstance(value, str) and value != "0" else value
                for key, value in vars(part).items()
            }
            together.append(type(part)(**moved))
    large = solve(together).volts

    for number, circuit in enumerate(small):
        for node, volts in solve(circuit).volts.items():
            assert large["0" if node == "0" else f"{number}/{node}"] == pytest.approx(volts, abs=1e-8)


def test_a_resistor_and_a_source_by_hand() -> None:
    """So that the comparison itself is known to compare: 12 V, 1 ohm and 5 ohm make 10 V."""
    circuit: list[Element] = [VoltageSource("v", "a", "0", 12.0, 1.0), Resistor("r", "a", "0", 5.0)]

    assert operating_points([circuit])[0]["a"] == pytest.approx(10.0)


@pytest.mark.parametrize(("ohm", "load_a"), [(12.9, 0.1), (5.0, 0.3)])
def test_what_a_cable_takes_from_a_rectifier_is_the_same_in_a_transient(ohm: float, load_a: float) -> None:
    """21.6 V, bridge, 4700 uF for each ampere, a load that draws its current whatever the volts: the lowest
    volts at the capacitor with and without the cable. Ours is a resistance with that mean, hence 3 %.
    """
    lines, control = [".model dm d(is=1e-9 n=1.5 rs=0.05)", ".options reltol=1e-5"], []
    for name, before in (("x", 0.1), ("y", 0.1 + ohm)):
        lines += [
            f"v{name} s{name} 0 sin(0 {21.6 * math.sqrt(2)} 50)",
            f"r{name} s{name} a{name} {before}",
            f"d1{name} a{name} p{name} dm",
            f"d2{name} 0 p{name} dm",
            f"d3{name} m{name} a{name} dm",
            f"d4{name} m{name} 0 dm",
            f"c{name} p{name} m{name} {4700e-6 * load_a}",
            f"i{name} p{name} m{name} {load_a}",
            f"rm{name} m{name} 0 1e6",
            f"rp{name} p{name} m{name} 1e6",
        ]
        control += [f"let {name}{name} = v(p{name})-v(m{name})", f"meas tran low{name} min {name}{name}"]
    found = run_ngspice(lines, ["tran 20u 0.5 0.4 20u", *control])

    assert rectifier_loss_v(rms_v=21.6, frequency_hz=50.0, ohm=ohm, load_a=load_a) == pytest.approx(
        (found["lowx"] - found["lowy"]) / math.sqrt(2), rel=0.03
    )
