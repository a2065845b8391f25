"""Lesson scripts: read, checked, spoken, and turned into the true game (docs/lesson-scripts.md)."""
