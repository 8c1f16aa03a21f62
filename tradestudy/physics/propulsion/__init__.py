"""Propeller, motor, controller and pack."""
