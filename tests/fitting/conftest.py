"""The catalogue as it stands, opened once for these tests."""

from __future__ import annotations

import pytest
from hypothesis import settings

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.standards import Standards

# The first example loads tables; a shared machine is slow at times.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return open_catalogue()


@pytest.fixture(scope="session")
def standards(catalogue: Catalogue) -> Standards:
    return catalogue.standards
