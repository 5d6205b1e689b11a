"""Brief x drives -> scores, limits in their own units, first-to-give ladder."""
