"""farpress proving: how many trials prove a promise, entering them, and what they showed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from farpress.domain.acts import CheckDone, ReadingTaken, TrialDone
from farpress.domain.event import happened

if TYPE_CHECKING:
    from farpress.proving.ask import ProvingTest, TestProof
    from farpress.proving.tests import Method

__all__ = ["command"]


@click.group("proving")
def command() -> None:
    """How many trials prove a promise, and what they showed.

    \b
    plan    every test with its number of presses, what to expect, and how long it takes
    csv     the same as a table to fill in
    enter   write results into the job's record
    verdict what is proven, measured beside predicted

    An output stays "not proven" until every test that it needs is proven.
    """


_JOB = click.argument("job", type=click.Path(path_type=Path))
_FORMAT = click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
_CONFIDENCE = click.option(
    "--confidence",
    type=click.FloatRange(0.5, 1.0, max_open=True),
    default=0.95,
    show_default=True,
    help="With which failures are to be shown rare.",
)
_METHOD = click.option(
    "--method",
    type=click.Choice(["cheapest", "sequential", "fixed", "pad"]),
    default="cheapest",
    show_default=True,
    help="Stop as early as Wald's test allows; a fixed number; fewer through a pad.",
)
_WIDTH = click.option(
    "--width", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the table."
)


@command.command("plan")
@_JOB
@click.option("--premises", help="One premises only.")
@_CONFIDENCE
@_METHOD
@_FORMAT
@_WIDTH
def _plan_command(
    job: Path, premises: str | None, confidence: float, method: str, form: str, width: int
) -> int:
    """Every test that a JOB needs, in the order of walking.

    Example: farpress proving plan examples/larkfen-house
    """
    from farpress.case.door import open_job
    from farpress.cli.as_json import as_json
    from farpress.cli.text import wrapped
    from farpress.proving.ask import proving_plan

    plan = proving_plan(open_job(job), confidence=confidence, method=_method(method), premises=premises)
    if form == "json":
        click.echo(as_json(plan))
        return 0
    lines = [f"{plan.job}: {len(plan.tests)} tests, about {plan.minutes / 60:.1f} h"]
    for text in plan.cautions:
        lines += wrapped(text, width, "! ", "  ")
    where = ""
    for test in plan.tests:
        if test.premises != where:
            where = test.premises
            lines += ["", where]
        lines += ["", *_test_lines(test, width)]
    click.echo("\n".join(lines))
    return 0


def _test_lines(test: ProvingTest, width: int) -> list[str]:
    from farpress.cli.text import wrapped

    who = f", {test.who}" if test.who != "installer" else ""
    free = "" if test.required else ", may be left out"
    lines = wrapped(
        f"{test.number} {test.id} ({max(test.minutes, 1.0):.0f} min{who}{free})", width, "", "    "
    )
    lines += wrapped(test.does, width, "    ", "    ")
    lines += wrapped(f"Expect: {test.expected}", width, "    ", "    ")
    lines += wrapped(f"Why: {test.because}", width, "    ", "    ") if test.because else []
    lines += wrapped(f"! {test.caution}", width, "    ", "      ") if test.caution else []
    return lines


@command.command("csv")
@_JOB
@click.option(
    "-o", "--output", type=click.Path(path_type=Path, dir_okay=False), required=True, help="File to write."
)
@click.option("--premises", help="One premises only.")
@_CONFIDENCE
@_METHOD
def _csv_command(job: Path, output: Path, premises: str | None, confidence: float, method: str) -> int:
    """The plan of a JOB as a table to fill in, for 'farpress proving enter --csv'.

    Example: farpress proving csv examples/larkfen-house -o tests.csv
    """
    from farpress.case.door import open_job
    from farpress.proving.ask import plan_csv, proving_plan

    plan = proving_plan(open_job(job), confidence=confidence, method=_method(method), premises=premises)
    output.write_text(plan_csv(plan), encoding="utf-8", newline="")
    click.echo(f"{len(plan.tests)} tests written to {output}.")
    return 0


@command.command("enter")
@_JOB
@click.argument("test", required=False)
@click.option("--heard", type=int, help="Presses that were heard.")
@click.option("--of", "presses", type=int, help="Presses that were made.")
@click.option("--pad", "pad_db", type=float, help="Pad in the way, in dB.")
@click.option("--passed/--failed", "passed", default=None, help="Of a check.")
@click.option("--value", type=float, help="Of a measurement, in the unit of the test.")
@click.option("--fob", default="", help="Label of the fob.")
@click.option("--remark", default="", help="What was found, in words.")
@click.option(
    "--anew", is_flag=True, help="Something was mended: earlier presses of this test do not count any more."
)
@click.option(
    "--csv",
    "table",
    type=click.Path(path_type=Path, dir_okay=False, exists=True),
    help="A filled-in table instead of one test.",
)
@click.option("--by", default="installer", show_default=True, help="Who found it.")
def _enter_command(
    job: Path,
    test: str | None,
    heard: int | None,
    presses: int | None,
    pad_db: float | None,
    passed: bool | None,
    value: float | None,
    fob: str,
    remark: str,
    anew: bool,
    table: Path | None,
    by: str,
) -> int:
    """Write the result of a TEST of a JOB (or of a whole table) into the job's record.

    \b
    Examples: farpress proving enter larkfen-house P03 --heard 12 --of 12
              farpress proving enter larkfen-house M01 --value -97
              farpress proving enter larkfen-house --csv tests.csv
    """
    from farpress.case.door import open_job
    from farpress.errors import InputError
    from farpress.proving.ask import TrialEntry, enter, entries_from_csv, proven_tests, proving_plan
    from farpress.record.store import open_record

    if (test is None) == (table is None):
        raise InputError("give one test, or a table with --csv")
    case = open_job(job)
    plan = proving_plan(case)
    entries = (
        [TrialEntry(test, presses, heard, pad_db, passed, value, fob, remark, anew=anew)]
        if test is not None
        else entries_from_csv(_read(table))
    )
    with open_record(case.folder or job) as record:
        written = enter(record, plan, entries, by=by)
        events = record.events(job=plan.job)
    click.echo(f"{len(written)} result{'s' if len(written) != 1 else ''} written.")
    if not written and entries:
        click.echo("They were in the record already.")
    done = {act.test for _, act in happened(written, TrialDone, CheckDone, ReadingTaken)}
    for test_proof in proven_tests(plan, events):
        if test_proof.test.id in done:
            click.echo(f"{test_proof.test.number} {test_proof.proof}: {test_proof.says}")
    return 0


def _read(table: Path | None) -> str:
    from farpress.errors import InputError

    assert table is not None
    raw = table.read_bytes()
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return raw.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise InputError(f"{table.name} is no text; save the table as CSV (UTF-8)")


@command.command("verdict")
@_JOB
@_CONFIDENCE
@_METHOD
@_FORMAT
@_WIDTH
@click.option("--all", "everything", is_flag=True, help="Tests without evidence too.")
def _verdict_command(
    job: Path, confidence: float, method: str, form: str, width: int, everything: bool
) -> int:
    """What is proven on a JOB: output by output, then test by test, measured beside predicted.

    Exit code 0: nothing is refuted. 1: something is. 2: the job cannot be used.

    Example: farpress proving verdict examples/larkfen-house
    """
    from farpress.case.door import open_job
    from farpress.cli.as_json import as_json
    from farpress.cli.text import wrapped
    from farpress.proving.ask import Proof, proof_of, proven_tests, proving_plan
    from farpress.record.store import open_record

    case = open_job(job)
    plan = proving_plan(case, confidence=confidence, method=_method(method))
    with open_record(case.folder or job) as record:
        events = record.events(job=plan.job)
    tested, outputs = proven_tests(plan, events), proof_of(case, events, plan=plan)
    if form == "json":
        click.echo(as_json({"outputs": outputs, "tests": tested}))
    else:
        proven = sum(output.proof is Proof.PROVEN for output in outputs.values())
        lines = [f"{plan.job}: {proven} of {len(outputs)} outputs proven", ""]
        for output in outputs.values():
            detail = f": {output.detail}" if output.detail else ""
            lines += wrapped(f"{output.proof:10} {output.output}{detail}", width, "", " " * 11)
        shown = [
            test_proof for test_proof in tested if everything or test_proof.proof is not Proof.NOT_PROVEN
        ]
        for test_proof in shown:
            lines += ["", *_proof_lines(test_proof, width)]
        if not shown:
            lines += [
                "",
                "No result yet: 'farpress proving plan' says what to do, 'farpress proving enter' takes it.",
            ]
        click.echo("\n".join(lines))
    return 1 if any(output.proof is Proof.REFUTED for output in outputs.values()) else 0


def _proof_lines(test_proof: TestProof, width: int) -> list[str]:
    from farpress.cli.text import wrapped

    lines = wrapped(f"{test_proof.test.number} {test_proof.proof}: {test_proof.test.id}", width, "", "    ")
    lines += wrapped(test_proof.says, width, "    ", "    ")
    if test_proof.measured:
        lines += wrapped(
            f"predicted {test_proof.predicted or 'nothing'}; measured {test_proof.measured}",
            width,
            "    ",
            "    ",
        )
    if test_proof.margin_db is not None and test_proof.kept_chance is not None:
        margin = f"{test_proof.margin_db:.1f} ± {test_proof.margin_sd_db or 0.0:.1f} dB"
        lines += wrapped(
            f"margin {margin} with prediction and presses together;"
            f" the promise is kept with {_chance(test_proof.kept_chance)}",
            width,
            "    ",
            "    ",
        )
    return lines


def _chance(share: float) -> str:
    return "more than 99.9 %" if share > 0.999 else f"{100.0 * share:.1f} %"


def _method(text: str) -> Method | None:
    from farpress.proving.ask import METHODS

    return next((method for method in METHODS if method == text), None)
