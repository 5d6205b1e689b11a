"""Parameter vectors, evolution on arrays, archives and their measure; knows arrays, not hands."""
