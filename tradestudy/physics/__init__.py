"""Physics of a small electric tailless wing: pure functions, arrays in, arrays out, SI units.

Axes: x aft from the nose datum (the root leading edge on the centre line), y to the right wing
tip, z up. Angles in radians.

Signs: pitching moment positive nose up; roll positive right wing down; yaw positive nose right
(so neither roll nor yaw is the right-hand rule of these axes); lift positive up; drag positive
aft; washout positive when the tip is twisted nose down; elevon deflection positive trailing edge
down (so up-elevon is negative). A bending moment is positive when it lifts the tip.

Two rules let one function serve value and slope alike:

* every function accepts leading batch axes (``...``) and broadcasts over them;
* every function is safe for complex numbers: no ``abs``, ``maximum``, ``norm`` or comparison on
  a value that carries a slope, so that a complex step through it gives its exact derivative.
  Iterations converge on the real part and then take one more Newton step with the imaginary part,
  which carries the implicit derivative. Tables carry their own slopes.
"""
