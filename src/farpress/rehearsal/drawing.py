"""The time line of a played story as a drawing."""

from __future__ import annotations

from farpress.papers.drawings.timeline import Bar, Row, timeline_drawing, timeline_picture
from farpress.rehearsal.timeline import Timeline

__all__ = ["timeline_png", "timeline_svg"]


def timeline_svg(timeline: Timeline) -> str:
    """A time line as SVG text: rows of things that change, numbered events, broken rules."""
    rows = [
        Row(track.name, track.says, tuple(Bar(span.from_s, span.to_s, span.state) for span in track.spans))
        for track in timeline.tracks
        if track.spans
    ]
    broken = [
        f"{f'rule {breach.number}' if breach.number is not None else 'always'}, never {breach.never}"
        f" ({breach.about}): {breach.says}"
        for breach in timeline.broken
    ]
    return timeline_drawing(
        f"{timeline.job}: {timeline.story}",
        rows,
        [(mark.at_s, mark.says) for mark in timeline.marks],
        timeline.ends_s,
        broken,
    )


def timeline_png(timeline: Timeline) -> bytes:
    """The same as a picture.

    Raises:
        PaperError: it could not be set.
    """
    return timeline_picture(timeline_svg(timeline))
