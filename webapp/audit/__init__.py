"""Statistics over many eyes, on the core's distribution functions; standard library only.

Each file answers one question of an audit. No web, no store, and no numerical package at run time:
scipy, statsmodels and lifelines judge these numbers in the tests.
"""
