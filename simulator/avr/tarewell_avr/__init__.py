"""The real firmware, run instruction by instruction in the simulated board's place; a test tool."""
