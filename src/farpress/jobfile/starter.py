"""A first job file: small, whole, with remarks that say what to change.

One house, one receiver, one gate; names and places are invented. It uses generic parts
of the catalogue by name and reads without faults as it stands.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from farpress.errors import Fault, JobFileError
from farpress.jobfile.source import FILE_NAME
from farpress.jobfile.written import written_scalar

__all__ = ["STARTER_PARTS", "example_names", "starter_text", "write_example", "write_starter"]

STARTER_PARTS: Final = {
    "receiver": "receiver-4",
    "fob": "fob-4",
    "supply": "supply-12v-1a5",
    "battery": "lead-7ah",
    "cable": "alarm-6x0.22",
    "device": "sliding-drive",
    "build": "brick 365 mm",
}
"""Names out of the catalogue that the starter uses, by kind."""

_TEXT: Final = """\
# A job: one customer's whole installation. Change it line by line; 'farpress assess' says
# what holds, what fails and what is still open. Quantities are written with their unit.
farpress: 2                             # format of this file
job: {name}
region: europe                          # which radio limits apply: europe, or north america

details:                                # stands on the papers
  customer: Alder family
  address: 3 Thornwick Rise, Morrowby

premises:
  house:
    surroundings: residential           # city, business, residential or rural
    # The plan: x to the east, y to the north, in metres from a corner you choose.
    levels:
      ground: {{floor: 0 m, clear: 2.5 m}}
    walls:                              # those between the fobs and the receiver come first
      - {{level: ground, build: brick 365 mm, along: [[8, 20], [18, 20], [18, 29], [8, 29], [8, 20]]}}
    places:                             # where somebody presses
      street: {{at: [13, -12], pressed: in car, seat: front}}
      porch: {{at: [13, 18.5]}}
    supplies:
      main: {{part: supply-12v-1a5, battery: {{part: lead-7ah}}}}
    receivers:
      R1:
        part: receiver-4                # generic; values of your data sheet can be written here too
        at: [16, 21, 1.8]               # x, y, height
        fed: {{from: main, cable: {{part: alarm-6x0.22, length: 2 m}}}}
        outputs:
          1: {{kind: pulse, for: 0.5 s, works: gate.open, cable: {{part: alarm-6x0.22, length: 28 m}}}}
    devices:
      gate:
        part: sliding-drive
        at: [11, 2]
        travel: 20 s
        safeguards: [beams, edge]       # as found on site; they stay the drive's own business

functions:                              # what a press is for
  open gate: {{output: house/R1/1, kind: open}}

groups:                                 # who holds which fob, with which buttons
  family:
    fob: fob-4
    buttons: {{1: open gate}}
    count: 4
    spares: 1

promises:                               # what was promised: to whom, which function, from where
  - {{to: family, function: open gate, from: street, within: 2 presses, at_least: 95 %}}
  - {{to: family, function: open gate, from: porch, within: 1 press, at_least: 95 %, importance: should}}

rules:                                  # what must never happen
  - {{never: works after power return, of: [open gate], says: "after a power cut the gate stays as it is"}}
"""


def starter_text(name: str) -> str:
    """The text of a first job file, for a job of this name."""
    return _TEXT.format(name=written_scalar(name))


def write_starter(folder: Path, *, name: str | None = None) -> Path:
    """Make a job folder with a first job file in it.

    Args:
        folder: made if it is not there yet.
        name: of the job; without it the folder's name.

    Returns:
        The file written.

    Raises:
        JobFileError: a job is there already (it is left alone), or the folder cannot be made.
    """
    if "\0" in str(folder):
        raise JobFileError([Fault(FILE_NAME, 0, 0, "", "a path cannot hold a NUL character")])
    title = (
        name if name is not None else folder.resolve().name.replace("-", " ").replace("_", " ")
    ).strip() or "First job"
    if len(title) > 300 or not title.isprintable():
        raise JobFileError(
            [
                Fault(
                    FILE_NAME,
                    0,
                    0,
                    "job",
                    "the name of a job has at most 300 characters, all of them printable; give another with"
                    " --name",
                )
            ]
        )
    return _put(folder, starter_text(title))


def example_names() -> tuple[str, ...]:
    """The jobs that come with Farpress, by the name of their folder."""
    return tuple(sorted(path.parent.name for path in _examples().glob(f"*/{FILE_NAME}")))


def write_example(folder: Path, example: str) -> Path:
    """Make a job folder with a copy of a job that comes with Farpress.

    Args:
        folder: made if it is not there yet.
        example: one of `example_names`.

    Returns:
        The file written.

    Raises:
        JobFileError: no such example, a job is there already (it is left alone), or the folder cannot
            be made.
    """
    if "\0" in str(folder):
        raise JobFileError([Fault(FILE_NAME, 0, 0, "", "a path cannot hold a NUL character")])
    names = example_names()
    if example not in names:
        says = (
            f"there is no example '{example}'; there {'is' if len(names) == 1 else 'are'} {', '.join(names)}"
        )
        raise JobFileError([Fault(FILE_NAME, 0, 0, "", says)])
    return _put(folder, (_examples() / example / FILE_NAME).read_text(encoding="utf-8"))


def _examples() -> Path:
    """Where they lie: in the package as installed, or beside the source."""
    package = Path(__file__).resolve().parents[1]
    shipped = package / "examples"
    return shipped if shipped.is_dir() else package.parents[1] / "examples"


def _put(folder: Path, text: str) -> Path:
    """Write a new job file, whole, where none is yet."""
    target = folder / FILE_NAME
    try:
        if folder.exists() and not folder.is_dir():
            raise JobFileError(
                [Fault(FILE_NAME, 0, 0, "", f"{folder} is a file; give a folder to make the job in")]
            )
        folder.mkdir(parents=True, exist_ok=True)
        with target.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
    except FileExistsError as error:
        says = f"there is a job in {folder} already; it was left as it is. Give another folder"
        raise JobFileError([Fault(FILE_NAME, 0, 0, "", says)]) from error
    except (OSError, ValueError) as error:
        says = f"the job could not be made in {folder}: {getattr(error, 'strerror', None) or error}"
        raise JobFileError([Fault(FILE_NAME, 0, 0, "", says)]) from error
    return target
