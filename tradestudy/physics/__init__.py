"""Physics of a small electric tailless wing: pure functions that take and return arrays in SI units.

Axes: x points aft from the nose datum (the root leading edge on the centre line), y to the right wing tip, z up. Angles
are in radians.

A pitching moment is positive nose up, roll is positive right wing down, and yaw is positive nose right. So neither roll
nor yaw is the right-hand rule of these axes. Lift is positive up and drag positive aft. Washout is positive when the
tip is twisted nose down. Elevon deflection is positive trailing edge down, so up-elevon is negative. A bending moment
is positive when it lifts the tip.

Shapes are written in round brackets. (...) means any batch shape, also none. (..., n_strip) means any batch shape and
then one axis of that length. Units are written in square brackets; [-] means a pure number.
A unit after the last full stop of a docstring's first paragraph is the unit of the result.

Two rules let the same function return a value and its derivatives:

* Every function accepts leading batch axes (``...``) and broadcasts over them.
* Every function that the search uses is safe for complex numbers. It takes no ``abs``, ``maximum``, ``norm`` or
  comparison of a value whose derivative is needed. A complex step through the function then gives the exact
  derivative. Iterations converge on the real part. One more Newton step with the imaginary part gives the derivative
  of the solution. Interpolation tables take real numbers and return their derivatives.
"""
