"""Print what the catalogue holds: kinds, words, prices by basis, standards by confirmation."""

from __future__ import annotations

import sys
from collections import Counter
from typing import Any

from kitreckon.catalogue import yaml_text
from kitreckon.catalogue.load import catalogue_folder, open_catalogue


def price_rows() -> list[tuple[str, int]]:
    """Return the counts of price points, by basis and use."""
    tables = open_catalogue().prices.values()
    points = [point for table in tables for point in table.points]
    return [
        ("price tables", len(tables)),
        ("price points", len(points)),
        ("  published", sum(point.basis == "published" for point in points)),
        (
            "  published, for comparison only",
            sum(p.compare_only and p.basis == "published" for p in points),
        ),
        ("  estimate", sum(point.basis == "estimate" for point in points)),
    ]


def kind_rows() -> list[tuple[str, int]]:
    """Return the counts of kinds and of the words for them."""
    kinds = open_catalogue().kinds.values()
    names = [len(set(kind.british) | set(kind.american) | set(kind.words)) for kind in kinds]
    rows = [
        ("kinds", len(names)),
        ("  common", sum(kind.common for kind in kinds)),
        ("trade words", sum(names)),
        ("  fewest of a common kind", min(len(kind.words) for kind in kinds if kind.common)),
        ("checks", sum(len(kind.checks) for kind in kinds)),
        ("parts that may be missing", sum(len(kind.parts) for kind in kinds)),
    ]
    for language in ("de", "fr"):
        foreign = open_catalogue(language=language).kinds.values()
        rows.append((f"kinds named in {language}", sum(bool(kind.foreign) for kind in foreign)))
    return rows


def outfit_rows() -> list[tuple[str, int]]:
    """Return the counts of wants by class, and of findings and cautions."""
    catalogue = open_catalogue()
    rows = [("outfits", len(catalogue.outfits))]
    rows += [(f"  {name}", len(outfit.wants)) for name, outfit in catalogue.outfits.items()]
    effects = Counter(rule.effect for rule in catalogue.findings.values())
    rows.append(("findings", len(catalogue.findings)))
    rows += [(f"  {effect}", count) for effect, count in sorted(effects.items())]
    rows.append(("cautions", len(catalogue.words.cautions)))
    return rows


def standard_rows() -> list[tuple[str, int]]:
    """Return the rows of each standards table, and how many sources confirm them."""
    rows: list[tuple[str, int]] = []
    confirmed: Counter[str] = Counter()
    for path in sorted((catalogue_folder() / "standards").glob("*.yaml")):
        document, problems = yaml_text.parse(path.read_bytes(), path.name)
        if document is None:
            print(*problems, sep="\n", file=sys.stderr)
            continue
        listed: Any = yaml_text.plain_data(document.entries["rows"])
        if isinstance(listed, dict):
            listed = list(listed.values())
        rows.append((f"  {path.stem}", len(listed)))
        confirmed.update(row.get("confirmed", "not said") for row in listed)
    total = [("standards rows", sum(count for _, count in rows))]
    by_sources = [(f"  confirmed by {n}", count) for n, count in sorted(confirmed.items())]
    return total + rows + by_sources


def main() -> None:
    """Print the table."""
    for name, count in kind_rows() + price_rows() + outfit_rows() + standard_rows():
        print(f"{name:<40}{count:>6}")


if __name__ == "__main__":
    main()
