"""Which wrong wiring of a loop gives which symptom: the slips of the trade, computed for the resistors at
hand.

For somebody at the panel with a meter: two readings, at rest and while the contact is worked,
and what they mean.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from farpress.core.wiring.loops import Band, Scheme
from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["WrongWiring", "causes_of", "series_slips", "state_at", "wrong_wirings"]


@dataclass(frozen=True)
class WrongWiring:
    """One slip and what it looks like.

    Attributes:
        cause: what was done, in words; "wired right" for the first of a list.
        rest_ohm, worked_ohm: reading at the panel's end of the cable with the contact at rest and worked,
            cable not counted [ohm].
        rest_state, worked_state: what the panel makes of them.
        symptom: what somebody sees, in words.
    """

    cause: str
    rest_ohm: float
    worked_ohm: float
    rest_state: str
    worked_state: str
    symptom: str


Reading = Callable[[float, float, bool], float]
"""Normal resistor, alarm resistor, contact closed → resistance."""


def _beside(first_ohm: float, other: float) -> float:
    if math.isinf(first_ohm) or math.isinf(other):
        return min(first_ohm, other)
    return first_ohm * other / (first_ohm + other) if first_ohm + other else 0.0


def _series(ohm: float, closed: bool) -> float:
    """A resistor across a contact."""
    return 0.0 if closed else ohm


_INF: Final = math.inf
_ANY: Final[tuple[tuple[str, Reading], ...]] = (
    ("a core is cut, or a joint is open", lambda n, a, closed: _INF),
    ("the two cores touch each other", lambda n, a, closed: 0.0),
)
_TEN: Final = "a resistor ten times too large at the end (one ring of its colours misread)"

_RIGHT: Final[dict[str, Reading]] = {
    "closed": lambda n, a, closed: 0.0 if closed else _INF,
    "open": lambda n, a, closed: 0.0 if closed else _INF,
    "single end-of-line": lambda n, a, closed: 0.0 if closed else n,
    "single end-of-line, break contact": lambda n, a, closed: n if closed else _INF,
    "double end-of-line": lambda n, a, closed: n + _series(a, closed),
    "masked": lambda n, a, closed: n + _series(a, closed),
    "two-resistor": lambda n, a, closed: _beside(n, a if closed else _INF),
}

_DOUBLE: Final[tuple[tuple[str, Reading], ...]] = (
    (
        "the two resistors are changed over, or the contact lies across the end-of-line resistor",
        lambda n, a, closed: a + _series(n, closed),
    ),
    ("the alarm resistor is missing", lambda n, a, closed: n if closed else _INF),
    (
        "the end-of-line resistor is missing, bridged or left in the bag",
        lambda n, a, closed: _series(a, closed),
    ),
    ("both resistors lie across the contact", lambda n, a, closed: _series(_beside(n, a), closed)),
    ("both resistors side by side in the line, the contact nowhere", lambda n, a, closed: _beside(n, a)),
    ("the contact is bridged: it sits on the wrong terminals", lambda n, a, closed: n),
    ("the contact is not in the loop: a wire is off at it", lambda n, a, closed: n + a),
    (_TEN, lambda n, a, closed: 10 * n + _series(a, closed)),
)
_WRONG: Final[dict[str, tuple[tuple[str, Reading], ...]]] = {
    "closed": (),
    "open": (),
    "single end-of-line": (
        (
            "the resistor lies in series with the make contact instead of across the pair",
            lambda n, a, closed: n if closed else _INF,
        ),
        ("the resistor is missing", lambda n, a, closed: 0.0 if closed else _INF),
        ("the contact is not in the loop: a wire is off at it", lambda n, a, closed: n),
        (_TEN, lambda n, a, closed: 0.0 if closed else 10 * n),
    ),
    "single end-of-line, break contact": (
        (
            "the resistor lies across the break contact instead of in series",
            lambda n, a, closed: _series(n, closed),
        ),
        ("the resistor is missing or bridged", lambda n, a, closed: 0.0 if closed else _INF),
        ("the contact is bridged: it sits on the wrong terminals", lambda n, a, closed: n),
        (_TEN, lambda n, a, closed: 10 * n if closed else _INF),
    ),
    "double end-of-line": _DOUBLE,
    "masked": _DOUBLE,
    "two-resistor": (
        ("the two resistors are changed over", lambda n, a, closed: _beside(a, n if closed else _INF)),
        ("the resistor across the pair is missing", lambda n, a, closed: a if closed else _INF),
        ("the resistor at the contact is missing or bridged", lambda n, a, closed: 0.0 if closed else n),
        (
            "the second resistor lies across the contact, both in the line",
            lambda n, a, closed: n + _series(a, closed),
        ),
        ("the contact is not in the loop: a wire is off at it", lambda n, a, closed: n),
        (_TEN, lambda n, a, closed: _beside(10 * n, a if closed else _INF)),
    ),
}


@cites("resistor networks of supervised loops and the usual slips in wiring them", mark=Mark.PRACTICE)
def wrong_wirings(
    *,
    scheme: Scheme,
    bands: tuple[Band, ...],
    normal_ohm: float = 0.0,
    alarm_ohm: float = 0.0,
    break_contact: bool,
) -> tuple[WrongWiring, ...]:
    """The loop as it should be, then every slip with its readings and its symptom.

    Args:
        scheme: of the loop, as in `loops.terminal_states`.
        bands: what the panel takes for which state, edges in ohm; "tamper" where none fits.
        normal_ohm, alarm_ohm: its resistors; 0 where the scheme has none [ohm].
        break_contact: the contact that works it is closed at rest.

    Raises:
        InputError: no such scheme.
    """
    key = "single end-of-line, break contact" if scheme == "single end-of-line" and break_contact else scheme
    if key not in _RIGHT:
        raise InputError(
            f"There is no loop scheme '{scheme}'; there are"
            f" {', '.join(sorted(set(_RIGHT) - {'single end-of-line, break contact'}))}."
        )
    right = _RIGHT[key]

    def slip(cause: str, reading: Reading, *, inverted: bool = False) -> WrongWiring:
        rest, worked = (
            reading(normal_ohm, alarm_ohm, closed)
            for closed in (
                (not break_contact, break_contact) if inverted else (break_contact, not break_contact)
            )
        )
        states = state_at(rest, bands), state_at(worked, bands)
        return WrongWiring(cause, rest, worked, *states, _symptom(*states, cause == "wired right"))

    other = (
        "make contact used instead of the break contact"
        if break_contact
        else "break contact used instead of the make contact"
    )
    made = [slip("wired right", right), slip(other, right, inverted=True)]
    made += [slip(cause, reading) for cause, reading in (*_WRONG[key], *_ANY)]
    if scheme not in ("closed", "open"):
        in_panel = slip("wired right", right)
        text = "reads right; but a short in the cable then looks normal, and the loop is supervised no more"
        made.append(
            WrongWiring(
                "the end-of-line resistor sits in the panel instead of at the end",
                in_panel.rest_ohm,
                in_panel.worked_ohm,
                in_panel.rest_state,
                in_panel.worked_state,
                text,
            )
        )
    return tuple(made)


@cites("contacts in series and side by side, and the usual slips in wiring them", mark=Mark.PRACTICE)
def series_slips(*, housings: int) -> tuple[WrongWiring, ...]:
    """Slips of a tamper circuit whose contacts break: read with all lids shut, and with one of them open.

    Args:
        housings: how many contacts lie in series.
    """

    def slip(cause: str, rest_ohm: float, worked_ohm: float, symptom: str) -> WrongWiring:
        rest, worked = ("normal" if ohm == 0 else "alarm" for ohm in (rest_ohm, worked_ohm))
        return WrongWiring(cause, rest_ohm, worked_ohm, rest, worked, symptom)

    unseen = "always normal: nothing happens when a lid is opened"
    made = [
        slip("the contact of one housing is bridged, or its pair is joined on the way", 0.0, 0.0, unseen),
        slip(
            "a core is cut, a joint is open, or a lid does not press its contact", _INF, _INF, "always alarm"
        ),
    ]
    if housings > 1:
        made.insert(
            0,
            slip(
                "the contacts lie side by side instead of in series",
                0.0,
                0.0,
                "always normal: only with every lid open at once there would be an alarm",
            ),
        )
    return tuple(made)


@cites("comparison of two readings", mark=Mark.COMPUTED)
def causes_of(
    *,
    rest_ohm: float,
    worked_ohm: float,
    known: tuple[WrongWiring, ...],
    within_share: float = 0.1,
    within_ohm: float = 30.0,
) -> tuple[WrongWiring, ...]:
    """Every wiring that would give two readings of a meter.

    Args:
        rest_ohm, worked_ohm: read at the panel's end, loop unplugged; infinite where the meter shows an
            open line [ohm].
        known: of `wrong_wirings`.
        within_share, within_ohm: how far a reading may lie off; the larger of the two counts.
    """

    def fits(read: float, ideal: float) -> bool:
        if math.isinf(ideal) or math.isinf(read):
            return read >= 1e6 and ideal >= 1e6
        return abs(read - ideal) <= max(within_ohm, within_share * ideal)

    return tuple(
        wrong_wiring
        for wrong_wiring in known
        if fits(rest_ohm, wrong_wiring.rest_ohm) and fits(worked_ohm, wrong_wiring.worked_ohm)
    )


@cites("intervals", mark=Mark.COMPUTED)
def state_at(ohm: float, bands: tuple[Band, ...]) -> str:
    """What a panel takes a resistance for: the band it lies in; "tamper" between and beyond them.

    Args:
        ohm: read at its terminals; infinite for an open line [ohm].
        bands: of its states; the first that holds it counts.
    """
    return next((band.name for band in bands if band.low_ohm <= ohm <= band.high_ohm), "tamper")


def _symptom(rest: str, worked: str, right: bool) -> str:
    if right:
        return (
            "as it should be"
            if rest == "normal" and worked != "normal"
            else (
                f"{rest} at rest and {worked} while worked: the panel must be told so, or the other contact"
                " used"
            )
        )
    if rest == worked:
        return f"always {rest}: nothing happens when it is worked" if rest == "normal" else f"always {rest}"
    if rest == "normal" and worked == "alarm":
        return "looks right to the panel; only the meter shows it"
    return f"{rest} at rest, {worked} while worked"
