"""The material that is tampered with, made once."""

from __future__ import annotations

import pytest

from tests.conftest import Shelf
from tests.promise.material import Material


@pytest.fixture(scope="session")
def material(shelf: Shelf) -> Material:
    return Material(shelf)
