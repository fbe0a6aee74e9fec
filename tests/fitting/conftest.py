"""The catalogue as it stands, opened once for these tests."""

from __future__ import annotations

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.standards import Standards


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return open_catalogue()


@pytest.fixture(scope="session")
def standards(catalogue: Catalogue) -> Standards:
    return catalogue.standards
