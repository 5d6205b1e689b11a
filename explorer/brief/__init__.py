"""What the maker wrote: schema, stock, hand geometry; errors that name line and field."""
