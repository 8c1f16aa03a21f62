"""Reading of study files and of the files that they name. See README.md.

``reader.read_study`` reads TOML and returns a checked, frozen `Study`. Keys are declared in ``schema``. Rules that
compare several keys are in ``consistency``. Rules for keys that are left out are in ``assumed_values``.
``flight_logs`` reads a flight log as described by the file that ``measurements`` reads.
"""
