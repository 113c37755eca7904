"""Recordings whose truth is known, heard by ours and by scipy.signal."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy import signal

from farpress.core.listening.levels import share_taken
from farpress.errors import InputError
from farpress.listening.hearing import Channel, Listened, heard_in
from farpress.listening.recording import open_raw, open_recording, open_sigmf, open_sweeps
from helpers.recordings import FULL_DBM, MIDDLE_HZ, RATE_HZ, as_bytes, as_sigmf, keyed, noise

CHANNEL = Channel(433.91e6, 20e3, FULL_DBM)
FLOOR_DBM = -105.0


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Listened]:
    """Noise of -105 dBm in 20 kHz, and a stranger of 60 ms every 1.7 s at -80 dBm."""
    samples = noise(40.0, FLOOR_DBM, CHANNEL.width_hz)
    for begins in np.arange(0.5, 39.5, 1.7):
        keyed(samples, float(begins), 0.06, -80.0, 9_000.0)
    path = as_sigmf(tmp_path_factory.mktemp("site") / "yard", samples)
    return path, heard_in(open_sigmf(path), CHANNEL)


def test_noise_share_and_beat_of_a_site_are_found(site: tuple[Path, Listened]) -> None:
    """Within half a decibel, a tenth of the share, and a hundredth of the beat; and no drift is told."""
    heard = site[1]

    assert heard.floor.level_db == pytest.approx(FLOOR_DBM, abs=0.5)
    assert heard.floor.spread_db < 0.5
    assert len(heard.begun_s) == 23
    assert heard.taken.share == pytest.approx(23 * 0.06 / 40.0, rel=0.1)
    assert heard.taken.share < heard.taken.at_most < 2.5 * heard.taken.share
    assert heard.beat is not None
    assert heard.beat.period_s == pytest.approx(1.7, rel=0.01)
    assert heard.began is not None
    assert heard.began.hour == 7
    assert np.median(heard.levels_db) == pytest.approx(-80.0, abs=0.7)


def test_scipy_sees_the_same_floor_and_the_same_bursts(site: tuple[Path, Listened]) -> None:
    """Welch's median spectrum for the floor; peaks of a spectrogram for the beginnings."""
    samples = open_sigmf(site[0]).piece(0, int(40 * RATE_HZ))
    frequency, density = signal.welch(samples, RATE_HZ, nperseg=500, return_onesided=False, average="median")
    inside = np.abs(frequency - (CHANNEL.middle_hz - MIDDLE_HZ)) <= CHANNEL.width_hz / 2.0
    floor = 10.0 * np.log10(density[inside].mean() * CHANNEL.width_hz) + FULL_DBM
    frequency, time, power = signal.spectrogram(
        samples, RATE_HZ, nperseg=500, noverlap=0, return_onesided=False
    )
    line = power[np.argmin(np.abs(frequency - 9_000.0))]
    peaks, _ = signal.find_peaks(line, height=30.0 * np.median(line), distance=50)

    assert site[1].floor.level_db == pytest.approx(floor, abs=0.7)
    assert len(peaks) == len(site[1].begun_s)
    assert np.abs(time[peaks] - site[1].begun_s).max() < 0.08


def test_presses_of_a_fob_have_level_frequency_and_drift(tmp_path: Path) -> None:
    """Six presses of five telegrams at -70 dBm, the fob warming from 9 kHz to 11 kHz above the middle."""
    samples = noise(30.0, FLOOR_DBM, CHANNEL.width_hz, seed=2)
    for press in range(6):
        for telegram in range(5):
            begins = 1.0 + 5.0 * press + 0.1 * telegram
            keyed(samples, begins, 0.06, -70.0, 9_000.0 + 80.0 * (5.0 * press), bit_s=0.0004)
    heard = heard_in(open_sigmf(as_sigmf(tmp_path / "press", samples)), CHANNEL)

    assert [press.telegrams for press in heard.presses] == [5] * 6
    assert np.median([press.level_db for press in heard.presses]) == pytest.approx(-70.0, abs=0.7)
    tones = [press.tone.middle_hz for press in heard.presses if press.tone is not None]
    assert tones == pytest.approx([MIDDLE_HZ + 9_000.0 + 400.0 * press for press in range(6)], abs=60.0)
    assert heard.drift is not None
    assert heard.drift.hz_per_s == pytest.approx(80.0, rel=0.05)
    assert heard.drift.in_all_hz == pytest.approx(2_000.0, rel=0.05)


def test_raw_bytes_are_heard_as_sigmf_is_and_clipping_is_told(tmp_path: Path) -> None:
    """The same samples as bytes: the floor lies at what eight bits can tell; what fills the recorder is
    told.
    """
    samples = noise(4.0, -60.0, CHANNEL.width_hz)
    keyed(samples, 1.0, 0.2, -35.0, 9_000.0)
    both = [
        heard_in(open_sigmf(as_sigmf(tmp_path / "same", samples)), CHANNEL),
        heard_in(
            open_raw(
                as_bytes(tmp_path / "same.cu8", samples), kind="cu8", rate_hz=RATE_HZ, middle_hz=MIDDLE_HZ
            ),
            CHANNEL,
        ),
    ]
    keyed(samples, 2.0, 0.2, FULL_DBM + 6.0, 9_000.0)
    loud = heard_in(
        open_raw(as_bytes(tmp_path / "loud.cu8", samples), kind="cu8", rate_hz=RATE_HZ, middle_hz=MIDDLE_HZ),
        CHANNEL,
    )

    assert both[0].floor.level_db == pytest.approx(both[1].floor.level_db, abs=0.5)
    assert both[0].levels_db == pytest.approx(both[1].levels_db, abs=0.5)
    assert not any("full scale" in word for heard in both for word in heard.unseen)
    assert any("at full scale" in word for word in loud.unseen)


def test_sweeps_give_floor_bursts_and_what_they_cannot_show(tmp_path: Path) -> None:
    """A sweep each second for ten minutes, a burst in every twentieth; the fine table gives the same
    channel.
    """
    rng = np.random.default_rng(3)
    frequencies = np.arange(433.80e6, 434.05e6, 5e3)
    rows = ["time," + ",".join(f"{hz:.0f}" for hz in frequencies)]
    for second in range(600):
        levels = 10.0 * np.log10(rng.gamma(30.0, 1.0 / 30.0, len(frequencies))) - 118.0
        if second % 20 == 0:
            levels[np.argmin(np.abs(frequencies - 433.92e6))] = -85.0
        rows.append(f"{second}," + ",".join(f"{level:.2f}" for level in levels))
    (tmp_path / "sweep.csv").write_text("\n".join(rows), encoding="utf-8")
    heard = heard_in(open_sweeps(tmp_path / "sweep.csv"), Channel(433.92e6, 102e3))

    assert heard.floor.level_db == pytest.approx(-118.0 + 10.0 * np.log10(21), abs=0.3)
    assert len(heard.begun_s) == 30
    assert heard.beat is not None
    assert heard.beat.period_s == pytest.approx(20.0, rel=0.01)
    assert any("between two sweeps" in word for word in heard.unseen)
    assert not any("ten minutes" in word for word in heard.unseen)


def test_a_short_silent_recording_promises_no_free_channel() -> None:
    """None heard: the Poisson limit by hand, -ln 0.05 bursts of 0.1 s."""
    for duration in (5.0, 600.0):
        assert share_taken(lengths_s=[], duration_s=duration).at_most == pytest.approx(
            -np.log(0.05) * 0.1 / duration, rel=1e-9
        )


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("a.sigmf-meta", b"{}", "cannot be read as a SigMF recording"),
        ("a.sigmf-meta", b"\xff\xfe", "cannot be read as a SigMF recording"),
        ("a.csv", b"time,433e6\n1,-100\n", "1 sweeps; more than 8"),
        ("a.csv", b"time,433e6\n" + b"\n".join(b"%d,-100" % n for n in range(9)) + b"\n9,loud\n", "row 11"),
        ("a.csv", b"time,433e6\n" + b"\n".join(b"5,-100" for n in range(9)), "must grow"),
        ("a.csv", b"\xff\xfe\x00", "no text in UTF-8"),
        ("a.iq", b"\x00" * 64, "taken as raw samples"),
    ],
)
def test_what_is_no_recording_is_refused_in_words(
    tmp_path: Path, name: str, content: bytes, says: str
) -> None:
    """What was given, and what is wanted; never a traceback."""
    (tmp_path / name).write_bytes(content)
    with pytest.raises(InputError, match=says):
        open_recording(tmp_path / name)


def test_odd_sizes_and_channels_beside_it_are_refused(tmp_path: Path) -> None:
    """Three bytes are no sample; a channel of another band is not in the recording; a moment is too short."""
    (tmp_path / "odd.cu8").write_bytes(b"\x80" * 3)
    with pytest.raises(InputError, match="no whole number of cu8"):
        open_raw(tmp_path / "odd.cu8", kind="cu8", rate_hz=RATE_HZ, middle_hz=MIDDLE_HZ)
    samples = open_sigmf(as_sigmf(tmp_path / "short", noise(0.5, FLOOR_DBM, 20e3)))
    with pytest.raises(InputError, match="does not lie in"):
        heard_in(samples, Channel(868.3e6, 20e3))
    brief = open_sigmf(as_sigmf(tmp_path / "brief", noise(0.005, FLOOR_DBM, 20e3)))
    with pytest.raises(InputError, match="ten blocks"):
        heard_in(brief, CHANNEL)
