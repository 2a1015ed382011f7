"""Property tests here run beside others on slow machines: time is tested where it is the claim."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("no-deadline", deadline=None, max_examples=100)
settings.load_profile("no-deadline")
