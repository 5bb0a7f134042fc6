"""Sparkgap: a repair knowledge base with executable checks for the appliances of recreational vehicles."""

__version__ = "0.1.0"
