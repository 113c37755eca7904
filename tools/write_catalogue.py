"""Write docs/reference/catalogue.md from the data files: every part, value, source and mark.

Run it from the repository's root after each change of a data file::

    python tools/write_catalogue.py
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "src"))

from farpress.catalogue.files import data_text, read_flats  # noqa: E402
from farpress.catalogue.flat import keys_in_file  # noqa: E402
from farpress.catalogue.store import load_catalogue  # noqa: E402
from farpress.domain.parts import PART_KINDS  # noqa: E402

PAGE = ROOT / "docs" / "reference" / "catalogue.md"

HEAD = """# Catalogue

Generic parts, made from the data files of `farpress.catalogue` by `tools/write_catalogue.py`; do not edit
this page. The keys are those of a job file. Every value has its source and, in brackets, how it came to us.
None is a product's: the label and data sheet of the real part go into the job file and win. What is not
listed is not known, and is asked for.

Work on mains is for a licensed electrician; local codes come before anything printed here.
"""


def page() -> str:
    """The whole page."""
    lines = [HEAD]
    for kind in PART_KINDS:
        lines += [f"## {kind.capitalize()}", ""]
        written = read_flats(kind, data_text(kind))
        for name, part in written.items():
            says = f"{part.says[0].upper()}{part.says[1:]}."
            before = written[part.like].flat if part.like else {}
            taken = f" All else as {part.like}." if part.like else ""
            gone = [
                ".".join(keys_in_file(PART_KINDS[kind], fields))
                for fields in before
                if fields not in part.flat
            ]
            taken += f" Without {', '.join(gone)}." if gone else ""
            lines += [
                f"### {name}",
                "",
                f"{says}{taken}",
                "",
                "| key | value | source |",
                "| --- | --- | --- |",
            ]
            lines += [
                f"| {'.'.join(keys_in_file(PART_KINDS[kind], fields))} | {value} | {citation} |"
                for fields, (value, citation) in part.flat.items()
                if before.get(fields) != (value, citation)
            ]
            lines.append("")
    return "\n".join([*lines, *_builds(), *_materials()])


def _builds() -> list[str]:
    lines = ["## Builds", "", "One crossing at 433 MHz, for planning. A level read on site overrides it.", ""]
    lines += [
        "| build | what it is | layers, mm | loss, dB | spread, dB | source |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for build in load_catalogue().builds.values():
        layers = ", ".join(f"{layer.material} {layer.thickness_m * 1000:g}" for layer in build.layers)
        layers = layers or ("steel" if build.is_steel else "not known")
        sources = "; ".join(map(str, build.sources))
        lines.append(
            f"| {build.name} | {build.says} | {layers} | {build.loss_db:g} | {build.loss_sd_db:g} |"
            f" {sources} |"
        )
    return [*lines, ""]


def _materials() -> list[str]:
    lines = ["## Materials", "", "Relative permittivity a f^b and conductivity c f^d in S/m, f in GHz.", ""]
    lines += [
        "| material | a | b | c | d | made for, GHz | at 433.92 MHz | source |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for one in load_catalogue().materials.values():
        inside = "extrapolated" if one.is_extrapolated_at(433.92e6) else "in range"
        span = f"{one.lowest_ghz:g} to {one.highest_ghz:g}"
        lines.append(
            f"| {one.name} | {one.a:g} | {one.b:g} | {one.c:g} | {one.d:g} | {span} | {inside} |"
            f" {one.source} |"
        )
    return [*lines, ""]


if __name__ == "__main__":
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8")
    print(f"{PAGE.relative_to(ROOT)} written")
