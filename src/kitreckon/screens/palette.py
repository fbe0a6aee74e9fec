"""The palette: every page and every action by name, for when a key does not get through."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from textual.app import SystemCommand
from textual.screen import Screen

from kitreckon.screens.keys import PAGES, keys_of

if TYPE_CHECKING:
    from kitreckon.screens.app import KitreckonApp


# the palette reads its entries as markup: words of a user's own catalogue must not come alive there
WITHOUT_MARKUP = str.maketrans({"[": "(", "]": ")", "\\": "/"})


ALSO_CALLED = {"take-back", "again", "money", "leave", "save"}  # names others look for


def commands(app: KitreckonApp, screen: Screen[object]) -> Iterable[SystemCommand]:
    """Return an entry for each page, and for each key the page in front knows."""

    def say(name: str) -> str:
        return app.session.label(name).translate(WITHOUT_MARKUP)

    for each in PAGES:
        page = each.page
        yield SystemCommand(say(f"page.{page}"), say(f"{page}.says"), _opens(app, page))
    for key in keys_of(getattr(screen, "page", "")):
        if key.id != "palette":
            name, told = say(f"key.{key.id}"), say(f"key.{key.id}.long")
            if key.id in ALSO_CALLED:
                name = f"{name} ({say(f'key.{key.id}.also')})"
            yield SystemCommand(name, told, _runs(app, key.action))


def _opens(app: KitreckonApp, page: str) -> Callable[[], None]:
    return lambda: app.open_page(page)


def _runs(app: KitreckonApp, action: str) -> Callable[[], None]:
    async def run_it() -> None:
        await app.screen.run_action(action)

    return lambda: app.call_next(run_it)
