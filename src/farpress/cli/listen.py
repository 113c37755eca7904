"""farpress listen: noise, bursts, beats and presses out of recordings made with any measuring receiver."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.listening.hearing import Listened

__all__ = ["command"]


@click.command("listen")
@click.argument("files", type=click.Path(path_type=Path), nargs=-1, required=True)
@click.option("--channel", type=float, default=433.92, show_default=True, help="Middle of the channel [MHz].")
@click.option(
    "--width",
    "width_khz",
    type=click.FloatRange(0.1, 1e5),
    help="Width [kHz]; absent: the receiver's, or 200.",
)
@click.option("--samples", "kind", help="Raw samples, I and Q in turn: cu8, ci8, ci16 or cf32.")
@click.option("--rate", type=float, help="Raw samples: how many a second.")
@click.option("--middle", type=float, help="Frequency in the middle of the recording [Hz].")
@click.option(
    "--full-scale",
    type=click.FloatRange(-200, 60),
    help="Level at the aerial's socket that fills the recorder [dBm]; without it levels count from full"
    " scale.",
)
@click.option(
    "--over",
    type=click.FloatRange(1, 60),
    default=6.0,
    show_default=True,
    help="A burst stands so far out [dB].",
)
@click.option("--job", type=click.Path(path_type=Path), help="The job that the readings are for.")
@click.option(
    "--receiver", help="With --job: the receiver at whose aerial it was recorded, premises/receiver."
)
@click.option(
    "--pressed-at", help="With --job: the recording holds presses of a fob of the job from this place."
)
@click.option("--write", "is_written", is_flag=True, help="With --job: write the readings into it.")
@click.option(
    "--picture",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Draw levels over time into this .svg file.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
@click.option(
    "--columns", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the table."
)
def command(
    files: tuple[Path, ...],
    channel: float,
    width_khz: float | None,
    kind: str | None,
    rate: float | None,
    middle: float | None,
    full_scale: float | None,
    over: float,
    job: Path | None,
    receiver: str | None,
    pressed_at: str | None,
    is_written: bool,
    picture: Path | None,
    form: str,
    columns: int,
) -> int:
    """Read noise floor, bursts, beats and presses out of recordings of the radio channel.

    FILES are SigMF recordings (.sigmf, .sigmf-meta), raw samples, or tables of sweeps (.csv: a first row
    'time'
    and frequencies in hertz, then a time and levels in dBm in each row). Exit code 0: heard. 2: a file or
    the job cannot be used.

    Example: farpress listen yard.sigmf-meta --full-scale -20 --job myjob --receiver yard/R1 --write
    """
    from farpress.cli import listen_text
    from farpress.errors import InputError
    from farpress.listening.hearing import Channel, heard_in
    from farpress.listening.into_job import changes_from, channel_width_hz
    from farpress.listening.recording import open_recording

    case, house, box = _asked(job, receiver)
    if (is_written or pressed_at) and case is None:
        raise InputError("--write and --pressed-at need --job and --receiver: where do the readings belong?")
    if is_written and len(files) > 1:
        raise InputError("--write takes one recording at a time, so that each is looked at before it counts.")
    own = channel_width_hz(case, house, box) if case is not None else None
    width = 1e3 * width_khz if width_khz is not None else own or 200e3
    listened = Channel(1e6 * channel, width, full_scale)
    found: list[Listened] = []
    for path in files:
        recording = open_recording(path, kind=kind, rate_hz=rate, middle_hz=middle)
        with click.progressbar(length=100, label=path.name, file=sys.stderr) as bar:

            def told(done: int, of: int, bar: Any = bar) -> None:
                bar.update(max(100 * done // max(of, 1) - bar.pos, 0))

            found.append(heard_in(recording, listened, over_db=over, progress=told))
            bar.update(100 - bar.pos)
    changes = [
        change
        for heard in found
        if case is not None
        for change in changes_from(case, heard, house, box, pressed_at=pressed_at)
    ]
    if picture is not None:
        _draw(picture, found)
    if form == "json":
        click.echo(listen_text.heard_json(found, changes))
    else:
        click.echo(listen_text.heard_text(found, changes, columns, is_written=is_written))
    if is_written and case is not None:
        _write(case, changes)
    return 0


def _asked(job: Path | None, receiver: str | None) -> tuple[Case | None, str, str]:
    """The job and the receiver meant."""
    from farpress.errors import InputError

    if job is None:
        if receiver is not None:
            raise InputError("--receiver names a receiver of a job: give --job too.")
        return None, "", ""
    from farpress.case.door import open_job

    case = open_job(job)
    every = [f"{house}/{box}" for house, site in case.job.premises.items() for box in site.receivers]
    meant = [path for path in every if receiver in (None, path, path.split("/")[1])]
    if len(meant) != 1:
        raise InputError(
            f"--receiver {receiver or '(none)'}: name one of"
            f" {', '.join(every) or 'none, there is no receiver'}."
        )
    house, box = meant[0].split("/")
    return case, house, box


def _draw(picture: Path, found: list[Listened]) -> None:
    from farpress.errors import InputError
    from farpress.papers.drawings.listening import LevelsOverTime, levels_svg
    from farpress.papers.typesetting.write import write_file

    if picture.suffix.lower() != ".svg":
        raise InputError(f"{picture}: levels are drawn as .svg.")
    rows = [
        LevelsOverTime(
            heard.name,
            "dBm" if heard.in_dbm else "dB under full scale",
            heard.over.times_s.tolist(),
            heard.over.highest_db.tolist(),
            heard.over.lowest_db.tolist(),
            heard.floor.level_db,
        )
        for heard in found
    ]
    write_file(picture, levels_svg(rows).encode())


def _write(case: Case, changes: list[Any]) -> None:
    from farpress.errors import InputError
    from farpress.jobfile.writer import apply_changes

    if case.folder is None or case.document is None:
        raise InputError("This job lies in no folder; nothing was written.")
    apply_changes(case.folder, changes, fingerprint=case.document.source.fingerprint)
