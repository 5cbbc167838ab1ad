"""The machine's history and knowledge in one SQLite file: pours, traces, the chained journal, set-up."""
