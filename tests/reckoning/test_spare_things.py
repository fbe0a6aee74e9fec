"""What is spare over all machines and the shelf, and what it would fill elsewhere."""

from __future__ import annotations

from typing import Any

from builders import a_lathe, a_mill, a_piece, a_visit, dollars, the_catalogue
from kitreckon.count import Machine, Piece, Preferences
from kitreckon.reckoning import reckon
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.shelf import spares


def reckoned(
    machine: Machine, *pieces: Piece, looks: dict[str, int] | None = None, **more: Any
) -> Reckoning:
    return reckon(machine, a_visit(*pieces, looks=looks), the_catalogue(), Preferences(), **more)


def test_a_thing_on_the_shelf_serves_every_machine_in_turn() -> None:
    shelf = (a_piece("dial-indicator", id="own", qty=3),)
    both = [reckoned(a_lathe(), shelf=shelf), reckoned(a_mill(), shelf=shelf)]
    (spare,) = spares(both, the_catalogue())
    assert (spare.piece_id, spare.machine_id, spare.units) == ("own", "", 2)
    assert spare.fetches > dollars(0)


def test_a_duplicate_on_one_machine_fills_what_another_lacks() -> None:
    keys = a_piece("chuck-3-jaw", id="two", qty=2, size="6in", mount="D1-4", back="direct")
    first = reckoned(a_lathe(), keys)
    second = reckoned(a_lathe(id="m9"), looks={"chuck-3-jaw": 0})
    (spare,) = spares([first, second], the_catalogue())
    assert spare.units == 1
    assert spare.fills == (("m9", "chuck-3-jaw"),)


def test_what_does_not_fit_there_fills_nothing() -> None:
    chuck = a_piece("chuck-3-jaw", qty=2, size="6in", mount="D1-4", back="direct")
    first = reckoned(a_lathe(), chuck)
    second = reckoned(a_lathe(id="m9", nose="L0"), looks={"chuck-3-jaw": 0})
    (spare,) = spares([first, second], the_catalogue())
    assert spare.fills == ()


def test_what_is_unsafe_or_stays_with_the_seller_is_never_spare() -> None:
    cracked = a_piece("faceplate", unsafe="cracked")
    kept = a_piece("chuck-key", qty=9, his=True)
    assert spares([reckoned(a_lathe(), cracked, kept)], the_catalogue()) == ()
    assert spares([], the_catalogue()) == ()


def test_a_piece_and_a_thing_on_the_shelf_may_have_one_id() -> None:
    shelf = (a_piece("dial-indicator", id="p1"),)
    result = reckoned(a_lathe(), a_piece("chuck-key", id="p1", qty=1), shelf=shelf)
    assert {(c.want, c.from_shelf) for c in result.cover.coverings} == {
        ("dial-indicator", True),
        ("chuck-key", False),
    }
    looked = reckoned(a_lathe(), a_piece("chuck-key", id="p1"), looks={"chuck-key": 1}, shelf=shelf)
    assert {gap.want: gap.qty for gap in looked.gaps} == {"chuck-key": 1}
