"""The whole set-up as one file for people to read and edit: its format, reading, writing and importing."""
