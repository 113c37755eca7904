"""A throw-away PostgreSQL for the tests: loopback only, gone when the tests end."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["cluster", "new_database"]


@contextmanager
def cluster() -> Iterator[str]:
    """Start a cluster and give the address of its server, without a database's name; stop and remove it after."""
    folder = Path(tempfile.mkdtemp(prefix="farpress-pg-"))
    if os.geteuid() == 0:  # the server refuses to run as root
        shutil.chown(folder, "postgres", "postgres")
    folder.chmod(0o700)
    port = _free_port()
    try:
        _run("initdb", "-D", f"{folder}/data", "-U", "farpress", "-A", "trust", "-E", "UTF8", "--no-sync", "--locale=C")
        settings = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} -c fsync=off"
        _run("pg_ctl", "-D", f"{folder}/data", "-l", f"{folder}/log", "-w", "-o", settings, "start")
        try:
            yield f"postgresql://farpress@127.0.0.1:{port}"
        finally:
            _run("pg_ctl", "-D", f"{folder}/data", "-m", "immediate", "-w", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


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
    done = subprocess.run(command, cwd="/", stdin=subprocess.DEVNULL, stdout=subprocess.PIPE if program == "initdb" else subprocess.DEVNULL,
                          stderr=subprocess.STDOUT, text=True, check=False)
    assert done.returncode == 0, f"{program} failed: {done.stdout}"


def _program(name: str) -> str:
    """In the PATH, or where Debian keeps it."""
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))
    path = str(found[-1]) if found else shutil.which(name)
    assert path, f"{name} is not here; on Debian or Ubuntu: sudo apt-get install postgresql"
    return path
