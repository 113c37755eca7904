"""A small invented house for tests of the radio side, built without a file.

Larkfen House: its street, house and receiver are invented; the builds carry planning values
of our choice. Everything may be overridden by key.
"""

from __future__ import annotations

from typing import Any

from farpress.case.case import Case
from farpress.domain.equipment import Build, Equipment, Layer, Material
from farpress.domain.job import Job
from farpress.domain.parts import AerialSheet, CoaxSheet, FobSheet, ReceiverSheet
from farpress.sources import Citation, Mark
from helpers.invented_parts import INVENTED, part_of

TABLE = Citation("Rec. ITU-R P.2040", "3", "Table 3", Mark.COPY)

MATERIALS = {
    "concrete": Material("concrete", 5.24, 0.0, 0.0462, 0.7822, 1.0, 100.0, TABLE),
    "brick": Material("brick", 3.91, 0.0, 0.0238, 0.16, 1.0, 40.0, TABLE),
    "glass": Material("glass", 6.31, 0.0, 0.0036, 1.3394, 0.1, 100.0, TABLE),
    "medium dry ground": Material("medium dry ground", 15.0, -0.1, 0.035, 1.63, 1.0, 10.0, TABLE),
    "sea water": Material("sea water", 74.0, 0.0, 4.8, 0.0, 0.1, 1.0, INVENTED),
}
BUILDS = {
    "brick 365 mm": Build(
        "brick 365 mm", "insulated brick", (Layer("brick", 0.365),), 9.0, 3.0, sources=(INVENTED,)
    ),
    "brick 115 mm": Build(
        "brick 115 mm", "half brick", (Layer("brick", 0.115),), 5.0, 2.0, sources=(INVENTED,)
    ),
    "concrete slab": Build(
        "concrete slab", "reinforced slab", (Layer("concrete", 0.18),), 12.0, 4.0, sources=(INVENTED,)
    ),
    "steel sheet": Build("steel sheet", "closed steel", (), 25.0, 6.0, is_steel=True, sources=(INVENTED,)),
    "double glazing": Build(
        "double glazing",
        "clear panes",
        (Layer("glass", 0.004), Layer("air", 0.016), Layer("glass", 0.004)),
        1.0,
        1.0,
        sources=(INVENTED,),
    ),
}


def equipment(
    job: Job, *, fob: dict[str, Any] | None = None, receiver: dict[str, Any] | None = None
) -> Equipment:
    """Invented parts for every receiver, aerial and group of a job."""
    fob_sheet = FobSheet(
        **(
            {
                "erp_dbm": -14.0,
                "erp_sd_db": 3.0,
                "pocket_loss_db": 8.0,
                "car_loss_db": 6.0,
                "telegram_s": 0.06,
                "repeat_s": 0.1,
                "cut_off_s": 30.0,
                "buttons": 4,
                "code": "rolling",
                "frequency_hz": 433.92e6,
            }
            | (fob or {})
        )
    )
    box = ReceiverSheet(
        **(
            {
                "relays": 4,
                "aerial": "inside",
                "gain_dbi": -4.0,
                "sensitivity_dbm": -103.0,
                "noise_figure_db": 8.0,
                "bandwidth_hz": 50e3,
            }
            | (receiver or {})
        )
    )
    names = [
        (premises, name, one)
        for premises, house in job.premises.items()
        for name, one in house.receivers.items()
    ]
    whip, thin, thick = (
        AerialSheet(gain_dbi=-1.0, pattern="rod"),
        CoaxSheet(loss_db_per_100m=35.5, connectors_db=0.5),
        CoaxSheet(loss_db_per_100m=16.3, connectors_db=0.5),
    )
    coaxes = {"rg58": part_of(thin), "rg213": part_of(thick)}
    return Equipment(
        receivers={f"{premises}/{name}": part_of(box) for premises, name, _ in names},
        aerials={
            f"{premises}/{name}": part_of(whip) for premises, name, one in names if one.antenna is not None
        },
        coaxes={
            f"{premises}/{name}": coaxes[one.antenna.coax.part]
            for premises, name, one in names
            if one.antenna is not None and one.antenna.coax is not None
        },
        fobs={name: part_of(fob_sheet) for name in job.groups},
        aerial_parts={"whip": part_of(whip)},
        coax_parts=coaxes,
        builds=BUILDS,
        materials=MATERIALS,
    )


def larkfen(
    *,
    premises: dict[str, Any] | None = None,
    box: dict[str, Any] | None = None,
    fob: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
    **job: Any,
) -> Case:
    """The house with one receiver in the utility room; keys override job, premises, receiver or data
    sheets.
    """
    house: dict[str, Any] = {
        "surroundings": "residential",
        "slope": [[14.0, 0.0, 0.0], [14.0, 62.0, 2.0]],
        "levels": {
            "ground": {"floor": "0.8 m", "clear": "2.6 m", "slab": "concrete slab"},
            "upper": {"floor": "3.6 m", "clear": "2.5 m", "slab": "concrete slab"},
        },
        "walls": [
            {
                "level": level,
                "build": "brick 365 mm",
                "along": [[8, 22], [19.5, 22], [19.5, 31.4], [8, 31.4], [8, 22]],
            }
            for level in ("ground", "upper")
        ],
        "places": {
            "street": {"at": [14, -25], "pressed": "in car", "seat": "front"},
            "wicket": {"at": [17.5, -1]},
            "kitchen": {"at": [10, 27], "level": "ground"},
            "bathroom": {"at": [9.5, 30.0, 5.0], "level": "upper"},
        },
        "receivers": {
            "R1": (
                {
                    "at": [17.5, 23.0, 2.6],
                    "level": "ground",
                    "antenna_places": [
                        {"part": "whip", "at": [10.5, 21.8, 3.4], "coax": {"part": "rg58", "length": "9 m"}}
                    ],
                    "outputs": {"1": {"kind": "pulse", "for": "0.5 s", "works": "gate.open"}},
                }
                | (box or {})
            )
        },
        "devices": {"gate": {"at": [11.5, 2.2, 0.6]}},
    }
    raw: dict[str, Any] = {
        "farpress": 1,
        "job": "Larkfen House",
        "region": "europe",
        "premises": {"larkfen": house | (premises or {})},
        "functions": {"open gate": {"output": "larkfen/R1/1", "kind": "open"}},
        "groups": {
            "family": {"fob": "fob-4", "buttons": {"1": "open gate"}, "presses_per_day": "10 per day"}
        },
        "promises": [
            {"to": "family", "function": "open gate", "from": place}
            for place in ("street", "wicket", "kitchen", "bathroom")
        ],
    }
    made = Job.model_validate(raw | job)
    return Case(made, equipment(made, fob=fob, receiver=receiver))
