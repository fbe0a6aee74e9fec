"""What to find out next: what moves the target most, for each minute of looking.

For a question with outcomes of known chance, the worth of asking it is the expected absolute
change of the target: the sum over the outcomes of chance x |target then - target now|. Every
outcome is reckoned in full, cover and caps included.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import Catalogue, FindingRule, Kind
from kitreckon.count import (
    CONDITIONS,
    FINDING_LOOK,
    Condition,
    Finding,
    Look,
    Machine,
    Piece,
    Visit,
)
from kitreckon.fitting.model import Fit
from kitreckon.quantities import Money
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.condition import grades
from kitreckon.reckoning.lines import fit_chance
from kitreckon.reckoning.model import Adds, NotLooked, Offer, Question, Reckoning
from kitreckon.reckoning.outlook import Outlook


@dataclass(frozen=True, slots=True)
class Outcome:
    """One answer: its chance, and the visit and the fits it would leave."""

    chance: float
    visit: Visit | None = None
    fits: Mapping[str, Fit] | None = None


@dataclass(frozen=True, slots=True)
class Asking:
    """A question with its outcomes; those that change nothing are left out."""

    id: str
    question: Reason
    minutes: float
    outcomes: tuple[Outcome, ...]
    walk_away: bool = False
    cautions: tuple[str, ...] = ()


def next_questions(
    reckoning: Reckoning,
    catalogue: Catalogue,
    limit: int = 5,
    cancelled: Callable[[], bool] = lambda: False,
) -> tuple[Question, ...]:
    """Return the questions that move the target most per minute, walk-away checks first.

    Asked about: what was not looked for, pieces not judged, fits not known, and what nobody
    looked at on the machine itself. Where a cap holds the target still, those follow that would
    move what the bundle adds. Returns nothing when ``cancelled`` says so before the end.
    """
    outlook = Outlook(reckoning)
    ranked: list[tuple[bool, float, float, str, Question]] = []
    for asking in askings(reckoning, catalogue):
        if cancelled():
            return ()
        moves, beneath = expected_change(outlook, asking)
        if not asking.walk_away and moves == 0 and beneath == 0:
            continue
        question = Question(
            asking.id,
            asking.question,
            Money.rounded(moves, reckoning.preferences.currency),
            asking.minutes,
            asking.walk_away,
            asking.cautions,
        )
        per_minute = (-moves / asking.minutes, -beneath / asking.minutes)
        ranked.append((not asking.walk_away, *per_minute, asking.id, question))
    ranked.sort(key=lambda row: row[:4])
    return tuple(row[-1] for row in ranked[:limit])


def expected_change(outlook: Outlook, asking: Asking) -> tuple[float, float]:
    """Return the expected absolute change of the target, and of it before any cap; minor units."""
    reckoning = outlook.reckoning
    now = figures(reckoning.machine, reckoning.offer, reckoning.bundle.adds)
    moves = beneath = 0.0
    for outcome in asking.outcomes:
        then = figures(reckoning.machine, *outlook.offer(outcome.visit, outcome.fits))
        moves += outcome.chance * abs(then[0] - now[0])
        beneath += outcome.chance * abs(then[1] - now[1])
    return moves, beneath


def figures(machine: Machine, offer: Offer, adds: Adds) -> tuple[int, int]:
    """Return the target, and what the bundle adds to it before any cap, in minor units.

    The target is 0 where a finding ends the deal. Where no bare price is known, what the bundle
    adds stands for it.
    """
    uncapped = adds.target.minor
    if offer.target is not None:
        return offer.target.minor, uncapped
    ended = any(reason.id == "finding-walk-away" for reason in offer.stop)
    return 0 if ended or machine.bare_price is not None else uncapped, uncapped


def askings(reckoning: Reckoning, catalogue: Catalogue) -> Iterator[Asking]:
    """Every question open in a reckoning, in the order of the visit."""
    for rule in open_rules(reckoning, catalogue):
        yield _about_machine(reckoning, rule)
    for wanted in reckoning.not_looked:
        yield _about_want(reckoning, wanted, catalogue)
    for piece in reckoning.visit.pieces:
        kind = catalogue.kinds.get(piece.kind or "")
        if kind is None or piece.his or piece.unsafe:
            continue
        if piece.condition is None:
            yield from _about_condition(reckoning, piece, kind, catalogue)
        fit = reckoning.fits.get(piece.id)
        if fit is not None and fit.verdict == "unknown":
            yield _about_fit(piece, kind, fit, catalogue)


def open_rules(reckoning: Reckoning, catalogue: Catalogue) -> Iterator[FindingRule]:
    """Yield the findings nobody has looked at yet that could matter on this class of machine."""
    found = {finding.kind for finding in reckoning.visit.findings}
    not_so = {
        look.want.removeprefix(FINDING_LOOK)
        for look in reckoning.visit.looks
        if look.want.startswith(FINDING_LOOK)
    }
    answered = found | not_so
    for name in not_so & catalogue.findings.keys():
        answered |= set(catalogue.findings[name].rules_out)
    for rule in catalogue.findings.values():
        here = not rule.classes or reckoning.machine.machine_class in rule.classes
        if here and rule.id not in answered and rule.effect != "note":
            yield rule


def _about_machine(reckoning: Reckoning, rule: FindingRule) -> Asking:
    found = Finding(f"if:{rule.id}", rule.id)
    visit = replace(reckoning.visit, findings=(*reckoning.visit.findings, found))
    return Asking(
        f"finding:{rule.id}",
        because("question-finding", question=rule.question or Term("finding", rule.id)),
        max(rule.minutes, 0.1),
        (Outcome(rule.chance, visit),),
        rule.effect == "walk-away",
        rule.cautions,
    )


def _about_want(reckoning: Reckoning, wanted: NotLooked, catalogue: Catalogue) -> Asking:
    piece = Piece(f"if:{wanted.want}", wanted.kind, qty=wanted.qty)
    looks = (*(o for o in reckoning.visit.looks if o.want != wanted.want),)
    visit = replace(
        reckoning.visit,
        pieces=(*reckoning.visit.pieces, piece),
        looks=(*looks, Look(wanted.want, wanted.qty)),
    )
    question = because("question-look", thing=Term("want", wanted.want))
    return Asking(
        f"look:{wanted.want}",
        question,
        catalogue.judgement.minutes_for(question.id),
        (Outcome(wanted.chance, visit, {piece.id: Fit("fits", ())}),),
    )


def _about_condition(
    reckoning: Reckoning, piece: Piece, kind: Kind, catalogue: Catalogue
) -> Iterator[Asking]:
    chances = dict(grades(piece, kind, catalogue).chances)
    if len(chances) < 2:
        return

    def judged(condition: Condition) -> Visit:
        known = replace(piece, condition=condition)
        pieces = tuple(known if p.id == piece.id else p for p in reckoning.visit.pieces)
        return replace(reckoning.visit, pieces=pieces)

    question = because("question-judge", kind=Term("kind", kind.id), piece=piece.text or piece.id)
    checks = sum(check.minutes for check in kind.checks)
    yield Asking(
        f"judge:{piece.id}",
        question,
        checks or catalogue.judgement.minutes_for(question.id),
        tuple(Outcome(chances[c], judged(c)) for c in CONDITIONS if chances.get(c, 0.0) > 0.0),
        cautions=kind.cautions,
    )


def _about_fit(piece: Piece, kind: Kind, fit: Fit, catalogue: Catalogue) -> Asking:
    chance = fit_chance(kind, catalogue, fit)
    question = because("question-fit", kind=Term("kind", kind.id))
    if fit.settle is not None:
        question = fit.settle.question
    return Asking(
        f"fit:{piece.id}",
        question,
        catalogue.judgement.minutes_for(question.id),
        (
            Outcome(chance, fits={piece.id: Fit("fits", (), fit.adapters)}),
            Outcome(1.0 - chance, fits={piece.id: Fit("misfit", ())}),
        ),
        cautions=fit.cautions,
    )
