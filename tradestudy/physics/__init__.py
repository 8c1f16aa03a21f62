"""Physics of a small electric tailless wing: pure functions, arrays in, arrays out, SI units.

Axes: x aft from the nose datum (the root leading edge on the centre line), y to the right wing tip, z up. Angles in
radians.

Signs: pitching moment positive nose up; roll positive right wing down; yaw positive nose right; lift positive up; drag
positive aft. So neither roll nor yaw is the right-hand rule of these axes. Washout is positive when the tip is twisted
nose down. Elevon deflection is positive trailing edge down, so up-elevon is negative. A bending moment is positive when
it lifts the tip.

Two rules let one function serve value and slope alike:

* Every function accepts leading batch axes (``...``) and broadcasts over them.
* Every function that the search uses is safe for complex numbers: no ``abs``, ``maximum``, ``norm`` or comparison on a
  value that carries a slope. A complex step through it then gives its exact derivative. Iterations converge on the real
  part; one more Newton step with the imaginary part carries the implicit derivative. Tables carry their own slopes.
"""
