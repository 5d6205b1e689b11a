"""Tests; `python -m tests` runs them all, with lint, types and import rules."""
