"""Nouns that are not said again: "a travelling steady and a fixed one", "a 3 jaw and a 4"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitreckon.reading.chart import Mention
from kitreckon.reading.clauses import Clause
from kitreckon.reading.items import Item
from kitreckon.reading.lexicon import NOTHING, Lexicon


def taken_up(
    clauses: Sequence[Clause], mentions: Sequence[Mention], lexicon: Lexicon
) -> Iterator[Mention]:
    """Yield the fixed steady of "travelling steady, but the fixed one was lent"."""
    for number, clause in enumerate(clauses):
        for place in range(1, len(clause.slots)):
            says, one = clause.slots[place - 1 : place + 1]
            if one.text not in {"one", "ones"} or not says.known:
                yield from _only_a_number(clauses, (number, place), mentions, lexicon)
                continue
            own = [m for m in mentions if m.start < one.end and says.start < m.end]
            for m in own:  # "the travelling one" is named already
                if m.words == 1 and not says.text.endswith("s"):
                    m.end, m.last = max(m.end, one.end), max(m.last, place + 1)
            if own:
                continue
            before = [m for m in mentions if m.end <= says.start and m.items]
            phrase = before and lexicon.find((says.form, before[-1].items[-1].phrase.words[-1]))
            if phrase and not phrase.open and phrase.targets[0][0] not in NOTHING:
                item = Item(place - 1, place + 1, phrase, phrase.weight)
                yield Mention(
                    phrase.targets, [item], number, says.start, one.end, place - 1, place + 1,
                    strength=phrase.weight, words=2,
                )  # fmt: skip


def _only_a_number(
    clauses: Sequence[Clause],
    at: tuple[int, int],
    mentions: Sequence[Mention],
    lexicon: Lexicon,
) -> Iterator[Mention]:
    """Yield the four-jaw of "a 3 jaw and a 4", of "one three jaw, one four"."""
    number, place = at
    clause = clauses[number]
    slot = clause.slots[place]
    joined = any(s.form == "&" for s in clause.slots[max(0, place - 2) : place])
    last = place + 1 == len(clause.slots) and not any(f.start > slot.start for f in clause.facts)
    one_more = clause.link == "comma" and place == 1 and clause.slots[0].text in {"one", "other"}
    own = {number, number - 1} if one_more else {number}
    before = [m for m in mentions if m.clause in own and m.end <= slot.start and m.items]
    if not ((joined or one_more) and last and slot.number and before):
        return
    words = before[-1].items[-1].phrase.words
    phrase = lexicon.find((slot.form, "jaw")) if words[1:2] == ("jaw",) else None
    if phrase and not phrase.open:
        item = Item(place, place + 1, phrase, phrase.weight)
        yield Mention(
            phrase.targets, [item], number, slot.start, slot.end, place, place + 1,
            strength=phrase.weight, words=2,
        )  # fmt: skip
