from __future__ import annotations

from builders import a_lathe, a_mill, a_piece, length
from kitreckon.catalogue.model import Catalogue
from kitreckon.fitting import Fit, fit


def kinds(found: Fit) -> list[str]:
    return [adapter.kind for adapter in found.adapters]


def test_r8_collets_go_into_an_r8_spindle_alone(catalogue: Catalogue) -> None:
    assert fit(a_piece("collets-r8"), a_mill(), catalogue).verdict == "fits"
    assert fit(a_piece("collets-r8"), a_mill(spindle_socket="ISO40"), catalogue).verdict == "misfit"


def test_a_spindle_made_for_the_collet_takes_it(catalogue: Catalogue) -> None:
    assert fit(a_piece("collets-5c"), a_lathe(spindle_socket="5C"), catalogue).verdict == "fits"


def test_5c_wants_a_draw_tube_where_the_bore_passes_it(catalogue: Catalogue) -> None:
    assert kinds(fit(a_piece("collets-5c"), a_lathe(), catalogue)) == ["collet-adapter"]


def test_5c_goes_in_a_chuck_where_the_bore_is_small(catalogue: Catalogue) -> None:
    found = fit(a_piece("collets-5c"), a_lathe(bore=length("25/32in")), catalogue)
    assert kinds(found) == ["chuck-collet"]
    assert dict(found.reasons[0].values)["bore"] == length("19.84mm")


def test_bore_between_body_and_tube_is_said(catalogue: Catalogue) -> None:
    found = fit(a_piece("collets-5c"), a_lathe(bore=length("33mm")), catalogue)
    assert found.reasons[0].id == "bore-between"


def test_small_draw_collets_need_less_bore(catalogue: Catalogue) -> None:
    small = a_piece("collets-other", mount="3C")
    assert kinds(fit(small, a_lathe(bore=length("3/4in")), catalogue)) == ["collet-adapter"]
    unsaid = fit(a_piece("collets-other", mount="4C"), a_lathe(bore=length("1in")), catalogue)
    assert unsaid.settle is not None and unsaid.settle.question.id == "try-tube"


def test_bore_not_known_needs_no_guess(catalogue: Catalogue) -> None:
    found = fit(a_piece("collets-5c"), a_lathe(bore=None), catalogue)
    assert kinds(found) == ["chuck-collet"]
    assert found.reasons[0].id == "bore-not-known"


def test_er_collets_go_in_the_chuck_that_is_here(catalogue: Catalogue) -> None:
    chuck = a_piece("chuck-collet", mount="D1-4", text="ER32 collet chuck D1-4")
    found = fit(a_piece("collets-er", mount="ER32"), a_lathe(), catalogue, here=[chuck])
    assert found.verdict == "fits-with"
    assert all(adapter.already_here for adapter in found.adapters)


def test_er_collets_of_another_size_need_another_chuck(catalogue: Catalogue) -> None:
    chuck = a_piece("chuck-collet", mount="D1-4", text="ER40 collet chuck D1-4")
    found = fit(a_piece("collets-er", mount="ER32"), a_lathe(), catalogue, here=[chuck])
    assert not found.adapters[0].already_here


def test_a_chuck_that_does_not_fit_is_passed_over(catalogue: Catalogue) -> None:
    chuck = a_piece("chuck-collet", mount="L0", text="ER32 collet chuck L0", back="direct")
    found = fit(a_piece("collets-er", mount="ER32"), a_lathe(), catalogue, here=[chuck])
    assert [adapter.already_here for adapter in found.adapters] == [False]
    assert "holder-does-not-fit" in [reason.id for reason in found.reasons]


def test_a_closer_not_tried_yet_is_bought_again_only_with_a_word(catalogue: Catalogue) -> None:
    closer = a_piece("collet-adapter", mount="5C")
    found = fit(a_piece("collets-5c"), a_lathe(), catalogue, here=[closer])
    assert "holder-to-try" in [reason.id for reason in found.reasons]
    tried = fit(
        a_piece("collets-5c"), a_mill(), catalogue, here=[a_piece("chuck-collet", mount="5C")]
    )
    assert tried.verdict == "unknown"


def test_er_size_not_known_is_measured(catalogue: Catalogue) -> None:
    found = fit(a_piece("collets-er"), a_lathe(), catalogue)
    assert found.settle is not None and found.settle.fact == "piece.mount"


def test_er_in_a_mill_takes_a_chuck_on_the_spindles_taper(catalogue: Catalogue) -> None:
    found = fit(a_piece("collets-er", mount="ER32"), a_mill(), catalogue)
    assert [adapter.id for adapter in found.adapters] == ["collet-chuck:R8-ER32"]


def test_collet_chuck_goes_by_its_back(catalogue: Catalogue) -> None:
    lathe = a_lathe()
    on_nose = a_piece("chuck-collet", mount="ER32", text="ER32 chuck, D1-4 back")
    on_shank = a_piece("chuck-collet", mount="ER32", text="ER32 chuck on MT5")
    unread = a_piece("chuck-collet", mount="ER32")
    plain = a_piece("chuck-collet", mount="ER32", back="plain")
    assert fit(on_nose, lathe, catalogue).verdict == "fits"
    assert fit(on_shank, lathe, catalogue).verdict == "fits"
    assert fit(unread, lathe, catalogue).settle.fact == "piece.back"  # type: ignore[union-attr]
    assert kinds(fit(plain, lathe, catalogue)) == ["chuck-backplate"]


def test_closer_is_tried_where_the_bore_lets_it(catalogue: Catalogue) -> None:
    closer = a_piece("collet-adapter", mount="5C")
    assert fit(closer, a_lathe(), catalogue).settle.fact == "piece.tried"  # type: ignore[union-attr]
    assert fit(closer, a_lathe(bore=None), catalogue).settle.fact == "bore"  # type: ignore[union-attr]
    assert fit(closer, a_lathe(bore=length("20mm")), catalogue).verdict == "misfit"


def test_a_closer_that_was_tried_settles_its_collets(catalogue: Catalogue) -> None:
    for tried, free in ((True, True), (False, False)):
        closer = a_piece("collet-adapter", mount="5C", tried=tried)
        found = fit(a_piece("collets-5c"), a_lathe(), catalogue, here=[closer])
        assert [adapter.already_here for adapter in found.adapters] == [free]


def test_5c_on_a_mill_wants_a_block(catalogue: Catalogue) -> None:
    assert fit(a_piece("collets-5c"), a_mill(), catalogue).verdict == "misfit"
    block = a_piece("collet-block", mount="5C")
    found = fit(a_piece("collets-5c"), a_mill(), catalogue, here=[block])
    assert found.verdict == "fits-with"


def test_a_collet_larger_than_its_system_takes_is_told(catalogue: Catalogue) -> None:
    chuck = a_piece("chuck-collet", text="ER32 chuck", mount="MT3", tried=True)
    for size, told in (("1in", True), ("16mm", False), (None, False)):
        found = fit(a_piece("collets-er", mount="ER32", size=size), a_lathe(), catalogue, [chuck])
        assert ("collet-past-grip" in {reason.id for reason in found.reasons}) is told, size
