"""Measurements, run by hand: rates as ratios, and a simple search that finds feasible drives."""
