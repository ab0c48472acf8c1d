"""What the other Python answers a line with: the door itself."""

from webapp.core.door import call

__all__ = ["call"]
