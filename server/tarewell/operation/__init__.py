"""One machine in operation: the board's link, the scale, the pour under way and the records."""
