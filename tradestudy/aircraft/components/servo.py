"""OpenMDAO component of `physics.flight.control`: the torque that the servos must hold."""

from tradestudy.physics.flight import control, layout, trimmed_flight
from tradestudy.physics.geometry.mesh import half_wing_mesh

from .complex_step import SteppedComponent


class ServoLoads(SteppedComponent):
    """Component that computes the torque of one servo for full elevon at full speed."""

    def initialize(self):
        self.options.declare("flight", types=trimmed_flight.FlightData, desc="what is the same for every design")
        self.options.declare("servo", types=control.ServoData, desc="the same for the servos")

    def setup(self):
        flight, servo = self.options["flight"], self.options["servo"]
        data = flight.layout

        def load(extension, sweep, tip_chord, lift_coefficient, elevon):
            wing = layout.wing_outline(data, extension, sweep, data.stock.washout, tip_chord)
            mesh = half_wing_mesh(wing)
            hinged = control.hinged_elevon(wing, mesh, trimmed_flight.elevon_coverage(wing, mesh))
            return control.servo_load(flight, servo, hinged, lift_coefficient, elevon)

        shapes: dict[str, tuple[int, ...]] = {
            "lift_coefficient": (trimmed_flight.N_LEVEL, layout.strip_count(data)),
            "elevon": (trimmed_flight.N_LEVEL + trimmed_flight.N_LOAD,),
            "servo_load": (2,),
        }
        inputs = ("extension", "sweep", "tip_chord", "lift_coefficient", "elevon")
        self.declare(load, {"servo_load": inputs}, shapes)
