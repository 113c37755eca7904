"""The catalogue's receivers and fobs against what is usual in the trade: common practice, no source."""

from __future__ import annotations

import pytest

from farpress.catalogue.store import load_catalogue
from farpress.domain.parts import FobSheet, Part, ReceiverSheet
from farpress.sources import Mark


def receivers() -> dict[str, Part[ReceiverSheet]]:
    """The catalogue's receivers."""
    return dict(load_catalogue().parts["receiver"])  # type: ignore[arg-type]


def test_there_are_receivers_with_one_two_and_four_outputs_with_aerial_inside_or_a_connector() -> None:
    """Common practice, no source: one, two or four relay outputs; in a basement or a metal housing the aerial
    goes outside.
    """
    kinds = {(one.sheet.relays, one.sheet.aerial) for one in receivers().values()}

    assert kinds == {(relays, aerial) for relays in (1, 2, 4) for aerial in ("inside", "connector")}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("capacity", 1024),
        ("capacity_counts", "fobs"),
        ("contact_rated_a", 1.0),
        ("contact_form", "changeover"),
        ("supply", "dc or ac"),
        ("voltage_min_v", 12.0),
        ("voltage_max_v", 24.0),
        ("tamper_contact", "normally closed"),
        ("acknowledge_within_s", 4.0),
    ],
)
def test_a_receiver_is_as_they_usually_are(field: str, value: object) -> None:
    """Common practice, no source, and marked so: memory, contact, supply, tamper contact, window of the
    acknowledgement.
    """
    for one in receivers().values():
        given = getattr(one.sheet, field)
        assert given == value or (
            field.startswith("voltage")
            and given is not None
            and abs(given - float(str(value))) <= 0.2 * float(str(value))
        )
        assert one.origins[field].mark in (Mark.PRACTICE, Mark.CHOICE)


def test_a_held_press_ends_by_itself_after_half_a_minute() -> None:
    """Common practice, no source: thirty seconds; an old fob with a fixed code may not say."""
    fobs: dict[str, Part[FobSheet]] = dict(load_catalogue().parts["fob"])  # type: ignore[arg-type]

    assert {one.sheet.cut_off_s for one in fobs.values() if one.sheet.code == "rolling"} == {30.0}
    assert {one.sheet.buttons for one in fobs.values() if one.sheet.code == "rolling"} == {1, 2, 4}
