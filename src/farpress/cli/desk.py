"""farpress desk: open the job in the browser."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["command"]


@click.command("desk")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8433,
    show_default=True,
    help="Port; 0 takes any that is free.",
)
@click.option("--share", is_flag=True, help="Let others on this network in, each with a pairing code.")
@click.option("--tls", is_flag=True, help="With --share: encrypt, with a certificate made on this machine.")
@click.option("--no-browser", is_flag=True, help="Do not open the browser; only say the address.")
def command(job: Path, port: int, share: bool, tls: bool, no_browser: bool) -> int:
    """Open a JOB in the browser: its folder, a folder of several jobs, or a folder yet to be made.

    Nothing leaves the machine. Without --share nobody else can come in.

    Example: farpress desk examples/larkfen-house
    """
    from farpress.desk.serve import serve

    return serve(job, port=port, share=share, tls=tls, browser=not no_browser)
