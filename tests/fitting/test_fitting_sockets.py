from __future__ import annotations

from dataclasses import replace

import pytest

from builders import a_lathe, a_mill, a_piece
from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Piece
from kitreckon.fitting import Fit, fit, fit_all
from kitreckon.fitting.bench import set_up
from kitreckon.fitting.sockets import cheapest_way, edge


def ids(found: Fit) -> list[str]:
    return [adapter.id for adapter in found.adapters]


def said(found: Fit) -> list[str]:
    return [reason.id for reason in found.reasons]


def test_centre_of_the_tailstocks_taper_fits(catalogue: Catalogue) -> None:
    assert fit(a_piece("centre-live", mount="MT3"), a_lathe(), catalogue).verdict == "fits"


def test_mt2_centre_in_mt3_tailstock_takes_a_sleeve(catalogue: Catalogue) -> None:
    found = fit(a_piece("centre-live", mount="MT2"), a_lathe(), catalogue)
    assert (found.verdict, ids(found)) == ("fits-with", ["sleeve:MT3-MT2"])


def test_mt3_shank_in_mt2_quill_is_a_misfit(catalogue: Catalogue) -> None:
    lathe = a_lathe(tailstock_socket="MT2")
    found = fit(a_piece("centre-live", mount="MT3"), lathe, catalogue)
    assert (found.verdict, said(found)) == ("misfit", ["shank-too-large"])
    sizes = dict(found.reasons[0].values)
    assert (sizes["shank_size"].mm, sizes["socket_size"].mm) == (  # type: ignore[attr-defined]
        pytest.approx(23.83, abs=0.01),
        pytest.approx(17.78),
    )


def test_sleeve_that_is_here_costs_nothing(catalogue: Catalogue) -> None:
    sleeve = a_piece("taper-sleeve", mount="MT3", text="sleeve MT3 to MT2")
    found = fit(a_piece("centre-live", mount="MT2"), a_lathe(), catalogue, here=[sleeve])
    assert [adapter.already_here for adapter in found.adapters] == [True]


@pytest.mark.parametrize("fault", [{"unsafe": "cracked"}, {"condition": "scrap"}, {"his": True}])
def test_sleeve_that_cannot_be_used_is_not_here(
    catalogue: Catalogue, fault: dict[str, object]
) -> None:
    sleeve = a_piece("taper-sleeve", text="MT3-MT2 sleeve", **fault)
    found = fit(a_piece("centre-live", mount="MT2"), a_lathe(), catalogue, here=[sleeve])
    assert [adapter.already_here for adapter in found.adapters] == [False]


def test_one_sleeve_serves_tools_in_turn_under_one_id(catalogue: Catalogue) -> None:
    pieces = [
        a_piece("centre-live", mount="MT2"),
        a_piece("die-holder", mount="MT2"),
        a_piece("drills-taper-shank", mount="MT2"),
    ]
    found = fit_all(pieces, a_lathe(), catalogue)
    assert {adapter.id for one in found.values() for adapter in one.adapters} == {"sleeve:MT3-MT2"}


def test_a_piece_is_not_its_own_adapter(catalogue: Catalogue) -> None:
    sleeve = Piece("s", "taper-sleeve", text="sleeve MT5 to MT2", condition="good")
    found = fit_all([sleeve], a_lathe(spindle_socket="MT6", tailstock_socket="MT2"), catalogue)["s"]
    assert all(not adapter.already_here for adapter in found.adapters)


def test_two_sleeves_reach_where_one_is_not_made(catalogue: Catalogue) -> None:
    lathe = a_lathe(tailstock_socket="MT5")
    found = fit(a_piece("centre-live", mount="MT1"), lathe, catalogue)
    assert found.verdict == "fits-with"
    assert len(found.adapters) == 2


def test_two_sleeves_that_are_here_come_before_one_to_buy(catalogue: Catalogue) -> None:
    here = [
        Piece("a", "taper-sleeve", text="MT4-MT3 sleeve"),
        Piece("b", "taper-sleeve", text="MT3-MT2 sleeve"),
    ]
    lathe = a_lathe(tailstock_socket="MT4")
    found = fit(a_piece("centre-live", mount="MT2"), lathe, catalogue, here=here)
    assert ids(found) == ["sleeve:MT4-MT3", "sleeve:MT3-MT2"]


def test_never_more_than_two_adapters(catalogue: Catalogue) -> None:
    bench = set_up(a_lathe(), catalogue, ())
    for socket in ("MT7", "MT5", "ISO50", "R8"):
        for mount in catalogue.standards.cones:
            way = cheapest_way(bench, socket, mount, catalogue.kinds["drills-taper-shank"])
            assert way is None or 1 <= len(way.adapters) <= 2


def test_drill_chuck_changes_its_arbor_before_any_extension(catalogue: Catalogue) -> None:
    lathe = a_lathe(tailstock_socket="MT2")
    found = fit(a_piece("drill-chuck", mount="MT3"), lathe, catalogue)
    assert found.verdict == "fits-with"
    assert [adapter.kind for adapter in found.adapters] == ["drill-chuck-arbor"]
    assert "change-the-arbor" in said(found)


def test_extension_is_the_last_resort_and_loses_length(catalogue: Catalogue) -> None:
    lathe = a_lathe(tailstock_socket="MT2")
    found = fit(a_piece("drills-taper-shank", mount="MT3"), lathe, catalogue)
    assert ids(found) == ["extension:MT2-MT3"]
    assert found.adapters[0].loss is not None and found.adapters[0].loss.mm > 50
    assert "long-reach" in found.cautions


def test_drill_chuck_on_its_stub_taper_takes_an_arbor(catalogue: Catalogue) -> None:
    found = fit(a_piece("drill-chuck", mount="JT33"), a_lathe(), catalogue)
    assert ids(found) == ["arbor:MT3-JT33:p-drill-chuck"]


@pytest.mark.parametrize(
    ("mount", "own"),
    [
        ("MT3", ("drill-chuck-arbor",)),
        ("MT2", ("drill-chuck-arbor",)),  # through a sleeve
        ("MT4", ()),  # another arbor goes in
        ("JT33", ()),
        ("1/2-20", ()),
        (None, ()),
    ],
)
def test_a_drill_chuck_known_by_its_shank_has_its_arbor_in_it(
    catalogue: Catalogue, mount: str | None, own: tuple[str, ...]
) -> None:
    assert fit(a_piece("drill-chuck", mount=mount), a_lathe(), catalogue).own == own
    assert fit(a_piece("centre-dead", mount=mount), a_lathe(), catalogue).own == ()


def test_threaded_drill_chuck_takes_an_arbor(catalogue: Catalogue) -> None:
    found = fit(a_piece("drill-chuck", mount="1/2-20"), a_lathe(), catalogue)
    assert ids(found) == ["arbor:MT3-1/2-20:p-drill-chuck"]


def test_arbor_with_both_ends_read_is_free(catalogue: Catalogue) -> None:
    arbor = a_piece("drill-chuck-arbor", text="MT3 arbor, JT33 other end")
    found = fit(a_piece("drill-chuck", mount="JT33"), a_lathe(), catalogue, here=[arbor])
    assert found.adapters[0].already_here


def test_an_arbor_stays_in_one_chuck(catalogue: Catalogue) -> None:
    arbor = Piece("arbor", "drill-chuck-arbor", text="MT3 arbor, JT33 other end")
    chucks = [
        a_piece("drill-chuck", id="small", mount="JT33", size="10mm"),
        a_piece("drill-chuck", id="large", mount="JT33", size="13mm"),
    ]
    for here, free in ((arbor, ["large"]), (replace(arbor, qty=2), ["small", "large"])):
        found = fit_all([*chucks, here], a_lathe(), catalogue)
        assert [c.id for c in chucks if found[c.id].adapters[0].already_here] == free


def test_drill_chuck_not_measured_says_what_it_usually_has(catalogue: Catalogue) -> None:
    found = fit(a_piece("drill-chuck", size="1/2in"), a_lathe(), catalogue)
    assert found.settle is not None and found.settle.question.id == "measure-stub-usual"
    assert "JT33" in str(dict(found.settle.question.values)["usual"])


def test_spindle_not_measured_says_what_usually_goes_with_the_nose(catalogue: Catalogue) -> None:
    found = fit(a_piece("test-bar", mount="MT5"), a_lathe(spindle_socket=None), catalogue)
    assert found.verdict in ("misfit", "unknown")
    centre = fit(a_piece("milling-arbor", mount="MT5"), a_lathe(spindle_socket=None), catalogue)
    assert centre.settle is not None and centre.settle.question.id == "measure-socket-usual"


def test_arbor_with_one_end_unread_is_said_not_guessed(catalogue: Catalogue) -> None:
    arbor = a_piece("drill-chuck-arbor", mount="MT3")
    found = fit(a_piece("drill-chuck", mount="JT33"), a_lathe(), catalogue, here=[arbor])
    assert not found.adapters[0].already_here
    assert "arbor-end-unread" in said(found)


def test_drill_press_spindle_takes_the_chuck_straight(catalogue: Catalogue) -> None:
    press = a_mill(machine_class="drill-press", spindle_socket="JT33")
    assert fit(a_piece("drill-chuck", mount="JT33"), press, catalogue).verdict == "fits"


@pytest.mark.parametrize("kind", ["end-mill-holder", "face-mill", "boring-head", "milling-arbor"])
def test_what_needs_a_drawbar_gets_no_sleeve(catalogue: Catalogue, kind: str) -> None:
    found = fit(a_piece(kind, mount="MT2"), a_mill(), catalogue)
    assert found.verdict == "misfit"
    assert "drawbar-needed" in said(found)


def test_a_headstock_sleeve_is_open_behind(catalogue: Catalogue) -> None:
    chuck = a_piece("chuck-collet", mount="MT3", text="ER32 chuck on MT3")
    found = fit(chuck, a_lathe(), catalogue)
    assert ids(found) == ["sleeve:MT5-MT3"]


def test_tang_drill_goes_into_a_mill_through_a_sleeve(catalogue: Catalogue) -> None:
    found = fit(a_piece("drills-taper-shank", mount="MT2"), a_mill(), catalogue)
    assert ids(found) == ["sleeve:R8-MT2"]


def test_steep_adapter_lets_the_drawbar_through(catalogue: Catalogue) -> None:
    mill = a_mill(spindle_socket="ISO50")
    found = fit(a_piece("face-mill", mount="ISO40"), mill, catalogue)
    assert ids(found) == ["sleeve:ISO50-ISO40"]


def test_unknown_socket_names_the_measurement(catalogue: Catalogue) -> None:
    found = fit(a_piece("centre-live", mount="MT3"), a_lathe(tailstock_socket=None), catalogue)
    assert found.verdict == "unknown"
    assert found.settle is not None and found.settle.fact == "tailstock_socket"


def test_unknown_shank_names_the_measurement(catalogue: Catalogue) -> None:
    found = fit(a_piece("centre-live"), a_lathe(), catalogue)
    assert found.settle is not None and found.settle.fact == "piece.mount"


def test_shank_in_no_table_is_measured_not_guessed(catalogue: Catalogue) -> None:
    found = fit(a_piece("centre-live", mount="special"), a_lathe(), catalogue)
    assert found.verdict == "unknown"


def test_dead_centre_may_stand_at_either_end(catalogue: Catalogue) -> None:
    assert fit(a_piece("centre-dead", mount="MT5"), a_lathe(), catalogue).verdict == "fits"
    assert fit(a_piece("centre-live", mount="MT5"), a_lathe(), catalogue).verdict == "misfit"


def test_sleeve_goes_in_by_its_larger_end(catalogue: Catalogue) -> None:
    sleeve = a_piece("taper-sleeve", mount="MT2", text="sleeve MT3 outside MT2 inside")
    assert fit(sleeve, a_lathe(), catalogue).verdict == "fits"


def test_every_adapter_joins_what_it_says(catalogue: Catalogue) -> None:
    """If A fits B through C, the ends of C fit A and B."""
    bench = set_up(a_lathe(), catalogue, ())
    cones = catalogue.standards.cones
    found = 0
    for socket in cones:
        for mount in cones:
            way = edge(bench, socket, mount)
            if way is None:
                continue
            found += 1
            outside, _, inside = way.adapter.id.partition(":")[2].partition("-")
            assert (outside, inside) == (socket, mount)
            if way.last_resort:
                assert cones[mount].large_mm > cones[socket].large_mm
            elif way.adapter.kind == "taper-sleeve":
                assert cones[mount].large_mm < cones[socket].large_mm
    assert found > 100
