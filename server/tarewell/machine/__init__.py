"""The machine: one pure object that is told all that happens and says what to do."""
