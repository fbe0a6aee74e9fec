"""Making a page by its name; a page's module is read when it is first opened."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, cast

if TYPE_CHECKING:
    from kitreckon.screens.page import Page
    from kitreckon.screens.session import Session


def make_page(name: str, session: Session) -> Page:
    """Return a new page; one that needs a machine where there is none is the list of machines."""
    cls = _page_class(name)
    if cls.needs_machine and session.machine is None:
        session.problem = session.label("no-machine")
        cls = _page_class("machines")
    return cls()


def _page_class(name: str) -> type[Page]:
    module = import_module(f"kitreckon.screens.{name}")
    return cast("type[Page]", getattr(module, f"{name.capitalize()}Page"))
