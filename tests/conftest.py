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
# For tests.fuzzers: examples that follow the seed of the run.
settings.register_profile(
    "drawn",
    deadline=None,
    derandomize=False,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
    print_blob=True,
)

pytest_plugins = ("tests.browser.fixtures",)
