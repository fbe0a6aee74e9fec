"""Every word on the screens stands in the catalogue of words, in both sets."""

from __future__ import annotations

import re
from pathlib import Path

import kitreckon.screens
from builders import the_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import CONDITIONS, Preferences
from kitreckon.screens.identify import MEASURES
from kitreckon.screens.keys import KEYS, PAGES, as_markdown, empty_line_key, keys_of
from kitreckon.screens.session import Session
from kitreckon.screens.settings import GROUPS

SOURCES = sorted(Path(kitreckon.screens.__file__).parent.rglob("*.py"))
LABEL = re.compile(r'\blabel\(\s*"([a-z0-9_.:-]+)"')
SENTENCE = re.compile(r'"(screen-[a-z-]+)"')


def known() -> set[str]:
    return {name.removeprefix("screen.") for name in the_catalogue().words.labels}


def test_every_label_a_screen_names_exists() -> None:
    named = {label for path in SOURCES for label in LABEL.findall(path.read_text("utf-8"))}
    assert len(named) > 100
    assert named - known() == set()


def test_every_sentence_a_screen_names_exists() -> None:
    named = {each for path in SOURCES for each in SENTENCE.findall(path.read_text("utf-8"))}
    assert len(named) > 40
    assert named - set(the_catalogue().words.sentences) == set()


def test_every_key_page_and_fact_has_its_words() -> None:
    wanted = {f"key.{key.id}{more}" for key in KEYS for more in ("", ".long")}
    wanted |= {f"page.{each.page}" for each in PAGES}
    wanted |= {f"{each.page}.{word}" for each in PAGES for word in ("says", "empty")}
    wanted |= {f"help.{each.page}" for each in PAGES}
    facts = [name for names in (*MEASURES.values(), *GROUPS.values()) for name in names]
    wanted |= {f"fact.{name}{more}" for name in facts for more in ("", ".says")}
    wanted |= {f"group.{name}" for name in (*MEASURES, *GROUPS)}
    wanted |= {f"kinds.{kind.group}" for kind in the_catalogue().kinds.values()}
    features = {f for outfit in the_catalogue().outfits.values() for f in outfit.features}
    wanted |= {f"feature.{name}" for name in features} | {f"fact.{name}.says" for name in features}
    assert wanted - known() == set()


def test_conditions_have_names() -> None:
    words = the_catalogue().words
    assert all(f"condition.{each}" in words.labels for each in CONDITIONS)


def test_no_two_keys_of_a_page_are_the_same() -> None:
    for each in PAGES:
        for line in ("any", "empty"):
            pressed = [name for key in keys_of(each.page) if key.line == line for name in key.keys]
            assert len(pressed) == len(set(pressed)), each.page


def test_no_key_is_one_that_terminals_swallow() -> None:
    swallowed = {"ctrl+i", "ctrl+m", "ctrl+h", "ctrl+j", "ctrl+b", "ctrl+a", "ctrl+c", "f10", "f11"}
    assert swallowed.isdisjoint(name for key in KEYS for name in key.keys)


def test_each_page_has_a_letter_of_its_own() -> None:
    assert len({each.letter for each in PAGES}) == len(PAGES)


def test_space_on_the_empty_line_marks_one_here() -> None:
    key = empty_line_key("count", "space")
    assert key is not None
    assert key.id == "here"


def test_the_list_of_keys_for_the_readme_names_every_key() -> None:
    words, style = the_catalogue().words, Style.of(Preferences())
    listed = as_markdown(lambda name: words.label(f"screen.{name}", style))
    assert all(f"`{key.shown}`" in listed for key in KEYS)
    assert "looked, and none here" in listed


def test_british_words_are_shown_where_they_are_chosen(book: object) -> None:
    session = Session(book, the_catalogue())  # type: ignore[arg-type]
    session._preferences = Preferences(words="british")
    assert session.label("fact.between_centres") == "between centres"
    session._preferences = Preferences(words="american")
    assert session.label("fact.between_centres") == "between centers"
