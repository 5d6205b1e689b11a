"""A scored study as one offline page: what to build next, and why."""
