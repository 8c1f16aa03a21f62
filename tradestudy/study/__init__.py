"""Study files and what stands beside them: TOML in, a checked frozen `Study` out.

``reader.read_study`` is the door. A key stands in ``schema``; what must fit between keys in ``consistency``; a value
that is taken where a key is left out in ``assumed_values``. ``flight_logs`` reads logs as ``measurements`` say.
"""
