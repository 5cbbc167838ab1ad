"""Without make and a C compiler everything here is left out."""

import pytest

from firmware_host import library


@pytest.fixture(autouse=True, scope="session")
def built() -> None:
    """Builds the library once, or says in one line why it cannot."""
    library()
