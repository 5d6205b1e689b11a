"""The long run: journal, rounds, resume, workers, keepers."""
