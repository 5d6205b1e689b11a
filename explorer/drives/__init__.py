"""One file per family and per second stage: variables, motion, loads, parts, outlines."""
