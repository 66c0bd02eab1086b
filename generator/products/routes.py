"""How a piece is carried along a route that bends: its frame, and the plane of each miter."""

from __future__ import annotations

from generator.geometry import UP, EndPlane, Frame, Vec3, add, cross, dot, norm, scale, sub, unit

_NO_WAY_ON = 1e-9


def frame_along(origin: Vec3, direction: Vec3) -> Frame:
    """Any frame along a direction, level across where it can be."""
    level = cross(UP, direction)
    across = unit(level) if norm(level) > 1e-6 else (1.0, 0.0, 0.0)
    across = unit(sub(across, scale(direction, dot(across, direction))))
    return Frame(origin, across, cross(direction, across), direction)


def miter_plane(frame: Frame, onward: Vec3, length_mm: float) -> EndPlane:
    """The plane that halves the angle between a piece and the next, in the piece's frame.

    Raises:
        ValueError: the route turns straight back; the message continues the part's name.
    """
    x, y, z = frame.local_vector(add(frame.z, onward))
    if z < _NO_WAY_ON:
        raise ValueError("its route turns straight back")
    return EndPlane(length_mm, -x / z, -y / z)


def carried_round(frame: Frame, origin: Vec3, onward: Vec3) -> Frame:
    """The frame carried round a bend about the bend's own axis, so that rulings meet."""
    axis = cross(frame.z, onward)
    if norm(axis) < 1e-12:
        return Frame(origin, frame.x, frame.y, onward)
    axis = unit(axis)
    before, after = cross(axis, frame.z), cross(axis, onward)

    def carried(vector: Vec3) -> Vec3:
        return add(scale(axis, dot(vector, axis)), scale(after, dot(vector, before)))

    return Frame(origin, carried(frame.x), carried(frame.y), onward)
