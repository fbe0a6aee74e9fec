"""Fits, values and offers put into words, each figure with its reasons."""

from __future__ import annotations

from kitreckon.fitting.model import Fit
from kitreckon.reasons import because
from kitreckon.reckoning.model import Value
from kitreckon.screens.session import Session
from kitreckon.screens.widgets.text_block import Paragraph


def fit_told(session: Session, fit: Fit | None) -> str:
    """Return a verdict with all its reasons, adapters, speed and what would settle it."""
    if fit is None:
        return ""
    told = [session.label(f"fit.{fit.verdict}")]
    told += [session.say(reason) for reason in fit.reasons]
    told += [session.say(adapter.reason) for adapter in fit.adapters]
    if fit.settle is not None and (question := session.say(fit.settle.question)) not in told:
        told.append(f"{session.label('settle')}: {question}")
    if fit.top_speed_rpm is not None:
        told.append(f"{session.label('top-speed')} {fit.top_speed_rpm} rev/min")
        told += [session.say(reason) for reason in fit.speed_reasons]
    return "; ".join(told)


def percent(share: float) -> str:
    """Return a chance in whole per cent; never 0 or 100 for what is neither.

    >>> percent(0.9997), percent(0.5), percent(0.001)
    ('>99', '50', '<1')
    """
    if 0.995 <= share < 1:
        return ">99"
    return "<1" if 0 < share < 0.005 else f"{share * 100:.0f}"


def repair_effect(session: Session, value: Value) -> str:
    """Return what a repair leaves of a piece, or that putting it right does not pay."""
    for reason in value.reasons:
        if reason.id in ("cover-repair-costs-more", "value-unsafe-repair"):
            return session.say(reason)
    worth, sold = session.money(value.worth_mean), session.money(value.part_out_mean)
    return session.say(because("screen-repair-leaves", worth=worth, sold=sold))


def value_told(session: Session, value: Value) -> list[Paragraph]:
    """Return the three figures of a piece and the reasons they rest on."""
    told = [
        Paragraph(session.label(name), session.average(mean, spread))
        for name, mean, spread in (
            ("replacement", value.replacement_mean, value.replacement),
            ("worth", value.worth_mean, value.worth),
            ("part-out", value.part_out_mean, value.part_out),
        )
    ]
    told += [
        Paragraph(session.label("floor"), session.money(value.floor)),
    ]
    told += [Paragraph("", session.say(reason)) for reason in value.reasons]
    return told
