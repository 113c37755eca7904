"""The shelf as a service: health, search, and the way out and back for laptops, over HTTP.

Meant for a loopback address behind the firm's own door (a reverse proxy with TLS), or with
a certificate of its own. Each member needs a key. The log is a line of JSON for each
request; it holds marks and patterns of addresses, never a name, a job or an address.
"""

from __future__ import annotations

import json
import socket
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from farpress.errors import FarpressError, InputError, RecordError
from farpress.firm.health import health, health_page
from farpress.firm.moves import receive
from farpress.firm.parcel import Parcel, parcel_from_json, parcel_json, parcel_of_shelf
from farpress.firm.service_door import LARGEST_BODY, TRIES, JsonAnswer, KeyDoor, Logged
from farpress.firm.shelf import Firm
from farpress.jobfile.merging import MergeRefused
from farpress.record.members import members
from farpress.record.shelf import Shelf
from farpress.version import __version__
from farpress.web.bodies import BodyLimit
from farpress.web.pace import Pace
from farpress.web.serving import serve_app

__all__ = ["Service", "make_service_app", "serve"]


@dataclass
class Service:
    """What the requests share.

    Attributes:
        shelf: the jobs.
        file: of the database, for the free space; None for one elsewhere.
        log: takes a line of JSON.
        wrong_keys: given by each address.
    """

    shelf: Shelf
    file: Path | None = None
    log: Callable[[str], None] = lambda line: print(line, file=sys.stderr, flush=True)  # noqa: T201
    wrong_keys: Pace = field(default_factory=lambda: Pace(*TRIES))

    def tell(self, event: str, **values: object) -> None:
        """One line of the log."""
        moment = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
        self.log(json.dumps({"at": moment, "event": event} | values, sort_keys=True))


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
    health(service.shelf)  # loads what speaks to the database, a second that no request has to wait for
    listening = _socket(host, port)
    number = int(listening.getsockname()[1])

    def started() -> None:
        service.tell("started", version=__version__, port=number)
        if ready is not None:
            ready(number)

    try:
        serve_app(
            make_service_app(service),
            listening,
            certificate=certificate,
            key=key,
            ready=started,
            is_quiet=True,
        )
    except KeyboardInterrupt:
        pass
    finally:
        listening.close()
        service.tell("ended")


def make_service_app(service: Service) -> Starlette:
    """The application over a shelf."""
    app = Starlette(
        routes=[
            Route("/", _front),
            Route("/health", _health),
            Route("/jobs", _jobs),
            Route("/jobs/{job:path}/out", _out, methods=["POST"]),
            Route("/jobs/{job:path}/in", _in, methods=["POST"]),
        ],
        middleware=[
            Middleware(Logged, tell=service.tell),
            Middleware(
                BodyLimit, limit=lambda scope: LARGEST_BODY, refusal=_too_large, drained=4 * LARGEST_BODY
            ),
            Middleware(KeyDoor, record=service.shelf.record, wrong_keys=service.wrong_keys),
        ],
        exception_handlers={
            MergeRefused: _clashes,
            RecordError: _told(503),
            FarpressError: _told(400),
            ValueError: _told(400),
            ClientDisconnect: _cut_off,
            404: _nothing_here,
            405: _nothing_here,
        },
    )
    app.state.service = service
    return app


def _health(request: Request) -> Response:
    service: Service = request.app.state.service
    request.state.told["route"] = "/health"
    state = health(service.shelf, file=service.file)
    return JsonAnswer(state.__dict__, 200 if state.is_well else 503)


def _front(request: Request) -> Response:
    service: Service = request.app.state.service
    request.state.told["route"] = "/"
    return HTMLResponse(health_page(health(service.shelf, file=service.file)))


def _jobs(request: Request) -> Response:
    request.state.told["route"] = "/jobs"
    wanted = request.query_params.get("find", "").split()
    return JsonAnswer([entry.__dict__ for entry in _firm(request).find(wanted)])


def _out(request: Request) -> Response:
    request.state.told["route"] = "/jobs/*/out"
    firm, job = _firm(request), request.path_params["job"]
    firm.may("check out")
    copy = firm.shelf.give_out(job, by=firm.who.mark)
    return _parcel(parcel_of_shelf(firm.shelf, job, ticket=copy.ticket))


async def _in(request: Request) -> Response:
    request.state.told["route"] = "/jobs/*/in"
    body = await request.body()
    return await run_in_threadpool(_taken_in, request, body)


def _taken_in(request: Request, body: bytes) -> Response:
    firm, parcel = _firm(request), parcel_from_json(body)
    if parcel.job != request.path_params["job"]:
        raise InputError("The parcel is of another job than the address says.")
    back = receive(firm, parcel, says=request.query_params.get("says", ""))
    request.state.told |= {"is_new": back.is_new, "merged": back.merged, "events": back.events_taken}
    returned = parcel_of_shelf(firm.shelf, parcel.job, ticket=parcel.ticket)
    return JsonAnswer({"back": back.__dict__, "parcel": json.loads(parcel_json(returned))})


def _firm(request: Request) -> Firm:
    service: Service = request.app.state.service
    return Firm(service.shelf, request.state.member)


def _parcel(parcel: Parcel) -> Response:
    return Response(parcel_json(parcel), media_type="application/json")


def _told(status: int) -> Callable[[Request, Exception], Response]:
    return lambda request, error: JsonAnswer({"says": str(error)}, status)


def _clashes(request: Request, error: Exception) -> Response:
    assert isinstance(error, MergeRefused)
    clashes: list[dict[str, Any]] = [
        {"path": list(clash.path), "before": clash.before, "mine": clash.mine, "theirs": clash.theirs}
        for clash in error.clashes
    ]
    return JsonAnswer({"says": str(error), "clashes": clashes}, 409)


def _cut_off(request: Request, error: Exception) -> Response:
    return JsonAnswer({"says": "The request was cut off."}, 400)


def _nothing_here(request: Request, error: Exception) -> Response:
    return JsonAnswer({"says": "There is nothing at this address."}, 404)


def _too_large(limit: int) -> ASGIApp:
    return JsonAnswer({"says": f"At most {limit / 1e6:.0f} MB can be sent at once."}, 413)


def _socket(host: str, port: int) -> socket.socket:
    try:
        return socket.create_server((host, port), family=socket.AF_INET6 if ":" in host else socket.AF_INET)
    except OSError as error:
        raise InputError(f"{host}:{port} cannot be had: {error.strerror or error}.") from error
