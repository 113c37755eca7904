"""The shelf as a service: health, search, and the way out and back for laptops, over HTTP.

Meant for a loopback address behind the firm's own door (a reverse proxy with TLS), or with
a certificate of its own. Each member needs a key. The log is a line of JSON for each
request; it holds marks and patterns of addresses, never a name, a job or an address.
"""

from __future__ import annotations

import base64
import json
import shutil
import ssl
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import parse_qs, unquote, urlsplit

from farpress import __version__
from farpress.errors import FarpressError, InputError, RecordError
from farpress.firm.moves import receive
from farpress.firm.parcel import parcel_from_json, parcel_json, parcel_of_shelf
from farpress.firm.shelf import Firm
from farpress.jobfile.merging import MergeRefused
from farpress.record.members import NOBODY, enter, members
from farpress.record.shelf import Shelf

if TYPE_CHECKING:
    from farpress.record.members import Member

__all__ = ["Health", "Service", "health", "serve"]

LARGEST_BODY: Final = 200_000_000
"""Bytes of a request; our choice: a job with its plans has some ten million."""

LEAST_FREE: Final = 500_000_000
"""Bytes free on the disk below which the service counts as unwell; our choice."""

TRIES: Final = (10, 300.0)
"""Wrong keys from one address within so many seconds before it has to wait; our choice."""

IDLE_S: Final = 30.0
"""A connection that says nothing for so long is closed; our choice."""


@dataclass(frozen=True)
class Health:
    """How the service is; nothing in it is personal.

    Attributes:
        is_well: everything below is as it should be.
        says: what is not.
        version, shape: of the program and of the database.
        jobs, events: numbers.
        last_backup: date of the last backup, or empty.
        disk_free: bytes free where the database file lies; None for a database elsewhere.
    """

    is_well: bool
    says: tuple[str, ...]
    version: str
    shape: str = ""
    jobs: int = 0
    events: int = 0
    last_backup: str = ""
    disk_free: int | None = None


def health(shelf: Shelf, *, file: Path | None = None) -> Health:
    """Look whether the database answers, is of this version's shape, has room, and was backed up."""
    from sqlalchemy import func, select

    from farpress.record.migrations import newest, shape_of
    from farpress.record.shelf_tables import JOB
    from farpress.record.tables import EVENT

    free = shutil.disk_usage(file.parent).free if file is not None else None
    try:
        with shelf.reading() as connection:
            shape = shape_of(connection)
            jobs = int(connection.execute(select(func.count()).select_from(JOB)).scalar_one())
            events = int(connection.execute(select(func.count()).select_from(EVENT)).scalar_one())
            last = (
                connection.execute(select(func.max(EVENT.c.at)).where(EVENT.c.kind == "backup made")).scalar()
                or ""
            )
    except RecordError as error:
        return Health(False, (f"the database does not answer: {error}",), __version__, disk_free=free)
    says = []
    if shape != newest():
        says.append(f"the database has shape {shape}, this version works with {newest()}")
    if free is not None and free < LEAST_FREE:
        says.append(f"only {free / 1e6:.0f} MB are free on the disk")
    return Health(not says, tuple(says), __version__, shape, jobs, events, last[:10], free)


@dataclass
class Service:
    """What the requests share.

    Attributes:
        shelf: the jobs.
        file: of the database, for the free space; None for one elsewhere.
        log: takes a line of JSON.
    """

    shelf: Shelf
    file: Path | None = None
    log: Callable[[str], None] = lambda line: print(line, file=sys.stderr, flush=True)  # noqa: T201
    _wrong: dict[str, list[float]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def tell(self, what: str, **more: object) -> None:
        """One line of the log."""
        at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
        self.log(json.dumps({"at": at, "event": what} | more, sort_keys=True))

    def answer(
        self, method: str, path: str, header: str, body: bytes, *, address: str
    ) -> tuple[int, str, bytes, dict[str, object]]:
        """Status, kind of content, content, and what the log may know."""
        place = urlsplit(path)
        pieces = [unquote(piece) for piece in place.path.split("/") if piece]
        if method == "GET" and pieces == ["health"]:
            found = health(self.shelf, file=self.file)
            return (
                200 if found.is_well else 503,
                "application/json",
                _json(found.__dict__),
                {"route": "/health"},
            )
        if method == "GET" and not pieces:
            return (
                200,
                "text/html; charset=utf-8",
                _page(health(self.shelf, file=self.file)).encode(),
                {"route": "/"},
            )
        who = self._who(header, address)
        firm = Firm(self.shelf, who)
        about: dict[str, object] = {"member": who.mark}
        match method, pieces:
            case "GET", ["jobs"]:
                words = parse_qs(place.query).get("find", [""])[0].split()
                return (
                    200,
                    "application/json",
                    _json([entry.__dict__ for entry in firm.find(words)]),
                    about | {"route": "/jobs"},
                )
            case "POST", ["jobs", job, "out"]:
                firm.may("check out")
                out = self.shelf.give_out(job, by=who.mark)
                return (
                    200,
                    "application/json",
                    parcel_json(parcel_of_shelf(self.shelf, job, ticket=out.ticket)).encode(),
                    about | {"route": "/jobs/*/out"},
                )
            case "POST", ["jobs", job, "in"]:
                parcel = parcel_from_json(body)
                if parcel.job != job:
                    raise InputError("The parcel is of another job than the address says.")
                back = receive(firm, parcel, says=parse_qs(place.query).get("says", [""])[0])
                reply = {
                    "back": back.__dict__,
                    "parcel": json.loads(parcel_json(parcel_of_shelf(self.shelf, job, ticket=parcel.ticket))),
                }
                return (
                    200,
                    "application/json",
                    _json(reply),
                    about
                    | {
                        "route": "/jobs/*/in",
                        "is_new": back.is_new,
                        "merged": back.merged,
                        "events": back.events_taken,
                    },
                )
        return (
            404,
            "application/json",
            _json({"says": "There is nothing at this address."}),
            about | {"route": "unknown"},
        )

    def _who(self, header: str, address: str) -> Member:
        with self._lock:
            tries = [at for at in self._wrong.get(address, []) if time.monotonic() - at < TRIES[1]]
            self._wrong[address] = tries
            if len(tries) >= TRIES[0]:
                raise _Refused(429, "Too many wrong keys; wait some minutes.")
        try:
            name, _, key = (
                base64.b64decode(header.removeprefix("Basic "), validate=True).decode().partition(":")
                if header.startswith("Basic ")
                else ("", "", "")
            )
            who = enter(self.shelf.record, name, key)
        except (InputError, ValueError) as error:
            with self._lock:
                self._wrong.setdefault(address, []).append(time.monotonic())
            raise _Refused(401, "Say who you are: name and key of a member.") from error
        if who != NOBODY and not who.has_key:
            raise _Refused(
                401,
                "Over the network a member needs a key: 'farpress firm member change NAME --new-key' makes"
                " one.",
            )
        return who


def serve(
    service: Service,
    *,
    host: str,
    port: int,
    certificate: Path | None = None,
    key: Path | None = None,
    ready: Callable[[int], None] | None = None,
) -> None:
    """Answer until the process is told to end (SIGTERM, or Ctrl-C); requests in hand are finished.

    Args:
        service: what is served.
        host, port: where; port 0 takes a free one.
        certificate, key: for TLS; without them only a loopback address is served.
        ready: told the port once requests are taken.

    Raises:
        InputError: an address other than loopback without TLS or without members, or one that cannot be had.
    """
    is_local = host in ("127.0.0.1", "::1", "localhost")
    if not is_local and certificate is None:
        raise InputError(
            f"On {host} the service needs a certificate (--certificate and --key); without one it serves"
            " 127.0.0.1, behind your own door."
        )
    if not is_local and not members(service.shelf.record):
        raise InputError(
            "On a network the shelf needs members with keys: 'farpress firm member add NAME --role manager"
            " --key'."
        )
    try:
        server = _Server((host, port), service)
    except OSError as error:
        raise InputError(f"{host}:{port} cannot be had: {error.strerror or error}.") from error
    if certificate is not None:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(certificate, key)
        server.socket = context.wrap_socket(server.socket, server_side=True, do_handshake_on_connect=False)
    _end_on_signals(server)
    service.tell("started", version=__version__, port=server.server_address[1])
    if ready is not None:
        ready(server.server_address[1])
    try:
        server.serve_forever(poll_interval=0.2)
    except KeyboardInterrupt:
        pass
    finally:
        server.server_close()
        service.tell("ended")


def _end_on_signals(server: ThreadingHTTPServer) -> None:
    import signal

    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, lambda *_: threading.Thread(target=server.shutdown).start())


class _Refused(FarpressError):
    """An answer that is no."""

    def __init__(self, status: int, says: str) -> None:
        self.status = status
        super().__init__(says)


class _Server(ThreadingHTTPServer):
    daemon_threads = False  # requests in hand are finished before the process ends
    block_on_close = True

    def __init__(self, address: tuple[str, int], service: Service) -> None:
        self.service = service
        super().__init__(address, _Request)


class _Request(BaseHTTPRequestHandler):
    server: _Server
    timeout = IDLE_S
    protocol_version = "HTTP/1.1"
    server_version = "farpress"
    sys_version = ""

    def do_GET(self) -> None:
        self._handle("GET")

    def do_POST(self) -> None:
        self._handle("POST")

    def _handle(self, method: str) -> None:
        began = time.monotonic()
        about: dict[str, object] = {"route": "unknown"}
        kind, content = "application/json", b""
        try:
            length = int(self.headers.get("Content-Length") or 0)
            if not 0 <= length <= LARGEST_BODY:
                self.close_connection = True
                raise _Refused(413, f"At most {LARGEST_BODY / 1e6:.0f} MB can be sent at once.")
            body = self.rfile.read(length)
            if len(body) < length:
                raise _Refused(400, "The request was cut off.")
            status, kind, content, about = self.server.service.answer(
                method,
                self.path,
                self.headers.get("Authorization") or "",
                body,
                address=self.client_address[0],
            )
        except _Refused as error:
            status, content = error.status, _json({"says": str(error)})
        except MergeRefused as error:
            clashes = [
                {"path": list(one.path), "before": one.before, "mine": one.mine, "theirs": one.theirs}
                for one in error.clashes
            ]
            status, content = 409, _json({"says": str(error), "clashes": clashes})
        except RecordError as error:
            status, content = 503, _json({"says": str(error)})
        except (FarpressError, ValueError) as error:
            status, content = 400, _json({"says": str(error)})
        except Exception as error:  # the text could hold a name, so the log gets the kind only
            status, content = 500, _json({"says": "The service made a mistake; nothing was written."})
            about = {"route": "unknown", "fault": type(error).__name__}
        self.send_response(status)
        for name, value in _HEADERS.items():
            self.send_header(name, value)
        if status == 401:
            self.send_header("WWW-Authenticate", 'Basic realm="farpress"')
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)
        self.server.service.tell(
            "request", method=method, status=status, ms=round(1000 * (time.monotonic() - began)), **about
        )

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing: the usual line holds the address, and with it names of jobs."""


_HEADERS: Final = {
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'",
}


def _json(value: object) -> bytes:
    return json.dumps(value, ensure_ascii=False, sort_keys=True).encode()


def _page(found: Health) -> str:
    """The health page for a person: no script, nothing from elsewhere."""
    rows = [
        ("Program", found.version),
        ("Database", f"shape {found.shape}" if found.shape else "does not answer"),
        ("Jobs", str(found.jobs)),
        ("Entries in the record", str(found.events)),
        ("Last backup", found.last_backup or "never"),
    ]
    if found.disk_free is not None:
        rows.append(("Free on the disk", f"{found.disk_free / 1e9:.1f} GB"))
    table = "".join(f"<tr><th scope=row>{name}</th><td>{value}</td></tr>" for name, value in rows)
    says = (
        "Everything is well." if found.is_well else "Not well: " + "; ".join(found.says).replace("<", "&lt;")
    )
    style = (
        "body{font:1.1rem/1.5 system-ui,sans-serif;margin:2rem auto;max-width:34rem;padding:0"
        " 1rem;color-scheme:light"
        " dark}th{text-align:left;padding-right:2rem;font-weight:500}p{border-left:.4rem"
        " solid;padding-left:.8rem}"
    )
    return (
        "<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport"
        " content='width=device-width'><title>Farpress: the firm's"
        f" shelf</title><style>{style}</style><main><h1>The firm's shelf</h1><p"
        f" role=status>{says}</p><table>{table}</table></main></html>"
    )
