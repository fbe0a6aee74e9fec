"""How many of a thing a line tells of, and how many a set holds."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Sequence

from kitreckon.reading.chart import Mention
from kitreckon.reading.clauses import Clause, Slot
from kitreckon.reading.habits import Habits
from kitreckon.reading.lexicon import ASIDE
from kitreckon.reading.number_words import TWENTY, either, number_of
from kitreckon.reading.passage import Passage
from kitreckon.reading.sets import left_of, set_size, share_of, told_until
from kitreckon.reading.tokens import Token

MOST = 9_999
_SETS = frozenset({"set", "kit", "box", "pack"})
_LOTS = {"pr": 2, "pair": 2, "a pair": 2, "dozen": 12, "a dozen": 12}
# words beside a count that stands alone: "maybe 40 of them", "four in number"
_ROUND = frozenset(
    {"of", "them", "these", "maybe", "about", "some", "altogether", "all", "or", "so", "off", "in",
     "number", "a", "an", "qty", "sizes", "bag", "box", "tub", "tin", "jar", "pkt", "approx",
     "assorted", "boxes", "total", "new", "used", "unused", "spare", "good", "sharp", "blunt",
     "mixed", "loose", "various", "em", "bout", "left", "here", "wrap", "more", "odd", "plus"}
)  # fmt: skip
_PAIRS = frozenset({"pr", "pair", "a pair"})
_N = rf"(?P<n>\d{{1,3}}|{either(TWENTY | _LOTS)})"
_HEAPS = r"(?:tub|tin|jar|bags?|pkt|packet|bunch|lot|pile|box|can)\s+of\s+|qty\.?:?\s*"
_SAID = (
    "of(?: them| these)?|off|qty|nos?\\.?|assorted|or so|boxes|in all|in total|altogether|"
    "in number|plus|odd|or more|total"
)
_AFTER = re.compile(
    rf"\s*(?P<mark>[,(:-]\s*)?(?P<pre>{_HEAPS})?"
    rf"(?:about|approx\.?|i counted|some|all|maybe)?\s*{_N}\b\.?(?P<said>\s*(?:{_SAID}))?"
    r"\s*(?:$|[,.;)]|and\b(?!\s*\d))"
)
_TOLD = re.compile(  # "in a rack, I make it 19"
    r"\b(?:i make (?:it|them)|i count(?:ed)?|theres|there's|there are|there is)\s+"
    rf"(?:about\s+)?{_N}(?:\s+(?:of them|in all|all told))?\s*(?:$|[,.;)])"
)
_SETS_LAST = re.compile(rf"[,(:-]\s*{_N}\s+(?:sets|pairs)\s*\)?$")
_ONE_SIZE = r"(?:\d{1,2}[ -])?\d{1,2}/\d{1,2}|\d{1,2}(?:\.\d)?"
_ONE_OF_EACH = re.compile(rf"\bone\s(?:{_ONE_SIZE})\s?(?:mm\b|in\b|\")")  # "one 1/2in and one 1in"
_ENUMERATED = re.compile(  # "carriers 3/8 1/2 3/4 and 1in": one of each
    rf"\s*[:,(-]?\s*(?:metric\s|imperial\s|in\s)?((?:(?:{_ONE_SIZE})\s?(?:mm|in\b|\")?"
    rf"(?:\s*,\s*|\s+(?:and|&)\s+(?:an?\s+)?|\s+)){{2,}}(?:{_ONE_SIZE}))\s?(?:mm|in\b|\")?"
    r"\s*(?:$|[,;.)])"
)
_IN_A_SET = re.compile(r"\b(?:sets?|kit|box(?:ed)?|case|index|to)\b")
_NO_SLOT = Slot("", 0, 0, known=False)
_STARTS = re.compile(r"(?:^|[,;:.-]|\blot|\bof)\s*$")  # before "(12) R8 collets"
_JACOBS = frozenset({33, 34})
_TAPERS = re.compile(r"[0-7](?:\s?-\s?[0-7]\b| [0-7]\b.*\bsleeve\b)")
_QTY = re.compile(r"\bqty\.?:?\s*(\d{1,3})\b")
_SETS_OF_IT = re.compile(rf"\s*[,(:-]?\s*{_N}\s+(?:sets|pairs)\b")  # "soft jaws, 2 sets"


def count_of(
    passage: Passage, mention: Mention, following: Sequence[Clause], habits: Habits
) -> tuple[int, int | None, int | None]:
    """Return (quantity, pieces of the set or None, how many of them are there or None).

    What is not said is one, no set, and nothing of what is there of it.
    """
    end = (following or [passage.clauses[mention.clause]])[-1].end
    share = share_of(passage, mention, end)
    if share is not None and mention.target in habits.sets:
        return 1, share[1], share[0] if share[0] < share[1] else None
    if share is not None:
        return share[0], None, None
    qty, set_of = _counted(passage, mention, _unbroken(passage, mention, following), habits)
    if qty in _JACOBS and mention.target in habits.jacobs:
        qty = 1  # "Jacobs 34" is the taper
    if set_of is None:
        return qty, None, None
    start = passage.clauses[mention.clause].start
    return qty, set_of, left_of(set_of, passage.low[start:end])


def _counted(
    passage: Passage, mention: Mention, following: Sequence[Clause], habits: Habits
) -> tuple[int, int | None]:
    clause = passage.clauses[mention.clause]
    set_of = set_size(passage, mention, clause, following)
    pieces = None if mention.target in habits.sets else _loose_pieces(passage, mention, following)
    if pieces is not None:
        return pieces, None
    before = _number_before(passage, mention, clause, habits)
    if before is not None and _of_a_set(before, clause.slots):
        return 1, set_of or before.number
    if before is not None and before.number:
        return min(before.number, MOST), set_of
    after = _counted_after(passage, mention, habits)
    return min(after or _marked(passage, mention, clause, following, habits) or 1, MOST), set_of


def _unbroken(passage: Passage, mention: Mention, following: Sequence[Clause]) -> list[Clause]:
    """Return the clauses but for brackets that follow another thing: "faceplate, dogs (4)"."""
    told = [passage.clauses[mention.clause], *following]
    before = dict(itertools.pairwise(map(id, passage.clauses)))
    after = {then: first for first, then in before.items()}
    mine = set(map(id, told))
    return [c for c in following if c.link != "paren" or after.get(id(c)) in mine]


def times_of(text: str) -> int | None:
    """Return the ten of "5/16 x 10": the last number whole, without a unit."""
    match = re.fullmatch(r".*(?:/\d+|mm|in|\"|'')\s?[x*]\s?([1-9]\d?)\s*", text)
    return int(match[1]) if match else None


def _is_length(token: Token, clause: Clause) -> bool:
    """Whether "x 100" after a size is a length: "10mm sq x 100"."""
    number = int(re.search(r"\d+", token.text)[0])  # type: ignore[index]
    sized = any(fact.kind == "length" and fact.end <= token.start for fact in clause.facts)
    return sized and number >= 50


def _ends_entry(clause: Clause, low: str) -> bool:
    """Whether a bracket ends a list's entry: "(12) R8 collets" begins one."""
    return re.match(r"\s*\)?\s*(?:$|[,.;:]|and\b|with\b|in\b|-)", low[clause.end - 1 :]) is not None


def _counted_after(passage: Passage, mention: Mention, habits: Habits) -> int | None:
    """Return a count that follows the name: ", seven of", "(5 qty)", "- 20 or so"."""
    told = _TOLD.search(passage.low, mention.end, told_until(passage, mention, len(passage.low)))
    if told is not None:
        return number_of(told["n"], _LOTS)
    sets = _SETS_OF_IT.match(passage.low, mention.end) or _SETS_LAST.search(passage.low)
    if sets is not None and sets.start() >= mention.end:
        return number_of(sets["n"], _LOTS)
    match = _AFTER.match(passage.low, mention.end)
    if match is None or not (
        match["mark"] or match["pre"] or match["said"] or match["n"] in _PAIRS
    ):
        return None
    if mention.target in habits.chucks and match["n"].isdigit() and int(match["n"]) >= 60:
        return None  # "chuck flange, 125" is its size
    number = number_of(match["n"], _LOTS)
    if match["n"].isdigit() and re.match(r",\s?\d", passage.low[match.end() - 1 :]):
        return None  # a list of sizes
    return number if 1 < number <= 500 else None


def _loose_pieces(passage: Passage, mention: Mention, following: Sequence[Clause]) -> int | None:
    """Return the three of "drill chucks, 3 pcs": loose ones, no set."""
    plural = passage.low[: mention.end].endswith("s")
    if not plural or re.search(r"\b(?:set|kit|box)\b", passage.low):
        return None
    for part in following:
        pieces = [token for token in part.facts if token.kind == "setof"]
        if pieces and part.link == "comma" and pieces[0].text[:2].strip().isdigit():
            return int(re.match(r"\d+", pieces[0].text)[0])  # type: ignore[index]
    return None


def _number_before(
    passage: Passage, mention: Mention, clause: Clause, habits: Habits
) -> Slot | None:
    """Return the count that stands before a thing, or inside its name as in "set of 13 ..."."""
    if any(token.kind == "code" for token in clause.facts):
        return None
    slots = clause.slots
    words = [word for item in mention.items for word in item.phrase.words]
    inside = [
        slot
        for slot in slots[mention.first : mention.last]
        if slot.number is not None and slot.form not in words and slot.text != "one"
    ]
    earlier = [
        m.last
        for m in passage.mentions
        if m.clause == mention.clause and m.last <= mention.first and m.target != ASIDE
    ]
    for slot in [*inside, *reversed(slots[max(earlier, default=0) : mention.first])]:
        if slot.text in {"a", "an"}:
            continue  # "a pair of"
        if slot.number is not None and _in_code(slot, passage.low):
            continue  # "2 spare A38 belts"
        if mention.target in habits.outer and _TAPERS.match(passage.low, slot.start):
            continue  # "a 3-2 morse sleeve"
        if slot.text.isdigit() and _after_article(slot, slots):
            return None  # "a 6 four jaw" is six inches
        one = mention.target in habits.chucks and not passage.low[: mention.end].endswith("s")
        if one and slot.text.isdigit() and (slot.number or 0) >= 4:
            return None  # "10 three jaw" is ten inches
        if slot.number is not None:
            return slot if _is_count(slot) and not _measured(slot, slots, habits) else None
        if slot.form == "&" and not _between_sizes(slot, mention, clause):
            return None
    return None


def _after_article(slot: Slot, slots: Sequence[Slot]) -> bool:
    at = next(i for i, other in enumerate(slots) if other is slot)
    return any(before.text in {"a", "an", "the"} for before in slots[max(0, at - 1) : at])


def _measured(slot: Slot, slots: Sequence[Slot], habits: Habits) -> bool:
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
    habits: Habits,
) -> int | None:
    """Return a count marked as one: "x2", "(3)", a pair, "holders 5", "0-1 1-2 2-3"."""
    scope = [clause, *following]
    if mention.target in habits.chucks:
        following = [p for p in following if not any((s.number or 0) >= 60 for s in p.slots)]
    ways: tuple[Callable[[], int | None], ...] = (
        lambda: _said_qty(passage, scope),
        lambda: _summed(clause, scope[1:]),
        lambda: _times(scope, mention, habits),
        lambda: _alone_behind(passage, mention, clause, habits),
        lambda: _alone_after_comma(mention, following, habits),
        lambda: _bracket_before(passage, mention),
        lambda: _bracket_after(passage, mention, following, habits),
        lambda: _sizes_listed(passage, mention, clause, following, habits),
    )
    return next((count for way in ways if (count := way()) is not None), None)


def _said_qty(passage: Passage, scope: Sequence[Clause]) -> int | None:
    said = _QTY.search(passage.low, scope[0].start, scope[-1].end)
    return int(said[1]) if said is not None else None


def _times(scope: Sequence[Clause], mention: Mention, habits: Habits) -> int | None:
    """Return the two of "x2", the ten of "5/16 x 10", the two of "a pair"."""
    for part in scope:
        for token in part.facts:
            if token.kind == "dims" and mention.target in habits.counted and times_of(token.text):
                return times_of(token.text)
            if token.kind == "times" and not _is_length(token, part):
                return int(re.search(r"\d+", token.text)[0]) or None  # type: ignore[index]
    own = (part for part in scope if part.link != "with")  # "a knurl with 3 pairs of wheels"
    pairs = any(
        slot.text in {"pair", "pr", "prs"} and (part is scope[0] or then.text != "of")
        for part in own
        for slot, then in itertools.pairwise([*part.slots, _NO_SLOT])
    )
    return 2 if pairs else None


def _alone_behind(passage: Passage, mention: Mention, clause: Clause, habits: Habits) -> int | None:
    """Return the five of "holders 5", not the size of "chuck 160"."""
    after = clause.slots[mention.last :]
    sized = mention.target in habits.chucks and (
        not passage.low[: mention.end].endswith("s")
        or any((slot.number or 0) >= 60 for slot in after)
    )
    counts = [s for s in after if s.text.isdigit() and not _in_code(s, passage.low)]
    alone = len(counts) == 1 and all(s.text in _ROUND for s in after if s is not counts[0])
    if not alone or clause.facts or sized:
        return None
    return counts[0].number if 1 < (counts[0].number or 0) <= 100 else None


def _alone_after_comma(mention: Mention, following: Sequence[Clause], habits: Habits) -> int | None:
    """Return the six of "taps, 6 new"."""
    if mention.target in habits.metric_codes:  # "er32 collets, 13" are sizes
        return None
    for part in following:
        numbers = [slot.number for slot in part.slots if slot.number is not None]
        rest = {slot.text for slot in part.slots if slot.number is None}
        if part.link == "comma" and not part.facts and len(numbers) == 1 and rest <= _ROUND:
            return numbers[0] if 1 < numbers[0] <= 500 else None
    return None


def _bracket_before(passage: Passage, mention: Mention) -> int | None:
    """Return the twelve of "(12) R8 collets"."""
    earlier = passage.clauses[mention.clause - 1] if mention.clause else None
    if earlier is None or len(earlier.slots) != 1 or mention.first:
        return None
    number = earlier.slots[0]
    opened = passage.low[: number.start]
    begins = number.number and opened.endswith("(") and _STARTS.search(opened[:-1])
    return number.number if begins else None


def _bracket_after(
    passage: Passage, mention: Mention, following: Sequence[Clause], habits: Habits
) -> int | None:
    """Return the three of "vises (3)", the two of "key for both"."""
    bare = [part for part in following if part.link == "paren" and _ends_entry(part, passage.low)]
    counts = mention.target not in habits.metric_codes
    if bare and counts and len(bare[0].slots) == 1 and not bare[0].facts:
        return bare[0].slots[0].number
    for_both = (p for p in following if p.link == "for" and p.slots[:1])
    return 2 if any(part.slots[0].text == "both" for part in for_both) else None


def _summed(clause: Clause, following: Sequence[Clause]) -> int | None:
    """Return the eight of "6mm x 5, 8mm x 3": several sizes, each with its count."""
    listed = [part for part in (clause, *following) if part.link in {"start", "comma"}]
    times = [[t for t in part.facts if t.kind == "times"] for part in listed]
    counted = [int(re.search(r"\d+", own[0].text)[0]) for own in times if len(own) == 1]  # type: ignore[index]
    return sum(counted) if len(counted) > 1 else None


def _sizes_listed(
    passage: Passage, mention: Mention, clause: Clause, following: Sequence[Clause], habits: Habits
) -> int | None:
    """Return how many "chucks: 5, 6 and 8 in" are: one of each size."""
    parts = (clause, *(part for part in following if part.link == "comma"))
    spans = [token for part in parts for token in part.facts if token.kind == "span"]
    if len(spans) > 1:
        return len(spans)
    ones = _ONE_OF_EACH.findall(passage.low, mention.end, parts[-1].end)
    if len(ones) > 1:
        return len(ones)
    said = _ENUMERATED.match(passage.low, mention.end)
    if said is not None and not _IN_A_SET.search(passage.low):
        return len(re.findall(_ONE_SIZE, said[1]))
    if not passage.low[: mention.end].endswith("s") or mention.target in habits.sets:
        return None
    commas = [part for part in following if part.link in {"comma", "paren"}]
    tokens = [token for part in (clause, *commas) for token in part.facts]
    sizes = [
        t for t in tokens if t.kind in {"length", "fraction", "range"} and t.start >= mention.end
    ]
    return len(sizes) if len(sizes) > 1 else None
