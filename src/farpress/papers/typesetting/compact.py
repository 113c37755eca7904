"""A document in fewer bytes: its objects in compressed streams, as PDF 1.5 has them.

The typesetter writes every element of the structure for readers aloud as an object of its own, in plain text:
two thirds of a paper with many tables or cards.
"""

from __future__ import annotations

import io

__all__ = ["packed"]


def packed(pdf: bytes) -> bytes:
    """The same document, its objects in object streams (ISO 32000-1, 7.5.7); equal input gives equal bytes.

    Args:
        pdf: a whole document.
    """
    import pikepdf

    made = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        marks = document.Root.get("/MarkInfo")
        if marks is not None and "/Suspects" in marks and not marks.Suspects:
            del marks.Suspects  # false is its default, and a common reader takes offence at the word
        document.save(
            made,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            fix_metadata_version=False,
            deterministic_id=True,
        )
    return made.getvalue()
