"""The top speed of what turns on the spindle: the mark rules, a table is never permission."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import replace

from kitreckon.catalogue.model import Kind
from kitreckon.count import Piece
from kitreckon.fitting.bench import Bench, length
from kitreckon.fitting.model import Fit
from kitreckon.quantities import known_mm
from kitreckon.reasons import Reason, because
from kitreckon.standards import Standards


def rim_speed_rpm(diameter_mm: float, rim_m_s: float) -> float:
    """Return the speed in rev/min at which a body of that diameter has that rim speed.

    diameter_mm > 0, rim_m_s >= 0. Common practice: 60,000 v / (pi d).

    >>> round(rim_speed_rpm(200, 20))
    1910
    """
    return 60_000 * rim_m_s / (math.pi * diameter_mm)


def table_speed_rpm(standards: Standards, diameter_mm: float, body: str) -> int | None:
    """Return the largest speed of the one maker's table for a body of at least that diameter.

    body: "cast-iron" or "steel". Between two rows the larger diameter's holds; None beyond the
    largest. For a sound body with jaws within it; never a permission.
    """
    rows = standards.chuck_speeds
    place = bisect_left([row.size_mm for row in rows], diameter_mm - 0.5)
    if place == len(rows):
        return None
    row = rows[place]
    return row.steel_rpm if body == "steel" else row.cast_iron_rpm


def cautious_speed_rpm(standards: Standards, diameter_mm: float, body: str) -> int:
    """Return the speed for an unmarked, old or damaged body.

    The lower of a share of the table (half) and a rim speed (20 m/s): common practice.
    """
    rim = rim_speed_rpm(diameter_mm, standards.rule("old-body-rim-m-s"))
    table = table_speed_rpm(standards, diameter_mm, body)
    half = math.inf if table is None else table * standards.rule("old-body-share")
    return int(min(rim, half))


def with_speed(fit: Fit, piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Add the top speed of a piece that turns on the nose, its reasons and cautions."""
    if not kind.spins or "spindle-nose" not in kind.seats:
        return fit
    limit, reasons = speed_limit(piece, bench.standards)
    if kind.work_bolted_on and piece.marked_rpm is None and limit != 0:
        work = int(bench.standards.rule("faceplate-work-rpm"))
        limit = work if limit is None else min(limit, work)
        reasons = (*reasons, because("faceplate-work", rpm=work))
    cautions = ["chuck-speed"]
    if piece.unsafe:
        cautions.append("cracked-body")
    top = bench.machine.top_speed_rpm
    if limit is not None and top is not None and top > limit:
        reasons = (*reasons, because("machine-runs-faster", top=top, limit=limit))
        cautions.append("limit-spindle")
    return replace(
        fit,
        top_speed_rpm=limit,
        speed_reasons=reasons,
        cautions=tuple(dict.fromkeys((*fit.cautions, *cautions))),
    )


def speed_limit(piece: Piece, standards: Standards) -> tuple[int | None, tuple[Reason, ...]]:
    """Return the top speed in rev/min and why; None where its diameter is not known.

    Cracked, or unsafe in any way: none at all, 0. A marked speed rules; on a damaged body the
    lower of it and the cautious one. Everything else gets the cautious one.
    """
    if piece.unsafe:
        return 0, (because("unsafe-no-speed"),)
    size, marked = known_mm(piece.size), piece.marked_rpm
    damaged = piece.condition in ("poor", "scrap")
    if marked is not None and not damaged:
        return marked, (because("marked-speed", rpm=marked),)
    if size is None or size <= 0:
        return None, (because("speed-needs-diameter"),)
    body = piece.body or "cast-iron"
    limit = cautious_speed_rpm(standards, size, body)
    table = table_speed_rpm(standards, size, body)
    reason = because(
        "cautious-speed",
        rpm=limit,
        size=length(size),
        table=table if table is not None else "-",
        rim=f"{standards.rule('old-body-rim-m-s'):g}",
    )
    if marked is not None:
        return min(limit, marked), (because("marked-but-damaged", rpm=marked), reason)
    return limit, (reason, *(() if piece.body else (because("body-taken-as-cast-iron"),)))
