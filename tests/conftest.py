"""What all tests share: examples of a property take the time they take, since the machine is shared as well."""

from hypothesis import settings

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
