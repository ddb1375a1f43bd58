"""Circles, cones and what is cut from them. Angles are radians, lengths any one unit."""

import math

TURN = 2 * math.pi


def chord(radius: float, angle: float) -> float:
    """Straight distance between two points of a circle: 2 r sin(a / 2)."""
    return 2 * radius * math.sin(angle / 2)


def sagitta(radius: float, angle: float) -> float:
    """Rise of an arc over its chord: r (1 - cos(a / 2))."""
    return radius * (1 - math.cos(angle / 2))


def angle_of_rise(radius: float, rise: float) -> float:
    """Angle of the arc that rises so far over its chord. Raises ValueError where no arc of the circle does."""
    if not 0 <= rise <= 2 * radius:
        raise ValueError("An arc rises from nothing to the circle's diameter over its chord.")
    return 2 * math.acos(1 - rise / radius)


def slant(large_radius: float, small_radius: float, height: float) -> float:
    """Length along the side of a frustum: √((R - r)² + h²)."""
    return math.hypot(large_radius - small_radius, height)


def frustum_volume(large_radius: float, small_radius: float, height: float) -> float:
    """π h (R² + R r + r²) / 3; a cylinder where both radii are one."""
    squares = large_radius**2 + large_radius * small_radius + small_radius**2
    return math.pi * height * squares / 3


def ring_area(large_radius: float, small_radius: float, angle: float = TURN) -> float:
    """Area between two circles, or of the part of it that an angle takes: (R² - r²) a / 2."""
    return (large_radius**2 - small_radius**2) * angle / 2
