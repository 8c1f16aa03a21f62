"""Study files and the files they name: TOML in, a checked frozen `Study` out. See README.md.

``reader.read_study`` is the entry point. Keys are declared in ``schema``, rules across keys in ``consistency``, and
values for keys left out in ``assumed_values``. ``flight_logs`` reads logs as a file of ``measurements`` describes them.
"""
