"""Pages to print: the plan of an evening and recipe cards, as HTML that needs nothing from elsewhere."""
