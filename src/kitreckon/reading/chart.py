"""The things that the phrases of a clause name: the last noun of a group is the thing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from kitreckon.reading.clauses import MEASURES, Clause, Slot
from kitreckon.reading.items import Item, items_in
from kitreckon.reading.lexicon import ASIDE, MACHINE, NOTHING, THING, Lexicon, Phrase
from kitreckon.reading.turns import Turns

_LEAST = 0.5  # share under which a describing word is only an adjective
_PLAIN = 0.6  # share from which an open word is a name by itself
_STOPS = frozenset({"the", "a", "an", "or", "not"})
_COUNTS = frozenset({"times", "setof"})


@dataclass(slots=True)
class Mention:
    """A thing named: targets with shares, best first, and what spoke for it."""

    targets: tuple[tuple[str, float], ...]
    items: list[Item]
    clause: int
    start: int
    end: int
    first: int
    last: int
    open: bool = False
    slips: int = 0
    loose: int = 0
    strength: float = 0.0
    words: int = 0
    turned: str = ""  # the word that turned the meaning
    before: str = ""  # the kind it was turned from
    shared: bool = False  # its head noun stands with another
    trailing: int = 0  # words not understood right after it
    strange: int = 0  # words not understood before it
    modified: bool = False  # another kind's name stands right before it
    describing: bool = False  # a word that rather describes what follows: "manual"
    beside: list[str] = field(default_factory=list)

    @property
    def target(self) -> str:
        """The likeliest target."""
        return self.targets[0][0] if self.targets else THING

    def likelier(self, kind: str) -> Mention:
        """Return the mention with that kind put first; how sure it is stays as it was."""
        top = self.targets[0][1]
        rest = [(k, min(share, top)) for k, share in self.targets if k != kind]
        return replace(self, targets=((kind, top), *rest))

    def meaning(self, kind: str) -> Mention:
        """Return the mention as a plain name of that kind."""
        return replace(self, targets=((kind, 1.0),), open=False)


def mentions_in(clause: Clause, number: int, lexicon: Lexicon, turns: Turns) -> list[Mention]:
    """Return the things a clause names, in order."""
    items = items_in(clause.slots, lexicon)
    groups = _groups(clause.slots, items)
    mentions: list[Mention] = []
    for index, (group, first, last) in enumerate(groups):
        after = groups[index + 1][0] if index + 1 < len(groups) else []
        shared = _shared(clause.slots, group, (first, last), after, lexicon)
        if shared is not None:
            mentions.append(_mention(clause, number, shared, shared=True))
            continue
        heads = _heads(clause, number, group, turns, lexicon)
        if mentions and len(heads) == 1 and heads[0].open:
            heads[0] = _turned_by_last(mentions[-1], heads[0], clause.slots, turns)
        mentions.extend(heads)
    used = {index for item in items for index in range(item.first, item.last)}
    used.update(index for m in mentions for index in range(m.first, m.last))
    for mention in mentions:
        _look_around(clause.slots, mention, used)
    return mentions


def _turned_by_last(
    last: Mention, mention: Mention, slots: Sequence[Slot], turns: Turns
) -> Mention:
    """Return the stands of "dial gauges and stands" as what they are: indicator stands."""
    forms = [slot.form for slot in slots[mention.first : mention.last]]
    got = None if last.open else turns.turned(last.target, forms, particular=True)
    if got is None:
        return mention
    return replace(mention, targets=((got[0], 1.0),), open=False, turned=forms[0])


def _groups(slots: Sequence[Slot], items: list[Item]) -> list[tuple[list[Item], int, int]]:
    inside = {index for item in items for index in range(item.first, item.last)}
    cuts = [i for i, slot in enumerate(slots) if slot.form == "&" and i not in inside]
    groups = []
    first = 0
    for cut in [*cuts, len(slots)]:
        group = [item for item in items if first <= item.first < cut]
        groups.append((group, first, cut))
        first = cut + 1
    return groups


def _shared(
    slots: Sequence[Slot],
    group: list[Item],
    span: tuple[int, int],
    after: list[Item],
    lexicon: Lexicon,
) -> Item | None:
    """Return "3 jaw chuck" for the 3 of "3 & 4 jaw chucks"."""
    first, last = span
    if not after or last - first < 1 or after[0].first > last + 2:
        return None
    if group and _settled(group[-1].phrase):
        return None
    if _plural(slots[last - 1]):
        return None  # "collets and machine vice"
    left = [slot.form for slot in slots[first:last] if slot.known]
    right = [slot.form for slot in slots[after[0].first : after[0].last] if slot.known]
    for take in (2, 1):
        for skip in range(1, len(right)):
            forms = (*left[-take:], *right[skip:])
            phrase = lexicon.find(forms)
            if phrase is None or phrase.words != forms or phrase.open or len(left) < take:
                continue
            kind = phrase.targets[0][0]
            if kind == THING or (kind not in NOTHING and kind != after[0].phrase.targets[0][0]):
                return Item(max(last - take, first), last, phrase, phrase.weight)
    return None


def _settled(phrase: Phrase) -> bool:
    return not (phrase.open or phrase.describing or phrase.targets[0][0] in NOTHING)


def _mention(clause: Clause, number: int, item: Item, *, shared: bool = False) -> Mention:
    slots = clause.slots[item.first : item.last]
    return Mention(
        item.phrase.targets,
        [item],
        number,
        slots[0].start,
        max(slot.end for slot in slots),
        item.first,
        item.last,
        item.phrase.open,
        item.slips,
        item.loose,
        item.value,
        len(item.phrase.words),
        shared=shared,
        describing=item.phrase.describing,
    )


def _heads(
    clause: Clause, number: int, group: list[Item], turns: Turns, lexicon: Lexicon
) -> list[Mention]:
    out: list[Mention] = []
    current: Mention | None = None
    position = 0
    while position < len(group):
        item = group[position]
        position += 1
        following = _mention(clause, number, item)
        if current is None:
            current = following
        elif current.last > item.first:
            continue  # eaten by a turn
        elif _parted(clause, current, following):
            out.append(current)
            current = following
        elif _completes(current, following, lexicon) or _modifies(
            current, following, clause.slots, _apart(clause, current, following)
        ):
            following.modified = current.target not in NOTHING
            following.strength += 0.3 * current.strength if following.modified else 0.0
            following.beside = [*current.beside, current.target]
            current = following
        elif _falls_away(current, following, _apart(clause, current, following)):
            current.beside.append(following.target)
        else:
            out.append(current)
            current = following
        current = _turn(current, clause, turns, group[position:])
    if current is not None:
        out.append(current)
    return out


def _turn(mention: Mention, clause: Clause, turns: Turns, items: Sequence[Item]) -> Mention:
    slots = clause.slots
    forms: list[str] = []
    places: list[int] = []
    for index in range(mention.last, min(mention.last + 4, len(slots))):
        slot = slots[index]
        if slot.form == "&" or slot.text in _STOPS or slot.text in turns.damage:
            break
        if slot.known:
            forms.append(slot.form)
            places.append(index)
        elif not slot.filler:
            break
    if places and any(
        item.first == places[0] and any(not s.mount for s in slots[places[0] + 1 : item.last])
        for item in items
    ):
        return mention  # the word begins a name of its own
    got = turns.turned(mention.target, forms)
    if got is None and mention.open and len(mention.targets) > 1:
        got = turns.turned(mention.targets[1][0], forms)
    if got is None:
        return mention
    gives, count = got
    last = places[count - 1] + 1
    if _counted(clause, mention.end, slots[places[0]].start + 1):
        return mention  # "QCTP x 5 holders" are two things
    return replace(
        mention,
        targets=((gives, 1.0),),
        last=last,
        end=slots[last - 1].end,
        open=False,
        describing=False,
        turned=slots[places[0]].text or forms[0],
        before=mention.target,
        words=mention.words + count,
        strength=mention.strength + 2.0,
    )


def _modifies(current: Mention, following: Mention, slots: Sequence[Slot], apart: bool) -> bool:
    """Whether the earlier name only says what the later one is for."""
    near = following.first - current.last <= 1 and not apart
    adjective = following.describing and following.open and following.targets[0][1] < _LEAST
    if adjective and current.target not in NOTHING:
        return False  # "gave the mandrel back"
    if current.target in {MACHINE, ASIDE}:
        return following.target != ASIDE
    if following.target == MACHINE:  # a flat belt lathe
        return near
    if following.target == ASIDE:
        return False
    if current.target == THING and following.open:
        return False
    if current.describing:
        return True
    if current.open:
        return following.first - current.last <= 1 and not _plural(slots[current.last - 1])
    if current.target == THING:
        return near and not following.open
    if following.target == THING:
        return near and following.words == 1 and not following.describing
    return near and current.words == 1 and not _plural(slots[current.last - 1])


def _plural(slot: Slot) -> bool:
    return slot.text.endswith("s") and slot.text != slot.form


def _parted(clause: Clause, current: Mention, following: Mention) -> bool:
    """Whether an article or "or" stands between two things: "the steady or the manual"."""
    between = clause.slots[current.last : following.first]
    vague = current.open and current.targets[0][1] < _PLAIN
    plain = current.target not in NOTHING and not vague
    return plain and any(slot.text in _STOPS for slot in between)


def _counted(clause: Clause, start: int, end: int) -> bool:
    return any(
        start <= fact.start < end and fact.kind in _COUNTS | MEASURES for fact in clause.facts
    )


def _completes(current: Mention, following: Mention, lexicon: Lexicon) -> bool:
    """Whether "2 jaw" after "chucks K12" only says which chuck."""
    if not current.open or following.open or following.target in NOTHING:
        return False
    words, head = following.items[-1].phrase.words, current.items[-1].phrase.words[-1]
    for count in {len(words), 2}:
        whole = lexicon.find((*words[:count], head))
        if whole is not None and not whole.open and head not in words:
            return True
    return False


def _apart(clause: Clause, current: Mention, following: Mention) -> bool:
    """Whether a measure or a count stands between two names."""
    return any(
        current.end <= fact.start < following.start and fact.kind in MEASURES | _COUNTS
        for fact in clause.facts
    )


def _falls_away(current: Mention, following: Mention, apart: bool) -> bool:
    """Whether the later name adds nothing: a machine, a remark, or a bare word after the thing."""
    if following.target in {MACHINE, ASIDE} or following.describing:
        return True
    if current.target == THING:
        return following.words == 1
    if following.target == current.target:
        return following.first - current.last <= 2
    return following.open and any(kind == current.target for kind, _ in following.targets)


def _look_around(slots: Sequence[Slot], mention: Mention, used: set[int]) -> None:
    for index in range(mention.last, min(mention.last + 3, len(slots))):
        slot = slots[index]
        if slot.form in {"&", "of"} or slot.number is not None or index in used:
            break
        mention.trailing += not slot.filler
    for slot in slots[max(0, mention.first - 4) : mention.first]:
        if slot.form == "&":
            mention.strange = 0
        else:
            mention.strange += not slot.known and not slot.filler
