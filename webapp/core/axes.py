"""The angle between two axes; an axis has no direction, so 1 and 180 are neighbours."""


def between_axes(one_deg: int, other_deg: int) -> int:
    """Return the angle [deg] between two axes, 0 to 90."""
    apart = (one_deg - other_deg) % 180
    return min(apart, 180 - apart)
