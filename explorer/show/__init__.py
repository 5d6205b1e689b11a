"""A scored drive -> text and JSON for the terminal."""
