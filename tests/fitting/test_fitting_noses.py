from __future__ import annotations

import pytest

from builders import a_lathe, a_mill, a_piece, length
from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Reading
from kitreckon.fitting import Fit, fit, fit_all


def said(found: Fit) -> list[str]:
    return [reason.id for reason in found.reasons]


@pytest.mark.parametrize("nose", ["D1-4", "L0", "A2-6", "DIN55027-5"])
def test_chuck_made_for_the_nose_fits(catalogue: Catalogue, nose: str) -> None:
    chuck = a_piece("chuck-3-jaw", mount=nose, size="6in")
    assert fit(chuck, a_lathe(nose=nose), catalogue).verdict == "fits"


def test_direct_chuck_of_another_nose_is_a_misfit(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-4-jaw", mount="L0", back="direct"), a_lathe(), catalogue)
    assert (found.verdict, found.settle) == ("misfit", None)


def test_back_not_looked_at_is_a_misfit_that_says_where_to_look(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-4-jaw", mount="L0"), a_lathe(), catalogue)
    assert found.verdict == "misfit"
    assert found.settle is not None and found.settle.fact == "piece.back"


def test_plain_back_takes_a_plate_turned_on_its_own_spindle(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-4-jaw", back="plain", size="8in"), a_lathe(), catalogue)
    assert found.verdict == "fits-with"
    plate = found.adapters[0]
    assert (plate.kind, plate.mount, plate.size) == ("chuck-backplate", "D1-4", length("8in"))
    assert plate.hours > 0
    assert "register-on-own-spindle" in found.cautions


def test_each_chuck_needs_its_own_plate(catalogue: Catalogue) -> None:
    one = fit(a_piece("chuck-3-jaw", back="plain"), a_lathe(), catalogue)
    other = fit(a_piece("chuck-4-jaw", back="plain"), a_lathe(), catalogue)
    assert one.adapters[0].id != other.adapters[0].id


def test_counted_plate_costs_its_hours_alone(catalogue: Catalogue) -> None:
    plate = a_piece("chuck-backplate", mount="D1-4")
    found = fit(a_piece("chuck-4-jaw", back="plain"), a_lathe(), catalogue, here=[plate])
    assert found.adapters[0].already_here
    assert found.adapters[0].hours > 0


def test_one_plate_goes_to_one_chuck(catalogue: Catalogue) -> None:
    pieces = [
        a_piece("chuck-3-jaw", back="plain", size="6in"),
        a_piece("chuck-4-jaw", back="plain", size="8in"),
        a_piece("chuck-backplate", mount="D1-4"),
    ]
    found = fit_all(pieces, a_lathe(), catalogue)
    assert found["p-chuck-4-jaw"].adapters[0].already_here
    assert not found["p-chuck-3-jaw"].adapters[0].already_here


def test_a2_chuck_goes_on_an_a1_nose_by_the_outer_circle(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-3-jaw", mount="A2-6"), a_lathe(nose="A1-6"), catalogue)
    assert (found.verdict, found.confirmed) == ("fits", 1)
    other = fit(a_piece("chuck-3-jaw", mount="A1-6"), a_lathe(nose="A2-6"), catalogue)
    assert other.verdict == "unknown"
    size = fit(a_piece("chuck-3-jaw", mount="A2-5"), a_lathe(nose="A1-6"), catalogue)
    assert size.verdict == "misfit"


def test_separate_plate_is_changed(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-4-jaw", mount="L0", back="backplate"), a_lathe(), catalogue)
    assert found.verdict == "fits-with"
    assert "change-the-plate" in said(found)


def test_faceplate_of_another_nose_has_no_plate_to_change(catalogue: Catalogue) -> None:
    found = fit(a_piece("faceplate", mount="L0", back="backplate"), a_lathe(), catalogue)
    assert found.verdict == "misfit"


def test_unread_back_and_nose_are_asked_for(catalogue: Catalogue) -> None:
    assert fit(a_piece("chuck-3-jaw"), a_lathe(), catalogue).settle.fact == "piece.mount"  # type: ignore[union-attr]
    unknown = fit(a_piece("chuck-3-jaw", mount="D1-4"), a_lathe(nose=None), catalogue)
    assert unknown.settle is not None and unknown.settle.fact == "nose"


SCREWED = {"nose": "1-1/2-8", "nose_register": length("38.2mm"), "nose_thread_form": "60"}


def test_thread_alone_does_not_fit(catalogue: Catalogue) -> None:
    chuck = a_piece("chuck-3-jaw", mount="1-1/2-8")
    facts = [
        fit(chuck, a_lathe(nose="1-1/2-8"), catalogue),
        fit(chuck, a_lathe(nose="1-1/2-8", nose_register=length("38.2mm")), catalogue),
        fit(chuck, a_lathe(**SCREWED), catalogue),
    ]
    assert [one.verdict for one in facts] == ["unknown"] * 3
    assert [one.settle.fact for one in facts if one.settle] == [
        "nose_register",
        "nose_thread_form",
        "piece.tried",
    ]


def test_a_thread_that_agrees_is_likelier_than_an_unread_back(catalogue: Catalogue) -> None:
    lathe = a_lathe(nose="1-1/2-8")
    assert (fit(a_piece("chuck-3-jaw", mount="1-1/2-8"), lathe, catalogue).chance or 0) > 0.8
    assert fit(a_piece("chuck-3-jaw"), lathe, catalogue).chance is None


@pytest.mark.parametrize(
    ("bored", "verdict", "reason"),
    [
        ("38.22mm", "fits", "register-right"),
        ("38.1mm", "misfit", "register-small"),
        ("38.6mm", "misfit", "register-loose"),
    ],
)
def test_register_decides(catalogue: Catalogue, bored: str, verdict: str, reason: str) -> None:
    chuck = a_piece("chuck-3-jaw", mount="1-1/2-8", readings=(Reading("register", length(bored)),))
    found = fit(chuck, a_lathe(**SCREWED), catalogue)
    assert (found.verdict, said(found)[0]) == (verdict, reason)


def test_screwed_nose_that_fits_carries_its_caution(catalogue: Catalogue) -> None:
    reading = (Reading("register", length("38.22mm")),)
    chuck = a_piece("chuck-3-jaw", mount="1-1/2-8", readings=reading)
    assert "screwed-nose-reverse" in fit(chuck, a_lathe(**SCREWED), catalogue).cautions


def test_chuck_that_was_tried_on_a_screwed_nose_carries_it_too(catalogue: Catalogue) -> None:
    chuck = a_piece("chuck-3-jaw", mount="1-1/2-8", tried=True, size="8in")
    found = fit(chuck, a_lathe(nose="1-1/2-8"), catalogue)
    assert found.verdict == "fits"
    assert {"screwed-nose-reverse", "heavy-chuck"} <= set(found.cautions)
    plain = fit(a_piece("chuck-4-jaw", back="plain"), a_lathe(nose="1-1/2-8"), catalogue)
    assert "screwed-nose-reverse" in plain.cautions
    assert "screwed-nose-reverse" not in fit(chuck, a_lathe(), catalogue).cautions


def test_near_threads_are_told_apart_in_numbers(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-3-jaw", mount="1-1/2-8"), a_lathe(nose="M39x4"), catalogue)
    assert found.verdict == "misfit"
    values = dict(found.reasons[0].values)
    assert values["nose_size"].mm == pytest.approx(39)  # type: ignore[attr-defined]
    assert values["mount_size"].mm == pytest.approx(38.1)  # type: ignore[attr-defined]


def test_direct_screwed_chuck_goes_on_a_camlock_through_an_adapter(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-3-jaw", mount="1-1/2-8", back="direct"), a_lathe(), catalogue)
    assert found.verdict == "fits-with"
    assert found.adapters[0].loss is not None
    assert {"long-reach", "screwed-nose-reverse"} <= set(found.cautions)


def test_no_adapter_is_bought_where_a_plate_may_be_changed(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-3-jaw", mount="1-1/2-8"), a_lathe(), catalogue)
    assert (found.verdict, found.adapters) == ("misfit", ())


def test_no_adapter_goes_down_a_thread(catalogue: Catalogue) -> None:
    lathe = a_lathe(nose="2-1/4-8")
    found = fit(a_piece("chuck-3-jaw", mount="1-1/2-8", back="direct"), lathe, catalogue)
    assert found.verdict == "misfit"


def test_nose_adapter_that_is_here_is_used(catalogue: Catalogue) -> None:
    ring = a_piece("chuck-backplate", mount="D1-4", text="adapter D1-4 to L0")
    found = fit(
        a_piece("chuck-3-jaw", mount="L0", back="direct"), a_lathe(), catalogue, here=[ring]
    )
    assert found.verdict == "fits-with" and found.adapters[0].already_here


def test_same_cone_with_another_fixing_is_said(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-3-jaw", mount="D1-4"), a_lathe(nose="A2-4"), catalogue)
    assert said(found)[0] == "same-cone-other-fixing"


def test_chuck_past_the_swing_is_a_misfit(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-4-jaw", mount="D1-4", size="14in"), a_lathe(), catalogue)
    assert (found.verdict, said(found)) == ("misfit", ["past-swing"])
    unread = fit(a_piece("chuck-4-jaw", size="14in"), a_lathe(), catalogue)
    assert unread.verdict == "misfit"


def test_chuck_near_the_swing_is_cautioned(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-4-jaw", mount="D1-4", size="11in"), a_lathe(), catalogue)
    assert found.verdict == "fits"
    assert "chuck-past-swing" in found.cautions


def test_chuck_that_turns_over_the_bed_alone_is_cautioned(catalogue: Catalogue) -> None:
    lathe = a_lathe(swing_over_cross_slide=length("6in"))
    found = fit(a_piece("chuck-4-jaw", mount="D1-4", size="8in"), lathe, catalogue)
    assert "over-cross-slide" in said(found)


def test_measured_thread_is_the_nominal_one_within_its_band(catalogue: Catalogue) -> None:
    lathe = a_lathe(nose="1-1/2-8")
    near = fit(a_piece("chuck-3-jaw", mount="1.495-8"), lathe, catalogue)
    assert "same-thread" in said(near)
    under = fit(a_piece("chuck-3-jaw", mount="1.450-8"), lathe, catalogue)
    assert under.verdict == "misfit"


def test_pitch_not_stated_is_measured(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-3-jaw", mount="M39x4"), a_lathe(nose="M39"), catalogue)
    assert found.verdict == "unknown"
    assert found.settle is not None and found.settle.question.id == "measure-both-pitches"


def test_swing_not_known_is_not_assumed(catalogue: Catalogue) -> None:
    found = fit(a_piece("chuck-4-jaw", mount="D1-4", size="14in"), a_lathe(swing=None), catalogue)
    assert found.verdict == "fits"


def test_heavy_chuck_on_a_small_nose_is_cautioned(catalogue: Catalogue) -> None:
    lathe = a_lathe(nose="D1-3", swing=length("14in"))
    found = fit(a_piece("chuck-4-jaw", mount="D1-3", size="8in"), lathe, catalogue)
    assert "heavy-for-nose" in said(found)
    assert "heavy-chuck" in found.cautions


def test_a_mill_has_no_nose_for_a_chuck(catalogue: Catalogue) -> None:
    assert fit(a_piece("chuck-3-jaw", mount="D1-4"), a_mill(), catalogue).verdict == "misfit"
