"""Which methods are at work: versions of the kernels' and the forecasts' rules."""

from collections.abc import Iterator
from datetime import datetime

from fleet.metrics.exposition import Family, Sample
from inspections.assessment.assess import KERNEL_VERSION
from inspections.forecasts.knowledge import MODEL_VERSION


def families(*, now: datetime) -> Iterator[Family]:
    """Return the versions that are stored with each assessment and forecast."""
    versions = {"assessment": KERNEL_VERSION, "forecast": MODEL_VERSION}
    yield Family(
        name="ropeseat_method_info",
        meaning="Always 1; the version of each method is in the labels.",
        samples=tuple(
            Sample(value=1, labels={"method": method, "version": version})
            for method, version in versions.items()
        ),
    )
