"""A fault from the complaint to the cure; and the desk on the network, encrypted, as a browser sees it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

from playwright.sync_api import expect

from farpress.record.store import open_record
from helpers.desk import Served, copy_of
from helpers.project import ROOT
from helpers.waiting import NEVER_S
from helpers.watched import Watched


def test_a_fault_is_asked_about_to_its_end(house: Served, watched: Watched) -> None:
    """Complaint, answers until a cure is proposed, one that does not help, one that does; all of it stands in
    the record.
    """
    page = watched.page()
    page.goto(f"{house.address}/j/larkfen-house/faults")
    page.get_by_label("The customer says").fill("gate stops half way")
    page.get_by_role("button", name="Find it").click()
    page.get_by_label("What does not work").select_option("open gate")
    page.get_by_role("button", name="Look for the cause").click()
    card = page.locator(".card")
    answers = 0
    for _ in range(25):
        expect(card).to_be_visible()
        if card.get_by_role("button", name="It helped").count():
            break
        said = card.text_content()
        card.locator(".big button").first.click()
        expect(card).not_to_have_text(said or "")
        answers += 1
    assert answers > 0
    tried = card.text_content()
    card.get_by_role("link", name="It did not help").click()
    expect(card).not_to_have_text(tried or "")
    while not card.get_by_role("button", name="It helped").count():
        said = card.text_content()
        card.locator(".big button").first.click()
        expect(card).not_to_have_text(said or "")
        answers += 1
    card.get_by_role("button", name="It helped").click()
    expect(page.get_by_role("heading", level=1, name="Faults", exact=True)).to_be_visible()

    expect(page.locator("table.stack tbody tr")).to_have_count(1)
    expect(page.locator("table.stack tbody")).not_to_contain_text("open")
    with open_record(house.folder) as record:
        kinds = [event.kind for event in record.events(job="Larkfen House")]
    assert kinds == ["fault reported", *["fault answered"] * answers, "fault closed"]


def test_the_shared_desk_is_encrypted_and_lets_a_browser_in_by_its_code(
    tmp_path: Path, watched: Watched
) -> None:
    """A program of its own with a certificate of its own: a wrong code, the keeper's code, no change of the
    job, and a quick end.
    """
    folder = copy_of("larkfen-house", tmp_path)
    watched.expected = ("403",)
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src"), "TMPDIR": str(tmp_path)}
    command = [
        sys.executable,
        "-m",
        "farpress",
        "desk",
        str(folder),
        "--port",
        "0",
        "--no-browser",
        "--share",
        "--tls",
    ]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        try:
            assert process.stdout is not None
            told = ""
            while "Ctrl+C" not in told:
                told += process.stdout.readline()
            found, code = (
                re.search(r"https://127\.0\.0\.1:\d+", told),
                re.search(r"(\w{4} \w{4})   keeper", told),
            )
            assert found is not None
            assert code is not None
            page = watched.page(ignore_https_errors=True)
            page.goto(found[0])
            for given in ("AAAA AAAA", code[1]):
                page.get_by_label("Your name").fill("Hesper")
                page.get_by_label("Pairing code").fill(given)
                page.get_by_role("button", name="Come in").click()
                if given != code[1]:
                    expect(page.get_by_role("alert")).to_contain_text("not one of the codes")
            expect(page.locator(".chain").first).to_be_visible()
            cookie = page.context.cookies()[0]
            assert (cookie.get("secure"), cookie.get("httpOnly"), cookie.get("sameSite")) == (
                True,
                True,
                "Strict",
            )
            expect(page.get_by_role("button", name="Add a promise")).to_have_count(0)
            refused = page.evaluate(
                "fetch('/j/larkfen-house/undo', {method: 'POST'}).then((answer) => answer.status)"
            )
            assert refused == 403
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(NEVER_S)

    assert not list(tmp_path.glob("farpress-desk-*")), "the key does not outlive the desk"
