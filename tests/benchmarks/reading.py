"""What the reader gets right and how long it takes, beside off-the-shelf matchers.

    python tests/benchmarks/reading.py [LINES.jsonl [ADVERTS.jsonl]]

LINES holds one labelled line an object: text, kind, and where they apply alt, qty, set_of,
size_mm, mount, absent, group. ADVERTS holds text, items (kind, qty) and absent. Without
arguments the project's own labelled lines are taken. The matchers beside ours get the same names
and words; the score below which they say "none" is chosen on the lines themselves, which flatters
them. Intervals are Wilson's, 95 %; of F1 by bootstrap over the adverts.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import statistics
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import yaml
from rapidfuzz import fuzz, process, utils

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Kind
from kitreckon.reading import Reader, TextReading

HERE = Path(__file__).parent
OWN_LINES = HERE.parent / "reading" / "lines.yaml"
NAMES = HERE / "reading_names.txt"
GROUPS = {"workholding", "centres", "tailstock", "rests", "toolposts", "cutting"}
OTHER = "other"
Line = Mapping[str, Any]


def wilson(right: int, count: int) -> str:
    """Return "0.93 (0.90 to 0.95)" for a share."""
    if not count:
        return "none"
    share, z = right / count, 1.96
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z * math.sqrt(share * (1 - share) / count + z * z / (4 * count**2)) / (1 + z * z / count)
    return f"{share:.3f} ({middle - half:.3f} to {middle + half:.3f})  {right} of {count}"


def table(title: str, rows: Iterable[Sequence[object]]) -> None:
    """Print rows in columns under a title."""
    print(f"\n{title}")
    cells = [[str(cell) for cell in row] for row in rows]
    widths = [max(len(row[i]) for row in cells) for i in range(len(cells[0]))]
    for row in cells:
        line = "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        print("  " + line.rstrip())


def read_lines(path: Path | None) -> list[dict[str, Any]]:
    """Return labelled lines; numbers as numbers."""
    if path is not None:
        return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines() if line]
    lines = yaml.load(OWN_LINES.read_text(encoding="utf-8"), yaml.BaseLoader)["lines"]
    for line in lines:
        line["qty"] = int(line.get("qty", 1))
        line["set_of"] = int(line["set_of"]) if "set_of" in line else None
        line["size_mm"] = float(line["size_mm"]) if "size_mm" in line else None
        line["absent"] = "absent" in line
    return lines


def allowed(line: Line) -> set[str]:
    """Return the kinds that count as right."""
    return {line["kind"], *line.get("alt", ())}


def kind_of(reading: TextReading) -> str:
    """Return the kind of the line's main thing."""
    return reading.pieces[0].kind if reading.pieces else OTHER


# --- the matchers beside ours


def rapidfuzz_matcher(scorer: Any, names: list[str], kinds: list[str]) -> Callable[[str], Any]:
    """Return a matcher: text -> (kind, score 0 to 1)."""

    def match(text: str) -> tuple[str, float]:
        found = process.extractOne(text, names, scorer=scorer, processor=utils.default_process)
        return (OTHER, 0.0) if found is None else (kinds[found[2]], found[1] / 100)

    return match


def tfidf_matcher(names: list[str], kinds: list[str]) -> Callable[[str], Any] | None:
    """Return a character n-gram matcher, None where scikit-learn is not installed."""
    try:
        from sklearn.feature_extraction.text import TfidfVectorizer
    except ImportError:
        return None
    vectors = TfidfVectorizer(analyzer="char_wb", ngram_range=(2, 4), sublinear_tf=True)
    known = vectors.fit_transform(names)

    def match(text: str) -> tuple[str, float]:
        scores = (known @ vectors.transform([text]).T).toarray().ravel()
        best = int(scores.argmax())
        return kinds[best], float(scores[best])

    return match


def best_threshold(found: list[tuple[str, float]], lines: list[dict[str, Any]]) -> tuple[int, int]:
    """Return (right, strictly right) at the score below which "none" does best."""
    best = (0, 0)
    for bar in sorted({round(score, 2) for _, score in found} | {0.0}):
        said = [kind if score >= bar else OTHER for kind, score in found]
        pairs = list(zip(said, lines, strict=True))
        right = sum(kind in allowed(line) for kind, line in pairs)
        best = max(best, (right, sum(kind == line["kind"] for kind, line in pairs)))
    return best


def compare(lines: list[dict[str, Any]], kinds: Mapping[str, Kind], ours: list[str]) -> None:
    """Print how often each matcher names the right kind, or rightly none."""
    pairs = [(n, k.id) for k in kinds.values() for n in (*k.british, *k.american, *k.words)]
    names, owners = [n for n, _ in pairs], [k for _, k in pairs]
    scorers = {
        "rapidfuzz WRatio": fuzz.WRatio,
        "rapidfuzz token_set_ratio": fuzz.token_set_ratio,
        "rapidfuzz token_sort_ratio": fuzz.token_sort_ratio,
        "rapidfuzz partial_ratio": fuzz.partial_ratio,
        "rapidfuzz partial_token_sort": fuzz.partial_token_sort_ratio,
    }
    matchers: dict[str, Any] = {
        name: rapidfuzz_matcher(scorer, names, owners) for name, scorer in scorers.items()
    }
    matchers["TF-IDF, characters 2 to 4"] = tfidf_matcher(names, owners)
    count = len(lines)
    right = sum(kind in allowed(line) for kind, line in zip(ours, lines, strict=True))
    strict = sum(kind == line["kind"] for kind, line in zip(ours, lines, strict=True))
    rows = [
        ("matcher", "kind right", "strictly"),
        ("ours", wilson(right, count), wilson(strict, count)),
    ]
    for name, match in matchers.items():
        if match is None:
            rows.append((name, "scikit-learn is not installed", ""))
            continue
        good, exact = best_threshold([match(line["text"]) for line in lines], lines)
        rows.append((name, wilson(good, count), wilson(exact, count)))
    table("KIND", rows)


# --- ours in detail


def phenomena(line: Line) -> list[str]:
    """Return what a line shows, from its label and its shape."""
    if "about" in line:
        return [str(line["about"])]
    text, words = line["text"], line["text"].split()
    shows = {
        "no accessory": line["kind"] == OTHER,
        "several things": bool(line.get("multi")),
        "absent": bool(line.get("absent")),
        "a size": line.get("size_mm") is not None,
        "a mount": line.get("mount") is not None,
        "a set": line.get("set_of") is not None,
        "a count": line.get("qty", 1) > 1,
        "one or two words": len(words) <= 2,
        "nine words and more": len(words) >= 9,
        "code or underscores": any("_" in w or (w.isupper() and len(w) > 4) for w in words),
        "a sentence about it": any(w.lower() in {"i", "my", "was", "is", "had"} for w in words),
        "open to two answers": bool(line.get("alt")),
        "list item": "," in text or ":" in text,
    }
    return [name for name, shown in shows.items() if shown] or ["plain"]


def detail(lines: list[dict[str, Any]], readings: list[TextReading]) -> None:
    """Print our figures by phenomenon, the facts, and how far confidence can be trusted."""
    good = [kind_of(r) in allowed(line) for line, r in zip(lines, readings, strict=True)]
    by: dict[str, list[bool]] = defaultdict(list)
    for line, right in zip(lines, good, strict=True):
        for name in phenomena(line):
            by[name].append(right)
    table("BY PHENOMENON", [(n, wilson(sum(r), len(r))) for n, r in sorted(by.items())])
    facts(lines, readings, good)
    reliability(readings, good)


def facts(lines: list[dict[str, Any]], readings: list[TextReading], good: list[bool]) -> None:
    """Print how often quantity, size, mount and absence are right, where the kind is."""
    tally: dict[str, list[bool]] = defaultdict(list)
    for line, reading, right in zip(lines, readings, good, strict=True):
        if not right or not reading.pieces:
            continue
        piece = reading.pieces[0]
        tally["quantity"].append(piece.qty == line.get("qty", 1))
        tally["pieces of a set"].append(piece.set_of == line.get("set_of"))
        size, want = piece.size.mm if piece.size else None, line.get("size_mm")
        if want is None:
            tally["no size invented"].append(size is None)
        else:
            tally["size"].append(size is not None and abs(size - want) < 0.06)
        key = "mount" if line.get("mount") else "no mount invented"
        tally[key].append(piece.mount == line.get("mount"))
        key = "said to be missing" if line.get("absent") else "here, not missing"
        tally[key].append((piece.state == "absent") == bool(line.get("absent")))
    table(
        "BESIDE THE KIND (where the kind is right)",
        [(n, wilson(sum(r), len(r))) for n, r in tally.items()],
    )


def reliability(readings: list[TextReading], good: list[bool]) -> None:
    """Print confidence against what came true, and what is taken unasked."""
    said = [r.pieces[0].confidence if r.pieces else r.none_confidence for r in readings]
    rows: list[Sequence[object]] = [("confidence", "lines", "mean said", "came true")]
    edges = [0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 1.0001]
    for low, high in pairwise(edges):
        inside = [(s, g) for s, g in zip(said, good, strict=True) if low <= s < high]
        if inside:
            mean = statistics.mean(s for s, _ in inside)
            rows.append((f"{low:.2f} to {min(high, 1):.2f}", len(inside), f"{mean:.3f}",
                         wilson(sum(g for _, g in inside), len(inside))))  # fmt: skip
    table("RELIABILITY", rows)
    pieces = [(r.pieces[0].taken, g) for r, g in zip(readings, good, strict=True) if r.pieces]
    taken = [g for unasked, g in pieces if unasked]
    nones = [g for r, g in zip(readings, good, strict=True) if not r.pieces]
    count = len(readings)
    rows = [
        ("pieces taken unasked, right", wilson(sum(taken), len(taken))),
        ("pieces taken unasked, share of lines", wilson(len(taken), count)),
        ("lines said to name none, right", wilson(sum(nones), len(nones))),
        ("both, right", wilson(sum(taken) + sum(nones), len(taken) + len(nones))),
        ("both, share of lines", wilson(len(taken) + len(nones), count)),
    ]
    table("TAKEN WITHOUT ASKING", rows)


def adverts(path: Path, reader: Reader) -> None:
    """Print F1 of the kinds found in whole adverts, and what is said to be missing."""
    labelled = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines() if line]
    counts = []
    missing = called = here = 0
    for advert in labelled:
        pieces = reader.read_advert(advert["text"]).pieces
        got = {p.kind for p in pieces if p.state == "here"}
        want = {item["kind"] for item in advert["items"]}
        counts.append((len(got & want), len(got - want), len(want - got)))
        absent = {p.kind for p in pieces if p.state == "absent"}
        for kind in advert.get("absent", ()):
            missing += 1
            called += kind in absent
            here += kind in got and kind not in want
    draws = random.Random(1)
    spread = sorted(f1(draws.choices(counts, k=len(counts))) for _ in range(2_000))
    found, extra, lost = (sum(c[i] for c in counts) for i in range(3))
    table(
        "ADVERTS",
        [
            ("F1 of kinds", f"{f1(counts):.3f} ({spread[50]:.3f} to {spread[1949]:.3f})"),
            ("precision", wilson(found, found + extra)),
            ("recall", wilson(found, found + lost)),
            ("missing, found as missing", wilson(called, missing)),
            ("missing, counted as here", f"{here} of {missing}"),
        ],
    )


def f1(counts: Iterable[tuple[int, int, int]]) -> float:
    """Return F1 over (found, extra, lost) of several adverts."""
    found, extra, lost = (sum(column) for column in zip(*counts, strict=True))
    return 2 * found / max(1, 2 * found + extra + lost)


def suggestions(kinds: Mapping[str, Kind], reader: Reader) -> None:
    """Print how many keys bring the right kind to the top."""
    rows: list[Sequence[object]] = [("names", "median keys", "90th percentile", "most")]
    for words in ("british", "american"):
        keys = sorted(
            next(
                (n for n in range(1, len(name) + 1)
                 if (s := reader.suggest(name[:n])) and s[0].kind == kind.id),
                99,
            )
            for kind in kinds.values()
            if kind.group in GROUPS
            for name in (getattr(kind, words)[0],)
        )  # fmt: skip
        rows.append((words, statistics.median(keys), keys[int(0.9 * len(keys))], keys[-1]))
    table("KEYS UNTIL THE RIGHT KIND STANDS FIRST", rows)


# --- times


def per_call(call: Callable[[str], object], texts: Sequence[str], rounds: int = 5) -> list[float]:
    """Return the least time of each text over some rounds, in microseconds."""
    least = [math.inf] * len(texts)
    for _ in range(rounds):
        for index, text in enumerate(texts):
            started = time.perf_counter()
            call(text)
            least[index] = min(least[index], time.perf_counter() - started)
    return [seconds * 1e6 for seconds in least]


def multiplied(kinds: Mapping[str, Kind], times: int) -> dict[str, Kind]:
    """Return the kinds with their words multiplied by made-up words in front."""
    draws = random.Random(3)
    made = ["".join(draws.choices("bdfgklmnprstvaeiou", k=7)) for _ in range(400)]
    return {
        kind.id: replace(
            kind,
            words=(
                *kind.words,
                *(
                    f"{draws.choice(made)} {word}"
                    for word in (*kind.british, *kind.american, *kind.words)
                    for _ in range(times - 1)
                ),
            ),
        )
        for kind in kinds.values()
    }


def times(texts: list[str], kinds: Mapping[str, Kind], rules: Mapping[str, Any]) -> None:
    """Print our times beside rapidfuzz's over 800 names, in one run on the same lines."""
    names = NAMES.read_text(encoding="utf-8").splitlines()
    started = time.perf_counter()
    reader = Reader(kinds, rules)
    made = time.perf_counter() - started
    larger = Reader(multiplied(kinds, 10), rules)
    ours = per_call(reader.read_line, texts)
    grown = per_call(larger.read_line, texts)
    theirs = per_call(
        lambda text: process.extractOne(
            text, names, scorer=fuzz.WRatio, processor=utils.default_process
        ),
        texts,
    )
    typed = sorted({kind.american[0][:n] for kind in kinds.values() for n in range(1, 16)})
    reader.suggest("c")
    suggested = per_call(reader.suggest, typed)
    rows: list[Sequence[object]] = [("microseconds", "mean", "median", "95th percentile", "most")]
    for name, spent in (
        ("ours, a line", ours),
        ("ours, words times ten", grown),
        (f"extractOne WRatio, {len(names)} names", theirs),
        ("ours, a suggestion", suggested),
    ):
        ordered = sorted(spent)
        at95 = ordered[int(0.95 * (len(ordered) - 1))]
        figures = (statistics.mean(spent), statistics.median(spent), at95, ordered[-1])
        rows.append((name, *(f"{figure:.0f}" for figure in figures)))
    table("TIMES (least of five rounds for each text)", rows)
    print(f"\n  ours over theirs, mean: {statistics.mean(ours) / statistics.mean(theirs):.2f}")
    print(
        f"  words times ten over ours, mean: {statistics.mean(grown) / statistics.mean(ours):.2f}"
    )
    p95 = sorted(suggested)[int(0.95 * (len(suggested) - 1))]
    print(
        f"  suggestion, 95th percentile, in extractOne calls: {p95 / statistics.mean(theirs):.2f}"
    )
    print(f"  the reader is made in {made * 1e3:.0f} ms")


def main() -> None:
    """Print every table."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    options.add_argument("lines", nargs="?", type=Path, help="labelled lines, JSON lines")
    options.add_argument("adverts", nargs="?", type=Path, help="labelled adverts, JSON lines")
    chosen = options.parse_args()
    catalogue = open_catalogue()
    reader = Reader(catalogue.kinds, catalogue.rules)
    lines = read_lines(chosen.lines)
    readings = [reader.read_line(line["text"]) for line in lines]
    kinds = Counter(line["kind"] == OTHER for line in lines)
    print(f"{len(lines)} lines, {kinds[True]} of them no accessory")
    compare(lines, catalogue.kinds, [kind_of(reading) for reading in readings])
    detail(lines, readings)
    if chosen.adverts is not None:
        adverts(chosen.adverts, reader)
    suggestions(catalogue.kinds, reader)
    times([line["text"] for line in lines], catalogue.kinds, catalogue.rules)


if __name__ == "__main__":
    main()
