"""The screens and the command line say the same of one book."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from builders import a_lathe, a_mill, a_piece, a_visit, dollars, the_catalogue
from kitreckon.book import Book
from kitreckon.commands import main
from kitreckon.count import Machine, Visit
from kitreckon.quantities import Range
from kitreckon.reckoning.model import Reckoning
from kitreckon.screens.session import Session

RIVAL = a_lathe(
    id="m3", name="other", bare_price=Range(dollars(800), dollars(1400), dollars(1800)), asking=None
)
COUNT = a_visit(a_piece("chuck-4-jaw", size="8in", mount="D1-4"), looks={"chuck-4-jaw": 1})


def filled(book: Book, *rivals: Machine) -> Book:
    """Put a lathe with a chuck, a mill and these rivals, well equipped, in a book."""
    of_rivals = [replace(COUNT, machine_id=rival.id) for rival in rivals]
    for each in (a_lathe(asking=None), a_mill(), COUNT, *rivals, *of_rivals):
        book.commit("fill", book.put(each))
    return book


def session_on(book: Book) -> Session:
    return Session(book, the_catalogue(), machine_id="m1")


def printed(book: Book, capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    path = str(book.path)
    book.close()
    assert main([*arguments, "--book", path, "--json"]) == 0, capsys.readouterr().err
    return json.loads(capsys.readouterr().out)


def figures(reckoning: Reckoning | None) -> list[int | None]:
    assert reckoning is not None
    offer = reckoning.offer
    return [money and money.minor for money in (offer.opening, offer.target, offer.limit)]


@pytest.mark.parametrize("machine_id", ["m1", "m3"])
def test_a_book_gives_the_same_offer_through_both_doors(
    machine_id: str, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    shown = figures(session_on(filled(book, RIVAL)).reckoning(machine_id))
    data = printed(book, capsys, "reckon", "--machine", machine_id)["offer"]
    assert shown == [data["opening"], data["target"], data["limit"]]


def test_machines_are_compared_alike_through_both_doors(
    book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    session = session_on(filled(book, RIVAL))
    shown = {each: session.compared(each).offer.target for each in session.machines}  # type: ignore[union-attr]
    data = printed(book, capsys, "compare", "--tier", session.tier)
    assert {side["id"]: side["price"] for side in data["machines"]} == {
        name: target.minor for name, target in shown.items() if target is not None
    }


def test_the_next_best_machine_caps_what_is_shown(book: Book) -> None:
    session = session_on(filled(book, RIVAL))
    capped, alone = session.reckoning("m1"), session.compared("m1")
    assert capped is not None
    assert "offer-next-best" in {reason.id for reason in capped.offer.reasons}
    assert figures(capped) != figures(alone)


def test_what_is_shown_follows_a_change_of_another_machine(book: Book) -> None:
    session = session_on(filled(book, RIVAL))
    before = figures(session.reckoning("m1"))
    session.do("owned", replace(RIVAL, status="owned"))
    assert figures(session.reckoning("m1")) == figures(session.compared("m1")) != before


def test_the_others_are_not_reckoned_again_for_each_line(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    from kitreckon.reckoning import among

    session = session_on(filled(book, RIVAL))
    session.reckoning("m1")
    reckoned: list[str] = []

    def told(machine: Machine, visit: Visit, *others: Any, **also: Any) -> Reckoning:
        reckoned.append(machine.id)
        return reckon(machine, visit, *others, **also)

    reckon = among.reckon
    monkeypatch.setattr(among, "reckon", told)
    for many in (2, 3):
        session.do("more", replace(COUNT, pieces=(replace(COUNT.pieces[0], qty=many),)))
        session.reckoning("m1")
    assert reckoned == ["m1", "m1"]
