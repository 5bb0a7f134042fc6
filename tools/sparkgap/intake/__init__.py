"""From the owner's words to danger, refusals, symptoms and facts."""

from .index import build_index
from .rank import Ranker, intake

__all__ = ["Ranker", "build_index", "intake"]
