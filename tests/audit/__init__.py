"""Statistics against scipy, statsmodels and lifelines, and against worked values."""
