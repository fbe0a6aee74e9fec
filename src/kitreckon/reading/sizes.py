"""The size a line tells of a thing: its own, not the machine's, and none that is not told."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from kitreckon.quantities import Length
from kitreckon.reading.chart import Mention
from kitreckon.reading.clauses import MEASURES, Clause
from kitreckon.reading.counts import times_of
from kitreckon.reading.habits import Habits
from kitreckon.reading.lexicon import MACHINE
from kitreckon.reading.passage import Passage
from kitreckon.reading.tokens import Code, Token, lengths_in, listed_lengths

_LEAST_MM = 0.5  # smaller figures are graduations
_NAMED_SIZE = re.compile(r"(?:jaw|plate|\dj)\s(?:[4-9]|1\d|2[0-4])$")
_PRICE = re.compile(r"\d\s*(?:obo|ono|firm|each|the lot|cash)\b")
_ACROSS = re.compile(r"\b(?:measures?|across|diameter|dia)\b")
_DIAMETER = re.compile(r"(?<![a-z0-9])d(\d{1,2})(?![\d.-])")
_MOST_LISTED = 20
_LACKED = re.compile(  # "set of 13, no 5/16"
    r"\b(?:no|minus|missing|lacking|less|without|short of|except|(?:all|every\w*) bar)\s+"
    r"(?:the\s+|an?\s+)?(?:[\d/.-]+\s?(?:mm|in|\")?\s*(?:,|and|&|or)\s*(?:the\s+)?)*$"
)
_IS = frozenset({"is", "are", "was", "were"})


def size_of(
    passage: Passage,
    mention: Mention,
    clauses: Sequence[Clause],
    habits: Habits,
    set_of: int | None,
    parts: frozenset[str] = frozenset(),
) -> Length | None:
    """Return the size said of it, None where none is said or where it is another's."""
    kind = mention.target
    if kind in habits.none:
        return None
    own = clauses[0]
    coded = _coded(kind, clauses, habits, passage.low)
    if coded is not None:
        return coded
    others = [m for m in passage.mentions if not (m.open and m.target in parts)]
    if sum(token.kind == "span" for clause in clauses for token in clause.facts) > 1:
        return None  # "a 0-1 mic and a 1-2"
    plural = passage.low[: mention.end].endswith("s")
    several = plural or set_of is not None
    for clause in clauses:
        mine = [
            token
            for token in _measures(passage, clause, own=clause is own)
            if _own_size(token, mention, clause, others)
        ]
        listed = len(mine) > 1 and all(token.kind in {"fraction", "length"} for token in mine)
        if listed and several and plural:
            return None  # one of each size
        if kind in habits.sets and (listed or any(token.kind == "range" for token in mine)):
            return None
        sizes = (_size(token, kind, habits, set_of, several) for token in mine)
        size = next((size for size in sizes if size is not None), None)
        if size is not None:
            return size
    listed_after = [part for part in clauses[1:] if part.link == "comma" and len(part.slots) <= 2]
    bare = (_bare_size(part, kind, habits, passage.low) for part in (own, *listed_after))
    return code_size(passage.low, kind, habits) or next((s for s in bare if s is not None), None)


def _measures(passage: Passage, clause: Clause, *, own: bool) -> list[Token]:
    """Return the measures of a clause that may be told of the thing before it, or in it."""
    told = _ACROSS.search(passage.low, clause.start, clause.end) is not None
    if not own and clause.link in {"for", "that", "verb"} and clause.word not in _IS and not told:
        return []
    tokens = [
        token
        for token in clause.facts
        if token.kind in MEASURES and not _LACKED.search(passage.low, 0, token.start)
    ]
    if clause.link == "from" and not own:
        return [t for t in tokens if passage.low[t.end :].lstrip().startswith("shank")]
    return tokens


def sizes_of_each(
    passage: Passage, mention: Mention, clauses: Sequence[Clause], qty: int
) -> tuple[Length, ...]:
    """Return the sizes of several things where each has its own: "two chucks, 6in and 8in"."""
    if qty < 2 or qty > _MOST_LISTED:
        return ()
    lengths = listed_lengths(passage.low[mention.end : clauses[-1].end])
    return tuple(lengths) if len(lengths) == qty else ()


def _bare_size(clause: Clause, kind: str, habits: Habits, low: str) -> Length | None:
    """Return the 160 of "thin wall chuck 160": a large bare number beside a chuck."""
    if kind not in habits.chucks:
        return None
    numbers = [slot.number for slot in clause.slots if slot.text.isdigit() and slot.number]
    large = [number for number in numbers if 80 <= number <= 630]
    if _PRICE.search(low, clause.start, clause.end):
        return None
    if len(large) == 1:
        return Length.of_mm(large[0])
    last = clause.slots[-1] if clause.slots else None
    if last is not None and last.text.isdigit() and _NAMED_SIZE.search(low[: last.end]):
        return Length.of_in(last.number or 0)  # "chuck 3jaw 6"
    return None


def _own_size(token: Token, mention: Mention, clause: Clause, others: Sequence[Mention]) -> bool:
    following = [
        other
        for other in others
        if other.start != mention.start and other.start >= token.end and other.end <= clause.end
    ]
    if not following:
        return True
    nearest = min(following, key=lambda other: other.start)
    between_own = token.end <= mention.start < nearest.start
    if between_own:
        return True
    if nearest.target in {MACHINE}:
        return False
    return token.start >= mention.end and nearest.start - token.end >= token.start - mention.end


def _with_unit(
    length: Length, token: Token, kind: str, habits: Habits, most: Fraction | int
) -> Length:
    """Return "18 x 12" of a plate in inches, "600 x 600" in millimetres: the trade's habit."""
    if length.unit is None and token.kind == "dims" and kind in habits.largest:
        return Length(length.amount, "in" if most <= 60 else "mm", length.text)
    shank = length.unit is None and token.kind == "dims" and kind in habits.shanks
    if shank and 6 <= length.amount <= 40 and length.amount.denominator == 1:
        return Length(length.amount, "mm", length.text)  # "16 x 16 holder"
    return length


def _size(
    token: Token, kind: str, habits: Habits, set_of: int | None, several: bool
) -> Length | None:
    if token.kind == "span":
        if kind not in habits.spanned or several:
            return None
        high = int(re.findall(r"\d+", token.text)[-1])
        return Length.of_in(high) if 0 < high <= 12 else Length.of_mm(high) if high else None
    found = lengths_in(token.text)
    most = max((length.amount for length in found), default=0)
    lengths = [_with_unit(length, token, kind, habits, most) for length in found]
    lengths = [length for length in lengths if length.unit is not None]
    if not lengths or lengths[-1].mm < _LEAST_MM:
        return None
    if max(length.mm for length in lengths) > 3_000:
        return None
    if token.kind == "range" and lengths[0].mm > lengths[-1].mm:
        return lengths[-1]  # "lot 88 - 10in"
    if token.kind == "range":
        return lengths[-1] if kind in habits.upper_end and not several else None
    if token.kind == "dims":
        if kind in habits.sets - habits.largest and not times_of(token.text):
            return None
        if kind in habits.counted and times_of(token.text):
            return lengths[0]
        ordered = sorted(lengths, key=lambda length: length.mm)
        return ordered[-1] if kind in habits.largest else ordered[len(ordered) // 2]
    if token.kind == "decimal":
        return None
    return lengths[0]


def _coded(kind: str, clauses: Sequence[Clause], habits: Habits, low: str) -> Length | None:
    """Return a size told by a code, a bare millimetre, "D12" or a thread, as is the habit."""
    codes = [token.value for clause in clauses for token in clause.facts if token.kind == "code"]
    sized = [code.size_mm for code in codes if isinstance(code, Code) and code.size_mm]
    if sized:
        return Length.of_mm(sized[0])
    for clause in clauses:
        numbers = [slot.number for slot in clause.slots if slot.text.isdigit() and slot.number]
        chuck_sizes = [number for number in numbers if 63 <= number <= 800]
        if codes and kind in habits.chucks and chuck_sizes:
            return Length.of_mm(chuck_sizes[0])
        if kind in habits.metric_codes and clause.link == "paren" and numbers:
            return Length.of_mm(numbers[0]) if 1 <= numbers[0] <= 40 else None
        diameter = _DIAMETER.search(low, clause.start, clause.end)
        if kind in habits.diameters and diameter:
            return Length.of_mm(int(diameter[1]))
        thread = _thread_size(clause) if kind in habits.threads else None
        if thread is not None:
            return thread
    return None


def _thread_size(clause: Clause) -> Length | None:
    """Return the M12 of "M12 taps", the half inch of "1/2-13", where one thread is named."""
    threads = [str(token.value) for token in clause.facts if token.kind == "mount"]
    if len(threads) != 1:
        return None
    inch = re.match(r"(?:(\d+)-)?(\d+/\d+|\d+)-\d+$", threads[0])
    if inch:
        whole = f"{inch[1]} " if inch[1] and "/" in inch[2] else ""
        return lengths_in(f'{whole}{inch[2]}"')[0]
    metric = re.match(r"M(\d+)", threads[0])
    return Length.of_mm(int(metric[1])) if metric else None


def code_size(low: str, kind: str, habits: Habits) -> Length | None:
    """Return the size in a name written as a stock code: the 6 of "chuck-3jaw-6-d1-4"."""
    if kind not in habits.chucks:
        return None
    match = re.search(
        r"[a-z][- ](\d{1,3})[- ](?:[adl]\d|\d+-\d|mt)|[a-z]-(\d{1,3})(?:-[a-z]|$)|m\d+\*(\d{2,3})",
        low,
    )
    if match is None:
        return None
    number = int(match[1] or match[2] or match[3])
    if 3 <= number <= 24:
        return Length.of_in(number)
    return Length.of_mm(number) if 40 <= number <= 800 else None
