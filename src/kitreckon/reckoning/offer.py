"""Opening, target and limit: from the bare machine, its findings, and what comes with it.

limit = bare(typical) - findings - extra costs + worth of the pieces
opening = bare(low) - findings - extra costs + what the seller wants at least for the pieces
(extra costs: his own figures, and what he has to buy before it runs at his place)
target = limit - power x (limit - opening)

Three rules keep the answer one a buyer can act on. The opening stays a share under
the limit: who opens at his limit has nothing to say afterwards. The asking price caps the limit
and is never a base. A comparable machine in the book caps it too: no price here may leave the
buyer worse off than buying that one at its own target. Once the seller has said a price, none of
the three is above it, and the target stays what it was: coming down, he does not move it away.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Machine, Piece, Preferences, Saying, Visit
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.exchange import to_user_money
from kitreckon.reckoning.findings import Judged, finding_reasons, judge_findings
from kitreckon.reckoning.model import Adds, Offer, Reckoning
from kitreckon.reckoning.to_run import ToRun


class Valued(Protocol):
    """What an offer needs to know of a counted line; a Value is one."""

    @property
    def worth_mean(self) -> Money:
        """What it is worth to the buyer on this machine."""
        ...

    @property
    def part_out_mean(self) -> Money:
        """What selling it singly would leave."""
        ...

    @property
    def floor(self) -> Money:
        """What the seller is taken to want for it, as it stands."""
        ...


Revalue = Callable[[frozenset[str]], Mapping[str, Valued]]


def split(floor: Money, ceiling: Money, power: float) -> Money:
    """Return the price at which two bargainers settle, between the seller's floor and a ceiling.

    With equal power (0.5) the product of both gains is greatest; ``power`` 0 gives the seller
    all of what there is to share, 1 the buyer. Raises KitreckonError for any other power.

    A seller who takes 2,000 at least and a buyer who gives 3,000 at most settle at 2,500.

    >>> split(Money(200000, "USD"), Money(300000, "USD"), 0.5)
    Money(minor=250000, currency='USD')
    """
    if not 0.0 <= power <= 1.0:
        found = f"{power:g} is not a bargaining power"
        raise KitreckonError(found, where="bargaining power", want="a number from 0 to 1")
    return ceiling - (ceiling - floor) * power


def offer(
    machine: Machine,
    visit: Visit,
    values: Mapping[str, Valued],
    catalogue: Catalogue,
    preferences: Preferences,
    others: Sequence[Reckoning] = (),
    revalue: Revalue | None = None,
    to_run: Sequence[ToRun] = (),
) -> tuple[Offer, Adds]:
    """Reckon the offer for a machine with its pieces, and what the pieces add to it.

    ``revalue`` gives the values of the other pieces when some are out of the deal; ``others``
    are the other machines of the book; ``to_run`` is what he has to buy to run this one. What
    the pieces add is given also where there is no offer, and before any cap.
    """
    pieces = tuple(piece for piece in visit.pieces if not piece.his and piece.id in values)
    floors = _floors(pieces, values, catalogue, preferences)
    kept, values = _let_him_keep(pieces, values, floors, revalue)
    taken = [piece for piece in pieces if piece.id not in kept]
    adds = _adds(taken, values, floors, preferences)
    judged = judge_findings(machine, visit.findings, catalogue, preferences)
    figures = _figures(machine, judged, adds, to_run, catalogue, preferences)
    let_go = [
        _keep_reason(piece, values[piece.id], floors[piece.id])
        for piece in pieces
        if piece.id in kept
    ]
    of_pieces = (*_adds_reasons(adds, taken), *let_go)
    if figures is None:
        made = _no_bare_price(judged, adds, of_pieces)
    else:
        asking = _asking(machine, catalogue, preferences)
        room = catalogue.judgement.opening_under_limit
        said = said_of_all(visit.sayings)
        said = said and _own(said, catalogue, preferences)
        rival = _next_best(machine, others)
        settled = _settle(figures, asking, said, rival, preferences.power, room)
        made = _made(figures, settled, judged, adds, of_pieces)
    return replace(made, let_him_keep=tuple(sorted(kept))), adds


def _no_bare_price(judged: Judged, adds: Adds, of_pieces: tuple[Reason, ...]) -> Offer:
    """Say that there is no offer: what such a machine costs bare is not known."""
    stop = judged.stop or (because("offer-no-bare-price"),)
    reasons = (*judged.reasons, *of_pieces)
    return Offer(None, None, None, adds.limit, stop=stop, reasons=reasons)


def _made(
    figures: _Figures,
    settled: _Settled,
    judged: Judged,
    adds: Adds,
    of_pieces: tuple[Reason, ...],
) -> Offer:
    parts = judged.parts_value or Money.zero(adds.limit.currency)
    return Offer(
        *settled.offered,
        parts + adds.limit if judged.stop else figures.limit,
        stop=(*judged.stop, *settled.stop),
        reasons=(*figures.reasons, *of_pieces, *settled.reasons),
    )


def _asking(machine: Machine, catalogue: Catalogue, preferences: Preferences) -> Money | None:
    if machine.asking is None:
        return None
    asking = _own(machine.asking, catalogue, preferences)
    _not_below_nothing(asking, "asking price")
    return asking


def said_of_all(sayings: Sequence[Saying]) -> Money | None:
    """Return the last price the seller said for all that is there, None where he said none.

    A price at which he keeps something is for less: it says nothing of all together.
    """
    prices = [
        saying.price
        for saying in sayings
        if saying.who == "seller" and saying.price is not None and not saying.keeps
    ]
    return prices[-1] if prices else None


@dataclass(frozen=True, slots=True)
class _Figures:
    """Opening and limit before anything caps them."""

    opening: Money
    limit: Money
    stopped: bool  # a finding says to walk away
    reasons: tuple[Reason, ...]


def _figures(
    machine: Machine,
    judged: Judged,
    adds: Adds,
    to_run: Sequence[ToRun],
    catalogue: Catalogue,
    preferences: Preferences,
) -> _Figures | None:
    if machine.bare_price is None:
        return None
    bare = machine.bare_price.map(lambda price: _own(price, catalogue, preferences))
    _not_below_nothing(bare.low, "bare price")
    extra = _extra_costs(machine, catalogue, preferences)
    extra = sum((row.cost for row in to_run), extra)
    reasons = [because("offer-bare-price", low=bare.low, typical=bare.typical)]
    reasons += finding_reasons(judged, bare.typical, bare.low)
    reasons += [
        because("offer-extra-cost", label=cost.label, amount=cost.amount)
        for cost in machine.extra_costs
    ]
    reasons += [row.reason for row in to_run]
    return _Figures(
        judged.left_of(bare.low) - extra + adds.opening,
        judged.left_of(bare.typical) - extra + adds.limit,
        bool(judged.stop),
        tuple(reasons),
    )


@dataclass(frozen=True, slots=True)
class _Settled:
    offered: tuple[Money | None, Money | None, Money | None]
    stop: tuple[Reason, ...] = ()
    reasons: tuple[Reason, ...] = ()


_NO_OFFER = (None, None, None)


def _settle(
    figures: _Figures,
    asking: Money | None,
    said: Money | None,
    rival: _Rival | None,
    power: float,
    room: float,
) -> _Settled:
    """Cap the figures, put them in order, or say why there is no offer."""
    if figures.stopped:
        return _Settled(_NO_OFFER)
    nothing = Money.zero(figures.limit.currency)
    asked = [price for price in (asking, said) if price is not None]
    least = max(nothing, min([figures.opening, *asked]))
    ceiling, reasons = figures.limit, []
    if rival is not None and figures.limit - rival.gain < ceiling:
        ceiling = figures.limit - rival.gain
        reasons.append(
            because("offer-next-best", machine=rival.name, amount=ceiling.down_to_whole())
        )
    if figures.limit.minor <= 0:
        return _Settled(_NO_OFFER, (because("offer-nothing-left", amount=figures.limit),))
    if ceiling < least:
        stop = because("offer-floors-over-ceilings", least=least, most=ceiling)
        return _Settled(_NO_OFFER, (stop, *reasons))
    limit = ceiling if asking is None else min(ceiling, asking)
    opening = min(figures.opening, limit - limit * room)
    opening = max(opening, nothing)
    target = split(opening, limit, power)
    if said is not None and said < limit:
        reasons += _said_reasons(figures, said, opening, room)
        opening, target, limit = min(opening, said), min(target, said), said
    else:
        reasons += _cap_reasons(figures, ceiling, asking, opening, room)
    reasons.append(because("offer-power", power=power))
    return _Settled((opening, target, limit), reasons=tuple(reasons))


def _said_reasons(figures: _Figures, said: Money, opening: Money, room: float) -> list[Reason]:
    reasons = [because("offer-said-caps", price=said, worth=figures.limit.down_to_whole())]
    if opening < min(figures.opening, said):
        reasons.append(because("offer-room-to-move", share=round(room * 100)))
    return reasons


def _cap_reasons(
    figures: _Figures, ceiling: Money, asking: Money | None, opening: Money, room: float
) -> list[Reason]:
    reasons = []
    if asking is None:
        reasons.append(because("offer-asking-unknown"))
    elif asking < ceiling:
        reasons.append(
            because("offer-asking-caps", asking=asking, worth=figures.limit.down_to_whole())
        )
    if opening < figures.opening:
        reasons.append(because("offer-room-to-move", share=round(room * 100)))
    return reasons


@dataclass(frozen=True, slots=True)
class _Rival:
    name: str
    gain: Money  # what the buyer would be better off with that machine at its target


def comparable(machine: Machine, other: Machine) -> bool:
    """Return whether another machine could be bought in place of this one."""
    return (
        other.id != machine.id
        and other.status == "for-sale"
        and other.machine_class == machine.machine_class
    )


def _next_best(machine: Machine, others: Sequence[Reckoning]) -> _Rival | None:
    """Return the comparable machine that would leave the buyer the most, if it leaves any."""
    rivals = [
        _Rival(other.machine.name, other.offer.worth_to_you - other.offer.target)
        for other in others
        if other.offer.target is not None and comparable(machine, other.machine)
    ]
    best = max(rivals, key=lambda rival: rival.gain.minor, default=None)
    return best if best is not None and best.gain.minor > 0 else None


def _floors(
    pieces: Sequence[Piece],
    values: Mapping[str, Valued],
    catalogue: Catalogue,
    preferences: Preferences,
) -> dict[str, Money]:
    """Return what the seller is taken to want for each piece.

    His own word where he gave it, whatever state the piece is in. Otherwise the lot price, but
    no more than selling it himself would leave him: nobody holds out for a thing he would have
    to pay to be rid of.
    """
    return {
        piece.id: min(values[piece.id].floor, values[piece.id].part_out_mean)
        if piece.floor is None
        else _own(piece.floor, catalogue, preferences)
        for piece in pieces
    }


def _let_him_keep(
    pieces: Sequence[Piece],
    values: Mapping[str, Valued],
    floors: Mapping[str, Money],
    revalue: Revalue | None,
) -> tuple[frozenset[str], Mapping[str, Valued]]:
    """Pieces whose floor is above what the deal would lose without them, and the values then.

    Left with the seller one at a time, the worst bargain first: once a dear duplicate is out,
    the piece it displaced covers the want again and is worth its floor.
    """
    kept: frozenset[str] = frozenset()
    while True:
        losses = [
            (floors[piece.id].minor - _loss(piece.id, values, revalue, kept), piece.id)
            for piece in pieces
            if piece.floor is not None
            and piece.id not in kept
            and floors[piece.id] > values[piece.id].part_out_mean
        ]
        excess, worst = max(losses, default=(0, ""))
        if excess <= 0:
            return kept, values
        kept |= {worst}
        if revalue is not None:
            values = {**values, **revalue(kept)}


def _loss(
    piece_id: str, values: Mapping[str, Valued], revalue: Revalue | None, kept: frozenset[str]
) -> int:
    """Return what the deal would lose without a piece, when what it displaced takes its place."""
    if revalue is None:
        return values[piece_id].worth_mean.minor
    out = kept | {piece_id}
    rest = {other: value for other, value in revalue(out).items() if other not in out}
    then = sum(value.worth_mean.minor for value in rest.values())
    return sum(values[other].worth_mean.minor for other in (*rest, piece_id)) - then


def _adds(
    taken: Sequence[Piece],
    values: Mapping[str, Valued],
    floors: Mapping[str, Money],
    preferences: Preferences,
) -> Adds:
    opening = Money(sum(floors[piece.id].minor for piece in taken), preferences.currency)
    worth = sum(values[piece.id].worth_mean.minor for piece in taken)
    limit = Money(worth, preferences.currency)
    return Adds(opening, split(opening, limit, preferences.power), limit)


def _own(money: Money, catalogue: Catalogue, preferences: Preferences) -> Money:
    return to_user_money(money, catalogue.shares.currency, preferences)


def _not_below_nothing(money: Money, where: str) -> None:
    if money.minor < 0:
        raise KitreckonError(f"{money} is below nothing", where=where, want="0 or more")


def _extra_costs(machine: Machine, catalogue: Catalogue, preferences: Preferences) -> Money:
    return sum(
        (_own(cost.amount, catalogue, preferences) for cost in machine.extra_costs),
        Money.zero(preferences.currency),
    )


def _adds_reasons(adds: Adds, taken: Sequence[Piece]) -> tuple[Reason, ...]:
    if not taken:
        return (because("offer-no-pieces"),)
    least, most = adds.opening.down_to_whole(), adds.limit.down_to_whole()
    return (because("offer-pieces-add", count=len(taken), least=least, most=most),)


def _keep_reason(piece: Piece, value: Valued, floor: Money) -> Reason:
    kind = Term("kind", piece.kind or "")
    return because("offer-let-him-keep", kind=kind, floor=floor, worth=value.worth_mean)
