"""The whole set-up as one file that people read and edit: its form, reading, writing and importing."""
