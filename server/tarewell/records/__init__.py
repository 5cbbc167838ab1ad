"""What the machine has done and knows, in one SQLite file: pours, traces, the chained journal, set-up."""
