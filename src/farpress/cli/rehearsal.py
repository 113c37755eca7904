"""farpress rehearsal: search and play press stories before anything is installed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Callable

    from farpress.case.case import Case

__all__ = ["command"]


@click.command("rehearsal")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--story",
    help="Play this story instead: '0 s: drivers hold 2 for 3 s; 4 s: power off', or one of the job by name.",
)
@click.option(
    "--stories", is_flag=True, help="Play the stories kept in the job, and say how they end, instead."
)
@click.option("--states", is_flag=True, help="Table of how everything stands through a power cut instead.")
@click.option(
    "--chances", is_flag=True, help="How likely it goes wrong in use, where the numbers are known, instead."
)
@click.option(
    "--rule",
    "numbers",
    type=click.IntRange(min=1),
    multiple=True,
    help="Search only this rule, by its number in the job file; may be repeated.",
)
@click.option(
    "--budget",
    type=click.IntRange(min=1000),
    default=4_000_000,
    show_default=True,
    help="Most states kept in one search.",
)
@click.option(
    "--svg",
    type=click.Path(path_type=Path, dir_okay=False),
    help="With --story: write the time line to this SVG file.",
)
@click.option(
    "--png",
    type=click.Path(path_type=Path, dir_okay=False),
    help="With --story: write the time line to this PNG file.",
)
@click.option(
    "--promela",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write every model that is searched to this folder, in Promela, for an independent search; instead.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
@click.option("--all", "everything", is_flag=True, help="Print what holds line by line too.")
@click.option(
    "--width", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the text."
)
@click.option("--ascii", "plain", is_flag=True, help="Draw with plain characters only.")
def command(
    job: Path,
    story: str | None,
    stories: bool,
    states: bool,
    chances: bool,
    numbers: tuple[int, ...],
    budget: int,
    svg: Path | None,
    png: Path | None,
    promela: Path | None,
    form: str,
    everything: bool,
    width: int,
    plain: bool,
) -> int:
    """Search every press story of a JOB for one that breaks a "must never" rule.

    A rule that holds was searched to the end: no order of presses, held buttons, lost
    telegrams, power cuts and keypad use gets there. A rule that fails comes with the
    shortest story found. A part of a story is a moment, a colon and what happens: GROUP
    press BUTTON, GROUP hold BUTTON for 3 s, somebody else of GROUP press BUTTON, power off,
    power on, lost for 0.5 s, keypad, under gate, clear gate, into office, out of office, into
    lock by outer gate, work on pump, done with pump, clock 20:00, wait.

    Exit code 0: nothing fails. 1: something fails. 2: the job or story cannot be used.

    Example: farpress rehearsal examples/larkfen-house --story "0 s: parents press 1; 5 s: power off"
    """
    from farpress.case.door import open_job

    if (svg is not None or png is not None) and story is None:
        raise click.UsageError("--svg and --png draw the time line of a story; give it with --story.")
    case = open_job(job)
    wrong = [number for number in numbers if number > len(case.job.rules)]
    if wrong:
        raise click.UsageError(f"The job has {len(case.job.rules)} rules; there is no rule {wrong[0]}.")
    if promela is not None:
        return _promela(case, promela)
    if stories:
        return _stories(case, form, width)
    if story is not None:
        return _play(case, story, svg, png, form, width)
    if states:
        return _states(case, form, width)
    if chances:
        return _chances(case, form, width)
    return _search(case, numbers, budget, form, everything, width, plain)


def _search(
    case: Case, numbers: tuple[int, ...], budget: int, form: str, everything: bool, width: int, plain: bool
) -> int:
    from farpress.cli.rehearsal_text import results_json, results_text
    from farpress.domain.finding import Verdict
    from farpress.judging.rules.every import every_rule

    results = every_rule(case, budget=budget, rules=numbers or None, progress=_progress())
    _clear()
    click.echo(
        results_json(case.job.job, results)
        if form == "json"
        else results_text(case.job.job, results, width=width, everything=everything, plain=plain)
    )
    return 1 if any(result.verdict is Verdict.FAILS for result in results) else 0


def _play(case: Case, story: str, svg: Path | None, png: Path | None, form: str, width: int) -> int:
    from farpress.cli.rehearsal_text import timeline_json, timeline_text
    from farpress.domain.finding import Verdict
    from farpress.rehearsal.kept_stories import story_ends
    from farpress.rehearsal.play import play

    end = None
    if story in case.job.stories:
        (end,) = story_ends(case, names=(story,), progress=_progress())
        timeline = end.timeline or play(case, case.job.stories[story].text)
    else:
        timeline = play(case, story, progress=_progress())
    _clear()
    click.echo(timeline_json(timeline, end) if form == "json" else timeline_text(timeline, end, width=width))
    if svg is not None or png is not None:
        from farpress.papers.typesetting.write import write_file
        from farpress.rehearsal.drawing import timeline_png, timeline_svg

        for path, content in (
            (svg, timeline_svg(timeline).encode()),
            (png, timeline_png(timeline) if png is not None else b""),
        ):
            if path is not None:
                write_file(path, content)
                click.echo(f"Time line written to {path}.", err=True)
    return int(bool(timeline.broken) if end is None else end.verdict is Verdict.FAILS)


def _promela(case: Case, folder: Path) -> int:
    from farpress.papers.typesetting.write import write_file
    from farpress.phrases import plural
    from farpress.rehearsal.written import models_in_promela

    folder.mkdir(parents=True, exist_ok=True)
    written = dict(models_in_promela(case))
    for name, text in written.items():
        write_file(folder / name, text.encode())
    click.echo(
        f"{plural(len(written), 'model')} written to {folder}; 'spin -a' and its verifier search them."
    )
    return 0


def _stories(case: Case, form: str, width: int) -> int:
    from farpress.cli.rehearsal_text import ends_json, ends_text
    from farpress.domain.finding import Verdict
    from farpress.rehearsal.kept_stories import story_ends

    ends = list(story_ends(case, progress=_progress()))
    _clear()
    click.echo(
        ends_json(case.job.job, ends) if form == "json" else ends_text(case.job.job, ends, width=width)
    )
    return int(any(end.verdict is Verdict.FAILS for end in ends))


def _states(case: Case, form: str, width: int) -> int:
    from farpress.cli.rehearsal_text import power_json, power_text
    from farpress.rehearsal.power import power_cut_table

    rows = power_cut_table(case)
    click.echo(
        power_json(case.job.job, rows) if form == "json" else power_text(case.job.job, rows, width=width)
    )
    return 0


def _chances(case: Case, form: str, width: int) -> int:
    from farpress.cli.rehearsal_text import chances_json, chances_text
    from farpress.rehearsal.chances import chances_of

    found = chances_of(case)
    click.echo(
        chances_json(case.job.job, found)
        if form == "json"
        else chances_text(case.job.job, found, width=width)
    )
    return 0


def _progress() -> Callable[[str], None] | None:
    import sys

    if not sys.stderr.isatty():
        return None

    def tell(text: str) -> None:
        sys.stderr.write(f"\r\x1b[K{text[:78]}")
        sys.stderr.flush()

    return tell


def _clear() -> None:
    import sys

    if sys.stderr.isatty():
        sys.stderr.write("\r\x1b[K")
