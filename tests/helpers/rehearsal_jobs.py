"""Small jobs for the rehearsal, sound ones and ones with a planted fault, and the models made from them."""

from __future__ import annotations

from typing import Any

from farpress.case.case import Case
from farpress.case.rules import outputs_named
from farpress.core.rehearsal.ready import Network, make_ready
from farpress.domain.job import Rule
from farpress.rehearsal.building import build_site
from farpress.rehearsal.checks import checks_of
from farpress.rehearsal.searched import SearchedCheck
from farpress.rehearsal.site import neighbours
from farpress.rehearsal.things import Leaves
from helpers.logic_case import a_case

UP_DOWN = {"1": {"kind": "follow", "works": "shutter.up"}, "2": {"kind": "follow", "works": "shutter.down"}}
LOCKED = {
    "1": {"kind": "follow", "works": "shutter.up", "interlock": "2", "interlock_pause_s": 0.6},
    "2": {"kind": "follow", "works": "shutter.down", "interlock": "1", "interlock_pause_s": 0.6},
}
SHORT_GATE = {
    "device": "sliding gate",
    "travel_s": 6.0,
    "closes_after_s": 4.0,
    "safeguards": (),
    "safeguards_tested": True,
    "inputs": {
        "start": {"logic": "start", "wants": "pulse", "closes_by_second_press": True},
        "open": {"logic": "open only", "wants": "pulse"},
        "partial": {"logic": "partial open", "wants": "pulse"},
        "close": {"logic": "close", "wants": "pulse"},
        "stop": {"logic": "stop", "wants": "pulse"},
    },
}
MAGNET = {
    "device": "magnetic lock",
    "fails": "unlocked",
    "inputs": {"release": {"logic": "release", "wants": "maintained"}},
}
LOOPED = SHORT_GATE | {"safeguards": ("loop",)}
UNEVEN = SHORT_GATE | {"travel_s": 2.2, "travel_back_s": 2.5, "closes_after_s": 3.5}
PULSE = {"kind": "pulse", "for_s": 0.5}


def _gate(works: str, sheet: dict[str, Any] = SHORT_GATE, **more: Any) -> dict[str, Any]:
    return {
        "outputs": {"1": {**PULSE, "works": works}, **more.pop("others", {})},
        "devices": {"gate": sheet},
        **more,
    }


def _panel(kind: str, *works: str, **more: Any) -> dict[str, Any]:
    outputs = {
        str(i): {"kind": kind, **({"for_s": 1.0} if kind == "pulse" else {}), "works": one}
        for i, one in enumerate(works, 1)
    }
    return {"outputs": outputs, "panel": {"exit_s": 0.0, **more.pop("panel", {})}, **more}


def _latched(
    works: str, *, off: tuple[str, ...] = ("f2",), number: str = "1", **output: Any
) -> dict[str, Any]:
    """One output that f1 switches on and f2 off."""
    functions = {
        "f1": {"output": f"house/R1/{number}", "switches": "on"},
        **{name: {"output": f"house/R1/{number}", "switches": "off"} for name in off},
    }
    return {"outputs": {number: {"kind": "latch", "works": works, **output}}, "functions": functions}


_TWO_LATCHES = {
    "functions": {
        f"f{i}": {"output": f"house/R1/{(i + 1) // 2}", "switches": "on" if i % 2 else "off"}
        for i in range(1, 5)
    }
}
"""f1 switches output 1 on and f2 off; f3 and f4 output 2."""


def _latched_pair(**second: Any) -> dict[str, Any]:
    return {
        "outputs": {
            "1": {
                "kind": "latch",
                "works": "shutter.up",
                **{key: "2" for key in second if key == "interlock"},
                **{key: value for key, value in second.items() if key != "interlock"},
            },
            "2": {"kind": "latch", "works": "shutter.down", **second},
        },
        **_TWO_LATCHES,
    }


_BOTH = {"never": "both on", "of": ("f1", "f2")}
_BACK = {"never": "works after power return", "of": ("f1",)}
_STEP = {"never": "state out of step", "of": ("f1", "f2")}
_UNDER = {"never": "closes while occupied", "of": ("f1",)}
_TOGGLES = {"never": "toggles", "of": ("f1",)}
_ONE = {"never": "unset and open by one press", "of": ("f1", "f2")}
_ALARM = {"never": "alarm despite unsetting", "of": ("f1", "f2")}
_ENTRY = {
    "exit_s": 30.0,
    "entry_s": 20.0,
    "inputs": {
        "set": {"reads": "set pulse"},
        "unset": {"reads": "unset pulse", "response_s": 0.0},
        "flip": {"reads": "toggling pulse", "response_s": 0.0},
        "level": {"reads": "level", "response_s": 0.0},
    },
}
_HELD = {"never": "held on a start input", "of": ("f1",)}


_ON_MAIN: dict[str, Any] = {
    "house": {"supplies": {"main": {"at": (0.0, 0.0)}}},
    "box": {"fed": {"from": "main"}},
}
"""One supply feeds the receiver, and through its contacts what it works."""


def _on_main(**output: Any) -> dict[str, Any]:
    """An output that switches that supply."""
    return {**output, "load_from": "main"}


def _second(within_s: float) -> dict[str, Any]:
    return {"never": "second press within", "of": ("f1",), "for_s": within_s}


def _longer(limit_s: float) -> dict[str, Any]:
    return {"never": "on longer than", "of": ("f1",), "for_s": limit_s}


_GATES = {
    "outputs": {"1": {**PULSE, "works": "outer.open"}, "2": {**PULSE, "works": "inner.open"}},
    "devices": {
        "outer": SHORT_GATE | {"waits_for": ("inner",), "waits_by": "end contacts"},
        "inner": SHORT_GATE | {"waits_for": ("outer",), "waits_by": "drives"},
    },
}
"""Two gates in a row, each waiting for the other's end contact."""

_PEOPLE_IN = {
    **_panel("pulse", "panel.set", "panel.unset"),
    "mounted_panel": {"areas": {"shop": {"set_prevented_by": ()}}},
}
_PUMP = {"device": "pump", "inputs": {"on": {"logic": "on", "wants": "maintained"}}}
_TWO_IN = {"never": "more than one inside", "of": ("yard lock",)}


def _kept_out(*kept: str) -> dict[str, Any]:
    """The two gates as a lock."""
    lock = {"enter_by": ("outer",), "leave_by": ("inner",), "second_kept_out_by": kept}
    return {**_GATES, "house": {"gate_locks": {"yard lock": lock}}}


JOBS: dict[str, tuple[dict[str, Any], dict[str, Any], bool]] = {
    # name → the job, its rule, whether the rule can be broken
    "shutter without interlock": ({"outputs": UP_DOWN}, _BOTH, True),
    "shutter with interlock": ({"outputs": LOCKED}, _BOTH, False),
    "interlock on one side only": ({"outputs": {"1": LOCKED["1"], "2": UP_DOWN["2"]}}, _BOTH, True),
    "two pulses, no interlock": (
        {"outputs": {"1": {"kind": "pulse", "for_s": 5.0}, "2": {"kind": "pulse", "for_s": 5.0}}},
        _BOTH,
        True,
    ),
    "two pulses, interlocked": (
        {
            "outputs": {
                "1": {"kind": "pulse", "for_s": 5.0, "interlock": "2", "interlock_pause_s": 1.0},
                "2": {"kind": "pulse", "for_s": 5.0, "interlock": "1", "interlock_pause_s": 1.0},
            }
        },
        _BOTH,
        False,
    ),
    "two toggles, interlocked": (
        {
            "outputs": {
                "1": {
                    "kind": "toggle",
                    "interlock": "2",
                    "interlock_pause_s": 1.0,
                    "after_power_return": "off",
                },
                "2": {
                    "kind": "toggle",
                    "interlock": "1",
                    "interlock_pause_s": 1.0,
                    "after_power_return": "off",
                },
            }
        },
        _BOTH,
        False,
    ),
    "toggle as before": (
        {"outputs": {"1": {"kind": "toggle", "works": "lamp.on", "after_power_return": "as before"}}},
        _BACK,
        True,
    ),
    "toggle off": (
        {"outputs": {"1": _on_main(kind="toggle", works="lamp.on", after_power_return="off")}, **_ON_MAIN},
        _BACK,
        False,
    ),
    "long pulse resumed": (
        {
            "outputs": {
                "1": {"kind": "pulse", "for_s": 20.0, "works": "valve.on", "after_power_return": "as before"}
            }
        },
        _BACK,
        True,
    ),
    "long pulse lost": (
        {
            "outputs": {
                "1": {"kind": "pulse", "for_s": 20.0, "works": "valve.on", "after_power_return": "off"}
            }
        },
        _BACK,
        False,
    ),
    "follow after power": ({"outputs": {"1": UP_DOWN["1"]}}, _BACK, False),
    "break contact after power": (
        {
            "outputs": {
                "1": {
                    "kind": "pulse",
                    "for_s": 4.0,
                    "works": "valve.on",
                    "contact": "normally closed",
                    "after_power_return": "off",
                }
            }
        },
        _BACK,
        True,
    ),
    "timed closing goes on": (
        _gate("gate.open", SHORT_GATE | {"closes_after_power_return": True}),
        _BACK,
        True,
    ),
    "timed closing waits": (
        _gate("gate.open", SHORT_GATE | {"closes_after_power_return": False}),
        _BACK,
        False,
    ),
    "valve retriggered": (
        {"outputs": {"1": {"kind": "pulse", "for_s": 20.0, "retrigger": True, "works": "valve.on"}}},
        _longer(45.0),
        True,
    ),
    "valve not retriggered": (
        {"outputs": {"1": {"kind": "pulse", "for_s": 20.0, "works": "valve.on"}}},
        _longer(45.0),
        False,
    ),
    "pulse as long as allowed": (
        {"outputs": {"1": {"kind": "pulse", "for_s": 60.0, "works": "siren.on"}}},
        _longer(60.0),
        False,
    ),
    "pulse longer than allowed": (
        {"outputs": {"1": {"kind": "pulse", "for_s": 60.0, "works": "siren.on"}}},
        _longer(59.0),
        True,
    ),
    "toggle for ever": (
        {"outputs": {"1": {"kind": "toggle", "works": "lamp.on", "after_power_return": "off"}}},
        _longer(10.0),
        True,
    ),
    "second press on a start input": (_gate("gate.start"), _second(6.0), True),
    "second press on an open input": (_gate("gate.open"), _second(6.0), False),
    "second press, uneven times": (_gate("gate.open", UNEVEN), _second(6.0), False),
    "stop beside open": (_gate("gate.open", others={"2": {**PULSE, "works": "gate.stop"}}), _UNDER, True),
    "step drive on a car": (_gate("gate.start"), _UNDER, True),
    "step drive with a loop": (_gate("gate.start", LOOPED), _UNDER, False),
    "timed closing on a car": (_gate("gate.open"), _UNDER, True),
    "timed closing with a loop": (_gate("gate.open", LOOPED), _UNDER, False),
    "partial opening with a loop": (
        _gate("gate.open", LOOPED, others={"2": {**PULSE, "works": "gate.partial"}}),
        _UNDER,
        False,
    ),
    "partial opening of a third on a car": (
        _gate(
            "gate.partial",
            SHORT_GATE | {"partial_opening_share": 1 / 3},
            others={"2": {**PULSE, "works": "gate.close"}},
        ),
        _UNDER,
        False,
    ),
    "partial opening of the whole way on a car": (
        _gate(
            "gate.partial",
            SHORT_GATE | {"partial_travel_s": 6.0},
            others={"2": {**PULSE, "works": "gate.close"}},
        ),
        _UNDER,
        True,
    ),
    "close button on a car": (
        _gate("gate.open", others={"2": {**PULSE, "works": "gate.close"}}),
        _UNDER,
        True,
    ),
    "toggling panel": (_panel("pulse", "panel.flip"), _STEP | {"of": ("f1",)}, True),
    "set and unset apart": (_panel("pulse", "panel.set", "panel.unset"), _STEP, False),
    "level input and keypad": (_panel("toggle", "panel.level"), _STEP | {"of": ("f1",)}, True),
    "set and unset with exit time": (
        _panel("pulse", "panel.set", "panel.unset", panel={"exit_s": 30.0}),
        _STEP,
        False,
    ),
    "one button unsets and opens": (
        _panel(
            "pulse",
            "panel.flip",
            "gate.open",
            groups={"pair": {"people": ("Ana",), "buttons": {"1": ("f1", "f2")}}},
            devices={"gate": SHORT_GATE},
        ),
        _ONE,
        True,
    ),
    "one button unsets and releases a magnetic lock": (
        {
            **_panel("pulse", "panel.flip"),
            "outputs": {
                "1": {"kind": "pulse", "for_s": 1.0, "works": "panel.flip"},
                "2": {"kind": "pulse", "for_s": 5.0, "works": "magnet.release", "contact": "normally closed"},
            },
            "groups": {"pair": {"people": ("Ana",), "buttons": {"1": ("f1", "f2")}}},
            "devices": {"magnet": MAGNET},
        },
        _ONE,
        True,
    ),
    "toggling lamp": ({"outputs": {"1": {"kind": "toggle", "works": "lamp.on"}}}, _TOGGLES, True),
    "pulsed lamp": (
        {"outputs": {"1": {"kind": "pulse", "for_s": 240.0, "retrigger": True, "works": "lamp.on"}}},
        _TOGGLES,
        False,
    ),
    "latched shutter without interlock": (_latched_pair(), _BOTH | {"of": ("f1", "f3")}, True),
    "latched shutter with interlock": (
        _latched_pair(interlock="1", interlock_pause_s=0.6, after_power_return="off"),
        _BOTH | {"of": ("f1", "f3")},
        False,
    ),
    "latch as before": (_latched("lamp.on", after_power_return="as before"), _BACK, True),
    "latch off": ({**_latched("lamp.on", **_on_main(after_power_return="off")), **_ON_MAIN}, _BACK, False),
    "latched lamp": (_latched("lamp.on"), _TOGGLES, False),
    "latch for ever": (_latched("valve.on"), _longer(10.0), True),
    "latch on a start input": ({**_latched("gate.start"), "devices": {"gate": SHORT_GATE}}, _HELD, True),
    "latch on a level input": (
        {**_latched("panel.level"), "panel": {"exit_s": 0.0, "keypad": False}},
        _STEP,
        False,
    ),
    "latch on a level input beside a keypad": (
        {**_latched("panel.level"), "panel": {"exit_s": 0.0}},
        _STEP,
        True,
    ),
    "entry time, set and unset apart": (
        _panel("pulse", "panel.set", "panel.unset", panel=_ENTRY),
        _ALARM,
        False,
    ),
    "entry time, toggling panel": (
        _panel("pulse", "panel.flip", panel=_ENTRY),
        _ALARM | {"of": ("f1",)},
        False,
    ),
    "entry time, toggling level beside a keypad": (
        _panel("toggle", "panel.level", panel=_ENTRY),
        _ALARM | {"of": ("f1",)},
        True,
    ),
    "entry time, latch on a level": (
        {
            **_latched("panel.level", after_power_return="as before"),
            "panel": {**_ENTRY, "keypad": False, "detectors": "entry route only"},
        },
        _ALARM,
        False,
    ),
    "entry time, latch on a level beside a keypad": (
        {
            **_latched("panel.level", after_power_return="as before"),
            "panel": {**_ENTRY, "detectors": "entry route only"},
        },
        _ALARM,
        True,
    ),
    "entry time, unset pulse too short": (
        _panel(
            "pulse",
            "panel.set",
            "panel.unset",
            panel={
                **_ENTRY,
                "inputs": {
                    "set": {"reads": "set pulse"},
                    "unset": {"reads": "unset pulse", "response_s": 2.0},
                },
            },
        ),
        _ALARM,
        True,
    ),
    "follow on a start input": (
        {"outputs": {"1": {"kind": "follow", "works": "gate.start"}}, "devices": {"gate": SHORT_GATE}},
        _HELD,
        True,
    ),
    "pulse on a start input": (_gate("gate.start"), _HELD, False),
    "two leaves with end contacts": (_GATES, {"never": "both open", "of": ("outer", "inner")}, False),
    "set on people inside": (_PEOPLE_IN, {"never": "set with somebody inside", "of": ("panel",)}, True),
    "isolator that anybody switches on": (
        {
            "outputs": {"1": {"kind": "toggle", "works": "pump.on"}},
            "devices": {"pump": _PUMP | {"isolator": "not lockable"}},
        },
        {"never": "live while worked on", "of": ("pump",)},
        True,
    ),
    "lock with a loop inside": (_kept_out("loop inside"), _TWO_IN, True),
    "lock with a loop that closes behind each": (
        _kept_out("loop inside", "closes behind each"),
        _TWO_IN,
        False,
    ),
    "hours kept by a time switch": (
        {
            **_gate("gate.open"),
            "functions": {"f1": {"output": "house/R1/1", "hours": "06:00-20:00", "hours_by": "time switch"}},
        },
        {"never": "works outside hours", "of": ("f1",), "hours": "05:00-20:00"},
        False,
    ),
}
"""Jobs of one rule each; half of them carry a planted fault."""


def job_of(name: str, **instead: Any) -> Case:
    """The case of a named job, its rule in place; `instead` of what the job says."""
    arguments, rule, _ = JOBS[name]
    filled = {**arguments, **instead}
    case = a_case(filled.pop("outputs"), **filled)
    return Case(
        case.job.model_copy(update={"rules": (Rule.model_construct(**{**_blank(), **rule}),)}), case.equipment
    )


def _blank() -> dict[str, Any]:
    return {
        "of": (),
        "by": (),
        "from_": (),
        "for_s": None,
        "distance_m": None,
        "says": "",
        "signed": None,
        "hours": None,
    }


def check_of(case: Case) -> SearchedCheck:
    """The first check of the job's only rule."""
    return next(checks_of(case, case.job.rules[0], outputs_named(case, case.job.rules[0])))


def network_of(
    case: Case,
    *,
    exact: bool = False,
    slicing: bool = True,
    leaves: Leaves = "positions",
    moments_ms: tuple[int, ...] = (),
    apart: bool = False,
) -> Network:
    """The model that is searched for that check."""
    check = check_of(case)
    outputs = neighbours(case, check.seeds)
    site = build_site(case, outputs, lengths=check.lengths, exact=exact, leaves=leaves, apart=apart)
    watched = check.watched(site)
    assert not isinstance(watched, str), watched
    return make_ready(watched, slicing=slicing, closed=True, moments_ms=moments_ms)
