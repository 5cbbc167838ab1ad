"""What all tests share: an example of a property takes its time, since the machine is shared as well."""

from hypothesis import settings

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
