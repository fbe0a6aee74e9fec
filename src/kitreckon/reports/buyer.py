"""For the buyer: every figure with its range and its reasons, and what to find out next."""

from __future__ import annotations

from collections.abc import Iterator

from kitreckon.catalogue.model import TIERS, Catalogue
from kitreckon.count import CONDITIONS, Piece
from kitreckon.quantities import Money, Range
from kitreckon.reasons import Term
from kitreckon.reckoning.model import Gap, Question, Reckoning, Value
from kitreckon.reckoning.unsettled import if_it_fits
from kitreckon.reports.document import (
    Amount,
    Bar,
    Bars,
    Bullets,
    Caution,
    Cell,
    Document,
    Facts,
    Heading,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.voice import Voice, rounded_down, whole
from kitreckon.reports.whole_parts import whole_parts


def buyer_report(
    reckoning: Reckoning, questions: tuple[Question, ...], catalogue: Catalogue, voice: Voice
) -> Document:
    """Return the report for the buyer's own eyes."""
    machine = reckoning.machine
    parts: list[Part] = [
        Paragraph(voice.say("report-buyer-lead", currency=reckoning.preferences.currency)),
        Facts(voice.machine_facts(machine)),
        *(Caution(told) for told in voice.doubts(machine, catalogue)),
        *_offer(reckoning, voice),
        *_dangers(reckoning, voice),
        Heading(voice.say("report-pieces")),
        pieces_table(reckoning, voice),
        *_piece_reasons(reckoning, voice),
        *_missing(reckoning, voice),
        *unsettled_parts(reckoning, catalogue, voice),
        *_not_looked(reckoning, voice),
        *_questions(questions, voice),
        *_cautions(reckoning, questions, catalogue, voice),
    ]
    return Document(voice.say("report-buyer-title", machine=machine.name), tuple(parts))


def _offer(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    offer = reckoning.offer
    yield Heading(voice.say("report-offer"))
    for stop in voice.why(offer.stop):
        yield Caution(stop)
    yield _three_figures(reckoning, voice)
    yield Facts(
        (
            (voice.say("report-asking"), voice.money(reckoning.machine.asking)),
            (voice.say("report-worth-to-you"), voice.money(rounded_down(offer.worth_to_you))),
        )
    )
    yield bundle_bars(reckoning, voice)
    reasons = _offer_reasons(reckoning, voice)
    if reasons:
        yield Bullets(reasons)
    if offer.let_him_keep:
        names = [voice.thing(piece) for piece in _pieces_of(reckoning, offer.let_him_keep)]
        yield Paragraph(voice.say("report-let-him-keep", pieces="; ".join(names)))


def _three_figures(reckoning: Reckoning, voice: Voice) -> Table:
    """Return opening, target and limit, with what the tooling adds to each where it still may."""
    offer, adds = reckoning.offer, reckoning.bundle.adds
    ended = any(reason.id == "finding-walk-away" for reason in offer.stop)
    columns = (
        voice.left("report-figure"),
        voice.right("report-amount"),
        voice.right("report-of-it-tooling"),
        voice.left("report-meaning"),
    )
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            voice.say(f"report-{name}"),
            voice.amount(rounded_down(figure)) if figure is not None else voice.say("report-none"),
            Amount("") if ended else voice.amount(rounded_down(added)),
            voice.say(f"report-{name}-meaning"),
        )
        for name, figure, added in (
            ("opening", offer.opening, adds.opening),
            ("target", offer.target, adds.target),
            ("limit", offer.limit, adds.limit),
        )
    )
    return Table(columns, rows)


def _offer_reasons(reckoning: Reckoning, voice: Voice) -> tuple[str, ...]:
    """Return why the figures are what they are; what only the seller says stands first."""
    said = sum(not piece.his for piece in reckoning.visit.only_said)
    reasons = voice.why(reckoning.offer.reasons)
    return (voice.say("offer-only-said", count=said), *reasons) if said else reasons


def _pieces_of(reckoning: Reckoning, ids: tuple[str, ...]) -> tuple[Piece, ...]:
    return tuple(piece for piece in reckoning.visit.pieces if piece.id in ids)


def bundle_bars(reckoning: Reckoning, voice: Voice) -> Bars:
    """Return the picture of the bundle: what it costs new, is worth to you, would fetch."""
    bundle = reckoning.bundle
    rows = (
        ("report-replacement", bundle.replacement),
        ("report-worth", bundle.worth),
        ("report-part-out", bundle.part_out),
    )
    bars = tuple(_bar(voice.say(label), figures, voice) for label, figures in rows)
    return Bars(bars, voice.say("report-bundle-picture", currency=reckoning.preferences.currency))


def _bar(label: str, figures: Range[Money], voice: Voice) -> Bar:
    low, typical, high = (float(figure.major) for figure in figures)
    return Bar(label, low, typical, high, voice.span(figures))


def _dangers(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    for piece in reckoning.visit.pieces:
        if piece.unsafe:
            yield Caution(voice.say("report-danger", thing=voice.thing(piece), danger=piece.unsafe))


def pieces_table(reckoning: Reckoning, voice: Voice) -> Table:
    """Return what is here, whether it fits, and its three values."""
    columns = (
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.left("report-state"),
        voice.left("report-on-this-machine"),
        voice.right("report-worth"),
        voice.right("report-part-out"),
        voice.right("report-replacement"),
    )
    figures = _three_values(reckoning)
    rows = (
        _piece_row(reckoning, piece, figures.get(piece.id), voice) for piece in _kept(reckoning)
    )
    return Table(columns, tuple(rows))


def _three_values(reckoning: Reckoning) -> dict[str, tuple[Money | None, ...]]:
    """Return the averages of each piece with a price; what they are worth adds up to the offer's.

    Nothing unsafe has a replacement here: it stands among what is missing.
    """
    found = (reckoning.values.get(piece.id) for piece in _kept(reckoning))
    values = [value for value in found if value is not None and value.priced]
    means, nothing = [v.worth_mean for v in values], Money.zero(reckoning.preferences.currency)
    worths = whole_parts(means, rounded_down(sum(means, nothing)))
    return {
        value.piece_id: (
            worth,
            _sold_singly(value, worth),
            None if value.unsafe else whole(value.replacement_mean),
        )
        for value, worth in zip(values, worths, strict=True)
    }


def _sold_singly(value: Value, worth: Money) -> Money:
    """Return what selling a line leaves in whole units, never above its worth as shown."""
    if value.part_out_mean == value.worth_mean:
        return worth
    return min(whole(value.part_out_mean), worth)


def _kept(reckoning: Reckoning) -> tuple[Piece, ...]:
    return tuple(piece for piece in reckoning.visit.pieces if not piece.his)


def _piece_row(
    reckoning: Reckoning, piece: Piece, values: tuple[Money | None, ...] | None, voice: Voice
) -> tuple[Cell, ...]:
    fit = reckoning.fits.get(piece.id)
    figures: tuple[Cell, ...] = (Amount("?"), Amount("?"), Amount("?"))
    if values is not None:
        figures = tuple(voice.amount(value) for value in values)
    verdict = voice.say(f"report-{fit.verdict}") if fit is not None else ""
    if not piece.kind:
        verdict = voice.say("report-ask")
    head = (voice.count(piece), voice.thing(piece), state(reckoning, piece, voice), verdict)
    return head + figures


def _piece_reasons(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    """Say why, for every piece that does not simply fit, or whose state was decided for it."""
    lines = []
    for piece in _kept(reckoning):
        why = dict.fromkeys((*_judged(reckoning, piece, voice), *_fit(reckoning, piece, voice)))
        if why:
            lines.append(f"{voice.thing(piece)}: {'; '.join(why)}")
    if lines:
        yield Heading(voice.say("report-why"), 3)
        yield Bullets(tuple(lines))


def _judged(reckoning: Reckoning, piece: Piece, voice: Voice) -> tuple[str, ...]:
    value = reckoning.values.get(piece.id)
    reasons = value.reasons if value is not None else ()
    return voice.why(reason for reason in reasons if reason.id in JUDGED)


def _fit(reckoning: Reckoning, piece: Piece, voice: Voice) -> list[str]:
    fit = reckoning.fits.get(piece.id)
    if fit is None or fit.verdict == "fits":
        return []
    why = list(voice.why(fit.reasons))
    if fit.adapters:
        named = [voice.say("report-adapter", adapter=a.reason) for a in fit.adapters]
        why.append(voice.say("report-adapters", adapters=", ".join(named)))
    if fit.settle is not None:
        why.append(voice.words.say(fit.settle.question, voice.style))
    return why


def state(reckoning: Reckoning, piece: Piece, voice: Voice) -> str:
    """Return the state of a piece; where nobody judged it, the one its readings allow at best."""
    value = reckoning.values.get(piece.id)
    if piece.unsafe or piece.condition is not None or value is None:
        return voice.condition(piece)
    allowed = [
        term.id
        for reason in value.reasons
        if reason.id == "condition-reading"
        for _, term in reason.values
        if isinstance(term, Term)
    ]
    if not allowed:
        return voice.condition(piece)
    worst = max(allowed, key=lambda grade: tuple(CONDITIONS).index(grade))
    measured = voice.say("report-measured-state", condition=voice.term("condition", worst))
    return voice.broken(piece, measured)


def _missing(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    yield Heading(voice.say("report-missing"))
    if not reckoning.gaps:
        yield Paragraph(voice.say("report-nothing-missing"))
        return
    yield missing_table(reckoning, voice)
    sources = voice.sources(reason for gap in reckoning.gaps for reason in gap.reasons)
    if sources:
        yield Heading(voice.say("report-sources"), 3)
        yield Bullets(sources)


# What decided the state of a piece when nobody said it, or beside what was said; its repair.
JUDGED = frozenset(
    {
        "condition-reading",
        "condition-part-missing",
        "condition-does-not-work",
        "condition-part-not-known",
        "condition-reading-no-unit",
        "cover-repair-costs-more",
        "value-repair",
        "value-repair-of",
        "value-unsafe-repair",
    }
)
# What the seller may read of why a thing is missing: what was seen, nothing of what it is worth.
FACTS = frozenset(
    {
        "cover-unsafe",
        "cover-his",
        "cover-misfit",
        "cover-does-not-work",
        "cover-worn-out",
        "cover-set-short",
        "cover-needs",
        "cover-none-seen",
        "price-with",
    }
)


def missing_table(
    reckoning: Reckoning, voice: Voice, *, tick: bool = False, only: frozenset[str] | None = None
) -> Table:
    """Return what is missing, with the cost to get it.

    only: ids of the reasons to give; None for all of them.
    """
    columns = (
        voice.left("report-tier"),
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.right("report-cost"),
        voice.left("report-note"),
    )
    rows = []
    for gap in sorted(reckoning.gaps, key=lambda gap: TIERS.index(gap.tier)):
        note = list(voice.notes(r for r in gap.reasons if only is None or r.id in only))
        if gap.hard_to_get and only is None:
            note.append(voice.say("report-hard-to-get"))
        cost = Amount(voice.span(gap.cost), gap.cost.typical.major) if gap.priced else Amount("?")
        rows.append(
            (
                voice.term("tier", gap.tier),
                Amount(str(gap.qty), gap.qty),
                gap_thing(gap, voice),
                cost,
                "; ".join(note),
            )
        )
    return Table(columns, tuple(rows), tick=tick)


def gap_thing(gap: Gap, voice: Voice) -> str:
    """Return what is missing in one phrase, with the size and mount to ask for."""
    size = voice.nominal(gap.size) if gap.size is not None else ""
    parts = (voice.wanted(gap.want, gap.kind), " ".join(p for p in (size, gap.mount or "") if p))
    return ", ".join(part for part in parts if part)


def unsettled_parts(reckoning: Reckoning, catalogue: Catalogue, voice: Voice) -> Iterator[Part]:
    """Say which wants are covered only if what is here for them fits, and how likely that is."""
    rows: list[tuple[Cell, ...]] = [
        (
            voice.term("tier", line.tier),
            Amount(str(line.qty), line.qty),
            voice.wanted(line.want, line.kind),
            voice.percent(line.chance),
        )
        for line in if_it_fits(reckoning, catalogue)
    ]
    if rows:
        yield Heading(voice.say("report-if-it-fits"))
        yield Paragraph(voice.say("report-if-it-fits-lead"))
        columns = (
            voice.left("report-tier"),
            voice.right("report-qty"),
            voice.left("report-thing"),
            voice.right("report-chance-fits"),
        )
        yield Table(columns, tuple(rows))


def _not_looked(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    if not reckoning.not_looked:
        return
    yield Heading(voice.say("report-not-looked"))
    yield Paragraph(voice.say("report-not-looked-lead"))
    columns = (
        voice.left("report-tier"),
        voice.left("report-thing"),
        voice.right("report-chance"),
        voice.right("report-if-there"),
    )
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            voice.term("tier", line.tier),
            voice.wanted(line.want, line.kind),
            voice.percent(line.chance),
            voice.rounded(line.if_there),
        )
        for line in reckoning.not_looked
    )
    yield Table(columns, rows)


def _questions(questions: tuple[Question, ...], voice: Voice) -> Iterator[Part]:
    """Say what to find out next; a caution stands beside the first question it is for."""
    if questions:
        yield Heading(voice.say("report-next"))
    said: set[str] = set()
    for question in questions:
        yield Bullets((question_text(question, voice),))
        yield from voice.cautions(one for one in question.cautions if one not in said)
        said |= set(question.cautions)


def question_text(question: Question, voice: Voice) -> str:
    """Return a question with what its answer would move, and how long it takes."""
    asked = voice.ask(question.question)
    sentence = "report-question-walk-away" if question.walk_away else "report-question"
    return voice.say(
        sentence, question=asked, money=voice.money(whole(question.moves)), minutes=question.minutes
    )


def _cautions(
    reckoning: Reckoning, questions: tuple[Question, ...], catalogue: Catalogue, voice: Voice
) -> Iterator[Part]:
    """Say the cautions of what is here, without those said beside a question."""
    ids: list[str] = []
    for piece in _kept(reckoning):
        kind = catalogue.kinds.get(piece.kind or "")
        fit = reckoning.fits.get(piece.id)
        ids += kind.cautions if kind is not None else ()
        ids += fit.cautions if fit is not None else ()
    said = {caution for question in questions for caution in question.cautions}
    yield Heading(voice.say("report-cautions"))
    yield Paragraph(voice.say("report-outrank"))
    yield from voice.cautions(caution for caution in ids if caution not in said)
