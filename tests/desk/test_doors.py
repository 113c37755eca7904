"""Who may come in, what they may do, and what is kept out: asked over real HTTP."""

from __future__ import annotations

import io
import json
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest

from farpress.desk.access import COOKIE, SESSION_S, Access, DeskRole, TooOften
from farpress.errors import InputError
from farpress.keys.table import read_table
from helpers.desk import Served, copy_of, served

pytestmark = pytest.mark.long

EDIT = {"changes": [{"path": ["details", "issue"], "value": "9"}], "says": "issue"}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Served]:
    """The family house on this machine alone."""
    with served(copy_of("larkfen-house", tmp_path)) as desk:
        yield desk


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[Served]:
    """The family house on the network."""
    with served(copy_of("larkfen-house", tmp_path), access=Access.for_network()) as desk:
        yield desk


def _pair(desk: Served, code: str, name: str = "Hesper") -> int:
    answer = desk.ask(
        "/pair?to=/",
        data=f"name={name}&code={code}".encode(),
        headers={"Content-Type": "application/x-www-form-urlencoded"},
    )
    return answer.status


def _code(desk: Served, role: DeskRole) -> str:
    code: str = desk.app.state.desk.access.codes[role]
    return code


def test_another_account_of_the_machine_needs_the_code(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The account that runs the desk needs none; the code on its terminal lets another one in."""
    monkeypatch.setattr("farpress.desk.app.is_another_account", lambda *_: True)
    with served(copy_of("larkfen-house", tmp_path), access=Access.for_machine()) as desk:
        shut = desk.ask("/j/larkfen-house/promises")

        assert "Larkfen" not in shut.text
        assert _pair(desk, "22222222") == 403
        assert _pair(desk, _code(desk, DeskRole.INSTALLER)) in (200, 303)
        assert "Larkfen" in desk.ask("/j/larkfen-house/promises").text


def test_another_host_name_is_not_answered(house: Served) -> None:
    """A page elsewhere that points its own name at this machine gets nothing."""
    answer = house.ask("/j/larkfen-house/promises", headers={"Host": "desk.example"})

    assert answer.status == 421
    assert "Larkfen" not in answer.text


@pytest.mark.parametrize(
    "headers", [{"Origin": "http://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}]
)
def test_a_change_sent_by_another_page_is_not_made(house: Served, headers: dict[str, str]) -> None:
    """Even with the right cookie."""
    house.ask("/j/larkfen-house/job")
    before = (house.folder / "job.yaml").read_bytes()

    assert house.ask("/j/larkfen-house/edit", EDIT, headers=headers).status == 403
    assert (house.folder / "job.yaml").read_bytes() == before


@pytest.mark.long
def test_every_answer_carries_the_strict_policy(house: Served) -> None:
    """No script but our own files, no frame, no sniffing, nothing kept by the browser."""
    answer = house.ask("/j/larkfen-house/promises", headers={"Accept": "text/html"})
    policy = answer.headers["content-security-policy"]

    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["x-frame-options"] == "DENY"
    assert answer.headers["cache-control"] == "no-store"
    assert "style=" not in answer.text
    assert "onclick" not in answer.text


def test_the_cookie_is_kept_from_scripts_and_other_sites(house: Served) -> None:
    """HttpOnly and SameSite=Strict."""
    given = house.ask("/j/larkfen-house/job").headers["set-cookie"]

    assert given.startswith(COOKIE)
    assert "HttpOnly" in given
    assert "SameSite=Strict" in given


def test_nobody_comes_in_from_the_network_without_a_code(shared: Served) -> None:
    """Pages lead to the pairing page, requests of scripts are refused."""
    assert (
        shared.ask("/j/larkfen-house/promises", headers={"Accept": "text/html"})
        .headers["location"]
        .startswith("/pair")
    )
    assert shared.ask("/j/larkfen-house/plan/data").status == 401
    assert shared.ask("/j/larkfen-house/edit", EDIT).status == 401


def test_a_reader_reads_a_keeper_keeps_and_an_installer_changes(shared: Served) -> None:
    """Each code has its own rights."""
    assert _pair(shared, _code(shared, DeskRole.READER)) == 303
    assert shared.ask("/j/larkfen-house/promises", headers={"Accept": "text/html"}).status == 200
    refused = shared.ask("/j/larkfen-house/edit", EDIT)
    assert refused.status == 403
    assert "installer" in refused.json["says"]
    shared.cookie = ""
    assert _pair(shared, _code(shared, DeskRole.INSTALLER).lower()) == 303
    assert shared.ask("/j/larkfen-house/edit", EDIT).json["ok"]
    versions = shared.ask("/j/larkfen-house/versions", headers={"Accept": "text/html"}).text

    assert "Hesper" in versions


def test_a_pairing_never_leads_to_another_site(shared: Served) -> None:
    """The page wanted before stays on this desk."""
    answer = shared.ask(
        "/pair?to=//elsewhere.example/",
        data=f"name=x&code={_code(shared, DeskRole.READER)}".encode(),
        headers={"Content-Type": "application/x-www-form-urlencoded"},
    )

    assert answer.headers["location"] == "/"


def test_wrong_codes_are_counted_and_then_refused() -> None:
    """Five from one address in a minute; after the minute it may try again."""
    now = [0.0]
    door = Access.for_network()
    door.clock = lambda: now[0]
    for _ in range(5):
        assert door.pair("00000000", name="x", address="10.0.0.9") is None
    with pytest.raises(TooOften):
        door.pair(door.codes[DeskRole.READER], name="x", address="10.0.0.9")
    assert door.pair(door.codes[DeskRole.READER], name="y", address="10.0.0.8") is not None
    now[0] = 61.0

    assert door.pair(door.codes[DeskRole.READER], name="x", address="10.0.0.9") is not None


def test_wrong_codes_of_others_lock_out_only_who_erred_too() -> None:
    """Thirty from six addresses: whoever has the code and never missed comes in; who missed once waits."""
    door = Access.for_network()
    door.clock = lambda: 0.0
    for address in range(6):
        for _ in range(5):
            assert door.pair("00000000", name="x", address=f"10.0.1.{address}") is None

    assert door.pair(door.codes[DeskRole.READER], name="y", address="10.0.0.8") is not None
    assert door.pair("00000000", name="y", address="10.0.0.7") is None
    with pytest.raises(TooOften):
        door.pair(door.codes[DeskRole.READER], name="y", address="10.0.0.7")


def test_a_name_chosen_by_oneself_is_nobody_elses() -> None:
    """The second of one name is told apart, capitals or not; who left frees the name."""
    door = Access.for_network()
    names = []
    for given in ("Hesper", "hesper", " Hesper  "):
        session = door.pair(door.codes[DeskRole.KEEPER], name=given, address="10.0.0.8")
        assert session is not None
        names.append(session.name)
    assert names == ["Hesper", "hesper (2)", "Hesper (3)"]


def test_a_session_ends_after_a_day_without_use() -> None:
    """And is gone then."""
    now = [0.0]
    door = Access.for_network()
    door.clock = lambda: now[0]
    session = door.pair(door.codes[DeskRole.KEEPER], name="Brask", address="a")
    assert session is not None
    now[0] = SESSION_S - 1
    assert door.session(session.mark) is session
    now[0] += SESSION_S + 1

    assert door.session(session.mark) is None


def test_too_many_requests_at_once_are_slowed_down(tmp_path: Path) -> None:
    """One address cannot keep the desk from the others."""
    with served(copy_of("larkfen-house", tmp_path), pace=(20, 5.0)) as desk:
        answers = [desk.ask("/health").status for _ in range(25)]

    assert answers[:20] == [200] * 20
    assert 429 in answers[20:]


@pytest.mark.parametrize(
    "path",
    [
        "/j/larkfen-house/plan/pictures/..%2f..%2fjob.yaml",
        "/j/larkfen-house/plan/pictures/%2e%2e%2fjob.yaml",
        "/static/..%2f..%2fapp.py",
        "/static/../app.py",
        "/j/..%2f..%2fetc/promises",
        "/face/..%2fLICENSE.txt",
    ],
)
def test_no_path_leads_out_of_its_folder(house: Served, path: str) -> None:
    """Neither plain nor written in percent signs."""
    house.ask("/j/larkfen-house/job")
    answer = house.ask(path)

    assert answer.status in (404, 422)
    assert "farpress:" not in answer.text
    assert "import" not in answer.text


def test_a_picture_that_is_a_link_out_of_the_folder_is_not_served(house: Served) -> None:
    """A link put into the folder by hand."""
    (house.folder / "plans").mkdir()
    (house.folder / "plans" / "0123456789abcdef.png").symlink_to(house.folder / "job.yaml")

    assert house.ask("/j/larkfen-house/plan/pictures/0123456789abcdef.png").status == 404


def _upload(desk: Served, data: bytes, name: str = "plan.png") -> tuple[int, str]:
    edge = "----edge"
    body = (
        (
            f"--{edge}\r\nContent-Disposition: form-data;"
            f' name="premises"\r\n\r\nlarkfen\r\n--{edge}\r\nContent-Disposition: form-data; name="file";'
            f' filename="{name}"\r\nContent-Type: application/octet-stream\r\n\r\n'
        ).encode()
        + data
        + f"\r\n--{edge}--\r\n".encode()
    )
    answer = desk.ask(
        "/j/larkfen-house/plan/import",
        data=body,
        headers={"Content-Type": f"multipart/form-data; boundary={edge}"},
    )
    return answer.status, answer.text


def _png_of(width: int, height: int) -> bytes:
    """A PNG that claims a size; its data is one row of zeros, packed."""
    import struct

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


def test_a_picture_of_absurd_size_is_refused_before_it_is_unpacked(house: Served) -> None:
    """A few hundred bytes that would become gigabytes."""
    house.ask("/j/larkfen-house/job")
    status, text = _upload(house, _png_of(60_000, 60_000))

    assert status == 422
    assert "million" in json.loads(text)["says"]


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"no picture at all",
        b"%PDF-1.7 broken",
        b"\x89PNG\r\n\x1a\n" + b"x" * 50,
        b"0\nSECTION\n2\nENTITIES\n0\nLINE\n",
        b"AC1032" + b"\0" * 100,
    ],
)
def test_files_that_are_not_what_they_seem_are_told_in_words(house: Served, data: bytes) -> None:
    """Never a fault of the program."""
    house.ask("/j/larkfen-house/job")
    status, text = _upload(house, data, "plan.dxf")

    assert status == 422
    assert json.loads(text)["says"]


def test_a_body_over_its_limit_is_refused(house: Served) -> None:
    """Declared or not."""
    house.ask("/j/larkfen-house/job")

    assert house.ask("/j/larkfen-house/edit", data=b"{" + b" " * 1_100_000 + b"}").status == 413


def test_an_uploaded_picture_lies_under_the_plan_and_is_undone(house: Served) -> None:
    """Drawn anew, named after its content, and part of the job."""
    from PIL import Image

    stream = io.BytesIO()
    Image.new("RGB", (300, 200), "white").save(stream, "JPEG")
    house.ask("/j/larkfen-house/job")
    status, _ = _upload(house, stream.getvalue(), "../../evil.jpg")
    pictures = house.ask("/j/larkfen-house/plan/pictures?premises=larkfen").json

    assert status == 200
    assert [sorted(path.name for path in (house.folder / "plans").iterdir())] == [[pictures[0]["file"]]]
    assert (
        house.ask(f"/j/larkfen-house/plan/pictures/{pictures[0]['file']}").headers["content-type"]
        == "image/png"
    )
    house.ask("/j/larkfen-house/undo", {})
    assert house.ask("/j/larkfen-house/plan/pictures?premises=larkfen").json == []


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"{",
        b'{"changes": 5}',
        b'{"changes": [{"path": []}]}',
        b'{"changes": [{"path": [true], "value": 1}]}',
        b"[" * 3000,
    ],
)
def test_nonsense_is_refused_in_words(house: Served, body: bytes) -> None:
    """And nothing is written."""
    house.ask("/j/larkfen-house/job")
    before = (house.folder / "job.yaml").read_bytes()
    answer = house.ask("/j/larkfen-house/edit", data=body)

    assert answer.status == 422
    assert answer.json["says"]
    assert (house.folder / "job.yaml").read_bytes() == before


@pytest.mark.parametrize(
    "query",
    [
        "budget?receiver=R1&x=1e308&y=0",
        "map?receiver=R1&left=0&right=1&low=0&high=1&columns=-5&rows=-5",
        "map?receiver=R1&left=0&right=1&low=0&high=1&columns=5&rows=5&aerial=nan,0",
        "map?receiver=R1&left=0&right=1&low=0&high=1&columns=5&rows=5&presses=900",
    ],
)
def test_figures_out_of_all_bounds_are_refused_in_words(house: Served, query: str) -> None:
    """Never a fault of the program."""
    answer = house.ask(f"/j/larkfen-house/plan/{query}")

    assert answer.status == 422
    assert answer.json["says"]


def test_lists_that_would_grow_without_end_are_refused(tmp_path: Path) -> None:
    """A packed spreadsheet of hundreds of megabytes, a cell in the last corner, a line of commas."""
    packed, corner, commas = tmp_path / "a.xlsx", tmp_path / "b.xlsx", tmp_path / "c.csv"
    with (
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as made,
        made.open("xl/sharedStrings.xml", "w") as part,
    ):
        for _ in range(100):
            part.write(b" " * 1_000_000)
    book = openpyxl.Workbook()
    book.active.cell(1_048_576, 16_384).value = "x"
    book.save(corner)
    commas.write_bytes(b"," * 3_000_000)
    for file, words in ((packed, "unpacked"), (corner, "more than"), (commas, "columns")):
        with pytest.raises(InputError, match=words):
            read_table(file)
