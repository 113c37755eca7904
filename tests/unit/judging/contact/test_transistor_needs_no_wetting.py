"""A transistor output grows no film: what little current flows is no matter of a contact."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.judging.contact.load import judge
from helpers.wired_case import wired_case


@pytest.mark.parametrize(
    ("form", "via", "is_judged"),
    [("relay", None, True), ("open collector", None, False), ("open collector", "helper", True)],
)
def test_only_contacts_are_asked_what_keeps_them_clean(form: str, via: str | None, is_judged: bool) -> None:
    """Half a milliampere into a panel; with a relay between, its contact counts again."""
    output: dict[str, Any] = {"kind": "pulse", "for_s": 1.0, "works": "panel.in", "form": form, "via": via}
    house = {
        "receivers": {"R1": {"at": [0, 0], "contact_min_a": 0.01, "outputs": {"1": output}}},
        "panels": {
            "panel": {"inputs": {"in": {"reads": "set pulse", "current_a": 0.0005, "voltage_v": 5.0}}}
        },
    }
    codes = {one.code for one in judge(wired_case(house, relays={"helper": {"contact_min_a": 0.001}}))}

    assert ("CON-04" in codes) is is_judged
