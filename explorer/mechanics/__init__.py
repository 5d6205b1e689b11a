"""Textbook formulas on arrays; knows no hand, no file, no family."""
