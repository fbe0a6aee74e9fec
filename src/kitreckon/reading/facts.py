"""What a line says beside the kind: how many, how large, which mount, in what state."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitreckon.quantities import Length
from kitreckon.reading.chart import Mention
from kitreckon.reading.clauses import MEASURES, Clause, Slot
from kitreckon.reading.lexicon import ASIDE, MACHINE
from kitreckon.reading.passage import Passage
from kitreckon.reading.tokens import Code, Token, lengths_in

MOST = 9_999
_LEAST_MM = 0.5  # smaller figures are graduations
_SETS = frozenset({"set", "kit", "box", "pack"})
_SIZES = re.compile(
    r"\bsizes?\s+(?:#|no\.?\s?)?(\d{1,2})\s?(?:-|to|thru|through)\s?(\d{1,2})\b(?![/\"])"
)
_SET_OF = re.compile(
    r"\b(?:set|kit|box|pack)s?\s+of\s+(?P<n>\d{1,3}|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty)\b(?!\s?[/\"]|\s?mm|\s?in)"
)
_IS = frozenset({"is", "are", "was", "were"})
_NUMBER_WORDS = {
    "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15,
    "sixteen": 16, "twenty": 20, "pr": 2, "pair": 2, "a pair": 2, "dozen": 12, "a dozen": 12,
}  # fmt: skip
_N = r"(?P<n>\d{1,3}|" + "|".join(sorted(_NUMBER_WORDS, key=len, reverse=True)) + ")"
_AFTER = re.compile(
    rf"\s*(?P<mark>[,(:-]\s*)?(?:about|approx\.?|i counted|some|all|maybe|qty)?\s*{_N}\b\.?"
    r"(?P<said>\s*(?:of(?: them| these)?|off|qty|nos?\.?|assorted|or so|boxes|in all|in total|total))?"
    r"\s*(?:$|[,.;)](?!\s?\d)|and\b)"
)
_STEPS = re.compile(
    r"(?P<low>\d{1,2}/\d{1,2}|\d{1,2})\s?\"?\s?(?:to|-|thru|through)\s?"
    r"(?P<high>(?:\d{1,2}[- ])?\d{1,2}/\d{1,2}|\d{1,2})\s?\"?\s+(?:by|x|in)\s+(?P<step>\d{1,3})(?:ths|nds|th)"
)
_NUMBERED = re.compile(r"(?:\bno\.?\s?|#\s?)([1-6])\b(?![\d/.\"])")
_GLUED_NOSE = re.compile(r"d1\d+")  # "d12" is a diameter more often than a nose
_SERIES = re.compile(r"ER\d+|[ABC]XA|0XA|CA")
_THREAD = re.compile(r"M\d|[\d.].*[-x]")
# Mounts a kind may be said to have; others beside it belong to something else on the line.
_THREADED = frozenset(
    {"chuck-3-jaw", "chuck-4-jaw", "chuck-4-jaw-self-centring", "chuck-2-jaw", "chuck-6-jaw",
     "faceplate", "drive-plate", "chuck-backplate", "chuck-collet", "drill-chuck", "collet-adapter",
     "boring-head", "drill-chuck-arbor"}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SizeHabits:
    """Which kinds are sized how, from the rules."""

    upper_end: frozenset[str]  # a range means the largest it takes
    largest: frozenset[str]  # of several dimensions the largest
    sets: frozenset[str]  # sold in sets: a range of sizes is no size
    none: frozenset[str]  # a length beside these is no size of theirs
    chucks: frozenset[str]  # a bare number between hyphens is a size
    metric_codes: frozenset[str]  # bare numbers in parentheses are millimetres
    threads: frozenset[str]  # a metric thread is their size
    diameters: frozenset[str]  # "D12" is their size
    morse: frozenset[str]  # a bare number of these is a Morse taper
    unmounted: frozenset[str]  # what looks like a mount beside these is none of theirs
    number_nouns: frozenset[str]  # "4 position", "60 degree": no count

    @classmethod
    def of(cls, rules: Mapping[str, Any]) -> SizeHabits:
        """Read the habits from the rules."""
        table = rules.get("sizes") or {}

        def kinds(name: str) -> frozenset[str]:
            return frozenset(str(kind) for kind in table.get(name, ()))

        return cls(
            kinds("upper_end"), kinds("largest"), kinds("sets"), kinds("none"),
            kinds("bare_numbers"), kinds("bare_millimetres"), kinds("threads"), kinds("diameters"), kinds("morse"), kinds("unmounted"), kinds("number_nouns"),
        )  # fmt: skip


def count_of(
    passage: Passage, mention: Mention, following: Sequence[Clause], habits: SizeHabits
) -> tuple[int, int | None]:
    """Return (quantity, pieces in the set or None). What is not said is one, and no set."""
    clause = passage.clauses[mention.clause]
    set_of = _set_of(passage, mention, clause, following)
    before = _number_before(passage, mention, clause, habits)
    if before is not None and _of_a_set(before, clause.slots):
        return 1, set_of or before.number
    if before is not None and before.number:
        return min(before.number, MOST), set_of
    after = _counted_after(passage, mention)
    return min(after or _marked(passage, mention, clause, following, habits) or 1, MOST), set_of


def _counted_after(passage: Passage, mention: Mention) -> int | None:
    """Return a count that follows the name: ", seven of", "(5 qty)", "- 20 or so", "eleven of them"."""
    match = _AFTER.match(passage.low, mention.end)
    if match is None or not (match["mark"] or match["said"]):
        return None
    number = _NUMBER_WORDS.get(match["n"]) or (int(match["n"]) if match["n"].isdigit() else 0)
    return number if 1 < number <= 500 else None


def _set_of(
    passage: Passage, mention: Mention, clause: Clause, following: Sequence[Clause]
) -> int | None:
    for part in (clause, *following):
        for token in part.facts:
            if token.kind == "setof" and (part is not clause or _belongs(token, mention, clause)):
                number = int(re.match(r"\d+", token.text)[0])  # type: ignore[index]
                return number if 1 < number <= MOST else None
    scope_end = (following[-1] if following else clause).end
    said = _SET_OF.search(passage.low, mention.start, scope_end)
    if said is not None:
        number = _NUMBER_WORDS.get(said["n"]) or int(said["n"])
        return number if number > 1 else None
    steps = _STEPS.search(passage.low, mention.start)
    if steps is not None and steps.end() <= (following[-1].end if following else clause.end):
        return _stepped(steps)
    sizes = _SIZES.search(passage.low, mention.end)
    if sizes is not None:
        count = int(sizes[2]) - int(sizes[1]) + 1
        return count if 1 < count <= 60 else None
    return None


def _stepped(match: re.Match[str]) -> int | None:
    """Return how many sizes "1/8 to 7/8 by 16ths" is."""
    ends = [length for length in lengths_in(match["low"]) + lengths_in(match["high"])]
    if len(ends) != 2 or not 2 <= int(match["step"]) <= 128:
        return None
    count = (ends[1].amount - ends[0].amount) * int(match["step"]) + 1
    return int(count) if count.denominator == 1 and 1 < count <= 200 else None


def _belongs(token: Token, mention: Mention, clause: Clause) -> bool:
    return token.end <= mention.end or not any(
        slot.known and not slot.filler and slot.number is None
        for slot in clause.slots
        if mention.end < slot.start < token.start
    )


def _number_before(
    passage: Passage, mention: Mention, clause: Clause, habits: SizeHabits
) -> Slot | None:
    """Return the count that stands before a thing, or inside its name as in "set of 13 ..."."""
    if any(token.kind == "code" for token in clause.facts):
        return None
    slots = clause.slots
    words = [word for item in mention.items for word in item.phrase.words]
    inside = [
        slot
        for slot in slots[mention.first : mention.last]
        if slot.number is not None and slot.form not in words
    ]
    earlier = [
        m.last
        for m in passage.mentions
        if m.clause == mention.clause and m.last <= mention.first and m.target != ASIDE
    ]
    for slot in [*inside, *reversed(slots[max(earlier, default=0) : mention.first])]:
        if slot.number is not None:
            counted = _is_count(slot) and not _in_code(slot, passage.low)
            return slot if counted and not _measured(slot, slots, habits) else None
        if slot.form == "&" and not _between_sizes(slot, mention, clause):
            return None
    return None


def _measured(slot: Slot, slots: Sequence[Slot], habits: SizeHabits) -> bool:
    """Whether a number counts something of the thing: "4 position", "60 degree"."""
    at = next(i for i, other in enumerate(slots) if other is slot)
    return any(after.text in habits.number_nouns for after in slots[at + 1 : at + 2])


def _between_sizes(slot: Slot, mention: Mention, clause: Clause) -> bool:
    """Whether "&" joins two sizes, as in "5/8 and 3/4 bits"."""
    return any(slot.end <= token.start < mention.end for token in clause.facts)


def _in_code(slot: Slot, low: str) -> bool:
    """Whether a number stands between hyphens: the 6 of "chuck-4jaw-6-d1-4"."""
    before = low[max(0, slot.start - 1) : slot.start]
    return slot.text.isdigit() and (before in {"-", "*"} or before.isalpha())


def _is_count(slot: Slot) -> bool:
    number = slot.number or 0
    if slot.text.isdigit():
        return 0 < number <= 60 or number in {100, 144, 150, 200}
    return number > 0


def _of_a_set(number: Slot, slots: Sequence[Slot]) -> bool:
    """Whether the number is the 13 of "a set of 13"."""
    at = next((i for i, slot in enumerate(slots) if slot is number), 0)
    forms = [slot.form for slot in slots[max(0, at - 2) : at]]
    return len(forms) == 2 and forms[1] == "of" and forms[0] in _SETS


def _marked(
    passage: Passage,
    mention: Mention,
    clause: Clause,
    following: Sequence[Clause],
    habits: SizeHabits,
) -> int | None:
    """Return a count marked as one: "x2", "(3)", a pair, "holders 5", "0-1 1-2 2-3"."""
    for part in (clause, *following):
        for token in part.facts:
            if token.kind == "times":
                return int(re.search(r"\d+", token.text)[0]) or None  # type: ignore[index]
    slots = [*clause.slots, *(slot for part in following for slot in part.slots)]
    if any(slot.text == "pair" for slot in slots):
        return 2
    after = clause.slots[mention.last :]
    if len(after) == 1 and after[0].text.isdigit() and not clause.facts:
        return after[0].number if 1 < (after[0].number or 0) <= 100 else None
    habits_allow = mention.target not in habits.metric_codes
    if following and following[0].link == "comma" and not following[0].facts:
        texts = [slot.text for slot in following[0].slots]
        if texts[0].isdigit() and texts[1:] in ([], ["of"], ["of", "them"]):
            said = following[0].slots[0].number or 0
            return said if 1 < said <= 100 else None
    earlier = passage.clauses[mention.clause - 1] if mention.clause else None
    if earlier is not None and len(earlier.slots) == 1 and not mention.first:
        number = earlier.slots[0]
        if number.number and passage.low[: number.start].endswith("("):
            return number.number
    bare = [part for part in following if part.link == "paren"]
    if bare and habits_allow and len(bare[0].slots) == 1 and not bare[0].facts:
        return bare[0].slots[0].number
    if any(
        part.link == "for" and part.slots[:1] and part.slots[0].text == "both" for part in following
    ):
        return 2
    spans = [token for token in clause.facts if token.kind == "span"]
    return len(spans) if len(spans) > 1 else None


def mount_of(
    kind: str, clauses: Sequence[Clause], habits: SizeHabits, low: str
) -> tuple[str | None, str | None]:
    """Return (mount, series): what it goes on or into, and the holders or collets it is of."""
    if kind in habits.unmounted:
        return None, None
    numbered = _number_mount(kind, clauses, low, habits)
    mount = series = None
    for clause in clauses:
        for token in clause.facts:
            if token.kind != "mount" or _GLUED_NOSE.match(token.text):
                continue
            name = str(token.value)
            if _SERIES.fullmatch(name):
                series = series or name
            elif _THREAD.match(name):
                if kind in _THREADED and mount is None:
                    mount = name
            elif mount is None or _rank(name) > _rank(mount):
                mount = name
    return mount or numbered, series


def _number_mount(kind: str, clauses: Sequence[Clause], low: str, habits: SizeHabits) -> str | None:
    """Return MT5 for "revolving centre no. 5": a bare number of these is a Morse taper."""
    if kind not in habits.morse or not clauses:
        return None
    match = _NUMBERED.search(low, clauses[0].start, clauses[0].end)
    return f"MT{match[1]}" if match else None


def _rank(name: str) -> int:
    """Return how surely a mount is the one on the machine's side: nose, taper, then chuck's."""
    if name.startswith(("D1", "A1", "A2", "L0", "L1", "L2", "L3")) or (
        name[:1].isdigit() and "-" in name
    ):
        return 3
    return 1 if name.startswith(("JT", "B1", "B2")) or name.endswith("C") else 2


def size_of(
    passage: Passage,
    mention: Mention,
    clauses: Sequence[Clause],
    habits: SizeHabits,
    set_of: int | None,
) -> Length | None:
    """Return the size said of it, None where none is said or where it is another's."""
    kind = mention.target
    if kind in habits.none:
        return None
    own = clauses[0]
    coded = _coded(kind, clauses, habits, passage.low)
    if coded is not None:
        return coded
    several = passage.low[: mention.end].endswith("s") or set_of is not None
    for clause in clauses:
        if clause is not own and clause.link in {"for", "that", "verb"} and clause.word not in _IS:
            continue
        tokens = [token for token in clause.facts if token.kind in MEASURES]
        if clause.link in {"with", "from"} and clause is not own:
            tokens = [t for t in tokens if passage.low[t.end :].lstrip().startswith("shank")]
        mine = [token for token in tokens if _own_size(token, mention, clause, passage.mentions)]
        if len(mine) > 1 and all(token.kind in {"fraction", "length"} for token in mine):
            if kind in habits.sets:
                return None
        if kind in habits.sets and any(token.kind == "range" for token in mine):
            return None
        for token in mine:
            size = _size(token, kind, habits, set_of, several)
            if size is not None:
                return size
    return code_size(passage.low, kind, habits)


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
    return token.start >= mention.end and nearest.start - token.end > token.start - mention.end


def _with_unit(length: Length, token: Token, kind: str, habits: SizeHabits) -> Length:
    """Return "18 x 12" of a plate in inches, "600 x 600" in millimetres: the trade's habit."""
    if length.unit is None and token.kind == "dims" and kind in habits.largest:
        return Length(length.amount, "in" if length.amount <= 60 else "mm", length.text)
    return length


def _size(
    token: Token, kind: str, habits: SizeHabits, set_of: int | None, several: bool
) -> Length | None:
    lengths = [_with_unit(length, token, kind, habits) for length in lengths_in(token.text)]
    lengths = [length for length in lengths if length.unit is not None]
    if not lengths or lengths[-1].mm < _LEAST_MM:
        return None
    if max(length.mm for length in lengths) > 3_000:
        return None
    if token.kind == "range":
        return lengths[-1] if kind in habits.upper_end and not several else None
    if token.kind == "dims":
        if kind in habits.sets:
            return None
        ordered = sorted(lengths, key=lambda length: length.mm)
        return ordered[-1] if kind in habits.largest else ordered[len(ordered) // 2]
    if token.kind == "span" and kind == "micrometer" and not several:
        high = int(re.findall(r"\d+", token.text)[-1])
        return Length.of_in(high) if high <= 12 else Length.of_mm(high)
    if token.kind in {"decimal", "span"}:
        return None
    return lengths[0]


def _coded(kind: str, clauses: Sequence[Clause], habits: SizeHabits, low: str) -> Length | None:
    codes = [token.value for clause in clauses for token in clause.facts if token.kind == "code"]
    sized = [code.size_mm for code in codes if isinstance(code, Code) and code.size_mm]
    if sized:
        return Length.of_mm(sized[0])
    for clause in clauses:
        numbers = [slot.number for slot in clause.slots if slot.text.isdigit() and slot.number]
        if codes and kind in habits.chucks:
            sizes = [number for number in numbers if 63 <= number <= 800]
            if sizes:
                return Length.of_mm(sizes[0])
        if kind in habits.metric_codes and clause.link == "paren" and numbers:
            return Length.of_mm(numbers[0]) if 1 <= numbers[0] <= 40 else None
        if kind in habits.diameters:
            diameter = re.search(
                r"(?<![a-z0-9])d(\d{1,2})(?![\d.-])", low[clause.start : clause.end]
            )
            if diameter:
                return Length.of_mm(int(diameter[1]))
        if kind in habits.threads:
            threads = [str(t.value) for t in clause.facts if t.kind == "mount"]
            inch = [re.match(r"(?:(\d+)-)?(\d+/\d+|\d+)-\d+$", name) for name in threads]
            if len(threads) == 1 and inch[0]:
                return lengths_in(
                    f'{inch[0][1] or 0} {inch[0][2]}"' if "/" in inch[0][2] else f'{inch[0][2]}"'
                )[0]
            metric = [re.match(r"M(\d+)", name) for name in threads]
            if len(threads) == 1 and any(metric):
                return Length.of_mm(int(next(m for m in metric if m)[1]))
    return None


def code_size(low: str, kind: str, habits: SizeHabits) -> Length | None:
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
