"""What the whole suite shares: how property tests draw examples, and what browser tests need."""

from hypothesis import HealthCheck, settings

# The same examples in each run, and no clock in a verdict: a busy machine is not a failure.
settings.register_profile(
    "repeatable",
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("repeatable")

pytest_plugins = ("tests.browser.fixtures",)
