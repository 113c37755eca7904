"""Photos and notes at the desk: kept by what their bytes say, served as that, gone along with the folder."""

from __future__ import annotations

import json
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

import pytest

from farpress.editing.seen import MOST_BYTES, keep_seen, kind_of_bytes, seen_in
from farpress.errors import InputError
from farpress.firm.parcel import parcel_from_json, parcel_json, parcel_of_folder, put_into
from helpers.desk import Served, copy_of

SEEN = "/j/larkfen-house/seen"
PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 40
GATE = json.dumps(["premises", "larkfen", "devices", "gate"])


def _bring(desk: Served, data: bytes, *, shows: str = GATE, name: str = "photo.png", says: str = "") -> Any:
    """As a browser sends a file."""
    mark = "----farpress"
    parts = [("shows", None, shows.encode()), ("says", None, says.encode()), ("file", name, data)]
    body = b""
    for field, filename, content in parts:
        more = f'; filename="{filename}"' if filename else ""
        body += f'--{mark}\r\nContent-Disposition: form-data; name="{field}"{more}\r\n\r\n'.encode()
        body += content + b"\r\n"
    request = urllib.request.Request(
        f"{desk.address}{SEEN}/bring",
        body + f"--{mark}--\r\n".encode(),
        {"Content-Type": f"multipart/form-data; boundary={mark}", "Accept": "application/json"},
    )
    try:
        with urllib.request.urlopen(request) as answer:
            return json.loads(answer.read())
    except urllib.error.HTTPError as error:
        text = error.read().decode()
        return json.loads(text) if text.startswith("{") else {"ok": False, "says": text}


def test_a_photo_is_kept_with_its_thing_and_served_as_what_it_is(house: Served) -> None:
    """The name of the file says nothing; a page that calls itself a photo is refused."""
    told = _bring(house, PNG, name="evil.html", says="the rail <b>bent</b>")
    assert told["ok"], told
    served = house.ask(f"{SEEN}/{told['id']}")
    assert served.headers["content-type"] == "image/png"
    assert served.headers["x-content-type-options"] == "nosniff"
    page = house.ask(SEEN, headers={"Accept": "text/html"}).text
    assert "Device gate" in page
    assert "<b>bent" not in page
    assert not _bring(house, b"<html><script>alert(1)</script>", name="photo.png")["ok"]
    assert not _bring(house, b"")["ok"]
    assert not _bring(house, PNG, shows=GATE.replace("gate", "moat"))["ok"]
    assert "MB" in _bring(house, PNG + b"\0" * MOST_BYTES)["says"]
    assert house.ask(f"{SEEN}/out", {"id": "../job"}).status == 422
    assert house.ask(f"{SEEN}/..%2Fjob.yaml").status in (404, 422)
    assert house.ask(f"{SEEN}/out", {"id": told["id"]}).status == 200

    assert list(seen_in(house.folder)) == []
    assert house.ask(f"{SEEN}/{told['id']}").status == 422


@pytest.mark.parametrize(
    ("data", "kind"),
    [
        (b"\xff\xd8\xff\xe0", "jpg"),  # ITU-T T.81, B.1.1.3: SOI, then a marker
        (b"\x89PNG\r\n\x1a\n", "png"),  # W3C PNG, third edition, 5.2
        (b"RIFF\0\0\0\0WEBPVP8 ", "webp"),  # RFC 9649, 2.3
        (b"RIFF\0\0\0\0WAVEfmt ", "wav"),
        (b"OggS\0\2", "ogg"),  # RFC 3533, 6
        (b"\x1aE\xdf\xa3", "webm"),  # RFC 8794, 11.2.1
        (b"\0\0\0\x20ftypM4A ", "m4a"),  # ISO/IEC 14496-12, 4.3, from memory
        (b"ID3\3", "mp3"),  # from memory
        (b"\xff\xfb\x90\0", "mp3"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'>", ""),
        (b"GIF89a", ""),
        (b"%PDF-1.7", ""),
        (b"\0\0\0\x20ftypheic", ""),
        (b"", ""),
    ],
)
def test_the_first_bytes_say_what_it_is(data: bytes, kind: str) -> None:
    """As the documents beside each say; what can carry a script is none of them."""
    assert kind_of_bytes(data) == kind


def test_photos_go_out_and_come_back_with_the_folder(tmp_path: Path) -> None:
    """As text over a wire, and into another folder: the same notes, byte for byte."""
    folder = copy_of("larkfen-house", tmp_path)
    shows = ("premises", "larkfen", "devices", "gate")
    for number in range(3):
        keep_seen(
            folder, PNG + bytes([number]), shows=shows, says=f"{number}", by="fitter", moment="2026-11-30"
        )
    parcel = parcel_from_json(parcel_json(parcel_of_folder(folder)))
    put_into(tmp_path / "back", parcel, replaces=None, by="fitter")

    assert list(seen_in(tmp_path / "back")) == list(seen_in(folder))
    assert len(list(seen_in(folder))) == 3
    with pytest.raises(InputError, match="letters"):
        keep_seen(folder, PNG, shows=shows, says="x" * 401, by="fitter", moment="2026-11-30")


def test_a_note_that_was_spoilt_is_left_out(tmp_path: Path) -> None:
    """A table that is none, or leads elsewhere, shows nothing and breaks nothing."""
    folder = copy_of("larkfen-house", tmp_path)
    note = keep_seen(folder, PNG, shows=(), says="", by="fitter", moment="2026-11-30")
    table = folder / "seen" / f"{note.id}.json"
    for text in ("", "[]", "{}", json.dumps({**json.loads(table.read_text()), "id": "../../job"})):
        table.write_text(text)

        assert list(seen_in(folder)) == []
