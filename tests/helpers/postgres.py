"""A throw-away PostgreSQL for the tests: loopback only, gone when the tests end."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from helpers.kinds import need
from helpers.waiting import until

__all__ = ["Server", "cluster", "new_database"]


@contextmanager
def cluster() -> Iterator[str]:
    """Start a cluster and give the address of its server, without a database's name; stop and remove it
    after.
    """
    with Server() as server:
        yield server.address


class Server:
    """A cluster that can be killed and started again, and whose files can be kept from growing.

    `is_safe` makes it write to the disk as a real one does; `log_mb` is the size of a file of its log.
    """

    def __init__(self, *, is_safe: bool = False, log_mb: int = 16) -> None:
        """Make the cluster's files."""
        need("database")
        self._log_mb = log_mb
        self._folder = Path(tempfile.mkdtemp(prefix="farpress-pg-"))
        self._port = _free_port()
        self._settings = f"-p {self._port} -c listen_addresses=127.0.0.1 -c unix_socket_directories=''" + (
            "" if is_safe else " -c fsync=off"
        )
        self.address = f"postgresql://farpress@127.0.0.1:{self._port}"

    def __enter__(self) -> Server:
        if os.geteuid() == 0:  # the server refuses to run as root
            shutil.chown(self._folder, "postgres", "postgres")
        self._folder.chmod(0o700)
        try:
            _run(
                "initdb",
                "-D",
                f"{self._folder}/data",
                "-U",
                "farpress",
                "-A",
                "trust",
                "-E",
                "UTF8",
                "--no-sync",
                "--locale=C",
                f"--wal-segsize={self._log_mb}",
            )
            self.start()
        except BaseException:
            shutil.rmtree(self._folder, ignore_errors=True)
            raise
        return self

    def __exit__(self, *_: object) -> None:
        try:
            if (self._folder / "data" / "postmaster.pid").exists():
                _run("pg_ctl", "-D", f"{self._folder}/data", "-m", "immediate", "-w", "stop")
        finally:
            shutil.rmtree(self._folder, ignore_errors=True)

    def start(self) -> None:
        """Start the server, after a kill too."""
        _run(
            "pg_ctl",
            "-D",
            f"{self._folder}/data",
            "-l",
            f"{self._folder}/log",
            "-w",
            "-o",
            self._settings,
            "start",
        )

    def limit_files(self, most_bytes: int | None) -> None:
        """No file may grow beyond so many bytes, in every process of the cluster, as if the disk were full;
        None lifts it.
        """
        number = int((self._folder / "data" / "postmaster.pid").read_text().split()[0])
        for process in {number, *_children_of(self._folder)}:
            _run(
                "prlimit",
                "--pid",
                str(process),
                f"--fsize={'unlimited' if most_bytes is None else most_bytes}:",
            )  # the soft limit alone

    def kill(self) -> None:
        """End the server's process at once, as a power cut would: kill -9; its own children end when they
        notice.
        """
        number = int((self._folder / "data" / "postmaster.pid").read_text().split()[0])
        os.kill(number, signal.SIGKILL)
        until(lambda: not _children_of(self._folder), "its children end")
        # where nobody collects the dead process its number still counts as running; after a power cut it
        # would not
        (self._folder / "data" / "postmaster.pid").unlink(missing_ok=True)


def _children_of(folder: Path) -> list[int]:
    """Processes of the cluster that still run: those that work in its folder."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            if (place / "cwd").resolve() == folder / "data":
                found.append(int(place.name))
        except OSError:
            continue
    return found


def new_database(server: str, name: str) -> str:
    """Make an empty database and give its address."""
    import psycopg

    with psycopg.connect(f"{server}/postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"'.encode())
    return f"{server}/{name}"


def _free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


def _run(program: str, *words: str) -> None:
    command = [_program(program), *words]
    if os.geteuid() == 0:
        command = ["runuser", "-u", "postgres", "--", *command]
    done = subprocess.run(
        command,
        cwd="/",
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE if program == "initdb" else subprocess.DEVNULL,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"{program} failed: {done.stdout}"


def _program(name: str) -> str:
    """In the PATH, or where Debian keeps it."""
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    path = str(found[-1]) if found else shutil.which(name)
    assert path, f"{name} is not here; on Debian or Ubuntu: sudo apt-get install postgresql"
    return path
