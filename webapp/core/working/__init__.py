"""The working of a plan, step by step, made by the plan's own calls."""
