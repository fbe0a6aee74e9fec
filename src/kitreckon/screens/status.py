"""The lines above the list: where you are, counts, next question, dangers, and whether it is saved.

These are never covered and never off the screen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitreckon.count import Machine
from kitreckon.screens.widgets.text_block import Paragraph

if TYPE_CHECKING:
    from kitreckon.screens.session import Session

WITHOUT_MACHINE = {"machines", "shelf", "identify", "kind", "earlier", "settings", "help"}


def status_lines(session: Session, page: str, *, narrow: bool = False) -> list[Paragraph]:
    """Return the lines above the list of a page."""
    machine = session.machine
    title = session.label(f"page.{page}").upper()
    if machine is None or page in WITHOUT_MACHINE:
        return [
            Paragraph(title, session.label(f"{page}.says"), one_line=True, right=_saved(session))
        ]
    count = page == "count"
    right = _saved(session)
    first = Paragraph(
        machine.name if count else title,
        facts(session, machine) if count else machine.name,
        one_line=True,
        right=f"{_clock(session, narrow=True)}  {right}" if count and narrow else right,
    )
    lines = [first, *_counted(session, machine, narrow=narrow)]
    if count:
        clock = "" if narrow else _clock(session)
        asked = _question(session)
        lines.append(Paragraph(session.label("ask-next"), asked, one_line=True, right=clock))
    return [*lines, *_dangers(session)]


def _saved(session: Session) -> str:
    word = session.label(f"saved.{session.saved_word}")
    return f"{session.label('demo.mark')}  {word}" if session.demo else word


def facts(session: Session, machine: Machine) -> str:
    """Return the facts of a machine that decide fit, in one line; what is not known is left out."""
    told = [
        (session.label("fact.nose.short"), machine.nose),
        (session.label("fact.spindle_socket.short"), machine.spindle_socket),
        (session.label("fact.tailstock_socket.short"), machine.tailstock_socket),
        (session.label("fact.asking.short"), session.asked(machine)),
    ]
    return "  ".join(f"{name} {value}" for name, value in told if value)


def _counted(session: Session, machine: Machine, *, narrow: bool) -> list[Paragraph]:
    if session.outfit(machine) is None and not session.visit.pieces:
        return []
    from kitreckon.screens.rows import tally  # reckoning is read when first needed

    here, said, none, open_, typed = tally(session.counted())
    short = ".short" if narrow and said else ""  # all of them fit one line
    told = [f"{here} {session.label('count.here')}"]
    told += [f"{said} {session.label('count.said')}"] if said else []
    told += [
        f"{none} {session.label('count.none')}",
        f"{open_} {session.label(f'count.not-looked{short}')}",
    ]
    if typed:
        told.append(f"{typed} {session.label('count.typed.short' if narrow else 'count.typed')}")
    state = "money.covered" if session.covered else "money.shown"
    right = session.label(f"{state}.short" if narrow else state)
    return [Paragraph("", "  ".join(told), one_line=True, right=right)]


def _question(session: Session) -> str:
    asks = session.asks
    if asks:
        return asks[0][1]
    machine = session.machine
    waits = machine is not None and session.outfit(machine) and session.asked_of != machine.id
    return session.label("ask-next.working" if waits else "ask-next.none")


def _clock(session: Session, *, narrow: bool = False) -> str:
    minutes = session.clock_s() // 60
    running = session.visit.clock_started_utc is not None
    word = session.label("clock.runs" if running or narrow else "clock.stopped")
    return f"{minutes} {word}"


def _dangers(session: Session) -> list[Paragraph]:
    unsafe, stop = session.unsafe(), session.walk_away()
    if not unsafe and not stop:
        nothing = session.label("nothing-yet")
        away_too = (session.label("walk-away"), nothing)
        return [Paragraph(session.label("unsafe"), nothing, one_line=True, beside=away_too)]
    danger = "; ".join(unsafe) or session.label("nothing-yet")
    away = "; ".join(stop) or session.label("nothing-yet")
    return [
        Paragraph(session.label("unsafe"), danger, alarm=bool(unsafe), one_line=True),
        Paragraph(session.label("walk-away"), away, alarm=bool(stop), one_line=True),
    ]
