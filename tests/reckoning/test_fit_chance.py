from __future__ import annotations

from builders import a_lathe, a_piece
from kitreckon.catalogue.load import open_catalogue
from kitreckon.fitting import fit
from kitreckon.reckoning.lines import fit_chance


def test_a_fit_that_knows_more_than_its_kind_is_believed() -> None:
    catalogue = open_catalogue()
    kind = catalogue.kinds["chuck-3-jaw"]
    agreeing = fit(a_piece(kind.id, mount="1-1/2-8"), a_lathe(nose="1-1/2-8"), catalogue)
    unread = fit(a_piece(kind.id), a_lathe(), catalogue)
    assert fit_chance(kind, catalogue, unread) == fit_chance(kind, catalogue)
    assert fit_chance(kind, catalogue, agreeing) > fit_chance(kind, catalogue)
