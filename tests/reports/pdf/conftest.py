"""The sample documents, drawn once for all tests that only look at them."""

import pytest

from reports.pdf import document
from tests.reports import sample_content


@pytest.fixture(scope="package")
def drawn():
    return document.draw(document=sample_content.report())
