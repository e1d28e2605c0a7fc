"""What every test shares: nothing but where the sample media are."""

from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def sample_media() -> Path:
    return REPOSITORY / "sample_media"
