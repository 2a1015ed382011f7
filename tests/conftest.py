"""One profile for all property tests: shared cores are too noisy for deadlines."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile(
    "shared cores", deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)
settings.load_profile("shared cores")
