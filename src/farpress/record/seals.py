"""Seals of names: a salted digest stands in the event, the salt beside the name.

With the name its salt is deleted, and then the digest says nothing any more: who knows a list of names cannot
try them out. Deletion and proof both stand.
"""

from __future__ import annotations

import hashlib
import secrets

from farpress.domain.event import canonical

__all__ = ["new_salt", "seal_of"]


def new_salt() -> str:
    """128 bits at random, as 32 signs."""
    return secrets.token_hex(16)


def seal_of(salt: str, name: str, organisation: str, contact: str) -> str:
    """SHA-256 over salt, name, organisation and contact as one JSON text, as 64 signs."""
    text = canonical({"salt": salt, "name": name, "organisation": organisation, "contact": contact})
    return hashlib.sha256(text.encode()).hexdigest()
