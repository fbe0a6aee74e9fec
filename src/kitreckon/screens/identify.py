"""Naming an unmarked taper, thread, nose, socket or collet from what was measured."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, ClassVar

from textual.binding import BindingType

from kitreckon import fitting
from kitreckon.errors import KitreckonError
from kitreckon.fitting.model import Candidate, Identification
from kitreckon.quantities import read_count, read_length
from kitreckon.reasons import because
from kitreckon.screens.facts import Fact, FactsPage
from kitreckon.screens.figures import percent
from kitreckon.screens.keys import bindings_of
from kitreckon.screens.widgets.ruled_list import Row
from kitreckon.screens.widgets.text_block import Paragraph

# what is measured of each sort, and which of it must be there before anything can be said
MEASURES: dict[str, tuple[str, ...]] = {
    "taper": ("large", "small", "distance"),
    "thread": ("diameter", "pitch"),
    "nose": ("studs", "register", "bolt_circle", "nose_thread", "nose_pitch"),
    "socket": ("wide", "wide_depth", "narrow", "narrow_depth"),
    "collet": ("body", "collet_thread", "collet_pitch", "length"),
}
PITCHES = {"pitch", "nose_pitch", "collet_pitch"}


class IdentifyPage(FactsPage):
    """Rows of measures by sort; what it may be stands under the sort in hand."""

    page = "identify"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("identify")]

    @property
    def measured(self) -> dict[str, Any]:
        """What was measured so far; kept while the program runs."""
        return self.session.measured

    def facts(self) -> Sequence[Fact]:
        """Return every measure."""
        return [self._fact(name, sort) for sort, names in MEASURES.items() for name in names]

    def _fact(self, name: str, sort: str) -> Fact:
        if name == "studs":
            return Fact(name, sort, read_count, str)
        if name in PITCHES:
            return Fact(name, sort, self._pitch, lambda value: str(value[1]))
        units = self.session.preferences.units
        return Fact(name, sort, lambda text: read_length(text, units), self.session.length)

    @staticmethod
    def _pitch(text: str) -> tuple[float, str]:
        return fitting.read_pitch(text), text

    def value(self, fact: Fact) -> Any:
        """Return what was measured."""
        return self.measured.get(fact.id)

    def set_value(self, fact: Fact, value: Any) -> None:
        """Keep a measure."""
        if value is None:
            self.measured.pop(fact.id, None)
        else:
            self.measured[fact.id] = value
        self.show_all()

    def rows(self) -> Sequence[Row]:
        """Return the measures, and under each sort what it may be."""
        drawn: list[Row] = []
        sort = ""
        for row in super().rows():
            if row.sort == "heading":
                drawn += self._candidates(sort)
                sort = row.id.partition(":")[2]
            drawn.append(row)
        return [*drawn, *self._candidates(sort)]

    def _candidates(self, sort: str) -> list[Row]:
        try:
            found = self.identified(sort)
        except KitreckonError as error:
            return [Row(f"error:{sort}", (str(error), ""), "alarm", "note", stop=True)]
        if found is None:
            return []
        rows = [self._candidate(sort, each) for each in found.candidates[:6]]
        none = because("screen-none-of-these", percent=percent(found.none_probability))
        rows.append(Row(f"none:{sort}", (self.say(none), ""), "faint", "note"))
        if found.measure_next is not None:
            told = f"{self.label('measure-next')}: {self.say(found.measure_next)}"
            rows.append(Row(f"next:{sort}", (told, ""), "strong", "note", stop=True))
        return rows

    def _candidate(self, sort: str, candidate: Candidate) -> Row:
        likely = because("screen-probability", percent=percent(candidate.probability))
        return Row(
            f"may:{sort}:{candidate.name}",
            (f"  = {candidate.name}  {candidate.system}", self.say(likely)),
            "strong",
        )

    def identified(self, sort: str) -> Identification | None:
        """Return what the measures of a sort may be; None until enough was measured."""
        names = MEASURES.get(sort, ())
        known = {name: self._figure(name) for name in names if name in self.measured}
        ask = _ASK.get(sort)
        return ask(self, known) if ask and known else None

    def _figure(self, name: str) -> Any:
        value = self.measured[name]
        if name == "studs":
            return value
        return value[0] if name in PITCHES else value.mm

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return how to measure, or what is known of a candidate."""
        if not row_id.startswith("may:"):
            return super().detail(row_id)
        _, sort, name = row_id.split(":", 2)
        found = self.identified(sort)
        each = next((c for c in found.candidates if c.name == name), None) if found else None
        if each is None:
            return ()
        told = [Paragraph(f"{each.name}, {each.system}", self._off_by(each))]
        told += [Paragraph("", self.say(note)) for note in each.notes]
        if each.together:
            told.append(Paragraph(self.label("same-cone"), ", ".join(each.together)))
        return told

    def _off_by(self, each: Candidate) -> str:
        """Return how far what was measured is off; nothing where nothing can be compared."""
        if each.in_limits:
            return self.say(because("in-limits"))
        if each.error_mm is None:
            return ""
        return self.say(because("screen-off-by", error=self.session.length_mm(each.error_mm)))


Ask = Callable[[IdentifyPage, dict[str, Any]], "Identification | None"]


def _of_all(sort: str, identify: Callable[..., Identification]) -> Ask:
    """Return what asks once every measure of a sort is there, in the order of the sort."""

    def ask(page: IdentifyPage, known: dict[str, Any]) -> Identification | None:
        names, preferences = MEASURES[sort], page.session.preferences
        if len(known) < len(names):
            return None
        return identify(
            page.session.catalogue.standards,
            *(known[name] for name in names),
            sd_diameter_mm=preferences.sd_diameter_mm,
            sd_length_mm=preferences.sd_length_mm,
        )

    return ask


def _thread(page: IdentifyPage, known: dict[str, Any]) -> Identification | None:
    if "diameter" not in known:
        return None
    tables, sd = page.session.catalogue.standards, page.session.preferences.sd_diameter_mm
    return fitting.identify_thread(tables, known["diameter"], known.get("pitch"), sd_diameter_mm=sd)


def _nose(page: IdentifyPage, known: dict[str, Any]) -> Identification | None:
    return fitting.identify_nose(
        page.session.catalogue.standards,
        studs=known.get("studs"),
        register_mm=known.get("register"),
        bolt_circle_mm=known.get("bolt_circle"),
        thread_mm=known.get("nose_thread"),
        pitch_mm=known.get("nose_pitch"),
        sd_diameter_mm=page.session.preferences.sd_diameter_mm,
    )


def _collet(page: IdentifyPage, known: dict[str, Any]) -> Identification | None:
    return fitting.identify_collet(
        page.session.catalogue.standards,
        body_mm=known.get("body"),
        thread_mm=known.get("collet_thread"),
        pitch_mm=known.get("collet_pitch"),
        length_mm=known.get("length"),
        sd_length_mm=page.session.preferences.sd_length_mm,
    )


_ASK: dict[str, Ask] = {
    "taper": _of_all("taper", fitting.identify_taper),
    "thread": _thread,
    "nose": _nose,
    "socket": _of_all("socket", fitting.identify_socket),
    "collet": _collet,
}
