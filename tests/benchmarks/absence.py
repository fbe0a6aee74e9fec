"""Fit the weights by which the words round a thing tell whether it is there; print how they do.

    python tests/benchmarks/absence.py            cross-validated figures
    python tests/benchmarks/absence.py --write    and write catalogs/absence.yaml

Needs the benchmark extra (scikit-learn). The labelled sentences are absence.txt beside this
file, our own, with names left out. Each thing stands in brackets: [+ here], [- not there],
[? not labelled], with a ! where a phrase of the rules, as they were when the sentence came, says
that it is not there. "old" sentences are such as those phrases were written for, "new" ones were
not seen before; after the second bar stand the first words of what follows.
"""

from __future__ import annotations

import argparse
import re
import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading.presence_forms import Forms
from kitreckon.reading.surroundings import Place, Surroundings

HERE = Path(__file__).parent
WRITTEN = HERE.parents[1] / "catalogs" / "absence.yaml"
STRENGTH = 0.3  # of the data against the prior that every weight is nothing
KEPT = 1_500  # weights, the strongest
FOLDS = 10
HEAD = """\
# The weights by which the words round a thing tell whether it is there (natural logarithm of the
# odds), where a phrase of presence in reading.yaml does not settle it alone. Fitted on our own
# labelled sentences by tests/benchmarks/absence.py --write, not set by hand.
format: 1
subject: reading
rules:
  absence:
"""


@dataclass(frozen=True, slots=True)
class Labelled:
    """A thing in its sentence and whether it is said not to be there."""

    absent: bool
    ruled: bool | None
    place: Place


def read(line: str) -> Iterator[Labelled]:
    """Yield the labelled things of one line of the file.

    >>> [one.place for one in read("new|the [- steady] and the [? dogs]|are gone")]
    [Place(text='the steady and the dogs', start=4, end=10, others=((19, 23),), then='are gone')]
    """
    age, marked, then = line.split("|")
    plain = ""
    things: list[tuple[str, tuple[int, int]]] = []
    for part in re.split(r"(\[.*?\])", marked):
        mark, _, name = part[1:-1].partition(" ") if part.startswith("[") else ("", "", part)
        if mark:
            things.append((mark, (len(plain), len(plain) + len(name))))
        plain += name
    spans = [span for _, span in things]
    for mark, span in things:
        if mark != "?":
            others = tuple(other for other in spans if other != span)
            place = Place(plain, *span, others, then)
            yield Labelled(mark[0] == "-", "!" in mark if age == "new" else None, place)


class Fitted:
    """A logistic regression over the signs, cut down to its strongest weights."""

    def __init__(self, rows: Sequence[tuple[set[str], bool]], kept: int = KEPT) -> None:
        seen = Counter(sign for signs, _ in rows for sign in signs)
        frequent = {sign for sign, count in seen.items() if count > 1}
        model, names = _fit(rows, frequent)
        weights = dict(zip(names, model.coef_[0], strict=True))
        strongest = sorted(names, key=lambda name: -abs(weights[name]))[:kept]
        model, names = _fit(rows, set(strongest))
        self.bias = float(model.intercept_[0])
        self.weights = dict(zip(names, map(float, model.coef_[0]), strict=True))

    def odds(self, signs: Iterable[str]) -> float:
        """Return the natural logarithm of the odds that the thing is not there."""
        return self.bias + sum(self.weights.get(sign, 0.0) for sign in signs)


def _fit(rows: Sequence[tuple[set[str], bool]], kept: set[str]) -> tuple[Any, list[str]]:
    from sklearn.feature_extraction import DictVectorizer
    from sklearn.linear_model import LogisticRegression

    vectors = DictVectorizer()
    table = vectors.fit_transform([dict.fromkeys(signs & kept, 1.0) for signs, _ in rows])
    model = LogisticRegression(C=STRENGTH, max_iter=1_000)
    model.fit(table, [absent for _, absent in rows])
    return model, list(vectors.get_feature_names_out())


def main() -> None:
    """Print the figures; with --write also write the weights."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true")
    write = parser.parse_args().write
    rules = open_catalogue().rules
    around = Surroundings(rules, Forms.of(rules))
    lines = (HERE / "absence.txt").read_text(encoding="utf-8").splitlines()
    labelled = [one for line in lines for one in read(line)]
    rows = [(around.signs(one.place), one.absent) for one in labelled]
    odds = _left_out(rows)
    _print(labelled, odds, around, float(rules["absence"]["bar"]))
    if write:
        fitted = Fitted(rows)
        WRITTEN.write_text(_yaml(fitted, rules["absence"]), encoding="utf-8")
        print(f"{len(fitted.weights)} weights written to {WRITTEN.name}")


def _left_out(rows: Sequence[tuple[set[str], bool]]) -> list[float]:
    """Return the odds of every row by weights fitted without its tenth of the file."""
    odds = [0.0] * len(rows)
    size = -(-len(rows) // FOLDS)
    for start in range(0, len(rows), size):
        own = range(start, min(start + size, len(rows)))
        fitted = Fitted([row for at, row in enumerate(rows) if at not in own])
        for at in own:
            odds[at] = fitted.odds(rows[at][0])
    return odds


def _print(
    labelled: Sequence[Labelled], odds: Sequence[float], around: Surroundings, bar: float
) -> None:
    print(f"{len(labelled)} things in sentences, {sum(one.absent for one in labelled)} not there")
    print("where it was written down unseen whether a phrase of the rules said so:")
    print(f"{'':<26} found   said here   things here that it denies")
    known = [(one, odd) for one, odd in zip(labelled, odds, strict=True) if one.ruled is not None]
    silent = [around.silent(one.place) for one, _ in known]
    ways = {
        "phrases alone": [bool(one.ruled) for one, _ in known],
        "words alone": [odd > bar for _, odd in known],
        "phrases, else the words": [
            one.ruled or (quiet and odd > bar)
            for (one, odd), quiet in zip(known, silent, strict=True)
        ],
    }
    for title, denied in ways.items():
        _row(title, [(one.absent, bool(no)) for (one, _), no in zip(known, denied, strict=True)])


def _row(title: str, denied: Sequence[tuple[bool, bool]]) -> None:
    absent = [said for gone, said in denied if gone]
    here = [said for gone, said in denied if not gone]
    missed = len(absent) - sum(absent)
    print(
        f"{title:<26} {sum(absent) / len(absent):.3f}   {missed} of {len(absent)}"
        f"   {sum(here)} of {len(here)} ({sum(here) / len(here):.3f})"
    )


def _yaml(fitted: Fitted, kept: Any) -> str:
    out = [HEAD + f"    bias: {fitted.bias:.2f}\n    bar: {kept['bar']}\n    alike:\n"]
    out += [f"      {name}: [{', '.join(words)}]\n" for name, words in kept["alike"].items()]
    out.append("    weights:\n")
    places: dict[str, list[tuple[str, float]]] = {}
    for sign, weight in fitted.weights.items():
        where, word = sign.split(" ")
        places.setdefault(where, []).append((word, weight))
    for where in sorted(places):
        pairs = sorted(places[where], key=lambda pair: -pair[1])
        text = " ".join(f"{word}={weight:.2f}" for word, weight in pairs)
        wrapped = textwrap.wrap(text, 88, break_long_words=False, break_on_hyphens=False)
        out.append(
            f"      {where}:\n"
            + "".join(f'        - "{line.replace("=", " ")}"\n' for line in wrapped)
        )
    return "".join(out)


if __name__ == "__main__":
    main()
