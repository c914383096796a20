"""What can be done about machines: worked out from their rows, and stored."""

from inspections.options import due
from inspections.options.working_out import (
    CHUNK,
    OF_CHUNK,
    OF_MACHINE,
    order_all,
    recompute,
    recompute_chunk,
)

__all__ = [
    "CHUNK",
    "OF_CHUNK",
    "OF_MACHINE",
    "due",
    "order_all",
    "recompute",
    "recompute_chunk",
]
