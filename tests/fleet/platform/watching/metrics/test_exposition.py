"""The page as another program's parser reads it (the `prometheus-client` package)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from prometheus_client.parser import text_string_to_metric_families as parsed

from fleet.platform.watching.metrics import exposition
from fleet.platform.watching.metrics.exposition import MetricFamily, Sample

WORDS = st.text(st.characters(codec="utf-8", exclude_characters="\r"), max_size=30)
NUMBERS = st.floats(allow_nan=False) | st.integers(-(10**9), 10**9)


def read_back(*families):
    return list(parsed(exposition.text(families=families)))


@given(
    samples=st.dictionaries(st.tuples(WORDS, WORDS), NUMBERS, max_size=4),
    kind=st.sampled_from(["gauge", "counter"]),
)
def test_what_is_written_is_read_back(samples, kind):
    name = "ropeseat_jobs_total" if kind == "counter" else "ropeseat_jobs"
    written = MetricFamily(
        name=name,
        meaning="Jobs.",
        kind=kind,
        samples=tuple(
            Sample(value=value, labels={"kind": first, "state": second})
            for (first, second), value in samples.items()
        ),
    )

    (found,) = read_back(written)

    assert (found.type, found.documentation) == (kind, "Jobs.")
    assert {
        (one.labels["kind"], one.labels["state"]): one.value for one in found.samples
    } == samples


@given(meaning=st.text(st.characters(codec="ascii", min_codepoint=32), min_size=1))
def test_a_meaning_stays_on_its_line(meaning):
    (found,) = read_back(
        MetricFamily(name="a", meaning=f"a{meaning}\nb 1", samples=(Sample(value=2),))
    )

    assert [one.value for one in found.samples] == [2]
    assert found.documentation == f"a{meaning}\nb 1"


def test_odd_numbers_have_their_words():
    values = (math.inf, -math.inf, math.nan)
    (found,) = read_back(
        MetricFamily(
            name="a", meaning="m", samples=tuple(Sample(value=v) for v in values)
        )
    )

    assert [repr(one.value) for one in found.samples] == ["inf", "-inf", "nan"]


@pytest.mark.parametrize("name", ["", "a b", "1a", "ä", 'a"', "Jobs"])
def test_an_odd_name_is_refused(name):
    family = MetricFamily(name=name, meaning="m", samples=())
    labelled = MetricFamily(
        name="a", meaning="m", samples=(Sample(value=1, labels={name: "x"}),)
    )

    for odd in (family, labelled):
        with pytest.raises(ValueError, match="name is"):
            exposition.text(families=[odd])


def test_a_family_without_samples_is_named_all_the_same():
    (found,) = read_back(MetricFamily(name="a", meaning="none yet", samples=()))

    assert found.samples == []
