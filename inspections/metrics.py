"""Which methods are at work: versions of the kernels' and the forecasts' rules."""

from collections.abc import Iterator
from datetime import datetime

from fleet.platform.watching.metrics.exposition import Family, Sample
from inspections import versions as rooms


def families(*, now: datetime) -> Iterator[Family]:
    """Return the versions that are stored with each assessment and forecast."""
    versions = {
        "assessment": str(rooms.JUDGING),
        "forecast": str(rooms.FORECASTING),
        "options": str(rooms.DECIDING),
    }
    yield Family(
        name="ropeseat_method_info",
        meaning="Always 1; the version of each method is in the labels.",
        samples=tuple(
            Sample(value=1, labels={"method": method, "version": version})
            for method, version in versions.items()
        ),
    )
