"""Mentions to game trees: what was played, what was only considered, and from where."""

from sync.follow.fixes import Fix
from sync.follow.follow import follow

__all__ = ["Fix", "follow"]
