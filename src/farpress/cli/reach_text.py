"""What `farpress reach` prints: budgets line by line, rankings, maps in words; for people and as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from farpress.cli.text import wrapped

if TYPE_CHECKING:
    from farpress.core.reach.field import ReachMap
    from farpress.reach.aerial_search import Ranking, Trial
    from farpress.reach.ask import PromisedLink
    from farpress.reach.calibration import Proposal

__all__ = [
    "map_json",
    "map_words",
    "proposals",
    "proposals_json",
    "ranking",
    "ranking_json",
    "rows_json",
    "table",
]

_BEST = 12


def table(rows: Sequence[PromisedLink], width: int, with_budget: bool) -> str:
    """Each promise: its chance in words, then its budget line by line."""
    from farpress.core.reach.heard import presses_in_ten
    from farpress.reach.gaps import gaps_text

    if not rows:
        return "Nothing is promised from any of these places: write promises, or name another receiver."
    out: list[str] = []
    for row in rows:
        link = row.link
        out += wrapped(f"{row.promise}, to {row.receiver}", width)
        if row.share is None or link.level_dbm is None or link.needed_dbm is None or link.margin_db is None:
            out += [*wrapped(f"not computed yet. Missing: {gaps_text(link.gaps)}", width, "  "), ""]
            continue
        first, people = link.share(1) or 0.0, link.people() or 0.0
        presses = "one press" if row.presses == 1 else f"{row.presses} presses"
        mark = "kept" if row.share >= row.wanted else "NOT KEPT"
        out += wrapped(
            f"{mark}: within {presses} {_percent(row.share)}, {_percent(row.wanted)} promised. One press:"
            f" {presses_in_ten(first)}. {_people(people)} find 9 of 10 presses heard.",
            width,
            "  ",
        )
        if with_budget:
            room = width - 22
            for number, line in enumerate(link.lines):
                first_line, *more = wrapped(line.says, room)
                sd = f" ±{line.sd_db:3.0f}" if line.sd_db else "     "
                out.append(
                    f"    {first_line:<{room}}{line.adds_db:+8.1f}"
                    f" {'dB' if number else 'dBm'}{sd if number else ''}".rstrip()
                )
                out += [f"      {text}" for text in more]
            out.append(f"    {'level, mean over the spot':<{room}}{link.level_dbm:+8.1f} dBm")
            out.append(f"    {'needed':<{room}}{link.needed_dbm:+8.1f} dBm")
            out.append(f"    {'margin':<{room}}{link.margin_db:+8.1f} dB ±{link.spread_db:3.0f}")
            out += wrapped(link.needed_because, width, "    ")
            out += wrapped(
                f"strongest way {100 * link.strongest_share:.0f} % of the power; {link.telegrams.sent}"
                " telegrams a press",
                width,
                "    ",
            )
            for note in link.notes:
                out += wrapped(f"note: {note}", width, "    ")
        out.append("")
    return "\n".join(
        [
            *out,
            *wrapped(
                "A chance, not a promise of the air: reach is never a fence and never a safety function.",
                width,
            ),
        ]
    )


def rows_json(rows: Sequence[PromisedLink]) -> str:
    """The same as JSON."""
    return _json(
        [
            {
                "promise": row.promise,
                "receiver": row.receiver,
                "place": row.place,
                "within_presses": row.presses,
                "wanted": row.wanted,
                "chance": row.share,
                "chance_of_one_press": row.link.share(1),
                "people_with_9_of_10_presses": row.link.people(),
                "level_dbm": row.link.level_dbm,
                "needed_dbm": row.link.needed_dbm,
                "margin_db": row.link.margin_db,
                "spread_db": row.link.spread_db,
                "strongest_way": row.link.strongest_share,
                "doubt": row.link.doubt(row.presses),
                "budget": [
                    {"says": line.says, "db": line.adds_db, "sd_db": line.sd_db} for line in row.link.lines
                ],
                "notes": list(row.link.notes),
                "missing": [gap.says for gap in row.link.gaps],
                "sources": [str(source) for source in row.link.sources],
            }
            for row in rows
        ]
    )


def ranking(ranked: Mapping[str, Ranking], width: int) -> str:
    """Aerials by their worst promise, at most two for each place, today's always among them."""
    out: list[str] = []
    for name, search in ranked.items():
        trials = search.trials
        rough = (
            f", the best of {search.looked_at} places with a kind and its coax looked at roughly"
            if search.looked_at
            else ""
        )
        rough += f". {search.note}" if search.note else ""
        out += [
            f"{name}: aerials by their worst promise",
            *wrapped(f"{len(trials)} tried in full{rough}", width, ""),
            "",
        ]
        shown: list[Trial] = []
        for trial in trials:
            if sum(_place(other) == _place(trial) for other in shown) < 2 and len(shown) < _BEST:
                shown.append(trial)
        shown += [trial for trial in trials if trial.does == "As today" and trial not in shown]
        for number, trial in enumerate(trials, start=1):
            if trial not in shown:
                continue
            kept = sum(each.share >= each.wanted for each in trial.kept)
            out += wrapped(f"{number:3}. {trial.does}", width, "", "     ")
            worst = trial.worst
            out += wrapped(
                f"worst: {worst.promise}, margin {worst.margin_db:+.1f} dB ±{trial.spread_db:.0f},"
                f" {_percent(worst.share)} of {_percent(worst.wanted)} promised; {kept} of"
                f" {len(trial.kept)} promises kept",
                width,
                "     ",
            )
        out.append("")
    return "\n".join(out).rstrip()


def _place(trial: Trial) -> str:
    """Where it hangs, whatever its kind and coax."""
    before, _, place = trial.does.split(" on ")[0].partition(" at (")
    return place or before


def ranking_json(ranked: Mapping[str, Ranking]) -> str:
    """Every aerial tried, as JSON."""
    return _json(
        {
            name: [
                {
                    "does": trial.does,
                    "second_receiver": trial.is_second,
                    "spread_db": trial.spread_db,
                    "worst": _kept(trial.worst),
                    "promises": [_kept(each) for each in trial.kept],
                    "changes": [
                        {"path": list(change.path), "value": change.value} for change in trial.changes
                    ],
                }
                for trial in search.trials
            ]
            for name, search in ranked.items()
        }
    )


def _kept(kept: Any) -> dict[str, Any]:
    return {"promise": kept.promise, "chance": kept.share, "wanted": kept.wanted, "margin_db": kept.margin_db}


def proposals(proposed: Mapping[str, Sequence[Proposal]], width: int) -> str:
    """Where to read next, the most telling first."""
    out: list[str] = []
    for name, found in proposed.items():
        out.append(f"{name}: where a reading tells most about what must work")
        if not found:
            out += ["  nothing must work here, or nothing can be computed yet", ""]
            continue
        for number, proposal in enumerate(found[:6], start=1):
            out += wrapped(
                f"{number:3}. {proposal.place}: {proposal.bits:.2f} bit; {proposal.promise} is then known to"
                f" ±{proposal.sd_after_db:.1f} dB instead of ±{proposal.sd_before_db:.1f} dB",
                width,
                "",
                "     ",
            )
        out.append("")
    return "\n".join(out).rstrip()


def proposals_json(proposed: Mapping[str, Sequence[Proposal]]) -> str:
    """The same as JSON."""
    return _json(
        {
            name: [
                {
                    "place": proposal.place,
                    "bits": proposal.bits,
                    "about": proposal.promise,
                    "sd_before_db": proposal.sd_before_db,
                    "sd_after_db": proposal.sd_after_db,
                }
                for proposal in found
            ]
            for name, found in proposed.items()
        }
    )


def map_words(found: ReachMap, written: str) -> str:
    """What the map shows, in words."""
    from farpress.core.reach.field import CONTOURS

    there = found.chance[found.stands]
    cell = (found.x_m[1] - found.x_m[0]) * (found.y_m[1] - found.y_m[0])
    parts = (
        [f"{words} over {100.0 * (there >= level).mean():.0f} % of it" for level, words in CONTOURS.items()]
        if there.size
        else ["nobody can stand there"]
    )
    notes = f" Still open: {'; '.join(found.notes)}." if found.notes else ""
    heard = ", each spot by the one heard worst" if found.more_aerials_m else ""
    stood = f" Each spot as it is heard worst: {'; or '.join(found.worse_of)}." if found.worse_of else ""
    mean, most = found.left_out_db
    return (
        f"{written}: {found.premises}/{found.receiver}, {found.level or 'open ground'}{heard},"
        f" {there.size * cell:.0f} m2: {', '.join(parts)}. Faint echoes left out: {mean:.1f} dB on average at"
        f" most, {most:.1f} dB in one cell.{stood}{notes}"
    )


def map_json(found: ReachMap) -> str:
    """The map as JSON: the middles of the cells and the chance in each, rows from south to north."""
    return _json(
        {
            "premises": found.premises,
            "receiver": found.receiver,
            "group": found.group,
            "level": found.level,
            "held": found.held,
            "aerial_m": list(found.aerial_m),
            "x_m": found.x_m.tolist(),
            "y_m": found.y_m.tolist(),
            "chance": found.chance.tolist(),
            "margin_db": found.margin_db.tolist(),
            "indoors": found.indoors.tolist(),
            "stands": found.stands.tolist(),
            "left_out_db": list(found.left_out_db),
            "more_aerials_m": [list(aerial) for aerial in found.more_aerials_m],
            "worse_of": list(found.worse_of),
            "notes": list(found.notes),
        }
    )


def _json(data: Any) -> str:
    return json.dumps(_short(data), indent=1, ensure_ascii=False, allow_nan=False)


def _short(value: Any) -> Any:
    match value:
        case bool():
            return value
        case float():
            return float(f"{value:.5g}") if math.isfinite(value) else None
        case dict():
            return {key: _short(inner) for key, inner in value.items()}
        case list() | tuple():
            return [_short(inner) for inner in value]
    return value


def _percent(share: float) -> str:
    if 0.995 < share < 1.0:
        return f"{math.floor(share * 1000.0) / 10.0:g} %"
    return f"{100.0 * share:.0f} %" if share >= 0.005 or share == 0.0 else f"{100.0 * share:.1f} %"


def _people(share: float) -> str:
    tenths = int(share * 10.0 + 1e-9)
    return f"{tenths} of 10 people" if tenths else "Hardly anybody will"
