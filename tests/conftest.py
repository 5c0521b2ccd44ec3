"""Settings shared by all tests: hypothesis draws the same examples every time in CI, without deadlines."""

from hypothesis import HealthCheck, settings

settings.register_profile("house", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")
