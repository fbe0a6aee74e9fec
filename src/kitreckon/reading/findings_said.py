"""Faults of the machine that an advert tells: each names a finding and the words it rests on.

The catalogue says in what words a finding is told (``FindingRule.told``): a part, and what is
wrong with it. What is told must stand with its part in one stretch of a sentence. A denial ("no
cracks"), a question, a condition, another machine, or a fault that was put right is no finding;
where someone can be hurt it stays one to be asked about, however it is made light of.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from kitreckon.catalogue.model import Catalogue, FindingRule, Sort
from kitreckon.quantities import clean_text
from kitreckon.reading.fault_sentences import SaidFinding, Sentence
from kitreckon.reading.sentences import sentences_of, unwrapped
from kitreckon.reading.tellings import tellings_of
from kitreckon.reading.tokens import ADVERT_LIMIT, LINE_LIMIT, fold


def findings_said(text: str, rules: Iterable[FindingRule]) -> tuple[SaidFinding, ...]:
    """Return the findings an advert tells, each once, in order of mention. Never raises.

    >>> from kitreckon.catalogue.model import Telling
    >>> nuts = FindingRule("half-nut-wear", "", "", "leadscrew", "amount",
    ...                    told=(Telling(("worn",), ("half nut",)),))
    >>> findings_said("Nice lathe, the half nuts are badly worn.", [nuts])[0].text
    'the half nuts are badly worn'
    >>> findings_said("Ways good, half nuts not worn. New half nuts.", [nuts])
    ()
    """
    rules = tuple(rules)
    tellings = tellings_of(rules)
    cleaned = clean_text(text, ADVERT_LIMIT, lines=True)
    found: dict[str, SaidFinding] = {}
    for sentence, mark in sentences_of(unwrapped(fold(cleaned))):
        if mark.startswith("?"):
            continue
        for said in Sentence(sentence[:LINE_LIMIT], tellings).said():
            known = found.get(said.kind)
            if known is None or (said.sure and not known.sure):
                found[said.kind] = said
    return tuple(_of_one_sort(found, {rule.id: rule for rule in rules}))


def faults_told(text: str, machine_class: str, catalogue: Catalogue) -> tuple[SaidFinding, ...]:
    """Return the findings an advert tells of a machine of a class ("": of the sort it names)."""
    every = findings_said(text, catalogue.findings.values())
    if not any(catalogue.findings[said.kind].classes for said in every):
        return every  # the outfits, which say what sort a class is, need not be read
    return findings_said(text, rules_for(text, machine_class, catalogue))


def _of_one_sort(
    found: Mapping[str, SaidFinding], rules: Mapping[str, FindingRule]
) -> Iterator[SaidFinding]:
    """Yield the findings; of those for unlike machines on the same words the first, unsure."""
    kept: list[SaidFinding] = []
    for said in found.values():
        classes = frozenset(rules[said.kind].classes)
        alike = [each for each in kept if each.text == said.text]
        unlike = [e for e in alike if classes.isdisjoint(rules[e.kind].classes or classes)]
        for each in unlike:
            kept[kept.index(each)] = replace(each, sure=False)
        if not classes or not unlike:
            kept.append(said)
    yield from kept


def of_class(rules: Iterable[FindingRule], classes: Iterable[str]) -> tuple[FindingRule, ...]:
    """Return the rules that may hold for one of some classes of machine."""
    wanted = frozenset(classes)
    return tuple(rule for rule in rules if not rule.classes or wanted.intersection(rule.classes))


def rules_for(text: str, machine_class: str, catalogue: Catalogue) -> tuple[FindingRule, ...]:
    """Return the rules an advert is read by: of the class, else of the sort the text names.

    Where it names none, all are: what is told of unlike machines alike is then asked about.
    """
    rules = tuple(catalogue.findings.values())
    if machine_class:
        return of_class(rules, [machine_class])
    # read when first needed: its patterns take longer to make ready than a text takes to read
    from kitreckon.reading.machine_facts import machine_called

    called = machine_called(text).split()
    sort = next((_SORTS[word] for word in called if word in _SORTS), None)
    if sort is None:
        return rules
    return of_class(rules, [name for name in catalogue.outfits if catalogue.sort_of(name) == sort])


_SORTS: dict[str, Sort] = {
    "lathe": "lathe",
    "mill": "mill",
    "milling": "mill",
    "drill": "drill",
    "grinder": "grinder",
    "shaper": "shaper",
}

__all__ = ["SaidFinding", "faults_told", "findings_said", "of_class", "rules_for"]
