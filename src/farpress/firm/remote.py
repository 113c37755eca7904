"""A laptop's side of the service: take a copy out and bring it back over HTTP.

The same parcels as with the database at hand; what the service refuses is told in its words.
"""

from __future__ import annotations

import base64
import json
import ssl
from dataclasses import dataclass, replace
from http.client import HTTPException
from pathlib import Path
from typing import Any, Final
from urllib.error import HTTPError, URLError
from urllib.parse import quote
from urllib.request import HTTPSHandler, ProxyHandler, Request, build_opener

from farpress.errors import FarpressError, InputError, RecordError
from farpress.firm.arriving import require_free
from farpress.firm.moves import Back
from farpress.firm.parcel import Parcel, parcel_from_json, parcel_json, parcel_of_folder, put_into
from farpress.jobfile.merging import Clash, MergeRefused

__all__ = ["Remote"]

WAIT_S: Final = 60.0
"""For an answer; our choice: a job with plans over a slow link takes some seconds."""


@dataclass(frozen=True)
class Remote:
    """A service somewhere.

    Attributes:
        address: as "https://shelf.example:8443".
        name, key: of the member.
        authority: certificate file to trust besides the usual ones; None for none.
    """

    address: str
    name: str
    key: str
    authority: Path | None = None

    def find(self, words: str) -> list[dict[str, Any]]:
        """Jobs in which all words stand; fields as of `record.shelf.ShelfEntry`."""
        found: list[dict[str, Any]] = json.loads(self._ask("GET", f"/jobs?find={quote(words)}"))
        return found

    def check_out(self, job: str, folder: Path) -> Parcel:
        """Make a folder with a copy of a job."""
        require_free(folder, job)
        parcel = parcel_from_json(self._ask("POST", f"/jobs/{quote(job, safe='')}/out"))
        put_into(folder, parcel, replaces=None, by=self.name)
        return parcel

    def check_in(self, folder: Path, *, says: str = "", made_on: int | None = None) -> Back:
        """Bring a copy back; afterwards firm and folder hold the same. Errors as for
        `moves.check_in`.
        """
        parcel = parcel_of_folder(folder, made_on=made_on)
        reply = json.loads(
            self._ask(
                "POST",
                f"/jobs/{quote(parcel.job, safe='')}/in?says={quote(says)}",
                parcel_json(parcel).encode(),
            )
        )
        given = put_into(folder, parcel_from_json(json.dumps(reply["parcel"])), replaces=parcel, by=self.name)
        return replace(Back(**reply["back"]), events_given=given)

    def _ask(self, method: str, path: str, body: bytes | None = None) -> bytes:
        if not self.address.startswith(("https://", "http://127.0.0.1", "http://localhost", "http://[::1]")):
            raise InputError(
                "Beyond this machine the address begins with https://, so that the key is not read on the"
                " way."
            )
        request = Request(
            self.address.rstrip("/") + path,
            data=b"" if body is None and method == "POST" else body,
            method=method,
        )
        request.add_header(
            "Authorization", "Basic " + base64.b64encode(f"{self.name}:{self.key}".encode()).decode()
        )
        context = ssl.create_default_context(
            cafile=str(self.authority) if self.authority is not None else None
        )
        try:
            with build_opener(ProxyHandler({}), HTTPSHandler(context=context)).open(
                request, timeout=WAIT_S
            ) as answer:
                return bytes(answer.read())
        except HTTPError as error:
            raise _refusal(error) from error
        except (
            URLError,
            HTTPException,
            OSError,
        ) as error:  # HTTPException: it died in the middle of its answer
            raise RecordError(
                f"The service at {self.address} does not answer: {getattr(error, 'reason', error)}. Nothing"
                " is lost; try again when there is a connection."
            ) from error


def _refusal(error: HTTPError) -> FarpressError:
    try:
        value = json.loads(error.read())
    except ValueError:
        value = {}
    says = str(value.get("says") or f"The service refused ({error.code}).")
    if error.code == 409 and "clashes" in value:
        return MergeRefused(
            [
                Clash(tuple(clash["path"]), clash["before"], clash["mine"], clash["theirs"])
                for clash in value["clashes"]
            ]
        )
    return RecordError(says) if error.code == 503 else InputError(says)
