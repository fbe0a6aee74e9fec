"""Opening the catalogue: our files in the package, a user's folder laid over entry by entry.

The only module of the room that reads files. Each subject is read when it is first asked for. A
bad entry is left out with its reason in ``problems``; it never stops the program.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from kitreckon.catalogue import reading_rules, subjects, yaml_text
from kitreckon.catalogue.model import Catalogue, Chances, Judgement, Shares
from kitreckon.catalogue.shapes import WRONG, At, MapOf, Text, nearest
from kitreckon.catalogue.words import Caution, Said, Words
from kitreckon.errors import KitreckonError, Problem

# where each subject of the catalogue stands in a catalogue folder
_FILES = {
    "kinds": ("kinds/*.yaml",),
    "prices": ("prices/*.yaml",),
    "outfit": ("outfits/*.yaml",),
    "standard": ("standards/*.yaml",),
    "findings": ("findings.yaml",),
    "shares": ("shares.yaml",),
    "chances": ("chances.yaml",),
    "judgement": ("judgement.yaml",),
    "reading": ("reading.yaml", "absence.yaml"),
    "words": ("words/{language}/*.yaml",),
    "kind-words": ("words/{language}/kinds.yaml",),
}
_SHARE_A_FOLDER = {"words", "kind-words"}

_ENTRY_SUBJECTS = frozenset({"kinds", "prices", "findings"})  # laid over entry by entry


def catalogue_folder() -> Path:
    """Return our own catalogue: beside the package in a wheel, at the top in a checkout."""
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "catalogs", package.parents[1] / "catalogs"):
        if folder.is_dir():
            return folder
    raise KitreckonError(
        "the catalogue that comes with kitreckon is missing",
        where=str(package),
        want="install kitreckon again",
    )


class OpenCatalogue(Catalogue):
    """A catalogue read from folders, the first laid under the later ones."""

    def __init__(self, folders: Sequence[Path], language: str = "en") -> None:
        super().__init__(self._read)
        self.folders = tuple(folders)
        self.language = language
        self._problems: list[Problem] = []

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What was wrong in the files of the subjects read so far."""
        return tuple(dict.fromkeys(self._problems))

    def _read(self, subject: str) -> Any:
        readers: dict[str, Callable[[], Any]] = {
            "kinds": self._kinds,
            "prices": self._prices,
            "outfits": self._outfits,
            "findings": self._findings,
            "shares": self._shares,
            "chances": self._chances,
            "judgement": self._judgement,
            "standards": self._standards,
            "words": self._words,
            "rules": self._rules,
        }
        return readers[subject]()

    def _documents(self, subject: str, language: str = "en") -> Iterable[yaml_text.Mapping]:
        for folder in self.folders:
            for pattern in _FILES[subject]:
                for path in sorted(folder.glob(pattern.format(language=language))):
                    document = _document(path, self._problems)
                    if document is None:
                        continue
                    found = _subject(document)
                    if found == subject:
                        yield document
                    elif not {found, subject} <= _SHARE_A_FOLDER:
                        self._problems.append(_subject_problem(document, (subject,)))

    def _entries(
        self, subject: str, key: str, told_by: str = ""
    ) -> dict[str, tuple[Any, yaml_text.Mapping]]:
        """Return each entry's value and its document, overlay applied.

        The document is the first that has the entry, or the last that gives ``told_by`` in it.
        """
        nodes: dict[str, yaml_text.Node] = {}
        homes: dict[str, yaml_text.Mapping] = {}
        for document in self._documents(subject):
            _check_head(subject, document, key, self._problems)
            group = document.entries.get(key)
            if not isinstance(group, yaml_text.Mapping):
                if group is not None:
                    MapOf(Text()).read(group, At(self._problems, key))
                continue
            for name, node in group.entries.items():
                if subjects.ID.read(group.keys[name], At(self._problems, key)) is WRONG:
                    continue
                nodes[name] = _laid_over(nodes.get(name), node)
                if name not in homes or told_by in getattr(node, "entries", ()):
                    homes[name] = document
        shape = subjects.entry_shape(subject)
        values = {
            name: shape.read(node, At(self._problems, f"{key}.{name}"))
            for name, node in nodes.items()
        }
        return {name: (value, homes[name]) for name, value in values.items() if value is not WRONG}

    def laid_under(self, document: yaml_text.Mapping, subject: str) -> yaml_text.Mapping:
        """Return a file of entries as it will be read: each with ours of its name beneath it."""
        group = document.entries.get(subject)
        if subject not in _ENTRY_SUBJECTS or not isinstance(group, yaml_text.Mapping):
            return document
        entries = dict(group.entries)
        for ours in self._documents(subject):
            beneath = ours.entries.get(subject)
            for name, node in (
                beneath.entries.items() if isinstance(beneath, yaml_text.Mapping) else ()
            ):
                if name in group.entries:
                    entries[name] = _laid_over(node, group.entries[name])
        whole = replace(group, entries=entries)
        return replace(document, entries={**document.entries, subject: whole})

    def _kinds(self) -> Any:
        foreign = self._kind_words() if self.language != "en" else {}
        return {
            name: replace(
                kind,
                id=name,
                group=_text(home, "group"),
                foreign=((self.language, foreign[name]),) if foreign.get(name) else (),
            )
            for name, (kind, home) in self._entries("kinds", "kinds").items()
        }

    def _kind_words(self) -> dict[str, tuple[str, ...]]:
        words: dict[str, tuple[str, ...]] = {}
        for document in self._documents("kind-words", self.language):
            value = subjects.FILES["kind-words"].read(document, At(self._problems))
            words |= {} if value is WRONG else value["kinds"]
        return words

    def _prices(self) -> Any:
        return {
            name: replace(
                table,
                kind=name,
                currency=_text(home, "currency"),
                points=tuple(
                    replace(point, source=_source(home, point.source)) for point in table.points
                ),
            )
            for name, (table, home) in self._entries("prices", "prices", "points").items()
        }

    def _outfits(self) -> Any:
        shape = subjects.entry_shape("outfit")
        outfits = {}
        for document in self._documents("outfit"):
            entries = {
                name: node
                for name, node in document.entries.items()
                if name not in {"format", "subject", "sources"}
            }
            body = yaml_text.Mapping(
                document.file, document.line, document.column, entries, document.keys
            )
            outfit = shape.read(body, At(self._problems))
            if outfit is not WRONG:
                wants = tuple(
                    replace(want, sources=tuple(_source(document, s) for s in want.sources))
                    for want in outfit.wants
                )
                outfits[outfit.machine_class] = replace(outfit, wants=wants)
        return outfits

    def _findings(self) -> Any:
        return {
            name: replace(rule, id=name)
            for name, (rule, _) in self._entries("findings", "findings").items()
        }

    def _one(self, subject: str) -> list[Any]:
        values = [
            subjects.FILES[subject].read(document, At(self._problems))
            for document in self._documents(subject)
        ]
        return [value for value in values if value is not WRONG]

    def _shares(self) -> Shares:
        merged: dict[str, Any] = {"resale": {}, "service": {}}
        for value in self._one("shares"):
            for name, part in value.items():
                merged[name] = {**merged.get(name, {}), **part} if isinstance(part, dict) else part
        merged.pop("format", None)
        merged.pop("subject", None)
        postage = sorted((float(kg), amount) for kg, amount in merged.pop("postage", {}).items())
        return Shares(postage=tuple(postage), **merged)

    def _chances(self) -> Chances:
        conditions: dict[str, Any] = {}
        source = ""
        for value in self._one("chances"):
            conditions |= value["conditions"]
            source = value.get("source", source)
        return Chances(conditions, source)

    def _judgement(self) -> Judgement:
        figures: dict[str, Any] = {}
        minutes: dict[str, float] = {}
        for value in self._one("judgement"):
            figures |= value.get("judgement", {})
            minutes |= value.get("minutes", {})
        return Judgement(minutes=minutes, **figures)

    def _standards(self) -> Any:
        from kitreckon.standards import read_standards

        documents = {document.file: document for document in self._documents("standard")}

        def wrong(file: str, path: tuple[str, ...], error: KitreckonError) -> None:
            node = _deepest(documents[file], path)
            remedy = error.want or "see the rows of our own files"
            self._problems.append(Problem(file, node.line, node.column, error.what, remedy))

        plain: dict[str, Any] = {
            file: yaml_text.plain_data(document) for file, document in documents.items()
        }
        return read_standards(plain, wrong)

    def _rules(self) -> Any:
        rules: dict[str, Any] = {}
        for value in self._one("reading"):
            rules = reading_rules.laid_over(rules, value.get("rules", {}))
            rules = reading_rules.left_out(rules, value.get("leave_out", {}))
        return rules

    def _words(self) -> Words:
        sentences: dict[str, Said] = {}
        labels: dict[str, Said] = {}
        cautions: dict[str, Caution] = {}
        spellings: dict[str, str] = {}
        for language in dict.fromkeys(("en", self.language)):
            for document in self._documents("words", language):
                value = subjects.FILES["words"].read(document, At(self._problems))
                if value is WRONG:
                    continue
                sentences |= _said_all(value.get("sentences", {}))
                labels |= _said_all(value.get("labels", {}))
                spellings |= value.get("spellings", {})
                cautions |= {
                    name: Caution(_said(caution["text"]), caution.get("source", ""))
                    for name, caution in value.get("cautions", {}).items()
                }
        kinds, findings = _Later(lambda: self.kinds), _Later(lambda: self.findings)
        outfits = _Later(lambda: self.outfits)
        return Words(sentences, labels, cautions, kinds, findings, spellings, outfits)


class _Later(Mapping[str, Any]):
    """A mapping that is read when first asked: most labels are shown before any kind is named."""

    def __init__(self, read: Callable[[], Mapping[str, Any]]) -> None:
        self._read = read

    def __getitem__(self, key: str) -> Any:
        return self._read()[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._read())

    def __len__(self) -> int:
        return len(self._read())


def open_catalogue(folders: Sequence[Path] = (), language: str = "en") -> OpenCatalogue:
    """Return our catalogue with the user's folders laid over it, later ones last."""
    return OpenCatalogue((catalogue_folder(), *folders), language)


def check_file(path: Path, base: OpenCatalogue | None = None) -> list[Problem]:
    """Return everything wrong in one catalogue file.

    base: the catalogue it will lie over; what an entry of it leaves out is then not missing.
    """
    problems: list[Problem] = []
    document = _document(path, problems)
    if document is None:
        return problems
    subject = _subject(document)
    if subject not in subjects.FILES:
        problems.append(_subject_problem(document, tuple(subjects.FILES)))
        return problems
    if base is not None:
        document = base.laid_under(document, subject)
    subjects.FILES[subject].read(document, At(problems))
    return problems


def _document(path: Path, problems: list[Problem]) -> yaml_text.Mapping | None:
    remedy = "check the name and the rights of the file"
    try:
        if path.exists() and not path.is_file():  # a pipe would be waited for without end
            problems.append(Problem(str(path), 0, 0, "not an ordinary file", remedy))
            return None
        with path.open("rb") as stream:
            data = stream.read(yaml_text.MOST_BYTES + 1)
    except OSError as error:
        problems.append(Problem(str(path), 0, 0, error.strerror or "cannot be read", remedy))
        return None
    document, found = yaml_text.parse(data, str(path))
    problems.extend(found)
    return document


def _subject(document: yaml_text.Mapping) -> str:
    return _text(document, "subject")


def _deepest(node: yaml_text.Node, path: tuple[str, ...]) -> yaml_text.Node:
    """Return the node at a path of keys, or the last one on the way that is there."""
    for key in path:
        if not isinstance(node, yaml_text.Mapping) or key not in node.entries:
            break
        node = node.entries[key]
    return node


def _subject_problem(document: yaml_text.Mapping, allowed: tuple[str, ...]) -> Problem:
    subject = _subject(document)
    node = document.entries.get("subject", document)
    if not subject:
        found = "'subject' is missing"
    else:
        known = subject in subjects.FILES
        found = f"subject {subject!r} in this folder" if known else f"unknown subject {subject!r}"
    return Problem(document.file, node.line, node.column, found, nearest(subject, allowed))


def _source(document: yaml_text.Mapping, source_id: str) -> str:
    """Return what a source id stands for in its file; a text that is none stands for itself."""
    sources = document.entries.get("sources")
    node = sources.entries.get(source_id) if isinstance(sources, yaml_text.Mapping) else None
    return node.text if isinstance(node, yaml_text.Scalar) else source_id


def _text(document: yaml_text.Mapping, name: str) -> str:
    node = document.entries.get(name)
    return node.text if isinstance(node, yaml_text.Scalar) else ""


def _check_head(
    subject: str, document: yaml_text.Mapping, key: str, problems: list[Problem]
) -> None:
    """Check the fields round the entries, which are read apart."""
    shape = subjects.FILES[subject]
    entries = {name: node for name, node in document.entries.items() if name != key}
    head = yaml_text.Mapping(document.file, document.line, document.column, entries, document.keys)
    fields = {name: known for name, known in shape.fields.items() if name != key}
    replace(shape, fields=fields).read(head, At(problems))
    if key not in document.entries:
        problems.append(Problem(document.file, document.line, 1, f"{key!r} is missing", "add it"))


def _laid_over(under: yaml_text.Node | None, over: yaml_text.Node) -> yaml_text.Node:
    """Return an entry with the fields of ``over`` in place of those of ``under``."""
    if not isinstance(under, yaml_text.Mapping) or not isinstance(over, yaml_text.Mapping):
        return over
    return yaml_text.Mapping(
        over.file,
        over.line,
        over.column,
        {**under.entries, **over.entries},
        {**under.keys, **over.keys},
    )


def _said(value: Any) -> Said:
    return Said(value, value) if isinstance(value, str) else Said(**value)


def _said_all(values: dict[str, Any]) -> dict[str, Said]:
    return {name: _said(value) for name, value in values.items()}
