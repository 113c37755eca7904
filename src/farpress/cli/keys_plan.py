"""Plans made from the register: layout, replacement, counters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.mending.buttons import TriedLayout

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


@click.command("layout")
@JOB
@click.option(
    "--limit", type=click.FloatRange(1, 3600), default=60.0, show_default=True, help="Seconds for the search."
)
@click.option(
    "--write", "new", type=click.Path(path_type=Path), help="Write the job with this plan into a new folder."
)
@click.option("--fresh", is_flag=True, help="No fob is learned yet: none has to be learned again.")
@FORM
def _layout(job: Path, limit: float, new: Path | None, fresh: bool, form: str) -> int:
    """The best button plan: one kind of function on one button everywhere; or why there is none.

    Before it is called best it is applied to a copy of the job, judged and rehearsed:
    groups for which anything would be worse than today keep their buttons, and the
    plan says why. With --write the job with it is written into a new folder.

    The cost counts for each fob: a function elsewhere than its kind 5 and a long
    press 1, both times their use; unset beside a gate 2, a shared button 3 and 20 more
    while another does nothing there, a function learned again 3 at each receiver; and
    50 for each type of fob. Only the ratios matter. Who needs more than one fob holds
    gets a second: a call for help first, then what is pressed least.

    Exit code 1 if the demands contradict each other, or a memory is too small.

    Example: farpress keys layout my-job
    """
    from farpress.case.door import open_job
    from farpress.cli.text import paragraph, table
    from farpress.keys.waves import LEARN_MIN
    from farpress.mending.buttons import tried_layout
    from farpress.phrases import plural

    case = open_job(job)
    tried = tried_layout(case, limit_s=limit, is_fresh=fresh)
    made = tried.plan
    if form == "json":
        found = made.layout
        click.echo(
            _json(
                {
                    "buttons": [
                        {"group": group, "button": button, "functions": names}
                        for group, button, names in tried.rows(case)
                    ],
                    "why_not": made.why_not,
                    "notes": made.notes,
                    "too_small": made.too_small,
                    "moved": made.moved,
                    "judged": tried.judged,
                    "kept": dict(tried.kept),
                    "cured": [{"code": finding.code, "says": finding.says} for finding in tried.cured],
                    "exchanged": made.exchanged,
                    "further": made.further,
                    "learnings": made.learnings,
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
        click.echo(table(tried.rows(case), head=("group", "button", "functions")))
        found = made.layout
        how = (
            _best(tried.judged, bool(tried.kept))
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
                groups = ", ".join(group for group, type_name in found.types.items() if type_name == name)
                click.echo(paragraph(f"Fob {name}: {groups}.", rest="  "))
        if made.exchanged:
            click.echo(
                paragraph(
                    f"{plural(sum(made.exchanged.values()), 'fob')} exchanged for another type, of"
                    f" {', '.join(made.exchanged)}.",
                    rest="  ",
                )
            )
        for name, group in made.further.items():
            click.echo(paragraph(f"One fob does not hold all of {group}: {name} is a second one.", rest="  "))
        moved = sum(made.moved.values())
        click.echo(
            paragraph(
                (
                    f"{plural(moved, 'fob')} to be learned again, of {', '.join(made.moved)}."
                    if moved
                    else "No fob that stays has to be learned again."
                ),
                rest="  ",
            )
        )
        if made.learnings:
            click.echo(
                paragraph(
                    f"Learning costs about {made.learnings * LEARN_MIN / 60:.1f} h, at {LEARN_MIN:g} min for"
                    f" each of {made.learnings}, the holder there with the fob.",
                    rest="  ",
                )
            )
    for name, why in tried.kept.items():
        click.echo(paragraph(f"{name} keep their buttons, for with the plan: {why}", rest="  "))
    if tried.cured:
        codes = ", ".join(dict.fromkeys(finding.code for finding in tried.cured))
        click.echo(paragraph(f"{plural(len(tried.cured), 'finding')} that fail today hold with it: {codes}."))
    if new is not None:
        _write_layout(case, tried, new)
    for small in made.too_small:
        click.echo(paragraph(small, first="  too small: ", rest="             "))
    for note in made.notes:
        click.echo(paragraph(note, first="  open: ", rest="        "))
    return 1 if made.why_not or made.too_small else 0


def _best(judged: bool, kept: bool) -> str:
    """What may be said of a plan that no cheaper one exists for."""
    if not judged:
        return "no plan costs less; not judged, for this job has no file to try it on"
    whom = " for the groups that change" if kept else ""
    return f"proven best{whom}, gap 0; judged and rehearsed on a copy: nothing is worse than today"


def _write_layout(case: Case, tried: TriedLayout, new: Path) -> None:
    """The job with a plan, in a folder that is not there yet."""
    from farpress.mending.writing import write_changed

    remark = "# Button plan, judged and rehearsed on a copy: nothing is worse than before it.\n"
    click.echo(f"Written: {write_changed(case, tried.changes, new, remarks=remark)}")


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
    shown = [lag for lag in found if everything or lag.asks or (lag.ignored_share or 0.0) > RISK]
    if form == "json":
        click.echo(_json([asdict(lag) for lag in shown]))
        return 0

    def says(lag: Any) -> str:
        if lag.ignored_share is None:
            return str(lag.asks)
        dead = f", dead {lag.dead_share:.0%}" if lag.dead_share else ""
        return (
            f"first press swallowed {lag.ignored_share:.0%}{dead} (about {lag.presses:.0f} presses elsewhere"
            f" in {lag.days:.1f} days); be there by {lag.visit_by} {lag.asks}".strip()
        )

    rows = [(lag.fob, lag.holder, lag.receiver, says(lag)) for lag in shown]
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
            [_morning(morning) for morning in mornings],
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
    from farpress.keys.split import plan_split

    made = plan_split(open_job(job), receivers, over, capacity=capacity)
    click.echo(
        table(
            [
                (f"receiver {number}", f"{used} of {room}", ", ".join(names))
                for number, (names, (used, room)) in enumerate(zip(made.tenants, made.fill), 1)
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


PLANS: Final = (_layout, _counters, _waves, _split)
"""Added to the group `keys`."""
