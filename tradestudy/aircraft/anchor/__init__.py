"""Calibration of the model against the stock wing: weight, balance, trim, a known flight, a load test."""
