import numpy as np
import pytest

from inspections.projection import hierarchy
from inspections.projection.hierarchy import Hierarchy

TREE = Hierarchy(
    epoch_of_series=np.array([0, 0, 1, 2, 2, 3]),
    machine_of_epoch=np.array([0, 0, 1, 2]),
    class_of_machine=np.array([1, 0, 1]),
)


def test_chunks_never_part_a_machine_and_leave_nothing_out():
    runs = list(hierarchy.chunks(hierarchy=TREE, series_per_chunk=4))

    assert runs == [(0, 3), (3, 6)]


def test_machine_larger_than_a_chunk_is_a_chunk_of_its_own():
    runs = list(hierarchy.chunks(hierarchy=TREE, series_per_chunk=1))

    assert runs == [(0, 3), (3, 5), (5, 6)]


def test_chosen_series_keep_their_class_without_gaps():
    part = TREE.select(chosen=np.array([2, 5]))

    assert part.class_of_series.tolist() == [1, 1]
    assert part.epochs == 2
    assert part.machines == 2


@pytest.mark.parametrize(
    ("series", "classes", "words"),
    [
        (5, 2, "epoch_of_series has 6 entries; there are 5 series"),
        (6, 1, "class_of_machine runs from 0 to 1; it must stay in 0 .. 0"),
    ],
)
def test_arrays_that_do_not_fit_are_named(series, classes, words):
    with pytest.raises(ValueError, match=words):
        TREE.check(series_count=series, class_count=classes)
