"""Plans made from the register: after a loss, layout, replacement, counters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from farpress.keys.book import RegisterBook

__all__ = ["PLANS"]

JOB = click.argument("job", type=click.Path(path_type=Path))
FORM = click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
LEAVE = click.option(
    "--leave",
    type=click.DateTime(["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]),
    help="When you set out, in the job's time zone (or this machine's), as 2026-11-23T08:30; now by default.",
)
START = click.option(
    "--start",
    help=(
        "Where the round begins: a premises, or a place under 'starts' of the job; the first of these by"
        " default, else the premises with most receivers."
    ),
)
WAY = click.option(
    "--way",
    "ways",
    multiple=True,
    metavar="PREMISES=MINUTES",
    help="Way from a start that the job does not know; may be repeated.",
)


@click.command("lost")
@JOB
@click.argument("fob")
@click.option("--between", default="", help="Where and when it was lost, in words.")
@click.option(
    "--by", default="installer", show_default=True, help="Who records it: a role, or a person's mark."
)
@LEAVE
@START
@WAY
def _lost(
    job: Path, fob: str, between: str, by: str, leave: Any, start: str | None, ways: tuple[str, ...]
) -> int:
    """Record that a fob is lost, and say at once what it opens, where to go, what to do meanwhile.

    Example: farpress keys lost my-job BM-047 --between "Lowdrift and Vessing, Monday 08:10"
    """
    from farpress.cli.text import paragraph
    from farpress.keys.book import open_register

    roads = _ways(ways)  # a slip there is said before anything is recorded
    with open_register(job, by=by) as book:
        done = book.lost(fob, between=between)
        click.echo(paragraph(done.says[0]))
        label = done.fob
        if book.register.fobs[label].known_at:
            _show_plan(book, label, leave, start, roads)
        else:
            click.echo("It is learned nowhere: there is nothing to delete.")
    return 0


@click.command("plan")
@JOB
@click.argument("fob")
@LEAVE
@START
@WAY
@FORM
def _plan(job: Path, fob: str, leave: Any, start: str | None, ways: tuple[str, ...], form: str) -> int:
    """The round to delete a fob everywhere, as it stands now; records nothing.

    Example: farpress keys plan my-job BM-047 --leave 2026-11-23T08:30
    """
    from farpress.keys.book import open_register

    with open_register(job) as book:
        book.needs_record()
        _show_plan(book, fob, leave, start, _ways(ways), form)
    return 0


def _ways(given: tuple[str, ...]) -> dict[str, float]:
    from farpress.errors import InputError

    found, faults = {}, []
    for text in given:
        premises, _, minutes = text.rpartition("=")
        try:
            found[premises.strip()] = float(minutes)
        except ValueError:
            faults.append(f"'{text}' is no way; write premises and minutes, as vessing=25.")
    if faults:
        raise InputError(" ".join(faults))
    return found


def _show_plan(
    book: RegisterBook, fob: str, leave: Any, start: str | None, ways: dict[str, float], form: str = "table"
) -> None:
    from farpress.case.local_time import now_in, zone_of
    from farpress.cli.text import paragraph, table
    from farpress.keys.find import find_fob
    from farpress.keys.lost import lost_plan, reported_at

    known, case = find_fob(book.register, fob), book._case()
    zone = zone_of(case.job)
    made = lost_plan(
        case, known, start=start, ways=ways, leave=leave or now_in(zone), reported=reported_at(known, zone)
    )
    if form == "json":
        import json
        from dataclasses import asdict

        click.echo(json.dumps(asdict(made), indent=2, sort_keys=True, ensure_ascii=False, default=str))
        return
    click.echo(paragraph(made.says))
    for sentence in made.meanwhile():
        click.echo(paragraph(sentence, first="  now: ", rest="       "))
    click.echo("")
    rows = [
        (
            f"{visit.finished:%a %H:%M}",
            visit.premises,
            f"{visit.exposed_h:.1f} h",
            f"{visit.weight:g}",
            ", ".join(visit.functions),
        )
        for visit in made.visits
    ]
    click.echo(table(rows, head=("finished", "premises", "exposed", "risk", "functions")))
    how = "proven best" if made.gap == 0 else f"at most {made.gap:.0%} from the best"
    click.echo(
        paragraph(
            f"From {made.start}: {made.drive_min:.0f} min on the road, {made.weighted_h:.1f} weighted hours"
            f" ({how})."
        )
    )
    for order, drive, hours in made.others:
        click.echo(
            paragraph(
                f"or {', '.join(order)}: {drive:.0f} min, {hours:.1f} weighted hours",
                first="  ",
                rest="     ",
            )
        )
    for doubt in made.doubts:
        click.echo(paragraph(doubt, first="  open: ", rest="        "))
    for visit in made.visits:
        click.echo("")
        for number, line in enumerate(visit.sheet):
            click.echo(paragraph(line, first="  " if number else "", rest="    "))


@click.command("layout")
@JOB
@click.option(
    "--limit", type=click.FloatRange(1, 3600), default=60.0, show_default=True, help="Seconds for the search."
)
@FORM
def _layout(job: Path, limit: float, form: str) -> int:
    """The best button plan: one kind of function on one button everywhere; or why there is none.

    The cost counts for each fob: a function elsewhere than its kind 5 and a long
    press 1, both times their use; unset beside a gate 2, a shared button 3, a
    function learned again 1; and 50 for each type of fob. Only the ratios matter.

    Exit code 1 if the demands contradict each other, or a memory is too small.

    Example: farpress keys layout my-job
    """
    from farpress.case.door import open_job
    from farpress.cli.text import paragraph, table
    from farpress.keys.layout import plan_layout

    made = plan_layout(open_job(job), limit_s=limit)
    if form == "json":
        found = made.layout
        click.echo(
            _json(
                {
                    "buttons": [
                        {"group": group, "button": button, "functions": names}
                        for group, button, names in made.rows()
                    ],
                    "why_not": made.why_not,
                    "notes": made.notes,
                    "too_small": made.too_small,
                    "moved": made.moved,
                    "exchanged": made.exchanged,
                    "types": dict(found.types) if found else None,
                    "cost": found.cost if found else None,
                    "bound": found.bound if found else None,
                    "parts": dict(found.parts) if found else None,
                }
            )
        )
        return 1 if made.why_not or made.too_small else 0
    for sentence in made.why_not:
        click.echo(paragraph(sentence, rest="  "))
    if made.layout is not None:
        click.echo(table(made.rows(), head=("group", "button", "functions")))
        found = made.layout
        how = (
            "proven best, gap 0"
            if found.is_proven
            else (
                f"not proven: none can cost less than {found.bound:g}, a gap of"
                f" {1 - found.bound / found.cost:.0%}"
            )
        )
        parts = ", ".join(f"{name} {value:g}" for name, value in found.parts.items() if value)
        click.echo("")
        click.echo(paragraph(f"Cost {found.cost:g} ({parts}); {how}."))
        if len(set(found.types.values())) > 1 or made.exchanged:
            for name in sorted(set(found.types.values())):
                click.echo(
                    paragraph(
                        f"Fob {name}:"
                        f" {', '.join(group for group, one in found.types.items() if one == name)}.",
                        rest="  ",
                    )
                )
        if made.exchanged:
            click.echo(
                paragraph(
                    f"{sum(made.exchanged.values())} fobs are exchanged for another type, of"
                    f" {', '.join(made.exchanged)}.",
                    rest="  ",
                )
            )
        moved = sum(made.moved.values())
        click.echo(
            paragraph(
                (
                    f"{moved} fobs have to be learned again, of {', '.join(made.moved)}."
                    if moved
                    else "No fob that stays has to be learned again."
                ),
                rest="  ",
            )
        )
    for small in made.too_small:
        click.echo(paragraph(small, first="  too small: ", rest="             "))
    for note in made.notes:
        click.echo(paragraph(note, first="  open: ", rest="        "))
    return 1 if made.why_not or made.too_small else 0


@click.command("counters")
@JOB
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="As of this day; now by default.")
@click.option("--all", "everything", is_flag=True, help="Those without danger too.")
@FORM
def _counters(job: Path, on: Any, everything: bool, form: str) -> int:
    """First presses that will be swallowed: fobs long unheard at a receiver, and until when to go there.

    Example: farpress keys counters my-job
    """
    from dataclasses import asdict
    from datetime import UTC, datetime

    from farpress.cli.text import paragraph, table
    from farpress.keys.asking import NO_RECORD
    from farpress.keys.book import open_register
    from farpress.keys.counters import RISK, exposures

    with open_register(job) as book:
        found = exposures(
            book.register, book.people, book._case(), now=on.replace(tzinfo=UTC) if on else datetime.now(UTC)
        )
        nothing = (
            "No fob has been away for too long, as far as the record tells."
            if book.record.is_there
            else NO_RECORD
        )
    shown = [one for one in found if everything or one.asks or (one.ignored_share or 0.0) > RISK]
    if form == "json":
        click.echo(_json([asdict(one) for one in shown]))
        return 0

    def says(one: Any) -> str:
        if one.ignored_share is None:
            return str(one.asks)
        dead = f", dead {one.dead_share:.0%}" if one.dead_share else ""
        return (
            f"first press swallowed {one.ignored_share:.0%}{dead} (about {one.presses:.0f} presses elsewhere"
            f" in {one.days:.1f} days); be there by {one.visit_by} {one.asks}".strip()
        )

    rows = [(one.fob, one.holder, one.receiver, says(one)) for one in shown]
    click.echo(table(rows, head=("fob", "holder", "receiver", "")) if rows else paragraph(nothing))
    return 0


@click.command("waves")
@JOB
@click.argument("receiver")
@click.option(
    "--morning",
    "mornings",
    multiple=True,
    required=True,
    help="As 2026-12-01T07:00/09:30; repeat for further mornings.",
)
@click.option(
    "--stations",
    type=click.IntRange(1, 50),
    default=1,
    show_default=True,
    help="People who learn side by side.",
)
@click.option(
    "--minutes", type=click.FloatRange(0.05, 60), default=0.5, show_default=True, help="Minutes for one fob."
)
@click.option("--at-once", is_flag=True, help="The old receiver is gone from the first morning on.")
@FORM
def _waves(
    job: Path,
    receiver: str,
    mornings: tuple[str, ...],
    stations: int,
    minutes: float,
    at_once: bool,
    form: str,
) -> int:
    """Who comes when to have the fob learned again after RECEIVER is replaced.

    Example: farpress keys waves my-job court/R1 --morning 2026-12-01T07:00/09:30 --morning
    2026-12-02T07:00/09:30
    """
    from dataclasses import asdict

    from farpress.cli.text import paragraph, table
    from farpress.keys.book import open_register
    from farpress.keys.waves import plan_replacement

    with open_register(job) as book:
        made = plan_replacement(
            book._case(),
            book.register,
            receiver,
            [_morning(one) for one in mornings],
            stations=stations,
            learn_min=minutes,
            at_once=at_once,
        )
    if form == "json":
        click.echo(_json(asdict(made)))
        return 0
    for sentence in made.says:
        click.echo(paragraph(sentence, rest="  "))
    rows = [
        (
            f"{wave.at:%a %d %b %H:%M}",
            str(sum(wave.groups.values())),
            ", ".join(f"{name} {count}" for name, count in wave.groups.items()),
            " ".join(wave.fobs),
        )
        for wave in made.waves
    ]
    click.echo(
        table(
            rows if any(row[3] for row in rows) else [row[:3] for row in rows],
            head=(
                ("from", "fobs", "who", "labels") if any(row[3] for row in rows) else ("from", "fobs", "who")
            ),
        )
    )
    return 0


def _morning(text: str) -> Any:
    from datetime import datetime

    from farpress.errors import InputError
    from farpress.keys.waves import Morning

    try:
        first, _, last = text.partition("/")
        begins = datetime.fromisoformat(first)
        return Morning(begins, datetime.fromisoformat(f"{begins:%Y-%m-%d}T{last}"))
    except ValueError as error:
        raise InputError(f"'{text}' is not a morning; write it as 2026-12-01T07:00/09:30.") from error


@click.command("split")
@JOB
@click.argument("receivers", nargs=-1, required=True)
@click.option("--over", type=click.IntRange(1, 20), default=2, show_default=True, help="How many receivers.")
@click.option("--capacity", type=click.IntRange(1), help="Of each; that of the receiver's part by default.")
def _split(job: Path, receivers: tuple[str, ...], over: int, capacity: int | None) -> int:
    """Share the tenants of RECEIVERS out over several, so that no memory is full; over one: merge them.

    Example: farpress keys split my-job court/R2 --over 2
    """
    from farpress.case.door import open_job
    from farpress.cli.text import table
    from farpress.keys.waves import plan_split

    made = plan_split(open_job(job), receivers, over, capacity=capacity)
    click.echo(
        table(
            [
                (f"receiver {at}", f"{used} of {room}", ", ".join(names))
                for at, (names, (used, room)) in enumerate(zip(made.tenants, made.fill), 1)
            ],
            head=("", made.unit, "tenants"),
        )
    )
    if made.years is not None:
        click.echo(
            "The fullest is full in no time that can be planned."
            if made.years > 100
            else f"The fullest is full after {made.years:.1f} years."
        )
    return 0


def _json(value: object) -> str:
    import json

    return json.dumps(value, indent=2, sort_keys=True, ensure_ascii=False, default=str)


PLANS: Final = (_lost, _plan, _layout, _counters, _waves, _split)
"""Added to the group `keys`."""
