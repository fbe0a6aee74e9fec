"""What is missing as a list to take to the shop, with a box to tick at each line."""

from __future__ import annotations

from collections.abc import Iterator

from kitreckon.catalogue.model import TIERS, Catalogue
from kitreckon.count import Piece
from kitreckon.quantities import Money
from kitreckon.reasons import Reason
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.shopping import Alternative, Buying, ShoppingList
from kitreckon.reckoning.slots import outfit_of
from kitreckon.reports.buyer import gap_thing, missing_table
from kitreckon.reports.document import (
    Amount,
    Bar,
    Bars,
    Bullets,
    Cell,
    Document,
    Facts,
    Heading,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.voice import Voice, whole
from kitreckon.reports.whole_parts import whole_parts

_BY_BUDGET = {
    "buy-left-out",
    "buy-put-right-left-out",
    "buy-put-right-too-dear",
    "buy-too-dear",
}


def shopping_report(reckoning: Reckoning, voice: Voice) -> Document:
    """Return what is missing, what each tier of it costs in all, and what has to be put right."""
    title = voice.say("report-shopping-title", machine=reckoning.machine.name)
    mended = tuple(_to_put_right(reckoning, voice))
    if not reckoning.gaps:
        return Document(title, (Paragraph(voice.say("report-nothing-missing")), *mended))
    parts: tuple[Part, ...] = (
        Paragraph(voice.say("report-shopping-lead", currency=reckoning.preferences.currency)),
        missing_table(reckoning, voice, tick=True),
        _tiers(reckoning, voice),
        *mended,
        Paragraph(voice.say("report-shopping-end")),
    )
    return Document(title, parts)


def _to_put_right(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    """List the pieces that are there or owned and do not work yet, with the user's own figures."""
    pieces = _pieces(reckoning)
    rows: list[tuple[Cell, ...]] = [
        (
            Amount(str(row.units), row.units),
            voice.thing(pieces[row.piece_id]),
            voice.amount(row.repair),
            _repair_note(reckoning, pieces[row.piece_id], voice),
        )
        for row in reckoning.cover.repairs
    ]
    if rows:
        yield Heading(voice.say("report-put-right"))
        columns = (
            voice.right("report-qty"),
            voice.left("report-thing"),
            voice.right("report-put-right-cost"),
            voice.left("report-note"),
        )
        yield Table(columns, tuple(rows), tick=True)


def _repair_note(reckoning: Reckoning, piece: Piece, voice: Voice) -> str:
    """Return what has to be done, and that it pays only if the piece fits where nobody knows."""
    fit = reckoning.fits.get(piece.id)
    doubt = voice.say("report-only-if-it-fits") if fit and fit.verdict == "unknown" else ""
    return "; ".join(part for part in (piece.repair_of, doubt) if part)


def _pieces(reckoning: Reckoning) -> dict[str, Piece]:
    return {piece.id: piece for piece in (*reckoning.shelf, *reckoning.visit.pieces)}


def _tiers(reckoning: Reckoning, voice: Voice) -> Bars:
    """Return what each tier costs: sums of the low, typical and high figures."""
    bars = []
    for tier in ("essential", "usual", "handy"):
        costs = [gap.cost for gap in reckoning.gaps if gap.tier == tier and gap.priced]
        if not costs:
            continue
        low, typical, high = (
            sum(float(getattr(cost, point).major) for cost in costs)
            for point in ("low", "typical", "high")
        )
        currency = reckoning.preferences.currency
        shown = voice.money(Money.of(round(typical), currency))
        bars.append(Bar(voice.term("tier", tier), low, typical, high, shown))
    return Bars(tuple(bars), voice.say("report-tiers-picture"))


def buying_report(
    reckoning: Reckoning, best: ShoppingList, catalogue: Catalogue, voice: Voice
) -> Document:
    """Return the best list within a budget, with the runner-up and what a little more buys."""
    budget = voice.money(best.budget)
    title = voice.say("report-buy-title", machine=reckoning.machine.name, budget=budget)
    parts: list[Part] = [_bought(reckoning, best, catalogue, voice)]
    proven = voice.say("report-buy-proven-yes")
    if not best.proven_optimal:
        proven = voice.say("report-buy-proven-no", points=best.off_by_at_most)
    facts = (
        ("report-buy-budget", budget),
        ("report-buy-total", voice.money(whole(best.total))),
        ("report-buy-range", voice.span(best.total_range)),
        ("report-buy-proven", proven),
    )
    parts.append(Facts(tuple((voice.say(label), value) for label, value in facts)))
    more = [*voice.why(best.reasons), *_alternatives(best, voice)]
    if more:
        parts.append(Bullets(tuple(more)))
    parts += _left_out(reckoning, best, catalogue, voice)
    parts.append(Paragraph(voice.say("report-buy-end")))
    return Document(title, tuple(parts))


def _left_out(
    reckoning: Reckoning, best: ShoppingList, catalogue: Catalogue, voice: Voice
) -> Iterator[Part]:
    """Say of what is essential, and of what no budget would buy, why it is not on the list."""
    left = unlisted(reckoning, best, catalogue)
    if left:
        yield Heading(voice.say("report-buy-left-out"))
        yield Bullets(voice.why(left))


def unlisted(reckoning: Reckoning, best: ShoppingList, catalogue: Catalogue) -> tuple[Reason, ...]:
    """Return the reasons to tell: of the rest each says no more than that the money went."""
    outfit = outfit_of(reckoning.machine, catalogue, reckoning.preferences)
    wants = {want.id: want for want in outfit.wants} if outfit is not None else {}
    return tuple(
        why
        for want, why in best.left_out
        if (want in wants and wants[want].tier == "essential") or why.id not in _BY_BUDGET
    )


def _bought(reckoning: Reckoning, best: ShoppingList, catalogue: Catalogue, voice: Voice) -> Part:
    if not best.buy:
        return Paragraph(voice.say("report-buy-nothing"))
    lines = sorted(best.buy, key=lambda line: TIERS.index(line.tier))
    columns = (
        voice.left("report-tier"),
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.left("report-buy-supply"),
        voice.right("report-cost"),
        voice.left("report-note"),
    )
    things = {id(line): _thing(line, reckoning, catalogue, voice) for line in lines}
    costs = whole_parts([line.cost for line in lines])
    rows = tuple(
        _line(line, things[id(line)], cost, voice) for line, cost in zip(lines, costs, strict=True)
    )
    return Table(columns, rows, tick=True)


def _thing(line: Buying, reckoning: Reckoning, catalogue: Catalogue, voice: Voice) -> str:
    """Return what to ask for in the shop, with its size and mount; or the piece to put right."""
    if line.piece_id:
        return voice.thing(_pieces(reckoning)[line.piece_id])
    gap = next((gap for gap in reckoning.gaps if gap.want == line.want), None)
    if gap is not None and gap.kind == line.kind:
        return gap_thing(gap, voice)
    seats = catalogue.kinds[line.kind].seats if line.kind in catalogue.kinds else ()
    machine = reckoning.machine
    mount = machine.nose if "spindle-nose" in seats else None
    if mount is None and {"tailstock-socket", "chuck-mount"} & set(seats):
        mount = machine.tailstock_socket
    name = voice.kind(line.kind)
    return voice.say("report-buy-for", thing=name, mount=mount) if mount else name


def _line(line: Buying, thing: str, cost: Money, voice: Voice) -> tuple[Cell, ...]:
    """Return a row; what is bought beside another thing has no tier of its own."""
    notes = list(voice.notes(line.reasons))
    if line.goes_with:
        notes.insert(0, voice.say("report-buy-goes-with", thing=voice.kind(line.goes_with)))
    return (
        "" if line.goes_with else voice.term("tier", line.tier),
        Amount(str(line.qty), line.qty),
        thing,
        voice.term("supply", line.supply),
        voice.amount(cost),
        "; ".join(notes),
    )


def _alternatives(best: ShoppingList, voice: Voice) -> list[str]:
    said = []
    if best.runner_up is not None:
        said.append(_alternative("report-buy-runner-up", best.runner_up, voice))
    if best.a_little_more is not None:
        sentence = "report-buy-a-little-more"
        if best.a_little_more.drops:
            sentence = "report-buy-a-little-more-instead"
        said.append(_alternative(sentence, best.a_little_more, voice))
    return said


def _alternative(sentence: str, other: Alternative, voice: Voice) -> str:
    nothing = voice.say("report-buy-nothing-named")
    adds = ", ".join(voice.kind(kind) for kind in other.adds) or nothing
    drops = ", ".join(voice.kind(kind) for kind in other.drops) or nothing
    return voice.say(sentence, adds=adds, drops=drops, total=voice.money(whole(other.total)))
