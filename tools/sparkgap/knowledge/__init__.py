"""The knowledge model: reading, schema, cross-links, rules."""
from .model import Knowledge  # noqa: F401
