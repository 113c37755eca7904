"""PostgreSQL runs full: no file of it may grow, as on a full disk; nothing acknowledged is lost, and it goes
on when there is room.
"""

from __future__ import annotations

import secrets

import pytest

from farpress.errors import RecordError
from farpress.firm.facts import read_text
from farpress.firm.health import health
from farpress.firm.shelf import start_firm
from helpers.postgres import Server, new_database
from make_jobs import made_job

MOST = 2_500_000
"""Bytes a file may have: more than any that a new shelf needs, and than a file of the server's own log."""


@pytest.mark.database
def test_a_database_that_runs_full_loses_nothing_and_goes_on() -> None:
    """Versions of a job are put on the shelf until the disk refuses; all that were acknowledged are there,
    before and after a crash, and then the next is taken.
    """
    with Server(is_safe=True, log_mb=1) as server:
        firm, _ = start_firm(new_database(server.address, "full"))
        made = read_text(made_job(3).text)
        job = firm.shelf.add(made.name, made.text, made.fingerprint, made.facts, files={}, by="me").job
        plain = firm.shelf.version(job).text
        told: list[str] = [plain]

        def next_version() -> None:
            read = read_text(f"{plain}# {secrets.token_hex(150_000)}\n")
            firm.shelf.change(
                job, read.text, read.fingerprint, read.facts, parent=len(told), by="me", says=""
            )
            told.append(read.text)

        def fill() -> None:
            for _ in range(100):
                next_version()

        server.limit_files(MOST)
        with pytest.raises(
            RecordError,
            match=(
                r"nothing was written: .*There is no room left on the disk of the database: make room there"
                r" and do it again"
            ),
        ) as refused:
            fill()
        assert "could not extend file" in str(refused.value)
        assert len(told) > 3, "some were taken before"
        with pytest.raises(RecordError, match="no room left"):
            next_version()

        def everything_is_there() -> bool:
            texts = [firm.shelf.version(job, number).text for number in range(1, len(told) + 1)]
            return (
                texts == told
                and firm.shelf.version(job).number == len(told)
                and firm.shelf.record.breaches() == ()
            )

        assert everything_is_there(), "it is read while the disk is full"
        assert health(firm.shelf).is_well
        server.limit_files(None)
        next_version()
        assert everything_is_there(), "there is room again, and it goes on as it is"
        server.limit_files(MOST)
        with pytest.raises(RecordError, match="no room left"):
            fill()
        server.kill()
        server.start()
        assert everything_is_there(), "a crash while it is full"
        next_version()
        assert everything_is_there()
        firm.close()
