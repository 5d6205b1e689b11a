"""Design drives that split a wrist's pull between the fingers of a partial hand."""

__version__ = "0.1.0"
