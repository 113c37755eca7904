"""Two causes at once in a log of presses: certain hours, and a place or fob that fails at every hour."""

from __future__ import annotations

from datetime import datetime

from farpress.case.door import open_job
from farpress.catalogue.faults import load_faults
from farpress.faults.ask import About, open_hunt
from farpress.faults.noise_diary import Noted, noise_diary, noted_from_csv
from survey import ROOT


def _log() -> list[Noted]:
    """Two weeks: from seven to eight everything fails, from the street most fails all day."""
    lines = []
    for day in range(1, 15):
        for hour in (7, 9, 12, 15, 18):
            for place in ("street", "kitchen"):
                fails = hour == 7 or (place == "street" and day % 4)
                moment = datetime(2026, 11, day, hour, 5)
                lines.append(Noted(moment, "failed" if fails else "worked", place, "lh-001"))
    return lines


def test_two_crossed_causes_are_told_apart_by_hour() -> None:
    """The hour for everybody, and the place at all other hours; one fob alone stands out of nothing."""
    diary = noise_diary(_log())

    assert diary.worst == (7,)
    assert [(found.kind, found.name) for found in diary.always] == [("place", "street")]
    assert "44 of 56 presses failed at all hours, 0 of 56 of the others" in diary.always[0].says


def test_one_cause_is_not_made_two() -> None:
    """Without the street's own failures, and without the hour: one of both, and nothing besides."""
    hour_only = [line for line in _log() if line.place == "kitchen" or line.at.hour == 7]
    place_only = [line for line in _log() if line.at.hour != 7]

    assert noise_diary(hour_only).always == ()
    assert noise_diary(place_only).worst == ()
    assert [found.name for found in noise_diary(place_only).always] == ["street"]


def test_the_log_moves_the_causes_of_a_complaint() -> None:
    """From the kitchen a foreign transmitter is likely, from the street the way there; as its number says."""
    case, complaint = open_job(ROOT / "examples" / "larkfen-house"), load_faults().complaints[1]
    diary, found = noise_diary(_log()), {}
    for place in ("larkfen/street", "larkfen/kitchen"):
        about = About(function="open gate", place=place)
        hunt = open_hunt(case, complaint, about, findings=(), diary=diary)
        found[place] = {prior.cause.source: prior for prior in hunt.priors.values() if prior.cause.source}

    assert "at all hours" in found["larkfen/street"]["margin"].because[0]
    assert found["larkfen/kitchen"]["noise"].chance > found["larkfen/street"]["noise"].chance


def test_a_log_from_a_table_keeps_place_and_fob() -> None:
    """Both columns may be left out."""
    (line,) = noted_from_csv("time;what;place;fob\n2026-11-25 07:05;failed;Street;LH-001\n")
    (bare,) = noted_from_csv("time,what\n07:05,worked\n")

    assert (line.place, line.fob) == ("street", "lh-001")
    assert (bare.place, bare.fob) == ("", "")
