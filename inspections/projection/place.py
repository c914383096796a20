"""Where the answers of a chunk go among those of the fleet."""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Floats, Integers


@dataclass(frozen=True, slots=True, kw_only=True)
class ChunkPlace:
    """Where the answers of a chunk go.

    rows : of the fleet, rising; back : (S,) of the chunk's answers in that order
    """

    rows: slice | Integers
    back: Integers

    @classmethod
    def of(
        cls, *, first: int, after: int, inside: Integers, order: Integers
    ) -> "ChunkPlace":
        """Return the place of series first + inside[order]; inside rises."""
        back = np.empty_like(order)
        back[order] = np.arange(order.size)
        whole = inside.size == after - first
        return cls(rows=slice(first, after) if whole else inside + first, back=back)

    def put(self, column: Floats, values: Floats) -> None:
        """Write answers (S,) or (P, S); gathering is faster than scattering."""
        column[..., self.rows] = values.take(self.back, axis=-1)
