"""Why a line was read as it was: which words spoke for it, which against."""

from __future__ import annotations

from kitreckon.reading.chart import Mention
from kitreckon.reading.lexicon import NOTHING, THING
from kitreckon.reading.passage import HEAD, Passage
from kitreckon.reasons import Reason, Term, because


def reasons_of(passage: Passage, mention: Mention) -> tuple[Reason, ...]:
    """Return the reasons for and against a mention's kind."""
    words = passage.words(mention)
    kind = Term("kind", mention.target)
    reasons: list[Reason] = []
    if not mention.items:
        reasons.append(because("read-code", words=words, kind=kind))
    elif mention.turned:
        reasons.append(because("read-turned", word=mention.turned, words=words, kind=kind))
    elif mention.open:
        reasons.append(because("read-open", words=words, kind=kind))
    elif mention.shared:
        reasons.append(because("read-shared", words=words, kind=kind))
    else:
        reasons.append(because("read-words", words=words, kind=kind))
    if mention.slips:
        reasons.append(because("read-slips", words=words, letters=mention.slips))
    if mention.trailing or mention.strange:
        reasons.append(because("read-strange", count=mention.trailing + mention.strange))
    if passage.link(mention) not in HEAD:
        reasons.append(because("read-aside", words=words))
    things = [m for m in passage.mentions if m is not mention and m.target == THING]
    if things:
        reasons.append(because("read-thing", words=passage.words(things[0])))
    rest = [m for m in passage.mentions if m is not mention and m.target not in NOTHING]
    if rest:
        reasons.append(because("read-others", count=len(rest)))
    return tuple(reasons)
