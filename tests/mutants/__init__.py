"""Mutation testing: small faults put into the formulas, to see whether a module's own tests notice."""
