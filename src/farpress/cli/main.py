"""The command `farpress`: finds the asked command and turns our errors into text."""

from __future__ import annotations

import atexit
import gc
import importlib
import sys
from pathlib import Path
from typing import Final

import click

__all__ = ["cli", "main"]

COMMANDS: Final[dict[str, str]] = {
    "new": "Start a job folder.",
    "assess": "Judge every link of every promise of a job.",
    "design": "A whole installation drawn up from what is wished.",
    "mend": "The cheapest changes after which what can be mended holds.",
    "reach": "Reach at each place, maps, and where the aerial goes.",
    "listen": "Noise, bursts and presses out of recordings of the channel.",
    "wiring": "Every volt, ampere and loop; schedule and drawings.",
    "rehearsal": "Search and play press stories before anything is installed.",
    "keys": "Who holds which fob, and where it is learned.",
    "proving": "How many trials prove a promise, and what they showed.",
    "papers": "Write the papers of a job.",
    "quote": "Quantities, working time and money by the firm's own lists.",
    "prices": "The firm's price list, norms and terms: looked at and kept.",
    "takeover": "Take an installation over that nobody documented, in one step.",
    "upkeep": "Cells, wear and drift: what is due when.",
    "faults": "From a complaint to its cause in the fewest minutes.",
    "desk": "Open the job in the browser.",
    "firm": "Many jobs on one shelf.",
}
"""Command → what it does, in one line; each lives in the module of its name."""

_HERE: Final = Path(__file__).parent


def _module(name: str) -> Path:
    return _HERE / f"{name.replace('-', '_')}.py"


class _Late(click.Group):
    """A group that imports a command only when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [name for name in COMMANDS if _module(name).exists()]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS or not _module(cmd_name).exists():
            return None
        command: click.Command = importlib.import_module(f"farpress.cli.{cmd_name.replace('-', '_')}").command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        import difflib

        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            close = difflib.get_close_matches(args[0], COMMANDS, n=1)
            hint = f" Did you mean '{close[0]}'?" if close else ""
            ctx.fail(f"There is no command '{args[0]}'.{hint} 'farpress --help' lists them all.")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name]) for name in self.list_commands(ctx)])


@click.group(cls=_Late, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96})
@click.version_option(package_name="farpress", message="farpress %(version)s")
def cli() -> None:
    """Radio remote control at customers' premises, computed from thumb to moving leaf.

    A job is a folder with a file job.yaml in it. 'farpress new FOLDER' starts one,
    'farpress assess FOLDER' judges it.
    """


def main() -> None:
    """Run the command line; our own errors become text and exit code 2."""
    _collect_seldom()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        code = cli.main(standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("Stopped.", err=True)
        sys.exit(130)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except BrokenPipeError:
        sys.exit(141)
    except Exception as error:
        text = _ours(error)
        if text is None:
            raise
        click.echo(text, err=True)
        sys.exit(2)
    sys.exit(code if isinstance(code, int) else 0)


def _collect_seldom() -> None:
    """Look for circles of things nobody needs seldom, and not at the end, when all of it goes anyway: what
    start-up loads stays, and looking through it again and again is a seventh of a first run.
    """
    gc.set_threshold(50_000, 20, 100)
    atexit.register(gc.freeze)


def _fitted(text: str) -> str:
    """Lines no longer than the terminal they go to, broken between words; unchanged into a file or a pipe."""
    if not sys.stderr.isatty():
        return text
    import shutil
    import textwrap

    width = max(min(shutil.get_terminal_size().columns, 96), 40)
    return "\n".join(
        textwrap.fill(line, width, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)
        for line in text.splitlines()
    )


def _ours(error: Exception) -> str | None:
    """The text of one of our own errors; None for anything else."""
    from farpress.errors import FarpressError, JobFileError

    if isinstance(error, JobFileError):
        from farpress.jobfile.faults import faults_text

        return faults_text(error)
    if isinstance(error, FarpressError):
        return _fitted(str(error))
    if isinstance(error, OSError):
        return f"{error.filename or 'A file'} could not be used: {error.strerror or error}."
    return None
