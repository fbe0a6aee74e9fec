from __future__ import annotations

import pytest

from builders import a_lathe, a_mill, a_piece, length
from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Machine
from kitreckon.fitting import Fit, fit, fit_all, which_takes


def said(found: Fit) -> list[str]:
    return [reason.id for reason in found.reasons]


@pytest.mark.parametrize("kind", ["steady-rest", "follow-rest", "taper-attachment"])
def test_made_for_one_bed_is_unknown_until_tried(catalogue: Catalogue, kind: str) -> None:
    found = fit(a_piece(kind), a_lathe(), catalogue)
    assert found.settle is not None and found.settle.fact == "piece.tried"
    assert fit(a_piece(kind, tried=True), a_lathe(), catalogue).verdict == "fits"
    assert fit(a_piece(kind, tried=False), a_lathe(), catalogue).verdict == "misfit"


def test_what_was_tried_outranks_the_tables(catalogue: Catalogue) -> None:
    chuck = a_piece("chuck-3-jaw", mount="L0", tried=True)
    assert fit(chuck, a_lathe(), catalogue).verdict == "fits"


def test_line_kept_as_typed_is_unknown(catalogue: Catalogue) -> None:
    assert fit(a_piece(None, text="odd box"), a_lathe(), catalogue).verdict == "unknown"


def test_kind_the_catalogue_does_not_know_is_unknown(catalogue: Catalogue) -> None:
    assert fit(a_piece("no-such-kind"), a_lathe(), catalogue).verdict == "unknown"


def test_measuring_tools_fit_anywhere(catalogue: Catalogue) -> None:
    assert fit(a_piece("micrometer"), a_mill(), catalogue).verdict == "fits"


@pytest.mark.parametrize(
    ("size", "verdict"), [("6in", "fits"), ("8in", "fits"), ("10in", "misfit")]
)
def test_vise_against_the_table(catalogue: Catalogue, size: str, verdict: str) -> None:
    assert fit(a_piece("milling-vise", size=size), a_mill(), catalogue).verdict == verdict


def test_large_vise_is_cautioned(catalogue: Catalogue) -> None:
    mill = a_mill(table_width=length("6in"))
    assert "vise-large" in said(fit(a_piece("milling-vise", size="5in"), mill, catalogue))


def test_table_not_measured_is_unknown(catalogue: Catalogue) -> None:
    found = fit(a_piece("milling-vise", size="6in"), a_mill(table_width=None), catalogue)
    assert found.settle is not None and found.settle.fact == "table_width"


@pytest.mark.parametrize(
    ("nut", "verdict"), [("14mm", "fits"), ("16mm", "fits-with"), ("10mm", "fits-with")]
)
def test_t_nuts_against_the_slot(catalogue: Catalogue, nut: str, verdict: str) -> None:
    mill = a_mill(table_slot=length("14mm"))
    found = fit(a_piece("clamping-kit", size=nut), mill, catalogue)
    assert found.verdict == verdict
    if found.adapters:
        assert found.adapters[0].id == "t-nuts:14 mm"
        assert [reason.id for reason in found.reasons][1:] == ["t-nut-head"]


def test_table_things_do_not_go_on_a_lathe(catalogue: Catalogue) -> None:
    assert fit(a_piece("rotary-table", size="8in"), a_lathe(), catalogue).verdict == "misfit"


def test_every_kind_of_the_catalogue_gets_a_verdict_on_every_class(catalogue: Catalogue) -> None:
    pieces = [a_piece(kind) for kind in catalogue.kinds]
    unsorted = Machine("m", "lot 7", "")
    press = a_mill(machine_class="drill-press")
    for machine in (a_lathe(), a_mill(), press, a_lathe(nose=None), unsorted):
        found = fit_all(pieces, machine, catalogue)
        assert len(found) == len(pieces)
        for one in found.values():
            assert one.reasons
            assert (one.verdict == "unknown") <= (one.settle is not None)
            assert (one.verdict == "fits-with") == bool(one.adapters)


def test_a_power_feed_is_made_for_one_table(catalogue: Catalogue) -> None:
    assert fit(a_piece("power-feed"), a_mill(), catalogue).verdict == "unknown"


def test_a_shaper_asks_for_its_clapper_box(catalogue: Catalogue) -> None:
    shaper = a_mill(machine_class="shaper", spindle_socket=None)
    for kind in ("toolholder-lantern", "toolbits"):
        assert fit(a_piece(kind), shaper, catalogue).verdict == "unknown"


@pytest.mark.parametrize(
    "kind", ["chuck-3-jaw", "steady-rest", "centre-live", "milling-vise", "collets-5c", "toolbits"]
)
def test_where_the_sort_of_machine_is_not_set_it_is_asked_for(
    catalogue: Catalogue, kind: str
) -> None:
    found = fit(a_piece(kind, size="6in"), Machine("m", "lot 7", ""), catalogue)
    assert found.verdict == "unknown"
    assert found.settle is not None and found.settle.fact == "machine_class"
    assert fit(a_piece("micrometer"), Machine("m", "lot 7", ""), catalogue).verdict == "fits"


def test_a_nose_or_a_table_tells_the_sort_of_machine(catalogue: Catalogue) -> None:
    chuck = a_piece("chuck-3-jaw", mount="D1-4", size="6in")
    vise = a_piece("milling-vise", size="6in")
    nosed, tabled = a_lathe(machine_class=""), a_mill(machine_class="")
    assert fit(chuck, nosed, catalogue).verdict == "fits"
    assert fit(vise, nosed, catalogue).verdict == "misfit"
    assert fit(vise, tabled, catalogue).verdict == "fits"


def test_every_adapter_is_of_a_kind_in_the_catalogue(catalogue: Catalogue) -> None:
    mounts = [*catalogue.standards.cones, *catalogue.standards.noses, *catalogue.standards.collets]
    pieces = [
        a_piece(kind, id=f"{kind} {mount} {back}", mount=mount, back=back, size="60mm")
        for kind in ("chuck-3-jaw", "drill-chuck", "drills-taper-shank", "collets-other")
        for mount in mounts
        for back in ("plain", "backplate", "direct")
    ]
    for found in fit_all(pieces, a_lathe(), catalogue).values():
        assert {adapter.kind for adapter in found.adapters} <= set(catalogue.kinds)


def test_which_of_several_machines_takes_it(catalogue: Catalogue) -> None:
    small = a_lathe(id="small", tailstock_socket="MT2")
    right = a_lathe(id="right", tailstock_socket="MT3")
    large = a_lathe(id="large", tailstock_socket="MT4")
    mill = a_mill()
    centre = a_piece("centre-live", mount="MT3", tried=False)
    found = which_takes(centre, [small, mill, large, right], catalogue)
    assert [machine.id for machine, _ in found][:2] == ["right", "large"]
    assert [one.verdict for _, one in found] == ["fits", "fits-with", "misfit", "misfit"]
