"""ISO/IEC 7064:2003, check characters, hybrid system MOD 37,36.

The standard's own text was not readable. The vectors are public test vectors of two open
implementations, read on 2026-11-25 in stored copies; the rule itself is from memory and
is confirmed by them.
"""

from __future__ import annotations

import pytest

from farpress.core.keys.label import check_character, is_valid_label

VECTORS = [("A12425GABC1234002", "M"), ("A12425GXYZ9876008", "6"), ("A12425G1234567890", "L")]


@pytest.mark.parametrize(("payload", "check"), VECTORS)
def test_the_check_character_is_that_of_the_public_vectors(payload: str, check: str) -> None:
    """Each published number gets the check character it was published with."""
    assert check_character(payload) == check
    assert is_valid_label(f"{payload}-{check}")
