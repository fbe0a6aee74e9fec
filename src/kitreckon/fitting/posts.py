"""Tool posts by height, holders by series, shanks by what the holder takes."""

from __future__ import annotations

from dataclasses import replace

from kitreckon.catalogue.model import Kind, Role
from kitreckon.count import Piece
from kitreckon.fitting.bench import Bench, length
from kitreckon.fitting.model import Adapter, Fit
from kitreckon.fitting.sockets import fit_taper
from kitreckon.fitting.verdicts import fits, fits_with, misfit, resting_on, unknown, with_cautions
from kitreckon.quantities import known_mm
from kitreckon.reasons import Nominal, Reason, Term, because
from kitreckon.standards import Standards, ToolPostSeries

_POSTS: tuple[Role, ...] = ("quick-change-post", "tool-post")


def fit_post(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Try a post by height: its settings plus the shank must span the centre height."""
    if not bench.is_lathe:
        return misfit(because("no-compound"))
    if kind.serves_as not in _POSTS:
        question = because("try-on-compound", piece=Term("kind", kind.id))
        return unknown("piece.tried", question)
    series = bench.standards.tool_posts.get(piece.mount or "")
    return _swing_warning(_set_to_centre(piece, series, bench), series, bench)


def _set_to_centre(piece: Piece, series: ToolPostSeries | None, bench: Bench) -> Fit:
    centre = known_mm(bench.machine.post_height)
    if centre is None:
        return unknown("post_height", because("measure-post-height"))
    low, high = known_mm(piece.low_height), known_mm(piece.high_height)
    if low is None:
        return unknown("piece.low_height", because("measure-lowest-setting"))
    if high is None:
        return unknown("piece.high_height", because("measure-highest-setting"))
    return _by_height(low, high, centre, series, bench)


def _by_height(
    low: float, high: float, centre: float, series: ToolPostSeries | None, bench: Bench
) -> Fit:
    """Try the largest shank of the series first; a smaller one may still come to centre."""
    least = bench.standards.rule("least-shank-mm")
    most = series.largest_shank_mm if series else least
    shown = {"low": length(low), "high": length(high), "centre": length(centre)}
    if low + least > centre + 0.05:
        return misfit(because("post-too-high", least=length(least), **shown))
    if high + most < centre - 0.05:
        packing = Adapter(
            "packing-plate",
            bench.serving_as("made-part"),
            because("adapter-packing", height=length(centre - high - most)),
            size=length(centre - high - most),
            hours=bench.standards.rule("packing-hours"),
        )
        return fits_with((packing,), because("post-too-low", most=length(most), **shown))
    largest = min(most, centre - low)
    fit = fits(because("post-spans-centre", shank=length(largest), **shown))
    if series is None or largest >= series.largest_shank_mm - 0.05:
        return fit
    reason = because("post-smaller-shanks", shank=length(largest), series=series.name)
    return resting_on(with_cautions(fit, (), reason), series.name, series.evidence)


def _swing_warning(fit: Fit, series: ToolPostSeries | None, bench: Bench) -> Fit:
    """Say where a post is not for such a swing; where no height is known that is all there is."""
    swing = known_mm(bench.machine.swing)
    usual = series.swing_wide_mm or series.swing_mm if series else None
    if fit.verdict == "unknown":
        far = _far_too_large(series, bench)
        chance = bench.standards.rule("post-far-fits") if far else None
        return replace(fit, reasons=(*far, *fit.reasons), chance=chance)
    if series is None or swing is None or usual is None or usual[0] - 1 <= swing <= usual[1] + 1:
        return fit
    reason = because("post-unusual-for-swing", series=series.name, swing=length(swing))
    return with_cautions(fit, (), reason)


def _far_too_large(series: ToolPostSeries | None, bench: Bench) -> tuple[Reason, ...]:
    """Say where a post is made for swings far larger than this one."""
    swing = known_mm(bench.machine.swing)
    usual = series.swing_wide_mm or series.swing_mm if series else None
    if series is None or swing is None or usual is None:
        return ()
    if usual[0] <= swing * bench.standards.rule("post-far-over-swing"):
        return ()
    shown = {"least": Nominal(usual[0]), "swing": length(swing)}
    return (because("post-far-too-large", series=series.name, **shown),)


def fit_in_post(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Try a holder on the quick-change posts that are here: the series decides.

    One on a shank is a mill's, whatever it was counted as.
    """
    shank = piece.mount if piece.mount in bench.standards.cones else None
    if shank and bench.is_lathe:
        return misfit(because("holder-on-shank", shank=shank))
    if shank:
        return fit_taper(piece, kind, bench, "spindle_socket")
    if not bench.is_lathe:
        return misfit(because("no-compound"))
    series = _series_here(bench)
    if piece.mount is None:
        return unknown("piece.mount", because("holder-series"))
    if not series:
        return unknown("tool-post", because("which-post", series=piece.mount))
    if piece.mount in series:
        return fits(because("holder-on-post", series=piece.mount))
    shown = {"series": piece.mount, "post": ", ".join(series)}
    swing = bench.machine.swing
    if swing and all(
        _far_too_large(bench.standards.tool_posts.get(name), bench) for name in series
    ):
        return unknown("tool-post", because("which-post-fits", swing=swing, **shown))
    return misfit(because("holder-other-series", **shown))


def _series_here(bench: Bench) -> tuple[str, ...]:
    """Return the series of the posts that are here; one not in the tables by what it is called."""
    known = bench.standards.tool_posts
    return tuple(
        dict.fromkeys(
            end
            for carrier in bench.serving("quick-change-post")
            for end in sorted(carrier.ends)
            if end in known or end == carrier.piece.mount
        )
    )


def fit_shank(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Try a tool's shank in what holds tools on this machine."""
    if bench.sort == "shaper":
        return unknown("piece.tried", because("try-in-clapper-box"))
    if not bench.is_lathe and kind.in_boring_head:
        return unknown("piece.tried", because("try-in-boring-head"))
    if not bench.is_lathe:
        return misfit(because("no-compound"))
    size = known_mm(piece.size)
    posts = bench.standards.tool_posts
    rows = [posts[name] for name in _series_here(bench) if name in posts]
    if not rows:
        if bench.serving(*_POSTS):
            return unknown("piece.tried", because("try-in-holder"))
        return unknown("tool-post", because("which-holder"))
    if size is None:
        return unknown("piece.size", because("measure-tool-shank"))
    row = max(rows, key=lambda one: one.largest_shank_mm)
    sizes = {"shank": length(size), "most": length(row.largest_shank_mm), "series": row.name}
    if size <= row.largest_shank_mm + 0.1:
        fit = fits(because("shank-in-holder", **sizes))
        return _overhang(fit, size, bench) if kind.overhangs else fit
    return resting_on(misfit(because("shank-over-holder", **sizes)), row.name, row.evidence)


def overhang_mm(standards: Standards, bar_mm: float, *, carbide: bool = False) -> float:
    """Return how far a boring bar may stand out: 4 diameters in steel, 7 in carbide.

    A lathe reference page's rule (catalogs/standards/boring-bars.yaml).
    """
    rule = "bar-overhang-carbide" if carbide else "bar-overhang-steel"
    return bar_mm * standards.rule(rule)


def _overhang(fit: Fit, bar_mm: float, bench: Bench) -> Fit:
    rows = [row for row in bench.standards.boring_bars if row.bar_mm >= bar_mm - 0.1]
    if rows:
        enters = because("bar-enters", bar=length(bar_mm), bore=length(rows[0].least_bore_mm))
        fit = with_cautions(fit, (), enters)
    reason = because(
        "bar-overhang",
        bar=length(bar_mm),
        steel=length(overhang_mm(bench.standards, bar_mm)),
        carbide=length(overhang_mm(bench.standards, bar_mm, carbide=True)),
    )
    return with_cautions(fit, (), reason)
