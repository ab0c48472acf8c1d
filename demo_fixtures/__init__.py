"""Invented people of the invented Tern Islands, at every state, as genuinely signed records."""

from demo_fixtures.loading import load

__all__ = ["load"]
