"""An assessment as JSON, for the commands; written by `tasks.as_json`."""

from __future__ import annotations

from farpress.judging.as_json import assessment_json

__all__ = ["assessment_json"]
