"""A coned tyre: on a dished wheel the sole may be square to the spokes, so that one edge runs longer than the other."""

import math


def dish_angle(dish_nm: float, radius_nm: float) -> float:
    """How far the spokes lean out of square to the hub, in radians, by the wheel's dish and its radius."""
    return math.atan2(dish_nm, radius_nm)


def edge_difference_nm(width_nm: float, dish_nm: float, radius_nm: float) -> float:
    """How much longer the back edge of a coned tyre runs than its front edge: 2 π w sin δ.

    The tread is the frustum of a cone square to the spokes (Encyclopaedia Britannica, 9th edition, volume 11,
    GUNNERY), and w is measured along it.
    """
    return math.tau * width_nm * math.sin(dish_angle(dish_nm, radius_nm))


def developed_radius_nm(dish_nm: float, radius_nm: float) -> float:
    """The radius to which flat bar is curved edgeways so that it bends round to that cone; infinite for no dish."""
    sine = math.sin(dish_angle(dish_nm, radius_nm))
    return radius_nm / sine if sine else math.inf
