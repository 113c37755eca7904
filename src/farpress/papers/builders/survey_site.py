"""What the surveyor found on site: places, walls, devices, supplies, readings, noise."""

from __future__ import annotations

from itertools import pairwise

from farpress.domain.acts import ReadingTaken
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.words import input_words, level_of, place_words, quantity, sheet_cell
from farpress.papers.typesetting.paper import Block, Cell, Column, PaperTable

__all__ = [
    "builds_table",
    "devices_tables",
    "noise_table",
    "places_table",
    "readings_table",
    "supplies_table",
]


def places_table(basis: Basis) -> PaperTable:
    """Places that people press from, and what is known about them."""
    rows = tuple(
        (
            premises,
            name,
            Cell(
                place_words(place.at),
                "",
                basis.given_at("premises", premises, "places", name),
                is_for_row=True,
            ),
            level_of(place.level),
            place.pressed,
            ", ".join(place.sees) or "nothing named",
            place.says,
            None,
        )
        for premises, house in basis.case.job.premises.items()
        for name, place in house.places.items()
    )
    columns = (
        Column("premises", 0.7),
        Column("place", 0.9),
        Column("point", 0.9),
        Column("level", 0.7),
        Column("fob", 0.55),
        Column("sees the whole of", 1.1),
        Column("remark", 1.0),
        Column("photo", 0.4),
    )
    return PaperTable("places", columns, rows, empty="No place is drawn yet.")


def builds_table(basis: Basis) -> PaperTable:
    """What walls and slabs are made of, and how much there is of each."""
    equipment = basis.case.equipment
    found: dict[tuple[str, str], list[float]] = {}
    for premises, house in basis.case.job.premises.items():
        for wall in house.walls:
            points = [tuple(point) for point in wall.along]
            length = sum(((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5 for a, b in pairwise(points))
            found.setdefault((premises, wall.build), []).append(length)
            for opening in wall.openings:
                if opening.build:
                    found.setdefault((premises, opening.build), []).append(opening.width_m)
        for level in house.levels.values():
            if level.slab:
                found.setdefault((premises, level.slab), []).append(0.0)
    rows = []
    for (premises, name), lengths in found.items():
        build = equipment.builds.get(name)
        total = sum(lengths)
        loss = f"{build.loss_db:g} dB ± {build.loss_sd_db:g} dB" if build is not None else None
        rows.append(
            (
                premises,
                name,
                build.says if build is not None else "",
                f"{len(lengths)}",
                f"{total:.0f} m" if total else "slab",
                Cell(loss, "", build.sources if build is not None else ()),
            )
        )
    columns = (
        Column("premises", 0.8),
        Column("build"),
        Column("what it is", 1.6),
        Column("pieces", 0.45, True, basis.given),
        Column("length", 0.5, True, basis.given),
        Column("loss of one crossing at 433 MHz", 1.1),
    )
    return PaperTable(
        "builds",
        columns,
        tuple(rows),
        empty="No wall is drawn: reach is then only the way through the open air.",
    )


def devices_tables(basis: Basis) -> tuple[Block, ...]:
    """Devices and panels with their inputs and outputs."""
    equipment = basis.case.equipment
    devices = tuple(
        (
            path.split("/")[0],
            path.split("/")[1],
            part.says or part.sheet.device or None,
            part.sheet.supply or None,
            sheet_cell(part, "voltage_v", "voltage") or "",
            sheet_cell(part, "current_a", "current") or "",
            "; ".join(
                f"{name}: {input_words(terminal) or 'not described'}"
                for name, terminal in (part.sheet.inputs or {}).items()
            ),
            ", ".join(part.sheet.safeguards or ()) or "none recorded",
            None,
        )
        for path, part in equipment.devices.items()
    )
    panels = tuple(
        (
            path.split("/")[0],
            path.split("/")[1],
            part.says or None,
            Cell(str(part.sheet.grade), "", part.cite("grade")) if part.sheet.grade else None,
            "; ".join(
                f"{name}: {input_words(terminal) or 'not described'}"
                for name, terminal in (part.sheet.inputs or {}).items()
            ),
            "; ".join(
                f"{name}: {terminal.says or 'not described'}"
                for name, terminal in (part.sheet.outputs or {}).items()
            ),
        )
        for path, part in equipment.panels.items()
    )
    return (
        PaperTable(
            "devices",
            (
                Column("premises", 0.7),
                Column("name", 0.8),
                Column("what it is", 1.3),
                Column("supply", 0.6),
                Column("volts", 0.5),
                Column("amperes", 0.5),
                Column("inputs", 1.5),
                Column("safeguards", 0.8),
                Column("nameplate", 0.6),
            ),
            devices,
            empty="No device is described yet.",
        ),
        PaperTable(
            "panels",
            (
                Column("premises", 0.7),
                Column("panel", 0.6),
                Column("what it is", 1.2),
                Column("grade", 0.4),
                Column("inputs", 1.5),
                Column("outputs"),
            ),
            panels,
            title="Alarm panels",
            empty="No alarm panel is coupled.",
        ),
    )


def supplies_table(basis: Basis) -> PaperTable:
    """Supplies and their batteries."""
    rows = []
    for path, part in basis.case.equipment.supplies.items():
        premises, name = path.split("/")
        supply = basis.case.job.premises[premises].supplies[name]
        battery = basis.case.equipment.batteries.get(path)
        rating = sheet_cell(part, "rated_a", "current") or sheet_cell(part, "rated_va", "apparent power")
        rows.append(
            (
                premises,
                name,
                part.says or part.name,
                sheet_cell(part, "voltage_v", "voltage"),
                rating,
                (
                    (sheet_cell(battery, "capacity_ah", "charge") or "battery, size not known")
                    if battery is not None
                    else "none"
                ),
                quantity(supply.standby_s, "time") or "not demanded",
                place_words(supply.at),
            )
        )
    columns = (
        Column("premises", 0.8),
        Column("supply", 0.7),
        Column("what it is", 1.3),
        Column("volts", 0.6),
        Column("rated", 0.6),
        Column("battery", 0.6),
        Column("standby", 0.6, sources=basis.given),
        Column("where", sources=basis.given),
    )
    return PaperTable("supplies", columns, tuple(rows), empty="No supply is described yet.")


def readings_table(basis: Basis) -> PaperTable:
    """Levels and presses measured on site."""
    rows: list[tuple[Cell | str | None, ...]] = []
    for reading in basis.case.without_evidence().job.readings:
        value = None
        if reading.level_dbm is not None:
            value = f"{reading.level_dbm:g} dBm"
        elif reading.heard is not None:
            value = f"{reading.heard} of {reading.of} presses"
        rows.append(
            (
                reading.receiver,
                reading.place,
                Cell(value, "", basis.read),
                f"{reading.pad_db:g} dB" if reading.pad_db is not None else "none",
                reading.held or None,
                reading.housing or "not said",
                place_words(reading.aerial_at) or "as drawn",
                reading.says,
            )
        )
    for event, taken in basis.happened(ReadingTaken):
        rows.append(
            (
                taken.receiver,
                taken.where,
                Cell(f"{taken.value:g} {taken.unit}", "", basis.recorded),
                "none" if taken.pad_db is None else f"{taken.pad_db:g} dB",
                taken.held,
                "",
                "",
                f"{event.moment[:10]} {taken.instrument}",
            )
        )
    columns = (
        Column("receiver", 0.9),
        Column("place", 0.9),
        Column("read", 0.9),
        Column("pad", 0.4),
        Column("fob", 0.6),
        Column("housing", 0.6),
        Column("aerial", 0.7, sources=basis.given),
        Column("remark, time, instrument", 1.4),
    )
    return PaperTable(
        "readings",
        columns,
        tuple(rows),
        empty="No reading was taken. A handful of levels narrows every prediction.",
        blank_rows=0 if rows else 5,
    )


def noise_table(basis: Basis) -> PaperTable:
    """Noise at each premises and each receiver."""
    rows: list[tuple[Cell | str | None, ...]] = []
    for premises, house in basis.case.job.premises.items():
        key = ("premises", premises)
        rows.append(
            (
                premises,
                (
                    Cell(
                        quantity(house.noise_floor_dbm, "level"),
                        "",
                        (*basis.read, *basis.given_at(*key, "noise_floor_dbm")),
                    )
                    if house.noise_floor_dbm is not None
                    else None
                ),
                (
                    Cell(
                        f"{house.noise_bursts_share:.1%} of the time",
                        "",
                        (*basis.read, *basis.given_at(*key, "noise_bursts_share")),
                    )
                    if house.noise_bursts_share is not None
                    else None
                ),
            )
        )
        rows += [
            (
                f"{premises}/{name}",
                Cell(
                    quantity(box.noise_floor_dbm, "level"),
                    "",
                    (*basis.read, *basis.given_at(*key, "receivers", name, "noise_floor_dbm")),
                ),
                "",
            )
            for name, box in house.receivers.items()
            if box.noise_floor_dbm is not None
        ]
    return PaperTable(
        "noise",
        (Column("where"), Column("noise floor"), Column("foreign signals")),
        tuple(rows),
        title="Noise",
    )
