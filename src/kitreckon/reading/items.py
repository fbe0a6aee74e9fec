"""Phrases found among the words of a clause: those that together explain most of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitreckon.reading.clauses import Slot
from kitreckon.reading.lexicon import NOTHING, Lexicon, Phrase

_WIDEST = 5
_HELD_BY = frozenset({"shank", "arbor", "taper"})  # "drill chuck R8 shank" is the chuck


@dataclass(slots=True)
class Item:
    """A phrase found: slots ``first`` to ``last`` (past the end) of a clause."""

    first: int
    last: int
    phrase: Phrase
    value: float
    slips: int = 0
    loose: int = 0  # words out of order or left out between


def items_in(slots: Sequence[Slot], lexicon: Lexicon) -> list[Item]:
    """Return the phrases that together explain most of a clause, none overlapping."""
    content = [index for index, slot in enumerate(slots) if slot.known]
    count = len(content)
    found: list[list[Item]] = [[] for _ in range(count + 1)]
    for at in range(count):
        for item, end in _starting(at, content, slots, lexicon):
            found[end].append(item)
    return _best_cover(found, content)


def _starting(
    at: int, content: list[int], slots: Sequence[Slot], lexicon: Lexicon
) -> Iterator[tuple[Item, int]]:
    find = lexicon.find
    forms: list[str] = []
    lean: list[str] = []  # the same without the fillers inside
    for end in range(at, min(at + _WIDEST + 1, len(content))):
        slot = slots[content[end]]
        forms.append(slot.form)
        if forms[0].isdigit() and content[end] - content[at] != end - at:
            return  # a number tells of the very next word only: no "two sets of jaws"
        phrase = find(forms) if len(forms) <= _WIDEST else None
        if phrase is not None and _parts_a_name(content, at, end, slots, lexicon):
            continue
        if phrase is not None:
            yield _item(phrase, forms, content[at], content[end] + 1, slots, 0), end + 1
        held = slot.form in _HELD_BY and end > at and slots[content[end - 1]].mount
        if lean and not held and not lean[0].isdigit() and len(lean) + 1 < len(forms):
            shorter = [*lean, slot.form]
            phrase = find(shorter)
            if phrase is not None:
                left_out = len(forms) - len(shorter)
                yield (
                    _item(phrase, shorter, content[at], content[end] + 1, slots, left_out),
                    end + 1,
                )
        if not slot.filler or end == at or slot.form == "&":
            lean.append(slot.form)


def _parts_a_name(
    content: list[int], at: int, end: int, slots: Sequence[Slot], lexicon: Lexicon
) -> bool:
    """Whether a phrase with a mount in it ends within a name: "MT3 drill" in "MT3 drill chuck"."""
    if end + 1 >= len(content) or not any(slots[content[i]].mount for i in range(at, end + 1)):
        return False
    here, then = slots[content[end]], slots[content[end + 1]]
    name = lexicon.find((here.form, then.form))
    adjoining = content[end + 1] == content[end] + 1
    return adjoining and name is not None and name.targets[0][0] not in NOTHING and not name.open


def _item(
    phrase: Phrase, forms: list[str], first: int, last: int, slots: Sequence[Slot], left_out: int
) -> Item:
    loose = left_out + (0 if tuple(forms) == phrase.words else 1)
    slips = sum(slot.slips for slot in slots[first:last])
    gaps = last - first - len(forms) - left_out
    mounts = 1.5 * sum(slot.mount for slot in slots[first:last])
    value = phrase.weight - mounts + 1.5 * (len(forms) - 1) - 0.6 * loose - 0.5 * slips - 0.8 * gaps
    return Item(first, last, phrase, max(value, 0.05), slips, loose + gaps)


def _best_cover(found: list[list[Item]], content: list[int]) -> list[Item]:
    place = {index: at for at, index in enumerate(content)}
    best: list[tuple[float, Item | None]] = [(0.0, None)]
    for end in range(1, len(found)):
        top: tuple[float, Item | None] = (best[end - 1][0], None)
        for item in found[end]:
            value = best[place[item.first]][0] + item.value
            if value > top[0] + 1e-9:
                top = (value, item)
        best.append(top)
    chosen: list[Item] = []
    end = len(found) - 1
    while end > 0:
        last = best[end][1]
        if last is None:
            end -= 1
        else:
            chosen.append(last)
            end = place[last.first]
    return chosen[::-1]
