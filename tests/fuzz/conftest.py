"""Every fuzzing test is counted: the number of inputs it tried goes into its report."""

import pytest

from tests.fuzz import mutations


@pytest.fixture(autouse=True)
def counted(record_property):
    """The mutated inputs of one test."""
    before = mutations.tried.number
    yield
    record_property("mutated", mutations.tried.number - before)
