"""The paper form: a whole outfit on one or two pages, in the order it is typed back in."""

from __future__ import annotations

from kitreckon.catalogue.model import Catalogue, Outfit, Sort, Want
from kitreckon.quantities import Length
from kitreckon.reports.document import (
    Blanks,
    Bullets,
    Cell,
    Column,
    Document,
    Heading,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.voice import Voice

_MOST_CHECKS = 8
_MOST_FAULTS = 7
_FACTS: dict[Sort, tuple[str, ...]] = {
    "lathe": ("nose", "register", "spindle-socket", "tailstock-socket", "bore", "swing", "height"),
    "grinder": ("table", "slot", "top-speed"),
    "shaper": ("table", "slot"),
    "mill": ("spindle-socket", "table", "slot", "top-speed"),
    "drill": ("spindle-socket", "table", "slot", "top-speed"),
}


def form_report(outfit: Outfit, catalogue: Catalogue, voice: Voice) -> Document:
    """Return the blank form for one class of machine."""
    parts: tuple[Part, ...] = (
        Paragraph(voice.say("report-form-lead")),
        Heading(voice.say("report-form-telephone")),
        Bullets(_telephone(outfit.sort, voice), tick=True),
        Paragraph(voice.say("report-form-bring")),
        Heading(voice.say("report-form-machine")),
        Blanks(tuple(voice.say(f"report-form-fact-{fact}") for fact in _FACTS[outfit.sort])),
        Heading(voice.say("report-form-first")),
        Paragraph(voice.say("report-form-found-lead")),
        _findings(outfit, catalogue, voice),
        Heading(voice.say("report-form-outfit")),
        _outfit_table(outfit, voice),
        Blanks(tuple(voice.say("report-form-other") for _ in range(4))),
        Heading(voice.say("report-form-checks")),
        Bullets(_checks(outfit, catalogue, voice)),
        Paragraph(voice.say("report-form-end")),
    )
    title = voice.say("report-form-title", machine=voice.term("class", outfit.machine_class))
    return Document(title, parts, dense=True)


def _telephone(sort: Sort, voice: Voice) -> tuple[str, ...]:
    """Return the questions to ask beforehand; two of them are of a lathe, or of a table."""
    of = "lathe" if sort == "lathe" else "mill"
    asked = ("1", f"2-{of}", f"3-{of}", "4", "5", "6")
    return tuple(voice.say(f"report-form-ask-{one}") for one in asked)


def _findings(outfit: Outfit, catalogue: Catalogue, voice: Voice) -> Table:
    """Return the faults that end the deal first, then the dearest; a mark means it is so."""
    rules = [
        rule
        for rule in catalogue.findings.values()
        if rule.effect != "note" and (not rule.classes or outfit.machine_class in rule.classes)
    ]
    rules.sort(key=lambda rule: (rule.effect != "walk-away", rule.effect != "factor"))
    columns = (
        voice.left("report-form-found"),
        voice.left("report-form-faults"),
        voice.left("report-form-if-found"),
    )
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            voice.say("report-form-found-boxes"),
            voice.term("finding", rule.id),
            voice.say(
                "report-form-walk-away" if rule.effect == "walk-away" else "report-form-price-falls"
            ),
        )
        for rule in rules[:_MOST_FAULTS]
    )
    return Table(columns, rows)


def _outfit_table(outfit: Outfit, voice: Voice) -> Table:
    columns = (
        voice.left("report-form-here"),
        voice.left("report-thing"),
        voice.right("report-form-want"),
        Column(voice.say("report-form-size"), blank=True),
        Column(voice.say("report-form-state"), blank=True),
    )
    return Table(columns, tuple(_row(want, voice) for want in outfit.wants))


def _row(want: Want, voice: Voice) -> tuple[Cell, ...]:
    name = voice.wanted(want.id, want.kind)
    tier = {"essential": "**", "usual": "*", "handy": ""}[want.tier]
    size = " ".join(voice.nominal(Length.of_mm(mm)) for mm in want.size.sizes_mm)
    return (voice.say("report-form-boxes"), f"{name}{tier}", str(want.qty), size, "")


def _checks(outfit: Outfit, catalogue: Catalogue, voice: Voice) -> tuple[str, ...]:
    """Return the first check of each essential thing."""
    kinds = dict.fromkeys(want.kind for want in outfit.wants if want.tier == "essential")
    checks = []
    for kind_id in kinds:
        kind = catalogue.kinds.get(kind_id)
        if kind is not None and kind.checks and kind.common:
            check = voice.spelt(kind.checks[0].do)
            checks.append(voice.say("report-form-check", thing=voice.kind(kind_id), check=check))
    return tuple(checks[:_MOST_CHECKS])
