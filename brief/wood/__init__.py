"""Facts about materials that do not come from the maker's own measuring."""

from brief.wood.cautions import cautions

__all__ = ["cautions"]
