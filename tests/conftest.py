"""Settings that every test shares."""

from hypothesis import settings

# How long one example takes depends on what else the machine is doing, not on the code.
settings.register_profile("liftgeo", deadline=None)
settings.load_profile("liftgeo")
