"""The enquiry and survey record: what was asked for, what was found on site, what is still open."""

from __future__ import annotations

from itertools import pairwise

from farpress.case.driven import holders
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Finding, Link, Verdict
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.words import input_words, level_of, place_words, quantity, sheet_cell
from farpress.papers.typesetting.paper import (
    Block,
    Cautions,
    Cell,
    Column,
    Fields,
    Findings,
    Paper,
    PaperField,
    PaperTable,
    Section,
)

__all__ = ["paper"]


def paper(basis: Basis) -> Paper:
    """The survey record."""
    return Paper(
        "survey-record",
        "Enquiry and survey record",
        "For the firm: what the customer asked for in their words, what stands on site, what was measured,"
        " and what nobody has said yet.",
        (
            Section("Customer and survey", (_customer(basis),)),
            Section("What is wanted", (_wishes(basis),)),
            Section("What must never happen", (_never(basis),)),
            Section("Where somebody presses", (_places(basis),)),
            Section("Walls, doors, glass and slabs", (_builds(basis),)),
            Section("Existing drives, devices and panels", (*_devices(basis),)),
            Section("Supply points", (_supplies(basis),)),
            Section("Radio readings", (_readings(basis), _noise(basis))),
            Section("Hazards seen", _hazards(basis)),
            Section("Restrictions", (_restrictions(basis),)),
            Section("Open questions", (Findings(_open(basis), "None: every judgement could be made."),)),
            Section(
                "Photographs",
                (
                    PaperTable(
                        "photographs",
                        (Column("no.", 0.3), Column("what it shows"), Column("taken by, when", 0.8)),
                        (),
                        blank_rows=6,
                    ),
                ),
            ),
        ),
        missing=tuple(
            f"{premises}: address not given"
            for premises, house in basis.case.job.premises.items()
            if not house.address
        ),
    )


def _customer(basis: Basis) -> Fields:
    job, details = basis.case.job, basis.case.job.details
    numbers = [holders(group) for group in job.groups.values()]
    known = sum(number for number in numbers if number is not None)
    surroundings = sorted(
        {f"{name}: {house.surroundings}" for name, house in job.premises.items() if house.surroundings}
    )
    return Fields(
        (
            PaperField("Customer", details.customer, "who orders, and who may decide"),
            PaperField(
                "Premises",
                "; ".join(
                    f"{name}: {house.address}" if house.address else name
                    for name, house in job.premises.items()
                ),
            ),
            PaperField(
                "Contact on site",
                details.responsible_person,
                "name and telephone of the person to speak to on site",
            ),
            PaperField("Survey by", details.prepared_by, "who looked at the premises"),
            PaperField("Date of the survey", details.date, "the day somebody was there"),
            PaperField(
                "Kind of premises",
                "; ".join(surroundings) or None,
                "city, business, residential or rural: decides the radio noise",
            ),
            PaperField(
                "Holders of fobs",
                (
                    f"{known}{' known, some groups without a number' if None in numbers else ''}"
                    if numbers
                    else None
                ),
                "how many people shall hold a fob",
                basis.given,
            ),
            PaperField(
                "Grade of the alarm system",
                str(job.grade) if job.grade is not None else None,
                "the grade, or that there is none",
                basis.given,
            ),
        )
    )


def _wishes(basis: Basis) -> PaperTable:
    rows = tuple(
        (
            promise.to,
            promise.function,
            promise.from_,
            Cell(f"{promise.within_presses:g}", "", basis.given_at("promises", number), is_for_row=True),
            f"{promise.at_least_share:.0%}",
            promise.importance,
            None,
            promise.says,
        )
        for number, promise in enumerate(basis.case.job.promises)
    )
    columns = (
        Column("for whom"),
        Column("function"),
        Column("from where"),
        Column("presses", 0.55, True),
        Column("how surely", 0.6, True),
        Column("weight", 0.5),
        Column("when", 0.6),
        Column("in the customer's words", 1.5),
    )
    return PaperTable("wishes", columns, rows, empty="No wish is written down yet.")


def _never(basis: Basis) -> PaperTable:
    rows = tuple(
        (
            f"{number}",
            Cell(rule.says or rule.never, "", basis.given_at("rules", number - 1)),
            ", ".join((*rule.of, *(f"by {device}" for device in rule.by))),
            rule.signed or "",
        )
        for number, rule in enumerate(basis.case.job.rules, 1)
    )
    return PaperTable(
        "never",
        (Column("no.", 0.25), Column("must never"), Column("of", 1.4), Column("accepted otherwise by", 0.6)),
        rows,
        empty="No rule is written down: ask what must never happen.",
    )


def _places(basis: Basis) -> PaperTable:
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


def _builds(basis: Basis) -> PaperTable:
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


def _devices(basis: Basis) -> tuple[Block, ...]:
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


def _supplies(basis: Basis) -> PaperTable:
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


def _readings(basis: Basis) -> PaperTable:
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
    for event in basis.happened("reading taken"):
        body = event.body
        rows.append(
            (
                str(body.get("receiver", "")),
                str(body.get("where", "")),
                Cell(f"{body.get('value')} {body.get('unit')}", "", basis.recorded),
                str(body.get("pad_db", "none")),
                str(body.get("held", "")) or None,
                "",
                "",
                f"{event.at[:10]} {body.get('instrument', '')}",
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


def _noise(basis: Basis) -> PaperTable:
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


def _hazards(basis: Basis) -> tuple[Block, ...]:
    found = tuple(
        finding
        for finding in basis.assessment.findings
        if finding.link is Link.SAFETY and finding.verdict is not Verdict.HOLDS
    )
    return (
        Cautions((CAUTIONS["safety input"], CAUTIONS["deference"])),
        Findings(found, "None beyond the cautions above."),
    )


def _restrictions(basis: Basis) -> Fields:
    return Fields(
        (
            PaperField("Landlord, heritage", None, "what the landlord or a listing forbids"),
            PaperField(
                "Insurer",
                basis.case.job.details.insurer,
                "whether the insurer knows of setting and unsetting by radio",
            ),
            PaperField(
                "Fire authority, escape routes",
                None,
                "which doors are escape routes, and who approves locks on them",
            ),
            PaperField(
                "Working hours",
                "; ".join(
                    f"{name}: {house.open_hours}"
                    for name, house in basis.case.job.premises.items()
                    if house.open_hours
                )
                or None,
                "when somebody can be let in",
            ),
        )
    )


def _open(basis: Basis) -> tuple[Finding, ...]:
    return tuple(finding for finding in basis.assessment.findings if finding.verdict is Verdict.OPEN)
