"""Facts about materials that do not come from the maker's own measuring."""

from brief.wood.cautions import (
    REMINDER,
    cautions,
    finish_cautions,
    laser_cautions,
    part_cautions,
)
from brief.wood.papers import Listing, listing
from brief.wood.table import Stuff
from brief.wood.usual import is_usual

__all__ = [
    "REMINDER",
    "Listing",
    "Stuff",
    "cautions",
    "finish_cautions",
    "is_usual",
    "laser_cautions",
    "listing",
    "part_cautions",
]
