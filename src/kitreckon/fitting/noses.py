"""What goes on the spindle nose: chucks, faceplates, plates. The chuck's back decides most."""

from __future__ import annotations

from dataclasses import replace

from kitreckon.catalogue.model import Kind
from kitreckon.count import Piece
from kitreckon.fitting.bench import Bench, ends, length
from kitreckon.fitting.model import Adapter, Fit, Measurement
from kitreckon.fitting.threads import is_thread, same_thread
from kitreckon.fitting.verdicts import (
    fits,
    fits_with,
    misfit,
    resting_on,
    unknown,
    with_cautions,
)
from kitreckon.quantities import Length, known_mm
from kitreckon.reasons import Reason, Term, because
from kitreckon.standards import Nose

_CONED = ("camlock", "bolted short taper", "bayonet")


def fit_nose(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Try a chuck or a plate on the machine's spindle nose."""
    past = _past_swing(piece, kind, bench)
    if past is not None:
        return past
    nose = bench.machine.nose
    if nose is None:
        if not bench.is_lathe:
            return misfit(because("no-nose-here", piece=Term("kind", kind.id)))
        return unknown("nose", because("measure-nose"))
    fit = _on_nose(piece, kind, nose, bench)
    if fit.verdict in ("misfit", "unknown"):
        return fit
    return nose_cautions(fit, piece, kind, bench)


def nose_cautions(fit: Fit, piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Warn of weight, reach and the screwed nose in reverse, for what does go on the nose."""
    nose = bench.machine.nose
    if nose is None:
        return fit
    if is_thread(nose):
        fit = with_cautions(fit, ("screwed-nose-reverse",))
    return _near_swing(_carried(fit, piece, nose, bench), piece, kind, bench)


def _on_nose(piece: Piece, kind: Kind, nose: str, bench: Bench) -> Fit:
    if piece.back == "plain" and not kind.plate:
        return _new_plate(piece, nose, bench, because("plain-back", nose=nose))
    mount = piece.mount
    if mount is None:
        question = because("look-at-the-back", piece=Term("kind", kind.id))
        return unknown("piece.mount", question)
    if mount == nose:
        return _same_nose(piece, kind, nose, bench)
    if is_thread(mount) and is_thread(nose):
        same = same_thread(mount, nose)
        if same is None:
            return unknown("nose", because("measure-both-pitches", mount=mount, nose=nose))
        if same:
            return _same_thread(piece, kind, nose, bench)
    return _other_nose(piece, kind, mount, nose, bench)


def _same_nose(piece: Piece, kind: Kind, nose: str, bench: Bench) -> Fit:
    if not is_thread(nose):
        return fits(because("same-nose", nose=nose))
    return _same_thread(piece, kind, nose, bench)


def _same_thread(piece: Piece, kind: Kind, nose: str, bench: Bench) -> Fit:
    """Compare form and register before a thread fits: a thread alone does not centre.

    Most plates whose thread agrees were made for such a nose: likelier than an unread back.
    """
    fit = _thread_settled(piece, kind, nose, bench)
    if fit.verdict != "unknown":
        return fit
    return replace(fit, chance=bench.standards.rule("same-thread-fits"))


def _thread_settled(piece: Piece, kind: Kind, nose: str, bench: Bench) -> Fit:
    machine = bench.machine
    if machine.nose_register is None:
        question = because("measure-register", nose=nose)
        return unknown("nose_register", question, because("same-thread", nose=nose))
    if machine.nose_thread_form is None:
        question = because("measure-form", nose=nose)
        return unknown("nose_thread_form", question, because("same-thread", nose=nose))
    register = known_mm(machine.nose_register)
    bored = next((known_mm(one.value) for one in piece.readings if one.id == "register"), None)
    if bored is None or register is None:
        question = because("try-on-nose", register=machine.nose_register)
        return unknown("piece.tried", question, because("same-thread", nose=nose))
    return _register(piece, kind, nose, bored, register, bench)


def _register(
    piece: Piece, kind: Kind, nose: str, bored: float, register: float, bench: Bench
) -> Fit:
    sizes: dict[str, Length] = {"bored": length(bored), "register": length(register)}
    if bored < register - 0.01:
        return misfit(because("register-small", nose=nose, **sizes))
    if bored > register + bench.standards.rule("register-loose-mm"):
        loose = because("register-loose", nose=nose, **sizes)
        if piece.back == "backplate":
            return _new_plate(piece, nose, bench, loose)
        return misfit(loose)
    return fits(because("register-right", nose=nose, **sizes))


def _other_nose(piece: Piece, kind: Kind, mount: str, nose: str, bench: Bench) -> Fit:
    outer = _outer_circle(mount, nose, bench)
    if outer is not None:
        return outer
    why = _why_not(mount, nose, bench)
    if piece.back == "backplate" and not kind.plate:
        return _new_plate(piece, nose, bench, why, because("change-the-plate", nose=nose))
    adapter = _nose_adapter(mount, nose, bench, to_buy=piece.back == "direct")
    if adapter is not None:
        return fits_with((adapter,), why, because("through-nose-adapter", nose=nose, mount=mount))
    if piece.back is None and not kind.plate:
        question = because("plate-between", nose=nose)
        return misfit(why, question, settle=Measurement("piece.back", question))
    return misfit(why)


def _outer_circle(mount: str, nose: str, bench: Bench) -> Fit | None:
    """Compare A1 with A2 of one size: their outer circles of holes are the same.

    What is made for A2 goes on A1; what is made for A1 may be bolted on its inner circle.
    """
    mine, its = bench.standards.noses.get(nose), bench.standards.noses.get(mount)
    if mine is None or its is None or mine.size != its.size or nose == mount:
        return None
    if {mine.system, its.system} != {"bolted short taper"}:
        return None
    circle = mine.bolt_circle_mm
    if circle is None or its.bolt_circle_mm is None or abs(circle - its.bolt_circle_mm) > 0.2:
        return None
    shown = because("same-outer-circle", mount=mount, nose=nose, circle=length(circle))
    if its.inner_bolt_circle_mm is None:
        return resting_on(fits(shown), nose, mine.evidence, "bolt_circle")
    question = because("which-circle", circle=length(circle))
    return unknown("piece.tried", question, shown)


def _why_not(mount: str, nose: str, bench: Bench) -> Reason:
    """Say in numbers why one nose's chuck does not go on another."""
    mine, its = bench.standards.noses.get(nose), bench.standards.noses.get(mount)
    if mine is None or its is None:
        return because("nose-differs", mount=mount, nose=nose)
    if mine.system in _CONED and its.system in _CONED and mine.size == its.size:
        return because(
            "same-cone-other-fixing",
            mount=mount,
            nose=nose,
            cone=length(mine.gauge_mm or its.gauge_mm or 0.0),
        )
    if mine.major_mm and its.major_mm and mine.pitch_mm and its.pitch_mm:
        return because(
            "thread-differs",
            mount=mount,
            nose=nose,
            mount_size=length(its.major_mm),
            nose_size=length(mine.major_mm),
            mount_pitch=length(its.pitch_mm),
            nose_pitch=length(mine.pitch_mm),
        )
    across = (its.gauge_mm or its.major_mm, mine.gauge_mm or mine.major_mm)
    if across[0] and across[1]:
        return because(
            "nose-differs-by",
            mount=mount,
            nose=nose,
            mount_size=length(across[0]),
            nose_size=length(across[1]),
        )
    return because("nose-differs", mount=mount, nose=nose)


def _new_plate(piece: Piece, nose: str, bench: Bench, *reasons: Reason) -> Fit:
    """Return the fit through a plate for this nose, its register turned on its own spindle."""
    here = bench.carrying("backplate", nose)
    plate = Adapter(
        f"backplate:{nose}:{piece.id}",
        bench.serving_as("backplate", here),
        because("adapter-backplate", nose=nose),
        size=piece.size,
        mount=nose,
        already_here=here is not None,
        hours=bench.standards.rule("backplate-hours"),
        cautions=("register-on-own-spindle",),
    )
    return fits_with((plate,), *reasons, because("register-turned", nose=nose))


def _nose_adapter(mount: str, nose: str, bench: Bench, *, to_buy: bool) -> Adapter | None:
    """Return a ring that goes on this nose and carries a thread for that chuck, or None.

    One that is here serves whatever its ends. To buy there are only those that end in a thread,
    on a coned nose or on a smaller thread; a chuck whose plate can be changed needs none.
    """
    here = bench.carrying("backplate", nose, mount)
    mine, its = bench.standards.noses.get(nose), bench.standards.noses.get(mount)
    step = bench.standards.rule("nose-adapter-step-mm")
    if here is None and not (to_buy and mine and its and _sold(mine, its, step)):
        return None
    return Adapter(
        f"nose-adapter:{nose}-{mount}",
        bench.serving_as("backplate", here),
        because("adapter-nose", nose=nose, mount=mount),
        mount=nose,
        already_here=here is not None,
        hours=bench.standards.rule("nose-adapter-hours"),
        loss=length(bench.standards.rule("nose-adapter-overhang-mm")),
        cautions=("long-reach", "screwed-nose-reverse"),
    )


def _sold(mine: Nose, its: Nose, step: float) -> bool:
    if its.system != "screwed" or its.major_mm is None:
        return False
    across = mine.major_mm or mine.gauge_mm
    return across is not None and (mine.system != "screwed" or its.major_mm > across + step)


def _carried(fit: Fit, piece: Piece, nose: str, bench: Bench) -> Fit:
    """Warn of a chuck heavier than a nose of that size usually carries."""
    size, most = known_mm(piece.size), _carries_mm(nose, bench)
    if size is None or most is None or size <= most * bench.standards.rule("nose-carries-over"):
        return fit
    reason = because("heavy-for-nose", size=piece.size, nose=nose, most=length(most))
    return with_cautions(fit, ("heavy-chuck",), reason)


def _carries_mm(nose: str, bench: Bench) -> float | None:
    row = bench.standards.noses.get(nose)
    if row is None:
        return None
    across = row.gauge_mm or row.major_mm or 0.0
    for rule in ("small", "4", "6"):
        if across <= bench.standards.rule(f"nose-{rule}-to-mm"):
            return bench.standards.rule(f"nose-carries-{rule}-mm")
    return None


def _past_swing(piece: Piece, kind: Kind, bench: Bench) -> Fit | None:
    """Return the misfit of a body larger than the swing: it does not turn, whatever holds it."""
    size, swing = known_mm(piece.size), known_mm(bench.machine.swing)
    if size is None or swing is None or not kind.spins or size <= swing:
        return None
    return misfit(because("past-swing", size=length(size), swing=length(swing)))


def _near_swing(fit: Fit, piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Warn of a body near the swing: it turns with its jaws in, and is turned by hand first."""
    size, swing = known_mm(piece.size), known_mm(bench.machine.swing)
    if size is None or swing is None or not kind.spins:
        return fit
    shown = {"size": length(size), "swing": length(swing)}
    fit = _over_cross_slide(fit, size, bench)
    rule = bench.standards.rule
    clearances = rule("near-swing-clearances-plate" if kind.plate else "near-swing-clearances")
    if size > swing - rule("bed-clearance-mm") * clearances:
        return with_cautions(fit, ("chuck-past-swing",), because("near-swing", **shown))
    share = "scroll-chuck-of-swing" if kind.self_centring else "independent-chuck-of-swing"
    if not kind.plate and size > swing * rule(share) * rule("large-for-swing-over"):
        return with_cautions(fit, (), because("large-for-swing", **shown))
    return fit


def _over_cross_slide(fit: Fit, size: float, bench: Bench) -> Fit:
    """Say where a body turns over the bed but not over the cross slide."""
    cross = known_mm(bench.machine.swing_over_cross_slide)
    if cross is None or size <= cross:
        return fit
    reason = because("over-cross-slide", size=length(size), cross=length(cross))
    return with_cautions(fit, ("chuck-past-swing",), reason)


def shank_or_nose(piece: Piece, bench: Bench) -> str | None:
    """Return the end of a collet chuck that goes to the machine, when its text says so."""
    return next(
        (
            end
            for end in ends(piece)
            if end in bench.standards.noses or end in bench.standards.cones
        ),
        None,
    )
