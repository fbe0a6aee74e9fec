"""From the files of catalogs/standards to Standards: one reader for each kind of table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, cast

from kitreckon.standards.layers import Document, Wrong, layers
from kitreckon.standards.rows import MM_PER_INCH, Row, RowError, as_number
from kitreckon.standards.standards import Standards
from kitreckon.standards.tables import (
    BoringBar,
    ChuckSpeed,
    Collet,
    Companion,
    Cone,
    Nose,
    NoseSystem,
    Rule,
    Thread,
    ToolPostSeries,
    TSlot,
)


def read_standards(documents: Mapping[str, Document], wrong: Wrong | None = None) -> Standards:
    """Return the tables of the files given, by file name; every scalar in them is text.

    A later file's row is laid over an earlier one of the same table and name, field by field.
    What cannot be used is given to ``wrong`` (file, path of keys, error) and left out; without
    ``wrong`` the first such error is raised. It names the file, the row and the field.
    """
    tables: dict[str, dict[str, Any]] = {name: {} for name in _READERS}
    for layered in layers(documents, tuple(_READERS), wrong):
        try:
            tables[layered.table][layered.row.name] = _READERS[layered.table](
                layered.row, layered.head
            )
        except RowError as error:
            if wrong is None:
                raise
            wrong(layered.file, ("rows", layered.row.name, error.field), error)
    return Standards(
        cones=tables["cones"],
        noses=tables["noses"],
        threads=tables["threads"],
        collets=tables["collets"],
        t_slots=tables["t-slots"],
        tool_posts=tables["tool-posts"],
        chuck_speeds=tuple(sorted(tables["chuck-speeds"].values(), key=lambda row: row.size_mm)),
        boring_bars=tuple(sorted(tables["boring-bars"].values(), key=lambda row: row.bar_mm)),
        companions=tables["nose-companions"],
        drill_chuck_mounts=tables["drill-chuck-mounts"],
        vise_tables_mm=tables["vises"],
        rules=tables["rules"],
    )


def _sources(document: Document) -> Mapping[str, Any]:
    sources = document.get("sources")
    return sources if isinstance(sources, Mapping) else {}


def _rate(row: Row, document: Document) -> float | None:
    """Diameter lost per length: from the taper per foot, else from the ratio."""
    per_foot = _own_or_heads(row, document, "taper_per_foot_in")
    if per_foot is not None:
        return per_foot / 12
    ratio = _own_or_heads(row, document, "ratio")
    return None if ratio is None else 1 / ratio


def _own_or_heads(row: Row, document: Document, key: str) -> float | None:
    """Return a number of the row, or of the head of its file, above zero."""
    value = row.number(key)
    if value is None and document.get(key) is not None:
        value = as_number(document[key], row.where)
    if value is not None and value <= 0:
        raise RowError(f"{key} is not above zero", where=row.where, field=key)
    return value


def _ends(row: Row, document: Document) -> tuple[float, float, float, float]:
    """Return large end, small end, length and rate; what is missing follows from the rest."""
    large, small, length = row.needed_mm("large"), row.mm("small"), row.mm("length")
    rate = _rate(row, document)
    if rate is None:
        if small is None or not length:
            raise RowError(
                "no taper can be had from this row",
                where=row.where,
                want="taper_per_foot_in, ratio, or small and length",
            )
        rate = (large - small) / length
    if small is None:
        pilot = row.mm("pilot")
        if length is None and pilot is None:
            raise RowError("the cone has no end", where=row.where, want="small, length or pilot")
        small = large - rate * length if length else pilot or 0.0
    if length is None:
        length = (large - small) / rate
    if not 0 < small < large or not 0 < rate < 1:
        raise RowError(
            "the small end must be the smaller one", where=row.where, want="small below large"
        )
    return large, small, length, rate


def _cone(row: Row, document: Document) -> Cone:
    large, small, length, rate = _ends(row, document)
    further = row.records("lengths")
    return Cone(
        name=row.name,
        system=str(document.get("system", "")),
        large_mm=large,
        small_mm=small,
        length_mm=length,
        rate=rate,
        projection_mm=row.mm("projection") or 0.0,
        tang_cone_mm=row.mm("tang_cone") or row.mm("shank_depth"),
        slot_mm=row.mm("slot_position"),
        lengths_mm=tuple(
            as_number(one.get("length_in"), row.where) * MM_PER_INCH for one in further
        ),
        drawbar=row.text("drawbar"),
        printed_taper_per_foot_in=row.number("taper_per_foot_in"),
        printed_half_angle_deg=row.number("half_angle_deg"),
        same_cone_as=row.text("same_cone_as"),
        from_small_end=document.get("system") == "BS",
        note=row.text("note"),
        evidence=row.evidence(_sources(document)),
    )


def _nose(row: Row, document: Document) -> Nose:
    tpi, pitch = row.number("tpi"), row.mm("pitch")
    gauge_max = row.mm("gauge_max")
    register = row.span_mm("register")
    return Nose(
        name=row.name,
        system=cast("NoseSystem", str(document.get("system", ""))),
        size=row.name.rpartition("-")[2] if document.get("system") != "screwed" else "",
        gauge_mm=row.mm("gauge") or gauge_max,
        gauge_max_mm=gauge_max,
        length_mm=row.mm("length"),
        rate=_rate(row, document),
        flange_mm=row.mm("flange"),
        studs=row.whole("studs"),
        stud_thread=row.text("stud_thread"),
        bolt_circle_mm=row.mm("bolt_circle"),
        hole_thread=row.text("hole_thread"),
        inner_bolt_circle_mm=row.mm("inner_bolt_circle"),
        ring_thread=row.text("ring_thread"),
        major_mm=row.mm("major"),
        pitch_mm=MM_PER_INCH / tpi if tpi else pitch,
        tpi=tpi,
        register_mm=register,
        usual_on=row.text("usual_on"),
        evidence=row.evidence(_sources(document)),
    )


def _thread(row: Row, document: Document) -> Thread:
    tpi = row.number("tpi")
    return Thread(
        row.name,
        row.text("series"),
        row.needed_mm("major"),
        MM_PER_INCH / tpi if tpi else row.needed_mm("pitch"),
        tpi,
        row.evidence(_sources(document)),
    )


def _collet(row: Row, document: Document) -> Collet:
    return Collet(
        row.name,
        "spring" if row.text("style") == "spring" else "draw",
        row.needed_mm("body"),
        thread=row.text("thread"),
        inside_thread=row.text("inside_thread"),
        nut_thread=row.text("nut_thread"),
        length_mm=row.mm("length"),
        half_angle_deg=row.number("half_angle_deg"),
        grips_from_mm=row.mm("grips_from"),
        grips_to_mm=row.mm("grips_to") or row.mm("largest_round"),
        draw_tube_bore_mm=row.mm("draw_tube_bore"),
        note=row.text("note"),
        evidence=row.evidence(_sources(document)),
    )


def _t_slot(row: Row, document: Document) -> TSlot:
    return TSlot(
        row.name,
        row.needed_mm("width"),
        row.text("bolt"),
        row.needed_span_mm("head_width"),
        row.needed_span_mm("head_depth"),
        row.evidence(_sources(document)),
    )


def _tool_post(row: Row, document: Document) -> ToolPostSeries:
    return ToolPostSeries(
        row.name,
        row.text("number"),
        row.needed_mm("largest_shank"),
        row.span_mm("swing"),
        row.span_mm("swing_wide"),
        row.evidence(_sources(document)),
    )


def _chuck_speed(row: Row, document: Document) -> ChuckSpeed:
    return ChuckSpeed(
        as_number(row.name, row.where),
        int(row.needed_number("cast_iron_rpm")),
        int(row.needed_number("steel_rpm")),
        row.evidence(_sources(document)),
    )


def _boring_bar(row: Row, document: Document) -> BoringBar:
    return BoringBar(
        row.needed_mm("bar"),
        row.needed_mm("least_bore"),
        row.needed_mm("overhang_steel"),
        row.needed_mm("overhang_carbide"),
        row.evidence(_sources(document)),
    )


def _companion(row: Row, document: Document) -> Companion:
    return Companion(
        row.name,
        row.text("swing"),
        row.text("spindle_socket"),
        row.text("bore"),
        row.evidence(_sources(document)),
    )


def _mounts(row: Row, document: Document) -> tuple[str, ...]:
    row.evidence(_sources(document))
    as_number(row.name, row.where)
    return row.texts("mounts")


def _vise(row: Row, document: Document) -> tuple[float, float, float]:
    row.evidence(_sources(document))
    return (row.needed_mm("jaw"), *row.needed_span_mm("table_width"))


def _rule(row: Row, document: Document) -> Rule:
    evidence = row.evidence(_sources(document))
    value = row.needed_number("value")
    if value <= 0:
        raise RowError("the value is not above zero", where=row.where, field="value")
    sources = _sources(document)
    return Rule(
        row.name, value, "; ".join(str(sources[s]) for s in evidence.sources), evidence.confirmed
    )


_READERS: dict[str, Callable[[Row, Document], Any]] = {
    "cones": _cone,
    "noses": _nose,
    "threads": _thread,
    "collets": _collet,
    "t-slots": _t_slot,
    "tool-posts": _tool_post,
    "chuck-speeds": _chuck_speed,
    "boring-bars": _boring_bar,
    "nose-companions": _companion,
    "drill-chuck-mounts": _mounts,
    "vises": _vise,
    "rules": _rule,
}
