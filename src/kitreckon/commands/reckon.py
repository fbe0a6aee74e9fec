"""``kitreckon reckon``: fit, cover, missing, value and offer of one count sheet."""

from __future__ import annotations

import argparse
from argparse import Namespace
from typing import TYPE_CHECKING, Any

from kitreckon.commands.arguments import add_book, add_catalogue, add_json
from kitreckon.commands.reckoned import Reckoned, add_source, reckoned

if TYPE_CHECKING:
    from kitreckon.count import Piece


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_source(parser)
    add_json(parser)
    add_book(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Reckon and print."""
    result = reckoned(options)
    if options.json:
        from kitreckon.commands.printing import to_json

        print(to_json(reckoning_data(result)))
    else:
        print(reckoning_text(result), end="")
    return 0


def reckoning_text(result: Reckoned) -> str:
    """Return the whole reckoning as plain text: the buyer's report."""
    from kitreckon.reports.buyer import buyer_report
    from kitreckon.reports.rendering.text import to_text

    document = buyer_report(result.reckoning, result.questions(), result.catalogue, result.voice)
    return to_text(document)


def reckoning_data(result: Reckoned) -> dict[str, Any]:
    """Return the reckoning in the shape other programs rely on; money in minor units."""
    from kitreckon.commands.printing import points
    from kitreckon.reckoning.unsettled import if_it_fits

    bundle, adds = result.reckoning.bundle, result.reckoning.bundle.adds
    return {
        "currency": result.reckoning.preferences.currency,
        "machine": _machine(result),
        "pieces": [_piece(result, piece) for piece in result.reckoning.visit.pieces],
        "gaps": [_gap(result, gap) for gap in result.reckoning.gaps],
        "if_it_fits": [
            {
                "want": line.want,
                "kind": line.kind,
                "tier": line.tier,
                "qty": line.qty,
                "chance": line.chance,
                "piece": line.piece_id,
            }
            for line in if_it_fits(result.reckoning, result.catalogue)
        ],
        "not_looked": [
            {
                "want": line.want,
                "kind": line.kind,
                "tier": line.tier,
                "qty": line.qty,
                "chance": line.chance,
                "if_there": line.if_there.minor,
                "why": result.voice.words.say(line.basis, result.voice.style),
            }
            for line in result.reckoning.not_looked
        ],
        "bundle": {
            "replacement": points(bundle.replacement),
            "worth": points(bundle.worth),
            "part_out": points(bundle.part_out),
            "adds": {
                "opening": adds.opening.minor,
                "target": adds.target.minor,
                "limit": adds.limit.minor,
            },
        },
        "offer": _offer(result),
        "next": [_question(result, question) for question in result.questions()],
    }


def _machine(result: Reckoned) -> dict[str, Any]:
    from kitreckon.commands.printing import minor

    machine = result.reckoning.machine
    return {
        "id": machine.id,
        "name": machine.name,
        "class": machine.machine_class,
        "nose": machine.nose,
        "spindle_socket": machine.spindle_socket,
        "tailstock_socket": machine.tailstock_socket,
        "swing_mm": machine.swing.mm if machine.swing is not None else None,
        "asking": minor(machine.asking),
        "doubts": list(result.voice.doubts(machine, result.catalogue)),
    }


def _piece(result: Reckoned, piece: Piece) -> dict[str, Any]:
    from kitreckon.commands.printing import points

    reckoning = result.reckoning
    value = reckoning.values.get(piece.id)
    covers = [one for one in reckoning.cover.coverings if one.piece_id == piece.id]
    return {
        "id": piece.id,
        "kind": piece.kind,
        "text": piece.text,
        "qty": piece.qty,
        "fit": _fit(result, piece),
        "replacement": points(value.replacement) if value else [0, 0, 0],
        "worth": points(value.worth) if value else [0, 0, 0],
        "part_out": points(value.part_out) if value else [0, 0, 0],
        "priced": bool(value and value.priced),
        "surplus": bool(value and value.surplus),
        "covers": covers[0].want if covers else None,
        "repair": _repair(result, piece),
        "repair_of": piece.repair_of,
        "unsafe": bool(piece.unsafe),
        "cautions": _cautions(result, piece),
        "why": list(result.voice.notes(value.reasons)) if value else [],
        "sources": list(result.voice.sources(value.reasons)) if value else [],
    }


def _repair(result: Reckoned, piece: Piece) -> int | None:
    """Return what putting it right costs, in the currency of the reckoning."""
    from kitreckon.reckoning.exchange import to_user_money

    if not piece.repair:
        return None
    table_currency = result.catalogue.shares.currency
    return to_user_money(piece.repair, table_currency, result.reckoning.preferences).minor


def _fit(result: Reckoned, piece: Piece) -> dict[str, Any]:
    """Return the fit; a line kept as typed has none that is known."""
    from kitreckon.reckoning.adapters import adapter_cost

    fit = result.reckoning.fits.get(piece.id)
    if fit is None:
        return {"verdict": "unknown", "why": [], "adapters": [], "adapter_cost": 0, "settle": None}
    words, style = result.voice.words, result.voice.style
    return {
        "verdict": fit.verdict,
        "why": list(result.voice.why(fit.reasons)),
        "adapters": [words.say(adapter.reason, style) for adapter in fit.adapters],
        "adapter_cost": adapter_cost(result.reckoning, piece.id).minor,
        "settle": words.say(fit.settle.question, style) if fit.settle else None,
        "top_speed_rpm": fit.top_speed_rpm,
    }


def _cautions(result: Reckoned, piece: Piece) -> list[str]:
    kind = result.catalogue.kinds.get(piece.kind or "")
    fit = result.reckoning.fits.get(piece.id)
    ids = (*(kind.cautions if kind else ()), *(fit.cautions if fit else ()))
    return [caution.text for caution in result.voice.cautions(ids)]


def _gap(result: Reckoned, gap: Any) -> dict[str, Any]:
    from kitreckon.commands.printing import points

    return {
        "want": gap.want,
        "kind": gap.kind,
        "tier": gap.tier,
        "qty": gap.qty,
        "size": result.voice.length(gap.size) if gap.size is not None else None,
        "mount": gap.mount,
        "cost": points(gap.cost),
        "priced": gap.priced,
        "hard_to_get": gap.hard_to_get,
        "why": "; ".join(result.voice.notes(gap.reasons)),
        "sources": list(result.voice.sources(gap.reasons)),
    }


def _offer(result: Reckoned) -> dict[str, Any]:
    from kitreckon.commands.printing import minor

    offer = result.reckoning.offer
    return {
        "opening": minor(offer.opening),
        "target": minor(offer.target),
        "limit": minor(offer.limit),
        "worth_to_you": offer.worth_to_you.minor,
        "let_him_keep": list(offer.let_him_keep),
        "stop": list(result.voice.why(offer.stop)),
        "reasons": list(result.voice.why(offer.reasons)),
    }


def _question(result: Reckoned, question: Any) -> dict[str, Any]:
    return {
        "id": question.id,
        "question": result.voice.ask(question.question),
        "moves": question.moves.minor,
        "minutes": question.minutes,
        "walk_away": question.walk_away,
        "cautions": [caution.text for caution in result.voice.cautions(question.cautions)],
    }
