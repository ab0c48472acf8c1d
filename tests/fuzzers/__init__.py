"""The property tests with other examples each time, for as long as one likes."""
