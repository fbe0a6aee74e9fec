"""``kitreckon identify``: what an unmarked taper, socket, thread, nose or collet may be."""

from __future__ import annotations

import argparse
from argparse import Namespace
from typing import TYPE_CHECKING, Any, Literal

from kitreckon.commands.arguments import add_catalogue, add_json
from kitreckon.errors import KitreckonError

if TYPE_CHECKING:
    from kitreckon.catalogue.words import Words
    from kitreckon.fitting import Identification
    from kitreckon.reports.voice import Voice
    from kitreckon.standards import Standards

_LENGTHS = {
    "large": "taper: the larger of two diameters, anywhere on the cone",
    "small": "taper: the smaller of the two",
    "length": "taper: distance between the two along the axis; collet: its length",
    "wide": "socket: diameter of the wider bar or ball",
    "wide_depth": "socket: how deep it goes in",
    "narrow": "socket: diameter of the narrower bar or ball",
    "narrow_depth": "socket: how deep that one goes in",
    "thread": "thread, nose or collet: diameter over the thread",
    "register": "nose: diameter of the register, or of the large end of its cone",
    "bolt_circle": "nose: circle through the studs or bolts",
    "flange": "nose: diameter of the flange",
    "body": "collet: diameter of its body",
    "sd_diameter": "uncertainty of a diameter, one standard deviation (0.03mm)",
    "sd_length": "uncertainty of a length, one standard deviation (0.3mm)",
}

# What is measured of each sort of part; what is never measured of another decides the sort.
_MEASURES = {
    "collet": ("collet", "body", "thread", "pitch", "length"),
    "socket": ("wide", "wide_depth", "narrow", "narrow_depth", "balls"),
    "taper": ("large", "small", "length"),
    "nose": ("studs", "register", "bolt_circle", "flange", "thread", "pitch"),
    "thread": ("thread", "pitch"),
}
_NEEDED = {
    "socket": ("wide", "wide_depth", "narrow", "narrow_depth"),
    "taper": ("large", "small", "length"),
    "thread": ("thread",),
}
_DECIDE = {
    "collet": ("collet", "body"),
    "socket": ("wide", "wide_depth", "narrow", "narrow_depth", "balls"),
    "taper": ("large", "small"),
    "nose": ("studs", "register", "bolt_circle", "flange"),
    "thread": ("thread", "pitch"),
    "length": ("length",),
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes; lengths as people type them, with their unit."""
    for name, about in _LENGTHS.items():
        parser.add_argument(_flag(name), metavar="L", help=f"{about}; as .938in, 4 1/16in, 17.78mm")
    parser.add_argument("--pitch", metavar="P", help="thread: its pitch, as 8tpi or 4mm")
    parser.add_argument("--studs", metavar="N", type=int, help="nose: how many studs it takes")
    parser.add_argument("--collet", action="store_true", help="what is measured is a collet")
    parser.add_argument("--balls", action="store_true", help="socket: balls, not bars")
    parser.add_argument(
        "--units",
        choices=("in", "mm"),
        help="units to show (else those typed, else inches)",
    )
    parser.add_argument("--words", choices=("british", "american"), default="american")
    add_json(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Print the candidates, best first."""
    from kitreckon.catalogue.words import Style
    from kitreckon.commands.opening import open_catalogue, tell_problems
    from kitreckon.reports.voice import Voice

    catalogue = open_catalogue(options)
    found = _identified(options, catalogue.standards)
    voice = Voice(catalogue.words, Style(options.units or _typed_units(options), options.words))
    tell_problems(catalogue)
    if options.json:
        from kitreckon.commands.printing import to_json

        print(to_json(identification_data(found, catalogue.words, voice.style)))
    else:
        print(identification_text(found, voice), end="")
    return 0


def _identified(options: Namespace, standards: Standards) -> Identification:
    from kitreckon import fitting

    sort = _sort(options)
    mm = {name: _mm(name, getattr(options, name)) for name in _LENGTHS}
    pitch = fitting.read_pitch(options.pitch) if options.pitch is not None else None
    sd = {f"{name}_mm": mm[name] for name in ("sd_diameter", "sd_length") if mm[name] is not None}
    diameter: Any = {name: value for name, value in sd.items() if name == "sd_diameter_mm"}
    length: Any = {name: value for name, value in sd.items() if name == "sd_length_mm"}
    if sort == "collet":
        return fitting.identify_collet(
            standards,
            body_mm=mm["body"],
            thread_mm=mm["thread"],
            pitch_mm=pitch,
            length_mm=mm["length"],
            **length,
        )
    if sort == "taper":
        large, small, apart = _needed(mm, sort)
        return fitting.identify_taper(standards, large, small, apart, **diameter, **length)
    if sort == "socket":
        wide, deep, narrow, deeper = _needed(mm, sort)
        return fitting.identify_socket(
            standards, wide, deep, narrow, deeper, balls=options.balls, **diameter, **length
        )
    if sort == "nose":
        return fitting.identify_nose(
            standards,
            studs=options.studs,
            register_mm=mm["register"],
            bolt_circle_mm=mm["bolt_circle"],
            flange_mm=mm["flange"],
            thread_mm=mm["thread"],
            pitch_mm=pitch,
            **diameter,
        )
    (over,) = _needed(mm, sort)
    return fitting.identify_thread(standards, over, pitch, **diameter)


def _typed_units(options: Namespace) -> Literal["in", "mm"]:
    """Return the units of the measurements, else inches as everywhere."""
    from kitreckon.quantities import read_length

    typed = [getattr(options, name) for name in _LENGTHS if getattr(options, name) is not None]
    inches = any(read_length(text).unit == "in" for text in typed)
    metric_pitch = options.pitch is not None and "mm" in options.pitch
    return "in" if inches or not (typed or metric_pitch) else "mm"


def _sort(options: Namespace) -> str:
    """Return what sort of part was measured; raises KitreckonError where that is not plain."""
    names = dict.fromkeys(name for names in _MEASURES.values() for name in names)
    given = [name for name in names if getattr(options, name) not in (None, False)]
    sort = next((one for one, names in _DECIDE.items() if not {*names}.isdisjoint(given)), "")
    if sort == "":
        raise KitreckonError(
            "nothing was measured",
            want="--large, --small and --length of a taper; --thread and --pitch; or --studs and "
            "--register of a nose",
        )
    if sort == "length":
        raise KitreckonError(
            "--length of what?", want="--large and --small of a taper, or --collet with it"
        )
    stray = [_flag(name) for name in given if name not in _MEASURES[sort]]
    if stray:
        raise KitreckonError(
            f"a {sort} has no {' or '.join(stray)}", want="the measures of one part at a time"
        )
    return sort


def _flag(name: str) -> str:
    return "--" + name.replace("_", "-")


def _needed(mm: dict[str, float | None], sort: str) -> tuple[float, ...]:
    names = _NEEDED[sort]
    missing = [_flag(name) for name in names if mm[name] is None]
    if missing:
        needed = ", ".join(map(_flag, names))
        raise KitreckonError(
            f"{' and '.join(missing)} not given", want=f"a {sort} is named by {needed}"
        )
    return tuple(value for name in names if (value := mm[name]) is not None)


def _mm(name: str, typed: str | None) -> float | None:
    from kitreckon.quantities import QuantityError, read_length

    if typed is None:
        return None
    try:
        return read_length(typed).mm
    except QuantityError as error:
        raise KitreckonError(error.what, where=_flag(name), want=error.want) from error


def identification_data(found: Identification, words: Words, style: Any) -> dict[str, Any]:
    """Return the candidates in the shape other programs rely on."""
    return {
        "candidates": [
            {
                "name": one.name,
                "system": one.system,
                "error_mm": None if one.error_mm is None else round(one.error_mm, 4),
                "in_limits": one.in_limits,
                "probability": round(one.probability, 4),
                "note": words.say(one.note, style) if one.note is not None else "",
                "notes": [words.say(note, style) for note in one.notes],
                "together": list(one.together),
                "sources": one.confirmed,
            }
            for one in found.candidates
        ],
        "none_probability": round(found.none_probability, 4),
        "measure_next": words.say(found.measure_next, style) if found.measure_next else None,
    }


def identification_text(found: Identification, voice: Voice) -> str:
    """Return the candidates as plain text."""
    from kitreckon.reports.identification import identification_report
    from kitreckon.reports.rendering.text import to_text

    return to_text(identification_report(found, voice))
