"""Photos of visits: looked at by their content, made clean, stored under our names."""

from inspections.photos.cleaning import MEDIA_TYPES, NotAPhoto, TooManyPixels, clean
from inspections.photos.keeping import KeptPhoto, TooManyPhotos, bytes_kept, keep
from inspections.photos.shrinking import SmallPhoto, small

__all__ = [
    "MEDIA_TYPES",
    "KeptPhoto",
    "NotAPhoto",
    "SmallPhoto",
    "TooManyPhotos",
    "TooManyPixels",
    "bytes_kept",
    "clean",
    "keep",
    "small",
]
