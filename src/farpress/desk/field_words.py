"""What the fields of a job are called at the desk: words of the trade, an example, why it is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

__all__ = ["FieldWords", "known_words", "topic_of", "words_for"]


@dataclass(frozen=True)
class FieldWords:
    """Words for one field.

    Attributes:
        label: what it is called.
        example: how a value may be written; empty for the example of its kind of quantity.
        why: what it decides; empty where the label says it all.
    """

    label: str
    example: str = ""
    why: str = ""


def words_for(key: str, around: Sequence[str] = ()) -> FieldWords:
    """Words for a key of the job file.

    Args:
        key: as it stands in the file.
        around: names of the tables it stands in, the outermost first; the innermost that has words of its own
            for the key decides.

    >>> words_for("at", ("premises", "places")).label
    'where: x, y, height in metres'
    """
    known = known_words()
    for table in reversed(around):
        found = known.get(f"{table}.{key}")
        if found is not None:
            return found
    return known.get(key) or FieldWords(key.replace("_", " "))


@cache
def known_words() -> dict[str, FieldWords]:
    """Key, or table and key, → its words."""
    text = (Path(__file__).parent / "field_words.tsv").read_text(encoding="utf-8")
    made = {}
    for line in text.splitlines():
        if line.startswith("#"):
            continue
        key, label, example, why = line.split("\t")
        made[key] = FieldWords(label, example, why)
    return made


_TOPICS: Final = {
    "radio": (
        "sensitivity noise_figure noise_floor bandwidth gain aerial antenna telegrams_needed over_noise"
        " dropout erp erp_sd pocket_loss car_loss telegram repeat press_telegrams cut_off frequency code"
        " codes"
    ),
    "contacts": (
        "relays contact_form contact_rated contact_rated_voltage contact_make contact_min contact_min_voltage"
        " contact_life contacts mains_rated output_form saturation via suppression limits_inrush contact form"
    ),
    "times": (
        "for pulse_min pulse_max toggle_after_power_return after_power_return retrigger interlock"
        " interlock_pause daily operations_per_day travel travel_back travel_worst closes_after"
        " closes_after_power_return stops_after reversal_pause partial_opening partial_travel entry exit"
        " response hours hours_by lasts"
    ),
    "volts and amperes": (
        "supply voltage voltage_min voltage_max peak_max current current_rest current_idle current_per_relay"
        " pull_in power power_factor peak peak_time coil coil_resistance rectifies rated rated_power fuse"
        " folds_to charge source_resistance other_load standby aux_max input_voltage input_current input_low"
        " current_send current_sleep"
    ),
    "people and safety": (
        "escape_route opens_by_hand fails isolator safeguards safeguards_tested safeguard_readings insulation"
        " force leaf edge_height speed harmless interlocked waits_for waits_by people_inside set_prevented_by"
        " answered_by tested separation_relay motors by_itself flows_back own_radio"
        " hand_release when_dry when_shut"
    ),
    "learning and memory": (
        "learn_access learned_unknown capacity capacity_counts deletes_by window_single window_double counter"
        " tamper tamper_contact acknowledge acknowledge_pulses acknowledge_within low_cell"
    ),
    "where and what": "part like source at level housing slot says label",
}
"""Heading → keys below it, where an entry has many fields."""


def topic_of(key: str) -> str:
    """The heading that a field of a long form stands below.

    >>> topic_of("contact_min")
    'contacts'
    """
    return _topics().get(key, "others")


@cache
def _topics() -> dict[str, str]:
    return {key: topic for topic, keys in _TOPICS.items() for key in keys.split()}
