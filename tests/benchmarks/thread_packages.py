"""Compare every thread of the tables with what registry packages say. Prints what differs.

    pip download --no-deps -d FOLDER solidpython2==2.1.3 bd_warehouse==0.4.0 screw-thread-lib==0.0.6
    python tests/benchmarks/thread_packages.py FOLDER

The wheels are read as archives and never installed; a package that is not there is left out.
Where FOLDER also holds the unpacked Debian package freecad-common (apt-get download, dpkg -x),
its tables of outside threads, 2A and 6g, are compared as well. Known errors of these packages:
2A rows 9/16-14 (major diameters) and 2-6 (pitch diameters), 6G row M33 x 3.5 (0.021 mm high) and
4G6G row M27 x 2 of the Debian tables; tap drills M21-2 and M22-2.5 of bd_warehouse, which are
not compared.
"""

from __future__ import annotations

import csv
import re
import sys
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from zipfile import ZipFile

from kitreckon.catalogue.load import open_catalogue
from kitreckon.fitting.threads import major_band_mm, thread_size_mm
from kitreckon.standards import Standards

_ROW = re.compile(r"\[\s*([\d./]+)\s*,\s*\[([^\]]*)\]")
_MAJOR = re.compile(r"'((?:\d/)?\d-\d+|M\d+-[\d.]+)':.*?'dmin': ([\d.]+)")


def text_of(folder: Path, package: str, member: str) -> str | None:
    """Return a member of the newest wheel of a package, or None."""
    wheels = sorted(folder.glob(f"{package}-*.whl"))
    if not wheels:
        return None
    with ZipFile(wheels[-1]) as wheel:
        return wheel.read(member).decode()


def table(text: str, name: str) -> Iterator[tuple[Fraction, list[float | None]]]:
    """Give the rows of one table of a screws.scad file: size, and its pitches."""
    start = text.index(f"{name} = [")
    end = re.compile(r"\n\s*\],").search(text, start)
    body = text[start : end.start() if end else None]
    for size, pitches in _ROW.findall(body):
        values = [part.strip() for part in pitches.split(",") if part.strip()]
        yield Fraction(size), [None if v == "undef" else float(v) for v in values]


def of_screws(standards: Standards, text: str) -> Iterator[str]:
    """Give what the tables of solidpython2 hold against ours."""
    ours = {(row.major_mm, row.pitch_mm): row.name for row in standards.threads.values()}
    theirs = set()
    for size, (coarse, fine, *_) in table(text, "UTS_thread"):
        for tpi in (coarse, fine):
            if tpi is not None and size >= Fraction(1, 4):
                theirs.add((round(float(size) * 25.4, 6), round(25.4 / tpi, 6)))
    for size, (coarse, *_) in table(text, "ISO_thread"):
        if coarse is not None:
            theirs.add((float(size), coarse))
    mine = {(round(major, 6), round(pitch or 0, 6)): name for (major, pitch), name in ours.items()}
    print(f"solidpython2: {len(theirs)} threads, {len(theirs & set(mine))} of ours among them")
    for key in sorted(set(mine) - theirs):
        yield f"solidpython2 has no {mine[key]}"


def of_tap_drills(standards: Standards, text: str) -> Iterator[str]:
    """Give the threads of ours that bd_warehouse has no tap drill for, up to its largest."""
    names = {line.partition(",")[0] for line in text.splitlines()[1:] if not line.startswith("#")}
    theirs = {re.sub(r"^(M[\d.]+)-([\d.]+)$", _metric, name) for name in names}
    reach = [r for r in standards.threads.values() if r.major_mm <= (25.4 if r.tpi else 22) + 0.01]
    print(f"bd_warehouse: {len(theirs)} threads, {len(reach)} of ours within its reach")
    for row in reach:
        if row.name not in theirs:
            yield f"bd_warehouse has no {row.name}"


def _metric(match: re.Match[str]) -> str:
    return f"{match[1]}x{float(match[2]):g}"


def of_majors(text: str) -> Iterator[str]:
    """Give the least major diameters that lie over 0.0012 in from the lower end of our band."""
    found = _MAJOR.findall(text)
    print(f"screw-thread-lib: {len(found)} least major diameters compared")
    for thread, least in found:
        size = thread_size_mm(re.sub(r"^(M[\d.]+)-", r"\1x", thread))
        if size is None:
            continue
        low, _ = major_band_mm(*size)
        if abs(low / 25.4 - float(least)) > 0.0012:
            yield f"screw-thread-lib: {thread} at least {least}, ours {low / 25.4:.4f}"


def of_debian(standards: Standards, folder: Path) -> Iterator[str]:
    """Give the threads of ours that the Debian tables lack or whose band they put elsewhere."""
    theirs: dict[str, tuple[float, float]] = {}
    for name, factor in (("imperial-external-2A.csv", 25.4), ("metric-external-6G.csv", 1.0)):
        for path in folder.rglob(name):
            for row in csv.DictReader(path.open()):
                thread = row["name"].replace(" x ", "x").strip()
                band = float(row["dMajorMin"]) * factor, float(row["dMajorMax"]) * factor
                theirs[thread] = band
    if not theirs:
        return
    common = [row for row in standards.threads.values() if row.name in theirs]
    print(f"freecad-common: {len(theirs)} threads, {len(common)} of ours among them")
    for row in common:
        low, high = major_band_mm(row.major_mm, row.pitch_mm or 0)
        least, largest = theirs[row.name]
        if abs(low - least) > 0.03 or abs(high - largest) > 0.03:
            bands = f"{least:.3f} to {largest:.3f}, ours {low:.3f} to {high:.3f}"
            yield f"freecad-common: {row.name} {bands}"


def main() -> int:
    """Print the comparison; 1 when something differs that is not known to be their error."""
    if len(sys.argv) != 2:
        print(__doc__)
        return 2
    folder, standards = Path(sys.argv[1]), open_catalogue().standards
    differing: list[str] = []
    screws = text_of(folder, "solidpython2", "solid2/extensions/bosl2/BOSL2/screws.scad")
    drills = text_of(folder, "bd_warehouse", "bd_warehouse/data/tap_hole_sizes.csv")
    majors = text_of(folder, "screw_thread_lib", "screw_thread_lib/data/ASME.py")
    if screws:
        differing += of_screws(standards, screws)
    if drills:
        differing += of_tap_drills(standards, drills)
    if majors:
        differing += of_majors(majors)
    differing += of_debian(standards, folder)
    for line in differing:
        print(line)
    print(f"{len(differing)} differences")
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main())
