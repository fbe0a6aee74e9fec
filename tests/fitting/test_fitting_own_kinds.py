"""What a user's own catalogue says of a kind or a class decides as ours does."""

from __future__ import annotations

from pathlib import Path

from builders import a_lathe, a_mill, a_piece, length
from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.fitting import Fit, fit

_KIND = """format: 1
subject: kinds
group: milling
kinds:
  gear-hob:
    british: [gear hob holder]
    american: [gear hob holder]
    {facts}
"""


def laid_over(folder: Path, facts: str) -> Catalogue:
    (folder / "kinds").mkdir()
    (folder / "kinds" / "mine.yaml").write_text(_KIND.format(facts=facts), "utf-8")
    catalogue = open_catalogue((folder,))
    assert "gear-hob" in catalogue.kinds
    assert catalogue.problems == ()
    return catalogue


def reasons(found: Fit) -> list[str]:
    return [reason.id for reason in found.reasons]


def test_a_users_own_kind_can_need_a_drawbar(tmp_path: Path) -> None:
    catalogue = laid_over(tmp_path, "seats: [spindle-socket]\n    needs_drawbar: yes")
    found = fit(a_piece("gear-hob", mount="MT2"), a_mill(), catalogue)
    assert found.verdict == "misfit"
    assert "drawbar-needed" in reasons(found)


def test_one_that_needs_none_goes_in_through_a_sleeve(tmp_path: Path) -> None:
    catalogue = laid_over(tmp_path, "seats: [spindle-socket]")
    found = fit(a_piece("gear-hob", mount="MT2"), a_mill(), catalogue)
    assert [adapter.id for adapter in found.adapters] == ["sleeve:R8-MT2"]


def test_a_users_own_kind_can_bear_an_extension(tmp_path: Path) -> None:
    catalogue = laid_over(tmp_path, "seats: [tailstock-socket]\n    bears_extension: yes")
    found = fit(a_piece("gear-hob", mount="MT4"), a_lathe(), catalogue)
    assert "extension-last-resort" in reasons(found)
    assert fit(a_piece("centre-live", mount="MT4"), a_lathe(), catalogue).verdict == "misfit"


def test_a_users_own_kind_serves_as_an_adapter_and_costs_nothing(tmp_path: Path) -> None:
    catalogue = laid_over(tmp_path, "seats: [tailstock-socket]\n    serves_as: sleeve")
    mine = a_piece("gear-hob", text="MT3 to MT2")
    found = fit(a_piece("centre-live", mount="MT2"), a_lathe(), catalogue, here=[mine])
    assert [(one.kind, one.already_here) for one in found.adapters] == [("gear-hob", True)]


def test_what_is_bought_as_an_adapter_stays_our_own_kind(tmp_path: Path) -> None:
    catalogue = laid_over(tmp_path, "seats: [tailstock-socket]\n    serves_as: sleeve")
    found = fit(a_piece("centre-live", mount="MT2"), a_lathe(), catalogue)
    assert [(one.kind, one.already_here) for one in found.adapters] == [("taper-sleeve", False)]


def test_a_plate_gets_no_backplate_behind_it(tmp_path: Path) -> None:
    catalogue = laid_over(tmp_path, "seats: [spindle-nose]\n    plate: yes")
    plate = a_piece("gear-hob", mount="D1-6", back="backplate")
    assert fit(plate, a_lathe(), catalogue).verdict == "misfit"
    chuck = a_piece("chuck-4-jaw", mount="D1-6", back="backplate")
    assert fit(chuck, a_lathe(), catalogue).verdict == "fits-with"


def test_a_users_own_kind_is_judged_by_the_table(tmp_path: Path) -> None:
    catalogue = laid_over(tmp_path, "seats: [table]\n    most_of_table: 0.5")
    mill = a_mill(table_width=length("9in"))
    assert fit(a_piece("gear-hob", size="4in"), mill, catalogue).verdict == "fits"
    assert fit(a_piece("gear-hob", size="5in"), mill, catalogue).verdict == "misfit"


def test_a_kind_on_the_compound_that_serves_as_no_post_is_tried(tmp_path: Path) -> None:
    catalogue = laid_over(tmp_path, "seats: [tool-post-seat]")
    assert reasons(fit(a_piece("gear-hob"), a_lathe(), catalogue)) == ["try-on-compound"]


_OUTFIT = """format: 1
subject: outfit
class: turning-bench
sort: {sort}
british: bench for turning
american: bench for turning
wants: [{{id: centre-live, any_of: [centre-live], tier: usual, qty: 1}}]
"""


def of_own_class(folder: Path, sort: str) -> Catalogue:
    (folder / "outfits").mkdir()
    (folder / "outfits" / "mine.yaml").write_text(_OUTFIT.format(sort=sort), "utf-8")
    return open_catalogue((folder,))


def test_a_users_own_class_is_the_sort_it_says(tmp_path: Path) -> None:
    centre = a_piece("centre-live", mount="MT3")
    machine = a_lathe(machine_class="turning-bench")
    assert fit(centre, machine, of_own_class(tmp_path, "lathe")).verdict == "fits"


def test_a_users_own_class_of_mill_has_no_tailstock(tmp_path: Path) -> None:
    machine = a_lathe(machine_class="turning-bench")
    found = fit(a_piece("centre-live", mount="MT3"), machine, of_own_class(tmp_path, "mill"))
    assert found.verdict == "misfit"


def test_an_outfit_without_a_sort_is_told_what_is_missing(tmp_path: Path) -> None:
    catalogue = of_own_class(tmp_path, "nothing")
    assert "turning-bench" not in catalogue.outfits
    assert any("nothing" in problem.found for problem in catalogue.problems)


def test_of_a_class_nobody_tells_of_the_sort_is_asked() -> None:
    machine = a_mill(machine_class="some-mill", table_width=None)
    found = fit(a_piece("milling-vise", size="4in"), machine, open_catalogue())
    assert reasons(found) == ["which-sort-of-machine"]
