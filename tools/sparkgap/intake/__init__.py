"""From the owner's words to danger, symptoms and facts."""

from .index import build_index
from .rank import intake

__all__ = ["build_index", "intake"]
